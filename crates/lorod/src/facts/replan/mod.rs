//! Going on from a state: what has begun stands, the rest moves little, and three ways to go on are held side by side.
//!
//! *Keep* repairs: same order, same loads, each piece of work where it was or as soon after as it goes. *Some moves*
//! searches, and a piece of work that moves costs; *best* searches as if nobody minded. The points are those of
//! [`plan::Unrest`]: 5 for another table, 3 for another day, 1 for more than half an hour within the day, three times
//! that today and tomorrow (assumed).

mod begun;
mod loosen;

use super::late::named;
use super::plan::{Planned, wrong};
use super::problem::{Asked, Mapped, problem};
use ::plan::solve::{Options, repair, solve};
use ::plan::{Minute, Placed, Problem, Schedule, Spot, Unrest, Window, judge};
use begun::{begun, close};
use loosen::{loosen, too_long};
use serde::Deserialize;
use sky::Date;
use words::{Arg, Finding, Place, Text, Weight, say, text};
use workspace::{ClockTime, Closed, FloorState, Hours, Workspace};

/// What a point of unrest costs a plan, in the units of its total (a choice of the house, assumed): a day's move is worth
/// six minutes of the whole plan's length, or a few minutes of a broken promise.
const POINT: f64 = 20.0;

/// The plan that was followed, as `lorod plan -o plan.json` wrote it.
#[derive(Clone, Debug, Deserialize)]
pub struct Followed {
    from: String,
    strike_offs: Vec<String>,
    courier_days: Option<u32>,
    lots: Vec<FollowedLot>,
}

#[derive(Clone, Debug, Deserialize)]
struct FollowedLot {
    id: String,
    approved: Option<[String; 2]>,
    operations: Vec<FollowedOperation>,
}

#[derive(Clone, Debug, Deserialize)]
struct FollowedOperation {
    bolt: u32,
    operation: String,
    #[serde(default)]
    place: Option<String>,
    starts: String,
    ends: String,
}

/// A way to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Repaired: as little changes as makes it possible.
    Keep,
    /// Searched, moves cost.
    Some,
    /// Searched, moves cost nothing.
    Best,
}

/// A plan that goes on from the state.
#[derive(Clone, Debug)]
pub struct Choice {
    /// Which.
    pub way: Way,
    /// The plan. It has no bound: what cannot be beaten is not known once work has begun.
    pub planned: Planned,
    /// How much it upsets those who follow the old one.
    pub unrest: Unrest,
}

/// Ways to go on.
#[derive(Clone, Debug)]
pub struct Replanned {
    /// What the plan that was followed asked for.
    pub asked: Asked,
    /// The plan that was followed.
    pub before: Schedule,
    /// The first minute that can still be planned.
    pub now: Minute,
    /// Operations that have begun.
    pub begun: usize,
    /// The ways asked for, in their order.
    pub choices: Vec<Choice>,
}

impl Followed {
    /// Reads a plan's file.
    ///
    /// # Errors
    /// A finding if it is none.
    pub fn read(path: &str, text: &str) -> Result<Self, Finding> {
        serde_json::from_str(text).map_err(|error| {
            let place = Place::File {
                path: path.to_string(),
                span: 0..0,
            };
            let found = say!(
                "this is no plan: {why}",
                "ini bukan rencana: {why}",
                why = Arg::Name(error.to_string())
            );
            Finding::new("not-a-plan", Weight::Wrong, place, found).allow(say!(
                "a file that {command} wrote",
                "berkas yang ditulis {command}",
                command = Arg::Name("lorod plan DIR -o plan.json".into())
            ))
        })
    }

    /// What was asked for when it was made.
    ///
    /// # Errors
    /// If its first day is no date.
    pub fn asked(&self, tries: u64) -> Result<Asked, Finding> {
        let first_day = Date::parse(&self.from).ok_or_else(|| no_time(&self.from))?;
        Ok(Asked {
            first_day,
            strike_offs: self.strike_offs.clone(),
            courier_days: self.courier_days,
            tries,
        })
    }

    /// The plan on the orders as they are now. What there is no longer is left out.
    ///
    /// # Errors
    /// If it has a time that is none.
    pub fn schedule(&self, problem: &Problem) -> Result<Schedule, Finding> {
        let mut schedule = Schedule::default();
        for of_lot in &self.lots {
            let Some(lot) = problem.lots.iter().position(|lot| lot.name == of_lot.id) else {
                continue;
            };
            for one in &of_lot.operations {
                let route = &problem.lots[lot].route;
                let operation = route.iter().position(|operation| operation.key == one.operation);
                let (Some(operation), 1..) = (operation, one.bolt) else {
                    continue;
                };
                if one.bolt > problem.lots[lot].bolts {
                    continue;
                }
                let at = Spot {
                    lot,
                    bolt: one.bolt - 1,
                    operation,
                };
                let placed = Placed {
                    start: minute(problem, &one.starts)?,
                    end: minute(problem, &one.ends)?,
                    mode: one.place.as_ref().and_then(|place| {
                        let modes = &problem.lots[lot].route[operation].modes;
                        modes
                            .iter()
                            .position(|mode| problem.resource_name(mode.resource) == *place)
                    }),
                };
                schedule.placed.insert(at, placed);
            }
            if let Some([start, end]) = &of_lot.approved {
                let window = Window::new(minute(problem, start)?, minute(problem, end)?);
                schedule.approvals.insert(lot, window);
            }
        }
        Ok(schedule)
    }
}

fn no_time(text: &str) -> Finding {
    wrong(
        "not-a-plan",
        say!(
            "the plan has the time {text}, which is none",
            "rencana memuat waktu {text} yang tidak sah",
            text = Arg::Name(text.chars().take(60).collect())
        ),
    )
}

/// A plan's time, `2026-12-01 07:30`.
fn minute(problem: &Problem, text: &str) -> Result<Minute, Finding> {
    let parsed = text.split_once(' ').and_then(|(date, clock)| {
        let (hour, minute) = clock.split_once(':')?;
        let of_day = hour.parse::<Minute>().ok()? * 60 + minute.parse::<Minute>().ok()?;
        Some(days(problem, Date::parse(date)?) + of_day)
    });
    parsed.ok_or_else(|| no_time(text))
}

fn days(problem: &Problem, date: Date) -> Minute {
    (Minute::from(date.days) - Minute::from(problem.first_day.days)) * 1440
}

fn at(problem: &Problem, time: ClockTime) -> Minute {
    days(problem, time.date) + Minute::from(time.minute)
}

/// Hours of a day that the yard is lost where it can be used only from `opens` to `closes`, minutes after midnight: what
/// follows the sun is shut before and after.
pub fn shut(workspace: &Workspace, day: Date, opens: Minute, closes: Minute) -> Vec<Closed> {
    let sun = workspace
        .calendars
        .iter()
        .filter(|spec| matches!(spec.hours, Hours::Sun { .. }));
    let calendars: Vec<String> = sun.map(|spec| spec.key.clone()).collect();
    let time = |minute: Minute| ClockTime {
        date: day,
        minute: minute.clamp(0, 1440) as u16,
    };
    let closed = |(from, to): (Minute, Minute)| Closed {
        calendars: calendars.clone(),
        from: time(from),
        to: time(to),
        span: 0..0,
    };
    let all = if calendars.is_empty() {
        vec![]
    } else {
        vec![(0, opens), (closes, 1440)]
    };
    all.into_iter()
        .filter(|(from, to)| from < to)
        .map(closed)
        .collect()
}

/// Goes on from a state, in each of some ways. `path` is the state's file, for findings.
///
/// # Errors
/// What is wrong with the state, or why there is no plan.
pub fn replan(
    workspace: &Workspace,
    path: &str,
    state: &FloorState,
    followed: &Followed,
    ways: &[Way],
    tries: u64,
    keep_going: &dyn Fn() -> bool,
) -> Result<Replanned, Vec<Finding>> {
    let asked = followed.asked(tries).map_err(|finding| vec![finding])?;
    let mapped = problem(workspace, &asked)?;
    let before = followed
        .schedule(&mapped.problem)
        .map_err(|finding| vec![finding])?;
    let from = From {
        asked,
        mapped,
        before,
    };
    go_on(workspace, path, state, from, ways, keep_going)
}

/// What is gone on from: what was asked, the problem as it was, and the plan that was followed.
#[derive(Clone, Debug)]
pub struct From {
    /// What was asked, with the plans to try.
    pub asked: Asked,
    /// The problem on the orders as they are now.
    pub mapped: Mapped,
    /// The plan.
    pub before: Schedule,
}

/// The same from a plan that is at hand.
///
/// # Errors
/// As [`replan`].
pub fn go_on(
    workspace: &Workspace,
    path: &str,
    state: &FloorState,
    from: From,
    ways: &[Way],
    keep_going: &dyn Fn() -> bool,
) -> Result<Replanned, Vec<Finding>> {
    let From {
        asked,
        mut mapped,
        before,
    } = from;
    close(&mut mapped.problem, path, state)?;
    let now = at(&mapped.problem, state.now);
    let begun = begun(&mapped, workspace, path, state, &before)?;
    let cut = at(&mapped.problem, state.as_planned);
    let approved = before.approvals.iter().filter(|(_, window)| window.start < cut);
    let mut options = Options {
        tries: asked.tries,
        now,
        begun: begun.iter().map(|(at, placed)| (*at, *placed)).collect(),
        approved: approved.map(|(lot, window)| (*lot, *window)).collect(),
        start: Some(before.clone()),
        ..Options::default()
    };
    let (strict, stated) = (mapped.problem.clone(), options.clone());
    loosen(&mut mapped.problem, &mut options)?;
    let search = |unrest: f64| {
        let options = Options {
            unrest,
            ..options.clone()
        };
        solve(&mapped.problem, &options, &mut |_, _| {}, keep_going)
    };
    let mut schedules = Vec::new();
    for way in ways {
        let schedule = match way {
            Way::Keep => repair(&mapped.problem, &options)?,
            Way::Some => search(POINT)?,
            Way::Best => search(0.0)?,
        };
        schedules.push((*way, schedule));
    }
    let called = named(workspace, &mapped.problem);
    let choices: Vec<Choice> = schedules.into_iter().map(|(way, schedule)| {
        let faults = judge::check_from(&mapped.problem, &schedule, now, &options.begun);
        let unrest = Unrest::between(&before, &schedule, now);
        let mut findings = mapped.findings.clone();
        findings.extend(faults.iter().map(|fault| fault.finding(&called)));
        findings.extend(too_long(&strict, &schedule, &stated));
        if faults.is_empty() {
            findings.push(Finding::new(
                "plan-judged",
                Weight::Note,
                Place::Request,
                say!(
                    "checked by a second, independent program part: {begun} operations stand as they began, the other {n} can be done as planned",
                    "diperiksa bagian program kedua yang terpisah: {begun} pekerjaan tetap seperti saat dimulai, {n} lainnya dapat dilakukan sesuai rencana",
                    begun = Arg::Number(begun.len() as f64, 0),
                    n = Arg::Number((schedule.placed.len() - begun.len().min(schedule.placed.len())) as f64, 0)
                ),
            ));
        }
        Choice {
            way,
            unrest,
            planned: Planned {
                score: schedule.score(&mapped.problem),
                mapped: mapped.clone(),
                schedule,
                bound: None,
                faults,
                findings,
            },
        }
    }).collect();
    Ok(Replanned {
        choices,
        begun: begun.len(),
        asked,
        before,
        now,
    })
}

impl Way {
    /// What it is called.
    pub const fn name(self) -> &'static Text {
        match self {
            Self::Keep => text!("keep", "tetap"),
            Self::Some => text!("some moves", "sedikit geser"),
            Self::Best => text!("best", "terbaik"),
        }
    }
}

impl Choice {
    /// Minutes late of all promised lots together, and how many are late.
    pub fn late(&self) -> (usize, Minute) {
        let lots = self.planned.mapped.problem.lots.iter().enumerate();
        let late = lots
            .filter(|(_, lot)| lot.weight > 0)
            .filter_map(|(at, _)| self.planned.late(at))
            .filter(|late| *late > 0);
        late.fold((0, 0), |(n, sum), late| (n + 1, sum + late))
    }

    /// The last minute of all.
    pub fn done(&self) -> Minute {
        self.planned
            .schedule
            .placed
            .values()
            .map(|p| p.end)
            .max()
            .unwrap_or(0)
    }
}
