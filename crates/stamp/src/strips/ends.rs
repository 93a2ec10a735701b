//! Where strips meet: the joints.

use super::{Joint, Strip, Use, away, distance};
use crate::area::Point;
use std::collections::BTreeMap;

/// Joints: an end with everything that comes within `near` mm of it.
pub(super) fn joints(strips: &[Strip], near: f64) -> Vec<Joint> {
    let mut courses = Courses::new(near.max(0.1));
    for (number, strip) in strips.iter().enumerate() {
        courses.insert(number, strip);
    }
    let mut joints: Vec<Joint> = Vec::new();
    let mut taken: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (own, strip) in strips.iter().enumerate() {
        if strip.kind == Use::Dot {
            continue;
        }
        let ends = match (strip.points.first(), strip.points.last()) {
            (Some(a), Some(_)) if strip.closed => vec![*a],
            (Some(a), Some(b)) => vec![*a, *b],
            _ => continue,
        };
        for end in ends {
            let cell = courses.cell(end);
            let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| [cell[0] + dx, cell[1] + dy]));
            let known = around
                .filter_map(|c| taken.get(&c))
                .flatten()
                .any(|k| distance(joints[*k].at, end) <= near);
            if known {
                continue;
            }
            let others = courses.meeting(end, near, own);
            let strips = if strip.closed { 1 } else { 0 } + 1 + others;
            if strips < 2 {
                continue;
            }
            taken.entry(cell).or_default().push(joints.len());
            joints.push(Joint { at: end, strips });
        }
    }
    joints
}

/// Segments of all strips in square bins.
struct Courses {
    side: f64,
    bins: BTreeMap<[i64; 2], Vec<(usize, Point, Point)>>,
}

impl Courses {
    fn new(near: f64) -> Self {
        Self {
            side: 2.0 * near,
            bins: BTreeMap::new(),
        }
    }
    fn cell(&self, p: Point) -> [i64; 2] {
        p.map(|v| (v / self.side).floor() as i64)
    }
    fn insert(&mut self, number: usize, strip: &Strip) {
        let last = strip.closed.then(|| strip.points.first()).flatten();
        let next = strip.points.iter().skip(1).chain(last);
        for (a, b) in strip.points.iter().zip(next) {
            let pieces = (distance(*a, *b) / self.side).ceil().max(1.0) as usize;
            let at = |k: usize| {
                let t = k as f64 / pieces as f64;
                [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
            };
            for k in 0..pieces {
                let (p, q) = (at(k), at(k + 1));
                let cells = [self.cell(p), self.cell(q)];
                for (n, cell) in cells.iter().enumerate() {
                    if n == 0 || cells[0] != *cell {
                        self.bins.entry(*cell).or_default().push((number, p, q));
                    }
                }
            }
        }
    }
    /// Number of other strips that come within `near` of a point.
    fn meeting(&self, p: Point, near: f64, own: usize) -> usize {
        let cell = self.cell(p);
        let mut found: Vec<usize> = (-1..=1)
            .flat_map(|dx| (-1..=1).map(move |dy| [cell[0] + dx, cell[1] + dy]))
            .filter_map(|c| self.bins.get(&c))
            .flatten()
            .filter(|(n, a, b)| *n != own && away(p, *a, *b) <= near)
            .map(|(n, ..)| *n)
            .collect();
        found.sort_unstable();
        found.dedup();
        found.len()
    }
}
