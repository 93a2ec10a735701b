//! Measurements in: reflectances, CIELAB or XYZ values, and screen colours from text files.
//!
//! [`read`] takes CGATS.17 / ISO 28178 text or CSV and gives [`Reading`]s at 400 to 700 nm and findings with file
//! and line; [`samples`] joins several readings of a sample. Nothing is guessed in silence: a file that does not
//! say whether its reflectances are fractions or percent is answered with a question, and readings are given only
//! once it is answered ([`Stated::scale`]).
//!
//! To read another kind of file, add a module that fills a [`table::Table`] and call it from [`read`].

mod assemble;
mod cgats;
mod columns;
mod csv;
mod geometry;
mod identity;
mod recover;
mod resample;
mod samples;
mod scale;
mod table;
mod telling;
mod values;

pub use geometry::geometries;
pub use recover::{Recovered, recover, recover_hex, recover_lab};
pub use resample::{Resampled, Trouble, resample, sprague};
pub use samples::{Sample, samples};

use crate::spaces::Lab;
use crate::spectrum::Spectrum;
use crate::viewing::{Illuminant, Observer, Viewing};
use words::{Finding, Place, Text, Weight, text};

/// How reflectance is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// The perfect white is 1.
    Fraction,
    /// The perfect white is 100.
    Percent,
}

/// What the person says about a file that the file may not say itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stated {
    /// How reflectance is written. What the file states goes first.
    pub scale: Option<Scale>,
    /// Light and observer of its Lab and XYZ values. What the file states goes first.
    pub viewing: Option<Viewing>,
}

/// What a reading's reflectance rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Basis {
    /// Measured at the bands of a [`Spectrum`].
    Measured,
    /// Measured at other wavelengths and brought to these by CIE 167:2005; `filled` bands at the ends were not
    /// measured and repeat the nearest one.
    Resampled {
        /// How many bands of the 31 were not measured.
        filled: usize,
    },
    /// Recovered from a colour: the smoothest reflectance that has it. How it looks under another light is not
    /// known; `off` is its CIEDE2000 distance from the colour asked for, above 0 where no reflectance has that colour.
    Recovered {
        /// CIEDE2000 distance from the stated colour.
        off: f64,
    },
}

impl Basis {
    /// What is shown beside every result.
    pub const fn mark(self) -> &'static Text {
        match self {
            Self::Measured => text!("measured", "diukur"),
            Self::Resampled { .. } => text!("measured, resampled", "diukur, dihitung ulang ke selang 10 nm"),
            Self::Recovered { .. } => text!(
                "recovered, no metamerism statement",
                "dipulihkan dari warna, tanpa pernyataan metamerisme"
            ),
        }
    }

    /// Only a measured spectrum says how the colour changes with the light.
    pub const fn knows_metamerism(self) -> bool {
        !matches!(self, Self::Recovered { .. })
    }
}

/// One reading of one sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was read: readings of the same sample share it.
    pub sample: String,
    /// Which reading of the sample, as the file numbers them; empty if it does not.
    pub number: String,
    /// Reflectance factor, 0 to 1 (to 1.2 for brightened whites).
    pub reflectance: Spectrum,
    /// What the reflectance rests on.
    pub basis: Basis,
    /// CIELAB as the file states it, if it does.
    pub stated_lab: Option<Lab>,
    /// Depths of dye in % owf by dye id, from columns `OWF_PCT_<dye>`; the id is empty for a plain `OWF_PCT`.
    pub depths: Vec<(String, f64)>,
    /// Geometry of the instrument in one spelling, if the file states it: see [`geometries`].
    pub geometry: Option<String>,
    /// The line it stands on.
    pub place: Place,
}

/// A file of measurements.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Measured {
    /// What could be read; lines with a [`Weight::Wrong`] finding are left out.
    pub readings: Vec<Reading>,
    /// Keywords of the header with their values, in order.
    pub header: Vec<(String, String)>,
    /// Everything to tell the person.
    pub findings: Vec<Finding>,
}

impl Measured {
    /// The value of a header keyword, in any case of letters.
    pub fn header(&self, key: &str) -> Option<&str> {
        self.header
            .iter()
            .find(|(k, _)| k.eq_ignore_ascii_case(key))
            .map(|(_, value)| value.as_str())
    }

    /// Something is wrong: part of the file was not read.
    pub fn is_wrong(&self) -> bool {
        self.findings.iter().any(|f| f.weight == Weight::Wrong)
    }
}

/// Reads a file of measurements. CGATS text is known by its `BEGIN_DATA_FORMAT`; anything else is read as CSV
/// (comma, semicolon or tab; `#` comments; first row names; a sample a row, or a wavelength a row if the first
/// column is named `nm`). `path` is only for findings.
pub fn read(text: &str, path: &str, stated: Stated) -> Measured {
    let (table, findings) = if text.contains("BEGIN_DATA_FORMAT") {
        cgats::tables(text, path)
    } else {
        csv::tables(text, path)
    };
    assemble::measured(table, findings, path, stated)
}

/// Light and observer named in words of a file ("Illumination=D65 ObserverAngle=10degree"): the light, or the
/// name of one that is not tabulated here.
pub(crate) fn viewing_in(words: &str) -> (Option<Result<Illuminant, String>>, Option<Observer>) {
    let parts: Vec<String> = words
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|p| !p.is_empty())
        .map(str::to_ascii_uppercase)
        .collect();
    let light = parts.iter().find_map(|p| match p.as_str() {
        "D65" => Some(Ok(Illuminant::D65)),
        "A" => Some(Ok(Illuminant::A)),
        "F11" | "FL11" => Some(Ok(Illuminant::F11)),
        "D50" | "D55" | "D75" | "C" | "F2" | "F7" | "FL2" | "FL7" => Some(Err(p.clone())),
        _ => None,
    });
    let observer = parts.iter().find_map(|p| match p.as_str() {
        "2" | "2DEGREE" | "2DEG" | "1931" => Some(Observer::TwoDegrees),
        "10" | "10DEGREE" | "10DEG" | "1964" => Some(Observer::TenDegrees),
        _ => None,
    });
    (light, observer)
}
