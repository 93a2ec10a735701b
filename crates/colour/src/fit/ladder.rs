//! A dye's spectrum from a ladder: cloth dyed to rising depths, read, and fitted band by band.
//!
//! Model: the dye's K/S is depth times unit K/S, levelled off as K/(1 + K/K_max) with one K_max for all bands, on top
//! of the cloth's own K/S, which is fitted with it. Reflectances are fitted, not K/S: their noise is what an
//! instrument has. A rung as a whole may be dyed a few per cent off its stated depth, and its readings as a whole may
//! be a little too light or too dark; each rung has both offsets among the parameters, held near zero by the noise of
//! dyeing and of placing. Without them, errors of dyeing would be taken for curvature, and the standard errors
//! would be far too good, since all bands of a rung err together.

use super::problem::{Problem, bound};
use super::telling;
use crate::difference::de2000;
use crate::dye::{DyeCard, K_MAX, Ladder};
use crate::kubelka_munk::{dyed_reflectance, ks, ks_spectrum, reflectance, saturated};
use crate::spaces::{Lab, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};
use words::{Finding, Known, Origin, Place};

/// One depth of a ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Dye put on, % owf; 0 is the undyed cloth.
    pub depth: f64,
    /// Mean reflectance.
    pub reflectance: Spectrum,
    /// Number of readings behind it.
    pub readings: usize,
    /// The reflectance was recovered from a colour.
    pub recovered: bool,
    /// Where it stands.
    pub place: Place,
}

/// How far readings and dyeings scatter: standard deviations, as shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// A reading as a whole: how the cloth lies, hairs, evenness of the dyeing. All bands share it.
    pub placing: f64,
    /// One band beside the others.
    pub band: f64,
    /// Reflectance of any size, not a share: the instrument's zero.
    pub zero: f64,
    /// A rung's depth: weighing, liquor, binding.
    pub dyeing: f64,
    /// Strong colours as a whole, where spectra are recovered from colours: rungs cannot tell it, since all err together.
    pub recovery: f64,
}

impl Noise {
    /// For readings with a spectrophotometer, where no sample was read twice (common practice, no source: woven
    /// cloth in four layers, lifted between readings, repeats to 0.5 %; laboratory dyeings to 3 %).
    pub const MEASURED: Self = Self {
        placing: 0.005,
        band: 0.0015,
        zero: 5e-4,
        dyeing: 0.03,
        recovery: 0.2,
    };
    /// For colours, from a photograph beside a target or as they are stated, recovered to spectra (our judgement, not
    /// measured).
    pub const PHOTOGRAPHED: Self = Self {
        placing: 0.03,
        band: 0.03,
        zero: 0.01,
        dyeing: 0.03,
        recovery: 0.2,
    };
    /// The same where a grey card alone says how the camera sees: it is taken to see as screens do, and one whose filters
    /// overlap by a tenth more found a coral 30 % too weak (computed, not photographed).
    pub const GREY_CARD: Self = Self {
        recovery: 0.5,
        ..Self::PHOTOGRAPHED
    };

    /// Standard deviation of a band in the mean of so many readings of reflectance `r`.
    pub fn of_band(self, r: f64, readings: usize) -> f64 {
        ((self.band * r).powi(2) + self.zero.powi(2)).sqrt() / (readings.max(1) as f64).sqrt()
    }

    /// Standard deviation of the mean of so many readings as a whole, a share.
    pub fn of_placing(self, readings: usize) -> f64 {
        self.placing / (readings.max(1) as f64).sqrt()
    }
}

/// What is known beside the rungs.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// Share of the dye put on that stayed bound: the card's unit is bound dye.
    pub fixed_share: Known,
    /// When the ladder was read, ISO 8601.
    pub date: String,
    /// Scatter.
    pub noise: Noise,
    /// K_max before the ladder is looked at; its factor is taken as one standard deviation.
    pub k_max: Known,
}

impl Terms {
    /// Terms with the usual K_max.
    pub fn new(fixed_share: Known, date: &str, noise: Noise) -> Self {
        Self {
            fixed_share,
            date: date.to_string(),
            noise,
            k_max: Known::assumed(
                K_MAX,
                1.2,
                "limit of K/S near 22 on dyed cloth, brought to this form at K = 10",
            ),
        }
    }
}

/// A rung after the fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Depth as stated, % owf.
    pub depth: f64,
    /// Depth at which the fitted dye looks like this rung, % owf.
    pub depth_found: f64,
    /// K/S that the dye added at the peak, as read. A spectrum recovered from a colour has the colour but no such band: for
    /// it that of the depth found.
    pub ks_read: f64,
    /// The same by the fit, at the stated depth.
    pub ks_fitted: f64,
    /// CIEDE2000 (D65, 10 degrees) between the rung as read and the fit at the stated depth.
    pub off: f64,
    /// The same at the depth found: what the spectrum itself does not explain.
    pub off_shape: f64,
}

/// What a ladder says about a dye.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderFit {
    /// K/S per g of bound dye per kg of cloth.
    pub unit_ks: Spectrum,
    /// Its standard error, band by band. What is wrong with the fixed share is not in it.
    pub unit_error: Spectrum,
    /// Origin of the spectrum: measured, or assumed if it was recovered from colours.
    pub spectrum: Origin,
    /// K_max: measured if the ladder narrows what was assumed to half, else still assumed; as it was, if the spectra were
    /// recovered.
    pub k_max: Known,
    /// Standard error of ln K_max.
    pub k_max_error: f64,
    /// Reflectance of the undyed cloth.
    pub white: Spectrum,
    /// Band with the most K/S.
    pub peak: usize,
    /// The rungs, rising in depth.
    pub rungs: Vec<Fitted>,
    /// Deepest rung, % owf.
    pub deepest: f64,
    /// Mean squared residual in units of the stated noise: near 1 if the model and the noise hold. Above 1 the
    /// errors are widened by its root.
    pub misfit: f64,
    /// Share of the dye put on that was taken as bound.
    pub fixed_share: Known,
    /// Doubts.
    pub findings: Vec<Finding>,
}

impl LadderFit {
    /// The card with what the ladder says put in.
    pub fn card(&self, card: &DyeCard) -> DyeCard {
        DyeCard {
            unit_ks: self.unit_ks,
            spectrum: self.spectrum.clone(),
            k_max: self.k_max.clone(),
            ladder: Some(Ladder {
                deepest: self.deepest,
                fixed_share: self.fixed_share.value,
                error: self.unit_error[self.peak] / self.unit_ks[self.peak].max(f64::MIN_POSITIVE),
                white: self.white,
            }),
            ..card.clone()
        }
    }

    /// Reflectance at a depth put on, % owf.
    pub fn at(&self, depth: f64) -> Spectrum {
        let amount = bound(depth, self.fixed_share.value);
        dyed_reflectance(
            &[(amount, &self.unit_ks)],
            self.k_max.value,
            &ks_spectrum(&self.white),
        )
    }

    /// The warning for a depth (% owf put on) that the ladder does not reach.
    pub fn beyond(&self, depth: f64) -> Option<Finding> {
        (depth > self.deepest * 1.001).then(|| telling::beyond(depth, self.deepest))
    }

    /// K/S of the dye at the peak by the fit, at a depth put on, % owf.
    pub fn ks_at(&self, depth: f64) -> f64 {
        saturated(
            bound(depth, self.fixed_share.value) * self.unit_ks[self.peak],
            self.k_max.value,
        )
    }
}

/// Fits a ladder. Rungs of depth 0 are the undyed cloth; at least one of them and two dyed rungs are needed.
///
/// # Errors
/// Findings if the rungs cannot give a spectrum.
pub fn fit(rungs: &[Rung], terms: &Terms) -> Result<LadderFit, Vec<Finding>> {
    let wrong = telling::unusable(rungs, terms);
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let mut problem = Problem::new(rungs, terms);
    let mut best = problem.solve().ok_or_else(|| vec![telling::no_fit(rungs)])?;
    let (unit_error, k_max_error, misfit) = problem.errors(&best);
    // Bands where noise asks for less than no dye are set to none, and the rest is fitted again.
    while problem.pin_negative(&best.parameters) {
        best = problem.solve().ok_or_else(|| vec![telling::no_fit(rungs)])?;
    }
    let (unit_ks, cloth) = (problem.unit(&best.parameters), problem.cloth(&best.parameters));
    let k_max = best.parameters[0].exp();
    let peak = (0..BANDS)
        .max_by(|a, b| unit_ks[*a].total_cmp(&unit_ks[*b]))
        .unwrap_or(0);
    let recovered = rungs.iter().any(|r| r.recovered);
    let readings: usize = rungs.iter().map(|r| r.readings).sum();
    let measured = Origin::Measured {
        date: terms.date.clone(),
        n: readings as u32,
    };
    let mut out = LadderFit {
        unit_ks,
        unit_error,
        spectrum: if recovered {
            let share = 2.0 * unit_error[peak] / unit_ks[peak].max(f64::MIN_POSITIVE);
            telling::recovered_origin(1.0 + share.max(terms.noise.recovery), &terms.date)
        } else {
            measured.clone()
        },
        k_max: if recovered {
            // The darkest bands of a recovered spectrum are the recovery's, not the dye's.
            terms.k_max.clone()
        } else {
            Known {
                value: k_max,
                origin: if 2.0 * k_max_error < problem.k_max_deviation() {
                    measured
                } else {
                    telling::held_origin(&terms.k_max, k_max_error)
                },
            }
        },
        k_max_error,
        // Noise may ask for a cloth brighter than white.
        white: cloth.map(|k| reflectance(k.max(0.0))),
        peak,
        rungs: Vec::new(),
        deepest: rungs.iter().map(|r| r.depth).fold(0.0, f64::max),
        misfit,
        fixed_share: terms.fixed_share.clone(),
        findings: Vec::new(),
    };
    out.rungs = rungs
        .iter()
        .enumerate()
        .map(|(i, r)| out.fitted(r, problem.offset(&best.parameters, i)))
        .collect();
    out.rungs.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    out.findings = telling::doubts(&out, rungs, terms);
    Ok(out)
}

impl LadderFit {
    fn fitted(&self, rung: &Rung, offset: f64) -> Fitted {
        let seen = |r: &Spectrum| -> Lab { lab(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white()) };
        let read = seen(&rung.reflectance);
        let depth_found = rung.depth * (1.0 + offset);
        Fitted {
            depth: rung.depth,
            depth_found,
            ks_read: if rung.recovered {
                self.ks_at(depth_found)
            } else {
                ks(rung.reflectance[self.peak].max(1e-3)) - ks(self.white[self.peak])
            },
            ks_fitted: self.ks_at(rung.depth),
            off: de2000(read, seen(&self.at(rung.depth))),
            off_shape: de2000(read, seen(&self.at(depth_found))),
        }
    }
}
