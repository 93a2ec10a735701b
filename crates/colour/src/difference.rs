//! How far two colours lie apart.

use crate::spaces::{Lab, hue_degrees};

/// Euclidean distance in CIELAB (CIE 1976).
pub fn de76(one: Lab, other: Lab) -> f64 {
    ((one.l - other.l).powi(2) + (one.a - other.a).powi(2) + (one.b - other.b).powi(2)).sqrt()
}

/// CMC(l:c) distance of a sample from a standard (ISO 105-J03); 2:1 for textiles. Not symmetric: the
/// standard's place decides the size of the ellipsoid.
pub fn cmc(standard: Lab, sample: Lab, l: f64, c: f64) -> f64 {
    let (c1, c2) = (standard.chroma(), sample.chroma());
    let h1 = hue_degrees(standard.a, standard.b);
    let s_l = if standard.l < 16.0 {
        0.511
    } else {
        0.040_975 * standard.l / (1.0 + 0.017_65 * standard.l)
    };
    let s_c = 0.0638 * c1 / (1.0 + 0.0131 * c1) + 0.638;
    let f = (c1.powi(4) / (c1.powi(4) + 1900.0)).sqrt();
    let t = if (164.0..=345.0).contains(&h1) {
        0.56 + (0.2 * (h1 + 168.0).to_radians().cos()).abs()
    } else {
        0.36 + (0.4 * (h1 + 35.0).to_radians().cos()).abs()
    };
    let s_h = s_c * (f * t + 1.0 - f);
    let (dl, dc) = (sample.l - standard.l, c2 - c1);
    // Hue difference squared is what is left of the distance in the a, b plane; rounding may leave it below 0.
    let dh2 = ((standard.a - sample.a).powi(2) + (standard.b - sample.b).powi(2) - dc * dc).max(0.0);
    ((dl / (l * s_l)).powi(2) + (dc / (c * s_c)).powi(2) + dh2 / (s_h * s_h)).sqrt()
}

/// CIEDE2000 distance (CIE 142:2001, ISO/CIE 11664-6:2014) with all weights 1; names as in Sharma, Wu, Dalal,
/// Color Res. Appl. 30 (2005) 21-30. Symmetric.
pub fn de2000(one: Lab, other: Lab) -> f64 {
    let [l, c, h, r_t] = de2000_terms(one, other);
    // The rotation term can push the sum below 0 by rounding only.
    (l * l + c * c + h * h + r_t * c * h).max(0.0).sqrt()
}

/// CIEDE2000 as a vector whose length is the distance: what a least-squares search wants. The rotation term is
/// completed to a square, which works because |R_T| < 2.
pub(crate) fn de2000_vector(one: Lab, other: Lab) -> [f64; 3] {
    let [l, c, h, r_t] = de2000_terms(one, other);
    [l, c + r_t / 2.0 * h, (1.0 - r_t * r_t / 4.0).sqrt() * h]
}

/// Lightness, chroma and hue difference, each over its weight, and R_T.
fn de2000_terms(one: Lab, other: Lab) -> [f64; 4] {
    const TWENTY_FIVE_7: f64 = 6_103_515_625.0;
    let seventh = |c: f64| (c.powi(7) / (c.powi(7) + TWENTY_FIVE_7)).sqrt();
    let g = 0.5 * (1.0 - seventh(f64::midpoint(one.chroma(), other.chroma())));
    let (a1, a2) = (one.a * (1.0 + g), other.a * (1.0 + g));
    let (c1, c2) = (a1.hypot(one.b), a2.hypot(other.b));
    let (h1, h2) = (hue_degrees(a1, one.b), hue_degrees(a2, other.b));

    let (dl, dc) = (other.l - one.l, c2 - c1);
    let grey = c1 * c2 == 0.0;
    let turn = h2 - h1;
    let dh = if grey {
        0.0
    } else if turn > 180.0 {
        turn - 360.0
    } else if turn < -180.0 {
        turn + 360.0
    } else {
        turn
    };
    let dh = 2.0 * (c1 * c2).sqrt() * (dh / 2.0).to_radians().sin();

    let l = f64::midpoint(one.l, other.l);
    let c = f64::midpoint(c1, c2);
    let h = if grey {
        h1 + h2
    } else if turn.abs() <= 180.0 {
        f64::midpoint(h1, h2)
    } else if h1 + h2 < 360.0 {
        (h1 + h2 + 360.0) / 2.0
    } else {
        (h1 + h2 - 360.0) / 2.0
    };
    let cosine = |degrees: f64| degrees.to_radians().cos();
    let t = 1.0 - 0.17 * cosine(h - 30.0) + 0.24 * cosine(2.0 * h) + 0.32 * cosine(3.0 * h + 6.0)
        - 0.20 * cosine(4.0 * h - 63.0);
    let theta = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
    let r_t = -2.0 * seventh(c) * (2.0 * theta).to_radians().sin();
    let s_l = 1.0 + 0.015 * (l - 50.0).powi(2) / (20.0 + (l - 50.0).powi(2)).sqrt();
    let s_c = 1.0 + 0.045 * c;
    let s_h = 1.0 + 0.015 * c * t;
    [dl / s_l, dc / s_c, dh / s_h, r_t]
}
