//! `lorod shade` on the demonstration.

mod common;

use common::{Scratch, ends_with, json, png, stderr};
use std::fs;

#[test]
fn recipes_of_the_store_with_their_plots() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let output = scratch.run(&[
        "shade",
        "demo",
        "#c83c28",
        "54,40,31",
        "-o",
        "red.png",
        "--gamut",
        "reach.svg",
        "--json",
    ]);
    ends_with(&output, 0);
    let answer = json(&output);
    assert_eq!(answer["shades"].as_array().unwrap().len(), 2);
    let best = &answer["shades"][0]["recipes"][0];
    assert!(best["daylight"].as_f64().unwrap() < 0.5 && best["lights"].is_null());
    assert!(best["wash_off_g_per_kg"].as_f64().unwrap() > 0.0 && best["cost"]["currency"] == "IDR");
    assert!(png(&scratch.path("red-1.png")).is_some() && png(&scratch.path("red-2.png")).is_some());
    assert!(
        fs::read_to_string(scratch.path("reach.svg"))
            .unwrap()
            .starts_with("<svg")
    );
    let refused = scratch.run(&["shade", "demo", "reddish"]);
    ends_with(&refused, 2);
    assert!(
        stderr(&refused).contains("neither a colour nor a file"),
        "{}",
        stderr(&refused)
    );
}

/// A measured target is tried under three lamps and says how metameric a match is.
#[test]
fn a_measured_target_knows_lamps() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let nm: Vec<String> = (0..31).map(|b| (400 + 10 * b).to_string()).collect();
    let r: Vec<String> = (0..31)
        .map(|b| format!("{:.3}", 0.1 + 0.5 * f64::from(b) / 30.0))
        .collect();
    let text = format!("sample,{}\nrust,{}\n", nm.join(","), r.join(","));
    fs::write(scratch.path("rust.csv"), text).unwrap();
    let output = scratch.run(&["shade", "demo", "rust.csv", "--as", "fraction", "--json"]);
    ends_with(&output, 0);
    let answer = json(&output);
    let shade = &answer["shades"][0];
    assert_eq!(
        (&shade["name"], &shade["basis"]),
        (&"rust".into(), &"measured".into())
    );
    assert_eq!(shade["recipes"][0]["lights"].as_array().unwrap().len(), 3);
    assert_eq!(shade["recipes"][0]["metamerism"].as_array().unwrap().len(), 2);
}

/// The demonstration's recipes are those that bring its regions to their colours: developed cloth is measured.
#[test]
fn the_demonstration_has_the_colours_it_asks_for() {
    let scratch = Scratch::with_demo(&[]);
    for design in [
        "sea-fan",
        "kite-tail",
        "mangrove-root",
        "net-float",
        "rain-gutter",
        "tide-pool",
    ] {
        let output = scratch.run(&["shade", "demo", "--design", design, "--as-it-is", "--json"]);
        ends_with(&output, 0);
        for region in json(&output)["regions"].as_array().unwrap() {
            let off = region["difference"].as_f64().unwrap();
            assert!(off < 5.5, "{design}: {region}");
            assert!(region["palette_distance"].as_f64().unwrap() >= 0.0);
        }
    }
}

/// Solved recipes are written over other ones, and nothing else of the file changes.
#[test]
fn recipes_are_written_into_the_file() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let path = scratch.path("demo/designs/rain-gutter/design.toml");
    let before = fs::read_to_string(&path).unwrap();
    let output = scratch.run(&[
        "shade",
        "demo",
        "--design",
        "rain-gutter",
        "blue rain=#4a6f9a",
        "--keep-dyes",
        "--write",
        "--json",
    ]);
    ends_with(&output, 0);
    let answer = json(&output);
    assert_eq!(answer["written"], "designs/rain-gutter/design.toml");
    let after = fs::read_to_string(&path).unwrap();
    let changed = before.lines().zip(after.lines()).filter(|(a, b)| a != b).count();
    assert!((1..=12).contains(&changed), "{after}");
    assert!(after.contains("# Neighbours on the colour wheel"), "{after}");
    let unknown = scratch.run(&["shade", "demo", "--design", "rain-gutter", "red rain=#4a6f9a"]);
    ends_with(&unknown, 1);
    assert!(stderr(&unknown).contains("blue rain"), "{}", stderr(&unknown));
}
