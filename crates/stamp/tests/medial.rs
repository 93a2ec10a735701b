//! Discs of the medial axis against shapes whose axis is known in closed form.
#![allow(missing_docs, clippy::unwrap_used)]

use stamp::{Area, Disc, Medial, Point, Ring, Rule, Side};
use std::f64::consts::{PI, TAU};

fn circle(r: f64, n: u32) -> Ring {
    (0..n)
        .map(|k| f64::from(k) * TAU / f64::from(n))
        .map(|t| [r * t.cos(), r * t.sin()])
        .collect()
}

/// Two sides of a line of this width along a curve, as one ring; `curve` gives point and unit normal.
fn ribbon(n: u32, half: f64, curve: impl Fn(f64) -> (Point, Point)) -> Area {
    let side = |s: f64| {
        let curve = &curve;
        (0..=n).map(move |k| {
            let (p, m) = curve(f64::from(k) / f64::from(n));
            [p[0] + s * half * m[0], p[1] + s * half * m[1]]
        })
    };
    let back: Vec<Point> = side(-1.0).collect();
    Area::filled(
        &[side(1.0).chain(back.into_iter().rev()).collect()],
        Rule::NonZero,
    )
}

fn facing(medial: &Medial) -> impl Iterator<Item = &Disc> {
    medial.discs().iter().filter(|d| d.spread() > 0.9 * PI)
}

/// Every disc of a ring between circles of 4 and 7 mm has a diameter of 3 mm and its centre at 5.5 mm; in the
/// hole it is the hole itself.
#[test]
fn an_annulus_has_its_middle_circle() {
    let area = Area::filled(&[circle(7.0, 1500), circle(4.0, 1500)], Rule::EvenOdd);
    let [wax, bare] = Medial::of(&area);
    assert_eq!(wax.rings(), 2);
    for disc in wax.discs() {
        // Chords of 7 mm and 1500 sides lie 1.5e-5 mm inside their arcs.
        assert!((disc.mm() - 3.0).abs() < 1e-3, "{disc:?}");
        assert!(
            (disc.centre[0].hypot(disc.centre[1]) - 5.5).abs() < 1e-3,
            "{disc:?}"
        );
    }
    let hole = (0..2)
        .find(|ring| bare.ring(*ring).iter().all(|d| d.at[0].hypot(d.at[1]) < 4.5))
        .unwrap();
    for disc in bare.ring(hole) {
        assert!((disc.radius - 4.0).abs() < 0.01, "{disc:?}");
    }
}

/// In a wedge of half angle a, the disc that touches a side at s from the tip has the radius s tan a.
#[test]
fn a_wedge_narrows_as_its_angle_says() {
    let (length, half) = (60.0, 4.0_f64);
    let tan = half / length;
    let tip = vec![[0.0, 0.0], [length, -half], [length, half]];
    let wax = Medial::on(&Area::filled(&[tip], Rule::NonZero), Side::Wax);
    let mut looked = 0;
    for disc in wax.discs().iter().filter(|d| d.at[0] < 40.0 && d.at[0] > 0.01) {
        let s = disc.at[0].hypot(disc.at[1]);
        assert!((disc.radius - s * tan).abs() < 1e-6, "{disc:?}, {}", s * tan);
        looked += 1;
    }
    assert!(looked > 100);
    // Narrower than 2 mm where s tan a < 1: both sides of the tip, 2 x 15 mm of outline.
    let thin = wax.narrower(2.0);
    let ends: Vec<_> = thin.iter().filter(|s| wax.is_end(s)).collect();
    let tip = ends.iter().map(|s| wax.length(s)).fold(0.0, f64::max);
    assert!((tip - 2.0 / tan).abs() < 1.0, "{tip}");
}

/// A line of constant width along a sine: its width everywhere, and its axis is the sine.
#[test]
fn a_sinusoid_strip_has_one_width() {
    let (amplitude, wave, half) = (6.0, 30.0, 0.65);
    let k = TAU / wave;
    let area = ribbon(4000, half, |t| {
        let x = t * 90.0;
        let slope = amplitude * k * (k * x).cos();
        let len = 1f64.hypot(slope);
        ([x, amplitude * (k * x).sin()], [-slope / len, 1.0 / len])
    });
    let wax = Medial::on(&area, Side::Wax);
    let mut looked = 0;
    for disc in facing(&wax) {
        assert!((disc.mm() - 2.0 * half).abs() < 2e-3, "{disc:?}");
        let [x, y] = disc.centre;
        let slope = amplitude * k * (k * x).cos();
        let off = (y - amplitude * (k * x).sin()).abs() / 1f64.hypot(slope);
        assert!(off < 2e-3, "{off}");
        looked += 1;
    }
    assert!(looked > 500);
}

/// A spiral r = a + b t of line width w leaves between its turns 2 pi b cos(p) - w, where tan p = b / r; the nearest
/// distance between turns lies within that and the radial 2 pi b - w.
#[test]
fn an_archimedean_spiral_keeps_its_gap() {
    let (a, b, half) = (8.0, 0.5, 0.6);
    let area = ribbon(6000, half, |t| {
        let angle = t * 4.0 * TAU;
        let r = a + b * angle;
        let (s, c) = angle.sin_cos();
        let (dx, dy) = (b * c - r * s, b * s + r * c);
        let len = dx.hypot(dy);
        ([r * c, r * s], [-dy / len, dx / len])
    });
    let bare = Medial::on(&area, Side::Bare);
    let radial = TAU * b - 2.0 * half;
    let gaps: Vec<f64> = facing(&bare).map(Disc::mm).collect();
    let least = gaps.iter().copied().fold(f64::INFINITY, f64::min);
    let slant = (b / (a + b * TAU)).atan();
    let normal = TAU * b * slant.cos() - 2.0 * half;
    assert!(
        least > normal - 0.01 && least < radial + 1e-3,
        "{least}: {normal} to {radial}"
    );
    assert!(gaps.iter().filter(|g| **g < radial + 0.01).count() > 500);
}

/// Two points that face each other: the gap is found although no edge faces any.
#[test]
fn two_tips_face_each_other() {
    let left = vec![[0.0, 0.0], [10.0, 5.0], [0.0, 10.0]];
    let right = vec![[11.3, 5.4], [22.0, 0.0], [22.0, 10.0]];
    let bare = Medial::on(&Area::filled(&[left, right], Rule::NonZero), Side::Bare);
    let least = bare.discs().iter().map(Disc::mm).fold(f64::INFINITY, f64::min);
    assert!((least - 1.3_f64.hypot(0.4)).abs() < 1e-3, "{least}");
}

/// A dart of 8 mm at its back that ends in a point, and a bar of 3 mm with a waist of 2: the waist is the
/// thinnest line, and a notch that ends in a point is no gap.
#[test]
fn points_and_notches_are_not_the_thinnest() {
    let dart = vec![[10.0, 10.0], [10.0, 18.0], [60.0, 14.0]];
    let bar = vec![
        [10.0, 40.0],
        [50.0, 40.0],
        [60.0, 40.5],
        [70.0, 40.0],
        [110.0, 40.0],
        [110.0, 43.0],
        [70.0, 43.0],
        [60.0, 42.5],
        [50.0, 43.0],
        [10.0, 43.0],
    ];
    let notched = vec![
        [10.0, 70.0],
        [60.0, 70.0],
        [60.0, 76.0],
        [30.0, 78.0],
        [60.0, 80.0],
        [60.0, 90.0],
        [10.0, 90.0],
    ];
    let checked = |rings: &[stamp::Ring]| {
        let stamp = stamp::Stamp::of_area(Area::filled(rings, Rule::NonZero), [120.0, 120.0]);
        let report = stamp.report(&stamp::Limits::default(), 1117.6);
        (report.thinnest_line_mm, report.narrowest_gap_mm)
    };
    let (line, gap) = checked(&[dart, bar, notched.clone()]);
    assert!(line.is_some_and(|mm| (mm - 2.0).abs() < 0.01), "{line:?}");
    assert_eq!(gap, None);
    let (line, gap) = checked(&[notched]);
    assert!(line.is_none_or(|mm| mm > 5.0), "{line:?}");
    assert_eq!(gap, None);
}
