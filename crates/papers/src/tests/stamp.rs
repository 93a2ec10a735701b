//! Stamp sheets: lengths on paper are those of the copper, and what cannot be drawn is refused.

use super::{INDONESIAN, must_be_clear, refused};
use crate::page::{self, Leaf, Mark};
use crate::parts::Bench;
use crate::setting::Setter;
use crate::{Sheet, StampLine, StampNumber, StampSheet, StampSide, stamp_sheet};
use units::{Measure, Quantity};
use words::{Arg, say};

fn stamp(side: f64) -> StampSheet {
    let ring = |r: f64| {
        let angle = |n: u32| f64::from(n) * std::f64::consts::TAU / 90.0;
        (0..90)
            .map(|n| (side / 2.0 + r * angle(n).cos(), side / 2.0 + r * angle(n).sin()))
            .collect()
    };
    let line = |points, closed| StampLine {
        points,
        closed,
        width_mm: 0.8,
        dashed: false,
    };
    StampSheet {
        workshop: "Sirih Works".to_string(),
        name: "Sea Fan".to_string(),
        width_mm: side,
        height_mm: side,
        side: StampSide::Face,
        wax: vec![ring(side * 0.4)],
        numbers: vec![StampNumber {
            text: "12".to_string(),
            at: (side / 2.0, side / 3.0),
        }],
        lines: vec![
            line(ring(side * 0.4), true),
            line(vec![(0.0, side / 2.0), (side, side / 2.0)], false),
        ],
        facts: vec![(
            say!("Strip", "Pita"),
            say!(
                "{q}",
                "{q}",
                q = Arg::Quantity(Quantity::new(6.4, Measure::Length))
            ),
        )],
        cautions: vec![say!("Solder fumes: open air.", "Asap solder: tempat terbuka.")],
    }
}

/// Total length of the strokes of one width on tile pages, without what lies beyond the dashed frames.
fn drawn_mm(leaves: &[Leaf<'_>], width_mm: f32) -> f64 {
    let mut total = 0.0;
    for leaf in leaves.iter().skip(1) {
        let frame = leaf.marks.iter().find_map(|mark| match mark {
            Mark::Stroke { dash: Some(_), .. } => Some(mark.bounds()),
            _ => None,
        });
        let frame = frame.expect("a frame");
        for mark in &leaf.marks {
            let Mark::Stroke {
                pens,
                width,
                dash: None,
            } = mark
            else {
                continue;
            };
            if (width - page::mm(width_mm)).abs() > 1e-3 {
                continue;
            }
            let mut at = (0.0, 0.0);
            for pen in pens {
                match *pen {
                    page::Pen::To(x, y) => at = (x, y),
                    page::Pen::Line(x, y) => {
                        // Short pieces: one whose middle is beyond the frame belongs to the next tile.
                        let steps = 400;
                        let piece = f64::from((x - at.0).hypot(y - at.1)) / f64::from(steps);
                        let inside = (0..steps).filter(|n| {
                            let t = (*n as f32 + 0.5) / steps as f32;
                            let (px, py) = (at.0 + t * (x - at.0), at.1 + t * (y - at.1));
                            px >= frame[0] && px < frame[2] && py >= frame[1] && py < frame[3]
                        });
                        total += piece * inside.count() as f64;
                        at = (x, y);
                    }
                    page::Pen::Close => {}
                }
            }
        }
    }
    total * 25.4 / 72.0
}

#[test]
fn a_stamp_is_drawn_at_full_size_over_its_tiles() {
    let setter = Setter::new().expect("fonts");
    for (paper, side, tiles) in [
        (Sheet::A4, 150.0, 1),
        (Sheet::A4, 200.0, 2),
        (Sheet::UsLetter, 420.0, 9),
    ] {
        let bench = Bench {
            tight: false,
            setter: &setter,
            voice: INDONESIAN,
            sheet: paper,
        };
        let stamp = stamp(side);
        let leaves = crate::stamp_sheet::lay_out_stamp(&bench, &stamp).expect("laid out");
        assert_eq!(leaves.len(), tiles + 1, "{side} mm on {paper:?}");
        must_be_clear(&leaves);
        // A regular 90-gon of radius r has the perimeter 180 r sin 2 degrees; the other line is the side.
        let wanted = 180.0 * side * 0.4 * 2.0_f64.to_radians().sin() + side;
        let drawn = drawn_mm(&leaves, 0.8);
        assert!((drawn / wanted - 1.0).abs() < 2e-3, "{drawn} mm for {wanted} mm");
        assert_eq!(
            stamp_sheet(&stamp, paper, INDONESIAN).expect("printed"),
            stamp_sheet(&stamp, paper, INDONESIAN).expect("printed")
        );
    }
}

#[test]
fn a_stamp_without_a_size_is_a_finding() {
    for side in [0.0, -3.0, f64::NAN, f64::INFINITY, 2001.0] {
        assert_eq!(
            refused(stamp_sheet(&stamp(side), Sheet::A4, INDONESIAN)),
            ["stamp-size"]
        );
    }
    let mut bad = stamp(100.0);
    bad.lines[1].points[0].0 = f64::NAN;
    assert_eq!(
        refused(stamp_sheet(&bad, Sheet::A4, INDONESIAN)),
        ["stamp-points"]
    );
}
