//! Finish: the cloth is pressed and made up into a bolt; its size and its strength are looked at.
//!
//! Nothing is put on: no starch and no softener, so that the cloth feels as it is. Strength kept follows the chlorine
//! dose that bare fibre has taken, `0.9 ^ (dose / tenth)`: an upper limit of damage, because the one published figure
//! says only that cloth was still good.

use crate::issue_length;
use crate::operations::bleach::CHLORINE;
use crate::prelude::*;
use crate::water::REGAIN;
use words::Known;

/// The static side.
pub static KIND: Kind = Kind {
    key: "finish",
    term: Term {
        key: "finish",
        text: Text::new("Press and make up", "Setrika dan gulung"),
        gloss: Text::new(
            "Press the dry cloth and make it up into a bolt.",
            "Setrika kain kering dan gulung jadi satu gulungan.",
        ),
    },
    model: 1,
    settings: &[Setting {
        key: "press",
        term: Term {
            key: "press",
            text: Text::new("Press", "Cara menghaluskan"),
            gloss: Text::new("Cold roller or hot iron.", "Rol dingin atau setrika panas."),
        },
        shape: Shape::Choice(&[&ROLLER, &IRON]),
        default: Some("roller"),
        source: "common practice, no source",
    }],
    constants: &[TENTH],
    cautions: &[
        Caution {
            code: "nip",
            text: Text::new(
                "Rollers pull fingers and sleeves in: hands off while it turns, the stop within reach. Local rules go first.",
                "Rol bisa menarik jari dan lengan baju: tangan menjauh saat berputar, tombol berhenti terjangkau. Aturan setempat diutamakan.",
            ),
        },
        Caution {
            code: "hot-iron",
            text: Text::new(
                "A hot iron burns skin and cloth: stand it up, switch it off when you leave.",
                "Setrika panas melukai kulit dan kain: berdirikan, matikan bila ditinggal.",
            ),
        },
    ],
    asks: &[
        Ask {
            term: Term {
                key: "finished-width",
                text: Text::new("Width", "Lebar"),
                gloss: Text::new(
                    "Between the selvedges, three places.",
                    "Antar tepi kain, di tiga tempat.",
                ),
            },
            measure: Measure::Length,
        },
        Ask {
            term: Term {
                key: "finished-length",
                text: Text::new("Length", "Panjang"),
                gloss: Text::new("Laid flat, without pull.", "Dibentang rata tanpa ditarik."),
            },
            measure: Measure::Length,
        },
        Ask {
            term: Term {
                key: "finished-repeat",
                text: Text::new("Ten repeats along", "Sepuluh ulangan memanjang"),
                gloss: Text::new(
                    "Over ten stamps: tells the shrinkage.",
                    "Sepanjang sepuluh cap: menunjukkan susut.",
                ),
            },
            measure: Measure::Length,
        },
    ],
    timed: None,
    make: |values| Arc::new(Finish { values }),
};

static ROLLER: Term = Term {
    key: "roller",
    text: Text::new("cold roller", "rol dingin"),
    gloss: Text::new("Between rollers, without heat.", "Di antara rol, tanpa panas."),
};
static IRON: Term = Term {
    key: "iron",
    text: Text::new("hot iron", "setrika panas"),
    gloss: Text::new("Ironed from the back.", "Disetrika dari balik."),
};

const TENTH: Constant = Constant {
    key: "finish.strength-tenth",
    text: Text::new(
        "Time in 1 g/L of chlorine that costs cotton a tenth of its strength",
        "Lama dalam klorin 1 g/L yang mengurangi kekuatan kain sepersepuluh",
    ),
    measure: Measure::Span,
    value: 16.0 * 3600.0,
    factor: 3.0,
    source: "up to 16 h in low-strength bleach at 25 C kept at least 90 %: Palmer, Simpson and Riggs, JAOCS 60 (1983), \
             abstract; that this means 1 g/L is an own reading",
};
/// Strength that cloth must keep.
pub const STRENGTH_KEPT: f64 = 0.9;

/// Share of its strength that bare fibre keeps after a chlorine dose, (mol/L) s, and what that number may claim.
pub fn strength_kept(dose: f64, shop: &Workshop) -> Known {
    let tenth = shop.constants.known(&TENTH);
    let value = STRENGTH_KEPT.powf(dose.max(0.0) * CHLORINE / tenth.value.max(1.0));
    Known {
        value,
        origin: tenth.origin,
    }
}

struct Finish {
    values: Values,
}

struct FinishHand {
    /// Water after a hot iron.
    dried: Option<f32>,
}

impl Hand for FinishHand {
    fn act(&self, patch: &mut Patch) {
        if let Some(water) = self.dried {
            patch.water.map(|w| if w > water { water } else { w });
        }
    }
}

impl Finish {
    fn hot(&self) -> bool {
        self.values.choice("press") == IRON.key
    }
}

impl Operation for Finish {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let (means, cloth) = (before.means, &before.lot.cloth);
        let mut findings = Vec::new();
        if means.waxed() {
            findings.push(
                Finding::new(
                    "finish-waxed",
                    Weight::Wrong,
                    here(before, None),
                    say!(
                        "there is still wax on the cloth: the press drives it in for good",
                        "masih ada malam di kain: bila dipres akan menempel selamanya"
                    ),
                )
                .remedy(say!("boil the wax off first", "lorod dahulu")),
            );
        }
        if means.folded {
            findings.push(
                Finding::new(
                    "finish-folded",
                    Weight::Wrong,
                    here(before, None),
                    say!("the cloth is still scrunched", "kain masih dikerut"),
                )
                .remedy(say!("open it first", "buka dahulu")),
            );
        }
        if means.wet() && !self.hot() {
            findings.push(
                Finding::new(
                    "finish-wet",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the cloth holds {water} water: rolled up wet it molds and marks",
                        "kain masih memuat air {water}: digulung basah akan berjamur dan berbekas",
                        water = Arg::Quantity(Quantity::new(means.water, Measure::Share))
                    ),
                )
                .allow(say!("15 % or less", "15 % atau kurang"))
                .remedy(say!("dry it first", "keringkan dahulu")),
            );
        }
        let kept = strength_kept(means.wear, before.shop).value;
        if kept < STRENGTH_KEPT {
            findings.push(
                Finding::new(
                    "finish-weak-cloth",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the bleach leaves bare cotton about {kept} of its strength (assumed, good to a factor of 3 in dose)",
                        "setelah dicabut, kekuatan kain terbuka tinggal sekitar {kept} (perkiraan, dosis bisa meleset 3 kali)",
                        kept = Arg::Quantity(Quantity::new(kept, Measure::Share))
                    ),
                )
                .allow(say!("at least 90 %", "paling sedikit 90 %"))
                .remedy(say!(
                    "bleach shorter or weaker, or tear a strip of bleached and of white cloth to compare",
                    "kurangi lama atau kekuatan pemutih, atau bandingkan sobekan kain dicabut dengan mori putih"
                )),
            );
        }
        // More digits than a quantity prints, and rounded up: cloth that is cut short stays short.
        let cut = |number: f64| Arg::Number((number * 100.0 - 1e-6).ceil() / 100.0, 2);
        let issue = issue_length(cloth.length, means.shrunk.1);
        findings.push(Finding::new(
            "finish-size",
            Weight::Note,
            here(before, None),
            say!(
                "the cloth ends {width} wide; issue {issue} m ({yards} yd) of white cloth for {length}",
                "lebar akhir kain {width}; keluarkan mori {issue} m ({yards} yd) untuk {length}",
                width = Arg::Quantity(Quantity::new(cloth.width.0 * means.shrunk.0, Measure::Length)),
                issue = cut(issue.0),
                yards = cut(issue.to_yd()),
                length = Arg::Quantity(Quantity::new(cloth.length.0, Measure::Length))
            ),
        ));
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, _: &LotShape, _: &Workshop) -> Takes {
        if self.hot() {
            means.water = means.water.min(REGAIN);
        }
        Takes::default()
    }

    fn hand(&self, _: &Before) -> Arc<dyn Hand> {
        Arc::new(FinishHand {
            dried: self.hot().then_some(REGAIN as f32),
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        // Own estimate, with folding and labelling.
        let work = if self.hot() {
            Work::minutes(20.0, 30.0, 45.0)
        } else {
            Work::minutes(8.0, 12.0, 20.0)
        };
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("bench"), Use::several("helper", 2)],
            work,
            calendar: "shop",
            may_pause: true,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let how = if self.hot() {
            say!(
                "Iron from the back, along the warp, without pulling.",
                "Setrika dari balik, searah panjang kain, tanpa ditarik."
            )
        } else {
            say!(
                "Run the dry cloth through the roller, selvedges level.",
                "Jalankan kain kering lewat rol, tepi kain rata."
            )
        };
        Instructions {
            lines: vec![
                how,
                say!(
                    "Measure width and length without pull: {length} is wanted.",
                    "Ukur lebar dan panjang tanpa ditarik: yang diminta {length}.",
                    length = Arg::Quantity(Quantity::new(lot.cloth.length.0, Measure::Length))
                ),
                say!(
                    "Nothing is put on the cloth: no starch, no softener.",
                    "Tidak ditambah apa-apa: tanpa kanji, tanpa pelembut."
                ),
            ],
            done_when: say!(
                "no crease of the work is left and the bolt is labelled",
                "tidak ada kerutan tersisa dan gulungan berlabel"
            ),
        }
    }
}
