//! Strips of shapes whose lengths are known. By default a strip of 0.6 mm prints lines up to 1.8 mm, bends to
//! 1 mm, and wax bridges 4 mm.

use stamp::{Area, Limits, Mask, Point, Ring, Rule, StripPlan, Use};
use std::f64::consts::{PI, TAU};

fn plan(rings: &[Ring]) -> StripPlan {
    let area = Area::filled(rings, Rule::EvenOdd);
    StripPlan::of(&area, &Mask::new(&area), &Limits::default())
}

fn circle(x: f64, y: f64, r: f64) -> Ring {
    let corner = |k: u32| f64::from(k) * TAU / 720.0;
    (0..720)
        .map(corner)
        .map(|t| [x + r * t.cos(), y + r * t.sin()])
        .collect()
}

/// A line of the given width along a curve with unit normals, with straight ends.
fn line(n: u32, width: f64, at: impl Fn(f64) -> (Point, Point)) -> Ring {
    let side = |sign: f64| {
        let at = &at;
        (0..=n).map(move |k| {
            let (p, m) = at(f64::from(k) / f64::from(n));
            [p[0] + sign * width / 2.0 * m[0], p[1] + sign * width / 2.0 * m[1]]
        })
    };
    side(1.0).chain(side(-1.0).rev()).collect()
}

fn near(got: f64, want: f64, by: f64) {
    assert!((got - want).abs() <= by, "{got} is not {want} +- {by}");
}

/// A ring-shaped line takes one strip of the length of its middle circle, closed by one joint.
#[test]
fn an_annulus_is_one_closed_strip() {
    let plan = plan(&[circle(50.0, 50.0, 20.7), circle(50.0, 50.0, 19.3)]);
    assert_eq!(plan.strips.len(), 1);
    assert_eq!((plan.strips[0].kind, plan.strips[0].closed), (Use::Line, true));
    near(plan.metres(Use::Line) * 1e3, TAU * 20.0, 0.05);
    near(plan.strips[0].prints_mm, 1.4, 0.01);
    assert_eq!(plan.joints.len(), 1);
}

/// The same ring thicker than one strip prints: two outlines, and no inner strips because wax bridges 3 mm.
#[test]
fn a_wide_annulus_takes_two_outlines() {
    let plan = plan(&[circle(50.0, 50.0, 21.5), circle(50.0, 50.0, 18.5)]);
    assert_eq!(plan.count(Use::Outline), 2);
    near(plan.metres(Use::Outline) * 1e3, TAU * 40.0, 0.02);
    assert_eq!((plan.count(Use::Line), plan.fields.len()), (0, 0));
}

/// The arc length of a sine of 20 periods per metre and 5 mm is an elliptic integral; Simpson's rule here. The
/// strip ends half a line's width before the line does, on both sides: wax spreads as far beyond its end.
#[test]
fn a_sinusoid_is_as_long_as_its_integral() {
    let k = TAU / 50.0;
    let slope = |x: f64| 5.0 * k * (k * x).cos();
    let area = line(2000, 1.2, |t| {
        let x = 150.0 * t;
        let s = slope(x);
        let n = (1.0 + s * s).sqrt();
        ([x, 20.0 + 5.0 * (k * x).sin()], [-s / n, 1.0 / n])
    });
    let steps = 3000;
    let f = |j: usize| (1.0 + slope(150.0 * j as f64 / steps as f64).powi(2)).sqrt();
    let weight = |j: usize| match j {
        0 => 1.0,
        j if j == steps => 1.0,
        j if j % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let arc: f64 = (0..=steps).map(|j| weight(j) * f(j)).sum::<f64>() * 150.0 / steps as f64 / 3.0;
    let plan = plan(&[area]);
    assert_eq!((plan.strips.len(), plan.joints.len()), (1, 0));
    near(plan.metres(Use::Line) * 1e3, arc - 1.2, 0.5);
}

/// An Archimedean spiral r = a t: arc = a/2 (t sqrt(1 + t^2) + asinh t).
#[test]
fn a_spiral_is_as_long_as_its_formula() {
    let a = 0.8;
    let (from, to) = (6.0, 30.0);
    let arc = |t: f64| a / 2.0 * (t * (1.0 + t * t).sqrt() + t.asinh());
    let area = line(4000, 1.2, |u| {
        let t = from + (to - from) * u;
        let (c, s) = (t.cos(), t.sin());
        let d = [a * c - a * t * s, a * s + a * t * c];
        let n = d[0].hypot(d[1]);
        ([50.0 + a * t * c, 50.0 + a * t * s], [-d[1] / n, d[0] / n])
    });
    let plan = plan(&[area]);
    assert_eq!(plan.strips.len(), 1);
    near(plan.metres(Use::Line) * 1e3, arc(to) - arc(from) - 1.2, 0.6);
}

/// Two lines that cross: four strips, one joint of four.
#[test]
fn a_cross_is_cut_at_its_junction() {
    let bar = |x: f64, y: f64, w: f64, h: f64| vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
    let rings = [bar(0.0, 19.4, 40.0, 1.2), bar(19.4, 0.0, 1.2, 40.0)];
    let area = Area::filled(&rings, Rule::NonZero);
    let plan = StripPlan::of(&area, &Mask::new(&area), &Limits::default());
    assert_eq!(
        (plan.count(Use::Line), plan.strips.len()),
        (4, 4),
        "{:?}",
        plan.strips
    );
    near(plan.all_metres() * 1e3, 80.0 - 2.0 * 1.2, 0.3);
    assert_eq!(plan.joints.len(), 1);
    assert_eq!(plan.joints[0].strips, 4);
    near(plan.joints[0].at[0], 20.0, 0.7);
}

/// A solid square: four outlines cut at the corners, hatched every 4 mm: 20 / 4 - 1 = 4 strips of 20 mm.
#[test]
fn a_solid_square_is_hatched() {
    let plan = plan(&[vec![[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]]]);
    assert_eq!(plan.count(Use::Outline), 4);
    near(plan.metres(Use::Outline) * 1e3, 80.0, 1e-6);
    assert_eq!(plan.fields.len(), 1);
    assert_eq!(plan.fields[0].strips, 4);
    near(plan.fields[0].mm, 80.0, 1e-6);
    // 4 corners, and both ends of each inner strip.
    assert_eq!(plan.joints.len(), 12);
    near(plan.frame_metres(), 0.08, 1e-9);
}

/// No point of a solid disc is farther from copper than half the span.
#[test]
fn nothing_solid_is_left_unsupported() {
    let plan = plan(&[circle(30.0, 30.0, 24.0)]);
    for k in 0..2000 {
        let (r, t) = (24.0 * (f64::from(k) / 2000.0).sqrt(), f64::from(k) * 2.399);
        let p = [30.0 + r * t.cos(), 30.0 + r * t.sin()];
        let nearest = plan
            .strips
            .iter()
            .flat_map(|s| {
                let last = s.closed.then(|| s.points[0]);
                let next = s.points.iter().copied().skip(1).chain(last);
                s.points.iter().copied().zip(next).collect::<Vec<_>>()
            })
            .map(|(a, b)| {
                let (d, v) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
                let t = ((v[0] * d[0] + v[1] * d[1]) / (d[0] * d[0] + d[1] * d[1])).clamp(0.0, 1.0);
                (v[0] - t * d[0]).hypot(v[1] - t * d[1])
            })
            .fold(f64::MAX, f64::min);
        assert!(nearest <= 2.0 + 0.3, "{p:?}: {nearest}");
    }
}

#[test]
fn a_dot_is_a_pin() {
    let plan = plan(&[circle(5.0, 5.0, 0.7)]);
    assert_eq!((plan.strips.len(), plan.count(Use::Dot)), (1, 1));
    near(plan.strips[0].prints_mm, 1.4, 0.001);
    near(plan.strips[0].points[0][0], 5.0, 0.001);
    // By hand: pi/4 x 1.4 mm x 1.4 mm x 20 mm x 8.96 g/cm3 = 0.276 g.
    near(
        plan.copper_kg(&stamp::Copper::default()) * 1e3,
        PI / 4.0 * 1.96 * 20.0 * 8.96e-3,
        0.001,
    );
}

#[test]
fn numbers_run_without_holes_and_each_has_one_label() {
    let rings = [
        vec![[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]],
        circle(40.0, 10.0, 8.0),
        circle(60.0, 10.0, 0.8),
        circle(80.0, 10.0, 10.0),
        circle(80.0, 10.0, 9.0),
    ];
    let plan = plan(&rings);
    let mut numbers: Vec<usize> = plan.labels.iter().map(|l| l.number).collect();
    numbers.sort_unstable();
    let last = plan.strips.iter().map(|s| s.number).max().unwrap();
    assert_eq!(numbers, (1..=last).collect::<Vec<_>>());
    for (k, a) in plan.labels.iter().enumerate() {
        for b in &plan.labels[k + 1..] {
            let (p, q) = (a.half_mm(), b.half_mm());
            assert!(
                (0..2).any(|k| (a.at[k] - b.at[k]).abs() >= p[k] + q[k]),
                "{a:?} {b:?}"
            );
        }
    }
}

#[test]
fn nothing_has_no_strips() {
    let area = Area::empty();
    let plan = StripPlan::of(&area, &Mask::new(&area), &Limits::default());
    assert_eq!(plan, StripPlan::default());
}
