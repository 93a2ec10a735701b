//! What no plan can beat, and why.
//!
//! A lone bolt walks through an empty workshop: no bolt is faster. A resource that several bolts need hands
//! them out one after the other: the last of them is no earlier than that work divided by the units, walked
//! through the calendar, and then the rest of its route. The strongest of these bounds each lot and the whole. Lateness
//! is also bounded by what sharing one resource must cost (`lateness.rs`).

use crate::calendar::union;
use crate::lateness::lateness;
use crate::queue::Promise;
use crate::solve::{Board, Pieces, Shop, place};
use crate::{Lot, Minute, Problem, Window};
use std::collections::BTreeMap;
use words::{Arg, Line, say};

/// A lower bound for a problem.
#[derive(Clone, Debug)]
pub struct Bound {
    /// No plan's total is below this.
    pub total: f64,
    /// Earliest completion of each lot, and why.
    pub lots: Vec<(Minute, Line)>,
    /// Earliest completion of everything, and why.
    pub last: (Minute, Line),
}

impl Bound {
    /// How far a total may be above the best, as a share of the total: 0 is proven best.
    pub fn gap(&self, total: f64) -> f64 {
        if total > 0.0 {
            ((total - self.total) / total).max(0.0)
        } else {
            0.0
        }
    }
}

/// Bounds a sound problem. `None` where even a lone bolt finds no way (the solver says why), where the problem
/// has findings, or where work with alternatives that cannot pause has a greatest lag after it: the alternative
/// that ends first is then not proven best for a lone bolt.
pub fn bound(problem: &Problem) -> Option<Bound> {
    if crate::examine(problem)
        .iter()
        .any(|f| f.weight == words::Weight::Wrong)
    {
        return None;
    }
    let unproven = |l: &crate::Lot| {
        l.lags
            .iter()
            .any(|g| g.most.is_some() && l.route[g.from].modes.len() > 1 && !l.route[g.from].pausable)
    };
    if problem.lots.iter().any(unproven) {
        return None;
    }
    let relaxed = relaxed(problem);
    let problem = relaxed.as_ref().unwrap_or(problem);
    let shop = Shop::new(problem, 0, &[], &[]);
    let lone = Lone::new(&shop)?;
    let first: Vec<u32> = (0..problem.lots.len())
        .map(|l| shop.bolts.iter().find(|b| b.lot == l).map(|b| b.first))
        .collect::<Option<_>>()?;
    let mut lots = Vec::new();
    for (l, lot) in problem.lots.iter().enumerate() {
        let done = lone.end(first[l] + lot.route.len() as u32 - 1)?;
        let mut best = (
            done,
            say!(
                "a lone bolt takes so long",
                "satu gulung saja makan waktu selama ini"
            ),
        );
        for (need, line) in shared(&shop, &lone, &first, &[l]) {
            if need > best.0 {
                best = (need, line);
            }
        }
        lots.push(best);
    }
    let mut last = lots.iter().max_by_key(|(done, _)| *done)?.clone();
    let all: Vec<usize> = (0..problem.lots.len()).collect();
    for (need, line) in shared(&shop, &lone, &first, &all) {
        if need > last.0 {
            last = (need, line);
        }
    }
    let w = problem.weights;
    let promises: Vec<Promise> = problem
        .lots
        .iter()
        .zip(&lots)
        .map(|(lot, (done, _))| Promise {
            done: *done,
            due: lot.due,
            weight: Minute::from(lot.weight),
        })
        .collect();
    let late = lateness(&shop, &lone, &first, &promises);
    let mut flow = 0.0;
    for (l, lot) in problem.lots.iter().enumerate() {
        flow += lone.shortest(first[l], lot.route.len())? as f64 * f64::from(lot.bolts);
    }
    let total = f64::from(w.tardiness) * late as f64
        + f64::from(w.makespan) * (last.0 - w.origin) as f64
        + f64::from(w.mean_flow) * flow / problem.bolts().max(1) as f64;
    Some(Bound { total, lots, last })
}

/// A problem that no plan of this one is worse for, whose bolts are alike: where minutes differ from bolt to bolt each
/// takes the least, and what must follow in time may follow as much later. `None` where bolts are alike.
fn relaxed(problem: &Problem) -> Option<Problem> {
    let differs = |lot: &Lot| lot.route.iter().any(|o| !o.of_bolts.is_empty());
    if !problem.lots.iter().any(differs) {
        return None;
    }
    let mut relaxed = problem.clone();
    for lot in &mut relaxed.lots {
        for at in 0..lot.route.len() {
            let operation = &mut lot.route[at];
            let most = operation.of_bolts.iter().copied().max();
            operation.duration = operation.least();
            operation.of_bolts.clear();
            let spread = most.map_or(0, |most| most - operation.duration);
            for lag in lot.lags.iter_mut().filter(|lag| lag.from == at) {
                lag.most = lag.most.map(|most| most + spread);
            }
        }
    }
    Some(relaxed)
}

/// One bolt of each lot on an empty board.
pub(crate) struct Lone<'s, 'p> {
    shop: &'s Shop<'p>,
    pieces: Pieces,
    /// Earliest start and end of each task of a lot's first bolt, and of approvals.
    slots: Vec<Option<(Minute, Minute)>>,
}

impl<'s, 'p> Lone<'s, 'p> {
    fn new(shop: &'s Shop<'p>) -> Option<Self> {
        let batches: Vec<Vec<u32>> = (0..shop.kind.len() as u32).map(|t| vec![t]).collect();
        let pieces = Pieces::new(shop, &batches)?;
        let mut lone = Self {
            shop,
            pieces,
            slots: vec![None; shop.kind.len()],
        };
        // Strike-offs come before the lots that wait for them.
        let mut order: Vec<usize> = (0..shop.problem.lots.len()).collect();
        let depth = |mut l: usize| {
            let mut n = 0;
            while let Some(next) = shop.problem.lots[l].approval.and_then(|a| a.after_lot) {
                (l, n) = (next, n + 1);
            }
            n
        };
        order.sort_by_key(|l| depth(*l));
        for l in order {
            lone.walk(l)?;
        }
        Some(lone)
    }

    fn walk(&mut self, lot: usize) -> Option<()> {
        let mut board = Board::new(self.shop);
        let mut tasks = Vec::new();
        let mut approved = 0;
        if let Some(task) = self.shop.approval[lot] {
            let strike_off = self.shop.problem.lots[lot].approval.and_then(|a| a.after_lot);
            let done = self.shop.bolts.iter().filter(|b| Some(b.lot) == strike_off);
            let ready = done.filter_map(|b| self.end(b.last)).max().unwrap_or(0);
            let slot = board.earliest(task, ready)?;
            self.slots[task as usize] = Some((slot.start, slot.end));
            approved = slot.end;
        }
        let bolt = *self.shop.bolts.iter().find(|b| b.lot == lot)?;
        tasks.extend(bolt.first..=bolt.last);
        let ends = self.from(&mut board, &tasks, bolt.first, approved)?;
        for (task, slot) in tasks.into_iter().zip(ends) {
            self.slots[task as usize] = Some(slot);
        }
        Some(())
    }

    /// Earliest starts and ends of `tasks` (a tail of one bolt's route) if the first of them starts at `from`
    /// or later.
    fn from(
        &self,
        board: &mut Board<'s, 'p>,
        tasks: &[u32],
        held: u32,
        from: Minute,
    ) -> Option<Vec<(Minute, Minute)>> {
        // Pieces of this tail in route order; a piece cut by the tail is placed whole all the same.
        board.floor = Some((held, from));
        let mut placed = Vec::new();
        let mut last = None;
        for t in tasks {
            let p = self.pieces.of[*t as usize];
            if last != Some(p) && !placed.contains(&p) {
                place(board, &self.pieces, p).ok()?;
                placed.push(p);
            }
            last = Some(p);
        }
        board.floor = None;
        tasks
            .iter()
            .map(|t| board.slots[*t as usize].map(|s| (s.start, s.end)))
            .collect()
    }

    fn end(&self, task: u32) -> Option<Minute> {
        // Bolts of a lot are alike: the first one's walk stands for all.
        let first = self.twin(task);
        self.slots[first as usize].map(|s| s.1)
    }

    fn twin(&self, task: u32) -> u32 {
        let Some(spot) = self.shop.spot(task) else {
            return task;
        };
        self.shop
            .bolts
            .iter()
            .find(|b| b.lot == spot.lot)
            .map_or(task, |b| b.first + spot.operation as u32)
    }

    /// Earliest end of the bolt if the task starts at `start` or later.
    fn completion(&self, first: u32, length: usize, task: u32, start: Minute) -> Option<Minute> {
        let mut board = Board::new(self.shop);
        let tasks: Vec<u32> = (first..first + length as u32).collect();
        Some(self.from(&mut board, &tasks, task, start)?.last()?.1)
    }

    /// The shortest time a bolt can spend between its first start and its last end, wherever it begins.
    fn shortest(&self, first: u32, length: usize) -> Option<Minute> {
        let tasks: Vec<u32> = (first..first + length as u32).collect();
        let mut board = Board::new(self.shop);
        let mut best = Minute::MAX;
        let mut from = 0;
        // A start later than this one ends no earlier: only starts that could still beat the best are tried.
        while let Some(slots) = self.from(&mut board, &tasks, first, from) {
            let (start, end) = (slots[0].0, slots[length - 1].1);
            best = best.min(end - start);
            for t in tasks.iter().rev() {
                board.lift(&[*t]);
            }
            from = (start + 1).max(end - best + 1);
        }
        (best < Minute::MAX).then_some(best)
    }
}

/// Work of several bolts on one resource, or on alternatives together.
pub(crate) struct Load {
    pub units: Minute,
    pub work: Minute,
    count: Minute,
    shortest: Minute,
    pub windows: Vec<Window>,
    pub head: Minute,
    /// (first task of the lot, route length, the task) for each lot in it.
    pub tails: Vec<(u32, usize, u32)>,
}

impl Load {
    /// Earliest completion of a lot whose last work here ends then or later; `None` beyond the calendars.
    pub(crate) fn completion(&self, shop: &Shop, lone: &Lone, end: Minute) -> Option<Minute> {
        let tail = self.tails.iter().filter_map(|(first, length, task)| {
            let kind = &shop.kinds[shop.kind[*task as usize] as usize];
            let duration = kind.choices.iter().map(|c| c.duration).max()?;
            let start = match &kind.walk {
                Some(windows) => Shop::walk_back(windows, end, duration).unwrap_or(0),
                None => end - duration,
            };
            lone.completion(*first, *length, *task, start)
        });
        tail.min()
    }
}

/// Work of these lots on each resource, or on alternatives together.
pub(crate) fn loads(shop: &Shop, lone: &Lone, first: &[u32], lots: &[usize]) -> BTreeMap<Vec<usize>, Load> {
    let problem = shop.problem;
    let mut loads: BTreeMap<Vec<usize>, Load> = BTreeMap::new();
    for l in lots {
        let lot = &problem.lots[*l];
        let bolts = Minute::from(lot.bolts);
        for (i, o) in lot.route.iter().enumerate() {
            let task = first[*l] + i as u32;
            let Some((start, _)) = lone.slots[task as usize] else {
                continue;
            };
            let shortest = o.least();
            // A full batch shares one hold.
            let holds = o
                .batch
                .as_ref()
                .map_or(bolts, |b| bolts / Minute::from(b.capacity));
            let mut add = |key: Vec<usize>, units: Minute, work: Minute, whole: bool| {
                let windows = problem.windows(o.calendar);
                let load = loads.entry(key).or_insert_with(|| Load {
                    units,
                    work: 0,
                    count: 0,
                    shortest: Minute::MAX,
                    windows: Vec::new(),
                    head: Minute::MAX,
                    tails: Vec::new(),
                });
                load.work += work * holds;
                load.windows = union(&load.windows, windows);
                load.head = load.head.min(start);
                load.count += if whole { holds } else { 0 };
                load.shortest = load.shortest.min(if whole { shortest } else { 0 });
                load.tails.push((first[*l], lot.route.len(), task));
            };
            for u in &o.uses {
                let whole = u.from == 0 && u.to.is_none_or(|t| t == shortest) && u.quantity == 1;
                let length = u.to.unwrap_or(shortest) - u.from;
                let units = Minute::from(problem.capacity(u.resource));
                // Pausable work rests while it holds: only work inside the calendar is counted.
                let partial = o.pausable && !whole;
                if !partial {
                    add(
                        vec![u.resource.0],
                        units,
                        length * Minute::from(u.quantity),
                        whole,
                    );
                }
            }
            if !o.modes.is_empty() {
                let mut tables: Vec<usize> = o.modes.iter().map(|m| m.resource.0).collect();
                tables.sort_unstable();
                tables.dedup();
                let units = tables
                    .iter()
                    .map(|r| Minute::from(problem.resources[*r].capacity))
                    .sum();
                add(tables, units, shortest, true);
            }
        }
    }
    loads
}

/// Bounds by resources that these lots share: completion of the last of them, and why.
fn shared(shop: &Shop, lone: &Lone, first: &[u32], lots: &[usize]) -> Vec<(Minute, Line)> {
    let problem = shop.problem;
    let mut loads = loads(shop, lone, first, lots);
    merge_subsets(problem, &mut loads);
    let mut out = Vec::new();
    for (resources, load) in loads {
        if load.count == 0 && load.work == 0 {
            continue;
        }
        // Whichever says more: the work spread evenly, or whole jobs one after the other.
        let even = (load.work + load.units - 1) / load.units;
        let rounds = (load.count + load.units - 1) / load.units * load.shortest.min(load.work);
        let Some(end) = Shop::walk(&load.windows, load.head, even.max(rounds)) else {
            continue;
        };
        // The last of them ends there or later; what follows for it is at least the shortest rest of a route.
        let Some(done) = load.completion(shop, lone, end) else {
            continue;
        };
        let names: Vec<&str> = resources
            .iter()
            .map(|r| problem.resources[*r].name.as_str())
            .collect();
        let line = say!(
            "{work} min of work on {what} ({units} at a time) cannot begin before {head} nor end before {end}",
            "{work} menit kerja di {what} ({units} sekaligus) tidak bisa mulai sebelum {head} atau selesai sebelum {end}",
            work = Arg::Number(load.work as f64, 0),
            what = Arg::Name(names.join(", ")),
            units = Arg::Number(load.units as f64, 0),
            head = Arg::Name(problem.clock(load.head)),
            end = Arg::Name(problem.clock(end))
        );
        out.push((done, line));
    }
    out
}

/// Work that can only go to three of six tables also loads the six.
fn merge_subsets(problem: &Problem, loads: &mut BTreeMap<Vec<usize>, Load>) {
    let keys: Vec<Vec<usize>> = loads.keys().filter(|k| k.len() > 1).cloned().collect();
    for wide in &keys {
        let narrow: Vec<_> = keys
            .iter()
            .filter(|k| *k != wide && k.iter().all(|r| wide.contains(r)))
            .cloned()
            .collect();
        for key in narrow {
            let Some(small) = loads.get(&key) else { continue };
            let (work, count, shortest, windows, head, tails) = (
                small.work,
                small.count,
                small.shortest,
                small.windows.clone(),
                small.head,
                small.tails.clone(),
            );
            if let Some(load) = loads.get_mut(wide) {
                load.work += work;
                load.count += count;
                load.shortest = load.shortest.min(shortest);
                load.windows = union(&load.windows, &windows);
                load.head = load.head.min(head);
                load.tails.extend(tails);
            }
        }
    }
    debug_assert!(loads.values().all(|l| l.units > 0) || problem.resources.is_empty());
}
