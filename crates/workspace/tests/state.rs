//! What the floor has done, read; and lead times.

mod common;

use common::Folder;
use proptest::prelude::*;
use sky::Date;
use std::fs;
use workspace::{STATE_EXAMPLE, Source, Workspace, floor_state};

fn source(text: &str) -> Source {
    Source {
        path: "state.toml".to_string(),
        text: text.to_string(),
        hash: [0; 32],
    }
}

/// The example with everything in it, its comments taken away.
fn whole() -> String {
    STATE_EXAMPLE
        .lines()
        .map(|line| {
            line.strip_prefix('#')
                .filter(|l| !l.starts_with(' '))
                .unwrap_or(line)
        })
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn the_example_is_read_as_it_says() {
    let (state, findings) = floor_state(&source(STATE_EXAMPLE));
    assert!(findings.is_empty(), "{findings:?}");
    let state = state.unwrap();
    assert_eq!(state.plan, "plan.json");
    assert_eq!(
        (state.now.date, state.now.minute),
        (Date::new(2026, 12, 9).unwrap(), 450)
    );
    assert_eq!(state.as_planned.date, Date::new(2026, 12, 8).unwrap());
    let (state, findings) = floor_state(&source(&whole()));
    assert!(findings.is_empty(), "{findings:?}");
    let state = state.unwrap();
    assert_eq!(state.happened[0].what.bolts, [1, 2]);
    assert_eq!(state.happened[0].ends.unwrap().minute, 13 * 60 + 40);
    assert_eq!(state.not_begun[0].step, "s02");
    assert_eq!(state.closed[0].calendars, ["sun"]);
}

#[test]
fn half_a_state_is_none() {
    for (spoilt, code) in [
        (
            whole().replacen("now = \"2026-12-09 07:30\"", "now = \"2026-12-09\"", 1),
            "not-a-time",
        ),
        (
            whole().replacen("2026-12-08 07:30", "2026-12-10 07:30", 1),
            "state-future",
        ),
        (
            whole().replacen("2026-12-07 13:40", "2026-12-07 09:40", 1),
            "state-backwards",
        ),
        (
            whole().replacen("2026-12-09 12:00", "2026-12-08 12:00", 1),
            "state-backwards",
        ),
        (whole().replacen("step = \"s12\"", "", 1), "key-missing"),
        (
            whole().replacen("bolts = [4]", "bolts = [0]", 1),
            "number-out-of-range",
        ),
    ] {
        assert_ne!(spoilt, whole());
        let (state, findings) = floor_state(&source(&spoilt));
        assert!(state.is_none(), "{code}");
        assert!(
            findings.iter().any(|finding| finding.code == code),
            "{code}: {findings:?}"
        );
    }
}

#[test]
fn lead_times_are_days_or_refused() {
    let folder = Folder::small();
    let path = folder.0.join("workshop.toml");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(
        &path,
        format!("{text}\n[lead_times]\nstamp = \"28 d\"\ncloth = \"36 h\"\ndyes = \"2 kg\"\n"),
    )
    .unwrap();
    let workspace = Workspace::open(&folder.0).unwrap();
    // A day and a half is two days.
    assert_eq!(workspace.lead_times.of("stamp"), Some(28));
    assert_eq!(workspace.lead_times.of("cloth"), Some(2));
    assert_eq!(workspace.lead_times.dye("any"), None);
    assert!(
        workspace
            .findings
            .iter()
            .any(|finding| finding.say(words::Voice::default()).join(" ").contains("mass"))
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
    /// Whatever a file holds, it is a state or a finding.
    #[test]
    fn no_state_panics(at in 0.0..1.0f64, length in 0..30usize, by in "[\\[\\]=\",#a-z0-9 :\\-\n]{0,10}") {
        let good = whole();
        let start = (at * good.len() as f64) as usize;
        let end = (start + length).min(good.len());
        let (state, findings) = floor_state(&source(&format!("{}{by}{}", &good[..start], &good[end..])));
        prop_assert!(state.is_some() || !findings.is_empty());
    }
}
