//! Two stamps in register against shapes whose room is known, and a slip whose share has a closed form.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;

use common::unit;
use stamp::{Area, HandError, Layout, Meets, Register, Ring, Rule, Slip, Stamp, Visible, register_marks};
use words::Voice;

const PAGE: [f64; 2] = [100.0, 80.0];

fn square(x: f64, y: f64, side: f64) -> Ring {
    vec![[x, y], [x + side, y], [x + side, y + side], [x, y + side]]
}

fn stamp(rings: &[Ring]) -> Stamp {
    Stamp::of_area(Area::filled(rings, Rule::EvenOdd), PAGE)
}

/// A square outline 4 mm wide, 40 mm outside; its inside is 32 mm.
fn outline() -> Stamp {
    stamp(&[square(30.0, 20.0, 40.0), square(34.0, 24.0, 32.0)])
}

/// A square fill that reaches `lap` mm under it.
fn fill(lap: f64) -> Stamp {
    stamp(&[square(34.0 - lap, 24.0 - lap, 32.0 + 2.0 * lap)])
}

/// Lapped by 1.5 mm of 4, the fill may come back 1.5 mm and stand out 2.5 mm, and each a little more before it is
/// seen; kept off by 1.5 mm it may go forward until 0.8 mm are left.
#[test]
fn room_is_what_the_drawing_leaves() {
    let visible = Visible::default();
    for (lap, room) in [
        (1.5, 1.5 + visible.gap_mm),
        (2.5, 1.5 + visible.leap_mm),
        (-1.5, 1.5 - visible.gap_mm),
        (-0.5, 0.0),
    ] {
        let set = Register::of(&outline(), &fill(lap), Layout::Straight);
        let [edge, beside] = set.edge_mm();
        let around = 4.0 * (32.0 + 2.0 * lap);
        assert!(
            (edge - around).abs() < 1.0 && (beside - edge).abs() < 1.0,
            "{lap}: {edge} {beside}"
        );
        let got = set.room_mm(&visible).unwrap();
        assert!((got - room).abs() < 0.06, "{lap}: {got} for {room}");
        assert!(!set.tight(room + 0.1, &visible).is_empty(), "{lap}");
        assert!(set.tight(room - 0.1, &visible).is_empty(), "{lap}");
    }
}

/// A move to the right bares the left side first and stands out on the right later.
#[test]
fn a_slip_is_seen_on_the_side_where_it_opens() {
    let visible = Visible::default();
    let set = Register::of(&outline(), &fill(1.0), Layout::Straight);
    let seen = |x_mm: f64| {
        let slip = Slip {
            x_mm,
            ..Slip::default()
        };
        set.slipped(&slip, &visible)
    };
    assert!(seen(1.0 + visible.gap_mm - 0.1).is_empty());
    let bare = seen(1.0 + visible.gap_mm + 0.1);
    // All of its 34 mm but the last of both ends, which lie under the outline above and below.
    assert_eq!(bare.len(), 1);
    assert!(
        (bare[0].at[0] - 33.0).abs() < 0.1 && (bare[0].along_mm - 32.0).abs() < 0.6,
        "{bare:?}"
    );
    assert!(matches!(bare[0].meets, Meets::Lapped { .. }));
    // 3 mm of outline are left outside.
    assert_eq!(seen(3.0 + visible.leap_mm + 0.1).len(), 2);
}

/// Both stamps are set by hand, so that the slip between them has the root of 2 times the spread of one. Across only,
/// a fill lapped by 1 mm shows where that slip goes beyond 1 mm and what is seen of a gap: twice the tail of a sum of
/// eight uniform numbers, nearly the normal one.
#[test]
fn the_share_of_misfits_is_the_tail_of_the_slip() {
    let visible = Visible::default();
    let set = Register::of(&outline(), &fill(1.0), Layout::Straight);
    let error = HandError {
        x_mm: 1.2,
        ..HandError::default()
    };
    let tried = 20_000;
    let found = set.misfits(&error, &visible, tried, unit);
    let z = (1.0 + visible.gap_mm) / (1.2 * std::f64::consts::SQRT_2);
    // Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.17 (1964): the normal tail to 7.5e-8.
    let t = 1.0 / (1.0 + 0.231_641_9 * z);
    let series = [
        0.319_381_530,
        -0.356_563_782,
        1.781_477_937,
        -1.821_255_978,
        1.330_274_429,
    ];
    let poly = series.iter().rev().fold(0.0, |sum, b| (sum + b) * t);
    let tail = (-z * z / 2.0).exp() / std::f64::consts::TAU.sqrt() * poly;
    // Three standard errors and the half per cent by which eight uniforms differ from the normal law there.
    let off = (found.share() - 2.0 * tail).abs();
    assert!(
        off < 3.0 * found.error() + 0.005,
        "{} for {}",
        found.share(),
        2.0 * tail
    );
    assert!(found.bare >= found.over && found.seen >= found.bare);
    assert_eq!(set.misfits(&HandError::default(), &visible, 50, unit).seen, 0);
}

/// The outline that fills the repeat's edge is printed by the neighbour.
#[test]
fn neighbours_count() {
    let line = stamp(&[vec![[0.0, 0.0], [3.0, 0.0], [3.0, 80.0], [0.0, 80.0]]]);
    let fill = stamp(&[vec![[3.0, 0.0], [99.0, 0.0], [99.0, 80.0], [3.0, 80.0]]]);
    let set = Register::of(&line, &fill, Layout::Straight);
    // On the right the next impression's line is 1 mm off; on the left the edge lies on the line's side.
    let [_, beside] = set.edge_mm();
    assert!((beside - 160.0).abs() < 2.0, "{beside}");
}

#[test]
fn the_picture_has_both_states_and_all_marks() {
    let set = Register::of(&outline(), &fill(1.0), Layout::Straight);
    let slip = Slip {
        x_mm: 2.0,
        ..Slip::default()
    };
    let svg = set.picture(&slip, 2.4, &Visible::default(), Voice::default());
    assert_eq!(svg.matches("href=\"#f\"").count(), 2);
    assert_eq!(svg.matches("v8.00").count(), 2 * register_marks(PAGE).len());
    assert!(roxmltree::Document::parse(&svg).is_ok());
}
