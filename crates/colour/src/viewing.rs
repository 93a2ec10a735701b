//! Who looks, and under which light.

use crate::spaces::Xyz;
use crate::spectrum::Spectrum;
use crate::table::Table;
use crate::weights::{Weights, weights};
use std::sync::LazyLock;
use words::{Term, Text};

/// A light to look under.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Illuminant {
    /// Average daylight, CIE standard illuminant D65.
    D65,
    /// Incandescent lamp, CIE standard illuminant A.
    A,
    /// Shop lamp with three bands, CIE FL11.
    F11,
}

/// Whose eyes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Observer {
    /// CIE 1931, field of 2 degrees.
    TwoDegrees,
    /// CIE 1964, field of 10 degrees: what textile work uses.
    TenDegrees,
}

/// A light and an observer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Viewing {
    /// The light.
    pub illuminant: Illuminant,
    /// The eyes.
    pub observer: Observer,
}

impl Illuminant {
    /// All, in the order of their tables.
    pub const ALL: [Self; 3] = [Self::D65, Self::A, Self::F11];

    /// The name used in tables and files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::D65 => "D65",
            Self::A => "A",
            Self::F11 => "F11",
        }
    }

    /// What people read.
    pub const fn term(self) -> &'static Term {
        const fn term(key: &'static str, text: Text, gloss: Text) -> Term {
            Term { key, text, gloss }
        }
        const TERMS: [Term; 3] = [
            term(
                "D65",
                Text::new("daylight", "cahaya siang"),
                Text::new("Average daylight, CIE D65.", "Cahaya siang rata-rata, CIE D65."),
            ),
            term(
                "A",
                Text::new("incandescent lamp", "lampu pijar"),
                Text::new(
                    "Warm lamp light, CIE A.",
                    "Cahaya lampu pijar yang hangat, CIE A.",
                ),
            ),
            term(
                "F11",
                Text::new("shop lamp", "lampu toko"),
                Text::new(
                    "Fluorescent tube with three bands, CIE FL11.",
                    "Lampu tabung tiga pita, CIE FL11.",
                ),
            ),
        ];
        &TERMS[self as usize]
    }

    /// Relative spectral power at 380, 385, ... 780 nm (CIE 15:2004).
    pub fn power_5nm(self) -> Vec<f64> {
        static TABLE: LazyLock<Table> =
            LazyLock::new(|| Table::built_in(include_str!("../data/illuminants_5nm.csv")));
        TABLE.column(self.key())
    }
}

impl Observer {
    /// Both, in the order of their tables.
    pub const ALL: [Self; 2] = [Self::TwoDegrees, Self::TenDegrees];

    /// Field of view, degrees.
    pub const fn degrees(self) -> u32 {
        match self {
            Self::TwoDegrees => 2,
            Self::TenDegrees => 10,
        }
    }

    /// Colour-matching functions x, y, z at 380, 385, ... 780 nm (CIE 15:2004).
    pub fn cmf_5nm(self) -> Vec<[f64; 3]> {
        static TABLE: LazyLock<Table> =
            LazyLock::new(|| Table::built_in(include_str!("../data/observers_5nm.csv")));
        let column = |axis| TABLE.column(&format!("{axis}{}", self.degrees()));
        let (x, y, z) = (column('x'), column('y'), column('z'));
        x.iter().zip(&y).zip(&z).map(|((x, y), z)| [*x, *y, *z]).collect()
    }
}

impl Viewing {
    /// How cloth is judged: D65, 10 degrees.
    pub const DAYLIGHT: Self = Self {
        illuminant: Illuminant::D65,
        observer: Observer::TenDegrees,
    };

    /// The perfect white, Y = 100.
    pub fn white(self) -> Xyz {
        xyz(&[1.0; crate::BANDS], self)
    }

    /// Weights of X, Y, Z per band (ASTM E308, 400 to 700 nm); the sum of Y is 100.
    pub fn weights(self) -> &'static Weights {
        weights(self.illuminant, self.observer)
    }
}

/// Tristimulus values of a reflectance; the perfect white has Y = 100.
pub fn xyz(reflectance: &Spectrum, viewing: Viewing) -> Xyz {
    let mut sum = [0.0; 3];
    for (weight, r) in viewing.weights().iter().zip(reflectance) {
        for (s, w) in sum.iter_mut().zip(weight) {
            *s += w * r;
        }
    }
    Xyz {
        x: sum[0],
        y: sum[1],
        z: sum[2],
    }
}
