//! The plan's pages and files, on two orders of the demonstration.

use super::editing::post;
use super::{copy, demo, get};
use crate::facts::HouseFacts;
use crate::facts::problem::Asked;
use crate::studio::Studio;
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

/// A workspace of two small orders; its folder goes with it.
pub(super) struct Small {
    pub(super) dir: PathBuf,
    pub(super) studio: Arc<Studio>,
}

impl Small {
    pub(super) fn new(name: &str) -> Self {
        let dir = std::env::temp_dir().join(format!("lorod-{name}-{}", std::process::id()));
        copy(&demo(), &dir);
        let order = |id: &str, design: &str, due: &str| {
            format!(
                "[[orders]]\nid = \"{id}\"\ndesign = \"{design}\"\nbolts = 2\ndue = \"{due}\"\nbuyer = \"Fennel & Thread\"\n\n"
            )
        };
        let orders = order("o-1", "tide-pool", "2027-01-22") + &order("o-2", "rain-gutter", "2027-01-29");
        std::fs::write(dir.join("orders.toml"), orders).expect("written");
        let facts = HouseFacts::new(Asked {
            first_day: sky::Date::new(2026, 11, 26).expect("a day"),
            strike_offs: Vec::new(),
            courier_days: None,
            tries: 1,
        });
        let studio = Studio::open(&dir, Arc::new(facts), super::PORT).expect("the copy opens");
        Self {
            dir,
            studio: Arc::new(studio),
        }
    }
}

impl Drop for Small {
    fn drop(&mut self) {
        // A folder that stays behind fails no test.
        let _ = std::fs::remove_dir_all(&self.dir);
    }
}

/// Every lot has its row, every place the name that people call it; how sure a promise is comes after, as a piece.
#[tokio::test]
async fn the_run_sheet_shows_every_lot_and_calls_places_by_name() {
    let small = Small::new("run");
    let studio = &small.studio;
    let waiting = get(studio, "/run").await.text();
    assert!(waiting.contains("data-job=\"/run/made\""), "{waiting}");
    assert!(get(studio, "/run/made").await.text().contains("data-again"));
    let html = get(studio, "/run").await.text();
    assert!(html.contains("Will the orders leave on time?"), "{html}");
    for says in [
        "o-1",
        "o-2",
        "stamp Tide pool (pool)",
        "bleach tank",
        "narrow place",
        "<pattern",
        "class=\"night\"",
        "rain ",
    ] {
        assert!(html.contains(says), "{says}: {html}");
    }
    for raw in ["stamp:", ">tank<", ">helper<"] {
        assert!(!html.contains(raw), "{raw}");
    }
    assert!(
        html.contains("data-job=\"/run/sure\"") && !html.contains("in 100"),
        "{html}"
    );
    let sure = get(studio, "/run/sure").await.text();
    // Twenty beads and a number for each lot.
    assert_eq!(sure.matches("class=\"beads\"").count(), 2, "{sure}");
    assert_eq!(sure.matches("<circle").count(), 40, "{sure}");
    assert!(
        sure.contains("in 100") && sure.contains("if your minutes are right"),
        "{sure}"
    );
    let indonesian = get(studio, "/run?lang=id").await.text();
    assert!(
        indonesian.contains("dari 100") && indonesian.contains("bak pemutih"),
        "{indonesian}"
    );
    assert!(get(studio, "/papers").await.text().contains("/papers/order-o-1"));
}

/// The feed at its address is RFC 5545 as another program reads it, and every file says the same of the plan.
#[tokio::test]
async fn the_plan_is_handed_out_as_files() {
    let small = Small::new("files");
    let studio = &small.studio;
    let feed = get(studio, "/run/plan.ics").await;
    assert_eq!(feed.header("content-type"), "text/calendar; charset=utf-8");
    let calendars: Vec<_> = ical::IcalParser::new(feed.body.as_slice())
        .collect::<Result<_, _>>()
        .expect("a calendar");
    let events: usize = calendars.iter().map(|calendar| calendar.events.len()).sum();
    let plan: Value = serde_json::from_slice(&get(studio, "/run/plan.json").await.body).expect("JSON");
    assert_eq!(plan["judged"], true);
    assert_eq!(plan["lots"].as_array().expect("lots").len(), 2);
    let csv = get(studio, "/run/plan.csv").await;
    assert!(csv.header("content-type").starts_with("text/csv"));
    let pieces = csv.text().lines().count() - 1;
    let days: BTreeSet<String> = csv
        .text()
        .lines()
        .skip(1)
        .map(|line| line[..10].to_string())
        .collect();
    assert!(events > 2 && pieces > events.min(20), "{events} {pieces}");
    let first = days.first().expect("a day").clone();
    let of_day = get(studio, &format!("/run/plan.csv?first={first}")).await.text();
    assert!(of_day.lines().count() > 1 && of_day.lines().skip(1).all(|line| line.starts_with(&first)));
    let sheets = get(studio, &format!("/run/sheets.pdf?first={first}&lang=id")).await;
    assert!(sheets.body.starts_with(b"%PDF"));
    assert_eq!(get(studio, "/run/plan.xyz").await.status, StatusCode::NOT_FOUND);
}

/// A day without sun: what must hang out on it moves, each way is judged and played.
#[tokio::test]
async fn the_weather_of_a_day_is_asked() {
    let small = Small::new("day");
    let studio = &small.studio;
    let csv = get(studio, "/run/plan.csv").await.text();
    let sun = csv
        .lines()
        .find(|line| line.contains("Lay in the sun"))
        .expect("work in the sun");
    let day = &sun[..10];
    let said = get(studio, &format!("/run/day?day={day}&opens=09:00&closes=09:00"))
        .await
        .text();
    for says in [
        "keep",
        "some moves",
        "best",
        "Lay in the sun",
        "all on time, played",
        "faults that the judge finds",
    ] {
        assert!(said.contains(says), "{says}: {said}");
    }
    let faults = said
        .split("faults that the judge finds")
        .nth(1)
        .and_then(|rest| rest.split("</tr>").next());
    assert_eq!(
        faults.map(|row| row.matches("<td>0</td>").count()),
        Some(3),
        "{said}"
    );
    for (bad, says) in [
        ("day=soon&opens=09:00&closes=10:00", "is not a date"),
        ("day=2026-12-01&opens=9&closes=10:00", "is not a time of day"),
        (
            "day=2026-12-01&opens=11:00&closes=10:00",
            "closes before it opens",
        ),
    ] {
        let refused = get(studio, &format!("/run/day?{bad}")).await.text();
        assert!(refused.contains(says), "{bad}: {refused}");
        assert!(
            get(studio, &format!("/run?now=1&{bad}"))
                .await
                .text()
                .contains(says),
            "{bad}"
        );
    }
}

/// The season: the next visit's agenda, and the same as data.
#[tokio::test]
async fn the_season_tells_what_the_next_visit_is_for() {
    let small = Small::new("season");
    let studio = &small.studio;
    let page = get(studio, "/season?approved=rain-gutter").await.text();
    assert!(
        page.contains("data-job=\"/season/made?rounds=1&amp;approved=rain-gutter\""),
        "{page}"
    );
    let made = get(studio, "/season/made?rounds=1&approved=rain-gutter")
        .await
        .text();
    for says in [
        "To decide",
        "approve Tide pool strike-off",
        "/cloth/tide-pool.png?",
        "white cloth",
        "all orders",
    ] {
        assert!(made.contains(says), "{says}: {made}");
    }
    assert!(
        !made.contains("Rain gutter strike-off") && !made.contains("data:image"),
        "{made}"
    );
    let data = get(studio, "/season/season.json?rounds=1&approved=rain-gutter").await;
    let data: Value = serde_json::from_slice(&data.body).expect("JSON");
    let rounds = |at: usize| data["designs"][at]["rounds"].as_array().map(Vec::len);
    assert_eq!((rounds(0), rounds(1)), (Some(1), Some(0)), "{data}");
    let agenda = get(studio, "/season/agenda.txt?rounds=1&approved=rain-gutter&lang=id")
        .await
        .text();
    assert!(agenda.contains("Harus diputuskan"), "{agenda}");
}

/// A way to go on from a day without sun becomes the plan: a file that is read again as it was written, refused where
/// somebody else chose meanwhile, taken back, and left where the orders have outgrown it.
#[tokio::test]
async fn a_way_to_go_on_becomes_the_plan() {
    let small = Small::new("choose");
    let studio = &small.studio;
    let file = small.dir.join("plan.json");
    let sun = |csv: &str| -> Vec<String> {
        let lines = csv.lines().filter(|line| line.contains("Lay in the sun"));
        lines.map(|line| line[..10].to_string()).collect()
    };
    let before = get(studio, "/run/plan.csv").await.text();
    let day = sun(&before)[0].clone();
    let page = get(studio, "/run?now=1").await.text();
    let hash = |page: &str| -> String {
        let hash = page.split("data-plan-hash=\"").nth(1).expect("a hash");
        hash.chars().take_while(|c| *c != '"').collect()
    };
    let none = hash(&page);
    let way = |way: &str| json!({ "way": way, "day": day, "opens": "09:00", "closes": "09:00" }).to_string();
    // Nobody has asked for that day yet.
    let early = post(studio, "/api/plan", Some(&none), way("keep")).await;
    assert_eq!(early.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", early.text());
    let asked = get(studio, &format!("/run/day?day={day}&opens=09:00&closes=09:00"))
        .await
        .text();
    assert!(asked.contains("data-plan=\"/api/plan\"") && !file.exists());
    let chosen = post(studio, "/api/plan", Some(&none), way("keep")).await;
    assert_eq!(chosen.status, StatusCode::OK, "{}", chosen.text());

    let written: Value = serde_json::from_slice(&std::fs::read(&file).expect("a file")).expect("JSON");
    let after = get(studio, "/run/plan.csv").await.text();
    assert!(!sun(&after).contains(&day), "the day has no sun: {after}");
    let told: Value = serde_json::from_slice(&get(studio, "/run/plan.json").await.body).expect("JSON");
    for lot in 0..2 {
        assert_eq!(
            told["lots"][lot]["operations"],
            written["lots"][lot]["operations"]
        );
    }
    assert_eq!(told["judged"], true);
    let page = get(studio, "/run?now=1").await.text();
    assert!(page.contains("This plan was chosen"), "{page}");

    // Another tab that still shows the plan of before.
    let stale = post(studio, "/api/plan", Some(&none), way("best")).await;
    assert_eq!(stale.status, StatusCode::CONFLICT, "{}", stale.text());
    let now: Value = serde_json::from_slice(&std::fs::read(&file).expect("a file")).expect("JSON");
    assert_eq!(now, written);
    let now = hash(&page);
    assert_eq!(
        post(studio, "/api/plan/undo", Some(&none), "").await.status,
        StatusCode::CONFLICT
    );
    assert_eq!(
        post(studio, "/api/plan/undo", Some(&now), "").await.status,
        StatusCode::OK
    );
    assert_eq!(get(studio, "/run/plan.csv").await.text(), before);
    assert_eq!(
        post(studio, "/api/plan/redo", Some(&none), "").await.status,
        StatusCode::OK
    );
    assert_eq!(get(studio, "/run/plan.csv").await.text(), after);

    // Half an hour of bleach where it was 12 minutes: its times do not hold any more, until it is as it was.
    let design = small.dir.join("designs/tide-pool/design.toml");
    let text = std::fs::read_to_string(&design).expect("a design");
    std::fs::write(
        &design,
        text.replacen("time = \"12 min\"", "time = \"30 min\"", 1),
    )
    .expect("written");
    let page = get(studio, "/run?now=1").await.text();
    assert!(
        page.contains("does not fit the orders and routes any more"),
        "{page}"
    );
    std::fs::write(&design, text).expect("written");
    assert_eq!(get(studio, "/run/plan.csv").await.text(), after);
    // One bolt more: the plan that was chosen has no place for it.
    let orders = small.dir.join("orders.toml");
    let text = std::fs::read_to_string(&orders).expect("orders");
    std::fs::write(&orders, text.replacen("bolts = 2", "bolts = 3", 1)).expect("written");
    let page = get(studio, "/run?now=1").await.text();
    assert!(
        page.contains("does not fit the orders and routes any more"),
        "{page}"
    );
    assert_eq!(
        post(studio, "/api/plan", Some(&now), r#"{"way":"anew"}"#)
            .await
            .status,
        StatusCode::OK
    );
    let page = get(studio, "/run?now=1").await.text();
    assert!(
        !page.contains("does not fit the orders and routes any more")
            && !page.contains("This plan was chosen")
    );
}
