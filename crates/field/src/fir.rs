//! Separable filters with a finite number of taps: spreading over cloth.

use crate::grid::Grid;
use crate::lattice::Rect;

/// Outputs computed side by side; their sums stay in registers.
const LANES: usize = 32;

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
    let stride = (out.nx as usize).next_multiple_of(LANES);
    let mut line = vec![0.0f32; stride + 2 * rx];
    let mut along = vec![0.0f32; stride * reach.ny as usize];
    for (y, to) in (reach.y0..).zip(along.chunks_exact_mut(stride)) {
        copy_line(src, src.held_y(y), reach, &mut line);
        filter_row(&line, &wx[rx..], to);
    }
    for (j, (_, to)) in result.rows_mut().enumerate() {
        filter_column(&along[j * stride..], stride, &wy[ry..], to);
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
    /// `half` holds the taps from the centre outwards; `line` begins a radius before `to`.
    fn filter_row(line: &[f32], half: &[f32], to: &mut [f32]) {
        let r = half.len() - 1;
        for (c, chunk) in to.as_chunks_mut::<LANES>().0.iter_mut().enumerate() {
            let at = &line[c * LANES..c * LANES + LANES + 2 * r];
            let mut sum = [0.0f32; LANES];
            add_one(&mut sum, half[0], &at[r..]);
            for (k, &w) in half.iter().enumerate().skip(1) {
                add_pair(&mut sum, w, &at[r - k..], &at[r + k..]);
            }
            *chunk = sum;
        }
    }

    /// As [`filter_row`] down the columns: `rows` begins a radius above the row of `to`.
    fn filter_column(rows: &[f32], stride: usize, half: &[f32], to: &mut [f32]) {
        let r = half.len() - 1;
        for (c, chunk) in to.chunks_mut(LANES).enumerate() {
            let mut sum = [0.0f32; LANES];
            let x = c * LANES;
            add_one(&mut sum, half[0], &rows[r * stride + x..]);
            for (k, &w) in half.iter().enumerate().skip(1) {
                add_pair(&mut sum, w, &rows[(r - k) * stride + x..], &rows[(r + k) * stride + x..]);
            }
            chunk.copy_from_slice(&sum[..chunk.len()]);
        }
    }
}

#[inline(always)]
fn add_one(sum: &mut [f32; LANES], w: f32, a: &[f32]) {
    for (s, &a) in sum.iter_mut().zip(&a[..LANES]) {
        *s = w * a;
    }
}

#[inline(always)]
fn add_pair(sum: &mut [f32; LANES], w: f32, a: &[f32], b: &[f32]) {
    for ((s, &a), &b) in sum.iter_mut().zip(&a[..LANES]).zip(&b[..LANES]) {
        *s += w * (a + b);
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
