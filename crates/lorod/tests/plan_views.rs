//! A plan as people use it: drawings, run sheets, a calendar feed, a table, a text; and going on from a state.

mod common;

use common::{Scratch, ends_with, json, stderr, stdout};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

const DAY: &str = "2026-11-26";

fn planned(scratch: &Scratch, more: &[&str]) -> std::process::Output {
    let output = scratch.run(&[&["plan", "demo", "--from", DAY, "--tries", "5"], more].concat());
    ends_with(&output, 0);
    output
}

/// Every operation of a plan's file: (lot, bolt, key) to (start, end).
fn operations(plan: &Value) -> BTreeMap<(String, u64, String), (String, String)> {
    let text = |value: &Value| value.as_str().unwrap().to_string();
    let mut all = BTreeMap::new();
    for lot in plan["lots"].as_array().unwrap() {
        for one in lot["operations"].as_array().unwrap() {
            let key = (
                text(&lot["id"]),
                one["bolt"].as_u64().unwrap(),
                text(&one["operation"]),
            );
            all.insert(key, (text(&one["starts"]), text(&one["ends"])));
        }
    }
    all
}

fn read(scratch: &Scratch, name: &str) -> String {
    fs::read_to_string(scratch.path(name)).unwrap()
}

/// The feed as a reference parser reads it: properties of each event.
fn events(text: &str) -> Vec<BTreeMap<String, String>> {
    let calendars: Vec<_> = ical::IcalParser::new(text.as_bytes())
        .collect::<Result<_, _>>()
        .expect("RFC 5545, as another program reads it");
    assert_eq!(calendars.len(), 1);
    let event = |event: ical::parser::ical::component::IcalEvent| {
        event
            .properties
            .into_iter()
            .map(|p| (p.name, p.value.unwrap_or_default()))
            .collect()
    };
    calendars.into_iter().flat_map(|c| c.events).map(event).collect()
}

#[test]
fn every_view_of_a_plan_is_written_and_agrees_with_it() {
    let scratch = Scratch::with_demo(&["sea-fan", "rain-gutter"]);
    let files = [
        "plan.json",
        "lots.svg",
        "sheets.pdf",
        "feed.ics",
        "table.csv",
        "chat.txt",
    ];
    let wanted: Vec<&str> = files.iter().flat_map(|file| ["-o", *file]).collect();
    let output = planned(&scratch, &[&["--replays", "20"], &wanted[..]].concat());
    // How sure each promise is, and what that rests on, in both languages.
    let said = stdout(&output);
    assert!(
        said.contains("on this truck") && said.contains("20 replays") && !said.contains("found no place"),
        "{said}"
    );
    assert!(said.contains("if your minutes are right"), "{said}");
    let plan: Value = serde_json::from_str(&read(&scratch, "plan.json")).unwrap();
    let all = operations(&plan);

    // One line for each piece: bolts of one load share theirs, so there are fewer lines than operations.
    let table = read(&scratch, "table.csv");
    let lines = table.lines().count() - 1;
    assert!(
        lines > 50 && lines < all.len(),
        "{lines} lines, {} operations",
        all.len()
    );
    let (first, _) = all.values().min().unwrap();
    let (date, clock) = first.split_once(' ').unwrap();
    assert!(
        table
            .lines()
            .nth(1)
            .unwrap()
            .starts_with(&format!("{date},{clock},"))
    );

    // Ids are unique, everything is stamped, and the first piece of work stands there in UTC: the demonstration's
    // clock is seven hours ahead.
    let feed = read(&scratch, "feed.ics");
    let events = events(&feed);
    let ids: BTreeSet<&String> = events.iter().map(|event| &event["UID"]).collect();
    assert_eq!(ids.len(), events.len());
    for event in &events {
        assert!(
            event["DTSTAMP"].ends_with('Z') && event.contains_key("DTSTART") && event.contains_key("SUMMARY")
        );
    }
    let (hour, minute) = clock.split_once(':').unwrap();
    let utc = hour.parse::<i32>().unwrap() - 7;
    assert!(utc >= 0, "work begins after 07:00");
    let start = format!("{}T{utc:02}{minute}00Z", date.replace('-', ""));
    assert!(events.iter().any(|event| event["DTSTART"] == start), "{start}");
    assert!(
        events
            .iter()
            .any(|event| event["UID"] == "o-101-promise@plan.lorod")
    );

    let svg = read(&scratch, "lots.svg");
    assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"));
    assert!(fs::read(scratch.path("sheets.pdf")).unwrap().starts_with(b"%PDF"));
    assert!(read(&scratch, "chat.txt").contains("Sirih Works"));
}

/// RFC 5545 names a week's worth of traps; the Indonesian floor one more: no point between digits, times as 14:20.
#[test]
fn the_floor_reads_its_own_language() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let args = |more: &[&'static str]| {
        let all = [
            &[
                "--lang",
                "id",
                "plan",
                "demo",
                "--from",
                DAY,
                "--tries",
                "3",
                "--replays",
                "20",
            ],
            more,
        ]
        .concat();
        let output = scratch.run(&all);
        ends_with(&output, 0);
        stdout(&output)
    };
    let promises = args(&[]);
    assert!(
        promises.contains("ikut truk ini") && promises.contains("bila menit kerja Anda benar"),
        "{promises}"
    );
    let day = args(&["--chat", "--days", DAY]);
    let week = args(&["--chat", "--days", "2026-11-26..2026-12-02"]);
    for text in [&day, &week] {
        assert!(
            text.contains("Sirih Works, Kam 26 Nov") && text.contains("gulung") || text.contains("o-101"),
            "{text}"
        );
        let points = text
            .as_bytes()
            .windows(3)
            .any(|w| w[0].is_ascii_digit() && w[1] == b'.' && w[2].is_ascii_digit());
        assert!(!points, "{text}");
    }
    assert!(day.contains(':') && week.contains("sampai"), "{week}");
    for (bad, said) in [
        (["--days", "2026-12-12..2026-12-07"], "names no days"),
        (["-o", "plan.xyz"], ".ics"),
    ] {
        let output = scratch.run(&[&["plan", "demo", "--from", DAY], &bad[..]].concat());
        ends_with(&output, 2);
        assert!(stderr(&output).contains(said), "{}", stderr(&output));
    }
}

/// 1 December is lost: what had begun stands to the minute, nothing starts before the morning after, the judge agrees,
/// and keeping moves no more than searching for the best.
#[test]
fn a_lost_day_is_planned_around() {
    let scratch = Scratch::with_demo(&["sea-fan", "rain-gutter"]);
    planned(&scratch, &["--replays", "0", "-o", "plan.json"]);
    let before = operations(&serde_json::from_str(&read(&scratch, "plan.json")).unwrap());
    let (cut, now) = ("2026-12-01 07:30", "2026-12-02 07:30");
    let state = format!("plan = \"plan.json\"\nnow = \"{now}\"\nas_planned = \"{cut}\"\n");
    fs::write(scratch.path("state.toml"), &state).unwrap();
    let go_on = |more: &[&str]| {
        let all = [&["plan", "demo", "--state", "state.toml", "--tries", "5"], more].concat();
        scratch.run(&all)
    };
    for way in ["keep", "some", "best"] {
        let output = go_on(&["--choose", way, "--json"]);
        ends_with(&output, 0);
        let plan = json(&output);
        assert_eq!(plan["judged"], true, "{way}");
        let after = operations(&plan);
        assert_eq!(after.len(), before.len());
        let mut begun = 0;
        for (key, (start, end)) in &before {
            if start.as_str() < cut {
                begun += 1;
                assert_eq!(&after[key].0, start, "{way} {key:?}");
                // Only what was running when the day was lost ends later.
                assert!(after[key].1 == *end || end.as_str() > cut, "{way} {key:?}");
            } else {
                assert!(
                    after[key].0.as_str() >= now,
                    "{way} {key:?} starts at {}",
                    after[key].0
                );
            }
        }
        assert!(begun > 10 && begun < before.len(), "{begun}");
    }
    let said = stdout(&go_on(&["--replays", "20"]));
    assert!(
        said.contains("keep") && said.contains("some moves") && said.contains("best"),
        "{said}"
    );
    // How sure each of the three leaves a promise stands beside its day.
    let line = |name: &str| {
        said.lines()
            .find(|line| line.trim_start().starts_with(name))
            .unwrap()
    };
    assert_eq!(line("o-101").matches('%').count(), 3, "{said}");
    assert_eq!(line("all on time, replayed").matches('%').count(), 3, "{said}");
    let points = said
        .lines()
        .find(|line| line.contains("points of unrest"))
        .unwrap();
    let points: Vec<u32> = points
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    assert!(points[0] <= points[2], "{points:?}");

    // What is wrong with a state's file is said with its line, and nothing is planned.
    for (more, said) in [
        (
            "[[happened]]\norder = \"o-999\"\nbolts = [1]\nstep = \"s01\"\nstarts = \"2026-12-01 08:00\"\n",
            "no order o-999",
        ),
        (
            "[[happened]]\norder = \"o-101\"\nbolts = [99]\nstep = \"s03\"\nstarts = \"2026-12-01 08:00\"\n",
            "no bolt 99",
        ),
        (
            "[[happened]]\norder = \"o-101\"\nbolts = [1]\nstep = \"s03\"\nstarts = \"yesterday\"\n",
            "no day with a time",
        ),
        (
            "[[closed]]\ncalendars = [\"moon\"]\nfrom = \"2026-12-02 07:30\"\nto = \"2026-12-02 12:00\"\n",
            "no calendar moon",
        ),
    ] {
        fs::write(scratch.path("state.toml"), format!("{state}{more}")).unwrap();
        let output = go_on(&["-o", "again.json"]);
        ends_with(&output, 1);
        assert!(stderr(&output).contains(said), "{said}: {}", stderr(&output));
        assert!(stderr(&output).contains("state.toml"), "{}", stderr(&output));
        assert!(!scratch.path("again.json").exists());
    }
}

/// Rain this morning is entered as lost hours of the sun: nothing that needs it is planned inside them.
#[test]
fn a_wet_morning_takes_the_sun_away() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    planned(&scratch, &["--replays", "0", "-o", "plan.json"]);
    let plan: Value = serde_json::from_str(&read(&scratch, "plan.json")).unwrap();
    // The first time that anything hangs in the sun.
    let sun = operations(&plan)
        .into_iter()
        .filter(|((.., key), _)| key.starts_with("sun"));
    let (first, _) = sun.map(|(_, times)| times).min().unwrap();
    let day = first.split(' ').next().unwrap();
    let state = format!(
        "plan = \"plan.json\"\nnow = \"{day} 07:30\"\n[[closed]]\ncalendars = [\"sun\"]\nfrom = \"{day} 00:00\"\nto = \"{day} 23:59\"\n"
    );
    fs::write(scratch.path("state.toml"), state).unwrap();
    let output = scratch.run(&[
        "plan",
        "demo",
        "--state",
        "state.toml",
        "--choose",
        "keep",
        "--tries",
        "1",
        "--json",
    ]);
    ends_with(&output, 0);
    let plan = json(&output);
    assert_eq!(plan["judged"], true);
    let wet = operations(&plan)
        .into_iter()
        .filter(|((.., key), (start, _))| key.starts_with("sun") && start.starts_with(day))
        .count();
    assert_eq!(wet, 0);

    // The same is said of the day's weather from a state: nobody plans anew what has begun.
    let state = format!("plan = \"plan.json\"\nnow = \"{day} 07:30\"\n");
    fs::write(scratch.path("state.toml"), state).unwrap();
    let output = scratch.run(&[
        "rain",
        "demo",
        "--yard",
        "08:30-08:35",
        "--state",
        "state.toml",
        "--json",
    ]);
    ends_with(&output, 0);
    let said = json(&output);
    assert_eq!(said["judged"], true);
    assert_eq!(said["on"], day);
    let moved = said["moved"].as_array().unwrap();
    assert!(
        moved
            .iter()
            .any(|one| one["operation"].as_str().unwrap().starts_with("sun")),
        "{said}"
    );
    for one in moved {
        assert!(
            one["from"].as_str().unwrap() >= format!("{day} 07:30").as_str(),
            "{one}"
        );
    }
}

/// Two rounds of strike-offs: each is approved in a visit of its own before the next begins, bulk begins after the last, and what is
/// ordered is counted back by the workshop's lead times (28 and 7 days in the demonstration's file).
#[test]
fn the_season_follows_from_the_plan() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    // The demonstration's stamps hang on the shelf; here none does yet.
    fs::remove_file(scratch.path("demo/stamps.toml")).unwrap();
    let season = [
        "season",
        "demo",
        "--from",
        "2026-10-05",
        "--rounds",
        "2",
        "--tries",
        "3",
    ];
    let output = scratch.run(&[&season[..], &["--json", "-o", "season.svg"]].concat());
    ends_with(&output, 0);
    let document = json(&output);
    let day = |value: &Value| sky::Date::parse(value.as_str().unwrap()).unwrap();
    let visits: Vec<(sky::Date, sky::Date)> = document["visits"]
        .as_array()
        .unwrap()
        .iter()
        .map(|visit| (day(&visit[0]), day(&visit[1])))
        .collect();
    // The second week of October 2026 begins on Monday the 12th, that of November on the 9th (calendar).
    assert_eq!(
        visits[0],
        (
            sky::Date::new(2026, 10, 12).unwrap(),
            sky::Date::new(2026, 10, 16).unwrap()
        )
    );
    assert_eq!(visits[1].0, sky::Date::new(2026, 11, 9).unwrap());
    let design = &document["designs"][0];
    let rounds = design["rounds"].as_array().unwrap();
    assert_eq!(rounds.len(), 2);
    let mut earliest = day(&document["from"]);
    for round in rounds {
        let approved = day(&round["approved"]);
        assert!(day(&round["from"]) >= earliest && approved >= day(&round["to"]));
        assert!(visits.iter().any(|(from, to)| (*from..=*to).contains(&approved)));
        earliest = approved;
    }
    let visit = |round: &Value| {
        let approved = day(&round["approved"]);
        visits
            .iter()
            .position(|(from, to)| (*from..=*to).contains(&approved))
    };
    assert!(visit(&rounds[0]) < visit(&rounds[1]), "{rounds:?}");
    for order in design["orders"].as_array().unwrap() {
        assert!(day(&order["starts"]) >= earliest);
        assert!(day(&order["inspected_from"]) <= day(&order["ready"]));
    }
    let stamp = day(&design["stamp_order_by"]);
    assert_eq!(stamp.days - day(&design["artwork_due"]).days, 7);
    assert!(day(&rounds[0]["to"]).days - stamp.days >= 28);
    // The stamp must have been ordered before this plan begins: said.
    let codes: Vec<&str> = document["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|f| f["code"].as_str())
        .collect();
    assert!(codes.contains(&"stamp-not-there"), "{codes:?}");
    assert!(!document["agenda"]["decide"].as_array().unwrap().is_empty());
    assert!(read(&scratch, "season.svg").trim_end().ends_with("</svg>"));
    let agenda = scratch.run(&[&["--lang", "id"], &season[..], &["--agenda"]].concat());
    ends_with(&agenda, 0);
    assert!(
        stdout(&agenda).contains("Harus diputuskan"),
        "{}",
        stdout(&agenda)
    );
}

/// Facts that clash, in a problem's file: the finding names them, and nothing is planned.
#[test]
fn facts_that_clash_are_named_on_the_command_line() {
    let scratch = Scratch::new();
    let problem = |route: &str, lags: &str, release: u32, due: u32| {
        format!(
            "{{\"format\":\"batik-plan/1\",\"name\":\"clash\",\"calendars\":{{\"shop\":[[450,720],[780,990]]}},\
             \"resources\":{{\"floor\":1}},\"setups\":{{}},\
             \"objective\":{{\"tardiness\":100,\"makespan\":10,\"mean_flow\":1,\"origin\":450}},\
             \"lots\":[{{\"id\":\"L1\",\"n\":1,\"design\":\"D\",\"shade\":0,\"release\":{release},\"due\":{due},\"weight\":1,\
             \"approval\":null,\"route\":[{route}],\"lags\":[{lags}]}}]}}"
        )
    };
    let op = |id: &str, minutes: u32| {
        format!(
            "{{\"id\":\"{id}\",\"dur\":{minutes},\"cal\":\"shop\",\"split\":false,\"uses\":[[\"floor\",1,0,{minutes}]]}}"
        )
    };
    let two = format!("{},{}", op("JIG", 5), op("RINSE", 10));
    let lag = |from: &str, to: &str, min: u32, max: &str| {
        format!("{{\"frm\":\"{from}\",\"to\":\"{to}\",\"min\":{min},\"max\":{max}}}")
    };
    for (text, said) in [
        (
            problem(&two, &lag("RINSE", "JIG", 0, "null"), 450, 990),
            "JIG stands before RINSE",
        ),
        (
            problem(&two, &lag("JIG", "RINSE", 120, "60"), 450, 990),
            "at least 120 min must pass, and at most 60",
        ),
        (problem(&op("BOIL", 300), "", 450, 990), "BOIL"),
    ] {
        fs::write(scratch.path("shop.json"), text).unwrap();
        let output = scratch.run(&[
            "plan",
            "--problem",
            "shop.json",
            "--tries",
            "1",
            "-o",
            "plan.json",
        ]);
        ends_with(&output, 1);
        assert!(stderr(&output).contains(said), "{said}: {}", stderr(&output));
        assert!(!scratch.path("plan.json").exists());
    }
    // Promised before its cloth is there: said with both days, and planned all the same.
    let demo = Scratch::with_demo(&["rain-gutter"]);
    let path = demo.path("demo/orders.toml");
    let orders = fs::read_to_string(&path).unwrap();
    let (before, after) = orders.split_once("due = \"2026-12-23\"").unwrap();
    fs::write(
        &path,
        format!("{before}due = \"2026-12-23\"\ncloth = \"2026-12-28\"{after}"),
    )
    .unwrap();
    let output = planned(&demo, &["--replays", "0", "--json"]);
    let findings = json(&output)["findings"].clone();
    let clash = findings
        .as_array()
        .unwrap()
        .iter()
        .find(|f| f["code"] == "promise-before-cloth")
        .unwrap();
    assert!(clash["found"].as_str().unwrap().contains("2026-12-28"), "{clash}");
}
