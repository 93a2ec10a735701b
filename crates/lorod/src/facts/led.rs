//! Minutes of a bleach load by load, as its bath weakens: what the plan counts with and the card says.
//!
//! Each lot begins with a bath of its own, and its bolts go in by number, as many as the tank takes: bolts 1-3 are the
//! first load, 4-6 the second. After as many loads as a bath lasts the next is a fresh one.

use super::problem::Mapped;
use super::tank::tank;
use super::views::runs;
use ::plan::{Minute, Operation, Placed, Schedule};
use cloth::window::timed;
use route::{Design, Workshop};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;
use units::{Measure, Quantity, Span};
use words::{Arg, Finding, Line, Place, Term, Weight, say};
use workspace::Workspace;

/// A bleach whose loads take different times.
#[derive(Clone, Debug, PartialEq)]
pub struct Led {
    /// Place of its step in the route.
    pub at: usize,
    /// Bolts of a load.
    pub bolts: u32,
    /// Time of each load of one bath, whole seconds.
    pub times: Vec<Span>,
}

/// The bleaches of a design whose loads take different times.
pub fn led(design: &Arc<Design>, shop: &Workshop) -> Vec<Led> {
    let mut all = Vec::new();
    for at in timed(design) {
        let step = design.steps.get(at).map(|step| step.id.as_str());
        let Ok(tank) = tank(design, shop, step) else {
            continue;
        };
        let times: Vec<Span> = tank.led().iter().map(|time| Span(time.0.round())).collect();
        if times.iter().any(|time| (time.0 - tank.time.0).abs() >= 1.0) {
            all.push(Led {
                at,
                bolts: tank.bolts.max(1),
                times,
            });
        }
    }
    all
}

impl Led {
    /// Which load of its bath a bolt (from 0) is in, from 0.
    pub fn load(&self, bolt: u32) -> usize {
        (bolt / self.bolts) as usize % self.times.len().max(1)
    }

    /// The design with the time of one load.
    pub fn design(&self, design: &Design, load: usize) -> Design {
        with_time(design, self.at, self.times.get(load).map_or(0.0, |time| time.0))
    }

    /// A line for each load of the bath: which bolts of a lot of so many, and how long.
    pub fn lines(&self, bolts: u32) -> Vec<Line> {
        let of_load = |load: usize| -> Vec<u32> {
            (0..bolts)
                .filter(|bolt| self.load(*bolt) == load)
                .map(|bolt| bolt + 1)
                .collect()
        };
        let line = |(load, time): (usize, &Span)| {
            let numbers = of_load(load);
            (!numbers.is_empty()).then(|| {
                say!(
                    "Load {n} of a fresh bath, bolts {bolts}: {time}, unless the strip says otherwise.",
                    "Muatan {n} dari bak baru, gulung {bolts}: {time}, kecuali potong uji berkata lain.",
                    n = Arg::Number(load as f64 + 1.0, 0),
                    bolts = Arg::Name(runs(&numbers)),
                    time = Arg::Quantity(Quantity::new(time.0, Measure::Span))
                )
            })
        };
        self.times.iter().enumerate().filter_map(line).collect()
    }
}

/// What a plan counts with where loads take different minutes, and lots whose loads it does not begin in that order.
pub fn remarks(workspace: &Workspace, mapped: &Mapped, schedule: &Schedule) -> Vec<Finding> {
    /// What the operation is called, and its lots.
    type Lots<'a> = (&'static Term, Vec<&'a str>);
    let mut by_loads: BTreeMap<(&str, Vec<Minute>), Lots> = BTreeMap::new();
    let mut findings = Vec::new();
    for (at, (lot, run)) in mapped.problem.lots.iter().zip(&mapped.lots).enumerate() {
        for (n, operation) in lot
            .route
            .iter()
            .enumerate()
            .filter(|(_, o)| !o.of_bolts.is_empty())
        {
            let step = run
                .steps
                .get(n)
                .and_then(|step| workspace.design(&run.design)?.steps.get(*step));
            let Some(term) = step.map(|step| &step.operation.kind().term) else {
                continue;
            };
            let known = by_loads.entry((&operation.key, loads(operation)));
            known.or_insert_with(|| (term, Vec::new())).1.push(&lot.name);
            // Only what has begun so can be out of order: the judge lets no plan begin so.
            let of_load = |bolts: &Range<u32>| -> Vec<Placed> {
                bolts
                    .clone()
                    .filter_map(|bolt| schedule.get(at, bolt, n))
                    .collect()
            };
            let mut out = Minute::MIN;
            for load in operation.loads().iter().map(of_load) {
                if load.iter().any(|placed| placed.start < out) {
                    findings.push(out_of_order(&lot.name, term));
                    break;
                }
                out = load.iter().map(|placed| placed.end).fold(out, Minute::max);
            }
        }
    }
    for ((_, minutes), (term, lots)) in by_loads {
        let list: Vec<String> = minutes.iter().map(ToString::to_string).collect();
        let found = say!(
            "{operation}, {lots}: the bath weakens, so one load after the other takes {minutes} min; each lot begins with a fresh bath, and its bolts go in by number",
            "{operation}, {lots}: baknya melemah, jadi muatan demi muatan perlu {minutes} menit; tiap partai mulai dengan bak baru, dan gulungnya masuk menurut nomor",
            operation = Arg::Term(term),
            lots = Arg::Name(lots.join(", ")),
            minutes = Arg::Name(list.join(", "))
        );
        findings.push(Finding::new("plan-loads", Weight::Note, Place::Request, found));
    }
    findings
}

/// Minutes of each load.
fn loads(operation: &Operation) -> Vec<Minute> {
    let loads = operation.loads();
    loads.iter().map(|load| operation.minutes(load.start)).collect()
}

fn out_of_order(lot: &str, operation: &'static Term) -> Finding {
    let found = say!(
        "{operation}, {lot}: the plan begins a later load before an earlier one, though its minutes are those of a weaker bath",
        "{operation}, {lot}: rencana memulai muatan belakangan lebih dulu, padahal menitnya untuk bak yang lebih lemah",
        operation = Arg::Term(operation),
        lot = Arg::Name(lot.to_string())
    );
    Finding::new("plan-loads-order", Weight::Doubtful, Place::Request, found).remedy(say!(
        "titrate before each load, and take the minutes of the bath as it is",
        "titrasi sebelum tiap muatan, dan pakai menit menurut keadaan bak"
    ))
}

/// A design whose bleaches take as long as the loads of a weakening bath do on average: what spreads are held against.
/// The same design where all loads take alike.
pub fn as_led(design: &Arc<Design>, shop: &Workshop) -> Arc<Design> {
    on_average(design, &led(design, shop))
}

/// The same where its bleaches are known.
pub fn on_average(design: &Arc<Design>, led: &[Led]) -> Arc<Design> {
    if led.is_empty() {
        return design.clone();
    }
    let mut mean = design.as_ref().clone();
    for one in led {
        let sum: f64 = one.times.iter().map(|time| time.0).sum();
        mean = with_time(&mean, one.at, (sum / one.times.len() as f64).round());
    }
    Arc::new(mean)
}

/// A design with another time of a timed step, s.
fn with_time(design: &Design, at: usize, time: f64) -> Design {
    let mut other = design.clone();
    if let Some(step) = other.steps.get_mut(at) {
        let kind = step.operation.kind();
        if let Some(key) = kind.timed {
            step.operation = (kind.make)(step.operation.values().with(key, time));
        }
    }
    other
}

#[cfg(test)]
mod tests {
    use super::led;
    use crate::facts::problem::{Asked, problem};
    use crate::facts::tank::tank;
    use plan::Minute;
    use route::operations::bleach::CHLORINE;
    use std::path::Path;
    use workspace::Workspace;

    /// Dose of a time in a bath that loses a share of its chlorine evenly meanwhile, and of the lag after it at the strength
    /// that is left, M s: summed up second by second (dC/dt = -k C, the first-order law, with k from the share).
    fn dose(chlorine: f64, share: f64, time: f64, lag: f64) -> f64 {
        let steps = 20_000;
        let (dt, k) = (time / f64::from(steps), -(1.0 - share).ln() / time);
        let mut sum = 0.0;
        for step in 0..steps {
            sum += chlorine * (-k * dt * (f64::from(step) + 0.5)).exp() * dt;
        }
        (sum + chlorine * (1.0 - share) * lag) / CHLORINE
    }

    /// The loads of a bath by hand: each load's dose is that of the first, each leaves the bath weaker by what cloth and dye
    /// took; the plan's minutes of each bolt are those of its load, and bolts go in by number.
    #[test]
    fn every_bolt_has_the_minutes_of_its_load() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
        let workspace = Workspace::open(&folder).expect("the demonstration opens");
        let shop = workspace.workshop.as_ref().expect("a workshop");
        let asked = Asked {
            first_day: sky::Date::new(2026, 11, 26).expect("a day"),
            strike_offs: Vec::new(),
            courier_days: None,
            tries: 1,
        };
        let mapped = problem(&workspace, &asked).expect("a problem");
        let mut seen = 0;
        for (lot, run) in mapped.problem.lots.iter().zip(&mapped.lots) {
            let design = workspace.design(&run.design).expect("a design");
            for one in led(design, shop) {
                let step = &design.steps[one.at].id;
                let tank = tank(design, shop, Some(step)).expect("a tank");
                let bath = tank.designed;
                let wanted = dose(
                    bath.chlorine,
                    bath.used + bath.dye / bath.chlorine,
                    tank.time.0,
                    bath.lag.0,
                );
                let mut chlorine = bath.chlorine;
                for (load, time) in one.times.iter().enumerate() {
                    // Strengthened again: the time is the first load's.
                    if load > 0 && time.0 <= one.times[load - 1].0 {
                        chlorine = bath.chlorine;
                    }
                    let share = bath.used + bath.dye / chlorine;
                    let given = dose(chlorine, share, time.0, bath.lag.0);
                    // Times are whole seconds.
                    assert!(
                        (given / wanted - 1.0).abs() < 1.0 / time.0,
                        "{} {load}: {given} {wanted}",
                        design.id
                    );
                    chlorine *= 1.0 - share;
                }
                let at = run
                    .steps
                    .iter()
                    .position(|step| *step == one.at)
                    .expect("its operation");
                let minutes: Vec<Minute> = (0..lot.bolts).map(|bolt| lot.route[at].minutes(bolt)).collect();
                for (bolt, own) in minutes.iter().enumerate() {
                    let first = one.times[0].0 / 60.0;
                    let time = one.times[bolt / one.bolts as usize % one.times.len()].0 / 60.0;
                    // Each rounded to a whole minute.
                    assert!(
                        ((own - minutes[0]) as f64 - (time - first)).abs() <= 1.0,
                        "{} {minutes:?}",
                        lot.name
                    );
                }
                assert!(
                    lot.bolts <= one.bolts || minutes[0] < minutes[one.bolts as usize],
                    "{minutes:?}"
                );
                seen += 1;
            }
        }
        assert!(seen > 0, "no bath of the demonstration weakens");
    }
}
