//! What is seen of one dye, brought to the samples a few rows at a time: no plane is written for it.

use field::{Grid, Lattice, Plane, Rect, RowsOnto};
use route::Patch;
use std::borrow::Cow;
use std::sync::Arc;

/// One amount everywhere, grids on the samples of the core, and what is known at less detail.
pub struct Seen<'a> {
    flat: f32,
    grids: Vec<Cow<'a, Grid>>,
    layers: Vec<Layer<'a>>,
}

/// Dye that is known at less detail than the samples, or the same everywhere, under a veil or under none.
struct Layer<'a> {
    under: Plane,
    veil: Option<&'a Arc<Grid>>,
}

impl<'a> Seen<'a> {
    /// `None` if there is nothing of the dye.
    pub fn of(dye: usize, patch: &'a Patch) -> Option<Self> {
        let (lattice, core) = patch.fine();
        let mut seen = Seen {
            flat: 0.0,
            grids: Vec::new(),
            layers: Vec::new(),
        };
        for plane in patch.seen(dye).into_iter().filter(|plane| !plane.is_zero()) {
            match plane {
                Plane::Zero => {}
                Plane::Flat(amount) => seen.flat += amount,
                Plane::Grid(grid) if grid.lattice.pitch > lattice.pitch => seen.lay(plane, None),
                Plane::Grid(_) => seen.grids.push(plane.at_detail(lattice, core)),
                Plane::Veiled(under, veil) if (veil.lattice, veil.rect) == (lattice, core) => {
                    seen.lay(under, Some(veil));
                }
                Plane::Veiled(..) => seen.grids.push(plane.at_detail(lattice, core)),
            }
        }
        let none = seen.flat == 0.0 && seen.grids.is_empty() && seen.layers.is_empty();
        (!none).then_some(seen)
    }

    /// What lies under one veil, or under none, is summed before it is brought to the samples.
    fn lay(&mut self, under: &Plane, veil: Option<&'a Arc<Grid>>) {
        let same = |layer: &&mut Layer| layer.veil.map(Arc::as_ptr) == veil.map(Arc::as_ptr);
        match self.layers.iter_mut().find(same) {
            Some(layer) => layer.under.add(under),
            None => self.layers.push(Layer {
                under: under.clone(),
                veil,
            }),
        }
    }

    /// Its amounts on a rectangle of samples, in rows.
    pub fn rows(&self, (lattice, core): (Lattice, Rect)) -> SeenRows<'_> {
        SeenRows {
            flat: self.flat,
            grids: self.grids.iter().map(|grid| &grid.data[..]).collect(),
            layers: self
                .layers
                .iter()
                .map(|layer| {
                    let veil = layer.veil.map(|veil| &veil.data[..]);
                    match &layer.under {
                        Plane::Grid(grid) => (Under::Rows(RowsOnto::new(grid, lattice, core)), veil),
                        Plane::Flat(amount) => (Under::Flat(*amount), veil),
                        Plane::Zero | Plane::Veiled(..) => (Under::Flat(0.0), veil),
                    }
                })
                .collect(),
            core,
        }
    }
}

enum Under<'a> {
    Flat(f32),
    Rows(RowsOnto<'a>),
}

/// The amounts of one dye, in rows.
pub struct SeenRows<'a> {
    flat: f32,
    grids: Vec<&'a [f32]>,
    layers: Vec<(Under<'a>, Option<&'a [f32]>)>,
    core: Rect,
}

impl SeenRows<'_> {
    /// The amounts of whole rows of the core, from its row `first` on.
    pub fn sum(&mut self, first: usize, out: &mut [f32]) {
        let nx = self.core.nx as usize;
        let part = first * nx..first * nx + out.len();
        // What comes first is written over what was there, the rest is added.
        let mut begun = false;
        for grid in &self.grids {
            let grid = &grid[part.clone()];
            if begun {
                add_row(grid, 1.0, out);
            } else {
                row_from(self.flat, grid, 1.0, out);
            }
            begun = true;
        }
        for (under, veil) in &mut self.layers {
            let veil = veil.map(|veil| &veil[part.clone()]);
            match (under, veil) {
                (Under::Flat(amount), Some(veil)) if begun => add_row(veil, *amount, out),
                (Under::Flat(amount), Some(veil)) => row_from(self.flat, veil, *amount, out),
                (Under::Flat(amount), None) if begun => out.iter_mut().for_each(|to| *to += *amount),
                (Under::Flat(amount), None) => out.fill(self.flat + *amount),
                (Under::Rows(rows), veil) => {
                    for (row, to) in out.chunks_exact_mut(nx).enumerate() {
                        let (upper, lower, weight) = rows.around(self.core.y0 + (first + row) as i32);
                        let veil = veil.map(|veil| &veil[row * nx..(row + 1) * nx]);
                        match (veil, begun) {
                            (Some(veil), true) => add_between_times(upper, lower, weight, veil, to),
                            (Some(veil), false) => {
                                between_times_from(self.flat, upper, lower, weight, veil, to)
                            }
                            (None, true) => add_between(upper, lower, weight, to),
                            (None, false) => between_from(self.flat, upper, lower, weight, to),
                        }
                    }
                }
            }
            begun = true;
        }
        if !begun {
            out.fill(self.flat);
        }
    }
}

field::lanes! {
    fn add_row(from: &[f32], share: f32, to: &mut [f32]) {
        for (t, f) in to.iter_mut().zip(from) {
            *t += share * *f;
        }
    }

    fn row_from(flat: f32, from: &[f32], share: f32, to: &mut [f32]) {
        for (t, f) in to.iter_mut().zip(from) {
            *t = flat + share * *f;
        }
    }

    fn add_between(upper: &[f32], lower: &[f32], weight: f32, to: &mut [f32]) {
        let n = to.len();
        let (upper, lower) = (&upper[..n], &lower[..n]);
        for i in 0..n {
            to[i] += upper[i] + weight * (lower[i] - upper[i]);
        }
    }

    fn between_from(flat: f32, upper: &[f32], lower: &[f32], weight: f32, to: &mut [f32]) {
        let n = to.len();
        let (upper, lower) = (&upper[..n], &lower[..n]);
        for i in 0..n {
            to[i] = flat + (upper[i] + weight * (lower[i] - upper[i]));
        }
    }

    fn add_between_times(upper: &[f32], lower: &[f32], weight: f32, veil: &[f32], to: &mut [f32]) {
        let n = to.len();
        let (upper, lower, veil) = (&upper[..n], &lower[..n], &veil[..n]);
        for i in 0..n {
            to[i] += veil[i] * (upper[i] + weight * (lower[i] - upper[i]));
        }
    }

    fn between_times_from(flat: f32, upper: &[f32], lower: &[f32], weight: f32, veil: &[f32], to: &mut [f32]) {
        let n = to.len();
        let (upper, lower, veil) = (&upper[..n], &lower[..n], &veil[..n]);
        for i in 0..n {
            to[i] = flat + veil[i] * (upper[i] + weight * (lower[i] - upper[i]));
        }
    }
}
