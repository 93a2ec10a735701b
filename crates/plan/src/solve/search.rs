//! Better orders: first of whole lots, then piece by piece with annealing in cycles of doubling length, so
//! that an answer is always at hand and more tries never end worse.

use super::board::Slot;
use super::engine::{Engine, Outcome};
use super::moves::{Decision, Rng, change};
use super::shop::Shop;
use super::{Options, Pieces, Stuck, orders};
use crate::{Minute, Placed, Schedule, Score, Window};
use std::rc::Rc;

/// Accepted worsening at the start of a cycle, as a share of the best cost. Chosen by one run each (10 to 30 s,
/// a loaded machine): against 0.003 it ended 1.6 % better on one plan of 80 bolts, 0.15 % worse on the other, and
/// within 0.2 % on ten others of 4 to 200 bolts; 0.001 was tried on four plans only.
const HEAT: f64 = 0.0003;

/// Length of the first cycle.
const FIRST_CYCLE: u64 = 400;

pub(super) struct Search<'s, 'p> {
    shop: &'s Shop<'p>,
    options: &'s Options,
    rng: Rng,
    tries: u64,
}

/// A decision, and what came of it.
#[derive(Clone)]
struct State {
    decision: Decision,
    starts: Vec<Minute>,
    cost: f64,
}

impl<'s, 'p> Search<'s, 'p> {
    pub(super) fn new(shop: &'s Shop<'p>, options: &'s Options) -> Self {
        Self {
            shop,
            options,
            rng: Rng(options.seed),
            tries: 0,
        }
    }

    pub(super) fn run(
        &mut self,
        on_better: &mut dyn FnMut(&Schedule, &Score),
        keep_going: &dyn Fn() -> bool,
    ) -> Result<Schedule, Stuck> {
        // Full loads first. What leaves a vessel together may be more than the next station takes in time: then
        // smaller loads, down to single bolts. The first reason is the one worth telling.
        let mut first = self.run_from(u32::MAX, on_better, keep_going);
        for most in [2, 1] {
            match first {
                Ok(schedule) => return Ok(schedule),
                Err(stuck) => first = self.run_from(most, on_better, keep_going).map_err(|_| stuck),
            }
        }
        first
    }

    fn run_from(
        &mut self,
        most: u32,
        on_better: &mut dyn FnMut(&Schedule, &Score),
        keep_going: &dyn Fn() -> bool,
    ) -> Result<Schedule, Stuck> {
        let batches = orders::batches(self.shop, most);
        let circle = Stuck {
            task: 0,
            after: None,
            from: Minute::MAX,
        };
        let pieces = Rc::new(Pieces::new(self.shop, &batches).ok_or(circle)?);
        let mut engine = Engine::new(self.shop, Rc::clone(&pieces));
        let mut tell = |search: &Self, slots: &[Option<Slot>]| {
            let schedule = search.schedule(slots);
            if let Some(score) = schedule.score(search.shop.problem) {
                on_better(&schedule, &score);
            }
            schedule
        };
        let order = self.order_lots(&mut engine, &pieces, keep_going)?;
        let keys = orders::keys(self.shop, &order);
        engine.run(&pieces, &keys, f64::INFINITY).ok_or(circle)?;
        let decision = Decision {
            keys: engine.positions(),
            batches,
            pieces,
        };
        let mut best = match engine
            .run(&decision.pieces, &decision.keys, f64::INFINITY)
            .ok_or(circle)?
        {
            Outcome::Done(worth) => {
                let starts = starts(&engine.board.slots);
                let (slots, cost) = self.finish(&mut engine, worth.cost(self.shop));
                (
                    State {
                        decision,
                        starts,
                        cost,
                    },
                    tell(self, &slots),
                )
            }
            Outcome::Dear => return Err(circle),
            Outcome::Stuck(stuck) => return Err(stuck),
        };
        let (mut state, mut cycle, mut at) = (best.0.clone(), FIRST_CYCLE, 0);
        while self.tries < self.options.tries && keep_going() {
            if at == cycle {
                (state, cycle, at) = (best.0.clone(), cycle * 2, 0);
            }
            self.tries += 1;
            at += 1;
            let cooled = 1.0 - at as f64 / cycle as f64;
            let heat = best.0.cost * HEAT * cooled * cooled;
            let limit = state.cost - heat * self.rng.unit().max(1e-12).ln();
            let Some((next, slots)) = self.attempt(&mut engine, &state, limit) else {
                continue;
            };
            state = next;
            if state.cost < best.0.cost - 1e-9 {
                best = (state.clone(), tell(self, &slots));
            }
        }
        Ok(best.1)
    }

    /// A changed decision, if its plan costs no more than `limit`.
    fn attempt(
        &mut self,
        engine: &mut Engine,
        from: &State,
        limit: f64,
    ) -> Option<(State, Vec<Option<Slot>>)> {
        let mut decision = from.decision.clone();
        if self.rng.below(50) == 0 {
            // Once in a while: the order in which things now start.
            decision.keys.clone_from(&from.starts);
        } else if !change(self.shop, &mut self.rng, &mut decision, &from.starts) {
            return None;
        }
        let Outcome::Done(worth) = engine.run(&decision.pieces, &decision.keys, limit)? else {
            return None;
        };
        if worth.without_flow(self.shop) > limit {
            return None;
        }
        let starts = starts(&engine.board.slots);
        let (slots, cost) = self.finish(engine, worth.cost(self.shop));
        (cost <= limit).then_some((
            State {
                decision,
                starts,
                cost,
            },
            slots,
        ))
    }

    /// The slots of the present plan and its cost, after the choice of [`Options::just_in_time`].
    fn finish(&self, engine: &mut Engine, cost: f64) -> (Vec<Option<Slot>>, f64) {
        if self.options.just_in_time {
            let (slots, worth) = engine.just_in_time();
            // Something else may now hold a table for longer; the earlier plan stands if it is no worse.
            let late = worth.cost(self.shop);
            if late <= cost {
                return (slots, late);
            }
        }
        (engine.board.slots.clone(), cost)
    }

    /// The best order of lots found by taking one out and putting it elsewhere, with at most a quarter of
    /// the tries.
    fn order_lots(
        &mut self,
        engine: &mut Engine,
        pieces: &Rc<Pieces>,
        keep_going: &dyn Fn() -> bool,
    ) -> Result<Vec<usize>, Stuck> {
        let mut best: Option<(f64, Vec<usize>)> = None;
        let mut stuck = Stuck {
            task: 0,
            after: None,
            from: Minute::MAX,
        };
        for order in orders::lots(self.shop) {
            self.tries += 1;
            match engine.run(pieces, &orders::keys(self.shop, &order), f64::INFINITY) {
                Some(Outcome::Done(worth)) => {
                    let cost = worth.without_flow(self.shop);
                    if best.as_ref().is_none_or(|b| cost < b.0) {
                        best = Some((cost, order));
                    }
                }
                Some(Outcome::Stuck(s)) => stuck = s,
                Some(Outcome::Dear) | None => {}
            }
        }
        let (mut cost, mut order) = best.ok_or(stuck)?;
        let enough = self.options.tries / 4;
        let mut since = 0;
        let n = order.len();
        // Every (from, to) in turn, until a whole round brought nothing.
        'rounds: loop {
            if n < 2 {
                break;
            }
            for (i, j) in (0..n)
                .flat_map(|i| (0..n).map(move |j| (i, j)))
                .filter(|(i, j)| i != j)
            {
                if self.tries >= enough || since > n * n || !keep_going() {
                    break 'rounds;
                }
                self.tries += 1;
                since += 1;
                let mut other = order.clone();
                let lot = other.remove(i);
                other.insert(j, lot);
                let run = engine.run(pieces, &orders::keys(self.shop, &other), cost);
                if let Some(Outcome::Done(worth)) = run {
                    let new = worth.without_flow(self.shop);
                    if new < cost {
                        (cost, order, since) = (new, other, 0);
                    }
                }
            }
        }
        Ok(order)
    }

    fn schedule(&self, slots: &[Option<Slot>]) -> Schedule {
        let mut schedule = Schedule::default();
        for (task, slot) in slots.iter().enumerate() {
            let Some(slot) = slot else { continue };
            if let Some(spot) = self.shop.spot(task as u32) {
                let mode = self.shop.kinds[self.shop.kind[task] as usize].choices[slot.choice].mode;
                schedule.placed.insert(
                    spot,
                    Placed {
                        start: slot.start,
                        end: slot.end,
                        mode,
                    },
                );
            } else if let Some(lot) = self.shop.approval.iter().position(|a| *a == Some(task as u32)) {
                schedule.approvals.insert(lot, Window::new(slot.start, slot.end));
            }
        }
        schedule
    }
}

fn starts(slots: &[Option<Slot>]) -> Vec<Minute> {
    slots.iter().map(|s| s.map_or(0, |s| s.start)).collect()
}
