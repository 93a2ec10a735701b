//! Elementary functions of f32 without libm: the same bits on every machine, and loops over them turn
//! into vector code.
//!
//! Polynomials are minimax fits of our own (iteratively reweighted least squares on 4000 Chebyshev
//! nodes, coefficients rounded to f32). No function gives a result between 0 and [`DUST`] in size:
//! denormal numbers would cost a factor of six in everything that follows. Accuracies are those the
//! tests of this crate measure against f64.

/// Nothing smaller than this in size leaves a function of this module, except 0.
pub const DUST: f32 = 1e-30;

/// 1.5 x 2^23: adding and subtracting it rounds to the nearest integer, and leaves it in the low bits.
const ROUND: f32 = 12_582_912.0;
const ROUND_BITS: i32 = 0x4b40_0000;

/// 0 in place of anything smaller than [`DUST`].
#[inline(always)]
pub fn settle(x: f32) -> f32 {
    if x.abs() < DUST { 0.0 } else { x }
}

/// Nearest integer, for |x| up to 4,194,303; ties to even. As f32 and as i32.
#[inline(always)]
fn nearest(x: f32) -> (f32, i32) {
    let shifted = x + ROUND;
    (
        shifted - ROUND,
        (shifted.to_bits() as i32).wrapping_sub(ROUND_BITS),
    )
}

/// The largest integer not above `x`, for |x| up to 4,194,303 (meaningless, never undefined, beyond).
#[inline(always)]
pub fn floor_i32(x: f32) -> i32 {
    let (near, i) = nearest(x);
    i - i32::from(near > x)
}

/// The floor as f32 and i32, and what is left in [0, 1).
#[inline(always)]
pub(crate) fn split(x: f32) -> (i32, f32) {
    let (near, i) = nearest(x);
    let above = near > x;
    let floor = if above { near - 1.0 } else { near };
    (i - i32::from(above), x - floor)
}

/// `x` held within [0, 1]. NaN stays NaN.
#[inline(always)]
pub fn clamp01(x: f32) -> f32 {
    let low = if x < 0.0 { 0.0 } else { x };
    if low > 1.0 { 1.0 } else { low }
}

/// 0 below `a`, 1 above `b`, the cubic 3t^2 - 2t^3 between; `a` and `b` must differ.
#[inline(always)]
pub fn smoothstep(a: f32, b: f32, x: f32) -> f32 {
    let t = clamp01((x - a) / (b - a));
    t * t * (3.0 - 2.0 * t)
}

/// e^x. Relative error below 2e-7; 0 for x below -69 and the value at 88 for anything above.
#[inline(always)]
pub fn exp(x: f32) -> f32 {
    let held = if x > 88.0 { 88.0 } else { x };
    let held = if held < -69.0 { -69.0 } else { held };
    let (n, i) = nearest(held * std::f32::consts::LOG2_E);
    // ln 2 in two pieces: the first has few enough bits for n times it to be exact.
    let r = held - n * 0.691_406_25 - n * 0.001_740_930_6;
    let p =
        0.499_999_94 + r * (0.166_665_21 + r * (0.041_668_39 + r * (0.008_368_717_5 + r * 0.001_381_459_6)));
    let e = 1.0 + (r + r * r * p);
    let scale = f32::from_bits((i.wrapping_add(127) as u32) << 23);
    if x < -69.0 { 0.0 } else { e * scale }
}

/// The natural logarithm. Absolute error below 1e-7 near 1, else relative error below 2e-7.
/// Anything below [`DUST`] (0 and negative numbers too) counts as [`DUST`]: -69.078.
#[inline(always)]
pub fn ln(x: f32) -> f32 {
    let x = if x < DUST { DUST } else { x };
    // Mantissa into [sqrt(1/2), sqrt 2): subtracting the bits of sqrt(1/2) first moves the exponent on.
    const HALF_ROOT: u32 = 0x3f35_04f3;
    let shifted = x.to_bits().wrapping_sub(HALF_ROOT);
    let e = (shifted as i32) >> 23;
    let m = f32::from_bits((shifted & 0x007f_ffff).wrapping_add(HALF_ROOT));
    let s = (m - 1.0) / (m + 1.0);
    let s2 = s * s;
    let p = s * s2 * (0.666_667_76 + s2 * (0.399_775_33 + s2 * 0.298_719_97));
    let e = e as f32;
    e * 0.691_406_25 + (e * 0.001_740_930_6 + (p + 2.0 * s))
}

/// x^y for y > 0 (or any y with x >= [`DUST`]); 0 for x below [`DUST`].
/// Relative error below 2e-7 (1 + |y ln x|).
#[inline(always)]
pub fn pow(x: f32, y: f32) -> f32 {
    let r = exp(y * ln(x));
    if x < DUST { 0.0 } else { r }
}

/// The cube root, with the sign of `x`. Relative error below 2.5e-7; 0 for |x| below [`DUST`].
#[inline(always)]
pub fn cbrt(x: f32) -> f32 {
    let a = x.abs();
    // A third of the exponent, to about 3 %; then two steps of Halley, each of which cubes the error.
    let y = f32::from_bits(a.to_bits() / 3 + 0x2a51_37a0);
    let y3 = y * y * y;
    let y = y * ((y3 + (a + a)) / ((y3 + y3) + a));
    let y3 = y * y * y;
    let y = y * ((y3 + (a + a)) / ((y3 + y3) + a));
    let signed = f32::from_bits(y.to_bits() | (x.to_bits() & 0x8000_0000));
    if a < DUST { 0.0 } else { signed }
}

/// The sine of an angle in radians. Absolute error below 2e-7 for |x| up to 10,000.
#[inline(always)]
pub fn sin(x: f32) -> f32 {
    let (n, i) = nearest(x * std::f32::consts::FRAC_1_PI);
    // pi in three pieces (Cody and Waite), the first two with room for n.
    let r = x - n * 3.140_625 - n * 0.000_967_502_6 - n * 1.509_958e-7;
    let r2 = r * r;
    let p = r2 * (-0.166_666_6 + r2 * (0.008_333_066 + r2 * (-0.000_198_096_02 + r2 * 2.605_780_5e-6)));
    let s = r + r * p;
    settle(f32::from_bits(s.to_bits() ^ ((i as u32) << 31)))
}

/// The complementary error function. Relative error below 4e-7 (1 + x^2); 0 for x above 8.14.
#[inline(always)]
pub fn erfc(x: f32) -> f32 {
    let a = x.abs();
    // Beyond 9 the exponential is 0 already; holding t there keeps huge arguments finite.
    let a = if a > 9.0 { 9.0 } else { a };
    let t = 1.0 / (1.0 + 0.4 * a);
    let p = 0.047_627_85 + t * (0.133_220_21 + t * (0.045_383_226 + t * (-0.122_042_86 + t * 0.037_567_8)));
    let p = t * (0.225_600_94 + t * (0.226_986_96 + t * (0.198_152_27 + t * (0.207_503_63 + t * p))));
    let tail = exp(-a * a) * p;
    if x < 0.0 { 2.0 - tail } else { settle(tail) }
}
