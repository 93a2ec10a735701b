//! Where the search begins: the best order of whole lots, or a plan that there is already.

use super::board::Wish;
use super::engine::{Engine, Outcome};
use super::moves::Decision;
use super::orders;
use super::pieces::Pieces;
use super::place::Stuck;
use super::search::Search;
use crate::Minute;
use std::rc::Rc;

impl<'s, 'p> Search<'s, 'p> {
    /// The decision of [`super::Options::start`], as far as it still fits: with the plan's starts and tables if unrest
    /// counts, else with its order and batches alone. `None` where there is no such plan, or nothing of it fits.
    pub(super) fn resume(&mut self) -> Option<(Decision, Engine<'s, 'p>)> {
        let before = self.options.start.as_ref()?;
        let shop = self.shop;
        let was: Vec<_> = (0..shop.kind.len() as u32)
            .map(|task| before.placed.get(&shop.spot(task)?).copied())
            .collect();
        let approved = |task: u32| {
            let lot = shop.approval.iter().position(|a| *a == Some(task))?;
            before.approvals.get(&lot).map(|w| w.start)
        };
        let starts: Vec<Option<Minute>> = (0..shop.kind.len() as u32)
            .map(|task| was[task as usize].map(|p| p.start).or_else(|| approved(task)))
            .collect();
        let batches = orders::batches_of(shop, &starts);
        let pieces = Rc::new(Pieces::new(shop, &batches)?);
        // What the plan does not have comes after all that it has, lot by lot.
        let lots: Vec<usize> = (0..shop.problem.lots.len()).collect();
        let last = starts.iter().flatten().max().copied().unwrap_or(0);
        let keys: Vec<Minute> = orders::keys(shop, &lots)
            .iter()
            .zip(&starts)
            .map(|(key, start)| start.unwrap_or(last + 1 + key.max(&0)))
            .collect();
        let wish = |task: usize| {
            let choices = &shop.kinds[shop.kind[task] as usize].choices;
            let table =
                was[task].and_then(|p| choices.iter().position(|c| c.mode == p.mode && c.mode.is_some()));
            Wish {
                choice: table,
                not_before: starts[task].unwrap_or(0),
            }
        };
        let kept: Vec<Wish> = (0..shop.kind.len()).map(wish).collect();
        let free = self.free();
        let mut engine = Engine::new(shop, Rc::clone(&pieces));
        let wished = if self.options.unrest > 0.0 {
            vec![kept, free]
        } else {
            vec![free]
        };
        for wishes in wished {
            if let Some(Outcome::Done(_)) = engine.run(&pieces, &keys, &wishes, f64::INFINITY) {
                let decision = Decision {
                    keys: engine.positions(),
                    batches,
                    pieces,
                    wishes: Rc::new(wishes),
                };
                return Some((decision, engine));
            }
        }
        None
    }

    /// The best order of lots, in loads of at most `most` bolts.
    pub(super) fn begin(
        &mut self,
        most: u32,
        keep_going: &dyn Fn() -> bool,
    ) -> Result<(Decision, Engine<'s, 'p>), Stuck> {
        let batches = orders::batches(self.shop, most);
        let pieces = Rc::new(Pieces::new(self.shop, &batches).ok_or(Stuck::IN_A_CIRCLE)?);
        let mut engine = Engine::new(self.shop, Rc::clone(&pieces));
        let order = self.order_lots(&mut engine, &pieces, keep_going)?;
        let (keys, free) = (orders::keys(self.shop, &order), self.free());
        engine
            .run(&pieces, &keys, &free, f64::INFINITY)
            .ok_or(Stuck::IN_A_CIRCLE)?;
        let decision = Decision {
            keys: engine.positions(),
            batches,
            pieces,
            wishes: Rc::new(free),
        };
        Ok((decision, engine))
    }

    /// Nothing wished for.
    fn free(&self) -> Vec<Wish> {
        vec![Wish::default(); self.shop.kind.len()]
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
        let mut stuck = Stuck::IN_A_CIRCLE;
        let free = self.free();
        for order in orders::lots(self.shop) {
            self.tries += 1;
            match engine.run(pieces, &orders::keys(self.shop, &order), &free, f64::INFINITY) {
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
                let run = engine.run(pieces, &orders::keys(self.shop, &other), &free, cost);
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
}
