//! An invented workshop, cloth and dye cards for the tests of this crate.

#![allow(dead_code)]

use colour::dye::{Bleaching, Chemistry, DyeCard, Fixation, Price};
use field::{Grid, Lattice, Rect};
use route::operations::kind;
use route::{
    Before, Climate, Cloth, Constants, Design, DyeDose, Look, LotShape, Means, Money, Operation, Shape,
    StampUse, Station, Step, Value, Values, Workshop,
};
use std::sync::Arc;
use units::{Celsius, Length, parse};
use words::{Known, Origin, Place};

/// 44 in x 15 yd at 125 g/m2: 1.92 kg.
pub fn cloth() -> Cloth {
    Cloth {
        width: Length(1.1176),
        length: Length(13.716),
        weight: 0.125,
    }
}

/// An invented card with one band of absorption.
pub fn card(id: &str, chemistry: Chemistry, rate_per_min: f64) -> DyeCard {
    let known = |value| Known::assumed(value, 2.0, "invented for tests");
    DyeCard {
        id: id.to_string(),
        name: id.to_string(),
        chemistry,
        unit_ks: std::array::from_fn(|band| 0.5 * (-((band as f64 - 15.0) / 5.0).powi(2)).exp()),
        spectrum: Origin::Yours,
        ladder: None,
        k_max: known(41.0),
        fixation: Fixation {
            rate: known(rate_per_min / 60.0),
            at: Celsius(30.0),
            ph: 11.5,
            energy: known(80e3),
            final_share: known(0.75),
        },
        affinity: known(0.005),
        exhaustion: known(0.3),
        bleaching: Bleaching {
            rate: known(0.1),
            at: Celsius(28.0),
            ph: 10.0,
            ph_least: 9.0,
            ph_most: 11.5,
            energy: known(45e3),
            residue: known(0.01),
        },
        blue_wool: known(4.0),
        price: Price {
            amount: 3800,
            decimals: 2,
            currency: "EUR".to_string(),
        },
        hazards: Vec::new(),
    }
}

/// A workshop on a tropical coast; no stations but those that are given.
pub fn shop(stations: Vec<Station>) -> Workshop {
    let money = |minor| Money {
        minor,
        currency: "IDR".to_string(),
    };
    Workshop {
        name: "Sirih Works".to_string(),
        town: "Teluk Sirih".to_string(),
        stations,
        people: Vec::new(),
        prices: Vec::new(),
        cloth_price: money(30_000),
        overhead: 0.3,
        rates: Vec::new(),
        books: "IDR".to_string(),
        quotes: "EUR".to_string(),
        climate: Climate {
            latitude: -3.8,
            longitude: 102.3,
            utc_hours: 7.0,
            air: Celsius(30.0),
            humidity: 0.75,
            wind: 2.0,
            clearness: 0.75,
            // 2026-07-01
            day: 20_635,
        },
        constants: Constants::default(),
    }
}

/// A design without steps, with three dyes and a stamp of two petals.
pub fn design() -> Design {
    let drawing = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">
        <ellipse cx="60" cy="100" rx="25" ry="60"/><ellipse cx="140" cy="100" rx="25" ry="60"/></svg>"#;
    let artwork = stamp::Artwork::read(drawing, "petals.svg").expect("a plain drawing");
    let made = stamp::Stamp::new(&artwork, 200.0, None).expect("a stamp of two petals");
    Design {
        id: "test".to_string(),
        name: "Test".to_string(),
        colourway: String::new(),
        note: String::new(),
        cloth: cloth(),
        dyes: vec![
            Arc::new(card("scarlet vs", Chemistry::VinylSulfone, 0.008)),
            Arc::new(card("gold dct", Chemistry::Dichlorotriazine, 0.03)),
            Arc::new(card("marine vs", Chemistry::VinylSulfone, 0.008)),
        ],
        stamps: vec![StampUse {
            id: "petals".to_string(),
            stamp: Arc::new(made),
            layout: stamp::Layout::Straight,
            border: None,
            register: None,
            key: [0; 32],
        }],
        steps: Vec::new(),
    }
}

/// Quantity as a person would spell it.
pub fn quantity(text: &str) -> Value {
    Value::Quantity(parse(text).expect("a quantity"))
}

/// Dyes with one depth each.
pub fn dyes(list: &[(usize, &str)]) -> Value {
    let dose = |(dye, depth): &(usize, &str)| DyeDose {
        dye: *dye,
        depth: parse(depth).expect("a depth"),
    };
    Value::Dyes(list.iter().map(dose).collect())
}

/// An operation by key, with some settings given and the others at their defaults.
pub fn operation(key: &str, given: Vec<(&'static str, Value)>) -> Arc<dyn Operation> {
    let kind = kind(key).expect("a kind of this key");
    let values = Values::complete(kind.settings, given, &|_| Place::Request).expect("complete settings");
    (kind.make)(values)
}

/// An operation of every kind, from defaults, with two dyes or the stamp where one must be named.
pub fn every_operation() -> Vec<Arc<dyn Operation>> {
    route::OPERATIONS
        .iter()
        .map(|kind| {
            let given = kind
                .settings
                .iter()
                .filter_map(|setting| match setting.shape {
                    Shape::Dyes {
                        depth: units::Measure::Share,
                        ..
                    } => Some((setting.key, dyes(&[(0, "0.5 %"), (1, "0.8 %")]))),
                    Shape::Dyes { .. } => Some((setting.key, dyes(&[(0, "20 g/L"), (1, "30 g/L")]))),
                    Shape::Stamp => Some((setting.key, Value::Stamp(0))),
                    _ => None,
                })
                .collect();
            operation(kind.key, given)
        })
        .collect()
}

/// A step with an id.
pub fn step(id: &str, operation: Arc<dyn Operation>) -> Step {
    Step {
        id: id.to_string(),
        operation,
        key: [0; 32],
    }
}

/// The bolt averaged, with dye of every kind in every state, on waxed and on bare cloth.
pub fn dyed_means() -> Means {
    let mut means = Means {
        water: 0.9,
        wax_edge: 20.0,
        leak: 0.02,
        creep: 1e-10,
        chlorine: 0.0,
        ..Means::default()
    };
    means.ground.share = 0.65;
    means.motif.share = 0.35;
    means.motif.wax = 0.22;
    for (factor, zone) in [1.0, 1.4].into_iter().zip(means.zones_mut()) {
        for dye in 0..3 {
            let amount = factor * (dye as f64 + 1.0);
            zone.loose[dye] = 6.0 * amount;
            zone.spent[dye] = 0.7 * amount;
            zone.fast[dye] = 3.0 * amount;
        }
    }
    means
}

/// A look at cloth with the same dye everywhere but for white squares of 40 mm, one in nine.
pub struct Checked;

impl Look for Checked {
    fn dye(&self, cell_mm: f64) -> Grid {
        let lattice = Lattice { pitch: cell_mm };
        let cells = |length: Length| (length.to_mm() / cell_mm).ceil() as u32;
        let rect = Rect {
            x0: 0,
            y0: 0,
            nx: cells(cloth().width),
            ny: cells(cloth().length),
        };
        Grid::by_rows(lattice, rect, |y, row| {
            for (x, v) in (0..).zip(row) {
                *v = if white(lattice.at(x), lattice.at(y)) {
                    0.2
                } else {
                    12.0
                };
            }
        })
    }
}

/// White squares of 40 mm on a lattice of 120 mm.
pub fn white(x: f64, y: f64) -> bool {
    x.rem_euclid(120.0) < 40.0 && y.rem_euclid(120.0) < 40.0
}

/// What an operation meets on the first bolt of a lot.
pub fn before<'a>(
    design: &'a Design,
    at: usize,
    means: &'a Means,
    lot: &'a LotShape,
    shop: &'a Workshop,
    look: &'a dyn Look,
) -> Before<'a> {
    Before {
        design,
        at,
        means,
        lot,
        shop,
        seed: lot.seed().child("step"),
        package: None,
        look,
    }
}
