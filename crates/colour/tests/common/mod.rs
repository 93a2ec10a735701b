//! Reading of the reference tables in `tests/data`.
#![allow(dead_code)]

/// Rows of a CSV file: `#` comments and the header row are left out.
pub fn rows(text: &'static str) -> Vec<Vec<&'static str>> {
    lines(text).skip(1).collect()
}

/// Header of a CSV file.
pub fn head(text: &'static str) -> Vec<&'static str> {
    lines(text).next().unwrap()
}

/// Rows of numbers, without the first `labels` columns.
pub fn numbers(row: &[&str], labels: usize) -> Vec<f64> {
    row[labels..].iter().map(|c| c.parse().unwrap()).collect()
}

/// Fails with both numbers if they lie further apart than `tolerance`.
#[track_caller]
pub fn near(found: f64, expected: f64, tolerance: f64, what: impl std::fmt::Display) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found} is not {expected} within {tolerance}"
    );
}

fn lines(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines()
        .filter(|l| !l.starts_with('#') && !l.is_empty())
        .map(|l| l.split(',').collect())
}
