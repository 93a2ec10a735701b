//! Pointwise steps on planes of any detail: a factor that is known on the half-millimetre lattice meets dye on that
//! lattice or coarser (which is then brought up to it, so that fine marks stay sharp) or on a finer one (to which the
//! factor is brought).

use field::{Grid, Lattice, Plane, Rect};

/// The detail on which a plane and a factor meet: the finer of the two. `None` if there is nothing in the plane.
fn finer<'a>(plane: &'a Plane, factor: &'a Grid) -> Option<&'a Grid> {
    match plane {
        _ if plane.is_zero() => None,
        Plane::Grid(grid) if grid.lattice.pitch < factor.lattice.pitch => Some(grid),
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
    let Some(by) = factor.meeting(plane) else { return };
    times_on(plane, by);
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
        Plane::Zero | Plane::Flat(_) => &mut [],
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
    use super::{Factor, times};
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
}
