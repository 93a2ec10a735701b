//! What an operation is: its static [`Kind`] and its readings ([`Operation`]).

use crate::{Constant, Design, LotShape, Means, Package, Patch, Setting, Takes, Values, Workshop};
use field::{Grid, Lattice, Seed};
use std::sync::Arc;
use units::{Length, Measure, Span};
use words::{Finding, Line, Term, Text};

/// The static side of an operation: file syntax, forms, help and unknown-key hints all come from this table.
pub struct Kind {
    /// Key in files and file name of the module.
    pub key: &'static str,
    /// Name and gloss.
    pub term: Term,
    /// Raised when the physics changes.
    pub model: u32,
    /// Its settings.
    pub settings: &'static [Setting],
    /// Its constants.
    pub constants: &'static [Constant],
    /// How it can hurt, and what to do about it.
    pub cautions: &'static [Caution],
    /// What the floor writes down.
    pub asks: &'static [Ask],
    /// The setting that a window may sweep.
    pub timed: Option<&'static str>,
    /// Makes the operation from complete settings.
    pub make: fn(Values) -> Arc<dyn Operation>,
}

/// A caution: what can hurt, and the usual care. Local codes and licensed practice come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Class, for tests: every class met by a route appears on its card.
    pub code: &'static str,
    /// The words.
    pub text: Text,
}

/// Something the floor writes down while working.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    /// What.
    pub term: Term,
    /// In which kind of quantity.
    pub measure: Measure,
}

/// Least, likely and most duration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Work {
    /// Shortest.
    pub least: Span,
    /// Most likely.
    pub likely: Span,
    /// Longest.
    pub most: Span,
}

impl Work {
    /// From minutes.
    pub const fn minutes(least: f64, likely: f64, most: f64) -> Self {
        Self {
            least: Span::minutes(least),
            likely: Span::minutes(likely),
            most: Span::minutes(most),
        }
    }
}

/// Someone or something that is busy during an occupancy.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// Key of a station, vessel or role of the workshop; a stamp is `stamp:<id>`.
    pub what: String,
    /// How many.
    pub count: u32,
    /// From this time after the start.
    pub from: Span,
    /// Until this time after the start; `None` to the end.
    pub to: Option<Span>,
}

impl Use {
    /// One of something for the whole time.
    pub fn whole(what: &str) -> Self {
        Self {
            what: what.to_string(),
            count: 1,
            from: Span(0.0),
            to: None,
        }
    }
    /// Several of something for the whole time.
    pub fn several(what: &str, count: u32) -> Self {
        Self {
            count,
            ..Self::whole(what)
        }
    }
}

/// Time between the end of one occupancy and the start of the next of the same bolt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lag {
    /// At least.
    pub least: Span,
    /// At most.
    pub most: Option<Span>,
}

impl Lag {
    /// The next may start at once and may wait for ever.
    pub const FREE: Self = Self {
        least: Span(0.0),
        most: None,
    };
}

/// A vessel that takes several bolts at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// Key of the vessel.
    pub vessel: String,
    /// Cloth it takes, running length.
    pub capacity: Length,
}

/// One task of the planner.
#[derive(Clone, Debug, PartialEq)]
pub struct Occupancy {
    /// What is done.
    pub term: &'static Term,
    /// Who and what is busy.
    pub uses: Vec<Use>,
    /// How long, per bolt (or per load of a batch).
    pub work: Work,
    /// Calendar of the workshop in which it must lie ("shop", "table", "sun", "fire").
    pub calendar: &'static str,
    /// May it be left over a break or a night and taken up again?
    pub may_pause: bool,
    /// Vessel that takes several bolts at once.
    pub batch: Option<Batch>,
    /// For a dye barrel: 0 light .. 5 dark; orders its cleaning.
    pub darkness: Option<f32>,
    /// What must hold before the next occupancy starts.
    pub then: Lag,
}

/// What the floor does.
#[derive(Clone, Debug, PartialEq)]
pub struct Instructions {
    /// Numbered lines.
    pub lines: Vec<Line>,
    /// How one sees that it is done.
    pub done_when: Line,
}

/// A coarse look at the cloth so far. Declared here, given by whoever can develop cloth.
pub trait Look {
    /// Dye on the cloth (loose, spent and fast together, g/kg) averaged over square cells of the whole bolt.
    fn dye(&self, cell_mm: f64) -> Grid;
}

/// What an operation meets.
pub struct Before<'a> {
    /// The design.
    pub design: &'a Design,
    /// Place of this step in the route.
    pub at: usize,
    /// The bolt averaged, before this step.
    pub means: &'a Means,
    /// The lot and the bolt.
    pub lot: &'a LotShape,
    /// The workshop.
    pub shop: &'a Workshop,
    /// Seed of this step on this bolt: (lot, bolt, step id).
    pub seed: Seed,
    /// The package, while the cloth is folded.
    pub package: Option<&'a Arc<Package>>,
    /// A look at the cloth so far.
    pub look: &'a dyn Look,
}

/// How far an operation looks around a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Not at all.
    Point,
    /// It spreads over so many samples of the millimetre lattice, across (x) and along (y).
    Spread {
        /// Across the width.
        rx: u32,
        /// Along the length.
        ry: u32,
    },
}

/// What an operation does to the package.
#[derive(Clone, Debug)]
pub enum Fold {
    /// Leaves it as it is.
    Same,
    /// Opens the cloth.
    Open,
    /// Packs it.
    Packed(Arc<Package>),
}

/// Everything an operation decides over the whole bolt, made once and shared read-only by all tiles.
pub trait Hand: Send + Sync {
    /// How far [`Hand::act`] looks, on this millimetre lattice.
    fn reach(&self, _milli: Lattice) -> Reach {
        Reach::Point
    }
    /// Changes the cloth of one tile. Planes cover `patch.need` afterwards.
    fn act(&self, patch: &mut Patch);
    /// What it does to the package.
    fn fold(&self) -> Fold {
        Fold::Same
    }
}

/// The readings of an operation with its settings.
pub trait Operation: Send + Sync {
    /// Its static side.
    fn kind(&self) -> &'static Kind;
    /// Its settings.
    fn values(&self) -> &Values;
    /// Findings about these settings at this place of the route.
    fn examine(&self, before: &Before) -> Vec<Finding>;
    /// The bolt averaged: changes the means and says what was taken and where it went, per bolt.
    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes;
    /// How many times its mean over the bolt one of its dyes lies where it lies by itself: 1 for what dyes evenly.
    fn gathers(&self) -> f64 {
        1.0
    }
    /// Everything decided over the whole bolt.
    fn hand(&self, before: &Before) -> Arc<dyn Hand>;
    /// Tasks for the planner, per bolt. `means` is the state before.
    fn occupies(&self, means: &Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Occupancy>;
    /// What the floor does. `takes` is the answer of [`Operation::tally`].
    fn instructs(&self, takes: &Takes, design: &Design, lot: &LotShape, shop: &Workshop) -> Instructions;
}
