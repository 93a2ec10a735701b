//! A repeat that joins: the drawing beside its borders is bent until both sides meet half way, in position and in
//! direction; what has nothing to meet ends before the border.

use super::{BESIDE, Border, Cut, Line, MEANT, Seams, Tolerance};
use crate::area::{Area, Bounds, Point, Rule};
use crate::layout::Lattice;

/// How deep into the drawing the bend reaches, mm.
pub(crate) const DEEP: f64 = 15.0;
/// Longest edge within that depth, mm, so that what was straight can bend.
const EDGE: f64 = 0.5;
/// How far before the border a line ends that nothing goes on from, mm: a slip of the hand hides there.
pub(crate) const SHORT: f64 = 1.5;
/// Rounds of bending; the first does nearly all, later ones what bends disturbed at corners.
pub(crate) const ROUNDS: usize = 3;

/// A repeat after its breaks were closed.
#[derive(Clone, Debug)]
pub struct Closed {
    /// The wax, mm.
    pub area: Area,
    /// What joins, and what still does not.
    pub seams: Seams,
    /// Surface that was added or taken away, mm2.
    pub changed_mm2: f64,
}

/// One edge of a line where it crosses a side of the stamp.
pub(crate) struct Anchor {
    /// 0 and 1: the sides with least and greatest x; 2 and 3: with least and greatest y.
    pub side: usize,
    /// Place along the side, mm.
    pub along: f64,
    /// How far it must move along the side, mm, and turn (mm for each mm inwards).
    pub shift: f64,
    pub slope: f64,
}

/// What meets what at a line, and what meets nothing.
pub(crate) struct Met<'a> {
    /// Stretches before and behind the line that are one.
    pub pairs: Vec<(&'a Cut, &'a Cut)>,
    /// Those before the line that nothing goes on from.
    before: Vec<&'a Cut>,
    /// Those behind it.
    after: Vec<&'a Cut>,
}

impl<'a> Met<'a> {
    /// Each stretch with the likest that is left on the other side.
    pub fn of(before: &'a [Cut], after: &'a [Cut]) -> Self {
        let mut met = Self {
            pairs: Vec::new(),
            before: Vec::new(),
            after: after.iter().collect(),
        };
        for a in before {
            let gap = |b: &Cut| (a.middle() - b.middle()).abs() + (a.wide() - b.wide()).abs();
            let left = &mut met.after;
            let best = (0..left.len()).min_by(|m, n| gap(left[*m]).total_cmp(&gap(left[*n])));
            match best.filter(|n| (left[*n].middle() - a.middle()).abs() <= MEANT) {
                Some(n) => met.pairs.push((a, left.remove(n))),
                None => met.before.push(a),
            }
        }
        met
    }

    /// Stretches before the line that end there and are seen to; a tip that touches the line does not count.
    pub fn lone_before(&self, tolerance: &Tolerance) -> Vec<&'a Cut> {
        let seen = |cut: &&'a Cut| cut.wide() > tolerance.leap_mm && !cut.is_tip(1.0);
        self.before.iter().copied().filter(seen).collect()
    }

    /// The same on both sides of it.
    fn lone(&self, tolerance: &Tolerance) -> Vec<&'a Cut> {
        let seen = |cut: &&'a Cut| cut.wide() > tolerance.leap_mm && !cut.is_tip(-1.0);
        let after = self.after.iter().copied().filter(seen);
        self.lone_before(tolerance).into_iter().chain(after).collect()
    }
}

/// What one edge lacks of the other, both taken on to the line.
pub(crate) struct Wish {
    /// Where the edge before the line comes to it, and the one behind it, mm along the line.
    pub from: f64,
    pub to: f64,
    /// From the first to the second: mm along the line, and mm along it for each mm across; nothing where they meet.
    pub shift: f64,
    pub slope: f64,
}

/// The two edges of a pair, as far as two impressions must meet in them.
pub(crate) fn wishes(a: &Cut, b: &Cut, tolerance: &Tolerance) -> Vec<(usize, Wish)> {
    let wish = |k: usize| {
        let (s, t) = a.meets(b, k)?;
        let (p, q) = if k == 0 { (a.from, b.from) } else { (a.to, b.to) };
        let (from, to) = (p + s * BESIDE, q - t * BESIDE);
        let off =
            (to - from).abs() > tolerance.leap_mm / 4.0 || (s.atan() - t.atan()).abs() > tolerance.turn / 2.0;
        let (shift, slope) = if off { (to - from, t - s) } else { (0.0, 0.0) };
        Some((
            k,
            Wish {
                from,
                to,
                shift,
                slope,
            },
        ))
    };
    (0..2).filter_map(wish).collect()
}

impl Lattice {
    /// Proposes a drawing without breaks. What joins already is left where it is.
    pub fn close(&self, area: &Area, tolerance: &Tolerance) -> Closed {
        let mut now = area.clone();
        for _ in 0..ROUNDS {
            if self.seams(&now, tolerance).breaks.is_empty() {
                break;
            }
            let (anchors, ends) = self.wanted(&now, tolerance);
            let bent = bend(&now, &anchors, self.repeat_mm);
            now = bent.without(&Area::union_of(&ends));
        }
        Closed {
            seams: self.seams(&now, tolerance),
            changed_mm2: area.without(&now).mm2() + now.without(area).mm2(),
            area: now,
        }
    }

    /// How edges at the borders must move, and what must go.
    fn wanted(&self, area: &Area, tolerance: &Tolerance) -> (Vec<Anchor>, Vec<Area>) {
        let (mut anchors, mut ends) = (Vec::new(), Vec::new());
        for line in self.borders() {
            let [before, after] = [-BESIDE, BESIDE].map(|off| self.cuts_on(area, &line, line.at + off));
            let met = Met::of(&before, &after);
            for (a, b) in &met.pairs {
                for (k, wish) in wishes(a, b, tolerance) {
                    let (shift, slope) = (wish.shift / 2.0, wish.slope / 2.0);
                    anchors.extend(self.anchor(&line, a.owners[k], wish.from, shift, slope));
                    anchors.extend(self.anchor(&line, b.owners[k], wish.to, -shift, -slope));
                }
            }
            let lone = met.lone(tolerance);
            ends.extend(lone.into_iter().filter_map(|cut| self.end(&line, cut)));
        }
        anchors.sort_by(|a, b| a.side.cmp(&b.side).then(a.along.total_cmp(&b.along)));
        (anchors, ends)
    }

    /// A point of a border in the stamp of an impression: side, place along it, signs across and along.
    fn on_side(&self, line: &Line, owner: (i32, i32), along: f64) -> Option<(usize, f64, [f64; 2])> {
        let axis = usize::from(line.border == Border::Rows);
        let corner = self.corner(owner.0, owner.1);
        let at = if axis == 0 {
            [line.at, along]
        } else {
            [along, line.at]
        };
        let own = [at[0] - corner[0], at[1] - corner[1]];
        let p = self.pose(owner.0, owner.1).place(own, self.repeat_mm);
        let signs = self.pose(owner.0, owner.1).signs();
        let high = (p[axis] - self.repeat_mm[axis]).abs() < 0.5;
        // A shape that reaches over its repeat is cut inside the stamp, where nothing has to meet.
        (high || p[axis].abs() < 0.5).then_some((
            2 * axis + usize::from(high),
            p[1 - axis],
            [signs[axis], signs[1 - axis]],
        ))
    }

    fn anchor(&self, line: &Line, owner: (i32, i32), along: f64, shift: f64, slope: f64) -> Option<Anchor> {
        let (side, along, [across, down]) = self.on_side(line, owner, along)?;
        // Inwards is against the axis on the side with the greatest coordinate.
        let inwards = if side % 2 == 1 { -1.0 } else { 1.0 };
        Some(Anchor {
            side,
            along,
            shift: shift * down,
            slope: slope * down * across * inwards,
        })
    }

    /// The end of a line that nothing goes on from, in the stamp.
    fn end(&self, line: &Line, cut: &Cut) -> Option<Area> {
        let (side, a, _) = self.on_side(line, cut.owners[0], cut.from - 0.3)?;
        let (_, b, _) = self.on_side(line, cut.owners[0], cut.to + 0.3)?;
        let axis = side / 2;
        let edge = if side % 2 == 1 { self.repeat_mm[axis] } else { 0.0 };
        let inside = if side % 2 == 1 { edge - SHORT } else { edge + SHORT };
        let corner = |across: f64, along: f64| {
            if axis == 0 {
                [across, along]
            } else {
                [along, across]
            }
        };
        let outside = if side % 2 == 1 { edge + 0.5 } else { edge - 0.5 };
        let (p, q) = (corner(inside, a), corner(outside, b));
        Some(Area::rectangle(
            &Bounds { low: p, high: p }.with(&Bounds { low: q, high: q }),
        ))
    }
}

/// The drawing with its anchors where they wish to be, the rest bent with them; anchors by side and place.
pub(crate) fn bend(area: &Area, anchors: &[Anchor], repeat: [f64; 2]) -> Area {
    if anchors.iter().all(|a| a.shift == 0.0 && a.slope == 0.0) {
        return area.clone();
    }
    let sides: Vec<&[Anchor]> = (0..4)
        .map(|side| {
            let from = anchors.partition_point(|a| a.side < side);
            let to = anchors.partition_point(|a| a.side <= side);
            &anchors[from..to]
        })
        .collect();
    let moved = |p: Point| {
        let mut q = p;
        for (side, anchors) in sides.iter().enumerate() {
            let axis = side / 2;
            let depth = if side % 2 == 1 {
                repeat[axis] - p[axis]
            } else {
                p[axis]
            };
            let u = (depth / DEEP).max(0.0);
            if u >= 1.0 {
                continue;
            }
            let (shift, slope) = between(anchors, p[1 - axis]);
            // Hermite's cubic: the shift and slope wanted at the border, nothing of either at the depth.
            let still = (1.0 - u) * (1.0 - u);
            q[1 - axis] += shift * still * (1.0 + 2.0 * u) + slope * depth.max(0.0) * still;
        }
        q
    };
    let near = |p: Point| (0..2).any(|k| p[k] < DEEP || p[k] > repeat[k] - DEEP);
    let rings: Vec<Vec<Point>> = area
        .rings()
        .map(|ring| {
            let mut fine = Vec::with_capacity(ring.len());
            for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let length = (b[0] - a[0]).hypot(b[1] - a[1]);
                let pieces = if near(*a) || near(*b) {
                    (length / EDGE).ceil().max(1.0)
                } else {
                    1.0
                };
                for k in 0..pieces as usize {
                    let t = k as f64 / pieces;
                    fine.push(moved([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]));
                }
            }
            fine
        })
        .collect();
    Area::filled(&rings, Rule::NonZero)
}

/// Shift and slope at a place along a side: straight between anchors, as the nearest beyond them.
fn between(anchors: &[Anchor], along: f64) -> (f64, f64) {
    let next = anchors.partition_point(|a| a.along < along);
    let of = |a: &Anchor| (a.shift, a.slope);
    match (
        next.checked_sub(1).and_then(|k| anchors.get(k)),
        anchors.get(next),
    ) {
        (Some(a), Some(b)) => {
            let t = (along - a.along) / (b.along - a.along).max(1e-9);
            let mix = |x: f64, y: f64| x + t * (y - x);
            (mix(a.shift, b.shift), mix(a.slope, b.slope))
        }
        (Some(one), None) | (None, Some(one)) => of(one),
        (None, None) => (0.0, 0.0),
    }
}
