//! Two stamps in register: one prints outlines, the other, after it on the same repeat, what fills them.
//!
//! The edge of the fill is followed all around. Where it lies under an outline it may slip as far as the outline
//! covers it; where it keeps off an outline it may slip until wax closes the channel between them.

mod picture;

use crate::area::{Area, Bounds, Point};
use crate::impression::{HandError, Impression};
use crate::layout::{Lattice, Layout};
use crate::mask::Mask;
use crate::slip::{Slip, Visible};
use crate::stamp::{Stamp, mm, spot};
use words::{Arg, Finding, Weight, say};

/// The edge is looked at once in this many mm.
const STEP: f64 = 0.5;
/// A place is seen if it is at least this long, mm (own estimate).
pub const SEEN_ALONG_MM: f64 = 2.0;
/// An outline farther off than this was not meant for the fill, mm (own estimate).
const MEANT: f64 = 3.0;
/// Nothing is followed deeper than this under an outline, mm.
const DEEP: f64 = 5.5;
/// Half the length of a drawn register mark, mm.
pub const MARK_MM: f64 = 4.0;

/// Where the register marks of a repeat stand: at its corners, the same on every stamp of the set.
pub fn register_marks([w, h]: [f64; 2]) -> [Point; 4] {
    [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]
}

/// Room that two stamps need which are set by hand, mm: 19 of 20 pairs stay within it in any one direction. Both slip, so
/// that the spread between them is the root of 2 times that of one.
pub fn room_for(hand: &HandError) -> f64 {
    2.0 * std::f64::consts::SQRT_2 * hand.x_mm.max(hand.y_mm)
}

/// How the edge of a fill stands to the outline beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meets {
    /// It lies under the outline.
    Lapped {
        /// Back to the outline's side within the fill, mm.
        within_mm: f64,
        /// On to its side outside the fill, mm.
        outside_mm: f64,
    },
    /// It keeps off.
    Channel {
        /// To the outline, mm.
        mm: f64,
    },
}

impl Meets {
    /// How far the fill may slip, in either direction across its edge, before it is seen, mm.
    pub fn room_mm(&self, visible: &Visible) -> f64 {
        match self {
            Self::Lapped {
                within_mm,
                outside_mm,
            } => (within_mm + visible.gap_mm).min(outside_mm + visible.leap_mm),
            Self::Channel { mm } => (mm - visible.gap_mm).max(0.0),
        }
    }
    /// What is seen if the fill moves outwards by `out_mm` here.
    fn misfit(&self, out_mm: f64, visible: &Visible) -> Option<Misfit> {
        match self {
            Self::Lapped { within_mm, .. } if -out_mm > within_mm + visible.gap_mm => Some(Misfit::Bare),
            Self::Lapped { outside_mm, .. } if out_mm > outside_mm + visible.leap_mm => Some(Misfit::Over),
            Self::Channel { mm } if mm - out_mm < visible.gap_mm => Some(Misfit::Over),
            _ => None,
        }
    }
}

/// What a slip between two stamps shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// Bare cloth between fill and outline.
    Bare,
    /// Fill beyond the outline, or a channel that wax has closed.
    Over,
}

/// A point of the fill's edge that has an outline beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sample {
    at: Point,
    /// Away from the fill, of length one.
    out: Point,
    meets: Meets,
}

/// A stretch of the fill's edge where little room is left, or where a misfit is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tight {
    /// Its middle, mm from the repeat's left top corner.
    pub at: Point,
    /// How long it is, mm.
    pub along_mm: f64,
    /// Least room on it before a slip is seen, mm.
    pub room_mm: f64,
    /// How the edge stands there.
    pub meets: Meets,
}

/// How many of the impressions tried show a misfit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Misfits {
    /// Pairs of impressions tried.
    pub tried: u32,
    /// Those with bare cloth between fill and outline.
    pub bare: u32,
    /// Those with fill beyond an outline or a closed channel.
    pub over: u32,
    /// Those with either.
    pub seen: u32,
}

impl Misfits {
    /// Share of impressions with a visible misfit.
    pub fn share(&self) -> f64 {
        f64::from(self.seen) / f64::from(self.tried.max(1))
    }
    /// Standard error of that share.
    pub fn error(&self) -> f64 {
        let p = self.share();
        (p * (1.0 - p) / f64::from(self.tried.max(1))).sqrt()
    }
}

/// An outline stamp and the stamp that fills it, on one lattice.
#[derive(Clone, Debug)]
pub struct Register {
    lattice: Lattice,
    outline: Area,
    fill: Area,
    /// Runs of neighbouring samples, one or more for each ring of the fill.
    runs: Vec<Vec<Sample>>,
    /// All of the fill's edge in a repeat, mm.
    edge_mm: f64,
}

impl Register {
    /// Follows the fill's edge through one repeat; impressions beside it count, on both stamps.
    pub fn of(outline: &Stamp, fill: &Stamp, layout: Layout) -> Self {
        let lattice = outline.lattice(layout);
        let cell = Bounds::sized(lattice.repeat_mm[0], lattice.repeat_mm[1]);
        let window = cell.grown(2.0 * DEEP);
        let pattern = |area: &Area| {
            let Some(reach) = area.bounds() else {
                return Area::empty();
            };
            let printed = |(i, j): &(i32, i32)| lattice.printed(*i, *j, area).clipped(&window);
            let parts: Vec<Area> = lattice.meeting(&window, &reach).iter().map(printed).collect();
            Area::union_of(&parts)
        };
        let (lines, filled) = (Mask::new(&pattern(outline.area())), pattern(fill.area()));
        let mut this = Self {
            lattice,
            outline: outline.area().clone(),
            fill: fill.area().clone(),
            runs: Vec::new(),
            edge_mm: 0.0,
        };
        for ring in filled.rings() {
            this.follow(ring, &cell, &lines);
        }
        this
    }

    fn follow(&mut self, ring: &[Point], cell: &Bounds, lines: &Mask) {
        let mut run = Vec::new();
        // What is left of the step when an edge ends.
        let mut ahead = STEP / 2.0;
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let d = [b[0] - a[0], b[1] - a[1]];
            let long = d[0].hypot(d[1]);
            while ahead < long {
                let at = [0, 1].map(|k| a[k] + d[k] * ahead / long);
                ahead += STEP;
                let inside = (0..2).all(|k| at[k] >= cell.low[k] && at[k] < cell.high[k]);
                // Outer rings run one way and holes the other, so that the fill is always on one side.
                let out = [d[1] / long, -d[0] / long];
                let found = inside.then(|| meets(lines, at, out)).flatten();
                self.edge_mm += if inside { STEP } else { 0.0 };
                match found {
                    Some(meets) => run.push(Sample { at, out, meets }),
                    None if !run.is_empty() => self.runs.push(std::mem::take(&mut run)),
                    None => {}
                }
            }
            ahead -= long;
        }
        if !run.is_empty() {
            self.runs.push(run);
        }
    }

    /// The lattice of both.
    pub const fn lattice(&self) -> &Lattice {
        &self.lattice
    }
    /// Edge of the fill in one repeat, and how much of it has an outline beside it, mm.
    pub fn edge_mm(&self) -> [f64; 2] {
        let beside = self.runs.iter().map(Vec::len).sum::<usize>() as f64 * STEP;
        [self.edge_mm, beside]
    }

    /// Stretches that leave less room than `least_mm`, the tightest first.
    pub fn tight(&self, least_mm: f64, visible: &Visible) -> Vec<Tight> {
        let mut all = self.places(|s| s.meets.room_mm(visible) < least_mm, visible);
        all.sort_by(|a, b| a.room_mm.total_cmp(&b.room_mm));
        all
    }

    /// How far the fill may slip in its worst direction before anything is seen, mm; none if no outline is near.
    pub fn room_mm(&self, visible: &Visible) -> Option<f64> {
        let room = |part: &[Sample]| {
            let all = part.iter().map(|s| s.meets.room_mm(visible));
            all.fold(0.0, f64::max)
        };
        let parts = self.runs.iter().flat_map(|run| run.windows(least_samples()));
        parts.map(room).min_by(f64::total_cmp)
    }

    /// Where a slip of the fill is seen, the outline standing where it should.
    pub fn slipped(&self, slip: &Slip, visible: &Visible) -> Vec<Tight> {
        let middle = self.lattice.repeat_mm.map(|r| r / 2.0);
        let (c, s) = (slip.angle.cos(), slip.angle.sin());
        let moved = |p: Point| {
            let d = [p[0] - middle[0], p[1] - middle[1]];
            [
                c * d[0] - s * d[1] - d[0] + slip.x_mm,
                s * d[0] + c * d[1] - d[1] + slip.y_mm,
            ]
        };
        self.places(|one| misfit(one, moved(one.at), visible).is_some(), visible)
    }

    /// Sets `tried` pairs by hand, each stamp of a pair by itself, and counts those with a visible misfit. `unit` is
    /// as for [`crate::impressions_on`].
    pub fn misfits(
        &self,
        error: &HandError,
        visible: &Visible,
        tried: u32,
        unit: impl Fn(i32, i32, u32) -> f32,
    ) -> Misfits {
        // The second stamp's numbers are those of a far column.
        const FAR: i32 = 1 << 20;
        let upright = Lattice {
            layout: Layout::Straight,
            ..self.lattice
        };
        let mut all = Misfits {
            tried,
            bare: 0,
            over: 0,
            seen: 0,
        };
        for k in 0..tried {
            let j = i32::try_from(k).unwrap_or(i32::MAX);
            let set = |i: i32| {
                let one = Impression::new(&upright, i, j, error, &unit);
                let corner = upright.corner(i, j);
                ([0, 1].map(|k| one.middle_mm[k] - corner[k]), one.turn)
            };
            let (outline, fill) = (set(0), set(FAR));
            let middle = self.lattice.repeat_mm.map(|r| r / 2.0);
            let place = |(to, [c, s]): (Point, [f64; 2]), p: Point| {
                let d = [p[0] - middle[0], p[1] - middle[1]];
                [to[0] + c * d[0] - s * d[1], to[1] + s * d[0] + c * d[1]]
            };
            let between = |p: Point| {
                let (a, b) = (place(outline, p), place(fill, p));
                [b[0] - a[0], b[1] - a[1]]
            };
            let [bare, over] = self.both(&between, visible);
            all.bare += u32::from(bare);
            all.over += u32::from(over);
            all.seen += u32::from(bare || over);
        }
        all
    }

    /// Whether bare cloth is seen, and whether fill is, where every point of the fill moves by `by`.
    fn both(&self, by: &impl Fn(Point) -> Point, visible: &Visible) -> [bool; 2] {
        let mut seen = [false; 2];
        for run in &self.runs {
            let mut long = [0usize; 2];
            for one in run {
                let found = misfit(one, by(one.at), visible);
                for (k, kind) in [Misfit::Bare, Misfit::Over].into_iter().enumerate() {
                    long[k] = if found == Some(kind) { long[k] + 1 } else { 0 };
                    seen[k] |= long[k] >= least_samples();
                }
            }
            if seen == [true; 2] {
                break;
            }
        }
        seen
    }

    /// Stretches of samples that are all of a kind and long enough to be seen.
    fn places(&self, of_kind: impl Fn(&Sample) -> bool, visible: &Visible) -> Vec<Tight> {
        let stretches = self
            .runs
            .iter()
            .flat_map(|run| run.chunk_by(|a, b| of_kind(a) == of_kind(b)))
            .filter(|part| part.len() >= least_samples() && part.first().is_some_and(&of_kind));
        stretches
            .filter_map(|part| {
                let room = |s: &&Sample| s.meets.room_mm(visible);
                let least = part.iter().min_by(|a, b| room(a).total_cmp(&room(b)))?;
                Some(Tight {
                    at: part[part.len() / 2].at,
                    along_mm: part.len() as f64 * STEP,
                    room_mm: room(&least),
                    meets: least.meets,
                })
            })
            .collect()
    }

    /// What the maker and the designer should know, if the hand needs `least_mm` of room: one finding for all places.
    pub fn findings(&self, least_mm: f64, visible: &Visible) -> Vec<Finding> {
        let [_, beside] = self.edge_mm();
        let Some(first) = self.tight(least_mm, visible).first().copied() else {
            return Vec::new();
        };
        let tight: f64 = self.tight(least_mm, visible).iter().map(|t| t.along_mm).sum();
        vec![
            Finding::new(
                "register-tight",
                Weight::Doubtful,
                spot(first.at),
                say!(
                    "The fill may slip {room} against its outline before it is seen; {p} % of their common edge leave less than the hand needs.",
                    "Isian hanya boleh bergeser {room} dari garis tepinya sebelum tampak; {p} persen tepi bersama kurang dari yang diperlukan tangan.",
                    room = mm(first.room_mm),
                    p = Arg::Number((100.0 * tight / beside).ceil(), 0)
                ),
            )
            .allow(say!(
                "{least} or more.",
                "{least} atau lebih.",
                least = mm(least_mm)
            ))
            .remedy(say!(
                "Let the fill reach farther under the outline, or make the outline wider.",
                "Masukkan isian lebih jauh ke bawah garis tepi, atau lebarkan garis tepinya."
            )),
        ]
    }
}

fn least_samples() -> usize {
    (SEEN_ALONG_MM / STEP).round() as usize
}

fn misfit(one: &Sample, by: Point, visible: &Visible) -> Option<Misfit> {
    one.meets.misfit(by[0] * one.out[0] + by[1] * one.out[1], visible)
}

/// How the fill's edge at a point stands to the outlines; none if there is none near.
fn meets(lines: &Mask, at: Point, out: Point) -> Option<Meets> {
    let wax = |mm: f64| f64::from(lines.distance((at[0] + mm * out[0]) as f32, (at[1] + mm * out[1]) as f32));
    // From the point along its normal to where wax begins or ends: no step is longer than the distance to an edge.
    let change = |way: f64, most: f64| {
        let inside = wax(0.0) > 0.0;
        let mut far = 0.0;
        while far < most {
            let d = wax(way * far);
            if (d > 0.0) != inside {
                return far;
            }
            far += d.abs().max(0.01);
        }
        f64::INFINITY
    };
    if wax(0.0) > 0.0 {
        return Some(Meets::Lapped {
            within_mm: change(-1.0, DEEP).min(DEEP),
            outside_mm: change(1.0, DEEP).min(DEEP),
        });
    }
    let mm = change(1.0, MEANT);
    (mm <= MEANT).then_some(Meets::Channel { mm })
}
