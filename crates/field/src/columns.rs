//! A row read between its samples, at columns that are the same for every row.

use crate::lattice::{Lattice, Rect};

/// Columns worked on at a time.
const EIGHT: usize = 8;

/// Where columns lie in a row of samples: each between a sample and the one after it.
pub(crate) struct Columns {
    /// Per column the sample before it, and the weight of the one after it; 0 where that need not be there.
    at: Vec<(u32, f32)>,
    /// The same by eights, if eight columns never need more than eight neighbouring samples.
    eights: Vec<Eight>,
    /// Every sample and how much the next one is more, where eights do not serve.
    steps: Vec<[f32; 2]>,
}

/// Eight neighbouring columns, of which all that they read lies within eight samples. The last eight may hold columns of
/// the one before it, so that they end with the row.
struct Eight {
    /// First column, and first sample.
    column: usize,
    sample: usize,
    near: [i32; EIGHT],
    next: [i32; EIGHT],
    weight: [f32; EIGHT],
}

impl Columns {
    /// Of rows of `samples` samples; `at` rises.
    fn new(at: Vec<(u32, f32)>, samples: usize) -> Self {
        let starts = (0..at.len() / EIGHT * EIGHT)
            .step_by(EIGHT)
            .chain((!at.len().is_multiple_of(EIGHT)).then(|| at.len().wrapping_sub(EIGHT)));
        let eights: Option<Vec<Eight>> = starts.map(|column| Eight::of(&at, column, samples)).collect();
        Self {
            steps: vec![[0.0; 2]; samples],
            eights: eights.unwrap_or_default(),
            at,
        }
    }

    /// The columns of `rect` of lattice `to` in rows of `known` of lattice `from`; what is not known takes the nearest that
    /// is.
    pub fn between((from, known): (Lattice, Rect), (to, rect): (Lattice, Rect)) -> Self {
        let held = |x: i32| x.clamp(known.x0, known.x1() - 1);
        let column = |x: i32| {
            let (lo, hi, weight) = from.between(x, to);
            let (lo, hi) = (held(lo), held(hi));
            (lo.abs_diff(known.x0), if lo == hi { 0.0 } else { weight })
        };
        Self::new((rect.x0..rect.x1()).map(column).collect(), known.nx as usize)
    }

    /// Values of all columns.
    pub fn read(&mut self, row: &[f32], to: &mut [f32]) {
        #[cfg(target_arch = "x86_64")]
        if !self.eights.is_empty() && crate::level() >= crate::Level::Avx2 {
            // SAFETY: `level` gives AVX2 or more only if the processor has it.
            #[allow(unsafe_code)]
            unsafe {
                avx2::read(&self.eights, row, to);
            }
            return;
        }
        steps_of(row, &mut self.steps);
        for (to, &(near, weight)) in to.iter_mut().zip(&self.at) {
            let [a, more] = self.steps[near as usize];
            *to = a + weight * more;
        }
    }
}

impl Eight {
    /// `None` if it needs more than eight samples, or there are none.
    fn of(at: &[(u32, f32)], column: usize, samples: usize) -> Option<Self> {
        let columns: &[(u32, f32); EIGHT] = at.get(column..)?.first_chunk()?;
        let sample = (columns[0].0 as usize).min(samples.checked_sub(EIGHT)?);
        let near = columns.map(|(near, _)| (near as usize - sample) as i32);
        let next = columns.map(|(near, weight)| (near as usize + usize::from(weight != 0.0) - sample) as i32);
        let eight = Self {
            column,
            sample,
            near,
            next,
            weight: columns.map(|(_, weight)| weight),
        };
        next.iter().all(|next| *next < EIGHT as i32).then_some(eight)
    }
}

crate::lanes! {
    fn steps_of(from: &[f32], steps: &mut [[f32; 2]]) {
        let last = from.len() - 1;
        let (from, next, steps) = (&from[..=last], &from[1..], &mut steps[..=last]);
        for i in 0..last {
            steps[i] = [from[i], next[i] - from[i]];
        }
        steps[last] = [from[last], 0.0];
    }
}

/// A load for every column is what reading takes; one load of eight samples, taken apart in registers, does for eight
/// columns. No loop over slices is compiled to that.
#[cfg(target_arch = "x86_64")]
#[allow(unsafe_code)]
mod avx2 {
    use super::{EIGHT, Eight};
    use std::arch::x86_64::{
        __m256, __m256i, _mm256_add_ps, _mm256_loadu_ps, _mm256_loadu_si256, _mm256_mul_ps,
        _mm256_permutevar8x32_ps, _mm256_storeu_ps, _mm256_sub_ps,
    };

    #[target_feature(enable = "avx2")]
    pub fn read(eights: &[Eight], row: &[f32], to: &mut [f32]) {
        for eight in eights {
            let samples = load(&row[eight.sample..]);
            let near = _mm256_permutevar8x32_ps(samples, whole(&eight.near));
            let next = _mm256_permutevar8x32_ps(samples, whole(&eight.next));
            let more = _mm256_mul_ps(load(&eight.weight), _mm256_sub_ps(next, near));
            store(_mm256_add_ps(near, more), &mut to[eight.column..]);
        }
    }

    #[inline]
    #[target_feature(enable = "avx2")]
    fn load(from: &[f32]) -> __m256 {
        let from = &from[..EIGHT];
        // SAFETY: the slice is eight values long.
        unsafe { _mm256_loadu_ps(from.as_ptr()) }
    }

    #[inline]
    #[target_feature(enable = "avx2")]
    fn whole(from: &[i32; EIGHT]) -> __m256i {
        // SAFETY: eight values of four bytes are what is read; no alignment is asked for.
        unsafe { _mm256_loadu_si256(from.as_ptr().cast()) }
    }

    #[inline]
    #[target_feature(enable = "avx2")]
    fn store(values: __m256, to: &mut [f32]) {
        let to = &mut to[..EIGHT];
        // SAFETY: the slice is eight values long.
        unsafe { _mm256_storeu_ps(to.as_mut_ptr(), values) }
    }
}
