//! Palettes and the distance between them.

mod common;

use colour::palette::Swatch;
use colour::transport::{Unfit, transport};
use colour::{Ground, Lab, Palette};
use common::{near, numbers, rows};
use proptest::prelude::*;

const DISTANCES: &str = include_str!("data/palette_distance.csv");

/// Transport linear programme by HiGHS: see the head of the file.
#[test]
fn distances_are_those_of_a_linear_programme() {
    let rows = rows(DISTANCES);
    let palette = |pair: u32, side: &str| {
        let swatches: Vec<Swatch> = rows
            .iter()
            .filter(|r| r[0] == pair.to_string() && r[1] == side)
            .map(|r| {
                let n = numbers(r, 2);
                Swatch {
                    lab: Lab::new(n[1], n[2], n[3]),
                    share: n[0],
                }
            })
            .collect();
        Palette::from_swatches(&swatches).unwrap()
    };
    for pair in 1..=24 {
        let expected = numbers(rows.iter().find(|r| r[0] == pair.to_string()).unwrap(), 6);
        let (a, b) = (palette(pair, "A"), palette(pair, "B"));
        for (ground, expected) in [(Ground::Euclidean, expected[0]), (Ground::Ciede2000, expected[1])] {
            near(
                a.distance(&b, ground),
                expected,
                1e-6,
                format_args!("pair {pair}, {ground:?}"),
            );
        }
    }
    assert_eq!(rows.last().unwrap()[0], "24");
}

/// By hand: two heaps of 1/2 on a line at 0 and 10, moved to 1 and 12, cost (1 + 2) / 2.
#[test]
fn transport_by_hand() {
    let plan = transport(&[1.0, 1.0], &[1.0, 1.0], &[1.0, 12.0, 9.0, 2.0]).unwrap();
    near(plan.cost, 1.5, 1e-15, "cost");
    assert_eq!(plan.flow, [0.5, 0.0, 0.0, 0.5]);
}

/// The nearest heap is not always served first: the greedy plan costs (1 + 99) / 2.
#[test]
fn transport_goes_back_on_its_first_choice() {
    let plan = transport(&[1.0, 1.0], &[1.0, 1.0], &[1.0, 2.0, 2.0, 99.0]).unwrap();
    near(plan.cost, 2.0, 1e-15, "cost");
}

#[test]
fn transport_refuses_what_is_no_problem() {
    assert_eq!(transport(&[1.0], &[1.0], &[]), Err(Unfit::Shape));
    assert_eq!(transport(&[], &[], &[]), Err(Unfit::Mass));
    assert_eq!(transport(&[0.0], &[1.0], &[1.0]), Err(Unfit::Mass));
    assert_eq!(transport(&[f64::NAN], &[1.0], &[1.0]), Err(Unfit::Mass));
    assert_eq!(transport(&[-1.0, 2.0], &[1.0], &[1.0, 1.0]), Err(Unfit::Mass));
    assert_eq!(transport(&[1.0], &[1.0], &[f64::NAN]), Err(Unfit::Cost));
}

#[test]
fn a_palette_finds_planted_colours() {
    let planted = [
        (Lab::new(90.0, 2.0, 8.0), 600),
        (Lab::new(45.0, 60.0, 30.0), 300),
        (Lab::new(30.0, 5.0, -40.0), 100),
    ];
    // Each colour wavers by up to 1.4 around its place, evenly to both sides.
    let pixels = planted.iter().flat_map(|(lab, count)| {
        (0..*count).map(move |i| {
            let off = |m: i32| f64::from(i % m) * 2.8 / f64::from(m - 1) - 1.4;
            (Lab::new(lab.l + off(5), lab.a + off(4), lab.b + off(10)), 1.0)
        })
    });
    let palette = Palette::of(pixels, 3).unwrap();
    for (swatch, (lab, count)) in palette.swatches().iter().zip(planted) {
        near(swatch.share, f64::from(count) / 1000.0, 1e-12, "share");
        near(colour::de76(swatch.lab, lab), 0.0, 1e-9, "colour");
    }
}

#[test]
fn a_palette_has_no_more_swatches_than_colours() {
    let palette = Palette::of(
        [(Lab::new(50.0, 0.0, 0.0), 2.0), (Lab::new(60.0, 0.0, 0.0), 6.0)],
        8,
    )
    .unwrap();
    assert_eq!(palette.swatches().len(), 2);
    assert_eq!(palette.swatches()[0].share, 0.75);
}

#[test]
fn what_is_no_picture_is_said() {
    let grey = Lab::new(50.0, 0.0, 0.0);
    for colours in [
        vec![],
        vec![(grey, 0.0)],
        vec![(grey, -1.0)],
        vec![(grey, f64::NAN)],
        vec![(Lab::new(f64::NAN, 0.0, 0.0), 1.0)],
    ] {
        assert_eq!(Palette::of(colours, 4).unwrap_err().code, "palette-empty");
    }
    assert_eq!(Palette::from_swatches(&[]).unwrap_err().code, "palette-empty");
}

fn a_palette() -> impl Strategy<Value = Palette> {
    let swatch = (5.0..95.0, -60.0..60.0, -60.0..60.0, 0.01..1.0).prop_map(|(l, a, b, share)| Swatch {
        lab: Lab::new(l, a, b),
        share,
    });
    prop::collection::vec(swatch, 1..12).prop_map(|s| Palette::from_swatches(&s).unwrap())
}

proptest! {
    #[test]
    fn distance_is_a_metric(a in a_palette(), b in a_palette(), c in a_palette()) {
        let d = |x: &Palette, y: &Palette| x.distance(y, Ground::Euclidean);
        prop_assert!(d(&a, &a).abs() < 1e-12);
        prop_assert!((d(&a, &b) - d(&b, &a)).abs() < 1e-9);
        prop_assert!(d(&a, &b) <= d(&a, &c) + d(&c, &b) + 1e-9);
        prop_assert!(a == b || d(&a, &b) > 0.0);
        // The difference of the means is a lower bound (Rubner et al. 2000).
        prop_assert!(colour::de76(a.mean(), b.mean()) <= d(&a, &b) + 1e-9);
    }

    #[test]
    fn ciede2000_distance_is_symmetric_and_zero_on_itself(a in a_palette(), b in a_palette()) {
        let d = |x: &Palette, y: &Palette| x.distance(y, Ground::Ciede2000);
        prop_assert!(d(&a, &a).abs() < 1e-9);
        prop_assert!((d(&a, &b) - d(&b, &a)).abs() < 1e-9);
    }

    /// The dual prices prove the plan: they are feasible, and their value is the plan's cost.
    #[test]
    fn a_plan_proves_itself(
        supply in prop::collection::vec(0.0..1.0_f64, 1..15),
        demand in prop::collection::vec(0.0..1.0_f64, 1..15),
        costs in prop::collection::vec(0.0..100.0_f64, 225),
        whole in any::<bool>(),
    ) {
        // Whole costs bring ties.
        let cost: Vec<f64> = costs[..supply.len() * demand.len()]
            .iter()
            .map(|c| if whole { (c / 20.0).floor() } else { *c })
            .collect();
        prop_assume!(supply.iter().sum::<f64>() > 0.0 && demand.iter().sum::<f64>() > 0.0);
        let plan = transport(&supply, &demand, &cost).unwrap();
        let share = |m: &[f64]| m.iter().map(|v| v / m.iter().sum::<f64>()).collect::<Vec<_>>();
        let (supply, demand) = (share(&supply), share(&demand));
        for (i, s) in supply.iter().enumerate() {
            let row: f64 = plan.flow[i * demand.len()..][..demand.len()].iter().sum();
            prop_assert!((row - s).abs() < 1e-12);
            for j in 0..demand.len() {
                let slack = cost[i * demand.len() + j] - plan.supply_price[i] - plan.demand_price[j];
                prop_assert!(slack > -1e-9, "price above cost by {}", -slack);
                prop_assert!(plan.flow[i * demand.len() + j] >= 0.0);
            }
        }
        let value: f64 = supply.iter().zip(&plan.supply_price).chain(demand.iter().zip(&plan.demand_price))
            .map(|(m, p)| m * p)
            .sum();
        prop_assert!((value - plan.cost).abs() < 1e-9, "dual {value}, plan {}", plan.cost);
    }

    /// Whatever the order of the pixels, swatches hold what they stand for.
    #[test]
    fn a_palette_keeps_the_mean(
        colours in prop::collection::vec(((0.0..100.0, -80.0..80.0, -80.0..80.0), 0.0..3.0), 1..200),
        size in 1usize..9,
    ) {
        let colours: Vec<(Lab, f64)> = colours.into_iter().map(|((l, a, b), w)| (Lab::new(l, a, b), w)).collect();
        let area: f64 = colours.iter().map(|c| c.1).sum();
        prop_assume!(area > 0.0);
        let palette = Palette::of(colours.clone(), size).unwrap();
        prop_assert!(palette.swatches().len() <= size);
        prop_assert!((palette.swatches().iter().map(|s| s.share).sum::<f64>() - 1.0).abs() < 1e-12);
        let mean = |axis: fn(Lab) -> f64| colours.iter().map(|(c, w)| axis(*c) * w).sum::<f64>() / area;
        let mean = Lab::new(mean(|c| c.l), mean(|c| c.a), mean(|c| c.b));
        prop_assert!(colour::de76(palette.mean(), mean) < 1e-9);
        let again = Palette::of(colours.into_iter().rev(), size).unwrap();
        prop_assert!(palette.distance(&again, Ground::Euclidean) < 1e-6);
    }
}
