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

/// (name of a region, CIEDE2000 that it may lie from its colour).
type Further = (&'static str, f64);

/// CIEDE2000 that regions may lie from their colour as shipped. Two lie further than the rest, and their design says
/// why beside the target.
const REGIONS: [(&str, f64, &[Further]); 6] = [
    ("sea-fan", 2.5, &[("scarlet fans", 4.0), ("wet sand", 3.5)]),
    ("kite-tail", 3.0, &[]),
    ("mangrove-root", 1.5, &[]),
    ("net-float", 3.2, &[]),
    ("rain-gutter", 0.6, &[]),
    ("tide-pool", 3.0, &[]),
];

/// (name of a region, CIEDE2000 of developed cloth from its target).
fn off(answer: &serde_json::Value) -> Vec<(String, f64)> {
    let regions = answer["regions"].as_array().unwrap();
    let one = |r: &serde_json::Value| {
        (
            r["name"].as_str().unwrap().to_string(),
            r["difference"].as_f64().unwrap(),
        )
    };
    regions.iter().map(one).collect()
}

/// The demonstration's recipes bring its regions to their colours: developed cloth is measured.
#[test]
fn the_demonstration_has_the_colours_it_asks_for() {
    let scratch = Scratch::with_demo(&[]);
    for (design, most, further) in REGIONS {
        let output = scratch.run(&["shade", "demo", "--design", design, "--as-it-is", "--json"]);
        ends_with(&output, 0);
        let regions = off(&json(&output));
        assert!(!regions.is_empty());
        for (name, off) in regions {
            let most = further
                .iter()
                .find(|(n, _)| *n == name)
                .map_or(most, |(_, most)| *most);
            assert!(off < most, "{design}: {name} {off}");
        }
    }
}

/// Sought again with the same dyes, the shipped recipes stay where they are: nothing better lies near, nothing is lost.
/// With all dyes of the store to choose from, the regions come as near.
#[test]
fn recipes_are_found_again() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let solve = |more: &[&str]| {
        let args = [&["shade", "demo", "--design", "rain-gutter", "--json"], more].concat();
        let output = scratch.run(&args);
        ends_with(&output, 0);
        json(&output)
    };
    let shipped = off(&solve(&["--as-it-is"]));
    for (name, off) in off(&solve(&["--keep-dyes"])) {
        let before = shipped.iter().find(|s| s.0 == name).unwrap().1;
        assert!((off - before).abs() < 0.5, "{name}: {before} {off}");
    }
    let free = solve(&[]);
    for (name, off) in off(&free) {
        assert!(off < 1.5, "{name}: {off}");
    }
    // Chosen, not kept: some step was given dyes that it did not have.
    let had = fs::read_to_string(scratch.path("demo/designs/rain-gutter/design.toml")).unwrap();
    let changes = free["changes"].as_array().unwrap();
    let dyes = changes.iter().flat_map(|c| c["dyes"].as_array().unwrap());
    assert!(
        dyes.map(|d| d[0].as_str().unwrap()).any(|id| !had.contains(id)),
        "{free}"
    );
}

/// A dye sponged on deeper than its ladder reaches is said with file and line; a pale one is not.
#[test]
fn a_route_deeper_than_a_ladder_is_said() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let path = scratch.path("demo/designs/sea-fan/design.toml");
    let before = fs::read_to_string(&path).unwrap();
    let (marine, other) = ("\"marine-vs\", depth = \"38 g/L\"", "\"marine-vs\", depth = ");
    let line = before
        .lines()
        .position(|l| l.contains(marine))
        .expect("the sponge") as u64
        + 1;
    let beyond = |depth: &str| -> Option<serde_json::Value> {
        fs::write(&path, before.replace(marine, &format!("{other}\"{depth}\""))).unwrap();
        let output = scratch.run(&["check", "demo", "--json"]);
        ends_with(&output, 0);
        let findings = json(&output)["findings"].as_array().unwrap().clone();
        let mine = |f: &serde_json::Value| {
            f["code"] == "route-beyond-ladder" && f["found"].as_str().unwrap().contains("marine vs")
        };
        findings.into_iter().find(mine)
    };
    assert_eq!(beyond("2 g/L"), None);
    let found = beyond("110 g/L").expect("a doubt");
    assert_eq!(found["file"], "designs/sea-fan/design.toml");
    assert_eq!(found["line"].as_u64(), Some(line));
    assert!(
        found["remedy"].as_str().unwrap().contains("deeper rung"),
        "{found}"
    );
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
