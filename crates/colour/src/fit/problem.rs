//! The least squares of a ladder.

use super::ladder::{Noise, Rung, Terms};
use super::levenberg_marquardt::{Ends, Fit, minimise};
use crate::kubelka_munk::{ks, reflectance, saturated};
use crate::spectrum::{BANDS, Spectrum};
use words::{Known, Origin};

/// Grams of bound dye per kg of cloth from % owf put on.
pub(super) fn bound(depth: f64, share: f64) -> f64 {
    10.0 * depth * share
}

/// Deviation of ln K_max that is not to move.
const HELD: f64 = 1e-4;

/// Standard deviation of ln K_max before the ladder.
fn prior_deviation(k_max: &Known) -> f64 {
    match &k_max.origin {
        Origin::Assumed { factor, .. } => factor.max(1.01).ln(),
        Origin::Yours | Origin::Measured { .. } => 0.1,
    }
}

/// The parameters stand in this order: ln K_max, an offset of depth per dyed rung, an offset of lightness per rung, unit
/// K/S of the free bands, K/S of the cloth.
pub(super) struct Problem<'a> {
    rungs: &'a [Rung],
    /// g of bound dye per kg of cloth, as stated.
    amounts: Vec<f64>,
    noise: Noise,
    /// ln K_max before the ladder, and its deviation.
    k_max: (f64, f64),
    dyed: usize,
    /// Bands whose unit K/S is fitted.
    free: Vec<usize>,
    start: Vec<f64>,
}

impl<'a> Problem<'a> {
    /// Rungs and terms that [`super::telling::unusable`] has passed.
    pub fn new(rungs: &'a [Rung], terms: &Terms) -> Self {
        let amounts: Vec<f64> = rungs
            .iter()
            .map(|r| bound(r.depth, terms.fixed_share.value))
            .collect();
        let held = rungs.iter().any(|r| r.recovered);
        let deviation = if held { HELD } else { prior_deviation(&terms.k_max) };
        let k_max = (terms.k_max.value.ln(), deviation);
        let dyed = amounts.iter().filter(|a| **a > 0.0).count();
        let cloth: Spectrum = std::array::from_fn(|band| {
            let whites: Vec<f64> = rungs
                .iter()
                .filter(|r| r.depth == 0.0)
                .map(|r| r.reflectance[band])
                .collect();
            ks((whites.iter().sum::<f64>() / whites.len().max(1) as f64).clamp(0.01, 0.999))
        });
        // A straight line through the cloth, after the levelling off is undone: good to some 10 %.
        let unit = (0..BANDS).map(|band| {
            let (mut top, mut bottom) = (0.0, 0.0);
            for (rung, amount) in rungs.iter().zip(&amounts).filter(|(_, a)| **a > 0.0) {
                let seen = (ks(rung.reflectance[band].clamp(0.005, 1.0)) - cloth[band]).max(1e-4);
                let k = seen / (1.0 - (seen / terms.k_max.value).min(0.9));
                top += k;
                bottom += amount;
            }
            top / bottom
        });
        let start = std::iter::once(k_max.0)
            .chain(std::iter::repeat_n(0.0, dyed + rungs.len()))
            .chain(unit)
            .chain(cloth)
            .collect();
        Self {
            rungs,
            amounts,
            noise: terms.noise,
            k_max,
            dyed,
            free: (0..BANDS).collect(),
            start,
        }
    }

    /// Standard deviation of ln K_max before the ladder.
    pub fn k_max_deviation(&self) -> f64 {
        self.k_max.1
    }

    /// The best parameters.
    pub fn solve(&self) -> Option<Fit> {
        let count = self.rungs.len() * (BANDS + 1) + self.dyed + 1;
        let ends = Ends {
            rounds: 100,
            damping: 1e-3,
            gain: 1e-7,
            share: 1e-7,
        };
        minimise(&|p, r| self.residuals(p, r), count, &self.start, ends)
    }

    fn residuals(&self, p: &[f64], out: &mut [f64]) {
        let (k_max, unit, cloth) = (p[0].exp(), self.unit(p), self.cloth(p));
        let mut residual = out.iter_mut();
        let mut put = |value: f64| {
            if let Some(slot) = residual.next() {
                *slot = value;
            }
        };
        for (i, (rung, amount)) in self.rungs.iter().zip(&self.amounts).enumerate() {
            let amount = amount * (1.0 + self.offset(p, i));
            let placing = p[1 + self.dyed + i];
            for band in 0..BANDS {
                let k = saturated(amount * unit[band], k_max) + cloth[band];
                let read = rung.reflectance[band];
                // A trial below no absorption at all is answered by the perfect white, with a slope.
                let modelled = if k > 0.0 { reflectance(k) } else { 1.0 - k };
                put((read - modelled * (1.0 + placing)) / self.noise.of_band(read, rung.readings));
            }
            put(placing / self.noise.of_placing(rung.readings));
        }
        for offset in &p[1..=self.dyed] {
            put(offset / self.noise.dyeing);
        }
        put((p[0] - self.k_max.0) / self.k_max.1);
    }

    /// Number of parameters before the bands.
    fn head(&self) -> usize {
        1 + self.dyed + self.rungs.len()
    }

    /// Unit K/S of all bands.
    pub fn unit(&self, p: &[f64]) -> Spectrum {
        let mut unit = [0.0; BANDS];
        for (band, value) in self.free.iter().zip(&p[self.head()..]) {
            unit[*band] = *value;
        }
        unit
    }

    /// K/S of the cloth.
    pub fn cloth(&self, p: &[f64]) -> Spectrum {
        let from = self.head() + self.free.len();
        std::array::from_fn(|band| p[from + band])
    }

    /// How far a rung is dyed off its stated depth, as a share; 0 for undyed cloth.
    pub fn offset(&self, p: &[f64], rung: usize) -> f64 {
        if self.amounts[rung] > 0.0 {
            let before = self.amounts[..rung].iter().filter(|a| **a > 0.0).count();
            p[1 + before]
        } else {
            0.0
        }
    }

    /// Takes negative bands out of the parameters and starts from where the fit is; false if there are none.
    pub fn pin_negative(&mut self, p: &[f64]) -> bool {
        let (head, rest) = p.split_at(self.head());
        let (unit, cloth) = rest.split_at(self.free.len());
        let kept: Vec<(usize, f64)> = self
            .free
            .iter()
            .copied()
            .zip(unit.iter().copied())
            .filter(|(_, u)| *u > 0.0)
            .collect();
        let changed = kept.len() < self.free.len();
        self.start = head
            .iter()
            .copied()
            .chain(kept.iter().map(|k| k.1))
            .chain(cloth.iter().copied())
            .collect();
        self.free = kept.into_iter().map(|k| k.0).collect();
        changed
    }

    /// Standard errors of the unit and of ln K_max, and the mean squared residual. All bands are free.
    pub fn errors(&self, fit: &Fit) -> (Spectrum, f64, f64) {
        let misfit = fit.sum_of_squares / fit.degrees_of_freedom().max(1) as f64;
        let widen = misfit.max(1.0).sqrt();
        let error = |i: usize| {
            fit.covariance
                .as_ref()
                .map_or(f64::INFINITY, |c| c[i][i].sqrt() * widen)
        };
        (
            std::array::from_fn(|band| error(self.head() + band)),
            error(0),
            misfit,
        )
    }
}
