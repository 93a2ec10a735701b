//! Kubelka-Munk against its definition, and the laws of dyed cloth.

mod common;

use colour::kubelka_munk::{dyed_reflectance, ks, ks_spectrum, reflectance, saturated};
use colour::{BANDS, Spectrum, white_cotton};
use common::{near, numbers, rows};
use proptest::prelude::*;

/// By definition, 10 digits (Kubelka 1948).
#[test]
fn the_pair_is_the_definition() {
    let table = rows(include_str!("data/kubelka_munk.csv"));
    assert_eq!(table.len(), 17);
    for row in table {
        let e = numbers(&row, 0);
        near(ks(e[0]) / e[1], 1.0, 1e-9, row.join(" "));
        near(reflectance(ks(e[0])) / e[0], 1.0, 1e-9, row.join(" "));
    }
}

/// Worked by hand: K/S 1 is 2 - sqrt 3; a published pair (10.33 % and 3.88) to its digits.
#[test]
fn by_hand() {
    near(reflectance(1.0), 2.0 - 3.0_f64.sqrt(), 1e-15, "K/S 1");
    near(reflectance(0.0), 1.0, 0.0, "no dye");
    near(ks(0.1033), 3.88, 0.015, "published pair");
}

/// The difference form loses every digit here; the quotient must not.
#[test]
fn deep_shades_keep_their_digits() {
    for k in [1e3, 1e6, 1e9, 1e12] {
        near(reflectance(k) * 2.0 * (k + 1.0), 1.0, 1.0 / k, k);
    }
}

/// Rounding elsewhere may leave a trace below zero; it must not brighten the cloth.
#[test]
fn less_than_no_dye_is_no_dye() {
    let cloth = ks_spectrum(white_cotton());
    let unit = [0.5; BANDS];
    assert_eq!(
        dyed_reflectance(&[(-1e-3, &unit)], 41.0, &cloth),
        dyed_reflectance(&[], 41.0, &cloth)
    );
}

/// Levelling off meets the exponential law that saturates at 22 (1 - exp(-k/22) of it) at K = 10.
#[test]
fn saturation_agrees_with_the_exponential_law_at_ten() {
    near(
        saturated(10.0, 41.0),
        22.0 * (1.0 - (-10.0_f64 / 22.0).exp()),
        0.05,
        "K = 10",
    );
    near(saturated(1e12, 41.0), 41.0, 1e-6, "no end");
}

fn spectra() -> impl Strategy<Value = Spectrum> {
    proptest::array::uniform31(0.0..1.0_f64)
}

proptest! {
    #[test]
    fn there_and_back(r in 0.001..0.999_f64) {
        prop_assert!((reflectance(ks(r)) / r - 1.0).abs() < 1e-9);
    }

    #[test]
    fn adding_dye_never_raises_reflectance(
        first in spectra(), second in spectra(),
        amount in 0.0..60.0_f64, more in 0.0..60.0_f64, other in 0.0..60.0_f64, k_max in 10.0..200.0_f64,
    ) {
        let cloth = ks_spectrum(white_cotton());
        let before = dyed_reflectance(&[(amount, &first), (other, &second)], k_max, &cloth);
        let after = dyed_reflectance(&[(amount + more, &first), (other, &second)], k_max, &cloth);
        for band in 0..BANDS {
            prop_assert!(after[band] <= before[band] + 1e-15, "{band}");
            prop_assert!(before[band] <= white_cotton()[band] + 1e-12);
        }
    }

    #[test]
    fn half_and_half_of_one_dye_is_the_whole(unit in spectra(), amount in 0.0..60.0_f64) {
        let cloth = ks_spectrum(white_cotton());
        let whole = dyed_reflectance(&[(amount, &unit)], 41.0, &cloth);
        let halves = dyed_reflectance(&[(amount / 2.0, &unit), (amount / 2.0, &unit)], 41.0, &cloth);
        for band in 0..BANDS {
            prop_assert!((whole[band] - halves[band]).abs() < 1e-12);
        }
    }
}
