//! Problems and plans as neutral files: read, planned, judged, written, and refused with the line.

mod common;

use common::Scratch;
use lorod::facts::neutral;
use proptest::prelude::*;
use std::fs;
use std::path::PathBuf;

fn instance(name: &str) -> PathBuf {
    PathBuf::from(format!(
        "{}/../plan/tests/data/{name}.json",
        env!("CARGO_MANIFEST_DIR")
    ))
}

#[test]
fn a_problem_is_planned_written_and_judged_again() {
    let scratch = Scratch::new();
    fs::copy(instance("b004_tight"), scratch.path("shop.json")).unwrap();
    let out = scratch.run(&[
        "plan",
        "--problem",
        "shop.json",
        "--tries",
        "300",
        "-o",
        "plan.json",
        "--json",
    ]);
    assert_eq!(out.status.code(), Some(0), "{out:?}");
    let said: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(said["judged"], true);
    // The best known before: 47120.5, proven by the bound.
    let total = said["score"]["total"].as_f64().unwrap();
    assert!((47120.0..47120.5 * 1.01).contains(&total), "{total}");
    assert!(said["lower_bound"].as_f64().unwrap() <= total);

    let out = scratch.run(&["plan", "--check", "shop.json", "plan.json"]);
    assert_eq!(out.status.code(), Some(0), "{out:?}");
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.contains("can be done as planned"), "{text}");

    // One bolt's first operation is moved into the night.
    let plan = fs::read_to_string(scratch.path("plan.json")).unwrap();
    let (before, rest) = plan.split_once("\"FOLD1\": [").unwrap();
    let (_, after) = rest.split_once(']').unwrap();
    fs::write(
        scratch.path("night.json"),
        format!("{before}\"FOLD1\": [60, 72]{after}"),
    )
    .unwrap();
    let out = scratch.run(&["plan", "--check", "shop.json", "night.json"]);
    assert_eq!(out.status.code(), Some(1));
    let said = String::from_utf8(out.stderr).unwrap();
    assert!(said.contains("FOLD1"), "{said}");
}

#[test]
fn bad_files_are_refused_with_the_line_and_nothing_is_written() {
    let scratch = Scratch::new();
    let good = fs::read_to_string(instance("b004_tight")).unwrap();
    let spoilt = [
        (
            good.replacen("\"calendars\":{", "\"calendars\":{\n\n", 1)
                .replacen("\"dur\":12", "\"dur\":\n\"long\"", 1),
            "a whole number from 0 to",
        ),
        (
            good.replacen("\"cal\":\"shop\"", "\"cal\":\n\n\n\"shpo\"", 1),
            "\"shpo\" is named here",
        ),
        (
            good.replacen("\"release\"", "\n\n\n\"relaese\"", 1),
            "\"release\" is missing here",
        ),
        (
            good.replacen("{\"id\"", "\n\n\n{,\"id\"", 1),
            "no JSON from here on",
        ),
        (good.replacen("batik-plan/1", "batik-plan/9", 1), "another format"),
        (good.replacen("\"lots\"", "\"name\":1,\"lots\"", 1), "twice"),
        (
            good.replacen("\"cap\":3", "\"cap\":0", 1),
            "needs room for a bolt",
        ),
    ];
    for (text, says) in spoilt {
        assert_ne!(text, good, "{says}");
        fs::write(scratch.path("shop.json"), &text).unwrap();
        let out = scratch.run(&[
            "plan",
            "--problem",
            "shop.json",
            "--tries",
            "1",
            "-o",
            "plan.json",
        ]);
        assert_eq!(out.status.code(), Some(1), "{says}: {out:?}");
        let said = String::from_utf8(out.stderr).unwrap();
        assert!(said.contains(says), "{says}: {said}");
        if !says.contains("room") {
            assert!(said.contains("shop.json, line"), "{said}");
        }
        assert!(!scratch.path("plan.json").exists());
    }
    let out = scratch.run(&["plan", "--problem", "nowhere.json"]);
    assert_eq!(out.status.code(), Some(3));
    let out = scratch.run(&["plan"]);
    assert_eq!(out.status.code(), Some(2));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]
    /// Whatever a file holds, it is a problem or a finding with a place in it; a plan likewise.
    #[test]
    fn no_file_panics(at in 0.0..1.0f64, length in 0..40usize, by in "[\\[\\]{}:,\"0-9a-z\\- é\n]{0,12}") {
        let good = fs::read_to_string(instance("b004_loose")).unwrap();
        let start = (at * good.len() as f64) as usize;
        let end = (start + length).min(good.len());
        let text = format!("{}{by}{}", &good[..start], &good[end..]);
        match neutral::problem("f", &text) {
            Ok(instance) => {
                let _ = plan::examine(&instance.problem);
            }
            Err(finding) => {
                let words::Place::File { span, .. } = &finding.place else { panic!("{finding:?}") };
                prop_assert!(text.get(span.clone()).is_some(), "{finding:?}");
            }
        }
        let instance = neutral::problem("f", &good).unwrap();
        prop_assert!(neutral::schedule("s", &text, &instance).is_err());
    }
}

#[test]
fn a_plan_is_read_back_as_it_was_written() {
    let good = fs::read_to_string(instance("b010_tight")).unwrap();
    let instance = neutral::problem("f", &good).unwrap();
    let options = plan::solve::Options {
        tries: 5,
        ..plan::solve::Options::default()
    };
    let schedule = plan::solve::solve(&instance.problem, &options, &mut |_, _| {}, &|| true).unwrap();
    assert_eq!(plan::judge::check(&instance.problem, &schedule), []);
    let text = neutral::write(&instance, &schedule);
    assert_eq!(neutral::schedule("s", &text, &instance).unwrap(), schedule);
}
