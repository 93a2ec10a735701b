//! The fitter on the certified nonlinear regressions of the NIST Statistical Reference Datasets.

use colour::fit::levenberg_marquardt::{Ends, Fit, minimise};
use std::collections::HashMap;
use std::f64::consts::PI;

type Model = fn(&[f64], &[f64]) -> f64;

/// The 27 models by name: parameters b, predictors x.
const MODELS: [(&str, Model); 27] = [
    ("Bennett5", |b, x| b[0] * (b[1] + x[0]).powf(-1.0 / b[2])),
    ("BoxBOD", |b, x| b[0] * (1.0 - (-b[1] * x[0]).exp())),
    ("Chwirut1", chwirut),
    ("Chwirut2", chwirut),
    ("DanWood", |b, x| b[0] * x[0].powf(b[1])),
    ("ENSO", |b, x| {
        let wave = |c: f64, s: f64, period: f64| {
            let angle = 2.0 * PI * x[0] / period;
            c * angle.cos() + s * angle.sin()
        };
        b[0] + wave(b[1], b[2], 12.0) + wave(b[4], b[5], b[3]) + wave(b[7], b[8], b[6])
    }),
    ("Eckerle4", |b, x| {
        (b[0] / b[1]) * (-0.5 * ((x[0] - b[2]) / b[1]).powi(2)).exp()
    }),
    ("Gauss1", gauss),
    ("Gauss2", gauss),
    ("Gauss3", gauss),
    ("Hahn1", cubic_over_cubic),
    ("Kirby2", |b, x| {
        let x = x[0];
        (b[0] + b[1] * x + b[2] * x * x) / (1.0 + b[3] * x + b[4] * x * x)
    }),
    ("Lanczos1", lanczos),
    ("Lanczos2", lanczos),
    ("Lanczos3", lanczos),
    ("MGH09", |b, x| {
        let x = x[0];
        b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3])
    }),
    ("MGH10", |b, x| b[0] * (b[1] / (x[0] + b[2])).exp()),
    ("MGH17", |b, x| {
        b[0] + b[1] * (-x[0] * b[3]).exp() + b[2] * (-x[0] * b[4]).exp()
    }),
    ("Misra1a", |b, x| b[0] * (1.0 - (-b[1] * x[0]).exp())),
    ("Misra1b", |b, x| {
        b[0] * (1.0 - (1.0 + b[1] * x[0] / 2.0).powi(-2))
    }),
    ("Misra1c", |b, x| {
        b[0] * (1.0 - (1.0 + 2.0 * b[1] * x[0]).powf(-0.5))
    }),
    ("Misra1d", |b, x| b[0] * b[1] * x[0] / (1.0 + b[1] * x[0])),
    // The response is log y.
    ("Nelson", |b, x| b[0] - b[1] * x[0] * (-b[2] * x[1]).exp()),
    ("Rat42", |b, x| b[0] / (1.0 + (b[1] - b[2] * x[0]).exp())),
    ("Rat43", |b, x| {
        b[0] / (1.0 + (b[1] - b[2] * x[0]).exp()).powf(1.0 / b[3])
    }),
    ("Roszman1", |b, x| {
        b[0] - b[1] * x[0] - (b[2] / (x[0] - b[3])).atan() / PI
    }),
    ("Thurber", cubic_over_cubic),
];

fn chwirut(b: &[f64], x: &[f64]) -> f64 {
    (-b[0] * x[0]).exp() / (b[1] + b[2] * x[0])
}
fn gauss(b: &[f64], x: &[f64]) -> f64 {
    let bell = |height: f64, at: f64, width: f64| height * (-(x[0] - at).powi(2) / (width * width)).exp();
    b[0] * (-b[1] * x[0]).exp() + bell(b[2], b[3], b[4]) + bell(b[5], b[6], b[7])
}
fn cubic_over_cubic(b: &[f64], x: &[f64]) -> f64 {
    let x = x[0];
    (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])))
}
fn lanczos(b: &[f64], x: &[f64]) -> f64 {
    (0..3).map(|i| b[2 * i] * (-b[2 * i + 1] * x[0]).exp()).sum()
}

#[derive(Default)]
struct Problem {
    starts: [Vec<f64>; 2],
    certified: Vec<f64>,
    deviations: Vec<f64>,
    rss: f64,
    residual_deviation: f64,
    data: Vec<Vec<f64>>,
}

fn problems() -> HashMap<&'static str, Problem> {
    let mut out: HashMap<&str, Problem> = HashMap::new();
    for line in include_str!("data/nist_strd.csv")
        .lines()
        .filter(|l| !l.starts_with('#'))
        .skip(1)
    {
        let mut cells = line.split(',');
        let (name, row) = (cells.next().unwrap(), cells.next().unwrap());
        let p = out.entry(name).or_default();
        if row == "model" {
            continue;
        }
        let values: Vec<f64> = cells.map(|c| c.parse().unwrap()).collect();
        match row {
            "start1" => p.starts[0] = values,
            "start2" => p.starts[1] = values,
            "certified" => p.certified = values,
            "std_dev" => p.deviations = values,
            "rss" => p.rss = values[0],
            "residual_sd" => p.residual_deviation = values[0],
            "data" => p.data.push(values),
            other => panic!("{other}"),
        }
    }
    out
}

fn fit(model: Model, p: &Problem, start: &[f64], log: bool) -> Option<Fit> {
    let residuals = |b: &[f64], r: &mut [f64]| {
        for (r, row) in r.iter_mut().zip(&p.data) {
            let y = if log { row[0].ln() } else { row[0] };
            *r = y - model(b, &row[1..]);
        }
    };
    minimise(&residuals, p.data.len(), start, Ends::default())
}

/// Digits that two lists have in common: -log10 of the largest relative difference.
fn digits(found: &[f64], certified: &[f64]) -> f64 {
    let worst = found
        .iter()
        .zip(certified)
        .map(|(f, c)| ((f - c) / c).abs())
        .fold(1e-11_f64, |a, b| if b > a || b.is_nan() { b } else { a });
    -worst.log10()
}

/// Lanczos1 is exact data with 14 digits: its certified residuals (RSS 1.4e-25) and so its standard deviations are at
/// the level of rounding, and are not compared.
const NO_DEVIATIONS: [&str; 1] = ["Lanczos1"];

/// Start 1 of MGH10 is off by factors of 357, 65 and 72 along a curved valley: after 1000 rounds (and after 5000) the
/// fit is still on its way, and says so by not being settled. All other 53 starts arrive.
const NOT_SETTLED: [(&str, usize); 1] = [("MGH10", 1)];

#[test]
fn certified_parameters_come_back() {
    let problems = problems();
    assert_eq!(problems.len(), MODELS.len());
    let mut short = Vec::new();
    for (name, model) in MODELS {
        let p = &problems[name];
        for (number, wanted) in [(0, 4.0), (1, 6.0)] {
            let found = fit(model, p, &p.starts[number], name == "Nelson");
            let Some(f) = found else {
                short.push(format!("{name} start {}: no model", number + 1));
                continue;
            };
            let got = digits(&f.parameters, &p.certified);
            if NOT_SETTLED.contains(&(name, number + 1)) {
                assert!(!f.settled, "{name} arrives now: take it off the list");
                continue;
            }
            let spread = f.standard_errors().map_or(0.0, |e| digits(&e, &p.deviations));
            println!(
                "{name:9} start {}: {got:5.2} digits, deviations {spread:5.2}, {} rounds, settled {}",
                number + 1,
                f.rounds,
                f.settled
            );
            if got < wanted || !NO_DEVIATIONS.contains(&name) && spread < 4.0 {
                short.push(format!(
                    "{name} start {}: {got:.2} digits, deviations {spread:.2}",
                    number + 1
                ));
                continue;
            }
            assert!(f.settled, "{name}");
            if !NO_DEVIATIONS.contains(&name) {
                assert!(
                    (f.sum_of_squares / p.rss - 1.0).abs() < 1e-6,
                    "{name} {}",
                    f.sum_of_squares
                );
                assert!(
                    (f.residual_deviation() / p.residual_deviation - 1.0).abs() < 1e-6,
                    "{name}"
                );
            }
        }
    }
    assert!(short.is_empty(), "{short:#?}");
}
