//! Any range and step to 400 ... 700 nm in steps of 10 nm, by CIE 167:2005: Sprague's fifth-degree interpolation
//! where readings are evenly spaced, a cubic spline where they are not. What lies beyond the first and last
//! reading repeats the nearest one (CIE 15:2004, 7.2.2.1 and CIE 167 both let unmeasured ends be set so), for at
//! most [`MOST_FILLED_NM`] at an end: farther than that nothing is known.

use crate::spectrum::{BANDS, FIRST_NM, Spectrum, nanometres};

/// How far the ends may be filled with the nearest reading, nm. Under any lamp, 400 to 420 nm carry less than 1 %
/// of Y and 8 % of Z.
pub const MOST_FILLED_NM: f64 = 20.0;

/// Widest gap between readings, nm: CIE 15:2004 tabulates weights for 10 and 20 nm, not for more.
pub const WIDEST_STEP_NM: f64 = 20.0;

/// A reflectance at the bands of a [`Spectrum`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resampled {
    /// The values.
    pub spectrum: Spectrum,
    /// Bands at the ends that repeat the nearest reading.
    pub filled: usize,
    /// Every band was read, none computed.
    pub as_read: bool,
}

/// Why readings cannot be brought to the bands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trouble {
    /// A wavelength stands twice, or wavelengths do not rise.
    NotRising(f64),
    /// The step of the readings says that there should be one here.
    Missing(f64),
    /// Readings lie further apart than [`WIDEST_STEP_NM`], from this wavelength on.
    TooWide(f64),
    /// The range ends here, too far from 400 or 700 nm.
    TooShort(f64),
    /// There are fewer than two readings.
    TooFew,
}

/// Readings (nm, value), rising in nm, at 400, 410, ... 700 nm.
///
/// # Errors
/// What is wrong with the wavelengths.
pub fn resample(readings: &[(f64, f64)]) -> Result<Resampled, Trouble> {
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return Err(Trouble::TooFew);
    };
    let even = spacing(readings)?;
    let (low, high) = (f64::from(FIRST_NM), f64::from(nanometres(BANDS - 1)));
    if first.0 > low + MOST_FILLED_NM {
        return Err(Trouble::TooShort(first.0));
    }
    if last.0 < high - MOST_FILLED_NM {
        return Err(Trouble::TooShort(last.0));
    }
    let values: Vec<f64> = readings.iter().map(|r| r.1).collect();
    let curvature = if even {
        Vec::new()
    } else {
        natural_spline(readings)
    };
    let at = |nm: f64| -> f64 {
        if nm <= first.0 {
            return first.1;
        }
        if nm >= last.0 {
            return last.1;
        }
        if even {
            sprague(&values, (nm - first.0) / (readings[1].0 - first.0))
        } else {
            spline(readings, &curvature, nm)
        }
    };
    let band = |i: usize| f64::from(nanometres(i));
    let read = |nm: f64| readings.iter().any(|r| (r.0 - nm).abs() < SAME_NM);
    Ok(Resampled {
        spectrum: std::array::from_fn(|i| at(band(i))),
        filled: (0..BANDS)
            .filter(|i| band(*i) < first.0 - SAME_NM || band(*i) > last.0 + SAME_NM)
            .count(),
        as_read: (0..BANDS).all(|i| read(band(i))),
    })
}

/// Wavelengths closer than this are the same, nm.
const SAME_NM: f64 = 1e-3;

/// Whether the readings are evenly spaced. Where all steps are multiples of the least, a multiple is a hole.
fn spacing(readings: &[(f64, f64)]) -> Result<bool, Trouble> {
    if readings.len() < 2 {
        return Err(Trouble::TooFew);
    }
    let steps = || readings.windows(2).map(|w| (w[0].0, w[1].0 - w[0].0));
    if let Some((nm, _)) = steps().find(|(_, step)| *step < SAME_NM) {
        return Err(Trouble::NotRising(nm));
    }
    let least = steps().map(|s| s.1).fold(f64::INFINITY, f64::min);
    let multiple = |step: f64| (step / least - (step / least).round()).abs() * least < 10.0 * SAME_NM;
    if steps().all(|(_, step)| multiple(step))
        && let Some((nm, _)) = steps().find(|(_, step)| *step > 1.5 * least)
    {
        return Err(Trouble::Missing(nm + least));
    }
    if let Some((nm, _)) = steps().find(|(_, step)| *step > WIDEST_STEP_NM + SAME_NM) {
        return Err(Trouble::TooWide(nm));
    }
    Ok(steps().all(|(_, step)| step - least < SAME_NM))
}

/// Sprague's interpolation in evenly spaced values at `position` (0 is the first value, 1 the second): the
/// polynomial of fifth degree that has the value, slope and curvature at both ends of its interval that
/// polynomials of fourth degree through five values have. Two values are added at each end (CIE 167:2005).
/// Fewer than six values are joined by straight lines.
pub fn sprague(values: &[f64], position: f64) -> f64 {
    let last = values.len().saturating_sub(1);
    let position = position.clamp(0.0, last as f64);
    let left = (position.floor() as usize).min(last.saturating_sub(1));
    let x = position - left as f64;
    let value = |i: isize| -> f64 { beyond(values, i) };
    if values.len() < 6 {
        return match values {
            [] => f64::NAN,
            [one] => *one,
            _ => values[left] + x * (values[left + 1] - values[left]),
        };
    }
    let [a, b, c, d, e, f]: [f64; 6] = std::array::from_fn(|k| value(left as isize + k as isize - 2));
    let terms = [
        c,
        (2.0 * a - 16.0 * b + 16.0 * d - 2.0 * e) / 24.0,
        (-a + 16.0 * b - 30.0 * c + 16.0 * d - e) / 24.0,
        (-9.0 * a + 39.0 * b - 70.0 * c + 66.0 * d - 33.0 * e + 7.0 * f) / 24.0,
        (13.0 * a - 64.0 * b + 126.0 * c - 124.0 * d + 61.0 * e - 12.0 * f) / 24.0,
        (-5.0 * a + 25.0 * b - 50.0 * c + 50.0 * d - 25.0 * e + 5.0 * f) / 24.0,
    ];
    terms.iter().rev().fold(0.0, |sum, term| sum * x + term)
}

/// A value, or one of the two that are added at each end; `values` has six or more.
fn beyond(values: &[f64], i: isize) -> f64 {
    /// CIE 167:2005, divided by 209: the value two steps and one step before the first.
    const BEFORE: [[f64; 6]; 2] = [
        [884.0, -1960.0, 3033.0, -2648.0, 1080.0, -180.0],
        [508.0, -540.0, 488.0, -367.0, 144.0, -24.0],
    ];
    let last = values.len() as isize - 1;
    let sum = |row: usize, value: &dyn Fn(usize) -> f64| -> f64 {
        BEFORE[row]
            .iter()
            .enumerate()
            .map(|(k, c)| c * value(k))
            .sum::<f64>()
            / 209.0
    };
    match i {
        -2 | -1 => sum((i + 2) as usize, &|k| values[k]),
        _ if i > last => sum(if i == last + 1 { 1 } else { 0 }, &|k| values[last as usize - k]),
        _ => values[i as usize],
    }
}

/// Second derivatives of the natural cubic spline through the readings (tridiagonal system, by elimination).
fn natural_spline(readings: &[(f64, f64)]) -> Vec<f64> {
    let n = readings.len();
    let (mut upper, mut right) = (vec![0.0; n], vec![0.0; n]);
    for i in 1..n - 1 {
        let (h0, h1) = (
            readings[i].0 - readings[i - 1].0,
            readings[i + 1].0 - readings[i].0,
        );
        let slope = (readings[i + 1].1 - readings[i].1) / h1 - (readings[i].1 - readings[i - 1].1) / h0;
        let pivot = 2.0 * (h0 + h1) - h0 * upper[i - 1];
        upper[i] = h1 / pivot;
        right[i] = (6.0 * slope - h0 * right[i - 1]) / pivot;
    }
    let mut second = vec![0.0; n];
    for i in (1..n - 1).rev() {
        second[i] = right[i] - upper[i] * second[i + 1];
    }
    second
}

fn spline(readings: &[(f64, f64)], second: &[f64], nm: f64) -> f64 {
    let right = readings
        .partition_point(|r| r.0 < nm)
        .clamp(1, readings.len() - 1);
    let ((x0, y0), (x1, y1)) = (readings[right - 1], readings[right]);
    let h = x1 - x0;
    let (a, b) = ((x1 - nm) / h, (nm - x0) / h);
    a * y0 + b * y1 + ((a.powi(3) - a) * second[right - 1] + (b.powi(3) - b) * second[right]) * h * h / 6.0
}
