//! Where the numbers of strips stand on the drawing.

use super::{Strip, Use, distance};
use crate::area::Point;
use std::collections::{BTreeMap, BTreeSet};

/// Height of a number, mm: readable at arm's length, small enough for a full stamp.
pub const NUMBER_MM: f64 = 2.2;
/// Width of a figure in heights.
const FIGURE: f64 = 0.6;
/// Side of a bin, mm.
const BIN: f64 = 4.0;

/// A number on the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Label {
    /// The number.
    pub number: usize,
    /// Middle of the number, mm in the stamp as it prints.
    pub at: Point,
    /// The point of the strip that it belongs to.
    pub of: Point,
    /// What it numbers.
    pub kind: Use,
}

impl Label {
    /// Half its width and height, mm.
    pub fn half_mm(&self) -> [f64; 2] {
        let figures = self.number.max(1).ilog10() + 1;
        [NUMBER_MM * FIGURE * f64::from(figures) / 2.0, NUMBER_MM / 2.0]
    }
}

/// One label for each number: beside its strip, where it covers fewest strips and no other number.
pub(super) fn labels(strips: &[Strip]) -> Vec<Label> {
    let mut room = Room::default();
    for strip in strips {
        room.draw(strip);
    }
    let mut seen = BTreeSet::new();
    let mut labels = Vec::new();
    for strip in strips.iter().filter(|s| seen.insert(s.number)) {
        let best = candidates(strip)
            .map(|label| (room.cost(&label), label))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, label)) = best {
            room.put(label);
            labels.push(label);
        }
    }
    labels
}

fn candidates(strip: &Strip) -> impl Iterator<Item = Label> + use<'_> {
    let places = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8];
    places.into_iter().flat_map(move |part| {
        let (of, along) = point(strip, part);
        let blank = Label {
            number: strip.number,
            at: of,
            of,
            kind: strip.kind,
        };
        let [half_w, half_h] = blank.half_mm();
        let across = [-along[1], along[0]];
        let clear = half_w * across[0].abs() + half_h * across[1].abs() + 0.5;
        [1.0, -1.0, 2.0, -2.0].into_iter().map(move |side: f64| {
            let away = side.signum() * (clear + (side.abs() - 1.0) * 2.0);
            Label {
                at: [of[0] + away * across[0], of[1] + away * across[1]],
                ..blank
            }
        })
    })
}

/// A point part of the way along a strip, and its direction there.
fn point(strip: &Strip, part: f64) -> (Point, Point) {
    let mut left = strip.mm() * part;
    for pair in strip.points.windows(2) {
        let length = distance(pair[0], pair[1]);
        if length > 0.0 && length >= left {
            let d = [
                (pair[1][0] - pair[0][0]) / length,
                (pair[1][1] - pair[0][1]) / length,
            ];
            return ([pair[0][0] + left * d[0], pair[0][1] + left * d[1]], d);
        }
        left -= length;
    }
    (strip.points.last().copied().unwrap_or_default(), [1.0, 0.0])
}

/// What is drawn already.
#[derive(Default)]
struct Room {
    lines: BTreeMap<[i64; 2], Vec<Point>>,
    labels: BTreeMap<[i64; 2], Vec<Label>>,
}

fn bin(p: Point) -> [i64; 2] {
    p.map(|v| (v / BIN).floor() as i64)
}

fn around(p: Point, reach: i64) -> impl Iterator<Item = [i64; 2]> {
    let [x, y] = bin(p);
    (-reach..=reach).flat_map(move |dx| (-reach..=reach).map(move |dy| [x + dx, y + dy]))
}

impl Room {
    fn draw(&mut self, strip: &Strip) {
        const STEP: f64 = 0.5;
        let last = strip.closed.then(|| strip.points.first()).flatten();
        let next = strip.points.iter().skip(1).chain(last);
        for (a, b) in strip.points.iter().zip(next) {
            let pieces = (distance(*a, *b) / STEP).ceil().max(1.0) as usize;
            for k in 0..pieces {
                let t = k as f64 / pieces as f64;
                let p = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
                self.lines.entry(bin(p)).or_default().push(p);
            }
        }
    }
    fn put(&mut self, label: Label) {
        self.labels.entry(bin(label.at)).or_default().push(label);
    }
    /// Another number under it is worse than any lines; far from the strip is a little worse than near.
    fn cost(&self, label: &Label) -> f64 {
        const NUMBER: f64 = 100.0;
        let half = label.half_mm();
        let covers = |p: &&Point| (0..2).all(|k| (p[k] - label.at[k]).abs() < half[k] + 0.3);
        let lines = around(label.at, 1).filter_map(|c| self.lines.get(&c)).flatten();
        let meets = |o: &&Label| {
            let theirs = o.half_mm();
            (0..2).all(|k| (o.at[k] - label.at[k]).abs() < half[k] + theirs[k] + 0.2)
        };
        let numbers = around(label.at, 2).filter_map(|c| self.labels.get(&c)).flatten();
        lines.filter(covers).count() as f64
            + NUMBER * numbers.filter(meets).count() as f64
            + 0.2 * distance(label.at, label.of)
    }
}
