//! Shapes that changes are made of.

use crate::area::{Area, Bounds, Point, Ring, Rule};

/// Sides of a round end.
const SIDES: u32 = 32;

/// A line of this width along points, with round ends; its sides are nowhere nearer than half the width. Points
/// farther apart than `leap` mm are not joined.
pub(super) fn line(points: &[Point], width: f64, leap: f64) -> Area {
    // The polygon stands around the circle, not in it.
    let r = width / 2.0 / (std::f64::consts::PI / f64::from(SIDES)).cos();
    let mut rings: Vec<Ring> = Vec::new();
    let mut last: Option<Point> = None;
    for p in points {
        if let Some(q) = last {
            let far = (p[0] - q[0]).hypot(p[1] - q[1]);
            if far < 0.08 {
                continue;
            }
            if far <= leap {
                let n = [-(p[1] - q[1]) / far * r, (p[0] - q[0]) / far * r];
                rings.push(vec![
                    [q[0] - n[0], q[1] - n[1]],
                    [p[0] - n[0], p[1] - n[1]],
                    [p[0] + n[0], p[1] + n[1]],
                    [q[0] + n[0], q[1] + n[1]],
                ]);
            }
        }
        rings.push(disc(*p, r));
        last = Some(*p);
    }
    Area::filled(&rings, Rule::NonZero)
}

/// A regular polygon around a point.
fn disc(c: Point, r: f64) -> Ring {
    (0..SIDES)
        .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(SIDES))
        .map(|t| [c[0] + r * t.cos(), c[1] + r * t.sin()])
        .collect()
}

/// A round dot.
pub(super) fn dot(c: Point, width: f64) -> Area {
    Area::filled(&[disc(c, width / 2.0)], Rule::NonZero)
}

/// The part of an area within `reach` of a point, square.
pub(super) fn around(area: &Area, p: Point, reach: f64) -> Area {
    area.clipped(&Bounds { low: p, high: p }.grown(reach))
}

/// The shapes of an area that come within `reach` of a point.
pub(super) fn near(area: Area, p: Point, reach: f64) -> Area {
    let probe = dot(p, 2.0 * reach);
    let close: Vec<Ring> = area
        .shapes()
        .iter()
        .filter(|shape| {
            let one = Area::filled(shape, Rule::EvenOdd);
            !one.common(&probe).is_empty()
        })
        .flatten()
        .cloned()
        .collect();
    Area::filled(&close, Rule::EvenOdd)
}
