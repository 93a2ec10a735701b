//! What the random fields look like, measured.

use std::f64::consts::{PI, TAU};

use field::{Seed, cells, hash2, noise, noise1, noise2, noise2_lost, noise3, noise3_lost, unit};

fn seeds(n: u64) -> impl Iterator<Item = u32> {
    (0..n).map(|i| Seed(1).child("statistics").number(i).low())
}

/// Mean and variance.
fn moments(values: impl Iterator<Item = f32>) -> (f64, f64) {
    let (mut n, mut sum, mut square) = (0.0, 0.0, 0.0);
    for v in values.map(f64::from) {
        n += 1.0;
        sum += v;
        square += v * v;
    }
    (sum / n, square / n - (sum / n).powi(2))
}

/// A 200 x 200 patch a seed, 8 samples a cell, off the lattice.
fn patch(field: impl Fn(f32, f32, u32) -> f32) -> impl Iterator<Item = f32> {
    seeds(60)
        .flat_map(|s| (0..40_000).map(move |i| ((i % 200) as f32 / 8.0, (i / 200) as f32 / 8.0, s)))
        .map(move |(x, y, s)| field(x + 1000.06, y - 333.06, s))
}

#[test]
fn hashes_avalanche() {
    // Each input bit flips each output bit in half of the cases (Webster and Tavares 1985).
    let n = 4000u32;
    for bit in 0..24 {
        for input in 0..3 {
            let mut flips = [0u32; 32];
            for i in 0..n {
                let (x, y, s) = (
                    (i * 7) as i32,
                    (i * 13) as i32 - 9000,
                    i.wrapping_mul(2_654_435_761),
                );
                let (x2, y2, s2) = match input {
                    0 => (x ^ (1 << bit), y, s),
                    1 => (x, y ^ (1 << bit), s),
                    _ => (x, y, s ^ (1 << bit)),
                };
                let differ = hash2(x, y, s) ^ hash2(x2, y2, s2);
                for (k, f) in flips.iter_mut().enumerate() {
                    *f += (differ >> k) & 1;
                }
            }
            for (k, f) in flips.iter().enumerate() {
                let share = f64::from(*f) / f64::from(n);
                // 6 standard deviations of 4000 fair throws are 0.047.
                assert!(
                    (share - 0.5).abs() < 0.06,
                    "bit {bit} of input {input} flips bit {k}: {share}"
                );
            }
        }
    }
}

#[test]
fn neighbouring_hashes_are_uncorrelated() {
    let s = Seed(5).low();
    for (dx, dy) in [(1, 0), (0, 1), (1, 1), (1, -1), (2, 0), (0, 2)] {
        let n = 300;
        let mut sum = 0.0;
        for y in 0..n {
            for x in 0..n {
                let a = f64::from(unit(hash2(x, y, s))) - 0.5;
                sum += a * (f64::from(unit(hash2(x + dx, y + dy, s))) - 0.5);
            }
        }
        let correlation = sum * 12.0 / f64::from(n * n);
        // Standard deviation 1/300.
        assert!(correlation.abs() < 0.015, "({dx}, {dy}): {correlation}");
    }
}

#[test]
fn two_seeds_are_not_one_field_moved() {
    // 65,536 places under one seed, looked up under another: the odd coincidence, no more.
    let (a, b) = (Seed(1).low(), Seed(2).low());
    let mut first: Vec<u32> = (0..65_536).map(|i| hash2(i % 256, i / 256, a)).collect();
    first.sort_unstable();
    let both = (0..65_536)
        .filter(|i| first.binary_search(&hash2(i % 256, i / 256, b)).is_ok())
        .count();
    // Expected 65,536^2 / 2^32 = 1.
    assert!(both < 10, "{both} values in common");
}

#[test]
fn seeds_part_by_name_and_number() {
    let root = Seed(42);
    let mut all: Vec<u64> = (0..1000).map(|n| root.number(n).0).collect();
    all.extend((0..1000).map(|n| root.child(&n.to_string()).0));
    all.extend([
        root.0,
        root.child("").0,
        root.child("a").child("bc").0,
        root.child("ab").child("c").0,
    ]);
    all.extend([
        root.child("a").number(1).0,
        root.number(1).child("a").0,
        root.child("abc").0,
    ]);
    let n = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), n);
}

#[test]
fn noise_has_its_stated_mean_and_spread() {
    let (mean, variance) = moments(patch(noise));
    assert!(mean.abs() < 0.004, "mean {mean}");
    let exact = 1.98 * 1.98 * PI / 168.0;
    assert!(
        (variance - exact).abs() < 0.001,
        "variance {variance} for {exact}"
    );
    assert!(patch(noise).all(|v| v.abs() <= 1.0));
    let line = || seeds(400).flat_map(|s| (0..2000).map(move |i| noise1(i as f32 / 8.0, s)));
    let (mean, variance) = moments(line());
    // 2.37^2 x 2/3 x the integral of (1 - t^2)^6 t^2 from 0 to 1 (0.022733, by parts).
    assert!(
        mean.abs() < 0.004 && (variance - 0.0851).abs() < 0.001,
        "a line: {mean}, {variance}"
    );
    assert!(line().all(|v| v.abs() <= 1.0));
}

#[test]
fn what_octaves_lose_is_what_is_said() {
    let full2 = moments(patch(|x, y, s| noise2(x, y, s, 0.0))).1;
    let full3 = moments(patch(|x, y, s| noise3(x, y, s, 0.0))).1;
    for (step, lost2, lost3) in [
        (0.1, 0.0, noise3_lost(0.1)),
        (0.2, noise2_lost(0.2), noise3_lost(0.2)),
        (0.4, noise2_lost(0.4), noise3_lost(0.4)),
        (0.6, noise2_lost(0.6), noise3_lost(0.6)),
    ] {
        let left2 = moments(patch(|x, y, s| noise2(x, y, s, step))).1;
        let left3 = moments(patch(|x, y, s| noise3(x, y, s, step))).1;
        assert!(
            (full2 - left2 - f64::from(lost2)).abs() < 0.001,
            "step {step}: {full2} to {left2}, {lost2}"
        );
        assert!(
            (full3 - left3 - f64::from(lost3)).abs() < 0.001,
            "step {step}: {full3} to {left3}, {lost3}"
        );
    }
    // 1 / 2.05 = 0.488 samples: the second octave goes at half of that.
    assert_eq!(noise2(0.3, 0.4, 9, 0.243), noise2(0.3, 0.4, 9, 0.0));
    assert_ne!(noise2(0.3, 0.4, 9, 0.245), noise2(0.3, 0.4, 9, 0.0));
    assert_eq!(noise2(0.3, 0.4, 9, 0.51), 0.0);
}

/// Share of spectral energy within 10 degrees of the axes, over wavelengths of 0.8 to 4 cells.
fn energy_by_the_axes(field: impl Fn(f32, f32, u32) -> f32) -> f64 {
    const N: usize = 128;
    let (per_cell, top) = (8.0f32, (N / 6) as i32);
    let window: Vec<f64> = (0..N)
        .map(|i| 0.5 - 0.5 * (TAU * (i as f64 + 0.5) / N as f64).cos())
        .collect();
    let waves: Vec<(f64, f64)> = (0..N).map(|i| (TAU * i as f64 / N as f64).sin_cos()).collect();
    let wave = |k: i32, i: usize| waves[(k.rem_euclid(N as i32) as usize * i) % N];
    let (mut near, mut all) = (0.0, 0.0);
    for s in seeds(48) {
        let mut values = vec![0.0f64; N * N];
        for (i, v) in values.iter_mut().enumerate() {
            let (x, y) = (i % N, i / N);
            let at = field(x as f32 / per_cell + 50.3, y as f32 / per_cell + 9.7, s);
            *v = f64::from(at) * window[x] * window[y];
        }
        for kx in -top..=top {
            // Along x first, then down for each frequency of the half plane.
            let along: Vec<(f64, f64)> = values
                .chunks(N)
                .map(|row| {
                    row.iter().enumerate().fold((0.0, 0.0), |(re, im), (x, v)| {
                        let (sin, cos) = wave(kx, x);
                        (re + v * cos, im - v * sin)
                    })
                })
                .collect();
            for ky in i32::from(kx <= 0)..=top {
                let cells = N as f64 / f64::from(per_cell) / f64::from(kx * kx + ky * ky).sqrt();
                if !(0.8..=4.0).contains(&cells) {
                    continue;
                }
                let (re, im) = along
                    .iter()
                    .enumerate()
                    .fold((0.0, 0.0), |(re, im), (y, (a, b))| {
                        let (sin, cos) = wave(ky, y);
                        (re + a * cos + b * sin, im + b * cos - a * sin)
                    });
                let energy = re * re + im * im;
                let angle = f64::from(ky).atan2(f64::from(kx)).rem_euclid(PI / 2.0);
                all += energy;
                if angle.min(PI / 2.0 - angle) < 10f64.to_radians() {
                    near += energy;
                }
            }
        }
    }
    near / all
}

#[test]
fn energy_has_no_preferred_direction() {
    // Without direction 4 x 20 / 360 = 0.222, and the same for the field turned by 45 degrees. Blending
    // along the axes (quintic fade) gives 0.239 and 0.205.
    let turned = |x: f32, y: f32| {
        (
            (x - y) * std::f32::consts::FRAC_1_SQRT_2,
            (x + y) * std::f32::consts::FRAC_1_SQRT_2,
        )
    };
    let straight = energy_by_the_axes(noise);
    let diagonal = energy_by_the_axes(|x, y, s| noise(turned(x, y).0, turned(x, y).1, s));
    let octaves = energy_by_the_axes(|x, y, s| noise3(x, y, s, 0.0));
    println!("axes {straight:.4}, diagonals {diagonal:.4}, three octaves {octaves:.4}");
    for share in [straight, diagonal, octaves] {
        assert!((share - 0.222).abs() < 0.01, "{straight} {diagonal} {octaves}");
    }
}

#[test]
fn slopes_are_alike_in_all_directions() {
    let slope = |dx: f32, dy: f32| {
        moments(patch(move |x, y, s| {
            (noise(x + dx, y + dy, s) - noise(x - dx, y - dy, s)) / 0.02
        }))
        .1
    };
    let r = 0.01 * std::f32::consts::FRAC_1_SQRT_2;
    let (along_x, along_y, up, down) = (slope(0.01, 0.0), slope(0.0, 0.01), slope(r, r), slope(r, -r));
    for other in [along_y, up, down] {
        assert!(
            (other / along_x - 1.0).abs() < 0.03,
            "{along_x} {along_y} {up} {down}"
        );
    }
}

#[test]
fn cells_agree_with_a_plain_search() {
    // Every point within three cells, in f64.
    let s = Seed(8).low();
    let point = |i: i32, j: i32| {
        let h = hash2(i, j, s);
        let (a, b) = (f64::from(h & 0xffff) / 65_536.0, f64::from(h >> 16) / 65_536.0);
        (f64::from(i) + 0.1 + 0.8 * a, f64::from(j) + 0.1 + 0.8 * b, h)
    };
    let mut beyond = 0;
    for n in 0..20_000 {
        let (x, y) = ((n % 141) as f32 * 0.37 - 20.0, (n / 141) as f32 * 0.41 - 25.0);
        let found = cells(x, y, s);
        let (cx, cy) = (x.floor() as i32, y.floor() as i32);
        let mut near: Vec<(f64, u32)> = (-3..=3)
            .flat_map(|j| (-3..=3).map(move |i| (i, j)))
            .map(|(i, j)| point(cx + i, cy + j))
            .map(|(px, py, h)| ((f64::from(x) - px).hypot(f64::from(y) - py), h))
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        if near[0].0 < 1.1 {
            assert!((f64::from(found.f1) - near[0].0).abs() < 1e-5, "({x}, {y})");
            assert!(
                found.id1 == near[0].1 || near[1].0 - near[0].0 < 1e-5,
                "({x}, {y})"
            );
        }
        if near[1].0 < 1.1 {
            assert!((f64::from(found.f2) - near[1].0).abs() < 1e-5, "({x}, {y})");
            assert!(
                found.id2 == near[1].1 || near[2].0 - near[1].0 < 1e-5,
                "({x}, {y})"
            );
        } else {
            beyond += 1;
        }
    }
    assert!(beyond < 1000, "f2 beyond 1.1 in {beyond} of 20,000 places");
}
