//! Prints the cost of the kernels in nanoseconds a sample, one thread, at every level of the machine:
//! `cargo run --release -p field --example kernels`. The least of many runs over cache-resident data.

use std::hint::black_box;
use std::time::Instant;

use field::{Bands, Blot, Grid, Join, Lattice, Level, Rect, Seed};

const N: usize = 4096;

field::lanes! {
    fn run_noise(out: &mut [f32], y: f32, seed: u32) {
        for (i, o) in (0i32..).zip(out) {
            *o = field::noise(i as f32 * 0.037 + y * 0.1, y, seed);
        }
    }

    fn run_noise2(out: &mut [f32], y: f32, seed: u32) {
        for (i, o) in (0i32..).zip(out) {
            *o = field::noise2(i as f32 * 0.037 + y * 0.1, y, seed, 0.037);
        }
    }

    fn run_cells(out: &mut [f32], y: f32, seed: u32) {
        for (i, o) in (0i32..).zip(out) {
            let c = field::cells(i as f32 * 0.037 + y * 0.1, y, seed);
            *o = (c.f2 - c.f1) * field::unit(c.id1 ^ c.id2);
        }
    }

    fn run_exp(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = field::exp(v);
        }
    }

    fn run_ln(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = field::ln(v);
        }
    }

    fn run_pow(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = field::pow(v, 0.7);
        }
    }

    fn run_cbrt(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = field::cbrt(v);
        }
    }

    fn run_sin(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = field::sin(v);
        }
    }

    fn run_root_and_division(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = 1.0 / v.sqrt();
        }
    }

    fn run_erfc(out: &mut [f32], from: &[f32]) {
        for (o, &v) in out.iter_mut().zip(from) {
            *o = field::erfc(v);
        }
    }
}

/// Least time of a run, in ns a sample.
fn least(samples: usize, mut run: impl FnMut()) -> f64 {
    let mut best = f64::INFINITY;
    let begun = Instant::now();
    while begun.elapsed().as_millis() < 60 {
        let start = Instant::now();
        run();
        best = best.min(start.elapsed().as_secs_f64());
    }
    best * 1e9 / samples as f64
}

fn measure() -> Vec<(&'static str, f64)> {
    let seed = Seed(7).child("kernels").low();
    let mut out = vec![0.0f32; N];
    let from: Vec<f32> = (0..N).map(|i| (i % 977) as f32 * 0.004 + 0.01).collect();
    let square = Rect {
        x0: 0,
        y0: 0,
        nx: 256,
        ny: 256,
    };
    let milli = Lattice { pitch: 1.0 };
    let source = Grid::by_rows(milli, square.expand(8, 8), |y, row| {
        run_noise(row, y as f32, seed)
    });
    let (wx, wy) = (field::gaussian_taps(2.0), field::gaussian_taps(1.4));
    let half = Lattice { pitch: 0.5 };
    let pixels = Lattice { pitch: 0.254 };
    let fine = Rect {
        x0: 8,
        y0: 8,
        nx: 256,
        ny: 256,
    };
    let blot = Blot {
        x: 128.0,
        y: 128.0,
        half: [0.0; 2],
        radius: 60.0,
        edge: 4.0,
        rag: 7.0,
        grain: 20.0,
        amount: 1.0,
        seed,
    };
    let touched = blot.bounds(milli).area();
    let mut dabbed = Grid::flat(milli, square, 0.0);

    let amounts: Vec<Vec<f32>> = (0..6)
        .map(|d| from.iter().map(|v| v * (d + 1) as f32 * 0.1).collect())
        .collect();
    let planes: Vec<&[f32]> = amounts.iter().map(Vec::as_slice).collect();
    let (unit, fewer) = (units::<31>(), units::<16>());
    let (bands, few) = (bands(&unit), bands(&fewer));
    let (mut r, mut g, mut b) = (vec![0.0; N], vec![0.0; N], vec![0.0; N]);
    let mut bytes = vec![0u8; 3 * N];
    vec![
        ("noise", least(N, || run_noise(black_box(&mut out), 3.3, seed))),
        ("noise2", least(N, || run_noise2(black_box(&mut out), 3.3, seed))),
        ("cells", least(N, || run_cells(black_box(&mut out), 3.3, seed))),
        ("exp", least(N, || run_exp(black_box(&mut out), black_box(&from)))),
        ("ln", least(N, || run_ln(black_box(&mut out), black_box(&from)))),
        ("pow", least(N, || run_pow(black_box(&mut out), black_box(&from)))),
        (
            "cbrt",
            least(N, || run_cbrt(black_box(&mut out), black_box(&from))),
        ),
        ("sin", least(N, || run_sin(black_box(&mut out), black_box(&from)))),
        (
            "erfc",
            least(N, || run_erfc(black_box(&mut out), black_box(&from))),
        ),
        (
            "fir 15 x 11",
            least(square.area(), || {
                drop(black_box(field::fir(black_box(&source), &wx, &wy, square)))
            }),
        ),
        (
            "upsample 1 mm to 0.5",
            least(fine.area(), || drop(black_box(source.sample_onto(half, fine)))),
        ),
        (
            "upsample 1 mm to 0.254",
            least(fine.area(), || drop(black_box(source.sample_onto(pixels, fine)))),
        ),
        (
            "ragged disk",
            least(touched, || {
                field::blots(black_box(&mut dabbed), &[blot], Join::Cover)
            }),
        ),
        (
            "reflect 31 x 6",
            least(N, || {
                field::reflect(black_box(&planes), None, None, &bands, [&mut r, &mut g, &mut b])
            }),
        ),
        (
            "reflect 16 x 6",
            least(N, || {
                field::reflect(black_box(&planes), None, None, &few, [&mut r, &mut g, &mut b])
            }),
        ),
        (
            "root and division",
            least(N, || run_root_and_division(black_box(&mut out), black_box(&from))),
        ),
        (
            "sRGB bytes",
            least(N, || {
                field::srgb_bytes([&from, &from, &from], black_box(&mut bytes))
            }),
        ),
    ]
}

/// K/S of six dyes.
fn units<const B: usize>() -> Vec<[f32; B]> {
    let one = |d: usize| std::array::from_fn(|b| 0.1 + ((b * 7 + d * 11) % 31) as f32 * 0.05);
    (0..6).map(one).collect()
}

fn bands<const B: usize>(unit: &[[f32; B]]) -> Bands<'_, B> {
    Bands {
        unit,
        k_max: 41.0,
        substrate: [0.02; B],
        to_rgb: [[1.0 / B as f32; B]; 3],
    }
}

fn main() {
    let mut table = Vec::new();
    for level in Level::ALL {
        if field::force_level(level) == level {
            table.push((level, measure()));
        }
    }
    print!("{:<24}", "ns a sample");
    table
        .iter()
        .for_each(|(level, _)| print!("{:>10}", format!("{level:?}")));
    println!();
    for (i, (name, _)) in table[0].1.iter().enumerate() {
        print!("{name:<24}");
        table
            .iter()
            .for_each(|(_, column)| print!("{:>10.2}", column[i].1));
        println!();
    }
}
