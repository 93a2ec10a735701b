//! Pointwise steps on planes of any detail: a factor that is known on the half-millimetre lattice meets dye on that
//! lattice or coarser (which is then brought up to it, so that fine marks stay sharp) or on a finer one (to which the
//! factor is brought).

use field::{Grid, Plane};
use std::borrow::Cow;

/// The detail on which a plane and a factor meet: the finer of the two. `None` if there is nothing in the plane.
pub fn finer<'a>(plane: &'a Plane, factor: &'a Grid) -> Option<&'a Grid> {
    match plane {
        _ if plane.is_zero() => None,
        Plane::Grid(grid) if grid.lattice.pitch < factor.lattice.pitch => Some(grid),
        _ => Some(factor),
    }
}

/// A factor on the samples of `on`, which are its own or finer.
pub fn brought<'a>(factor: &'a Grid, on: &Grid) -> Cow<'a, Grid> {
    if factor.lattice == on.lattice && factor.rect == on.rect {
        Cow::Borrowed(factor)
    } else {
        Cow::Owned(factor.sample_onto(on.lattice, on.rect))
    }
}

/// Multiplies a plane by a factor, sample by sample, on the finer detail of the two.
pub fn times(plane: &mut Plane, factor: &Grid) {
    let Some(at) = finer(plane, factor) else { return };
    let (lattice, rect) = (at.lattice, at.rect);
    let by = brought(factor, at);
    let mut grid = std::mem::take(plane).into_detail(lattice, rect);
    times_row(&by.data, &mut grid.data);
    *plane = Plane::Grid(grid);
}

field::lanes! {
    fn times_row(by: &[f32], values: &mut [f32]) {
        for (v, b) in values.iter_mut().zip(by) {
            *v *= *b;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::times;
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
            times(&mut plane, &factor);
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
