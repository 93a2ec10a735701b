//! Recipes: which dyes, and how deep, for a colour on the finished cloth.
//!
//! [`Store`] says what there is; [`Solver`] tries every single, pair and triple of its dyes and returns the best
//! recipe of each, with what a dyer wants to know beside the shade. [`through`] solves the colours of several
//! regions together with the bleach and the ground that they share.

pub mod through;

mod descent;
mod optics;
mod quadratic;
mod report;
mod search;
mod store;
mod target;

pub use report::{CLOSE, Cost, Order, Part, Recipe, Slowest, rank};
pub use search::Solver;
pub use store::{BleachBath, Cloth, Jar, Limits, Store};
pub use target::{Objective, Target};
