//! Dry: cloth hangs on a line until it is air-dry. Waxed cloth airs in the shade.

use crate::prelude::*;
use crate::water::{Drying, HOUR, Lie, REGAIN, Yard, yard};
use colour::DyeCard;

/// The static side.
pub static KIND: Kind = Kind {
    key: "dry",
    term: Term {
        key: "dry",
        text: Text::new("Dry", "Keringkan"),
        gloss: Text::new("Hang until air-dry.", "Gantung sampai kering angin."),
    },
    model: 1,
    settings: &[Setting {
        key: "where",
        term: Term {
            key: "where",
            text: Text::new("Where", "Tempat"),
            gloss: Text::new(
                "Waxed cloth only in the shade.",
                "Kain bermalam hanya di tempat teduh.",
            ),
        },
        shape: Shape::Choice(&[&SUN, &SHADE]),
        default: Some("sun"),
        source: "common practice, no source",
    }],
    constants: &[HOUR],
    cautions: &[Caution {
        code: "sun-heat",
        text: Text::new(
            "Work in the sun: hat, water, rest in the shade. Local rules for work in heat go first.",
            "Kerja di bawah matahari: pakai topi, minum air, istirahat di tempat teduh. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[],
    timed: None,
    make: |values| Arc::new(Dry { values }),
};

static SUN: Term = Term {
    key: "sun",
    text: Text::new("in the sun", "di matahari"),
    gloss: Text::new("On a line in the sun.", "Di jemuran, kena matahari."),
};
static SHADE: Term = Term {
    key: "shade",
    text: Text::new("in the shade", "di tempat teduh"),
    gloss: Text::new(
        "On a line under a roof, in the wind.",
        "Di jemuran beratap, kena angin.",
    ),
};
/// Water at which cloth is called dry, kg/kg: regain and a little more (own estimate).
const DRY: f64 = 0.10;
/// Unbound dye that shows when it goes to the hems with the water, g/kg (own estimate: a tint of 0.05 % owf).
const SHOWS: f64 = 0.5;

struct Dry {
    values: Values,
}

struct DryHand {
    light: [(f32, f32); DYES],
}

impl Hand for DryHand {
    fn act(&self, patch: &mut Patch) {
        patch.water = Plane::Flat(REGAIN as f32);
        for (dye, (unbound, bound)) in self.light.iter().enumerate() {
            patch.loose[dye].scale(*unbound);
            patch.spent[dye].scale(*unbound);
            patch.fast[dye].scale(*bound);
        }
    }
}

/// The line, and how long the cloth hangs there.
struct Course {
    yard: Yard,
    time: Span,
}

impl Dry {
    fn in_sun(&self) -> bool {
        self.values.choice("where") == SUN.key
    }

    fn course(&self, means: &Means, lot: &LotShape, shop: &Workshop) -> Course {
        let yard = yard(
            shop,
            if self.in_sun() {
                Lie::LineInSun
            } else {
                Lie::LineInShade
            },
        );
        let drying = Drying {
            areal: lot.cloth.weight,
            layers: 1.0,
            rate: yard.rate,
        };
        Course {
            time: drying.until(means.water, DRY),
            yard,
        }
    }
}

impl Course {
    /// What light leaves of a dye: unbound and bound. Both faces hang in the light, each for its own half.
    fn light(&self, card: &DyeCard) -> (f64, f64) {
        if !self.time.0.is_finite() {
            return (1.0, 1.0);
        }
        let dose = self.yard.klx / 1000.0 * self.time.0 / 3600.0;
        (card.light_left(dose, false), card.light_left(dose, true))
    }
}

impl Operation for Dry {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        let course = self.course(before.means, before.lot, before.shop);
        if self.in_sun() && before.means.waxed() {
            findings.push(
                Finding::new(
                    "dry-wax-in-sun",
                    Weight::Doubtful,
                    here(before, Some("where")),
                    say!(
                        "waxed cloth in the sun: dry dark cloth reaches 54 to 68 °C at noon, and paraffin melts from 46 °C",
                        "kain bermalam di matahari: kain gelap kering mencapai 54 sampai 68 °C saat siang, parafin meleleh mulai 46 °C"
                    ),
                )
                .remedy(say!("air it in the shade", "angin-anginkan di tempat teduh")),
            );
        }
        let unbound = before.means.mean(|z| z.loose.iter().chain(&z.spent).sum::<f64>());
        if unbound > SHOWS {
            findings.push(
                Finding::new(
                    "dry-loose-dye",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "{unbound} g/kg of dye is not bound and goes to the hems with the water",
                        "{unbound} g/kg pewarna tidak terikat dan ikut air ke tepi kain",
                        unbound = Arg::Number(unbound, 1)
                    ),
                )
                .remedy(say!("rinse first", "bilas dahulu")),
            );
        }
        if !course.time.0.is_finite() {
            findings.push(
                Finding::new(
                    "dry-never",
                    Weight::Doubtful,
                    here(before, Some("where")),
                    say!(
                        "in the workshop's usual weather the cloth does not dry there",
                        "dalam cuaca biasa bengkel, kain tidak mengering di sana"
                    ),
                )
                .remedy(say!(
                    "dry in the sun, or wait for drier air",
                    "jemur di matahari, atau tunggu udara kering"
                )),
            );
        }
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let course = self.course(means, lot, shop);
        let mut lost = Vec::new();
        for (dye, card) in design.dyes.iter().enumerate().take(DYES) {
            let (unbound, bound) = course.light(card);
            let before = means.dye(dye);
            for zone in means.zones_mut() {
                zone.loose[dye] *= unbound;
                zone.spent[dye] *= unbound;
                zone.fast[dye] *= bound;
            }
            let faded = before - means.dye(dye);
            if faded > 0.0 {
                lost.push((dye, Fate::Faded, faded));
            }
        }
        means.water = REGAIN;
        Takes {
            lost,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let course = self.course(before.means, before.lot, before.shop);
        Arc::new(DryHand {
            light: std::array::from_fn(|dye| {
                before.design.dyes.get(dye).map_or((1.0, 1.0), |card| {
                    let (unbound, bound) = course.light(card);
                    (unbound as f32, bound as f32)
                })
            }),
        })
    }

    fn occupies(&self, means: &Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Occupancy> {
        // Weather that is guessed moves a drying time by a factor of 2; a day is the longest that is planned for.
        let minutes = (self.course(means, lot, shop).time.to_min() + 5.0).min(600.0);
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![
                Use::whole("line"),
                Use {
                    to: Some(Span::minutes(5.0)),
                    ..Use::whole("helper")
                },
            ],
            work: Work::minutes(0.6 * minutes, minutes, 2.0 * minutes),
            calendar: if self.in_sun() { "sun" } else { "shop" },
            // Under a roof it may hang over the night.
            may_pause: !self.in_sun(),
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let place = if self.in_sun() { &SUN } else { &SHADE };
        Instructions {
            lines: vec![say!(
                "Hang the cloth {place}, single layer, hems straight.",
                "Gantung kain {place}, satu lapis, tepi lurus.",
                place = Arg::Term(place)
            )],
            done_when: say!("hems and seams are dry to the hand", "tepi kain kering di tangan"),
        }
    }
}
