//! Spreading: the filter against plain f64 sums, its taps against diffusion.

use field::{Grid, Lattice, Rect, Seed, fir, gaussian_taps, hash2, unit};

const MILLI: Lattice = Lattice { pitch: 1.0 };

fn white(rect: Rect) -> Grid {
    let seed = Seed(11).child("white").low();
    Grid::by_rows(MILLI, rect, |y, row| {
        for (x, v) in (rect.x0..).zip(row) {
            *v = unit(hash2(x, y, seed));
        }
    })
}

fn variance(taps: &[f32]) -> f64 {
    let r = (taps.len() / 2) as f64;
    taps.iter()
        .enumerate()
        .map(|(i, &w)| f64::from(w) * (i as f64 - r).powi(2))
        .sum()
}

#[test]
fn agrees_with_a_plain_sum() {
    let out = Rect {
        x0: -3,
        y0: 7,
        nx: 77,
        ny: 70,
    };
    for (sx, sy) in [(0.0, 0.0), (0.4, 2.2), (1.4, 2.0), (4.0, 0.9)] {
        let (wx, wy) = (gaussian_taps(sx), gaussian_taps(sy));
        let (rx, ry) = ((wx.len() / 2) as i32, (wy.len() / 2) as i32);
        let src = white(out.expand(rx as u32, ry as u32));
        let ours = fir(&src, &wx, &wy, out);
        for (y, row) in ours.rows() {
            for (x, &v) in (out.x0..).zip(row) {
                let mut sum = 0.0f64;
                for (j, &b) in (-ry..).zip(&wy) {
                    for (i, &a) in (-rx..).zip(&wx) {
                        let s = src.get(x + i, y + j).map_or(f64::NAN, f64::from);
                        sum += f64::from(a) * f64::from(b) * s;
                    }
                }
                assert!((f64::from(v) - sum).abs() < 3e-7, "({x}, {y}): {v} for {sum}");
            }
        }
    }
}

#[test]
fn tiles_join_to_the_bit_and_a_short_halo_shows() {
    let (wx, wy) = (gaussian_taps(1.4), gaussian_taps(2.0));
    let (rx, ry) = ((wx.len() / 2) as u32, (wy.len() / 2) as u32);
    let whole_rect = Rect {
        x0: 0,
        y0: 0,
        nx: 100,
        ny: 90,
    };
    let part = Rect {
        x0: 31,
        y0: 40,
        nx: 33,
        ny: 37,
    };
    let src = white(whole_rect.expand(rx, ry));
    let whole = fir(&src, &wx, &wy, whole_rect).crop(part);
    assert_eq!(fir(&src.crop(part.expand(rx, ry)), &wx, &wy, part), whole);
    for (sx, sy) in [(1, 0), (0, 1)] {
        let less = src.crop(part.expand(rx - sx, ry - sy));
        let short = std::panic::catch_unwind(|| fir(&less, &wx, &wy, part));
        match short {
            Ok(_) if cfg!(debug_assertions) => panic!("a debug build took too few samples"),
            Ok(short) => assert_ne!(short, whole),
            Err(_) => {}
        }
    }
}

#[test]
fn variance_is_2_d_t() {
    // D in mm2/s and t in s: sigma^2 = 2 D t (Crank, The Mathematics of Diffusion, 1975, eq. 2.6).
    for (d, t) in [(1e-3, 20.0), (1e-3, 200.0), (2e-3, 900.0), (1e-2, 3600.0)] {
        for pitch in [0.5, 1.0, 2.54] {
            let sigma_mm = (2.0f64 * d * t).sqrt();
            let taps = gaussian_taps(sigma_mm / pitch);
            let got = variance(&taps) * pitch * pitch;
            assert!(
                (got / (2.0 * d * t) - 1.0).abs() < 2e-6,
                "{got} mm2 for {}",
                2.0 * d * t
            );
        }
    }
}

#[test]
fn taps_are_symmetric_and_keep_what_is_there() {
    for sigma in [0.002, 0.1, 0.3, 0.7, 1.0, 2.5, 9.0, 60.0] {
        let taps = gaussian_taps(sigma);
        assert_eq!(taps.len(), 2 * (3.5 * sigma).ceil() as usize + 1);
        let sum: f64 = taps.iter().map(|&w| f64::from(w)).sum();
        assert!((sum - 1.0).abs() < 1e-6, "sigma {sigma}: sum {sum}");
        assert!(taps.iter().eq(taps.iter().rev()));
        assert!(
            taps.windows(2).take(taps.len() / 2).all(|w| w[0] <= w[1]),
            "sigma {sigma}: rises to the centre"
        );
    }
    assert_eq!(gaussian_taps(0.0), [1.0]);
    assert_eq!(gaussian_taps(f64::NAN), [1.0]);
    assert_eq!(gaussian_taps(-1.0), [1.0]);
}

#[test]
fn wide_taps_approach_the_gaussian() {
    let (sigma, taps) = (6.0f64, gaussian_taps(6.0));
    let r = (taps.len() / 2) as f64;
    for (i, &w) in taps.iter().enumerate() {
        let x = i as f64 - r;
        let curve = (-x * x / (2.0 * sigma * sigma)).exp() / (sigma * std::f64::consts::TAU.sqrt());
        // The discrete kernel's excess kurtosis is 1/sigma^2: 0.4 % of the centre here.
        assert!(
            (f64::from(w) - curve).abs() < 0.004 / (sigma * 2.5),
            "tap {x}: {w} for {curve}"
        );
    }
}

#[test]
fn two_short_spreads_make_one_long() {
    // Diffusion for t1 then t2 is diffusion for t1 + t2: variances add.
    let (a, b, both) = (gaussian_taps(0.9), gaussian_taps(1.2), gaussian_taps(1.5));
    let mut joined = vec![0.0f64; a.len() + b.len() - 1];
    for (i, &x) in a.iter().enumerate() {
        for (j, &y) in b.iter().enumerate() {
            joined[i + j] += f64::from(x) * f64::from(y);
        }
    }
    let shift = joined.len() / 2 - both.len() / 2;
    for (i, &w) in both.iter().enumerate() {
        let j = joined[i + shift];
        assert!((j - f64::from(w)).abs() < 1e-3, "tap {i}: {j} for {w}");
    }
}
