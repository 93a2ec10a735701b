//! Middles of lines as chains of points, and how chains that belong together are joined.

use super::distance;
use crate::area::Point;
use crate::edges::Edges;
use crate::medial::{Disc, Medial};

/// Leap of the opposite contact along its ring between neighbouring discs, mm, beyond which the line has
/// branched.
const LEAP: f64 = 3.0;
/// Turn up to which two chains that end beside each other are one line going on, rad; above, they meet in the
/// corner where their directions cross.
const ON: f64 = 0.5;

/// The middle of a line.
pub(super) struct Chain {
    points: Vec<Point>,
    /// Mean width of the line, mm.
    wide: f64,
}

impl Chain {
    /// The middles of the lines along part of an outline. Both sides of a line see the same middle; the side
    /// with the lower ring, or the lower way along the same ring, has it.
    pub fn along<'d>(discs: impl Iterator<Item = &'d Disc>, medial: &Medial) -> Vec<Self> {
        let mut all: Vec<Self> = Vec::new();
        let mut before: Option<&Disc> = None;
        for disc in discs {
            let own = disc
                .opposite
                .is_some_and(|(_, ring, run)| (disc.ring, disc.run) < (ring, run));
            if !own {
                before = None;
                continue;
            }
            let on = before.is_some_and(|b| goes_on(b, disc, medial));
            before = Some(disc);
            match all.last_mut() {
                Some(chain) if on => {
                    let n = chain.points.len() as f64;
                    chain.wide = (chain.wide * n + disc.mm()) / (n + 1.0);
                    chain.points.push(disc.centre);
                }
                _ => all.push(Self {
                    points: vec![disc.centre],
                    wide: disc.mm(),
                }),
            }
        }
        // Both ends of a shorter chain lie in one junction.
        all.retain(|c| c.mm() > c.wide / 2.0);
        all
    }

    fn mm(&self) -> f64 {
        self.points.windows(2).map(|w| distance(w[0], w[1])).sum()
    }

    fn end(&self, at_last: bool) -> Point {
        let n = self.points.len();
        self.points[if at_last { n - 1 } else { 0 }]
    }

    /// Unit vector out of one end, over about a line's width.
    fn out(&self, at_last: bool) -> Point {
        let p = self.end(at_last);
        let far = |q: &&Point| distance(**q, p) >= self.wide;
        let q = if at_last {
            self.points.iter().rev().find(far).or(self.points.first())
        } else {
            self.points.iter().find(far).or(self.points.last())
        };
        let q = q.copied().unwrap_or(p);
        let length = distance(p, q).max(1e-12);
        [(p[0] - q[0]) / length, (p[1] - q[1]) / length]
    }
}

fn goes_on(a: &Disc, b: &Disc, medial: &Medial) -> bool {
    match (a.opposite, b.opposite) {
        (Some((_, r, s)), Some((_, q, t))) => {
            let d = (s - t).abs();
            r == q && d.min(medial.ring_mm(r) - d) < LEAP
        }
        _ => false,
    }
}

type End = (usize, bool);

/// Joins chains: two ends beside each other go on or make a corner, three or more meet in a junction. Gives
/// courses with whether they are closed and the width they print.
pub(super) fn joined(mut chains: Vec<Chain>, edges: &Edges) -> Vec<(Vec<Point>, bool, f64)> {
    let groups = groups(&chains);
    let mut links: Vec<(End, End)> = Vec::new();
    for group in groups {
        match group.as_slice() {
            [] => {}
            [loose] => {
                if let Some(tip) = tip(&chains, *loose, edges) {
                    push(&mut chains, *loose, tip);
                }
            }
            [a, b] => {
                if let Some(corner) = corner(&chains, *a, *b) {
                    push(&mut chains, *a, corner);
                }
                links.push((*a, *b));
            }
            many => {
                let ends: Vec<Point> = many.iter().map(|(c, last)| chains[*c].end(*last)).collect();
                let n = ends.len() as f64;
                let sum = ends.iter().fold([0.0; 2], |s, p| [s[0] + p[0], s[1] + p[1]]);
                for end in many {
                    push(&mut chains, *end, [sum[0] / n, sum[1] / n]);
                }
            }
        }
    }
    let mut next: Vec<[Option<End>; 2]> = vec![[None; 2]; chains.len()];
    for (a, b) in links {
        next[a.0][usize::from(a.1)] = Some(b);
        next[b.0][usize::from(b.1)] = Some(a);
    }
    walk(&chains, &next)
}

fn push(chains: &mut [Chain], (chain, last): End, p: Point) {
    let points = &mut chains[chain].points;
    if last { points.push(p) } else { points.insert(0, p) }
}

/// How far the middle of a line goes on beyond its last disc: to where the end of the line is as near as its
/// sides.
fn tip(chains: &[Chain], end: End, edges: &Edges) -> Option<Point> {
    const STEP: f64 = 0.02;
    let chain = &chains[end.0];
    let (p, d) = (chain.end(end.1), chain.out(end.1));
    let at = |t: f64| [p[0] + t * d[0], p[1] + t * d[1]];
    let half = edges.away(p)?;
    let steps = (chain.wide / STEP) as usize;
    let fits = |k: &usize| {
        edges
            .away(at(*k as f64 * STEP))
            .is_some_and(|r| (r - half).abs() < 0.1 * half)
    };
    let far = (1..=steps).take_while(fits).last()?;
    Some(at(far as f64 * STEP))
}

/// Where the directions of two ends cross, if they turn and cross near by.
fn corner(chains: &[Chain], a: End, b: End) -> Option<Point> {
    let (p, q) = (chains[a.0].end(a.1), chains[b.0].end(b.1));
    let (d, e) = (chains[a.0].out(a.1), chains[b.0].out(b.1));
    let cross = d[0] * e[1] - d[1] * e[0];
    // Going straight on, the two point at each other.
    let turn = std::f64::consts::PI - cross.abs().atan2(d[0] * e[0] + d[1] * e[1]);
    if turn < ON {
        return None;
    }
    let v = [q[0] - p[0], q[1] - p[1]];
    let s = (v[0] * e[1] - v[1] * e[0]) / cross;
    let t = (v[0] * d[1] - v[1] * d[0]) / cross;
    let near = 1.5 * chains[a.0].wide.max(chains[b.0].wide);
    let fits = |s: f64| (0.0..near).contains(&s);
    (fits(s) && fits(t)).then(|| [p[0] + s * d[0], p[1] + s * d[1]])
}

/// Ends that lie within a line's width of each other.
fn groups(chains: &[Chain]) -> Vec<Vec<End>> {
    let ends: Vec<End> = (0..chains.len()).flat_map(|c| [(c, false), (c, true)]).collect();
    let mut by_x: Vec<usize> = (0..ends.len()).collect();
    let at = |k: usize| chains[ends[k].0].end(ends[k].1);
    by_x.sort_by(|a, b| at(*a)[0].total_cmp(&at(*b)[0]));
    let widest = chains.iter().fold(0.0, |w: f64, c| w.max(c.wide));
    let mut group: Vec<usize> = (0..ends.len()).collect();
    fn root(group: &mut [usize], mut k: usize) -> usize {
        while group[k] != k {
            group[k] = group[group[k]];
            k = group[k];
        }
        k
    }
    for (n, a) in by_x.iter().enumerate() {
        for b in &by_x[n + 1..] {
            let (p, q) = (at(*a), at(*b));
            if q[0] - p[0] > 1.3 * widest {
                break;
            }
            let (c, d) = (&chains[ends[*a].0], &chains[ends[*b].0]);
            // A chain shorter than its own width has nowhere to go between its two ends.
            if distance(p, q) <= 1.3 * c.wide.max(d.wide) {
                let (a, b) = (root(&mut group, *a), root(&mut group, *b));
                group[b] = a;
            }
        }
    }
    let mut all: Vec<Vec<End>> = vec![Vec::new(); ends.len()];
    for k in 0..ends.len() {
        all[root(&mut group, k)].push(ends[k]);
    }
    all.retain(|g| !g.is_empty());
    all
}

fn walk(chains: &[Chain], next: &[[Option<End>; 2]]) -> Vec<(Vec<Point>, bool, f64)> {
    let mut done = vec![false; chains.len()];
    let mut all = Vec::new();
    // Courses with a loose end first; what is left then goes round.
    let loose = |c: usize| next[c].iter().position(Option::is_none);
    let starts = (0..chains.len()).filter_map(|c| loose(c).map(|end| (c, end == 0)));
    let rings = (0..chains.len()).map(|c| (c, true));
    for (start, forward) in starts.chain(rings) {
        if done[start] {
            continue;
        }
        let (mut points, mut wide, mut closed) = (Vec::new(), (0.0, 0.0), false);
        let (mut chain, mut forward) = (start, forward);
        loop {
            done[chain] = true;
            let own = &chains[chain];
            if forward {
                points.extend(own.points.iter().copied());
            } else {
                points.extend(own.points.iter().rev().copied());
            }
            let n = own.points.len() as f64;
            wide = (wide.0 + own.wide * n, wide.1 + n);
            match next[chain][usize::from(forward)] {
                Some((c, _)) if c == start && done[c] => {
                    closed = true;
                    break;
                }
                Some((c, _)) if done[c] => break,
                Some((c, last)) => (chain, forward) = (c, !last),
                None => break,
            }
        }
        points.dedup_by(|a, b| distance(*a, *b) < 1e-6);
        if points.len() > 1 {
            all.push((points, closed, wide.0 / wide.1));
        }
    }
    all
}
