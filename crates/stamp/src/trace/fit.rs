//! Smooth curves through a followed edge: cut at its corners, between them cubic Bezier curves fitted by least
//! squares, split where they stray too far.

use crate::area::{Point, Ring};
use kurbo::{BezPath, CubicBez, ParamCurve, ParamCurveDeriv, PathEl};

/// Arms over which a corner is judged, points of the edge (about pixels).
const ARM: usize = 5;
/// Turn over both arms that makes a corner, rad.
const CORNER: f64 = 0.95;
/// Improvements of the parameters before a curve is split.
const TRIES: usize = 4;

/// A closed edge as a ring of short chords along fitted curves, none farther than `tolerance` from its edge.
pub(super) fn smooth(edge: &[Point], tolerance: f64) -> Ring {
    let n = edge.len();
    if n < 4 * ARM {
        return edge.to_vec();
    }
    let mut corners = corners(edge);
    if corners.is_empty() {
        corners.push(0);
    }
    let mut path = BezPath::new();
    let first = edge[corners[0]];
    path.move_to((first[0], first[1]));
    for (k, from) in corners.iter().enumerate() {
        let to = corners.get(k + 1).copied().unwrap_or(corners[0] + n);
        let part: Vec<Point> = (*from..=to).map(|k| edge[k % n]).collect();
        // A loop without a corner goes on through its start as it came.
        let around = corners.len() == 1 && !is_corner(edge, corners[0]);
        let (ahead, back) = if around {
            let way = towards(edge[(from + n - ARM) % n], edge[(from + ARM) % n]);
            (way, [-way[0], -way[1]])
        } else {
            (
                direction(&part),
                direction(&part.iter().rev().copied().collect::<Vec<_>>()),
            )
        };
        curves(&part, ahead, back, tolerance, 0, &mut path);
    }
    let mut ring: Ring = Vec::new();
    kurbo::flatten(path, tolerance / 4.0, |el| {
        if let PathEl::MoveTo(p) | PathEl::LineTo(p) = el
            && ring.last() != Some(&[p.x, p.y])
        {
            ring.push([p.x, p.y]);
        }
    });
    if ring.first() == ring.last() {
        ring.pop();
    }
    ring
}

fn turn_at(edge: &[Point], k: usize) -> f64 {
    let n = edge.len();
    let (a, b, c) = (edge[(k + n - ARM) % n], edge[k % n], edge[(k + ARM) % n]);
    let (d, e) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
    (d[0] * e[1] - d[1] * e[0]).atan2(d[0] * e[0] + d[1] * e[1]).abs()
}

/// A corner turns within one arm as much as over two: a round bend turns twice as much over twice the way.
fn is_corner(edge: &[Point], k: usize) -> bool {
    let n = edge.len();
    let far = |k: usize| {
        let (a, b, c) = (edge[(k + n - 2 * ARM) % n], edge[k % n], edge[(k + 2 * ARM) % n]);
        let (d, e) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
        (d[0] * e[1] - d[1] * e[0]).atan2(d[0] * e[0] + d[1] * e[1]).abs()
    };
    let near = turn_at(edge, k);
    near > CORNER && far(k) < 1.5 * near
}

/// Corners, each the sharpest place within its arms.
fn corners(edge: &[Point]) -> Vec<usize> {
    let n = edge.len();
    let turns: Vec<f64> = (0..n).map(|k| turn_at(edge, k)).collect();
    let sharpest =
        |k: &usize| (1..=ARM).all(|d| turns[*k] > turns[(k + d) % n] && turns[*k] >= turns[(k + n - d) % n]);
    (0..n)
        .filter(|k| turns[*k] > CORNER)
        .filter(sharpest)
        .filter(|k| is_corner(edge, *k))
        .collect()
}

fn towards(a: Point, b: Point) -> Point {
    let d = [b[0] - a[0], b[1] - a[1]];
    let len = d[0].hypot(d[1]).max(1e-12);
    [d[0] / len, d[1] / len]
}

/// Direction in which a part begins.
fn direction(part: &[Point]) -> Point {
    towards(part[0], part[ARM.min(part.len() - 1)])
}

/// Fits one curve, or splits and fits two.
fn curves(part: &[Point], ahead: Point, back: Point, tolerance: f64, depth: usize, path: &mut BezPath) {
    if part.len() < 4 || depth > 24 {
        for p in &part[1..] {
            path.line_to((p[0], p[1]));
        }
        return;
    }
    let mut at = chord_lengths(part);
    for _ in 0..TRIES {
        let curve = fitted(part, &at, ahead, back);
        let (worst, off) = farthest(part, &at, curve);
        if off <= tolerance {
            path.push(PathEl::CurveTo(curve.p1, curve.p2, curve.p3));
            return;
        }
        if off > 6.0 * tolerance {
            return split(part, worst, ahead, back, tolerance, depth, path);
        }
        improve(part, &mut at, curve);
    }
    let (worst, _) = farthest(part, &at, fitted(part, &at, ahead, back));
    split(part, worst, ahead, back, tolerance, depth, path);
}

fn split(
    part: &[Point],
    at: usize,
    ahead: Point,
    back: Point,
    tolerance: f64,
    depth: usize,
    path: &mut BezPath,
) {
    let at = at.clamp(1, part.len() - 2);
    let way = towards(part[at.saturating_sub(ARM)], part[(at + ARM).min(part.len() - 1)]);
    curves(
        &part[..=at],
        ahead,
        [-way[0], -way[1]],
        tolerance,
        depth + 1,
        path,
    );
    curves(&part[at..], way, back, tolerance, depth + 1, path);
}

fn chord_lengths(part: &[Point]) -> Vec<f64> {
    let mut sum = 0.0;
    let mut at = vec![0.0];
    for pair in part.windows(2) {
        sum += (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        at.push(sum);
    }
    at.iter_mut().for_each(|t| *t /= sum.max(1e-12));
    at
}

/// The cubic with these end directions that lies nearest to the points at their parameters: two lengths from two
/// normal equations.
fn fitted(part: &[Point], at: &[f64], ahead: Point, back: Point) -> CubicBez {
    let (p0, p3) = (part[0], part[part.len() - 1]);
    let (mut c, mut x) = ([[0.0; 2]; 2], [0.0; 2]);
    for (p, t) in part.iter().zip(at) {
        let (s, t) = (1.0 - t, *t);
        let (b0, b1, b2, b3) = (s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t);
        let (a1, a2) = (ahead.map(|v| v * b1), back.map(|v| v * b2));
        let rest = [0, 1].map(|k| p[k] - (p0[k] * (b0 + b1) + p3[k] * (b2 + b3)));
        let dot = |a: Point, b: Point| a[0] * b[0] + a[1] * b[1];
        c[0][0] += dot(a1, a1);
        c[0][1] += dot(a1, a2);
        c[1][1] += dot(a2, a2);
        x[0] += dot(a1, rest);
        x[1] += dot(a2, rest);
    }
    let chord = (p3[0] - p0[0]).hypot(p3[1] - p0[1]);
    let det = c[0][0] * c[1][1] - c[0][1] * c[0][1];
    let (mut l, mut r) = if det.abs() > 1e-12 {
        (
            (x[0] * c[1][1] - x[1] * c[0][1]) / det,
            (x[1] * c[0][0] - x[0] * c[0][1]) / det,
        )
    } else {
        (0.0, 0.0)
    };
    let short = 1e-3 * chord;
    if !(l > short && r > short && l < 4.0 * chord.max(1.0) && r < 4.0 * chord.max(1.0)) {
        (l, r) = (chord / 3.0, chord / 3.0);
    }
    CubicBez::new(
        (p0[0], p0[1]),
        (p0[0] + ahead[0] * l, p0[1] + ahead[1] * l),
        (p3[0] + back[0] * r, p3[1] + back[1] * r),
        (p3[0], p3[1]),
    )
}

fn farthest(part: &[Point], at: &[f64], curve: CubicBez) -> (usize, f64) {
    let off = |(k, (p, t)): (usize, (&Point, &f64))| {
        let q = curve.eval(*t);
        (k, (q.x - p[0]).hypot(q.y - p[1]))
    };
    let all = part.iter().zip(at).enumerate().map(off);
    all.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0))
}

/// One step of Newton's method for each parameter, towards the foot of its point on the curve.
fn improve(part: &[Point], at: &mut [f64], curve: CubicBez) {
    let first = curve.deriv();
    let second = first.deriv();
    for (p, t) in part.iter().zip(at.iter_mut()) {
        let (q, d, e) = (curve.eval(*t), first.eval(*t), second.eval(*t));
        let off = [q.x - p[0], q.y - p[1]];
        let slope = d.x * d.x + d.y * d.y + off[0] * e.x + off[1] * e.y;
        if slope.abs() > 1e-12 {
            *t = (*t - (off[0] * d.x + off[1] * d.y) / slope).clamp(0.0, 1.0);
        }
    }
}
