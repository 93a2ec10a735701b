//! Two facts that clash are named, in two languages.

use plan::solve::{Options, solve};
use plan::*;
use words::{Language, Voice};

const SATURDAY: Minute = 5 * 1440;
const MONDAY: Minute = 7 * 1440;

/// A jig and the rinse that ends its rest: 2 to 18 hours after, 10 minutes; shop closes 16:30, Sundays closed.
fn problem(jig_from: Minute) -> Problem {
    let shifts = |d: Minute| {
        [
            Window::new(d * 1440 + 450, d * 1440 + 720),
            Window::new(d * 1440 + 780, d * 1440 + 990),
        ]
    };
    let shop: Vec<Window> = (0..10).filter(|d| *d != 6).flat_map(shifts).collect();
    let jig: Vec<Window> = vec![Window::new(jig_from, SATURDAY + 990)];
    Problem {
        // A Monday.
        first_day: sky::Date::parse("2026-01-05").unwrap(),
        calendars: vec![
            Calendar {
                name: "shop".into(),
                windows: shop,
            },
            Calendar {
                name: "jig hours".into(),
                windows: jig,
            },
        ],
        resources: vec![Resource {
            name: "jig".into(),
            capacity: 1,
            set_up: Vec::new(),
        }],
        lots: vec![Lot {
            name: "L1".into(),
            bolts: 1,
            release: 0,
            due: 20_000,
            weight: 1,
            approval: None,
            route: vec![
                Operation::new("jig", 5, CalendarId(1)).holding(ResourceId(0), 1),
                Operation::new("rinse", 10, CalendarId(0)),
            ],
            lags: vec![Lag {
                from: 0,
                to: 1,
                least: 120,
                most: Some(1080),
            }],
        }],
        weights: Weights::default(),
    }
}

fn solved(problem: &Problem) -> Result<Schedule, Vec<words::Finding>> {
    solve(
        problem,
        &Options {
            tries: 50,
            ..Options::default()
        },
        &mut |_, _| {},
        &|| true,
    )
}

#[test]
fn the_jig_must_end_by_14_20() {
    let p = problem(SATURDAY + 780);
    let call = last_call(&p, 0, &p.lots[0].lags[0], SATURDAY + 700).unwrap();
    assert_eq!(call.by, SATURDAY + 14 * 60 + 20);
    // 18 h before Monday 7:30 is Sunday 13:30.
    assert_eq!(call.or_from, Some(MONDAY + 450 - 1080));
    let said = call.finding.say(Voice::default()).join("\n");
    assert!(
        said.contains("2026-01-10 16:30") && said.contains("2026-01-12 07:30"),
        "{said}"
    );
    assert!(said.contains("jig must end by 2026-01-10 14:20"), "{said}");
    let id = call
        .finding
        .say(Voice {
            language: Language::Id,
            ..Voice::default()
        })
        .join("\n");
    assert!(id.contains("paling lambat 2026-01-10 14:20"), "{id}");
}

#[test]
fn the_solver_meets_the_last_minute_and_says_when_there_is_none() {
    // From 14:15 the jig ends at 14:20: just possible.
    let just = problem(SATURDAY + 855);
    let plan = solved(&just).unwrap();
    assert_eq!(judge::check(&just, &plan), []);
    assert_eq!(plan.get(0, 0, 0).unwrap().end, SATURDAY + 860);
    assert_eq!(plan.get(0, 0, 1).unwrap().start, SATURDAY + 980);
    // One minute later it is not.
    let late = problem(SATURDAY + 856);
    let findings = solved(&late).unwrap_err();
    let said = findings[0].say(Voice::default()).join("\n");
    println!("{said}");
    assert!(said.contains("120 to 1080 min after jig ends"), "{said}");
    assert!(
        said.contains("closes at 2026-01-10 16:30 and opens at 2026-01-12 07:30"),
        "{said}"
    );
    assert!(said.contains("by 2026-01-10 14:20"), "{said}");
}

#[test]
fn other_dead_ends_are_said_too() {
    let mut p = problem(SATURDAY + 780);
    p.lots[0].route[1].duration = 300;
    let said = solved(&p).unwrap_err()[0].say(Voice::default()).join("\n");
    assert!(said.contains("rinse"), "{said}");
    // Nothing is left of the plan after the release.
    let mut p = problem(SATURDAY + 780);
    p.lots[0].release = SATURDAY + 988;
    let said = solved(&p).unwrap_err()[0].say(Voice::default()).join("\n");
    assert!(
        said.contains("jig of lot L1") && said.contains("plan more days"),
        "{said}"
    );
    // A problem that is not sound.
    let mut p = problem(SATURDAY + 780);
    p.lots[0].route[0].uses[0].quantity = 2;
    let said = solved(&p).unwrap_err()[0].say(Voice::default()).join("\n");
    assert!(said.contains("needs 2 of jig, and there are 1"), "{said}");
}

#[test]
fn what_has_begun_stays() {
    let p = problem(SATURDAY + 780);
    let begun = (
        Spot {
            lot: 0,
            bolt: 0,
            operation: 0,
        },
        Placed {
            start: SATURDAY + 800,
            end: SATURDAY + 805,
            mode: None,
        },
    );
    let options = Options {
        tries: 50,
        now: SATURDAY + 940,
        begun: vec![begun],
        ..Options::default()
    };
    let plan = solve(&p, &options, &mut |_, _| {}, &|| true).unwrap();
    assert_eq!(judge::check(&p, &plan), []);
    assert_eq!(plan.placed.get(&begun.0), Some(&begun.1));
    assert_eq!(plan.get(0, 0, 1).unwrap().start, SATURDAY + 940);
    // If it has ended too late, the clash is said.
    let late = Placed {
        start: SATURDAY + 900,
        end: SATURDAY + 905,
        mode: None,
    };
    let options = Options {
        tries: 50,
        now: SATURDAY + 940,
        begun: vec![(begun.0, late)],
        ..Options::default()
    };
    let said = solve(&p, &options, &mut |_, _| {}, &|| true).unwrap_err()[0]
        .say(Voice::default())
        .join("\n");
    assert!(said.contains("14:20"), "{said}");
}
