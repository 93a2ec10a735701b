//! The weather of a day, entered in the morning: three ways to go on, how sure each leaves the promises, and what moves.

use super::plan::Planned;
use super::problem::Asked;
use super::replan::{Choice, From, Replanned, Way, go_on, shut};
use super::sure::{Sure, sure};
use super::views::{Days, View};
use ::plan::{Minute, Schedule, Spot};
use sky::Date;
use std::cell::Cell;
use std::collections::BTreeMap;
use words::Finding;
use workspace::{ClockTime, FloorState, Workspace};

/// Plans tried for each way that is searched; each begins with the plan there is.
const TRIES: u64 = 300;
/// Replays of each way.
const REPLAYS: u32 = 100;

/// The answer.
#[derive(Clone, Debug)]
pub struct Today {
    /// The day.
    pub on: Date,
    /// Hours in which the yard can be used, minutes after midnight.
    pub yard: (Minute, Minute),
    /// Keep, some moves, best.
    pub replanned: Replanned,
    /// Each of them played; `None` where the work was ended before.
    pub sure: Vec<Option<Sure>>,
}

/// Bolts of a lot whose step of this day begins at another time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The lot.
    pub lot: usize,
    /// Place of the operation in its route.
    pub operation: usize,
    /// Numbers of the bolts, from 0.
    pub bolts: Vec<u32>,
    /// First begin as it was, and as it is.
    pub begins: (Minute, Minute),
}

/// Asks three ways to go on from the morning of a day: what the plan begins before its midnight stands.
///
/// # Errors
/// Why there is no plan.
pub fn today(
    workspace: &Workspace,
    (planned, asked): (&Planned, &Asked),
    on: Date,
    yard: (Minute, Minute),
    tell: &dyn Fn(f64) -> bool,
) -> Result<Today, Vec<Finding>> {
    let morning = ClockTime { date: on, minute: 0 };
    let state = FloorState {
        plan: String::new(),
        now: morning,
        as_planned: morning,
        happened: Vec::new(),
        not_begun: Vec::new(),
        closed: shut(workspace, on, yard.0, yard.1),
    };
    let from = From {
        asked: Asked {
            tries: TRIES,
            ..asked.clone()
        },
        mapped: planned.mapped.clone(),
        before: planned.schedule.clone(),
    };
    let ways = [Way::Keep, Way::Some, Way::Best];
    let done = Cell::new(0.0);
    let all = 2.0 * TRIES as f64 + 3.0 * f64::from(REPLAYS);
    let keep_going = || {
        done.set(done.get() + 1.0);
        tell((done.get() / all).min(1.0))
    };
    let replanned = go_on(workspace, "", &state, from, &ways, &keep_going)?;
    let played = |choice: &Choice| {
        let (mapped, schedule) = (&choice.planned.mapped, &choice.planned.schedule);
        sure(workspace, mapped, schedule, replanned.now, REPLAYS, &keep_going)
    };
    let sure = replanned.choices.iter().map(played).collect();
    Ok(Today {
        on,
        yard,
        replanned,
        sure,
    })
}

/// What was to begin on some days and begins at another time, in order of time.
pub fn moved(view: &View, before: &Schedule, after: &Schedule, days: Days) -> Vec<Moved> {
    let mut all: BTreeMap<(usize, usize), Moved> = BTreeMap::new();
    for (spot, was) in before
        .placed
        .iter()
        .filter(|(_, was)| days.has(view.date(was.start)))
    {
        let Some(is) = after.placed.get(spot).filter(|is| is.start != was.start) else {
            continue;
        };
        let Spot { lot, bolt, operation } = *spot;
        let entry = all.entry((lot, operation)).or_insert_with(|| Moved {
            lot,
            operation,
            bolts: Vec::new(),
            begins: (was.start, is.start),
        });
        entry.bolts.push(bolt);
        entry.begins = (entry.begins.0.min(was.start), entry.begins.1.min(is.start));
    }
    let mut all: Vec<Moved> = all.into_values().collect();
    all.sort_by_key(|one| (one.begins.0, one.lot, one.operation));
    all
}
