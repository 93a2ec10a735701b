//! Bolts of a lot: what a bath that nobody tops up gives, and regions of cloth that was waxed twice.

mod measured;

use cloth::lot::{Led, Wander, as_done};
use cloth::{Bolt, averages, read_regions};
use measured::common::{operation, shop, step};
use measured::measured;
use route::{Design, LotShape, StampUse, Stuff, Value, Values};
use std::sync::Arc;

fn values(design: &Design) -> Vec<Values> {
    design
        .steps
        .iter()
        .map(|s| s.operation.values().clone())
        .collect()
}

/// Tended baths and steady hands are the design itself; with hands that stray the same lot strays the same way.
#[test]
fn a_lot_that_strays_in_nothing_is_the_design() {
    let (design, shop) = measured();
    let lot = LotShape::new("lot", 12, 5, design.cloth);
    let plain = as_done(&design, &lot, &shop, &Wander::NONE, Led::BySheet);
    assert_eq!(values(&plain), values(&design));
    let strayed = |bolt| {
        let lot = LotShape::new("lot", 12, bolt, design.cloth);
        values(&as_done(&design, &lot, &shop, &Wander::default(), Led::BySheet))
    };
    assert_eq!(strayed(5), strayed(5));
    assert_ne!(strayed(5), strayed(6));
}

/// A dye bath of charge Q that gives q to every bolt holds (1 - q / Q)^k of its strength for bolt k, until it is made
/// anew: mass balance by hand.
#[test]
fn a_bath_left_to_itself_pales_bolt_by_bolt() {
    let (design, shop) = measured();
    let dip = design
        .steps
        .iter()
        .position(|s| s.operation.kind().key == "dip")
        .expect("a dip");
    let lot = |bolt| LotShape::new("lot", 30, bolt, design.cloth);
    let (_, takes) = averages(&design, &lot(0), &shop);
    let bath = takes[dip].bath.as_ref().expect("a bath");
    let dose = |list: &[route::Dose], dye| {
        list.iter()
            .find(|d| d.stuff == Stuff::Dye(dye))
            .map_or(0.0, |d| d.amount.si)
    };
    let asked = design.steps[dip].operation.values().dyes("dyes").to_vec();
    let (dye, depth) = (asked[0].dye, asked[0].depth.quantity.si);
    let keeps = 1.0 - dose(&takes[dip].per_bolt, dye) / dose(&bath.charge, dye);
    assert!((0.1..0.95).contains(&keeps), "{keeps}");
    for (bolt, gone) in [
        (0, 0),
        (1, 1),
        (7, 7),
        (bath.lasts_bolts, 0),
        (bath.lasts_bolts + 2, 2),
    ] {
        let done = as_done(&design, &lot(bolt), &shop, &Wander::NONE, Led::Left);
        let got = done.steps[dip].operation.values().dyes("dyes")[0]
            .depth
            .quantity
            .si;
        let want = depth * keeps.powi(gone);
        assert!((got / want - 1.0).abs() < 1e-12, "bolt {bolt}: {got}, not {want}");
    }
}

/// Two stamps, the second over the first: every point belongs to the wax that covered it first, also where a boil has
/// taken the first off before the second came. Shares by the stamps' own areas; 200 places of 16 mm stand for the bolt
/// within 4 %.
#[test]
fn cloth_waxed_twice_has_two_motifs() {
    let bars = |height: u32| {
        let drawing = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200"><rect x="20" y="20" width="60" height="{height}"/></svg>"#
        );
        let artwork = stamp::Artwork::read(&drawing, "bar.svg").expect("a plain drawing");
        StampUse {
            id: format!("bar-{height}"),
            stamp: Arc::new(stamp::Stamp::new(&artwork, 200.0, None).expect("a stamp")),
            layout: stamp::Layout::Straight,
            border: None,
            register: None,
            key: [0; 32],
        }
    };
    let wax = |stamp: usize| operation("wax", vec![("stamp", Value::Stamp(stamp))]);
    for boiled in [false, true] {
        let (design, _) = measured();
        let mut design = design.as_ref().clone();
        design.stamps = vec![bars(80), bars(160)];
        design.steps = vec![step("s1", wax(0))];
        if boiled {
            design.steps.push(step("s2", operation("boil_off", vec![])));
        }
        design.steps.push(step("s3", wax(1)));
        let design = Arc::new(design);
        let lot = LotShape::new("lot", 1, 0, design.cloth);
        let bolt = Bolt::prepare(&design, &lot, &shop(vec![]), None);
        let steps = design.steps.len();
        let regions = read_regions(&bolt, steps);
        let share = |waxing| {
            regions
                .iter()
                .find(|r| r.waxing == waxing)
                .map_or(0.0, |r| r.share)
        };
        // Of 200 x 200: the first bar covers 60 x 80, the second adds 60 x 80 more.
        assert!((share(Some(0)) - 0.12).abs() < 0.04, "{}", share(Some(0)));
        assert!(
            (share(Some(steps - 1)) - 0.12).abs() < 0.04,
            "{}",
            share(Some(steps - 1))
        );
        assert!(
            (share(None) - 0.76).abs() < 0.05 && regions.len() == 3,
            "{}",
            share(None)
        );
    }
}
