//! Where a repeat does not join, what closes it, and what slips of the hand do to it.

mod common;

use common::unit;
use stamp::{Area, Border, HandError, Lattice, Layout, Rule, Slip, Tolerance, Visible, Wrong};

const W: f64 = 80.0;
const H: f64 = 60.0;

fn lattice(layout: Layout) -> Lattice {
    Lattice {
        layout,
        repeat_mm: [W, H],
    }
}

/// A line 2 mm wide from the left side at `left` mm to the right side at `right` mm down.
fn band(left: f64, right: f64) -> Area {
    let ring = vec![
        [0.0, left - 1.0],
        [W, right - 1.0],
        [W, right + 1.0],
        [0.0, left + 1.0],
    ];
    Area::filled(&[ring], Rule::NonZero)
}

fn breaks(layout: Layout, area: &Area) -> Vec<stamp::Break> {
    lattice(layout).seams(area, &Tolerance::default()).breaks
}

#[test]
fn a_level_line_joins_side_by_side() {
    let seams = lattice(Layout::Straight).seams(&band(20.0, 20.0), &Tolerance::default());
    assert!(seams.breaks.is_empty(), "{:?}", seams.breaks);
    assert_eq!(seams.joins.len(), 1);
    assert_eq!(seams.joins[0].between, [(0, 0), (1, 0)]);
    assert!((seams.joins[0].at[1] - 20.0).abs() < 1e-6 && (seams.joins[0].wide_mm - 2.0).abs() < 1e-6);
}

/// A line that comes out 1.5 mm lower than it goes in leaps by that, at the right place.
#[test]
fn a_leap_is_found_and_measured() {
    let found = breaks(Layout::Straight, &band(20.0, 21.5));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].border, Border::Columns);
    assert!((found[0].at[0] - W).abs() < 1e-9 && (found[0].at[1] - 20.75).abs() < 0.01);
    let Wrong::Leaps(by) = found[0].wrong else {
        panic!("{found:?}")
    };
    assert!((by - 1.5).abs() < 0.01, "{by}");
}

/// A line that goes up to the right meets itself in position half a repeat on, but mirrored it makes a roof.
#[test]
fn a_turn_is_found_where_a_line_meets_its_mirror_image() {
    let found = breaks(Layout::Mirror, &band(20.0, 45.0));
    assert_eq!(found.len(), 2, "{found:?}");
    let want = 2.0 * (25.0f64 / W).atan();
    for one in &found {
        let Wrong::Turns(by) = one.wrong else {
            panic!("{found:?}")
        };
        assert!((by - want).abs() < 1e-6);
    }
}

/// In half-drop, what leaves at 10 mm must come in at 10 + 30 mm (half of 60) of the next, which stands higher: a
/// line from 40 to 10 mm climbs on for ever.
#[test]
fn half_drop_looks_half_a_repeat_on() {
    assert_eq!(breaks(Layout::HalfDrop, &band(40.0, 10.0)), []);
    let apart = breaks(Layout::HalfDrop, &band(20.0, 20.0));
    assert!(
        apart.iter().all(|b| b.wrong == Wrong::Ends) && apart.len() == 4,
        "{apart:?}"
    );
}

#[test]
fn a_shape_over_the_border_joins_itself() {
    let over = Area::filled(&[vec![[70.0, 20.0], [90.0, 25.0], [75.0, 34.0]]], Rule::NonZero);
    // In a mirror it meets its own image, which may make a corner.
    for layout in [Layout::Straight, Layout::HalfDrop, Layout::Brick, Layout::Rotated] {
        assert!(
            breaks(layout, &over).is_empty(),
            "{layout:?} {:?}",
            breaks(layout, &over)
        );
    }
}

/// Small discs on the border and touching it: nothing to meet, nothing that ends, however sharply they curve.
#[test]
fn dots_on_the_border_do_not_break() {
    let dot = |x: f64, y: f64| {
        let corner = |k: u32| f64::from(k) * std::f64::consts::TAU / 90.0;
        (0..90).map(corner).map(|t| [x + t.cos(), y + t.sin()]).collect()
    };
    let dots: Vec<Vec<[f64; 2]>> = (0..25)
        .map(|k| dot(W - 1.1 + 0.09 * f64::from(k), 4.0 + 2.2 * f64::from(k)))
        .collect();
    let area = Area::filled(&dots, Rule::NonZero);
    for layout in [Layout::Straight, Layout::HalfDrop, Layout::Brick] {
        let seams = lattice(layout).seams(&area, &Tolerance::default());
        assert_eq!(seams.breaks, [], "{layout:?}");
        assert!(seams.over >= 20 && seams.joins.is_empty(), "{layout:?} {seams:?}");
    }
}

#[test]
fn a_proposal_closes_leaps_turns_and_ends() {
    let end = Area::filled(
        &[vec![[60.0, 40.0], [W, 40.0], [W, 43.0], [60.0, 43.0]]],
        Rule::NonZero,
    );
    for (layout, area) in [
        (Layout::Straight, band(20.0, 21.5)),
        (Layout::Mirror, band(20.0, 45.0)),
        (Layout::Straight, band(20.0, 22.0).union(&end)),
        (Layout::Rotated, band(28.0, 31.0)),
        (Layout::HalfDrop, band(41.5, 10.0)),
    ] {
        let lattice = lattice(layout);
        let tolerance = Tolerance::default();
        assert!(!lattice.seams(&area, &tolerance).breaks.is_empty(), "{layout:?}");
        let closed = lattice.close(&area, &tolerance);
        assert!(
            closed.seams.breaks.is_empty(),
            "{layout:?} {:?}",
            closed.seams.breaks
        );
        assert!(closed.changed_mm2 > 0.0 && closed.changed_mm2 < 0.5 * area.mm2());
    }
    // What joins is not touched.
    let good = band(20.0, 20.0);
    assert_eq!(
        lattice(Layout::Straight).close(&good, &Tolerance::default()).area,
        good
    );
}

/// By hand: a turn of 1 degree moves the middle of the right side, 40 mm from the middle, by 0.698 mm along it and
/// 0.006 mm towards the middle; a slip of 1 mm down moves it by 1 mm.
#[test]
fn a_slip_opens_joins_as_computed_by_hand() {
    let lattice = lattice(Layout::Straight);
    let seams = lattice.seams(&band(30.0, 30.0), &Tolerance::default());
    let turn = Slip {
        angle: 1f64.to_radians(),
        ..Slip::default()
    };
    let opened = lattice.slipped(&seams, (3, 3), &turn);
    assert_eq!(opened.len(), 2);
    for one in opened {
        assert!(
            (one.leap_mm.abs() - 0.698).abs() < 0.001 && (one.gap_mm - 0.006).abs() < 0.001,
            "{one:?}"
        );
        assert!(!one.seen(&Visible::default()));
    }
    let down = lattice.slipped(
        &seams,
        (3, 3),
        &Slip {
            y_mm: 1.0,
            ..Slip::default()
        },
    );
    assert!(
        down.iter()
            .all(|one| (one.leap_mm - 1.0).abs() < 1e-9 && one.seen(&Visible::default()))
    );
    let aside = lattice.slipped(
        &seams,
        (3, 3),
        &Slip {
            x_mm: 1.0,
            ..Slip::default()
        },
    );
    let mut gaps: Vec<f64> = aside.iter().map(|one| one.gap_mm).collect();
    gaps.sort_by(f64::total_cmp);
    assert!((gaps[0] + 1.0).abs() < 1e-9 && (gaps[1] - 1.0).abs() < 1e-9);
}

/// Two joins (left and right), each opened by the difference of two slips along the border: bell-shaped with
/// deviation s sqrt 2, and correlated by the impression's own slip. With an own slip y and two others, the share
/// unbroken is the mean over y of P(|y - z| <= v)^2; for the normal law with s = 0.6 mm, v = 0.7 mm Simpson's rule
/// gives the value. The hand's bell (four uniforms) is a little lighter in the tails: within 0.02.
#[test]
fn the_share_of_breaks_is_what_the_normal_law_gives() {
    let lattice = lattice(Layout::Straight);
    let seams = lattice.seams(&band(30.0, 30.0), &Tolerance::default());
    let (s, v) = (0.6f64, 0.7f64);
    let density = |y: f64| (-y * y / (2.0 * s * s)).exp() / (s * (std::f64::consts::TAU).sqrt());
    let integral = |f: &dyn Fn(f64) -> f64, a: f64, b: f64| {
        let n = 400;
        let h = (b - a) / f64::from(n);
        let weight = |k: i32| {
            if k == 0 || k == n {
                1.0
            } else if k % 2 == 1 {
                4.0
            } else {
                2.0
            }
        };
        (0..=n).map(|k| weight(k) * f(a + h * f64::from(k))).sum::<f64>() * h / 3.0
    };
    let held = integral(
        &|y| density(y) * integral(&density, y - v, y + v).powi(2),
        -4.0,
        4.0,
    );
    let error = HandError {
        x_mm: 0.0,
        y_mm: s,
        angle: 0.0,
        pressure: 0.0,
    };
    let visible = Visible {
        leap_mm: v,
        gap_mm: 9.0,
    };
    let slips = lattice.slips(&seams, &error, &visible, 20_000, unit);
    assert!(
        (slips.share() - (1.0 - held)).abs() < 0.02 + 2.0 * slips.error(),
        "{} {}",
        slips.share(),
        1.0 - held
    );
    // A steady hand breaks nothing, and nothing that does not cross can break.
    assert_eq!(
        lattice
            .slips(&seams, &HandError::default(), &visible, 500, unit)
            .broken,
        0
    );
    assert_eq!(
        lattice
            .slips(&stamp::Seams::default(), &error, &visible, 500, unit)
            .broken,
        0
    );
}
