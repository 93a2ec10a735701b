//! The medial axis, seen from the outline: for points along every ring the greatest disc that touches the
//! outline there and lies wholly in the wax, or wholly on bare cloth.
//!
//! The disc's diameter is the local width, its centre lies on the medial axis, and where it touches the outline
//! again is the boundary opposite. Each disc is exact for the polygon: its radius is the least of a closed form
//! over the edges near it (a disc tangent at a point and touching a line: r = d / (1 - n.m); touching a point:
//! r = v^2 / 2 n.v), found through square bins, so that time grows with the length of outline.

use crate::area::{Area, Bounds, Point, ring_mm2};
use crate::edges::{Edge, Edges};
use rayon::prelude::*;
use std::ops::Range;

/// Discs are not followed beyond this radius, mm.
pub const WIDEST_DISC: f64 = 8.0;
/// Farthest distance of points looked from, mm.
const STEP: f64 = 0.4;
/// Turn above which a corner that points into the region is looked from in several directions, rad.
const FAN: f64 = 0.1;
/// Farthest turn between two such directions, rad.
const FAN_STEP: f64 = 0.3;

/// Looks that follow one another; each begins with what the one before met.
const CHUNK: usize = 256;

/// Which side of the outline is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Where wax is.
    Wax,
    /// Where the cloth stays bare.
    Bare,
}

/// The greatest disc at one point of the outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disc {
    /// Where it touches the outline: the point that it was looked for from.
    pub at: Point,
    /// Ring of that point.
    pub ring: usize,
    /// Way along the ring to it, mm.
    pub run: f64,
    /// Its centre, a point of the medial axis.
    pub centre: Point,
    /// Its radius, mm; [`WIDEST_DISC`] if nothing nearer stands opposite.
    pub radius: f64,
    /// Where it touches the outline again, with ring and way along it; none if nothing is near.
    pub opposite: Option<(Point, usize, f64)>,
}

impl Disc {
    /// Width of the region here, mm.
    pub fn mm(&self) -> f64 {
        2.0 * self.radius
    }
    /// Angle between the two points of contact, seen from the centre, rad: half a turn between parallel sides,
    /// little in a bend or a blunt corner.
    pub fn spread(&self) -> f64 {
        let Some((q, ..)) = self.opposite else { return 0.0 };
        let (a, b) = (
            [self.at[0] - self.centre[0], self.at[1] - self.centre[1]],
            [q[0] - self.centre[0], q[1] - self.centre[1]],
        );
        (a[0] * b[1] - a[1] * b[0]).abs().atan2(a[0] * b[0] + a[1] * b[1])
    }
}

/// The discs of one side, ring by ring in the order of the outline.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Medial {
    discs: Vec<Disc>,
    rings: Vec<(Range<usize>, f64)>,
}

impl Medial {
    /// Looks at an area from both sides: in the wax, and on the bare cloth around it.
    pub fn of(area: &Area) -> [Self; 2] {
        let Some(edges) = Edges::of(area) else {
            return [Self::default(), Self::default()];
        };
        [Side::Wax, Side::Bare].map(|side| Self::seen(area, &edges, side))
    }

    /// One side only.
    pub fn on(area: &Area, side: Side) -> Self {
        Edges::of(area).map_or_else(Self::default, |edges| Self::seen(area, &edges, side))
    }

    fn seen(area: &Area, edges: &Edges, side: Side) -> Self {
        let hands = hands(area, side);
        let looks = looks(edges, &hands);
        let discs: Vec<Disc> = looks
            .par_chunks(CHUNK)
            .flat_map_iter(|part| {
                let mut met = None;
                part.iter().map(move |look| {
                    let disc;
                    (disc, met) = edges.disc(look, met);
                    disc
                })
            })
            .collect();
        let mut rings: Vec<(Range<usize>, f64)> = Vec::with_capacity(edges.ring_mm.len());
        let mut from = 0;
        for (ring, mm) in edges.ring_mm.iter().enumerate() {
            let to = from + discs[from..].iter().take_while(|d| d.ring == ring).count();
            rings.push((from..to, *mm));
            from = to;
        }
        let mut medial = Self { discs, rings };
        medial.sharpen(edges, &looks);
        medial
    }

    /// Moves each locally least disc to the least between its neighbours, so that a width does not depend on
    /// where the outline happened to be looked from.
    fn sharpen(&mut self, edges: &Edges, looks: &[Look]) {
        // The golden section; 0.618^14 of half a millimetre is less than a micrometre.
        const TURNS: usize = 14;
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        // In a bend the disc shrinks towards every corner of the polygon; that is no width.
        const FACING: f64 = 1.5;
        // Between parallel sides every disc is as small as its neighbours.
        const LESS: f64 = 1e-9;
        let least: Vec<usize> = self
            .rings
            .iter()
            .flat_map(|(range, _)| range.clone().map(move |k| (k, range.clone())))
            .filter(|(k, range)| {
                let n = range.len();
                let at = |d: usize| self.discs[range.start + (k - range.start + d) % n].radius;
                let (own, next, before) = (self.discs[*k].radius, at(1), at(n - 1));
                let waist = own <= next && own <= before && (own < next - LESS || own < before - LESS);
                waist && self.discs[*k].spread() > FACING
            })
            .map(|(k, _)| k)
            .collect();
        let better: Vec<(usize, Disc)> = least
            .par_iter()
            .map(|k| {
                let look = &looks[*k];
                let mut met = None;
                let mut disc = |s: f64| {
                    let disc;
                    (disc, met) = edges.disc(&look.moved(edges, s), met);
                    disc
                };
                let radius = |disc: &Disc| {
                    if disc.spread() > FACING {
                        disc.radius
                    } else {
                        WIDEST_DISC
                    }
                };
                let (mut low, mut high) = look.room;
                let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
                let (mut at_a, mut at_b) = (radius(&disc(a)), radius(&disc(b)));
                for _ in 0..TURNS {
                    if at_a < at_b {
                        (high, b, at_b) = (b, a, at_a);
                        a = high - GOLDEN * (high - low);
                        at_a = radius(&disc(a));
                    } else {
                        (low, a, at_a) = (a, b, at_b);
                        b = low + GOLDEN * (high - low);
                        at_b = radius(&disc(b));
                    }
                }
                (*k, disc((low + high) / 2.0))
            })
            .collect();
        for (k, disc) in better {
            if disc.spread() > FACING && disc.radius < self.discs[k].radius {
                self.discs[k] = disc;
            }
        }
    }

    /// All discs, ring by ring.
    pub fn discs(&self) -> &[Disc] {
        &self.discs
    }
    /// Number of rings; they are those of [`Area::rings`], in that order.
    pub fn rings(&self) -> usize {
        self.rings.len()
    }
    /// The discs along one ring in the order of its points; none if there is no such ring.
    pub fn ring(&self, ring: usize) -> &[Disc] {
        self.rings
            .get(ring)
            .map_or(&[], |(range, _)| &self.discs[range.clone()])
    }
    /// Length of one ring, mm.
    pub fn ring_mm(&self, ring: usize) -> f64 {
        self.rings.get(ring).map_or(0.0, |(_, mm)| *mm)
    }

    /// Stretches of outline along which the region is narrower than `limit` mm (at most twice
    /// [`WIDEST_DISC`]).
    pub fn narrower(&self, limit: f64) -> Vec<Stretch> {
        let mut all = Vec::new();
        for ring in 0..self.rings() {
            let discs = self.ring(ring);
            let thin = |k: usize| discs[k % discs.len()].mm() < limit;
            let n = discs.len();
            let Some(start) = (0..n).find(|k| !thin(*k)) else {
                if n > 0 {
                    all.push(Stretch {
                        ring,
                        from: 0,
                        count: n,
                        whole: true,
                    });
                }
                continue;
            };
            let mut k = start;
            while k < start + n {
                let count = (k..start + n).take_while(|k| thin(*k)).count();
                if count > 0 {
                    all.push(Stretch {
                        ring,
                        from: k % n,
                        count,
                        whole: false,
                    });
                }
                k += count + 1;
            }
        }
        all
    }

    /// The discs of a stretch, in order.
    pub fn along<'m>(&'m self, stretch: &Stretch) -> impl Iterator<Item = &'m Disc> + Clone + use<'m> {
        self.ring(stretch.ring)
            .iter()
            .cycle()
            .skip(stretch.from)
            .take(stretch.count)
    }

    /// Length of outline that a stretch takes, mm.
    pub fn length(&self, stretch: &Stretch) -> f64 {
        let around = self.ring_mm(stretch.ring);
        let (Some(first), Some(last)) = (self.along(stretch).next(), self.along(stretch).last()) else {
            return 0.0;
        };
        if stretch.whole {
            around
        } else {
            (last.run - first.run).rem_euclid(around)
        }
    }

    /// Whether a stretch goes round the end of a point or into the end of a notch: what stands opposite all of
    /// it is the stretch itself.
    pub fn is_end(&self, stretch: &Stretch) -> bool {
        let around = self.ring_mm(stretch.ring);
        let Some(first) = self.along(stretch).next() else {
            return false;
        };
        let (from, length) = (first.run, self.length(stretch));
        // Half a step, and what the last disc may see beyond it.
        let room = 2.0 * STEP;
        !stretch.whole
            && self.along(stretch).all(|disc| {
                disc.opposite.is_some_and(|(_, ring, run)| {
                    ring == stretch.ring && (run - from + room).rem_euclid(around) <= length + 2.0 * room
                })
            })
    }
}

/// A run of neighbouring discs along one ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The ring.
    pub ring: usize,
    /// Number of its first disc on the ring.
    pub from: usize,
    /// How many discs; they may run past the ring's first point.
    pub count: usize,
    /// Whether it is the whole ring.
    pub whole: bool,
}

/// From where, and in which direction, a disc is looked for.
struct Look {
    edge: usize,
    /// At a corner: the other edge that meets there.
    corner: Option<usize>,
    at: Point,
    run: f64,
    normal: Point,
    /// Along the edge (0..1), or direction at a corner (rad): from half way to the look before to half way to
    /// the next.
    room: (f64, f64),
}

impl Look {
    /// The same look from another place of its room.
    fn moved(&self, edges: &Edges, s: f64) -> Self {
        let edge = &edges.all[self.edge];
        match self.corner {
            Some(_) => Self {
                normal: [s.cos(), s.sin()],
                ..*self
            },
            None => Self {
                at: along(edge, s),
                run: edge.run + s * edge.length(),
                ..*self
            },
        }
    }
}

/// For each ring: +1 if the region looked at lies to the left of its edges, -1 if to the right.
fn hands(area: &Area, side: Side) -> Vec<f64> {
    let flip = if side == Side::Wax { 1.0 } else { -1.0 };
    let shapes = area.shapes().iter();
    shapes
        .flat_map(|shape| {
            let hand = shape.first().map_or(1.0, |outer| ring_mm2(outer).signum());
            shape.iter().map(move |_| hand * flip)
        })
        .collect()
}

fn looks(edges: &Edges, hands: &[f64]) -> Vec<Look> {
    let mut looks = Vec::with_capacity(edges.all.len() * 2);
    let mut first = 0;
    while first < edges.all.len() {
        let ring = edges.all[first].ring;
        let count = edges.all[first..].iter().take_while(|e| e.ring == ring).count();
        let hand = hands.get(ring).copied().unwrap_or(1.0);
        for k in 0..count {
            let (number, before) = (first + k, first + (k + count - 1) % count);
            let edge = &edges.all[number];
            let (d, e) = (edge.direction(), edges.all[before].direction());
            let turn = (e[0] * d[1] - e[1] * d[0]).atan2(e[0] * d[0] + e[1] * d[1]) * hand;
            if turn < -FAN {
                fan(
                    edge,
                    number,
                    before,
                    [-e[1] * hand, e[0] * hand],
                    turn * hand,
                    &mut looks,
                );
            }
            let pieces = (edge.length() / STEP).ceil().max(1.0);
            for piece in 0..pieces as usize {
                let t = (piece as f64 + 0.5) / pieces;
                looks.push(Look {
                    edge: number,
                    corner: None,
                    at: along(edge, t),
                    run: edge.run + t * edge.length(),
                    normal: [-d[1] * hand, d[0] * hand],
                    room: (piece as f64 / pieces, (piece as f64 + 1.0) / pieces),
                });
            }
        }
        first += count;
    }
    looks
}

/// Directions between the normals of two edges at a corner that points into the region.
fn fan(edge: &Edge, number: usize, before: usize, from: Point, turn: f64, looks: &mut Vec<Look>) {
    let start = from[1].atan2(from[0]);
    let rays = (turn.abs() / FAN_STEP).ceil().max(1.0) as usize;
    for ray in 0..rays {
        let of = |part: f64| start + turn * part / rays as f64;
        let angle = of(ray as f64 + 0.5);
        looks.push(Look {
            edge: number,
            corner: Some(before),
            at: edge.a,
            run: edge.run,
            normal: [angle.cos(), angle.sin()],
            room: (of(ray as f64), of(ray as f64 + 1.0)),
        });
    }
}

fn along(edge: &Edge, t: f64) -> Point {
    [
        edge.a[0] + t * (edge.b[0] - edge.a[0]),
        edge.a[1] + t * (edge.b[1] - edge.a[1]),
    ]
}

impl Edges {
    /// The disc of a look, and the edge that it met. `hint` is an edge that it may meet: the disc is the same
    /// without it, only found later.
    fn disc(&self, look: &Look, hint: Option<usize>) -> (Disc, Option<usize>) {
        let (p, n) = (look.at, look.normal);
        let centre = |r: f64| [p[0] + n[0] * r, p[1] + n[1] * r];
        let mut best: (f64, Option<(Point, usize)>) = (WIDEST_DISC, None);
        let mut c = centre(WIDEST_DISC);
        let mut try_edge = |number: usize, best: &mut (f64, Option<(Point, usize)>)| {
            let own = number == look.edge || Some(number) == look.corner;
            if own || !self.all[number].may_meet(c, best.0) {
                return;
            }
            if let Some((r, q)) = tangent(p, n, &self.all[number]) {
                // Of edges met at once the first counts, in whichever order they are looked at.
                let first = best.1.is_some_and(|(_, known)| r == best.0 && number < known);
                if r < best.0 || first {
                    *best = (r, Some((q, number)));
                    c = centre(r);
                }
            }
        };
        if let Some(number) = hint {
            try_edge(number, &mut best);
        }
        let pitch = self.pitch();
        let mut reach = if best.0 < 2.0 * pitch { best.0 } else { pitch };
        loop {
            let part = reach.min(best.0);
            let around = Bounds {
                low: centre(part),
                high: centre(part),
            }
            .grown(part);
            for number in self.near(&around) {
                try_edge(number, &mut best);
            }
            // A disc that fits into the part looked at has met all that it can.
            if best.0 <= reach || reach >= WIDEST_DISC {
                break;
            }
            reach = (reach * 2.0).min(WIDEST_DISC);
        }
        let (radius, met) = best;
        let disc = Disc {
            at: p,
            ring: self.all[look.edge].ring,
            run: look.run,
            centre: [p[0] + n[0] * radius, p[1] + n[1] * radius],
            radius,
            opposite: met.map(|(q, number)| {
                let other = &self.all[number];
                (
                    q,
                    other.ring,
                    other.run + (q[0] - other.a[0]).hypot(q[1] - other.a[1]),
                )
            }),
        };
        (disc, met.map(|(_, number)| number))
    }
}

/// Radius of the disc that touches the outline at `p`, with its centre along the unit vector `n`, and just
/// touches an edge, and where; none if growing the disc never brings it there.
fn tangent(p: Point, n: Point, edge: &Edge) -> Option<(f64, Point)> {
    let d = edge.direction();
    let v = [p[0] - edge.a[0], p[1] - edge.a[1]];
    let mut m = [-d[1], d[0]];
    let mut away = v[0] * m[0] + v[1] * m[1];
    if away < 0.0 {
        (m, away) = ([-m[0], -m[1]], -away);
    }
    let slant = 1.0 - (n[0] * m[0] + n[1] * m[1]);
    if away > 1e-9 && slant > 1e-12 {
        let r = away / slant;
        let foot = [p[0] + r * (n[0] - m[0]), p[1] + r * (n[1] - m[1])];
        let t = (foot[0] - edge.a[0]) * d[0] + (foot[1] - edge.a[1]) * d[1];
        if (0.0..=edge.length()).contains(&t) {
            return Some((r, foot));
        }
    }
    let touching = |q: Point| {
        let v = [q[0] - p[0], q[1] - p[1]];
        let towards = v[0] * n[0] + v[1] * n[1];
        (towards > 1e-9).then(|| ((v[0] * v[0] + v[1] * v[1]) / (2.0 * towards), q))
    };
    let (a, b) = (touching(edge.a), touching(edge.b));
    match (a, b) {
        (Some(a), Some(b)) => Some(if a.0 <= b.0 { a } else { b }),
        (one, other) => one.or(other),
    }
}
