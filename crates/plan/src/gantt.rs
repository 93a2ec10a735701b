//! A plan as rows of bars, for pages and paper.

use crate::{Minute, Placed, Problem, Schedule, Spot, Use};
use sky::{Date, Weekday};
use std::collections::BTreeMap;

/// One bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bar {
    /// First minute.
    pub start: Minute,
    /// First minute after.
    pub end: Minute,
    /// Lot, by place in the problem.
    pub lot: usize,
    /// Bolts, by number from 0; several of one lot or of others where they go together, as (lot, bolt).
    pub bolts: Vec<(usize, u32)>,
    /// Key of the operation; `None` for an approval.
    pub operation: Option<String>,
    /// Name of the chosen alternative, if there was a choice.
    pub at: Option<String>,
    /// Lot lies after its promise.
    pub late: bool,
}

/// One row: bars that share a lane do not overlap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Name of the lot or station.
    pub label: String,
    /// Lanes, the first filled first.
    pub lanes: Vec<Vec<Bar>>,
}

/// A plan to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gantt {
    /// First and last minute with something in it.
    pub span: (Minute, Minute),
    /// The days it touches: date, weekday, minute of its 00:00.
    pub days: Vec<(Date, Weekday, Minute)>,
    /// A row for each lot; one lane for each bolt at most.
    pub by_lot: Vec<Row>,
    /// A row for each station that is used, in the problem's order.
    pub by_station: Vec<Row>,
}

/// Arranges a plan. Operations that the problem does not know are left out.
pub fn gantt(problem: &Problem, schedule: &Schedule) -> Gantt {
    let known: Vec<(Spot, Placed)> = schedule
        .placed
        .iter()
        .filter(|(at, _)| {
            problem
                .lots
                .get(at.lot)
                .is_some_and(|l| at.operation < l.route.len())
        })
        .map(|(at, p)| (*at, *p))
        .collect();
    let late: Vec<bool> = (0..problem.lots.len())
        .map(|l| {
            schedule
                .completion(problem, l)
                .is_some_and(|done| done > problem.lots[l].due)
        })
        .collect();
    let bar = |at: Spot, p: Placed| {
        let o = &problem.lots[at.lot].route[at.operation];
        let mode = p
            .mode
            .and_then(|m| o.modes.get(m))
            .map(|m| problem.resource_name(m.resource).to_string());
        Bar {
            start: p.start,
            end: p.end,
            lot: at.lot,
            bolts: vec![(at.lot, at.bolt)],
            operation: Some(o.key.clone()),
            at: mode,
            late: late[at.lot],
        }
    };
    let mut by_lot: Vec<Vec<Bar>> = vec![Vec::new(); problem.lots.len()];
    let mut by_station: BTreeMap<usize, Vec<Bar>> = BTreeMap::new();
    let mut batches: BTreeMap<(usize, String, Minute), Vec<(Spot, Placed)>> = BTreeMap::new();
    for (at, p) in known {
        by_lot[at.lot].push(bar(at, p));
        let o = &problem.lots[at.lot].route[at.operation];
        if let Some(b) = &o.batch {
            batches
                .entry((b.vessel.0, o.key.clone(), p.start))
                .or_default()
                .push((at, p));
            continue;
        }
        let mode = p.mode.and_then(|m| o.modes.get(m));
        let chosen = mode.map(|m| Use {
            resource: m.resource,
            quantity: 1,
            from: 0,
            to: None,
        });
        for u in o.uses.iter().copied().chain(chosen) {
            by_station
                .entry(u.resource.0)
                .or_default()
                .push(held(bar(at, p), &u));
        }
    }
    for members in batches.values() {
        let (at, p) = members[0];
        let mut together = bar(at, p);
        together.bolts = members.iter().map(|(at, _)| (at.lot, at.bolt)).collect();
        together.late = members.iter().any(|(at, _)| late[at.lot]);
        for u in &problem.lots[at.lot].route[at.operation].uses {
            by_station
                .entry(u.resource.0)
                .or_default()
                .push(held(together.clone(), u));
        }
    }
    for (lot, w) in &schedule.approvals {
        let Some(approval) = problem.lots.get(*lot).and_then(|l| l.approval) else {
            continue;
        };
        let bar = Bar {
            start: w.start,
            end: w.end,
            lot: *lot,
            bolts: Vec::new(),
            operation: None,
            at: None,
            late: late[*lot],
        };
        by_lot[*lot].push(bar.clone());
        by_station.entry(approval.resource.0).or_default().push(bar);
    }
    let all = || by_lot.iter().flatten();
    let span = (
        all().map(|b| b.start).min().unwrap_or(0),
        all().map(|b| b.end).max().unwrap_or(0),
    );
    let (first, last) = (span.0.div_euclid(1440), (span.1 - 1).max(span.0).div_euclid(1440));
    let days = (first..=last)
        .map(|d| problem.first_day.plus(d as i32))
        .zip(first..=last)
        .map(|(date, d)| (date, date.weekday(), d * 1440))
        .collect();
    let row = |label: &str, bars: Vec<Bar>| Row {
        label: label.to_string(),
        lanes: lanes(bars),
    };
    Gantt {
        span,
        days,
        by_lot: problem
            .lots
            .iter()
            .zip(by_lot)
            .map(|(l, bars)| row(&l.name, bars))
            .collect(),
        by_station: by_station
            .into_iter()
            .map(|(r, bars)| row(problem.resource_name(crate::ResourceId(r)), bars))
            .collect(),
    }
}

/// A bar over the minutes in which a use holds its resource.
fn held(mut bar: Bar, u: &Use) -> Bar {
    let start = bar.start;
    bar.start = start + u.from;
    bar.end = u.to.map_or(bar.end, |t| start + t);
    bar
}

/// Bars into as few lanes as they need, in order of start.
fn lanes(mut bars: Vec<Bar>) -> Vec<Vec<Bar>> {
    bars.sort_by_key(|b| (b.start, b.end, b.lot, b.bolts.clone()));
    let mut lanes: Vec<Vec<Bar>> = Vec::new();
    for b in bars {
        match lanes
            .iter_mut()
            .find(|l| l.last().is_none_or(|last| last.end <= b.start))
        {
            Some(lane) => lane.push(b),
            None => lanes.push(vec![b]),
        }
    }
    lanes
}
