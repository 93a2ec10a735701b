//! Constants from measurements: a dye's spectrum from a ladder of depths, the strength of a new lot, how dyes
//! behave together; and the least squares they rest on.

pub mod ladder;
pub mod levenberg_marquardt;
pub mod mixture;
pub mod photo;
pub mod strength;

mod problem;
mod rungs;
mod telling;
mod triangle;

pub use rungs::{FIXED_SHARE, fixed_share, rungs};
