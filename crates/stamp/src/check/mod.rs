//! Whether a drawing can be bent from copper strip, and what is left of it on the cloth.
//!
//! A line is too thin, or a gap too narrow, where a stretch of outline has no room for a disc of the least width
//! (see [`Medial`]) and does not merely run out into a point or a notch: of those the last four widths may be as
//! thin as they like, copper ends there and wax rounds it off. The other rules look at bends, pieces, joints, and
//! the stamp as a whole.

mod bends;
mod findings;
pub(crate) mod picture;
mod pieces;
mod whole;
mod widths;

use crate::area::{Area, Point};
use crate::copper::Build;
use crate::limits::{Limit, Limits};
use crate::medial::{Medial, Stretch};
use std::collections::HashMap;
use words::Weight;

pub(crate) use picture::{Labels, path_data};
pub(crate) use pieces::middle;

/// What can be wrong with a drawing as a stamp.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BuildRule {
    /// A line that copper cannot print.
    ThinLine,
    /// A line of which the bleach leaves too little.
    LostLine,
    /// A point that is too thin for too long.
    LongPoint,
    /// A gap that wax fills.
    NarrowGap,
    /// A notch that is too narrow for too long.
    LongNotch,
    /// A piece smaller than the smallest pin.
    Speck,
    /// A bend that strip does not take.
    TightBend,
    /// A strip too short to hold.
    ShortPiece,
    /// A piece too far from any other.
    LonePiece,
    /// Joints too near one another.
    CrowdedJoints,
    /// A line between one strip and two.
    BetweenStrips,
    /// A solid part that needs inner strips.
    WideFill,
    /// Wider than the cloth.
    WiderThanCloth,
    /// Too large to handle.
    Unhandy,
    /// Too heavy.
    Heavy,
    /// Smaller than the foot of its handle.
    SmallForHandle,
    /// Its copper lies off the middle.
    OffBalance,
}

impl BuildRule {
    /// How much it weighs.
    pub const fn weight(self) -> Weight {
        match self {
            Self::WiderThanCloth => Weight::Wrong,
            Self::WideFill | Self::BetweenStrips | Self::SmallForHandle | Self::OffBalance => Weight::Note,
            _ => Weight::Doubtful,
        }
    }
    /// Whether changing the drawing, not its size, is the cure.
    pub const fn drawn(self) -> bool {
        (self as u8) <= Self::CrowdedJoints as u8
    }
}

/// One place that breaks a rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Its number on the picture and in the list, from 1.
    pub number: usize,
    /// Which rule.
    pub rule: BuildRule,
    /// Where, mm from the repeat's top left corner.
    pub at: Point,
    /// What was measured: mm, or kg for [`BuildRule::Heavy`], share of the side for [`BuildRule::OffBalance`].
    pub measured: f64,
    /// What is allowed, in the same unit.
    pub limit: f64,
    /// What it is about, to be drawn: a piece of outline or axis, mm; empty for the stamp as a whole.
    pub trace: Vec<Point>,
    pub(crate) stretch: Option<Stretch>,
}

impl Fault {
    fn new(rule: BuildRule, at: Point, measured: f64, limit: f64) -> Self {
        Self {
            number: 0,
            rule,
            at,
            measured,
            limit,
            trace: Vec::new(),
            stretch: None,
        }
    }
    fn along(mut self, trace: impl IntoIterator<Item = Point>) -> Self {
        self.trace = trace.into_iter().collect();
        self
    }
    const fn on(mut self, stretch: Stretch) -> Self {
        self.stretch = Some(stretch);
        self
    }
}

/// What a check found. Made by [`crate::Stamp::report`].
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// The drawing that was checked.
    pub area: Area,
    /// Width and height of the repeat, mm.
    pub repeat_mm: [f64; 2],
    /// The limits that it was checked against.
    pub limits: Limits,
    /// Every fault, the heaviest rules first, numbered from 1.
    pub faults: Vec<Fault>,
    /// What it takes to build.
    pub build: Build,
    /// Pieces that do not hang together.
    pub pieces: usize,
    /// Thinnest line, mm, points left out; none if all are wide.
    pub thinnest_line_mm: Option<f64>,
    /// Narrowest gap, mm, notches left out; none if all are wide.
    pub narrowest_gap_mm: Option<f64>,
    pub(crate) wax: Medial,
    pub(crate) bare: Medial,
}

impl Report {
    /// Checks wax on cloth of this width, mm.
    pub(crate) fn of(area: &Area, repeat_mm: [f64; 2], build: Build, limits: &Limits, cloth_mm: f64) -> Self {
        Self::seen(area, repeat_mm, build, limits, cloth_mm, Medial::of(area))
    }

    /// [`Report::of`] with the area as seen from both sides.
    pub(crate) fn seen(
        area: &Area,
        repeat_mm: [f64; 2],
        build: Build,
        limits: &Limits,
        cloth_mm: f64,
        [wax, bare]: [Medial; 2],
    ) -> Self {
        let mut faults = Vec::new();
        let specks = pieces::specks(area, limits, &mut faults);
        let thin = widths::lines(&wax, limits, &specks, &mut faults);
        let narrow = widths::gaps(&bare, limits, &mut faults);
        widths::between_strips(&wax, limits, &mut faults);
        bends::tight(area, &wax, limits, &mut faults);
        let known = pieces::Pieces::of(area, &wax, &bare);
        known.short(limits, &specks, &mut faults);
        known.alone(limits, &mut faults);
        known.wide(limits, &mut faults);
        pieces::crowded(&wax, limits, &mut faults);
        whole::check(area, repeat_mm, &build, limits, cloth_mm, &mut faults);
        faults.sort_by(|a, b| {
            let key = |f: &Fault| (std::cmp::Reverse(f.rule.weight()), f.rule);
            key(a).cmp(&key(b)).then(a.measured.total_cmp(&b.measured))
        });
        for (k, fault) in faults.iter_mut().enumerate() {
            fault.number = k + 1;
        }
        Self {
            area: area.clone(),
            repeat_mm,
            limits: limits.clone(),
            faults,
            build,
            pieces: area.shapes().len(),
            thinnest_line_mm: thin,
            narrowest_gap_mm: narrow,
            wax,
            bare,
        }
    }

    /// Whether a stamp maker can build it as drawn: nothing about the drawing itself is doubtful or wrong. Size
    /// and weight are another matter.
    pub fn buildable(&self) -> bool {
        self.faults.iter().all(|f| !f.rule.drawn())
    }
    /// Faults of one rule.
    pub fn count(&self, rule: BuildRule) -> usize {
        self.faults.iter().filter(|f| f.rule == rule).count()
    }
    fn limit(&self, limit: Limit) -> f64 {
        self.limits.mm(limit)
    }
}

/// Places already told, so that the two sides of a gap are one fault.
struct Told {
    apart: f64,
    cells: HashMap<(i64, i64), Vec<Point>>,
}

impl Told {
    fn apart(mm: f64) -> Self {
        Self {
            apart: mm.max(1e-3),
            cells: HashMap::new(),
        }
    }
    /// Whether nothing was told within the distance; remembers it if so.
    fn new_place(&mut self, p: Point) -> bool {
        let cell = |k: usize| (p[k] / self.apart).floor() as i64;
        let (x, y) = (cell(0), cell(1));
        let known = (x - 1..=x + 1)
            .flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)))
            .filter_map(|c| self.cells.get(&c))
            .flatten()
            .any(|q| (q[0] - p[0]).hypot(q[1] - p[1]) < self.apart);
        if !known {
            self.cells.entry((x, y)).or_default().push(p);
        }
        !known
    }
}
