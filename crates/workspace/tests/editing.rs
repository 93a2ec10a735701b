//! Changes to a design's file: only what is changed differs, and the result is read as the person meant it.

mod common;

use proptest::prelude::*;
use workspace::edit::{Change, Given, NewTarget, apply, between, stands};

const FILE: &str = r#"# A design by hand.
id = "pond"
name = "Pond"   # not "pool"

[cloth]
width = "44 in"
length = "15 yd"
weight = "125 g/m2"

[[steps]]
id = "s01"
do = "prepare"

# --- The first bath.
[[steps]]
id = "s02"
do = "bleach"
time = "13 min" # by the strip test

[[steps]]
id = "s03"
do = "dry"
"#;

fn set(step: &str, key: &str, text: &str) -> Change {
    Change::Setting {
        step: step.into(),
        key: key.into(),
        given: Some(Given::Text(text.into())),
    }
}

#[test]
fn a_setting_changes_its_own_bytes_only() {
    let changed = apply(FILE, &set("s02", "time", "16 min")).unwrap();
    assert_eq!(changed, FILE.replace("13 min", "16 min"));
    // Taken out, the usual value holds and the rest stands.
    let take = Change::Setting {
        step: "s02".into(),
        key: "time".into(),
        given: None,
    };
    let without = apply(FILE, &take).unwrap();
    assert_eq!(
        without,
        FILE.replace("time = \"13 min\" # by the strip test\n", "")
    );
}

/// A target's colour stands in one of two ways; the line keeps its place and its comment.
#[test]
fn targets_come_change_and_go() {
    let new = NewTarget {
        name: "water".into(),
        colour: "#3b6f8c".into(),
        bare: vec!["s02".into()],
        ..NewTarget::default()
    };
    let first = apply(FILE, &Change::AddTarget(new)).unwrap();
    let added = "\n[[targets]]\nname = \"water\"\ncolour = \"#3b6f8c\"\nbare = [\"s02\"]\n";
    assert_eq!(first, format!("{FILE}{added}"));
    let set = |text: &str, key: &str, to: &str| {
        let change = Change::Target {
            at: 0,
            key: key.into(),
            text: Some(to.into()),
        };
        apply(text, &change).unwrap()
    };
    let noted = first.replace("#3b6f8c\"", "#3b6f8c\" # at noon");
    let as_lab = set(&noted, "colour", "45.5, -10, -20");
    assert_eq!(
        as_lab,
        noted.replace("colour = \"#3b6f8c\"", "lab = [45.5, -10.0, -20.0]")
    );
    assert_eq!(set(&as_lab, "colour", "#3b6f8c"), noted);
    let loose = set(&noted, "tolerance", "4.5");
    assert!(loose.contains("tolerance = 4.5"));
    let differs = between(&noted, &loose).unwrap();
    assert_eq!(
        (differs[0].of.as_str(), differs[0].key.as_str()),
        ("target:water", "tolerance")
    );
    assert_eq!(apply(&first, &Change::RemoveTarget(0)).unwrap(), FILE);
    assert!(apply(FILE, &Change::RemoveTarget(0)).is_err());
    assert!(apply(&first, &Change::RemoveTarget(1)).is_err());
}

/// Several changes are one: where one of them cannot be made, none is.
#[test]
fn changes_are_made_together_or_not_at_all() {
    let both = Change::All(vec![
        set("s02", "time", "16 min"),
        set("s02", "chlorine", "4 g/L"),
    ]);
    let changed = apply(FILE, &both).unwrap();
    assert!(changed.contains("16 min") && changed.contains("4 g/L"));
    let half = Change::All(vec![set("s02", "time", "16 min"), set("s99", "time", "1 min")]);
    assert!(apply(FILE, &half).is_err());
}

#[test]
fn steps_come_go_and_move_with_their_comments() {
    let moved = apply(
        FILE,
        &Change::Move {
            step: "s02".into(),
            to: 0,
        },
    )
    .unwrap();
    let order = |text: &str| -> Vec<String> {
        let ids = text.split("[[steps]]").skip(1);
        ids.map(|step| step.split('"').nth(1).unwrap().to_string())
            .collect()
    };
    assert_eq!(order(&moved), ["s02", "s01", "s03"]);
    assert!(
        moved.contains("# --- The first bath.\n[[steps]]\nid = \"s02\""),
        "{moved}"
    );
    let back = apply(
        &moved,
        &Change::Move {
            step: "s02".into(),
            to: 1,
        },
    )
    .unwrap();
    assert_eq!(back, FILE);

    let twice = apply(FILE, &Change::Duplicate { step: "s02".into() }).unwrap();
    assert_eq!(order(&twice), ["s01", "s02", "s04", "s03"]);
    assert_eq!(twice.matches("13 min").count(), 2);
    let once = apply(&twice, &Change::Remove { step: "s04".into() }).unwrap();
    assert_eq!(once, FILE);

    let added = apply(
        FILE,
        &Change::Add {
            kind: "rinse".into(),
            at: 2,
        },
    )
    .unwrap();
    assert_eq!(order(&added), ["s01", "s02", "s04", "s03"]);
    assert!(added.starts_with("# A design by hand.\n"), "{added}");
}

#[test]
fn a_stamp_says_how_it_stands() {
    let file = format!("{FILE}\n[[stamps]]\nid = \"fan\"\nwidth = \"205 mm\" # of copper\nwax_below = 60\n");
    assert_eq!(stands(&file, "fan", "width").as_deref(), Some("205 mm"));
    assert_eq!(stands(&file, "fan", "wax_below").as_deref(), Some("60"));
    assert_eq!(stands(&file, "fan", "layout"), None);
    assert_eq!(stands(&file, "leaf", "width"), None);
}

#[test]
fn what_is_not_there_is_said() {
    for change in [
        set("s09", "time", "1 min"),
        set("s02", "tempo", "1 min"),
        Change::Add {
            kind: "paint".into(),
            at: 0,
        },
        Change::Cloth {
            key: "colour".into(),
            text: "1 m".into(),
        },
        Change::Stamp {
            stamp: "none".into(),
            key: "width".into(),
            text: None,
        },
        // Nothing to copy a stamp from.
        Change::Add {
            kind: "wax".into(),
            at: 0,
        },
    ] {
        let finding = apply(FILE, &change).unwrap_err();
        assert_eq!(finding.code, "nothing-to-change", "{change:?}");
    }
    assert_eq!(
        apply("id = ", &set("s01", "x", "y")).unwrap_err().code,
        "not-toml"
    );
    let only = "[[steps]]\nid = \"a\"\ndo = \"dry\"\n";
    let finding = apply(only, &Change::Remove { step: "a".into() }).unwrap_err();
    assert_eq!(finding.code, "route-empty");
}

#[test]
fn differences_name_what_a_person_changed() {
    let later = apply(FILE, &set("s02", "time", "16 min")).unwrap();
    let found = between(FILE, &later).unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].of.as_str(), found[0].key.as_str()), ("s02", "time"));
    assert_eq!(found[0].before.as_deref(), Some("13 min"));
    assert_eq!(found[0].after.as_deref(), Some("16 min"));
    // Comments are no difference.
    assert!(
        between(FILE, &FILE.replace("by hand", "by foot"))
            .unwrap()
            .is_empty()
    );
    let fewer = apply(FILE, &Change::Remove { step: "s03".into() }).unwrap();
    assert!(
        between(FILE, &fewer)
            .unwrap()
            .iter()
            .all(|d| d.of == "s03" && d.after.is_none())
    );
}

proptest! {
    /// Whatever is typed stands in the file as typed, and nothing else changes.
    #[test]
    fn any_text_comes_back_as_it_was_typed(text in "[^\\p{C}]{1,40}") {
        let changed = apply(FILE, &set("s02", "time", &text)).unwrap();
        let found = between(FILE, &changed).unwrap();
        prop_assert!(found.len() <= 1);
        let value: toml::Table = changed.parse().unwrap();
        let time = value["steps"][1]["time"].as_str().unwrap();
        prop_assert_eq!(time, text.trim());
        prop_assert_eq!(changed.lines().count(), FILE.lines().count());
    }
}
