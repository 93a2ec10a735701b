//! From the outline to strips: which parts of it are lines that one strip prints, and which need a strip each
//! side.

use super::chains::{Chain, joined};
use super::corners::cut;
use super::{Bending, Strip, Use, distance};
use crate::area::{Area, Point, Ring, ring_mm2};
use crate::edges::Edges;
use crate::medial::{Disc, Medial};

/// Least angle between the two contacts of a disc in a line, rad: less is a corner or the end of a line.
const ACROSS: f64 = 2.0;
/// Farthest that a strip's drawn course may leave the computed one, mm.
const COURSE_MM: f64 = 0.01;

/// All strips but inner ones, without numbers.
pub(super) fn strips(area: &Area, medial: &Medial, bending: &Bending) -> Vec<Strip> {
    let mut strips = Vec::new();
    let mut chains = Vec::new();
    for (number, ring) in area.rings().enumerate() {
        if let Some(dot) = dot(ring, medial.ring_mm(number), bending) {
            strips.push(dot);
            continue;
        }
        let discs = medial.ring(number);
        let parts = parts(discs, medial.ring_mm(number), bending.single_mm);
        for part in &parts {
            match part.kind {
                Kind::Line => chains.extend(Chain::along(part.discs(discs), medial)),
                Kind::Wide => strips.extend(outline(ring, part, discs, bending)),
                Kind::Turn => {}
            }
        }
    }
    let Some(edges) = Edges::of(area) else {
        return strips;
    };
    for (points, closed, prints_mm) in joined(chains, &edges) {
        for (points, closed) in cut(&points, closed, bending.bend_mm) {
            strips.push(Strip {
                number: 0,
                kind: Use::Line,
                points: thinned(&points, closed),
                closed,
                prints_mm,
            });
        }
    }
    strips.retain(|s| s.kind == Use::Dot || s.mm() > bending.strip_mm);
    strips
}

/// A ring so small and round that a pin prints it.
fn dot(ring: &Ring, around_mm: f64, bending: &Bending) -> Option<Strip> {
    // Of all shapes the disc has most surface for its outline; below 0.8 of that it is a short line.
    const ROUND: f64 = 0.8;
    let mm2 = ring_mm2(ring).abs();
    let round = 4.0 * std::f64::consts::PI * mm2 / around_mm.powi(2);
    let across = (4.0 * mm2 / std::f64::consts::PI).sqrt();
    // A strip cannot be bent round less than its tightest bend.
    (round >= ROUND && across <= bending.single_mm.max(2.0 * bending.bend_mm)).then(|| {
        let n = ring.len() as f64;
        let sum = ring.iter().fold([0.0; 2], |a, p| [a[0] + p[0], a[1] + p[1]]);
        Strip {
            number: 0,
            kind: Use::Dot,
            points: vec![[sum[0] / n, sum[1] / n]],
            closed: false,
            prints_mm: across,
        }
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// One strip along the middle.
    Line,
    /// A strip along the outline.
    Wide,
    /// The corner, end or junction of lines: short, and printed by them.
    Turn,
}

/// Neighbouring discs of one ring that are of one kind; the last may run past the ring's first.
struct Part {
    kind: Kind,
    from: usize,
    count: usize,
    whole: bool,
}

impl Part {
    fn discs<'d>(&self, all: &'d [Disc]) -> impl Iterator<Item = &'d Disc> + Clone + use<'d> {
        all.iter().cycle().skip(self.from).take(self.count)
    }
}

/// Parts of a ring in order.
fn parts(discs: &[Disc], around_mm: f64, single_mm: f64) -> Vec<Part> {
    // What is no longer than this is no line, and no outline either.
    let short = 2.0 * single_mm;
    let mut kinds: Vec<Kind> = discs
        .iter()
        .map(|d| {
            if d.mm() < single_mm && d.spread() > ACROSS {
                Kind::Line
            } else {
                Kind::Wide
            }
        })
        .collect();
    let length = |part: &Part| {
        let mut ends = part.discs(discs);
        let first = ends.next().map_or(0.0, |d| d.run);
        let last = ends.last().map_or(first, |d| d.run);
        (last - first).rem_euclid(around_mm.max(1e-9))
    };
    // First what interrupts lines, then lines that are too short to be any.
    let runs = runs(&kinds);
    let alone = runs.len() < 2;
    if !alone {
        for part in runs.iter().filter(|p| p.kind == Kind::Wide && length(p) < short) {
            paint(&mut kinds, part, Kind::Turn);
        }
    }
    // Turns count as part of the lines that they join.
    let joined: Vec<Kind> = kinds
        .iter()
        .map(|k| if *k == Kind::Turn { Kind::Line } else { *k })
        .collect();
    let runs_joined = self::runs(&joined);
    if runs_joined.len() > 1 {
        for part in runs_joined
            .iter()
            .filter(|p| p.kind == Kind::Line && length(p) < short)
        {
            paint(&mut kinds, part, Kind::Wide);
        }
    }
    self::runs(&kinds)
}

fn paint(kinds: &mut [Kind], part: &Part, kind: Kind) {
    let n = kinds.len();
    for k in part.from..part.from + part.count {
        kinds[k % n] = kind;
    }
}

fn runs(kinds: &[Kind]) -> Vec<Part> {
    let n = kinds.len();
    let Some(start) = (0..n).find(|k| kinds[*k] != kinds[(*k + n - 1) % n]) else {
        return kinds
            .first()
            .map(|kind| Part {
                kind: *kind,
                from: 0,
                count: n,
                whole: true,
            })
            .into_iter()
            .collect();
    };
    let mut all: Vec<Part> = Vec::new();
    for k in start..start + n {
        let kind = kinds[k % n];
        match all.last_mut() {
            Some(last) if last.kind == kind => last.count += 1,
            _ => all.push(Part {
                kind,
                from: k % n,
                count: 1,
                whole: false,
            }),
        }
    }
    all
}

/// The outline along a wide part, cut at its corners.
fn outline(ring: &Ring, part: &Part, discs: &[Disc], bending: &Bending) -> Vec<Strip> {
    let (points, closed) = if part.whole {
        (ring.clone(), true)
    } else {
        let mut ends = part.discs(discs);
        let first = ends.next().map(|d| d.run);
        let last = ends.last().map(|d| d.run).or(first);
        match (first, last) {
            (Some(from), Some(to)) => (between(ring, from, to), false),
            _ => return Vec::new(),
        }
    };
    let strip = |(points, closed): (Vec<Point>, bool)| Strip {
        number: 0,
        kind: Use::Outline,
        points: if closed { points } else { thinned(&points, false) },
        closed,
        prints_mm: bending.single_mm,
    };
    cut(&points, closed, bending.bend_mm)
        .into_iter()
        .map(strip)
        .collect()
}

/// The points of a ring from one way along it to another, past its first point if need be.
fn between(ring: &Ring, from: f64, to: f64) -> Vec<Point> {
    let mut ways = Vec::with_capacity(ring.len() + 1);
    let mut way = 0.0;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        ways.push(way);
        way += distance(*a, *b);
    }
    let around = way;
    let at = |s: f64| {
        let s = s.rem_euclid(around);
        let k = ways.partition_point(|w| *w <= s).saturating_sub(1);
        let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
        let t = (s - ways[k]) / distance(a, b).max(1e-12);
        [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
    };
    let to = if to < from { to + around } else { to };
    let mut points = vec![at(from)];
    for turn in [0.0, around] {
        let inside = ways
            .iter()
            .zip(ring)
            .filter(|(w, _)| **w + turn > from && **w + turn < to);
        points.extend(inside.map(|(_, p)| *p));
    }
    points.push(at(to));
    points
}

/// A course with the points that matter (Douglas and Peucker 1973).
pub(crate) fn thinned(points: &[Point], closed: bool) -> Vec<Point> {
    if points.len() < 3 || closed {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    let last = points.len() - 1;
    (keep[0], keep[last]) = (true, true);
    let mut open = vec![(0, last)];
    while let Some((a, b)) = open.pop() {
        let off = |k: &usize| super::away(points[*k], points[a], points[b]);
        let Some(k) = (a + 1..b).max_by(|m, n| off(m).total_cmp(&off(n))) else {
            continue;
        };
        if off(&k) > COURSE_MM {
            keep[k] = true;
            open.extend([(a, k), (k, b)]);
        }
    }
    let kept = points.iter().zip(keep).filter(|(_, keep)| *keep);
    kept.map(|(p, _)| *p).collect()
}
