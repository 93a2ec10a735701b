//! The classical job shop is a special case: one bolt a lot, one machine an operation, always open.

use plan::solve::{Options, solve};
use plan::*;

fn read(name: &str) -> (Problem, Minute) {
    let path = format!("{}/tests/data/job_shops.json", env!("CARGO_MANIFEST_DIR"));
    let all: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let jobs: Vec<Vec<(usize, Minute)>> = serde_json::from_value(all[name]["jobs"].clone()).unwrap();
    let machines = jobs[0].len();
    let lot = |(i, job): (usize, &Vec<(usize, Minute)>)| Lot {
        name: format!("job {i}"),
        bolts: 1,
        release: 0,
        due: 100_000,
        weight: 1,
        approval: None,
        route: job
            .iter()
            .map(|(m, d)| Operation::new(&format!("m{m}"), *d, CalendarId(0)).holding(ResourceId(*m), 1))
            .collect(),
        lags: Vec::new(),
    };
    let problem = Problem {
        first_day: sky::Date::default(),
        calendars: vec![Calendar {
            name: "always".into(),
            windows: vec![Window::new(0, 20_000)],
        }],
        resources: (0..machines)
            .map(|m| Resource {
                name: format!("m{m}"),
                capacity: 1,
                set_up: Vec::new(),
            })
            .collect(),
        lots: jobs.iter().enumerate().map(lot).collect(),
        weights: Weights {
            tardiness: 0,
            makespan: 1,
            mean_flow: 0,
            origin: 0,
        },
    };
    (problem, all[name]["optimum"].as_i64().unwrap())
}

fn makespan(name: &str, tries: u64) -> (Minute, Minute) {
    let (problem, optimum) = read(name);
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

#[test]
fn larger_ones_within_a_stated_gap() {
    for (name, gap) in [("la01", 0.0), ("la05", 0.0), ("ft10", 0.08)] {
        let (found, optimum) = makespan(name, 20_000);
        assert!(
            found as f64 <= optimum as f64 * (1.0 + gap),
            "{name}: {found} {optimum}"
        );
    }
}
