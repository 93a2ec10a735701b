//! Binding to cotton, and losing the race to water.

use super::arrhenius;
use units::{Celsius, Span};
use words::{Known, Origin};

/// Loose dye reacts with cotton (bound) or with water (hydrolysed, spent): two first-order reactions that
/// compete. Both are taken to follow temperature alike, so the share that ends bound does not change with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixation {
    /// How fast loose dye disappears by both reactions together, 1/s, at temperature `at` and `ph`.
    pub rate: Known,
    /// Temperature of `rate`.
    pub at: Celsius,
    /// pH of `rate`.
    pub ph: f64,
    /// Activation energy, J/mol.
    pub energy: Known,
    /// Share that ends bound when all has reacted.
    pub final_share: Known,
}

/// Where the dye is. The three add up to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shares {
    /// Bound to the cotton.
    pub bound: f64,
    /// Reacted with water: must be washed out.
    pub spent: f64,
    /// Not reacted yet.
    pub loose: f64,
}

/// Two competing first-order reactions, closed form: rates in 1/s, time in s.
pub fn competing(bind: f64, hydrolyse: f64, seconds: f64) -> Shares {
    let both = bind + hydrolyse;
    if both <= 0.0 {
        return Shares {
            bound: 0.0,
            spent: 0.0,
            loose: 1.0,
        };
    }
    let reacted = -(-both * seconds).exp_m1();
    Shares {
        bound: bind / both * reacted,
        spent: hydrolyse / both * reacted,
        loose: (-both * seconds).exp(),
    }
}

impl Fixation {
    /// Both reactions together at a temperature, 1/s.
    pub fn rate(&self, cloth: Celsius) -> f64 {
        arrhenius(self.rate.value, self.at, self.energy.value, cloth)
    }

    /// Where the dye is after this time at this temperature, wet and alkaline.
    pub fn shares(&self, time: Span, cloth: Celsius) -> Shares {
        let (rate, share) = (self.rate(cloth), self.final_share.value);
        competing(rate * share, rate * (1.0 - share), time.0)
    }

    /// What a result of these constants may claim: the weakest of their origins.
    pub fn origin(&self) -> &Origin {
        self.rate
            .origin
            .weaker(&self.energy.origin)
            .weaker(&self.final_share.origin)
    }
}
