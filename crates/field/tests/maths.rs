//! The elementary functions against f64, and against printed tables.

use field::{DUST, cbrt, clamp01, erfc, exp, floor_i32, ln, pow, settle, sin, smoothstep};

/// Every value of f32 between `from` and `to` on a grid of `n`, evenly in x.
fn evenly(from: f32, to: f32, n: i32) -> impl Iterator<Item = f32> {
    (0..=n).map(move |i| from + (to - from) * (i as f32 / n as f32))
}

/// Positive values evenly in the logarithm.
fn logarithmic(from: f64, to: f64, n: i32) -> impl Iterator<Item = f32> {
    (0..=n).map(move |i| (from.ln() + (to / from).ln() * f64::from(i) / f64::from(n)).exp() as f32)
}

fn relative(ours: f32, exact: f64) -> f64 {
    (f64::from(ours) / exact - 1.0).abs()
}

#[track_caller]
fn worst(what: &str, limit: f64, errors: impl Iterator<Item = (f32, f64)>) {
    let (at, error) = errors.fold((0.0, 0.0), |w, e| if e.1 > w.1 || e.1.is_nan() { e } else { w });
    assert!(
        error <= limit,
        "{what}: error {error:e} at {at}, allowed {limit:e}"
    );
    // A limit ten times too wide would hide a wrong coefficient.
    assert!(
        error > 0.1 * limit,
        "{what}: error {error:e}, the stated {limit:e} is too wide"
    );
}

#[test]
fn exp_is_within_its_stated_error() {
    let points = evenly(-69.0, 88.0, 400_000).map(|x| (x, relative(exp(x), f64::from(x).exp())));
    worst("exp", 2e-7, points);
}

#[test]
fn ln_is_within_its_stated_error() {
    let far = logarithmic(1e-30, 1e30, 400_000).filter(|x| (x - 1.0).abs() > 0.5);
    worst("ln", 2e-7, far.map(|x| (x, relative(ln(x), f64::from(x).ln()))));
    let near = evenly(0.5, 1.5, 400_000).map(|x| (x, (f64::from(ln(x)) - f64::from(x).ln()).abs()));
    worst("ln near 1", 1e-7, near);
}

#[test]
fn pow_is_within_its_stated_error() {
    let mut errors = vec![];
    for y in [0.1f32, 0.7, 1.0, 2.4, 5.0] {
        for x in logarithmic(1e-5, 1e5, 40_000) {
            let (fx, fy) = (f64::from(x), f64::from(y));
            errors.push((x, relative(pow(x, y), fx.powf(fy)) / (1.0 + (fy * fx.ln()).abs())));
        }
    }
    worst("pow", 2e-7, errors.into_iter());
    assert_eq!(pow(0.0, 0.5), 0.0);
    assert_eq!(pow(1.0, 3.0), 1.0);
}

#[test]
fn cbrt_is_within_its_stated_error() {
    let points = logarithmic(1e-29, 1e30, 400_000);
    worst(
        "cbrt",
        2.5e-7,
        points.map(|x| (x, relative(cbrt(x), f64::from(x).cbrt()))),
    );
    assert_eq!(cbrt(-8.0), -cbrt(8.0));
    assert_eq!(cbrt(0.0), 0.0);
}

#[test]
fn sin_is_within_its_stated_error() {
    let error = |x: f32| (x, (f64::from(sin(x)) - f64::from(x).sin()).abs());
    worst("sin", 2e-7, evenly(-100.0, 100.0, 400_000).map(error));
    worst(
        "sin of large angles",
        2e-7,
        evenly(-10_000.0, 10_000.0, 400_000).map(error),
    );
}

#[test]
fn erfc_agrees_with_the_tables() {
    // Abramowitz and Stegun 1964, table 7.1 (erf, ten decimals), from memory.
    for (x, erf) in [
        (0.5, 0.520_499_877_8),
        (1.0, 0.842_700_792_9),
        (2.0, 0.995_322_265_0),
    ] {
        let ours = f64::from(erfc(x as f32));
        assert!((ours - (1.0 - erf)).abs() < 1e-7, "erfc({x}) = {ours}");
        let mirrored = f64::from(erfc(-x as f32));
        assert!((mirrored - (1.0 + erf)).abs() < 2e-7, "erfc(-{x}) = {mirrored}");
    }
}

/// erfc by series (A&S 7.1.6) below 2 and continued fraction (7.1.14) above, in f64.
fn erfc_f64(x: f64) -> f64 {
    let density = (-x * x).exp() / std::f64::consts::PI.sqrt();
    if x < 2.0 {
        let (mut term, mut sum) = (2.0 * x, 2.0 * x);
        for n in 1..200 {
            term *= 2.0 * x * x / f64::from(2 * n + 1);
            sum += term;
        }
        return 1.0 - density * sum;
    }
    density / (1..200).rev().fold(x, |tail, n| x + f64::from(n) / 2.0 / tail)
}

#[test]
fn erfc_is_within_its_stated_error() {
    let error = |x: f32| {
        let fx = f64::from(x);
        (x, relative(erfc(x), erfc_f64(fx)) / (1.0 + fx * fx))
    };
    worst("erfc", 4e-7, evenly(0.0, 8.14, 100_000).map(error));
}

#[test]
fn nothing_smaller_than_dust_comes_out() {
    let clean = |v: f32| v == 0.0 || v.abs() >= DUST;
    for x in evenly(-200.0, 20.0, 100_000) {
        assert!(clean(exp(x)), "exp({x})");
        assert!(clean(erfc(-x)), "erfc({})", -x);
        assert!(clean(sin(x)) && clean(pow(x.abs() * 0.01, 20.0)), "{x}");
    }
    for x in logarithmic(1e-44, 1.0, 10_000) {
        assert!(
            clean(settle(x)) && clean(cbrt(x)) && clean(pow(x, 3.0)) && ln(x) >= -69.08,
            "{x}"
        );
    }
    assert_eq!(
        (exp(-69.5), exp(f32::NEG_INFINITY), erfc(f32::INFINITY)),
        (0.0, 0.0, 0.0)
    );
    assert_eq!((ln(0.0), ln(-1.0)), (ln(DUST), ln(DUST)));
    assert!(exp(f32::INFINITY).is_finite());
}

#[test]
fn nan_is_not_turned_into_a_number() {
    assert!(exp(f32::NAN).is_nan() && clamp01(f32::NAN).is_nan() && smoothstep(0.0, 1.0, f32::NAN).is_nan());
}

#[test]
fn floor_agrees_with_std_up_to_its_limit() {
    for x in evenly(-40.0, 40.0, 100_001).chain(evenly(-4_194_303.0, 4_194_303.0, 100_001)) {
        assert_eq!(floor_i32(x), x.floor() as i32, "{x}");
    }
    for i in -1000..1000 {
        assert_eq!(floor_i32(i as f32), i);
        assert_eq!(floor_i32((i as f32).next_down()), i - 1, "just below {i}");
    }
}

#[test]
fn smoothstep_runs_from_0_to_1() {
    assert_eq!(
        (
            smoothstep(2.0, 4.0, 2.0),
            smoothstep(2.0, 4.0, 3.0),
            smoothstep(2.0, 4.0, 4.0)
        ),
        (0.0, 0.5, 1.0)
    );
    assert_eq!(
        (smoothstep(2.0, 4.0, -9.0), smoothstep(2.0, 4.0, 9.0)),
        (0.0, 1.0)
    );
}
