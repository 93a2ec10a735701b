//! The tables a picture kernel needs: everything from grams of dye to a screen colour, in f32.

use crate::dye::{DyeCard, joint_k_max};
use crate::kubelka_munk::ks_spectrum;
use crate::screen::to_linear;
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::Viewing;

/// From g of dye per kg of cloth to linear sRGB, band by band:
/// `k = sum amount * unit_ks`, `k = k / (1 + k * inverse_k_max) + cloth_ks`, `r = 1 / (1 + k + sqrt(k * (k + 2)))`,
/// `rgb = to_linear * r`.
#[derive(Clone, Debug, PartialEq)]
pub struct BandTables {
    /// K/S of the undyed cloth.
    pub cloth_ks: [f32; BANDS],
    /// K/S per g of dye per kg of cloth, one row a dye, in the order the cards were given.
    pub unit_ks: Vec<[f32; BANDS]>,
    /// 1 / K_max of this set of dyes.
    pub inverse_k_max: f32,
    /// Reflectance to linear sRGB under D65, 10 degrees. The perfect white is taken to the screen's white by the
    /// Bradford transform, so each row sums to 1. Values may leave 0 ... 1: see [`crate::screen::clip`].
    pub to_linear: [[f32; BANDS]; 3],
    /// Reflectance to XYZ (Y = 100), D65, 10 degrees.
    pub to_xyz: [[f32; BANDS]; 3],
}

impl BandTables {
    /// Tables for a cloth of this reflectance and these dyes.
    pub fn new(cloth_reflectance: &Spectrum, dyes: &[&DyeCard]) -> Self {
        let weights = Viewing::DAYLIGHT.weights();
        let matrix = to_linear(Viewing::DAYLIGHT.white());
        let rgb = |channel: usize, band: usize| -> f64 {
            (0..3)
                .map(|axis| matrix[channel][axis] * weights[band][axis])
                .sum()
        };
        Self {
            cloth_ks: ks_spectrum(cloth_reflectance).map(|v| v as f32),
            unit_ks: dyes.iter().map(|d| d.unit_ks.map(|v| v as f32)).collect(),
            inverse_k_max: (1.0 / joint_k_max(dyes)) as f32,
            to_linear: std::array::from_fn(|c| std::array::from_fn(|b| rgb(c, b) as f32)),
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
                .zip(&self.unit_ks)
                .map(|(a, unit)| a * unit[band])
                .sum();
            let k = k / (1.0 + k * self.inverse_k_max) + self.cloth_ks[band];
            let r = 1.0 / (1.0 + k + (k * (k + 2.0)).sqrt());
            for (channel, row) in rgb.iter_mut().zip(&self.to_linear) {
                *channel += r * row[band];
            }
        }
        rgb
    }
}
