//! Small random workshops against every schedule there is.

use plan::solve::{Options, solve};
use plan::*;

const HORIZON: Minute = 14;

struct Random(u64);

impl Random {
    fn below(&mut self, n: u64) -> u64 {
        // Knuth's MMIX constants.
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
    fn minutes(&mut self, from: Minute, to: Minute) -> Minute {
        from + self.below((to - from + 1) as u64) as Minute
    }
}

/// Two or three lots with four operations in all: a machine, a pool, a barrel with set-ups, a tank for two, a break.
fn workshop(random: &mut Random) -> Problem {
    let (open, noon) = (CalendarId(0), CalendarId(1));
    let resource = |name: &str, capacity| Resource {
        name: name.into(),
        capacity,
        set_up: Vec::new(),
    };
    let mut resources = vec![
        resource("machine", 1),
        resource("pool", 2),
        resource("barrel", 1),
        resource("tank", 1),
    ];
    resources[2].set_up = vec![vec![0, 1], vec![3, 0]];
    let operation = |random: &mut Random, n: usize| {
        let calendar = if random.below(3) == 0 { noon } else { open };
        let minutes = random.minutes(1, 3);
        match random.below(4) {
            0 => Operation::new(&format!("press {n}"), minutes, calendar).holding(ResourceId(0), 1),
            1 => Operation::new(&format!("help {n}"), minutes, calendar)
                .holding(ResourceId(1), 1 + random.below(2) as u32),
            2 => {
                let mut o = Operation::new(&format!("dye {n}"), minutes, calendar).holding(ResourceId(2), 1);
                let class = random.below(2) as usize;
                o.set_up = Some(SetUp {
                    resource: ResourceId(2),
                    class,
                });
                o
            }
            _ => {
                let mut o = Operation::new("soak", 2, open).holding(ResourceId(3), 1);
                o.batch = Some(Batch {
                    vessel: ResourceId(3),
                    capacity: 2,
                    family: "white".into(),
                });
                if n > 0 {
                    o = Operation::new(&format!("press {n}"), minutes, calendar).holding(ResourceId(0), 1);
                }
                o
            }
        }
    };
    let routes: &[usize] = if random.below(2) == 0 { &[2, 2] } else { &[1, 1, 2] };
    let mut lots = Vec::new();
    for (i, n) in routes.iter().enumerate() {
        let route: Vec<Operation> = (0..*n).map(|at| operation(random, at)).collect();
        let least = random.minutes(0, 2);
        let lags = if *n == 2 {
            vec![Lag {
                from: 0,
                to: 1,
                least,
                most: (random.below(3) == 0).then_some(least + 2),
            }]
        } else {
            Vec::new()
        };
        lots.push(Lot {
            name: format!("L{i}"),
            bolts: 1,
            release: random.minutes(0, 2),
            due: random.minutes(3, 9),
            weight: random.below(3) as u32,
            approval: None,
            route,
            lags,
        });
    }
    Problem {
        first_day: sky::Date::default(),
        calendars: vec![
            Calendar {
                name: "open".into(),
                windows: vec![Window::new(0, HORIZON)],
            },
            Calendar {
                name: "noon".into(),
                windows: vec![Window::new(0, 4), Window::new(6, HORIZON)],
            },
        ],
        resources,
        lots,
        weights: Weights {
            tardiness: 10,
            makespan: 3,
            mean_flow: random.below(2) as u32,
            origin: 0,
        },
    }
}

/// The best total of all schedules, by trying each start of each operation; the judge alone says what is possible.
fn best(problem: &Problem) -> Option<f64> {
    let spots: Vec<Spot> = problem
        .lots
        .iter()
        .enumerate()
        .flat_map(|(lot, l)| {
            (0..l.route.len()).map(move |operation| Spot {
                lot,
                bolt: 0,
                operation,
            })
        })
        .collect();
    let mut least: Option<f64> = None;
    let mut plan = Schedule::default();
    try_all(problem, &spots, &mut plan, &mut least);
    least
}

fn try_all(problem: &Problem, spots: &[Spot], plan: &mut Schedule, least: &mut Option<f64>) {
    let Some((at, rest)) = spots.split_first() else {
        let total = plan.score(problem).unwrap().total;
        if least.is_none_or(|l| total < l) && judge::check(problem, plan).is_empty() {
            *least = Some(total);
        }
        return;
    };
    let lot = &problem.lots[at.lot];
    let minutes = lot.route[at.operation].duration;
    // Nothing starts before its release or before the operation in front of it has ended.
    let from = plan
        .placed
        .get(&Spot {
            operation: at.operation.wrapping_sub(1),
            ..*at
        })
        .map_or(lot.release, |p| p.end);
    for start in from..=HORIZON - minutes {
        plan.placed.insert(
            *at,
            Placed {
                start,
                end: start + minutes,
                mode: None,
            },
        );
        try_all(problem, rest, plan, least);
    }
    plan.placed.remove(at);
}

#[test]
fn nothing_is_better_than_the_best_and_the_best_is_nearly_always_found() {
    let mut random = Random(2026);
    let (mut solved, mut optimal, mut impossible) = (0, 0, 0);
    for case in 0..150 {
        let problem = workshop(&mut random);
        let best = best(&problem);
        let options = Options {
            tries: 400,
            ..Options::default()
        };
        let found = solve(&problem, &options, &mut |_, _| {}, &|| true);
        let (Ok(plan), Some(best)) = (&found, best) else {
            assert!(
                found.is_err(),
                "case {case}: a plan where no schedule passes the judge"
            );
            impossible += usize::from(best.is_none());
            continue;
        };
        assert_eq!(judge::check(&problem, plan), [], "case {case}");
        let total = plan.score(&problem).unwrap().total;
        assert!(
            total >= best - 1e-9,
            "case {case}: {total} is better than the best, {best}"
        );
        let bound = bound(&problem).map_or(0.0, |b| b.total);
        assert!(
            bound <= best + 1e-9,
            "case {case}: bound {bound} above the best, {best}"
        );
        solved += 1;
        optimal += usize::from(total <= best + 1e-9);
        if problem.weights.mean_flow == 0 {
            assert!(total <= best + 1e-9, "case {case}: {total}, the best is {best}");
        }
        // With work in progress a piece may be worth holding back that the search places as early as it goes.
        assert!(total <= best * 1.06, "case {case}: {total}, the best is {best}");
    }
    println!("{solved} solved, {optimal} of them optimal, {impossible} impossible");
    assert!(solved + impossible >= 145, "{solved} + {impossible}");
    assert!(optimal * 100 >= solved * 95, "{optimal} of {solved}");
}
