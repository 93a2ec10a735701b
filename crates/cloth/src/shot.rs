//! Pictures of any rectangle of a bolt.

use crate::{Appearance, Bolt, Tiling, develop};
use field::{Rect, Tile, srgb_bytes};
use rayon::prelude::*;
use route::Patch;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use units::Length;

/// A rectangle of a bolt at a resolution, after some steps.
#[derive(Clone, Debug)]
pub struct Shot {
    /// Left edge, from the selvedge.
    pub x: Length,
    /// Upper edge, from the start of the bolt.
    pub y: Length,
    /// Across.
    pub width: Length,
    /// Along.
    pub height: Length,
    /// Pixels per inch.
    pub dpi: f64,
    /// Steps done.
    pub steps: usize,
}

/// An sRGB picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Three bytes a pixel, rows from the top.
    pub rgb: Vec<u8>,
}

/// Why there is no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refused {
    /// More pixels than memory should hold at once.
    TooLarge {
        /// Pixels asked for.
        pixels: u64,
        /// Pixels allowed.
        allowed: u64,
    },
    /// Less than one pixel.
    Empty,
    /// Stopped by the caller.
    Stopped,
}

/// Why a picture was not written.
#[derive(Debug)]
pub enum NotWritten {
    /// It was refused or stopped.
    Refused(Refused),
    /// What is there already is no beginning of this picture.
    Another,
    /// The writer failed.
    Writer(std::io::Error),
}

impl From<Refused> for NotWritten {
    fn from(refused: Refused) -> Self {
        Self::Refused(refused)
    }
}
impl From<std::io::Error> for NotWritten {
    fn from(error: std::io::Error) -> Self {
        Self::Writer(error)
    }
}
/// Most pixels of a picture that is held in memory.
pub(crate) const MOST_HELD: u64 = 120_000_000;
/// Most pixels of a picture that is written as it is made: a bolt at 300 dpi has 2.1 thousand million.
pub(crate) const MOST_WRITTEN: u64 = 2_500_000_000;

/// What every tile of a picture shares.
pub(crate) struct Work<'a> {
    bolt: &'a Bolt,
    appearance: Appearance,
    pub pixels: Rect,
    scale: Scale,
    /// Pixels of a tile, each way.
    pub side: u32,
    steps: usize,
    tiling: &'a Tiling,
    progress: &'a (dyn Fn(f64) + Sync),
    stop: &'a AtomicBool,
    /// Pixels done.
    pub done: AtomicU64,
}

impl Shot {
    /// Samples per pixel and axis: no sample wider than 0.6 mm, at most 4.
    pub fn samples(&self) -> u32 {
        ((25.4 / self.dpi / 0.6).ceil() as u32).clamp(1, 4)
    }

    /// The picture's rectangle in pixels of the bolt's global grid.
    pub fn pixels(&self) -> Rect {
        let at = |length: Length| (length.to_mm() / 25.4 * self.dpi).round() as i32;
        let (x0, y0) = (at(self.x), at(self.y));
        let size =
            |from: Length, length: Length, start: i32| at(from + length).saturating_sub(start).max(0) as u32;
        Rect {
            x0,
            y0,
            nx: size(self.x, self.width, x0),
            ny: size(self.y, self.height, y0),
        }
    }

    /// Makes the picture in memory. `progress` hears the share done, 0..1; raising `stop` ends the work.
    ///
    /// # Errors
    /// [`Refused`] if the picture is empty, too large, or was stopped.
    pub fn take(
        &self,
        bolt: &Bolt,
        tiling: &Tiling,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
    ) -> Result<Picture, Refused> {
        let work = Work::new(bolt, self, tiling, progress, stop, MOST_HELD)?;
        let row = work.pixels.nx as usize * 3;
        let mut rgb = vec![0u8; row * work.pixels.ny as usize];
        rgb.par_chunks_mut(row * work.side as usize)
            .enumerate()
            .for_each(|(band, out)| work.rows(band as u32 * work.side, out));
        work.finished()?;
        Ok(Picture {
            width: work.pixels.nx,
            height: work.pixels.ny,
            rgb,
        })
    }

    /// Its pixels, if there are some and no more than allowed.
    pub(crate) fn allowed(&self, allowed: u64) -> Result<Rect, Refused> {
        let pixels = self.pixels();
        if pixels.nx == 0 || pixels.ny == 0 || !(self.dpi > 0.0) {
            return Err(Refused::Empty);
        }
        let count = u64::from(pixels.nx) * u64::from(pixels.ny);
        if count > allowed {
            return Err(Refused::TooLarge {
                pixels: count,
                allowed,
            });
        }
        Ok(pixels)
    }
}

impl<'a> Work<'a> {
    pub fn new(
        bolt: &'a Bolt,
        shot: &Shot,
        tiling: &'a Tiling,
        progress: &'a (dyn Fn(f64) + Sync),
        stop: &'a AtomicBool,
        allowed: u64,
    ) -> Result<Self, Refused> {
        let samples = shot.samples();
        Ok(Self {
            bolt,
            appearance: Appearance::new(&bolt.design),
            pixels: shot.allowed(allowed)?,
            scale: Scale::new(shot.dpi, samples),
            side: (tiling.side / samples).max(1),
            steps: shot.steps,
            tiling,
            progress,
            stop,
            done: AtomicU64::new(0),
        })
    }

    pub fn finished(&self) -> Result<(), Refused> {
        if self.stop.load(Ordering::Relaxed) {
            Err(Refused::Stopped)
        } else {
            Ok(())
        }
    }

    /// Fills rows of the picture from row `first` on, in parallel tiles; leaves them as they are once it is stopped.
    pub fn rows(&self, first: u32, out: &mut [u8]) {
        let (nx, row) = (self.pixels.nx, self.pixels.nx as usize * 3);
        let ny = (out.len() / row) as u32;
        let tiles: Vec<(usize, usize, Vec<u8>)> = (0..nx.div_ceil(self.side))
            .into_par_iter()
            .filter_map(|column| {
                let x0 = column * self.side;
                let rect = Rect {
                    x0: self.pixels.x0 + x0 as i32,
                    y0: self.pixels.y0 + first as i32,
                    nx: self.side.min(nx - x0),
                    ny,
                };
                if self.stop.load(Ordering::Relaxed) {
                    return None;
                }
                let bytes = self.tile(rect);
                let area = rect.area() as u64;
                let done = self.done.fetch_add(area, Ordering::Relaxed) + area;
                (self.progress)(done as f64 / self.pixels.area() as f64);
                Some((x0 as usize, rect.nx as usize, bytes))
            })
            .collect();
        for (x0, nx, bytes) in tiles {
            for (line, source) in out.chunks_exact_mut(row).zip(bytes.chunks_exact(nx * 3)) {
                line[x0 * 3..(x0 + nx) * 3].copy_from_slice(source);
            }
        }
    }

    fn tile(&self, rect: Rect) -> Vec<u8> {
        let patch = develop(self.bolt, self.scale.tile(rect), self.steps, self.tiling);
        self.scale.bytes(&self.appearance, &patch)
    }
}

/// Pixels and the samples they are made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scale {
    /// Distance of samples, mm.
    pub pitch: f64,
    /// Samples of a pixel, each way.
    pub samples: u32,
}

impl Scale {
    pub fn new(dpi: f64, samples: u32) -> Self {
        Self {
            pitch: 25.4 / dpi / f64::from(samples),
            samples,
        }
    }

    /// The tile under a rectangle of pixels.
    pub fn tile(self, rect: Rect) -> Tile {
        let s = self.samples as i32;
        let core = Rect {
            x0: rect.x0 * s,
            y0: rect.y0 * s,
            nx: rect.nx * self.samples,
            ny: rect.ny * self.samples,
        };
        Tile::averaging(self.pitch, self.samples, core)
    }

    /// The pixels of a developed tile, three bytes each.
    pub fn bytes(self, appearance: &Appearance, patch: &Patch) -> Vec<u8> {
        let core = patch.tile.core;
        let light = appearance.light(patch);
        let light = light.map(|plane| average(plane, core.nx as usize, self.samples as usize));
        let mut bytes = vec![0u8; light[0].len() * 3];
        srgb_bytes([&light[0], &light[1], &light[2]], &mut bytes);
        bytes
    }
}

/// Averages light over squares of `s` samples: light, never dye.
pub(crate) fn average(plane: Vec<f32>, nx: usize, s: usize) -> Vec<f32> {
    if s == 1 {
        return plane;
    }
    let mut out = Vec::with_capacity(plane.len() / (s * s));
    let scale = 1.0 / (s * s) as f32;
    for rows in plane.chunks_exact(nx * s) {
        for i in 0..nx / s {
            let mut sum = 0.0;
            for row in rows.chunks_exact(nx) {
                for v in &row[i * s..(i + 1) * s] {
                    sum += v;
                }
            }
            out.push(sum * scale);
        }
    }
    out
}
