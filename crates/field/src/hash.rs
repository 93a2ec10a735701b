//! The counter hash: a place and a seed in, 32 bits out.

/// Multipliers of the place. Chosen by search so that the shortest step (i, j) with
/// i A + j B = 0 mod 2^32, i.e. the shortest distance at which the hash repeats, is 70,213 cells.
const A: u32 = 0x9fdb_3b25;
const B: u32 = 0xc42c_ef55;

/// 32 bits for the integer place (`ix`, `iy`) under `seed`, the same on every machine.
///
/// The seed enters twice, before and between the multiplications: a seed that only shifted the sum of
/// the place would give the same field, moved.
#[inline(always)]
pub fn hash2(ix: i32, iy: i32, seed: u32) -> u32 {
    let place = (ix as u32)
        .wrapping_mul(A)
        .wrapping_add((iy as u32).wrapping_mul(B));
    finish(place, seed)
}

/// The part of [`hash2`] behind the sum; kernels that visit neighbouring places step the sum themselves.
#[inline(always)]
pub(crate) fn finish(place: u32, seed: u32) -> u32 {
    // Shifts and multipliers of MurmurHash3's 32-bit finaliser (A. Appleby, public domain), from memory.
    let mut h = place.wrapping_add(seed);
    h ^= h >> 16;
    h = h.wrapping_mul(0x85eb_ca6b);
    h = h.wrapping_add(seed.rotate_left(13));
    h ^= h >> 13;
    h = h.wrapping_mul(0xc2b2_ae35);
    h ^ (h >> 16)
}

/// The sum that [`finish`] takes, and its steps to the right and down.
#[inline(always)]
pub(crate) fn place(ix: i32, iy: i32) -> u32 {
    (ix as u32)
        .wrapping_mul(A)
        .wrapping_add((iy as u32).wrapping_mul(B))
}

/// Step of [`place`] for one cell along x.
pub(crate) const STEP_X: u32 = A;
/// Step of [`place`] for one cell along y.
pub(crate) const STEP_Y: u32 = B;

/// A number in [0, 1) from the upper 24 bits of a hash; every value is exact in f32.
#[inline(always)]
pub fn unit(h: u32) -> f32 {
    (h >> 8) as i32 as f32 * (1.0 / 16_777_216.0)
}

/// The lower 16 bits as a number in [-1, 1): as the fraction of a number in [2, 4), which spares the conversion.
#[inline(always)]
pub(crate) fn low_signed(h: u32) -> f32 {
    f32::from_bits(((h << 7) & 0x007f_ff80) | 0x4000_0000) - 3.0
}

/// The upper 16 bits as a number in [-1, 1).
#[inline(always)]
pub(crate) fn high_signed(h: u32) -> f32 {
    f32::from_bits(((h >> 9) & 0x007f_ff80) | 0x4000_0000) - 3.0
}
