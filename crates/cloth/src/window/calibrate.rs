//! Constants from the workshop's own tests, and how well forecasts have held.

use words::{Known, Origin};

/// A constant fitted to readings, positive; errors are factors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// The value.
    pub value: f64,
    /// True within this factor, up or down, in 95 of 100 cases.
    pub factor: f64,
    /// Readings.
    pub n: u32,
}

/// One reading repeats within this factor (own estimate): all that can be said of a single one.
const ONE_READING: f64 = 1.5;
/// Student's t, two-sided 95 %, for 1 to 10 degrees of freedom (handbook table).
const T95: [f64; 10] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
];

impl Fitted {
    /// The geometric mean of readings and its interval. `None` without readings, or if one is not positive.
    pub fn from_readings(readings: &[f64]) -> Option<Self> {
        if readings.is_empty() || readings.iter().any(|r| !(*r > 0.0 && r.is_finite())) {
            return None;
        }
        let n = readings.len() as f64;
        let mean = readings.iter().map(|r| r.ln()).sum::<f64>() / n;
        let factor = if readings.len() == 1 {
            ONE_READING
        } else {
            let variance = readings.iter().map(|r| (r.ln() - mean).powi(2)).sum::<f64>() / (n - 1.0);
            // Beyond the table, the series t = z + (z^3 + z) / (4 v), z = 1.960.
            let t = T95
                .get(readings.len() - 2)
                .copied()
                .unwrap_or(1.960 + 2.372 / (n - 1.0));
            (t * (variance / n).sqrt()).exp()
        };
        Some(Self {
            value: mean.exp(),
            factor,
            n: readings.len() as u32,
        })
    }

    /// As a constant that was measured here, on a date (ISO 8601).
    pub fn known(&self, date: &str) -> Known {
        Known {
            value: self.value,
            origin: Origin::Measured {
                date: date.to_string(),
                n: self.n,
            },
        }
    }
}

/// Bleaching rate, 1/(M s), from strips: (dose in M s, share of K/S left). `residue` is what never clears; a strip that
/// is no paler than it, or as deep as ever, says nothing of the rate and gives `None`.
pub fn fit_rate(strips: &[(f64, f64)], residue: f64) -> Option<Fitted> {
    let readings: Vec<f64> = strips
        .iter()
        .map(|(dose, left)| -((left - residue) / (1.0 - residue)).ln() / dose)
        .collect();
    Fitted::from_readings(&readings)
}

/// Creep, m2/s, from line wedges: (width just lost, m; time in the bath with its lag, s).
pub fn fit_creep(wedges: &[(f64, f64)]) -> Option<Fitted> {
    let one = |(lost, time): &(f64, f64)| super::creep_of_wedge(units::Length(*lost), units::Span(*time));
    Fitted::from_readings(&wedges.iter().map(one).collect::<Option<Vec<_>>>()?)
}

/// A forecast of something positive and what came of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcome {
    /// As likely too high as too low.
    pub forecast: f64,
    /// True within this factor in 90 of 100 cases, as was said.
    pub factor: f64,
    /// What was measured.
    pub actual: f64,
}

/// Forecasts against what came of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Replay {
    /// Outcomes that could be used.
    pub n: u32,
    /// Share of them inside the 90 % interval that was stated.
    pub inside: f64,
    /// Actual over forecast, geometric mean: 1 is without bias.
    pub bias: f64,
    /// For the plot: of all that was said to stay below with this probability, so large a share did.
    pub below: Vec<(f64, f64)>,
}

impl Replay {
    /// Is the share inside what chance allows for a true 90 %? Two standard errors of a share.
    pub fn holds(&self) -> bool {
        self.n > 0 && (self.inside - 0.9).abs() <= 2.0 * (0.9 * 0.1 / f64::from(self.n)).sqrt()
    }
}

/// Replays outcomes. Those without a positive forecast, outcome and a factor above 1 are not counted.
pub fn replay(outcomes: &[Outcome]) -> Replay {
    // Standard deviates of actual against forecast: ln(actual / forecast) over ln(factor) / 1.645.
    let deviates: Vec<(f64, f64)> = outcomes
        .iter()
        .filter(|o| o.forecast > 0.0 && o.actual > 0.0 && o.factor > 1.0)
        .map(|o| {
            let off = (o.actual / o.forecast).ln();
            (off, off / (o.factor.ln() / 1.645))
        })
        .filter(|(off, _)| off.is_finite())
        .collect();
    let n = deviates.len();
    let share = |test: &dyn Fn(f64) -> bool| {
        deviates.iter().filter(|(_, z)| test(*z)).count() as f64 / n.max(1) as f64
    };
    // Standard normal quantiles of 0.1, 0.25, 0.5, 0.75 and 0.9 (table).
    let levels = [
        (0.1, -1.2816),
        (0.25, -0.6745),
        (0.5, 0.0),
        (0.75, 0.6745),
        (0.9, 1.2816),
    ];
    Replay {
        n: n as u32,
        inside: share(&|z| z.abs() <= 1.645),
        bias: (deviates.iter().map(|(off, _)| off).sum::<f64>() / n.max(1) as f64).exp(),
        below: levels.map(|(level, z)| (level, share(&|d| d <= z))).to_vec(),
    }
}
