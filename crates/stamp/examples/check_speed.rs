//! How long a check takes: drawings of 2,500 to 20,000 curves, read, put to size and checked on every core.
//! Prints `<curves> <points> <read ms> <check ms> <check us per curve> <processor us per curve>`, the last over all cores
//! and, unlike the others, the same on a busy machine (0 where the system does not tell); with `widths` the other side of
//! `bench/widths.py`: `widths lorod <us per look>` on one thread and `check <quartiles of the discs' radii, mm>`; with
//! `data` the looks themselves, `<x> <y> <normal x> <normal y>`.

#![allow(missing_docs)]

use stamp::{Artwork, Limits, Medial, Side, Stamp};
use std::fmt::Write as _;
use std::time::Instant;

/// Leaves of four curves each on a grid, every one a little different.
fn drawing(curves: usize) -> String {
    let leaves = curves / 4;
    let side = (leaves as f64).sqrt().ceil() as usize;
    let pitch = 200.0 / side as f64;
    let mut svg = String::from(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><path d=""#,
    );
    for k in 0..leaves {
        let (x, y) = (
            (k % side) as f64 * pitch + pitch / 2.0,
            (k / side) as f64 * pitch + pitch / 2.0,
        );
        let (a, b) = (pitch * (0.3 + 0.05 * (k % 5) as f64 / 4.0), pitch * 0.3);
        let c = 0.5523;
        let _ = write!(
            svg,
            "M{} {y}C{} {} {} {} {x} {}S{} {} {} {y}S{} {} {x} {}S{} {} {} {y}Z",
            x - a,
            x - a,
            y - c * b,
            x - c * a,
            y - b,
            y - b,
            x + a,
            y - c * b,
            x + a,
            x + c * a,
            y + b,
            y + b,
            x - a,
            y + c * b,
            x - a
        );
    }
    svg.push_str("\"/></svg>");
    svg
}

fn stamp(curves: usize) -> Option<Stamp> {
    let art = Artwork::read(&drawing(curves), "leaves.svg").ok()?;
    Stamp::new(&art, 200.0, None).ok()
}

fn main() {
    match std::env::args().nth(1).as_deref() {
        Some("widths") => widths(),
        Some("data") => data(),
        _ => checks(),
    }
}

/// Curves of the drawing whose widths are measured by both sides.
const CURVES: usize = 10_000;

fn widths() {
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build();
    let (Some(stamp), Ok(one)) = (stamp(CURVES), one) else {
        return;
    };
    let mut best = f64::INFINITY;
    let mut radii: Vec<f64> = Vec::new();
    for _ in 0..3 {
        let start = Instant::now();
        let medial = one.install(|| Medial::on(stamp.area(), Side::Wax));
        best = best.min(start.elapsed().as_secs_f64());
        radii = medial.discs().iter().map(|disc| disc.radius).collect();
    }
    println!("widths lorod {:.3}", best * 1e6 / radii.len() as f64);
    radii.sort_by(f64::total_cmp);
    let quartile = |k: usize| radii[(radii.len() - 1) * k / 4];
    println!("check {:.4} {:.4} {:.4}", quartile(1), quartile(2), quartile(3));
}

fn data() {
    let Some(stamp) = stamp(CURVES) else { return };
    for disc in Medial::on(stamp.area(), Side::Wax).discs() {
        let n = [0, 1].map(|k| (disc.centre[k] - disc.at[k]) / disc.radius);
        println!("{:.6} {:.6} {:.6} {:.6}", disc.at[0], disc.at[1], n[0], n[1]);
    }
}

fn checks() {
    println!(
        "{:>8}{:>9}{:>10}{:>10}{:>14}{:>14}",
        "curves", "points", "read ms", "check ms", "us per curve", "processor us"
    );
    for curves in [2_500, 5_000, 10_000, 20_000] {
        let start = Instant::now();
        let Some(stamp) = stamp(curves) else {
            println!("{curves:>8} refused");
            continue;
        };
        let read = start.elapsed();
        // The system counts in hundredths of a second: as much work for each size.
        let repeats = 3 * 20_000 / curves;
        let before = processor_s();
        let check = (0..repeats)
            .map(|_| {
                let start = Instant::now();
                let report = stamp.report(&Limits::default(), 1117.6);
                std::hint::black_box(report.faults.len());
                start.elapsed()
            })
            .min()
            .unwrap_or_default();
        let processor = (processor_s() - before) / repeats as f64;
        println!(
            "{curves:>8}{:>9}{:>10}{:>10}{:>14.1}{:>14.1}",
            stamp.area().points(),
            read.as_millis(),
            check.as_millis(),
            check.as_secs_f64() * 1e6 / curves as f64,
            processor * 1e6 / curves as f64
        );
    }
}

/// Processor time of all threads until now, s, as Linux tells it; 0 elsewhere.
fn processor_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // After the name, which may hold anything: the 12th and 13th field, in hundredths of a second.
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    let ticks = fields
        .skip(11)
        .take(2)
        .filter_map(|ticks| ticks.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}
