//! Finds a plan.
//!
//! Three layers. A *board* answers where an operation fits. An *engine* turns an order of pieces into a plan,
//! each piece as early as it goes. A *search* changes the order and the batches. Where the problem is nothing but
//! machines that take one thing at a time, its order comes from a tabu search on the disjunctive graph instead.
//! Everything is decided by the problem, the options and the seed; time comes in only through `keep_going`.

mod board;
mod critical;
mod disjunctive;
mod engine;
mod first;
mod moves;
mod orders;
mod pieces;
mod place;
mod room;
mod search;
mod shop;
mod tabu;

pub(crate) use board::Board;
pub(crate) use pieces::Pieces;
pub(crate) use place::{Stuck, place};
pub(crate) use shop::Shop;

use crate::calendar::subtract;
use crate::{CalendarId, Minute, Placed, Problem, Schedule, Score, Spot, Window, examine, explain};
use disjunctive::Machines;
use search::Search;
use tabu::Tabu;
use words::Finding;

/// What the caller wants.
#[derive(Clone, Debug)]
pub struct Options {
    /// How many plans to try; the answer is the same for the same number, seed and problem.
    pub tries: u64,
    /// Seed of the search.
    pub seed: u64,
    /// Start everything as late as it can without making any bolt later: less cloth waiting in the shop, and
    /// less time in hand when something goes wrong.
    pub just_in_time: bool,
    /// Nothing that has not begun starts before this minute.
    pub now: Minute,
    /// What has begun, or is not to be moved: it stays where it is. [`Schedule::begun`] gives it.
    pub begun: Vec<(Spot, Placed)>,
    /// Approvals that have been given, by lot.
    pub approved: Vec<(usize, Window)>,
    /// A plan to start from: its order, its batches. What does not fit any more is repaired, what it does not
    /// have is added. Without one the search starts from orders of whole lots.
    pub start: Option<Schedule>,
    /// What a point of [`crate::Unrest`] against `start` costs, in the units of a plan's total. Above 0 the
    /// search also begins with every start no earlier than it was, and at the table where it was.
    pub unrest: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            tries: 20_000,
            seed: 1,
            just_in_time: true,
            now: 0,
            begun: Vec::new(),
            approved: Vec::new(),
            start: None,
            unrest: 0.0,
        }
    }
}

/// Finds a plan for every bolt, or says what clashes.
///
/// `on_better` hears of the first plan and of each better one; `keep_going` is asked before each try. The
/// first plan comes after a few tries, whatever `keep_going` says.
///
/// # Errors
/// Findings, in the two languages: those of [`crate::examine`], or why an operation finds no place.
pub fn solve(
    problem: &Problem,
    options: &Options,
    on_better: &mut dyn FnMut(&Schedule, &Score),
    keep_going: &dyn Fn() -> bool,
) -> Result<Schedule, Vec<Finding>> {
    let wrong: Vec<Finding> = examine(problem)
        .into_iter()
        .filter(|f| f.weight == words::Weight::Wrong)
        .collect();
    if !wrong.is_empty() {
        return Err(wrong);
    }
    if let Some(found) = by_machines(problem, options, on_better, keep_going) {
        // Its order is laid out like any other's, which can only end sooner.
        let laid_out = Options {
            tries: 0,
            start: Some(found),
            ..options.clone()
        };
        return solve(problem, &laid_out, on_better, &|| true);
    }
    let shop = Shop::new(problem, options.now, &options.begun, &options.approved);
    let mut search = Search::new(&shop, options);
    search
        .run(on_better, keep_going)
        .map_err(|stuck| vec![explain::stuck(&shop, stuck)])
}

/// The plan of a day whose weather is known now: in these calendars the stretches `shut` are closed. What began before
/// `now` stands, the rest is repaired, in a fraction of a second.
///
/// # Errors
/// As [`solve`].
pub fn weathered(
    problem: &Problem,
    schedule: &Schedule,
    calendars: &[CalendarId],
    shut: &[Window],
    now: Minute,
) -> Result<(Problem, Schedule), Vec<Finding>> {
    let mut problem = problem.clone();
    for id in calendars {
        if let Some(calendar) = problem.calendars.get_mut(id.0) {
            calendar.windows = subtract(&calendar.windows, shut);
        }
    }
    let given = schedule.approvals.iter().filter(|(_, window)| window.start < now);
    let options = Options {
        now,
        begun: schedule.begun(now),
        approved: given.map(|(lot, window)| (*lot, *window)).collect(),
        start: Some(schedule.clone()),
        ..Options::default()
    };
    let repaired = repair(&problem, &options)?;
    Ok((problem, repaired))
}

/// The best plan of a problem that is nothing but machines; `None` for others.
fn by_machines(
    problem: &Problem,
    options: &Options,
    on_better: &mut dyn FnMut(&Schedule, &Score),
    keep_going: &dyn Fn() -> bool,
) -> Option<Schedule> {
    let machines = Machines::of(problem, options)?;
    let mut tell = |order: &disjunctive::Order| {
        if let Some(schedule) = order.schedule(&machines)
            && let Some(score) = schedule.score(problem)
        {
            on_better(&schedule, &score);
        }
    };
    let best = Tabu::new(&machines, options.seed, options.tries).run(&mut tell, keep_going);
    best.schedule(&machines)
}

/// The plan of [`Options::start`] with as little change as makes it possible: same order, same tables, same batches,
/// each operation where it was or as soon after as it goes. Takes no tries; a fraction of a second.
///
/// # Errors
/// As [`solve`].
pub fn repair(problem: &Problem, options: &Options) -> Result<Schedule, Vec<Finding>> {
    let options = Options {
        tries: 0,
        just_in_time: false,
        unrest: options.unrest.max(1.0),
        ..options.clone()
    };
    solve(problem, &options, &mut |_, _| {}, &|| true)
}
