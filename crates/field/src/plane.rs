//! A quantity over a tile at whatever detail it has: nothing, one value, a grid, or one of these behind a veil.

use std::borrow::Cow;
use std::sync::Arc;

use crate::grid::Grid;
use crate::lattice::{Lattice, Rect};

/// A quantity over a tile. What is not there costs nothing.
#[derive(Clone, PartialEq, Debug, Default)]
pub enum Plane {
    /// 0 everywhere.
    #[default]
    Zero,
    /// One value everywhere.
    Flat(f32),
    /// Values on samples of a lattice.
    Grid(Grid),
    /// One value, or values on a coarser lattice, times a grid: the product is worked out where somebody reads it, so
    /// that steps may go on at the coarser detail, and planes share what lies over all of them.
    Veiled(Box<Plane>, Arc<Grid>),
}

impl Plane {
    /// 0 everywhere, known without looking at samples.
    pub fn is_zero(&self) -> bool {
        match self {
            Plane::Zero => true,
            Plane::Flat(v) => *v == 0.0,
            Plane::Grid(_) => false,
            Plane::Veiled(under, _) => under.is_zero(),
        }
    }

    /// Multiplies every value, in place; by 0 leaves `Zero`.
    pub fn scale(&mut self, factor: f32) {
        if factor == 0.0 {
            *self = Plane::Zero;
        } else if let Plane::Veiled(under, _) = self {
            under.scale(factor);
        } else if factor != 1.0 {
            self.map(|v| v * factor);
        }
    }

    /// Applies `f` to every value, in place. A function with f(0) other than 0 turns `Zero` into `Flat`.
    pub fn map(&mut self, f: impl Fn(f32) -> f32) {
        match self {
            Plane::Zero => *self = Plane::level(f(0.0)),
            Plane::Flat(v) => *self = Plane::level(f(*v)),
            Plane::Grid(g) => crate::dispatch(|| g.data.iter_mut().for_each(|v| *v = f(*v))),
            Plane::Veiled(under, veil) => {
                *self = Plane::Grid(seen_through(under, veil));
                self.map(f);
            }
        }
    }

    /// Adds `other`, in place. Of two grids on one lattice: over the samples of both. Of two lattices:
    /// on the finer one, the coarser interpolated onto it.
    pub fn add(&mut self, other: &Plane) {
        *self = match (std::mem::take(self), other) {
            (a, Plane::Zero) => a,
            (Plane::Zero, b) => b.clone(),
            (Plane::Flat(a), Plane::Grid(b)) => {
                let mut sum = b.clone();
                sum.data.iter_mut().for_each(|v| *v += a);
                Plane::Grid(sum)
            }
            (mut a, Plane::Flat(b)) => {
                a.map(|v| v + b);
                a
            }
            (Plane::Grid(a), Plane::Grid(b)) => Plane::Grid(add_grids(a, b)),
            (Plane::Veiled(mut a, veil), Plane::Veiled(b, other)) if Arc::ptr_eq(&veil, other) => {
                a.add(b);
                Plane::Veiled(a, veil)
            }
            (Plane::Veiled(under, veil), b) => {
                let mut sum = Plane::Grid(seen_through(&under, &veil));
                sum.add(b);
                sum
            }
            (mut a, Plane::Veiled(under, veil)) => {
                a.add(&Plane::Grid(seen_through(under, veil)));
                a
            }
        };
    }

    /// The mean of the values.
    pub fn mean(&self) -> f64 {
        match self {
            Plane::Zero => 0.0,
            Plane::Flat(v) => f64::from(*v),
            Plane::Grid(g) => g.mean(),
            Plane::Veiled(under, veil) => seen_through(under, veil).mean(),
        }
    }

    /// The values on `rect` of `lattice`: borrowed if that is what there is, else cropped, interpolated
    /// from a coarser or averaged from a finer lattice (see [`Grid::sample_onto`], [`Grid::gather_down`]).
    pub fn at_detail(&self, lattice: Lattice, rect: Rect) -> Cow<'_, Grid> {
        match self {
            Plane::Zero => Cow::Owned(Grid::flat(lattice, rect, 0.0)),
            Plane::Flat(v) => Cow::Owned(Grid::flat(lattice, rect, *v)),
            Plane::Grid(g) if g.lattice == lattice && g.rect == rect => Cow::Borrowed(g),
            Plane::Grid(g) if g.lattice.pitch < lattice.pitch => Cow::Owned(g.gather_down(lattice, rect)),
            Plane::Grid(g) => Cow::Owned(g.sample_onto(lattice, rect)),
            Plane::Veiled(under, veil) => {
                Cow::Owned(Plane::Grid(seen_through(under, veil)).into_detail(lattice, rect))
            }
        }
    }

    /// As [`Plane::at_detail`], giving the values away; nothing is copied if they fit already.
    pub fn into_detail(self, lattice: Lattice, rect: Rect) -> Grid {
        match self {
            Plane::Grid(g) if g.lattice == lattice && g.rect == rect => g,
            other => other.at_detail(lattice, rect).into_owned(),
        }
    }

    fn level(value: f32) -> Plane {
        if value == 0.0 {
            Plane::Zero
        } else {
            Plane::Flat(value)
        }
    }
}

/// What is under a veil times the veil, on the veil's samples.
fn seen_through(under: &Plane, veil: &Grid) -> Grid {
    match under {
        Plane::Grid(g) if g.lattice.pitch > veil.lattice.pitch => g.sample_times(veil),
        _ => {
            let mut product = under.at_detail(veil.lattice, veil.rect).into_owned();
            times_slices(&mut product.data, &veil.data);
            product
        }
    }
}

fn add_grids(a: Grid, b: &Grid) -> Grid {
    if a.lattice.pitch > b.lattice.pitch {
        let mut fine = a.sample_onto(b.lattice, b.rect);
        add_slices(&mut fine.data, &b.data);
        return fine;
    }
    let rect = if a.lattice == b.lattice {
        a.rect.intersect(b.rect)
    } else {
        a.rect
    };
    let mut sum = if a.rect == rect { a } else { a.crop(rect) };
    if b.lattice == sum.lattice && b.rect == rect {
        add_slices(&mut sum.data, &b.data);
    } else {
        add_slices(&mut sum.data, &b.sample_onto(sum.lattice, rect).data);
    }
    sum
}

crate::lanes! {
    fn add_slices(to: &mut [f32], from: &[f32]) {
        for (t, &f) in to.iter_mut().zip(from) {
            *t += f;
        }
    }

    fn times_slices(to: &mut [f32], by: &[f32]) {
        for (t, &b) in to.iter_mut().zip(by) {
            *t *= b;
        }
    }
}
