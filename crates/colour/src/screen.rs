//! Colours for screens: sRGB (IEC 61966-2-1:1999), Oklab, and what to do with colours a screen cannot show.

use crate::spaces::{Xyz, hue_degrees};
use std::sync::LazyLock;

/// A 3 x 3 matrix, rows first.
pub type Matrix = [[f64; 3]; 3];

/// Linear sRGB to XYZ (Y = 1), the four decimals of IEC 61966-2-1:1999.
const TO_XYZ: Matrix = [
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
];

/// The inverse of [`TO_XYZ`] to full precision: the standard prints it with four decimals, and then a round trip
/// does not come back.
static FROM_XYZ: LazyLock<Matrix> = LazyLock::new(|| inverse(&TO_XYZ));

/// White of the screen, Y = 100.
pub const WHITE: Xyz = Xyz {
    x: 95.05,
    y: 100.0,
    z: 108.90,
};

/// Colours that leave the screen's range by less than this are not counted as out of range (1/16 of a grey step).
const EDGE: f64 = 1e-4;

/// Lightness, chroma and hue of Oklab (B. Ottosson, 2020), used only to bring a colour into a screen's range.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Oklch {
    /// Lightness, 0 to 1.
    pub l: f64,
    /// Chroma.
    pub c: f64,
    /// Hue, degrees.
    pub h: f64,
}

/// Linear sRGB of a colour seen under the screen's own white; not clipped.
pub fn linear_from_xyz(colour: Xyz) -> [f64; 3] {
    apply(&FROM_XYZ, colour.to_array()).map(|v| v / 100.0)
}

/// XYZ (Y = 100) of linear sRGB.
pub fn xyz_from_linear(linear: [f64; 3]) -> Xyz {
    Xyz::from_array(apply(&TO_XYZ, linear).map(|v| v * 100.0))
}

/// Linear to encoded, 0 to 1.
pub fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear
    } else {
        1.055 * linear.powf(1.0 / 2.4) - 0.055
    }
}

/// Encoded to linear, 0 to 1.
pub fn decode(encoded: f64) -> f64 {
    if encoded <= 0.040_45 {
        encoded / 12.92
    } else {
        ((encoded + 0.055) / 1.055).powf(2.4)
    }
}

/// Bytes of a linear colour in 0 ... 1.
pub fn bytes(linear: [f64; 3]) -> [u8; 3] {
    linear.map(|v| (encode(v.clamp(0.0, 1.0)) * 255.0 + 0.5) as u8)
}

/// Linear colour of bytes.
pub fn from_bytes(bytes: [u8; 3]) -> [f64; 3] {
    bytes.map(|b| decode(f64::from(b) / 255.0))
}

/// Brings a linear colour into the screen's range: same Oklch hue and lightness, the most chroma that fits.
/// The flag says that it had to (pictures count those pixels).
pub fn clip(linear: [f64; 3]) -> ([f64; 3], bool) {
    let fits = |rgb: &[f64; 3], edge: f64| rgb.iter().all(|v| *v >= -edge && *v <= 1.0 + edge);
    let settle = |rgb: [f64; 3]| rgb.map(|v| v.clamp(0.0, 1.0));
    if fits(&linear, EDGE) {
        return (settle(linear), false);
    }
    let full = oklch_from_linear(linear);
    let full = Oklch {
        l: full.l.clamp(0.0, 1.0),
        ..full
    };
    let (mut low, mut high) = (0.0, full.c);
    // 40 halvings: far below one part in a million of any chroma.
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if fits(&linear_from_oklch(Oklch { c: middle, ..full }), 1e-9) {
            low = middle;
        } else {
            high = middle;
        }
    }
    (settle(linear_from_oklch(Oklch { c: low, ..full })), true)
}

/// Oklab lightness, a and b of linear sRGB (the published sRGB matrices; the detour by XYZ differs by 1e-4).
pub fn oklab_from_linear(linear: [f64; 3]) -> [f64; 3] {
    apply(&LMS_TO_OKLAB, apply(&RGB_TO_LMS, linear).map(f64::cbrt))
}

/// Oklch of linear sRGB.
pub fn oklch_from_linear(linear: [f64; 3]) -> Oklch {
    let [l, a, b] = oklab_from_linear(linear);
    Oklch {
        l,
        c: a.hypot(b),
        h: hue_degrees(a, b),
    }
}

/// Linear sRGB of Oklch; not clipped.
pub fn linear_from_oklch(colour: Oklch) -> [f64; 3] {
    let (sin, cos) = colour.h.to_radians().sin_cos();
    let lms = apply(&OKLAB_TO_LMS, [colour.l, colour.c * cos, colour.c * sin]);
    apply(&LMS_TO_RGB, lms.map(|v| v * v * v))
}

/// The matrix that takes colours seen under one white to those that look the same under another: Bradford, full
/// adaptation (as in ICC.1:2022, annex E).
pub fn bradford(from: Xyz, to: Xyz) -> Matrix {
    const CONES: Matrix = [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ];
    let (old, new) = (apply(&CONES, from.to_array()), apply(&CONES, to.to_array()));
    let mut scaled = CONES;
    for (row, (o, n)) in scaled.iter_mut().zip(old.iter().zip(&new)) {
        for v in row {
            *v *= n / o;
        }
    }
    product(&inverse(&CONES), &scaled)
}

/// Linear sRGB (not clipped) of a colour seen under `white`, adapted to the screen's white, so that a perfect
/// white is (1, 1, 1). For many colours under one white take the matrix once: [`to_linear`].
pub fn linear_under(colour: Xyz, white: Xyz) -> [f64; 3] {
    apply(&to_linear(white), colour.to_array())
}

/// The matrix of [`linear_under`]: from XYZ (Y = 100) under `white` to linear sRGB.
pub fn to_linear(white: Xyz) -> Matrix {
    product(&FROM_XYZ, &bradford(white, WHITE)).map(|row| row.map(|v| v / 100.0))
}

/// A matrix times a vector.
pub fn apply(matrix: &Matrix, v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

// B. Ottosson, "A perceptual color space for image processing" (2020), the matrices for linear sRGB.
const RGB_TO_LMS: Matrix = [
    [0.412_221_470_8, 0.536_332_536_3, 0.051_445_992_9],
    [0.211_903_498_2, 0.680_699_545_1, 0.107_396_956_6],
    [0.088_302_461_9, 0.281_718_837_6, 0.629_978_700_5],
];
const LMS_TO_OKLAB: Matrix = [
    [0.210_454_255_3, 0.793_617_785_0, -0.004_072_046_8],
    [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
    [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
];
const OKLAB_TO_LMS: Matrix = [
    [1.0, 0.396_337_777_4, 0.215_803_757_3],
    [1.0, -0.105_561_345_8, -0.063_854_172_8],
    [1.0, -0.089_484_177_5, -1.291_485_548_0],
];
const LMS_TO_RGB: Matrix = [
    [4.076_741_662_1, -3.307_711_591_3, 0.230_969_929_2],
    [-1.268_438_004_6, 2.609_757_401_1, -0.341_319_396_5],
    [-0.004_196_086_3, -0.703_418_614_7, 1.707_614_701_0],
];

fn product(a: &Matrix, b: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// Inverse by cofactors. Only constant, well-conditioned matrices come here.
fn inverse(m: &Matrix) -> Matrix {
    let cofactor = |i: usize, j: usize| {
        let (r, s, c, d) = ((i + 1) % 3, (i + 2) % 3, (j + 1) % 3, (j + 2) % 3);
        m[r][c] * m[s][d] - m[r][d] * m[s][c]
    };
    let determinant: f64 = (0..3).map(|j| m[0][j] * cofactor(0, j)).sum();
    std::array::from_fn(|i| std::array::from_fn(|j| cofactor(j, i) / determinant))
}
