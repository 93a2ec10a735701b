//! Whatever the problem: a plan without faults, or findings.

use plan::solve::{Options, solve};
use plan::*;
use proptest::prelude::*;

/// Small workshops with everything in them: batches, set-ups, modes, pauses, lags, approvals, short days.
fn problems() -> impl Strategy<Value = Problem> {
    let operation = (
        1..40i64,
        0..6usize,
        0..3u32,
        any::<bool>(),
        0..3usize,
        any::<bool>(),
    );
    let lot = (
        1..4u32,
        prop::collection::vec(operation, 1..6),
        prop::collection::vec((0..60i64, 0..200i64, any::<bool>()), 5),
        0..500i64,
        any::<bool>(),
    );
    (prop::collection::vec(lot, 1..4), 60..300i64, 0..120i64).prop_map(|(lots, open, gap)| {
        let day = |d: i64| {
            [
                Window::new(d * 600, d * 600 + open),
                Window::new(d * 600 + open + gap.min(290), d * 600 + 598),
            ]
        };
        let windows: Vec<Window> = (0..60).flat_map(day).filter(|w| w.length() > 0).collect();
        let narrow: Vec<Window> = (0..60).map(|d| Window::new(d * 600 + 10, d * 600 + 60)).collect();
        let resource = |name: &str, capacity| Resource {
            name: name.into(),
            capacity,
            set_up: Vec::new(),
        };
        let mut barrel = resource("barrel", 1);
        barrel.set_up = vec![vec![0, 15, 15], vec![45, 0, 15], vec![45, 45, 0]];
        let resources = vec![
            resource("one", 1),
            resource("pool", 3),
            barrel,
            resource("tank", 1),
            resource("table 1", 1),
            resource("table 2", 1),
            resource("designer", 1),
            resource("two tanks", 2),
        ];
        let count = lots.len();
        let lots = lots
            .into_iter()
            .enumerate()
            .map(|(i, (bolts, operations, lags, release, approval))| {
                let n = operations.len();
                let route = operations
                    .into_iter()
                    .enumerate()
                    .map(|(k, (duration, what, extra, attended, class, wide))| {
                        let mut o = Operation::new(&format!("op{k}-{what}"), duration, CalendarId(0));
                        match what {
                            0 => o = o.holding(ResourceId(0), 1),
                            1 => o = o.holding(ResourceId(1), 1 + extra),
                            2 => {
                                o = o.holding(ResourceId(2), 1);
                                o.set_up = Some(SetUp {
                                    resource: ResourceId(2),
                                    class,
                                });
                            }
                            3 => {
                                let vessel = ResourceId(if wide { 7 } else { 3 });
                                o = o.holding(vessel, 1).holding(ResourceId(1), 1);
                                o.key = format!("soak{}", vessel.0);
                                o.duration = 25;
                                o.batch = Some(Batch {
                                    vessel,
                                    capacity: 2,
                                    family: format!("{}", class % 2),
                                });
                            }
                            4 => {
                                o.pausable = true;
                                o.modes = vec![
                                    Mode {
                                        resource: ResourceId(4),
                                        duration: duration * 5,
                                    },
                                    Mode {
                                        resource: ResourceId(5),
                                        duration: duration * 6,
                                    },
                                ];
                            }
                            _ => o.uses.push(Use {
                                resource: ResourceId(1),
                                quantity: 1,
                                from: 0,
                                to: Some(1),
                            }),
                        }
                        if attended && !o.pausable {
                            o.attend = Some(Attendance {
                                from: 0,
                                to: 1,
                                calendar: CalendarId(1),
                            });
                        }
                        o
                    })
                    .collect();
                let lags = (1..n)
                    .map(|to| {
                        let (least, slack, limited) = lags[to - 1];
                        Lag {
                            from: to - 1,
                            to,
                            least,
                            most: limited.then_some(least + slack),
                        }
                    })
                    .collect();
                let approval = approval.then_some(Approval {
                    duration: 20,
                    calendar: CalendarId(1),
                    resource: ResourceId(6),
                    after_lot: (i + 1 < count).then_some(i + 1),
                });
                Lot {
                    name: format!("L{i}"),
                    bolts,
                    release,
                    due: 2000 + 100 * i as i64,
                    weight: 1 + i as u32,
                    approval,
                    route,
                    lags,
                }
            })
            .collect();
        Problem {
            first_day: sky::Date::default(),
            calendars: vec![
                Calendar {
                    name: "shop".into(),
                    windows,
                },
                Calendar {
                    name: "there".into(),
                    windows: narrow,
                },
            ],
            resources,
            lots,
            weights: Weights::default(),
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn plans_pass_the_judge(problem in problems(), seed in 0..1000u64, just_in_time in any::<bool>()) {
        prop_assert_eq!(examine(&problem), vec![]);
        let options = Options { tries: 60, seed, just_in_time, ..Options::default() };
        match solve(&problem, &options, &mut |_, _| {}, &|| true) {
            Ok(plan) => {
                prop_assert_eq!(judge::check(&problem, &plan), vec![]);
                let score = plan.score(&problem).unwrap();
                let bound = bound(&problem).unwrap();
                prop_assert!(bound.total <= score.total + 1e-6, "bound {} above {}", bound.total, score.total);
                for (l, (earliest, _)) in bound.lots.iter().enumerate() {
                    prop_assert!(plan.completion(&problem, l).unwrap() >= *earliest);
                }
            }
            Err(findings) => {
                prop_assert!(!findings.is_empty());
                for f in &findings {
                    let said = f.say(words::Voice::default()).join(" ");
                    prop_assert!(!said.contains('{'), "{}", said);
                }
            }
        }
    }
}
