//! Linear light to sRGB code values.

use std::sync::LazyLock;

/// Entries of the table: more than the 3,295 code values a unit of the steepest part of the curve, so
/// that no entry spans two steps of the code.
const BINS: usize = 4096;

/// Per bin of linear value: the code at its lower end and the value from which the code is one more.
struct Table {
    code: [u32; BINS],
    step: [f32; BINS],
}

static TABLE: LazyLock<Box<Table>> = LazyLock::new(|| Box::new(table()));

/// Interleaved sRGB code values of linear red, green and blue (0 to 1; held there outside, NaN is 0).
///
/// The code is round(255 c) with c of IEC 61966-2-1:1999, exactly: the table holds for each step of the
/// code the first f32 that belongs above it. A value that falls on a tie to f64 accuracy may go either way.
///
/// # Panics
/// If the three slices and a third of `out` differ in length.
pub fn srgb_bytes(linear_rgb: [&[f32]; 3], out: &mut [u8]) {
    let n = linear_rgb[0].len();
    assert!(
        linear_rgb.iter().all(|c| c.len() == n) && out.len() == 3 * n,
        "one length"
    );
    encode(&TABLE, linear_rgb[0], linear_rgb[1], linear_rgb[2], out);
}

crate::lanes! {
    fn encode(table: &Table, red: &[f32], green: &[f32], blue: &[f32], out: &mut [u8]) {
        let pixels = out.as_chunks_mut::<3>().0;
        for (((to, &r), &g), &b) in pixels.iter_mut().zip(red).zip(green).zip(blue) {
            *to = [code(table, r), code(table, g), code(table, b)];
        }
    }
}

#[inline(always)]
fn code(table: &Table, linear: f32) -> u8 {
    let v = if linear > 0.0 { linear } else { 0.0 };
    let v = if v > 1.0 { 1.0 } else { v };
    // Adding 2^23 leaves the nearest integer in the low bits.
    let bin = (v * (BINS - 1) as f32 + 8_388_608.0).to_bits() as usize & (BINS - 1);
    (table.code[bin] + u32::from(v >= table.step[bin])) as u8
}

fn table() -> Table {
    // steps[k]: the linear value between codes k and k + 1.
    let steps: Vec<f64> = (0..255).map(|k| decode((f64::from(k) + 0.5) / 255.0)).collect();
    let mut table = Table {
        code: [0; BINS],
        step: [f32::INFINITY; BINS],
    };
    for bin in 0..BINS {
        // A little wider than the bin: the f32 product that finds it may round across its edge.
        let low = (bin as f64 - 0.5) / (BINS - 1) as f64 - 1e-6;
        let code = steps.partition_point(|&s| s <= low);
        table.code[bin] = code as u32;
        if let Some(&step) = steps.get(code) {
            let near = step as f32;
            table.step[bin] = if f64::from(near) < step {
                near.next_up()
            } else {
                near
            };
        }
    }
    table
}

/// IEC 61966-2-1:1999, code share to linear value.
fn decode(c: f64) -> f64 {
    if c <= 0.04045 {
        return c / 12.92;
    }
    let y = (c + 0.055) / 1.055;
    // y^2.4 = y^2 (y^2)^(1/5), the root by Newton: f64 powf is not the same on every machine.
    let square = y * y;
    let mut root = 1.0f64;
    for _ in 0..60 {
        root = (4.0 * root + square / (root * root * root * root)) / 5.0;
    }
    square * root
}
