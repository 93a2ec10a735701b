//! Constants fitted to a workshop's own tests, and forecasts held against what came of them.

use cloth::window::{Fitted, Outcome, fit_creep, fit_rate, replay};
use field::{hash2, unit};
use words::Origin;

/// A standard normal deviate (Box and Muller).
fn normal(n: i32, what: i32) -> f64 {
    let u = f64::from(unit(hash2(n, 2 * what, 0x51f3))) + 1e-9;
    let v = f64::from(unit(hash2(n, 2 * what + 1, 0x51f3)));
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// Strips that obey the law give its constant back: k 0.08, residue 1 %.
#[test]
fn a_planted_rate_comes_back() {
    let strips: Vec<(f64, f64)> = [8.0, 12.0, 16.0, 20.0]
        .map(|minutes| {
            let dose = 3.0 / 70.906 * 60.0 * minutes;
            (dose, 0.01 + 0.99 * (-0.08f64 * dose).exp())
        })
        .to_vec();
    let fitted = fit_rate(&strips, 0.01).expect("a rate");
    assert!((fitted.value - 0.08).abs() < 1e-12 && fitted.n == 4);
    assert!((fitted.factor - 1.0).abs() < 1e-6, "{}", fitted.factor);
    let known = fitted.known("2026-05-04");
    assert!(matches!(known.origin, Origin::Measured { n: 4, .. }));
    // A strip as pale as the residue, or one that has not changed, says nothing.
    assert_eq!(fit_rate(&[(30.0, 0.01)], 0.01), None);
    assert_eq!(fit_rate(&[(30.0, 1.0)], 0.01), None);
    assert_eq!(fit_rate(&[], 0.01), None);
    assert_eq!(fit_rate(&[(0.0, 0.5)], 0.01), None);
    // 1.0 mm lost at 15 min: (0.5 mm)^2 / (2 x 900 s) = 1.389e-10 m2/s.
    let creep = fit_creep(&[(1.0e-3, 900.0)]).expect("a creep");
    assert!((creep.value * 1e10 - 1.389).abs() < 0.001);
    assert_eq!(fit_creep(&[(1.0e-3, 0.0)]), None);
}

/// Student's interval: of 2000 sets of readings with a normal error of their logarithm, 95 % hold the truth. Four
/// standard errors of a share of 2000 are 2 %.
#[test]
fn intervals_hold_as_often_as_they_say() {
    for count in [2, 3, 5, 12] {
        let held = (0..2000)
            .filter(|set| {
                let readings: Vec<f64> = (0..count).map(|r| 0.08 * (0.2 * normal(*set, r)).exp()).collect();
                let fitted = Fitted::from_readings(&readings).expect("a fit");
                (fitted.value / 0.08).ln().abs() <= fitted.factor.ln()
            })
            .count();
        let share = held as f64 / 2000.0;
        assert!((share - 0.95).abs() < 0.02, "{count} readings: {share}");
    }
}

/// Forecasts whose stated 90 % intervals are true hold 85-95 %; those that boast are found out, and so is a bias.
#[test]
fn a_replay_finds_out_who_boasts() {
    let outcomes = |sigma: f64, bias: f64, stated: f64| -> Vec<Outcome> {
        (0..400)
            .map(|n| Outcome {
                forecast: 900.0,
                factor: (1.645 * stated).exp(),
                actual: 900.0 * bias * (sigma * normal(n, 9)).exp(),
            })
            .collect()
    };
    let honest = replay(&outcomes(0.15, 1.0, 0.15));
    assert!(
        (0.85..=0.95).contains(&honest.inside) && honest.holds(),
        "{honest:?}"
    );
    assert!((honest.bias - 1.0).abs() < 0.03);
    assert!(
        honest.below.iter().all(|(said, came)| (said - came).abs() < 0.1),
        "{honest:?}"
    );
    let boasting = replay(&outcomes(0.15, 1.0, 0.06));
    assert!(boasting.inside < 0.7 && !boasting.holds(), "{boasting:?}");
    let biased = replay(&outcomes(0.05, 1.3, 0.15));
    assert!((biased.bias - 1.3).abs() < 0.02 && !biased.holds(), "{biased:?}");
    // What cannot be compared is not counted.
    let odd = replay(&[Outcome {
        forecast: 0.0,
        factor: 1.2,
        actual: 1.0,
    }]);
    assert!(odd.n == 0 && !odd.holds());
}
