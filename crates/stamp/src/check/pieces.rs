//! Pieces of wax: too small, too short, too far away, too solid; and joints too near one another.

use super::{BuildRule, Fault, Told};
use crate::area::{Area, Bounds, Point, Shape, shape_mm2};
use crate::limits::{Limit, Limits};
use crate::medial::{Disc, Medial};
use std::collections::HashSet;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

/// Pieces smaller than the smallest pin; answers the numbers of their rings.
pub(super) fn specks(area: &Area, limits: &Limits, faults: &mut Vec<Fault>) -> HashSet<usize> {
    let pin = limits.mm(Limit::Pin);
    let mut rings = HashSet::new();
    let mut first = 0;
    for shape in area.shapes() {
        let mm2 = shape_mm2(shape);
        if mm2 < pin * pin * FRAC_PI_4 {
            rings.extend(first..first + shape.len());
            let at = middle(shape);
            // Told as the dot of the same surface.
            let fault = Fault::new(BuildRule::Speck, at, (mm2 / FRAC_PI_4).sqrt(), pin);
            faults.push(fault.along(shape.iter().flatten().copied()));
        }
        first += shape.len();
    }
    rings
}

/// Middle of the rectangle around a shape.
pub(crate) fn middle(shape: &Shape) -> Point {
    let points = shape.iter().flatten().copied();
    let around = points
        .map(|p| Bounds { low: p, high: p })
        .reduce(|a, b| a.with(&b));
    around.map_or([0.0; 2], |b| {
        [(b.low[0] + b.high[0]) / 2.0, (b.low[1] + b.high[1]) / 2.0]
    })
}

/// One piece and what is known of it.
struct Piece {
    /// Number of its outer ring.
    ring: usize,
    middle: Point,
    mm2: f64,
    outline_mm: f64,
    /// Its greatest disc.
    widest: Option<Disc>,
    /// Width of bare cloth to the nearest other piece, mm; none if it is beyond what is measured.
    to_next: Option<f64>,
}

/// All pieces of a drawing.
pub(super) struct Pieces(Vec<Piece>);

impl Pieces {
    pub fn of(area: &Area, wax: &Medial, bare: &Medial) -> Self {
        let mut owner = Vec::with_capacity(wax.rings());
        for (number, shape) in area.shapes().iter().enumerate() {
            owner.extend(shape.iter().map(|_| number));
        }
        let mut first = 0;
        let piece = |(number, shape): (usize, &Shape)| {
            let rings = first..first + shape.len();
            first = rings.end;
            let discs = rings.clone().flat_map(|ring| wax.ring(ring));
            let gaps = rings.clone().flat_map(|ring| bare.ring(ring));
            let other = |d: &&Disc| {
                d.opposite
                    .is_some_and(|(_, ring, _)| owner.get(ring) != Some(&number))
            };
            Piece {
                ring: rings.start,
                middle: middle(shape),
                mm2: shape_mm2(shape),
                outline_mm: rings.map(|ring| wax.ring_mm(ring)).sum(),
                widest: discs.copied().max_by(|a, b| a.radius.total_cmp(&b.radius)),
                to_next: gaps.filter(other).map(Disc::mm).reduce(f64::min),
            }
        };
        Self(area.shapes().iter().enumerate().map(piece).collect())
    }

    /// Strips too short to hold: lines, not dots.
    pub fn short(&self, limits: &Limits, specks: &HashSet<usize>, faults: &mut Vec<Fault>) {
        let least = limits.mm(Limit::Piece);
        for piece in self.0.iter().filter(|p| !specks.contains(&p.ring)) {
            let Some(widest) = piece.widest.filter(|d| d.mm() <= limits.single_mm()) else {
                continue;
            };
            let dot = piece.mm2 < 1.6 * FRAC_PI_4 * widest.mm().powi(2);
            let long = piece.outline_mm / 2.0;
            if !dot && long < least {
                faults.push(Fault::new(BuildRule::ShortPiece, piece.middle, long, least));
            }
        }
    }

    /// Pieces without a neighbour.
    pub fn alone(&self, limits: &Limits, faults: &mut Vec<Fault>) {
        let most = limits.mm(Limit::Alone);
        if self.0.len() < 2 {
            return;
        }
        for piece in &self.0 {
            // A piece that is itself as large as a field of the grid stands on two of its bars.
            if piece.outline_mm / 2.0 < 2.0 * most && piece.to_next.is_none_or(|mm| mm > most) {
                let far = piece.to_next.unwrap_or(2.0 * crate::WIDEST_DISC);
                faults.push(Fault::new(BuildRule::LonePiece, piece.middle, far, most));
            }
        }
    }

    /// Solid parts, at the widest place of each piece.
    pub fn wide(&self, limits: &Limits, faults: &mut Vec<Fault>) {
        let span = limits.mm(Limit::Span) + 2.0 * limits.mm(Limit::Strip);
        for disc in self.0.iter().filter_map(|p| p.widest).filter(|d| d.mm() > span) {
            faults.push(Fault::new(BuildRule::WideFill, disc.centre, disc.mm(), span));
        }
    }
}

/// Joints of lines too near one another. A joint is where the disc in a line touches a third side: seen along the
/// outline, what stands opposite leaps.
pub(super) fn crowded(wax: &Medial, limits: &Limits, faults: &mut Vec<Fault>) {
    let (single, near) = (limits.single_mm(), limits.mm(Limit::Junctions));
    let mut joints: Vec<Point> = Vec::new();
    let mut told = Told::apart(0.6 * single);
    for ring in 0..wax.rings() {
        let (discs, around) = (wax.ring(ring), wax.ring_mm(ring));
        for (a, b) in discs.iter().zip(discs.iter().skip(1)) {
            // Far thinner than any line is a burr of the outline.
            let wide = 0.2 * single..1.3 * single;
            let facing = |d: &Disc| wide.contains(&d.mm()) && d.spread() > FRAC_PI_2;
            let (Some((_, r, s)), Some((_, q, t))) = (a.opposite, b.opposite) else {
                continue;
            };
            let way = (s - t).rem_euclid(if r == ring { around } else { wax.ring_mm(r) }.max(1e-9));
            let leap = r != q || way.min((wax.ring_mm(r) - way).abs()) > 2.0 * single;
            if facing(a) && facing(b) && leap && told.new_place(a.centre) {
                joints.push(a.centre);
            }
        }
    }
    joints.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut crowds = Told::apart(2.0 * near);
    for (k, a) in joints.iter().enumerate() {
        let neighbours = joints[k + 1..].iter().take_while(|b| b[0] - a[0] < near);
        let apart = |b: &Point| (b[0] - a[0]).hypot(b[1] - a[1]);
        let Some(b) = neighbours.min_by(|p, q| apart(p).total_cmp(&apart(q))) else {
            continue;
        };
        let at = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        if apart(b) < near && crowds.new_place(at) {
            faults.push(Fault::new(BuildRule::CrowdedJoints, at, apart(b), near).along([*a, *b]));
        }
    }
}
