//! Two cloths that match in daylight and part under a lamp.

use crate::difference::de76;
use crate::spaces::{Xyz, lab};
use crate::spectrum::Spectrum;
use crate::viewing::{Illuminant, Observer, Viewing, xyz};

/// The lamps that a match in daylight is tried under, in the order of [`Indices`].
pub const LAMPS: [Illuminant; 2] = [Illuminant::A, Illuminant::F11];

/// One index for each of [`LAMPS`].
pub type Indices = [f64; 2];

/// Special index of metamerism, change in illuminant (CIE 15:2004, 9.2): the CIELAB distance of standard and sample
/// under `test`. Where they do not quite match under `reference`, the sample's tristimulus values under `test` are
/// first multiplied by what would make it match there (the multiplicative correction of DIN 6172), so that the
/// index tells of the lamp alone.
pub fn index(standard: &Spectrum, sample: &Spectrum, reference: Viewing, test: Viewing) -> f64 {
    index_from_xyz(
        [xyz(standard, reference), xyz(standard, test)],
        [xyz(sample, reference), xyz(sample, test)],
        test.white(),
    )
}

/// The indices under incandescent light and the shop lamp, relative to D65, 10 degrees.
pub fn indices(standard: &Spectrum, sample: &Spectrum) -> Indices {
    LAMPS.map(|illuminant| {
        let test = Viewing {
            illuminant,
            observer: Observer::TenDegrees,
        };
        index(standard, sample, Viewing::DAYLIGHT, test)
    })
}

/// As [`index`], from tristimulus values under the reference and the test light; `white` is that of the test light.
pub(crate) fn index_from_xyz(standard: [Xyz; 2], sample: [Xyz; 2], white: Xyz) -> f64 {
    let [s_ref, s_test] = standard.map(Xyz::to_array);
    let [m_ref, m_test] = sample.map(Xyz::to_array);
    // Nothing reflects nothing: two perfect blacks match under every lamp.
    let corrected = std::array::from_fn(|i| {
        if m_ref[i] == 0.0 {
            m_test[i]
        } else {
            m_test[i] * s_ref[i] / m_ref[i]
        }
    });
    de76(
        lab(Xyz::from_array(s_test), white),
        lab(Xyz::from_array(corrected), white),
    )
}
