//! What the floor does: work goes in the plan's order, each piece as soon as it can, around what was given its place
//! before; but nothing is begun whose cloth could not go on in time.

use super::book::Book;
use super::hours::Weather;
use super::net::{Arc, Net};
use super::pieces::Ahead;
use crate::{Minute, Placed, Problem, Schedule, Spread, Use, Window};

/// Later starts that are tried for one operation, each as much later as the one before is too early. A plan's hours come
/// again every week; what no start among so many keeps, none does.
const LOOKS: usize = 100;

/// Room for a play, kept from one to the next.
#[derive(Default)]
pub(crate) struct Room {
    /// Minutes that each node takes in the play, and that it is expected to take.
    drawn: Vec<Minute>,
    likely: Vec<Minute>,
    /// The most that it may take.
    slow: Vec<Minute>,
    /// What was done.
    done: Days,
    /// What everybody expects: from the minute it began, each takes its likely minutes.
    expected: Days,
    /// Starts that nodes looked at are expected not to come before.
    held: Vec<Minute>,
    /// What is planned to begin before has begun, and stands as planned.
    pub(super) now: Minute,
    /// Minutes that each greatest lag was overstepped by in the last play.
    pub(super) over: Vec<Minute>,
}

/// Slots of nodes, and who holds what.
#[derive(Default)]
struct Days {
    slots: Vec<Option<Window>>,
    books: Vec<Book>,
}

/// A net in its weather.
struct Play<'a> {
    net: &'a Net,
    problem: &'a Problem,
    weather: &'a Weather<'a>,
}

impl Net {
    /// Waits that must end in time, of what has not begun.
    pub(super) fn greatest_lags(&self, now: Minute) -> usize {
        let open = |arc: &&Arc| arc.most.is_some() && self.nodes[arc.to].planned >= now;
        self.arcs.iter().filter(open).count()
    }

    /// Sets the minutes that each node is likely to take, and may take at most: so many times the planned ones, by lot and
    /// operation.
    pub(super) fn expect(&self, spread: &dyn Fn(usize, usize) -> Spread, room: &mut Room) {
        room.likely.clear();
        room.slow.clear();
        for node in &self.nodes {
            let spot = node.spots.first();
            let spread = spot.map_or(Spread::NONE, |spot| spread(spot.lot, spot.operation));
            room.likely.push(minutes(node.duration, spread.likely));
            room.slow
                .push(minutes(node.duration, spread.most.max(spread.likely)));
        }
    }

    /// Places every node in this weather and with these shares of the planned durations (by lot, bolt and operation).
    pub(super) fn play(
        &self,
        problem: &Problem,
        weather: &Weather,
        share: &dyn Fn(usize, u32, usize) -> f64,
        room: &mut Room,
    ) {
        room.drawn.clear();
        room.drawn
            .extend(self.nodes.iter().map(|node| match node.spots.first() {
                Some(spot) => minutes(node.duration, share(spot.lot, spot.bolt, spot.operation)),
                None => node.duration,
            }));
        for days in [&mut room.done, &mut room.expected] {
            days.slots.clear();
            days.slots.resize(self.nodes.len(), None);
            days.books.resize(problem.resources.len(), Book::default());
            for (book, resource) in days.books.iter_mut().zip(&problem.resources) {
                book.clear(resource.capacity);
            }
        }
        room.held.resize(self.nodes.len(), 0);
        let play = Play {
            net: self,
            problem,
            weather,
        };
        for (at, node) in self
            .nodes
            .iter()
            .enumerate()
            .filter(|(_, node)| node.planned < room.now)
        {
            let stands = Window::new(node.planned, node.end);
            for days in [&mut room.done, &mut room.expected] {
                days.slots[at] = Some(stands);
                play.enter(at, stands, node.duration, days);
            }
        }
        for node in self.pieces.iter().flatten() {
            if room.done.slots[*node].is_none() {
                play.begin(*node, room);
            }
        }
        let slots = &room.done.slots;
        let late = |arc: &&Arc| self.nodes[arc.to].planned >= room.now;
        let over = |arc: &Arc| Some(slots[arc.to]?.start - slots[arc.from]?.end - arc.most?);
        room.over.clear();
        room.over.extend(
            self.arcs
                .iter()
                .filter(late)
                .filter_map(over)
                .filter(|over| *over > 0),
        );
    }

    /// The plan that comes of it if everything takes what is planned and no rain falls; `None` if something finds
    /// no place or waits too long.
    pub(crate) fn as_planned(&self, problem: &Problem) -> Option<Schedule> {
        let mut room = Room::default();
        self.expect(&|_, _| Spread::NONE, &mut room);
        self.play(problem, &Weather::fair(problem), &|_, _, _| 1.0, &mut room);
        if !room.over.is_empty() {
            return None;
        }
        let mut schedule = Schedule::default();
        for (node, slot) in self.nodes.iter().zip(&room.done.slots) {
            let slot = (*slot)?;
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
            let mut ends = nodes.iter().map(|node| Some(room.done.slots[*node]?.end));
            ends.try_fold(Minute::MIN, |last, end| Some(last.max(end?)))
        })
    }
}

impl Play<'_> {
    /// Begins a node, or finds no place for it.
    fn begin(&self, at: usize, room: &mut Room) {
        let node = &self.net.nodes[at];
        let foreseen = self.weather.foreseen.get(node.calendar) == Some(&true);
        let planned = if foreseen { room.drawn[at] } else { room.likely[at] };
        let takes = (planned, room.drawn[at]);
        let earliest = node.earliest.max(room.now);
        let ready = self.ready(at, earliest, |from| room.done.slots[from]);
        let first = ready.and_then(|ready| self.fit(at, takes, ready, &room.done));
        let slot = match (&self.net.ahead[at], first) {
            (Some(ahead), Some(first)) => self.in_time(at, ahead, takes, first, room),
            _ => first,
        };
        let Some(slot) = slot else { return };
        let likely = self.weather.done(node, slot.start, room.likely[at]);
        let likely = likely.map_or(slot, |end| Window::new(slot.start, end));
        room.done.slots[at] = Some(slot);
        room.expected.slots[at] = Some(likely);
        self.enter(at, slot, room.drawn[at], &mut room.done);
        self.enter(at, likely, room.likely[at], &mut room.expected);
    }

    /// The minute from which a node can begin, by all that it waits for. `None` if one of them found no place.
    fn ready(&self, node: usize, earliest: Minute, slot: impl Fn(usize) -> Option<Window>) -> Option<Minute> {
        let arcs = &self.net.arcs[self.net.arcs_into(node)];
        arcs.iter().try_fold(earliest, |ready, arc| {
            Some(ready.max(slot(arc.from)?.end + arc.least))
        })
    }

    /// What a node holds in a slot, if it takes so long.
    fn holds(&self, node: usize, slot: Window, takes: Minute) -> impl Iterator<Item = (&Use, Window)> {
        let node = &self.net.nodes[node];
        let scaled = move |minutes: Minute| match node.duration {
            planned if minutes != 0 && planned > 0 => minutes * takes / planned,
            _ => minutes,
        };
        node.uses.iter().map(move |held| {
            // Work that pauses holds to its end, whenever that is.
            let to = held.to.filter(|to| *to < node.duration || node.pausable);
            let end = to.map_or(slot.end, |to| slot.start + scaled(to));
            (held, Window::new(slot.start + scaled(held.from), end))
        })
    }

    /// Where a node goes from a minute on, around what is in the books: in hours in which the first of `takes` minutes
    /// would end, for the second.
    fn fit(&self, at: usize, takes: (Minute, Minute), from: Minute, days: &Days) -> Option<Window> {
        let node = &self.net.nodes[at];
        let mut from = from;
        loop {
            let start = self.weather.place(node, takes.0, from)?.start;
            let slot = Window::new(start, self.weather.done(node, start, takes.1)?);
            let mut later = start;
            for (held, window) in self.holds(at, slot, takes.1) {
                if let Some(book) = days.books.get(held.resource.0)
                    && let Err(until) = book.room(window, held.quantity)
                {
                    if until == Minute::MAX {
                        return None;
                    }
                    later = later.max(start + until - window.start);
                }
            }
            if let Some((resource, class)) = node.set_up
                && let (Some(book), Some(of)) =
                    (days.books.get(resource), self.problem.resources.get(resource))
                && let Err(until) = book.set_up(slot, class, &of.set_up)
            {
                later = later.max(until);
            }
            if later == start {
                return Some(slot);
            }
            from = later;
        }
    }

    /// Writes a node's holds into the books.
    fn enter(&self, node: usize, slot: Window, takes: Minute, days: &mut Days) {
        for (held, window) in self.holds(node, slot, takes) {
            if let Some(book) = days.books.get_mut(held.resource.0) {
                book.hold(window, held.quantity);
            }
        }
        if let Some((resource, class)) = self.net.nodes[node].set_up
            && let Some(book) = days.books.get_mut(resource)
        {
            book.turn(slot, class);
        }
    }

    /// Takes a node's holds out of the books.
    fn strike(&self, node: usize, slot: Window, takes: Minute, days: &mut Days) {
        for (held, window) in self.holds(node, slot, takes) {
            if let Some(book) = days.books.get_mut(held.resource.0) {
                book.give_back(window, held.quantity);
            }
        }
        if let Some((resource, class)) = self.net.nodes[node].set_up
            && let Some(book) = days.books.get_mut(resource)
        {
            book.turn_back(slot, class);
        }
    }

    /// The first slot from this one on after which all that follows within greatest lags can be expected to begin in time,
    /// whether it and they take what is likely or the most they may; if there is none, the slot after which it is least
    /// too late.
    fn in_time(
        &self,
        at: usize,
        ahead: &Ahead,
        takes: (Minute, Minute),
        first: Window,
        room: &mut Room,
    ) -> Option<Window> {
        for next in &ahead.nodes {
            room.held[*next] = self.net.nodes[*next].earliest;
        }
        let mut slot = first;
        let mut least: Option<(Minute, Window)> = None;
        for _ in 0..LOOKS {
            let mut sum = 0;
            let mut later = slot.start;
            let mut held = false;
            for slow in [false, true] {
                let Some(found) = self.too_late(at, ahead, slot, slow, room) else {
                    // Beyond the calendars nothing can be looked at.
                    return Some(least.map_or(first, |(_, slot)| slot));
                };
                sum += found.sum;
                later = later.max(found.later);
                held |= found.held;
            }
            if least.is_none_or(|(known, _)| sum < known) {
                least = Some((sum, slot));
            }
            if later > slot.start {
                match self.fit(at, takes, later, &room.done) {
                    Some(next) => slot = next,
                    None => break,
                }
            } else if !held {
                break;
            }
        }
        Some(least.map_or(first, |(_, slot)| slot))
    }

    /// By how much what follows would be too late if a node began in this slot. What could begin later for it is held.
    /// `None` if some of it finds no place.
    fn too_late(
        &self,
        at: usize,
        ahead: &Ahead,
        slot: Window,
        slow: bool,
        room: &mut Room,
    ) -> Option<TooLate> {
        let seen = self.look(at, ahead, slot, slow, room);
        let mut found = TooLate {
            sum: 0,
            later: slot.start,
            held: false,
        };
        for arc in ahead
            .waits
            .iter()
            .map(|arc| &self.net.arcs[*arc])
            .filter(|_| seen)
        {
            let before = self.known(arc.from, slot.start, room);
            let (Some(before), Some(after), Some(most)) = (before, room.expected.slots[arc.to], arc.most)
            else {
                continue;
            };
            let over = after.start - before.end - most;
            if over <= 0 {
                continue;
            }
            found.sum += over;
            if arc.from == at {
                found.later = found.later.max(slot.start + over);
            } else if ahead.nodes.contains(&arc.from) {
                let held = &mut room.held[arc.from];
                *held = (*held).max(before.start + over);
                found.held = true;
            }
        }
        let takes = if slow { &room.slow } else { &room.likely };
        for node in ahead.nodes.iter().copied().chain([at]) {
            if room.done.slots[node].is_none()
                && let Some(slot) = room.expected.slots[node].take()
            {
                self.strike(node, slot, takes[node], &mut room.expected);
            }
        }
        seen.then_some(found)
    }

    /// Enters what is expected to follow if a node begins in this slot. `false` if some of it finds no place.
    fn look(&self, at: usize, ahead: &Ahead, slot: Window, slow: bool, room: &mut Room) -> bool {
        let takes = |room: &Room, node: usize| if slow { room.slow[node] } else { room.likely[node] };
        let end = self
            .weather
            .done(&self.net.nodes[at], slot.start, takes(room, at));
        let mut next = Some((at, Window::new(slot.start, end.unwrap_or(slot.end))));
        let begun: Vec<bool> = ahead
            .nodes
            .iter()
            .map(|node| room.done.slots[*node].is_some())
            .collect();
        let mut left = ahead.nodes.iter().zip(begun).filter(|(_, begun)| !begun);
        while let Some((node, slot_of)) = next {
            room.expected.slots[node] = Some(slot_of);
            self.enter(node, slot_of, takes(room, node), &mut room.expected);
            let Some((following, _)) = left.next().map(|(node, begun)| (*node, begun)) else {
                return true;
            };
            let known = |from| self.known(from, slot.start, room);
            // Looked for in hours in which it is likely to be done, as when it begins.
            let needs = (room.likely[following], takes(room, following));
            next = self
                .ready(following, room.held[following], known)
                .and_then(|from| self.fit(following, needs, from, &room.expected))
                .map(|found| (following, found));
        }
        false
    }

    /// A node's slot as far as it is known at a minute: what is done by then as it went, all else as expected, what runs
    /// longer than expected from one minute to the next.
    fn known(&self, node: usize, now: Minute, room: &Room) -> Option<Window> {
        let expected = room.expected.slots[node]?;
        match room.done.slots[node] {
            Some(done) if done.end <= now => Some(done),
            Some(done) => Some(Window::new(done.start, expected.end.max(now))),
            None => Some(expected),
        }
    }
}

/// What a look ahead found.
struct TooLate {
    /// Minutes beyond all greatest lags.
    sum: Minute,
    /// The start from which those right after it would be in time.
    later: Minute,
    /// Something that follows is held for what follows it.
    held: bool,
}

/// So many times the planned minutes, whole ones.
fn minutes(planned: Minute, share: f64) -> Minute {
    ((planned as f64 * share).round() as Minute).max(planned.min(1))
}
