//! A drawing made buildable: small changes, each of which can be kept or refused.
//!
//! Changes are found in rounds. Each round checks the drawing as it then stands and cures every fault by the
//! change that moves the least surface; what a cure spoils nearby, the next round finds. Where a gap was opened
//! in vain it is closed instead.

mod cures;
mod picture;
mod shapes;

use crate::area::{Area, Point};
use crate::check::{BuildRule, Report};
use crate::limits::Limits;
use crate::stamp::Stamp;
use std::collections::BTreeSet;
use words::{Text, text};

/// Rounds after which what is left is left to the designer.
const ROUNDS: usize = 12;
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
        for round in 0..ROUNDS {
            if !go_on((round + 1) as f64 / (ROUNDS + 2) as f64) {
                break;
            }
            let found = cures::round(&report, limits, &changes);
            let found: Vec<Change> = found.into_iter().filter(|c| c.mm2() > NOTHING).collect();
            if found.is_empty() {
                break;
            }
            for mut change in found {
                change.steps.iter_mut().for_each(|step| step.round = round);
                changes.push(change);
            }
            let now = changes.iter().flat_map(|c| &c.steps).filter(|s| s.round == round);
            let area = applied(&report.area, now);
            report = Report::of(&area, before.repeat_mm, before.build, limits, cloth_mm);
        }
        go_on((ROUNDS + 1) as f64 / (ROUNDS + 2) as f64);
        let changes = gathered(changes);
        let mut proposal = Self {
            before,
            changes,
            after: report,
            limits: limits.clone(),
            cloth_mm,
        };
        proposal.settle();
        proposal
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

    fn settle(&mut self) {
        let mut area = self.before.area.clone();
        for round in 0..ROUNDS {
            let kept = self.changes.iter().filter(|c| c.kept).flat_map(|c| &c.steps);
            area = applied(&area, kept.filter(|s| s.round == round));
        }
        let stamp = Stamp::of_area(area, self.before.repeat_mm);
        self.after = stamp.report(&self.limits, self.cloth_mm);
    }
}

/// Changes that touch one another as one, numbered.
fn gathered(all: Vec<Change>) -> Vec<Change> {
    let mut places: Vec<(Area, Vec<Change>)> = Vec::new();
    for change in all {
        let own = Area::union_of(
            &change
                .steps
                .iter()
                .flat_map(|s| s.brush.clone())
                .collect::<Vec<_>>(),
        )
        .grown(TOUCH);
        let meets = |other: &Area| {
            let near = own.bounds().zip(other.bounds()).is_some_and(|(a, b)| a.meets(&b));
            near && !own.common(other).is_empty()
        };
        let (near, far): (Vec<_>, Vec<_>) = places.into_iter().partition(|(place, _)| meets(place));
        places = far;
        let mut joined = (own, Vec::new());
        for (place, changes) in near {
            joined.0 = joined.0.union(&place);
            joined.1.extend(changes);
        }
        joined.1.push(change);
        places.push(joined);
    }
    let one = |(_, changes): (Area, Vec<Change>)| {
        let mut changes = changes.into_iter();
        let mut first = changes.next()?;
        for next in changes {
            first.added = first.added.union(&next.added).without(&next.removed);
            first.removed = first.removed.union(&next.removed).without(&next.added);
            first.steps.extend(next.steps);
        }
        Some(first)
    };
    let mut changes: Vec<Change> = places.into_iter().filter_map(one).collect();
    // Down the drawing in bands, as one reads.
    let band = |c: &Change| (c.at[1] / 25.0).floor();
    changes.sort_by(|a, b| band(a).total_cmp(&band(b)).then(a.at[0].total_cmp(&b.at[0])));
    for (k, change) in changes.iter_mut().enumerate() {
        change.id = k + 1;
    }
    changes
}

/// An area after strokes made at once: all that is added, then all that is taken away.
fn applied<'s>(area: &Area, steps: impl Iterator<Item = &'s Step> + Clone) -> Area {
    let brushes = |side: usize| -> Vec<Area> {
        let all = steps.clone().map(|s| s.brush[side].clone());
        all.filter(|brush| !brush.is_empty()).collect()
    };
    let (added, removed) = (brushes(0), brushes(1));
    let mut area = area.clone();
    if !added.is_empty() {
        area = area.union(&Area::union_of(&added));
    }
    if !removed.is_empty() {
        area = area.without(&Area::union_of(&removed));
    }
    area
}
