//! Two tests that need no instrument, and what follows from first-order clearing: witness strip, line wedge, ends.
//!
//! Dye in a bath of chlorine C clears as `exp(-k C t)` (second order, chlorine in excess). Whatever k and C are, they
//! are the same for a strip and for the cloth beside it, so a ratio of times is a ratio of logarithms of tints.

use route::operations::bleach::CHLORINE;
use units::{Length, Span};

/// An unwaxed strip, with the slowest dye, that hangs in the bath before the cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// When it had reached the printed tint.
    pub reached: Span,
    /// The printed tint, as a share of the K/S of the dyeing: 0.10.
    pub tint: f64,
    /// The tint that counts as clear: 0.02.
    pub clear: f64,
    /// From lifting to antichlor; the bleach in the cloth works on.
    pub lag: Span,
    /// Rate at which the bath loses strength, 1/s.
    pub weakens: f64,
    /// Share of the dye's K/S that chlorine never clears.
    pub residue: f64,
}

/// What a strip says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripReading {
    /// When the cloth is clear, from its own start.
    pub clear: Span,
    /// When to lift it, so that it is clear when the antichlor stops the bleach.
    pub lift: Span,
    /// How much later it is clear if the bath weakens as stated; `None` if it never gets there.
    pub weaker: Option<Span>,
    /// How much later it is clear because of what never clears; `None` if the tint is never reached.
    pub residual: Option<Span>,
}

impl Strip {
    /// The usual strip: 10 % tint, clear at 2 %, a bath that keeps its strength.
    pub const fn usual(reached: Span, lag: Span) -> Self {
        Self {
            reached,
            tint: 0.10,
            clear: 0.02,
            lag,
            weakens: 0.0,
            residue: 0.0,
        }
    }

    /// Reads it. `clear = reached ln(1/clear) / ln(1/tint)`: ln 50 / ln 10 = 1.699 for the usual tints. `None` unless
    /// 0 < clear < tint < 1 and there is a time.
    pub fn read(&self) -> Option<StripReading> {
        let sound = 0.0 < self.clear && self.clear < self.tint && self.tint < 1.0 && self.reached.0 > 0.0;
        if !sound || !self.reached.0.is_finite() {
            return None;
        }
        let ratio = self.clear.ln() / self.tint.ln();
        let clear = Span(self.reached.0 * ratio);
        let later = |seconds: f64| Span(seconds - clear.0);
        Some(StripReading {
            clear,
            lift: Span((clear.0 - self.lag.0).max(0.0)),
            weaker: self.in_weakening_bath(ratio).map(later),
            residual: self.with_residue().map(later),
        })
    }

    /// Dose of a bath that decays as `exp(-l t)` is `(1 - exp(-l t)) / l`.
    fn in_weakening_bath(&self, ratio: f64) -> Option<f64> {
        let l = self.weakens;
        if l <= 0.0 {
            return Some(self.reached.0 * ratio);
        }
        let left = 1.0 - ratio * (1.0 - (-l * self.reached.0).exp());
        (left > 0.0).then(|| -left.ln() / l)
    }

    fn with_residue(&self) -> Option<f64> {
        let r = self.residue;
        let fading = |tint: f64| (tint > r && r < 1.0).then(|| ((tint - r) / (1.0 - r)).ln());
        Some(self.reached.0 * fading(self.clear)? / fading(self.tint)?)
    }
}

/// Creep from a wedge of wax lines: the width `lost` that has just gone after `time` was eaten from both sides,
/// `w/2 = sqrt(2 De t)`, so De = (w/2)^2 / (2 t), m2/s. `None` without a time.
pub fn creep_of_wedge(lost: Length, time: Span) -> Option<f64> {
    let half = 0.5 * lost.0;
    (time.0 > 0.0 && half >= 0.0).then(|| half * half / (2.0 * time.0))
}

/// K/S of the end that had `apart` longer in the bath over that of the other end: `exp(-k C t)`. `rate` in 1/(M s),
/// `chlorine` in g/L.
pub fn ends_ratio(rate: f64, chlorine: f64, apart: Span) -> f64 {
    (-rate * chlorine / CHLORINE * apart.0).exp()
}

/// Time in a bath of `chlorine` g/L that brings cloth whose K/S is `over` times its target (1.2: a fifth too deep)
/// back to it: `ln over / (k C)`. `None` where there is nothing to bring back or nothing to bring it back with.
pub fn time_to_lighten(over: f64, rate: f64, chlorine: f64) -> Option<Span> {
    let speed = rate * chlorine / CHLORINE;
    (over > 1.0 && speed > 0.0).then(|| Span(over.ln() / speed))
}
