//! Pointwise steps on planes of any detail: a factor that is known on the half-millimetre lattice meets dye on that
//! lattice or coarser (which is then brought up to it, so that fine marks stay sharp) or on a finer one (to which the
//! factor is brought). A factor on the samples of the picture is laid over coarser planes as a veil, and the steps that
//! follow act on what is under it.

use field::{Grid, Lattice, Plane, Rect};
use std::sync::Arc;

/// The detail on which a plane and a factor meet: the finer of the two. `None` if there is nothing in the plane.
fn finer<'a>(plane: &'a Plane, factor: &'a Grid) -> Option<&'a Grid> {
    match plane {
        _ if plane.is_zero() => None,
        Plane::Grid(grid) if grid.lattice.pitch < factor.lattice.pitch => Some(grid),
        Plane::Veiled(_, veil) if veil.lattice.pitch < factor.lattice.pitch => Some(veil),
        _ => Some(factor),
    }
}

/// A factor that many planes meet: it is brought to a finer detail once, not for each of them.
pub struct Factor {
    own: Grid,
    brought: Option<Grid>,
}

impl Factor {
    /// A factor on its own detail.
    pub fn new(own: Grid) -> Self {
        Self { own, brought: None }
    }

    /// The factor on the detail on which a plane meets it: the finer of the two. `None` if there is nothing in the
    /// plane.
    pub fn meeting(&mut self, plane: &Plane) -> Option<&Grid> {
        let at = finer(plane, &self.own)?;
        if at.lattice == self.own.lattice && at.rect == self.own.rect {
            return Some(&self.own);
        }
        let kept = self
            .brought
            .as_ref()
            .is_some_and(|b| b.lattice == at.lattice && b.rect == at.rect);
        if !kept {
            self.brought = Some(self.own.sample_onto(at.lattice, at.rect));
        }
        self.brought.as_ref()
    }
}

/// Multiplies a plane by a factor, sample by sample, on the finer detail of the two.
pub fn times(plane: &mut Plane, factor: &mut Factor) {
    if let Plane::Veiled(under, veil) = plane
        && veil.lattice.pitch < factor.own.lattice.pitch
    {
        times(under, factor);
        return;
    }
    let Some(by) = factor.meeting(plane) else { return };
    times_on(plane, by);
}

/// A factor on the samples of the picture that lies over several planes.
pub struct Veil {
    own: Arc<Grid>,
    /// Veils that lay there before, and what they are together with this one.
    joined: Vec<(Arc<Grid>, Arc<Grid>)>,
}

impl Veil {
    /// A factor on the samples.
    pub fn new(own: Grid) -> Self {
        Self {
            own: Arc::new(own),
            joined: Vec::new(),
        }
    }

    /// Multiplies a plane by the factor: what is known at less detail stays so, under the veil.
    pub fn lay(&mut self, plane: &mut Plane) {
        *plane = match std::mem::take(plane) {
            plane if plane.is_zero() => Plane::Zero,
            Plane::Grid(grid) if grid.lattice.pitch <= self.own.lattice.pitch => {
                let mut plane = Plane::Grid(grid);
                times_on(&mut plane, &self.own);
                plane
            }
            Plane::Veiled(under, veil) => Plane::Veiled(under, self.over(&veil)),
            under => Plane::Veiled(Box::new(under), self.own.clone()),
        };
    }

    /// Together with a veil that lay there before.
    fn over(&mut self, veil: &Arc<Grid>) -> Arc<Grid> {
        if let Some((_, both)) = self.joined.iter().find(|(before, _)| Arc::ptr_eq(before, veil)) {
            return both.clone();
        }
        let mut both = Plane::Grid(Grid::clone(veil));
        times_on(&mut both, &self.own);
        let both = Arc::new(both.into_detail(self.own.lattice, self.own.rect));
        self.joined.push((veil.clone(), both.clone()));
        both
    }
}

/// Takes off the veil that all planes with something in them have in common. `None`, and nothing is changed, if there
/// is none.
pub fn unveil(planes: [&mut Plane; 3]) -> Option<Arc<Grid>> {
    let mut common: Option<&Arc<Grid>> = None;
    for plane in planes.iter().filter(|plane| !plane.is_zero()) {
        match (&**plane, common) {
            (Plane::Veiled(_, veil), None) => common = Some(veil),
            (Plane::Veiled(_, veil), Some(other)) if Arc::ptr_eq(veil, other) => {}
            _ => return None,
        }
    }
    let common = common?.clone();
    for plane in planes {
        *plane = match std::mem::take(plane) {
            Plane::Veiled(under, _) => *under,
            other => other,
        };
    }
    Some(common)
}

/// Lays a veil that was taken off over the planes again.
pub fn veil_again(veil: &Arc<Grid>, planes: [&mut Plane; 3]) {
    for plane in planes.into_iter().filter(|plane| !plane.is_zero()) {
        *plane = Plane::Veiled(Box::new(std::mem::take(plane)), veil.clone());
    }
}

/// Multiplies a plane by a grid on the grid's detail, to which the plane is brought.
pub fn times_on(plane: &mut Plane, by: &Grid) {
    if plane.is_zero() {
        return;
    }
    let product = match std::mem::take(plane) {
        Plane::Grid(grid) if grid.lattice.pitch > by.lattice.pitch => grid.sample_times(by),
        other => {
            let mut grid = other.into_detail(by.lattice, by.rect);
            times_row(&by.data, &mut grid.data);
            grid
        }
    };
    *plane = Plane::Grid(product);
}

/// The values of planes that are grids on one detail; `None` if one is not.
pub fn alike<const N: usize>(planes: [&mut Plane; N], detail: (Lattice, Rect)) -> Option<[&mut [f32]; N]> {
    let on = |plane: &Plane| matches!(plane, Plane::Grid(grid) if (grid.lattice, grid.rect) == detail);
    if !planes.iter().all(|plane| on(plane)) {
        return None;
    }
    Some(planes.map(|plane| match plane {
        Plane::Grid(grid) => grid.data.as_mut_slice(),
        _ => &mut [],
    }))
}

/// Adds a share of a grid to a plane, on the finer detail of the two.
pub fn add_share(plane: &mut Plane, grid: &Grid, share: f32) {
    match plane {
        Plane::Grid(to) if to.lattice == grid.lattice && to.rect == grid.rect => {
            add_row(&grid.data, share, &mut to.data);
        }
        _ => {
            let mut part = Plane::Grid(grid.clone());
            part.scale(share);
            if matches!(plane, Plane::Zero) {
                *plane = part;
            } else {
                plane.add(&part);
            }
        }
    }
}

field::lanes! {
    fn times_row(by: &[f32], values: &mut [f32]) {
        for (v, b) in values.iter_mut().zip(by) {
            *v *= *b;
        }
    }

    fn add_row(from: &[f32], share: f32, to: &mut [f32]) {
        for (t, f) in to.iter_mut().zip(from) {
            *t += share * *f;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Factor, Veil, times, unveil, veil_again};
    use field::{Grid, Lattice, Plane, Rect};

    fn grid(pitch: f64, rect: Rect, value: f32) -> Grid {
        Grid::flat(Lattice { pitch }, rect, value)
    }

    #[test]
    fn a_factor_meets_planes_of_any_detail() {
        let half = Rect::between(0, 0, 40, 40);
        let factor = grid(0.5, half, 3.0);
        let core = Rect::between(4, 4, 60, 60);
        let cases = [
            (Plane::Zero, None),
            (Plane::Flat(2.0), Some((0.5, half))),
            (
                Plane::Grid(grid(1.0, Rect::between(-1, -1, 21, 21), 2.0)),
                Some((0.5, half)),
            ),
            (Plane::Grid(grid(0.5, half, 2.0)), Some((0.5, half))),
            (Plane::Grid(grid(0.25, core, 2.0)), Some((0.25, core))),
        ];
        for (mut plane, wanted) in cases {
            times(&mut plane, &mut Factor::new(factor.clone()));
            match (&plane, wanted) {
                (Plane::Zero, None) => {}
                (Plane::Grid(g), Some((pitch, rect))) => {
                    assert_eq!((g.lattice.pitch, g.rect), (pitch, rect));
                    assert!(g.data.iter().all(|v| *v == 6.0));
                }
                other => panic!("{other:?}"),
            }
        }
    }
    #[test]
    fn a_veil_is_a_product_that_is_worked_out_where_it_is_read() {
        let core = Rect::between(0, 0, 40, 40);
        let fine = Lattice { pitch: 0.25 };
        let mut values = grid(0.25, core, 0.0);
        (0u8..)
            .zip(&mut values.data)
            .for_each(|(n, v)| *v = f32::from(n % 7));
        let half = Rect::between(-1, -1, 22, 22);
        let mut first = Veil::new(values.clone());
        let mut second = Veil::new(grid(0.25, core, 2.0));
        let mut planes = [Plane::Flat(3.0), Plane::Grid(grid(0.5, half, 3.0)), Plane::Zero];
        for plane in &mut planes {
            first.lay(plane);
            second.lay(plane);
        }
        let [a, b, c] = &mut planes;
        let veil = unveil([a, b, c]).expect("one veil");
        // The steps that follow act at the detail that was there.
        let mut factor = Factor::new(grid(0.5, half, 5.0));
        [&mut *a, &mut *b, &mut *c]
            .into_iter()
            .for_each(|plane| times(plane, &mut factor));
        veil_again(&veil, [a, b, c]);
        for plane in [&*a, &*b] {
            assert!(
                matches!(plane, Plane::Veiled(under, _) if matches!(&**under, Plane::Grid(g) if g.rect == half))
            );
            let seen = plane.at_detail(fine, core);
            assert!(seen.data.iter().zip(&values.data).all(|(s, v)| *s == 30.0 * v));
        }
        assert!(c.is_zero());
        // Planes under different veils have none in common, and keep theirs.
        let mut other = Plane::Flat(1.0);
        Veil::new(values).lay(&mut other);
        assert!(unveil([a, &mut other, c]).is_none());
        let sum = {
            let mut sum = a.clone();
            sum.add(&other);
            sum
        };
        assert!((sum.mean() - a.mean() - other.mean()).abs() < 1e-4 * sum.mean());
    }
}
