//! Weighted sums over the bands of many spectra, eight spectra at a time.

/// Bands of a spectrum: 400 to 700 nm in steps of 10.
const BANDS: usize = 31;
/// Lanes of a vector; also the spectra whose sums are finished together.
const LANES: usize = 8;
/// The last vector begins one band early, at weight 0, so that it ends with the spectrum.
const LAST: usize = BANDS - LANES;

/// Three weighted sums of each spectrum, one slice a set of weights.
///
/// Sums are taken over eight strands of four bands each, then in pairs: the same bits at every level.
///
/// # Panics
/// If the lengths differ.
pub fn weighted_sums(spectra: &[[f32; BANDS]], weights: &[[f32; BANDS]; 3], out: [&mut [f32]; 3]) {
    assert!(out.iter().all(|o| o.len() == spectra.len()), "one length");
    let strands = weights.map(strands);
    let whole = spectra.len() / LANES * LANES;
    let [x, y, z] = out;
    #[cfg(target_arch = "x86_64")]
    let done = if crate::level() >= crate::Level::Avx2 {
        // SAFETY: `level` gives AVX2 or more only if the processor has it.
        #[allow(unsafe_code)]
        unsafe {
            avx2::eights(
                &spectra[..whole],
                &strands,
                [&mut x[..whole], &mut y[..whole], &mut z[..whole]],
            );
        }
        whole
    } else {
        0
    };
    #[cfg(not(target_arch = "x86_64"))]
    let done = 0;
    for (to, strands) in [x, y, z].into_iter().zip(&strands) {
        for (to, spectrum) in to[done..].iter_mut().zip(&spectra[done..]) {
            *to = sum(spectrum, strands);
        }
    }
}

/// Weights as the vectors of [`BANDS`] they are multiplied with; the band that two vectors share counts once.
type Strands = [[f32; LANES]; 4];

fn strands(weights: [f32; BANDS]) -> Strands {
    let mut strands = [[0.0; LANES]; 4];
    for (band, weight) in weights.into_iter().enumerate() {
        strands[band / LANES][band % LANES] = weight;
    }
    strands[3].rotate_right(1);
    strands
}

fn sum(spectrum: &[f32; BANDS], weights: &Strands) -> f32 {
    let strand = |lane: usize| {
        let part = |vector: usize, first: usize| spectrum[first + lane] * weights[vector][lane];
        (part(0, 0) + part(1, LANES)) + (part(2, 2 * LANES) + part(3, LAST))
    };
    let pair = |lane: usize| strand(lane) + strand(lane + 1);
    (pair(0) + pair(2)) + (pair(4) + pair(6))
}

/// Loops over eight strands become vectors of four only, and sums across lanes many shuffles: written by hand this takes
/// a third of the time, and memory sets the pace.
#[cfg(target_arch = "x86_64")]
#[allow(unsafe_code)]
mod avx2 {
    use super::{BANDS, LANES, LAST, Strands};
    use std::arch::x86_64::{
        __m256, _mm256_add_ps, _mm256_hadd_ps, _mm256_loadu_ps, _mm256_mul_ps, _mm256_permute2f128_ps,
        _mm256_setzero_ps, _mm256_storeu_ps,
    };

    /// Lengths are the same and whole eights.
    #[target_feature(enable = "avx2")]
    pub fn eights(spectra: &[[f32; BANDS]], weights: &[Strands; 3], out: [&mut [f32]; 3]) {
        let weights = weights
            .each_ref()
            .map(|strands| strands.each_ref().map(|strand| load(strand)));
        let [x, y, z] = out;
        let (x, y, z) = (x.as_chunks_mut().0, y.as_chunks_mut().0, z.as_chunks_mut().0);
        let (eights, _) = spectra.as_chunks::<LANES>();
        for (at, eight) in eights.iter().enumerate() {
            let [near, far] = [four(eight, 0, &weights), four(eight, 4, &weights)];
            for (axis, to) in [&mut x[at], &mut y[at], &mut z[at]].into_iter().enumerate() {
                let low = _mm256_permute2f128_ps::<0x20>(near[axis], far[axis]);
                let high = _mm256_permute2f128_ps::<0x31>(near[axis], far[axis]);
                store(_mm256_add_ps(low, high), to);
            }
        }
    }

    /// For each axis the sums of four spectra over their first four strands, and over their last four.
    #[inline]
    #[target_feature(enable = "avx2")]
    fn four(eight: &[[f32; BANDS]; LANES], first: usize, weights: &[[__m256; 4]; 3]) -> [__m256; 3] {
        let mut strands = [[_mm256_setzero_ps(); 4]; 3];
        for i in 0..4 {
            let bands = vectors(&eight[first + i]);
            for (strands, weights) in strands.iter_mut().zip(weights) {
                let part = |vector: usize| _mm256_mul_ps(bands[vector], weights[vector]);
                strands[i] = _mm256_add_ps(_mm256_add_ps(part(0), part(1)), _mm256_add_ps(part(2), part(3)));
            }
        }
        strands.map(|[a, b, c, d]| _mm256_hadd_ps(_mm256_hadd_ps(a, b), _mm256_hadd_ps(c, d)))
    }

    #[inline]
    #[target_feature(enable = "avx2")]
    fn vectors(spectrum: &[f32; BANDS]) -> [__m256; 4] {
        let at = spectrum.as_ptr();
        // SAFETY: each vector ends at or before the last band; the load needs no alignment.
        unsafe {
            [
                _mm256_loadu_ps(at),
                _mm256_loadu_ps(at.add(LANES)),
                _mm256_loadu_ps(at.add(2 * LANES)),
                _mm256_loadu_ps(at.add(LAST)),
            ]
        }
    }

    #[inline]
    #[target_feature(enable = "avx2")]
    fn load(from: &[f32; LANES]) -> __m256 {
        // SAFETY: the array has as many numbers as the vector; the load needs no alignment.
        unsafe { _mm256_loadu_ps(from.as_ptr()) }
    }

    #[inline]
    #[target_feature(enable = "avx2")]
    fn store(vector: __m256, to: &mut [f32; LANES]) {
        // SAFETY: the array has as many numbers as the vector; the store needs no alignment.
        unsafe { _mm256_storeu_ps(to.as_mut_ptr(), vector) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lengths with and without a rest, against sums in double precision.
    #[test]
    fn sums_are_the_sums() {
        let spectra: Vec<[f32; BANDS]> = (0..61)
            .map(|i| std::array::from_fn(|b| ((i * 37 + b * 11) % 101) as f32 / 101.0))
            .collect();
        let weights: [[f32; BANDS]; 3] =
            std::array::from_fn(|a| std::array::from_fn(|b| ((a * 7 + b * 5) % 13) as f32 / 13.0 - 0.2));
        for count in [0, 1, 7, 8, 61] {
            let mut out = [vec![0.0; count], vec![0.0; count], vec![0.0; count]];
            let [x, y, z] = &mut out;
            weighted_sums(&spectra[..count], &weights, [x, y, z]);
            for (weights, sums) in weights.iter().zip(&out) {
                for (spectrum, &got) in spectra.iter().zip(sums) {
                    let pairs = spectrum.iter().zip(weights);
                    let want: f64 = pairs.map(|(&r, &w)| f64::from(r) * f64::from(w)).sum();
                    assert!((f64::from(got) - want).abs() < 2e-6, "{got} {want}");
                    assert_eq!(got.to_bits(), sum(spectrum, &strands(*weights)).to_bits());
                }
            }
        }
    }
}
