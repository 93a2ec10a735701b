//! The life of stamps, read and written.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;

use common::Folder;
use proptest::prelude::*;
use words::Language;
use workspace::{CopyId, Deed, Did, Hanging, STAMPS, ShelfEntry, StampCopy, shelved};

const ALL: &str = r#"
refile_every = "350 m"

[[copies]]
design = "sea-fan"
stamp = "fan"
copy = 1
shelf = "A3"
made = "2026-03-02"

[[copies]]
design = "sea-fan"
stamp = "fan"
copy = 2

[[deeds]]
date = "2026-06-09"
design = "sea-fan"
stamp = "fan"
copy = 2
did = "retired"

[[deeds]]
date = "2026-06-04"
design = "sea-fan"
stamp = "fan"
copy = 1
did = "stamped"
bolts = 9

[[deeds]]
date = "2026-06-10"
design = "sea-fan"
stamp = "fan"
copy = 1
did = "proofed"
off_level = "0.2 mm"
"#;

fn fan(copy: u32) -> CopyId {
    CopyId {
        design: "sea-fan".into(),
        stamp: "fan".into(),
        copy,
    }
}

#[test]
fn copies_and_deeds_are_read_by_day() {
    let folder = Folder::small();
    folder.write(STAMPS, ALL);
    assert_eq!(folder.said(Language::En), "");
    let shelf = folder.open().shelf;
    assert_eq!(shelf.copies.len(), 2);
    assert_eq!(shelf.copies[0].shelf, "A3");
    assert_eq!(shelf.refile_every.as_ref().unwrap().value, 350.0);
    let days: Vec<String> = shelf.deeds.iter().map(|d| d.date.to_string()).collect();
    assert_eq!(days, ["2026-06-04", "2026-06-09", "2026-06-10"]);
    assert_eq!(shelf.of(&fan(1)).count(), 2);
    // A retired copy is no copy to plan with; of a stamp that is not told nothing is known.
    assert_eq!(shelf.in_use("sea-fan", "fan"), Some(1));
    assert_eq!(shelf.in_use("sea-fan", "other"), None);
}

/// All copies retired is not the same as none written down; one that is ordered hangs there from its day on.
#[test]
fn a_stamp_whose_copies_are_retired_hangs_nowhere() {
    let folder = Folder::small();
    let day = |text| sky::Date::parse(text).unwrap();
    let on = |text: &str, date| {
        folder.write(STAMPS, text);
        assert_eq!(folder.said(Language::En), "");
        folder.open().shelf.hanging("sea-fan", "fan", day(date))
    };
    let one = ALL.replace(
        "copy = 2\n\n[[deeds]]",
        "copy = 2\nmade = \"2026-08-01\"\n\n[[deeds]]",
    );
    let retire = |n: u32| {
        format!(
            "[[deeds]]\ndate = \"2026-07-0{n}\"\ndesign = \"sea-fan\"\nstamp = \"fan\"\ncopy = {n}\ndid = \"retired\"\n"
        )
    };
    assert_eq!(on("", "2026-07-10"), Hanging::Untold);
    assert_eq!(on(ALL, "2026-07-10"), Hanging::Copies(1));
    assert_eq!(
        on(&format!("{ALL}\n{}", retire(1)), "2026-07-10"),
        Hanging::Retired(day("2026-07-01"))
    );
    // The second copy of this file is not retired, and ordered.
    let ordered = one.replace("copy = 2\ndid = \"retired\"", "copy = 1\ndid = \"retired\"");
    assert_eq!(on(&ordered, "2026-07-10"), Hanging::Coming(day("2026-08-01")));
    assert_eq!(on(&ordered, "2026-08-01"), Hanging::Copies(1));
}

#[test]
fn what_cannot_be_is_said_at_its_place() {
    for (from, to, code) in [
        ("copy = 2\n\n[[deeds]]", "copy = 1\n\n[[deeds]]", "copy-twice"),
        ("copy = 2\ndid", "copy = 3\ndid", "no-such-copy"),
        (
            "did = \"retired\"",
            "did = \"retired\"\nbolts = 2",
            "deed-not-clear",
        ),
        ("did = \"retired\"", "did = \"sold\"", "word-not-known"),
        ("bolts = 9\n", "", "key-missing"),
        ("\"0.2 mm\"", "\"0.2\"", "quantity-without-unit"),
        ("shelf = \"A3\"", "shelve = \"A3\"", "key-not-known"),
        (
            "stamp = \"fan\"\ncopy = 2\n\n",
            "stamp = \"fam\"\ncopy = 2\n\n",
            "copy-without-stamp",
        ),
    ] {
        let folder = Folder::small();
        folder.write(STAMPS, ALL.replacen(from, to, 1));
        let workspace = folder.open();
        let about =
            |f: &&words::Finding| matches!(&f.place, words::Place::File { path, .. } if path == STAMPS);
        let codes: Vec<_> = workspace.findings.iter().filter(about).map(|f| f.code).collect();
        assert!(codes.contains(&code), "{from:?} to {to:?}: {codes:?}");
    }
}

/// What is written is read back as it was, and what stood there keeps its bytes.
#[test]
fn entries_are_added_behind_what_is_there() {
    let date = sky::Date::parse("2026-07-01").unwrap();
    let copy = StampCopy {
        id: fan(3),
        shelf: "B1".into(),
        made: Some(date),
        span: 0..0,
    };
    let deeds = [
        Did::Stamped(4),
        Did::Refiled,
        Did::Proofed(Some(units::Length::mm(0.4))),
        Did::Retired,
    ];
    let mut text = shelved(ALL, &ShelfEntry::Copy(copy)).unwrap();
    for did in deeds.clone() {
        let deed = Deed {
            date,
            id: fan(3),
            did,
        };
        text = shelved(&text, &ShelfEntry::Deed(deed)).unwrap();
    }
    assert!(text.contains("refile_every = \"350 m\"\n\n[[copies]]\ndesign = \"sea-fan\""));
    let folder = Folder::small();
    folder.write(STAMPS, &text);
    assert_eq!(folder.said(Language::En), "");
    let shelf = folder.open().shelf;
    let read: Vec<Did> = shelf.of(&fan(3)).map(|d| d.did.clone()).collect();
    assert_eq!(read.len(), deeds.len());
    for (a, b) in read.iter().zip(&deeds) {
        match (a, b) {
            (Did::Proofed(Some(a)), Did::Proofed(Some(b))) => assert!((a.to_mm() - b.to_mm()).abs() < 1e-9),
            _ => assert_eq!(a, b),
        }
    }
    assert!(
        shelved(
            "deeds = 3",
            &ShelfEntry::Deed(Deed {
                date,
                id: fan(1),
                did: Did::Refiled
            })
        )
        .is_err()
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever stands in the file, it is read or said, never a panic.
    #[test]
    fn any_text_is_read_or_said(at in 0usize..ALL.len(), len in 0usize..40, put in ".{0,12}") {
        let end = (at + len).min(ALL.len());
        let text = format!("{}{put}{}", &ALL[..at], &ALL[end..]);
        let folder = Folder::small();
        folder.write(STAMPS, &text);
        let _ = folder.open();
    }
}
