//! The solver on whole workshops: always sound, never below the bound, near the best known.

mod common;

use common::instance;
use plan::solve::{Options, repair, solve};
use plan::*;
use std::cell::Cell;

/// Solves, checks everything that must always hold, and says how far above the best known the plan is.
fn above_best(name: &str, tries: u64) -> f64 {
    let (problem, best) = instance(name);
    assert!(examine(&problem).is_empty());
    let mut heard = Vec::new();
    let options = Options {
        tries,
        ..Options::default()
    };
    let plan = solve(
        &problem,
        &options,
        &mut |s, score| heard.push((s.clone(), score.total)),
        &|| true,
    )
    .unwrap();
    assert_eq!(judge::check(&problem, &plan), [], "{name}");
    let score = plan.score(&problem).unwrap();
    assert!(
        heard.windows(2).all(|w| w[1].1 < w[0].1),
        "each plan told is better than the one before"
    );
    assert!(heard.iter().all(|(s, _)| judge::check(&problem, s).is_empty()));
    assert_eq!(heard.last().unwrap().0, plan);
    let bound = bound(&problem).unwrap();
    assert!(
        bound.total <= score.total + 1e-6 && bound.total <= best + 0.06,
        "{name}: {} {best}",
        bound.total
    );
    for (l, (earliest, _)) in bound.lots.iter().enumerate() {
        assert!(plan.completion(&problem, l).unwrap() >= *earliest);
    }
    let above = score.total / best - 1.0;
    println!(
        "{name}: {:.1}, best known {best:.1}, {:+.2} %, gap {:.2} %",
        score.total,
        above * 100.0,
        bound.gap(score.total) * 100.0
    );
    above
}

#[test]
fn four_bolts() {
    assert!(above_best("b004_loose", 4_000) < 0.005);
    assert!(above_best("b004_tight", 4_000) < 0.005);
}

#[test]
fn ten_to_forty_bolts() {
    assert!(above_best("b010_tight", 3_000) < 0.01);
    assert!(above_best("b020_tight", 2_000) < 0.01);
    assert!(above_best("b040_tight", 1_500) < 0.01);
}

#[test]
fn the_same_seed_gives_the_same_plan_and_a_stop_is_obeyed() {
    let (problem, _) = instance("b010_tight");
    let run = |seed, keep: &dyn Fn() -> bool| {
        solve(
            &problem,
            &Options {
                tries: 300,
                seed,
                ..Options::default()
            },
            &mut |_, _| {},
            keep,
        )
        .unwrap()
    };
    assert_eq!(run(5, &|| true), run(5, &|| true));
    let asked = Cell::new(0);
    let stopped = run(5, &|| {
        asked.set(asked.get() + 1);
        asked.get() < 10
    });
    assert!(asked.get() < 20);
    assert_eq!(judge::check(&problem, &stopped), []);
}

#[test]
fn just_in_time_cuts_work_in_progress_and_delays_nothing() {
    let (problem, _) = instance("b020_tight");
    // Both from the same few orders of lots: what is left is the choice.
    let run = |just_in_time| {
        let options = Options {
            tries: 1,
            just_in_time,
            ..Options::default()
        };
        let plan = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
        assert_eq!(judge::check(&problem, &plan), []);
        plan.score(&problem).unwrap()
    };
    let (soon, late) = (run(false), run(true));
    println!(
        "mean flow {:.0} as soon as possible, {:.0} just in time",
        soon.mean_flow, late.mean_flow
    );
    assert!(late.mean_flow < 0.86 * soon.mean_flow);
    assert!(late.makespan <= soon.makespan && late.weighted_tardiness <= soon.weighted_tardiness);
}

#[test]
fn replanning_never_moves_what_has_begun() {
    let (problem, _) = instance("b010_tight");
    let first = solve(
        &problem,
        &Options {
            tries: 50,
            ..Options::default()
        },
        &mut |_, _| {},
        &|| true,
    )
    .unwrap();
    let now = 1440 + 600;
    let begun = first.begun(now);
    assert!(begun.len() > 10);
    let options = Options {
        tries: 400,
        now,
        begun: begun.clone(),
        approved: first.approvals.iter().map(|(l, w)| (*l, *w)).collect(),
        seed: 3,
        ..Options::default()
    };
    let again = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
    assert_eq!(judge::check(&problem, &again), []);
    for (at, p) in begun {
        assert_eq!(again.placed[&at], p);
    }
    let moved = again
        .placed
        .iter()
        .filter(|(at, p)| first.placed[at] != **p && p.start < now)
        .count();
    assert_eq!(moved, 0);
}

#[test]
fn a_plan_can_be_looked_at() {
    let (problem, _) = instance("b004_loose");
    let plan = solve(
        &problem,
        &Options {
            tries: 50,
            ..Options::default()
        },
        &mut |_, _| {},
        &|| true,
    )
    .unwrap();
    let g = gantt(&problem, &plan);
    assert_eq!(g.by_lot.len(), 2);
    let bars: usize = g.by_lot.iter().flat_map(|r| &r.lanes).map(Vec::len).sum();
    assert_eq!(bars, 4 * 17 + 1);
    for row in g.by_lot.iter().chain(&g.by_station) {
        for lane in &row.lanes {
            assert!(lane.windows(2).all(|w| w[0].end <= w[1].start), "{}", row.label);
        }
    }
    // A pool never needs more lanes than it has places, as each bar holds one here but for helpers.
    for row in g.by_station.iter().filter(|r| r.label != "helper") {
        let there = problem
            .resources
            .iter()
            .find(|r| r.name == row.label)
            .unwrap()
            .capacity as usize;
        assert!(row.lanes.len() <= there, "{}", row.label);
    }
    let boil = g.by_station.iter().find(|r| r.label == "cauldron").unwrap();
    let boiled: usize = boil.lanes.iter().flatten().map(|b| b.bolts.len()).sum();
    assert_eq!(boiled, 4);
    assert_eq!(g.days[0].1, sky::Weekday::Monday);
    assert_eq!(problem.clock(g.days[1].2 + 860), format!("{} 14:20", g.days[1].0));
}

/// A day without the cauldron: repair moves least, a search that counts unrest lies between, a free one is best.
#[test]
fn a_lost_day_is_repaired_with_little_unrest() {
    let (mut problem, _) = instance("b010_tight");
    let options = Options {
        tries: 600,
        ..Options::default()
    };
    let first = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
    let now = 1440 + 440;
    let lost = Window::new(2 * 1440, 3 * 1440);
    let fire = problem.calendars.iter_mut().find(|c| c.name == "fire").unwrap();
    fire.windows = calendar::subtract(&fire.windows, &[lost]);
    let hit = |s: &Schedule| !judge::check(&problem, s).is_empty();
    assert!(hit(&first), "the lost day must matter");
    let again = Options {
        now,
        begun: first.begun(now),
        approved: first.approvals.iter().map(|(l, w)| (*l, *w)).collect(),
        start: Some(first.clone()),
        ..options
    };
    let total = |s: &Schedule| s.score(&problem).unwrap().total;
    let points = |s: &Schedule| Unrest::between(&first, s, now).points;
    let search = |unrest| {
        let options = Options {
            unrest,
            ..again.clone()
        };
        solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap()
    };
    let (keep, some, best) = (repair(&problem, &again).unwrap(), search(20.0), search(0.0));
    for plan in [&keep, &some, &best] {
        assert!(!hit(plan));
        assert_eq!(judge::check_from(&problem, plan, now, &again.begun), []);
        assert!(first.begun(now).iter().all(|(at, p)| plan.placed[at] == *p));
    }
    println!(
        "keep {:.1}, unrest {}; some {:.1}, {}; best {:.1}, {}",
        total(&keep),
        points(&keep),
        total(&some),
        points(&some),
        total(&best),
        points(&best)
    );
    let cost = |s: &Schedule| total(s) + 20.0 * points(s) as f64;
    assert!(cost(&some) <= cost(&keep) && total(&best) <= total(&keep));
    assert!(points(&keep) < points(&best));
    // Nothing has happened: nothing moves.
    let calm = repair(&instance("b010_tight").0, &again).unwrap();
    assert_eq!(Unrest::between(&first, &calm, now).points, 0);
}

#[test]
fn a_running_plan_is_judged_from_its_state_on() {
    let (problem, _) = instance("b004_tight");
    let options = Options {
        tries: 50,
        ..Options::default()
    };
    let mut plan = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
    let now = plan.placed.values().map(|p| p.start).min().unwrap() + 1;
    let mut begun = plan.begun(now);
    // The first operation took a minute longer than planned: true, and not to be mended.
    let (at, placed) = begun[0];
    let late = Placed {
        end: placed.end + 1,
        ..placed
    };
    begun[0].1 = late;
    assert!(judge::check_from(&problem, &plan, now, &begun).contains(&Fault::Moved { at }));
    plan.placed.insert(at, late);
    let wrong = |faults: &[Fault]| faults.iter().any(|f| matches!(f, Fault::WrongDuration { .. }));
    assert!(wrong(&judge::check(&problem, &plan)));
    assert!(!wrong(&judge::check_from(&problem, &plan, now, &begun)));
    // Something that has not begun may not lie before now.
    let (at, placed) = plan
        .placed
        .iter()
        .find(|(_, p)| p.start >= now)
        .map(|(a, p)| (*a, *p))
        .unwrap();
    let past = Placed {
        start: now - 1,
        ..placed
    };
    plan.placed.insert(at, past);
    let faults = judge::check_from(&problem, &plan, now, &begun);
    assert!(
        faults.contains(&Fault::InThePast { at, start: now - 1 }),
        "{faults:?}"
    );
}
