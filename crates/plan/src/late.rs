//! Why an order is late: where the bolt that is done last spent its time.

use crate::solve::{Options, solve};
use crate::{Lag, Minute, Operation, Placed, Problem, ResourceId, Schedule, Spot, Use};
use std::collections::BTreeMap;
use words::{Arg, Line, say};

/// What kept an operation from starting when it could have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wait {
    /// Nothing did.
    None,
    /// Its hours: the calendar was closed, or what was left of a shift was too short.
    Hours,
    /// Every unit of a resource was taken, by bolts of these lots.
    Resource(ResourceId, Vec<usize>),
}

/// An operation of the bolt, and what it waited for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The operation.
    pub at: Spot,
    /// When everything before it was over: release, approval, the operation before and its least lag.
    pub ready: Minute,
    /// When it ran.
    pub placed: Placed,
    /// What it waited for from `ready` to its start.
    pub wait: Wait,
}

/// Why a lot is late.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Late {
    /// The lot.
    pub lot: usize,
    /// Minutes after its promise.
    pub minutes: Minute,
    /// The operations of the bolt that is done last, in order: from the lot's release on every minute is one of work,
    /// of a least lag, or of a wait.
    pub chain: Vec<Link>,
    /// The resource that it waited for longest, with the minutes; `None` if it never waited for one.
    pub binding: Option<(ResourceId, Minute)>,
}

/// Why a lot of this plan is late; `None` if it is not, or the plan is not whole.
///
/// A plan may hold work back so that less cloth lies about. The chain is therefore that of the same plan with
/// everything as soon as it goes, where that ends no later.
pub fn late(problem: &Problem, schedule: &Schedule, lot: usize) -> Option<Late> {
    let l = problem.lots.get(lot)?;
    let done = schedule.completion(problem, lot)?;
    if done <= l.due {
        return None;
    }
    let options = Options {
        tries: 0,
        just_in_time: false,
        start: Some(schedule.clone()),
        ..Options::default()
    };
    let soon = solve(problem, &options, &mut |_, _| {}, &|| true).ok();
    let soon = soon.filter(|s| s.completion(problem, lot).is_some_and(|end| end <= done));
    let plan = soon.as_ref().unwrap_or(schedule);
    let last = l.route.len().checked_sub(1)?;
    let bolt = (0..l.bolts).max_by_key(|b| plan.get(lot, *b, last).map(|p| p.end))?;
    let mut chain = Vec::new();
    for (operation, o) in l.route.iter().enumerate() {
        let at = Spot { lot, bolt, operation };
        let placed = plan.placed.get(&at).copied()?;
        let ready = ready(problem, plan, at)?.min(placed.start);
        let wait = if placed.start == ready {
            Wait::None
        } else {
            taken(problem, plan, at, o, ready, placed.start).unwrap_or(Wait::Hours)
        };
        chain.push(Link {
            at,
            ready,
            placed,
            wait,
        });
    }
    let mut waits: BTreeMap<usize, Minute> = BTreeMap::new();
    for link in &chain {
        if let Wait::Resource(resource, _) = &link.wait {
            *waits.entry(resource.0).or_default() += link.placed.start - link.ready;
        }
    }
    let binding = waits.into_iter().max_by_key(|(_, minutes)| *minutes);
    Some(Late {
        lot,
        minutes: done - l.due,
        chain,
        binding: binding.map(|(r, minutes)| (ResourceId(r), minutes)),
    })
}

/// When an operation could have started as far as its own bolt is concerned.
fn ready(problem: &Problem, plan: &Schedule, at: Spot) -> Option<Minute> {
    let lot = &problem.lots[at.lot];
    let mut ready = lot.release;
    if at.operation == 0 {
        ready = ready.max(plan.approvals.get(&at.lot).map_or(0, |w| w.end));
    }
    for Lag { from, to, least, .. } in lot.all_lags() {
        if to == at.operation {
            ready = ready.max(plan.get(at.lot, at.bolt, from)?.end + least);
        }
    }
    Some(ready)
}

/// The resource of the operation that was taken for most of `from..to`, at least for a minute.
fn taken(
    problem: &Problem,
    plan: &Schedule,
    at: Spot,
    o: &Operation,
    from: Minute,
    to: Minute,
) -> Option<Wait> {
    let mut asked: Vec<(ResourceId, u32)> = o.uses.iter().map(|u| (u.resource, u.quantity)).collect();
    // Of alternatives, the one that was taken in the end stands for all.
    let mode = plan.placed.get(&at).and_then(|p| o.modes.get(p.mode?));
    asked.extend(mode.map(|m| (m.resource, 1)));
    let mut best: Option<(Minute, Wait)> = None;
    for (resource, quantity) in asked {
        let mut edges: Vec<(Minute, i64)> = Vec::new();
        let mut by: Vec<usize> = Vec::new();
        let mut batches: Vec<(usize, &str, Minute)> = Vec::new();
        for (other, placed) in &plan.placed {
            if *other == at {
                continue;
            }
            let theirs = &problem.lots[other.lot].route[other.operation];
            // The bolts of one batch hold their vessel once.
            if let Some(b) = &theirs.batch {
                let key = (b.vessel.0, theirs.key.as_str(), placed.start);
                if batches.contains(&key) {
                    continue;
                }
                batches.push(key);
            }
            for (start, end, units) in holds(theirs, placed, resource) {
                let (start, end) = (start.max(from), end.min(to));
                if start < end {
                    edges.extend([(start, i64::from(units)), (end, -i64::from(units))]);
                    by.push(other.lot);
                }
            }
        }
        edges.sort_unstable();
        let room = i64::from(problem.capacity(resource)) - i64::from(quantity);
        let (mut held, mut since, mut full) = (0, from, 0);
        for (minute, change) in edges {
            if held > room {
                full += minute - since;
            }
            (held, since) = (held + change, minute);
        }
        if full > 0 && best.as_ref().is_none_or(|b| full > b.0) {
            by.sort_unstable();
            by.dedup();
            best = Some((full, Wait::Resource(resource, by)));
        }
    }
    best.map(|(_, wait)| wait)
}

/// Stretches in which an operation holds a resource, with the units.
fn holds(o: &Operation, placed: &Placed, resource: ResourceId) -> Vec<(Minute, Minute, u32)> {
    let used = o.uses.iter().filter(|u| u.resource == resource);
    let span = |u: &Use| {
        (
            placed.start + u.from,
            u.to.map_or(placed.end, |t| placed.start + t),
            u.quantity,
        )
    };
    let mut all: Vec<_> = used.map(span).collect();
    if placed
        .mode
        .and_then(|m| o.modes.get(m))
        .is_some_and(|m| m.resource == resource)
    {
        all.push((placed.start, placed.end, 1));
    }
    all
}

/// What people call what a problem names by keys.
pub trait Names {
    /// An operation of a lot.
    fn operation(&self, lot: usize, operation: usize) -> Arg;
    /// A resource.
    fn resource(&self, resource: ResourceId) -> Arg;
}

/// By its keys, where nobody has other names.
impl Names for Problem {
    fn operation(&self, lot: usize, operation: usize) -> Arg {
        let operation = self.lots.get(lot).and_then(|lot| lot.route.get(operation));
        Arg::Name(operation.map_or_else(|| "?".to_string(), |operation| operation.key.clone()))
    }
    fn resource(&self, resource: ResourceId) -> Arg {
        Arg::Name(self.resource_name(resource).to_string())
    }
}

impl Late {
    /// It in sentences: how late, the longest waits (at most three), and what binds.
    pub fn lines(&self, problem: &Problem, names: &dyn Names) -> Vec<Line> {
        let name = |text: &str| Arg::Name(text.to_string());
        let hours = |minutes: Minute| Arg::Number(minutes as f64 / 60.0, 1);
        let lot = problem.lots.get(self.lot).map_or("?", |l| l.name.as_str());
        let mut waits: Vec<&Link> = self.chain.iter().filter(|l| l.wait != Wait::None).collect();
        waits.sort_by_key(|l| l.ready - l.placed.start);
        waits.truncate(3);
        waits.sort_by_key(|l| l.at.operation);
        let mut out = Vec::new();
        for link in waits {
            let operation = &problem.lots[link.at.lot].route[link.at.operation];
            let waited = hours(link.placed.start - link.ready);
            let clock = name(&problem.clock(link.ready));
            out.push(match &link.wait {
                Wait::Resource(resource, by) => {
                    let by: Vec<&str> = by.iter().map(|l| problem.lots[*l].name.as_str()).collect();
                    say!(
                        "lot {lot}: {operation} was ready at {clock} and waits {waited} h for {resource}, taken by {by}",
                        "partai {lot}: {operation} siap {clock} dan menunggu {waited} jam untuk {resource}, dipakai {by}",
                        lot = name(lot),
                        operation = names.operation(link.at.lot, link.at.operation),
                        clock = clock,
                        waited = waited,
                        resource = names.resource(*resource),
                        by = name(&by.join(", "))
                    )
                }
                _ => say!(
                    "lot {lot}: {operation} was ready at {clock} and waits {waited} h for its hours ({calendar})",
                    "partai {lot}: {operation} siap {clock} dan menunggu {waited} jam sampai jam kerjanya ({calendar})",
                    lot = name(lot),
                    operation = names.operation(link.at.lot, link.at.operation),
                    clock = clock,
                    waited = waited,
                    calendar = name(problem.calendar_name(operation.calendar))
                ),
            });
        }
        if let Some((resource, minutes)) = self.binding {
            out.push(say!(
                "lot {lot} waits longest for {resource}: {hours} h in all",
                "partai {lot} paling lama menunggu {resource}: {hours} jam seluruhnya",
                lot = name(lot),
                resource = names.resource(resource),
                hours = hours(minutes)
            ));
        }
        out
    }
}
