//! The disjunctive graph (Roy and Sussmann, SEMA note DS 9, 1964): where a problem is nothing but work on machines that
//! take one thing at a time, and only the last completion counts, a plan is an order of work on each machine. An
//! operation's *head* is the longest way to it, its *tail* the longest way from its start to the end of everything.

use super::Options;
use super::moves::Rng;
use crate::{Minute, Placed, Problem, Schedule, Spot, Window};

/// No operation.
const NONE: u32 = u32::MAX;

/// What is the same for all orders.
pub(super) struct Machines {
    /// First minute of the one window that everything lies in, and its last.
    window: Window,
    /// By operation, bolt by bolt in the order of the route.
    pub minutes: Vec<Minute>,
    /// Earliest start of the first operations, 0 of the others.
    release: Vec<Minute>,
    pub machine: Vec<u32>,
    /// Operation of the same bolt that comes before, and after.
    pub before: Vec<u32>,
    pub after: Vec<u32>,
    /// Least time between an operation's end and the start of the one after.
    lag: Vec<Minute>,
    spots: Vec<Spot>,
    /// Operations of each machine.
    pub work: Vec<Vec<u32>>,
    /// Bolts.
    pub bolts: usize,
}

impl Machines {
    /// `None` where the problem or what is asked has anything that such a graph does not know.
    pub(super) fn of(problem: &Problem, options: &Options) -> Option<Self> {
        let free = options.start.is_none() && options.begun.is_empty() && options.approved.is_empty();
        let w = problem.weights;
        let never_late = w.tardiness == 0 || problem.lots.iter().all(|lot| lot.weight == 0);
        let used = problem.lots.iter().flat_map(|lot| &lot.route).next()?.calendar;
        let [window] = *problem.windows(used) else {
            return None;
        };
        if !free || w.mean_flow > 0 || w.makespan == 0 || !never_late {
            return None;
        }
        let mut machines = Self {
            window,
            minutes: Vec::new(),
            release: Vec::new(),
            machine: Vec::new(),
            before: Vec::new(),
            after: Vec::new(),
            lag: Vec::new(),
            spots: Vec::new(),
            work: vec![Vec::new(); problem.resources.len()],
            bolts: problem.bolts(),
        };
        for (at, lot) in problem.lots.iter().enumerate() {
            let mut lags = vec![0; lot.route.len()];
            for lag in lot.all_lags() {
                if lag.most.is_some() || lag.to != lag.from + 1 || lag.least < 0 {
                    return None;
                }
                lags[lag.from] = lag.least;
            }
            if lot.approval.is_some() {
                return None;
            }
            for bolt in 0..lot.bolts {
                for (operation, o) in lot.route.iter().enumerate() {
                    let [used] = o.uses[..] else { return None };
                    let whole = used.from == 0 && used.to.is_none_or(|to| to == o.duration);
                    let one = used.quantity == 1 && problem.capacity(used.resource) == 1;
                    let plain = o.modes.is_empty()
                        && o.of_bolts.is_empty()
                        && o.batch.is_none()
                        && o.attend.is_none();
                    let set_up = o.set_up.is_some() || !problem.resources[used.resource.0].set_up.is_empty();
                    let alike = problem.windows(o.calendar) == [window] && o.duration > 0;
                    if !(whole && one && plain && alike) || set_up || o.pausable {
                        return None;
                    }
                    let id = machines.minutes.len() as u32;
                    let first = operation == 0;
                    machines.minutes.push(o.duration);
                    let release = lot.release.max(options.now).max(window.start) - window.start;
                    machines.release.push(if first { release } else { 0 });
                    machines.machine.push(used.resource.0 as u32);
                    machines.before.push(if first { NONE } else { id - 1 });
                    let last = operation + 1 == lot.route.len();
                    machines.after.push(if last { NONE } else { id + 1 });
                    machines.lag.push(lags[operation]);
                    machines.spots.push(Spot {
                        lot: at,
                        bolt,
                        operation,
                    });
                    machines.work[used.resource.0].push(id);
                }
            }
        }
        machines.work.retain(|work| !work.is_empty());
        let mut renamed = vec![0; problem.resources.len()];
        for (new, work) in machines.work.iter().enumerate() {
            renamed[machines.machine[work[0] as usize] as usize] = new as u32;
        }
        for machine in &mut machines.machine {
            *machine = renamed[*machine as usize];
        }
        (machines.bolts > 1).then_some(machines)
    }

    pub(super) fn count(&self) -> usize {
        self.minutes.len()
    }

    /// An order drawn at random: each next operation from any bolt that has one left.
    pub(super) fn drawn(&self, rng: &mut Rng) -> Vec<u32> {
        let mut next: Vec<u32> = (0..self.count() as u32)
            .filter(|at| self.before[*at as usize] == NONE)
            .collect();
        let mut all = Vec::with_capacity(self.count());
        while !next.is_empty() {
            let at = rng.below(next.len());
            let operation = next[at];
            all.push(operation);
            match self.after[operation as usize] {
                NONE => drop(next.swap_remove(at)),
                after => next[at] = after,
            }
        }
        all
    }
}

/// An order of work on each machine, with heads and tails.
#[derive(Clone)]
pub(super) struct Order {
    /// By machine.
    pub rows: Vec<Vec<u32>>,
    /// Place of each operation in its row.
    pub place: Vec<u32>,
    pub head: Vec<Minute>,
    /// With its own minutes.
    pub tail: Vec<Minute>,
    /// All operations, each after those it waits for.
    pub sorted: Vec<u32>,
    pub makespan: Minute,
    waits: Vec<u8>,
}

/// Something taken out of a row and put back at another place of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Move {
    pub machine: u32,
    pub from: u32,
    pub to: u32,
}

impl Order {
    /// From one line of all operations in which each bolt's come in the order of its route.
    pub(super) fn of(machines: &Machines, line: &[u32]) -> Self {
        let mut rows = vec![Vec::new(); machines.work.len()];
        let mut place = vec![0; machines.count()];
        for operation in line {
            let row: &mut Vec<u32> = &mut rows[machines.machine[*operation as usize] as usize];
            place[*operation as usize] = row.len() as u32;
            row.push(*operation);
        }
        let mut order = Self {
            rows,
            place,
            head: vec![0; machines.count()],
            tail: vec![0; machines.count()],
            sorted: Vec::with_capacity(machines.count()),
            makespan: 0,
            waits: vec![0; machines.count()],
        };
        order.measure(machines);
        order
    }

    fn left(&self, machines: &Machines, operation: u32) -> u32 {
        let place = self.place[operation as usize] as usize;
        let row = &self.rows[machines.machine[operation as usize] as usize];
        if place == 0 { NONE } else { row[place - 1] }
    }

    fn right(&self, machines: &Machines, operation: u32) -> u32 {
        let place = self.place[operation as usize] as usize;
        let row = &self.rows[machines.machine[operation as usize] as usize];
        row.get(place + 1).copied().unwrap_or(NONE)
    }

    /// Minute at which an operation's bolt is there for it.
    fn arrives(&self, machines: &Machines, operation: u32) -> Minute {
        let at = operation as usize;
        match machines.before[at] as usize {
            before if before == NONE as usize => machines.release[at],
            before => self.head[before] + machines.minutes[before] + machines.lag[before],
        }
    }

    /// What comes after an operation on its bolt.
    fn follows(&self, machines: &Machines, operation: u32) -> Minute {
        match machines.after[operation as usize] {
            NONE => 0,
            after => machines.lag[operation as usize] + self.tail[after as usize],
        }
    }

    /// Heads, tails and the makespan, anew. `false` if the order goes in a circle.
    fn measure(&mut self, machines: &Machines) -> bool {
        self.sorted.clear();
        for row in &self.rows {
            for (place, operation) in row.iter().enumerate() {
                let at = *operation as usize;
                let waits = u8::from(place > 0) + u8::from(machines.before[at] != NONE);
                self.waits[at] = waits;
                if waits == 0 {
                    self.sorted.push(*operation);
                }
            }
        }
        let mut done = 0;
        while let Some(operation) = self.sorted.get(done).copied() {
            done += 1;
            let mut head = self.arrives(machines, operation);
            let left = self.left(machines, operation);
            if left != NONE {
                head = head.max(self.head[left as usize] + machines.minutes[left as usize]);
            }
            self.head[operation as usize] = head;
            for next in [
                machines.after[operation as usize],
                self.right(machines, operation),
            ] {
                if next != NONE {
                    self.waits[next as usize] -= 1;
                    if self.waits[next as usize] == 0 {
                        self.sorted.push(next);
                    }
                }
            }
        }
        self.makespan = 0;
        for at in (0..self.sorted.len()).rev() {
            let operation = self.sorted[at];
            let mut tail = self.follows(machines, operation);
            let right = self.right(machines, operation);
            if right != NONE {
                tail = tail.max(self.tail[right as usize]);
            }
            let tail = tail + machines.minutes[operation as usize];
            self.tail[operation as usize] = tail;
            self.makespan = self.makespan.max(self.head[operation as usize] + tail);
        }
        self.sorted.len() == machines.count()
    }

    /// Pairs on a machine that come in another order in the other plan.
    pub(super) fn turned_against(&self, other: &Self) -> usize {
        let of_row = |row: &Vec<u32>| {
            let places: Vec<u32> = row.iter().map(|at| other.place[*at as usize]).collect();
            let before = |at: usize| places[..at].iter().filter(|place| **place > places[at]).count();
            (0..places.len()).map(before).sum::<usize>()
        };
        self.rows.iter().map(of_row).sum()
    }

    /// Makes a move.
    pub(super) fn make(&mut self, machines: &Machines, m: Move) {
        let (from, to) = (m.from as usize, m.to as usize);
        let row = &mut self.rows[m.machine as usize];
        if from < to {
            row[from..=to].rotate_left(1);
        } else {
            row[to..=from].rotate_right(1);
        }
        for place in from.min(to)..=from.max(to) {
            self.place[row[place] as usize] = place as u32;
        }
        let straight = self.measure(machines);
        debug_assert!(straight, "a move made a circle");
    }

    /// One longest way through the plan, drawn where there are several.
    fn longest(&self, machines: &Machines, rng: &mut Rng, out: &mut Vec<u32>) {
        out.clear();
        let drawn = |rng: &mut Rng, a: Option<u32>, b: Option<u32>| match (a, b) {
            (Some(a), Some(b)) => Some(if rng.below(2) == 0 { a } else { b }),
            (a, b) => a.or(b),
        };
        let whole = |at: &u32| self.head[*at as usize] + self.tail[*at as usize] == self.makespan;
        let first = |at: &u32| {
            let left = self.left(machines, *at);
            let waits_for = |before: u32, lag: Minute| {
                before != NONE
                    && self.head[before as usize] + machines.minutes[before as usize] + lag
                        == self.head[*at as usize]
            };
            let before = machines.before[*at as usize];
            let lag = if before == NONE {
                0
            } else {
                machines.lag[before as usize]
            };
            !waits_for(left, 0) && !waits_for(before, lag)
        };
        let starts: Vec<u32> = self.sorted.iter().copied().filter(whole).filter(first).collect();
        if starts.is_empty() {
            return;
        }
        let mut at = starts[rng.below(starts.len())];
        loop {
            out.push(at);
            let rest = self.tail[at as usize] - machines.minutes[at as usize];
            let after = machines.after[at as usize];
            let on = (after != NONE && machines.lag[at as usize] + self.tail[after as usize] == rest)
                .then_some(after);
            let right = self.right(machines, at);
            let beside = (right != NONE && self.tail[right as usize] == rest).then_some(right);
            match drawn(rng, on.filter(|_| rest > 0), beside.filter(|_| rest > 0)) {
                Some(next) => at = next,
                None => return,
            }
        }
    }

    /// Moves of work of one longest way to the ends of its blocks, and of a block's ends into it: those that cannot make
    /// a circle (N6 of Balas and Vazacopoulos, Management Science 44, 1998, with the moves of the ends added by Zhang, Li,
    /// Guan and Rao, Computers & Operations Research 34, 2007).
    pub(super) fn moves(&self, machines: &Machines, rng: &mut Rng, way: &mut Vec<u32>, out: &mut Vec<Move>) {
        self.longest(machines, rng, way);
        out.clear();
        let mut from = 0;
        while from < way.len() {
            let machine = machines.machine[way[from] as usize];
            let mut to = from;
            while way.get(to + 1).is_some_and(|next| {
                machines.machine[*next as usize] == machine
                    && self.place[*next as usize] == self.place[way[to] as usize] + 1
            }) {
                to += 1;
            }
            self.of_block(machines, machine, &way[from..=to], out);
            from = to + 1;
        }
    }

    fn of_block(&self, machines: &Machines, machine: u32, block: &[u32], out: &mut Vec<Move>) {
        let last = block.len() - 1;
        if last == 0 {
            return;
        }
        let place = |at: usize| self.place[block[at] as usize];
        // Right after the other: what follows on the bolt must not come before the other.
        let can_after = |u: usize, v: usize| {
            let after = machines.after[block[u] as usize];
            after == NONE || self.tail[block[v] as usize] >= self.tail[after as usize]
        };
        let can_before = |v: usize, u: usize| {
            let before = machines.before[block[v] as usize];
            before == NONE
                || self.head[block[u] as usize] + machines.minutes[block[u] as usize]
                    >= self.head[before as usize] + machines.minutes[before as usize]
        };
        let mut put = |a: usize, b: usize| {
            out.push(Move {
                machine,
                from: place(a),
                to: place(b),
            });
        };
        for inner in 0..last {
            if can_after(inner, last) {
                put(inner, last);
            }
        }
        for inner in 1..=last {
            // Two neighbours are exchanged once.
            if (inner > 1 || last > 1) && can_before(inner, 0) && !(inner == 1 && last == 1) {
                put(inner, 0);
            }
        }
        for inner in 1..last {
            if can_after(0, inner) && inner > 1 {
                put(0, inner);
            }
            if can_before(last, inner) && inner + 1 < last {
                put(last, inner);
            }
        }
    }

    /// About the longest way through what a move changes (Balas and Vazacopoulos 1998, after Taillard, ORSA Journal on
    /// Computing 6, 1994): exact for exchanged neighbours.
    pub(super) fn estimate(&self, machines: &Machines, m: Move, room: &mut Vec<(u32, Minute)>) -> Minute {
        let row = &self.rows[m.machine as usize];
        let (low, high) = (m.from.min(m.to) as usize, m.from.max(m.to) as usize);
        room.clear();
        let inner = if m.from < m.to {
            low + 1..=high
        } else {
            low..=high - 1
        };
        if m.from > m.to {
            room.push((row[m.from as usize], 0));
        }
        room.extend(row[inner].iter().map(|operation| (*operation, 0)));
        if m.from < m.to {
            room.push((row[m.from as usize], 0));
        }
        let mut free = match low {
            0 => 0,
            low => self.head[row[low - 1] as usize] + machines.minutes[row[low - 1] as usize],
        };
        for (operation, head) in room.iter_mut() {
            *head = free.max(self.arrives(machines, *operation));
            free = *head + machines.minutes[*operation as usize];
        }
        let mut tail = row.get(high + 1).map_or(0, |right| self.tail[*right as usize]);
        let mut longest = 0;
        for (operation, head) in room.iter().rev() {
            tail = machines.minutes[*operation as usize] + tail.max(self.follows(machines, *operation));
            longest = longest.max(head + tail);
        }
        longest
    }

    /// The plan; `None` if it does not fit into the one window.
    pub(super) fn schedule(&self, machines: &Machines) -> Option<Schedule> {
        let mut schedule = Schedule::default();
        for (at, spot) in machines.spots.iter().enumerate() {
            let start = machines.window.start + self.head[at];
            let end = start + machines.minutes[at];
            if end > machines.window.end {
                return None;
            }
            schedule.placed.insert(
                *spot,
                Placed {
                    start,
                    end,
                    mode: None,
                },
            );
        }
        Some(schedule)
    }
}
