//! Soda: soda ash powder is sprinkled over the wet cloth or the top of the package.
//!
//! Clumps with a soft halo and fine grains lie on a share of the top, in coordinates of the package; what reaches
//! the layers below falls by `exp(-a l)`. The powder makes the place alkaline, so that dye binds there before the
//! jig (the sun's tally and picture), and it holds water and draws liquor towards itself. How much it draws is not
//! known: one constant, set by a witness patch.

mod powder;

use crate::prelude::*;
use crate::water::{laid_by_layers, likely_dye, probe, spread};
use powder::{Clumps, PROBES, SodaHand, alkaline_share};

/// The static side.
pub static KIND: Kind = Kind {
    key: "soda",
    term: Term {
        key: "soda",
        text: Text::new("Sprinkle soda ash", "Taburkan soda abu"),
        gloss: Text::new(
            "Dry soda ash over the wet cloth, in clumps: dye binds early there.",
            "Soda abu kering di atas kain basah, bergumpal: pewarna lebih dulu terikat di situ.",
        ),
    },
    model: 3,
    settings: &[
        Setting {
            key: "amount",
            term: Term {
                key: "amount",
                text: Text::new("Soda ash", "Soda abu"),
                gloss: Text::new(
                    "Per area of what lies on top.",
                    "Per luas bagian yang terlihat di atas.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::PerArea,
                least: 0.002,
                most: 0.1,
            },
            default: Some("20 g/m2"),
            source: "10-40 g/m2, own estimate",
        },
        Setting {
            key: "cover",
            term: Term {
                key: "cover",
                text: Text::new("Covered", "Tertutup"),
                gloss: Text::new(
                    "Share of the top that lies under powder.",
                    "Bagian atas yang tertutup serbuk.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Share,
                least: 0.02,
                most: 0.9,
            },
            default: Some("25 %"),
            source: "15-35 %, own estimate",
        },
    ],
    constants: &[DRAWN, LAYER_LOSS],
    cautions: &[Caution {
        code: "soda-dust",
        text: Text::new(
            "Soda ash burns eyes and irritates lungs: goggles, gloves, dust mask; sprinkle low and with the wind at \
             your back. Local rules go first.",
            "Soda abu merusak mata dan mengiritasi paru: pakai kacamata pelindung, sarung tangan, masker debu; tabur \
             rendah, membelakangi angin. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[Ask {
        term: Term {
            key: "soda-used",
            text: Text::new("Soda ash used", "Soda abu terpakai"),
            gloss: Text::new(
                "Weigh the tin before and after.",
                "Timbang kaleng sebelum dan sesudah.",
            ),
        },
        measure: Measure::Mass,
    }],
    timed: None,
    make: |values| Arc::new(Soda { values }),
};

const DRAWN: Constant = Constant {
    key: "soda.drawn",
    text: Text::new(
        "Loose dye drawn to the powder",
        "Pewarna lepas tertarik ke serbuk",
    ),
    measure: Measure::Share,
    value: 0.08,
    factor: 2.5,
    source: "own estimate: that cloth is darker under the powder is trade lore without a published size; set it by a \
             witness patch with and without powder",
};
const LAYER_LOSS: Constant = Constant {
    key: "soda.powder-per-layer",
    text: Text::new(
        "Loss of powder per layer of the package",
        "Serbuk berkurang tiap lapis",
    ),
    measure: Measure::Count,
    value: 1.2,
    factor: 1.6,
    source: "own estimate: what lies on top reaches lower layers dissolved, or through open creases",
};
struct Soda {
    values: Values,
}

impl Soda {
    /// Powder on the bolt's cloth, kg/m2: what lies on top, over all layers.
    fn on_cloth(&self, layers: f64) -> f64 {
        self.values.si("amount") / layers.max(1.0)
    }
}

impl Operation for Soda {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.water < crate::kinetics::WET {
            findings.push(
                Finding::new(
                    "soda-on-dry-cloth",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the cloth holds {water} water: powder on dry cloth does nothing and blows away",
                        "kain hanya memuat {water} air: serbuk di kain kering tidak bekerja dan terbang",
                        water = Arg::Quantity(Quantity::new(before.means.water, Measure::Share))
                    ),
                )
                .allow(say!("more than about 30 %", "di atas sekitar 30 %"))
                .remedy(say!(
                    "sprinkle right after the dye",
                    "taburkan segera setelah pewarna"
                )),
            );
        }
        if before.means.mean(|z| z.loose.iter().sum::<f64>()) < 1e-6 {
            findings.push(Finding::new(
                "soda-without-dye",
                Weight::Note,
                here(before, None),
                say!(
                    "there is no loose dye for the powder to bind",
                    "tidak ada pewarna lepas untuk diikat serbuk"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let added = self.on_cloth(means.layers);
        means.soda += added;
        // Of the dye, what the powder has drawn lies there too.
        let drawn = shop.constants.get(&DRAWN).clamp(0.0, 0.9);
        let alkaline = alkaline_share(self.values.si("cover"), means.layers);
        let alkaline = alkaline + drawn * (1.0 - alkaline);
        means.soda_cover = 1.0 - (1.0 - means.soda_cover) * (1.0 - alkaline);
        let powder = Dose {
            stuff: Stuff::Material(&store::SODA_ASH),
            amount: Quantity::new(added * lot.area().0, Measure::Mass),
            origin: None,
        };
        Takes {
            per_bolt: vec![powder],
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let constants = &before.shop.constants;
        let seed = before.seed.child("powder").low();
        let clumps = Clumps::set(seed, self.values.si("cover"), constants.get(&LAYER_LOSS) as f32);
        // Two means of the pattern over the bolt: per area for the powder, per dye for what it draws.
        let (mut area, mut dye, mut weights, mut places) = (0.0f64, 0.0f64, 0.0f64, 0.0f64);
        let mut count = |u: f32, v: f32, depth: f32, weight: f64| {
            let amount = f64::from(clumps.powder(clumps.height(u, v), u, v, depth));
            area += amount;
            dye += weight * amount;
            weights += weight;
            places += 1.0;
        };
        let layers = match before.package {
            Some(package) => {
                let loss = laid_by_layers(before);
                for place in probe(package, before.lot) {
                    count(place.u, place.v, place.depth, likely_dye(&place, loss));
                }
                f64::from(package.layers())
            }
            None => {
                let (width, length) = (before.lot.cloth.width.to_mm(), before.lot.cloth.length.to_mm());
                spread(width, length, PROBES).for_each(|(x, y)| count(x, y, 0.0, 1.0));
                1.0
            }
        };
        let (area, dye) = (
            area / places.max(1.0),
            if weights > 0.0 { dye / weights } else { 0.0 },
        );
        let drawn = constants.get(&DRAWN).clamp(0.0, 0.9);
        Arc::new(SodaHand {
            clumps,
            scale: if area > 0.0 {
                (self.on_cloth(layers) / area) as f32
            } else {
                0.0
            },
            pull: if dye > 0.0 { (drawn / dye) as f32 } else { 0.0 },
            drawn: if dye > 0.0 { drawn as f32 } else { 0.0 },
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("floor"), Use::whole("helper")],
            work: Work::minutes(2.0, 4.0, 8.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            // The sun must find the cloth wet.
            then: Lag {
                least: Span(0.0),
                most: Some(Span::minutes(10.0)),
            },
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let mass = takes
            .per_bolt
            .first()
            .map_or(Quantity::new(0.0, Measure::Mass), |dose| dose.amount);
        Instructions {
            lines: vec![
                say!(
                    "Weigh {mass} of dry soda ash for this bolt.",
                    "Timbang {mass} soda abu kering untuk gulung ini.",
                    mass = Arg::Quantity(mass)
                ),
                say!(
                    "Sprinkle it by hand over about {cover} of the top, in clumps, not evenly.",
                    "Taburkan dengan tangan di sekitar {cover} bagian atas, bergumpal, tidak merata.",
                    cover = self.values.arg("cover")
                ),
            ],
            done_when: say!(
                "all powder is down and it has turned damp",
                "semua serbuk tertabur dan sudah lembap"
            ),
        }
    }
}
