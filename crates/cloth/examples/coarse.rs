//! What a coarse picture loses and costs: a picture at 10 dpi beside the mean of the light of 64 samples a pixel that
//! know every lattice at its finest, and the whole bolt.
//!
//! `cargo run --release -p cloth --example coarse` prints, at several places of the bolt together, the differences in dE00
//! of single pixels, of means over squares of pixels (what is seen as a tint of the place), and how much light and dark
//! (the standard deviation of CIE L*) the coarse picture keeps of the fine one; then CPU seconds of the whole bolt.

#[path = "../tests/common/mod.rs"]
mod common;

use cloth::{Bolt, Picture, Shot, Tiling};
use colour::screen::xyz_from_linear;
use colour::{Lab, Viewing, de2000, lab};
use cpu_time::ProcessTime;
use std::sync::atomic::AtomicBool;
use units::Length;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const DPI: f64 = 10.0;
/// Samples of the fine picture in a pixel of the coarse one, each way.
const FINE: u32 = 8;
/// Pixels of a picture and of a square, each way.
const SIDE: u32 = 192;
const SQUARE: u32 = 16;

/// What a byte stands for (IEC 61966-2-1).
fn linear(byte: u8) -> f64 {
    let v = f64::from(byte) / 255.0;
    if v <= 0.040_45 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

/// Mean light of squares of `side` pixels, row by row.
fn light(picture: &Picture, side: u32) -> Vec<[f64; 3]> {
    let mut means = Vec::new();
    for y in 0..picture.height / side {
        for x in 0..picture.width / side {
            let mut sum = [0.0; 3];
            for (j, i) in (0..side).flat_map(|j| (0..side).map(move |i| (j, i))) {
                let at = 3 * ((y * side + j) * picture.width + x * side + i) as usize;
                for c in 0..3 {
                    sum[c] += linear(picture.rgb[at + c]);
                }
            }
            means.push(sum.map(|v| v / f64::from(side * side)));
        }
    }
    means
}

fn seen(light: &[[f64; 3]]) -> Vec<Lab> {
    let white = Viewing::DAYLIGHT.white();
    light.iter().map(|l| lab(xyz_from_linear(*l), white)).collect()
}

fn deviation(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt()
}

fn main() {
    let design = common::six_dyes();
    let lot = route::LotShape::new("bench", 1, 0, design.cloth);
    let bolt = Bolt::prepare(&design, &lot, &common::shop(vec![]), None);
    let at = |pixels: f64| Length(pixels / DPI * 0.0254);
    let take = |shot: &Shot| {
        let go = AtomicBool::new(false);
        shot.take(&bolt, &Tiling::default(), &|_| {}, &go)
            .expect("a picture")
    };
    // Pixels and squares, each coarse and fine.
    let mut found: [[Vec<Lab>; 2]; 2] = Default::default();
    for from in [400.0, 2000.0, 4200.0] {
        let coarse = Shot {
            x: at(60.0),
            y: at(from),
            width: at(f64::from(SIDE)),
            height: at(f64::from(SIDE)),
            dpi: DPI,
            steps: 99,
        };
        let fine = Shot {
            dpi: DPI * f64::from(FINE),
            ..coarse.clone()
        };
        let (coarse, fine) = (take(&coarse), take(&fine));
        for (kind, side) in [1, SQUARE].into_iter().enumerate() {
            found[kind][0].extend(seen(&light(&coarse, side)));
            found[kind][1].extend(seen(&light(&fine, side * FINE)));
        }
    }
    for (what, [coarse, fine]) in ["pixels", "squares"].iter().zip(&found) {
        let mut off: Vec<f64> = coarse.iter().zip(fine).map(|(a, b)| de2000(*a, *b)).collect();
        off.sort_by(f64::total_cmp);
        let contrast = |labs: &[Lab]| deviation(&labs.iter().map(|lab| lab.l).collect::<Vec<_>>());
        println!(
            "{what:<8} mean {:.3}  95 % {:.3}  worst {:.3} dE00; contrast {:.4} of the fine one's",
            off.iter().sum::<f64>() / off.len() as f64,
            off[off.len() * 19 / 20],
            off[off.len() - 1],
            contrast(coarse) / contrast(fine)
        );
    }
    let one = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("a thread");
    let whole = Shot {
        x: Length(0.0),
        y: Length(0.0),
        width: design.cloth.width,
        height: design.cloth.length,
        dpi: DPI,
        steps: 99,
    };
    let start = ProcessTime::now();
    let picture = one.install(|| take(&whole));
    println!(
        "whole bolt, {} x {} pixels: {:.2} core-s",
        picture.width,
        picture.height,
        start.elapsed().as_secs_f64()
    );
}
