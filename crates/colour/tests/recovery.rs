//! Reflectance recovered from a colour.

mod common;

use colour::measured::{recover, recover_hex, recover_lab};
use colour::{BANDS, Illuminant, Lab, Observer, Viewing, Xyz, de2000, lab, screen, xyz};
use common::{numbers, rows};
use proptest::prelude::*;

const TWO: Viewing = Viewing {
    illuminant: Illuminant::D65,
    observer: Observer::TwoDegrees,
};

/// Meng 2015 as in colour-science 0.4.7, which knows 360 to 780 nm. Here the ends are folded into 400 and 700 nm,
/// so the last bands are a little flatter: 0.0014 at most.
#[test]
fn least_slope_meets_the_reference() {
    let (mut worst, mut count) = (0.0_f64, 0);
    for row in rows(include_str!("data/recovery_meng.csv")) {
        if row[1] != "meng2015" {
            continue;
        }
        let e = numbers(&row, 2);
        let target = Xyz::from_array([e[0] * 100.0, e[1] * 100.0, e[2] * 100.0]);
        let found = recover(target, TWO);
        for band in 0..BANDS {
            let off = (found.reflectance[band] - e[3 + band]).abs();
            worst = worst.max(off);
            assert!(
                off < 0.002,
                "{} band {band}: {} is not {}",
                row[0],
                found.reflectance[band],
                e[3 + band]
            );
        }
        assert!(found.off < 1e-3, "{}: {}", row[0], found.off);
        count += 1;
    }
    assert_eq!(count, 24);
    println!("worst difference {worst:.4}");
}

#[test]
fn greys_are_flat() {
    for l in [20.0, 50.0, 90.0, 100.0] {
        let found = recover_lab(Lab::new(l, 0.0, 0.0), Viewing::DAYLIGHT);
        let (first, last) = (found.reflectance[0], found.reflectance[30]);
        assert!(
            found.reflectance.iter().all(|r| (r - first).abs() < 1e-5),
            "{l}: {first} {last}"
        );
    }
}

/// No cloth is brighter than white in every colour: the nearest is given and the distance told.
#[test]
fn impossible_colours_are_told() {
    for target in [
        Lab::new(90.0, 100.0, 0.0),
        Lab::new(50.0, -150.0, 0.0),
        Lab::new(110.0, 0.0, 0.0),
    ] {
        let found = recover_lab(target, Viewing::DAYLIGHT);
        assert!(found.off > 1.0, "{target:?}: {}", found.off);
        assert!(found.reflectance.iter().all(|r| (0.001..=1.0).contains(r)));
    }
    assert!(
        recover(
            Xyz {
                x: f64::NAN,
                y: 1.0,
                z: 1.0
            },
            TWO
        )
        .reflectance[0]
            .is_nan()
    );
}

/// Every colour of a screen that cloth can have comes back as the same bytes.
#[test]
fn screen_colours_come_back() {
    for bytes in [
        [166, 75, 60],
        [122, 165, 210],
        [40, 60, 50],
        [255, 255, 255],
        [200, 180, 60],
        [60, 20, 80],
    ] {
        let found = recover_hex(bytes);
        let linear = screen::linear_under(
            xyz(&found.reflectance, Viewing::DAYLIGHT),
            Viewing::DAYLIGHT.white(),
        );
        let back = screen::bytes(linear);
        assert!(found.off < 0.01, "{bytes:?}: {}", found.off);
        assert_eq!(back, bytes);
    }
}

proptest! {
    /// The recovered reflectance has the colour, is a reflectance, and is no rougher than the one that made it.
    #[test]
    fn colours_of_reflectances_come_back(knots in prop::array::uniform7(0.02..0.98f64)) {
        let made: [f64; BANDS] = std::array::from_fn(|b| {
            let (at, part) = (b / 5, (b % 5) as f64 / 5.0);
            knots[at] * (1.0 - part) + knots[(at + 1).min(6)] * part
        });
        let seen = xyz(&made, Viewing::DAYLIGHT);
        let found = recover(seen, Viewing::DAYLIGHT);
        let white = Viewing::DAYLIGHT.white();
        prop_assert!(de2000(lab(seen, white), lab(xyz(&found.reflectance, Viewing::DAYLIGHT), white)) < 1e-3);
        prop_assert!(found.reflectance.iter().all(|r| (0.001..=1.0).contains(r)));
        let slope = |r: &[f64; BANDS]| r.windows(2).map(|w| (w[1] - w[0]).powi(2)).sum::<f64>();
        prop_assert!(slope(&found.reflectance) <= slope(&made) + 1e-6);
    }

    #[test]
    fn any_colour_is_answered(l in -50.0..150.0f64, a in -200.0..200.0f64, b in -200.0..200.0f64) {
        let found = recover_lab(Lab::new(l, a, b), Viewing::DAYLIGHT);
        prop_assert!(found.reflectance.iter().all(|r| (0.001..=1.0).contains(r)));
    }
}
