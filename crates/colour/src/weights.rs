//! Weighting tables for reflectances at 10 nm, by the rules of ASTM E308 and E2022.
//!
//! A plain sum at 10 nm is never used: under lamps with lines (F11) it is off by up to 6 units of CIELAB.
//! For D65 and A the weights of the 1 nm tables stand in `data/weights_10nm.csv`; F11 is published at 5 nm
//! only, so its weights are built here from the 5 nm tables.

use crate::spectrum::{BANDS, nanometres};
use crate::table::Table;
use crate::viewing::{Illuminant, Observer};
use std::sync::LazyLock;

/// Weights of X, Y and Z at 400 ... 700 nm; the perfect white has Y = 100.
pub(crate) type Weights = [[f64; 3]; BANDS];

/// First and last wavelength of an unfolded table and the number of its rows, nm.
const WIDE_FIRST: usize = 360;
const WIDE_ROWS: usize = 43;

/// Every combination of illuminant and observer, in the order of their declarations.
static WEIGHTS: LazyLock<[[Weights; 2]; 3]> = LazyLock::new(|| {
    Illuminant::ALL.map(|illuminant| {
        Observer::ALL.map(|observer| {
            fold(&match illuminant {
                Illuminant::D65 | Illuminant::A => tabulated(illuminant, observer),
                Illuminant::F11 => from_5nm(illuminant, observer),
            })
        })
    })
});

/// The weights for one way of viewing.
pub(crate) fn weights(illuminant: Illuminant, observer: Observer) -> &'static Weights {
    &WEIGHTS[illuminant as usize][observer as usize]
}

/// Published weights, 360 to 780 nm.
fn tabulated(illuminant: Illuminant, observer: Observer) -> Vec<[f64; 3]> {
    static TABLE: LazyLock<Table> =
        LazyLock::new(|| Table::built_in(include_str!("../data/weights_10nm.csv")));
    let column = |axis| TABLE.column(&format!("{axis}_{}_{}", illuminant.key(), observer.degrees()));
    zip(&column('X'), &column('Y'), &column('Z'))
}

/// ASTM E2022 from tables at 5 nm: the reflectance at x = ...5 nm is interpolated from the readings around it
/// (cubic Lagrange; quadratic in the first and last interval), and what each reading is multiplied with is
/// collected. 360 to 780 nm.
fn from_5nm(illuminant: Illuminant, observer: Observer) -> Vec<[f64; 3]> {
    let (cmf, power) = (observer.cmf_5nm(), illuminant.power_5nm());
    let scale = 100.0 / cmf.iter().zip(&power).map(|(c, s)| c[1] * s).sum::<f64>();
    let mut wide = vec![[0.0; 3]; WIDE_ROWS];
    for (i, (c, s)) in cmf.iter().zip(&power).enumerate() {
        // The tables start at 380 nm, two readings after the first of the grid.
        let (left, half) = (2 + i / 2, i % 2 == 1);
        for (row, share) in readings(left, half) {
            for axis in 0..3 {
                wide[row][axis] += share * c[axis] * s * scale;
            }
        }
    }
    wide
}

/// Which readings make the reflectance at reading `left`, or half a step after it, and with what share.
fn readings(left: usize, half: bool) -> Vec<(usize, f64)> {
    // Lagrange coefficients half a step after the second of four, the first of three, the second of three nodes.
    const CUBIC: [f64; 4] = [-0.0625, 0.5625, 0.5625, -0.0625];
    const FIRST: [f64; 3] = [0.375, 0.75, -0.125];
    const LAST: [f64; 3] = [-0.125, 0.75, 0.375];
    let from =
        |start: usize, shares: &[f64]| shares.iter().enumerate().map(|(j, s)| (start + j, *s)).collect();
    match (half, left) {
        (false, _) => vec![(left, 1.0)],
        (true, 0) => from(0, &FIRST),
        (true, l) if l + 2 == WIDE_ROWS => from(l - 1, &LAST),
        (true, l) => from(l - 1, &CUBIC),
    }
}

/// Cuts a table to 400 ... 700 nm: weights outside are added to the end ones (ASTM E308, truncated range).
fn fold(wide: &[[f64; 3]]) -> Weights {
    let mut folded = [[0.0; 3]; BANDS];
    let below = (nanometres(0) as usize - WIDE_FIRST) / 10;
    for (i, row) in wide.iter().enumerate() {
        let band = i.saturating_sub(below).min(BANDS - 1);
        for axis in 0..3 {
            folded[band][axis] += row[axis];
        }
    }
    folded
}

fn zip(x: &[f64], y: &[f64], z: &[f64]) -> Vec<[f64; 3]> {
    x.iter().zip(y).zip(z).map(|((x, y), z)| [*x, *y, *z]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ASTM E2022 on 5 nm tables, made independently: `tests/data/weights_5nm_basis.csv`.
    #[test]
    fn lagrange_weights_agree_with_an_independent_computation() {
        let table = Table::built_in(include_str!("../tests/data/weights_5nm_basis.csv"));
        for illuminant in Illuminant::ALL {
            for observer in Observer::ALL {
                let own = from_5nm(illuminant, observer);
                for (axis, letter) in ['X', 'Y', 'Z'].iter().enumerate() {
                    let column =
                        table.column(&format!("{letter}_{}_{}", illuminant.key(), observer.degrees()));
                    assert_eq!(column.len(), WIDE_ROWS);
                    for (row, expected) in column.iter().enumerate() {
                        let found = own[row][axis];
                        let tolerance = if illuminant == Illuminant::F11 { 1e-6 } else { 5e-5 };
                        if row < 4 && illuminant != Illuminant::F11 {
                            continue; // The reference's tables start at 360 nm, ours at 380: only the scale differs from 400 nm on.
                        }
                        assert!(
                            (found - expected).abs() < tolerance,
                            "{illuminant:?} {observer:?} {row}: {found} {expected}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn readings_reproduce_a_quadratic_everywhere() {
        for left in 0..WIDE_ROWS - 1 {
            let at = left as f64 + 0.5;
            let found: f64 = readings(left, true)
                .iter()
                .map(|(row, s)| s * (*row as f64).powi(2))
                .sum();
            assert!((found - at * at).abs() < 1e-9, "{left}: {found} {}", at * at);
        }
    }

    /// Every wavelength in its row, and the sums to the last printed digit.
    #[test]
    fn built_in_tables_are_whole() {
        let weights = include_str!("../data/weights_10nm.csv");
        let five = [
            include_str!("../data/observers_5nm.csv"),
            include_str!("../data/illuminants_5nm.csv"),
        ];
        let nm = |text, first: usize, step: usize, rows: usize| {
            let expected: Vec<f64> = (0..rows).map(|i| (first + step * i) as f64).collect();
            assert_eq!(Table::built_in(text).column("nm"), expected);
        };
        nm(weights, WIDE_FIRST, 10, WIDE_ROWS);
        for text in five {
            nm(text, 380, 5, 81);
        }
        nm(include_str!("../data/white_cotton.csv"), 400, 10, BANDS);

        let sums = [
            [95.046857498, 100.000000066, 108.882974365],
            [94.810913833, 100.000000010, 107.304756302],
            [109.848631883, 100.000000013, 35.590954826],
            [111.142247095, 100.000000124, 35.206155822],
        ];
        let order = [Illuminant::D65, Illuminant::A].map(|i| Observer::ALL.map(|o| (i, o)));
        for ((illuminant, observer), sums) in order.as_flattened().iter().zip(sums) {
            let wide = tabulated(*illuminant, *observer);
            for axis in 0..3 {
                let found: f64 = wide.iter().map(|r| r[axis]).sum();
                assert!(
                    (found - sums[axis]).abs() < 6e-10,
                    "{illuminant:?} {observer:?} {axis}: {found}"
                );
            }
        }
    }

    #[test]
    fn folding_loses_nothing() {
        for illuminant in [Illuminant::D65, Illuminant::A] {
            for observer in Observer::ALL {
                let wide = tabulated(illuminant, observer);
                assert_eq!(wide.len(), WIDE_ROWS);
                for axis in 0..3 {
                    let before: f64 = wide.iter().map(|r| r[axis]).sum();
                    let after: f64 = weights(illuminant, observer).iter().map(|r| r[axis]).sum();
                    assert!((before - after).abs() < 1e-9);
                }
            }
        }
    }
}
