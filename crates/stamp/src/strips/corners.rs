//! Where a strip must be cut because it cannot be bent so sharply.

use super::{CORNER_MM, distance};
use crate::area::Point;

/// The pieces of a course between its sharp corners. A corner is sharp if copper bent at its tightest radius
/// would leave the drawing by more than [`CORNER_MM`]: r (1 / cos(turn / 2) - 1).
pub(super) fn cut(points: &[Point], closed: bool, bend_mm: f64) -> Vec<(Vec<Point>, bool)> {
    let course = Course::new(points, closed);
    let r = bend_mm.max(0.1);
    let limit = 2.0 * (r / (r + CORNER_MM)).acos();
    // Shorter than this it has no corners, only ends.
    if course.all < 4.0 * r {
        return vec![(points.to_vec(), closed)];
    }
    let mut sharp: Vec<(f64, usize)> = (0..points.len())
        .filter(|k| closed || (*k > 0 && *k + 1 < points.len()))
        .map(|k| (course.turn(k, r), k))
        .filter(|(turn, _)| *turn > limit)
        .collect();
    sharp.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut cuts: Vec<usize> = Vec::new();
    for (_, k) in sharp {
        if cuts.iter().all(|c| course.apart(*c, k) > r) {
            cuts.push(k);
        }
    }
    cuts.sort_unstable();
    if cuts.is_empty() {
        return vec![(points.to_vec(), closed)];
    }
    let mut pieces = Vec::new();
    if closed {
        for (k, from) in cuts.iter().enumerate() {
            let to = cuts[(k + 1) % cuts.len()];
            let to = if to <= *from { to + points.len() } else { to };
            let piece: Vec<Point> = (*from..=to).map(|k| points[k % points.len()]).collect();
            pieces.push((piece, false));
        }
    } else {
        let ends = [0]
            .into_iter()
            .chain(cuts.iter().copied())
            .chain([points.len() - 1]);
        let ends: Vec<usize> = ends.collect();
        for pair in ends.windows(2) {
            pieces.push((points[pair[0]..=pair[1]].to_vec(), false));
        }
    }
    pieces
}

struct Course<'p> {
    points: &'p [Point],
    ways: Vec<f64>,
    all: f64,
    closed: bool,
}

impl<'p> Course<'p> {
    fn new(points: &'p [Point], closed: bool) -> Self {
        let mut ways = Vec::with_capacity(points.len());
        let mut way = 0.0;
        for (k, p) in points.iter().enumerate() {
            if k > 0 {
                way += distance(points[k - 1], *p);
            }
            ways.push(way);
        }
        if let (true, Some(a), Some(b)) = (closed, points.first(), points.last()) {
            way += distance(*a, *b);
        }
        Self {
            points,
            ways,
            all: way,
            closed,
        }
    }

    fn at(&self, s: f64) -> Point {
        let s = if self.closed {
            s.rem_euclid(self.all.max(1e-12))
        } else {
            s.clamp(0.0, self.all)
        };
        let k = self.ways.partition_point(|w| *w <= s).saturating_sub(1);
        let a = self.points[k];
        let b = self.points[(k + 1) % self.points.len()];
        if !self.closed && k + 1 == self.points.len() {
            return a;
        }
        let t = (s - self.ways[k]) / distance(a, b).max(1e-12);
        [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
    }

    /// Angle between the ways `reach` mm before and after a point, rad.
    fn turn(&self, k: usize, reach: f64) -> f64 {
        let (p, s) = (self.points[k], self.ways[k]);
        let (a, b) = (self.at(s - reach), self.at(s + reach));
        let (d, e) = ([p[0] - a[0], p[1] - a[1]], [b[0] - p[0], b[1] - p[1]]);
        (d[0] * e[1] - d[1] * e[0]).abs().atan2(d[0] * e[0] + d[1] * e[1])
    }

    fn apart(&self, a: usize, b: usize) -> f64 {
        let d = (self.ways[a] - self.ways[b]).abs();
        if self.closed { d.min(self.all - d) } else { d }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_is_cut_at_its_corners_and_a_circle_is_not() {
        let square = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let pieces = cut(&square, true, 1.0);
        assert_eq!(pieces.len(), 4);
        assert!(pieces.iter().all(|(p, closed)| p.len() == 2 && !closed));
        let ring = |r: f64| -> Vec<Point> {
            let corner = |k: i32| f64::from(k) * std::f64::consts::TAU / 200.0;
            (0..200).map(corner).map(|t| [r * t.cos(), r * t.sin()]).collect()
        };
        assert_eq!(cut(&ring(2.0), true, 1.0), [(ring(2.0), true)]);
        // By hand: a bend of 1 mm rounds a turn of 60 degrees by 0.155 mm, of 90 degrees by 0.414 mm.
        let bent = |turn: f64| vec![[-9.0, 0.0], [0.0, 0.0], [9.0 * turn.cos(), 9.0 * turn.sin()]];
        assert_eq!(cut(&bent(60f64.to_radians()), false, 1.0).len(), 1);
        assert_eq!(cut(&bent(90f64.to_radians()), false, 1.0).len(), 2);
        // Softer copper takes the corner.
        assert_eq!(cut(&bent(90f64.to_radians()), false, 0.5).len(), 1);
    }
}
