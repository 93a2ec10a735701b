//! Amounts to light against the textbook formula in f64; code values against IEC 61966-2-1.

use field::{Bands, reflect, srgb_bytes};

fn spectra(dyes: usize) -> Vec<[f32; 31]> {
    let bump = |d: usize, b: usize| (-((b as f64 - 4.0 * d as f64 - 3.0) / 4.0).powi(2)).exp();
    (0..dyes)
        .map(|d| std::array::from_fn(|b| (0.02 + 1.3 * bump(d, b)) as f32))
        .collect()
}

fn weights() -> [[f32; 31]; 3] {
    std::array::from_fn(|c| {
        std::array::from_fn(|b| {
            let x = (b as f64 - [24.0, 14.0, 5.0][c]) / 5.0;
            (0.11 * (-x * x).exp() - 0.01) as f32
        })
    })
}

/// Kubelka and Munk 1931: R = 1 + q - sqrt(q^2 + 2q).
fn exact(amounts: &[f32], texture: f32, darken: f32, bands: &Bands) -> [f64; 3] {
    let mut rgb = [0.0f64; 3];
    for b in 0..31 {
        let k: f64 = amounts
            .iter()
            .zip(bands.unit)
            .map(|(&a, u)| f64::from(a) * f64::from(u[b]))
            .sum();
        let k = k * f64::from(texture);
        let q = (f64::from(bands.substrate[b]) + k / (1.0 + k / f64::from(bands.k_max))) * f64::from(darken);
        let r = 1.0 + q - (q * q + 2.0 * q).sqrt();
        for (c, w) in rgb.iter_mut().zip(&bands.to_rgb) {
            *c += f64::from(w[b]) * r;
        }
    }
    rgb
}

#[test]
fn light_agrees_with_the_formula() {
    let n = 333;
    for dyes in 0..=8 {
        let unit = spectra(dyes);
        for k_max in [41.0, f32::INFINITY] {
            let bands = Bands {
                unit: &unit,
                k_max,
                substrate: [0.013; 31],
                to_rgb: weights(),
            };
            let amount = |d: usize, i: usize| ((i * (d + 3)) % 97) as f32 * 0.05;
            let planes: Vec<Vec<f32>> = (0..dyes)
                .map(|d| (0..n).map(|i| amount(d, i)).collect())
                .collect();
            let planes: Vec<&[f32]> = planes.iter().map(Vec::as_slice).collect();
            let texture: Vec<f32> = (0..n).map(|i| 0.9 + 0.002 * (i % 100) as f32).collect();
            let darken: Vec<f32> = (0..n).map(|i| 1.0 + 0.01 * (i % 110) as f32).collect();
            let (mut r, mut g, mut b) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
            reflect(
                &planes,
                Some(&texture),
                Some(&darken),
                &bands,
                [&mut r, &mut g, &mut b],
            );
            for i in 0..n {
                let amounts: Vec<f32> = planes.iter().map(|p| p[i]).collect();
                let e = exact(&amounts, texture[i], darken[i], &bands);
                for (ours, exact) in [r[i], g[i], b[i]].into_iter().zip(e) {
                    assert!(
                        (f64::from(ours) - exact).abs() < 5e-7,
                        "{dyes} dyes, sample {i}: {ours} for {exact}"
                    );
                }
            }
        }
    }
}

#[test]
fn black_keeps_its_precision() {
    // At K/S = 10,000 the textbook form in f32 loses every digit: R is 5e-5.
    let unit = [[1.0f32; 31]];
    let mut one = [[0.0f32; 31]; 3];
    one[0][0] = 1.0;
    let bands = Bands {
        unit: &unit,
        k_max: f32::INFINITY,
        substrate: [0.0; 31],
        to_rgb: one,
    };
    let (mut r, mut g, mut b) = ([0.0], [0.0], [0.0]);
    reflect(&[&[10_000.0]], None, None, &bands, [&mut r, &mut g, &mut b]);
    let q = 10_000.0f64;
    let exact = 1.0 / (1.0 + q + (q * q + 2.0 * q).sqrt());
    assert!(
        (f64::from(r[0]) / exact - 1.0).abs() < 3e-7,
        "{} for {exact}",
        r[0]
    );
    assert_eq!((g[0], b[0]), (0.0, 0.0));
}

#[test]
fn negative_amounts_are_bare_cloth() {
    let unit = [[1.0f32; 31]];
    let bands = Bands {
        unit: &unit,
        k_max: 41.0,
        substrate: [0.02; 31],
        to_rgb: weights(),
    };
    let (mut r, mut g, mut b) = ([0.0; 2], [0.0; 2], [0.0; 2]);
    reflect(&[&[-0.5, 0.0]], None, None, &bands, [&mut r, &mut g, &mut b]);
    assert_eq!((r[0], g[0], b[0]), (r[1], g[1], b[1]));
}

/// IEC 61966-2-1:1999: 12.92 c below 0.0031308, else 1.055 c^(1/2.4) - 0.055.
fn encoded(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear
    } else {
        1.055 * linear.powf(1.0 / 2.4) - 0.055
    }
}

fn bytes(values: &[f32]) -> Vec<u8> {
    let mut out = vec![0; 3 * values.len()];
    srgb_bytes([values, values, values], &mut out);
    assert!(out.chunks(3).all(|p| p[0] == p[1] && p[1] == p[2]));
    out.chunks(3).map(|p| p[0]).collect()
}

#[test]
fn code_values_are_correctly_rounded() {
    let values: Vec<f32> = (0..=2_000_000).map(|i| i as f32 / 2_000_000.0).collect();
    for (&v, code) in values.iter().zip(bytes(&values)) {
        let exact = 255.0 * encoded(f64::from(v));
        assert!(
            (f64::from(code) - exact).abs() <= 0.5 + 1e-9,
            "{v}: {code} for {exact}"
        );
    }
}

#[test]
fn code_values_step_at_the_right_f32() {
    // Around each of the 255 steps: the 200 values of f32 on either side.
    for k in 0..255 {
        let half = (f64::from(k) + 0.5) / 255.0;
        let linear = if half <= 0.04045 {
            half / 12.92
        } else {
            ((half + 0.055) / 1.055).powf(2.4)
        };
        let start = (linear as f32).to_bits() - 200;
        let values: Vec<f32> = (start..start + 400).map(f32::from_bits).collect();
        for (&v, code) in values.iter().zip(bytes(&values)) {
            let above = i32::from(f64::from(v) >= linear);
            assert_eq!(i32::from(code), k + above, "{v} at the step of {linear}");
        }
    }
}

#[test]
fn what_is_no_colour_is_held() {
    assert_eq!(
        bytes(&[-1.0, -0.0, f32::NAN, 1.0, 7.0, f32::INFINITY]),
        [0, 0, 0, 255, 255, 255]
    );
    // 18 % grey and half light: code values 118 and 188.
    assert_eq!(bytes(&[0.18, 0.5]), [118, 188]);
}
