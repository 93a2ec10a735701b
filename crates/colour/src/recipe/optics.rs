//! From amounts of dye to colours and back down their slopes: analytic derivatives of the f64 reference.

use crate::spaces::{Lab, Xyz, lab};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Illuminant, Observer, Viewing};

/// Bands, padded with zeros to a whole number of SIMD lanes.
pub(crate) const WIDE: usize = 32;
pub(crate) type Row = [f64; WIDE];

/// The bands that carry something.
pub(crate) const BANDS_USED: std::ops::Range<usize> = 0..BANDS;

/// A spectrum with its padding.
pub(crate) fn row(spectrum: &Spectrum) -> Row {
    let mut row = [0.0; WIDE];
    row[..BANDS].copy_from_slice(spectrum);
    row
}

/// A row without its padding.
pub(crate) fn spectrum(row: &Row) -> Spectrum {
    std::array::from_fn(|b| row[b])
}

/// Sum of products, in four lanes.
pub(crate) fn dot(one: &Row, other: &Row) -> f64 {
    let mut sum = [0.0; 4];
    for (a, b) in one.chunks_exact(4).zip(other.chunks_exact(4)) {
        for lane in 0..4 {
            sum[lane] += a[lane] * b[lane];
        }
    }
    (sum[0] + sum[1]) + (sum[2] + sum[3])
}

/// `sum += factor * row`.
pub(crate) fn add(sum: &mut Row, factor: f64, row: &Row) {
    for (s, r) in sum.iter_mut().zip(row) {
        *s += factor * r;
    }
}

/// Reflectance of cloth with this K of dyes (before levelling off), as [`crate::kubelka_munk::dyed_reflectance`].
pub(crate) fn reflectance(dyes: &Row, cloth: &Row, k_max: f64) -> Row {
    std::array::from_fn(|b| {
        let k = dyes[b] / (1.0 + dyes[b] / k_max) + cloth[b];
        1.0 / (1.0 + k + (k * (k + 2.0)).sqrt())
    })
}

/// Reflectance, and how it falls with the dyes' K.
pub(crate) fn reflectance_slope(dyes: &Row, cloth: &Row, k_max: f64) -> (Row, Row) {
    let mut r = [0.0; WIDE];
    let mut slope = [0.0; WIDE];
    for b in 0..WIDE {
        let seen = 1.0 / (1.0 + dyes[b] / k_max);
        let k = dyes[b] * seen + cloth[b];
        let root = (k * (k + 2.0)).sqrt();
        r[b] = 1.0 / (1.0 + k + root);
        // R falls infinitely fast from the perfect white; the guard keeps the padding and such cloth finite.
        slope[b] = -r[b] / root.max(1e-6) * seen * seen;
    }
    (r, slope)
}

/// Weights of one light, one row an axis, and its white.
pub(crate) struct Light {
    pub weights: [Row; 3],
    pub white: Xyz,
}

impl Light {
    /// The lights of a recipe, 10 degrees, in the order of [`Illuminant::ALL`].
    pub fn all() -> [Self; 3] {
        Illuminant::ALL.map(|illuminant| {
            let viewing = Viewing {
                illuminant,
                observer: Observer::TenDegrees,
            };
            let weights = viewing.weights();
            Self {
                weights: std::array::from_fn(|axis| row(&std::array::from_fn(|b| weights[b][axis]))),
                white: viewing.white(),
            }
        })
    }

    pub fn xyz(&self, reflectance: &Row) -> Xyz {
        Xyz::from_array(std::array::from_fn(|axis| dot(&self.weights[axis], reflectance)))
    }

    pub fn lab(&self, reflectance: &Row) -> Lab {
        lab(self.xyz(reflectance), self.white)
    }

    /// CIELAB, and its slope along XYZ: `slope[i][axis]` is d(L, a, b)[i] / d(X, Y, Z)[axis].
    pub fn lab_slope(&self, reflectance: &Row) -> (Lab, [[f64; 3]; 3]) {
        let lab = self.lab(reflectance);
        let y = (lab.l + 16.0) / 116.0;
        // Slope of the cube root, or of its straight foot, from its value (CIE 15:2004).
        let slope = |root: f64, white: f64| {
            if root > 24.0 / 116.0 {
                1.0 / (3.0 * root * root * white)
            } else {
                841.0 / (108.0 * white)
            }
        };
        let x = slope(y + lab.a / 500.0, self.white.x);
        let z = slope(y - lab.b / 200.0, self.white.z);
        let y = slope(y, self.white.y);
        let slopes = [
            [0.0, 116.0 * y, 0.0],
            [500.0 * x, -500.0 * y, 0.0],
            [0.0, 200.0 * y, -200.0 * z],
        ];
        (lab, slopes)
    }
}

/// Product of 3x3 slopes.
pub(crate) fn chain(outer: &[[f64; 3]; 3], inner: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| outer[i][k] * inner[k][j]).sum()))
}
