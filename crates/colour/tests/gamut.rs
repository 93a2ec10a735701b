//! The set of colours that a store can reach.

#[path = "common/card_file.rs"]
mod card_file;
mod common;

use colour::dye::DyeCard;
use colour::gamut::Gamut;
use colour::recipe::{Solver, Store, Target};
use colour::{Lab, de2000, lab, lch, xyz};
use common::near;
use proptest::prelude::*;
use std::sync::LazyLock;

static CARDS: LazyLock<Vec<DyeCard>> = LazyLock::new(card_file::demo_cards);

/// Five dyes, so that tests are quick.
fn store() -> Store<'static> {
    let five = ["scarlet-vs", "lemon-vs", "marine-vs", "rose-vs", "lagoon-vs"];
    let cards: Vec<&DyeCard> = CARDS.iter().filter(|c| five.contains(&c.id.as_str())).collect();
    Store::of(&cards)
}

#[test]
fn it_holds_the_white_cloth_and_every_single() {
    let gamut = Gamut::of(&store()).unwrap();
    let daylight = colour::Viewing::DAYLIGHT;
    let white = lab(xyz(colour::white_cotton(), daylight), daylight.white());
    near(de2000(gamut.points()[0], white), 0.0, 1e-9, "white");
    // One dye to its limit.
    let deep = store().reflectance(&[(2, 40.0)]);
    let deep = lab(xyz(&deep, daylight), daylight.white());
    near(gamut.nearest(deep).unwrap().1, 0.0, 1e-9, "deepest");
}

/// By hand: a square with a point inside, one on an edge and one twice.
#[test]
fn hull_by_hand() {
    let ab = [
        (0.0, 0.0),
        (4.0, 0.0),
        (4.0, 4.0),
        (0.0, 4.0),
        (1.0, 2.0),
        (2.0, 0.0),
        (4.0, 4.0),
    ];
    let gamut = Gamut::from_points(ab.iter().map(|(a, b)| Lab::new(50.0, *a, *b)).collect());
    assert_eq!(gamut.hull(), [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]);
    assert!(Gamut::from_points(Vec::new()).hull().is_empty());
}

#[test]
fn rims_by_hand() {
    let gamut = Gamut::from_points(vec![
        Lab::new(30.0, 20.0, 1.0),
        Lab::new(70.0, 50.0, 1.0),
        Lab::new(70.0, 0.0, -30.0),
    ]);
    let rim = gamut.rim_by_hue(4, 0.0..=100.0);
    assert_eq!((rim[0].at, rim[0].lab.a), (45.0, 50.0));
    assert_eq!((rim[1].at, rim[1].lab.b), (315.0, -30.0));
    assert_eq!(rim.len(), 2);
    assert_eq!(gamut.rim_by_hue(4, 0.0..=50.0)[0].lab.a, 20.0);
    let rim = gamut.rim_by_lightness(10, 0.0, 20.0);
    assert_eq!(
        rim.iter().map(|r| (r.at, r.lab.a)).collect::<Vec<_>>(),
        [(35.0, 20.0), (75.0, 50.0)]
    );
    assert!(gamut.rim_by_hue(0, 0.0..=100.0).is_empty());
}

/// Losses only make it smaller: what a store with losses reaches at full depth, one without reaches, too.
#[test]
fn losses_do_not_widen_it() {
    let mut lossy = store();
    for jar in &mut lossy.jars {
        jar.keep = 0.5;
    }
    let whole = Solver::new(store()).unwrap();
    let gamut = Gamut::of(&lossy).unwrap();
    for point in gamut.points().iter().step_by(97) {
        let best = whole.solve(&Target::Colour(*point)).unwrap();
        let least = best.iter().map(|r| r.daylight).fold(f64::INFINITY, f64::min);
        assert!(least < 0.5, "{point:?} is {least} away");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// The outlines hold whatever can be dyed, up to the net of the sample: neighbouring depths of a pair differ by a
    /// factor of two, which leaves up to 5 of chroma between them.
    #[test]
    fn outlines_hold_every_mixture(
        jars in prop::sample::subsequence((0..5usize).collect::<Vec<_>>(), 1..=3),
        depths in prop::collection::vec(0.1..15.0, 3),
    ) {
        static GAMUT: LazyLock<Gamut> = LazyLock::new(|| Gamut::of(&store()).unwrap());
        let amounts: Vec<(usize, f64)> = jars.into_iter().zip(depths).collect();
        let daylight = colour::Viewing::DAYLIGHT;
        let seen = lab(xyz(&store().reflectance(&amounts), daylight), daylight.white());
        prop_assert!(GAMUT.nearest(seen).unwrap().1 < 6.0);
        let hull = GAMUT.hull();
        for (p, q) in hull.iter().zip(hull.iter().cycle().skip(1)) {
            let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
            let off = (dx * (seen.b - p[1]) - dy * (seen.a - p[0])) / dx.hypot(dy);
            prop_assert!(off > -2.0, "{seen:?} is {off} outside of {p:?} {q:?}");
        }
        let hue = lch(seen).h;
        let sector = GAMUT.rim_by_hue(36, 0.0..=100.0).into_iter().find(|r| (r.at - hue).abs() <= 5.0).unwrap();
        prop_assert!(sector.lab.chroma() > seen.chroma() - 5.0);
    }
}
