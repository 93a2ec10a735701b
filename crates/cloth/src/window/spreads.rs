//! How far a step strays from what was meant, from bolt to bolt and because constants are not known better.

use super::doubt::{creep_factor, rate_factor};
use crate::Bolt;
use field::{Seed, hash2, ln, sin, unit};
use route::Workshop;
use units::Span;
use words::{Text, text};

/// Half widths that hold 95 of 100 bolts. All independent, and normal (of logarithms, where a factor is meant).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spreads {
    /// Strength of the bath: 0.1 is 10 % up or down.
    pub strength: f64,
    /// Temperature of the bath, K.
    pub temperature: f64,
    /// Start and stop by the clock.
    pub handling: Span,
    /// How well the rate itself is known, as a factor.
    pub rate: f64,
    /// How well the creep under wax edges is known, and how evenly the wax took, as a factor.
    pub creep: f64,
    /// The end that goes in last comes out first and gets so much less; 0 if first in is first out. A bias: both ends
    /// of every bolt must pass.
    pub ends: Span,
    /// Which of strength, temperature and handling somebody typed; the others are expected.
    pub typed: [bool; 3],
}

/// Deviations beyond this many standard deviations (1 in 100) are taken back to it.
pub(crate) const FARTHEST: f64 = 2.576;
/// Standard deviations in a half width that holds 95 of 100.
pub(crate) const NINETY_FIVE: f64 = 1.96;

impl Spreads {
    /// Nothing strays and everything is known.
    pub const NONE: Self = Self {
        strength: 0.0,
        temperature: 0.0,
        handling: Span(0.0),
        rate: 1.0,
        creep: 1.0,
        ends: Span(0.0),
        typed: [false; 3],
    };

    /// What to expect of a step: a titrated bath holds 10 %, an open tank 3 K, a pair of hands 20 s (own estimates),
    /// and constants what their origins say.
    pub fn expected(bolt: &Bolt, shop: &Workshop, step: usize) -> Self {
        Self {
            strength: 0.10,
            temperature: 3.0,
            handling: Span(20.0),
            rate: rate_factor(bolt, shop, step),
            creep: creep_factor(bolt, shop, step),
            ends: Span(0.0),
            typed: [false; 3],
        }
    }

    /// Who says how far strength, temperature and handling stray.
    pub(crate) fn said_by(&self, which: usize) -> &'static Text {
        match self.typed.get(which) {
            Some(true) => text!("as you say", "menurut Anda"),
            _ => text!("own estimate", "taksiran sendiri"),
        }
    }

    /// Standard deviation of the logarithm of strength and rate together.
    pub(crate) fn severity_deviation(&self) -> f64 {
        let strength = (1.0 + self.strength.max(0.0)).ln();
        strength.hypot(self.rate.max(1.0).ln()) / NINETY_FIVE
    }

    /// Farthest that strength and rate together go, in logarithm.
    pub(crate) fn severity(&self) -> f64 {
        FARTHEST * self.severity_deviation()
    }

    /// Farthest that the temperature goes, K.
    pub(crate) fn warmth(&self) -> f64 {
        FARTHEST / NINETY_FIVE * self.temperature.max(0.0)
    }

    /// Farthest that the creep goes, in logarithm.
    pub(crate) fn creeping(&self) -> f64 {
        FARTHEST / NINETY_FIVE * self.creep.max(1.0).ln()
    }

    /// One bolt of many.
    pub(crate) fn draw(&self, n: u32, seed: Seed) -> Draw {
        let normal = |what: i32| normal(n as i32, what, seed.low()).clamp(-FARTHEST, FARTHEST);
        Draw {
            severity: self.severity_deviation() * normal(0),
            warmer: self.temperature / NINETY_FIVE * normal(1),
            late: self.handling.0 / NINETY_FIVE * normal(2),
            creep: self.creep.max(1.0).ln() / NINETY_FIVE * normal(3),
        }
    }
}

/// How one bolt strays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Draw {
    /// Logarithm of the factor on strength.
    pub severity: f64,
    /// K.
    pub warmer: f64,
    /// s.
    pub late: f64,
    /// Logarithm of the factor on creep.
    pub creep: f64,
}

/// A standard normal deviate by the counter hash: Box and Muller's transform (Ann. Math. Stat. 29 (1958) 610), the same
/// bits on every machine.
pub(crate) fn normal(n: i32, what: i32, seed: u32) -> f64 {
    // Half a step of the 24 bits keeps the logarithm finite.
    let u = unit(hash2(n, 2 * what, seed)) + 0.5 / 16_777_216.0;
    let v = unit(hash2(n, 2 * what + 1, seed));
    f64::from((-2.0 * ln(u)).sqrt() * sin(std::f32::consts::TAU * v))
}

#[cfg(test)]
mod tests {
    use super::normal;

    /// Moments of 40,000 deviates, within four standard errors (1/sqrt n; sqrt(2/n) for the variance; sqrt(24/n) for
    /// the excess).
    #[test]
    fn deviates_are_standard_normal_and_independent() {
        let n = 40_000;
        let draw = |what| (0..n).map(move |i| normal(i, what, 0x1234_5678));
        let mean = |values: Vec<f64>| values.iter().sum::<f64>() / f64::from(n);
        let error = 4.0 / f64::from(n).sqrt();
        for what in 0..4 {
            assert!(mean(draw(what).collect()).abs() < error);
            assert!((mean(draw(what).map(|v| v * v).collect()) - 1.0).abs() < error * 2f64.sqrt());
            assert!((mean(draw(what).map(|v| v.powi(4)).collect()) - 3.0).abs() < error * 96f64.sqrt());
            let inside = mean(draw(what).map(|v| f64::from(u8::from(v.abs() < 1.96))).collect());
            assert!((inside - 0.95).abs() < 0.005, "{inside}");
        }
        let product = draw(0).zip(draw(1)).map(|(a, b)| a * b).collect();
        assert!(mean(product).abs() < error);
    }
}
