//! How long a check takes: drawings of 5,000, 10,000 and 20,000 curves, read, put to size and checked.
//! Prints `<curves> <points> <read ms> <check ms> <check us per curve>`.

#![allow(missing_docs)]

use stamp::{Artwork, Limits, Stamp};
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

fn main() {
    println!(
        "{:>8}{:>9}{:>10}{:>10}{:>14}",
        "curves", "points", "read ms", "check ms", "us per curve"
    );
    for curves in [5_000, 10_000, 20_000] {
        let svg = drawing(curves);
        let start = Instant::now();
        let stamp = Artwork::read(&svg, "leaves.svg").and_then(|art| Stamp::new(&art, 200.0, None));
        let Ok(stamp) = stamp else {
            println!("{curves:>8} refused");
            continue;
        };
        let read = start.elapsed();
        let check = (0..3)
            .map(|_| {
                let start = Instant::now();
                let report = stamp.report(&Limits::default(), 1117.6);
                std::hint::black_box(report.faults.len());
                start.elapsed()
            })
            .min()
            .unwrap_or_default();
        println!(
            "{curves:>8}{:>9}{:>10}{:>10}{:>14.1}",
            stamp.area().points(),
            read.as_millis(),
            check.as_millis(),
            check.as_secs_f64() * 1e6 / curves as f64
        );
    }
}
