//! Quantities that remember how a person spelled them.
//!
//! One SI number and a [`Measure`] make a [`Quantity`]; a [`Typed`] adds the spelling ("44 in"), so that
//! an edit gives a person's own words back. Arithmetic that must not be confused has types of its own
//! ([`Length`], [`Area`], [`Mass`], [`Span`], [`Celsius`], [`Kelvins`]).
//!
//! This crate knows nothing of cloth, files or languages.

mod baume;
mod measure;
mod parse;
mod print;
mod typed;

pub use baume::{degrees_baume, specific_gravity};
pub use measure::{MEASURES, Measure, Unit};
pub use parse::{NumberFault, Problem, parse, parse_as};
pub use print::{Decimal, System, print, print_with};
pub use typed::{Area, Celsius, Kelvins, Length, Mass, Span};

/// A number in the SI base of its measure (see [`Measure::base`]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The number, in [`Measure::base`].
    pub si: f64,
    /// What kind of quantity it is.
    pub measure: Measure,
}

impl Quantity {
    /// A quantity from its SI number.
    pub const fn new(si: f64, measure: Measure) -> Self {
        Self { si, measure }
    }
}

/// A quantity together with the words a person used for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed {
    /// The value.
    pub quantity: Quantity,
    /// As written by the person; for defaults, as written in our tables.
    pub spelled: String,
}
