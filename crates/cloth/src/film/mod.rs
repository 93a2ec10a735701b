//! The film strip: cloth after any step, where a change of step k costs only the steps from k on.
//!
//! A [`Film`] belongs to whoever shows cloth that is being changed. It keeps, in bounded memory, what every step decided
//! over the bolt, the state of tiles before the steps that are likely to change, and finished tiles:
//!
//! ```
//! use cloth::{Film, Picture, Refused, Shot};
//! use std::sync::{Arc, atomic::AtomicBool};
//!
//! /// After every change of the design; `film` lives as long as the program and may be used from several threads.
//! fn show(
//!     film: &Film,
//!     (design, lot, shop): (&Arc<route::Design>, &route::LotShape, &route::Workshop),
//!     shot: &Shot,
//!     stop: &AtomicBool,
//! ) -> Result<[Picture; 2], Refused> {
//!     let scene = film.scene(design, lot, shop); // cheap where only a late step changed
//!     let rough = film.glance(&scene, shot, stop)?; // a quarter of the resolution, one sample a pixel
//!     let picture = film.picture(&scene, shot, &|_share| {}, stop)?;
//!     Ok([rough, picture])
//! }
//! ```
//!
//! - The bits are those of [`Shot::take`]: what is kept is found by keys of everything that the cloth rests on
//!   ([`route::bolt_keys`]), never by the place in the route.
//! - *Which* states are kept: the one before the step where this design parts from the last one (so that a setting
//!   pulled to and fro costs the same every time), the one before the last step of a picture of an unfinished cloth (the
//!   step that is looked at is the one that will be changed), and the one half-way.
//! - *Cancel*: raise `stop`; the work ends within one step of one tile. Tiles that were finished are kept, so a picture
//!   that was stopped goes on where it was when it is asked for again. That also is how a coarse picture goes before a
//!   fine one on one worker: stop the fine one, take the glance, ask for the fine one again.

mod store;

use crate::develop::act;
use crate::shot::{MOST_HELD, Scale, lay, tiles};
use crate::{Appearance, Bolt, Picture, Refused, Shot, Tiling};
use colour::Illuminant;
use field::Rect;
use rayon::prelude::*;
use route::{Design, LotShape, Patch, Workshop, bolt_keys, light_key};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use store::Store;

/// Bolts kept ready. Each holds its fold tables and marks, some tens of megabytes at most, and shares them with those
/// that begin alike.
const SCENES: usize = 8;
/// A glance has a pixel for so many of the picture's, each way.
const GLANCE: f64 = 4.0;

type Key = [u8; 32];
/// Which tile at which scale: its first sample and size, the bits of the pitch, samples of a pixel.
type Place = (Rect, u64, u32);

#[derive(Clone, PartialEq, Eq, Hash)]
enum Held {
    /// State of a tile after the step with this key.
    State(Key, Place),
    /// Pixels of a tile after the step with this key, in the colours of the dyes with this one, under a lamp.
    Pixels(Key, Key, Illuminant, Place),
}

#[derive(Clone)]
enum Kept {
    State(Arc<Patch>),
    Pixels(Arc<[u8]>),
}

/// A bolt made ready whose cloth is known by keys.
pub struct Scene {
    /// The bolt, ready to the last step that was asked for.
    pub bolt: Bolt,
    /// Under each of [`Illuminant::ALL`].
    appearances: Arc<[Appearance; 3]>,
    light: Key,
    /// Steps it shares with the design that was looked at before it.
    parts: usize,
}

/// Cloth that is being changed and looked at.
pub struct Film {
    kept: Mutex<Store<Held, Kept>>,
    scenes: Mutex<Vec<Arc<Scene>>>,
    tiling: Tiling,
    done: AtomicU64,
}

impl Scene {
    /// Key of the cloth after `steps` steps: the same key, the same cloth.
    pub fn key(&self, steps: usize) -> Key {
        self.bolt.keys[steps.min(self.bolt.keys.len() - 1)]
    }

    /// Steps of the route.
    fn steps(&self) -> usize {
        self.bolt.design.steps.len()
    }

    /// Steps whose state is worth keeping on the way to `end`.
    fn marks(&self, end: usize) -> [usize; 3] {
        let all = self.steps();
        let looked_at = if end < all { end.saturating_sub(1) } else { 0 };
        [self.parts, looked_at, all / 2]
    }
}

impl Film {
    /// A film that keeps at most so many bytes of tiles; bolts made ready come on top.
    pub fn new(most_bytes: usize) -> Self {
        Self {
            kept: Mutex::new(Store::new(most_bytes)),
            scenes: Mutex::default(),
            tiling: Tiling::default(),
            done: AtomicU64::new(0),
        }
    }

    /// Makes a bolt ready to its last step. Steps before the first that differs from a bolt made ready lately are taken
    /// from it.
    pub fn scene(&self, design: &Arc<Design>, lot: &LotShape, shop: &Workshop) -> Arc<Scene> {
        self.scene_to(design.steps.len(), design, lot, shop)
    }

    /// A bolt that is ready for pictures after so many steps, if it was made so lately.
    pub fn ready(
        &self,
        steps: usize,
        design: &Design,
        lot: &LotShape,
        shop: &Workshop,
    ) -> Option<Arc<Scene>> {
        self.found(steps, &bolt_keys(design, lot, shop), &light_key(design))
    }

    fn found(&self, steps: usize, keys: &[Key], light: &Key) -> Option<Arc<Scene>> {
        let mut scenes = lock(&self.scenes);
        let enough = |s: &Scene| s.bolt.hands.len() >= steps.min(s.steps());
        let at = scenes
            .iter()
            .position(|s| s.bolt.keys == keys && s.light == *light && enough(s))?;
        let found = scenes.remove(at);
        scenes.push(found.clone());
        Some(found)
    }

    /// Makes a bolt ready for pictures after so many steps or fewer: what later steps decide is not waited for.
    pub fn scene_to(
        &self,
        steps: usize,
        design: &Arc<Design>,
        lot: &LotShape,
        shop: &Workshop,
    ) -> Arc<Scene> {
        let keys = bolt_keys(design, lot, shop);
        let light = light_key(design);
        if let Some(ready) = self.found(steps, &keys, &light) {
            return ready;
        }
        let same = |s: &Scene| s.bolt.keys == keys && s.light == light;
        let scenes = lock(&self.scenes);
        // White cloth is always alike.
        let alike = |s: &Scene| {
            let alike = s.bolt.keys.iter().zip(&keys).take_while(|(a, b)| a == b).count();
            alike.saturating_sub(1)
        };
        let hands = |s: &Scene| alike(s).min(s.bolt.hands.len());
        let nearest = scenes.iter().max_by_key(|s| hands(s)).cloned();
        // The same design made ready for fewer steps parts from the one before where it did then.
        let parts = scenes
            .iter()
            .find(|s| same(s))
            .map_or_else(|| scenes.iter().map(|s| alike(s)).max().unwrap_or(0), |s| s.parts);
        drop(scenes);
        let begun = nearest.as_ref().map(|s| (&s.bolt, alike(s)));
        let same_light = nearest.as_ref().filter(|s| s.light == light);
        let made = Arc::new(Scene {
            bolt: Bolt::prepare_after(begun, design, lot, shop, Some(steps.saturating_sub(1))),
            appearances: same_light.map_or_else(
                || Arc::new(Illuminant::ALL.map(|lamp| Appearance::under(design, lamp))),
                |s| s.appearances.clone(),
            ),
            light,
            parts,
        });
        let mut scenes = lock(&self.scenes);
        scenes.retain(|s| !(same(s) && s.bolt.hands.len() <= made.bolt.hands.len()));
        scenes.push(made.clone());
        if scenes.len() > SCENES {
            scenes.remove(0);
        }
        made
    }

    /// The picture that [`Shot::take`] makes, to the bit.
    ///
    /// # Errors
    /// [`Refused`] if it is empty, too large, or was stopped.
    pub fn picture(
        &self,
        scene: &Scene,
        shot: &Shot,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
    ) -> Result<Picture, Refused> {
        self.picture_under(Illuminant::D65, scene, shot, progress, stop)
    }

    /// The same cloth under a lamp. Once it was developed for one lamp, the others cost its colours only.
    ///
    /// # Errors
    /// As [`Film::picture`].
    pub fn picture_under(
        &self,
        lamp: Illuminant,
        scene: &Scene,
        shot: &Shot,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
    ) -> Result<Picture, Refused> {
        let run = Run::new(self, scene, shot, shot.samples(), progress, stop)?;
        Ok(run.under(lamp).pictures(&[shot.steps])?.remove(0))
    }

    /// The same with one sample a pixel, however wide a pixel is: each is cloth at its own place, and what is finer than a
    /// pixel is met or missed instead of averaged. Quarter the work or less where [`Shot::samples`] is more than one; else
    /// the picture itself.
    ///
    /// # Errors
    /// As [`Film::picture`].
    pub fn plain(
        &self,
        lamp: Illuminant,
        scene: &Scene,
        shot: &Shot,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
    ) -> Result<Picture, Refused> {
        let run = Run::new(self, scene, shot, 1, progress, stop)?;
        Ok(run.under(lamp).pictures(&[shot.steps])?.remove(0))
    }

    /// A rough picture of the same part of the cloth to show while the true one is made: a quarter of the pixels each
    /// way, one sample a pixel, so its fine marks are harder and its colours noisier.
    ///
    /// # Errors
    /// [`Refused`] if it is empty or was stopped.
    pub fn glance(&self, scene: &Scene, shot: &Shot, stop: &AtomicBool) -> Result<Picture, Refused> {
        let rough = Shot {
            dpi: shot.dpi / GLANCE,
            ..shot.clone()
        };
        let run = Run::new(self, scene, &rough, 1, &|_| {}, stop)?;
        Ok(run.pictures(&[shot.steps])?.remove(0))
    }

    /// Pictures of one rectangle after each of `steps` (which need no order), in one run: every tile goes through the
    /// route once. The shot's own steps do not matter.
    ///
    /// # Errors
    /// [`Refused`] if they are empty, too large together, or were stopped.
    pub fn strip(
        &self,
        scene: &Scene,
        shot: &Shot,
        steps: &[usize],
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
    ) -> Result<Vec<Picture>, Refused> {
        let run = Run::new(self, scene, shot, shot.samples(), progress, stop)?;
        shot.allowed(MOST_HELD / steps.len().max(1) as u64)?;
        run.pictures(steps)
    }

    /// Steps done on tiles since the film was made, one for every step of every tile: what a change has cost.
    pub fn steps_done(&self) -> u64 {
        self.done.load(Ordering::Relaxed)
    }

    /// Bytes of tiles kept now.
    pub fn bytes(&self) -> usize {
        lock(&self.kept).held()
    }
}

/// One request.
struct Run<'a> {
    film: &'a Film,
    scene: &'a Scene,
    lamp: Illuminant,
    scale: Scale,
    pixels: Rect,
    progress: &'a (dyn Fn(f64) + Sync),
    stop: &'a AtomicBool,
}

impl<'a> Run<'a> {
    fn new(
        film: &'a Film,
        scene: &'a Scene,
        shot: &Shot,
        samples: u32,
        progress: &'a (dyn Fn(f64) + Sync),
        stop: &'a AtomicBool,
    ) -> Result<Self, Refused> {
        Ok(Self {
            film,
            scene,
            lamp: Illuminant::D65,
            scale: Scale::new(shot.dpi, samples),
            pixels: shot.allowed(MOST_HELD)?,
            progress,
            stop,
        })
    }

    fn under(self, lamp: Illuminant) -> Self {
        Self { lamp, ..self }
    }

    fn pictures(&self, steps: &[usize]) -> Result<Vec<Picture>, Refused> {
        let all = self.scene.steps();
        let mut wanted: Vec<usize> = steps.iter().map(|n| (*n).min(all)).collect();
        wanted.sort_unstable();
        wanted.dedup();
        let ready = self.scene.bolt.hands.len();
        assert!(
            wanted.last().is_none_or(|last| *last <= ready),
            "a scene for {ready} steps shows no later ones"
        );
        let tiles = tiles(self.pixels, self.film.tiling.side / self.scale.samples);
        let done = AtomicU64::new(0);
        let made: Vec<(Rect, Vec<Arc<[u8]>>)> = tiles
            .par_iter()
            .map(|rect| {
                let pixels = self.tile(*rect, &wanted)?;
                let done = done.fetch_add(1, Ordering::Relaxed) + 1;
                (self.progress)(done as f64 / tiles.len() as f64);
                Ok((*rect, pixels))
            })
            .collect::<Result<_, Refused>>()?;
        let joined = |n: usize| {
            let mut rgb = vec![0u8; self.pixels.area() * 3];
            for (rect, pixels) in &made {
                lay(&pixels[n], *rect, self.pixels, &mut rgb);
            }
            Picture {
                width: self.pixels.nx,
                height: self.pixels.ny,
                rgb,
            }
        };
        // Wanted steps are few, and every one of them is in the list.
        let place = |n: &usize| wanted.partition_point(|w| w < (n).min(&all));
        Ok(steps.iter().map(|n| joined(place(n))).collect())
    }

    /// Pixels of one tile after each of the wanted steps, ascending.
    fn tile(&self, rect: Rect, wanted: &[usize]) -> Result<Vec<Arc<[u8]>>, Refused> {
        let tile = self.scale.tile(rect);
        let place: Place = (tile.core, self.scale.pitch.to_bits(), self.scale.samples);
        let pixels_at =
            |steps: usize| Held::Pixels(self.scene.bolt.keys[steps], self.scene.light, self.lamp, place);
        let state_at = |steps: usize| Held::State(self.scene.bolt.keys[steps], place);
        let appearance = &self.scene.appearances[self.lamp as usize];
        let mut found: Vec<Option<Arc<[u8]>>> = {
            let mut kept = lock(&self.film.kept);
            let pixels = |n: &usize| match kept.get(&pixels_at(*n)) {
                Some(Kept::Pixels(pixels)) => Some(pixels),
                _ => None,
            };
            wanted.iter().map(pixels).collect()
        };
        let mut state: Option<(usize, Patch)> = None;
        for (steps, found) in wanted.iter().zip(&mut found).filter(|(_, f)| f.is_none()) {
            let from = state.as_ref().map_or(0, |(at, _)| *at);
            if let Some(nearer) = self.kept_state(from, *steps, &state_at) {
                state = Some(nearer);
            }
            let (mut at, mut patch) = state
                .take()
                .unwrap_or_else(|| (0, Patch::white(tile, tile.need())));
            let marks = self.scene.marks(*steps);
            while at < *steps {
                if self.stop.load(Ordering::Relaxed) {
                    return Err(Refused::Stopped);
                }
                act(&self.scene.bolt, at, &mut patch, &self.film.tiling);
                self.film.done.fetch_add(1, Ordering::Relaxed);
                at += 1;
                // Under another lamp the cloth is the same: the next lamp finds it here.
                if marks.contains(&at) || (at == *steps && self.lamp != Illuminant::D65) {
                    self.keep(state_at(at), &patch);
                }
            }
            let pixels: Arc<[u8]> = self.scale.bytes(appearance, &patch).into();
            lock(&self.film.kept).put(pixels_at(at), Kept::Pixels(pixels.clone()), pixels.len());
            *found = Some(pixels);
            state = Some((at, patch));
        }
        Ok(found.into_iter().flatten().collect())
    }

    /// The kept state nearest before `steps`, if it is past `from`.
    fn kept_state(
        &self,
        from: usize,
        steps: usize,
        state_at: &dyn Fn(usize) -> Held,
    ) -> Option<(usize, Patch)> {
        let nearest = {
            let mut kept = lock(&self.film.kept);
            (from + 1..=steps)
                .rev()
                .find_map(|at| match kept.get(&state_at(at)) {
                    Some(Kept::State(patch)) => Some((at, patch)),
                    _ => None,
                })
        };
        nearest.map(|(at, patch)| (at, Patch::clone(&patch)))
    }

    fn keep(&self, key: Held, patch: &Patch) {
        if lock(&self.film.kept).has(&key) {
            return;
        }
        let copy = patch.kept(patch.package.is_some());
        let bytes = copy.bytes();
        lock(&self.film.kept).put(key, Kept::State(Arc::new(copy)), bytes);
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
