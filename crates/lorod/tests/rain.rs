//! Hanging cloth out, and a wet day, as a person types them.

mod common;

use common::{Scratch, ends_with, json, stderr, stdout};
use serde_json::Value;
use std::fs;

/// What is asked by hand: nothing of it rests on a price of the demonstration.
const ASKED: [&str; 12] = [
    "rain",
    "demo",
    "sea-fan",
    "--on",
    "2026-12-01",
    "--at",
    "10:00",
    "--needs",
    "60 min",
    "--wait",
    "1000",
    "--json",
];

fn answer(scratch: &Scratch, more: &[&str]) -> Value {
    let output = scratch.run(&[&ASKED, more].concat());
    ends_with(&output, 0);
    json(&output)
}

/// The file's hour from 10:00 has a chance of 15 %, from 14:00 of 43 %: what stays dry for an hour from the next look on
/// does so with (1 - p) to the power of what is left of each hour.
#[test]
fn go_or_wait() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let cheap = answer(&scratch, &["--loss", "100", "--missed", "50000"]);
    assert_eq!(cheap["go"], true);
    let first = &cheap["stretches"][0];
    assert!((first["stays_dry"].as_f64().unwrap() - 0.85f64.powf(0.75)).abs() < 1e-12);
    // A loss of 100 rupiah a bolt, one bolt: 100 x (1 - 0.885).
    assert_eq!(first["go"], "11");
    assert_eq!(cheap["rain"].as_str().unwrap().split(':').next(), Some("assumed"));
    let dear = answer(&scratch, &["--loss", "900000", "--missed", "50000"]);
    assert_eq!((&dear["go"], &dear["from"]), (&Value::Bool(false), &Value::Null));
    // Waiting for the rest of the day costs what its hours and the day cost.
    let hours = |value: &Value| value.as_str().unwrap().parse::<f64>().unwrap();
    let (h, m) = dear["weighed"]["yard_until"]
        .as_str()
        .unwrap()
        .split_once(':')
        .unwrap();
    let left = (h.parse::<f64>().unwrap() * 60.0 + m.parse::<f64>().unwrap() - 600.0) / 60.0;
    assert!((hours(&dear["cost"]) - (50_000.0 + 1_000.0 * left)).abs() <= 1.0);
    let out = answer(
        &scratch,
        &["--loss", "900000", "--missed", "50000", "--out", "--bolts", "6"],
    );
    assert!(hours(&out["weighed"]["handling"]) > 0.0 && hours(&out["cost"]) > hours(&dear["cost"]));
    let wet = answer(&scratch, &["--loss", "0", "--raining"]);
    assert_eq!(
        (&wet["go"], &wet["from"]),
        (&Value::Bool(false), &Value::from("10:15"))
    );
    let told = stdout(&scratch.run(&[
        "--lang",
        "id",
        "rain",
        "demo",
        "sea-fan",
        "--on",
        "2026-12-01",
        "--at",
        "10:00",
    ]));
    assert!(
        told.contains("langkah") && told.contains("kena hujan rugi"),
        "{told}"
    );
}

#[test]
fn what_cannot_be_weighed_is_said() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let refused = |args: &[&str], code: i32, said: &str| {
        let output = scratch.run(args);
        ends_with(&output, code);
        let text = stderr(&output);
        assert!(text.contains(said), "{args:?}: {text}");
    };
    let at = |at: &'static str| ["rain", "demo", "sea-fan", "--on", "2026-12-01", "--at", at];
    refused(&at("19:00"), 1, "the yard is not in use at that hour");
    refused(&at("7 pm"), 2, "is not a time of day");
    refused(
        &["rain", "demo", "sea-fan", "--on", "2026-07-01", "--at", "10:00"],
        1,
        "has no month 7",
    );
    refused(
        &["rain", "demo", "sea-fan", "--step", "nowhere"],
        1,
        "has no step nowhere",
    );
    refused(
        &["rain", "demo", "--yard", "11:00-09:00"],
        2,
        "end before they begin",
    );
    refused(&["rain", "demo"], 2, "required");
    let path = scratch.path("demo/workshop.toml");
    let text = fs::read_to_string(&path).unwrap().replace("[rain]", "[rainy]");
    fs::write(&path, text).unwrap();
    refused(&at("10:00"), 1, "has no [rain]");
}

/// The yard is shut on the plan's second day: what was to hang out then does not, and nothing becomes ready earlier.
#[test]
fn a_wet_day_moves_what_hangs_out() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let args = [
        "rain",
        "demo",
        "--from",
        "2026-11-26",
        "--on",
        "2026-11-27",
        "--yard",
        "08:30-08:35",
        "--tries",
        "5",
    ];
    let output = scratch.run(&[&args[..], &["--json"]].concat());
    ends_with(&output, 0);
    let said = json(&output);
    assert_eq!(said["judged"], true);
    for lot in said["lots"].as_array().unwrap() {
        assert!(lot["after"].as_str() >= lot["before"].as_str(), "{lot}");
    }
    for moved in said["moved"].as_array().unwrap() {
        assert!(moved["to"].as_str() > moved["from"].as_str(), "{moved}");
        assert!(
            moved["from"].as_str().unwrap().starts_with("2026-11-27"),
            "{moved}"
        );
    }
    assert!(!said["moved"].as_array().unwrap().is_empty());
    assert!(stdout(&scratch.run(&args)).contains("was ready"));
}

/// What should begin earlier is said, and by how much it helps.
#[test]
fn time_in_hand_is_said() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let args = [
        "plan",
        "demo",
        "--from",
        "2026-11-26",
        "--tries",
        "5",
        "--replays",
        "20",
        "--early",
        "--json",
    ];
    let said = json(&scratch.run(&args));
    let codes: Vec<&str> = said["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|f| f["code"].as_str())
        .collect();
    assert!(codes.contains(&"plan-in-hand"), "{codes:?}");
}
