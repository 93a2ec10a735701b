//! Gradient noise row by row: where a cell spans many samples, its slopes are hashed once.

use crate::hash::{STEP_X, place};
use crate::maths::split;
use crate::noise::{GAIN, fading, slopes};

/// [`noise`](crate::noise()) on the rows of a lattice, to the bit.
///
/// The slopes above and below a row are kept for the rows that follow in the same cells, so rows are best asked for in
/// order: then a sample costs no more hashes than there are rows of cells.
#[derive(Clone, Debug)]
pub struct NoiseRows {
    seed: u32,
    /// Per column: the cell and how far into it, and the slopes of its four corners.
    cells: Vec<i32>,
    into: Vec<f32>,
    upper: Corners,
    lower: Corners,
    /// Row of cells of `upper`, and how far into it the row in hand lies.
    at: Option<i32>,
    down: f32,
}

/// Slopes of the left and right corners of every column, on one row of cells.
#[derive(Clone, Debug)]
struct Corners {
    left: [Vec<f32>; 2],
    right: [Vec<f32>; 2],
}

impl NoiseRows {
    /// Columns at `xs`, in cells as for [`noise`](crate::noise()).
    pub fn new(xs: impl Iterator<Item = f32>, seed: u32) -> Self {
        let (cells, into): (Vec<i32>, Vec<f32>) = xs.map(split).unzip();
        let corners = || {
            let one = || [vec![0.0; cells.len()], vec![0.0; cells.len()]];
            Corners {
                left: one(),
                right: one(),
            }
        };
        let (upper, lower) = (corners(), corners());
        Self {
            seed,
            cells,
            into,
            upper,
            lower,
            at: None,
            down: 0.0,
        }
    }

    /// Goes to the row at `y`, in cells.
    pub fn go(&mut self, y: f32) {
        let (row, down) = split(y);
        self.down = down;
        if self.at == Some(row) {
            return;
        }
        if self.at.is_some_and(|at| at.wrapping_add(1) == row) {
            std::mem::swap(&mut self.upper, &mut self.lower);
        } else {
            self.upper.hash(&self.cells, row, self.seed);
        }
        self.lower.hash(&self.cells, row.wrapping_add(1), self.seed);
        self.at = Some(row);
    }

    /// The noise of columns `from` on, on the row [`NoiseRows::go`] went to.
    ///
    /// # Panics
    /// If there are fewer columns.
    pub fn fill(&self, from: usize, out: &mut [f32]) {
        let part = from..from + out.len();
        blend(
            &self.into[part.clone()],
            self.down,
            self.upper.part(part.clone()),
            self.lower.part(part),
            out,
        );
    }
}

impl Corners {
    fn hash(&mut self, cells: &[i32], row: i32, seed: u32) {
        let Corners {
            left: [lx, ly],
            right: [rx, ry],
        } = self;
        hash_row(cells, row, seed, lx, ly, rx, ry);
    }

    fn part(&self, part: std::ops::Range<usize>) -> [&[f32]; 4] {
        let [a, b] = &self.left;
        let [c, d] = &self.right;
        [a, b, c, d].map(|slopes| &slopes[part.clone()])
    }
}

crate::lanes! {
    fn hash_row(cells: &[i32], row: i32, seed: u32, lx: &mut [f32], ly: &mut [f32], rx: &mut [f32], ry: &mut [f32]) {
        let n = cells.len();
        let (lx, ly, rx, ry) = (&mut lx[..n], &mut ly[..n], &mut rx[..n], &mut ry[..n]);
        for i in 0..n {
            let p = place(cells[i], row);
            (lx[i], ly[i]) = slopes(p, seed);
            (rx[i], ry[i]) = slopes(p.wrapping_add(STEP_X), seed);
        }
    }

    fn blend(into: &[f32], down: f32, upper: [&[f32]; 4], lower: [&[f32]; 4], out: &mut [f32]) {
        let n = out.len();
        let into = &into[..n];
        let [ax, ay, bx, by] = upper.map(|s| &s[..n]);
        let [cx, cy, dx, dy] = lower.map(|s| &s[..n]);
        let rest = down - 1.0;
        for i in 0..n {
            let (near, far) = (into[i], into[i] - 1.0);
            let a = fading((ax[i], ay[i]), near, down);
            let b = fading((bx[i], by[i]), far, down);
            let c = fading((cx[i], cy[i]), near, rest);
            let d = fading((dx[i], dy[i]), far, rest);
            out[i] = GAIN * ((a + b) + (c + d));
        }
    }
}
