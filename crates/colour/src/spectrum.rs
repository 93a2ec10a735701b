//! Spectra: 31 values from 400 to 700 nm.

use crate::table::Table;
use std::sync::LazyLock;
use words::{Arg, Finding, Place, Weight, say};

/// Number of bands of a [`Spectrum`].
pub const BANDS: usize = 31;
/// First wavelength, nm.
pub const FIRST_NM: u32 = 400;
/// Step between bands, nm.
pub const STEP_NM: u32 = 10;

/// A value at 400, 410, ... 700 nm: reflectance factor (0 to 1) or K/S (0 and more), as the context says.
pub type Spectrum = [f64; BANDS];

/// Wavelength of a band, nm.
pub const fn nanometres(band: usize) -> u32 {
    FIRST_NM + STEP_NM * band as u32
}

/// A spectrum from a list of values as it stands in a file.
///
/// # Errors
/// A finding at `place` if there are not 31 values, or one is not a finite number.
pub fn spectrum_from(values: &[f64], place: &Place) -> Result<Spectrum, Finding> {
    let allowed = || {
        say!(
            "A spectrum has {bands} numbers: 400 to 700 nm in steps of 10 nm.",
            "Spektrum terdiri dari {bands} angka: 400 sampai 700 nm, selang 10 nm.",
            bands = Arg::Number(BANDS as f64, 0)
        )
    };
    let Ok(spectrum) = Spectrum::try_from(values) else {
        return Err(Finding::new(
            "spectrum-length",
            Weight::Wrong,
            place.clone(),
            say!(
                "This spectrum has {found} numbers.",
                "Spektrum ini berisi {found} angka.",
                found = Arg::Number(values.len() as f64, 0)
            ),
        )
        .allow(allowed()));
    };
    match spectrum.iter().position(|v| !v.is_finite()) {
        None => Ok(spectrum),
        Some(band) => Err(Finding::new(
            "spectrum-number",
            Weight::Wrong,
            place.clone(),
            say!(
                "The value at {nm} nm is not a number.",
                "Nilai pada {nm} nm bukan angka.",
                nm = Arg::Number(f64::from(nanometres(band)), 0)
            ),
        )
        .allow(allowed())),
    }
}

/// Reflectance of bleached white cotton, opaque, from `data/white_cotton.csv` (common practice, no source;
/// good to 0.01).
pub fn white_cotton() -> &'static Spectrum {
    static COTTON: LazyLock<Spectrum> = LazyLock::new(|| {
        let column = Table::built_in(include_str!("../data/white_cotton.csv")).column("R");
        Spectrum::try_from(column).unwrap_or_else(|c| panic!("white cotton has {} rows", c.len()))
    });
    &COTTON
}
