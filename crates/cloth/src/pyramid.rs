//! A picture at many resolutions, cut into square tiles, for viewers that load only what they show.
//!
//! Every level is a picture taken at its own resolution, by the same path as any other: nothing is scaled down. A pixel
//! covers four of the next finer level.

use crate::shot::Work;
use crate::{Bolt, NotWritten, Refused, Shot, Tiling, png};
use field::Rect;
use rayon::prelude::*;
use std::sync::atomic::AtomicBool;

/// Pixels of a tile, each way; those at the right and lower edge are smaller.
pub const TILE: u32 = 256;

/// A picture at many resolutions.
#[derive(Clone, Debug)]
pub struct Pyramid {
    shot: Shot,
    /// The coarsest, of one tile, first; each has twice the resolution of the one before.
    pub levels: Vec<Level>,
}

/// One resolution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Pixels per inch.
    pub dpi: f64,
    /// Its pixels on the bolt's grid of this resolution.
    pub pixels: Rect,
}

/// A tile: its level, column and row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// 0 is the coarsest.
    pub level: usize,
    /// From the left.
    pub column: u32,
    /// From the top.
    pub row: u32,
}

impl Level {
    /// Columns and rows of tiles.
    pub fn size(&self) -> (u32, u32) {
        (self.pixels.nx.div_ceil(TILE), self.pixels.ny.div_ceil(TILE))
    }

    fn tile(&self, column: u32, row: u32) -> Rect {
        let cut = |n: u32, k: u32| TILE.min(n - k * TILE);
        Rect {
            x0: self.pixels.x0 + (column * TILE) as i32,
            y0: self.pixels.y0 + (row * TILE) as i32,
            nx: cut(self.pixels.nx, column),
            ny: cut(self.pixels.ny, row),
        }
    }
}

impl Pyramid {
    /// All levels of a shot, down to the one of a single tile.
    ///
    /// # Errors
    /// [`Refused`] if the shot has no pixels or too many.
    pub fn of(shot: &Shot) -> Result<Self, Refused> {
        let finest = shot.allowed(crate::shot::MOST_WRITTEN)?;
        let mut levels = vec![Level {
            dpi: shot.dpi,
            pixels: finest,
        }];
        while let Some(last) = levels.last().copied().filter(|l| l.size() != (1, 1)) {
            let p = last.pixels;
            let half_up = |v: i32| v.div_euclid(2) + v.rem_euclid(2);
            levels.push(Level {
                dpi: 0.5 * last.dpi,
                pixels: Rect::between(
                    p.x0.div_euclid(2),
                    p.y0.div_euclid(2),
                    half_up(p.x1()),
                    half_up(p.y1()),
                ),
            });
        }
        levels.reverse();
        Ok(Self {
            shot: shot.clone(),
            levels,
        })
    }

    /// What the pyramid is of: two with the same words have the same tiles.
    pub fn title(&self, bolt: &Bolt) -> String {
        self.shot.of(bolt)
    }

    /// Makes all tiles that are not there yet, the coarsest level first, and hands each over as PNG. Memory does not grow
    /// with the pyramid. `there` and `put` are called from several threads.
    ///
    /// # Errors
    /// [`NotWritten`] if it was stopped or `put` fails; all tiles handed over by then are whole.
    pub fn write(
        &self,
        bolt: &Bolt,
        tiling: &Tiling,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
        there: &(dyn Fn(Place) -> bool + Sync),
        put: &(dyn Fn(Place, &[u8]) -> std::io::Result<()> + Sync),
    ) -> Result<(), NotWritten> {
        let all: f64 = self.levels.iter().map(|l| l.pixels.area() as f64).sum();
        let mut done = 0;
        for (number, level) in self.levels.iter().enumerate() {
            let (columns, rows) = level.size();
            let work = Work::over(bolt, &self.shot, level.dpi, level.pixels, tiling, progress, stop);
            work.done.store(done, std::sync::atomic::Ordering::Relaxed);
            (0..columns * rows).into_par_iter().try_for_each(|n| {
                let place = Place {
                    level: number,
                    column: n % columns,
                    row: n / columns,
                };
                let rect = level.tile(place.column, place.row);
                if !there(place) {
                    let picture = work.part(rect).ok_or(Refused::Stopped)?;
                    let bytes = png(&picture, level.dpi).map_err(|e| NotWritten::Writer(e.into()))?;
                    put(place, &bytes)?;
                }
                work.add(rect.area() as u64, all);
                Ok::<(), NotWritten>(())
            })?;
            done += level.pixels.area() as u64;
        }
        Ok(())
    }
}
