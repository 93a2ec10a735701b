//! From an order of pieces to a plan and its worth, again and again, keeping what did not change.

use super::board::{Board, Slot, Wish};
use super::pieces::Pieces;
use super::place::{Stuck, delay, lift, place};
use super::shop::Shop;
use crate::Minute;
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::rc::Rc;

/// Minutes of each evil, as in [`crate::Score`], with the flow of all bolts added up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Worth {
    pub tardiness: Minute,
    pub makespan: Minute,
    pub flow: Minute,
}

/// What came of placing everything.
#[derive(Clone, Copy, Debug)]
pub(super) enum Outcome {
    /// Every operation has its place.
    Done(Worth),
    /// Given up: it would cost more than asked.
    Dear,
    /// An operation has no place.
    Stuck(Stuck),
}

pub(super) struct Engine<'s, 'p> {
    pub board: Board<'s, 'p>,
    pieces: Rc<Pieces>,
    /// Pieces on the board, in the order of placing.
    stack: Vec<u32>,
    order: Vec<u32>,
    heap: BinaryHeap<Reverse<(Minute, u32)>>,
    waits: Vec<u32>,
    piece_keys: Vec<Minute>,
}

impl<'s, 'p> Engine<'s, 'p> {
    pub(super) fn new(shop: &'s Shop<'p>, pieces: Rc<Pieces>) -> Self {
        let mut board = Board::new(shop);
        for v in 0..pieces.count() as u32 {
            for vertex in pieces.vertices(v) {
                let members = pieces.members(vertex);
                let Some(begun) = shop.pinned[members[0] as usize] else {
                    continue;
                };
                let kind = &shop.kinds[shop.kind[members[0] as usize] as usize];
                let choice = kind
                    .choices
                    .iter()
                    .position(|c| c.mode == begun.mode)
                    .unwrap_or(0);
                board.put(
                    members,
                    Slot {
                        start: begun.start,
                        end: begun.end,
                        choice,
                    },
                );
            }
        }
        Self {
            board,
            pieces,
            stack: Vec::new(),
            order: Vec::new(),
            heap: BinaryHeap::new(),
            waits: Vec::new(),
            piece_keys: Vec::new(),
        }
    }

    /// The order in which pieces are placed: the smallest key first, as far as links allow. `false` if links
    /// between pieces go in a circle.
    fn sort(&mut self, pieces: &Pieces, keys: &[Minute]) -> bool {
        self.piece_keys.clear();
        self.piece_keys.extend((0..pieces.count() as u32).map(|p| {
            let first = pieces.vertices(p).start;
            pieces
                .members(first)
                .iter()
                .map(|t| keys[*t as usize])
                .max()
                .unwrap_or(0)
        }));
        self.waits.clear();
        self.waits.extend_from_slice(&pieces.waits_for);
        self.order.clear();
        self.heap.clear();
        for p in 0..pieces.count() as u32 {
            if self.waits[p as usize] == 0 {
                self.heap.push(Reverse((self.piece_keys[p as usize], p)));
            }
        }
        while let Some(Reverse((_, p))) = self.heap.pop() {
            self.order.push(p);
            for next in &pieces.after[p as usize] {
                self.waits[*next as usize] -= 1;
                if self.waits[*next as usize] == 0 {
                    self.heap.push(Reverse((self.piece_keys[*next as usize], *next)));
                }
            }
        }
        self.order.len() == pieces.count()
    }

    /// Places everything in the order of the keys, as wished. Gives up once the plan must cost more than `limit`.
    /// `None` if the batches wait for each other in a circle.
    pub(super) fn run(
        &mut self,
        pieces: &Rc<Pieces>,
        keys: &[Minute],
        wishes: &[Wish],
        limit: f64,
    ) -> Option<Outcome> {
        if !self.sort(pieces, keys) {
            return None;
        }
        let (board, held) = (&self.board, &self.pieces);
        let unchanged = |a: u32, b: u32| {
            let as_wished = |t: &u32| board.wish[*t as usize] == wishes[*t as usize];
            held.signature[a as usize] == pieces.signature[b as usize]
                && pieces.tasks(b).iter().all(as_wished)
        };
        let same = self.stack.iter().zip(&self.order);
        let same = same.take_while(|(a, b)| unchanged(**a, **b)).count();
        for p in self.stack.drain(same..).rev() {
            lift(&mut self.board, &self.pieces, p);
        }
        self.stack.clear();
        self.stack.extend_from_slice(&self.order[..same]);
        self.pieces = Rc::clone(pieces);
        self.board.wish.copy_from_slice(wishes);
        let mut tally = Tally::new(self.board.shop);
        for p in &self.order[..same] {
            tally.add(&self.board, pieces.tasks(*p));
        }
        for i in same..self.order.len() {
            let p = self.order[i];
            if let Err(stuck) = place(&mut self.board, pieces, p) {
                return Some(Outcome::Stuck(stuck));
            }
            self.stack.push(p);
            if tally.add(&self.board, pieces.tasks(p)) > limit {
                return Some(Outcome::Dear);
            }
        }
        Some(Outcome::Done(tally.worth(&self.board)))
    }

    /// Keys that give the present order, spread over the plan's length, so that a shift of some minutes in a
    /// key means about as much as in a start.
    pub(super) fn positions(&self) -> Vec<Minute> {
        let end = self
            .board
            .slots
            .iter()
            .flatten()
            .map(|s| s.end)
            .max()
            .unwrap_or(0);
        let count = self.stack.len().max(1) as Minute;
        let mut keys = vec![0; self.board.slots.len()];
        for (i, p) in self.stack.iter().enumerate() {
            for t in self.pieces.tasks(*p) {
                keys[*t as usize] = i as Minute * end / count;
            }
        }
        keys
    }

    /// Starts everything as late as it can without delaying any bolt's end: less work in progress. The board
    /// is put back; the slots are returned.
    pub(super) fn just_in_time(&mut self) -> (Vec<Option<Slot>>, Worth) {
        let pieces = Rc::clone(&self.pieces);
        let before = self.board.slots.clone();
        let last: Vec<bool> = {
            let mut last = vec![false; pieces.count()];
            for b in &self.board.shop.bolts {
                last[pieces.of[b.last as usize] as usize] = true;
            }
            last
        };
        let mut order: Vec<(Minute, u32)> = self
            .stack
            .iter()
            .filter(|p| !last[**p as usize])
            .map(|p| {
                let starts = pieces
                    .tasks(*p)
                    .iter()
                    .filter_map(|t| before[*t as usize])
                    .map(|s| s.start);
                (starts.max().unwrap_or(0), *p)
            })
            .collect();
        order.sort_unstable_by_key(|(start, p)| Reverse((*start, *p)));
        for (_, p) in &order {
            delay(&mut self.board, &pieces, *p);
        }
        let mut tally = Tally::new(self.board.shop);
        for p in &self.stack {
            tally.add(&self.board, pieces.tasks(*p));
        }
        let worth = tally.worth(&self.board);
        let late = self.board.slots.clone();
        self.restore(&before);
        (late, worth)
    }

    /// Puts every task of the stack where `slots` says.
    fn restore(&mut self, slots: &[Option<Slot>]) {
        let pieces = Rc::clone(&self.pieces);
        let moved =
            |board: &Board, members: &[u32]| board.slots[members[0] as usize] != slots[members[0] as usize];
        let changed: Vec<u32> = self
            .stack
            .iter()
            .flat_map(|p| pieces.vertices(*p))
            .filter(|v| moved(&self.board, pieces.members(*v)))
            .collect();
        for v in &changed {
            self.board.lift(pieces.members(*v));
        }
        for v in &changed {
            let members = pieces.members(*v);
            if let Some(slot) = slots[members[0] as usize] {
                self.board.put(members, slot);
            }
        }
    }
}

/// The worth of what is placed so far; it only grows.
struct Tally {
    done: Vec<Minute>,
    tardiness: Minute,
    makespan: Minute,
}

impl Tally {
    fn new(shop: &Shop) -> Self {
        Self {
            done: shop.problem.lots.iter().map(|l| l.due).collect(),
            tardiness: 0,
            makespan: 0,
        }
    }

    /// Counts placed tasks in; the cost so far, without flow.
    fn add(&mut self, board: &Board, tasks: &[u32]) -> f64 {
        let problem = board.shop.problem;
        for t in tasks {
            let Some(bolt) = board.shop.bolt[*t as usize].map(|b| board.shop.bolts[b as usize]) else {
                continue;
            };
            if bolt.last != *t {
                continue;
            }
            let Some(end) = board.slots[*t as usize].map(|s| s.end) else {
                continue;
            };
            self.makespan = self.makespan.max(end - problem.weights.origin);
            if end > self.done[bolt.lot] {
                self.tardiness += Minute::from(problem.lots[bolt.lot].weight) * (end - self.done[bolt.lot]);
                self.done[bolt.lot] = end;
            }
        }
        let w = problem.weights;
        f64::from(w.tardiness) * self.tardiness as f64 + f64::from(w.makespan) * self.makespan as f64
    }

    fn worth(&self, board: &Board) -> Worth {
        let flow = board
            .shop
            .bolts
            .iter()
            .filter_map(|b| Some(board.slots[b.last as usize]?.end - board.slots[b.first as usize]?.start))
            .sum();
        Worth {
            tardiness: self.tardiness,
            makespan: self.makespan,
            flow,
        }
    }
}

impl Worth {
    /// Tardiness and makespan by the problem's weights: what work in progress can only add to.
    pub(super) fn without_flow(&self, shop: &Shop) -> f64 {
        self.cost(shop) - self.flow_cost(shop)
    }
    fn flow_cost(&self, shop: &Shop) -> f64 {
        f64::from(shop.problem.weights.mean_flow) * self.flow as f64 / shop.bolts.len().max(1) as f64
    }
    /// The three by the problem's weights.
    pub(super) fn cost(&self, shop: &Shop) -> f64 {
        let w = shop.problem.weights;
        f64::from(w.tardiness) * self.tardiness as f64
            + f64::from(w.makespan) * self.makespan as f64
            + self.flow_cost(shop)
    }
}
