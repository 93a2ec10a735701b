//! The tables a picture kernel needs: everything from grams of dye to a screen colour, in f32.

use crate::dye::{DyeCard, joint_k_max};
use crate::kubelka_munk::ks_spectrum;
use crate::screen::to_linear;
use crate::spectrum::{BANDS, Spectrum, white_cotton};
use crate::viewing::{Illuminant, Observer, Viewing};

/// From g of dye per kg of cloth to linear sRGB, band by band:
/// `k = sum amount * unit`, `k = k / (1 + k / k_max) + substrate`, `r = 1 / (1 + k + sqrt(k * (k + 2)))`,
/// `rgb = to_rgb * r`.
#[derive(Clone, Debug, PartialEq)]
pub struct BandTables {
    /// K/S of the undyed cloth.
    pub substrate: [f32; BANDS],
    /// K/S per g of dye per kg of cloth, one row a dye, in the order the cards were given.
    pub unit: Vec<[f32; BANDS]>,
    /// K_max of this set of dyes: see [`joint_k_max`].
    pub k_max: f32,
    /// Reflectance to linear sRGB under the light, 10 degrees. The perfect white is taken to the screen's white by the
    /// Bradford transform, so each row sums to 1. Values may leave 0 ... 1: see [`crate::screen::clip`].
    pub to_rgb: [[f32; BANDS]; 3],
    /// Reflectance to XYZ (Y = 100) under the light, 10 degrees.
    pub to_xyz: [[f32; BANDS]; 3],
}

impl Default for BandTables {
    fn default() -> Self {
        Self::new()
    }
}

impl BandTables {
    /// Tables for white cotton that has no dyes yet.
    pub fn new() -> Self {
        Self::of(white_cotton(), &[])
    }

    /// Tables for a cloth of this reflectance and these dyes, in daylight (D65).
    pub fn of(cloth_reflectance: &Spectrum, dyes: &[&DyeCard]) -> Self {
        Self::under(cloth_reflectance, dyes, Illuminant::D65)
    }

    /// The same under another light, as an eye sees it that is used to that light.
    pub fn under(cloth_reflectance: &Spectrum, dyes: &[&DyeCard], illuminant: Illuminant) -> Self {
        let viewing = Viewing {
            illuminant,
            observer: Observer::TenDegrees,
        };
        let weights = viewing.weights();
        let matrix = to_linear(viewing.white());
        let rgb = |channel: usize, band: usize| -> f64 {
            (0..3)
                .map(|axis| matrix[channel][axis] * weights[band][axis])
                .sum()
        };
        Self {
            substrate: ks_spectrum(cloth_reflectance).map(|v| v as f32),
            unit: dyes.iter().map(|d| d.unit_ks.map(|v| v as f32)).collect(),
            k_max: joint_k_max(dyes) as f32,
            to_rgb: std::array::from_fn(|c| std::array::from_fn(|b| rgb(c, b) as f32)),
            to_xyz: std::array::from_fn(|axis| std::array::from_fn(|b| weights[b][axis] as f32)),
        }
    }

    /// One point of cloth, for tests and single swatches: amounts in g per kg, in the order of the dyes. Amounts
    /// beyond the list of dyes are not read.
    pub fn linear(&self, amounts: &[f32]) -> [f32; 3] {
        let mut rgb = [0.0; 3];
        for band in 0..BANDS {
            let k: f32 = amounts
                .iter()
                .zip(&self.unit)
                .map(|(a, unit)| a * unit[band])
                .sum();
            let k = k / (1.0 + k / self.k_max) + self.substrate[band];
            let r = 1.0 / (1.0 + k + (k * (k + 2.0)).sqrt());
            for (channel, row) in rgb.iter_mut().zip(&self.to_rgb) {
                *channel += r * row[band];
            }
        }
        rgb
    }
}
