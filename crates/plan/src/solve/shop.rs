//! The problem, made ready for fast questions: tasks, links between them, minutes at which each may start.

use super::room::Minutes;
use crate::{Minute, Placed, Problem, Spot, Window};
use std::collections::HashMap;
use std::ops::Range;

/// No upper limit.
pub(crate) const NEVER: Minute = Minute::MAX / 4;

/// Calendar, length, pausable, attendance: what decides when an operation may start.
type StartKey = (usize, Minute, bool, Option<(Minute, Minute, usize)>);

/// A hold of a resource, minutes after the start.
#[derive(Clone, Copy)]
pub(crate) struct Hold {
    pub resource: usize,
    pub quantity: u32,
    pub from: Minute,
    /// `None`: to the end, for pausable work, whose length on the wall clock is not known beforehand.
    pub to: Option<Minute>,
}

/// One way to do an operation.
pub(crate) struct Choice {
    pub duration: Minute,
    pub mode: Option<usize>,
    /// Place in [`Shop::starts`].
    pub starts: usize,
    pub holds: Vec<Hold>,
}

/// What bolts of a lot share about one operation.
pub(crate) struct Kind {
    pub choices: Vec<Choice>,
    /// Windows of work, for pausable operations.
    pub walk: Option<Vec<Window>>,
    /// Vessel (place in [`Shop::vessels`]), capacity, family (number).
    pub batch: Option<(usize, u32, u32)>,
    pub set_up: Option<(usize, usize)>,
    pub earliest: Minute,
}

/// A time limit towards another task.
#[derive(Clone, Copy)]
pub(crate) struct Link {
    pub task: u32,
    pub least: Minute,
    pub most: Minute,
}

/// A bolt, as a range of tasks.
#[derive(Clone, Copy)]
pub(crate) struct Bolt {
    pub lot: usize,
    pub number: u32,
    pub first: u32,
    pub last: u32,
}

pub(crate) struct Shop<'p> {
    pub problem: &'p Problem,
    pub horizon: Minute,
    pub capacities: Vec<u32>,
    pub kinds: Vec<Kind>,
    /// Kind of each task.
    pub kind: Vec<u32>,
    pub bolts: Vec<Bolt>,
    /// Bolt of each task; approvals have none.
    pub bolt: Vec<Option<u32>>,
    /// Tasks of approvals, by lot.
    pub approval: Vec<Option<u32>>,
    pub before: Vec<Vec<Link>>,
    pub after: Vec<Vec<Link>>,
    pub starts: Vec<Minutes>,
    /// Batch vessels that hold several batches at once need distinct starts: (operation key, vessel), many?
    pub vessels: Vec<bool>,
    /// Set-up matrix of each resource.
    pub set_up: Vec<Vec<Vec<Minute>>>,
    /// What has begun and does not move.
    pub pinned: Vec<Option<Placed>>,
}

impl<'p> Shop<'p> {
    /// Nothing starts before `now` but what `begun` and `approved` say.
    pub(crate) fn new(
        problem: &'p Problem,
        now: Minute,
        begun: &[(Spot, Placed)],
        approved: &[(usize, Window)],
    ) -> Self {
        let horizon = problem.horizon();
        let mut shop = Self {
            problem,
            horizon,
            capacities: Vec::new(),
            kinds: Vec::new(),
            kind: Vec::new(),
            bolts: Vec::new(),
            bolt: Vec::new(),
            approval: vec![None; problem.lots.len()],
            before: Vec::new(),
            after: Vec::new(),
            starts: Vec::new(),
            vessels: Vec::new(),
            set_up: problem.resources.iter().map(|r| r.set_up.clone()).collect(),
            pinned: Vec::new(),
        };
        shop.lay_out(now);
        shop.link();
        shop.clip_capacities();
        shop.pinned = vec![None; shop.kind.len()];
        for (spot, placed) in begun {
            if let Some(task) = shop.task(*spot) {
                shop.pinned[task as usize] = Some(*placed);
            }
        }
        for (lot, window) in approved {
            if let Some(task) = shop.approval.get(*lot).copied().flatten() {
                shop.pinned[task as usize] = Some(Placed {
                    start: window.start,
                    end: window.end,
                    mode: None,
                });
            }
        }
        shop
    }

    /// The task of an operation.
    pub(crate) fn task(&self, spot: Spot) -> Option<u32> {
        let bolt = self
            .bolts
            .iter()
            .find(|b| b.lot == spot.lot && b.number == spot.bolt)?;
        let task = bolt.first + spot.operation as u32;
        (task <= bolt.last).then_some(task)
    }

    /// The operation of a task; `None` for approvals.
    pub(crate) fn spot(&self, task: u32) -> Option<Spot> {
        let bolt = self.bolts[self.bolt[task as usize]? as usize];
        Some(Spot {
            lot: bolt.lot,
            bolt: bolt.number,
            operation: (task - bolt.first) as usize,
        })
    }

    fn lay_out(&mut self, now: Minute) {
        let problem = self.problem;
        let mut masks: HashMap<StartKey, usize> = HashMap::new();
        let mut vessels: HashMap<(&str, usize), usize> = HashMap::new();
        // Bolts go together only where everything about the operation is the same.
        let mut families: Vec<(&crate::Operation, Minute, usize)> = Vec::new();
        for (l, lot) in problem.lots.iter().enumerate() {
            let earliest = lot.release.max(now).max(0);
            let first_kind = self.kinds.len() as u32;
            // The kinds that bolts share, then those of the loads of baths that weaken.
            let loads = lot.route.iter().enumerate().flat_map(|(at, o)| {
                let loads = o.loads().into_iter().enumerate();
                loads.map(move |(load, bolts)| (at, load, bolts))
            });
            let loads: Vec<(usize, usize, Range<u32>)> = loads.collect();
            let shared = lot.route.iter().map(|o| (o, o.duration, 0));
            let own = loads.iter().map(|(at, load, bolts)| {
                let o = &lot.route[*at];
                (o, o.minutes(bolts.start), *load)
            });
            for (o, minutes, load) in shared.chain(own) {
                let attend = o.attend.map(|a| (a.from, a.to, a.calendar.0));
                let mut choices = Vec::new();
                let modes: Vec<_> = if o.modes.is_empty() {
                    vec![(None, minutes, None)]
                } else {
                    o.modes
                        .iter()
                        .enumerate()
                        .map(|(i, m)| (Some(i), m.duration, Some(m.resource.0)))
                        .collect()
                };
                for (mode, duration, extra) in modes {
                    let length = if o.pausable { 1 } else { duration };
                    let key = (o.calendar.0, length, o.pausable, attend);
                    let starts = match masks.get(&key) {
                        Some(i) => *i,
                        None => {
                            let mut m = starts_of(problem.windows(o.calendar), 0, length, self.horizon);
                            if let Some(a) = o.attend {
                                m.keep(&starts_of(
                                    problem.windows(a.calendar),
                                    a.from,
                                    a.to - a.from,
                                    self.horizon,
                                ));
                            }
                            self.starts.push(m);
                            masks.insert(key, self.starts.len() - 1);
                            self.starts.len() - 1
                        }
                    };
                    let end = |to: Option<Minute>| {
                        if o.pausable {
                            to
                        } else {
                            Some(to.unwrap_or(duration))
                        }
                    };
                    let mut holds: Vec<Hold> = o
                        .uses
                        .iter()
                        .map(|u| Hold {
                            resource: u.resource.0,
                            quantity: u.quantity,
                            from: u.from,
                            to: end(u.to),
                        })
                        .collect();
                    holds.extend(extra.map(|resource| Hold {
                        resource,
                        quantity: 1,
                        from: 0,
                        to: end(None),
                    }));
                    // The scarcest first: most questions end at the first hold.
                    holds.sort_by_key(|h| problem.resources.get(h.resource).map_or(0, |r| r.capacity));
                    choices.push(Choice {
                        duration,
                        mode,
                        starts,
                        holds,
                    });
                }
                let batch = o.batch.as_ref().map(|b| {
                    let n = vessels.len();
                    let vessel = *vessels.entry((o.key.as_str(), b.vessel.0)).or_insert(n);
                    if vessel == self.vessels.len() {
                        self.vessels.push(problem.capacity(b.vessel) > 1);
                    }
                    let alike = |(a, of_a, load_a): &(&crate::Operation, Minute, usize)| {
                        let same = a.batch == o.batch && a.attend == o.attend && a.uses == o.uses;
                        let alike = *of_a == minutes && *load_a == load;
                        same && alike && a.key == o.key && a.calendar == o.calendar
                    };
                    let family = families.iter().position(alike).unwrap_or_else(|| {
                        families.push((o, minutes, load));
                        families.len() - 1
                    });
                    (vessel, b.capacity, family as u32)
                });
                self.kinds.push(Kind {
                    choices,
                    walk: o.pausable.then(|| problem.windows(o.calendar).to_vec()),
                    batch,
                    set_up: o.set_up.map(|s| (s.resource.0, s.class)),
                    earliest,
                });
            }
            for number in 0..lot.bolts {
                let first = self.kind.len() as u32;
                let bolt = self.bolts.len() as u32;
                for at in 0..lot.route.len() {
                    let own = loads
                        .iter()
                        .position(|(of, _, bolts)| *of == at && bolts.contains(&number));
                    let kind = own.map_or(at, |own| lot.route.len() + own);
                    self.kind.push(first_kind + kind as u32);
                    self.bolt.push(Some(bolt));
                }
                let last = (self.kind.len() as u32).saturating_sub(1);
                self.bolts.push(Bolt {
                    lot: l,
                    number,
                    first,
                    last,
                });
            }
        }
        for (l, lot) in problem.lots.iter().enumerate() {
            let Some(a) = lot.approval else { continue };
            self.starts.push(starts_of(
                problem.windows(a.calendar),
                0,
                a.duration,
                self.horizon,
            ));
            let hold = Hold {
                resource: a.resource.0,
                quantity: 1,
                from: 0,
                to: Some(a.duration),
            };
            let choice = Choice {
                duration: a.duration,
                mode: None,
                starts: self.starts.len() - 1,
                holds: vec![hold],
            };
            self.approval[l] = Some(self.kind.len() as u32);
            self.kind.push(self.kinds.len() as u32);
            self.bolt.push(None);
            self.kinds.push(Kind {
                choices: vec![choice],
                walk: None,
                batch: None,
                set_up: None,
                earliest: lot.release.max(now).max(0),
            });
        }
    }

    fn link(&mut self) {
        self.before = vec![Vec::new(); self.kind.len()];
        self.after = vec![Vec::new(); self.kind.len()];
        let mut links: Vec<(u32, u32, Minute, Minute)> = Vec::new();
        for b in &self.bolts {
            for lag in self.problem.lots[b.lot].all_lags() {
                let (from, to) = (b.first + lag.from as u32, b.first + lag.to as u32);
                links.push((from, to, lag.least, lag.most.unwrap_or(NEVER)));
            }
        }
        for (l, lot) in self.problem.lots.iter().enumerate() {
            // A load goes into a bath that weakens when the one before is out.
            for (at, o) in lot
                .route
                .iter()
                .enumerate()
                .filter(|(_, o)| !o.of_bolts.is_empty())
            {
                let of = |bolts: &Range<u32>| -> Vec<u32> {
                    let bolts = self
                        .bolts
                        .iter()
                        .filter(|b| b.lot == l && bolts.contains(&b.number));
                    bolts.map(|b| b.first + at as u32).collect()
                };
                let loads: Vec<Vec<u32>> = o.loads().iter().map(of).collect();
                for pair in loads.windows(2) {
                    let next = |from: u32| pair[1].iter().map(move |to| (from, *to, 0, NEVER));
                    links.extend(pair[0].iter().flat_map(|from| next(*from)));
                }
            }
            let Some(task) = self.approval[l] else { continue };
            links.extend(
                self.bolts
                    .iter()
                    .filter(|b| b.lot == l)
                    .map(|b| (task, b.first, 0, NEVER)),
            );
            let strike_off = lot.approval.and_then(|a| a.after_lot);
            links.extend(
                self.bolts
                    .iter()
                    .filter(|b| Some(b.lot) == strike_off)
                    .map(|b| (b.last, task, 0, NEVER)),
            );
        }
        for (from, to, least, most) in links {
            self.before[to as usize].push(Link {
                task: from,
                least,
                most,
            });
            self.after[from as usize].push(Link {
                task: to,
                least,
                most,
            });
        }
    }

    /// No more planes than can ever be asked for.
    fn clip_capacities(&mut self) {
        let mut asked = vec![0u64; self.problem.resources.len()];
        for kind in &self.kind {
            let mut most: HashMap<usize, u64> = HashMap::new();
            for c in &self.kinds[*kind as usize].choices {
                let mut here: HashMap<usize, u64> = HashMap::new();
                for h in &c.holds {
                    *here.entry(h.resource).or_default() += u64::from(h.quantity);
                }
                for (r, q) in here {
                    let m = most.entry(r).or_default();
                    *m = (*m).max(q);
                }
            }
            for (r, q) in most {
                asked[r] += q;
            }
        }
        self.capacities = self
            .problem
            .resources
            .iter()
            .zip(asked)
            .map(|(r, a)| u64::from(r.capacity).min(a) as u32)
            .collect();
    }

    /// Where pausable work of `duration` minutes ends if it starts at `start` (which lies in a window).
    pub(crate) fn walk(windows: &[Window], start: Minute, duration: Minute) -> Option<Minute> {
        let first = windows.partition_point(|w| w.end <= start);
        let mut left = duration;
        for w in &windows[first..] {
            let from = start.max(w.start);
            if left <= w.end - from {
                return Some(from + left);
            }
            left -= w.end - from;
        }
        None
    }

    /// The latest start of pausable work that ends at or before `end`.
    pub(crate) fn walk_back(windows: &[Window], end: Minute, duration: Minute) -> Option<Minute> {
        let after = windows.partition_point(|w| w.start < end);
        let mut left = duration;
        for w in windows[..after].iter().rev() {
            let to = end.min(w.end);
            if left <= to - w.start {
                return Some(to - left);
            }
            left -= to - w.start;
        }
        None
    }
}

/// Minutes from which `from..from + length` after them lies in one window.
fn starts_of(windows: &[Window], from: Minute, length: Minute, horizon: Minute) -> Minutes {
    let mut m = Minutes::new(horizon);
    for w in windows {
        m.add(w.start - from, w.end - from - length + 1);
    }
    m
}
