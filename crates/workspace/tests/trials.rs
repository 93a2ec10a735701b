//! What was tried, read; and what was learned, written.

mod common;

use common::Folder;
use proptest::prelude::*;
use std::fs;
use workspace::{Came, Learned, TRIALS, Workspace, learned};

const ALL: &str = r#"
[[strips]]
date = "2026-06-02"
dye = "coral-vs"
chlorine = "3 g/L"
temperature = "84 F"
ph = "10.2"
time = "8 min"
left = "10 %"

[[wedges]]
date = "2026-06-02"
lost = "1.0 mm"
time = "15 min"

[[waxings]]
date = "2026-06-03"
design = "sea-fan"
step = "s12"
before = "1.92 kg"
after = "2.61 kg"

[[timings]]
date = "2026-06-04"
design = "sea-fan"
step = "s12"
times = ["152 min", "2.5 h"]

[[outcomes]]
date = "2026-07-01"
forecast = "15 min"
factor = 1.3
actual = "970 s"

[[outcomes]]
date = "2026-07-02"
what = "load 2"
lost = "0.9 mm"
time = "14 min"
wax = "100 C"
"#;

#[test]
fn every_kind_of_trial_is_read() {
    let folder = Folder::small();
    fs::write(folder.0.join(TRIALS), ALL).unwrap();
    let workspace = Workspace::open(&folder.0).unwrap();
    let trials = &workspace.trials;
    let about = |f: &&words::Finding| matches!(&f.place, words::Place::File { path, .. } if path == TRIALS);
    assert_eq!(workspace.findings.iter().filter(about).count(), 0);
    let strip = &trials.strips[0];
    assert!((strip.temperature.0 - 28.888_888_9).abs() < 1e-6 && strip.time.0 == 480.0 && strip.left == 0.1);
    assert_eq!(trials.wedges[0].wax.0, 95.0);
    assert!((trials.waxings[0].wax.0 - 0.69).abs() < 1e-12);
    let times: Vec<f64> = trials.timings[0].times.iter().map(|time| time.to_min()).collect();
    assert_eq!(times, [152.0, 150.0]);
    assert!(matches!(trials.outcomes[0].of, Came::Stated { factor, .. } if factor == 1.3));
    assert!(matches!(trials.outcomes[1].of, Came::Wedge(wedge) if wedge.wax.0 == 100.0));
    assert!(workspace.source(TRIALS).is_some());
}

#[test]
fn faults_are_told_where_they_stand_and_the_rest_is_read() {
    let folder = Folder::small();
    let faults = ALL
        .replace("2.61 kg", "1.61 kg")
        .replace("forecast = \"15 min\"\n", "")
        .replace("\"3 g/L\"", "\"3 g\"");
    fs::write(folder.0.join(TRIALS), faults).unwrap();
    let workspace = Workspace::open(&folder.0).unwrap();
    let codes: Vec<&str> = workspace
        .findings
        .iter()
        .filter(|f| matches!(&f.place, words::Place::File { path, .. } if path == TRIALS))
        .map(|f| f.code)
        .collect();
    assert_eq!(codes.len(), 3, "{codes:?}");
    assert!(codes.contains(&"waxing-no-wax") && codes.contains(&"outcome-not-clear"));
    let trials = &workspace.trials;
    assert!(trials.strips.is_empty() && trials.waxings.is_empty());
    assert_eq!((trials.wedges.len(), trials.outcomes.len()), (1, 1));
}

fn measured() -> Learned {
    Learned {
        value: "1.4e-10 m2/s".to_string(),
        date: "2026-06-02".to_string(),
        n: 5,
    }
}

/// In quotes, without, in a table that is not there yet: one place, and the same meaning.
#[test]
fn a_constant_is_written_where_it_stands() {
    let new = r#"{ value = "1.4e-10 m2/s", measured = "2026-06-02", n = 5 }"#;
    let old = r#"{ value = "1e-10 m2/s", yours = true }"#;
    let path = ["constants", "wax.creep"];
    for key in ["\"wax.creep\"", "wax.creep"] {
        let text = format!("# Ours.\n[constants]\n{key} = {old} # wedge\nother = 1\n");
        assert_eq!(
            learned(&text, &path, &measured()).unwrap(),
            text.replace(old, new),
            "{key}"
        );
    }
    assert_eq!(
        learned("name = \"x\"\n", &path, &measured()).unwrap(),
        format!("name = \"x\"\n\n[constants]\n\"wax.creep\" = {new}\n")
    );
    assert!(learned("constants = 3\n", &path, &measured()).is_err());
    assert!(learned("a = \n", &path, &measured()).is_err());
}

proptest! {
    /// Any text is refused in words or keeps every line but the one that was learned.
    #[test]
    fn any_text_is_refused_or_keeps_its_lines(lines in proptest::collection::vec("[a-z\"=\\[\\]{}#. 0-9]{0,14}", 0..6)) {
        let text = lines.join("\n");
        if let Ok(new) = learned(&text, &["constants", "wax.creep"], &measured()) {
            prop_assert!(new.contains("1.4e-10 m2/s"));
            for comment in lines.iter().filter(|l| l.trim_start().starts_with('#')) {
                prop_assert!(new.contains(comment.as_str()), "{new:?} lost {comment:?}");
            }
        }
    }
}
