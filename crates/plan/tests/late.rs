//! Why an order is late, and what helps: worked by hand.

use plan::solve::{Options, solve};
use plan::*;
use words::Voice;

/// One stamp; it prints a bolt in 200 minutes of a day of 480. Lot A (two bolts) comes first by weight; lot B's one
/// bolt is folded for 10 minutes, stamped, packed for 20. Day 0: A's first two bolts take minutes 0..400 of the stamp,
/// B cannot finish stamping before the second day.
fn problem() -> Problem {
    let day = |d: Minute| Window::new(d * 1440 + 480, d * 1440 + 960);
    let shop = CalendarId(0);
    let lot = |name: &str, bolts, weight, due, release| Lot {
        name: name.into(),
        bolts,
        release,
        due,
        weight,
        approval: None,
        route: vec![
            Operation::new("fold", 10, shop),
            Operation::new("stamp", 200, shop).holding(ResourceId(0), 1),
            Operation::new("pack", 20, shop),
        ],
        lags: Vec::new(),
    };
    Problem {
        first_day: sky::Date::parse("2026-01-05").unwrap(),
        calendars: vec![Calendar {
            name: "shop".into(),
            windows: (0..5).map(day).collect(),
        }],
        resources: vec![Resource {
            name: "stamp:fan".into(),
            capacity: 1,
            set_up: Vec::new(),
        }],
        lots: vec![lot("A", 2, 10, 960, 0), lot("B", 1, 1, 960, 0)],
        weights: Weights {
            origin: 480,
            ..Weights::default()
        },
    }
}

fn solved(problem: &Problem) -> Schedule {
    let options = Options {
        tries: 300,
        ..Options::default()
    };
    let plan = solve(problem, &options, &mut |_, _| {}, &|| true).unwrap();
    assert_eq!(judge::check(problem, &plan), []);
    plan
}

#[test]
fn the_chain_names_the_stamp_and_who_had_it() {
    let p = problem();
    let plan = solved(&p);
    assert!(late(&p, &plan, 0).is_none());
    let why = late(&p, &plan, 1).unwrap();
    // Folded by 8:10, stamped from the next morning at 8:00: 200 min of stamping and 20 of packing after that.
    assert_eq!(plan.completion(&p, 1), Some(1440 + 480 + 220));
    assert_eq!(why.minutes, 1440 + 480 + 220 - 960);
    let stamp = &why.chain[1];
    assert_eq!((stamp.ready, stamp.placed.start), (490, 1920));
    assert_eq!(stamp.wait, Wait::Resource(ResourceId(0), vec![0]));
    assert_eq!(why.binding, Some((ResourceId(0), 1430)));
    // Every minute from the first start on is work or a wait.
    let work: Minute = why.chain.iter().map(|l| l.placed.end - l.placed.start).sum();
    let waits: Minute = why.chain.iter().map(|l| l.placed.start - l.ready).sum();
    assert_eq!(why.chain[0].ready + work + waits, plan.completion(&p, 1).unwrap());
    let said: Vec<String> = why
        .lines(&p, &p)
        .iter()
        .map(|l| l.say(Voice::default()))
        .collect();
    assert!(
        said.iter()
            .any(|l| l.contains("stamp was ready at 2026-01-05 08:10") && l.contains("taken by A")),
        "{said:?}"
    );
}

#[test]
fn overtime_and_a_second_copy_are_found_by_planning_again() {
    let p = problem();
    let plan = solved(&p);
    let why = late(&p, &plan, 1).unwrap();
    let levers = Levers {
        overtime: vec![CalendarId(0)],
        now: 0,
    };
    let options = Options {
        tries: 200,
        ..Options::default()
    };
    let found = remedies(&p, &plan, &why, &levers, &options, &|| true);
    // With a second copy B is done at 8:10 + 200 + 20 on the first day. Two hours of overtime on the first day do not
    // hold a third bolt (480 + 120 < 10 + 3 x 200 + 20) and help nobody that day.
    let copy = found
        .iter()
        .find(|r| r.help == Help::AnotherUnit(ResourceId(0)))
        .unwrap();
    assert!(copy.late <= 0 && copy.harmed.is_empty());
    assert!(
        found.iter().all(|r| !matches!(r.help, Help::Overtime(_))),
        "{found:?}"
    );
    // With stamping of 180 minutes it does: 10 + 3 x 180 + 20 = 570 <= 600, done at 17:30 instead of the next day.
    let mut short = p.clone();
    for lot in &mut short.lots {
        lot.route[1].duration = 180;
    }
    let plan = solved(&short);
    let why = late(&short, &plan, 1).unwrap();
    let found = remedies(&short, &plan, &why, &levers, &options, &|| true);
    let overtime = found
        .iter()
        .find(|r| matches!(r.help, Help::Overtime(_)))
        .unwrap();
    assert_eq!(
        (overtime.help.clone(), overtime.late),
        (Help::Overtime(0), 480 + 570 - 960)
    );
    let said = overtime.line(&short, &short, 1).say(Voice::default());
    assert!(said.contains("overtime on 2026-01-05"), "{said}");
    // What makes it in time comes first.
    assert_eq!(found[0].help, Help::AnotherUnit(ResourceId(0)));
}

#[test]
fn a_lot_that_may_begin_earlier_or_be_split_is_told_so() {
    let mut p = problem();
    // A alone: two bolts, released on the second day, promised for its end: 10 + 400 + 20 = 430 fits in 480. Five bolts
    // do not: 1 day holds 2 of them (10 + 2 x 200 + 20), the fifth is done on the third.
    p.lots.truncate(1);
    p.lots[0].bolts = 5;
    p.lots[0].release = 1440;
    p.lots[0].due = 1440 + 960;
    let plan = solved(&p);
    let why = late(&p, &plan, 0).unwrap();
    let options = Options {
        tries: 200,
        ..Options::default()
    };
    let found = remedies(&p, &plan, &why, &Levers::default(), &options, &|| true);
    let split = found
        .iter()
        .find(|r| matches!(r.help, Help::SplitLot(_)))
        .unwrap();
    assert_eq!(split.help, Help::SplitLot(2));
    assert!(split.late <= 0);
    let earlier = found
        .iter()
        .find(|r| matches!(r.help, Help::EarlierRelease(_)))
        .unwrap();
    assert_eq!(earlier.help, Help::EarlierRelease(1));
    assert!(earlier.late < why.minutes);
}
