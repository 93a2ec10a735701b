//! What no plan can reconcile is named as the smallest set of facts, by hand.

use plan::*;
use words::{Language, Voice, Weight};

fn problem(route: Vec<Operation>, lags: Vec<Lag>) -> Problem {
    let day = |d: Minute| {
        [
            Window::new(d * 1440 + 450, d * 1440 + 720),
            Window::new(d * 1440 + 780, d * 1440 + 990),
        ]
    };
    Problem {
        calendars: vec![
            Calendar {
                name: "shop".into(),
                windows: (0..6).flat_map(day).collect(),
            },
            Calendar {
                name: "visit".into(),
                windows: Vec::new(),
            },
        ],
        lots: vec![Lot {
            name: "L1".into(),
            bolts: 1,
            release: 0,
            due: 8000,
            weight: 1,
            approval: None,
            route,
            lags,
        }],
        ..Problem::default()
    }
}

fn op(key: &str, minutes: Minute) -> Operation {
    Operation::new(key, minutes, CalendarId(0))
}

fn lag(from: usize, to: usize, least: Minute, most: Option<Minute>) -> Lag {
    Lag {
        from,
        to,
        least,
        most,
    }
}

/// The one finding, in English; its Indonesian must name the same numbers.
#[track_caller]
fn said(problem: &Problem, code: &str, weight: Weight) -> String {
    let found = examine(problem);
    assert_eq!(
        found.iter().map(|f| (f.code, f.weight)).collect::<Vec<_>>(),
        [(code, weight)]
    );
    let en = found[0].say(Voice::default()).join("; ");
    let id = found[0]
        .say(Voice {
            language: Language::Id,
            ..Voice::default()
        })
        .join("; ");
    let digits = |s: &str| s.chars().filter(char::is_ascii_digit).collect::<Vec<_>>().len();
    assert_eq!(digits(&en), digits(&id), "{en} / {id}");
    assert_ne!(en, id);
    en
}

#[test]
fn a_limit_that_is_none() {
    let p = problem(
        vec![op("jig", 5), op("rinse", 10)],
        vec![lag(0, 1, 120, Some(60))],
    );
    assert_eq!(
        said(&p, "limits-clash", Weight::Wrong),
        "lot L1: between jig and rinse at least 120 min must pass, and at most 60"
    );
}

#[test]
fn a_route_in_a_circle() {
    let p = problem(vec![op("jig", 5), op("rinse", 10)], vec![lag(1, 0, 0, None)]);
    assert!(said(&p, "route-circle", Weight::Wrong).contains("jig stands before rinse"));
}

/// Dye to jig within 60 min; between them spray (15), 10 min of wait, sun (40): 65. The fold before is no part of it.
#[test]
fn several_operations_that_are_too_long_together() {
    let route = vec![
        op("fold", 12),
        op("dye", 20),
        op("spray", 15),
        op("sun", 40),
        op("jig", 5),
    ];
    let lags = vec![lag(0, 1, 30, None), lag(1, 4, 0, Some(60)), lag(2, 3, 10, None)];
    let text = said(&problem(route.clone(), lags), "limits-clash", Weight::Wrong);
    assert!(
        text.contains("at most 60 min after dye ends") && text.contains("at least 65 min"),
        "{text}"
    );
    assert!(
        text.contains("spray: 15, spray → sun: 10, sun: 40") && !text.contains("fold"),
        "{text}"
    );
    let lags = vec![lag(1, 4, 0, Some(65)), lag(2, 3, 10, None)];
    assert_eq!(examine(&problem(route, lags)), []);
}

#[test]
fn no_shift_is_long_enough() {
    // The morning has 270 minutes, the afternoon 210.
    let p = problem(vec![op("boil", 271)], Vec::new());
    let text = said(&p, "no-shift", Weight::Wrong);
    assert!(
        text.contains("boil of lot L1 takes 271 min") && text.contains("longest window of shop has 270"),
        "{text}"
    );
    let mut pausing = op("boil", 271);
    pausing.pausable = true;
    assert_eq!(examine(&problem(vec![pausing], Vec::new())), []);
    assert_eq!(examine(&problem(vec![op("boil", 270)], Vec::new())), []);
    let p = problem(vec![Operation::new("look", 5, CalendarId(1))], Vec::new());
    assert!(said(&p, "no-shift", Weight::Wrong).contains("visit, which is never open"));
}

#[test]
fn promised_before_its_cloth_is_there() {
    let mut p = problem(vec![op("fold", 12)], Vec::new());
    (p.lots[0].release, p.lots[0].due) = (3 * 1440 + 450, 3 * 1440);
    let text = said(&p, "promise-before-cloth", Weight::Doubtful);
    assert!(
        text.contains("promised for 1970-01-04 00:00") && text.contains("before 1970-01-04 07:30"),
        "{text}"
    );
}
