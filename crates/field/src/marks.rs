//! Marks put down one by one: each touches only the samples of its bounding box.

use crate::grid::Grid;
use crate::lattice::{Lattice, Rect};
use crate::maths::{clamp01, smoothstep};
use crate::noise::noise2;

/// A run of samples in one row, as a mark's painter gets it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Run {
    /// Column of the first sample.
    pub x0: i32,
    /// Row.
    pub y: i32,
}

/// Goes through `marks` in order and calls `paint` for every row of `grid` that a mark's `bounds` cross,
/// with the samples in the bounds. Runs under [`crate::dispatch`]: a painter that inlines becomes vector
/// code. To be the same in every tile, a painter may use the run only as a position.
#[inline(always)]
pub fn splat<M>(
    grid: &mut Grid,
    marks: &[M],
    bounds: impl Fn(&M) -> Rect,
    paint: impl Fn(&M, Run, &mut [f32]),
) {
    crate::dispatch(
        #[inline(always)]
        || {
            for mark in marks {
                let hit = grid.rect.intersect(bounds(mark));
                let first = hit.x0.abs_diff(grid.rect.x0) as usize;
                for y in hit.y0..hit.y1() {
                    let row = &mut grid.row_mut(y)[first..first + hit.nx as usize];
                    paint(mark, Run { x0: hit.x0, y }, row);
                }
            }
        },
    );
}

/// How a mark meets what is there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Join {
    /// a + b: amounts.
    Add,
    /// The larger.
    Max,
    /// 1 - (1-a)(1-b): coverages that do not know of each other.
    Cover,
}

/// A disk, or a stroke with round ends, with a soft and ragged edge. Lengths in mm.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Blot {
    /// Centre across the width.
    pub x: f64,
    /// Centre along the length.
    pub y: f64,
    /// From the centre to the end of the stroke, (x, y); (0, 0) for a disk.
    pub half: [f32; 2],
    /// Radius.
    pub radius: f32,
    /// Width of the ramp at the edge, centred on it; positive.
    pub edge: f32,
    /// How far the edge strays: factor of a noise within +-1 of standard deviation 0.20.
    pub rag: f32,
    /// Distance over which it strays; positive.
    pub grain: f32,
    /// Value inside.
    pub amount: f32,
    /// Seed of the edge.
    pub seed: u32,
}

impl Blot {
    /// The samples it can touch. The noise of the edge stays within +-1.
    pub fn bounds(&self, lattice: Lattice) -> Rect {
        let out = f64::from(self.radius + 0.5 * self.edge + self.rag.abs());
        let (rx, ry) = (
            out + f64::from(self.half[0].abs()),
            out + f64::from(self.half[1].abs()),
        );
        let first = |v: f64| (v / lattice.pitch - 0.5).ceil() as i32;
        let end = |v: f64| (v / lattice.pitch - 0.5).floor() as i32 + 1;
        Rect::between(
            first(self.x - rx),
            first(self.y - ry),
            end(self.x + rx),
            end(self.y + ry),
        )
    }
}

/// Puts `blots` on the grid in order.
pub fn blots(grid: &mut Grid, blots: &[Blot], join: Join) {
    match join {
        Join::Add => blots_by(grid, blots, |a, b| a + b),
        Join::Max => blots_by(grid, blots, |a, b| if b > a { b } else { a }),
        Join::Cover => blots_by(grid, blots, |a, b| a + b * (1.0 - a)),
    }
}

#[inline(always)]
fn blots_by(grid: &mut Grid, blots: &[Blot], join: impl Fn(f32, f32) -> f32) {
    let lattice = grid.lattice;
    splat(
        grid,
        blots,
        |b| b.bounds(lattice),
        #[inline(always)]
        |b, run, row| paint(b, lattice, run, row, &join),
    );
}

#[inline(always)]
fn paint(b: &Blot, lattice: Lattice, run: Run, row: &mut [f32], join: &impl Fn(f32, f32) -> f32) {
    // Offsets count from the sample nearest the centre, so they do not depend on where the run begins.
    let pitch = lattice.pitch as f32;
    let middle = (b.x / lattice.pitch).floor() as i32;
    let rest = (lattice.at(middle) - b.x) as f32;
    let ey = (lattice.at(run.y) - b.y) as f32;
    let [hx, hy] = b.half;
    let per_square = 1.0 / (hx * hx + hy * hy + 1e-12);
    let per_grain = 1.0 / b.grain;
    let step = pitch * per_grain;
    let first = run.x0.wrapping_sub(middle);
    for (i, v) in (0i32..).zip(row) {
        let ex = (first + i) as f32 * pitch + rest;
        // The nearest place on the stroke, -1 to 1 of its half length.
        let along = (ex * hx + ey * hy) * per_square;
        let along = 2.0 * clamp01(0.5 * along + 0.5) - 1.0;
        let (dx, dy) = (ex - along * hx, ey - along * hy);
        let ragged = b.rag * noise2(ex * per_grain, ey * per_grain, b.seed, step);
        let inside = b.radius + ragged - (dx * dx + dy * dy).sqrt();
        *v = join(*v, b.amount * smoothstep(-0.5 * b.edge, 0.5 * b.edge, inside));
    }
}
