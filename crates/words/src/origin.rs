//! Where a number comes from. The mark travels with every result that rests on the number.

use crate::{Text, text};

/// Where a constant comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// Taken from the literature, the trade or our own judgement.
    Assumed {
        /// The true value is expected within this factor, up or down (2.5 means "x or / 2.5"); 1 is exact.
        factor: f64,
        /// Where the value was read, or `common practice, no source`.
        source: String,
    },
    /// Typed in by the workshop.
    Yours,
    /// Measured at this workshop.
    Measured {
        /// Date, ISO 8601.
        date: String,
        /// Number of readings.
        n: u32,
    },
}

/// A number with its origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// In the SI base of its measure.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
}

impl Known {
    /// An assumed number, true within `factor` up or down.
    pub fn assumed(value: f64, factor: f64, source: &str) -> Self {
        Self {
            value,
            origin: Origin::Assumed {
                factor,
                source: source.to_string(),
            },
        }
    }
    /// A number typed in by the workshop.
    pub const fn yours(value: f64) -> Self {
        Self {
            value,
            origin: Origin::Yours,
        }
    }
}

impl Origin {
    /// The mark that is shown beside a result.
    pub const fn mark(&self) -> &'static Text {
        match self {
            Self::Assumed { .. } => text!("assumed", "perkiraan"),
            Self::Yours => text!("yours", "dari Anda"),
            Self::Measured { .. } => text!("measured here", "diukur di sini"),
        }
    }
    /// The weaker of two origins: what a result that rests on both may claim. Of two that are assumed the one with the wider
    /// factor, of two that were measured the one with fewer readings.
    #[must_use]
    pub fn weaker<'a>(&'a self, other: &'a Self) -> &'a Self {
        let rank = |o: &Self| match o {
            Self::Assumed { .. } => 0,
            Self::Yours => 1,
            Self::Measured { .. } => 2,
        };
        let weaker = match (self, other) {
            (Self::Assumed { factor: own, .. }, Self::Assumed { factor, .. }) => factor > own,
            (Self::Measured { n: own, .. }, Self::Measured { n, .. }) => n < own,
            _ => rank(other) < rank(self),
        };
        if weaker { other } else { self }
    }
}
