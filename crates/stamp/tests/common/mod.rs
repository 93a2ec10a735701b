//! What tests of the hand share.
#![allow(missing_docs)]

/// A small hash to uniform numbers (the cloth brings its own).
pub fn unit(i: i32, j: i32, n: u32) -> f32 {
    let mut h = (i as u32).wrapping_mul(0x9E37_79B1)
        ^ (j as u32).wrapping_mul(0x85EB_CA77)
        ^ n.wrapping_mul(0xC2B2_AE3D);
    for _ in 0..2 {
        h ^= h >> 15;
        h = h.wrapping_mul(0x2C1B_3C6D);
        h ^= h >> 13;
    }
    (h >> 8) as f32 / 16_777_216.0
}
