//! Long work by name: whoever asks for what is being worked out waits for the same answer, and the answer is kept for the
//! next who asks. Work that nobody waits for any more is ended.

use super::kiln::Kiln;
use super::work::teller;
use axum::http::StatusCode;
use std::any::Any;
use std::pin::pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::watch;

/// Pieces of work that are kept.
const MOST: usize = 48;

/// All work under way or done.
pub struct Bench {
    kiln: Arc<Kiln>,
    held: Arc<Mutex<Vec<(String, Job)>>>,
}

/// Who waits for it holds a receiver.
type Job = Arc<watch::Sender<State>>;

#[derive(Clone)]
enum State {
    /// The share done, 0..1.
    Going(f64),
    Done(Arc<dyn Any + Send + Sync>),
    Failed,
}

impl State {
    fn result<T: Send + Sync + 'static>(self) -> Option<Arc<T>> {
        match self {
            Self::Done(done) => done.downcast().ok(),
            Self::Going(_) | Self::Failed => None,
        }
    }
}

impl Bench {
    /// A bench whose work stands still while the kiln serves somebody who looks at cloth.
    pub fn new(kiln: Arc<Kiln>) -> Self {
        Self {
            kiln,
            held: Arc::default(),
        }
    }

    /// Asks for a piece of work. `name` says everything that it depends on. `work` tells how far it is, and goes on only
    /// while it is answered true.
    ///
    /// # Errors
    /// The status to answer with where the work ended without a result.
    pub async fn ask<T: Send + Sync + 'static>(
        &self,
        name: &str,
        work: impl FnOnce(&dyn Fn(f64) -> bool) -> T + Send + 'static,
    ) -> Result<Arc<T>, StatusCode> {
        let mut heard = self.job(name, work);
        let tell = teller();
        loop {
            let state = heard.borrow_and_update().clone();
            match state {
                State::Going(share) => tell(share),
                over => return over.result().ok_or(StatusCode::INTERNAL_SERVER_ERROR),
            }
            if heard.changed().await.is_err() {
                return Err(StatusCode::SERVICE_UNAVAILABLE);
            }
        }
    }

    /// What a piece of work came to, if it is done.
    pub fn known<T: Send + Sync + 'static>(&self, name: &str) -> Option<Arc<T>> {
        let held = lock(&self.held);
        let job = &held.iter().find(|(known, _)| known == name)?.1;
        let state = job.borrow().clone();
        state.result()
    }

    fn job<T: Send + Sync + 'static>(
        &self,
        name: &str,
        work: impl FnOnce(&dyn Fn(f64) -> bool) -> T + Send + 'static,
    ) -> watch::Receiver<State> {
        let mut held = lock(&self.held);
        if let Some((_, job)) = held.iter().find(|(known, _)| known == name) {
            return job.subscribe();
        }
        if held.len() >= MOST {
            held.remove(0);
        }
        let (job, heard) = watch::channel(State::Going(0.0));
        let job = Arc::new(job);
        held.push((name.to_string(), job.clone()));
        tokio::spawn(run(self.kiln.clone(), self.held.clone(), job, work));
        heard
    }
}

/// Does the work, unless everybody leaves.
async fn run<T: Send + Sync + 'static>(
    kiln: Arc<Kiln>,
    held: Arc<Mutex<Vec<(String, Job)>>>,
    job: Job,
    work: impl FnOnce(&dyn Fn(f64) -> bool) -> T + Send + 'static,
) {
    let forget = |held: &mut Vec<(String, Job)>| held.retain(|(_, other)| !Arc::ptr_eq(other, &job));
    let hears = job.clone();
    let share = move |share: f64| drop(hears.send_replace(State::Going(share)));
    let mut done = pin!(kiln.long(share, move |keep_going| work(keep_going)));
    let done = loop {
        tokio::select! {
            done = &mut done => break done,
            () = job.closed() => {
                // Whoever joins does so under the lock: who is not there now finds no work to join.
                let mut held = lock(&held);
                if job.is_closed() {
                    forget(&mut held);
                    return;
                }
            }
        }
    };
    match done {
        Ok(made) => drop(job.send_replace(State::Done(Arc::new(made)))),
        Err(_) => {
            forget(&mut lock(&held));
            job.send_replace(State::Failed);
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::Bench;
    use crate::studio::kiln::Kiln;
    use std::sync::atomic::{AtomicU32, Ordering};
    use std::sync::{Arc, Barrier};
    use tokio::sync::oneshot;

    fn bench() -> Arc<Bench> {
        Arc::new(Bench::new(Arc::new(Kiln::new().expect("threads"))))
    }

    /// Two who ask for the same wait for one piece of work, and a third finds it done; work that dies is told as such
    /// and can be asked for again.
    #[tokio::test(flavor = "multi_thread")]
    async fn work_is_done_once_for_all_who_ask() {
        let (bench, begun, gate) = (bench(), Arc::new(AtomicU32::new(0)), Arc::new(Barrier::new(2)));
        let opened = gate.clone();
        let ask = || {
            let (bench, begun, gate) = (bench.clone(), begun.clone(), gate.clone());
            async move {
                let work = move |go_on: &dyn Fn(f64) -> bool| {
                    begun.fetch_add(1, Ordering::Relaxed);
                    assert!(go_on(0.25));
                    gate.wait();
                    7_u8
                };
                bench.ask("seven", work).await.map(|seven| *seven)
            }
        };
        let (first, second) = (tokio::spawn(ask()), tokio::spawn(ask()));
        assert!(bench.known::<u8>("seven").is_none());
        tokio::task::spawn_blocking(move || opened.wait()).await.unwrap();
        for one in [first.await.unwrap(), second.await.unwrap(), ask().await] {
            assert_eq!(one, Ok(7));
        }
        assert_eq!(begun.load(Ordering::Relaxed), 1);
        assert_eq!(bench.known::<u8>("seven").as_deref(), Some(&7));
        for _ in 0..2 {
            let broken = bench.ask::<u8>("broken", |_| std::panic::resume_unwind(Box::new("on purpose")));
            assert!(broken.await.is_err());
        }
    }

    /// The work hears that everybody has left; who comes then begins it anew.
    #[tokio::test(flavor = "multi_thread")]
    async fn work_ends_when_nobody_waits() {
        let bench = bench();
        let (tell, begun) = oneshot::channel();
        let (told, ended) = oneshot::channel();
        let left = tokio::spawn({
            let bench = bench.clone();
            async move {
                let work = move |go_on: &dyn Fn(f64) -> bool| {
                    tell.send(()).unwrap();
                    while go_on(0.5) {
                        std::thread::yield_now();
                    }
                    told.send(()).unwrap();
                };
                bench.ask("endless", work).await.is_ok()
            }
        });
        begun.await.unwrap();
        left.abort();
        ended.await.unwrap();
        assert_eq!(bench.ask("endless", |_| 1_u8).await.map(|one| *one), Ok(1));
    }
}
