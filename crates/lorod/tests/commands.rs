//! Every command as a person types it.

mod common;

use common::{Scratch, ends_with, json, png, stderr, stdout};
use std::fs;

#[test]
fn every_json_answer_is_one_document() {
    let scratch = Scratch::with_demo(&["sea-fan", "rain-gutter"]);
    let fields = |args: &[&str], wanted: &[&str]| {
        let output = scratch.run(args);
        ends_with(&output, 0);
        let document = json(&output);
        for field in wanted {
            assert!(document.get(field).is_some(), "{args:?} lacks {field}");
        }
        document
    };
    let check = fields(&["check", "demo", "--json"], &["designs", "findings"]);
    assert_eq!(check["designs"], serde_json::json!(["rain-gutter", "sea-fan"]));
    let baths = fields(
        &["baths", "demo", "sea-fan", "--bolts", "7", "--json"],
        &["sheets", "emptying", "totals"],
    );
    let bleach = baths["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .find(|sheet| sheet["vessel"] == "tank")
        .unwrap();
    assert_eq!(bleach["rows"].as_array().unwrap().len(), 7);
    let cost = fields(
        &["cost", "demo", "sea-fan", "--bolts", "2", "--json"],
        &["lines", "books", "quote", "rate"],
    );
    // A bolt is half of two bolts, to the minor unit.
    let number = |value: &serde_json::Value| value.as_str().unwrap().parse::<f64>().unwrap();
    assert!((number(&cost["books"]["lot"]) - 2.0 * number(&cost["books"]["bolt"])).abs() <= 1.0);
    let plan = fields(
        &["plan", "demo", "--from", "2026-11-26", "--tries", "5", "--json"],
        &["lots", "gap"],
    );
    assert_eq!(plan["judged"], true);
    let cloth = fields(
        &[
            "cloth",
            "demo",
            "sea-fan",
            "--dpi",
            "20",
            "--after",
            "s13",
            "-o",
            "new/folder/fan.png",
            "--json",
        ],
        &["seconds"],
    );
    assert_eq!(cloth["after"], "s13");
    let size = png(&scratch.path("new/folder/fan.png")).unwrap();
    assert_eq!(cloth["pixels"], serde_json::json!([size.0, size.1]));
    let refusal = scratch.run(&["cost", "demo", "sea-fna", "--json"]);
    ends_with(&refusal, 1);
    assert_eq!(json(&refusal)["findings"][0]["code"], "no-such-design");
}

#[test]
fn unknown_names_are_answered_with_the_nearest() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    for (args, said) in [
        (
            &["cloth", "demo", "sea-fna", "-o", "x.png"][..],
            "did you mean sea-fan?",
        ),
        (&["baths", "demo", "see-fan"], "did you mean sea-fan?"),
        (
            &["cloth", "demo", "sea-fan", "--after", "s012", "-o", "x.png"],
            "did you mean s01",
        ),
        (
            &["cards", "demo", "--order", "o-110", "-o", "x.pdf"],
            "did you mean o-101?",
        ),
        (
            &[
                "stamp", "draw", "demo", "sea-fan", "--stamp", "fam", "-o", "x.pdf",
            ],
            "did you mean fan?",
        ),
        (
            &["plan", "demo", "--strike-off", "sea-fam"],
            "did you mean sea-fan?",
        ),
    ] {
        let output = scratch.run(args);
        ends_with(&output, 1);
        assert!(stderr(&output).contains(said), "{args:?}: {}", stderr(&output));
    }
    let output = scratch.run(&["--lang", "id", "cost", "demo", "sea-fna"]);
    assert!(
        stderr(&output).contains("maksudnya sea-fan?"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn a_faulty_command_line_is_said_in_words() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let cloth = ["cloth", "demo", "sea-fan", "-o", "x.png"];
    for (more, said) in [
        (&["--area", "1,2,3,4"][..], "has no unit"),
        (&["--area", "1 m,2 m,3 kg,1 m"], "is a mass; a length was wanted"),
        (&["--area", "1 m,2 m,3 m"], "is not an area"),
        (&["--area", "0 m,0 m,3 m,1 m"], "is not inside the bolt"),
        (&["--area", "0 m,0 m,-1 m,1 m"], "is not inside the bolt"),
        (&["--area", "bolt", "--dpi", "1200"], "million pixels"),
        (&["--dpi", "0"], "pixels per inch"),
        (&["--dpi", "NaN"], "pixels per inch"),
        (&["--bolt", "0"], "invalid value"),
        (&["--paint", "red"], "unexpected argument"),
    ] {
        let output = scratch.run(&[&cloth, more].concat());
        ends_with(&output, 2);
        assert!(stderr(&output).contains(said), "{more:?}: {}", stderr(&output));
        assert!(!scratch.path("x.png").exists());
    }
    ends_with(&scratch.run(&["plan", "demo", "--from", "31 March"]), 2);
    ends_with(&scratch.run(&["check", "nowhere"]), 3);
    ends_with(
        &scratch.run(&[
            "cloth",
            "demo",
            "sea-fan",
            "--dpi",
            "10",
            "-o",
            "demo/orders.toml/x.png",
        ]),
        3,
    );
}

#[test]
fn every_help_has_an_example() {
    let scratch = Scratch::new();
    let commands = [
        "new", "check", "cloth", "stamp", "baths", "cost", "plan", "season", "cards", "pack", "archive",
        "unpack", "studio",
    ];
    let all = scratch.run(&["--help"]);
    ends_with(&all, 0);
    for command in commands {
        assert!(
            stdout(&all).contains(&format!("\n  {command} ")),
            "{command} is not listed"
        );
        let help = scratch.run(&[command, "--help"]);
        ends_with(&help, 0);
        assert!(
            stdout(&help).contains(&format!("\n  lorod {command} ")),
            "{command} shows no example"
        );
    }
    for code in ["0 ", "1 ", "2 ", "3 ", "130 "] {
        assert!(
            stdout(&all).contains(&format!("\n  {code}")),
            "exit code {code} is not explained"
        );
    }
}

/// 1.250 is one thousand two hundred and fifty on an Indonesian sheet: no decimal point may stand between digits.
#[test]
fn indonesian_answers_have_no_point_between_digits() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    for args in [
        &["baths", "demo", "sea-fan", "--bolts", "7", "--lang", "id"][..],
        &["cost", "demo", "sea-fan", "--lines", "--lang", "id"],
        &["window", "demo", "sea-fan", "--against", "0", "--lang", "id"],
        &["lot", "demo", "sea-fan", "--bolts", "3", "--lang", "id"],
        &[
            "tank",
            "demo",
            "sea-fan",
            "--titrated",
            "8.1 mL",
            "--temperature",
            "28.5 C",
            "--lang",
            "id",
        ],
        &[
            "plan",
            "demo",
            "--from",
            "2026-11-26",
            "--tries",
            "3",
            "--lang",
            "id",
        ],
    ] {
        let output = scratch.run(args);
        ends_with(&output, 0);
        let text = stdout(&output);
        let pointed = text
            .as_bytes()
            .windows(3)
            .find(|w| w[1] == b'.' && w[0].is_ascii_digit() && w[2].is_ascii_digit());
        assert!(pointed.is_none(), "{args:?}: {text}");
        assert!(text.contains(','), "{args:?} has no decimals at all");
    }
}

#[test]
fn a_new_workspace_can_be_worked_with() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let new = [
        "new",
        "mine",
        "--artwork",
        "demo/designs/sea-fan/sea-fan.svg",
        "--name",
        "First \"Light\"",
    ];
    ends_with(&scratch.run(&new), 0);
    let check = scratch.run(&["check", "mine"]);
    ends_with(&check, 0);
    ends_with(
        &scratch.run(&["cloth", "mine", "first-light", "--dpi", "20", "-o", "first.png"]),
        0,
    );
    assert!(png(&scratch.path("first.png")).is_some());
    // Nothing was measured in a workshop that has just been made.
    let workshop = fs::read_to_string(scratch.path("mine/workshop.toml")).unwrap();
    assert!(!workshop.contains("measured ="), "{workshop}");
    // Not over what is there, and not a part of it.
    ends_with(&scratch.run(&new), 1);
    fs::write(scratch.path("bad.svg"), "<svg><text>no</text></svg>").unwrap();
    let refused = scratch.run(&["new", "other", "--artwork", "bad.svg"]);
    ends_with(&refused, 1);
    assert!(!scratch.path("other").exists());
    assert!(
        !scratch
            .files()
            .iter()
            .any(|path| path.to_string_lossy().contains(".part"))
    );
    ends_with(&scratch.run(&["new", "other", "--artwork", "missing.svg"]), 3);
}

#[test]
fn the_same_bolt_gives_the_same_picture() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let picture = |name: &str, bolt: &str| {
        ends_with(
            &scratch.run(&[
                "cloth",
                "demo",
                "rain-gutter",
                "--dpi",
                "25",
                "--bolt",
                bolt,
                "-o",
                name,
            ]),
            0,
        );
        fs::read(scratch.path(name)).unwrap()
    };
    let first = picture("a.png", "1");
    assert_eq!(first, picture("b.png", "1"));
    assert_ne!(first, picture("c.png", "2"));
}

#[test]
fn cards_and_stamps_are_printed() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let cards = [
        "cards",
        "demo",
        "--order",
        "o-101",
        "--paper",
        "letter",
        "--from",
        "2026-11-26",
        "-o",
        "cards.pdf",
    ];
    ends_with(&scratch.run(&cards), 0);
    ends_with(
        &scratch.run(&["stamp", "draw", "demo", "sea-fan", "-o", "fan.pdf"]),
        0,
    );
    for file in ["cards.pdf", "fan.pdf"] {
        let bytes = fs::read(scratch.path(file)).unwrap();
        assert!(
            bytes.starts_with(b"%PDF-1.") && bytes.len() > 50_000,
            "{file}: {} bytes",
            bytes.len()
        );
    }
    let before = fs::read(scratch.path("cards.pdf")).unwrap();
    ends_with(&scratch.run(&cards), 0);
    assert_eq!(
        fs::read(scratch.path("cards.pdf")).unwrap(),
        before,
        "the same cards are the same bytes"
    );
}

/// Whatever stands in the folder, lorod answers with findings and never falls over.
#[test]
fn a_folder_goes_into_an_archive_and_back() {
    let scratch = Scratch::with_demo(&["tide-pool"]);
    assert!(
        scratch
            .run(&["archive", "demo", "-o", "demo.zip"])
            .status
            .success()
    );
    assert!(scratch.run(&["unpack", "demo.zip", "again"]).status.success());
    assert!(scratch.path("again/designs/tide-pool/tide-pool.svg").is_file());
    // Never over what is there, and only what is an archive.
    assert_eq!(
        scratch.run(&["unpack", "demo.zip", "again"]).status.code(),
        Some(3)
    );
    std::fs::write(scratch.path("notes.zip"), "no archive").unwrap();
    assert_eq!(
        scratch.run(&["unpack", "notes.zip", "other"]).status.code(),
        Some(1)
    );
    assert!(!scratch.path("other").exists());
    let pack = scratch.run(&[
        "pack",
        "demo",
        "tide-pool",
        "-o",
        "pack.pdf",
        "--buyers",
        "line.pdf",
    ]);
    assert!(pack.status.success(), "{}", String::from_utf8_lossy(&pack.stderr));
    for name in ["pack.pdf", "line.pdf"] {
        assert!(
            std::fs::read(scratch.path(name)).unwrap().starts_with(b"%PDF"),
            "{name}"
        );
    }
    assert_eq!(
        scratch
            .run(&["pack", "demo", "no-such", "-o", "x.pdf"])
            .status
            .code(),
        Some(1)
    );
}

#[test]
fn garbage_is_answered_with_findings() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let noise: Vec<u8> = (0..4000u32)
        .map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8)
        .collect();
    let spoil: [(&str, &dyn Fn()); 6] = [
        ("workshop", &|| {
            fs::write(scratch.path("demo/workshop.toml"), &noise).unwrap()
        }),
        ("no workshop", &|| {
            fs::remove_file(scratch.path("demo/workshop.toml")).unwrap()
        }),
        ("orders", &|| {
            fs::write(scratch.path("demo/orders.toml"), "[[orders]]\nid = 3\n").unwrap()
        }),
        ("drawing", &|| {
            fs::write(scratch.path("demo/designs/sea-fan/sea-fan.svg"), &noise).unwrap()
        }),
        ("design", &|| {
            fs::write(
                scratch.path("demo/designs/sea-fan/design.toml"),
                "id = \"sea-fan\"\nsteps = 7\n",
            )
            .unwrap()
        }),
        ("collection", &|| {
            fs::write(scratch.path("demo/collection.toml"), &noise).unwrap()
        }),
    ];
    for (what, spoil) in spoil {
        spoil();
        for args in [
            &["check", "demo"][..],
            &["check", "demo", "--json"],
            &["cloth", "demo", "sea-fan", "--dpi", "10", "-o", "x.png"],
            &["baths", "demo", "sea-fan"],
            &["cost", "demo", "sea-fan", "--json"],
            &["plan", "demo", "--from", "2026-11-26", "--tries", "1"],
            &["cards", "demo", "-o", "x.pdf"],
            &["stamp", "draw", "demo", "sea-fan", "-o", "x.pdf"],
        ] {
            let output = scratch.run(args);
            let code = output.status.code();
            // With only the orders spoilt a picture can still be made.
            assert!(
                matches!(code, Some(0..=3)),
                "{what}: {args:?} ended with {code:?}"
            );
            if args[0] == "check" {
                assert_eq!(code, Some(1), "{what}");
            }
            if args.contains(&"--json") {
                json(&output);
            }
            if code != Some(0) {
                assert!(
                    !output.stdout.is_empty() || !output.stderr.is_empty(),
                    "{what}: {args:?} says nothing"
                );
            }
        }
    }
}

/// What is recorded is counted: nine bolts of 15 yd, the impressions that the wax step plans for each.
#[test]
fn a_stamp_has_a_life() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    fs::remove_file(scratch.path("demo/stamps.toml")).unwrap();
    let shelf = |more: &[&str]| {
        let output = scratch.run(&[&["stamp", "shelf", "demo"], more, &["--json"]].concat());
        ends_with(&output, 0);
        json(&output)
    };
    assert_eq!(shelf(&[])["copies"], serde_json::json!([]));
    let one = ["--copy", "sea-fan/fan/1"];
    let record = |more: &[&str]| shelf(&[&one, more].concat())["copies"][0].clone();
    record(&["--new", "A3", "--on", "2026-06-01"]);
    let stamped = record(&["--stamped", "9", "--on", "2026-06-04"]);
    assert_eq!(
        (&stamped["bolts"], &stamped["shelf"]),
        (&serde_json::json!(9), &serde_json::json!("A3"))
    );
    let metres = stamped["metres_since_filed"].as_f64().unwrap();
    assert!((metres - 9.0 * 15.0 * 0.9144).abs() < 0.01, "{metres}");
    let cards = scratch.run(&["stamp", "repeat", "demo", "sea-fan", "--json"]);
    let all = json(&cards)["impressions"]["all"].as_u64().unwrap();
    assert_eq!(stamped["prints"].as_u64().unwrap(), 9 * all);
    assert_eq!(stamped["file"], "later");
    // 41 bolts are 562 m: beyond even the 500 m that are told.
    assert_eq!(record(&["--stamped", "32", "--on", "2026-06-20"])["file"], "now");
    let filed = record(&["--refiled", "--on", "2026-06-21"]);
    assert_eq!(
        (&filed["file"], &filed["bolts"]),
        (&serde_json::json!("later"), &serde_json::json!(41))
    );
    assert_eq!(filed["refiled"], serde_json::json!(["2026-06-21"]));
    assert_eq!(
        record(&["--proofed", "0.4 mm", "--on", "2026-06-22"])["file"],
        "now"
    );
    // A second copy doubles what the plan may stamp at once; a retired one does not count.
    shelf(&["--copy", "sea-fan/fan/2", "--new", "A4", "--on", "2026-06-23"]);
    shelf(&["--copy", "sea-fan/fan/2", "--retired", "--on", "2026-07-01"]);
    for (faulty, code) in [
        (&["--copy", "sea-fan"][..], 2),
        (&["--copy", "sea-fan/fan/7", "--refiled"], 1),
        (&["--copy", "sea-fan/fan/1", "--new", "B1"], 1),
        (&["--copy", "sea-fan/fan/1", "--proofed", "3"], 2),
        (&["--copy", "sea-fan/fan/1", "--refiled", "--on", "2026-02-30"], 2),
    ] {
        let before = fs::read(scratch.path("demo/stamps.toml")).unwrap();
        ends_with(
            &scratch.run(&[&["stamp", "shelf", "demo"], faulty].concat()),
            code,
        );
        assert_eq!(
            fs::read(scratch.path("demo/stamps.toml")).unwrap(),
            before,
            "{faulty:?}"
        );
    }
}

/// Pictures of a repeat are written, and the findings are one document.
#[test]
fn repeats_are_told_and_drawn() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    for picture in ["seams", "closed", "slip", "bolt"] {
        let file = format!("{picture}.svg");
        let output = scratch.run(&[
            "stamp",
            "repeat",
            "demo",
            "sea-fan",
            "--picture",
            picture,
            "-o",
            &file,
            "--json",
        ]);
        ends_with(&output, 0);
        let found = json(&output);
        let number = |name: &str| found["impressions"][name].as_u64().unwrap();
        assert_eq!(
            number("all"),
            number("whole") + number("at_selvedges") + number("at_ends")
        );
        let slips = &found["slips"];
        let share = slips["share"].as_f64().unwrap();
        assert!((0.0..=1.0).contains(&share) && slips["tried"].as_u64().unwrap() >= 1000);
        assert!(
            fs::read_to_string(scratch.path(&file))
                .unwrap()
                .contains("</svg>")
        );
    }
    ends_with(
        &scratch.run(&["stamp", "repeat", "demo", "sea-fan", "--slip", "1,2"]),
        2,
    );
}
