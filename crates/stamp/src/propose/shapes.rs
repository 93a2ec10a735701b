//! Shapes that changes are made of.

use crate::area::{Area, Bounds, Point, Ring, Rule};
use crate::strips::{distance, thinned};

/// A line of this width along points, with round ends; its sides are nowhere nearer than half the width. Points
/// farther apart than `leap` mm are not joined.
pub(super) fn line(points: &[Point], width: f64, leap: f64) -> Area {
    let mut rings: Vec<Ring> = Vec::new();
    for part in points.chunk_by(|a, b| distance(*a, *b) <= leap) {
        let course: Vec<(Point, f64)> = thinned(part, false)
            .into_iter()
            .map(|p| (p, width / 2.0))
            .collect();
        brush(&course, &mut rings);
    }
    Area::filled(&rings, Rule::NonZero)
}

/// A line along discs, as wide as the wider of two neighbours between them; those farther apart than `leap` mm are
/// not joined.
pub(super) fn beads(discs: &[(Point, f64)], leap: f64) -> Area {
    let mut rings: Vec<Ring> = Vec::new();
    for part in discs.chunk_by(|a, b| distance(a.0, b.0) <= leap) {
        brush(part, &mut rings);
    }
    Area::filled(&rings, Rule::NonZero)
}

fn brush(course: &[(Point, f64)], rings: &mut Vec<Ring>) {
    // Points nearer than this are one: mm, or a share of the radius.
    const APART: f64 = 0.08;
    const SHARE: f64 = 0.4;
    let Some((first, rest)) = course.split_first() else {
        return;
    };
    let mut stops = vec![*first];
    for (k, (p, r)) in rest.iter().enumerate() {
        let last = stops.len() - 1;
        let (q, before) = &mut stops[last];
        let near = distance(*p, *q) < (SHARE * *before).max(APART);
        *before = before.max(*r);
        if !near || k + 1 == rest.len() {
            stops.push((*p, *r));
        }
    }
    // The polygon stands around the circle, not in it.
    let around = |r: f64| r / (std::f64::consts::PI / f64::from(sides(r))).cos();
    for (k, (p, radius)) in stops.iter().enumerate() {
        let r = around(*radius);
        rings.push(disc(*p, r));
        let Some((q, next)) = stops.get(k + 1) else {
            break;
        };
        let far = distance(*p, *q);
        if far > 0.0 {
            let r = r.max(around(*next));
            let n = [-(q[1] - p[1]) / far * r, (q[0] - p[0]) / far * r];
            rings.push(vec![
                [p[0] - n[0], p[1] - n[1]],
                [q[0] - n[0], q[1] - n[1]],
                [q[0] + n[0], q[1] + n[1]],
                [p[0] + n[0], p[1] + n[1]],
            ]);
        }
    }
}

/// Sides of a round end, so that it is round to a hundredth of a millimetre.
fn sides(radius: f64) -> u32 {
    const ROUND: f64 = 0.005;
    let sides = std::f64::consts::PI / (radius / (radius + ROUND)).acos();
    (sides.ceil() as u32).clamp(8, 48)
}

/// A regular polygon around a point.
fn disc(c: Point, r: f64) -> Ring {
    let sides = sides(r);
    (0..sides)
        .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(sides))
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
