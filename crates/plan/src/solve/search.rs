//! Better plans: changes of a decision with annealing in cycles of doubling length, so that an answer is always at
//! hand and more tries never end worse.

use super::Options;
use super::board::Slot;
use super::critical::{self, Block};
use super::engine::{Engine, Outcome, Worth};
use super::moves::{Decision, Rng, change, wish};
use super::place::Stuck;
use super::shop::Shop;
use crate::{Minute, Placed, Schedule, Score, Unrest, Window};
use std::rc::Rc;

/// How the search goes about it.
#[derive(Clone, Copy)]
struct Temper {
    /// Accepted worsening at the start of a cycle, as a share of the best cost.
    heat: f64,
    /// Of a hundred changes, those at what the last completion waits for.
    critical: usize,
}

/// Where work in progress counts every change has a price. Chosen by one run each (10 to 30 s, a loaded machine):
/// against 0.003 it ended 1.6 % better on one plan of 80 bolts, 0.15 % worse on the other, and within 0.2 % on ten
/// others of 4 to 200 bolts; 0.001 was tried on four plans only. Ten changes in a hundred at the critical chain gained
/// nothing on five plans of 20 to 80 bolts (3,000 tries each) and lost 7 and 2 % on two of them.
const SMOOTH: Temper = Temper {
    heat: 0.0003,
    critical: 0,
};
/// Where it does not, most changes cost nothing and the others a whole operation: only what the end waits for is
/// worth a change, and steps are large. Chosen on ft10, la19 and la27 with 100,000 tries each: heats of 0.001 to 0.004
/// stayed 2 to 6 % above the optimum, 0.01 and 0.02 came within 0 to 3 %.
const STEPPED: Temper = Temper {
    heat: 0.01,
    critical: 90,
};

/// Length of the first cycle.
const FIRST_CYCLE: u64 = 400;

pub(super) struct Search<'s, 'p> {
    pub shop: &'s Shop<'p>,
    pub options: &'s Options,
    rng: Rng,
    pub tries: u64,
    temper: Temper,
}

/// A decision, and what came of it.
#[derive(Clone)]
struct State {
    decision: Decision,
    /// As early as it goes.
    slots: Vec<Option<Slot>>,
    /// What the last completion and the late ones waited for.
    blocks: Rc<Vec<Block>>,
    cost: f64,
}

impl<'s, 'p> Search<'s, 'p> {
    pub(super) fn new(shop: &'s Shop<'p>, options: &'s Options) -> Self {
        let temper = if shop.problem.weights.mean_flow > 0 {
            SMOOTH
        } else {
            STEPPED
        };
        Self {
            shop,
            options,
            rng: Rng(options.seed),
            tries: 0,
            temper,
        }
    }

    pub(super) fn run(
        &mut self,
        on_better: &mut dyn FnMut(&Schedule, &Score),
        keep_going: &dyn Fn() -> bool,
    ) -> Result<Schedule, Stuck> {
        if let Some((decision, engine)) = self.resume() {
            return self.improve(decision, engine, on_better, keep_going);
        }
        // Full loads first. What leaves a vessel together may be more than the next station takes in time: then
        // smaller loads, down to single bolts. The first reason is the one worth telling.
        let mut reason = None;
        for most in [u32::MAX, 2, 1] {
            let found = self
                .begin(most, keep_going)
                .and_then(|(decision, engine)| self.improve(decision, engine, on_better, keep_going));
            match found {
                Ok(schedule) => return Ok(schedule),
                Err(stuck) => reason = reason.or(Some(stuck)),
            }
        }
        Err(reason.unwrap_or(Stuck::IN_A_CIRCLE))
    }

    /// The best plan found by changing this decision, itself included.
    fn improve(
        &mut self,
        decision: Decision,
        mut engine: Engine<'s, 'p>,
        on_better: &mut dyn FnMut(&Schedule, &Score),
        keep_going: &dyn Fn() -> bool,
    ) -> Result<Schedule, Stuck> {
        let at_first = Rc::clone(&decision.wishes);
        let outcome = engine.run(&decision.pieces, &decision.keys, &decision.wishes, f64::INFINITY);
        let worth = match outcome {
            Some(Outcome::Done(worth)) => worth,
            Some(Outcome::Stuck(stuck)) => return Err(stuck),
            Some(Outcome::Dear) | None => return Err(Stuck::IN_A_CIRCLE),
        };
        let found = engine.board.slots.clone();
        let (slots, cost) = self.finish(&mut engine, worth);
        let mut state = self.state(decision, found, cost);
        let mut best = (state.clone(), self.tell(&slots, on_better));
        let (mut cycle, mut at) = (FIRST_CYCLE, 0);
        while self.tries < self.options.tries && keep_going() {
            if at == cycle {
                (state, cycle, at) = (best.0.clone(), cycle * 2, 0);
            }
            self.tries += 1;
            at += 1;
            let cooled = 1.0 - at as f64 / cycle as f64;
            let heat = best.0.cost * self.temper.heat * cooled * cooled;
            let limit = state.cost - heat * self.rng.unit().max(1e-12).ln();
            let Some((next, slots)) = self.attempt(&mut engine, &state, &at_first, limit) else {
                continue;
            };
            state = next;
            if state.cost < best.0.cost - 1e-9 {
                best = (state.clone(), self.tell(&slots, on_better));
            }
        }
        Ok(best.1)
    }

    /// A changed decision, if its plan costs no more than `limit`.
    fn attempt(
        &mut self,
        engine: &mut Engine,
        from: &State,
        at_first: &[super::board::Wish],
        limit: f64,
    ) -> Option<(State, Vec<Option<Slot>>)> {
        let mut decision = from.decision.clone();
        let starts: Vec<Minute> = from.slots.iter().map(|s| s.map_or(0, |s| s.start)).collect();
        if self.options.unrest > 0.0 && self.rng.below(3) == 0 {
            wish(self.shop, &mut self.rng, &mut decision, at_first);
        } else if self.rng.below(50) == 0 {
            // Once in a while: the order in which things now start.
            decision.keys = starts;
        } else if self.temper.critical > 0 && self.rng.below(100) < self.temper.critical {
            if !critical::change(&mut self.rng, &mut decision, &from.blocks, starts) {
                return None;
            }
        } else if !change(self.shop, &mut self.rng, &mut decision, &starts) {
            return None;
        }
        let outcome = engine.run(&decision.pieces, &decision.keys, &decision.wishes, limit)?;
        let Outcome::Done(worth) = outcome else {
            return None;
        };
        if worth.without_flow(self.shop) > limit {
            return None;
        }
        let found = engine.board.slots.clone();
        let (slots, cost) = self.finish(engine, worth);
        (cost <= limit).then(|| (self.state(decision, found, cost), slots))
    }

    fn state(&self, decision: Decision, slots: Vec<Option<Slot>>, cost: f64) -> State {
        State {
            decision,
            blocks: Rc::new(if self.temper.critical > 0 {
                critical::blocks(self.shop, &slots)
            } else {
                Vec::new()
            }),
            slots,
            cost,
        }
    }

    /// The slots of the present plan and its cost, after the choice of [`Options::just_in_time`].
    fn finish(&self, engine: &mut Engine, worth: Worth) -> (Vec<Option<Slot>>, f64) {
        let soon = worth.cost(self.shop) + self.unrest(&engine.board.slots);
        if self.options.just_in_time {
            let (slots, worth) = engine.just_in_time();
            // Something else may now hold a table for longer; the earlier plan stands if it is no worse.
            let late = worth.cost(self.shop) + self.unrest(&slots);
            if late <= soon {
                return (slots, late);
            }
        }
        (engine.board.slots.clone(), soon)
    }

    /// What the changes against the plan that the search started from cost.
    fn unrest(&self, slots: &[Option<Slot>]) -> f64 {
        let Some(before) = self.options.start.as_ref().filter(|_| self.options.unrest > 0.0) else {
            return 0.0;
        };
        let mut unrest = Unrest::default();
        for (task, slot) in slots.iter().enumerate() {
            let was = self.shop.spot(task as u32).and_then(|at| before.placed.get(&at));
            if let (Some(was), Some(slot)) = (was, slot) {
                unrest.add(was, &self.placed(task, slot), self.options.now);
            }
        }
        unrest.points as f64 * self.options.unrest
    }

    fn tell(&self, slots: &[Option<Slot>], on_better: &mut dyn FnMut(&Schedule, &Score)) -> Schedule {
        let schedule = self.schedule(slots);
        if let Some(score) = schedule.score(self.shop.problem) {
            on_better(&schedule, &score);
        }
        schedule
    }

    fn placed(&self, task: usize, slot: &Slot) -> Placed {
        Placed {
            start: slot.start,
            end: slot.end,
            mode: self.shop.kinds[self.shop.kind[task] as usize].choices[slot.choice].mode,
        }
    }

    fn schedule(&self, slots: &[Option<Slot>]) -> Schedule {
        let mut schedule = Schedule::default();
        for (task, slot) in slots.iter().enumerate() {
            let Some(slot) = slot else { continue };
            if let Some(spot) = self.shop.spot(task as u32) {
                schedule.placed.insert(spot, self.placed(task, slot));
            } else if let Some(lot) = self.shop.approval.iter().position(|a| *a == Some(task as u32)) {
                schedule.approvals.insert(lot, Window::new(slot.start, slot.end));
            }
        }
        schedule
    }
}
