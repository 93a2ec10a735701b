//! A timed step with one of its settings moved: what the grid of a window is made of.

use route::{Design, Means, Operation, Shape, Step, Value, Values};
use std::sync::Arc;
use units::Measure;
use words::Place;

/// One way of doing the step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// How long, s.
    pub time: f64,
    /// Strength of the bath over the design's.
    pub strength: f64,
    /// Warmer than in the design, K.
    pub warmer: f64,
    /// How fast the bath creeps under wax edges, over what the waxing says.
    pub creep: f64,
}

impl Way {
    /// As designed, but for the time.
    pub fn lasting(time: f64) -> Self {
        Self {
            time,
            strength: 1.0,
            warmer: 0.0,
            creep: 1.0,
        }
    }
}

/// Kinds of steps by how much cloth a wrong time ruins (common practice, no source).
const RUINOUS: [&str; 4] = ["bleach", "fix", "dip", "boil_off"];

/// Places of the steps whose time may be asked about: what ruins most cloth first, each kind in the order of the route.
pub fn timed(design: &Design) -> Vec<usize> {
    let steps = design.steps.iter().enumerate();
    let mut all: Vec<usize> = steps
        .filter(|(_, step)| step.operation.kind().timed.is_some())
        .map(|(at, _)| at)
        .collect();
    let rank = |at: &usize| {
        let key = design.steps[*at].operation.kind().key;
        RUINOUS.iter().position(|k| *k == key).unwrap_or(RUINOUS.len())
    };
    all.sort_by_key(rank);
    all
}

/// What strength means for a kind of step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Strength {
    /// A setting is scaled.
    Setting(&'static str),
    /// The step's rate goes with time: twice as fast is twice as long.
    Time,
}

/// The settings that a window moves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sweep {
    pub time: &'static str,
    pub strength: Strength,
    pub temperature: Option<&'static str>,
}

impl Sweep {
    /// `None` if the step has no time to sweep.
    pub fn of(step: &Step) -> Option<Self> {
        let kind = step.operation.kind();
        let measured = |wanted: Measure| {
            kind.settings
                .iter()
                .find(|s| matches!(s.shape, Shape::Quantity { measure, .. } if measure == wanted))
                .map(|s| s.key)
        };
        let has = |key: &str| kind.settings.iter().find(|s| s.key == key).map(|s| s.key);
        Some(Self {
            time: kind.timed?,
            strength: has("chlorine")
                .or(has("dyes"))
                .map_or(Strength::Time, Strength::Setting),
            temperature: measured(Measure::Temperature).or(measured(Measure::TemperatureDifference)),
        })
    }

    /// The time of the design, s, and the shortest and longest that the setting allows.
    pub fn span(&self, step: &Step) -> (f64, f64, f64) {
        let range = step.operation.kind().settings.iter().find_map(|s| match s.shape {
            Shape::Quantity { least, most, .. } if s.key == self.time => Some((least, most)),
            _ => None,
        });
        let (least, most) = range.unwrap_or((30.0, 7200.0));
        (step.operation.values().si(self.time), least, most)
    }

    /// The operation done that way.
    pub fn operation(&self, step: &Step, way: &Way) -> Arc<dyn Operation> {
        let kind = step.operation.kind();
        let time = match self.strength {
            Strength::Time => way.time * way.strength,
            Strength::Setting(_) => way.time,
        };
        let mut values = step.operation.values().with(self.time, time);
        if let Some(key) = self.temperature {
            values = values.with(key, values.si(key) + way.warmer);
        }
        if let Strength::Setting(key) = self.strength {
            values = stronger(kind.settings, values, key, way.strength);
        }
        (kind.make)(values)
    }
}

fn stronger(settings: &'static [route::Setting], values: Values, key: &'static str, by: f64) -> Values {
    match values.get(key) {
        Some(Value::Quantity(_)) => {
            let si = values.si(key) * by;
            values.with(key, si)
        }
        Some(Value::Dyes(doses)) => {
            let mut doses = doses.clone();
            // Never deeper than the table allows.
            let deepest = settings
                .iter()
                .find_map(|s| match s.shape {
                    Shape::Dyes { deepest, .. } if s.key == key => Some(deepest),
                    _ => None,
                })
                .unwrap_or(f64::INFINITY);
            for dose in &mut doses {
                let si = &mut dose.depth.quantity.si;
                *si = (*si * by).min(deepest);
            }
            let given = values
                .iter()
                .map(|(k, v)| {
                    (
                        *k,
                        if *k == key {
                            Value::Dyes(doses.clone())
                        } else {
                            v.clone()
                        },
                    )
                })
                .collect();
            Values::complete(settings, given, &|_| Place::Request).unwrap_or(values)
        }
        _ => values,
    }
}

/// The bolt averaged, with wax that lets a bath creep faster or slower.
pub(crate) fn with_creep(means: &Means, factor: f64) -> Means {
    Means {
        creep: means.creep * factor,
        ..means.clone()
    }
}
