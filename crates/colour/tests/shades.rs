//! Shade bands, grey scale ratings, metamerism.

mod common;

use colour::sorting::{Tolerance, complete_linkage, sort};
use colour::{Illuminant, Lab, Observer, Viewing, de76, grey_scale, lab, metamerism, xyz};
use common::{near, numbers, rows};
use proptest::prelude::*;

/// ISO 105-A02:1993, table 1, written here a second time from the public extract of EN 20105-A02:1994.
#[test]
fn grey_scale_table() {
    let expected = [
        ("5", 0.0, 0.2),
        ("4-5", 0.8, 0.2),
        ("4", 1.7, 0.3),
        ("3-4", 2.5, 0.35),
        ("3", 3.4, 0.4),
        ("2-3", 4.8, 0.5),
        ("2", 6.8, 0.6),
        ("1-2", 9.6, 0.7),
        ("1", 13.6, 1.0),
    ];
    assert_eq!(grey_scale::steps().len(), expected.len());
    for (step, (name, difference, tolerance)) in grey_scale::steps().iter().zip(expected) {
        assert_eq!(
            (step.name().as_str(), step.difference, step.tolerance),
            (name, difference, tolerance)
        );
    }
    // The limits of A05 lie midway between the differences of A02.
    for pair in grey_scale::steps().windows(2) {
        let midway = f64::midpoint(pair[0].difference, pair[1].difference);
        near(pair[1].from, midway, 1e-12, pair[1].name());
    }
}

/// The formula of ISO 105-A05 meets the scale of A02 at its full steps.
#[test]
fn grades_of_full_steps() {
    for (difference, grade) in [
        (0.0, 5.0),
        (1.7, 4.0),
        (3.4, 3.0),
        (6.8, 2.0),
        (13.6, 1.0),
        (50.0, 1.0),
    ] {
        near(grey_scale::grade(difference), grade, 1e-12, difference);
    }
}

/// A pair from common practice (no source); dE_F and grade computed apart from this crate.
#[test]
fn rating_of_one_pair() {
    let rating = grey_scale::rate(
        Lab::new(33.4921, 18.2176, 18.7574),
        Lab::new(34.1239, 18.9849, 19.0859),
    );
    near(rating.difference, 0.9219, 5e-5, "dE_F");
    near(rating.grade, 4.46, 5e-3, "grade");
    assert_eq!(rating.step.name(), "4-5");
}

/// A second implementation of A05 on 34 published pairs: see the head of the file.
#[test]
fn ratings_of_34_pairs() {
    let rows = rows(include_str!("data/grey_scale_pairs.csv"));
    assert_eq!(rows.len(), 34);
    for row in rows {
        let n = numbers(&row[..8], 1);
        let (one, other) = (Lab::new(n[0], n[1], n[2]), Lab::new(n[3], n[4], n[5]));
        let rating = grey_scale::rate(one, other);
        // Printed to 8 significant digits: 5e-7 for the largest.
        near(rating.difference, n[6], 5e-7, format_args!("pair {}", row[0]));
        assert_eq!(rating.step.name(), row[8], "pair {}", row[0]);
        near(
            grey_scale::rate(other, one).difference,
            rating.difference,
            1e-12,
            "the other way round",
        );
    }
}

/// Three greys 0.8 apart: neighbours match at 1.0, ends do not, so a chain must not become one band.
#[test]
fn a_chain_is_not_a_band() {
    let chain = [0.0_f64, 0.8, 1.6];
    let bands = complete_linkage(3, |i, j| (chain[i] - chain[j]).abs(), 1.0);
    assert_eq!(bands.len(), 2);
    assert_eq!(bands[0].bolts, [0, 1]);
    assert_eq!(bands[1].bolts, [2]);
    near(bands[0].spread, 0.8, 1e-12, "spread");
    // Exactly the tolerance is still one band.
    let bands = complete_linkage(3, |i, j| (chain[i] - chain[j]).abs(), 1.6);
    assert_eq!(bands.len(), 1);
    assert_eq!((bands[0].standard, bands[0].bolts.len()), (1, 3));
}

#[test]
fn a_distance_that_is_no_number_joins_nothing() {
    assert_eq!(complete_linkage(2, |_, _| f64::NAN, f64::INFINITY).len(), 2);
    assert!(sort(&[], Tolerance::Cmc, 1.0).is_empty());
}

fn bolts() -> impl Strategy<Value = Vec<Lab>> {
    prop::collection::vec(
        (48.0..52.0, 28.0..32.0, 8.0..12.0).prop_map(|(l, a, b)| Lab::new(l, a, b)),
        0..25,
    )
}

proptest! {
    #[test]
    fn bands_hold_their_tolerance(bolts in bolts(), most in 0.2..3.0, cmc in any::<bool>()) {
        let tolerance = if cmc { Tolerance::Cmc } else { Tolerance::Ciede2000 };
        let bands = sort(&bolts, tolerance, most);
        let mut seen: Vec<usize> = bands.iter().flat_map(|b| b.bolts.clone()).collect();
        seen.sort_unstable();
        prop_assert_eq!(seen, (0..bolts.len()).collect::<Vec<_>>());
        let widest = |band: &[usize]| band.iter()
            .flat_map(|i| band.iter().map(|j| tolerance.distance(bolts[*i], bolts[*j])))
            .fold(0.0, f64::max);
        for (at, band) in bands.iter().enumerate() {
            prop_assert!(widest(&band.bolts) <= most);
            prop_assert_eq!(widest(&band.bolts), band.spread);
            // No two bands could have been one.
            for other in &bands[at + 1..] {
                prop_assert!(widest(&[&band.bolts[..], &other.bolts[..]].concat()) > most);
            }
        }
    }

    /// A sample that is the standard through a grey glass differs in depth only: the correction removes all of it.
    #[test]
    fn depth_alone_is_not_metamerism(share in 0.3..1.0) {
        let standard: colour::Spectrum = std::array::from_fn(|b| 0.2 + 0.02 * b as f64);
        let sample = standard.map(|r| r * share);
        for index in metamerism::indices(&standard, &sample) {
            prop_assert!(index < 1e-9);
        }
    }
}

/// A pair that matches exactly in daylight, made by adding a spectrum that daylight does not see (Wyszecki 1953:
/// a metameric black): the index is then the plain CIELAB distance under the lamp.
#[test]
fn a_metameric_pair() {
    let standard = [0.4; colour::BANDS];
    let mut black: colour::Spectrum = std::array::from_fn(|b| 0.1 * (b as f64 * 0.9).sin());
    let weights = Viewing::DAYLIGHT.weights();
    // Take out what daylight sees, by Gram-Schmidt on the three weights.
    let mut basis: Vec<colour::Spectrum> = Vec::new();
    for axis in 0..3 {
        let mut row: colour::Spectrum = std::array::from_fn(|b| weights[b][axis]);
        for e in &basis {
            let along: f64 = row.iter().zip(e).map(|(r, e)| r * e).sum();
            row.iter_mut().zip(e).for_each(|(r, e)| *r -= along * e);
        }
        let length = row.iter().map(|r| r * r).sum::<f64>().sqrt();
        basis.push(row.map(|r| r / length));
    }
    for e in &basis {
        let along: f64 = black.iter().zip(e).map(|(r, e)| r * e).sum();
        black.iter_mut().zip(e).for_each(|(r, e)| *r -= along * e);
    }
    let sample: colour::Spectrum = std::array::from_fn(|b| standard[b] + black[b]);
    let seen = |r, v: Viewing| lab(xyz(r, v), v.white());
    near(
        de76(
            seen(&standard, Viewing::DAYLIGHT),
            seen(&sample, Viewing::DAYLIGHT),
        ),
        0.0,
        1e-9,
        "daylight",
    );
    let found = metamerism::indices(&standard, &sample);
    for (index, illuminant) in found.into_iter().zip([Illuminant::A, Illuminant::F11]) {
        let lamp = Viewing {
            illuminant,
            observer: Observer::TenDegrees,
        };
        near(
            index,
            de76(seen(&standard, lamp), seen(&sample, lamp)),
            1e-9,
            illuminant.key(),
        );
        assert!(index > 0.1, "{}: {index}", illuminant.key());
    }
}
