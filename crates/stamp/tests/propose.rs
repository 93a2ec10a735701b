//! Proposals on shapes whose cure can be worked out by hand, and on whatever else comes.
#![allow(missing_docs, clippy::unwrap_used)]

use proptest::prelude::*;
use stamp::{Area, Artwork, BuildRule, Cure, Limits, Proposal, Ring, Rule, Stamp};

const CLOTH_MM: f64 = 1117.6;

fn bar(x: f64, y: f64, w: f64, h: f64) -> Ring {
    vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]]
}

fn proposed(rings: &[Ring]) -> Proposal {
    let stamp = Stamp::of_area(Area::filled(rings, Rule::NonZero), [120.0, 120.0]);
    Proposal::of(&stamp, &Limits::default(), CLOTH_MM)
}

fn cures(proposal: &Proposal) -> Vec<Cure> {
    proposal.changes.iter().map(|c| c.cure).collect()
}

/// A line of 0.7 mm, 60 mm long, needs 2 x 0.424 + 0.3 = 1.149 mm: 60 x 0.449 = 26.9 mm2 more, and round ends.
#[test]
fn a_thin_line_is_thickened_by_what_it_lacks() {
    let proposal = proposed(&[bar(20.0, 50.0, 60.0, 0.7), bar(15.0, 60.0, 70.0, 3.0)]);
    assert_eq!(proposal.before.count(BuildRule::ThinLine), 1);
    assert_eq!(cures(&proposal), [Cure::Thicken]);
    assert!(proposal.after.buildable());
    let added = proposal.area().mm2() - proposal.before.area.mm2();
    // A hair more on both sides, and round ends over the square ones.
    assert!((26.9..33.0).contains(&added), "{added}");
}

/// Two bars 1.2 mm apart along 40 mm: opening to 1.5 mm takes 12 mm2, filling would add 48.
#[test]
fn the_cure_of_least_surface_is_taken() {
    let proposal = proposed(&[bar(20.0, 20.0, 40.0, 5.0), bar(20.0, 26.2, 40.0, 5.0)]);
    assert_eq!(cures(&proposal), [Cure::Open]);
    assert!(proposal.after.buildable());
    assert!(
        (proposal.changed_mm2() - 12.0).abs() < 3.0,
        "{}",
        proposal.changed_mm2()
    );
    // 0.3 mm apart: filling adds 12 mm2, opening would take 48.
    let proposal = proposed(&[bar(20.0, 20.0, 40.0, 5.0), bar(20.0, 25.3, 40.0, 5.0)]);
    assert_eq!(cures(&proposal), [Cure::Close]);
    assert!(proposal.after.buildable());
    assert!(
        (proposal.changed_mm2() - 12.0).abs() < 3.0,
        "{}",
        proposal.changed_mm2()
    );
}

#[test]
fn specks_go_and_lone_pieces_are_bridged() {
    let proposal = proposed(&[bar(20.0, 20.0, 60.0, 6.0), bar(40.0, 30.0, 0.4, 0.4)]);
    assert_eq!(cures(&proposal), [Cure::Drop]);
    assert!(proposal.after.buildable() && proposal.after.pieces == 1);
    let proposal = proposed(&[bar(20.0, 20.0, 60.0, 6.0), bar(40.0, 38.0, 4.0, 4.0)]);
    assert_eq!(cures(&proposal), [Cure::Bridge]);
    assert!(proposal.after.buildable() && proposal.after.pieces == 1);
}

/// What is refused stays as drawn, and is told; numbers do not move.
#[test]
fn changes_can_be_refused() {
    let all = proposed(&[
        bar(20.0, 20.0, 60.0, 0.7),
        bar(20.0, 40.0, 60.0, 3.0),
        bar(20.0, 44.2, 60.0, 3.0),
    ]);
    assert_eq!(cures(&all), [Cure::Thicken, Cure::Open]);
    let some = all.refusing(&[1]);
    assert!(!some.after.buildable() && some.after.count(BuildRule::ThinLine) == 1);
    assert_eq!(some.after.count(BuildRule::NarrowGap), 0);
    let none = all.refusing(&[1, 2]);
    assert_eq!(none.area(), &all.before.area);
    assert_eq!(none.refusing(&[]).area(), all.area());
}

/// The drawing that is written can be read again and passes the check that its proposal passed.
#[test]
fn what_is_written_passes_when_read_again() {
    let proposal = proposed(&[
        bar(20.0, 20.0, 60.0, 0.7),
        bar(20.0, 40.0, 60.0, 3.0),
        bar(20.0, 43.9, 60.0, 3.0),
    ]);
    let art = Artwork::read(&proposal.drawing(), "again.svg").unwrap();
    assert!((art.size_mm()[0] - 120.0).abs() < 1e-3);
    let again = Stamp::new(&art, 120.0, None)
        .unwrap()
        .report(&Limits::default(), CLOTH_MM);
    assert!(again.buildable(), "{:?}", again.faults);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Random bars: the result is never worse than the drawing, refusing everything gives the drawing back, and
    /// the pictures can be made.
    #[test]
    fn proposals_never_make_it_worse(bars in prop::collection::vec((5.0..90.0f64, 5.0..90.0f64, 0.3..14.0f64, 0.3..14.0f64), 1..7)) {
        let rings: Vec<Ring> = bars.iter().map(|(x, y, w, h)| bar(*x, *y, *w, *h)).collect();
        let proposal = proposed(&rings);
        let drawn = |faults: &[stamp::Fault]| faults.iter().filter(|f| f.rule.drawn()).count();
        prop_assert!(drawn(&proposal.after.faults) <= drawn(&proposal.before.faults), "{:?}", proposal.after.faults);
        let ids: Vec<usize> = proposal.changes.iter().map(|c| c.id).collect();
        let refused = proposal.refusing(&ids);
        prop_assert_eq!(refused.area(), &proposal.before.area);
        for picture in [proposal.picture(words::Voice::default()), proposal.before.picture(words::Voice::default())] {
            prop_assert!(picture.ends_with("</svg>\n"));
        }
    }
}
