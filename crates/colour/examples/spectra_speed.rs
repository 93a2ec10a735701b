//! One million spectra to CIELAB in single precision, the least time of each block over several repeats: the other side of `bench/spectra.py`.
//! Prints ns per spectrum on one core and on every core.
//!
//! `cargo run --release -p colour --example spectra_speed`

use colour::{Spectrum32, Viewing, labs, labs_into};
use std::hint::black_box;
use std::time::Instant;

const COUNT: usize = 1_000_000;
/// Spectra timed at once: short enough to run unbroken on a busy machine, too much for the second cache.
const BLOCK: usize = 100_000;
const REPEATS: usize = 15;

/// The rule of both sides: band b of spectrum i is 0.5 + 0.4 sin(0.2 b + 0.001 i), as smooth as cloth.
fn reflectance(i: usize) -> Spectrum32 {
    std::array::from_fn(|b| 0.5 + 0.4 * (0.2 * b as f64 + 0.001 * i as f64).sin() as f32)
}

fn main() {
    let spectra: Vec<Spectrum32> = (0..COUNT).map(reflectance).collect();
    let mut out = vec![[0.0; 3]; COUNT];
    let mut one = vec![f64::INFINITY; COUNT / BLOCK];
    let mut every = one.clone();
    for _ in 0..REPEATS {
        for (at, (block, to)) in spectra.chunks(BLOCK).zip(out.chunks_mut(BLOCK)).enumerate() {
            let seconds = timed(|| labs_into(black_box(block), Viewing::DAYLIGHT, black_box(to)));
            one[at] = one[at].min(seconds);
            let seconds = timed(|| drop(black_box(labs(black_box(block), Viewing::DAYLIGHT))));
            every[at] = every[at].min(seconds);
        }
    }
    let ns = |seconds: &[f64]| seconds.iter().sum::<f64>() / COUNT as f64 * 1e9;
    println!("spectrum-to-lab colour {:.1} {:.1}", ns(&one), ns(&every));
    for [l, a, b] in &out[..3] {
        println!("check {l:.3} {a:.3} {b:.3}");
    }
}

fn timed(run: impl FnOnce()) -> f64 {
    let start = Instant::now();
    run();
    start.elapsed().as_secs_f64()
}
