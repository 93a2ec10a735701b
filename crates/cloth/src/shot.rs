//! Pictures of any rectangle of a bolt.

use crate::png_out::encoder;
use crate::{Appearance, Bolt, Tiling, develop};
use field::{Rect, Tile, srgb_bytes};
use rayon::prelude::*;
use route::Patch;
use std::io::Write;
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
impl From<png::EncodingError> for NotWritten {
    fn from(error: png::EncodingError) -> Self {
        Self::Writer(error.into())
    }
}

/// Most pixels of a picture that is held in memory.
pub(crate) const MOST_HELD: u64 = 120_000_000;
/// Most pixels of a picture that is written as it is made: a bolt at 300 dpi has 2.1 thousand million.
const MOST_WRITTEN: u64 = 2_500_000_000;

/// What every tile of a picture shares.
struct Work<'a> {
    bolt: &'a Bolt,
    appearance: Appearance,
    pixels: Rect,
    scale: Scale,
    /// Pixels of a tile, each way.
    side: u32,
    steps: usize,
    tiling: &'a Tiling,
    progress: &'a (dyn Fn(f64) + Sync),
    stop: &'a AtomicBool,
    done: AtomicU64,
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
        let work = self.work(bolt, tiling, progress, stop, MOST_HELD)?;
        let row = work.pixels.nx as usize * 3;
        let mut rgb = vec![0u8; row * work.pixels.ny as usize];
        rgb.par_chunks_mut(row * work.side as usize)
            .enumerate()
            .for_each(|(band, out)| work.band(band as u32, out));
        work.finished()?;
        Ok(Picture {
            width: work.pixels.nx,
            height: work.pixels.ny,
            rgb,
        })
    }

    /// Makes the picture band by band and writes it as PNG with sRGB and the physical size; memory does not grow with
    /// the picture. While one band is encoded the next is made.
    ///
    /// # Errors
    /// [`NotWritten`] if the picture is refused or the writer fails. What was written by then is no picture.
    pub fn write_png(
        &self,
        bolt: &Bolt,
        tiling: &Tiling,
        progress: &(dyn Fn(f64) + Sync),
        stop: &AtomicBool,
        out: impl Write + Send,
    ) -> Result<(), NotWritten> {
        let work = self.work(bolt, tiling, progress, stop, MOST_WRITTEN)?;
        let mut writer = encoder(out, work.pixels.nx, work.pixels.ny, self.dpi).write_header()?;
        let mut stream = writer.stream_writer()?;
        let row = work.pixels.nx as usize * 3;
        let make = |band: u32| {
            let rows = work.side.min(work.pixels.ny - band * work.side) as usize;
            let mut bytes = vec![0u8; row * rows];
            work.band(band, &mut bytes);
            bytes
        };
        let bands = work.pixels.ny.div_ceil(work.side);
        let mut ready = make(0);
        for band in 1..=bands {
            let (written, next) = rayon::join(
                || stream.write_all(&ready),
                || if band < bands { make(band) } else { Vec::new() },
            );
            written?;
            work.finished()?;
            ready = next;
        }
        stream.finish()?;
        writer.finish()?;
        Ok(())
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

    fn work<'a>(
        &self,
        bolt: &'a Bolt,
        tiling: &'a Tiling,
        progress: &'a (dyn Fn(f64) + Sync),
        stop: &'a AtomicBool,
        allowed: u64,
    ) -> Result<Work<'a>, Refused> {
        let pixels = self.allowed(allowed)?;
        let samples = self.samples();
        Ok(Work {
            bolt,
            appearance: Appearance::new(&bolt.design),
            pixels,
            scale: Scale::new(self.dpi, samples),
            side: (tiling.side / samples).max(1),
            steps: self.steps,
            tiling,
            progress,
            stop,
            done: AtomicU64::new(0),
        })
    }
}

impl Work<'_> {
    fn finished(&self) -> Result<(), Refused> {
        if self.stop.load(Ordering::Relaxed) {
            Err(Refused::Stopped)
        } else {
            Ok(())
        }
    }

    /// Fills one band of tiles, `out` holding its rows.
    fn band(&self, band: u32, out: &mut [u8]) {
        let (nx, row) = (self.pixels.nx, self.pixels.nx as usize * 3);
        let ny = (out.len() / row) as u32;
        let y0 = self.pixels.y0 + (band * self.side) as i32;
        let columns = nx.div_ceil(self.side);
        let all = u64::from(columns) * u64::from(self.pixels.ny.div_ceil(self.side));
        let tiles: Vec<(usize, usize, Vec<u8>)> = (0..columns)
            .into_par_iter()
            .map(|column| {
                let x0 = column * self.side;
                let rect = Rect {
                    x0: self.pixels.x0 + x0 as i32,
                    y0,
                    nx: self.side.min(nx - x0),
                    ny,
                };
                let stopped = self.stop.load(Ordering::Relaxed);
                let bytes = if stopped {
                    vec![0; rect.area() * 3]
                } else {
                    self.tile(rect)
                };
                (self.progress)((self.done.fetch_add(1, Ordering::Relaxed) + 1) as f64 / all as f64);
                (x0 as usize, rect.nx as usize, bytes)
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
