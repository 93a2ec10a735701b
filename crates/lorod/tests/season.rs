//! The demonstration's season from end to end, as README.md walks it: planned with its strike-offs, played in rain, a day
//! lost, and gone on from there.

mod common;

use common::{Scratch, ends_with, json};
use serde_json::Value;
use std::fs;

const DESIGNS: [&str; 6] = [
    "sea-fan",
    "net-float",
    "rain-gutter",
    "mangrove-root",
    "kite-tail",
    "tide-pool",
];

fn list<'v>(value: &'v Value, key: &str) -> &'v Vec<Value> {
    value[key]
        .as_array()
        .unwrap_or_else(|| panic!("{key} in {value}"))
}

/// Six designs, sixty bolts, from October's strike-offs to January's last truck through the wet season.
#[test]
fn the_season_of_the_demonstration_is_planned_rained_on_and_replanned() {
    let scratch = Scratch::with_demo(&DESIGNS);
    let run = |args: &[&str]| {
        let output = scratch.run(args);
        ends_with(&output, 0);
        output
    };

    // Two rounds of strike-offs of each design, each approved in a visit of its own, the first before the second; bulk
    // after it, and every promise kept by the plan.
    let season = json(&run(&[
        "season",
        "demo",
        "--from",
        "2026-10-05",
        "--rounds",
        "2",
        "--tries",
        "3",
        "--json",
        "-o",
        "season.svg",
    ]));
    let designs = list(&season, "designs");
    assert_eq!(designs.len(), 6);
    let day = |value: &Value| sky::Date::parse(value.as_str().unwrap()).unwrap();
    let visits = list(&season, "visits");
    let visit = |approved: &Value| {
        let approved = day(approved);
        visits
            .iter()
            .position(|visit| (day(&visit[0])..=day(&visit[1])).contains(&approved))
    };
    let mut used = Vec::new();
    for design in designs {
        let rounds = list(design, "rounds");
        assert_eq!(rounds.len(), 2, "{design}");
        let approvals: Vec<usize> = rounds
            .iter()
            .map(|round| visit(&round["approved"]).unwrap())
            .collect();
        assert!(approvals[0] < approvals[1], "{design}");
        used.extend(approvals);
        for order in list(design, "orders") {
            assert_eq!(order["late"], false, "{order}");
            assert!(day(&order["starts"]) >= day(&rounds[1]["approved"]), "{design}");
        }
    }
    used.sort_unstable();
    used.dedup();
    assert_eq!(used, [0, 1], "two visits decide the season");
    assert!(!list(&season["agenda"], "decide").is_empty());

    // The bulk of sixty bolts, played in the rain of these months.
    let views = [
        "plan.json",
        "lots.svg",
        "week.pdf",
        "season.ics",
        "table.csv",
        "today.txt",
    ];
    let wanted: Vec<&str> = views.iter().flat_map(|file| ["-o", *file]).collect();
    let plan = [
        "plan",
        "demo",
        "--from",
        "2026-11-26",
        "--tries",
        "3",
        "--replays",
        "40",
        "--json",
    ];
    let planned = json(&run(&[&plan[..], &wanted[..]].concat()));
    assert_eq!(planned["judged"], true);
    let lots = list(&planned, "lots");
    let bolts: u64 = lots.iter().map(|lot| lot["bolts"].as_u64().unwrap()).sum();
    assert_eq!((lots.len(), bolts), (9, 60));
    assert_eq!(
        (&planned["replays"]["count"], &planned["replays"]["stuck"]),
        (&Value::from(40), &Value::from(0))
    );
    let share = |value: &Value| value[0].as_f64().unwrap();
    let all = share(&planned["replays"]["all_on_time"]);
    for lot in lots {
        let own = share(&lot["promise"]["on_time"]);
        // All are kept no more often than any one is.
        assert!((all..=1.0).contains(&own), "{lot}");
        // Rain and slow hours take time: half of the replays are done after the dry plan, or with it.
        assert!(lot["promise"]["p50"].as_str() >= lot["done"].as_str(), "{lot}");
    }
    let narrow = run(&[
        "plan",
        "demo",
        "--from",
        "2026-11-26",
        "--tries",
        "3",
        "--replays",
        "0",
        "--show",
        "load",
        "-o",
        "load.svg",
    ]);
    drop(narrow);
    for (file, begins) in [
        ("season.svg", "<svg"),
        ("lots.svg", "<svg"),
        ("load.svg", "<svg"),
        ("week.pdf", "%PDF"),
        ("season.ics", "BEGIN:VCALENDAR"),
        ("table.csv", "date,start"),
        ("today.txt", "Sirih Works"),
    ] {
        let bytes = fs::read(scratch.path(file)).unwrap();
        assert!(bytes.starts_with(begins.as_bytes()), "{file}");
    }
    let load = fs::read_to_string(scratch.path("load.svg")).unwrap();
    assert!(
        load.contains("narrow") && !load.contains("stamp:"),
        "places are named as people do"
    );

    // Tuesday 1 December is lost: what had begun stands, nothing of it is planned, every promise is still kept.
    let state = "plan = \"plan.json\"\nnow = \"2026-12-02 07:30\"\nas_planned = \"2026-12-01 07:30\"\n";
    fs::write(scratch.path("state.toml"), state).unwrap();
    let again = json(&run(&[
        "plan",
        "demo",
        "--state",
        "state.toml",
        "--choose",
        "some",
        "--tries",
        "3",
        "--replays",
        "0",
        "--json",
    ]));
    assert_eq!(again["judged"], true);
    let mut begun = 0;
    for (was, is) in lots.iter().zip(list(&again, "lots")) {
        assert!(is["late_minutes"].as_i64().unwrap() <= 0, "{}", is["id"]);
        for (was, is) in list(was, "operations").iter().zip(list(is, "operations")) {
            let (was, is) = (was["starts"].as_str().unwrap(), is["starts"].as_str().unwrap());
            if was < "2026-12-01 07:30" {
                begun += 1;
                assert_eq!(was, is);
            } else {
                assert!(is >= "2026-12-02 07:30", "{is}");
            }
        }
    }
    assert!(begun > 100, "{begun}");

    // The next morning the yard is dry until eleven only.
    let wet = json(&run(&[
        "rain",
        "demo",
        "--yard",
        "08:30-11:00",
        "--state",
        "state.toml",
        "--json",
    ]));
    assert_eq!(
        (&wet["judged"], &wet["on"]),
        (&Value::Bool(true), &Value::from("2026-12-02"))
    );
}

/// What was chosen is what the commands tell of, as pages and papers do, until another plan is asked for.
#[test]
fn a_plan_that_was_chosen_is_followed_until_another_is_asked_for() {
    let scratch = Scratch::with_demo(&["sea-fan"]);
    let told = |args: &[&str]| {
        let output = scratch.run(args);
        ends_with(&output, 0);
        json(&output)
    };
    let says = |value: &Value, code: &str| {
        list(value, "findings")
            .iter()
            .any(|finding| finding["code"] == code)
    };
    let quick = ["--tries", "1", "--replays", "0", "--json"];
    let first = ["plan", "demo", "--from", "2026-12-07", "--strike-off", "sea-fan"];
    told(&[&first[..], &quick, &["-o", "demo/plan.json"]].concat());
    let file = fs::read_to_string(scratch.path("demo/plan.json")).unwrap();
    let chosen: Value = serde_json::from_str(&file).unwrap();
    assert!(!list(&chosen, "lots").is_empty());

    let followed = told(&["plan", "demo", "--replays", "0", "--json"]);
    assert!(says(&followed, "plan-followed"), "{followed}");
    assert_eq!(followed["from"], "2026-12-07");
    assert_eq!(followed["strike_offs"], chosen["strike_offs"]);
    assert_eq!(followed["lots"], chosen["lots"]);

    let another = told(&[&["plan", "demo", "--anew", "--from", "2026-12-14"][..], &quick].concat());
    assert!(says(&another, "plan-set-aside") && !says(&another, "plan-followed"));
    assert_eq!(another["from"], "2026-12-14");
    assert_eq!(fs::read_to_string(scratch.path("demo/plan.json")).unwrap(), file);

    // The season follows it where it makes the strike-offs that are asked for, and says so where it does not.
    let season = told(&["season", "demo", "--rounds", "1", "--tries", "1", "--json"]);
    assert!(says(&season, "plan-followed"), "{season}");
    assert_eq!(season["from"], "2026-12-07");
    let anew = told(&[
        "season",
        "demo",
        "--rounds",
        "1",
        "--tries",
        "1",
        "--from",
        "2026-12-14",
        "--json",
    ]);
    assert!(says(&anew, "plan-set-aside"));
    assert_eq!(anew["from"], "2026-12-14");
    // A new plan from tomorrow on may break promises, whenever this is run; that it is new is said.
    let other = scratch.run(&["season", "demo", "--rounds", "0", "--tries", "1", "--json"]);
    assert!(String::from_utf8_lossy(&other.stdout).contains("season-anew"));
}
