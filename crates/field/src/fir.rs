//! Separable filters with a finite number of taps: spreading over cloth.

use crate::grid::Grid;
use crate::lattice::Rect;

/// Output rows filtered together, so that what lies between the two passes stays in the first caches.
const BAND: usize = 32;

/// Filters `src` with the symmetric taps `wx` along rows and `wy` along columns, giving `out`.
///
/// Both tap lists have odd length, centre in the middle; only the centre and what follows is read. Reads
/// `out` expanded by the two radii. Samples of that which are not in `src` take the nearest that is;
/// that is a fault of the caller, and a failed assertion in debug builds. Rows first, then columns; each
/// sum begins at the centre and takes the pairs outwards, so tiles agree to the last bit.
pub fn fir(src: &Grid, wx: &[f32], wy: &[f32], out: Rect) -> Grid {
    debug_assert!(wx.len() % 2 == 1 && wy.len() % 2 == 1, "taps have a centre");
    let (rx, ry) = (wx.len() / 2, wy.len() / 2);
    let reach = out.expand(rx as u32, ry as u32);
    debug_assert!(
        src.rect.contains(reach),
        "{reach:?} reaches outside {:?}",
        src.rect
    );
    let mut result = Grid::flat(src.lattice, out, 0.0);
    if out.is_empty() || src.rect.is_empty() {
        return result;
    }
    let stride = out.nx as usize;
    let mut line = vec![0.0f32; reach.nx as usize];
    // Rows already filtered along, for one band of output rows and the reach around it.
    let mut along = vec![0.0f32; stride * (2 * ry + BAND)];
    let mut have = 0;
    let mut y = reach.y0;
    for band in result.data.chunks_mut(stride * BAND) {
        let rows = band.len() / stride;
        for to in along.chunks_exact_mut(stride).take(2 * ry + rows).skip(have) {
            copy_line(src, src.held_y(y), reach, &mut line);
            filter(&line, 1, &wx[rx..], to);
            y += 1;
        }
        for (j, to) in band.chunks_exact_mut(stride).enumerate() {
            filter(&along[j * stride..], stride, &wy[ry..], to);
        }
        along.copy_within(rows * stride..(rows + 2 * ry) * stride, 0);
        have = 2 * ry;
    }
    result
}

/// Row `y` of `src` from column `reach.x0` on, the nearest column where it has none.
fn copy_line(src: &Grid, y: i32, reach: Rect, line: &mut [f32]) {
    let row = src.row(y);
    let inside = reach.intersect(Rect {
        y0: reach.y0,
        ny: 1,
        ..src.rect
    });
    if inside.nx == reach.nx {
        let first = reach.x0.abs_diff(src.rect.x0) as usize;
        line[..reach.nx as usize].copy_from_slice(&row[first..first + reach.nx as usize]);
        return;
    }
    for (to, x) in line.iter_mut().zip(reach.x0..reach.x1()) {
        *to = row[src.held_x(x).abs_diff(src.rect.x0) as usize];
    }
}

crate::lanes! {
    /// Sums taps that lie `stride` apart in `from`, which begins a radius before `to`; `half` holds the
    /// taps from the centre outwards. Several pairs a pass, so that the sum is not stored after each.
    fn filter(from: &[f32], stride: usize, half: &[f32], to: &mut [f32]) {
        let n = half.len();
        let first = (n - 1) % PAIRS;
        match first {
            0 => pass::<0, true>(from, stride, half, 1, to),
            1 => pass::<1, true>(from, stride, half, 1, to),
            2 => pass::<2, true>(from, stride, half, 1, to),
            _ => pass::<3, true>(from, stride, half, 1, to),
        }
        for k in (1 + first..n).step_by(PAIRS) {
            pass::<PAIRS, false>(from, stride, half, k, to);
        }
    }
}

/// Pairs of taps a pass.
const PAIRS: usize = 4;

/// Adds the `K` pairs of taps from distance `k` on; the first pass begins with the centre.
#[inline(always)]
fn pass<const K: usize, const FIRST: bool>(
    from: &[f32],
    stride: usize,
    half: &[f32],
    k: usize,
    to: &mut [f32],
) {
    let (r, n) = (half.len() - 1, to.len());
    let centre = &from[r * stride..][..n];
    let w: [f32; K] = std::array::from_fn(|j| half[k + j]);
    let a: [&[f32]; K] = std::array::from_fn(|j| &from[(r - k - j) * stride..][..n]);
    let b: [&[f32]; K] = std::array::from_fn(|j| &from[(r + k + j) * stride..][..n]);
    for (i, t) in to.iter_mut().enumerate() {
        let mut sum = if FIRST { half[0] * centre[i] } else { *t };
        for j in 0..K {
            sum += w[j] * (a[j][i] + b[j][i]);
        }
        *t = sum;
    }
}

/// Taps of a spread with standard deviation `sigma` samples: radius ceil(3.5 sigma), sum 1.
///
/// The discrete Gaussian exp(-t) I_n(t) (T. Lindeberg, "Scale-space for discrete signals", IEEE PAMI
/// 12(3), 1990), the exact answer of diffusion between neighbouring samples: its variance is t whatever
/// the pitch, where samples of the continuous curve lose variance below sigma 0.7. What the cut at
/// 3.5 sigma takes is given back by a slightly larger t, so that the variance of the taps is
/// sigma^2 = 2 D t to 1e-6. Below 0.001 samples (and for NaN) nothing spreads.
pub fn gaussian_taps(sigma: f64) -> Vec<f32> {
    if sigma.is_nan() || sigma < 1e-3 {
        return vec![1.0];
    }
    let radius = (3.5 * sigma).ceil() as usize;
    let wanted = sigma * sigma;
    let mut t = wanted;
    let mut half = bessel_taps(t, radius);
    for _ in 0..12 {
        let variance: f64 = half
            .iter()
            .enumerate()
            .map(|(n, w)| 2.0 * w * (n * n) as f64)
            .sum();
        t *= wanted / variance;
        half = bessel_taps(t, radius);
    }
    let (centre, side) = half.split_at(1);
    side.iter()
        .rev()
        .chain(centre)
        .chain(side)
        .map(|&w| w as f32)
        .collect()
}

/// exp(-t) I_n(t) for n = 0..=radius, scaled to a sum (both sides) of 1. By Miller's backward recurrence
/// (I_(n-1) = I_(n+1) + 2n/t I_n; Abramowitz and Stegun 9.6.26), which needs only arithmetic.
fn bessel_taps(t: f64, radius: usize) -> Vec<f64> {
    let mut taps = vec![0.0f64; radius + 1];
    let (mut above, mut here) = (0.0f64, 1e-280f64);
    for n in (1..=3 * radius + 24).rev() {
        if n <= radius {
            taps[n] = here;
        }
        let below = above + 2.0 * n as f64 / t * here;
        (above, here) = (here, below);
        if here > 1e200 {
            (above, here) = (above * 1e-200, here * 1e-200);
            taps.iter_mut().for_each(|w| *w *= 1e-200);
        }
    }
    taps[0] = here;
    let sum = taps[0] + 2.0 * taps[1..].iter().sum::<f64>();
    taps.iter().map(|w| w / sum).collect()
}
