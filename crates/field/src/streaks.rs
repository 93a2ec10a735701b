//! Noise drawn out along one axis: known at places far enough apart to be cheap, straight between them.
//!
//! At ten places a cell, straight lines stay within 0.02 of [`noise`](crate::noise()) (whose standard deviation is 0.27).
//! Places sit on a lattice of the whole bolt, so tiles join to the bit.

use crate::columns::Columns;
use crate::lattice::{Lattice, Rect};
use crate::rows::NoiseRows;

/// Streaks along x and streaks along y over a rectangle of samples; each has a cell's length, and a width across it.
pub struct Streaks {
    samples: Lattice,
    rect: Rect,
    per_width: f64,
    along_x: NoiseRows,
    at_places: Vec<f32>,
    columns: Columns,
    x_row: Vec<f32>,
    along_y: NoiseRows,
    /// Where streaks along y are known.
    rows: Lattice,
    per_length: f64,
    upper: (Option<i32>, Vec<f32>),
    lower: (Option<i32>, Vec<f32>),
}

impl Streaks {
    /// On samples of `rect`, `width` mm wide; of those along x and those along y the length in mm and the seed.
    ///
    /// # Panics
    /// If the rectangle is empty.
    pub fn new((samples, rect): (Lattice, Rect), width: f64, along: [(f64, u32); 2]) -> Self {
        let [(length_x, seed_x), (length_y, seed_y)] = along;
        let places = |length: f64| Lattice {
            pitch: (0.1 * length).max(samples.pitch),
        };
        let (places, rows) = (places(length_x), places(length_y));
        let per_width = 1.0 / width;
        let read = places.support(rect, samples);
        let nodes = (read.x0..read.x1()).map(|x| (places.at(x) / length_x) as f32);
        let xs = (rect.x0..rect.x1()).map(|x| (samples.at(x) * per_width) as f32);
        let row = || vec![0.0; rect.nx as usize];
        Self {
            samples,
            rect,
            per_width,
            along_x: NoiseRows::new(nodes, seed_x),
            at_places: vec![0.0; read.nx as usize],
            columns: Columns::between((places, read), (samples, rect)),
            x_row: row(),
            along_y: NoiseRows::new(xs, seed_y),
            rows,
            per_length: 1.0 / length_y,
            upper: (None, row()),
            lower: (None, row()),
        }
    }

    /// 1 + `strength` times the sum of both on row `y` of the rectangle. Rows are best asked for in order.
    pub fn row(&mut self, y: i32, strength: f32, out: &mut [f32]) {
        self.along_x.go((self.samples.at(y) * self.per_width) as f32);
        self.along_x.fill(0, &mut self.at_places);
        self.columns.read(&self.at_places, &mut self.x_row);
        let (lo, hi, weight) = self.rows.between(y, self.samples);
        if self.upper.0 != Some(lo) && self.lower.0 == Some(lo) {
            std::mem::swap(&mut self.upper, &mut self.lower);
        }
        for (place, (known, row)) in [(lo, &mut self.upper), (hi, &mut self.lower)] {
            if *known != Some(place) {
                self.along_y.go((self.rows.at(place) * self.per_length) as f32);
                self.along_y.fill(0, row);
                *known = Some(place);
            }
        }
        debug_assert_eq!(out.len(), self.rect.nx as usize);
        both(&self.upper.1, &self.lower.1, weight, &self.x_row, strength, out);
    }
}

crate::lanes! {
    fn both(upper: &[f32], lower: &[f32], weight: f32, across: &[f32], strength: f32, out: &mut [f32]) {
        let n = out.len();
        let (upper, lower, across) = (&upper[..n], &lower[..n], &across[..n]);
        for i in 0..n {
            out[i] = 1.0 + strength * ((upper[i] + weight * (lower[i] - upper[i])) + across[i]);
        }
    }
}
