//! Boil off: the wax is boiled off (lorod), and with it most unbound dye. The cloth shrinks.

use crate::prelude::*;

/// The static side.
pub static KIND: Kind = Kind {
    key: "boil_off",
    term: Term {
        key: "boil_off",
        text: Text::new("Boil off the wax", "Lorod"),
        gloss: Text::new("Boil until the wax floats, skim it, rinse.", "Rebus sampai malam mengapung, ambil malam, bilas."),
    },
    model: 1,
    settings: &[
        Setting {
            key: "time",
            term: Term {
                key: "time",
                text: Text::new("Time at the boil", "Lama mendidih"),
                gloss: Text::new("Stirred, with cloth in.", "Diaduk, kain di dalam."),
            },
            shape: Shape::Quantity { measure: Measure::Span, least: 300.0, most: 5400.0 },
            default: Some("20 min"),
            source: "10-20 min with stirring (common practice, no source)",
        },
        Setting {
            key: "soda",
            term: Term {
                key: "soda",
                text: Text::new("Soda ash in the water", "Soda abu di air"),
                gloss: Text::new("A little helps the wax off.", "Sedikit saja membantu melepas malam."),
            },
            shape: Shape::Quantity { measure: Measure::PerVolume, least: 0.0, most: 10.0 },
            default: Some("3 g/L"),
            source: "2-5 g/L (common practice, no source)",
        },
    ],
    constants: &[RECOVERED, LEFT, SHRINK_WARP, SHRINK_WEFT, HEAT_USED, HOT_AFFINITY],
    cautions: &[
        Caution {
            code: "boiling",
            text: Text::new(
                "Boiling water under floating wax can bump: long paddle, rail, arms and face covered, nobody alone.",
                "Air mendidih di bawah malam bisa meletup: pakai pengaduk panjang, pagar, lengan dan wajah tertutup, jangan sendirian.",
            ),
        },
        Caution {
            code: "hot-wax",
            text: Text::new(
                "Never pour water on burning wax: lid, sand or dry powder. Skimmed wax burns until it is cold.",
                "Jangan siram malam yang terbakar dengan air: pakai tutup, pasir, atau serbuk kering. Malam baru diambil masih panas.",
            ),
        },
        Caution {
            code: "heat",
            text: Text::new(
                "Heavy work in heat: drink, shade, pauses as the day demands.",
                "Kerja berat di tempat panas: minum, berteduh, istirahat menurut hari.",
            ),
        },
    ],
    asks: &[Ask {
        term: Term {
            key: "wax-back",
            text: Text::new("Wax skimmed", "Malam terambil"),
            gloss: Text::new("Weighed dry.", "Ditimbang kering."),
        },
        measure: Measure::Mass,
    }],
    timed: Some("time"),
    make: |values| Arc::new(BoilOff { values }),
};

const RECOVERED: Constant = Constant {
    key: "boil_off.recovered",
    text: Text::new("Wax that comes back", "Malam yang kembali"),
    measure: Measure::Share,
    value: 0.85,
    factor: 1.1,
    source: "80-90 % of the wax put on (two cleaner-production studies of stamped batik); a cluster lost 12.5 %",
};
const LEFT: Constant = Constant {
    key: "boil_off.left",
    text: Text::new("Wax left in the cloth", "Malam tersisa di kain"),
    measure: Measure::Share,
    value: 0.005,
    factor: 3.0,
    source: "own estimate, soft water",
};
const SHRINK_WARP: Constant = Constant {
    key: "boil_off.shrink-warp",
    text: Text::new("Shrinkage along", "Susut memanjang"),
    measure: Measure::Share,
    value: 0.04,
    factor: 1.5,
    source: "process shrinkage of unfinished sheeting 3-6 % along the warp (from memory)",
};
const SHRINK_WEFT: Constant = Constant {
    key: "boil_off.shrink-weft",
    text: Text::new("Shrinkage across", "Susut melebar"),
    measure: Measure::Share,
    value: 0.03,
    factor: 1.5,
    source: "process shrinkage of unfinished sheeting 1-4 % along the weft (from memory)",
};
const HEAT_USED: Constant = Constant {
    key: "boil_off.heat-used",
    text: Text::new("Heat of the fire that reaches the water", "Panas api yang sampai ke air"),
    measure: Measure::Share,
    value: 0.12,
    factor: 1.3,
    source: "open fire 10-15 % (Boiling Point 28, 1992); a measured workshop used 539 g of wood per metre, which agrees",
};
const HOT_AFFINITY: Constant = Constant {
    key: "boil_off.affinity",
    text: Text::new("Affinity at the boil over affinity in cold water", "Daya lekat saat mendidih dibanding dingin"),
    measure: Measure::Share,
    value: 0.4,
    factor: 1.8,
    source: "own estimate: affinity falls with temperature, which is why reactive dyeings are soaped at the boil",
};
/// Heat of wood, J/kg (dry wood 18 MJ/kg, Boiling Point 28, 1992), of water and cotton, J/(kg K) (from memory).
const WOOD: f64 = 18.0e6;
const WATER_HEAT: f64 = 4186.0;
const COTTON_HEAT: f64 = 1340.0;
/// Iron of the cauldron, kg, and its specific heat (own estimate; 0.46 kJ/(kg K) from memory).
const IRON: (f64, f64) = (25.0, 460.0);
/// Liquor carried by drained hot cloth, L/kg (own estimate).
const CARRIED: f64 = 1.0;

struct BoilOff {
    values: Values,
}

struct BoilHand {
    keep: [f32; DYES],
    water: f32,
}

impl Hand for BoilHand {
    fn act(&self, patch: &mut Patch) {
        for (dye, keep) in self.keep.iter().enumerate() {
            patch.loose[dye].scale(*keep);
            patch.spent[dye].scale(*keep);
        }
        // The distance to the old edge stays: later looks still tell motif from ground by it.
        patch.wax = Plane::Zero;
        patch.leak = Plane::Zero;
        patch.soda = Plane::Zero;
        patch.water = Plane::Flat(self.water);
    }
}

impl BoilOff {
    fn liquor_ratio(&self, lot: &LotShape, shop: &Workshop) -> f64 {
        let bolts = bolts_per_load(lot, shop);
        shop.volume("cauldron", 0.1325) * 1000.0 / (bolts * lot.mass().0)
    }

    /// Share of unbound dye that stays: one equilibrium wash, `(K + p) / (K + p + LR)`.
    fn keep(&self, design: &Design, lot: &LotShape, shop: &Workshop) -> [f64; DYES] {
        let ratio = self.liquor_ratio(lot, shop);
        let hot = shop.constants.get(&HOT_AFFINITY);
        std::array::from_fn(|dye| {
            let affinity = design.dyes.get(dye).map_or(0.0, |d| d.affinity.value * 1000.0) * hot;
            (affinity + CARRIED) / (affinity + CARRIED + ratio)
        })
    }
}

fn bolts_per_load(lot: &LotShape, shop: &Workshop) -> f64 {
    let load = shop.load("cauldron", units::Length(41.148));
    ((load.0 / lot.cloth.length.0) + 1e-9).floor().max(1.0)
}

/// Heat to bring a cauldron to the boil, J: water, cloth, iron.
pub fn heat_to_boil(water_kg: f64, cloth_kg: f64, from_c: f64) -> f64 {
    (100.0 - from_c) * (water_kg * WATER_HEAT + cloth_kg * COTTON_HEAT + IRON.0 * IRON.1)
}

impl Operation for BoilOff {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let loose = before.means.mean(|z| z.loose.iter().sum::<f64>());
        let fast = before.means.mean(|z| z.fast.iter().sum::<f64>());
        (loose > 0.3 * fast && loose > 0.5)
            .then(|| {
                Finding::new(
                    "boil-loose-dye",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "{loose} g/kg of dye is not bound yet; the boil washes most of it away and may stain the ground",
                        "{loose} g/kg pewarna belum terikat; sebagian besar hilang saat direbus dan bisa menodai latar",
                        loose = Arg::Number(loose, 1)
                    ),
                )
                .remedy(say!("rest longer before the boil", "diamkan lebih lama sebelum dilorod"))
            })
            .into_iter()
            .collect()
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let keep = self.keep(design, lot, shop);
        let mut lost = Vec::new();
        for (dye, keep) in keep.iter().enumerate() {
            let before = means.dye(dye);
            for zone in means.zones_mut() {
                zone.loose[dye] *= keep;
                zone.spent[dye] *= keep;
            }
            lost.push((dye, Fate::Drain, before - means.dye(dye)));
        }
        let area = lot.area().0;
        let wax = means.mean(|z| z.wax) * area;
        for zone in means.zones_mut() {
            zone.wax = 0.0;
        }
        means.leak = 0.0;
        means.soda = 0.0;
        means.water = CARRIED;
        // The figures are those of the whole wet process: what an earlier wetting has taken is part of them.
        means.shrunk.0 = means.shrunk.0.min(1.0 - shop.constants.get(&SHRINK_WEFT));
        means.shrunk.1 = means.shrunk.1.min(1.0 - shop.constants.get(&SHRINK_WARP));
        let back = wax * shop.constants.get(&RECOVERED);
        let left = wax * shop.constants.get(&LEFT);
        let volume = shop.volume("cauldron", 0.1325);
        let bolts = bolts_per_load(lot, shop);
        let heat = heat_to_boil(volume * 1000.0, bolts * lot.mass().0, shop.climate.air.0);
        // Evaporation while it boils: 12 % of the water an hour at 2.26 MJ/kg (own estimate).
        let boiling = 0.12 * volume * 1000.0 * self.values.si("time") / 3600.0 * 2.26e6;
        let wood = (heat + boiling) / (WOOD * shop.constants.get(&HEAT_USED)) / bolts;
        let soda = self.values.si("soda") * volume / bolts;
        let dose = |material, kg: f64, origin| Dose {
            stuff: Stuff::Material(material),
            amount: Quantity::new(kg, Measure::Mass),
            origin,
        };
        Takes {
            bath: Some(Bath {
                name: &KIND.term,
                vessel: "cauldron",
                volume,
                charge: Vec::new(),
                lasts_bolts: bolts as u32,
                load: shop.load("cauldron", units::Length(41.148)),
                care: Text::new(
                    "Skim the wax while hot, dry and weigh it. Water goes through the wax trap.",
                    "Ambil malam saat panas, keringkan dan timbang. Air lewat perangkap malam.",
                ),
            }),
            per_bolt: vec![
                draw_water(volume * 1000.0 / bolts),
                dose(&store::SODA_ASH, soda, None),
                dose(&store::FIREWOOD, wood, Some(shop.constants.known(&HEAT_USED).origin)),
            ],
            lost,
            wax_off: vec![(Fate::Recovered, back), (Fate::Cloth, left), (Fate::Drain, wax - back - left)],
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        Arc::new(BoilHand {
            keep: self.keep(before.design, before.lot, before.shop).map(|k| k as f32),
            water: CARRIED as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, shop: &Workshop) -> Vec<Occupancy> {
        let time = self.values.si("time") / 60.0;
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("cauldron"), Use::several("helper", 2)],
            work: Work::minutes(time + 10.0, time + 20.0, time + 35.0),
            calendar: "fire",
            may_pause: false,
            batch: Some(Batch { vessel: "cauldron".to_string(), capacity: shop.load("cauldron", units::Length(41.148)) }),
            darkness: None,
            then: Lag { least: Span(0.0), most: Some(Span::minutes(15.0)) },
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        Instructions {
            lines: vec![
                say!(
                    "Water at a rolling boil with {soda} soda ash before the cloth goes in.",
                    "Air mendidih penuh dengan soda abu {soda} sebelum kain masuk.",
                    soda = self.values.arg("soda")
                ),
                say!(
                    "Boil {time}, lift and dip again and again; skim the wax as it rises.",
                    "Rebus {time}, angkat-celup berulang; ambil malam yang naik.",
                    time = self.values.arg("time")
                ),
                say!("Straight into clean water.", "Langsung ke air bersih."),
            ],
            done_when: say!(
                "a cool corner feels free of wax and no film shows on the water",
                "ujung kain dingin tidak terasa bermalam dan air tidak berminyak"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::heat_to_boil;

    /// Handbook arithmetic: 132.5 L from 28 to 100 C with 5.75 kg of cotton and 25 kg of iron is 41.3 MJ
    /// (specific heats from memory: 39.9 + 0.55 + 0.85 MJ).
    #[test]
    fn a_cauldron_takes_41_megajoules() {
        let heat = heat_to_boil(132.5, 5.75, 28.0);
        assert!((heat / 1e6 - 41.3).abs() < 0.1, "{heat}");
    }
}
