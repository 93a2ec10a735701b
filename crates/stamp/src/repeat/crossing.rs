//! Where wax lies along a straight line.

use crate::area::Point;

/// A stretch of wax on the line, with the directions of its two edges.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Cut {
    pub from: f64,
    pub to: f64,
    /// How far the edges run along the line for each mm across it; none where the stretch goes on beyond the
    /// part looked at.
    pub slopes: [Option<f64>; 2],
    /// The impression that prints each edge.
    pub owners: [(i32, i32); 2],
    /// All impressions that print some of it.
    pub printed: Vec<(i32, i32)>,
}

impl Cut {
    pub fn middle(&self) -> f64 {
        (self.from + self.to) / 2.0
    }
    pub fn wide(&self) -> f64 {
        self.to - self.from
    }
    /// Slopes of an edge on both sides, if two impressions must meet in it. One impression's edge goes on by
    /// itself, and what is cut off by the end of the part counts for nothing.
    pub fn meets(&self, other: &Self, edge: usize) -> Option<(f64, f64)> {
        let over = self.printed.iter().any(|one| other.printed.contains(one));
        self.slopes[edge].zip(other.slopes[edge]).filter(|_| !over)
    }
    /// Two impressions that print it on one side or the other; none if it is all one impression's.
    pub fn two(&self, other: &Self) -> Option<[(i32, i32); 2]> {
        let first = *self.printed.first()?;
        let second = other
            .printed
            .iter()
            .chain(&self.printed)
            .find(|one| **one != first)?;
        Some([first, *second])
    }
    /// Whether it is the tip of a shape that happens to touch the border: going on (`ahead` is 1 where the border
    /// lies at greater coordinates, -1 at lesser), its edges would meet before or just behind it.
    pub fn is_tip(&self, ahead: f64) -> bool {
        let [Some(from), Some(to)] = self.slopes else {
            return false;
        };
        let narrows = (from - to) * ahead;
        narrows > 0.0 && self.wide() / narrows < 4.5 * super::BESIDE
    }
    /// The greater leap of the two edges, mm.
    pub fn leap(&self, other: &Self) -> f64 {
        let gap = |k: usize, a: f64, b: f64| match self.meets(other, k) {
            Some((s, t)) => {
                // Between the two lines looked at, an edge moves by itself.
                let own = (s + t) / 2.0 * 2.0 * super::BESIDE;
                (b - a - own.clamp(-0.5, 0.5)).abs()
            }
            None => 0.0,
        };
        gap(0, self.from, other.from).max(gap(1, self.to, other.to))
    }
    /// The greater turn of the two edges, rad.
    pub fn turn(&self, other: &Self) -> f64 {
        let turn = |k: usize| match self.meets(other, k) {
            Some((s, t)) => (s.atan() - t.atan()).abs(),
            None => 0.0,
        };
        turn(0).max(turn(1))
    }
}

/// The stretches of wax on a line, upright at x = `at` or level at y = `at`, within `span`. Edges come with the
/// impression that prints them.
pub(crate) fn cuts(
    edges: impl Iterator<Item = (Point, Point, (i32, i32))>,
    upright: bool,
    at: f64,
    span: [f64; 2],
) -> Vec<Cut> {
    let (across, along) = if upright { (0, 1) } else { (1, 0) };
    // By impression, so that overlapping prints are joined after each is known.
    let mut crossings: Vec<((i32, i32), f64, f64)> = Vec::new();
    for (a, b, owner) in edges {
        if (a[across] > at) != (b[across] > at) {
            let slope = (b[along] - a[along]) / (b[across] - a[across]);
            crossings.push((owner, a[along] + (at - a[across]) * slope, slope));
        }
    }
    crossings.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut all: Vec<Cut> = Vec::new();
    for one in crossings.chunk_by(|a, b| a.0 == b.0) {
        for pair in one.chunks_exact(2) {
            all.push(Cut {
                from: pair[0].1,
                to: pair[1].1,
                slopes: [Some(pair[0].2), Some(pair[1].2)],
                owners: [pair[0].0; 2],
                printed: vec![pair[0].0],
            });
        }
    }
    all.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut joined: Vec<Cut> = Vec::new();
    for cut in all {
        match joined.last_mut() {
            Some(last) if cut.from <= last.to => {
                last.printed.extend(cut.printed);
                if cut.to > last.to {
                    last.to = cut.to;
                    last.slopes[1] = cut.slopes[1];
                    last.owners[1] = cut.owners[1];
                }
            }
            _ => joined.push(cut),
        }
    }
    joined.retain(|c| c.to > span[0] && c.from < span[1]);
    for cut in &mut joined {
        if cut.from < span[0] {
            (cut.from, cut.slopes[0]) = (span[0], None);
        }
        if cut.to > span[1] {
            (cut.to, cut.slopes[1]) = (span[1], None);
        }
    }
    joined
}
