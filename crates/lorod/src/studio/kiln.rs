//! The one worker that develops cloth: a short queue, one thread, stopped when nobody waits any more.

use super::picture::Cut;
use super::shelf::Shelf;
use super::winding::{Winding, wind};
use cloth::{Bolt, Refused, Tiling};
use route::{Design, LotShape, Workshop};
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::Semaphore;

/// Requests that may wait for the worker; a browser opens six connections.
const QUEUE: usize = 64;
/// Memory for finished pictures, bytes.
const SHELF: usize = 96 << 20;
/// Bolts kept ready. Each holds its fold tables and marks, some tens of megabytes at most.
const BOLTS: usize = 8;

/// Which bolt: key of the last step (it rests on all before it and the workshop), lot, bolt.
type BoltKey = ([u8; 32], String, u32);
/// Which picture: bolt, steps done, pixels (x, y, width, height) and bits of the resolution.
type PictureKey = (BoltKey, usize, (i32, i32, u32, u32), u64);

/// What shall be developed.
#[derive(Clone)]
pub struct Work {
    /// The design.
    pub design: Arc<Design>,
    /// The workshop.
    pub shop: Arc<Workshop>,
    /// The lot and the bolt.
    pub lot: LotShape,
    /// Steps done.
    pub steps: usize,
}

/// Why there is no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPicture {
    /// Too many wait already.
    Busy,
    /// The studio closes, or nobody waits any more.
    Stopped,
    /// The picture was refused.
    Refused,
}

/// The worker.
pub struct Kiln {
    pool: rayon::ThreadPool,
    turn: Arc<Semaphore>,
    waiting: Arc<AtomicUsize>,
    closing: Arc<AtomicBool>,
    pictures: Mutex<Shelf<PictureKey>>,
    windings: Mutex<HashMap<(BoltKey, usize), Arc<Winding>>>,
    bolts: Mutex<Vec<(BoltKey, Arc<Bolt>)>>,
}

/// Raised when the request that wanted the work is gone.
struct Gone(Arc<AtomicBool>);

impl Drop for Gone {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// A place in the queue.
struct Place(Arc<AtomicUsize>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

impl Work {
    fn bolt(&self) -> BoltKey {
        let key = self.design.steps.last().map_or([0; 32], |step| step.key);
        (key, self.lot.id.clone(), self.lot.bolt)
    }
    /// Key of the last step that is done: what the picture rests on.
    pub fn key(&self) -> [u8; 32] {
        self.steps
            .checked_sub(1)
            .and_then(|at| self.design.steps.get(at))
            .map_or([0; 32], |step| step.key)
    }
}

impl Kiln {
    /// A worker of one thread: the browser needs the other core.
    pub fn new() -> anyhow::Result<Self> {
        Ok(Self {
            pool: rayon::ThreadPoolBuilder::new()
                .num_threads(1)
                .thread_name(|_| "cloth".into())
                .build()?,
            turn: Arc::new(Semaphore::new(1)),
            waiting: Arc::default(),
            closing: Arc::default(),
            pictures: Mutex::new(Shelf::new(SHELF)),
            windings: Mutex::default(),
            bolts: Mutex::default(),
        })
    }

    /// Ends the work at the next tile and takes no more.
    pub fn close(&self) {
        self.closing.store(true, Ordering::Relaxed);
        self.turn.close();
    }

    /// A picture as PNG.
    ///
    /// # Errors
    /// [`NoPicture`]; dropping the future stops the work.
    pub async fn picture(self: &Arc<Self>, work: Work, cut: Cut) -> Result<Arc<[u8]>, NoPicture> {
        let shot = cut.shot(work.steps);
        let pixels = shot.pixels();
        let key = (
            work.bolt(),
            work.steps,
            (pixels.x0, pixels.y0, pixels.nx, pixels.ny),
            cut.dpi.to_bits(),
        );
        if let Some(ready) = lock(&self.pictures).get(&key) {
            return Ok(ready);
        }
        self.take_turn(move |kiln, stop| {
            // Somebody before us in the queue may have wanted the same.
            if let Some(ready) = lock(&kiln.pictures).get(&key) {
                return Ok(ready);
            }
            let bolt = kiln.bolt(&work);
            let closing = kiln.closing.clone();
            let watch = |_: f64| {
                if closing.load(Ordering::Relaxed) {
                    stop.store(true, Ordering::Relaxed);
                }
            };
            let picture = kiln
                .pool
                .install(|| shot.take(&bolt, &Tiling::default(), &watch, stop));
            let picture = picture.map_err(|refused| match refused {
                Refused::Stopped => NoPicture::Stopped,
                Refused::Empty | Refused::TooLarge { .. } => NoPicture::Refused,
            })?;
            let png: Arc<[u8]> = cloth::png(&picture, cut.dpi)
                .map_err(|_| NoPicture::Refused)?
                .into();
            lock(&kiln.pictures).put(key, png.clone());
            Ok(png)
        })
        .await
    }

    /// The colours of the cloth, wound by their shares; at once if they are known.
    ///
    /// # Errors
    /// [`NoPicture`]; dropping the future gives the place in the queue back.
    pub async fn winding(self: &Arc<Self>, work: Work) -> Result<Arc<Winding>, NoPicture> {
        let key = (work.bolt(), work.steps);
        if let Some(ready) = self.known_winding(&work) {
            return Ok(ready);
        }
        self.take_turn(move |kiln, _| {
            let bolt = kiln.bolt(&work);
            let made = Arc::new(kiln.pool.install(|| wind(&bolt, work.steps)));
            let mut windings = lock(&kiln.windings);
            if windings.len() > 512 {
                windings.clear();
            }
            windings.insert(key, made.clone());
            Ok(made)
        })
        .await
    }

    /// The winding, if it was made before.
    pub fn known_winding(&self, work: &Work) -> Option<Arc<Winding>> {
        lock(&self.windings).get(&(work.bolt(), work.steps)).cloned()
    }

    async fn take_turn<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Self, &AtomicBool) -> Result<T, NoPicture> + Send + 'static,
    ) -> Result<T, NoPicture> {
        if self.waiting.fetch_add(1, Ordering::Relaxed) >= QUEUE {
            self.waiting.fetch_sub(1, Ordering::Relaxed);
            return Err(NoPicture::Busy);
        }
        let _place = Place(self.waiting.clone());
        let turn = self
            .turn
            .clone()
            .acquire_owned()
            .await
            .map_err(|_| NoPicture::Stopped)?;
        let stop = Arc::new(AtomicBool::new(false));
        let _gone = Gone(stop.clone());
        let kiln = self.clone();
        let job = tokio::task::spawn_blocking(move || {
            // The turn ends with the work, not with the request.
            let _turn = turn;
            work(&kiln, &stop)
        });
        job.await.unwrap_or(Err(NoPicture::Stopped))
    }

    /// The bolt, ready up to its last step. Called only by whoever has the turn.
    fn bolt(&self, work: &Work) -> Arc<Bolt> {
        let key = work.bolt();
        let mut bolts = lock(&self.bolts);
        if let Some(at) = bolts.iter().position(|(k, _)| *k == key) {
            let found = bolts.remove(at);
            bolts.push(found.clone());
            return found.1;
        }
        drop(bolts);
        let bolt = self
            .pool
            .install(|| Arc::new(Bolt::prepare(&work.design, &work.lot, &work.shop, None)));
        let mut bolts = lock(&self.bolts);
        bolts.push((key, bolt.clone()));
        if bolts.len() > BOLTS {
            bolts.remove(0);
        }
        bolt
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
