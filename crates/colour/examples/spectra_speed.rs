//! One million spectra to CIELAB, one thread, least of several repeats: the other side of `bench/spectra.py`.
//!
//! `cargo run --release -p colour --example spectra_speed`

use colour::{Lab, Spectrum, Viewing, lab, xyz};
use std::hint::black_box;
use std::time::Instant;

const COUNT: usize = 1_000_000;
const REPEATS: usize = 5;

/// The rule of both sides: band b of spectrum i is 0.5 + 0.4 sin(0.2 b + 0.001 i), as smooth as cloth.
fn reflectance(i: usize) -> Spectrum {
    std::array::from_fn(|b| 0.5 + 0.4 * (0.2 * b as f64 + 0.001 * i as f64).sin())
}

fn main() {
    let spectra: Vec<Spectrum> = (0..COUNT).map(reflectance).collect();
    let white = Viewing::DAYLIGHT.white();
    let mut out = vec![Lab::new(0.0, 0.0, 0.0); COUNT];
    let mut best = f64::INFINITY;
    for _ in 0..REPEATS {
        let start = Instant::now();
        for (to, spectrum) in out.iter_mut().zip(black_box(&spectra)) {
            *to = lab(xyz(spectrum, Viewing::DAYLIGHT), white);
        }
        black_box(&out);
        best = best.min(start.elapsed().as_secs_f64());
    }
    println!("spectrum-to-lab colour {:.1}", best / COUNT as f64 * 1e9);
    for colour in &out[..3] {
        println!("check {:.3} {:.3} {:.3}", colour.l, colour.a, colour.b);
    }
}
