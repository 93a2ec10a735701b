//! The dabs on the cloth: where they cover it, what they leave there, and what that is over the bolt.

use crate::barrier::reached;
use crate::detail::Veil;
use crate::patch::positions;
use crate::prelude::*;
use field::{Blot, Join, blots, clamp01, noise, smoothstep};

/// Lattice on which the mean of the dabs is taken, mm.
pub(super) const COARSE: f64 = 3.0;
/// What a dab leaves on places that have their dye: the sponge touches them too (own estimate).
const TOUCHED: f32 = 0.08;

pub(super) struct TouchUpHand {
    /// Dabs of each colour, sorted along the bolt.
    pub(super) dabs: Vec<Vec<Blot>>,
    pub(super) dyes: Vec<usize>,
    /// Dye of a full dab, g/kg.
    pub(super) full: Vec<f32>,
    /// Dye below which a place is white and above which it is not, g/kg.
    pub(super) lack: (f32, f32),
    pub(super) seed: u32,
    pub(super) water: f32,
}

/// How much a place lacks dye, 0..1.
#[inline(always)]
fn lacking(local: f32, (white, full): (f32, f32)) -> f32 {
    TOUCHED + (1.0 - TOUCHED) * (1.0 - smoothstep(white, full, local))
}

/// The dab's print: a small sponge leaves paler spots.
#[inline(always)]
fn print(x: f32, y: f32, seed: u32) -> f32 {
    0.68 + 0.44
        * clamp01(0.5 + 0.9 * noise(x / 3.4, y / 3.4, seed) + 1.1 * noise(x / 13.0, y / 13.0, seed ^ 5))
}

field::lanes! {
    /// From the dye that lies there to what a full dab of any colour leaves; `sum` is the coverage of all colours.
    fn gate_row(lack: (f32, f32), seed: u32, y: f32, xs: &[f32], sum: &[f32], local: &mut [f32]) {
        let n = local.len();
        let (xs, sum) = (&xs[..n], &sum[..n]);
        for i in 0..n {
            // Where dabs of two colours meet they share the place.
            let over = if sum[i] > 1.0 { sum[i] } else { 1.0 };
            local[i] = lacking(local[i], lack) * print(xs[i], y, seed) / over;
        }
    }

    fn dab_row(full: f32, gate: &[f32], cover: &mut [f32]) {
        for (c, g) in cover.iter_mut().zip(gate) {
            *c *= full * *g;
        }
    }

    fn add_row(from: &[f32], to: &mut [f32]) {
        for (t, f) in to.iter_mut().zip(from) {
            *t += *f;
        }
    }
}

/// Dabs that can touch a rectangle. They are sorted by y.
fn near(dabs: &[Blot], lattice: Lattice, rect: Rect) -> Vec<Blot> {
    let reach = dabs
        .iter()
        .map(|dab| f64::from(dab.radius + dab.edge + 1.6 * dab.rag))
        .fold(0.0, f64::max);
    let first = dabs.partition_point(|dab| dab.y < lattice.at(rect.y0) - reach);
    let end = dabs.partition_point(|dab| dab.y <= lattice.at(rect.y1()) + reach);
    dabs.get(first..end.max(first))
        .unwrap_or(&[])
        .iter()
        .filter(|dab| !dab.bounds(lattice).intersect(rect).is_empty())
        .copied()
        .collect()
}

/// Coverage of each colour on a rectangle, and their sum. `None` where no dab lies.
fn covers(dabs: &[Vec<Blot>], lattice: Lattice, rect: Rect) -> Option<(Vec<Option<Grid>>, Grid)> {
    let mut sum = Grid::flat(lattice, rect, 0.0);
    let grids: Vec<Option<Grid>> = dabs
        .iter()
        .map(|dabs| {
            let there = near(dabs, lattice, rect);
            (!there.is_empty()).then(|| {
                let mut grid = Grid::flat(lattice, rect, 0.0);
                blots(&mut grid, &there, Join::Max);
                add_row(&grid.data, &mut sum.data);
                grid
            })
        })
        .collect();
    grids.iter().any(Option::is_some).then_some((grids, sum))
}

/// The detail on which all dye can be seen at once: the half-millimetre lattice, or the picture's own where some dye
/// is known on that.
fn sight(patch: &Patch) -> (Lattice, Rect) {
    let half = patch.half();
    let fine = (0..DYES)
        .flat_map(|dye| patch.seen(dye))
        .any(|plane| match plane {
            Plane::Grid(grid) => grid.lattice.pitch < half.0.pitch,
            Plane::Veiled(_, veil) => veil.lattice.pitch < half.0.pitch,
            _ => false,
        });
    if fine { patch.fine() } else { half }
}

impl Hand for TouchUpHand {
    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = sight(patch);
        if let Some((grids, sum)) = covers(&self.dabs, lattice, rect) {
            let mut local = Grid::flat(lattice, rect, 0.0);
            for dye in 0..DYES {
                for plane in patch.seen(dye) {
                    if !plane.is_zero() {
                        add_row(&plane.at_detail(lattice, rect).data, &mut local.data);
                    }
                }
            }
            let xs = positions(lattice, rect.x0, rect.nx);
            for ((y, local), (_, sum)) in local.rows_mut().zip(sum.rows()) {
                // Most of a row is free of dabs, and many rows are.
                let first = sum.iter().position(|c| *c > 0.0).unwrap_or(sum.len());
                let end = sum.iter().rposition(|c| *c > 0.0).map_or(first, |last| last + 1);
                let y = lattice.at(y) as f32;
                gate_row(
                    self.lack,
                    self.seed,
                    y,
                    &xs[first..end],
                    &sum[first..end],
                    &mut local[first..end],
                );
            }
            let mut reached = reached(patch).map(Veil::new);
            for (colour, grid) in grids.into_iter().enumerate() {
                let Some(mut grid) = grid else { continue };
                dab_row(self.full[colour], &local.data, &mut grid.data);
                let mut plane = Plane::Grid(grid);
                if let Some(reached) = &mut reached {
                    reached.lay(&mut plane);
                }
                patch.loose[self.dyes[colour]].add(&plane);
            }
        }
        patch.water.map(|w| w + self.water);
    }
}

/// Mean over the bolt of what full dabs of each colour would leave, as a share of a full dab.
pub(super) fn means(dabs: &[Vec<Blot>], cells: &Grid, lack: (f32, f32), bolt: Rect) -> Vec<f64> {
    let lattice = Lattice { pitch: COARSE };
    let mut sums = vec![0.0f64; dabs.len()];
    // In strips: a whole bolt at once would be a picture.
    for y0 in (bolt.y0..bolt.y1()).step_by(128) {
        let rect = Rect::between(bolt.x0, y0, bolt.x1(), bolt.y1().min(y0 + 128));
        let Some((grids, sum)) = covers(dabs, lattice, rect) else {
            continue;
        };
        let cell = |at: i32| (lattice.at(at) / cells.lattice.pitch) as i32;
        for (colour, grid) in grids.iter().enumerate() {
            let Some(grid) = grid else { continue };
            for ((y, row), (_, others)) in grid.rows().zip(sum.rows()) {
                for ((x, cover), other) in (rect.x0..).zip(row).zip(others) {
                    if *cover > 0.0 {
                        let local = cells.get(cell(x), cell(y)).unwrap_or(0.0);
                        // Mean of the print: 0.9.
                        sums[colour] += f64::from(*cover / other.max(1.0) * lacking(local, lack) * 0.9);
                    }
                }
            }
        }
    }
    sums.into_iter()
        .map(|sum| sum / bolt.area().max(1) as f64)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{TOUCHED, covers, lacking, near};
    use field::{Blot, Lattice, Rect};

    #[test]
    fn a_dab_colours_what_lacks_dye() {
        let lack = (1.0, 5.0);
        assert_eq!(lacking(0.0, lack), 1.0);
        assert_eq!(lacking(5.0, lack), TOUCHED);
        assert!(lacking(2.0, lack) > lacking(3.0, lack));
    }

    fn dab(x: f64, y: f64) -> Blot {
        Blot {
            x,
            y,
            half: [0.0, 0.0],
            radius: 20.0,
            edge: 4.0,
            rag: 4.0,
            grain: 10.0,
            amount: 1.0,
            seed: 7,
        }
    }

    #[test]
    fn a_tile_finds_every_dab_that_touches_it_and_no_other() {
        let lattice = Lattice { pitch: 1.0 };
        let dabs: Vec<Blot> = (0..40).map(|k| dab(50.0, f64::from(k) * 25.0)).collect();
        let rect = Rect::between(0, 300, 100, 400);
        let found: Vec<f64> = near(&dabs, lattice, rect).iter().map(|d| d.y).collect();
        let wanted: Vec<f64> = dabs
            .iter()
            .filter(|d| !d.bounds(lattice).intersect(rect).is_empty())
            .map(|d| d.y)
            .collect();
        assert_eq!(found, wanted);
        assert!(covers(&[dabs], lattice, Rect::between(500, 300, 600, 400)).is_none());
    }
}
