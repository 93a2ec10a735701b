//! How good the plans are beside published and best known results, as the table of `docs/plan-quality.md`:
//! `quality [NAME...]`, all where no name (or beginning of one) is given.
//!
//! A plan's budget is a number of tries, so that the table is the same on every machine but for the seconds.

#[path = "../tests/common/mod.rs"]
mod common;

use plan::solve::{Options, solve};
use plan::{Problem, Schedule, Score, bound, judge};
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

/// Tries spent on a job shop.
const JOB_SHOP: u64 = 100_000;

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
        row(&name, &problem, optimum as f64, JOB_SHOP, false);
    }
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
