//! What every operation module uses.

pub use crate::material::{Bath, Dose, Fate, Stuff, Takes, store};
pub use crate::setting::{Setting, Shape, Values};
pub use crate::{
    Ask, Batch, Before, Caution, Constant, DYES, Design, Fold, Hand, Instructions, Kind, Lag, LotShape,
    Means, Occupancy, Operation, Package, Patch, Reach, Use, Work, Workshop, Zone,
};
pub use field::{Grid, Lattice, Plane, Rect};
pub use std::sync::Arc;
pub use units::{Measure, Quantity, Span};
pub use words::{Arg, Finding, Place, Term, Text, Weight, say};

/// A drawn or returned volume of water.
pub fn draw_water(kg: f64) -> Dose {
    Dose {
        stuff: Stuff::Material(&store::WATER),
        amount: Quantity::new(kg / 1000.0, Measure::Volume),
        origin: None,
    }
}

/// The step that is being looked at, as a place for a finding.
pub fn here(before: &Before, setting: Option<&'static str>) -> Place {
    let id = before
        .design
        .steps
        .get(before.at)
        .map_or_else(String::new, |step| step.id.clone());
    Place::Step { id, setting }
}
