//! The response surface held against direct runs, at ways that nobody chose.

use super::response::{REGIONS, Response};
use super::sweep::{Strength, Way};
use crate::{Bolt, Region};
use field::{hash2, unit};
use route::Workshop;

/// How far the surface was from direct runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Direct runs.
    pub runs: u32,
    /// Of the ground; `None` where there is none.
    pub ground: Option<Off>,
    /// Of the motif; `None` where there is none.
    pub motif: Option<Off>,
}

/// Distances of surface and direct run, dE00.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// Mean.
    pub mean: f64,
    /// 95 of 100 are no farther.
    pub most: f64,
    /// Farthest.
    pub worst: f64,
}

impl Off {
    fn of(mut all: Vec<f64>) -> Option<Self> {
        all.sort_by(f64::total_cmp);
        let worst = *all.last()?;
        let at = (all.len() * 95).div_ceil(100).max(1) - 1;
        Some(Self {
            mean: all.iter().sum::<f64>() / all.len() as f64,
            most: all[at],
            worst,
        })
    }
}

impl Held {
    /// The larger of both regions' figures; zeros if nothing was compared.
    pub fn worst(&self) -> Off {
        let none = Off {
            mean: 0.0,
            most: 0.0,
            worst: 0.0,
        };
        [self.ground, self.motif]
            .into_iter()
            .flatten()
            .fold(none, |a, b| Off {
                mean: a.mean.max(b.mean),
                most: a.most.max(b.most),
                worst: a.worst.max(b.worst),
            })
    }
}

/// Seed of the ways: the same for every response, so that two answers can be compared.
const WAYS: u32 = 77;

impl Response {
    /// Runs the whole rest of the route for `runs` ways of doing the step and compares. Durations reach from about a
    /// quarter to four times the design's, inside the grid; everything else stays within what 95 of 100 bolts do.
    /// `keep_going` hears the share done and may end it early. `bolt` and `shop` are those of [`Response::new`].
    pub fn held_against(
        &self,
        bolt: &Bolt,
        shop: &Workshop,
        runs: u32,
        keep_going: &dyn Fn(f64) -> bool,
    ) -> Held {
        let regions = [Region::Ground, Region::Motif];
        let mut off: [Vec<f64>; REGIONS] = Default::default();
        let mut done = 0;
        for n in 0..runs {
            if !keep_going(f64::from(n) / f64::from(runs)) {
                break;
            }
            let way = self.some_way(n);
            let Some(full) = self.run(bolt, shop, &[way]).pop() else {
                break;
            };
            for ((list, region), full) in off.iter_mut().zip(regions).zip(full) {
                if let (Some(read), Some(full)) = (self.shade(region, &way), full) {
                    list.push(read.distance(full));
                }
            }
            done += 1;
        }
        let [ground, motif] = off.map(Off::of);
        Held {
            runs: done,
            ground,
            motif,
        }
    }

    fn some_way(&self, n: u32) -> Way {
        let s = self.spreads;
        let at = |what: i32| 2.0 * f64::from(unit(hash2(n as i32, what, WAYS))) - 1.0;
        let severity = (1.0 + s.strength).ln().hypot(s.rate.max(1.0).ln());
        // Where strength goes with time, the grid is wider than the durations by what strength may add.
        let widen = match self.sweep.strength {
            Strength::Time => severity.exp(),
            Strength::Setting(_) => 1.0,
        };
        let (short, long) = (self.range.0.0 * widen, self.range.1.0 / widen);
        Way {
            time: (self.designed.0 * (1.4 * at(0)).exp()).max(short).min(long),
            strength: (severity * at(1)).exp(),
            warmer: s.temperature * at(2),
            creep: (s.creep.max(1.0).ln() * at(3)).exp(),
        }
    }
}
