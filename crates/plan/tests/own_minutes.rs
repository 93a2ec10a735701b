//! Bolts of one lot whose minutes differ: loads of a bath that weakens.

use plan::solve::{Options, solve};
use plan::{
    Batch, Calendar, CalendarId, Chances, Lag, Lot, Minute, Operation, Placed, Problem, Resource, ResourceId,
    Schedule, Spot, Window, bound, judge, replay,
};

/// Four bolts through a tank of three, 10 min for the first load and 14 for the second, then 3 min at most to a tub of one
/// minute each.
fn problem() -> Problem {
    let (open, tank) = (CalendarId(0), ResourceId(0));
    let mut bleach = Operation::new("bleach", 11, open).holding(tank, 1);
    bleach.of_bolts = vec![10, 10, 10, 14];
    bleach.batch = Some(Batch {
        vessel: tank,
        capacity: 3,
        family: "white".to_string(),
    });
    Problem {
        calendars: vec![Calendar {
            name: "shop".to_string(),
            windows: vec![Window::new(480, 990)],
        }],
        resources: vec![
            Resource {
                name: "tank".to_string(),
                capacity: 1,
                set_up: Vec::new(),
            },
            Resource {
                name: "tub".to_string(),
                capacity: 1,
                set_up: Vec::new(),
            },
        ],
        lots: vec![Lot {
            name: "four".to_string(),
            bolts: 4,
            release: 0,
            due: 990,
            weight: 1,
            approval: None,
            route: vec![bleach, Operation::new("tub", 1, open).holding(ResourceId(1), 1)],
            lags: vec![Lag {
                from: 0,
                to: 1,
                least: 0,
                most: Some(3),
            }],
        }],
        ..Problem::default()
    }
}

fn spot(bolt: u32, operation: usize) -> Spot {
    Spot {
        lot: 0,
        bolt,
        operation,
    }
}

/// By hand: the last load ends 24 min after the first begins, whichever goes first, and its bolt is out of the tub one
/// minute later at the earliest; with the second load first the three bolts of the other still stand in line, 27.
#[test]
fn loads_take_their_own_minutes() {
    let problem = problem();
    let options = Options {
        tries: 200,
        ..Options::default()
    };
    let schedule = solve(&problem, &options, &mut |_, _| {}, &|| true).expect("a plan");
    assert_eq!(judge::check(&problem, &schedule), []);
    let minutes = |bolt| {
        let placed = schedule.placed[&spot(bolt, 0)];
        placed.end - placed.start
    };
    assert_eq!((0..4).map(minutes).collect::<Vec<Minute>>(), [10, 10, 10, 14]);
    assert_eq!(schedule.completion(&problem, 0), Some(480 + 25));
    // No plan is better than the bound says, though it thinks that all bolts take 10 min.
    let total = schedule.score(&problem).expect("whole").total;
    let bound = bound(&problem).expect("a bound");
    assert!(bound.total <= total, "{} {total}", bound.total);
    // Replayed without rain or strays it ends as planned.
    let chances = Chances {
        rain: None,
        spreads: &[],
        replays: 1,
        seed: 1,
        now: 0,
    };
    let played = replay(&problem, &schedule, &chances, &|| true).expect("played");
    assert_eq!(played.lots[0].p50, Some(480 + 25));
}

/// The judge lets no bolt of the second load out with the first.
#[test]
fn a_load_is_not_mixed() {
    let problem = problem();
    let mut schedule = Schedule::default();
    let place = |start, end| Placed {
        start,
        end,
        mode: None,
    };
    for (bolt, tank, tub) in [(0, 490, 500), (1, 490, 501), (2, 480, 490), (3, 480, 491)] {
        schedule.placed.insert(spot(bolt, 0), place(tank, tank + 10));
        schedule.placed.insert(spot(bolt, 1), place(tub, tub + 1));
    }
    assert!(!judge::check(&problem, &schedule).is_empty());
    schedule.placed.insert(spot(2, 0), place(490, 500));
    schedule.placed.insert(spot(2, 1), place(502, 503));
    schedule.placed.insert(spot(3, 0), place(500, 514));
    schedule.placed.insert(spot(3, 1), place(514, 515));
    assert_eq!(judge::check(&problem, &schedule), []);
}

/// One bolt in the first load and three in the second. By hand: the three first, then the one, would be out of the tub after
/// 14 + 10 + 1 = 25 min; in the order of the bath it is 10 + 14 + 3 = 27, and no plan may be quicker than that.
fn the_heavy_load_last() -> Problem {
    let mut problem = problem();
    problem.lots[0].route[0].of_bolts = vec![10, 14, 14, 14];
    problem
}

fn place(start: Minute, minutes: Minute) -> Placed {
    Placed {
        start,
        end: start + minutes,
        mode: None,
    }
}

/// The plan that would be quicker: the weaker bath first.
fn out_of_order() -> Schedule {
    let mut schedule = Schedule::default();
    for (bolt, tank, minutes, tub) in [
        (0, 494, 10, 504),
        (1, 480, 14, 494),
        (2, 480, 14, 495),
        (3, 480, 14, 496),
    ] {
        schedule.placed.insert(spot(bolt, 0), place(tank, minutes));
        schedule.placed.insert(spot(bolt, 1), place(tub, 1));
    }
    schedule
}

#[test]
fn loads_go_in_as_the_bath_weakens() {
    let problem = the_heavy_load_last();
    for (seed, just_in_time) in [(1, true), (2, false), (3, true)] {
        let options = Options {
            tries: 400,
            seed,
            just_in_time,
            ..Options::default()
        };
        let schedule = solve(&problem, &options, &mut |_, _| {}, &|| true).expect("a plan");
        assert_eq!(judge::check(&problem, &schedule), []);
        assert_eq!(schedule.completion(&problem, 0), Some(480 + 27));
        let (first, next) = (schedule.placed[&spot(0, 0)], schedule.placed[&spot(1, 0)]);
        assert!(first.end <= next.start, "{first:?} {next:?}");
    }
    let quicker = out_of_order();
    let faults = judge::check(&problem, &quicker);
    assert!(
        !faults.is_empty() && faults.iter().all(|fault| fault.code() == "plan-loads-order"),
        "{faults:?}"
    );
    // A bath that does not weaken has no order.
    let mut alike = problem.clone();
    alike.lots[0].route[0].of_bolts = Vec::new();
    alike.lots[0].route[0].duration = 10;
    let mut other = quicker;
    for (at, placed) in &mut other.placed {
        if at.operation == 0 {
            placed.end = placed.start + 10;
        }
    }
    assert!(
        judge::check(&alike, &other)
            .iter()
            .all(|fault| fault.code() != "plan-loads-order"),
        "{:?}",
        judge::check(&alike, &other)
    );
}

/// A floor that began with the wrong load is not told that it cannot be: the plan goes on from there, and in the replay too.
#[test]
fn what_began_out_of_order_stands() {
    let problem = the_heavy_load_last();
    let begun: Vec<(Spot, Placed)> = (1..4).map(|bolt| (spot(bolt, 0), place(480, 14))).collect();
    let options = Options {
        tries: 50,
        now: 485,
        begun: begun.clone(),
        ..Options::default()
    };
    let schedule = solve(&problem, &options, &mut |_, _| {}, &|| true).expect("a plan");
    assert_eq!(judge::check_from(&problem, &schedule, 485, &begun), []);
    assert_eq!(schedule.completion(&problem, 0), Some(480 + 25));
    let chances = Chances {
        rain: None,
        spreads: &[],
        replays: 1,
        seed: 1,
        now: 0,
    };
    let played = replay(&problem, &schedule, &chances, &|| true).expect("played");
    assert_eq!(played.lots[0].p50, Some(480 + 25));
}

/// Loads by hand: up to a full batch of three, of bolts that follow each other and take alike; a fresh bath begins anew.
#[test]
fn a_load_is_what_goes_in_together() {
    let mut bleach = problem().lots[0].route[0].clone();
    bleach.of_bolts = vec![12, 12, 12, 12, 14, 12, 12];
    assert_eq!(bleach.loads(), [0..3, 3..4, 4..5, 5..7]);
    bleach.of_bolts = Vec::new();
    assert_eq!(bleach.loads(), []);
}
