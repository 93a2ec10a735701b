//! Dip: the whole cloth goes through a dye bath; wax keeps it out.
//!
//! The depth asked for is what bare cloth takes up, by liquor carried and by exhaustion. Where liquor reaches
//! only part of the fibre (wax, see `barrier`), it takes that part. The bath holds alkali, so dye binds while
//! it dips. A bath loses dye faster than liquor: the top-up keeps the shade from bolt to bolt.

use crate::barrier::{access, creep_depth, crept_share};
use crate::patch::positions;
use crate::prelude::*;
use field::NoiseRows;
use units::Celsius;

/// The static side.
pub static KIND: Kind = Kind {
    key: "dip",
    term: Term {
        key: "dip",
        text: Text::new("Dip-dye the ground", "Celup latar"),
        gloss: Text::new("Dye the whole cloth in a bath; wax keeps its colours.", "Celup seluruh kain; malam menjaga warnanya."),
    },
    model: 1,
    settings: &[
        Setting {
            key: "dyes",
            term: Term {
                key: "dyes",
                text: Text::new("Dyes", "Pewarna"),
                gloss: Text::new("Depth on bare cloth, on weight of fabric.", "Kedalaman pada kain terbuka, terhadap berat kain."),
            },
            shape: Shape::Dyes { least: 1, most: 4, depth: Measure::Share, deepest: 0.08 },
            default: None,
            source: "pale below 0.5 %, medium to 2 %, dark 2-4 % owf (from memory, handbook classes)",
        },
        Setting {
            key: "time",
            term: Term {
                key: "time",
                text: Text::new("Time in the bath", "Lama celup"),
                gloss: Text::new("Moving all the time.", "Terus digerakkan."),
            },
            shape: Shape::Quantity { measure: Measure::Span, least: 60.0, most: 14400.0 },
            default: Some("30 min"),
            source: "20-40 min per bolt (own estimate)",
        },
        Setting {
            key: "temperature",
            term: Term {
                key: "temperature",
                text: Text::new("Temperature of the bath", "Suhu bak"),
                gloss: Text::new("Wax softens above 35 C.", "Malam melunak di atas 35 C."),
            },
            shape: Shape::Quantity { measure: Measure::Temperature, least: 15.0, most: 40.0 },
            default: Some("28 C"),
            source: "cold-dyeing classes 20-35 C; beeswax is plastic from 32-35 C",
        },
        Setting {
            key: "soda",
            term: Term {
                key: "soda",
                text: Text::new("Soda ash in the bath", "Soda abu di bak"),
                gloss: Text::new("Makes the dye bind.", "Membuat pewarna terikat."),
            },
            shape: Shape::Quantity { measure: Measure::PerVolume, least: 0.0, most: 40.0 },
            default: Some("10 g/L"),
            source: "10-20 g/L for cold-dyeing classes (from memory)",
        },
        Setting {
            key: "salt",
            term: Term {
                key: "salt",
                text: Text::new("Salt in the bath", "Garam di bak"),
                gloss: Text::new("Drives dye onto the cloth.", "Mendorong pewarna ke kain."),
            },
            shape: Shape::Quantity { measure: Measure::PerVolume, least: 0.0, most: 100.0 },
            default: Some("50 g/L"),
            source: "40-80 g/L for cold-dyeing classes (from memory)",
        },
    ],
    constants: &[CARRIED, UNEVEN],
    cautions: &[
        Caution {
            code: "dye-powder",
            text: Text::new(
                "Dye powder: some reactive dyes sensitise the lungs for life. Weigh out of the wind, mask and gloves, paste with water first.",
                "Serbuk pewarna: sebagian membuat paru-paru alergi seumur hidup. Timbang jauh dari angin, pakai masker dan sarung tangan, buat pasta dengan air.",
            ),
        },
        Caution {
            code: "alkali",
            text: Text::new(
                "The bath is alkaline: goggles and gloves; rinse skin at once, eyes 15 minutes, then see a doctor.",
                "Bak bersifat basa: pakai kacamata dan sarung tangan; kulit segera dibilas, mata 15 menit, lalu ke dokter.",
            ),
        },
    ],
    asks: &[Ask {
        term: Term {
            key: "strip",
            text: Text::new("Test strip against the strike-off", "Potong uji dibanding contoh"),
            gloss: Text::new("Lighter, same, darker.", "Lebih muda, sama, lebih tua."),
        },
        measure: Measure::Count,
    }],
    timed: Some("time"),
    make: |values| Arc::new(Dip { values }),
};

const CARRIED: Constant = Constant {
    key: "dip.carried",
    text: Text::new("Liquor carried out by drained cloth", "Larutan terbawa kain setelah tiris"),
    measure: Measure::PerMass,
    value: 1.0e-3,
    factor: 1.4,
    source: "drained cloth 0.8-1.5 L/kg (from memory)",
};
const UNEVEN: Constant = Constant {
    key: "dip.uneven",
    text: Text::new("Unevenness of a hand-moved bath", "Ketidakrataan celup tangan"),
    measure: Measure::Share,
    value: 0.10,
    factor: 2.0,
    source: "own estimate",
};
/// Alkali needed before dye binds, g/L (own estimate: pH 11 needs about 1 g/L of soda ash).
const ALKALINE: f64 = 1.0;

struct Dip {
    values: Values,
}

struct DipHand {
    /// (dye, bound, spent, loose) on bare cloth, g/kg.
    dyes: Vec<(usize, f32, f32, f32)>,
    depth_mm: f32,
    uneven: f32,
    seed: u32,
    water: f32,
}

field::lanes! {
    /// From the slow noise of the bath, and the quick one, to take-up.
    fn take_up_row(hand: &DipHand, quick: &[f32], rim: &[f32], leak: &[f32], wax: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (quick, rim, leak, wax) = (&quick[..n], &rim[..n], &leak[..n], &wax[..n]);
        for i in 0..n {
            let even = 1.0 + hand.uneven * (out[i] + 0.55 * quick[i]);
            out[i] = even * access(rim[i], hand.depth_mm, leak[i], wax[i]);
        }
    }
    fn add_scaled(to: &mut [f32], from: &[f32], by: f32) {
        for (t, f) in to.iter_mut().zip(from) {
            *t += by * *f;
        }
    }
}

impl Hand for DipHand {
    fn act(&self, patch: &mut Patch) {
        let waxed = !patch.wax.is_zero();
        let (lattice, rect) = if waxed { patch.fine() } else { patch.milli() };
        let rim = patch.rim.at_detail(lattice, rect);
        let leak = patch.leak.at_detail(lattice, rect);
        let wax = patch.wax.at_detail(lattice, rect);
        let xs = positions(lattice, rect.x0, rect.nx);
        let mut taken = Grid::flat(lattice, rect, 0.0);
        let mut slow = NoiseRows::new(xs.iter().map(|x| x / 210.0), self.seed);
        let mut quick = NoiseRows::new(xs.iter().map(|x| x / 23.0), self.seed ^ 5);
        let mut unrest = vec![0.0; xs.len()];
        for (j, y) in positions(lattice, rect.y0, rect.ny).iter().enumerate() {
            let row = rect.y0 + j as i32;
            let out = taken.row_mut(row);
            slow.go(y / 260.0);
            slow.fill(0, out);
            quick.go(y / 27.0);
            quick.fill(0, &mut unrest);
            take_up_row(self, &unrest, rim.row(row), leak.row(row), wax.row(row), out);
        }
        let taken = Arc::new(taken);
        for (dye, bound, spent, loose) in &self.dyes {
            let parts = [(&mut patch.fast[*dye], *bound), (&mut patch.spent[*dye], *spent), (&mut patch.loose[*dye], *loose)];
            for (plane, amount) in parts {
                if amount > 0.0 && waxed && plane.is_zero() {
                    *plane = Plane::Veiled(Box::new(Plane::Flat(amount)), taken.clone());
                } else if amount > 0.0 {
                    let mut grid = std::mem::take(plane).into_detail(lattice, rect);
                    add_scaled(&mut grid.data, &taken.data, amount);
                    *plane = Plane::Grid(grid);
                }
            }
        }
        patch.water = Plane::Flat(self.water);
    }
}

impl Dip {
    /// (dye, bound, spent, loose) on bare cloth, g/kg: the depth, divided by what binds while it dips.
    fn on_bare(&self, design: &Design) -> Vec<(usize, f64, f64, f64)> {
        let bath = Celsius(self.values.si("temperature"));
        let time = if self.values.si("soda") >= ALKALINE { self.values.si("time") } else { 0.0 };
        self.values
            .dyes("dyes")
            .iter()
            .filter_map(|dose| {
                let card = design.dyes.get(dose.dye)?;
                let grams = dose.depth.quantity.si * 1000.0;
                let shares = card.fixation.shares(Span(time), bath);
                Some((dose.dye, grams * shares.bound, grams * shares.spent, grams * shares.loose))
            })
            .collect()
    }

    fn depth(&self, means: &Means) -> f64 {
        creep_depth(means.creep, self.values.si("time"))
    }
}

impl Operation for Dip {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.chlorine > 1e-4 {
            findings.push(
                Finding::new(
                    "dip-chlorine",
                    Weight::Wrong,
                    here(before, None),
                    say!(
                        "the cloth still carries {chlorine} g of chlorine per kg, which destroys the dye in the bath",
                        "kain masih membawa {chlorine} g klorin per kg; ini merusak pewarna di bak",
                        chlorine = Arg::Number(before.means.chlorine, 2)
                    ),
                )
                .allow(say!("starch-iodide paper must stay white", "kertas kanji-iodida harus tetap putih"))
                .remedy(say!("put a neutralise step before the dip", "tambahkan langkah penetral sebelum celup")),
            );
        }
        if before.means.folded {
            findings.push(
                Finding::new(
                    "dip-folded",
                    Weight::Doubtful,
                    here(before, None),
                    say!("the cloth is still scrunched", "kain masih dikerut"),
                )
                .remedy(say!("open it before the dip", "buka dahulu sebelum celup")),
            );
        }
        if before.means.waxed() && self.values.si("temperature") > 35.0 {
            findings.push(
                Finding::new(
                    "dip-warm-wax",
                    Weight::Doubtful,
                    here(before, Some("temperature")),
                    say!(
                        "at {temperature} wax softens and leaks",
                        "pada {temperature} malam melunak dan bocor",
                        temperature = self.values.arg("temperature")
                    ),
                )
                .allow(say!("35 C or less while there is wax on the cloth", "35 C atau kurang selama ada malam di kain")),
            );
        }
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let crept = if means.waxed() { crept_share(means.wax_edge, self.depth(means), means.motif.share) } else { 1.0 };
        let reached = crept + (1.0 - crept) * means.leak;
        let kg = lot.mass().0;
        let volume = shop.volume("barrel", 0.1);
        let carried = shop.constants.get(&CARRIED) * 1000.0;
        let liquor_ratio = volume * 1000.0 / kg;
        let mut takes = Takes::default();
        let mut charge = vec![draw_water(volume * 1000.0)];
        for (dye, bound, spent, loose) in self.on_bare(design) {
            for (zone, share) in [(&mut means.ground, 1.0), (&mut means.motif, reached)] {
                zone.fast[dye] += bound * share;
                zone.spent[dye] += spent * share;
                zone.loose[dye] += loose * share;
            }
            let mean = (bound + spent + loose) * (means.ground.share + means.motif.share * reached);
            takes.put.push((dye, mean));
            // What cloth takes up, E of the bath, leaves (1-E): so the bath must hold take-up / E at the start,
            // and each bolt needs its take-up back and the dye in the liquor it carries out.
            let exhausted = design.dyes.get(dye).map_or(0.3, |d| d.exhaustion_at(liquor_ratio)).clamp(0.05, 0.95);
            let in_bath = mean * kg / 1000.0 / exhausted;
            let carried_out = in_bath * (1.0 - exhausted) * (carried * kg / (volume * 1000.0)).min(1.0);
            let dose = |kg: f64| Dose {
                stuff: Stuff::Dye(dye),
                amount: Quantity::new(kg, Measure::Mass),
                origin: design.dyes.get(dye).map(|d| d.exhaustion.origin.clone()),
            };
            charge.push(dose(in_bath));
            takes.per_bolt.push(dose(mean * kg / 1000.0 + carried_out));
        }
        for (material, setting) in [(&store::SALT, "salt"), (&store::SODA_ASH, "soda")] {
            let per_m3 = self.values.si(setting);
            if per_m3 > 0.0 {
                let dose = |kg: f64| Dose { stuff: Stuff::Material(material), amount: Quantity::new(kg, Measure::Mass), origin: None };
                charge.push(dose(per_m3 * volume));
                takes.per_bolt.push(dose(per_m3 * carried * kg / 1000.0));
            }
        }
        takes.per_bolt.push(draw_water(carried * kg));
        means.water = carried;
        takes.bath = Some(Bath {
            name: &KIND.term,
            vessel: "barrel",
            volume,
            charge,
            lasts_bolts: 12,
            load: lot.cloth.length,
            care: Text::new(
                "Top up after every bolt. Alkali in the bath kills dye within hours: never keep it overnight.",
                "Tambah setelah tiap gulung. Basa di bak merusak pewarna dalam beberapa jam: jangan disimpan semalam.",
            ),
        });
        takes
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        Arc::new(DipHand {
            dyes: self
                .on_bare(before.design)
                .into_iter()
                .map(|(dye, bound, spent, loose)| (dye, bound as f32, spent as f32, loose as f32))
                .collect(),
            depth_mm: (self.depth(before.means) * 1000.0) as f32,
            uneven: before.shop.constants.get(&UNEVEN) as f32,
            seed: before.seed.child("uneven").low(),
            water: (before.shop.constants.get(&CARRIED) * 1000.0) as f32,
        })
    }

    fn occupies(&self, _: &Means, design: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let time = self.values.si("time") / 60.0;
        // Orders the cleaning of the barrel: how much of the light the asked depths take, in six classes.
        let strength: f64 = self
            .values
            .dyes("dyes")
            .iter()
            .filter_map(|dose| {
                let card = design.dyes.get(dose.dye)?;
                let peak = card.unit_ks.iter().fold(0.0f64, |a, b| a.max(*b));
                Some(peak * dose.depth.quantity.si * 1000.0)
            })
            .sum();
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("barrel"), Use::several("helper", 2)],
            work: Work::minutes(time, time + 5.0, time + 15.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: Some((strength.ln_1p() * 1.6).clamp(0.0, 5.0).round() as f32),
            then: Lag { least: Span(0.0), most: Some(Span::minutes(240.0)) },
        }]
    }

    fn instructs(&self, _: &Takes, design: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let mut lines: Vec<_> = self
            .values
            .dyes("dyes")
            .iter()
            .map(|dose| {
                say!(
                    "{dye} to {depth} of the cloth's weight (batch sheet).",
                    "{dye} sampai {depth} dari berat kain (lihat lembar bak).",
                    dye = Arg::Name(design.dyes.get(dose.dye).map_or_else(String::new, |d| d.name.clone())),
                    depth = Arg::Spelled(dose.depth.spelled.clone())
                )
            })
            .collect();
        lines.push(say!(
            "Dip for {time} at {temperature}; turn the cloth without rest, no fold may stay pressed.",
            "Celup {time} pada {temperature}; bolak-balik terus, jangan ada lipatan tertekan.",
            time = self.values.arg("time"),
            temperature = self.values.arg("temperature")
        ));
        Instructions {
            lines,
            done_when: say!("a dried strip matches the strike-off's ground", "potong uji kering sama dengan latar contoh"),
        }
    }
}
