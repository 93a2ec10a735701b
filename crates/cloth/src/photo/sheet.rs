//! Cloth laid straight: colours on a grid of millimetres, from a photograph or from the model alike.

use super::{Evenness, Photo, View};
use crate::shot::average;
use crate::{Appearance, Bolt, Tiling, develop};
use colour::fit::photo::Correction;
use colour::screen::{self, apply, bradford};
use colour::{Lab, Viewing, Xyz, lab};
use field::{Rect, Tile};
use rayon::prelude::*;

/// Cloth seen straight from above.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Side of a square of the grid, mm.
    pub pitch_mm: f64,
    /// Squares across and along.
    pub size: [usize; 2],
    /// Mean colour of each square, rows from the top: XYZ, Y = 100, D65, 10 degrees.
    pub xyz: Vec<[f32; 3]>,
    /// Share of the squares in which the camera's range ended.
    pub clipped: f64,
}

/// Readings of a square of the grid, each way, at most.
const MOST_READINGS: usize = 6;
/// Samples of a square of the model's cloth, each way.
const SAMPLES: u32 = 2;
/// Rows of squares that are developed at once.
const STRIP: usize = 64;

impl Sheet {
    /// From a photograph. `window` is in mm; light is averaged over each square, never colour.
    pub fn of_photo(
        photo: &Photo,
        window: &View,
        even: Option<&Evenness>,
        correction: &Correction,
        pitch_mm: f64,
    ) -> Self {
        let size = window.size.map(|mm| (mm / pitch_mm).floor().max(1.0) as usize);
        let n = ((window.least_detail() * pitch_mm).ceil() as usize).clamp(1, MOST_READINGS);
        let square = |index: usize| {
            let (i, j) = (index % size[0], index / size[0]);
            let (mut sum, mut clipped) = ([0.0; 3], false);
            for k in 0..n * n {
                let at = |v: usize, k: usize| (v as f64 + (k as f64 + 0.5) / n as f64) * pitch_mm;
                let at = window.at(at(i, k % n), at(j, k / n));
                let light = photo.at(at).unwrap_or_default();
                clipped |= photo.clipped(at);
                let light = even.map_or(light, |even| even.evened(at, light));
                for (s, v) in sum.iter_mut().zip(light) {
                    *s += v / (n * n) as f64;
                }
            }
            (correction.colour(sum).to_array().map(|v| v as f32), clipped)
        };
        let squares: Vec<([f32; 3], bool)> = (0..size[0] * size[1]).into_par_iter().map(square).collect();
        Self {
            pitch_mm,
            size,
            clipped: squares.iter().filter(|s| s.1).count() as f64 / squares.len() as f64,
            xyz: squares.into_iter().map(|s| s.0).collect(),
        }
    }

    /// A rectangle of a bolt of the model, after all its steps: left, top, width and height in mm.
    pub fn of_bolt(bolt: &Bolt, [x, y, w, h]: [f64; 4], pitch_mm: f64) -> Self {
        let at = |mm: f64| (mm / pitch_mm).round() as i32;
        let size = [w, h].map(|mm| (mm / pitch_mm).floor().max(1.0) as usize);
        let appearance = Appearance::new(&bolt.design);
        let to_daylight = bradford(screen::WHITE, Viewing::DAYLIGHT.white());
        let strips: Vec<Vec<[f32; 3]>> = (0..size[1].div_ceil(STRIP))
            .into_par_iter()
            .map(|strip| {
                let rows = STRIP.min(size[1] - strip * STRIP) as u32;
                let core = Rect {
                    x0: at(x) * SAMPLES as i32,
                    y0: (at(y) + (strip * STRIP) as i32) * SAMPLES as i32,
                    nx: size[0] as u32 * SAMPLES,
                    ny: rows * SAMPLES,
                };
                let tile = Tile::averaging(pitch_mm / f64::from(SAMPLES), SAMPLES, core);
                let patch = develop(bolt, tile, bolt.hands.len(), &Tiling::default());
                let light = appearance.light(&patch);
                let [r, g, b] = light.map(|plane| average(plane, core.nx as usize, SAMPLES as usize));
                let colour = |i: usize| {
                    let linear = [r[i], g[i], b[i]].map(f64::from);
                    apply(&to_daylight, screen::xyz_from_linear(linear).to_array()).map(|v| v as f32)
                };
                (0..r.len()).map(colour).collect()
            })
            .collect();
        Self {
            pitch_mm,
            size,
            xyz: strips.concat(),
            clipped: 0.0,
        }
    }

    /// CIELAB of every square.
    pub fn lab(&self) -> Vec<Lab> {
        let white = Viewing::DAYLIGHT.white();
        let one = |xyz: &[f32; 3]| lab(Xyz::from_array(xyz.map(|v| f64::from(v).max(0.0))), white);
        self.xyz.par_iter().map(one).collect()
    }

    /// sRGB bytes for a screen, three a square.
    pub fn screen(&self) -> Vec<u8> {
        let to_linear = screen::to_linear(Viewing::DAYLIGHT.white());
        let one = |xyz: &[f32; 3]| screen::bytes(screen::clip(apply(&to_linear, xyz.map(f64::from))).0);
        self.xyz.par_iter().flat_map_iter(one).collect()
    }
}
