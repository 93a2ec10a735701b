//! Least squares of a nonlinear model: Levenberg 1944, Marquardt 1963, with the column scaling of Moré 1978
//! (Lecture Notes in Mathematics 630, 105-116), the damping rule of Nielsen 1999 (IMM-REP-1999-05), and
//! orthogonal factors instead of normal equations, so that badly conditioned problems keep their digits.
//!
//! Derivatives are differences of fourth order; their error, some 1e-12 relative, is far below what certified
//! problems ask for.

use super::triangle::{Triangle, factor};

/// When to end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Most rounds (one set of derivatives each).
    pub rounds: usize,
    /// Damping of the first step, in parts of the curvature: large where the start may be far off, 1e-3 where it is
    /// known to be near.
    pub damping: f64,
    /// Ends when a step takes, and promised to take, less than this share of the sum of squares away.
    pub gain: f64,
    /// Ends when a full step would move every parameter by less than this share of its size.
    pub share: f64,
}

impl Default for Ends {
    fn default() -> Self {
        Self {
            rounds: 1000,
            damping: 1e3,
            gain: 0.0,
            share: 1e-10,
        }
    }
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The parameters with the least sum of squares that was met.
    pub parameters: Vec<f64>,
    /// Sum of squared residuals there.
    pub sum_of_squares: f64,
    /// Number of residuals.
    pub residuals: usize,
    /// Inverse of the curvature (J'J) there: the covariance for residuals of variance 1, row by row. Nothing if the
    /// residuals do not determine the parameters.
    pub covariance: Option<Vec<Vec<f64>>>,
    /// Rounds used.
    pub rounds: usize,
    /// Ended by [`Ends::share`] or [`Ends::gain`], not by running out of rounds.
    pub settled: bool,
}

impl Fit {
    /// Residuals less parameters.
    pub fn degrees_of_freedom(&self) -> usize {
        self.residuals.saturating_sub(self.parameters.len())
    }

    /// Standard deviation of a residual.
    pub fn residual_deviation(&self) -> f64 {
        (self.sum_of_squares / self.degrees_of_freedom() as f64).sqrt()
    }

    /// Standard errors of the parameters when the residuals' variance is what the residuals themselves show.
    pub fn standard_errors(&self) -> Option<Vec<f64>> {
        let deviation = self.residual_deviation();
        let covariance = self.covariance.as_ref()?;
        Some(
            (0..covariance.len())
                .map(|i| covariance[i][i].sqrt() * deviation)
                .collect(),
        )
    }
}

/// Finds the parameters near `start` with the least sum of squares of `count` residuals. `residuals` fills its second
/// argument; a value that is not finite means that the model does not exist there, and the step is shortened.
///
/// A parameter that starts at 0 is taken for an offset of order 1; others for of the order of their start.
///
/// Nothing if the model does not exist at the start.
pub fn minimise(
    residuals: &dyn Fn(&[f64], &mut [f64]),
    count: usize,
    start: &[f64],
    ends: Ends,
) -> Option<Fit> {
    let evaluate = |p: &[f64]| -> Option<(Vec<f64>, f64)> {
        let mut r = vec![0.0; count];
        residuals(p, &mut r);
        let sum: f64 = r.iter().map(|v| v * v).sum();
        sum.is_finite().then_some((r, sum))
    };
    let mut p = start.to_vec();
    let (mut r, mut sum) = evaluate(&p)?;
    let mut scale = vec![0.0_f64; p.len()];
    let (mut damping, mut growth) = (ends.damping, 2.0);
    let (mut settled, mut rounds) = (false, 0);
    let mut triangle = None;
    while rounds < ends.rounds && !settled {
        rounds += 1;
        let columns = derivatives(residuals, &p, start, count)?;
        for (s, column) in scale.iter_mut().zip(&columns) {
            *s = s.max(norm(column));
        }
        let factored = factor(columns, r.clone());
        loop {
            let step = factored.damped(&scale, damping);
            let trial: Vec<f64> = p.iter().zip(&step).map(|(p, s)| p - s).collect();
            let small = (0..p.len()).all(|j| step[j].abs() <= ends.share * size(p[j], start[j]));
            let promised = factored.promised(&step);
            // What rounding cannot tell apart from nothing.
            let noise = 1e-15 * sum;
            match evaluate(&trial).filter(|(_, s)| *s < sum) {
                Some((new_r, new_sum)) => {
                    let gain = (sum - new_sum) / promised.max(f64::MIN_POSITIVE);
                    damping = (damping * (1.0 - (2.0 * gain - 1.0).powi(3)).clamp(1.0 / 3.0, 1.0)).max(1e-30);
                    growth = 2.0;
                    settled = small || sum - new_sum < ends.gain * sum && promised < ends.gain * sum;
                    (p, r, sum) = (trial, new_r, new_sum);
                    break;
                }
                None if small || promised <= noise && damping < 1e-6 => {
                    settled = true;
                    break;
                }
                None => {
                    damping *= growth;
                    growth *= 2.0;
                    if damping > 1e100 {
                        break;
                    }
                }
            }
        }
        triangle = Some(factored);
        if damping > 1e100 {
            break;
        }
    }
    Some(Fit {
        covariance: triangle.and_then(|t: Triangle| t.inverse_square()),
        parameters: p,
        sum_of_squares: sum,
        residuals: count,
        rounds,
        settled,
    })
}

/// Columns of the derivatives of the residuals. Nothing if the model exists on no side of `p`.
fn derivatives(
    residuals: &dyn Fn(&[f64], &mut [f64]),
    p: &[f64],
    start: &[f64],
    count: usize,
) -> Option<Vec<Vec<f64>>> {
    /// Best for differences of fourth order: the fifth root of the rounding error.
    const STEP: f64 = 7e-4;
    let mut moved = p.to_vec();
    let mut at = |j: usize, value: f64| -> Vec<f64> {
        moved[j] = value;
        let mut r = vec![0.0; count];
        residuals(&moved, &mut r);
        moved[j] = p[j];
        r
    };
    (0..p.len())
        .map(|j| {
            // A parameter near zero is moved by its start's size, or as an offset of order 1 if it starts there.
            let least = if start[j] == 0.0 {
                1e-2
            } else {
                1e-3 * start[j].abs()
            };
            let size = p[j].abs().max(least);
            [STEP, 1e-2 * STEP, 1e-4 * STEP].iter().find_map(|share| {
                // A power of two is subtracted without rounding.
                let h = 2.0_f64.powi((share * size).log2().floor() as i32);
                let column: Vec<f64> = at(j, p[j] + h)
                    .iter()
                    .zip(at(j, p[j] - h))
                    .zip(at(j, p[j] + 2.0 * h).iter().zip(at(j, p[j] - 2.0 * h)))
                    .map(|((a, b), (c, d))| (8.0 * (a - b) - (c - d)) / (12.0 * h))
                    .collect();
                column.iter().all(|v| v.is_finite()).then_some(column)
            })
        })
        .collect()
}

/// What a parameter's changes are measured by: its size, but near zero that of its start, or of an offset of order 1 if it
/// starts there.
fn size(p: f64, start: f64) -> f64 {
    p.abs().max(if start == 0.0 { 1e-2 } else { 1e-3 * start.abs() })
}

fn norm(column: &[f64]) -> f64 {
    column.iter().map(|v| v * v).sum::<f64>().sqrt()
}
