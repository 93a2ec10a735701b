//! Pictures of any rectangle of a bolt.

use crate::{Appearance, Bolt, Tiling, develop};
use field::{Rect, Tile, srgb_bytes};
use rayon::prelude::*;
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

/// Most pixels of one picture: a whole bolt at 150 dpi is 535 million; this bounds memory below 1 GiB of RGB.
const MOST_PIXELS: u64 = 300_000_000;

impl Shot {
    /// Samples per pixel and axis: no sample wider than 0.6 mm, at most 4.
    pub fn samples(&self) -> u32 {
        ((25.4 / self.dpi / 0.6).ceil() as u32).clamp(1, 4)
    }

    /// The picture's rectangle in pixels of the bolt's global grid.
    pub fn pixels(&self) -> Rect {
        let at = |length: Length| (length.to_mm() / 25.4 * self.dpi).round() as i32;
        let (x0, y0) = (at(self.x), at(self.y));
        let size = |from: Length, length: Length, start: i32| (at(from + length) - start).max(0) as u32;
        Rect {
            x0,
            y0,
            nx: size(self.x, self.width, x0),
            ny: size(self.y, self.height, y0),
        }
    }

    /// Makes the picture. `progress` hears the share done, 0..1; raising `stop` ends the work.
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
        let pixels = self.pixels();
        if pixels.nx == 0 || pixels.ny == 0 || !(self.dpi > 0.0) {
            return Err(Refused::Empty);
        }
        let count = u64::from(pixels.nx) * u64::from(pixels.ny);
        if count > MOST_PIXELS {
            return Err(Refused::TooLarge {
                pixels: count,
                allowed: MOST_PIXELS,
            });
        }
        let samples = self.samples();
        let side = (tiling.side / samples).max(1);
        let appearance = Appearance::new(&bolt.design);
        let bands = pixels.ny.div_ceil(side);
        let done = AtomicU64::new(0);
        let total = u64::from(bands) * u64::from(pixels.nx.div_ceil(side));
        let mut rgb = vec![0u8; count as usize * 3];
        let row = pixels.nx as usize * 3;
        rgb.par_chunks_mut(row * side as usize)
            .enumerate()
            .for_each(|(band, out)| {
                let y0 = pixels.y0 + band as i32 * side as i32;
                let ny = (out.len() / row) as u32;
                (0..pixels.nx.div_ceil(side))
                    .into_par_iter()
                    .map(|column| {
                        let x0 = column * side;
                        let rect = Rect {
                            x0: pixels.x0 + x0 as i32,
                            y0,
                            nx: side.min(pixels.nx - x0),
                            ny,
                        };
                        let tile = if stop.load(Ordering::Relaxed) {
                            vec![0; rect.nx as usize * rect.ny as usize * 3]
                        } else {
                            self.tile(bolt, &appearance, rect, samples, tiling)
                        };
                        progress(done.fetch_add(1, Ordering::Relaxed) as f64 / total as f64);
                        (x0 as usize, rect.nx as usize, tile)
                    })
                    .collect::<Vec<_>>()
                    .into_iter()
                    .for_each(|(x0, nx, tile)| {
                        for (line, source) in out.chunks_exact_mut(row).zip(tile.chunks_exact(nx * 3)) {
                            line[x0 * 3..(x0 + nx) * 3].copy_from_slice(source);
                        }
                    });
            });
        if stop.load(Ordering::Relaxed) {
            return Err(Refused::Stopped);
        }
        Ok(Picture {
            width: pixels.nx,
            height: pixels.ny,
            rgb,
        })
    }

    fn tile(
        &self,
        bolt: &Bolt,
        appearance: &Appearance,
        rect: Rect,
        samples: u32,
        tiling: &Tiling,
    ) -> Vec<u8> {
        let s = samples as i32;
        let core = Rect {
            x0: rect.x0 * s,
            y0: rect.y0 * s,
            nx: rect.nx * samples,
            ny: rect.ny * samples,
        };
        let pitch = 25.4 / self.dpi / f64::from(samples);
        let patch = develop(bolt, Tile::new(pitch, core), self.steps, tiling);
        let light = appearance.light(&patch);
        let light = light.map(|plane| average(&plane, core.nx as usize, samples as usize));
        let mut bytes = vec![0u8; rect.nx as usize * rect.ny as usize * 3];
        srgb_bytes([&light[0], &light[1], &light[2]], &mut bytes);
        bytes
    }
}

/// Averages light over squares of `s` samples: light, never dye.
fn average(plane: &[f32], nx: usize, s: usize) -> Vec<f32> {
    if s == 1 {
        return plane.to_vec();
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
