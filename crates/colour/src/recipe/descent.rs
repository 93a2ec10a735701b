//! Bounded Levenberg-Marquardt for problems of a few unknowns, solved thousands of times.
//!
//! The general fitter of measured ladders reports confidence and is free of bounds; this one reports nothing but
//! the lowest point, keeps unknowns in their box by solving each damped step as a bounded quadratic, and makes no
//! heap allocation.

use super::quadratic::{Bounds, Quadratic};

/// A sum of squares of residuals.
pub(crate) trait SumOfSquares<const N: usize> {
    /// Half the sum at `x`.
    fn value(&self, x: &[f64; N]) -> f64;
    /// Half the sum at `x`, with its Gauss-Newton expansion in steps from `x`.
    fn expand(&self, x: &[f64; N]) -> (f64, Quadratic<N>);
}

/// Steps that are tried at most; exact matches take 5 to 10, a minimum in a flat valley 20 to 40.
const STEPS: usize = 80;
/// A sum below this is a match: 1e-5 colour difference units.
pub(crate) const MATCH: f64 = 5e-11;

/// Goes down from `start` (within `bounds`); the lowest point met and half its sum of squares.
/// It ends at a match, or when the next step promises less than the share `enough` of what is left.
pub(crate) fn descend<const N: usize>(
    problem: &impl SumOfSquares<N>,
    start: &[f64; N],
    bounds: &Bounds<N>,
    enough: f64,
) -> ([f64; N], f64) {
    let mut x = *start;
    let (mut value, mut form) = problem.expand(&x);
    let mut damping = 1e-3;
    for _ in 0..STEPS {
        if value < MATCH || damping > 1e12 {
            break;
        }
        let mut damped = form.clone();
        for i in 0..form.n {
            damped.curvature[i][i] += damping * form.curvature[i][i].max(1e-9);
        }
        let step = damped.lowest(&room(&x, bounds, form.n));
        let promised = -form.value(&step);
        if promised <= enough * value {
            break;
        }
        let mut next = x;
        for i in 0..form.n {
            next[i] = (x[i] + step[i]).clamp(bounds.low[i], bounds.high[i]);
        }
        let there = problem.value(&next);
        // A value that is no number fails this, too.
        if there < value {
            damping *= if value - there > 0.75 * promised { 0.1 } else { 0.5 };
            damping = f64::max(damping, 1e-12);
            x = next;
            (value, form) = problem.expand(&x);
        } else {
            damping *= 8.0;
        }
    }
    (x, value)
}

/// The bounds of a step from `x`.
fn room<const N: usize>(x: &[f64; N], bounds: &Bounds<N>, n: usize) -> Bounds<N> {
    let mut room = Bounds {
        low: [0.0; N],
        high: [0.0; N],
        sum: (bounds.sum - x[..n].iter().sum::<f64>()).max(0.0),
    };
    for (i, x) in x.iter().enumerate().take(n) {
        room.low[i] = (bounds.low[i] - x).min(0.0);
        room.high[i] = (bounds.high[i] - x).max(0.0);
    }
    room
}
