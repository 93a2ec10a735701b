//! What a state says has begun, against the plan that was followed, and the hours that are lost.

use super::at;
use crate::facts::plan::wrong;
use crate::facts::problem::Mapped;
use ::plan::calendar::subtract;
use ::plan::{Minute, Placed, Problem, Schedule, Spot, Window};
use std::collections::BTreeMap;
use words::{Arg, Finding, Line, Place, Weight, say};
use workspace::{FloorState, StateStep, Workspace};

fn place(path: &str, span: &std::ops::Range<usize>) -> Place {
    Place::File {
        path: path.to_string(),
        span: span.clone(),
    }
}

/// Takes lost hours out of the calendars.
pub(super) fn close(problem: &mut Problem, path: &str, state: &FloorState) -> Result<(), Vec<Finding>> {
    let mut findings = Vec::new();
    for closed in &state.closed {
        let lost = Window::new(at(problem, closed.from), at(problem, closed.to));
        for key in &closed.calendars {
            if !problem.calendars.iter().any(|calendar| calendar.name == *key) {
                let known: Vec<&str> = problem
                    .calendars
                    .iter()
                    .map(|calendar| calendar.name.as_str())
                    .collect();
                let found = say!(
                    "the workshop has no calendar {key}",
                    "bengkel tidak punya kalender {key}",
                    key = Arg::Name(key.clone())
                );
                let finding = Finding::new(
                    "no-such-calendar",
                    Weight::Wrong,
                    place(path, &closed.span),
                    found,
                );
                findings.push(finding.allow(say!("{all}", "{all}", all = Arg::Name(known.join(", ")))));
            }
        }
        for calendar in &mut problem.calendars {
            if closed.calendars.is_empty() || closed.calendars.contains(&calendar.name) {
                calendar.windows = subtract(&calendar.windows, &[lost]);
            }
        }
    }
    if findings.is_empty() {
        Ok(())
    } else {
        Err(findings)
    }
}

/// The operations of a step of an order, on its bolts.
fn spots(mapped: &Mapped, workspace: &Workspace, path: &str, what: &StateStep) -> Result<Vec<Spot>, Finding> {
    let refuse = |code, found: Line| Finding::new(code, Weight::Wrong, place(path, &what.span), found);
    let lots = &mapped.problem.lots;
    let Some(lot) = lots.iter().position(|lot| lot.name == what.order) else {
        let known: Vec<&str> = lots.iter().map(|lot| lot.name.as_str()).collect();
        let found = say!(
            "the plan has no order {order}",
            "rencana tidak memuat pesanan {order}",
            order = Arg::Name(what.order.clone())
        );
        let known = say!("{all}", "{all}", all = Arg::Name(known.join(", ")));
        return Err(refuse("no-such-order", found).allow(known));
    };
    let run = &mapped.lots[lot];
    let steps = workspace
        .design(&run.design)
        .map_or(&[][..], |design| &design.steps);
    let step = steps.iter().position(|step| step.id == what.step);
    let operations: Vec<usize> = (0..run.steps.len())
        .filter(|operation| step == Some(run.steps[*operation]))
        .collect();
    if operations.is_empty() {
        let known: Vec<&str> = steps.iter().map(|step| step.id.as_str()).collect();
        let found = say!(
            "the route of {order} has no step {step} that takes time",
            "alur {order} tidak punya langkah {step} yang memakan waktu",
            order = Arg::Name(what.order.clone()),
            step = Arg::Name(what.step.clone())
        );
        let known = say!("{all}", "{all}", all = Arg::Name(known.join(", ")));
        return Err(refuse("no-such-step", found).allow(known));
    }
    if let Some(bolt) = what.bolts.iter().find(|bolt| **bolt > lots[lot].bolts) {
        let found = say!(
            "{order} has no bolt {bolt}",
            "{order} tidak punya gulung {bolt}",
            order = Arg::Name(what.order.clone()),
            bolt = Arg::Number(f64::from(*bolt), 0)
        );
        let most = Arg::Number(f64::from(lots[lot].bolts), 0);
        return Err(refuse("no-such-bolt", found).allow(say!("1 to {most}", "1 sampai {most}", most = most)));
    }
    let of_bolt = |bolt: &u32| {
        let bolt = bolt - 1;
        operations.iter().map(move |operation| Spot {
            lot,
            bolt,
            operation: *operation,
        })
    };
    Ok(what.bolts.iter().flat_map(of_bolt).collect())
}

/// What has begun, with the times that stand.
pub(super) fn begun(
    mapped: &Mapped,
    workspace: &Workspace,
    path: &str,
    state: &FloorState,
    before: &Schedule,
) -> Result<BTreeMap<Spot, Placed>, Vec<Finding>> {
    let problem = &mapped.problem;
    let (now, cut) = (at(problem, state.now), at(problem, state.as_planned));
    let mut begun: BTreeMap<Spot, Placed> = before.begun(cut).into_iter().collect();
    let mut findings = Vec::new();
    for what in &state.not_begun {
        match spots(mapped, workspace, path, what) {
            // Nothing after it on the same bolt has begun either.
            Ok(spots) => begun.retain(|at, _| {
                !spots
                    .iter()
                    .any(|s| s.lot == at.lot && s.bolt == at.bolt && s.operation <= at.operation)
            }),
            Err(finding) => findings.push(finding),
        }
    }
    for (spot, placed) in &mut begun {
        // Interrupted by the hours that were lost: what is left of it is done from now on.
        if placed.end > cut && now > cut && problem.lots[spot.lot].route[spot.operation].pausable {
            placed.end = resumed(problem, *spot, placed, cut, now);
        }
    }
    for happened in &state.happened {
        let start = at(problem, happened.starts);
        if start >= now {
            let found = say!(
                "{order} is said to have begun after now",
                "{order} dikatakan mulai sesudah sekarang",
                order = Arg::Name(happened.what.order.clone())
            );
            findings.push(Finding::new(
                "state-future",
                Weight::Wrong,
                place(path, &happened.what.span),
                found,
            ));
            continue;
        }
        match spots(mapped, workspace, path, &happened.what) {
            Ok(spots) => {
                for spot in spots {
                    // A step of several operations: each as long after the first as it was planned.
                    let was = before.placed.get(&spot);
                    let planned = was.map_or(problem.lots[spot.lot].route[spot.operation].duration, |p| {
                        p.end - p.start
                    });
                    let end = happened.ends.map_or(start + planned, |ends| at(problem, ends));
                    begun.insert(
                        spot,
                        Placed {
                            start,
                            end,
                            mode: was.and_then(|p| p.mode),
                        },
                    );
                }
            }
            Err(finding) => findings.push(finding),
        }
    }
    for spot in begun.keys() {
        let earlier = (0..spot.operation).map(|operation| Spot { operation, ..*spot });
        if let Some(gap) = earlier.into_iter().find(|earlier| !begun.contains_key(earlier)) {
            let key = |spot: &Spot| {
                let route = &problem.lots[spot.lot].route;
                Arg::Name(
                    route
                        .get(spot.operation)
                        .map_or_else(String::new, |o| o.key.clone()),
                )
            };
            findings.push(
                wrong(
                    "state-gap",
                    say!(
                        "{bolt} has begun {later}, but not {earlier}, which comes before",
                        "{bolt} sudah mulai {later}, tetapi belum {earlier} yang lebih dulu",
                        bolt = Arg::Name(problem.bolt_name(spot.lot, spot.bolt)),
                        later = key(spot),
                        earlier = key(&gap)
                    ),
                )
                .remedy(say!(
                    "say in the state's file when {earlier} happened",
                    "tulis di berkas keadaan kapan {earlier} terjadi",
                    earlier = key(&gap)
                )),
            );
            break;
        }
    }
    if findings.is_empty() {
        Ok(begun)
    } else {
        Err(findings)
    }
}

/// The end of pausable work that stood still from `cut` to `now`.
fn resumed(problem: &Problem, spot: Spot, placed: &Placed, cut: Minute, now: Minute) -> Minute {
    let calendar = problem.lots[spot.lot].route[spot.operation].calendar;
    let windows = problem.windows(calendar);
    let inside = |w: &Window, from: Minute, to: Minute| (w.end.min(to) - w.start.max(from)).max(0);
    let mut left: Minute = windows.iter().map(|w| inside(w, cut, placed.end)).sum();
    for window in windows.iter().filter(|w| w.end > now) {
        let start = window.start.max(now);
        let work = (window.end - start).min(left);
        left -= work;
        if left == 0 {
            return start + work;
        }
    }
    placed.end
}
