//! The dyes of a route one by one, and the same route with other dyes in them.

use colour::DyeCard;
use route::{DYES, Design, DyeDose, Shape, Step, Value, Values};
use std::sync::Arc;
use units::{Decimal, Measure, Quantity, System, Typed, parse_as, print};
use words::Place;

/// One dye of one step: a pot.
#[derive(Clone, Debug, PartialEq)]
pub struct Pot {
    /// Place of the step in the route.
    pub step: usize,
    /// Key of the setting that names its dyes.
    pub key: &'static str,
    /// Its place among them, from 0.
    pub nth: usize,
    /// Its dye, by its place among the design's dyes.
    pub dye: usize,
    /// How much, SI of the setting's depth.
    pub depth: f64,
    /// Largest depth allowed.
    pub deepest: f64,
    /// Kind of quantity that depths are.
    pub measure: Measure,
    /// How many dyes the step may have.
    pub most: usize,
}

/// Every pot of a route, in its order.
pub fn pots(design: &Design) -> Vec<Pot> {
    let mut pots = Vec::new();
    for (step, this) in design.steps.iter().enumerate() {
        for setting in this.operation.kind().settings {
            let Shape::Dyes {
                depth, deepest, most, ..
            } = setting.shape
            else {
                continue;
            };
            let doses = this.operation.values().dyes(setting.key).iter().enumerate();
            pots.extend(doses.map(|(nth, dose)| Pot {
                step,
                key: setting.key,
                nth,
                dye: dose.dye,
                depth: dose.depth.quantity.si,
                deepest,
                measure: depth,
                most,
            }));
        }
    }
    pots
}

/// The same step with one setting given another value. `None` if the value does not fit the setting.
fn with(step: &Step, key: &'static str, value: Value) -> Option<Step> {
    let kind = step.operation.kind();
    let given = step.operation.values().iter();
    let given = given
        .map(|(k, old)| (*k, if *k == key { value.clone() } else { old.clone() }))
        .collect();
    let values = Values::complete(kind.settings, given, &|_| Place::Request).ok()?;
    Some(Step {
        operation: (kind.make)(values),
        ..step.clone()
    })
}

/// The same design with these dyes; `doses` gives the pots of each (step, setting) anew: (dye, depth).
pub fn with_doses(
    design: &Design,
    dyes: Vec<Arc<DyeCard>>,
    doses: impl Fn(usize, &'static str) -> Option<Vec<(usize, f64)>>,
) -> Option<Design> {
    let mut new = design.clone();
    new.dyes = dyes;
    for (at, step) in new.steps.iter_mut().enumerate() {
        for setting in step.operation.kind().settings {
            let Shape::Dyes { depth, .. } = setting.shape else {
                continue;
            };
            let Some(doses) = doses(at, setting.key) else {
                continue;
            };
            let doses = doses.into_iter().map(|(dye, si)| DyeDose {
                dye,
                depth: spelled(si, depth),
            });
            *step = with(step, setting.key, Value::Dyes(doses.collect()))?;
        }
    }
    Some(new)
}

/// The same design with its timed step lasting so long, s.
pub fn with_time(design: &Design, step: usize, seconds: f64) -> Option<Design> {
    let mut new = design.clone();
    let this = new.steps.get_mut(step)?;
    let key = this.operation.kind().timed?;
    let values = this.operation.values().with(key, seconds);
    this.operation = (this.operation.kind().make)(values);
    Some(new)
}

/// The same design with a dye slot for each pot, at most [`DYES`]: pots of `shown` get one of their own, all others
/// share the last. `card` gives the card of a slot.
pub fn tracers(
    design: &Design,
    pots: &[Pot],
    shown: std::ops::Range<usize>,
    card: impl Fn(&Pot) -> DyeCard,
) -> Option<Design> {
    let slot = |at: usize| {
        if shown.contains(&at) {
            at - shown.start
        } else {
            DYES - 1
        }
    };
    let mut dyes: Vec<Arc<DyeCard>> = pots[shown.clone()].iter().map(|p| Arc::new(card(p))).collect();
    let first = pots.first()?;
    while dyes.len() < DYES {
        dyes.push(Arc::new(card(first)));
    }
    with_doses(design, dyes, |step, key| {
        let mine = pots
            .iter()
            .enumerate()
            .filter(|(_, p)| p.step == step && p.key == key);
        Some(mine.map(|(at, p)| (slot(at), p.depth)).collect::<Vec<_>>()).filter(|d| !d.is_empty())
    })
}

/// A quantity as one would write it: three digits that count.
pub fn spelled(si: f64, measure: Measure) -> Typed {
    let text = print(Quantity::new(si, measure), System::Metric, Decimal::Point);
    Typed {
        quantity: Quantity::new(si, measure),
        spelled: text,
    }
}

/// The same quantity as its spelling says it, so that what is written is what was reckoned with.
pub fn as_written(typed: &Typed) -> Typed {
    parse_as(&typed.spelled, typed.quantity.measure).unwrap_or_else(|_| typed.clone())
}
