//! A drawing made buildable: small changes, each of which can be kept or refused.
//!
//! Changes are found in rounds. Each round checks the drawing as it then stands and cures every fault by the
//! change that moves the least surface; what a cure spoils nearby, the next round finds. Where a gap was opened
//! in vain it is closed instead.

mod cures;
mod parts;
mod picture;
mod shapes;

use crate::area::{Area, Bounds, Point, Rule};
use crate::check::{BuildRule, Report};
use crate::limits::Limits;
use crate::mask::Mask;
use crate::medial::Medial;
use crate::stamp::Stamp;
use crate::strips::StripPlan;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use words::{Arg, Line, Text, say, text};

/// Rounds after which what is left is left to the designer.
const ROUNDS: usize = 16;
/// Rounds one after the other that leave nine of ten faults: what then is left is left to the designer, too.
const STUCK: usize = 4;
/// Changes of less surface than this are none, mm2.
const NOTHING: f64 = 1e-4;
/// Changes are one where they come within twice this, mm.
const TOUCH: f64 = 0.75;

/// What is done to the drawing at one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cure {
    /// A line is made as wide as it must be.
    Thicken,
    /// A gap is made as wide as it must be.
    Open,
    /// A gap is filled: the lines beside it become one.
    Close,
    /// A piece is left out.
    Drop,
    /// A dot is made as large as a pin.
    Grow,
    /// A bend is rounded.
    Round,
    /// A short strip is made longer.
    Lengthen,
    /// A piece is joined to its neighbour.
    Bridge,
    /// Two joints become one.
    Join,
}

impl Cure {
    /// Its name.
    pub const fn text(self) -> &'static Text {
        match self {
            Self::Thicken => text!("Line thickened", "Garis ditebalkan"),
            Self::Open => text!("Gap opened", "Celah dilebarkan"),
            Self::Close => text!("Gap closed", "Celah ditutup"),
            Self::Drop => text!("Speck left out", "Bintik dihilangkan"),
            Self::Grow => text!("Dot enlarged", "Titik diperbesar"),
            Self::Round => text!("Bend rounded", "Lengkung dibulatkan"),
            Self::Lengthen => text!("Strip lengthened", "Bilah dipanjangkan"),
            Self::Bridge => text!("Bridge added", "Jembatan ditambah"),
            Self::Join => text!("Joints made one", "Sambungan disatukan"),
        }
    }
    /// Stable key.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Thicken => "thicken",
            Self::Open => "open",
            Self::Close => "close",
            Self::Drop => "drop",
            Self::Grow => "grow",
            Self::Round => "round",
            Self::Lengthen => "lengthen",
            Self::Bridge => "bridge",
            Self::Join => "join",
        }
    }
}

/// One change: everything that is done at one place, so that it can be kept or refused as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Its number, from 1; the same drawing under the same limits gives the same numbers.
    pub id: usize,
    /// What is done first.
    pub cure: Cure,
    /// Which rule asked for it.
    pub rule: BuildRule,
    /// Where, mm from the repeat's top left corner.
    pub at: Point,
    /// What was measured there before and what is allowed, mm.
    pub measured: [f64; 2],
    /// Wax that is added.
    pub added: Area,
    /// Wax that is taken away.
    pub removed: Area,
    /// Whether it is part of the result.
    pub kept: bool,
    steps: Vec<Step>,
}

/// One stroke of a change.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    /// What is laid over the drawing to add, and to take away. They overlap what is there: parts that only touch
    /// would leave a seam as fine as a rounding error.
    brush: [Area; 2],
    round: usize,
}

impl Change {
    /// Surface that changes, mm2.
    pub fn mm2(&self) -> f64 {
        self.added.mm2() + self.removed.mm2()
    }
}

/// A buildable version of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The check of the drawing as it was.
    pub before: Report,
    /// The changes in the order in which they are made.
    pub changes: Vec<Change>,
    /// The check of the drawing with all kept changes.
    pub after: Report,
    limits: Limits,
    cloth_mm: f64,
}

impl Proposal {
    /// Finds the changes that make a stamp buildable under these limits, for cloth of this width (mm).
    /// [`Report::buildable`] of `after` says whether it succeeded.
    pub fn of(stamp: &Stamp, limits: &Limits, cloth_mm: f64) -> Self {
        Self::told(stamp, limits, cloth_mm, &|_| true)
    }

    /// [`Proposal::of`] that says how far it is, 0..1, and is told whether to go on; most drawings need fewer rounds
    /// than are allowed. Stopped, it holds what the rounds until then found.
    pub fn told(stamp: &Stamp, limits: &Limits, cloth_mm: f64, go_on: &dyn Fn(f64) -> bool) -> Self {
        let before = stamp.report(limits, cloth_mm);
        let mut changes: Vec<Change> = Vec::new();
        let mut report = before.clone();
        let mut stuck = 0;
        // What was tried at a place was tried on another drawing than the one that has come of it since: where that leads
        // no further, the place is looked at once more as if it were new.
        let mut before_again: Option<(usize, Report)> = None;
        for round in 0..ROUNDS {
            if !go_on((round + 1) as f64 / (ROUNDS + 2) as f64) {
                break;
            }
            let known = before_again.as_ref().map_or(0, |(known, _)| *known);
            let found = cures::round(&report, limits, changes.get(known..).unwrap_or(&[]));
            let found: Vec<Change> = found.into_iter().filter(|c| c.mm2() > NOTHING).collect();
            if found.is_empty() || stuck >= STUCK {
                if before_again.is_some() || drawn(&report) == 0 {
                    break;
                }
                before_again = Some((changes.len(), report.clone()));
                stuck = 0;
                continue;
            }
            for mut change in found {
                change.steps.iter_mut().for_each(|step| step.round = round);
                changes.push(change);
            }
            let now = changes.iter().flat_map(|c| &c.steps).filter(|s| s.round == round);
            let area = applied(&report.area, now);
            let left = drawn(&report);
            report = Report::of(&area, before.repeat_mm, before.build, limits, cloth_mm);
            stuck = if drawn(&report) * 10 > left * 9 {
                stuck + 1
            } else {
                0
            };
        }
        // A second look that cured nothing has changed the drawing for nothing.
        if let Some((known, at_first)) = before_again
            && drawn(&report) >= drawn(&at_first)
        {
            changes.truncate(known);
            report = at_first;
        }
        go_on((ROUNDS + 1) as f64 / (ROUNDS + 2) as f64);
        let changes = gathered(changes, &before.area);
        let after = weighed(
            report.area,
            [report.wax, report.bare],
            before.repeat_mm,
            limits,
            cloth_mm,
        );
        Self {
            before,
            changes,
            after,
            limits: limits.clone(),
            cloth_mm,
        }
    }

    /// The same proposal without some of its changes; numbers that are no change are left alone. What is refused
    /// stays as drawn, and `after` says what that breaks.
    #[must_use]
    pub fn refusing(&self, ids: &[usize]) -> Self {
        let refused: BTreeSet<usize> = ids.iter().copied().collect();
        let mut proposal = self.clone();
        for change in &mut proposal.changes {
            change.kept = !refused.contains(&change.id);
        }
        proposal.settle();
        proposal
    }

    /// The drawing with all kept changes, mm.
    pub const fn area(&self) -> &Area {
        &self.after.area
    }
    /// The stamp of it.
    pub fn stamp(&self) -> Stamp {
        Stamp::of_area(self.after.area.clone(), self.before.repeat_mm)
    }
    /// Surface that differs between before and after, mm2.
    pub fn changed_mm2(&self) -> f64 {
        let (a, b) = (&self.before.area, &self.after.area);
        // An empty sum is -0.0, which would be printed with its sign.
        a.without(b).mm2() + b.without(a).mm2() + 0.0
    }

    /// What it comes to, in two sentences.
    pub fn sum(&self) -> [Line; 2] {
        let kept = self.changes.iter().filter(|c| c.kept).count();
        let left = self.after.faults.iter().filter(|f| f.rule.drawn()).count();
        let n = |n: usize| Arg::Number(n as f64, 0);
        let comes = match (left, kept) {
            (0, 1) => say!(
                "With one change it can be built.",
                "Dengan satu perubahan cap bisa dibuat."
            ),
            (0, _) => say!(
                "With {kept} changes it can be built.",
                "Dengan {kept} perubahan cap bisa dibuat.",
                kept = n(kept)
            ),
            (1, _) => say!(
                "With {kept} of {all} changes kept, one place still cannot be built.",
                "Dengan {kept} dari {all} perubahan diterima, satu tempat belum bisa dibuat.",
                kept = n(kept),
                all = n(self.changes.len())
            ),
            _ => say!(
                "With {kept} of {all} changes kept, {left} places still cannot be built.",
                "Dengan {kept} dari {all} perubahan diterima, {left} tempat belum bisa dibuat.",
                kept = n(kept),
                all = n(self.changes.len()),
                left = n(left)
            ),
        };
        let (before, after) = (self.before.area.mm2(), self.after.area.mm2());
        let share = self.changed_mm2() / before.max(f64::MIN_POSITIVE);
        // Of lines far too thin, more changes than there was: a share would say little.
        let wax = if share > 1.0 {
            say!(
                "Wax was {before} mm2 of the repeat and becomes {after} mm2.",
                "Malam {before} mm2 dari ulangan menjadi {after} mm2.",
                before = Arg::Number(before, 0),
                after = Arg::Number(after, 0)
            )
        } else {
            say!(
                "{share} % of the wax changes.",
                "{share} % malam berubah.",
                share = Arg::Number(100.0 * share, 1)
            )
        };
        [comes, wax]
    }

    fn settle(&mut self) {
        let kept: Vec<&Step> = self
            .changes
            .iter()
            .filter(|c| c.kept)
            .flat_map(|c| &c.steps)
            .collect();
        let area = stroked(&self.before.area, &kept);
        let sides = Medial::of(&area);
        self.after = weighed(area, sides, self.before.repeat_mm, &self.limits, self.cloth_mm);
    }
}

/// The check of an area that was seen from both sides, with the copper that it takes.
fn weighed(area: Area, sides: [Medial; 2], repeat_mm: [f64; 2], limits: &Limits, cloth_mm: f64) -> Report {
    let plan = StripPlan::without_labels(&area, &sides[0], &Mask::new(&area), limits);
    let build = plan.build(&area, limits);
    Report::seen(&area, repeat_mm, build, limits, cloth_mm, sides)
}

/// Faults that a change of the drawing may cure.
fn drawn(report: &Report) -> usize {
    report.faults.iter().filter(|f| f.rule.drawn()).count()
}

/// Changes that touch one another as one, numbered; what each adds and takes away is what comes of all its strokes.
fn gathered(all: Vec<Change>, drawing: &Area) -> Vec<Change> {
    let places: Vec<Area> = all
        .par_iter()
        .map(|change| {
            let brushes: Vec<Area> = change.steps.iter().flat_map(|s| s.brush.clone()).collect();
            Area::union_of(&brushes).grown(TOUCH)
        })
        .collect();
    let inside: Vec<Vec<Point>> = all
        .iter()
        .map(|c| {
            c.steps
                .iter()
                .flat_map(|s| &s.brush)
                .flat_map(Area::shapes)
                .filter_map(|s| s.first()?.first().copied())
                .collect()
        })
        .collect();
    let group = groups(&places, &inside);
    let mut joined: BTreeMap<usize, Vec<Change>> = BTreeMap::new();
    for (change, group) in all.into_iter().zip(group) {
        joined.entry(group).or_default().push(change);
    }
    let one = |changes: Vec<Change>| {
        let mut changes = changes.into_iter();
        let mut first = changes.next()?;
        first.steps.extend(changes.flat_map(|c| c.steps));
        let brushes = first.steps.iter().flat_map(|s| &s.brush);
        let around = brushes.filter_map(Area::bounds).reduce(|a, b| a.with(&b))?;
        let before = drawing.clipped(&around.grown(TOUCH));
        let after = stroked(&before, &first.steps.iter().collect::<Vec<_>>());
        (first.added, first.removed) = (after.without(&before), before.without(&after));
        Some(first)
    };
    let mut changes: Vec<Change> = joined
        .into_values()
        .collect::<Vec<_>>()
        .into_par_iter()
        .filter_map(one)
        .collect();
    // Down the drawing in bands, as one reads.
    let band = |c: &Change| (c.at[1] / 25.0).floor();
    changes.sort_by(|a, b| band(a).total_cmp(&band(b)).then(a.at[0].total_cmp(&b.at[0])));
    for (k, change) in changes.iter_mut().enumerate() {
        change.id = k + 1;
    }
    changes
}

/// For each place a number that those share which hang together. `inside` has points of all parts of each place.
fn groups(places: &[Area], inside: &[Vec<Point>]) -> Vec<usize> {
    let all = Area::union_of(places);
    let shapes: Vec<(Bounds, Area)> = all
        .shapes()
        .iter()
        .map(|shape| Area::filled(shape, Rule::EvenOdd))
        .filter_map(|one| Some((one.bounds()?, one)))
        .collect();
    let holds = |p: Point| {
        let spot = Bounds { low: p, high: p };
        shapes
            .iter()
            .position(|(around, shape)| around.meets(&spot) && shape.holds(p))
    };
    let met: Vec<BTreeSet<usize>> = inside
        .par_iter()
        .map(|points| points.iter().filter_map(|p| holds(*p)).collect())
        .collect();
    // A place in two parts joins what both hang together with.
    let mut of: Vec<usize> = (0..shapes.len()).collect();
    for parts in &met {
        let least = parts.iter().map(|k| of[*k]).min();
        let joined: Vec<usize> = parts.iter().map(|k| of[*k]).collect();
        for group in &mut of {
            if let Some(least) = least.filter(|_| joined.contains(group)) {
                *group = least;
            }
        }
    }
    let own = |(k, parts): (usize, &BTreeSet<usize>)| parts.first().map_or(shapes.len() + k, |s| of[*s]);
    met.iter().enumerate().map(own).collect()
}

/// An area after the strokes of all rounds, one round after the other.
fn stroked(area: &Area, steps: &[&Step]) -> Area {
    (0..ROUNDS).fold(area.clone(), |area, round| {
        applied(&area, steps.iter().copied().filter(|s| s.round == round))
    })
}

/// An area after strokes made at once: all that is added, then all that is taken away.
fn applied<'s>(area: &Area, steps: impl Iterator<Item = &'s Step> + Clone) -> Area {
    let brushes = |side: usize| -> Vec<Area> {
        let all = steps.clone().map(|s| s.brush[side].clone());
        all.filter(|brush| !brush.is_empty()).collect()
    };
    let (added, removed) = (brushes(0), brushes(1));
    if added.is_empty() && removed.is_empty() {
        return area.clone();
    }
    let mut area = area.clone();
    if !added.is_empty() {
        area = area.union(&Area::union_of(&added));
    }
    if !removed.is_empty() {
        area = area.without(&Area::union_of(&removed));
    }
    area.dusted()
}
