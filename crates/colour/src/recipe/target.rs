//! The colour that is wanted, and what a recipe is tried against.

use super::optics::{BANDS_USED, Light, Row, chain, dot, row};
use super::quadratic::Quadratic;
use crate::difference::{de2000, de2000_vector};
use crate::screen::{WHITE, apply, bradford, from_bytes, xyz_from_linear};
use crate::spaces::{Lab, Xyz, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};
use words::{Arg, Finding, Place, Weight, say};

/// The colour that is wanted on the finished cloth.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// A reflectance that was measured: matches can be tried under every lamp.
    Measured(Spectrum),
    /// A reflectance made up from a colour: good for a guess at lamps, but it makes no statement about metamerism.
    Recovered(Spectrum),
    /// A colour in daylight (D65, 10 degrees) and nothing else.
    Colour(Lab),
}

/// What makes a recipe good.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Objective {
    /// Same reflectance: weighted least squares in R, the weights being how much the eye in daylight takes of a
    /// band. Matches under any lamp, as far as the dyes can.
    Spectrum,
    /// Least CIEDE2000 in daylight.
    Daylight,
    /// Least sum of squared CIEDE2000 under D65, A and F11, daylight weighing twice.
    Lights,
}

/// Weights of D65, A and F11 in [`Objective::Lights`]: cloth is judged by day first.
pub(crate) const LIGHT_WEIGHTS: [f64; 3] = [0.5, 0.25, 0.25];

impl Target {
    /// Reads "#c83c28" or "c83c28": a colour of the screen (sRGB), adapted to how cloth is judged.
    ///
    /// # Errors
    /// A finding at `place` if it is not six hexadecimal digits.
    pub fn from_hex(text: &str, place: &Place) -> Result<Self, Finding> {
        let digits = text.trim().trim_start_matches('#');
        let byte = |at: usize| {
            digits
                .get(at..at + 2)
                .and_then(|d| u8::from_str_radix(d, 16).ok())
        };
        let hexadecimal = digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit());
        let (true, Some(r), Some(g), Some(b)) = (hexadecimal, byte(0), byte(2), byte(4)) else {
            return Err(Finding::new(
                "target-hex",
                Weight::Wrong,
                place.clone(),
                say!(
                    "\"{found}\" is not a screen colour.",
                    "\"{found}\" bukan warna layar.",
                    found = Arg::Name(text.to_string())
                ),
            )
            .allow(say!(
                "A screen colour is # and six digits 0-9 or a-f: \"{example}\".",
                "Warna layar ditulis # dan enam digit 0-9 atau a-f: \"{example}\".",
                example = Arg::Name("#c83c28".to_string())
            )));
        };
        let white = Viewing::DAYLIGHT.white();
        let seen = xyz_from_linear(from_bytes([r, g, b])).to_array();
        let adapted = Xyz::from_array(apply(&bradford(WHITE, white), seen));
        Ok(Self::Colour(lab(adapted, white)))
    }

    /// The colour in daylight.
    pub fn lab(&self) -> Lab {
        match self {
            Self::Measured(r) | Self::Recovered(r) => {
                lab(xyz(r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white())
            }
            Self::Colour(lab) => *lab,
        }
    }

    /// The reflectance, measured or recovered.
    pub fn reflectance(&self) -> Option<&Spectrum> {
        match self {
            Self::Measured(r) | Self::Recovered(r) => Some(r),
            Self::Colour(_) => None,
        }
    }

    /// The objective for want of another: all lights if the target was measured, else daylight.
    pub const fn objective(&self) -> Objective {
        match self {
            Self::Measured(_) => Objective::Lights,
            Self::Recovered(_) | Self::Colour(_) => Objective::Daylight,
        }
    }

    /// What is wrong with it as a target for this objective.
    pub(crate) fn fault(&self, objective: Objective) -> Option<Finding> {
        let fit = match self {
            Self::Measured(r) | Self::Recovered(r) => r.iter().all(|v| *v > 0.0 && *v <= 1.2),
            Self::Colour(c) => [c.l, c.a, c.b].iter().all(|v| v.is_finite()) && c.l >= 0.0,
        };
        if !fit {
            return Some(
                Finding::new(
                    "target-number",
                    Weight::Wrong,
                    Place::Request,
                    say!(
                        "The target is no colour of a cloth.",
                        "Sasaran ini bukan warna kain."
                    ),
                )
                .allow(say!(
                    "Reflectance lies above 0 and up to 1.2; L* is 0 or more; all are numbers.",
                    "Reflektansi di atas 0 sampai 1,2; L* paling kecil 0; semuanya berupa angka."
                )),
            );
        }
        if objective != Objective::Daylight && self.reflectance().is_none() {
            return Some(
                Finding::new(
                    "target-without-spectrum",
                    Weight::Wrong,
                    Place::Request,
                    say!(
                        "The target is a colour in daylight; how it looks under a lamp is not known.",
                        "Sasaran ini warna di cahaya siang; rupanya di bawah lampu tidak diketahui."
                    ),
                )
                .remedy(say!(
                    "Measure the target's reflectance, or look for a match in daylight.",
                    "Ukur reflektansi sasaran, atau cari yang cocok di cahaya siang."
                )),
            );
        }
        None
    }
}

/// What a search makes small.
pub(crate) enum Aim {
    /// Reflectance and the root of each band's weight, times 100.
    Spectrum { goal: Row, weight: Row },
    /// Colours under the lights, and the root of each light's weight; lights of weight 0 are not computed.
    Lights { goal: [Lab; 3], weight: [f64; 3] },
}

impl Aim {
    pub fn new(target: &Target, objective: Objective, lights: &[Light; 3]) -> Self {
        let reflectance = target.reflectance().map(row);
        match (objective, reflectance) {
            (Objective::Spectrum, Some(goal)) => Self::Spectrum {
                goal,
                weight: eye(&lights[0]),
            },
            (Objective::Lights, Some(goal)) => Self::Lights {
                goal: std::array::from_fn(|i| lights[i].lab(&goal)),
                weight: LIGHT_WEIGHTS.map(f64::sqrt),
            },
            _ => Self::Lights {
                goal: [target.lab(); 3],
                weight: [1.0, 0.0, 0.0],
            },
        }
    }

    /// Half the sum of squared residuals of a reflectance.
    pub fn value(&self, r: &Row, lights: &[Light; 3]) -> f64 {
        match self {
            Self::Spectrum { goal, weight } => {
                let off: Row = std::array::from_fn(|b| weight[b] * (r[b] - goal[b]));
                dot(&off, &off) / 2.0
            }
            Self::Lights { goal, weight } => {
                let one = |i: usize| {
                    let d = de2000(goal[i], lights[i].lab(r));
                    (weight[i] * d).powi(2) / 2.0
                };
                (0..3).filter(|i| weight[*i] > 0.0).map(one).sum()
            }
        }
    }

    /// As [`Aim::value`], with its Gauss-Newton expansion: `slopes` are dR of each unknown.
    pub fn expand<const N: usize>(
        &self,
        r: &Row,
        slopes: &[Row],
        lights: &[Light; 3],
        form: &mut Quadratic<N>,
    ) -> f64 {
        let mut value = 0.0;
        let mut slope = [0.0; N];
        match self {
            Self::Spectrum { goal, weight } => {
                for b in BANDS_USED {
                    for (slope, row) in slope.iter_mut().zip(slopes) {
                        *slope = weight[b] * row[b];
                    }
                    let off = weight[b] * (r[b] - goal[b]);
                    form.add(off, &slope);
                    value += off * off / 2.0;
                }
            }
            Self::Lights { goal, weight } => {
                for i in (0..3).filter(|i| weight[*i] > 0.0) {
                    let (here, along_xyz) = lights[i].lab_slope(r);
                    let (off, along_lab) = de2000_vector(goal[i], here);
                    let along = chain(&along_lab, &along_xyz).map(|row| row.map(|v| v * weight[i]));
                    let mut xyz = [[0.0; 3]; N];
                    for (xyz, row) in xyz.iter_mut().zip(slopes) {
                        *xyz = std::array::from_fn(|axis| dot(&lights[i].weights[axis], row));
                    }
                    for (off, [x, y, z]) in off.iter().map(|o| o * weight[i]).zip(along) {
                        for (slope, at) in slope.iter_mut().zip(&xyz).take(slopes.len()) {
                            *slope = x * at[0] + y * at[1] + z * at[2];
                        }
                        form.add(off, &slope);
                        value += off * off / 2.0;
                    }
                }
            }
        }
        value
    }
}

/// Root of the share of each band in what the eye takes from daylight (mean of X, Y, Z; mean over bands 1), times
/// 100; a twentieth is added so that no band is free.
fn eye(daylight: &Light) -> Row {
    let white = daylight.white.to_array();
    let share = |b: usize| {
        (0..3)
            .map(|axis| daylight.weights[axis][b].max(0.0) / white[axis])
            .sum::<f64>()
            / 3.0
            * BANDS as f64
    };
    std::array::from_fn(|b| {
        if b < BANDS {
            100.0 * ((share(b) + 0.05) / 1.05).sqrt()
        } else {
            0.0
        }
    })
}
