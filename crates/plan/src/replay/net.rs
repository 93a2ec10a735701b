//! The plan as who waits for whom, and the earliest times that all waiting allows.
//!
//! Bounds only rise until they agree, so the times are the least ones that keep every wait: a day with less dry time
//! never makes anything earlier.

use super::Weather;
use crate::{Attendance, Minute, Placed, Problem, ResourceId, Schedule, Spot, Window};
use std::collections::BTreeMap;

/// Rounds after which a replay is given up: each raises a bound somewhere, and a plan's chains are far shorter.
const ROUNDS: usize = 2_000;

/// A greatest lag is overstepped by up to its tenth where keeping it would cost the rest of the day (assumed).
const LITTLE: Minute = 10;
/// How often an operation is moved for one greatest lag before its cloth waits longer than it may (assumed): where
/// everything takes longer than planned, what follows may move as far each time, for ever.
const OFTEN: u32 = 2;

/// One operation of the bolts that share it, or an approval.
struct Node {
    /// Minute it is planned for.
    planned: Minute,
    /// It never begins before: the planned minute, or less where its lots have time in hand.
    earliest: Minute,
    /// The bolts' operations that it is; an approval is none.
    spots: Vec<Spot>,
    /// The lot that it approves.
    approves: Option<usize>,
    /// How it is done.
    mode: Option<usize>,
    /// As planned.
    duration: Minute,
    /// The most it can take: what must run through in one window takes no longer than the longest one, since people
    /// stay until it is done, or it would never be.
    most: Minute,
    /// Place of its calendar.
    calendar: usize,
    pausable: bool,
    attend: Option<Attendance>,
}

/// A minute of a node: its end, or some planned minutes after its start.
#[derive(Clone, Copy)]
enum Moment {
    After(Minute),
    End,
}

/// `at` of `to` comes at least `least` after `since` of `from`, and its start at most `most` after `from`'s end.
struct Arc {
    from: usize,
    to: usize,
    since: Moment,
    at: Minute,
    least: Minute,
    most: Option<Minute>,
}

/// Units of a resource, held for a while.
struct Hold {
    start: Minute,
    end: Minute,
    node: usize,
    from: Minute,
    to: Moment,
    quantity: usize,
    class: Option<usize>,
}

/// Everything that waits.
pub(crate) struct Net {
    nodes: Vec<Node>,
    arcs: Vec<Arc>,
    /// For each lot the nodes that end its bolts.
    last: Vec<Vec<usize>>,
}

impl Net {
    /// `None` if the plan is incomplete or holds more of a resource than there is.
    pub(crate) fn new(problem: &Problem, schedule: &Schedule) -> Option<Self> {
        let mut net = Self {
            nodes: Vec::new(),
            arcs: Vec::new(),
            last: vec![Vec::new(); problem.lots.len()],
        };
        let mut holds: BTreeMap<usize, Vec<Hold>> = BTreeMap::new();
        let node_of = net.operations(problem, schedule, &mut holds)?;
        net.lags(problem, &node_of);
        net.approvals(problem, schedule, &node_of, &mut holds)?;
        for (resource, holds) in holds {
            net.queue(problem, ResourceId(resource), holds)?;
        }
        // From early to late, so that most bounds are right the first time.
        net.arcs.sort_by_key(|arc| net.nodes[arc.to].planned);
        Some(net)
    }

    /// A node for each operation, and what it holds. Bolts of one batch share theirs.
    fn operations(
        &mut self,
        problem: &Problem,
        schedule: &Schedule,
        holds: &mut BTreeMap<usize, Vec<Hold>>,
    ) -> Option<BTreeMap<Spot, usize>> {
        let mut node_of = BTreeMap::new();
        let mut batches = BTreeMap::new();
        for (lot, l) in problem.lots.iter().enumerate() {
            for bolt in 0..l.bolts {
                for (place, operation) in l.route.iter().enumerate() {
                    let spot = Spot {
                        lot,
                        bolt,
                        operation: place,
                    };
                    let placed = schedule.placed.get(&spot)?;
                    let load = operation
                        .batch
                        .as_ref()
                        .map(|b| (operation.key.as_str(), b.vessel, placed.start));
                    let known = load.and_then(|load| batches.get(&load).copied());
                    let node = known.unwrap_or(self.nodes.len());
                    node_of.insert(spot, node);
                    if place + 1 == l.route.len() {
                        self.last[lot].push(node);
                    }
                    if let Some(known) = known {
                        self.nodes[known].spots.push(spot);
                        continue;
                    }
                    if let Some(load) = load {
                        batches.insert(load, node);
                    }
                    let mode = placed.mode.and_then(|m| operation.modes.get(m));
                    let duration = mode.map_or_else(|| operation.minutes(bolt), |m| m.duration);
                    self.nodes.push(Node {
                        planned: placed.start,
                        earliest: placed.start,
                        spots: vec![spot],
                        approves: None,
                        mode: placed.mode,
                        duration,
                        most: match problem
                            .windows(operation.calendar)
                            .iter()
                            .map(|w| w.length())
                            .max()
                        {
                            Some(longest) if !operation.pausable => longest.max(duration).max(1),
                            _ => Minute::MAX,
                        },
                        calendar: operation.calendar.0,
                        pausable: operation.pausable,
                        attend: operation.attend,
                    });
                    let class = |resource: ResourceId| {
                        let set_up = operation.set_up.filter(|s| s.resource == resource);
                        // A mode's own vessel has the class of the work as well.
                        let own = operation
                            .set_up
                            .filter(|_| mode.is_some_and(|m| m.resource == resource));
                        set_up.or(own).map(|s| s.class)
                    };
                    let mut hold = |resource: ResourceId, quantity: u32, from: Minute, to: Option<Minute>| {
                        let to = to.filter(|to| *to < duration || operation.pausable);
                        let end = to.map_or(placed.end, |to| placed.start + to);
                        if end > placed.start + from && quantity > 0 {
                            holds.entry(resource.0).or_default().push(Hold {
                                start: placed.start + from,
                                end,
                                node,
                                from,
                                to: to.map_or(Moment::End, Moment::After),
                                quantity: quantity as usize,
                                class: class(resource),
                            });
                        }
                    };
                    for u in &operation.uses {
                        hold(u.resource, u.quantity, u.from, u.to);
                    }
                    if let Some(mode) = mode {
                        hold(mode.resource, 1, 0, None);
                    }
                }
            }
        }
        Some(node_of)
    }

    fn lags(&mut self, problem: &Problem, node_of: &BTreeMap<Spot, usize>) {
        for (spot, node) in node_of {
            let lags = problem.lots[spot.lot].all_lags();
            for lag in lags.filter(|lag| lag.from == spot.operation) {
                let to = Spot {
                    operation: lag.to,
                    ..*spot
                };
                if let Some(to) = node_of.get(&to) {
                    self.arcs.push(Arc {
                        from: *node,
                        to: *to,
                        since: Moment::End,
                        at: 0,
                        least: lag.least,
                        most: lag.most,
                    });
                }
            }
        }
    }

    fn approvals(
        &mut self,
        problem: &Problem,
        schedule: &Schedule,
        node_of: &BTreeMap<Spot, usize>,
        holds: &mut BTreeMap<usize, Vec<Hold>>,
    ) -> Option<()> {
        for (lot, l) in problem.lots.iter().enumerate() {
            let Some(approval) = l.approval else { continue };
            let window = schedule.approvals.get(&lot)?;
            let node = self.nodes.len();
            self.nodes.push(Node {
                planned: window.start,
                earliest: window.start,
                spots: Vec::new(),
                approves: Some(lot),
                mode: None,
                duration: approval.duration,
                most: approval.duration,
                calendar: approval.calendar.0,
                pausable: false,
                attend: None,
            });
            holds.entry(approval.resource.0).or_default().push(Hold {
                start: window.start,
                end: window.end,
                node,
                from: 0,
                to: Moment::End,
                quantity: 1,
                class: None,
            });
            let made = approval.after_lot.and_then(|of| self.last.get(of));
            let first = (0..l.bolts).filter_map(|bolt| {
                node_of.get(&Spot {
                    lot,
                    bolt,
                    operation: 0,
                })
            });
            let before = made.into_iter().flatten().map(|from| (*from, node));
            let arcs = before.chain(first.map(|to| (node, *to)));
            let arcs = arcs.map(|(from, to)| Arc {
                from,
                to,
                since: Moment::End,
                at: 0,
                least: 0,
                most: None,
            });
            self.arcs.extend(arcs);
        }
        Some(())
    }

    /// Who hands a unit of a resource to whom: each hold takes the units that were free last.
    fn queue(&mut self, problem: &Problem, resource: ResourceId, mut holds: Vec<Hold>) -> Option<()> {
        holds.sort_by_key(|hold| (hold.start, hold.end, hold.node));
        let set_ups = &problem.resources.get(resource.0)?.set_up;
        let between = |before: &Hold, after: &Hold| {
            let row = set_ups.get(before.class?)?;
            row.get(after.class?).copied()
        };
        let mut units: Vec<Option<usize>> = vec![None; problem.capacity(resource) as usize];
        for (at, hold) in holds.iter().enumerate() {
            let ready = |unit: &Option<usize>| {
                unit.map_or(Minute::MIN, |before| {
                    let before = &holds[before];
                    before.end + between(before, hold).unwrap_or(0)
                })
            };
            let mut free: Vec<usize> = (0..units.len())
                .filter(|unit| ready(&units[*unit]) <= hold.start)
                .collect();
            free.sort_by_key(|unit| std::cmp::Reverse(ready(&units[*unit])));
            for unit in free.get(..hold.quantity)? {
                if let Some(before) = units[*unit].replace(at) {
                    let before = &holds[before];
                    if before.node == hold.node {
                        continue;
                    }
                    self.arcs.push(Arc {
                        from: before.node,
                        to: hold.node,
                        since: before.to,
                        at: hold.from,
                        least: between(before, hold).unwrap_or(0),
                        most: None,
                    });
                }
            }
        }
        Some(())
    }

    /// Places every node in this weather and with these shares of the planned durations (by lot, bolt and operation).
    pub(super) fn play(&self, weather: &Weather, share: &dyn Fn(usize, u32, usize) -> f64, room: &mut Room) {
        room.durations.clear();
        room.durations
            .extend(self.nodes.iter().map(|node| match node.spots.first() {
                Some(spot) => {
                    let drawn = node.duration as f64 * share(spot.lot, spot.bolt, spot.operation);
                    (drawn.round() as Minute).clamp(1, node.most)
                }
                None => node.duration,
            }));
        let durations = &room.durations;
        let earliest = |node: usize, from: Minute| place(&self.nodes[node], durations[node], weather, from);
        room.slots.clear();
        room.slots
            .extend((0..self.nodes.len()).map(|n| earliest(n, self.nodes[n].earliest)));
        room.waits.clear();
        room.waits.resize(self.arcs.len(), Waits::default());
        let slots = &mut room.slots;
        let scaled = |node: usize, minutes: Minute| match self.nodes[node].duration {
            planned if minutes != 0 && planned > 0 => minutes * durations[node] / planned,
            _ => minutes,
        };
        room.settled = false;
        for _ in 0..ROUNDS {
            room.settled = true;
            for (at, arc) in self.arcs.iter().enumerate() {
                let Some(before) = slots[arc.from] else {
                    room.settled &= slots[arc.to].take().is_none();
                    continue;
                };
                let Some(after) = slots[arc.to] else { continue };
                let since = match arc.since {
                    Moment::End => before.end,
                    Moment::After(minutes) => before.start + scaled(arc.from, minutes),
                };
                let bound = since + arc.least - scaled(arc.to, arc.at);
                if after.start < bound {
                    slots[arc.to] = earliest(arc.to, bound);
                    room.settled = false;
                }
                if let (Some(most), Some(after)) = (arc.most, slots[arc.to]) {
                    let waits = &mut room.waits[at];
                    let over = after.start - before.end - most - waits.over;
                    if over <= 0 {
                        continue;
                    }
                    // As much later as it is too early; where it may pause, again in the next round.
                    let bound = before.start + over;
                    let later = earliest(arc.from, bound);
                    let day_lost = later.is_none_or(|later| later.start > bound);
                    let little = waits.over + over <= most / LITTLE;
                    if (day_lost && little) || later.is_none() || waits.moved >= OFTEN {
                        waits.over += over;
                    } else {
                        waits.moved += 1;
                        room.settled &= later == slots[arc.from];
                        slots[arc.from] = later;
                    }
                }
            }
            if room.settled {
                break;
            }
        }
        // What was allowed may not have been needed in the end.
        let over = |arc: &Arc| Some(slots[arc.to]?.start - slots[arc.from]?.end - arc.most?);
        room.over = self.arcs.iter().filter_map(over).max().unwrap_or(0).max(0);
    }

    /// Lets the work of each lot begin so many minutes before it is planned, but not before its release.
    pub(crate) fn lead(&mut self, problem: &Problem, lead: &[Minute]) {
        for node in &mut self.nodes {
            let lots = node.spots.iter().map(|spot| spot.lot).chain(node.approves);
            let mut released = Minute::MIN;
            let mut most = 0;
            for lot in lots {
                released = released.max(problem.lots.get(lot).map_or(0, |lot| lot.release).max(0));
                most = most.max(lead.get(lot).copied().unwrap_or(0));
            }
            node.earliest = (node.planned - most).max(released.min(node.planned));
        }
    }

    /// The plan that comes of it if everything takes what is planned and no rain falls; `None` if something finds
    /// no place or waits too long.
    pub(crate) fn as_planned(&self, problem: &Problem) -> Option<Schedule> {
        let mut room = Room::default();
        self.play(&Weather::fair(problem), &|_, _, _| 1.0, &mut room);
        if room.over > 0 {
            return None;
        }
        let mut schedule = Schedule::default();
        for (node, slot) in self.nodes.iter().zip(&room.slots) {
            let slot = slot.filter(|_| room.settled)?;
            schedule.approvals.extend(node.approves.map(|lot| (lot, slot)));
            let placed = Placed {
                start: slot.start,
                end: slot.end,
                mode: node.mode,
            };
            schedule
                .placed
                .extend(node.spots.iter().map(|spot| (*spot, placed)));
        }
        Some(schedule)
    }

    /// When each lot is done in the room's last play; `None` for lots that found no place.
    pub(super) fn ends<'a>(&'a self, room: &'a Room) -> impl Iterator<Item = Option<Minute>> + 'a {
        self.last.iter().map(|nodes| {
            let mut ends = nodes.iter().map(|node| Some(room.slots[*node]?.end));
            let done = ends.try_fold(Minute::MIN, |last, end| Some(last.max(end?)));
            done.filter(|_| room.settled)
        })
    }
}

/// Room for a play, kept from one to the next.
#[derive(Default)]
pub(crate) struct Room {
    durations: Vec<Minute>,
    slots: Vec<Option<Window>>,
    /// Of each arc.
    waits: Vec<Waits>,
    /// The most that a greatest lag was overstepped by in the last play, minutes; 0: all were kept.
    pub(super) over: Minute,
    settled: bool,
}

/// How a greatest lag fared in a play.
#[derive(Clone, Copy, Default)]
struct Waits {
    /// How often the earlier operation was moved for it.
    moved: u32,
    /// By how much it may be overstepped.
    over: Minute,
}

/// Where a node goes from a minute on.
fn place(node: &Node, duration: Minute, weather: &Weather, from: Minute) -> Option<Window> {
    if let Some(Some((dry, slower))) = weather.roof.get(node.calendar) {
        // What it takes to be carried out; how it goes on there is another matter.
        let carried = node.attend.map_or(1, |attend| attend.to.max(1)).min(duration);
        let start = stretch(node, carried, &weather.windows, from)?.start;
        return Some(Window::new(start, dried(dry, *slower, start, duration)));
    }
    stretch(node, duration, &weather.windows, from)
}

/// When `minutes` of drying are done that begin at `start`: at full speed in dry windows, so many times slower else.
fn dried(dry: &[Window], slower: f64, start: Minute, minutes: Minute) -> Minute {
    let mut at = start;
    let mut left = minutes as f64;
    for w in &dry[dry.partition_point(|w| w.end <= start)..] {
        let roofed = (w.start - at).max(0);
        if left * slower <= roofed as f64 {
            break;
        }
        left -= roofed as f64 / slower;
        at = at.max(w.start);
        let out = (w.end - at) as f64;
        if left <= out {
            return at + whole(left);
        }
        left -= out;
        at = w.end;
    }
    at + whole(left * slower)
}

/// Whole minutes, begun ones counted; a millionth is rounding.
fn whole(minutes: f64) -> Minute {
    (minutes - 1e-6).ceil() as Minute
}

/// Where a node of this duration goes from a minute on, inside its windows.
fn stretch(node: &Node, duration: Minute, windows: &[Vec<Window>], from: Minute) -> Option<Window> {
    let own = windows.get(node.calendar)?;
    let first = own.partition_point(|w| w.end <= from);
    if node.pausable {
        let start = from.max(own.get(first)?.start);
        let mut left = duration;
        for w in &own[first..] {
            let begin = start.max(w.start);
            if left <= w.end - begin {
                return Some(Window::new(start, begin + left));
            }
            left -= w.end - begin;
        }
        return None;
    }
    own[first..].iter().find_map(|w| {
        let latest = w.end - duration;
        let mut start = from.max(w.start);
        if let Some(attend) = node.attend {
            let to = attend.to.min(duration);
            let there = windows.get(attend.calendar.0)?;
            let next = there.partition_point(|w| w.end < start + to);
            let fit = there[next..]
                .iter()
                .map(|w| start.max(w.start - attend.from))
                .zip(&there[next..]);
            start = fit
                .filter(|(start, w)| start + to <= w.end)
                .map(|(start, _)| start)
                .next()?;
        }
        (start <= latest).then(|| Window::new(start, start + duration))
    })
}
