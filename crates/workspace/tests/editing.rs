//! Changes to a design's file: only what is changed differs, and the result is read as the person meant it.

mod common;

use proptest::prelude::*;
use workspace::edit::{Change, Given, apply, between};

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
