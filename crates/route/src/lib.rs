//! The heart: a design's *route* is the ordered list of operations that turn white cloth into the finished
//! bolt, and everything lorod tells its user is a reading of that one list.
//!
//! `operations/` holds one file per operation with all its readings. Everything else here is what they share:
//! the state of the cloth ([`Patch`] for pictures, [`Means`] for quantities), the folded [`Package`], the
//! [`Design`], the [`Workshop`], and the folds over the route ([`baths`], [`cost`], [`examine`]).
//!
//! This crate knows no files, clock, pages or pictures: seeds, cards, artwork and prices are handed in.

mod along;
mod barrier;
mod baths;
mod canonical;
mod cards;
pub mod chlorine;
mod constant;
mod cost;
mod design;
mod detail;
mod examine;
mod kind;
pub mod kinetics;
mod ladders;
mod material;
mod means;
mod money;
pub mod operations;
mod package;
mod patch;
mod prelude;
mod setting;
mod shop;
mod size;
mod spread;
mod stamped;
mod together;
pub mod water;

pub use along::{Part, along};
pub use barrier::{access, creep_depth, crept_share, line_left};
pub use baths::{BatchRow, BatchSheetData, Drawn, DumpSheet, Vessel, baths, dumps, dumps_at, sheet, totals};
pub use canonical::{bolt_keys, dye_key, light_key, revision, set_keys, shop_key};
pub use cards::{DEFER, StepCard, card, cautions, hazards};
pub use constant::{Constant, Constants};
pub use cost::{Cost, CostLine, Group, Shares, cost};
pub use design::{BorderUse, Cloth, Design, LotShape, StampUse, Step, step_key};
pub use examine::{LOOSE_LIMIT, examine, means_along};
pub use kind::{
    Ask, Batch, Before, Caution, Fold, Hand, Instructions, Kind, Lag, Look, Occupancy, Operation, Reach, Use,
    Work,
};
pub use material::{Bath, Dose, Fate, Material, STORE, Stuff, Takes, store};
pub use means::{Means, Zone};
pub use money::{exchange, minor_digits, rounded};
pub use operations::OPERATIONS;
pub use operations::finish::strength_kept;
pub use operations::wax::hand_error;
pub use package::{Folded, Package};
pub use patch::{DYES, Folds, Patch, fill, positions};
pub use setting::{DyeDose, Setting, Shape, Value, Values};
pub use shop::{Climate, Money, Person, Rate, Station, Workshop};
pub use size::{FinishedRepeat, Sizes, issue_length, sizes};
pub use spread::Wick;
pub use stamped::{Pattern, Prints};
