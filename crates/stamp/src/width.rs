//! Local widths: how thick the wax lines are and how narrow the gaps between them.
//!
//! From points along every outline a ray goes straight in (through wax) and straight out (through bare
//! cloth) to the outline that faces it. What lies round a corner is not a width: if both ends are on one ring
//! and the way along the ring is less than [`TAPER`] times the distance, or less than [`TIP`], the ray looks
//! into the tip of a leaf or the corner of a square.

use crate::area::{Area, Bounds, Point, ring_mm2};
use crate::edges::{Edge, Edges};

/// Widths beyond this are not measured, mm.
pub const WIDEST: f64 = 6.0;
/// Distance of the points looked from, mm.
const STEP: f64 = 0.5;
/// Least way along a ring, in widths, between two points that face each other.
const TAPER: f64 = 8.0;
/// The last 3 mm of a tip may be as thin as they like (both sides of it are this long, mm): the copper ends
/// there, and the wax rounds it off.
const TIP: f64 = 6.0;
/// Least cosine of the angle at which a ray meets what it faces.
const FACING: f64 = 0.7;
/// Cosine of the turn above which a corner is looked from, too: an arrow tip may be what is nearest.
const CORNER: f64 = 0.999;

/// A width measured at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Width {
    /// The width, mm.
    pub mm: f64,
    /// Where: the middle between the two outlines, mm in the stamp.
    pub at: Point,
}

/// Widths of lines and gaps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Widths {
    /// Of the wax, narrowest first, up to [`WIDEST`].
    pub lines: Vec<Width>,
    /// Of the bare cloth between wax, narrowest first, up to [`WIDEST`].
    pub gaps: Vec<Width>,
}

impl Widths {
    /// Measures an area, mm.
    pub fn of(area: &Area) -> Self {
        let mut widths = Self::default();
        let Some(edges) = Edges::of(area) else {
            return widths;
        };
        let inward: Vec<f64> = area
            .shapes()
            .iter()
            .flat_map(|shape| {
                let side = shape.first().map_or(1.0, |outer| ring_mm2(outer).signum());
                shape.iter().map(move |_| side)
            })
            .collect();
        for (number, edge) in edges.all.iter().enumerate() {
            let d = edge.direction();
            let side = inward.get(edge.ring).copied().unwrap_or(1.0);
            let normal = [-d[1] * side, d[0] * side];
            let pieces = (edge.length() / STEP).ceil().max(1.0);
            for k in 0..pieces as usize {
                let t = (k as f64 + 0.5) / pieces;
                let p = along(edge, t);
                let run = edge.run + t * edge.length();
                if let Some((w, false)) = edges.facing(p, normal, number, run) {
                    widths.lines.push(w);
                }
                if let Some((w, false)) = edges.facing(p, [-normal[0], -normal[1]], number, run) {
                    widths.gaps.push(w);
                }
            }
            widths.look_from_corner(&edges, number, side);
        }
        widths.lines.sort_by(|a, b| a.mm.total_cmp(&b.mm));
        widths.gaps.sort_by(|a, b| a.mm.total_cmp(&b.mm));
        widths
    }

    /// From the corner where an edge begins, along the bisector: outwards if it is a tip, inwards if a notch.
    fn look_from_corner(&mut self, edges: &Edges, number: usize, side: f64) {
        let edge = &edges.all[number];
        let Some(before) = edges.before(number) else {
            return;
        };
        let (d, e) = (edge.direction(), before.direction());
        if d[0] * e[0] + d[1] * e[1] > CORNER {
            return;
        }
        // Points away from the filled side of a tip and towards the wax at a notch: e - d.
        let v = [e[0] - d[0], e[1] - d[1]];
        let len = v[0].hypot(v[1]);
        if len <= 0.0 {
            return;
        }
        let tip = (e[0] * d[1] - e[1] * d[0]) * side > 0.0;
        if let Some((w, false)) = edges.facing(edge.a, [v[0] / len, v[1] / len], number, edge.run) {
            if tip {
                self.gaps.push(w)
            } else {
                self.lines.push(w)
            }
        }
    }

    /// The narrowest line, if any is narrower than [`WIDEST`].
    pub fn thinnest_line(&self) -> Option<Width> {
        self.lines.first().copied()
    }
    /// The narrowest gap, if any is narrower than [`WIDEST`].
    pub fn narrowest_gap(&self) -> Option<Width> {
        self.gaps.first().copied()
    }

    /// Places narrower than `limit` mm, narrowest first, no two within `apart` mm.
    pub fn places_below(widths: &[Width], limit: f64, apart: f64) -> Vec<Width> {
        let mut places: Vec<Width> = Vec::new();
        for w in widths.iter().take_while(|w| w.mm < limit) {
            let far = |p: &Width| (p.at[0] - w.at[0]).hypot(p.at[1] - w.at[1]) >= apart;
            if places.iter().all(far) {
                places.push(*w);
            }
        }
        places
    }
}

fn along(edge: &Edge, t: f64) -> Point {
    [
        edge.a[0] + t * (edge.b[0] - edge.a[0]),
        edge.a[1] + t * (edge.b[1] - edge.a[1]),
    ]
}

impl Edges {
    /// The edge that ends where this one begins.
    fn before(&self, number: usize) -> Option<&Edge> {
        let edge = self.all.get(number)?;
        let touches = |e: &&Edge| e.ring == edge.ring && e.b == edge.a;
        let neighbour = number
            .checked_sub(1)
            .and_then(|n| self.all.get(n))
            .filter(touches);
        // The first edge of a ring follows its last.
        let spot = Bounds {
            low: edge.a,
            high: edge.a,
        };
        neighbour.or_else(|| self.near(&spot).filter_map(|n| self.all.get(n)).find(touches))
    }

    /// What a ray from `p` (on edge `own`, `run` mm along its ring) meets first within [`WIDEST`]: the width,
    /// and whether it is only a tip or a corner. None if it meets nothing, or meets it askew.
    fn facing(&self, p: Point, ray: Point, own: usize, run: f64) -> Option<(Width, bool)> {
        const LEAP: f64 = 2.0;
        let mut from = 0.0;
        while from < WIDEST {
            let to = from + LEAP;
            let at = |t: f64| [p[0] + t * ray[0], p[1] + t * ray[1]];
            let (a, b) = (at(from), at(to));
            let part = Bounds { low: a, high: a }.with(&Bounds { low: b, high: b });
            let hits = self
                .near(&part)
                .filter(|e| *e != own)
                .filter_map(|e| Some((hit(p, ray, self.all.get(e)?)?, e)));
            let first = hits
                .filter(|(t, _)| *t > 1e-6 && *t <= to)
                .min_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((_, met)) = first {
                return self.width_between(p, ray, own, run, met);
            }
            from = to;
        }
        None
    }

    fn width_between(&self, p: Point, ray: Point, own: usize, run: f64, met: usize) -> Option<(Width, bool)> {
        let (mine, other) = (self.all.get(own)?, self.all.get(met)?);
        let d = other.direction();
        if (ray[0] * d[1] - ray[1] * d[0]).abs() < FACING {
            return None;
        }
        let (squared, t) = other.away(p);
        let mm = squared.sqrt();
        let q = along(other, t);
        let way = (other.run + t * other.length() - run).abs();
        let ring = self.ring_mm.get(mine.ring).copied().unwrap_or(0.0);
        let tip = other.ring == mine.ring && way.min(ring - way) < TIP.max(TAPER * mm);
        (mm <= WIDEST).then(|| {
            (
                Width {
                    mm,
                    at: [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0],
                },
                tip,
            )
        })
    }
}

/// Distance along a ray to an edge.
fn hit(p: Point, ray: Point, edge: &Edge) -> Option<f64> {
    let d = [edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]];
    let v = [edge.a[0] - p[0], edge.a[1] - p[1]];
    let cross = ray[0] * d[1] - ray[1] * d[0];
    if cross.abs() < 1e-15 {
        return None;
    }
    let t = (v[0] * d[1] - v[1] * d[0]) / cross;
    let s = (v[0] * ray[1] - v[1] * ray[0]) / cross;
    (t > 0.0 && (0.0..=1.0).contains(&s)).then_some(t)
}
