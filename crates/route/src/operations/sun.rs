//! Sun: wet cloth lies in the sun, and its top dries.
//!
//! The sun is a dryer. Water leaves through the top at the rate that the yard's weather gives; the layers below
//! stay wet. Unbound dye goes with the water to the drying face and the creases; where soda ash lies it binds while
//! the place is wet. Light itself does almost nothing in twenty minutes, and what it does is said.

mod picture;

use crate::kinetics::{WET, alkaline, at_soda};
use crate::prelude::*;
use crate::water::{Drying, HOUR, Lie, Profile, REGAIN, Yard, laid_by_layers, likely_dye, probe, yard};
use colour::DyeCard;
use colour::dye::{Shares, just_noticeable_dose};
use picture::{SunHand, face};
use units::Celsius;

/// The static side.
pub static KIND: Kind = Kind {
    key: "sun",
    term: Term {
        key: "sun",
        text: Text::new("Lay in the sun", "Jemur"),
        gloss: Text::new(
            "Let the top dry in the sun; the inside of a package stays wet.",
            "Biarkan bagian atas mengering; bagian dalam kerutan tetap basah.",
        ),
    },
    model: 2,
    settings: &[Setting {
        key: "time",
        term: Term {
            key: "time",
            text: Text::new("Time in the sun", "Lama dijemur"),
            gloss: Text::new(
                "From laying out to bringing in.",
                "Dari dibentang sampai diangkat.",
            ),
        },
        shape: Shape::Quantity {
            measure: Measure::Span,
            least: 60.0,
            most: 28_800.0,
        },
        default: Some("20 min"),
        source: "20 min: common practice, no source",
    }],
    constants: &[HOUR, MIGRATION, COUPLE],
    cautions: &[Caution {
        code: "sun-heat",
        text: Text::new(
            "Work in the sun: hat, water, rest in the shade. Local rules for work in heat go first.",
            "Kerja di bawah matahari: pakai topi, minum air, istirahat di tempat teduh. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[
        Ask {
            term: Term {
                key: "sun-minutes",
                text: Text::new("Minutes in the sun", "Lama di matahari"),
                gloss: Text::new(
                    "From laying out to bringing in.",
                    "Dari dibentang sampai diangkat.",
                ),
            },
            measure: Measure::Span,
        },
        Ask {
            term: Term {
                key: "weight-after",
                text: Text::new("Weight of the bolt after", "Berat gulung sesudahnya"),
                gloss: Text::new("Tells how much water is left.", "Menunjukkan sisa air."),
            },
            measure: Measure::Mass,
        },
    ],
    timed: Some("time"),
    make: |values| Arc::new(InSun { values }),
};

const MIGRATION: Constant = Constant {
    key: "sun.migration",
    text: Text::new(
        "Unbound dye that goes to the drying face and creases",
        "Pewarna lepas yang pindah ke muka kering dan lipatan",
    ),
    measure: Measure::Share,
    value: 0.15,
    factor: 2.0,
    source: "5-25 % while the cloth dries to 30 % water (own estimate; ISO 105-Z06 measures it)",
};
const COUPLE: Constant = Constant {
    key: "sun.layer-couple",
    text: Text::new(
        "How much less water a layer gives than the one above",
        "Pengurangan air yang dilepas tiap lapis di bawah",
    ),
    measure: Measure::Count,
    value: 0.8,
    factor: 1.6,
    source: "own estimate; weigh pieces from the top and the middle of a package",
};
/// Temperature that dry dark cloth reaches in noon sun, C, and the least melting point of paraffin (heat balance,
/// own reckoning; paraffin 46-68 C, handbook).
const DRY_CLOTH: (f64, f64) = (54.0, 68.0);
const PARAFFIN: f64 = 46.0;

struct InSun {
    values: Values,
}

/// What happens to the bolt's water, heat and light.
struct Course {
    yard: Yard,
    drying: Drying,
    time: Span,
    start: f64,
    end: f64,
    wet: Span,
}

impl InSun {
    fn course(&self, means: &Means, lot: &LotShape, shop: &Workshop) -> Course {
        let yard = yard(shop, Lie::GroundInSun);
        let drying = Drying {
            areal: lot.cloth.weight,
            layers: means.layers,
            rate: yard.rate,
        };
        let time = Span(self.values.si("time"));
        Course {
            yard,
            drying,
            time,
            start: means.water,
            end: drying.after(means.water, time),
            wet: drying.wet(means.water, time),
        }
    }
}

impl Course {
    /// Light on the top, Mlx h.
    fn dose(&self) -> f64 {
        self.yard.klx / 1000.0 * self.time.0 / 3600.0
    }

    /// What light leaves of a dye, over the whole bolt: only the top is lit. Unbound and bound.
    fn light(&self, card: &DyeCard) -> (f64, f64) {
        let left = |bound| 1.0 - (1.0 - card.light_left(self.dose(), bound)) / self.drying.layers;
        (left(false), left(true))
    }

    /// Shares of a loose dye after its binding under the soda, over the whole bolt.
    fn shares(&self, card: &DyeCard, means: &Means) -> Shares {
        let cover = means.soda_cover;
        if cover <= 0.0 || means.soda <= 0.0 {
            return Shares {
                loose: 1.0,
                ..Shares::default()
            };
        }
        let there = f64::from(alkaline((means.soda / cover) as f32));
        let under = at_soda(card, there, self.wet, Celsius(self.yard.celsius));
        Shares {
            bound: cover * under.bound,
            spent: cover * under.spent,
            loose: 1.0 - cover * (1.0 - under.loose),
        }
    }
}

impl Operation for InSun {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let course = self.course(before.means, before.lot, before.shop);
        let mut findings = Vec::new();
        findings.extend(wetness(&course, before));
        findings.extend(light(&course, before));
        findings.extend(wax(&course, before));
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let course = self.course(means, lot, shop);
        let mut lost = Vec::new();
        for (dye, card) in design.dyes.iter().enumerate().take(DYES) {
            let (shares, (unbound, bound)) = (course.shares(card, means), course.light(card));
            let before = means.dye(dye);
            for zone in means.zones_mut() {
                zone.react(dye, &shares);
                zone.loose[dye] *= unbound;
                zone.spent[dye] *= unbound;
                zone.fast[dye] *= bound;
            }
            let faded = before - means.dye(dye);
            if faded > 0.0 {
                lost.push((dye, Fate::Faded, faded));
            }
        }
        means.water = course.end;
        Takes {
            lost,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let course = self.course(before.means, before.lot, before.shop);
        let constants = &before.shop.constants;
        let above = (course.start - REGAIN).max(1e-9);
        let left = ((course.end - REGAIN) / above).clamp(0.0, 1.0);
        // Dye goes with the water that leaves while the cloth is wet enough.
        let gone = (course.start - course.end.max(WET)).max(0.0) / (course.start - WET).max(1e-9);
        let migration = constants.get(&MIGRATION).clamp(0.0, 0.9) * gone.min(1.0);
        let mut mean = 1.0;
        let profile = before.package.map(|package| {
            let places = probe(package, before.lot);
            let loss = laid_by_layers(before);
            let (mut sum, mut weights) = (0.0, 0.0);
            for place in &places {
                let weight = likely_dye(place, loss);
                sum += weight * f64::from(face(place.depth, place.crest, place.facet));
                weights += weight;
            }
            mean = if weights > 0.0 { sum / weights } else { 1.0 };
            let depths: Vec<f32> = places.iter().map(|place| place.depth).collect();
            Profile::solve(&depths, left, constants.get(&COUPLE) as f32)
        });
        let card = |dye: usize| before.design.dyes.get(dye);
        Arc::new(SunHand {
            profile,
            left: left as f32,
            start: course.start as f32,
            seconds: course.time.0 as f32,
            wet_seconds: course.wet.0 as f32,
            migration: migration as f32,
            per_mean: (1.0 / mean) as f32,
            rates: std::array::from_fn(|dye| {
                card(dye).map_or((0.0, 0.0), |c| {
                    (
                        c.fixation_rate(Celsius(course.yard.celsius)) as f32,
                        c.fixation.final_share.value as f32,
                    )
                })
            }),
            light: std::array::from_fn(|dye| {
                card(dye).map_or((1.0, 1.0), |c| {
                    let (unbound, bound) = course.light(c);
                    (unbound as f32, bound as f32)
                })
            }),
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let time = self.values.si("time") / 60.0;
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![
                Use::whole("yard"),
                Use {
                    to: Some(Span::minutes(5.0)),
                    ..Use::whole("helper")
                },
            ],
            work: Work::minutes(time + 3.0, time + 5.0, time + 12.0),
            calendar: "sun",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        Instructions {
            lines: vec![
                say!(
                    "Carry the cloth into the sun as it lies; do not pull it open.",
                    "Bawa kain ke matahari apa adanya; jangan dibuka."
                ),
                say!(
                    "Leave it for {time}; note when it went out.",
                    "Biarkan {time}; catat jam mulai.",
                    time = self.values.arg("time")
                ),
            ],
            done_when: say!(
                "{time} are over",
                "{time} sudah lewat",
                time = self.values.arg("time")
            ),
        }
    }
}

fn share(si: f64) -> Arg {
    Arg::Quantity(Quantity::new(si, Measure::Share))
}

/// Is the inside still wet?
fn wetness(course: &Course, before: &Before) -> Option<Finding> {
    if course.start <= REGAIN {
        return Some(Finding::new(
            "sun-dry-cloth",
            Weight::Note,
            here(before, None),
            say!(
                "the cloth is dry already: the sun has nothing to do",
                "kain sudah kering: matahari tidak mengubah apa-apa"
            ),
        ));
    }
    let need = course.drying.time(course.start, WET);
    let time = || Arg::Number(course.time.to_min(), 0);
    if !need.0.is_finite() {
        return Some(Finding::new(
            "sun-does-not-dry",
            Weight::Doubtful,
            here(before, None),
            say!(
                "in the workshop's usual weather nothing dries at this hour",
                "dalam cuaca biasa bengkel, kain tidak mengering pada jam ini"
            ),
        ));
    }
    (course.end > WET).then(|| {
        Finding::new(
            "sun-inside-wet",
            Weight::Note,
            here(before, Some("time")),
            say!(
                "inside still wet: after {time} min the cloth holds {water} water on the average ({layers} layers, {rate})",
                "bagian dalam masih basah: setelah {time} menit kain memuat rata-rata {water} air ({layers} lapis, {rate})",
                time = time(),
                water = share(course.end),
                layers = Arg::Number(course.drying.layers, 1),
                rate = Arg::Quantity(Quantity::new(course.drying.rate, Measure::Flux))
            ),
        )
        .allow(say!(
            "30 % on the average takes {need} min",
            "sampai rata-rata 30 % perlu {need} menit",
            need = Arg::Number(need.to_min(), 0)
        ))
    })
}

/// What light takes, of the dye that feels it most.
fn light(course: &Course, before: &Before) -> Option<Finding> {
    let worst = before
        .design
        .dyes
        .iter()
        .take(DYES)
        .enumerate()
        .filter(|(dye, _)| before.means.dye(*dye) > 1e-9)
        .map(|(dye, card)| {
            let bound = before.means.mean(|z| z.loose[dye] + z.spent[dye]) < 1e-9;
            (card, bound, card.light_left(course.dose(), bound))
        })
        .min_by(|a, b| a.2.total_cmp(&b.2))?;
    let (card, bound, left) = worst;
    let class = card.blue_wool.value - if bound { 0.0 } else { 2.0 };
    let seen = course.dose() >= just_noticeable_dose(class);
    let weight = if seen { Weight::Doubtful } else { Weight::Note };
    Some(Finding::new(
        "sun-light",
        weight,
        here(before, Some("time")),
        say!(
            "light takes {loss} of the K/S of {dye} on top: {verdict}",
            "cahaya mengurangi K/S {dye} di bagian atas sebesar {loss}: {verdict}",
            loss = Arg::Quantity(Quantity::new(1.0 - left, Measure::Share)),
            dye = Arg::Name(card.name.clone()),
            verdict = Arg::Text(if seen {
                words::text!("visible", "terlihat")
            } else {
                words::text!("not visible", "tidak terlihat")
            })
        ),
    ))
}

/// Waxed cloth must not dry in the sun.
fn wax(course: &Course, before: &Before) -> Option<Finding> {
    if !before.means.waxed() {
        return None;
    }
    // The top layer alone, with what the layers below hand up to it while the package dries.
    let top = Drying {
        layers: course.drying.layers.sqrt(),
        ..course.drying
    };
    let until = top.time(course.start, WET);
    (course.time > until).then(|| {
        Finding::new(
            "sun-on-wax",
            Weight::Doubtful,
            here(before, Some("time")),
            say!(
                "waxed cloth is dry on top after about {until} min; dry dark cloth reaches {low} to {high} °C in noon sun, \
                 and paraffin melts from {melts} °C",
                "kain bermalam kering di atas setelah sekitar {until} menit; kain gelap kering mencapai {low} sampai \
                 {high} °C di matahari siang, parafin meleleh mulai {melts} °C",
                until = Arg::Number(until.to_min(), 0),
                low = Arg::Number(DRY_CLOTH.0, 0),
                high = Arg::Number(DRY_CLOTH.1, 0),
                melts = Arg::Number(PARAFFIN, 0)
            ),
        )
        .remedy(say!("bring it in before it is dry, or air it in the shade", "angkat sebelum kering, atau angin-anginkan"))
    })
}

#[cfg(test)]
mod tests {
    use colour::dye::light_left;

    /// 20 min at 100 klx are 0.0333 Mlx h; blue wool 2 fades just noticeably at 0.6 (CIE 157:2004, from memory):
    /// K/S falls by exp(-0.083 x 0.0333 / 0.6), 0.46 %.
    #[test]
    fn twenty_minutes_of_sun_are_not_seen() {
        let loss = 1.0 - light_left(0.1 * 20.0 / 60.0, 2.0);
        assert!((loss - 0.0046).abs() < 5e-5, "{loss}");
    }
}
