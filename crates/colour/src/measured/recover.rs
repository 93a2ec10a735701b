//! A reflectance for a colour: the smoothest one that has it.
//!
//! Method: least slope, Meng, Simon, Hanika, Dachsbacher, "Physically meaningful rendering using tristimulus
//! colours", Computer Graphics Forum 34(4) (2015) 31-40: of all reflectances with the wanted XYZ, the one whose
//! squared differences between bands have the least sum. Bounds are kept by an active set (Stark and Parker,
//! Computational Statistics 10 (1995) 129-141). Where no reflectance has the colour the nearest in XYZ is given,
//! and how far off it is.

use crate::difference::de2000;
use crate::screen;
use crate::spaces::{Lab, Xyz, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};

/// No cloth is blacker in any band, and K/S stays finite.
const LEAST: f64 = 0.001;

/// Weight of the colour against the slope: XYZ (on 0 ... 1) comes back within 1e-6.
const COLOUR_WEIGHT: f64 = 1e6;

/// A recovered reflectance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovered {
    /// Reflectance, 0.001 to 1.
    pub reflectance: Spectrum,
    /// CIEDE2000 distance of its colour from the one asked for: above 0 where no reflectance has it.
    pub off: f64,
}

/// The smoothest reflectance with this colour (Y = 100 for the perfect white). Not a number in, not a number out.
pub fn recover(colour: Xyz, viewing: Viewing) -> Recovered {
    let reflectance = least_slope(colour.to_array().map(|v| v / 100.0), viewing);
    let white = viewing.white();
    Recovered {
        reflectance,
        off: de2000(lab(xyz(&reflectance, viewing), white), lab(colour, white)),
    }
}

/// The smoothest reflectance with this CIELAB colour.
pub fn recover_lab(colour: Lab, viewing: Viewing) -> Recovered {
    recover(colour.xyz(viewing.white()), viewing)
}

/// The smoothest reflectance that a screen shows as this colour. Screens and daylight are joined as everywhere
/// in this crate: the perfect white under D65, 10 degrees is the screen's white ([`screen::to_linear`]).
pub fn recover_hex(bytes: [u8; 3]) -> Recovered {
    let seen = screen::xyz_from_linear(screen::from_bytes(bytes));
    let adapt = screen::bradford(screen::WHITE, Viewing::DAYLIGHT.white());
    recover(
        Xyz::from_array(screen::apply(&adapt, seen.to_array())),
        Viewing::DAYLIGHT,
    )
}

/// Where a band stands in the active set.
#[derive(Clone, Copy, PartialEq)]
enum At {
    Free,
    Least,
    Most,
}

fn least_slope(target: [f64; 3], viewing: Viewing) -> Spectrum {
    if target.iter().any(|v| !v.is_finite()) {
        return [f64::NAN; BANDS];
    }
    let (quadratic, linear) = normal_equations(target, viewing);
    let mut at = [At::Free; BANDS];
    let mut r: Spectrum = [0.5; BANDS];
    // Each round fixes or frees one band; the objective never rises. The cap is far above what is met (12).
    for _ in 0..40 * BANDS {
        let wanted = solve(&quadratic, &linear, &r, &at);
        // The farthest step towards it that stays inside, and the band that stops it.
        let (mut step, mut stop) = (1.0, None);
        for band in (0..BANDS).filter(|b| at[*b] == At::Free) {
            let move_by = wanted[band] - r[band];
            let (bound, side) = if move_by < 0.0 {
                (LEAST, At::Least)
            } else {
                (1.0, At::Most)
            };
            let beyond = (wanted[band] - bound) * move_by.signum() > 1e-12;
            if beyond && (bound - r[band]) / move_by < step {
                step = ((bound - r[band]) / move_by).max(0.0);
                stop = Some((band, side));
            }
        }
        for band in 0..BANDS {
            r[band] += step * (wanted[band] - r[band]);
        }
        match stop {
            Some((band, side)) => {
                at[band] = side;
                r[band] = if side == At::Least { LEAST } else { 1.0 };
            }
            None => match released(&quadratic, &linear, &r, &at) {
                Some(band) => at[band] = At::Free,
                None => break,
            },
        }
    }
    r.map(|v| v.clamp(LEAST, 1.0))
}

type Square = [[f64; BANDS]; BANDS];

/// Half the second derivatives of slope plus colour error, and the right-hand side.
fn normal_equations(target: [f64; 3], viewing: Viewing) -> (Square, Spectrum) {
    let weights = viewing.weights();
    let mut quadratic = [[0.0; BANDS]; BANDS];
    let mut linear = [0.0; BANDS];
    for i in 0..BANDS {
        for j in 0..BANDS {
            quadratic[i][j] =
                COLOUR_WEIGHT * (0..3).map(|a| weights[i][a] * weights[j][a]).sum::<f64>() / 1e4;
        }
        linear[i] = COLOUR_WEIGHT * (0..3).map(|a| weights[i][a] * target[a]).sum::<f64>() / 1e2;
    }
    for i in 0..BANDS - 1 {
        quadratic[i][i] += 1.0;
        quadratic[i + 1][i + 1] += 1.0;
        quadratic[i][i + 1] -= 1.0;
        quadratic[i + 1][i] -= 1.0;
    }
    (quadratic, linear)
}

/// The best values of the free bands with the others where they are (Cholesky).
fn solve(quadratic: &Square, linear: &Spectrum, r: &Spectrum, at: &[At; BANDS]) -> Spectrum {
    let free: Vec<usize> = (0..BANDS).filter(|b| at[*b] == At::Free).collect();
    let mut lower = vec![vec![0.0; free.len()]; free.len()];
    let mut x = vec![0.0; free.len()];
    for (i, bi) in free.iter().enumerate() {
        for (j, bj) in free.iter().enumerate().take(i + 1) {
            let dot: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = quadratic[*bi][*bj] - dot;
            lower[i][j] = if i == j {
                rest.max(f64::MIN_POSITIVE).sqrt()
            } else {
                rest / lower[j][j]
            };
        }
        let fixed: f64 = (0..BANDS)
            .filter(|b| at[*b] != At::Free)
            .map(|b| quadratic[*bi][b] * r[b])
            .sum();
        let dot: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (linear[*bi] - fixed - dot) / lower[i][i];
    }
    for i in (0..free.len()).rev() {
        let dot: f64 = (i + 1..free.len()).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (x[i] - dot) / lower[i][i];
    }
    let mut out = *r;
    for (band, value) in free.iter().zip(x) {
        out[*band] = value;
    }
    out
}

/// The fixed band that wants most to come off its bound.
fn released(quadratic: &Square, linear: &Spectrum, r: &Spectrum, at: &[At; BANDS]) -> Option<usize> {
    let pull = |band: usize| -> f64 {
        let slope: f64 = quadratic[band].iter().zip(r).map(|(q, v)| q * v).sum::<f64>() - linear[band];
        match at[band] {
            At::Free => 0.0,
            At::Least => -slope,
            At::Most => slope,
        }
    };
    (0..BANDS)
        .filter(|b| pull(*b) > 1e-6)
        .max_by(|a, b| pull(*a).total_cmp(&pull(*b)))
}
