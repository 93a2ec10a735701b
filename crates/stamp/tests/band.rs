//! Borders with corners against their definition: turned by a quarter about the middle of a square piece, a frame
//! stays as it is; and breaks that were planted are found where they are.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;

use common::unit;
use stamp::{
    Along, Area, Band, Bounds, HandError, Mask, Meeting, Part, Point, Ring, Rule, Tolerance, Wrong, wax_row,
};
use words::Voice;

const STEP: f64 = 70.0;
const BAND: f64 = 40.0;

fn frame(inset_mm: f64) -> Band {
    Band {
        along: Along::Frame,
        repeat_mm: [STEP, BAND],
        inset_mm,
    }
}

fn bar(x0: f64, y0: f64, x1: f64, y1: f64) -> Ring {
    vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
}

/// Two lines all along, 8 and 30 mm from the outer side, and something between them without symmetry.
fn border(leap: f64) -> Area {
    Area::filled(
        &[
            bar(0.0, 7.0, STEP, 9.0),
            bar(0.0, 29.0 + leap, STEP, 31.0 + leap),
            vec![[20.0, 14.0], [40.0, 18.0], [24.0, 25.0]],
        ],
        Rule::NonZero,
    )
}

/// Both lines turn round the corner.
fn corner() -> Area {
    let angle = |at: f64| {
        vec![
            [at - 1.0, at - 1.0],
            [BAND, at - 1.0],
            [BAND, at + 1.0],
            [at + 1.0, at + 1.0],
            [at + 1.0, BAND],
            [at - 1.0, BAND],
        ]
    };
    Area::filled(&[angle(8.0), angle(30.0)], Rule::NonZero)
}

/// Signed wax distance at a point of a cloth, printed without any error of the hand.
fn wax(band: &Band, masks: &[Mask; 2], cloth: [f64; 2], p: Point) -> f32 {
    let laid = band.on(cloth);
    let part = Bounds { low: p, high: p };
    let distances = [0, 1].map(|k| {
        let (which, mask) = ([Part::Border, Part::Corner][k], &masks[k]);
        let set = band.impressions_on(&laid, which, &part, mask, &HandError::default(), |_, _, _| 0.5);
        let (mut d, mut pressed) = ([0.0], [0.0]);
        wax_row(mask, &set, p[1], &[p[0] as f32], &mut d, &mut pressed);
        d[0]
    });
    distances[0].max(distances[1])
}

fn masks() -> [Mask; 2] {
    [Mask::new(&border(0.0)), Mask::new(&corner())]
}

#[test]
fn a_frame_on_a_square_is_alike_after_a_quarter_turn() {
    let (band, side) = (frame(6.0), 2.0 * 6.0 + 2.0 * BAND + 3.0 * STEP);
    let (mut waxed, masks) = (0, masks());
    for k in 0..600 {
        let k = f64::from(k);
        let p = [(k * 0.754_877).fract() * side, (k * 0.569_84).fract() * side];
        let (here, turned) = (
            wax(&band, &masks, [side, side], p),
            wax(&band, &masks, [side, side], [side - p[1], p[0]]),
        );
        assert!((here - turned).abs() < 0.03, "{p:?}: {here} {turned}");
        waxed += usize::from(here > 0.0);
    }
    assert!(waxed > 20, "{waxed}");
}

/// What one impression prints, laid out by hand, is what the cloth shows.
#[test]
fn printed_areas_are_what_the_cloth_shows() {
    let (band, cloth) = (frame(0.0), [330.0, 520.0]);
    let areas: Vec<Area> = band
        .on(cloth)
        .spots
        .iter()
        .map(|spot| match spot.part {
            Part::Border => band.printed(spot, &border(0.0)),
            Part::Corner => band.printed(spot, &corner()),
        })
        .collect();
    let masks = masks();
    for k in 0..400 {
        let k = f64::from(k);
        let p = [
            (k * 0.754_877).fract() * cloth[0],
            (k * 0.569_84).fract() * cloth[1],
        ];
        let d = wax(&band, &masks, cloth, p);
        if d.abs() > 0.15 {
            assert_eq!(areas.iter().any(|a| a.holds(p)), d > 0.0, "{p:?} {d}");
        }
    }
}

/// The corner gives way to the border, whose own lines stay: after it every line of both goes on. What joins already
/// is left as it is.
#[test]
fn what_leaps_is_closed() {
    let (band, tolerance) = (frame(0.0), Tolerance::default());
    for leap in [0.6, 1.5] {
        let closed = band.close(&border(leap), Some(&corner()), &tolerance);
        assert_eq!(closed.breaks(), 0, "{:?}", closed.seams);
        assert_eq!(closed.border, border(leap));
        let joins: usize = closed.seams.iter().map(|one| one.seams.joins.len()).sum();
        assert_eq!(joins, 6, "{:?}", closed.seams);
        // Two sides of 15 mm, on which a line of 2 mm moves; the cubic's mean is one half, and both edges move.
        let most = 2.0 * 2.0 * leap * 15.0;
        assert!(
            closed.changed_mm2 > 0.0 && closed.changed_mm2 < most,
            "{}",
            closed.changed_mm2
        );
    }
    let closed = band.close(&border(0.0), Some(&corner()), &tolerance);
    assert_eq!((closed.border, closed.corner), (border(0.0), Some(corner())));
    assert_eq!(closed.changed_mm2, 0.0);
}

/// A wave that comes to both sides at 15 degrees meets a corner whose line comes to them square: the corner turns to it.
#[test]
fn a_corner_turns_to_what_comes_slanting() {
    let along = |k: usize| STEP * k as f64 / 140.0;
    let wave = |k: usize, off: f64| {
        [
            along(k),
            20.0 + off + 3.0 * (along(k) / STEP * std::f64::consts::TAU).sin(),
        ]
    };
    let ring = (0..=140)
        .map(|k| wave(k, -1.0))
        .chain((0..=140).rev().map(|k| wave(k, 1.0)));
    let wave = Area::filled(&[ring.collect()], Rule::NonZero);
    let square = vec![
        [19.0, 19.0],
        [BAND, 19.0],
        [BAND, 21.0],
        [21.0, 21.0],
        [21.0, BAND],
        [19.0, BAND],
    ];
    let square = Area::filled(&[square], Rule::NonZero);
    let (band, tolerance) = (frame(0.0), Tolerance::default());
    let before = band.seams(&wave, Some(&square), &tolerance);
    let turns = before.iter().flat_map(|one| &one.seams.breaks);
    assert_eq!(
        turns.filter(|one| matches!(one.wrong, Wrong::Turns(_))).count(),
        2,
        "{before:?}"
    );
    let closed = band.close(&wave, Some(&square), &tolerance);
    assert_eq!(closed.breaks(), 0, "{:?}", closed.seams);
    assert!(
        closed.seams.iter().all(|one| one.seams.joins.len() == 1),
        "{:?}",
        closed.seams
    );
}

/// Lines that leave on the right lower than they come in on the left meet half way.
#[test]
fn a_border_that_climbs_joins_itself() {
    let rising = Area::filled(
        &[vec![[0.0, 7.0], [STEP, 8.4], [STEP, 10.4], [0.0, 9.0]]],
        Rule::NonZero,
    );
    let (band, tolerance) = (frame(0.0), Tolerance::default());
    let before = band.seams(&rising, None, &tolerance);
    assert_eq!(before[0].seams.breaks.len(), 1, "{before:?}");
    let closed = band.close(&rising, None, &tolerance);
    assert_eq!(
        (closed.breaks(), closed.seams[0].seams.joins.len()),
        (0, 1),
        "{:?}",
        closed.seams
    );
}

/// A hand that sets every impression where it belongs breaks nothing; one that is 20 mm off breaks nearly every one.
#[test]
fn slips_are_counted_along_a_border() {
    let (band, visible) = (frame(0.0), stamp::Visible::default());
    let share = |mm: f64| {
        let hand = HandError {
            x_mm: mm,
            y_mm: mm,
            angle: 0.0,
            pressure: 0.0,
        };
        band.slips(&border(0.0), &hand, &visible, 500, unit).share()
    };
    assert_eq!(share(0.0), 0.0);
    assert!(share(20.0) > 0.9, "{}", share(20.0));
    assert!(share(0.4) < share(1.2));
}

#[test]
fn what_goes_on_joins_and_what_leaps_is_found() {
    let (band, tolerance) = (frame(0.0), Tolerance::default());
    for found in band.seams(&border(0.0), Some(&corner()), &tolerance) {
        assert!(found.seams.breaks.is_empty(), "{found:?}");
        assert_eq!(found.seams.joins.len(), 2, "{found:?}");
    }
    // The inner line lies 0.6 mm farther in: it joins itself, and leaps at both sides of the corner.
    for found in band.seams(&border(0.6), Some(&corner()), &tolerance) {
        let at = match found.meeting {
            Meeting::Steps => {
                assert!(found.seams.breaks.is_empty(), "{found:?}");
                continue;
            }
            Meeting::FromCorner => [BAND, 30.3],
            Meeting::ToCorner => [30.3, BAND],
        };
        let [one] = &found.seams.breaks[..] else {
            panic!("{found:?}")
        };
        assert!(
            (one.at[0] - at[0]).abs() < 0.01 && (one.at[1] - at[1]).abs() < 0.01,
            "{one:?}"
        );
        assert!(
            matches!(one.wrong, Wrong::Leaps(mm) if (mm - 0.6).abs() < 0.01),
            "{one:?}"
        );
    }
    let bands = Band {
        along: Along::Ends,
        ..band
    };
    assert_eq!(bands.seams(&border(0.0), None, &tolerance).len(), 1);
}

#[test]
fn pictures_show_every_impression() {
    let (band, cloth) = (frame(0.0), [330.0, 520.0]);
    let (laid, seams) = (
        band.on(cloth),
        band.seams(&border(0.6), Some(&corner()), &Tolerance::default()),
    );
    let piece = band.picture_of_piece(&border(0.6), Some(&corner()), &laid, cloth, Voice::default());
    assert_eq!(piece.matches("<use ").count() as u32, laid.all());
    let joins = band.picture_of_joins(&border(0.6), Some(&corner()), &seams, Voice::default());
    assert_eq!(joins.matches("<circle ").count(), 2);
    for svg in [piece, joins] {
        assert!(roxmltree::Document::parse(&svg).is_ok());
    }
}
