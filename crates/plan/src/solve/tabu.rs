//! Tabu search on the disjunctive graph: the best move of one longest way is made, better or worse, unless it leads back
//! to work in places that it has just left (Nowicki and Smutnicki, Management Science 42, 1996; the list of sequences and
//! places is Zhang, Li, Guan and Rao's, 2007). Where that finds nothing better for a while it goes on between two of the
//! best plans so far (path relinking as in Peng, Lu and Cheng, Computers & Operations Research 53, 2015). All from memory.

use super::disjunctive::{Machines, Move, Order};
use super::moves::Rng;
use crate::Minute;

/// Moves without a better plan after which a search ends.
const PATIENCE: u64 = 5_000;
/// Moves for which a pair stays as it is, at least; longer where many bolts share few machines.
const STAYS: usize = 5;
/// Plans that are kept to go on between.
const KEPT: usize = 20;
/// Two plans are too alike to go on between where fewer than one in so many pairs on a machine are turned round.
const ALIKE: usize = 50;
/// Searches in a row between kept plans that gave none worth keeping, after which all but the best are given up.
const WORN: usize = 24;

/// A search, which counts each move made as a try.
pub(super) struct Tabu<'m> {
    machines: &'m Machines,
    rng: Rng,
    tries: u64,
    most: u64,
    /// No order is better than the best.
    proven: bool,
    /// For each pair of operations the move until which the first must not come before the second again.
    until: Vec<u64>,
    way: Vec<u32>,
    moves: Vec<Move>,
    room: Vec<(u32, Minute)>,
}

impl<'m> Tabu<'m> {
    pub(super) fn new(machines: &'m Machines, seed: u64, most: u64) -> Self {
        Self {
            machines,
            rng: Rng(seed),
            tries: 0,
            most,
            proven: false,
            until: vec![0; machines.count() * machines.count()],
            way: Vec::new(),
            moves: Vec::new(),
            room: Vec::new(),
        }
    }

    /// The best order found. `on_better` hears of each better one; `keep_going` is asked before each try.
    pub(super) fn run(&mut self, on_better: &mut dyn FnMut(&Order), keep_going: &dyn Fn() -> bool) -> Order {
        let mut best: Option<Order> = None;
        let mut kept: Vec<Order> = Vec::new();
        let mut worn = 0;
        let mut filled = false;
        loop {
            let line = if kept.len() < 2 || (kept.len() < KEPT && !filled) {
                self.machines.drawn(&mut self.rng)
            } else {
                self.between(&kept)
            };
            let start = Order::of(self.machines, &line);
            let mut tell = |order: &Order| {
                if best.as_ref().is_none_or(|best| order.makespan < best.makespan) {
                    best = Some(order.clone());
                    on_better(order);
                }
            };
            let found = self.improve(start, &mut tell, keep_going);
            filled |= kept.len() + 1 >= KEPT;
            worn = if self.keep(&mut kept, found) { 0 } else { worn + 1 };
            if filled && worn >= WORN {
                kept.truncate(1);
                (worn, filled) = (0, false);
            }
            if self.proven || self.tries >= self.most || !keep_going() {
                break;
            }
        }
        best.unwrap_or_else(|| Order::of(self.machines, &self.machines.drawn(&mut self.rng)))
    }

    /// A plan between two that are kept: each operation at a mean of its two places in line.
    fn between(&mut self, kept: &[Order]) -> Vec<u32> {
        let one = self.rng.below(kept.len());
        let other = (one + 1 + self.rng.below(kept.len() - 1)) % kept.len();
        let share = 0.3 + 0.4 * self.rng.unit();
        let mut keys = vec![0.0; self.machines.count()];
        for (order, weight) in [(&kept[one], share), (&kept[other], 1.0 - share)] {
            for (place, operation) in order.sorted.iter().enumerate() {
                keys[*operation as usize] += weight * place as f64;
            }
        }
        let mut line: Vec<u32> = (0..self.machines.count() as u32).collect();
        line.sort_by(|a, b| keys[*a as usize].total_cmp(&keys[*b as usize]).then(a.cmp(b)));
        line
    }

    /// Keeps a plan among the best, if it is better than those it is like.
    fn keep(&self, kept: &mut Vec<Order>, found: Order) -> bool {
        let pairs: usize = self
            .machines
            .work
            .iter()
            .map(|work| work.len() * (work.len() - 1) / 2)
            .sum();
        let near = |other: &Order| other.turned_against(&found) <= pairs / ALIKE;
        if kept
            .iter()
            .any(|other| near(other) && other.makespan <= found.makespan)
        {
            return false;
        }
        kept.retain(|other| !near(other));
        let makespan = found.makespan;
        kept.push(found);
        kept.sort_by_key(|order| order.makespan);
        kept.truncate(KEPT);
        kept.last().is_some_and(|last| makespan <= last.makespan)
    }

    /// Goes on from an order until nothing better comes for a while; the best one on the way.
    fn improve(
        &mut self,
        start: Order,
        tell: &mut dyn FnMut(&Order),
        keep_going: &dyn Fn() -> bool,
    ) -> Order {
        let machines = self.machines;
        let mut here = start;
        let mut best = here.clone();
        tell(&best);
        self.until.fill(0);
        let (bolts, rows) = (machines.bolts, machines.work.len().max(1));
        let least = STAYS + bolts / rows;
        let wide = if bolts <= 2 * rows {
            least * 2 / 5
        } else {
            least / 2
        };
        let mut since = 0;
        let mut now = 0u64;
        while since < PATIENCE && self.tries < self.most && keep_going() {
            let (mut way, mut moves) = (std::mem::take(&mut self.way), std::mem::take(&mut self.moves));
            here.moves(machines, &mut self.rng, &mut way, &mut moves);
            let chosen = self.choose(&here, &moves, now, best.makespan);
            (self.way, self.moves) = (way, moves);
            // Nothing to exchange on a longest way: no order is better.
            let Some(chosen) = chosen else {
                self.proven = true;
                break;
            };
            self.tries += 1;
            now += 1;
            since += 1;
            let stays = least + self.rng.below(wide + 1);
            self.forbid(&here, chosen, now + stays as u64);
            here.make(machines, chosen);
            if here.makespan < best.makespan {
                best = here.clone();
                tell(&best);
                since = 0;
            }
        }
        best
    }

    /// The move with the least estimate that is not forbidden, or that beats the best; any one where all are forbidden.
    fn choose(&mut self, here: &Order, moves: &[Move], now: u64, best: Minute) -> Option<Move> {
        let mut chosen: Option<(Minute, Move)> = None;
        let mut equal = 0;
        for m in moves {
            let about = here.estimate(self.machines, *m, &mut self.room);
            let back = self.forbidden(here, *m, now);
            if back && about >= best {
                continue;
            }
            match chosen {
                Some((least, _)) if about > least => {}
                Some((least, _)) if about == least => {
                    equal += 1;
                    if self.rng.below(equal + 1) == 0 {
                        chosen = Some((about, *m));
                    }
                }
                _ => {
                    chosen = Some((about, *m));
                    equal = 0;
                }
            }
        }
        let any = |rng: &mut Rng| moves.get(rng.below(moves.len())).copied();
        chosen.map(|(_, m)| m).or_else(|| any(&mut self.rng))
    }

    /// The pairs that a move turns round: (what now comes first, what comes first afterwards).
    fn turned<'o>(here: &'o Order, m: Move) -> impl Iterator<Item = (u32, u32)> + 'o {
        let row = &here.rows[m.machine as usize];
        let moved = row[m.from as usize];
        let later = m.from < m.to;
        let passed = if later {
            &row[m.from as usize + 1..=m.to as usize]
        } else {
            &row[m.to as usize..m.from as usize]
        };
        passed
            .iter()
            .map(move |other| if later { (moved, *other) } else { (*other, moved) })
    }

    /// What the move turns round is not turned back for a while.
    fn forbid(&mut self, here: &Order, m: Move, until: u64) {
        let count = self.machines.count();
        for (first, second) in Self::turned(here, m) {
            self.until[first as usize * count + second as usize] = until;
        }
    }

    fn forbidden(&self, here: &Order, m: Move, now: u64) -> bool {
        let count = self.machines.count();
        Self::turned(here, m)
            .any(|(first, second)| self.until[second as usize * count + first as usize] > now)
    }
}
