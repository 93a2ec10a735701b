//! A plan: what starts when, and what it is worth.

use crate::{Minute, Problem, Window};
use std::collections::BTreeMap;

/// One operation of one bolt. All three count from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot {
    /// Place of the lot in [`Problem::lots`].
    pub lot: usize,
    /// Number of the bolt.
    pub bolt: u32,
    /// Place of the operation in the lot's route.
    pub operation: usize,
}

/// When and how an operation runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Placed {
    /// First minute.
    pub start: Minute,
    /// First minute after, rests included.
    pub end: Minute,
    /// Place of the chosen mode, where the operation has modes.
    pub mode: Option<usize>,
}

/// A plan. It may be incomplete or wrong: [`crate::judge::check`] says so.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Schedule {
    /// Operations.
    pub placed: BTreeMap<Spot, Placed>,
    /// Approvals, by lot.
    pub approvals: BTreeMap<usize, Window>,
}

/// What a plan is worth. Less is better everywhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Sum over lots of weight x minutes late.
    pub weighted_tardiness: Minute,
    /// Minutes from the origin to the last completion.
    pub makespan: Minute,
    /// Mean over bolts of last end minus first start, minutes.
    pub mean_flow: f64,
    /// The three by the problem's weights.
    pub total: f64,
    /// Lots that are late, with minutes.
    pub late: Vec<(usize, Minute)>,
}

impl Schedule {
    /// When an operation runs.
    pub fn get(&self, lot: usize, bolt: u32, operation: usize) -> Option<Placed> {
        self.placed.get(&Spot { lot, bolt, operation }).copied()
    }
    /// What starts before a minute: what has begun by then, or stands within a horizon that is not to be touched.
    pub fn begun(&self, by: Minute) -> Vec<(Spot, Placed)> {
        let before = self.placed.iter().filter(|(_, p)| p.start < by);
        before.map(|(at, p)| (*at, *p)).collect()
    }
    /// When the last bolt of a lot is done; `None` while a bolt is not planned to its end.
    pub fn completion(&self, problem: &Problem, lot: usize) -> Option<Minute> {
        let l = problem.lots.get(lot)?;
        let last = l.route.len().checked_sub(1)?;
        (0..l.bolts)
            .map(|b| self.get(lot, b, last).map(|p| p.end))
            .try_fold(Minute::MIN, |a, b| Some(a.max(b?)))
    }
    /// What the plan is worth; `None` if it is incomplete.
    pub fn score(&self, problem: &Problem) -> Option<Score> {
        let (mut tardiness, mut makespan, mut flow) = (0, 0, 0);
        let mut late = Vec::new();
        for (i, lot) in problem.lots.iter().enumerate() {
            let done = self.completion(problem, i)?;
            makespan = makespan.max(done - problem.weights.origin);
            if done > lot.due {
                tardiness += Minute::from(lot.weight) * (done - lot.due);
                late.push((i, done - lot.due));
            }
            for bolt in 0..lot.bolts {
                flow += self.get(i, bolt, lot.route.len() - 1)?.end - self.get(i, bolt, 0)?.start;
            }
        }
        let mean_flow = flow as f64 / problem.bolts().max(1) as f64;
        let w = problem.weights;
        let total = f64::from(w.tardiness) * tardiness as f64
            + f64::from(w.makespan) * makespan as f64
            + f64::from(w.mean_flow) * mean_flow;
        Some(Score {
            weighted_tardiness: tardiness,
            makespan,
            mean_flow,
            total,
            late,
        })
    }
}
