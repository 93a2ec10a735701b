//! Where cloth is developed: one film of everything that is looked at, lanes of work, stopped when nobody waits any
//! more.

use super::gate::{Gate, LANES, NoTurn, QUICK, Rank, Turn};
use super::picture::Cut;
use super::shelf::Shelf;
use super::winding::{Winding, wind};
use cloth::{Film, Picture, Refused, Scene};
use colour::Illuminant;
use route::{Design, LotShape, Workshop};
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Memory for finished pictures, bytes.
const SHELF: usize = 64 << 20;
/// Memory for the states of tiles that are likely to be changed, bytes.
const FILM: usize = 384 << 20;

/// Which cloth: key of the last step that is done, lot, bolt.
type ClothKey = ([u8; 32], String, u32);
/// Which picture: cloth, lamp, pixels (x, y, width, height), bits of the resolution, how closely.
type PictureKey = (ClothKey, Illuminant, (i32, i32, u32, u32), u64, Grain);

/// How closely cloth is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Grain {
    /// Fewer pixels than asked for.
    Rough,
    /// One sample a pixel.
    Plain,
    /// As many samples as a pixel is wide: the picture itself.
    Smooth,
}

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
    /// The lamp that it is seen under.
    pub lamp: Illuminant,
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

/// Hears the share done, 0..1, and answers whether to go on.
pub type KeepGoing<'a> = &'a (dyn Fn(f64) -> bool + Sync);

/// The worker.
pub struct Kiln {
    film: Film,
    /// A pool for each lane: slow work that stands still must not hold a thread of the quick lane.
    pools: [rayon::ThreadPool; LANES],
    /// In each lane one bolt is made ready at a time: two requests for it want one, not two. Whoever looks at a step on the
    /// way does not wait for what only the finished cloth needs.
    making: [[Mutex<()>; 2]; LANES],
    gate: Arc<Gate>,
    pictures: Mutex<Shelf<PictureKey>>,
    windings: Mutex<HashMap<ClothKey, Arc<Winding>>>,
}

/// Raised when the request that wanted the work is gone.
struct Gone(Arc<AtomicBool>);

impl Drop for Gone {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl Work {
    /// Key of the last step that is done: what the picture rests on.
    pub fn key(&self) -> [u8; 32] {
        self.key_after(self.steps)
    }
    fn key_after(&self, steps: usize) -> [u8; 32] {
        let last = steps.checked_sub(1).and_then(|at| self.design.steps.get(at));
        last.map_or([0; 32], |step| step.key)
    }
    fn cloth(&self, steps: usize) -> ClothKey {
        (self.key_after(steps), self.lot.id.clone(), self.lot.bolt)
    }
    fn picture(&self, cut: &Cut, steps: usize, grain: Grain) -> PictureKey {
        let pixels = cut.shot(steps).pixels();
        let place = (pixels.x0, pixels.y0, pixels.nx, pixels.ny);
        (self.cloth(steps), self.lamp, place, cut.dpi.to_bits(), grain)
    }
    /// How closely a piece of it is drawn for somebody of this rank. A glance under a lamp is the picture: nobody changes
    /// cloth while looking at lamps. Where a pixel is one sample anyway, plain is smooth.
    pub fn grain(&self, cut: &Cut, rank: Rank) -> Grain {
        match rank {
            Rank::Glance if self.lamp == Illuminant::D65 => Grain::Rough,
            Rank::View if cut.shot(self.steps).samples() > 1 => Grain::Plain,
            _ => Grain::Smooth,
        }
    }
}

impl Kiln {
    /// A worker that uses every core for what is looked at, and one for each other lane.
    ///
    /// # Errors
    /// If the system gives no threads.
    pub fn new() -> anyhow::Result<Self> {
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        let pool = |threads, name: &'static str| {
            rayon::ThreadPoolBuilder::new()
                .num_threads(threads)
                .thread_name(move |_| name.into())
                .build()
        };
        Ok(Self {
            film: Film::new(FILM),
            pools: [pool(cores, "cloth")?, pool(1, "swatch")?, pool(1, "question")?],
            making: Default::default(),
            gate: Gate::new(QUICK, 1),
            pictures: Mutex::new(Shelf::new(SHELF)),
            windings: Mutex::default(),
        })
    }

    /// Ends the work at the next tile and takes no more.
    pub fn close(&self) {
        self.gate.close();
    }

    /// A picture as PNG, as closely as its rank wants it ([`Work::grain`]). For [`Rank::Strip`] the same piece after every
    /// step is made along with it, since each costs little once the others are made.
    ///
    /// # Errors
    /// [`NoPicture`]; dropping the future stops the work.
    pub async fn picture(self: &Arc<Self>, work: Work, cut: Cut, rank: Rank) -> Result<Arc<[u8]>, NoPicture> {
        let grain = work.grain(&cut, rank);
        let key = work.picture(&cut, work.steps, grain);
        if let Some(ready) = lock(&self.pictures).get(&key) {
            return Ok(ready);
        }
        self.take_turn(rank, move |kiln, stop| {
            // Somebody before us in the queue may have wanted the same.
            if let Some(ready) = lock(&kiln.pictures).get(&key) {
                return Ok(ready);
            }
            let scene = kiln.scene(&work, rank);
            let shot = cut.shot(work.steps);
            let slow = rank.lane() > 0;
            let watch = |_: f64| {
                if kiln.gate.closed() {
                    stop.store(true, Ordering::Relaxed);
                }
                if slow {
                    kiln.gate.give_way(stop);
                }
            };
            let steps: Vec<usize> = match rank {
                Rank::Strip => (0..=work.design.steps.len()).collect(),
                _ => vec![work.steps],
            };
            let film = &kiln.film;
            let made = kiln.pools[rank.lane()].install(|| match (rank, grain) {
                (Rank::Strip, _) => film.strip(&scene, &shot, &steps, &watch, stop),
                (_, Grain::Rough) => film.glance(&scene, &shot, stop).map(|one| vec![one]),
                (_, Grain::Plain) => film
                    .plain(work.lamp, &scene, &shot, &watch, stop)
                    .map(|one| vec![one]),
                (_, Grain::Smooth) => film
                    .picture_under(work.lamp, &scene, &shot, &watch, stop)
                    .map(|one| vec![one]),
            });
            let made = made.map_err(|refused| match refused {
                Refused::Stopped => NoPicture::Stopped,
                Refused::Empty | Refused::TooLarge { .. } => NoPicture::Refused,
            })?;
            let mut wanted = None;
            for (steps, picture) in steps.into_iter().zip(made) {
                let png = packed(&picture, &cut, rank)?;
                lock(&kiln.pictures).put(work.picture(&cut, steps, grain), png.clone());
                if steps == work.steps {
                    wanted = Some(png);
                }
            }
            wanted.ok_or(NoPicture::Refused)
        })
        .await
    }

    /// The colours of the cloth, wound by their shares; at once if they are known.
    ///
    /// # Errors
    /// [`NoPicture`]; dropping the future gives the place in the queue back.
    pub async fn winding(self: &Arc<Self>, work: Work) -> Result<Arc<Winding>, NoPicture> {
        if let Some(ready) = self.known_winding(&work) {
            return Ok(ready);
        }
        self.take_turn(Rank::Rest, move |kiln, stop| {
            let scene = kiln.scene(&work, Rank::Rest);
            let pool = &kiln.pools[Rank::Rest.lane()];
            let go_on = || {
                kiln.gate.give_way(stop);
                !stop.load(Ordering::Relaxed) && !kiln.gate.closed()
            };
            let made = pool.install(|| wind(&scene.bolt, work.steps, &go_on));
            Ok(kiln.keep(&work, made.ok_or(NoPicture::Stopped)?))
        })
        .await
    }

    /// The winding, for work that has a turn already and may wait for it; `None` where the studio closes first.
    pub fn winding_now(&self, work: &Work) -> Option<Arc<Winding>> {
        if let Some(ready) = self.known_winding(work) {
            return Some(ready);
        }
        let scene = self.scene(work, Rank::Long);
        let pool = &self.pools[Rank::Long.lane()];
        let go_on = || !self.gate.closed();
        let made = pool.install(|| wind(&scene.bolt, work.steps, &go_on));
        Some(self.keep(work, made?))
    }

    fn keep(&self, work: &Work, made: Winding) -> Arc<Winding> {
        let made = Arc::new(made);
        let mut windings = lock(&self.windings);
        if windings.len() > 512 {
            windings.clear();
        }
        windings.insert(work.cloth(work.steps), made.clone());
        made
    }

    /// The same piece of cloth under each of [`Illuminant::ALL`].
    ///
    /// # Errors
    /// [`Refused`] as a picture.
    pub fn under_lamps(
        &self,
        work: &Work,
        cut: &Cut,
        keep_going: KeepGoing,
    ) -> Result<[Picture; 3], Refused> {
        let scene = self.scene(work, Rank::Long);
        let (shot, stop) = (cut.shot(work.steps), AtomicBool::new(false));
        let watch = |share: f64| {
            if !keep_going(share) {
                stop.store(true, Ordering::Relaxed);
            }
        };
        // Daylight last: the lamps leave the cloth where the next one finds it.
        let take = |lamp| self.film.picture_under(lamp, &scene, &shot, &watch, &stop);
        let (warm, shop) = (take(Illuminant::A)?, take(Illuminant::F11)?);
        Ok([take(Illuminant::D65)?, warm, shop])
    }

    /// Work that is no picture and takes seconds. It says its share and hears whether to go on; `share` is told what
    /// it says.
    ///
    /// # Errors
    /// [`NoPicture`]; dropping the future ends the work.
    pub async fn long<T: Send + 'static>(
        self: &Arc<Self>,
        share: impl Fn(f64) + Send + Sync + 'static,
        work: impl FnOnce(KeepGoing) -> T + Send + 'static,
    ) -> Result<T, NoPicture> {
        self.take_turn(Rank::Long, move |kiln, stop| {
            let keep_going = |done: f64| {
                share(done);
                kiln.gate.give_way(stop);
                !stop.load(Ordering::Relaxed) && !kiln.gate.closed()
            };
            Ok(work(&keep_going))
        })
        .await
    }

    /// The winding, if it was made before.
    pub fn known_winding(&self, work: &Work) -> Option<Arc<Winding>> {
        lock(&self.windings).get(&work.cloth(work.steps)).cloned()
    }

    async fn take_turn<T: Send + 'static>(
        self: &Arc<Self>,
        rank: Rank,
        work: impl FnOnce(&Self, &AtomicBool) -> Result<T, NoPicture> + Send + 'static,
    ) -> Result<T, NoPicture> {
        let turn: Turn = self.gate.enter(rank).await.map_err(|why| match why {
            NoTurn::Busy => NoPicture::Busy,
            NoTurn::Closed => NoPicture::Stopped,
        })?;
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

    /// The bolt, ready for every step that is asked for.
    fn scene(&self, work: &Work, rank: Rank) -> Arc<Scene> {
        let all = work.design.steps.len();
        let steps = if rank == Rank::Strip { all } else { work.steps };
        let film = &self.film;
        // What is ready waits for no thread of the pool: they may all be busy with tiles.
        if let Some(ready) = film.ready(steps, &work.design, &work.lot, &work.shop) {
            return ready;
        }
        let _one = lock(&self.making[rank.lane()][usize::from(steps >= all)]);
        self.pools[rank.lane()].install(|| film.scene_to(steps, &work.design, &work.lot, &work.shop))
    }
}

/// What is looked at now goes to a browser on this machine: packing it would only keep that waiting.
fn packed(picture: &Picture, cut: &Cut, rank: Rank) -> Result<Arc<[u8]>, NoPicture> {
    let made = match rank {
        Rank::Glance | Rank::View | Rank::Smooth => cloth::png_plain(picture, cut.dpi),
        Rank::Strip | Rank::Rest | Rank::Long => cloth::png(picture, cut.dpi),
    };
    Ok(made.map_err(|_| NoPicture::Refused)?.into())
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
