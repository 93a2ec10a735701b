//! Cloth in work whose greatest lag cannot be kept any more.

use ::plan::solve::{Options, repair};
use ::plan::{Fault, Minute, Placed, Problem, Schedule, Spot, judge};
use std::collections::BTreeMap;
use words::{Arg, Finding, Place, Weight, say};

/// Minutes after now within which work that can no longer keep a greatest lag is begun, tried one after the other.
const LOOSER: [Minute; 6] = [240, 720, 1_440, 2_880, 5_760, 11_520];

/// Where cloth in work cannot go on in time any more, its greatest lag ends as soon after now as there is a plan: it is
/// late already, and the plan must go on all the same. That cloth is then pinned where this plan has it, and everything
/// else keeps its limits; only where that leaves no plan are the limits of the whole lot looser.
///
/// # Errors
/// Why there is no plan however loose the limits are.
pub(super) fn loosen(problem: &mut Problem, options: &mut Options) -> Result<(), Vec<Finding>> {
    let Err(mut why) = repair(problem, options) else {
        return Ok(());
    };
    let strict = problem.clone();
    let begun: BTreeMap<Spot, Placed> = options.begun.iter().copied().collect();
    for after in LOOSER {
        for (at, lot) in problem.lots.iter_mut().enumerate() {
            for (lag, was) in lot.lags.iter_mut().zip(&strict.lots[at].lags) {
                let Some(most) = was.most else { continue };
                let waiting = (0..lot.bolts).filter_map(|bolt| {
                    let spot = |operation| Spot {
                        lot: at,
                        bolt,
                        operation,
                    };
                    let from = begun.get(&spot(lag.from))?;
                    (!begun.contains_key(&spot(lag.to))).then_some(options.now + after - from.end)
                });
                lag.most = Some(waiting.max().unwrap_or(most).max(most));
            }
        }
        match repair(problem, options) {
            Ok(kept) => {
                let pinned = Options {
                    begun: [options.begun.clone(), pins(&strict, &kept, options)].concat(),
                    ..options.clone()
                };
                if repair(&strict, &pinned).is_ok() {
                    (*problem, *options) = (strict, pinned);
                }
                return Ok(());
            }
            Err(findings) => why = findings,
        }
    }
    Err(why)
}

/// The work of cloth that a plan takes up too late, from where it stands to where it is taken up.
fn pins(strict: &Problem, kept: &Schedule, options: &Options) -> Vec<(Spot, Placed)> {
    let begun: BTreeMap<Spot, Placed> = options.begun.iter().copied().collect();
    let mut pins = BTreeMap::new();
    for fault in judge::check_from(strict, kept, options.now, &options.begun) {
        let Fault::TooLate { at, after, .. } = fault else {
            continue;
        };
        let spot = |operation| Spot { operation, ..at };
        if begun.contains_key(&spot(after)) {
            let open = (after..=at.operation)
                .map(spot)
                .filter(|spot| !begun.contains_key(spot));
            pins.extend(open.filter_map(|spot| Some((spot, *kept.placed.get(&spot)?))));
        }
    }
    pins.into_iter().collect()
}

/// Cloth that goes on later than its route allows.
pub(super) fn too_long(strict: &Problem, schedule: &Schedule, options: &Options) -> Vec<Finding> {
    let late = judge::check_from(strict, schedule, options.now, &options.begun);
    let late = late.into_iter().filter_map(|fault| match fault {
        Fault::TooLate { at, after, lag, most } => Some((at, after, lag, most)),
        _ => None,
    });
    late.map(|(at, after, lag, most)| {
        let key = |operation: usize| {
            let route = strict.lots.get(at.lot).map(|lot| &lot.route);
            let operation = route.and_then(|route| route.get(operation));
            Arg::Name(operation.map_or_else(String::new, |operation| operation.key.clone()))
        };
        let hours = |minutes: Minute| Arg::Number(minutes as f64 / 60.0, 1);
        let found = say!(
            "{bolt}: {to} begins {lag} h after {from} ends, and at most {most} h are allowed",
            "{bolt}: {to} mulai {lag} jam setelah {from} selesai, padahal paling lama {most} jam",
            bolt = Arg::Name(strict.bolt_name(at.lot, at.bolt)),
            to = key(at.operation),
            from = key(after),
            lag = hours(lag),
            most = hours(most)
        );
        Finding::new("too-long-already", Weight::Doubtful, Place::Request, found).remedy(say!(
            "look at this bolt before going on; its shade may differ from the lot's",
            "periksa gulung ini sebelum lanjut; warnanya bisa berbeda dari partainya"
        ))
    })
    .collect()
}
