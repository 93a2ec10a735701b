//! Says what is wrong with a plan.
//!
//! Deliberately plain, and deliberately without a line in common with the solver: it knows the problem and
//! the schedule and goes through the rules one by one. Slow is fine; clever is not.

use crate::{Batch, Fault, Minute, Placed, Problem, ResourceId, Schedule, Spot, Use, Window};
use std::collections::BTreeMap;

/// A stretch of holding a resource.
struct Hold {
    from: Minute,
    to: Minute,
    quantity: u32,
}

/// Every broken rule of a schedule, in the order of the rules. Empty: the plan can be worked.
pub fn check(problem: &Problem, schedule: &Schedule) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut holds: BTreeMap<usize, Vec<Hold>> = BTreeMap::new();
    unknown(problem, schedule, &mut faults);
    for (lot, l) in problem.lots.iter().enumerate() {
        for bolt in 0..l.bolts {
            let operations = l.route.len();
            let spot = |operation| Spot { lot, bolt, operation };
            if operations > 0 && (0..operations).all(|o| !schedule.placed.contains_key(&spot(o))) {
                faults.push(Fault::MissingBolt { lot, bolt });
                continue;
            }
            for operation in 0..operations {
                match schedule.placed.get(&spot(operation)) {
                    None => faults.push(Fault::MissingOperation { at: spot(operation) }),
                    Some(placed) => {
                        operation_alone(problem, spot(operation), *placed, &mut holds, &mut faults)
                    }
                }
            }
            bolt_in_order(problem, schedule, lot, bolt, &mut faults);
        }
        loads_in_order(problem, schedule, lot, &mut faults);
    }
    approvals(problem, schedule, &mut holds, &mut faults);
    batches(problem, schedule, &mut holds, &mut faults);
    capacities(problem, &holds, &mut faults);
    set_ups(problem, schedule, &mut faults);
    faults
}

/// As [`check`], for a plan that goes on from a state: what has `begun` stands as it began, whatever rule it broke (work
/// takes longer than planned, people stay after hours); what has not starts at `now` or later.
pub fn check_from(
    problem: &Problem,
    schedule: &Schedule,
    now: Minute,
    begun: &[(Spot, Placed)],
) -> Vec<Fault> {
    let begun: BTreeMap<Spot, Placed> = begun.iter().copied().collect();
    let mut faults = Vec::new();
    for (at, placed) in &begun {
        if schedule.placed.get(at) != Some(placed) {
            faults.push(Fault::Moved { at: *at });
        }
    }
    for (at, placed) in &schedule.placed {
        if !begun.contains_key(at) && placed.start < now {
            faults.push(Fault::InThePast {
                at: *at,
                start: placed.start,
            });
        }
    }
    let over = |fault: &Fault| match fault {
        // Between two operations: only if both have begun.
        Fault::TooSoon { at, after, .. } | Fault::TooLate { at, after, .. } => {
            let before = Spot {
                operation: *after,
                ..*at
            };
            begun.contains_key(at) && begun.contains_key(&before)
        }
        Fault::NoSetUp { before, after, .. } => begun.contains_key(before) && begun.contains_key(after),
        Fault::Overload { at, .. } => *at < now,
        Fault::BeforeRelease { start, .. } | Fault::StartBeforeApproval { start, .. } => *start < now,
        Fault::ApprovalOutside { planned, .. } => planned.start < now,
        Fault::MissingOperation { .. } | Fault::Unknown { .. } => false,
        other => other.at().is_some_and(|at| begun.contains_key(&at)),
    };
    faults.extend(check(problem, schedule).into_iter().filter(|fault| !over(fault)));
    faults
}

fn unknown(problem: &Problem, schedule: &Schedule, faults: &mut Vec<Fault>) {
    for at in schedule.placed.keys() {
        let known = problem
            .lots
            .get(at.lot)
            .is_some_and(|l| at.bolt < l.bolts && at.operation < l.route.len());
        if !known {
            faults.push(Fault::Unknown { at: *at });
        }
    }
    for lot in schedule.approvals.keys() {
        if problem.lots.get(*lot).is_none_or(|l| l.approval.is_none()) {
            faults.push(Fault::UnknownApproval { lot: *lot });
        }
    }
}

fn operation_alone(
    problem: &Problem,
    at: Spot,
    placed: Placed,
    holds: &mut BTreeMap<usize, Vec<Hold>>,
    faults: &mut Vec<Fault>,
) {
    let operation = &problem.lots[at.lot].route[at.operation];
    let mut uses = operation.uses.clone();
    let mut needed = operation.minutes(at.bolt);
    if !operation.modes.is_empty() || placed.mode.is_some() {
        let Some(mode) = placed.mode.and_then(|m| operation.modes.get(m)) else {
            faults.push(Fault::WrongMode { at });
            return;
        };
        needed = mode.duration;
        uses.push(Use {
            resource: mode.resource,
            quantity: 1,
            from: 0,
            to: None,
        });
    }
    let (s, e) = (placed.start, placed.end);
    let windows = problem.windows(operation.calendar);
    let planned = Window::new(s, e);
    if operation.pausable {
        let work: Minute = windows
            .iter()
            .map(|w| (e.min(w.end) - s.max(w.start)).max(0))
            .sum();
        if work != needed {
            faults.push(Fault::WrongWork {
                at,
                planned: work,
                needed,
            });
        }
        let begins = windows.iter().any(|w| w.start <= s && s < w.end);
        let ends = windows.iter().any(|w| w.start < e && e <= w.end);
        if !begins || !ends {
            faults.push(Fault::OutsideCalendar { at, planned });
        }
    } else {
        if e - s != needed {
            faults.push(Fault::WrongDuration {
                at,
                planned: e - s,
                needed,
            });
        }
        if !windows.iter().any(|w| w.start <= s && e <= w.end) {
            faults.push(Fault::OutsideCalendar { at, planned });
        }
    }
    if let Some(a) = operation.attend {
        let there = Window::new(s + a.from, s + a.to);
        if !problem
            .windows(a.calendar)
            .iter()
            .any(|w| w.start <= there.start && there.end <= w.end)
        {
            faults.push(Fault::Unattended { at, needed: there });
        }
    }
    if operation.batch.is_none() {
        hold(&uses, s, e, holds);
    }
}

fn hold(uses: &[Use], s: Minute, e: Minute, holds: &mut BTreeMap<usize, Vec<Hold>>) {
    for u in uses {
        let to = u.to.map_or(e, |t| s + t);
        holds.entry(u.resource.0).or_default().push(Hold {
            from: s + u.from,
            to,
            quantity: u.quantity,
        });
    }
}

fn bolt_in_order(problem: &Problem, schedule: &Schedule, lot: usize, bolt: u32, faults: &mut Vec<Fault>) {
    let l = &problem.lots[lot];
    for lag in l.all_lags() {
        let (Some(from), Some(to)) = (schedule.get(lot, bolt, lag.from), schedule.get(lot, bolt, lag.to))
        else {
            continue;
        };
        let at = Spot {
            lot,
            bolt,
            operation: lag.to,
        };
        let gap = to.start - from.end;
        if gap < lag.least {
            faults.push(Fault::TooSoon {
                at,
                after: lag.from,
                lag: gap,
                least: lag.least,
            });
        }
        if let Some(most) = lag.most.filter(|m| gap > *m) {
            faults.push(Fault::TooLate {
                at,
                after: lag.from,
                lag: gap,
                most,
            });
        }
    }
    if let Some(first) = schedule.get(lot, bolt, 0).filter(|f| f.start < l.release) {
        faults.push(Fault::BeforeRelease {
            lot,
            bolt,
            start: first.start,
            release: l.release,
        });
    }
}

/// Bolts whose minutes differ go into one bath that weakens: a bolt with a lower number and other minutes is out before.
fn loads_in_order(problem: &Problem, schedule: &Schedule, lot: usize, faults: &mut Vec<Fault>) {
    let l = &problem.lots[lot];
    for (operation, o) in l.route.iter().enumerate().filter(|(_, o)| !o.of_bolts.is_empty()) {
        for bolt in 0..l.bolts {
            let Some(placed) = schedule.get(lot, bolt, operation) else {
                continue;
            };
            let at = |bolt| Spot { lot, bolt, operation };
            let too_late = (0..bolt).find(|before| {
                let other = schedule.get(lot, *before, operation);
                o.minutes(*before) != o.minutes(bolt) && other.is_some_and(|other| other.end > placed.start)
            });
            if let Some(before) = too_late {
                faults.push(Fault::LoadsOutOfOrder {
                    at: at(bolt),
                    before: at(before),
                });
            }
        }
    }
}

fn approvals(
    problem: &Problem,
    schedule: &Schedule,
    holds: &mut BTreeMap<usize, Vec<Hold>>,
    faults: &mut Vec<Fault>,
) {
    for (lot, l) in problem.lots.iter().enumerate() {
        let Some(approval) = &l.approval else { continue };
        let Some(planned) = schedule.approvals.get(&lot).copied() else {
            faults.push(Fault::MissingApproval { lot });
            continue;
        };
        let windows = problem.windows(approval.calendar);
        let inside = windows
            .iter()
            .any(|w| w.start <= planned.start && planned.end <= w.end);
        if planned.length() != approval.duration || !inside {
            faults.push(Fault::ApprovalOutside { lot, planned });
        }
        if planned.start < l.release {
            faults.push(Fault::ApprovalBeforeRelease { lot });
        }
        if let Some(done) = approval.after_lot.and_then(|o| schedule.completion(problem, o))
            && planned.start < done
        {
            faults.push(Fault::ApprovalBeforeStrikeOff { lot, done });
        }
        let first = (0..l.bolts)
            .filter_map(|b| schedule.get(lot, b, 0))
            .map(|p| p.start)
            .min();
        if let Some(start) = first.filter(|s| *s < planned.end) {
            faults.push(Fault::StartBeforeApproval {
                lot,
                start,
                approved: planned.end,
            });
        }
        holds.entry(approval.resource.0).or_default().push(Hold {
            from: planned.start,
            to: planned.end,
            quantity: 1,
        });
    }
}

fn batches(
    problem: &Problem,
    schedule: &Schedule,
    holds: &mut BTreeMap<usize, Vec<Hold>>,
    faults: &mut Vec<Fault>,
) {
    type Member<'a> = (Spot, Placed, &'a Batch);
    let mut groups: BTreeMap<(&str, usize, Minute), Vec<Member>> = BTreeMap::new();
    for (at, placed) in &schedule.placed {
        let Some(operation) = problem.lots.get(at.lot).and_then(|l| l.route.get(at.operation)) else {
            continue;
        };
        if let Some(batch) = &operation.batch {
            let key = (operation.key.as_str(), batch.vessel.0, placed.start);
            groups.entry(key).or_default().push((*at, *placed, batch));
        }
    }
    for ((_, _, start), members) in groups {
        let (at, first, batch) = members[0];
        let bolts = members.len() as u32;
        if bolts > batch.capacity {
            faults.push(Fault::BatchTooLarge {
                at,
                start,
                bolts,
                capacity: batch.capacity,
            });
        }
        let mut families: Vec<String> = members.iter().map(|m| m.2.family.clone()).collect();
        families.sort();
        families.dedup();
        if families.len() > 1 {
            faults.push(Fault::BatchMixed { at, start, families });
        }
        if members.iter().any(|m| m.1.end != first.end) {
            faults.push(Fault::BatchUneven { at, start });
        }
        hold(
            &problem.lots[at.lot].route[at.operation].uses,
            first.start,
            first.end,
            holds,
        );
    }
}

fn capacities(problem: &Problem, holds: &BTreeMap<usize, Vec<Hold>>, faults: &mut Vec<Fault>) {
    for (resource, list) in holds {
        // Releases sort before takes at the same minute: an interval does not hold its end.
        let mut events: Vec<(Minute, bool, u32)> = Vec::new();
        for h in list.iter().filter(|h| h.to > h.from) {
            events.push((h.from, true, h.quantity));
            events.push((h.to, false, h.quantity));
        }
        events.sort_unstable();
        let (resource, mut held) = (ResourceId(*resource), 0);
        let capacity = problem.capacity(resource);
        for (at, take, quantity) in events {
            if take {
                held += quantity
            } else {
                held -= quantity
            }
            if held > capacity {
                faults.push(Fault::Overload {
                    resource,
                    at,
                    held,
                    capacity,
                });
                break;
            }
        }
    }
}

fn set_ups(problem: &Problem, schedule: &Schedule, faults: &mut Vec<Fault>) {
    let mut work: BTreeMap<usize, Vec<(Placed, usize, Spot)>> = BTreeMap::new();
    for (at, placed) in &schedule.placed {
        let operation = problem.lots.get(at.lot).and_then(|l| l.route.get(at.operation));
        if let Some(set_up) = operation.and_then(|o| o.set_up) {
            work.entry(set_up.resource.0)
                .or_default()
                .push((*placed, set_up.class, *at));
        }
    }
    for (resource, mut list) in work {
        list.sort_by_key(|(p, _, at)| (p.start, p.end, *at));
        for pair in list.windows(2) {
            let ((before, class, b), (after, next, a)) = (pair[0], pair[1]);
            let row = problem.resources.get(resource).and_then(|r| r.set_up.get(class));
            let needed = row.and_then(|row| row.get(next)).copied().unwrap_or(0);
            let gap = after.start - before.end;
            // Work that overlaps is an overload, not a missing set-up.
            if gap >= 0 && gap < needed {
                faults.push(Fault::NoSetUp {
                    resource: ResourceId(resource),
                    before: b,
                    after: a,
                    gap,
                    needed,
                });
            }
        }
    }
}
