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

/// Lawrence's la05 is solved by any sensible order; la01 and ft10, which stood open for 26 years (Carlier and Pinson,
/// Management Science 35, 1989), are not.
#[test]
fn larger_ones_within_a_hundredth() {
    for (name, tries, above) in [
        ("la05", 1_000, 0.0),
        ("la01", 20_000, 0.0),
        ("ft10", 100_000, 0.01),
    ] {
        let (found, optimum) = makespan(name, tries);
        assert!(
            found as f64 <= optimum as f64 * (1.0 + above),
            "{name}: {found} {optimum}"
        );
    }
}
