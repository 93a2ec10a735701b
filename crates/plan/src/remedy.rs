//! What would help a late order, found by planning again with it.

use crate::solve::{Options, solve};
use crate::{CalendarId, Late, Minute, Names, Placed, Problem, ResourceId, Schedule, Spot, Window, calendar};
use words::{Arg, Line, say};

/// Minutes of overtime after the last shift of a day (a common length; common practice, no source).
const OVERTIME: Minute = 120;
/// Days on which overtime is tried: those before the lot is done.
const DAYS: usize = 5;
/// Days by which an earlier release is tried.
const EARLIER: [Minute; 3] = [1, 2, 4];

/// Minutes that a help must gain where the lot stays late: a tenth of a day, which is what the words show.
const LEAST_GAIN: Minute = 144;

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Help {
    /// The lot may begin this many days earlier.
    EarlierRelease(Minute),
    /// So many bolts are promised for the old day, the rest later.
    SplitLot(u32),
    /// [`OVERTIME`] minutes more on this day of the plan (from 0).
    Overtime(Minute),
    /// One unit more of this resource: a second copy of a stamp, another tank.
    AnotherUnit(ResourceId),
}

/// A thing to do, and what planning again with it came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What to do.
    pub help: Help,
    /// Minutes that the lot is then late (of a split lot: its first part); negative: in time to spare.
    pub late: Minute,
    /// Lots that were in time and then are not.
    pub harmed: Vec<usize>,
    /// The plan's total then; a split lot's is not comparable with the others'.
    pub total: f64,
}

/// What may be changed.
#[derive(Clone, Debug, Default)]
pub struct Levers {
    /// Calendars that overtime makes longer; not the sun's, not a visitor's.
    pub overtime: Vec<CalendarId>,
    /// Nothing is changed before this minute.
    pub now: Minute,
}

/// What helps a late lot, by planning again from `schedule` with each change alone: what makes it in time first, and of
/// those what is cheapest to do, in the order of [`Help`] (own estimate: a call costs less than an evening, an evening
/// less than copper). What does not help is left out.
///
/// `options` say how many tries each change gets, and what has begun.
pub fn remedies(
    problem: &Problem,
    schedule: &Schedule,
    why: &Late,
    levers: &Levers,
    options: &Options,
    keep_going: &dyn Fn() -> bool,
) -> Vec<Remedy> {
    let mut out: Vec<Remedy> = Vec::new();
    let usual = unchanged(problem, schedule, why, options, keep_going);
    for help in helps(problem, schedule, why, levers) {
        if !keep_going() {
            break;
        }
        let Some((changed, start)) = change(problem, schedule, why.lot, &help, levers) else {
            continue;
        };
        let options = Options {
            start: Some(start),
            ..options.clone()
        };
        let Ok(plan) = solve(&changed, &options, &mut |_, _| {}, keep_going) else {
            continue;
        };
        let (Some(done), Some(score)) = (plan.completion(&changed, why.lot), plan.score(&changed)) else {
            continue;
        };
        let late = done - changed.lots[why.lot].due;
        // A help that is no better than planning again without it changes nothing.
        if late > 0 && usual - late < LEAST_GAIN {
            continue;
        }
        let in_time =
            |p: &Problem, s: &Schedule, l: usize| s.completion(p, l).is_some_and(|end| end <= p.lots[l].due);
        let harmed = (0..problem.lots.len())
            .filter(|l| in_time(problem, schedule, *l) && !in_time(&changed, &plan, *l))
            .collect();
        out.push(Remedy {
            help,
            late,
            harmed,
            total: score.total,
        });
    }
    out.sort_by_key(|r| (r.late > 0, !r.harmed.is_empty(), r.help.effort(), r.late));
    // Of several days or units, the first of each kind is the best one; a second evening adds nothing to choose from.
    let mut kinds = Vec::new();
    out.retain(|r| {
        let kind = r.help.effort();
        !kinds.contains(&kind) && {
            kinds.push(kind);
            true
        }
    });
    out
}

/// Minutes that the lot is late if as much is tried with nothing changed; never more than by the schedule there is.
fn unchanged(
    problem: &Problem,
    schedule: &Schedule,
    why: &Late,
    options: &Options,
    keep_going: &dyn Fn() -> bool,
) -> Minute {
    let options = Options {
        start: Some(schedule.clone()),
        ..options.clone()
    };
    let again = solve(problem, &options, &mut |_, _| {}, keep_going).ok();
    let done = again.and_then(|plan| plan.completion(problem, why.lot));
    done.map_or(why.minutes, |done| done - problem.lots[why.lot].due)
        .min(why.minutes)
}

/// Changes worth trying.
fn helps(problem: &Problem, schedule: &Schedule, why: &Late, levers: &Levers) -> Vec<Help> {
    let lot = &problem.lots[why.lot];
    let earlier = EARLIER
        .into_iter()
        .filter(|d| lot.release - d * 1440 >= levers.now);
    let mut out: Vec<Help> = earlier.map(Help::EarlierRelease).collect();
    let last = lot.route.len() - 1;
    let ends = (0..lot.bolts).filter_map(|b| schedule.get(why.lot, b, last));
    let in_time = ends.filter(|p| p.end <= lot.due).count() as u32;
    if lot.bolts > 1 {
        // As many as are in time anyhow, or one more than that where planning again may bring it.
        out.extend(
            [in_time + 1, in_time]
                .into_iter()
                .filter(|n| (1..lot.bolts).contains(n))
                .map(Help::SplitLot),
        );
    }
    let done = schedule.completion(problem, why.lot).unwrap_or(lot.due);
    let mut days: Vec<Minute> = levers
        .overtime
        .iter()
        .flat_map(|c| problem.windows(*c))
        .filter(|w| w.end > levers.now && w.start < done)
        .map(|w| w.start.div_euclid(1440))
        .collect();
    days.sort_unstable();
    days.dedup();
    // The days on which the longest waits end are the likeliest to matter; then the last ones.
    let mut waits: Vec<(Minute, Minute)> = why
        .chain
        .iter()
        .map(|l| (l.ready - l.placed.start, l.placed.start.div_euclid(1440)))
        .collect();
    waits.sort_unstable();
    let wanted = waits
        .into_iter()
        .flat_map(|(_, day)| [day - 1, day])
        .chain(days.iter().rev().copied());
    let mut chosen: Vec<Minute> = Vec::new();
    for day in wanted {
        if days.contains(&day) && !chosen.contains(&day) && chosen.len() < DAYS {
            chosen.push(day);
        }
    }
    out.extend(chosen.into_iter().map(Help::Overtime));
    if let Some((resource, _)) = why.binding
        && problem.resources[resource.0].set_up.is_empty()
    {
        out.push(Help::AnotherUnit(resource));
    }
    out
}

/// The problem with the change, and the plan to start from in its terms.
fn change(
    problem: &Problem,
    schedule: &Schedule,
    lot: usize,
    help: &Help,
    levers: &Levers,
) -> Option<(Problem, Schedule)> {
    let (mut changed, mut start) = (problem.clone(), schedule.clone());
    match help {
        Help::EarlierRelease(days) => changed.lots[lot].release -= days * 1440,
        Help::AnotherUnit(resource) => changed.resources.get_mut(resource.0)?.capacity += 1,
        Help::Overtime(day) => {
            for id in &levers.overtime {
                let windows = &mut changed.calendars.get_mut(id.0)?.windows;
                let Some(last) = windows.iter().rev().find(|w| w.start.div_euclid(1440) == *day) else {
                    continue;
                };
                let more = Window::new(last.end, last.end + OVERTIME);
                *windows = calendar::union(windows, &[more]);
            }
        }
        Help::SplitLot(first) => {
            let mut rest = changed.lots.get(lot)?.clone();
            rest.bolts -= first;
            rest.weight = 0;
            rest.name.push_str(" (2)");
            changed.lots[lot].bolts = *first;
            changed.lots.push(rest);
            // The bolts that are done first make the first part.
            let last = problem.lots[lot].route.len() - 1;
            let mut bolts: Vec<u32> = (0..problem.lots[lot].bolts).collect();
            bolts.sort_by_key(|b| schedule.get(lot, *b, last).map(|p| p.end));
            let rest = changed.lots.len() - 1;
            // Inside each part they go by number, as into the baths.
            let (here, later) = bolts.split_at_mut(*first as usize);
            here.sort_unstable();
            later.sort_unstable();
            for (part, bolts) in [(lot, here), (rest, later)] {
                for operation in changed.lots[part]
                    .route
                    .iter_mut()
                    .filter(|o| !o.of_bolts.is_empty())
                {
                    operation.of_bolts = bolts.iter().map(|bolt| operation.minutes(*bolt)).collect();
                }
            }
            start.placed.retain(|at, _| at.lot != lot);
            for (n, bolt) in bolts.into_iter().enumerate() {
                let n = n as u32;
                let (to, number) = if n < *first { (lot, n) } else { (rest, n - first) };
                let of_bolt = schedule
                    .placed
                    .iter()
                    .filter(|(at, _)| at.lot == lot && at.bolt == bolt);
                let moved = |(at, p): (&Spot, &Placed)| {
                    let operation = at.operation;
                    let spot = Spot {
                        lot: to,
                        bolt: number,
                        operation,
                    };
                    (spot, *p)
                };
                start.placed.extend(of_bolt.map(moved));
            }
            if let Some(w) = schedule.approvals.get(&lot) {
                start.approvals.insert(rest, *w);
            }
        }
    }
    Some((changed, start))
}

impl Help {
    /// Cheap things first.
    const fn effort(&self) -> u8 {
        match self {
            Self::EarlierRelease(_) => 0,
            Self::SplitLot(_) => 1,
            Self::Overtime(_) => 2,
            Self::AnotherUnit(_) => 3,
        }
    }
}

impl Remedy {
    /// It as a sentence.
    pub fn line(&self, problem: &Problem, names: &dyn Names, lot: usize) -> Line {
        let name = |text: &str| Arg::Name(text.to_string());
        let number = |n: Minute| Arg::Number(n as f64, 0);
        let of = name(problem.lots.get(lot).map_or("?", |l| l.name.as_str()));
        let days = Arg::Number(self.late.max(0) as f64 / 1440.0, 1);
        match &self.help {
            Help::EarlierRelease(earlier) => say!(
                "begin lot {lot} {n} days earlier: planned again with it, it is {days} days late",
                "mulai partai {lot} {n} hari lebih awal: setelah direncanakan ulang, terlambat {days} hari",
                lot = of,
                n = number(*earlier),
                days = days
            ),
            Help::SplitLot(1) => say!(
                "promise one bolt of lot {lot} for that day and the others later: those are {days} days late",
                "janjikan satu gulung partai {lot} untuk hari itu dan sisanya nanti: yang itu terlambat {days} hari",
                lot = of,
                days = days
            ),
            Help::SplitLot(first) => say!(
                "promise {n} bolts of lot {lot} for that day and the others later: those are {days} days late",
                "janjikan {n} gulung partai {lot} untuk hari itu dan sisanya nanti: yang itu terlambat {days} hari",
                lot = of,
                n = number(i64::from(*first)),
                days = days
            ),
            Help::Overtime(day) => say!(
                "two hours of overtime on {date}: planned again with it, lot {lot} is {days} days late",
                "lembur dua jam pada {date}: setelah direncanakan ulang, partai {lot} terlambat {days} hari",
                lot = of,
                date = name(&problem.first_day.plus(*day as i32).to_string()),
                days = days
            ),
            Help::AnotherUnit(resource) => say!(
                "one more of {resource}: planned again with it, lot {lot} is {days} days late",
                "satu lagi {resource}: setelah direncanakan ulang, partai {lot} terlambat {days} hari",
                lot = of,
                resource = names.resource(*resource),
                days = days
            ),
        }
    }
}
