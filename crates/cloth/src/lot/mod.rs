//! A lot bolt by bolt: what each one really got, and how far its colours came from the first.
//!
//! [`as_done`] makes the design that one bolt was made by: baths that weaken and are topped up, wax that drifts with the
//! pan, hands that are early or late. Every change is one of a setting inside its range, so the bolt is developed like
//! any other. Draws belong to (lot, step, setting, bolt): the same lot gives the same bolts.

use crate::window::spreads::{NINETY_FIVE, normal};
use crate::{Bolt, Reading, averages, read_regions};
use colour::Ground;
use field::Seed;
use route::{Design, LotShape, Shape, Step, Stuff, Takes, Value, Values, Workshop};
use std::sync::Arc;
use units::{Measure, Span};
use words::Place;

/// How a lot's baths are led.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Led {
    /// Topped up and strengthened as the batch sheets say.
    #[default]
    BySheet,
    /// Nobody adds anything until the bath is made anew.
    Left,
}

/// How far settings stray from bolt to bolt: half widths that hold 95 of 100 (own estimates).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wander {
    /// What is weighed, titrated or topped up, as a share.
    pub strength: f64,
    /// What a hand lays on (wax, soda), as a share; it drifts over some bolts.
    pub laid_on: f64,
    /// Temperatures, K.
    pub temperature: f64,
    /// Start and stop by the clock.
    pub handling: Span,
}

impl Default for Wander {
    fn default() -> Self {
        Self {
            strength: 0.08,
            laid_on: 0.12,
            temperature: 3.0,
            handling: Span(20.0),
        }
    }
}

impl Wander {
    /// Nothing strays.
    pub const NONE: Self = Self {
        strength: 0.0,
        laid_on: 0.0,
        temperature: 0.0,
        handling: Span(0.0),
    };
}

/// Bolts over which what a hand lays on drifts.
const DRIFT: u32 = 4;

/// The design as bolt `bolt` (from 0) of the lot was made.
pub fn as_done(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    wander: &Wander,
    led: Led,
) -> Arc<Design> {
    let (_, takes) = averages(design, lot, shop);
    let seed = Seed(0x1e7).child(&lot.id);
    let mut done = design.as_ref().clone();
    for (step, takes) in done.steps.iter_mut().zip(&takes) {
        let one = One {
            bolt: lot.bolt,
            seed: seed.child(&step.id),
            wander,
            bath: if led == Led::Left {
                left(takes, lot)
            } else {
                Vec::new()
            },
        };
        let values = one.values(step);
        step.operation = (step.operation.kind().make)(values);
    }
    Arc::new(done)
}

/// What is left in a bath that nobody tops up, over a fresh one, for what is dosed into it.
fn left(takes: &Takes, lot: &LotShape) -> Vec<(Stuff, f64)> {
    let Some(bath) = &takes.bath else {
        return Vec::new();
    };
    let in_bath = f64::from(lot.bolt % bath.lasts_bolts.max(1));
    let bolts_a_load = (bath.load.0 / lot.cloth.length.0 + 1e-3).floor().max(1.0);
    // A load goes in together: it meets the bath that the loads before it left.
    let before = (in_bath / bolts_a_load).floor() * bolts_a_load;
    let taken = |dose: &route::Dose| {
        takes
            .per_bolt
            .iter()
            .filter(|d| d.stuff == dose.stuff)
            .map(|d| d.amount.si)
            .sum::<f64>()
    };
    bath.charge
        .iter()
        .filter(|dose| dose.amount.si > 0.0)
        .map(|dose| {
            let keeps = (1.0 - taken(dose) / dose.amount.si).clamp(0.0, 1.0);
            (dose.stuff.clone(), keeps.powf(before))
        })
        .collect()
}

/// One step of one bolt.
struct One<'a> {
    bolt: u32,
    seed: Seed,
    wander: &'a Wander,
    bath: Vec<(Stuff, f64)>,
}

impl One<'_> {
    fn values(&self, step: &Step) -> Values {
        let kind = step.operation.kind();
        let mut values = step.operation.values().clone();
        for setting in kind.settings {
            match setting.shape {
                Shape::Quantity { measure, least, most } => {
                    let si = values.si(setting.key);
                    let new = self.strayed(si, measure, setting.key, kind.timed == Some(setting.key));
                    if new != si {
                        values = values.with(setting.key, new.clamp(least, most));
                    }
                }
                Shape::Dyes { deepest, .. } => {
                    values = self.dyes(values, kind.settings, setting.key, deepest)
                }
                _ => {}
            }
        }
        values
    }

    fn strayed(&self, si: f64, measure: Measure, key: &str, timed: bool) -> f64 {
        let factor = |half: f64, normal: f64| ((1.0 + half).ln() / NINETY_FIVE * normal).exp();
        match measure {
            Measure::PerVolume => {
                let bleach = Stuff::Material(&route::store::HYPOCHLORITE);
                let weaker = if key == "chlorine" {
                    self.left_of(&bleach)
                } else {
                    1.0
                };
                si * weaker * factor(self.wander.strength, self.draw(key, self.bolt))
            }
            Measure::PerArea => si * factor(self.wander.laid_on, self.drift(key)),
            Measure::Temperature => si + self.wander.temperature / NINETY_FIVE * self.drift(key),
            Measure::Span if timed => {
                // No step is done in no time.
                (si + self.wander.handling.0 / NINETY_FIVE * self.draw(key, self.bolt)).max(1.0)
            }
            _ => si,
        }
    }

    fn dyes(
        &self,
        values: Values,
        settings: &'static [route::Setting],
        key: &'static str,
        deepest: f64,
    ) -> Values {
        let mut doses = values.dyes(key).to_vec();
        let half = (1.0 + self.wander.strength).ln() / NINETY_FIVE;
        for dose in &mut doses {
            let name = format!("{key}{}", dose.dye);
            let weighed = (half * self.draw(&name, self.bolt)).exp();
            let si = &mut dose.depth.quantity.si;
            *si = (*si * weighed * self.left_of(&Stuff::Dye(dose.dye))).min(deepest);
        }
        let given = values
            .iter()
            .map(|(k, v)| {
                let new = if *k == key {
                    Value::Dyes(doses.clone())
                } else {
                    v.clone()
                };
                (*k, new)
            })
            .collect();
        Values::complete(settings, given, &|_| Place::Request).unwrap_or(values)
    }

    fn left_of(&self, stuff: &Stuff) -> f64 {
        self.bath
            .iter()
            .find(|(s, _)| s == stuff)
            .map_or(1.0, |(_, left)| *left)
    }

    fn draw(&self, what: &str, bolt: u32) -> f64 {
        normal(bolt as i32, 0, self.seed.child(what).low())
    }

    /// A standard normal deviate that changes slowly from bolt to bolt.
    fn drift(&self, what: &str) -> f64 {
        let sum: f64 = (0..DRIFT).map(|back| self.draw(what, self.bolt + back)).sum();
        sum / f64::from(DRIFT).sqrt()
    }
}

/// One bolt of a lot, looked at.
pub struct Seen {
    /// The bolt, ready to its last step.
    pub bolt: Bolt,
    /// Its regions, ground first.
    pub regions: Vec<Reading>,
}

/// Makes and looks at one bolt of a lot.
pub fn look(design: &Arc<Design>, lot: &LotShape, shop: &Workshop, wander: &Wander, led: Led) -> Seen {
    let done = as_done(design, lot, shop, wander, led);
    let bolt = Bolt::prepare(&done, lot, shop, None);
    let regions = read_regions(&bolt, done.steps.len());
    Seen { bolt, regions }
}

/// Distances of palettes region by region, dE00: (waxing, distance) for every region that both have.
pub fn apart(one: &[Reading], other: &[Reading]) -> Vec<(Option<usize>, f64)> {
    one.iter()
        .filter_map(|a| {
            let b = other.iter().find(|b| b.waxing == a.waxing)?;
            Some((a.waxing, a.palette.distance(&b.palette, Ground::Ciede2000)))
        })
        .collect()
}
