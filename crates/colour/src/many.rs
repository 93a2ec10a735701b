//! Many spectra at once, in single precision: the same colours as [`xyz`](crate::xyz) and [`lab`](crate::lab) one by one,
//! to 5e-4 of a unit, which no eye and no instrument tells.
//!
//! One spectrum costs mostly three cube roots and three long chains of additions. Here the chains of eight spectra go side
//! by side, the roots of a block are taken together, and blocks go to every core. The same bits on every machine.

use crate::spectrum::BANDS;
use crate::viewing::Viewing;
use std::num::NonZero;
use std::thread;

/// Spectra of a block; their tristimulus values stay in the first cache.
const BLOCK: usize = 64;
/// Fewer spectra than this are not worth a thread.
const LEAST: usize = 4096;

/// Reflectances at the bands of a [`Spectrum`](crate::Spectrum), in single precision.
pub type Spectrum32 = [f32; BANDS];

/// L*, a*, b* of spectra, in their order, on every core. For reflectances of 0 to 1.2 each within 5e-4 of one by one.
pub fn labs(spectra: &[Spectrum32], viewing: Viewing) -> Vec<[f32; 3]> {
    let mut out = vec![[0.0; 3]; spectra.len()];
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    let share = spectra.len().div_ceil(cores).max(LEAST);
    thread::scope(|scope| {
        let mut parts = spectra.chunks(share).zip(out.chunks_mut(share));
        let own = parts.next();
        for (part, to) in parts {
            scope.spawn(move || labs_into(part, viewing, to));
        }
        if let Some((part, to)) = own {
            labs_into(part, viewing, to);
        }
    });
    out
}

/// [`labs`] on one core, into a slice of the same length.
///
/// # Panics
/// If the lengths differ.
pub fn labs_into(spectra: &[Spectrum32], viewing: Viewing, out: &mut [[f32; 3]]) {
    assert_eq!(spectra.len(), out.len(), "one colour a spectrum");
    let white = viewing.white().to_array();
    let mut weights = [[0.0; BANDS]; 3];
    for (band, all) in viewing.weights().iter().enumerate() {
        for (axis, row) in weights.iter_mut().enumerate() {
            row[band] = (all[axis] / white[axis]) as f32;
        }
    }
    let mut sums = [[0.0; BLOCK]; 3];
    for (block, to) in spectra.chunks(BLOCK).zip(out.chunks_mut(BLOCK)) {
        let [x, y, z] = sums.each_mut().map(|s| &mut s[..block.len()]);
        field::weighted_sums(block, &weights, [x, y, z]);
        bend_all(&mut sums, to);
    }
}

field::lanes! {
    /// From tristimulus values over those of the white.
    fn bend_all(sums: &mut [[f32; BLOCK]; 3], out: &mut [[f32; 3]]) {
        for axis in sums.iter_mut() {
            for value in axis.iter_mut() {
                *value = bend(*value);
            }
        }
        let [x, y, z] = sums;
        for (at, to) in out.iter_mut().enumerate() {
            *to = [116.0 * y[at] - 16.0, 500.0 * (x[at] - y[at]), 200.0 * (y[at] - z[at])];
        }
    }
}

/// The curve of CIELAB: a cube root, and a straight line below (6/29)^3.
#[inline(always)]
fn bend(t: f32) -> f32 {
    let line = t * (841.0 / 108.0) + 16.0 / 116.0;
    let root = field::cbrt(t);
    if t > 216.0 / 24_389.0 { root } else { line }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::viewing::{Illuminant, Observer, xyz};
    use crate::{Lab, Spectrum, de76, lab};

    /// Over a thousand blocks and one that is not full, from black to brightened white.
    #[test]
    fn many_are_as_one_by_one() {
        let spectra: Vec<Spectrum> = (0..70_001)
            .map(|i| {
                let (level, turn) = (f64::from(i % 97) / 80.0, f64::from(i) * 0.01);
                std::array::from_fn(|b| level * (0.5 + 0.5 * (0.2 * b as f64 + turn).sin()))
            })
            .collect();
        for illuminant in Illuminant::ALL {
            let viewing = Viewing {
                illuminant,
                observer: Observer::TenDegrees,
            };
            let single: Vec<Spectrum32> = spectra.iter().map(|s| s.map(|r| r as f32)).collect();
            let many = labs(&single, viewing);
            assert_eq!(many.len(), spectra.len());
            for (spectrum, many) in spectra.iter().zip(many) {
                let one = lab(xyz(spectrum, viewing), viewing.white());
                let [l, a, b] = many.map(f64::from);
                assert!(de76(one, Lab::new(l, a, b)) < 5e-4, "{one:?} {many:?}");
            }
        }
        assert!(labs(&[], Viewing::DAYLIGHT).is_empty());
    }
}
