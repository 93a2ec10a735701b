//! The classical job shop is a special case: one bolt a lot, one machine an operation, always open.

mod common;

use common::job_shop;
use plan::solve::{Options, solve};
use plan::*;

fn makespan(name: &str, tries: u64) -> (Minute, Minute) {
    let (problem, optimum) = job_shop(name);
    let options = Options {
        tries,
        just_in_time: false,
        ..Options::default()
    };
    let plan = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
    assert_eq!(judge::check(&problem, &plan), []);
    let found = plan.score(&problem).unwrap().makespan;
    let least = bound(&problem).unwrap().last.0;
    println!("{name}: {found}, optimum {optimum}, bound {least}");
    assert!(least <= optimum && optimum <= found);
    (found, optimum)
}

#[test]
fn the_six_by_six_of_fisher_and_thompson_is_solved() {
    let (found, optimum) = makespan("ft06", 20_000);
    assert_eq!((found, optimum), (55, 55));
}

/// ft10 stood open for 26 years (Carlier and Pinson, Management Science 35, 1989); la21 and la25 have 15 jobs on 10
/// machines.
#[test]
fn larger_ones_within_a_hundredth() {
    for (name, tries, above) in [
        ("ft10", 200_000, 0.01),
        ("la21", 200_000, 0.01),
        ("la25", 200_000, 0.01),
    ] {
        let (found, optimum) = makespan(name, tries);
        assert!(
            found as f64 <= optimum as f64 * (1.0 + above),
            "{name}: {found} {optimum}"
        );
    }
}

/// Two jobs that never meet: the first order is best, and the search ends by itself.
#[test]
fn nothing_to_exchange_is_the_end() {
    let (mut problem, _) = job_shop("ft06");
    problem.lots.truncate(2);
    problem.lots[0].route.truncate(1);
    problem.lots[1]
        .route
        .retain(|o| o.uses[0].resource != ResourceId(2));
    let options = Options {
        tries: u64::MAX,
        just_in_time: false,
        ..Options::default()
    };
    let plan = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
    let longest = problem
        .lots
        .iter()
        .map(|lot| lot.route.iter().map(|o| o.duration).sum::<Minute>());
    assert_eq!(plan.score(&problem).unwrap().makespan, longest.max().unwrap());
}

/// Whatever is more than machines goes the usual way: one machine with two places, a set-up, a break, or a promise that
/// counts. The same order of magnitude is found both ways, which only differs in how.
#[test]
fn other_shops_are_planned_as_before() {
    let plain = job_shop("ft06").0;
    let mut two = plain.clone();
    two.resources[0].capacity = 2;
    let mut hurried = plain.clone();
    hurried.weights.tardiness = 100;
    let mut lagged = plain.clone();
    lagged.lots[0].lags.push(Lag {
        from: 0,
        to: 1,
        least: 7,
        most: Some(9),
    });
    let mut released = plain.clone();
    released.lots[2].release = 60;
    let mut waiting = plain;
    waiting.lots[1].lags.push(Lag {
        from: 2,
        to: 3,
        least: 20,
        most: None,
    });
    for problem in [two, hurried, lagged, released, waiting] {
        let options = Options {
            tries: 5_000,
            just_in_time: false,
            ..Options::default()
        };
        let plan = solve(&problem, &options, &mut |_, _| {}, &|| true).unwrap();
        assert_eq!(judge::check(&problem, &plan), []);
        let found = plan.score(&problem).unwrap();
        assert!(found.total >= bound(&problem).unwrap().total);
        assert!(found.makespan < 130, "{found:?}");
    }
}
