//! Shapes with known areas, perimeters and widths, and paths with known lengths.
#![allow(missing_docs, clippy::unwrap_used)]

use stamp::{Area, Artwork, Mask, Ring, Rule, Widths};
use std::collections::BTreeMap;

const POINTS: &str = include_str!("data/shape_points.csv");
const FIGURES: &str = include_str!("data/shape_figures.csv");
const PATHS: &str = include_str!("data/path_lengths.csv");

fn rows(table: &str, mark: char) -> impl Iterator<Item = Vec<&str>> {
    table
        .lines()
        .filter(|l| !l.starts_with('#'))
        .skip(1)
        .map(move |l| l.split(mark).collect())
}

fn shapes() -> BTreeMap<String, Area> {
    let mut rings: BTreeMap<String, BTreeMap<(u32, u32), Ring>> = BTreeMap::new();
    for row in rows(POINTS, ',') {
        let key = (row[1].parse().unwrap(), row[2].parse().unwrap());
        let point = [row[3].parse().unwrap(), row[4].parse().unwrap()];
        rings
            .entry(row[0].into())
            .or_default()
            .entry(key)
            .or_default()
            .push(point);
    }
    let area = |r: BTreeMap<_, Ring>| Area::filled(&r.into_values().collect::<Vec<_>>(), Rule::EvenOdd);
    rings.into_iter().map(|(name, r)| (name, area(r))).collect()
}

fn figure(row: &[&str], column: usize) -> Option<f64> {
    row.get(column).and_then(|v| v.parse().ok())
}

#[test]
fn areas_and_outlines_are_exact() {
    let shapes = shapes();
    for row in rows(FIGURES, ',') {
        let area = &shapes[row[0]];
        let (mm2, mm) = (figure(&row, 1).unwrap(), figure(&row, 2).unwrap());
        // The points are rounded to 1e-6 mm.
        assert!(
            (area.mm2() - mm2).abs() < 1e-4,
            "{}: {} {mm2}",
            row[0],
            area.mm2()
        );
        assert!(
            (area.outline_mm() - mm).abs() < 1e-3,
            "{}: {} {mm}",
            row[0],
            area.outline_mm()
        );
    }
}

#[test]
fn planted_widths_are_found() {
    let shapes = shapes();
    let mut found = 0;
    for row in rows(FIGURES, ',') {
        let widths = Widths::of(&shapes[row[0]]);
        for gap in [figure(&row, 3), figure(&row, 4)].into_iter().flatten() {
            let got = widths.narrowest_gap().map_or(f64::NAN, |w| w.mm);
            assert!((got - gap).abs() < 0.01, "{}: gap {got}, planted {gap}", row[0]);
            found += 1;
        }
        if let Some(bar) = figure(&row, 5) {
            let got = widths.thinnest_line().map_or(f64::NAN, |w| w.mm);
            assert!((got - bar).abs() < 0.01, "{}: line {got}, planted {bar}", row[0]);
            found += 1;
        }
    }
    assert_eq!(found, 9, "two gaps between parts, two in one, five bars");
}

/// The area of an offset is the area within a level of the signed distance.
#[test]
fn levels_of_the_mask_are_offsets() {
    const STEP: f64 = 0.05;
    let shapes = shapes();
    for row in rows(FIGURES, ',') {
        let area = &shapes[row[0]];
        let mask = Mask::new(area);
        let around = area.bounds().unwrap().grown(2.0);
        let (nx, ny) = (
            (around.width() / STEP) as usize,
            (around.height() / STEP) as usize,
        );
        let inside = |level: f64| {
            let at = |k: usize| {
                let (x, y) = (
                    around.low[0] + ((k % nx) as f64 + 0.5) * STEP,
                    around.low[1] + ((k / nx) as f64 + 0.5) * STEP,
                );
                f64::from(mask.distance(x as f32, y as f32)) > level
            };
            (0..nx * ny).filter(|k| at(*k)).count() as f64 * STEP * STEP
        };
        for (column, level) in [(1, 0.0), (6, 0.3), (7, -0.4), (8, -1.0)] {
            let Some(expected) = figure(&row, column) else {
                continue;
            };
            let got = inside(level);
            // Counting points misses up to a step's width along the outline at random, interpolation rounds
            // corners by a pitch: 0.02 mm along the outline holds both.
            let tolerance = 0.02 * figure(&row, 2).unwrap();
            assert!(
                (got - expected).abs() < tolerance,
                "{} at {level}: {got}, {expected}",
                row[0]
            );
        }
    }
}

fn drawn(d: &str, paint: &str) -> Area {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="-100 -100 200 200"><path d="{d}" {paint}/></svg>"#
    );
    // From the page's corner back to the path's own origin.
    Artwork::read(&svg, "path.svg")
        .unwrap()
        .area()
        .moved([-100.0, -100.0])
}

#[test]
fn closed_paths_have_their_length_and_area() {
    for row in rows(PATHS, '|').filter(|r| r[3] != "nan") {
        let area = drawn(row[1], "");
        let (length, mm2): (f64, f64) = (row[2].parse().unwrap(), row[3].parse().unwrap());
        // Chords are shorter than their arcs by the flatness (0.01 mm) squared over the arc: under 1e-3 here.
        // The library draws arcs as curves whose area is 0.03 % too large.
        assert!(
            (area.outline_mm() / length - 1.0).abs() < 1e-3,
            "{}: {} {length}",
            row[0],
            area.outline_mm()
        );
        assert!(
            (area.mm2() / mm2 - 1.0).abs() < 2e-3,
            "{}: {} {mm2}",
            row[0],
            area.mm2()
        );
    }
}

/// A pen of width w along a smooth line of length L covers w L as long as it turns wider than w / 2.
#[test]
fn strokes_cover_length_times_width() {
    for name in ["s-curve open", "smooth chain"] {
        let row = rows(PATHS, '|').find(|r| r[0] == name).unwrap();
        let length: f64 = row[2].parse().unwrap();
        for width in [0.8, 2.0] {
            let area = drawn(
                row[1],
                &format!(r#"fill="none" stroke="black" stroke-width="{width}""#),
            )
            .mm2();
            // Flatness 0.01 mm on both sides.
            let tolerance = length * 0.02;
            assert!(
                (area - length * width).abs() < tolerance,
                "{name} {width}: {area} {}",
                length * width
            );
        }
    }
}
