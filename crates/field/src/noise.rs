//! Gradient noise: smooth, bounded, without a preferred direction, a function of place and seed.

use crate::hash::{STEP_X, STEP_Y, finish, hash2, high_signed, low_signed, place};
use crate::maths::split;

/// Brings the range to -1..1: the four fadings with all slopes at their steepest reach 0.5047 at most.
pub(crate) const GAIN: f32 = 1.98;

/// Gradient noise in the plane; `x` and `y` in cells, each within +-4,000,000.
///
/// Every lattice point carries a random slope, fading out by (1 - r^2)^3 over a distance of one cell, so
/// the value and two derivatives are continuous. Since the fading is round, the power spectrum is exactly
/// so too: blending along the axes instead puts a sixth more energy near them than near the diagonals,
/// which reads as weave. Mean 0, variance 0.0733 (standard deviation 0.27), never beyond +-1.
#[inline(always)]
pub fn noise(x: f32, y: f32, seed: u32) -> f32 {
    let (ix, dx) = split(x);
    let (iy, dy) = split(y);
    let p = place(ix, iy);
    let a = slope(p, seed, dx, dy);
    let b = slope(p.wrapping_add(STEP_X), seed, dx - 1.0, dy);
    let c = slope(p.wrapping_add(STEP_Y), seed, dx, dy - 1.0);
    let d = slope(
        p.wrapping_add(STEP_X).wrapping_add(STEP_Y),
        seed,
        dx - 1.0,
        dy - 1.0,
    );
    GAIN * ((a + b) + (c + d))
}

/// One lattice point's slope, at (`dx`, `dy`) from it.
#[inline(always)]
fn slope(place: u32, seed: u32, dx: f32, dy: f32) -> f32 {
    fading(slopes(place, seed), dx, dy)
}

/// The components of one lattice point's slope, uniform in [-1, 1).
#[inline(always)]
pub(crate) fn slopes(place: u32, seed: u32) -> (f32, f32) {
    let h = finish(place, seed);
    (low_signed(h), high_signed(h))
}

/// A slope at (`dx`, `dy`) from its lattice point.
#[inline(always)]
pub(crate) fn fading((x, y): (f32, f32), dx: f32, dy: f32) -> f32 {
    let t = 1.0 - (dx * dx + dy * dy);
    let t = if t < 0.0 { 0.0 } else { t };
    t * t * t * (x * dx + y * dy)
}

/// Gradient noise along a line; `t` in cells. Built as [`noise`]: variance 0.0851, never beyond +-1.
#[inline(always)]
pub fn noise1(t: f32, seed: u32) -> f32 {
    let (i, d) = split(t);
    let one = |i: i32, d: f32| {
        let fade = 1.0 - d * d;
        fade * fade * fade * low_signed(hash2(i, 0, seed)) * d
    };
    GAIN_1 * (one(i, d) + one(i.wrapping_add(1), d - 1.0))
}

/// Brings the range of [`noise1`] to -1..1: both ends at their steepest reach 27/64 halfway.
const GAIN_1: f32 = 2.37;

/// Two octaves, weights 0.67 and 0.33.
///
/// `step` is the distance of samples in cells of the first octave: an octave whose cells are shorter
/// than two samples is left out, since it would only alias. 0 keeps everything. What that costs in
/// variance: [`noise2_lost`].
#[inline(always)]
pub fn noise2(x: f32, y: f32, seed: u32, step: f32) -> f32 {
    let [a, b] = weights2(step);
    a * noise(x, y, seed) + b * second(x, y, seed)
}

/// Three octaves, weights 0.57, 0.29 and 0.14; `step` as in [`noise2`].
#[inline(always)]
pub fn noise3(x: f32, y: f32, seed: u32, step: f32) -> f32 {
    let [a, b, c] = weights3(step);
    (a * noise(x, y, seed) + b * second(x, y, seed)) + c * third(x, y, seed)
}

/// Variance of [`noise2`] that is left out at `step`; it widens the threshold the noise is fed to.
pub fn noise2_lost(step: f32) -> f32 {
    lost(&weights2(0.0), &weights2(step))
}

/// Variance of [`noise3`] that is left out at `step`.
pub fn noise3_lost(step: f32) -> f32 {
    lost(&weights3(0.0), &weights3(step))
}

/// Variance of [`noise`]: GAIN^2 times the integral of (1 - r^2)^6 r^2 / 3 over the unit disk, pi/168.
const VARIANCE: f32 = GAIN * GAIN * std::f32::consts::PI / 168.0;

fn lost(full: &[f32], kept: &[f32]) -> f32 {
    full.iter()
        .zip(kept)
        .map(|(f, k)| (f * f - k * k) * VARIANCE)
        .sum()
}

#[inline(always)]
pub(crate) fn weights2(step: f32) -> [f32; 2] {
    [keep(0.67, step), keep(0.33, step * RATIO_2)]
}

#[inline(always)]
fn weights3(step: f32) -> [f32; 3] {
    [
        keep(0.57, step),
        keep(0.29, step * RATIO_2),
        keep(0.14, step * RATIO_3),
    ]
}

/// The weight, or 0 where a cell holds fewer than two samples.
#[inline(always)]
fn keep(weight: f32, step: f32) -> f32 {
    if step > 0.5 { 0.0 } else { weight }
}

const RATIO_2: f32 = 2.05;
const RATIO_3: f32 = 4.1;

/// The second octave is turned by an angle with tangent 3/4 and the third by twice that, so that the
/// lattices do not share axes: cells that line up read as weave from a metre away.
#[inline(always)]
fn second(x: f32, y: f32, seed: u32) -> f32 {
    let (x, y) = turned(x, y);
    noise(x, y, seed ^ SECOND)
}

/// What the seed of the second octave differs by.
pub(crate) const SECOND: u32 = 0x51ed_270b;

/// A place in the cells of the second octave.
#[inline(always)]
pub(crate) fn turned(x: f32, y: f32) -> (f32, f32) {
    let (c, s) = (0.8 * RATIO_2, 0.6 * RATIO_2);
    (c * x - s * y + 17.31, s * x + c * y + 5.77)
}

#[inline(always)]
fn third(x: f32, y: f32, seed: u32) -> f32 {
    let (c, s) = (0.28 * RATIO_3, 0.96 * RATIO_3);
    noise(c * x - s * y + 3.37, s * x + c * y + 9.13, seed ^ 0xa3b1_95c5)
}
