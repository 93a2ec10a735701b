//! A bolt with a whole route for the tests of this crate.

#![allow(dead_code)]

#[path = "../../../route/tests/common/mod.rs"]
mod route_common;

pub use route_common::*;

use cloth::Bolt;
use route::{Design, LotShape};
use std::sync::Arc;

/// Every operation once or more: folded and open, waxed, bleached, dipped, sprayed on waxed cloth.
pub fn whole_route() -> Arc<Design> {
    let mut design = design();
    let steps: Vec<(&str, Vec<(&'static str, route::Value)>)> = vec![
        ("prepare", vec![]),
        ("wet", vec![]),
        ("fold", vec![]),
        ("sponge", vec![("dyes", dyes(&[(0, "30 g/L"), (1, "30 g/L")]))]),
        ("soda", vec![]),
        ("sun", vec![]),
        ("open", vec![]),
        ("touch_up", vec![("dyes", dyes(&[(0, "20 g/L")]))]),
        ("fix", vec![]),
        ("rinse", vec![]),
        ("dry", vec![]),
        ("wax", vec![("stamp", route::Value::Stamp(0))]),
        ("wax_repair", vec![]),
        ("bleach", vec![]),
        ("neutralise", vec![]),
        ("dip", vec![("dyes", dyes(&[(2, "0.6 %")]))]),
        ("fold", vec![]),
        ("spray", vec![("dyes", dyes(&[(0, "12 g/L"), (2, "12 g/L")]))]),
        ("soda", vec![]),
        ("sun", vec![]),
        ("open", vec![]),
        ("fix", vec![]),
        ("boil_off", vec![]),
        ("rinse", vec![]),
        ("dry", vec![]),
        ("finish", vec![]),
        ("inspect", vec![]),
    ];
    for (n, (key, given)) in steps.into_iter().enumerate() {
        design
            .steps
            .push(step(&format!("s{n:02}"), operation(key, given)));
    }
    Arc::new(design)
}

/// The first bolt of a lot of that route.
pub fn bolt() -> Bolt {
    let design = whole_route();
    let lot = LotShape::new("test", 3, 0, design.cloth);
    Bolt::prepare(&design, &lot, &shop(vec![]), None)
}

/// As [`whole_route`], with six dyes: three sponged, one dipped, two sprayed.
pub fn six_dyes() -> Arc<Design> {
    let mut design = Design::clone(&whole_route());
    let chemistry = colour::dye::Chemistry::VinylSulfone;
    design.dyes = (0..6)
        .map(|n| Arc::new(card(&format!("dye {n}"), chemistry, 0.008)))
        .collect();
    let swap = |at: usize, key: &str, list: &[(usize, &str)]| {
        step(&format!("s{at:02}"), operation(key, vec![("dyes", dyes(list))]))
    };
    for at in 0..design.steps.len() {
        match design.steps[at].operation.kind().key {
            "sponge" => design.steps[at] = swap(at, "sponge", &[(0, "30 g/L"), (1, "30 g/L"), (2, "30 g/L")]),
            "dip" => design.steps[at] = swap(at, "dip", &[(3, "0.6 %")]),
            "spray" => design.steps[at] = swap(at, "spray", &[(4, "12 g/L"), (5, "12 g/L")]),
            _ => {}
        }
    }
    Arc::new(design)
}
