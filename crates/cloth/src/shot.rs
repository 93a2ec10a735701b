//! Pictures of any rectangle of a bolt.

use crate::{Appearance, Bolt, Tiling, develop};
use field::{Rect, Tile, srgb_bytes};
use rayon::prelude::*;
use route::{Patch, light_key};
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
        samples_at(self.dpi)
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

    /// What the picture is of, for its file: two pictures with the same words have the same pixels.
    pub fn of(&self, bolt: &Bolt) -> String {
        let steps = self.steps.min(bolt.hands.len());
        let hex = |key: &[u8; 32]| -> String { key.iter().map(|byte| format!("{byte:02x}")).collect() };
        let pixels = self.pixels();
        format!(
            "lorod {}: cloth {} light {} from {} {} at {} dpi",
            env!("CARGO_PKG_VERSION"),
            hex(&bolt.keys[steps]),
            hex(&light_key(&bolt.design)),
            pixels.x0,
            pixels.y0,
            self.dpi
        )
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

/// Widest sample, mm: a pixel that is wider averages several.
pub const WIDEST_SAMPLE: f64 = 0.6;

/// Samples per pixel and axis.
fn samples_at(dpi: f64) -> u32 {
    ((25.4 / dpi / WIDEST_SAMPLE).ceil() as u32).clamp(1, 4)
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
        let pixels = shot.allowed(allowed)?;
        Ok(Self::over(bolt, shot, shot.dpi, pixels, tiling, progress, stop))
    }

    /// Over other pixels than the shot's own, at another resolution.
    pub fn over(
        bolt: &'a Bolt,
        shot: &Shot,
        dpi: f64,
        pixels: Rect,
        tiling: &'a Tiling,
        progress: &'a (dyn Fn(f64) + Sync),
        stop: &'a AtomicBool,
    ) -> Self {
        let samples = samples_at(dpi);
        // Lattices under pixels that are means are coarse, and so is the halo around a tile: a wider tile has less of it.
        let side = match samples {
            1 => tiling.side,
            _ => tiling.side * 8 / 5,
        };
        Self {
            bolt,
            appearance: Appearance::new(&bolt.design),
            pixels,
            scale: Scale::new(dpi, samples),
            side: (side / samples).max(1),
            steps: shot.steps,
            tiling,
            progress,
            stop,
            done: AtomicU64::new(0),
        }
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
        let ny = (out.len() / (self.pixels.nx as usize * 3)) as u32;
        let band = Rect {
            y0: self.pixels.y0 + first as i32,
            ny,
            ..self.pixels
        };
        let made: Vec<(Rect, Vec<u8>)> = tiles(band, self.side.max(ny))
            .into_par_iter()
            .filter(|_| !self.stop.load(Ordering::Relaxed))
            .map(|rect| {
                let bytes = self.tile(rect);
                self.add(rect.area() as u64, self.pixels.area() as f64);
                (rect, bytes)
            })
            .collect();
        for (rect, bytes) in made {
            lay(&bytes, rect, band, out);
        }
    }

    /// Says how many pixels of all more are done.
    pub fn add(&self, pixels: u64, all: f64) {
        let done = self.done.fetch_add(pixels, Ordering::Relaxed) + pixels;
        (self.progress)(done as f64 / all);
    }

    /// A part of the picture, made by this thread alone; `None` once it is stopped.
    pub fn part(&self, rect: Rect) -> Option<Picture> {
        let row = rect.nx as usize * 3;
        let mut rgb = vec![0u8; row * rect.ny as usize];
        for tile in tiles(rect, self.side) {
            if self.stop.load(Ordering::Relaxed) {
                return None;
            }
            lay(&self.tile(tile), tile, rect, &mut rgb);
        }
        Some(Picture {
            width: rect.nx,
            height: rect.ny,
            rgb,
        })
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
        let light = appearance.pixels(patch, self.samples as usize);
        let mut bytes = vec![0u8; light[0].len() * 3];
        srgb_bytes([&light[0], &light[1], &light[2]], &mut bytes);
        bytes
    }
}

/// A rectangle cut into tiles of at most `side`, row by row. All are of one size, but for a pixel: a sliver that is left
/// over costs its halo, and the thread that gets it waits for the others.
pub(crate) fn tiles(all: Rect, side: u32) -> Vec<Rect> {
    let cut = |n: u32| {
        let parts = n.div_ceil(side.max(1));
        let edge = move |k: u32| (u64::from(n) * u64::from(k) / u64::from(parts)) as u32;
        (0..parts).map(move |k| (edge(k), edge(k + 1) - edge(k)))
    };
    let rows = cut(all.ny);
    rows.flat_map(|(y, ny)| cut(all.nx).map(move |(x, nx)| (x, y, nx, ny)))
        .map(|(x, y, nx, ny)| Rect {
            x0: all.x0 + x as i32,
            y0: all.y0 + y as i32,
            nx,
            ny,
        })
        .collect()
}

/// Puts the pixels of a part where they belong in those of the whole.
pub(crate) fn lay(pixels: &[u8], part: Rect, whole: Rect, out: &mut [u8]) {
    let (row, width) = (whole.nx as usize * 3, part.nx as usize * 3);
    let from = part.x0.abs_diff(whole.x0) as usize * 3;
    let first = part.y0.abs_diff(whole.y0) as usize;
    let lines = out.chunks_exact_mut(row).skip(first);
    for (line, source) in lines.zip(pixels.chunks_exact(width)) {
        line[from..from + width].copy_from_slice(source);
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
