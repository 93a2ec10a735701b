//! How far two colours lie apart.

use crate::scalar::{Dual, Scalar};
use crate::spaces::{Lab, hue_degrees};
use std::f64::consts::{PI, TAU};

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

/// CIE 1994 distance of a sample from a standard (CIE 116-1995) with the weights for textiles: lightness 2, 0.048 and
/// 0.014. Not symmetric: the standard's chroma decides the size of the ellipsoid.
pub fn de94(standard: Lab, sample: Lab) -> f64 {
    let (c1, c2) = (standard.chroma(), sample.chroma());
    let (dl, dc) = (sample.l - standard.l, c2 - c1);
    let dh2 = ((standard.a - sample.a).powi(2) + (standard.b - sample.b).powi(2) - dc * dc).max(0.0);
    let (s_c, s_h) = (1.0 + 0.048 * c1, 1.0 + 0.014 * c1);
    ((dl / 2.0).powi(2) + (dc / s_c).powi(2) + dh2 / (s_h * s_h)).sqrt()
}

/// CIEDE2000 distance (CIE 142:2001, ISO/CIE 11664-6:2014) with all weights 1; names as in Sharma, Wu, Dalal,
/// Color Res. Appl. 30 (2005) 21-30. Symmetric.
pub fn de2000(one: Lab, other: Lab) -> f64 {
    let [l, c, h, r_t] = de2000_terms([one.l, one.a, one.b], [other.l, other.a, other.b]);
    // The rotation term can push the sum below 0 by rounding only.
    (l * l + c * c + h * h + r_t * c * h).max(0.0).sqrt()
}

/// CIEDE2000 as a vector whose length is the distance: what a least-squares search wants. The rotation term is
/// completed to a square, which works because |R_T| < 2.
///
/// Returns the vector and its slopes: `slope[i][axis]` is that of part i along L, a, b of `here`.
pub(crate) fn de2000_vector(goal: Lab, here: Lab) -> ([f64; 3], [[f64; 3]; 3]) {
    let goal = [goal.l, goal.a, goal.b].map(Dual::constant);
    let here = [
        Dual::unknown(here.l, 0),
        Dual::unknown(here.a, 1),
        Dual::unknown(here.b, 2),
    ];
    let [l, c, h, r_t] = de2000_terms(goal, here);
    let half = r_t * 0.5;
    let parts = [l, c + half * h, (-half.square() + 1.0).sqrt() * h];
    (parts.map(|p| p.value), parts.map(|p| p.slope))
}

/// Lightness, chroma and hue difference of L, a, b, each over its weight, and R_T.
fn de2000_terms<T: Scalar>([l1, a1, b1]: [T; 3], [l2, a2, b2]: [T; 3]) -> [T; 4] {
    let chroma = |a: T, b: T| (a.square() + b.square()).sqrt();
    let middle = |x: T, y: T| (x + y) * 0.5;
    let g = -seventh(middle(chroma(a1, b1), chroma(a2, b2))) * 0.5 + 1.5;
    let (a1, a2) = (a1 * g, a2 * g);
    let (c1, c2) = (chroma(a1, b1), chroma(a2, b2));
    let hue = |a: T, b: T| {
        let h = b.atan2(a);
        if h.value() < 0.0 { h + TAU } else { h }
    };
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));

    let grey = c1.value() * c2.value() == 0.0;
    let turn = h2 - h1;
    let dh = if grey {
        T::constant(0.0)
    } else if turn.value() > PI {
        turn - TAU
    } else if turn.value() < -PI {
        turn + TAU
    } else {
        turn
    };
    let dh = (c1 * c2).sqrt() * (dh * 0.5).sin_cos().0 * 2.0;

    let l = middle(l1, l2);
    let c = middle(c1, c2);
    let h = if grey {
        h1 + h2
    } else if turn.value().abs() <= PI {
        middle(h1, h2)
    } else if h1.value() + h2.value() < TAU {
        middle(h1, h2) + PI
    } else {
        middle(h1, h2) - PI
    };
    let wave = |times: f64, shift: f64| (h * times + shift.to_radians()).sin_cos().1;
    let t = -wave(1.0, -30.0) * 0.17 + wave(2.0, 0.0) * 0.24 + wave(3.0, 6.0) * 0.32
        - wave(4.0, -63.0) * 0.20
        + 1.0;
    // 2 theta is 60 degrees at its most.
    let away = (h - 275_f64.to_radians()) / 25_f64.to_radians();
    let two_theta = (-away.square()).exp() * 60_f64.to_radians();
    let r_t = -seventh(c) * two_theta.sin_cos().0 * 2.0;
    let off = (l - 50.0).square();
    let s_l = off * 0.015 / (off + 20.0).sqrt() + 1.0;
    let s_c = c * 0.045 + 1.0;
    let s_h = c * t * 0.015 + 1.0;
    [(l2 - l1) / s_l, (c2 - c1) / s_c, dh / s_h, r_t]
}

/// Root of C^7 / (C^7 + 25^7).
fn seventh<T: Scalar>(c: T) -> T {
    const TWENTY_FIVE_7: f64 = 6_103_515_625.0;
    let seven = c.square().square() * c.square() * c;
    (seven / (seven + TWENTY_FIVE_7)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The vector is as long as the distance, and its slopes are what differences give.
    #[test]
    fn vector_and_slopes() {
        let goals = [
            [50.0, 30.0, -40.0],
            [20.0, -5.0, 3.0],
            [80.0, 0.0, 0.0],
            [60.0, -60.0, 2.0],
            [40.0, 10.0, -70.0],
        ];
        for (n, g) in goals.iter().enumerate() {
            for h in &goals[..n] {
                let goal = Lab::new(g[0], g[1], g[2]);
                let here = [h[0] + 0.3, h[1] - 1.2, h[2] + 0.7];
                let at = |p: [f64; 3]| de2000_vector(goal, Lab::new(p[0], p[1], p[2])).0;
                let (parts, slopes) = de2000_vector(goal, Lab::new(here[0], here[1], here[2]));
                let length = parts.iter().map(|p| p * p).sum::<f64>().sqrt();
                let distance = de2000(goal, Lab::new(here[0], here[1], here[2]));
                assert!((length - distance).abs() < 1e-9, "{length} {distance}");
                for axis in 0..3 {
                    let step = |s: f64| {
                        let mut p = here;
                        p[axis] += s;
                        at(p)
                    };
                    let (more, less) = (step(1e-4), step(-1e-4));
                    for (part, slope) in slopes.iter().enumerate() {
                        let expected = (more[part] - less[part]) / 2e-4;
                        assert!(
                            (slope[axis] - expected).abs() < 1e-6,
                            "goal {g:?}, part {part}, axis {axis}: {} is not {expected}",
                            slope[axis]
                        );
                    }
                }
            }
        }
    }
}
