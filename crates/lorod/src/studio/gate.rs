//! Who draws next. Three lanes: a quick one for what somebody is looking at, a slow one for every other picture, and one
//! for questions that take seconds. The work of both slower lanes stands still while the quick lane is busy.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::oneshot;

/// How soon a picture is wanted; the first goes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    /// A rough picture right after a change.
    Glance,
    /// The cloth that is looked at, each pixel for itself.
    View,
    /// The same, where a pixel is the mean of several samples.
    Smooth,
    /// The film strip.
    Strip,
    /// Everything else: swatches, palettes, papers.
    Rest,
    /// What is no picture and takes seconds: windows, recipes.
    Long,
}

/// The gate.
pub struct Gate {
    lanes: Mutex<[Lane; LANES]>,
    quiet: Condvar,
    closed: AtomicBool,
}

struct Lane {
    free: usize,
    /// Rough pictures being drawn: until they are there, nothing finer begins beside them.
    rough: usize,
    next: u64,
    waiting: BTreeMap<(Rank, u64), oneshot::Sender<Turn>>,
}

/// The right to work, until it is dropped.
pub struct Turn {
    gate: Arc<Gate>,
    rank: Rank,
}

/// Why there is no turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoTurn {
    /// Too many wait.
    Busy,
    /// The gate is closed.
    Closed,
}

/// Lanes there are.
pub const LANES: usize = 3;
/// Requests of one lane that may wait: a browser opens six connections, a phone and a laptop twelve.
const MOST_WAITING: usize = 64;
/// How long slow work stands still before it looks whether anybody still waits for it.
const LOOK: Duration = Duration::from_millis(100);

impl Rank {
    /// The lane: 0 is quick, 1 slow, 2 long.
    pub const fn lane(self) -> usize {
        match self {
            Self::Glance | Self::View | Self::Smooth => 0,
            Self::Strip | Self::Rest => 1,
            Self::Long => 2,
        }
    }
}

impl Gate {
    /// Turns that the quick and the slow lane give at once; the long one gives one.
    pub fn new(quick: usize, slow: usize) -> Arc<Self> {
        let lane = |free| Lane {
            free,
            rough: 0,
            next: 0,
            waiting: BTreeMap::new(),
        };
        Arc::new(Self {
            lanes: Mutex::new([lane(quick), lane(slow), lane(1)]),
            quiet: Condvar::new(),
            closed: AtomicBool::new(false),
        })
    }

    /// Waits for a turn. Dropping the future gives the place in the queue back.
    ///
    /// # Errors
    /// [`NoTurn`].
    pub async fn enter(self: &Arc<Self>, rank: Rank) -> Result<Turn, NoTurn> {
        let heard = {
            let mut lanes = self.lock();
            let lane = &mut lanes[rank.lane()];
            if self.closed.load(Ordering::Relaxed) {
                return Err(NoTurn::Closed);
            }
            lane.waiting.retain(|_, sender| !sender.is_closed());
            if lane.admits(rank) {
                lane.begin(rank);
                return Ok(Turn {
                    gate: self.clone(),
                    rank,
                });
            }
            if lane.waiting.len() >= MOST_WAITING {
                return Err(NoTurn::Busy);
            }
            let (tell, heard) = oneshot::channel();
            lane.waiting.insert((rank, lane.next), tell);
            lane.next += 1;
            heard
        };
        heard.await.map_err(|_| NoTurn::Closed)
    }

    /// Stands still while somebody is served in the quick lane, unless the work is stopped meanwhile.
    pub fn give_way(&self, stop: &AtomicBool) {
        let mut lanes = self.lock();
        while lanes[0].waiting.values().any(|s| !s.is_closed()) || lanes[0].busy(QUICK) {
            if stop.load(Ordering::Relaxed) || self.closed.load(Ordering::Relaxed) {
                return;
            }
            lanes = self
                .quiet
                .wait_timeout(lanes, LOOK)
                .unwrap_or_else(PoisonError::into_inner)
                .0;
        }
    }

    /// Is it closed?
    pub fn closed(&self) -> bool {
        self.closed.load(Ordering::Relaxed)
    }

    /// Lets nobody in any more.
    pub fn close(&self) {
        self.closed.store(true, Ordering::Relaxed);
        self.lock().iter_mut().for_each(|lane| lane.waiting.clear());
        self.quiet.notify_all();
    }

    fn lock(&self) -> MutexGuard<'_, [Lane; LANES]> {
        self.lanes.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Turns that the quick lane gives at once: while one picture is packed, the next is drawn.
pub const QUICK: usize = 2;

impl Lane {
    fn admits(&self, rank: Rank) -> bool {
        self.free > 0 && (rank == Rank::Glance || self.rough == 0)
    }
    fn begin(&mut self, rank: Rank) {
        self.free -= 1;
        self.rough += usize::from(rank == Rank::Glance);
    }
    fn end(&mut self, rank: Rank) {
        self.free += 1;
        self.rough -= usize::from(rank == Rank::Glance);
    }
    /// Those whose turn it is now, in order.
    fn called(&mut self) -> Vec<(Rank, oneshot::Sender<Turn>)> {
        let mut called = Vec::new();
        while let Some((rank, _)) = self.waiting.keys().next().copied() {
            if !self.admits(rank) {
                break;
            }
            let Some((_, tell)) = self.waiting.pop_first() else {
                break;
            };
            self.begin(rank);
            called.push((rank, tell));
        }
        called
    }
    fn busy(&self, all: usize) -> bool {
        self.free < all
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        let called = {
            let mut lanes = self.gate.lock();
            let lane = &mut lanes[self.rank.lane()];
            lane.end(self.rank);
            lane.called()
        };
        self.gate.quiet.notify_all();
        for (rank, tell) in called {
            // Whoever is gone gives the turn back by dropping it.
            let _ = tell.send(Turn {
                gate: self.gate.clone(),
                rank,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Gate, NoTurn, Rank};
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::sync::{Arc, Mutex};

    /// What is looked at goes first, however late it came; who has left is passed by.
    #[tokio::test]
    async fn the_first_rank_goes_first() {
        let gate = Gate::new(2, 1);
        let held = gate.enter(Rank::Rest).await.ok();
        assert!(held.is_some());
        let order = Arc::new(Mutex::new(Vec::new()));
        let mut tasks = Vec::new();
        for (name, rank) in [("swatch", Rank::Rest), ("frame", Rank::Strip)] {
            let (gate, order) = (gate.clone(), order.clone());
            tasks.push(tokio::spawn(async move {
                let turn = gate.enter(rank).await;
                order.lock().unwrap().push(name);
                drop(turn);
            }));
            tokio::task::yield_now().await;
        }
        let gone = tokio::spawn({
            let gate = gate.clone();
            async move { gate.enter(Rank::Strip).await.is_ok() }
        });
        tokio::task::yield_now().await;
        gone.abort();
        let _ = gone.await;
        drop(held);
        for task in tasks {
            task.await.unwrap();
        }
        assert_eq!(*order.lock().unwrap(), ["frame", "swatch"]);
    }

    /// While a rough picture is drawn nothing finer begins beside it; then every free turn is given.
    #[tokio::test]
    async fn rough_pictures_have_every_core() {
        let gate = Gate::new(2, 1);
        let rough = gate.enter(Rank::Glance).await.ok();
        assert!(rough.is_some());
        let mut fine = Vec::new();
        for _ in 0..2 {
            let gate = gate.clone();
            fine.push(tokio::spawn(async move { gate.enter(Rank::View).await.ok() }));
            tokio::task::yield_now().await;
        }
        assert!(fine.iter().all(|one| !one.is_finished()));
        let other = gate.enter(Rank::Glance).await.ok();
        assert!(other.is_some(), "another rough one finds its turn");
        drop(other);
        tokio::task::yield_now().await;
        assert!(fine.iter().all(|one| !one.is_finished()));
        drop(rough);
        let mut turns = Vec::new();
        for one in fine {
            turns.push(one.await.unwrap());
        }
        assert!(turns.iter().all(Option::is_some), "both at once");
    }

    /// Slow work waits for quick work, and for nothing once it is stopped or the gate is closed.
    #[tokio::test]
    async fn slow_work_gives_way() {
        let gate = Gate::new(2, 1);
        let quick = gate.enter(Rank::View).await.ok();
        let went_on = Arc::new(AtomicBool::new(false));
        let slow = std::thread::spawn({
            let (gate, went_on) = (gate.clone(), went_on.clone());
            move || {
                gate.give_way(&AtomicBool::new(false));
                went_on.store(true, Ordering::Relaxed);
            }
        });
        assert!(!went_on.load(Ordering::Relaxed));
        gate.give_way(&AtomicBool::new(true));
        drop(quick);
        slow.join().unwrap();
        assert!(went_on.load(Ordering::Relaxed));
        gate.close();
        assert_eq!(gate.enter(Rank::View).await.err(), Some(NoTurn::Closed));
    }
}
