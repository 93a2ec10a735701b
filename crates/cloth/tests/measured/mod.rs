//! A workshop that has measured: dyes with strip tests, wax with line wedges, a stamp of petals and stems, and a route
//! whose bleach stands in the middle.

#![allow(dead_code)]

#[path = "../common/mod.rs"]
pub mod common;

use colour::dye::Chemistry;
use common::{card, dyes, operation, quantity, shop, step};
use route::{Design, StampUse, Workshop};
use std::sync::Arc;
use words::{Known, Origin};

/// Place of the bleach in the route of [`measured`].
pub const BLEACH: usize = 13;

fn here(value: f64, n: u32) -> Known {
    Known {
        value,
        origin: Origin::Measured {
            date: "2026-05-04".to_string(),
            n,
        },
    }
}

/// A card with one band of absorption around a wavelength (nm), that clears at `rate` 1/(M s).
pub fn dye(id: &str, centre: f64, width: f64, height: f64, rate: f64) -> colour::DyeCard {
    let mut card = card(id, Chemistry::VinylSulfone, 0.008);
    card.unit_ks = std::array::from_fn(|band| {
        let nm = 400.0 + 10.0 * band as f64;
        height * (-((nm - centre) / width).powi(2)).exp()
    });
    card.bleaching.rate = here(rate, 4);
    card.bleaching.energy = here(45e3, 4);
    card
}

/// The design and the workshop.
pub fn measured() -> (Arc<Design>, Workshop) {
    let mut shop = shop(vec![]);
    shop.constants.set("wax.creep", here(1.0e-10, 6));
    let mut design = common::design();
    design.dyes = vec![
        Arc::new(dye("scarlet vs", 520.0, 60.0, 0.8, 0.11)),
        Arc::new(dye("gold vs", 430.0, 45.0, 0.9, 0.16)),
        Arc::new(dye("marine vs", 610.0, 60.0, 0.7, 0.12)),
        Arc::new(dye("tan vs", 400.0, 90.0, 0.25, 0.08)),
    ];
    let drawing = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">
        <ellipse cx="60" cy="90" rx="25" ry="60"/><ellipse cx="140" cy="90" rx="25" ry="60"/>
        <rect x="59" y="150" width="1.6" height="40"/><rect x="139" y="150" width="1.6" height="40"/>
        <rect x="99" y="20" width="1.6" height="170"/></svg>"#;
    let artwork = stamp::Artwork::read(drawing, "petals.svg").expect("a plain drawing");
    let made = stamp::Stamp::new(&artwork, 200.0, None).expect("a stamp of petals and stems");
    design.stamps = vec![StampUse {
        id: "petals".to_string(),
        stamp: Arc::new(made),
        layout: stamp::Layout::Straight,
        border: None,
        register: None,
        key: [0; 32],
    }];
    let steps: Vec<(&str, Vec<(&'static str, route::Value)>)> = vec![
        ("prepare", vec![]),
        ("wet", vec![]),
        ("fold", vec![]),
        (
            "sponge",
            vec![("dyes", dyes(&[(0, "30 g/L"), (1, "30 g/L"), (2, "15 g/L")]))],
        ),
        ("soda", vec![]),
        ("sun", vec![]),
        ("open", vec![]),
        ("touch_up", vec![("dyes", dyes(&[(0, "20 g/L")]))]),
        ("fix", vec![("rest", quantity("12 h"))]),
        ("rinse", vec![]),
        ("dry", vec![]),
        ("wax", vec![("stamp", route::Value::Stamp(0))]),
        ("wax_repair", vec![]),
        ("bleach", vec![("time", quantity("15 min"))]),
        ("neutralise", vec![]),
        ("dip", vec![("dyes", dyes(&[(3, "0.6 %")]))]),
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
    (Arc::new(design), shop)
}
