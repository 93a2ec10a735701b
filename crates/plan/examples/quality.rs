//! How good the plans are beside published and best known results, and how fast they are played in rain, as the tables of
//! `docs/plan-quality.md`:
//! `quality [NAME...]`, all where no name (or beginning of one) is given.
//!
//! A plan's budget is a number of tries, so that the table is the same on every machine but for the seconds.

#[path = "../tests/common/mod.rs"]
mod common;

use plan::solve::{Options, solve, weathered};
use plan::{
    CalendarId, Chances, Floor, Problem, Rain, Schedule, Score, Spread, Window, bound, judge, replay,
};
use std::cell::Cell;
use std::time::Instant;

/// Workshops and the tries spent on each.
const WORKSHOPS: &[(&str, u64)] = &[
    ("b004_loose", 10_000),
    ("b004_tight", 10_000),
    ("b010_loose", 20_000),
    ("b010_tight", 20_000),
    ("b020_loose", 10_000),
    ("b020_tight", 10_000),
    ("b040_loose", 5_000),
    ("b040_tight", 5_000),
    ("b080_loose", 6_000),
    ("b080_tight", 6_000),
    ("b200_loose", 4_000),
    ("b200_tight", 4_000),
];

/// Tries spent on a job shop; each is one move on the disjunctive graph.
const JOB_SHOP: u64 = 1_000_000;
/// Those that are within a hundredth only after more.
const HARDER: &[(&str, u64)] = &[
    ("abz7", 4_000_000),
    ("la29", 12_000_000),
    ("swv01", 4_000_000),
    ("ta21", 4_000_000),
    ("yn1", 4_000_000),
];
/// Workshops that are played in rain and repaired for a wet day.
const PLAYED: &[&str] = &["b010_tight", "b040_loose", "b200_loose"];
/// How often, as `lorod plan` does it.
const REPLAYS: u32 = 1_000;

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).collect();
    let wanted = |name: &str| asked.is_empty() || asked.iter().any(|a| name.starts_with(a.as_str()));
    println!("| plan of | tries | found | reference | above it | bound | gap to bound | seconds |");
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    for (name, budget) in WORKSHOPS.iter().filter(|(name, _)| wanted(name)) {
        let (problem, best) = common::instance(name);
        row(name, &problem, best, *budget, true);
    }
    for name in common::job_shops().into_iter().filter(|name| wanted(name)) {
        let (problem, optimum) = common::job_shop(&name);
        let tries = HARDER
            .iter()
            .find(|(harder, _)| *harder == name)
            .map_or(JOB_SHOP, |(_, tries)| *tries);
        row(&name, &problem, optimum as f64, tries, false);
    }
    println!("\n| plan of | operations | {REPLAYS} replays in rain, s | repair for a wet day, s |");
    println!("| --- | ---: | ---: | ---: |");
    for name in PLAYED.iter().filter(|name| wanted(name)) {
        weather(name);
    }
}

/// How long replays and a repair take.
fn weather(name: &str) {
    let (problem, _) = common::instance(name);
    let options = Options {
        tries: 50,
        ..Options::default()
    };
    let plan = solve(&problem, &options, &mut |_, _| {}, &|| true).expect("a plan");
    let sun = problem
        .calendars
        .iter()
        .position(|c| c.name.contains("sun"))
        .expect("a calendar of the sun");
    let mut chance = [0.05; 24];
    chance[12..17].fill(0.35);
    let rain = Rain {
        calendars: vec![CalendarId(sun)],
        chance: [chance; 12],
        floor: Floor::Inside(3.0),
    };
    let spread = Spread {
        least: 0.85,
        likely: 1.0,
        most: 1.3,
    };
    let spreads: Vec<Vec<Spread>> = problem
        .lots
        .iter()
        .map(|lot| vec![spread; lot.route.len()])
        .collect();
    let chances = Chances {
        rain: Some(&rain),
        spreads: &spreads,
        replays: REPLAYS,
        seed: 1,
        now: 0,
    };
    let since = Instant::now();
    let played = replay(&problem, &plan, &chances, &|| true).expect("a whole plan");
    let replayed = since.elapsed().as_secs_f64();
    assert_eq!(played.replays, REPLAYS);
    let (now, shut) = (2 * 1440, [Window::new(2 * 1440, 3 * 1440)]);
    let since = Instant::now();
    let (wet, repaired) = weathered(&problem, &plan, &[CalendarId(sun)], &shut, now).expect("a repair");
    let took = since.elapsed().as_secs_f64();
    assert!(judge::check(&wet, &repaired).is_empty(), "{name}");
    println!("| {name} | {} | {replayed:.2} | {took:.2} |", plan.placed.len());
}

fn row(name: &str, problem: &Problem, reference: f64, tries: u64, just_in_time: bool) {
    let options = Options {
        tries,
        just_in_time,
        ..Options::default()
    };
    let bound = bound(problem).expect("a bound");
    // What no plan can beat need not be looked for any longer.
    let proven = Cell::new(false);
    let since = Instant::now();
    let mut on_better = |_: &Schedule, score: &Score| proven.set(score.total <= bound.total + 1e-6);
    let plan = solve(problem, &options, &mut on_better, &|| !proven.get()).expect("a plan");
    let seconds = since.elapsed().as_secs_f64();
    assert!(judge::check(problem, &plan).is_empty(), "{name}");
    let found = plan.score(problem).expect("whole").total;
    println!(
        "| {name} | {tries} | {found:.1} | {reference:.1} | {:+.2} % | {:.1} | {:.2} % | {seconds:.1} |",
        (found / reference - 1.0) * 100.0,
        bound.total,
        bound.gap(found) * 100.0
    );
}
