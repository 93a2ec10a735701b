//! A plain reader of dye card files for tests and the swatch sheet; it stops at the first thing it does not know.

use colour::dye::{Bleaching, Chemistry, DyeCard, Fixation, Ladder, Price, hazard};
use colour::{Spectrum, nanometres, spectrum_from};
use std::path::Path;
use toml::{Table, Value};
use units::{Celsius, Measure, parse_as};
use words::{Known, Origin, Place};

/// Every card of the demonstration, by file name.
pub fn demo_cards() -> Vec<DyeCard> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../lorod/demo/dyes");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap().path())
        .collect();
    files.sort();
    files
        .iter()
        .map(|f| card(&std::fs::read_to_string(f).unwrap()))
        .collect()
}

/// The demonstration's cards with the spectra that its ladders were invented from, and K_max 41.
#[allow(dead_code)]
pub fn planted_cards() -> Vec<DyeCard> {
    let rows: Vec<Vec<&str>> = include_str!("../data/invented_dyes.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split(',').collect())
        .collect();
    demo_cards()
        .into_iter()
        .map(|card| {
            let at = rows[0].iter().position(|name| *name == card.id).unwrap();
            DyeCard {
                unit_ks: std::array::from_fn(|band| {
                    assert_eq!(rows[band + 1][0], nanometres(band).to_string());
                    rows[band + 1][at].parse().unwrap()
                }),
                k_max: Known::assumed(colour::dye::K_MAX, 1.2, "invented for the demonstration"),
                ladder: None,
                ..card
            }
        })
        .collect()
}

/// A card from the text of its file.
pub fn card(text: &str) -> DyeCard {
    let file: Table = text.parse().unwrap();
    let (fixation, bleaching) = (
        file["fixation"].as_table().unwrap(),
        file["bleaching"].as_table().unwrap(),
    );
    let spectrum = file["spectrum"].as_table().unwrap();
    let text = |key: &str| file[key].as_str().unwrap().to_string();
    let list = |table: &Table, key: &str| -> Spectrum {
        let values = table[key].as_array().unwrap().iter();
        let values: Vec<f64> = values.map(|v| v.as_float().unwrap()).collect();
        spectrum_from(&values, &Place::Request).unwrap()
    };
    DyeCard {
        id: text("id"),
        name: text("name"),
        chemistry: Chemistry::from_key(&text("chemistry")).unwrap(),
        unit_ks: list(spectrum, "unit_ks"),
        spectrum: origin(spectrum),
        ladder: file.get("ladder").and_then(Value::as_table).map(|ladder| Ladder {
            deepest: 100.0 * plain(&ladder["deepest"], Measure::Share),
            fixed_share: plain(&ladder["fixed_share"], Measure::Share),
            error: plain(&ladder["error"], Measure::Share),
            white: list(ladder, "white"),
        }),
        k_max: known(&file, "k_max", Measure::Count),
        fixation: Fixation {
            rate: known(fixation, "rate", Measure::Rate),
            at: Celsius(plain(&fixation["at"], Measure::Temperature)),
            ph: plain(&fixation["ph"], Measure::Acidity),
            energy: known(fixation, "energy", Measure::MolarEnergy),
            final_share: known(fixation, "final_share", Measure::Share),
        },
        affinity: known(&file, "affinity", Measure::PerMass),
        exhaustion: known(&file, "exhaustion", Measure::Share),
        bleaching: Bleaching {
            rate: known(bleaching, "rate", Measure::SecondOrderRate),
            at: Celsius(plain(&bleaching["at"], Measure::Temperature)),
            ph: plain(&bleaching["ph"], Measure::Acidity),
            ph_least: plain(&bleaching["ph_least"], Measure::Acidity),
            ph_most: plain(&bleaching["ph_most"], Measure::Acidity),
            energy: known(bleaching, "energy", Measure::MolarEnergy),
            residue: known(bleaching, "residue", Measure::Share),
        },
        blue_wool: known(&file, "blue_wool", Measure::Count),
        price: Price::read(&text("price"), &Place::Request).unwrap(),
        hazards: file["hazards"]
            .as_array()
            .unwrap()
            .iter()
            .map(|k| hazard(k.as_str().unwrap()).unwrap())
            .collect(),
    }
}

fn plain(value: &Value, measure: Measure) -> f64 {
    let text = value.as_str().unwrap();
    parse_as(text, measure)
        .unwrap_or_else(|e| panic!("{text}: {e:?}"))
        .quantity
        .si
}

fn known(table: &Table, key: &str, measure: Measure) -> Known {
    let entry = table[key].as_table().unwrap();
    Known {
        value: plain(&entry["value"], measure),
        origin: origin(entry),
    }
}

fn origin(entry: &Table) -> Origin {
    if let Some(date) = entry.get("measured") {
        let n = entry["n"].as_integer().unwrap();
        Origin::Measured {
            date: date.as_str().unwrap().to_string(),
            n: u32::try_from(n).unwrap(),
        }
    } else if entry.contains_key("yours") {
        assert_eq!(entry["yours"].as_bool(), Some(true));
        Origin::Yours
    } else {
        let factor = entry["factor"]
            .as_float()
            .or(entry["factor"].as_integer().map(|i| i as f64))
            .unwrap();
        Origin::Assumed {
            factor,
            source: entry["source"].as_str().unwrap().to_string(),
        }
    }
}
