//! Colours for the finished cloth, sought through a whole route.

#[path = "measured/mod.rs"]
mod measured;

use cloth::aim::{Aimed, Seen, Set, Spot, look, solve};
use colour::Lab;
use measured::common::{dyes, operation, step};
use route::{Design, LotShape, Workshop};
use std::sync::Arc;
use words::Voice;

fn spot(name: &str, waxed: &[usize], bare: &[usize], leads: Option<(usize, usize)>) -> Spot {
    Spot {
        name: name.to_string(),
        waxed: waxed.to_vec(),
        bare: bare.to_vec(),
        leads,
        target: None,
        weight: 1.0,
        tolerance: 1.5,
    }
}

/// Place of a step of the route by its kind.
fn at(design: &Design, key: &str) -> usize {
    design
        .steps
        .iter()
        .position(|s| s.operation.kind().key == key)
        .unwrap()
}

fn route() -> (Arc<Design>, Workshop, LotShape, Vec<Spot>) {
    let (design, shop) = measured::measured();
    let lot = LotShape::new("aim", 1, 0, design.cloth);
    let (wax, sponge) = (at(&design, "wax"), at(&design, "sponge"));
    let spots = vec![
        spot("first", &[wax], &[], Some((sponge, 0))),
        spot("second", &[wax], &[], Some((sponge, 1))),
        spot("ground", &[], &[wax], None),
    ];
    (design, shop, lot, spots)
}

/// The route with a ground twice as deep.
fn deeper(design: &Design) -> Arc<Design> {
    let mut other = design.clone();
    let dip = at(design, "dip");
    let dose = design.steps[dip].operation.values().dyes("dyes")[0].dye;
    other.steps[dip] = step(
        &design.steps[dip].id,
        operation("dip", vec![("dyes", dyes(&[(dose, "1.6 %")]))]),
    );
    Arc::new(other)
}

fn aimed_at(spots: &[Spot], seen: &[Seen]) -> Vec<Spot> {
    let pairs = spots.iter().zip(seen);
    pairs
        .map(|(spot, seen)| Spot {
            target: Some(seen.lab),
            ..spot.clone()
        })
        .collect()
}

/// Colours that this very route gives are found again from a route with other depths: what is reported is developed
/// cloth, so the test shares no model with the answer.
#[test]
fn the_colours_of_a_route_are_found_again() {
    let (design, shop, lot, spots) = route();
    let wanted = aimed_at(&spots, &look(&design, &lot, &shop, &spots).unwrap());
    let start = deeper(&design);
    let before = look(&start, &lot, &shop, &wanted).unwrap();
    let aimed = Aimed {
        keep_dyes: true,
        ..Aimed::default()
    };
    let solved = solve(
        &start,
        &lot,
        &shop,
        &design.dyes,
        &wanted,
        &aimed,
        Voice::default(),
        &|_| true,
    )
    .unwrap();
    assert!(
        before[2].difference.unwrap() > 3.0,
        "the ground was not moved: {before:?}"
    );
    for region in &solved.regions {
        assert!(
            region.difference.unwrap() < 1.5,
            "{}: {:?}",
            region.name,
            solved.regions
        );
    }
    // Developed once more from the design that came out.
    let again = look(&solved.design, &lot, &shop, &wanted).unwrap();
    for (region, again) in solved.regions.iter().zip(&again) {
        assert!((region.difference.unwrap() - again.difference.unwrap()).abs() < 1e-9);
    }
    let dip = &design.steps[at(&design, "dip")].id;
    let change = solved
        .changes
        .iter()
        .find(|c| c.step == *dip)
        .expect("the ground's depth");
    assert!(matches!(&change.to, Set::Dyes(doses) if doses.len() == 1));
}

/// A colour that no dye of the store has: said, with the nearest and what limits it.
#[test]
fn what_is_out_of_reach_is_said() {
    let (design, shop, lot, mut spots) = route();
    let seen = look(&design, &lot, &shop, &spots).unwrap();
    spots = aimed_at(&spots, &seen);
    spots[2].target = Some(Lab::new(90.0, -60.0, 60.0));
    let aimed = Aimed {
        keep_dyes: true,
        ..Aimed::default()
    };
    let solved = solve(
        &design,
        &lot,
        &shop,
        &design.dyes,
        &spots,
        &aimed,
        Voice::default(),
        &|_| true,
    )
    .unwrap();
    let ground = &solved.regions[2];
    let (_, nearest) = ground.nearest.expect("the nearest there is");
    assert!(
        nearest > 1.5 && nearest <= ground.difference.unwrap() + 1.0,
        "{ground:?}"
    );
    let finding = solved
        .findings
        .iter()
        .find(|f| f.code == "target-out-of-reach")
        .expect("a finding");
    assert!(finding.remedy.is_some());
    assert!(solved.reach.iter().all(|g| g.points().len() > 50));
}

#[test]
fn a_region_that_is_nowhere_is_said() {
    let (design, shop, lot, mut spots) = route();
    let wax = at(&design, "wax");
    spots[0].bare = vec![wax];
    let refused = look(&design, &lot, &shop, &spots).unwrap_err();
    assert_eq!(refused[0].code, "region-not-found");
}
