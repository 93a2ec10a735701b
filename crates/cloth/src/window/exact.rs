//! The Monte Carlo against small cases whose probabilities are known exactly.

use super::hill::{Judge, Limits, Target};
use super::response::{Lines, REGIONS, Response};
use super::shade::{SHADE, Shade};
use super::spreads::Spreads;
use super::surface::{Axis, Surface};
use super::sweep::{Strength, Sweep};
use colour::Lab;
use field::Seed;
use units::{Length, Span};

const DRAWS: u32 = 10_000;
/// Four standard errors of a share of 10,000, and what interpolation may add.
const CLOSE: f64 = 4.0 * 0.005 + 0.002;

/// The standard normal distribution function, from the complementary error function.
fn phi(z: f64) -> f64 {
    0.5 * f64::from(field::erfc((-z / std::f64::consts::SQRT_2) as f32))
}

fn grey(l: f64) -> Shade {
    Shade {
        mean: Lab::new(l, 0.0, 0.0),
        spread: [0.0; 3],
    }
}

/// An invented cloth: with x = ln(time x strength), the ground is grey 40 + 6 x and the motif grey 60 - 6 x.
fn response(spreads: Spreads, lines: Option<Lines>) -> Response {
    let strength = match spreads.severity() {
        0.0 => Axis::single(0.0),
        half => Axis::even(-half, half, 7),
    };
    let axes = [
        Axis::even(30f64.ln(), 3600f64.ln(), 20),
        strength,
        Axis::single(0.0),
        Axis::single(0.0),
    ];
    let points = Surface::points(&axes);
    let surface = Surface::new(axes, REGIONS * SHADE, |n| {
        let x = points[n][0] + points[n][1];
        [grey(40.0 + 6.0 * x), grey(60.0 - 6.0 * x)]
            .into_iter()
            .flat_map(Shade::to_array)
            .collect()
    });
    Response {
        step: 0,
        id: "s".to_string(),
        term: &route::operations::bleach::KIND.term,
        designed: Span(600.0),
        range: (Span(30.0), Span(3600.0)),
        left_out: [None; REGIONS],
        longest: [None; REGIONS],
        motif_share: 0.3,
        lines,
        doubts: Vec::new(),
        origins: [None, None],
        spreads,
        error: 0.0,
        quick: true,
        runs: 0,
        surface,
        sweep: Sweep {
            time: "time",
            strength: Strength::Setting("chlorine"),
            temperature: None,
        },
        seed: Seed(7),
        hotter: None,
    }
}

/// Passes while ln(time x strength) lies between `a` and `b`.
fn between(a: f64, b: f64) -> (Target, Limits) {
    let target = Target::Approved(grey(99.0), Some(grey(60.0 - 6.0 * 3.0)));
    let ground = grey(40.0 + 6.0 * a).distance(grey(99.0));
    let motif = grey(60.0 - 6.0 * b).distance(grey(42.0));
    (
        target,
        Limits {
            ground,
            motif,
            ..Limits::default()
        },
    )
}

/// One normal spread: P(pass at t) = Phi((b - ln t) / s) - Phi((a - ln t) / s).
#[test]
fn a_spread_of_strength_gives_the_exact_probability() {
    let spreads = Spreads {
        strength: 0.3,
        ..Spreads::NONE
    };
    let response = response(spreads, None);
    let (a, b) = (500f64.ln(), 800f64.ln());
    let (target, limits) = between(a, b);
    let hill = Judge::new(&response, &target, &limits).hill(&spreads, DRAWS, Seed(11), 1.0);
    let s = 1.3f64.ln() / 1.96;
    for point in &hill.points {
        let x = point.time.0.ln();
        let exact = phi((b - x) / s) - phi((a - x) / s);
        assert!((point.pass - exact).abs() < CLOSE, "{x}: {} {exact}", point.pass);
        assert!((point.ground_fails - phi((a - x) / s)).abs() < CLOSE);
        assert!((point.motif_fails - (1.0 - phi((b - x) / s))).abs() < CLOSE);
    }
    // Symmetric in the logarithm: the best is at the geometric mean, within a step of the hill.
    assert!(
        (hill.best.0 / (500.0f64 * 800.0).sqrt() - 1.0).abs() < 0.05,
        "{:?}",
        hill.best
    );
}

/// Handling alone: P = Phi((800 - t) / s) - Phi((500 - t) / s), in seconds.
#[test]
fn a_spread_of_handling_gives_the_exact_probability() {
    let spreads = Spreads {
        handling: Span(60.0),
        ..Spreads::NONE
    };
    let response = response(spreads, None);
    let (target, limits) = between(500f64.ln(), 800f64.ln());
    let hill = Judge::new(&response, &target, &limits).hill(&spreads, DRAWS, Seed(12), 1.0);
    let s = 60.0 / 1.96;
    for point in &hill.points {
        let t = point.time.0;
        let exact = phi((800.0 - t) / s) - phi((500.0 - t) / s);
        assert!((point.pass - exact).abs() < CLOSE, "{t}: {} {exact}", point.pass);
    }
}

/// Nothing strays: certain inside, impossible outside, and the ends of the window are the limits.
#[test]
fn without_spread_the_window_is_the_limits() {
    let response = response(Spreads::NONE, None);
    let (target, limits) = between(500f64.ln(), 800f64.ln());
    let judge = Judge::new(&response, &target, &limits);
    let hill = judge.hill(&Spreads::NONE, 10, Seed(1), 1.0);
    for point in &hill.points {
        let inside = (500.0..=800.0).contains(&point.time.0);
        assert_eq!(point.pass, f64::from(u8::from(inside)), "{}", point.time.0);
    }
    let open = hill.open.expect("a window");
    let (earliest, latest) = (open.earliest.expect("a start").0, open.latest.expect("an end").0);
    // Durations are looked at in steps of 4 %.
    assert!((earliest / 500.0 - 1.0).abs() < 0.04 && (latest / 800.0 - 1.0).abs() < 0.04);
    // Ends of the bolt 200 s apart: the early end must have passed, the late end must still.
    let apart = Spreads {
        ends: Span(200.0),
        ..Spreads::NONE
    };
    for point in &judge.hill(&apart, 10, Seed(1), 1.0).points {
        let inside = (600.0..=700.0).contains(&point.time.0);
        assert_eq!(point.pass, f64::from(u8::from(inside)), "{}", point.time.0);
    }
}

/// Limits that cannot both be met: no window, and no chance.
#[test]
fn an_empty_window_is_an_answer() {
    let response = response(Spreads::NONE, None);
    let (target, limits) = between(800f64.ln(), 500f64.ln());
    let window = response.window_of(&target, &limits, 100);
    assert_eq!(window.hill.open, None);
    assert!(
        matches!(window.advice, super::Advice::Closed { chance: 0.0, .. }),
        "{:?}",
        window.advice
    );
}

/// A line of 1.5 mm that must keep 40 % is watched until t = (0.3 w)^2 / (2 De) - lag = 1012.5 - 60 s; with De good to a
/// factor f the probability is Phi(ln(1012.5 / (t + lag)) / s), s = ln f / 1.96.
#[test]
fn the_thinnest_line_closes_the_window() {
    let spreads = Spreads {
        creep: 1.5,
        ..Spreads::NONE
    };
    let lines = Lines {
        creep: 1.0e-10,
        lag: Span(60.0),
        thinnest: Some(Length::mm(1.5)),
    };
    let response = response(spreads, Some(lines));
    let (target, _) = between(0.0, 9.0);
    let limits = Limits {
        ground: 100.0,
        motif: 100.0,
        ..Limits::default()
    };
    let hill = Judge::new(&response, &target, &limits).hill(&spreads, DRAWS, Seed(13), 1.0);
    let s = 1.5f64.ln() / 1.96;
    for point in &hill.points {
        let exact = phi((1012.5 / (point.time.0 + 60.0)).ln() / s);
        assert!(
            (point.pass - exact).abs() < CLOSE,
            "{}: {} {exact}",
            point.time.0,
            point.pass
        );
        let left = 1.0 - 2.0 * (2.0 * 1.0e-10 * (point.time.0 + 60.0)).sqrt() / 1.5e-3;
        assert!((point.line.expect("a line") - left.max(0.0)).abs() < 1e-12);
    }
}

/// One normal spread of strength, limits at `a` and `b`: four of five grounds are there from a exp(z s) on, four of five motifs
/// still at b exp(-z s), z = 0.8416 (tables of the normal distribution). A window that is closed lacks the time between.
/// Halving the spread gives back what these say, in whole steps of 30 s, and opens the window where P reaches four fifths.
#[test]
fn a_closed_window_says_what_would_bring_it_nearer() {
    const Z: f64 = 0.8416;
    let spreads = Spreads {
        strength: 0.3,
        ..Spreads::NONE
    };
    let sigma = |strength: f64| (1.0 + strength).ln() / 1.96;
    let voice = words::Voice::default();
    // By hand: 700 and 740 s lack 122 s and then 46; 650 and 820 s lie 5 s apart, where both must pass together, and then 82.
    for (a, b, gain, opens) in [(700.0f64, 740.0f64, 60.0, false), (650.0, 820.0, 60.0, true)] {
        let response = response(spreads, None);
        let (target, limits) = between(a.ln(), b.ln());
        let judge = Judge::new(&response, &target, &limits);
        let room = |strength: f64| {
            let s = sigma(strength);
            b * (-Z * s).exp() - a * (Z * s).exp()
        };
        let hill = judge.hill(&spreads, DRAWS, Seed(14), 1.0);
        assert_eq!(hill.open, None);
        assert!(
            (hill.room(limits.pass) - room(0.3)).abs() < 6.0,
            "{} {}",
            hill.room(limits.pass),
            room(0.3)
        );
        let window = response.window_of(&target, &limits, DRAWS);
        let [one] = window.widen.as_slice() else {
            panic!("{:?}", window.widen)
        };
        let exact = room(0.15) - room(0.3);
        assert!(exact - 30.0 < gain && gain <= exact, "{exact}");
        assert_eq!((one.gain, one.opens, one.open), (Span(gain), opens, false));
        let said = one.say(voice);
        assert!(
            said.contains("15 % instead of 30 % (own estimate)") && said.contains("1 min"),
            "{said}"
        );
        assert_eq!(said.contains("opens"), opens, "{said}");
    }
    // Gains below what hands differ in starting and stopping are not told.
    let clumsy = Spreads {
        handling: Span(300.0),
        ..spreads
    };
    let (target, limits) = between(600f64.ln(), 620f64.ln());
    let told = response(clumsy, None).window_of(&target, &limits, DRAWS).widen;
    assert!(told.iter().all(|one| one.gain.0 >= 300.0), "{told:?}");
}
