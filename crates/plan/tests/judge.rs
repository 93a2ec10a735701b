//! The judge against plans that are wrong in exactly one way.

use plan::judge::check;
use plan::*;

const SHOP: CalendarId = CalendarId(0);
const VISIT: CalendarId = CalendarId(1);
const HELPER: ResourceId = ResourceId(0);
const TANK: ResourceId = ResourceId(1);
const BARREL: ResourceId = ResourceId(2);
const TABLE: ResourceId = ResourceId(3);
const DESIGNER: ResourceId = ResourceId(5);

/// Two lots of two bolts: soak (batch), stamp (pausable, two tables), dye (set-ups, attended at its start).
fn problem() -> Problem {
    let resource = |name: &str, capacity| Resource {
        name: name.into(),
        capacity,
        set_up: Vec::new(),
    };
    let mut barrel = resource("barrel", 1);
    barrel.set_up = vec![vec![0, 15], vec![45, 0]];
    let lot = |name: &str, class: usize, family: &str, approval| {
        let mut soak = Operation::new("soak", 20, SHOP)
            .holding(TANK, 1)
            .holding(HELPER, 1);
        soak.batch = Some(Batch {
            vessel: TANK,
            capacity: 2,
            family: family.into(),
        });
        let mut stamp = Operation::new("stamp", 0, SHOP);
        stamp.pausable = true;
        stamp.modes = vec![
            Mode {
                resource: TABLE,
                duration: 100,
            },
            Mode {
                resource: ResourceId(4),
                duration: 120,
            },
        ];
        let mut dye = Operation::new("dye", 30, SHOP).holding(BARREL, 1);
        dye.set_up = Some(SetUp {
            resource: BARREL,
            class,
        });
        dye.attend = Some(Attendance {
            from: 0,
            to: 10,
            calendar: VISIT,
        });
        Lot {
            name: name.into(),
            bolts: 2,
            release: 480,
            due: 10_000,
            weight: 1,
            approval,
            route: vec![soak, stamp, dye],
            lags: vec![Lag {
                from: 0,
                to: 1,
                least: 10,
                most: Some(300),
            }],
        }
    };
    let approval = Approval {
        duration: 20,
        calendar: VISIT,
        resource: DESIGNER,
        after_lot: Some(0),
    };
    let day = |d: Minute| {
        [
            Window::new(d * 1440 + 480, d * 1440 + 720),
            Window::new(d * 1440 + 780, d * 1440 + 1000),
        ]
    };
    let windows: Vec<Window> = (0..6).flat_map(day).collect();
    let visit = (0..6)
        .map(|d| Window::new(d * 1440 + 400, d * 1440 + 1100))
        .collect();
    Problem {
        first_day: sky::Date::default(),
        calendars: vec![
            Calendar {
                name: "shop".into(),
                windows,
            },
            Calendar {
                name: "visit".into(),
                windows: visit,
            },
        ],
        resources: vec![
            resource("helper", 2),
            resource("tank", 1),
            barrel,
            resource("table 1", 1),
            resource("table 2", 1),
            resource("designer", 1),
        ],
        lots: vec![
            lot("one", 0, "bare", None),
            lot("two", 1, "waxed", Some(approval)),
        ],
        weights: Weights::default(),
    }
}

/// Takes what is replaced or removed.
fn ignore<T>(_: Option<T>) {}

fn at(lot: usize, bolt: u32, operation: usize) -> Spot {
    Spot { lot, bolt, operation }
}

fn placed(start: Minute, end: Minute, mode: Option<usize>) -> Placed {
    Placed { start, end, mode }
}

/// Made by hand: nothing is wrong with it.
fn sound() -> Schedule {
    let mut s = Schedule::default();
    for b in 0..2 {
        s.placed.insert(at(0, b, 0), placed(480, 500, None));
        s.placed.insert(at(1, b, 0), placed(1920, 1940, None));
    }
    s.placed.insert(at(0, 0, 1), placed(510, 610, Some(0)));
    s.placed.insert(at(0, 1, 1), placed(510, 630, Some(1)));
    s.placed.insert(at(0, 0, 2), placed(610, 640, None));
    s.placed.insert(at(0, 1, 2), placed(640, 670, None));
    s.approvals.insert(1, Window::new(700, 720));
    // The first over the noon break: 2130..2160 and 2220..2290; the second within the afternoon.
    s.placed.insert(at(1, 0, 1), placed(2130, 2290, Some(0)));
    s.placed.insert(at(1, 1, 1), placed(2220, 2340, Some(1)));
    s.placed.insert(at(1, 0, 2), placed(2290, 2320, None));
    s.placed.insert(at(1, 1, 2), placed(2340, 2370, None));
    s
}

/// The codes of the faults of a sound plan after a change.
fn after(change: impl FnOnce(&mut Problem, &mut Schedule)) -> Vec<&'static str> {
    let (mut p, mut s) = (problem(), sound());
    change(&mut p, &mut s);
    let faults = check(&p, &s);
    for f in &faults {
        for language in [words::Language::En, words::Language::Id] {
            let voice = words::Voice {
                language,
                ..Default::default()
            };
            let said = f.finding(&p).say(voice).join(" ");
            assert!(
                !said.contains('{') && (!said.contains('?') || f.code() == "plan-unknown"),
                "{said}"
            );
        }
    }
    faults.iter().map(Fault::code).collect()
}

fn move_to(s: &mut Schedule, spot: Spot, start: Minute, end: Minute) {
    if let Some(p) = s.placed.get_mut(&spot) {
        (p.start, p.end) = (start, end);
    }
}

#[test]
fn a_sound_plan_has_no_faults() {
    assert_eq!(after(|_, _| {}), Vec::<&str>::new());
    assert!(examine(&problem()).is_empty());
}

#[test]
fn what_is_absent_is_said() {
    let none = after(|_, s| s.placed.retain(|a, _| (a.lot, a.bolt) != (1, 1)));
    assert_eq!(none, ["plan-missing-bolt"]);
    assert_eq!(
        after(|_, s| ignore(s.placed.remove(&at(1, 1, 2)))),
        ["plan-missing-operation"]
    );
    assert_eq!(
        after(|_, s| ignore(s.approvals.remove(&1))),
        ["plan-missing-approval"]
    );
    assert_eq!(check(&problem(), &Schedule::default()).len(), 5);
}

#[test]
fn what_does_not_exist_is_said() {
    assert_eq!(
        after(|_, s| ignore(s.placed.insert(at(0, 0, 3), placed(0, 1, None)))),
        ["plan-unknown"]
    );
    assert_eq!(
        after(|_, s| ignore(s.placed.insert(at(7, 0, 0), placed(0, 1, None)))),
        ["plan-unknown"]
    );
    assert_eq!(
        after(|_, s| ignore(s.approvals.insert(0, Window::new(700, 720)))),
        ["plan-unknown-approval"]
    );
}

#[test]
fn modes_durations_and_work() {
    let mode = |m| after(move |_, s| s.placed.get_mut(&at(0, 0, 1)).unwrap().mode = m);
    assert_eq!(mode(None), ["plan-mode"]);
    assert_eq!(mode(Some(2)), ["plan-mode"]);
    assert_eq!(
        after(|_, s| s.placed.get_mut(&at(0, 0, 2)).unwrap().mode = Some(0)),
        ["plan-mode"]
    );
    assert_eq!(
        after(|_, s| move_to(s, at(1, 1, 2), 2340, 2371)),
        ["plan-duration"]
    );
    assert_eq!(after(|_, s| move_to(s, at(1, 0, 1), 2130, 2289)), ["plan-work"]);
    // The break is rest: ending 100 min after the start by the wall clock is 40 min of work.
    assert_eq!(after(|_, s| move_to(s, at(1, 0, 1), 2130, 2230)), ["plan-work"]);
}

#[test]
fn calendars_to_the_minute() {
    // The morning closes at 720, the afternoon at 2440.
    let morning = |start: Minute| {
        after(move |_, s| {
            s.approvals.insert(1, Window::new(1850, 1870));
            move_to(s, at(0, 1, 2), start, start + 30);
        })
    };
    assert_eq!(morning(690), Vec::<&str>::new());
    assert_eq!(morning(691), ["plan-calendar"]);
    assert_eq!(
        after(|_, s| move_to(s, at(1, 1, 2), 2410, 2440)),
        Vec::<&str>::new()
    );
    assert_eq!(
        after(|_, s| move_to(s, at(1, 1, 2), 2411, 2441)),
        ["plan-calendar"]
    );
    // Pausable work may not begin in the break, nor end in it.
    let resting = after(|_, s| move_to(s, at(1, 0, 1), 2160, 2320));
    assert_eq!(resting, ["plan-calendar", "plan-too-soon"]);
}

#[test]
fn somebody_must_be_there() {
    let alone = |p: &mut Problem| p.calendars[1].windows[0] = Window::new(400, 619);
    // Dyeing needs its first ten minutes attended: 610..620 is one too many, and the next bolt is without.
    let faults = after(|p, s| {
        alone(p);
        s.approvals.insert(1, Window::new(1840, 1860));
    });
    assert_eq!(faults, ["plan-attendance", "plan-attendance"]);
}

#[test]
fn releases_and_lags_to_the_minute() {
    assert_eq!(
        after(|p, _| p.lots[0].release = 481),
        ["plan-release", "plan-release"]
    );
    assert_eq!(
        after(|p, _| p.lots[0].lags[0].least = 11),
        ["plan-too-soon", "plan-too-soon"]
    );
    assert_eq!(
        after(|p, _| p.lots[1].lags[0].most = Some(280)),
        Vec::<&str>::new()
    );
    assert_eq!(
        after(|p, _| p.lots[1].lags[0].most = Some(279)),
        ["plan-too-late"]
    );
    // Neighbours follow each other even without a lag.
    assert_eq!(
        after(|_, s| move_to(s, at(1, 1, 2), 2325, 2355)),
        ["plan-too-soon"]
    );
}

#[test]
fn capacities() {
    assert_eq!(after(|p, _| p.resources[0].capacity = 0), ["plan-overload"]);
    // Both on one table at once.
    let both = after(|_, s| {
        s.placed.insert(at(0, 1, 1), placed(520, 620, Some(0)));
    });
    assert_eq!(both, ["plan-overload"]);
    // A table stays held over the break, and its last minute's end is free again.
    let over_noon = |start: Minute| {
        after(move |p, s| {
            p.lots[1].lags.clear();
            s.placed.insert(at(1, 1, 1), placed(start, start + 100, Some(0)));
            move_to(s, at(1, 1, 2), 2390, 2420);
        })
    };
    assert_eq!(over_noon(2289), ["plan-overload"]);
    assert_eq!(over_noon(2290), Vec::<&str>::new());
}

#[test]
fn batches() {
    // Two bolts are one batch and hold one tank; three are too many.
    assert_eq!(
        after(|p, _| p
            .lots
            .iter_mut()
            .for_each(|l| l.route[0].batch.as_mut().unwrap().capacity = 1))
        .len(),
        2
    );
    let mixed = after(|p, _| {
        p.lots[0].route[0].batch = Some(Batch {
            vessel: TANK,
            capacity: 4,
            family: "bare".into(),
        })
    });
    assert_eq!(mixed, Vec::<&str>::new());
    let together = after(|p, s| {
        for l in &mut p.lots {
            l.route[0].batch.as_mut().unwrap().capacity = 4;
        }
        p.lots[1].approval = None;
        s.approvals.clear();
        p.lots[1].lags.clear();
        for b in 0..2 {
            move_to(s, at(1, b, 0), 480, 500);
        }
    });
    assert_eq!(together, ["plan-batch-family"]);
    // Overlapping but not together: two batches in one tank.
    let overlapping = after(|_, s| move_to(s, at(1, 1, 0), 1930, 1950));
    assert_eq!(overlapping, ["plan-overload"]);
    // One bolt comes out early.
    let uneven = after(|_, s| move_to(s, at(1, 1, 0), 1920, 1935));
    assert_eq!(uneven, ["plan-duration", "plan-batch-end"]);
}

#[test]
fn set_ups_to_the_minute() {
    // Light before dark needs 15 min, dark before light 45.
    let gap = |minutes: Minute| {
        after(move |p, s| {
            p.lots[1].route[2].set_up = Some(SetUp {
                resource: BARREL,
                class: 0,
            });
            p.lots[1].route[2].attend = None;
            p.lots[0].route[2].set_up = Some(SetUp {
                resource: BARREL,
                class: 1,
            });
            // Lot one's second bolt is dyed a day later, before lot two's first.
            move_to(s, at(0, 1, 2), 2290 - minutes - 30, 2290 - minutes);
            s.approvals.insert(1, Window::new(1500, 1520));
            p.calendars[1].windows.insert(1, Window::new(1480, 1530));
            p.lots[1].approval.as_mut().unwrap().after_lot = None;
        })
    };
    assert_eq!(gap(40), ["plan-set-up"]);
    // 45 min before 2290 is the noon break: a set-up may lie in it, dyeing may not.
    assert_eq!(gap(45), ["plan-calendar"]);
    assert_eq!(gap(130), Vec::<&str>::new());
}

#[test]
fn approvals() {
    let approve =
        |from: Minute, to: Minute| after(move |_, s| ignore(s.approvals.insert(1, Window::new(from, to))));
    assert_eq!(approve(700, 719), ["plan-approval-window"]);
    assert_eq!(approve(1090, 1110), ["plan-approval-window"]);
    assert_eq!(approve(670, 690), Vec::<&str>::new());
    assert_eq!(approve(669, 689), ["plan-approval-strike-off"]);
    assert_eq!(approve(1900, 1920), Vec::<&str>::new());
    assert_eq!(approve(1901, 1921), ["plan-approval-start"]);
    let early = after(|p, s| {
        p.lots[1].approval.as_mut().unwrap().after_lot = None;
        p.lots[1].release = 701;
        let _ = s;
    });
    assert_eq!(early, ["plan-approval-release"]);
    assert_eq!(after(|p, _| p.resources[5].capacity = 0), ["plan-overload"]);
}

#[test]
fn the_worth_by_hand() {
    let (mut p, s) = (problem(), sound());
    p.lots[0].due = 660;
    p.lots[0].weight = 3;
    p.weights.origin = 480;
    // 670 - 660 = 10 min late x 3; last end 2370 - 480; flows 160, 190, 400, 450.
    let score = s.score(&p).unwrap();
    assert_eq!(
        (score.weighted_tardiness, score.makespan, score.mean_flow),
        (30, 1890, 300.0)
    );
    assert_eq!(score.total, 100.0 * 30.0 + 10.0 * 1890.0 + 300.0);
    assert_eq!(score.late, [(0, 10)]);
}
