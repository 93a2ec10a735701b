//! Touch up: white places that a hand would see get a dab of colour before the cloth is fixed.
//!
//! The hand looks at the whole bolt in cells of a good half of a dab. A cell with less than the threshold share of
//! the mean dye gets a dab near its middle; neighbours tend to share a colour. On the cloth a dab colours what lacks
//! dye and hardly what has it, so it takes the ragged outline of the white place itself. The issued liquor is
//! shared by all dabs; where there is too little for all white places, the whitest come first; what is too much for
//! them is left over.

mod dabs;

use crate::barrier::reached_share;
use crate::prelude::*;
use crate::spread::Wick;
use dabs::{COARSE, TouchUpHand, means};
use field::{Blot, clamp01, floor_i32, hash2, noise, unit};

/// The static side.
pub static KIND: Kind = Kind {
    key: "touch_up",
    term: Term {
        key: "touch_up",
        text: Text::new("Touch up", "Tutup bagian putih"),
        gloss: Text::new(
            "Dab colour on the white places of the open cloth.",
            "Colet warna pada bagian putih kain terbuka.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "dyes",
            term: Term {
                key: "dyes",
                text: Text::new("Dye liquors", "Larutan pewarna"),
                gloss: Text::new(
                    "Each dye with its strength in the liquor.",
                    "Tiap pewarna dengan kekuatannya dalam larutan.",
                ),
            },
            shape: Shape::Dyes {
                least: 1,
                most: 4,
                depth: Measure::PerVolume,
                deepest: 120.0,
            },
            default: None,
            source: "the liquors of the sponges, as they are or thinner: common practice, no source",
        },
        Setting {
            key: "dab",
            term: Term {
                key: "dab",
                text: Text::new("Size of a dab", "Ukuran colekan"),
                gloss: Text::new(
                    "Diameter of one print of the small sponge.",
                    "Garis tengah satu jejak spons kecil.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Length,
                least: 0.010,
                most: 0.15,
            },
            default: Some("40 mm"),
            source: "own estimate: closes white places of 15-40 mm",
        },
        Setting {
            key: "below",
            term: Term {
                key: "below",
                text: Text::new("Called white below", "Dianggap putih di bawah"),
                gloss: Text::new(
                    "Share of the bolt's mean dye.",
                    "Bagian dari rata-rata pewarna satu gulung.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Share,
                least: 0.05,
                most: 0.95,
            },
            default: Some("35 %"),
            source: "own estimate",
        },
        Setting {
            key: "liquor",
            term: Term {
                key: "liquor",
                text: Text::new("Liquor issued", "Larutan dibagikan"),
                gloss: Text::new(
                    "Litres per kilogram of the whole cloth, all colours.",
                    "Liter per kilogram seluruh kain, semua warna.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::PerMass,
                least: 0.002e-3,
                most: 0.5e-3,
            },
            default: Some("0.03 L/kg"),
            source: "own estimate",
        },
    ],
    constants: &[SPREAD, LOOSE_TIME],
    cautions: &[Caution {
        code: "dye-liquor",
        text: Text::new(
            "Dye liquor: gloves and apron; keep it off skin and out of eyes.",
            "Larutan pewarna: pakai sarung tangan dan celemek; jangan kena kulit dan mata.",
        ),
    }],
    asks: &[Ask {
        term: Term {
            key: "liquor-left",
            text: Text::new("Liquor left over", "Sisa larutan"),
            gloss: Text::new("Per colour.", "Per warna."),
        },
        measure: Measure::Volume,
    }],
    timed: None,
    make: |values| Arc::new(TouchUp { values }),
};

const SPREAD: Constant = Constant {
    key: "touch_up.spread",
    text: Text::new(
        "Spread of loose dye in wet cloth",
        "Rambatan pewarna di kain basah",
    ),
    measure: Measure::Diffusivity,
    value: 6e-9,
    factor: 3.0,
    source: "dispersion in wet cloth 0.5e-9 to 1e-8 m2/s (own estimate)",
};
const LOOSE_TIME: Constant = Constant {
    key: "touch_up.loose-time",
    text: Text::new(
        "Time that a dab stays loose and wet",
        "Lama colekan lepas dan basah",
    ),
    measure: Measure::Span,
    value: 300.0,
    factor: 2.0,
    source: "until the jig (own estimate)",
};
/// Liquor that a dab leaves in its place, L/kg of cloth: less does not wet through, more runs (own estimate).
const DAB_LIQUOR: (f64, f64) = (0.35, 0.9);
/// A cell of the look over a dab's diameter.
const CELL: f64 = 0.42;

struct TouchUp {
    values: Values,
}

impl TouchUp {
    fn liquor(&self) -> f64 {
        self.values.si("liquor") * 1000.0
    }

    /// Dye put on, g per kg of the whole cloth, for each of the dyes: liquor shared evenly between the colours.
    fn put(&self) -> Vec<(usize, f64)> {
        let doses = self.values.dyes("dyes");
        let liquor = self.liquor() / doses.len().max(1) as f64;
        doses
            .iter()
            .map(|dose| (dose.dye, dose.depth.quantity.si * liquor))
            .collect()
    }

    /// A dab for every white cell.
    fn dabs(&self, before: &Before, cells: &Grid, white: f32, colours: usize) -> Vec<Vec<Blot>> {
        let constants = &before.shop.constants;
        let wick = Wick {
            across: constants.get(&SPREAD),
            along: constants.get(&SPREAD),
            seconds: constants.get(&LOOSE_TIME),
        };
        // A sharp edge that has spread by sigma rises over some 3 sigma.
        let edge = (3.0 * wick.sigma_mm().0).max(0.5) as f32;
        let radius = (self.values.si("dab") * 500.0) as f32;
        let seed = before.seed.child("dabs").low();
        let mut dabs = vec![Vec::new(); colours];
        for (j, row) in cells.rows() {
            for (i, value) in (cells.rect.x0..).zip(row) {
                if *value >= white {
                    continue;
                }
                let h = hash2(i, j, seed);
                let shift =
                    |bits: u32| f64::from(unit(h.wrapping_mul(bits)) - 0.5) * 0.7 * cells.lattice.pitch;
                let (x, y) = (
                    cells.lattice.at(i) + shift(0x9e37_79b1),
                    cells.lattice.at(j) + shift(0x85eb_ca77),
                );
                // Colour drifts over a decimetre or two; now and then a stray dab.
                let (cx, cy) = (x as f32 / 130.0, y as f32 / 130.0);
                let drift = clamp01(0.5 + 1.3 * noise(cx, cy, seed ^ 41)) * 0.999 * colours as f32;
                let colour = (floor_i32(drift).max(0) as usize + usize::from(h & 7 == 0)) % colours;
                dabs[colour].push(Blot {
                    x,
                    y,
                    half: [0.0, 0.0],
                    radius: radius * (0.8 + 0.35 * unit(h ^ 0x5bd1_e995)),
                    edge,
                    rag: 0.22 * radius,
                    grain: 0.5 * radius,
                    amount: 0.85 + 0.15 * unit(h ^ 0x0dea_dbee),
                    seed: h,
                });
            }
        }
        for dabs in &mut dabs {
            dabs.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)));
        }
        dabs
    }
}

impl Operation for TouchUp {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.folded {
            findings.push(
                Finding::new(
                    "touch-up-folded",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "white places cannot be seen while the cloth is scrunched",
                        "bagian putih tidak terlihat selama kain berkerut"
                    ),
                )
                .remedy(say!("open it first", "buka dahulu")),
            );
        }
        if before.means.waxed() {
            findings.push(Finding::new(
                "touch-up-waxed",
                Weight::Doubtful,
                here(before, None),
                say!(
                    "wax keeps the dabs off the motif",
                    "malam menahan colekan di motif"
                ),
            ));
        }
        let dye: f64 = (0..DYES).map(|dye| before.means.dye(dye)).sum();
        if dye < 1e-6 {
            findings.push(Finding::new(
                "touch-up-white-cloth",
                Weight::Doubtful,
                here(before, None),
                say!(
                    "all of the cloth is white: there is nothing to touch up",
                    "seluruh kain masih putih: tidak ada yang perlu ditutup"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let issued = self.put();
        let on_motif = reached_share(means);
        let mut put = Vec::new();
        for (dye, amount) in &issued {
            means.ground.loose[*dye] += amount;
            means.motif.loose[*dye] += amount * on_motif;
            put.push((*dye, amount * (means.ground.share + means.motif.share * on_motif)));
        }
        means.water += self.liquor();
        let kg = lot.mass().0;
        let mut per_bolt: Vec<Dose> = issued
            .iter()
            .map(|(dye, amount)| Dose {
                stuff: Stuff::Dye(*dye),
                amount: Quantity::new(amount / 1000.0 * kg, Measure::Mass),
                origin: None,
            })
            .collect();
        per_bolt.push(draw_water(self.liquor() * kg));
        Takes {
            per_bolt,
            put,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let doses = self.values.dyes("dyes");
        let cells = before.look.dye(self.values.si("dab") * 1000.0 * CELL);
        let mean = cells.mean() as f32;
        let at = |metres: f64| (metres * 1000.0 / COARSE).round() as i32;
        let bolt = Rect::between(0, 0, at(before.lot.cloth.width.0), at(before.lot.cloth.length.0));
        let colours = doses.len().max(1);
        let mut white = self.values.si("below") as f32 * mean;
        let lack = (0.35 * white, 1.7 * white + 1e-6);
        let mut dabs = self.dabs(before, &cells, white, colours);
        let mut shares = means(&dabs, &cells, lack, bolt);
        let touched: f64 = shares.iter().sum();
        if touched * DAB_LIQUOR.0 > self.liquor() {
            // Too little for all of them: the whitest, as many as the liquor wets through.
            let mut whitest: Vec<f32> = cells
                .data
                .iter()
                .copied()
                .filter(|value| *value < white)
                .collect();
            whitest.sort_by(f32::total_cmp);
            let enough = (self.liquor() / (touched * DAB_LIQUOR.0) * whitest.len() as f64) as usize;
            white = whitest.get(enough).copied().unwrap_or(white);
            dabs = self.dabs(before, &cells, white, colours);
            shares = means(&dabs, &cells, lack, bolt);
        }
        let liquor = self.liquor() / colours as f64;
        let full = shares
            .into_iter()
            .zip(doses)
            .map(|(share, dose)| {
                let there = if share > 0.0 {
                    (liquor / share).min(DAB_LIQUOR.1)
                } else {
                    0.0
                };
                (dose.depth.quantity.si * there) as f32
            })
            .collect();
        Arc::new(TouchUpHand {
            dabs,
            dyes: doses.iter().map(|dose| dose.dye).collect(),
            full,
            lack,
            seed: before.seed.child("print").low(),
            water: self.liquor() as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("bench"), Use::whole("sponger")],
            work: Work::minutes(5.0, 9.0, 15.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, takes: &Takes, design: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let doses = self.values.dyes("dyes");
        let each = self.liquor() / 1000.0 * lot.mass().0 / doses.len().max(1) as f64;
        let mut lines: Vec<_> = doses
            .iter()
            .map(|dose| {
                let grams = takes
                    .per_bolt
                    .iter()
                    .find(|d| d.stuff == Stuff::Dye(dose.dye))
                    .map(|d| d.amount);
                say!(
                    "Set aside {volume} of liquor of {dye}, with {mass} of dye in it.",
                    "Sisihkan {volume} larutan {dye}, berisi {mass} pewarna.",
                    dye = Arg::Name(
                        design
                            .dyes
                            .get(dose.dye)
                            .map_or_else(String::new, |d| d.name.clone())
                    ),
                    mass = Arg::Quantity(grams.unwrap_or(Quantity::new(0.0, Measure::Mass))),
                    volume = Arg::Quantity(Quantity::new(each, Measure::Volume))
                )
            })
            .collect();
        lines.push(say!(
            "Dab every white place wider than two fingers with a {dab} sponge, in the colour of its neighbours; leave the small ones.",
            "Colet setiap bagian putih yang lebih lebar dari dua jari dengan spons {dab}, sewarna sekitarnya; biarkan yang kecil.",
            dab = self.values.arg("dab")
        ));
        Instructions {
            lines,
            done_when: say!(
                "no white place wider than two fingers is left",
                "tidak ada lagi bagian putih lebih lebar dari dua jari"
            ),
        }
    }
}
