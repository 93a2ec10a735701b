//! A photograph of cloth, from its file to the verdict.

mod common;

use common::photo::photograph;
use common::{Scratch, ends_with, json, stderr};
use std::fs;

#[test]
fn a_photograph_is_compared_with_approved_ones() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    for (bolt, name) in [("1", "one"), ("2", "two"), ("3", "three"), ("4", "new")] {
        photograph(&scratch, "sea-fan", bolt, name);
    }
    let args = [
        "compare",
        "demo",
        "sea-fan",
        "new.toml",
        "--approved",
        "one.toml",
        "two.toml",
        "three.toml",
    ];
    let output = scratch.run(&[&args[..], &["--json", "-o", "new-seen.png"]].concat());
    ends_with(&output, 0);
    let answer = json(&output);
    assert_eq!(answer["drawing_found"], true, "{answer}");
    assert!(answer["told"].as_f64().unwrap() > 0.2, "{answer}");
    assert!(
        answer["fading"].as_f64().unwrap() > 0.98,
        "even light fades: {answer}"
    );
    let numbers = answer["numbers"].as_array().unwrap();
    let palettes: Vec<_> = numbers
        .iter()
        .filter(|n| n["measure"] == "palette_distance_de00")
        .collect();
    assert_eq!(palettes.len(), 2);
    assert!(numbers.iter().all(|n| n["most"].as_f64() >= n["least"].as_f64()));
    assert!(fs::metadata(scratch.path("new-seen.png")).unwrap().len() > 10_000);

    // The same photographs, pooled, as what a window is held against.
    let held = [
        "window",
        "demo",
        "sea-fan",
        "--against",
        "0",
        "--json",
        "--approved",
        "one.toml",
        "two.toml",
        "three.toml",
    ];
    let output = scratch.run(&held);
    ends_with(&output, 0);
    let window = json(&output);
    assert_eq!(
        window["approved"],
        serde_json::json!(["one.toml", "two.toml", "three.toml"])
    );
    // They are of cloth that was bleached for 10.5 min: nowhere is the ground nearer to them than about there. Of the
    // motif three windows of 110 mm hold too few fans to tell its mean colour.
    let curves = window["curves"].as_array().unwrap();
    let off = |row: &serde_json::Value| row["ground"].as_f64().unwrap();
    let row = curves.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
    let time = row["time"].as_f64().unwrap();
    assert!((300.0..1200.0).contains(&time) && off(row) < 6.8, "{row}");

    // A corner that is forgotten is said with its line.
    let text = fs::read_to_string(scratch.path("new.toml"))
        .unwrap()
        .replace("[80, 80], ", "");
    fs::write(scratch.path("new.toml"), text).unwrap();
    let output = scratch.run(&args);
    ends_with(&output, 1);
    let said = stderr(&output);
    assert!(
        said.contains("new.toml, line 4") && said.contains("photo-list"),
        "{said}"
    );
}
