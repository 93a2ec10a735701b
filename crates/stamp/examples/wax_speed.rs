//! Nanoseconds a point of the wax row kernel, and milliseconds to make a mask:
//! `cargo run --release -p stamp --example wax_speed -- drawing.svg`

#![allow(missing_docs)]

use stamp::{Artwork, Bounds, HandError, Layout, Stamp, impressions_on, wax_row};
use std::time::Instant;

const POINTS: usize = 4400;
const ROWS: u32 = 300;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args().nth(1).ok_or("which drawing?")?;
    let art = Artwork::read(&std::fs::read_to_string(&file)?, &file).map_err(|f| format!("{f:?}"))?;
    let start = Instant::now();
    let stamp = Stamp::new(&art, 200.0, None).map_err(|f| format!("{f:?}"))?;
    println!(
        "stamp with mask and widths: {:.0} ms",
        start.elapsed().as_secs_f64() * 1e3
    );
    let lattice = stamp.lattice(Layout::HalfDrop);
    let places = lattice.placements(1117.6, 2000.0);
    let error = HandError {
        x_mm: 1.5,
        y_mm: 1.5,
        angle: 0.01,
        pressure: 0.1,
    };
    let part = Bounds {
        low: [0.0, 500.0],
        high: [1117.6, 600.0],
    };
    let unit = |i: i32, j: i32, n: u32| ((i * 31 + j * 17 + n as i32 * 7).rem_euclid(64)) as f32 / 64.0;
    let set = impressions_on(&part, stamp.mask(), &lattice, &places, &error, unit);
    let xs: Vec<f32> = (0..POINTS).map(|k| k as f32 * 0.254).collect();
    let (mut distance, mut pressure) = (vec![0.0; POINTS], vec![0.0; POINTS]);
    let mut best = f64::INFINITY;
    let mut sum = 0.0;
    for _ in 0..9 {
        let start = Instant::now();
        for row in 0..ROWS {
            let y = 500.0 + 0.3 * f64::from(row);
            wax_row(stamp.mask(), &set, y, &xs, &mut distance, &mut pressure);
            sum += distance[POINTS / 2];
        }
        best = best.min(start.elapsed().as_secs_f64());
    }
    let ns = best * 1e9 / f64::from(ROWS) / POINTS as f64;
    println!(
        "wax row: {ns:.2} ns a point, {} impressions, least of 9 (check {sum})",
        set.len()
    );
    Ok(())
}
