//! Work that takes longer than a page may: begun when first asked for, asked again until it is done, and stopped once
//! nobody asks any more. What it came to is kept for the next who asks.

use std::any::Any;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::{Duration, Instant};

/// Pieces of work that are kept.
const MOST: usize = 48;
/// Work that nobody asked about for so long is left: its page is gone.
const LEASE: Duration = Duration::from_secs(4);
/// How long one request waits for the end of the work.
const WAIT: Duration = Duration::from_millis(400);

/// All work under way or done.
#[derive(Default)]
pub struct Bench {
    held: Mutex<Vec<(String, Arc<Job>)>>,
}

struct Job {
    /// Share done, in millionths.
    share: AtomicU32,
    asked: Mutex<Instant>,
    over: AtomicBool,
    done: OnceLock<Arc<dyn Any + Send + Sync>>,
}

/// How far a piece of work is.
pub enum State<T> {
    /// Done.
    Done(Arc<T>),
    /// Going on: the share done, 0..1.
    Going(f64),
    /// It ended without a result.
    Failed,
}

/// Marks a job as over, however its work ends.
struct Over(Arc<Job>);

impl Drop for Over {
    fn drop(&mut self) {
        self.0.over.store(true, Ordering::Release);
    }
}

impl Job {
    fn wanted(&self) -> bool {
        lock(&self.asked).elapsed() < LEASE
    }
    fn result<T: Send + Sync + 'static>(&self) -> Option<Arc<T>> {
        self.done.get()?.clone().downcast().ok()
    }
}

impl Bench {
    /// Asks for a piece of work. `name` says everything that it depends on. `work` tells how far it is, and goes on only
    /// while it is answered true; what a stopped work returns is thrown away.
    pub async fn ask<T: Send + Sync + 'static>(
        &self,
        name: &str,
        work: impl FnOnce(&dyn Fn(f64) -> bool) -> T + Send + 'static,
    ) -> State<T> {
        let job = self.job(name, work);
        let begun = Instant::now();
        loop {
            if let Some(done) = job.result() {
                return State::Done(done);
            }
            if job.over.load(Ordering::Acquire) {
                // The result may have come between the two looks.
                return job.result().map_or(State::Failed, State::Done);
            }
            if begun.elapsed() > WAIT {
                return State::Going(f64::from(job.share.load(Ordering::Relaxed)) * 1e-6);
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// What a piece of work came to, if it is done.
    pub fn known<T: Send + Sync + 'static>(&self, name: &str) -> Option<Arc<T>> {
        let held = lock(&self.held);
        held.iter().find(|(known, _)| known == name)?.1.result()
    }

    fn job<T: Send + Sync + 'static>(
        &self,
        name: &str,
        work: impl FnOnce(&dyn Fn(f64) -> bool) -> T + Send + 'static,
    ) -> Arc<Job> {
        let mut held = lock(&self.held);
        // A page that comes back to work that was left begins it again.
        held.retain(|(_, job)| job.done.get().is_some() || !job.over.load(Ordering::Acquire));
        if let Some((_, job)) = held
            .iter()
            .find(|(known, job)| known == name && (job.done.get().is_some() || job.wanted()))
        {
            *lock(&job.asked) = Instant::now();
            return job.clone();
        }
        if held.len() >= MOST {
            held.remove(0);
        }
        let job = Arc::new(Job {
            share: AtomicU32::new(0),
            asked: Mutex::new(Instant::now()),
            over: AtomicBool::new(false),
            done: OnceLock::new(),
        });
        held.push((name.to_string(), job.clone()));
        let over = Over(job.clone());
        tokio::task::spawn_blocking(move || {
            let job = &over.0;
            let made = work(&|share| {
                job.share
                    .store((share.clamp(0.0, 1.0) * 1e6) as u32, Ordering::Relaxed);
                job.wanted()
            });
            if job.wanted() {
                // Nobody else sets it.
                let _ = job.done.set(Arc::new(made));
            }
        });
        job
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::{Bench, State};
    use std::sync::Arc;
    use std::sync::atomic::{AtomicU32, Ordering};

    /// Work is begun once, says how far it is, and is kept; work that dies is told as such.
    #[tokio::test]
    async fn work_is_asked_for_until_it_is_done() {
        let bench = Bench::default();
        let begun = Arc::new(AtomicU32::new(0));
        let gate = Arc::new(std::sync::Barrier::new(2));
        let work = |begun: Arc<AtomicU32>, gate: Arc<std::sync::Barrier>| {
            move |go_on: &dyn Fn(f64) -> bool| {
                begun.fetch_add(1, Ordering::Relaxed);
                assert!(go_on(0.25));
                gate.wait();
                7_u8
            }
        };
        match bench.ask("seven", work(begun.clone(), gate.clone())).await {
            State::Going(share) => assert!((share - 0.25).abs() < 1e-6, "{share}"),
            _ => panic!("it waits at the barrier"),
        }
        assert!(bench.known::<u8>("seven").is_none());
        gate.wait();
        for _ in 0..3 {
            let State::Done(done) = bench.ask("seven", work(begun.clone(), gate.clone())).await else {
                panic!("nothing holds it");
            };
            assert_eq!(*done, 7);
        }
        assert_eq!(
            (
                begun.load(Ordering::Relaxed),
                bench.known::<u8>("seven").as_deref()
            ),
            (1, Some(&7))
        );
        // A loaded machine may need more than one wait to see that it died.
        let broken = || bench.ask::<u8>("broken", |_| std::panic::resume_unwind(Box::new("on purpose")));
        let mut state = broken().await;
        while matches!(state, State::Going(_)) {
            state = broken().await;
        }
        assert!(matches!(state, State::Failed));
    }
}
