//! Pieces of measurement files.
#![allow(dead_code)]

use colour::measured::{Scale, Stated};

/// 24 chart patches as CGATS text.
pub const WIDE: &str = include_str!("../data/cgats_wide.txt");

/// The person says: fractions.
pub const FRACTION: Stated = Stated {
    scale: Some(Scale::Fraction),
    viewing: None,
};

/// A CSV header for 400 ... 700 nm.
pub fn header(first: &str) -> String {
    let nm: Vec<String> = (0..31).map(|i| (400 + 10 * i).to_string()).collect();
    format!("{first},{}", nm.join(","))
}

/// A CSV row with the same reflectance everywhere.
pub fn row(id: &str, r: f64) -> String {
    format!("{id}{}", format!(",{r}").repeat(31))
}
