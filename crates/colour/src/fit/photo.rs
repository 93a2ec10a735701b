//! No instrument: a ladder photographed beside a grey card, or beside a target of known patches.
//!
//! Numbers only: the means of patches, linear in light (the camera's curve undone), 0 to 1. What comes out is marked
//! recovered; a card fitted from it is an assumption with a factor, not a measurement.

use super::ladder::Rung;
use super::triangle::factor;
use crate::measured::{Recovered, recover};
use crate::screen::{self, Matrix, apply};
use crate::spaces::Xyz;
use crate::viewing::Viewing;
use words::{Arg, Finding, Place, Weight, say};

/// From a camera's linear colours to XYZ (Y = 100, D65, 10 degrees).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    matrix: Matrix,
}

/// A channel from here on is clipped or nearly so: 1 is the sensor's end.
const CLIPPED: f64 = 0.98;

/// Fewest patches of a target: three per channel are determined, as many again check them.
const PATCHES: usize = 6;

impl Correction {
    /// From the grey card alone: the camera's colours are taken to be sRGB's once the card is neutral at its
    /// reflectance (0.18 for the common card). Saturated colours are off by several dE00.
    ///
    /// # Errors
    /// A finding if the card's patch is dark or clipped, or its reflectance is none.
    pub fn from_grey(grey: [f64; 3], reflectance: f64, place: &Place) -> Result<Self, Finding> {
        usable(grey, place)?;
        if !(0.02..=1.0).contains(&reflectance) {
            return Err(no_grey(reflectance, place));
        }
        let gain = grey.map(|v| reflectance / v);
        let adapt = screen::bradford(screen::WHITE, Viewing::DAYLIGHT.white());
        // Column by column: what a camera sees in one channel alone.
        let column = |channel: usize| {
            let mut linear = [0.0; 3];
            linear[channel] = gain[channel];
            apply(&adapt, screen::xyz_from_linear(linear).to_array())
        };
        let columns = [column(0), column(1), column(2)];
        Ok(Self {
            matrix: std::array::from_fn(|axis| std::array::from_fn(|channel| columns[channel][axis])),
        })
    }

    /// From patches of known colour (Y = 100, D65, 10 degrees): the matrix with the least squared error.
    ///
    /// # Errors
    /// A finding if there are fewer than six patches, one is dark or clipped, or they do not differ in all channels.
    pub fn from_target(patches: &[([f64; 3], Xyz)], place: &Place) -> Result<Self, Finding> {
        if patches.len() < PATCHES {
            return Err(few_patches(patches.len(), place));
        }
        for (rgb, _) in patches {
            usable(*rgb, place)?;
        }
        let columns: Vec<Vec<f64>> = (0..3).map(|c| patches.iter().map(|p| p.0[c]).collect()).collect();
        let mut matrix = [[0.0; 3]; 3];
        for (axis, row) in matrix.iter_mut().enumerate() {
            let right = patches.iter().map(|p| p.1.to_array()[axis]).collect();
            let triangle = factor(columns.clone(), right);
            if triangle.inverse_square().is_none() {
                return Err(few_patches(patches.len(), place));
            }
            for (entry, value) in row.iter_mut().zip(triangle.damped(&[0.0; 3], 0.0)) {
                *entry = value;
            }
        }
        Ok(Self { matrix })
    }

    /// Colour of a patch.
    pub fn colour(&self, rgb: [f64; 3]) -> Xyz {
        Xyz::from_array(apply(&self.matrix, rgb))
    }

    /// A rung of a ladder from its patch.
    ///
    /// # Errors
    /// A finding if the patch is dark or clipped.
    pub fn rung(&self, rgb: [f64; 3], depth: f64, readings: usize, place: &Place) -> Result<Rung, Finding> {
        usable(rgb, place)?;
        let Recovered { reflectance, .. } = recover(self.colour(rgb), Viewing::DAYLIGHT);
        Ok(Rung {
            depth,
            reflectance,
            readings,
            recovered: true,
            place: place.clone(),
        })
    }
}

fn usable(rgb: [f64; 3], place: &Place) -> Result<(), Finding> {
    if rgb.iter().all(|v| *v > 0.0 && *v < CLIPPED) {
        return Ok(());
    }
    let [r, g, b] = rgb.map(|v| Arg::Number(v, 3));
    Err(Finding::new(
        "photo-clipped",
        Weight::Wrong,
        place.clone(),
        say!(
            "This patch is too dark or too bright: {r}, {g}, {b}.",
            "Bidang ini terlalu gelap atau terlalu terang: {r}, {g}, {b}.",
            r = r,
            g = g,
            b = b
        ),
    )
    .allow(say!(
        "Every channel lies above 0 and below {most} of the camera's range.",
        "Setiap saluran lebih dari 0 dan kurang dari {most} jangkauan kamera.",
        most = Arg::Number(CLIPPED, 2)
    ))
    .remedy(say!(
        "Photograph it again in open shade, a stop darker, without a warm wall or coloured shade near it.",
        "Foto lagi di tempat teduh terbuka, satu stop lebih gelap, jauh dari dinding atau naungan berwarna."
    )))
}

fn no_grey(reflectance: f64, place: &Place) -> Finding {
    Finding::new(
        "photo-grey",
        Weight::Wrong,
        place.clone(),
        say!(
            "The grey card's reflectance is {found}.",
            "Reflektansi kartu abu-abu {found}.",
            found = Arg::Number(reflectance, 3)
        ),
    )
    .allow(say!(
        "Between 0.02 and 1; the common card has 0.18.",
        "Antara 0,02 dan 1; kartu yang lazim 0,18."
    ))
}

fn few_patches(found: usize, place: &Place) -> Finding {
    Finding::new(
        "photo-patches",
        Weight::Wrong,
        place.clone(),
        say!(
            "{found} patches do not tell how this camera sees.",
            "{found} bidang belum cukup untuk mengetahui penglihatan kamera ini.",
            found = Arg::Number(found as f64, 0)
        ),
    )
    .allow(say!(
        "At least {least} patches of different colours.",
        "Paling sedikit {least} bidang dengan warna berbeda.",
        least = Arg::Number(PATCHES as f64, 0)
    ))
}
