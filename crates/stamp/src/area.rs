//! Flat regions bounded by straight edges, mm: what wax covers.

mod tangle;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::simplify::SimplifyShape;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

/// A point, mm.
pub type Point = [f64; 2];
/// A closed chain of points; the last joins the first.
pub type Ring = Vec<Point>;
/// One connected region: its outer ring, then its holes.
pub type Shape = Vec<Ring>;

/// A region of the plane: disjoint shapes, each an outer ring and its holes, holes running the other way
/// round than outer rings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Area {
    shapes: Vec<Shape>,
}

/// Coordinates beyond this are no drawing, mm: a hundred kilometres.
pub const FARTHEST: f64 = 1e8;

/// A rectangle, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Left top corner (least x and y).
    pub low: Point,
    /// Right bottom corner (greatest x and y).
    pub high: Point,
}

impl Bounds {
    /// From the corner (0, 0) to (`width`, `height`).
    pub const fn sized(width: f64, height: f64) -> Self {
        Self {
            low: [0.0, 0.0],
            high: [width, height],
        }
    }
    /// Whether the two have a point in common.
    pub fn meets(&self, other: &Self) -> bool {
        (0..2).all(|k| self.low[k] <= other.high[k] && other.low[k] <= self.high[k])
    }
    /// The rectangle that holds both.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        let pick = |f: fn(f64, f64) -> f64, a: Point, b: Point| [f(a[0], b[0]), f(a[1], b[1])];
        Self {
            low: pick(f64::min, self.low, other.low),
            high: pick(f64::max, self.high, other.high),
        }
    }
    /// Grown by `by` on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self {
            low: [self.low[0] - by, self.low[1] - by],
            high: [self.high[0] + by, self.high[1] + by],
        }
    }
    /// Moved by `by`.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        Self {
            low: [self.low[0] + by[0], self.low[1] + by[1]],
            high: [self.high[0] + by[0], self.high[1] + by[1]],
        }
    }
    /// Width.
    pub fn width(&self) -> f64 {
        self.high[0] - self.low[0]
    }
    /// Height.
    pub fn height(&self) -> f64 {
        self.high[1] - self.low[1]
    }
    fn of(points: impl Iterator<Item = Point>) -> Option<Self> {
        points.map(|p| Self { low: p, high: p }).reduce(|a, b| a.with(&b))
    }
}

/// Which points inside a crossing path count as filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Those that the path goes round a number of times other than zero.
    NonZero,
    /// Those that the path goes round an odd number of times.
    EvenOdd,
}

impl Area {
    /// Nothing.
    pub const fn empty() -> Self {
        Self { shapes: Vec::new() }
    }
    /// Shapes that were those of a region. None if a coordinate is no number or beyond [`FARTHEST`], or a ring has no
    /// inside.
    pub(crate) fn of_shapes(shapes: Vec<Shape>) -> Option<Self> {
        let near = |ring: &Ring| ring.len() >= 3 && ring.iter().flatten().all(|v| v.abs() <= FARTHEST);
        let whole = |shape: &Shape| !shape.is_empty() && shape.iter().all(near);
        shapes.iter().all(whole).then_some(Self { shapes })
    }
    /// [`Area::filled`], unless the rings cross so often that it would take minutes.
    pub(crate) fn filled_if_simple(rings: &[Ring], rule: Rule) -> Result<Self, Tangled> {
        tangle::check(rings.iter())?;
        Ok(Self::filled(rings, rule))
    }
    /// The region that closed rings fill; they may cross themselves and each other. A ring with a coordinate
    /// that is not a number or beyond [`FARTHEST`] is left out.
    pub fn filled(rings: &[Ring], rule: Rule) -> Self {
        let near = |r: &&Ring| r.iter().flatten().all(|v| v.abs() <= FARTHEST);
        let rings: Vec<Ring> = rings
            .iter()
            .filter(|r| r.len() >= 3)
            .filter(near)
            .cloned()
            .collect();
        if rings.is_empty() {
            return Self::empty();
        }
        let rule = match rule {
            Rule::NonZero => FillRule::NonZero,
            Rule::EvenOdd => FillRule::EvenOdd,
        };
        Self {
            shapes: rings.simplify_shape(rule),
        }
        .tidy()
    }
    /// A rectangle.
    pub fn rectangle(b: &Bounds) -> Self {
        let ([x0, y0], [x1, y1]) = (b.low, b.high);
        Self::filled(&[vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]], Rule::NonZero)
    }
    /// All of several regions, joined.
    pub fn union_of(parts: &[Self]) -> Self {
        let rings: Vec<Ring> = parts.iter().flat_map(Self::rings).cloned().collect();
        // Outer rings and holes run opposite ways, so that winding numbers add up to the union.
        if parts.len() == 1 {
            parts[0].clone()
        } else {
            Self::filled(&rings, Rule::NonZero)
        }
    }
    /// [`Area::union_of`] by halves: what is joined early has fewer edges later.
    pub(crate) fn union_if_simple(parts: &[Self]) -> Result<Self, Tangled> {
        match parts {
            [] => Ok(Self::empty()),
            [one] => Ok(one.clone()),
            _ => {
                let (a, b) = parts.split_at(parts.len() / 2);
                let (a, b) = (Self::union_if_simple(a)?, Self::union_if_simple(b)?);
                a.combine_if_simple(&b, Combine::Union)
            }
        }
    }
    /// Whether it covers nothing.
    pub fn is_empty(&self) -> bool {
        self.shapes.is_empty()
    }
    /// The connected shapes.
    pub fn shapes(&self) -> &[Shape] {
        &self.shapes
    }
    /// All rings, outer and holes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        self.shapes.iter().flatten()
    }
    /// All edges, from each point to the next.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.rings()
            .flat_map(|r| r.iter().zip(r.iter().cycle().skip(1)).map(|(a, b)| (*a, *b)))
    }
    /// Number of corner points.
    pub fn points(&self) -> usize {
        self.rings().map(Vec::len).sum()
    }
    /// The surface, mm2, exactly.
    pub fn mm2(&self) -> f64 {
        self.shapes.iter().map(|shape| shape_mm2(shape)).sum()
    }
    /// The length of all its outlines, mm, exactly.
    pub fn outline_mm(&self) -> f64 {
        self.edges().map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
    }
    /// The rectangle around it; none if it is empty.
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::of(self.shapes.iter().filter_map(|s| s.first()).flatten().copied())
    }
    /// This and the other.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        self.combine(other, Combine::Union)
    }
    /// What is in both.
    #[must_use]
    pub fn common(&self, other: &Self) -> Self {
        self.combine(other, Combine::Common)
    }
    /// This without the other.
    #[must_use]
    pub fn without(&self, other: &Self) -> Self {
        self.combine(other, Combine::Without)
    }
    /// The part inside a rectangle. As [`Area::common`] with it, but in time that grows with the points, so that a
    /// small part of a large drawing is cheap.
    #[must_use]
    pub fn clipped(&self, b: &Bounds) -> Self {
        let meets = |ring: &&Ring| Bounds::of(ring.iter().copied()).is_some_and(|around| around.meets(b));
        let rings: Vec<Ring> = self.rings().filter(meets).map(|ring| clip(ring, b)).collect();
        // Where a ring leaves and comes back its parts hang together along the rectangle's side, without surface.
        Self::filled(&rings, Rule::EvenOdd)
    }
    /// All points within `by` mm of it; with a negative `by`, the points that are at least that deep inside.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        // Arcs as chords of 0.15 rad: within 0.3 % of the radius.
        const ARC: f64 = 0.15;
        if self.is_empty() || by == 0.0 {
            return self.clone();
        }
        let style = OutlineStyle::new(by).line_join(LineJoin::Round(ARC));
        Self {
            shapes: self.shapes.outline(&style),
        }
        .tidy()
    }
    /// Without what nobody drew: pieces and holes on average narrower than a hundredth of a millimetre, which
    /// booleans and colours laid side by side leave, and points and needles of a few micrometres.
    #[must_use]
    pub fn dusted(mut self) -> Self {
        const DUST: f64 = 0.01;
        let seen = |ring: &Ring| {
            let around: f64 = (ring.iter().zip(ring.iter().cycle().skip(1)))
                .map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
                .sum();
            2.0 * ring_mm2(ring).abs() > DUST * around
        };
        self.shapes.retain(|shape| shape.first().is_some_and(seen));
        for shape in &mut self.shapes {
            shape.retain(seen);
            shape.iter_mut().for_each(smoothed);
        }
        self.tidy()
    }
    /// With the points that matter only: no edge moves by more than a hundredth of a millimetre.
    #[must_use]
    pub(crate) fn thinned(&self) -> Self {
        let ring = |ring: &Ring| {
            let mut round = ring.clone();
            round.extend(ring.first());
            crate::strips::thinned(&round, false)
        };
        let rings: Vec<Ring> = self.rings().map(ring).collect();
        Self::filled(&rings, Rule::EvenOdd)
    }
    /// Every point sent through `f`, which must keep the plane's handedness.
    #[must_use]
    pub fn mapped(&self, f: impl Fn(Point) -> Point) -> Self {
        let ring = |r: &Ring| r.iter().map(|p| f(*p)).collect();
        Self {
            shapes: self.shapes.iter().map(|s| s.iter().map(ring).collect()).collect(),
        }
    }
    /// The mirror image about the upright line in the middle of a repeat `width` mm wide.
    #[must_use]
    pub fn mirrored(&self, width: f64) -> Self {
        // Backwards, so that outer rings keep their direction.
        let ring = |r: &Ring| r.iter().rev().map(|p| [width - p[0], p[1]]).collect();
        Self {
            shapes: self.shapes.iter().map(|s| s.iter().map(ring).collect()).collect(),
        }
    }
    /// Moved.
    #[must_use]
    pub fn moved(&self, by: Point) -> Self {
        self.mapped(|p| [p[0] + by[0], p[1] + by[1]])
    }
    /// Whether a point is inside (on the edge: either).
    pub fn holds(&self, p: Point) -> bool {
        let crosses = |(a, b): (Point, Point)| {
            (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        };
        self.edges().filter(|e| crosses(*e)).count() % 2 == 1
    }

    fn combine(&self, other: &Self, how: Combine) -> Self {
        let meeting = Meeting::of(self, other);
        meeting.join(how)
    }

    /// Combines two regions unless their edges cross so often that it would take minutes.
    pub(crate) fn combine_if_simple(&self, other: &Self, how: Combine) -> Result<Self, Tangled> {
        let meeting = Meeting::of(self, other);
        if !meeting.mine.is_empty() && !meeting.theirs.is_empty() {
            tangle::check(meeting.mine.iter().chain(&meeting.theirs).flatten())?;
        }
        Ok(meeting.join(how))
    }

    /// Drops rings without a surface, which booleans may leave behind.
    fn tidy(mut self) -> Self {
        for shape in &mut self.shapes {
            let mut outer = true;
            shape.retain(|ring| {
                let keep = outer || (ring.len() >= 3 && ring_mm2(ring).abs() > f64::EPSILON);
                outer = false;
                keep
            });
        }
        self.shapes.retain(|s| {
            s.first()
                .is_some_and(|r| r.len() >= 3 && ring_mm2(r).abs() > f64::EPSILON)
        });
        self
    }
}

/// How two regions are combined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Combine {
    /// What is in either.
    Union,
    /// What is in both.
    Common,
    /// What is in the first only.
    Without,
}

/// Edges cross too often.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tangled;

/// The shapes of two regions, parted into those that may meet the other region and those that cannot. An
/// intricate drawing is painted stroke by stroke, and each stroke should cost what it touches.
struct Meeting {
    mine: Vec<Shape>,
    my_rest: Vec<Shape>,
    theirs: Vec<Shape>,
    their_rest: Vec<Shape>,
}

impl Meeting {
    fn of(a: &Area, b: &Area) -> Self {
        let near = |shape: &Shape, other: Option<Bounds>| {
            let around = shape.first().and_then(|r| Bounds::of(r.iter().copied()));
            around.zip(other).is_some_and(|(a, o)| a.meets(&o))
        };
        let (mine_around, their_around) = (a.bounds(), b.bounds());
        let (mine, my_rest) = a.shapes.iter().cloned().partition(|s| near(s, their_around));
        let (theirs, their_rest) = b.shapes.iter().cloned().partition(|s| near(s, mine_around));
        Self {
            mine,
            my_rest,
            theirs,
            their_rest,
        }
    }

    fn join(self, how: Combine) -> Area {
        let rule = match how {
            Combine::Union => OverlayRule::Union,
            Combine::Common => OverlayRule::Intersect,
            Combine::Without => OverlayRule::Difference,
        };
        let (keeps_mine, keeps_theirs) = (how != Combine::Common, how == Combine::Union);
        let mut shapes = match (self.mine.is_empty(), self.theirs.is_empty()) {
            (false, false) => self.mine.overlay(&self.theirs, rule, FillRule::NonZero),
            (false, true) if keeps_mine => self.mine,
            (true, false) if keeps_theirs => self.theirs,
            _ => Vec::new(),
        };
        if keeps_mine {
            shapes.extend(self.my_rest);
        }
        if keeps_theirs {
            shapes.extend(self.their_rest);
        }
        Area { shapes }.tidy()
    }
}

/// Takes out points that stand on their neighbours and the tips of needles, all within a few micrometres.
fn smoothed(ring: &mut Ring) {
    const NEAR: f64 = 0.003;
    let needle = |a: Point, b: Point, c: Point| {
        let (d, e) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
        let (long, next) = (d[0].hypot(d[1]), e[0].hypot(e[1]));
        let back = d[0] * e[0] + d[1] * e[1] < 0.0;
        let wide = (d[0] * e[1] - d[1] * e[0]).abs() / long.max(next).max(f64::MIN_POSITIVE);
        long < NEAR || next < NEAR || (back && wide < NEAR)
    };
    let mut kept: Ring = Vec::with_capacity(ring.len());
    for c in ring.iter() {
        while let [.., a, b] = kept[..]
            && needle(a, b, *c)
        {
            kept.pop();
        }
        kept.push(*c);
    }
    // The seam, where the ring closes.
    while let ([a, .., y, z], true) = (&kept[..], kept.len() > 3)
        && needle(*y, *z, *a)
    {
        kept.pop();
    }
    if kept.len() >= 3 {
        *ring = kept;
    }
}

/// A ring cut at the four sides of a rectangle, one after the other (Sutherland and Hodgman, Communications of the
/// ACM 17, 32, 1974).
fn clip(ring: &Ring, b: &Bounds) -> Ring {
    let mut ring = ring.clone();
    for (k, side, sign) in [
        (0, b.low[0], 1.0),
        (0, b.high[0], -1.0),
        (1, b.low[1], 1.0),
        (1, b.high[1], -1.0),
    ] {
        let inside = |p: &Point| (p[k] - side) * sign >= 0.0;
        let mut kept = Ring::with_capacity(ring.len());
        for (p, q) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            if inside(p) {
                kept.push(*p);
            }
            if inside(p) != inside(q) {
                let t = (side - p[k]) / (q[k] - p[k]);
                kept.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
            }
        }
        ring = kept;
    }
    ring
}

/// Twice-signed surface of a ring, halved: positive or negative with its direction (shoelace formula).
pub(crate) fn ring_mm2(ring: &[Point]) -> f64 {
    let Some(o) = ring.first() else { return 0.0 };
    // Relative to its first point, so that a small ring far from the origin loses no digits.
    let rel = |p: &Point| [p[0] - o[0], p[1] - o[1]];
    ring.windows(2)
        .map(|w| {
            let (a, b) = (rel(&w[0]), rel(&w[1]));
            a[0] * b[1] - a[1] * b[0]
        })
        .sum::<f64>()
        / 2.0
}

/// The surface of one shape, mm2.
pub(crate) fn shape_mm2(shape: &[Ring]) -> f64 {
    let mut rings = shape.iter().map(|r| ring_mm2(r).abs());
    let outer = rings.next().unwrap_or(0.0);
    outer - rings.sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, side: f64) -> Ring {
        vec![[x, 0.0], [x + side, 0.0], [x + side, side], [x, side]]
    }

    #[test]
    fn fill_rules_differ_where_a_path_goes_round_twice() {
        let rings = [
            square(0.0, 10.0),
            vec![[2.0, 2.0], [8.0, 2.0], [8.0, 8.0], [2.0, 8.0]],
        ];
        assert!((Area::filled(&rings, Rule::NonZero).mm2() - 100.0).abs() < 1e-6);
        assert!((Area::filled(&rings, Rule::EvenOdd).mm2() - 64.0).abs() < 1e-6);
    }

    #[test]
    fn surfaces_add_up_whatever_meets() {
        let a = Area::filled(&[square(0.0, 10.0), square(30.0, 4.0)], Rule::NonZero);
        let b = Area::filled(&[square(6.0, 10.0), square(50.0, 3.0)], Rule::NonZero);
        let (u, c, d) = (a.union(&b).mm2(), a.common(&b).mm2(), a.without(&b).mm2());
        assert!((c - 40.0).abs() < 1e-6, "{c}");
        assert!((u + c - a.mm2() - b.mm2()).abs() < 1e-6);
        assert!((d + c - a.mm2()).abs() < 1e-6);
        assert_eq!(a.union(&Area::empty()), a);
        assert!(a.common(&Area::empty()).is_empty());
    }

    #[test]
    fn clipping_is_what_is_common_with_the_rectangle() {
        // A comb: it leaves the rectangle and comes back seven times.
        let teeth = (0..8).flat_map(|k| {
            let x = 4.0 * f64::from(k);
            [[x, 9.0], [x, 0.0], [x + 2.0, 0.0], [x + 2.0, 9.0]]
        });
        let comb: Ring = teeth.chain([[30.0, 12.0], [0.0, 12.0]]).collect();
        let comb = Area::filled(&[comb], Rule::NonZero);
        for (low, high) in [
            ([5.0, 1.0], [27.0, 5.0]),
            ([-3.0, -3.0], [40.0, 40.0]),
            ([1.0, 8.0], [21.0, 11.0]),
        ] {
            let b = Bounds { low, high };
            let (got, exact) = (comb.clipped(&b).mm2(), comb.common(&Area::rectangle(&b)).mm2());
            assert!((got - exact).abs() < 1e-6, "{got} {exact}");
        }
        assert!(
            comb.clipped(&Bounds {
                low: [50.0, 0.0],
                high: [60.0, 9.0]
            })
            .is_empty()
        );
    }

    #[test]
    fn a_point_in_a_hole_is_outside() {
        let ring = [
            square(0.0, 10.0),
            vec![[2.0, 2.0], [8.0, 2.0], [8.0, 8.0], [2.0, 8.0]],
        ];
        let a = Area::filled(&ring, Rule::EvenOdd);
        assert!(a.holds([1.0, 5.0]) && !a.holds([5.0, 5.0]) && !a.holds([11.0, 5.0]));
    }
}
