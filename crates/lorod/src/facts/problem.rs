//! From the workspace's orders, calendars and stamps to what the planner solves. What a step's occupancy becomes is
//! said in [`plan::tasks`]; here stands the rest:
//!
//! | in the workspace | in the problem |
//! | --- | --- |
//! | an order | a lot of its bolts, promised for the last minute that the shop is open on its day |
//! | the day an order's cloth is there | the lot's release, when the shop opens on it |
//! | a calendar of the workshop | its windows, those of the sun from the sun's height |
//! | a bleach | for each bolt the minutes of the load it is in, as the bath weakens, see [`super::led`] |
//! | a stamp | as many as stamps.toml has copies in use; else one, or the places of a station `stamp:<id>` |
//! | a stamp without a copy in use | nothing is stamped with it before the next copy is there |
//! | a strike-off that is asked for | a lot of one bolt; the design's lots wait for its approval in `designer`; a second round waits for that of the first |
//! | another round without a courier | begins after the visit in which the one before was approved |
//! | a courier, if one is sent | a last operation of the strike-off, day and night; approved by a call in shop hours |
//! | barrels | each keeps a range of darkness, light baths apart from dark ones, about the same work in each |
//!
//! A class of a barrel's set-ups is one recipe, that is one step of one design: going on with it takes nothing, a
//! darker one 15 min, a lighter or equally dark one 45 min (own estimates: to rinse a barrel, to scrub it).

use super::copies;
use super::led::{Led, led, on_average};
use super::plan::wrong;
use crate::studio::RunLot;
use ::plan::calendar::{subtract, union};
use ::plan::tasks::{self, Order};
use ::plan::{
    Approval, Calendar, CalendarId, Lot, Minute, Operation, Problem, Resource, ResourceId, SetUp, Use, Window,
};
use route::{Design, LotShape, Workshop, along};
use sky::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use words::{Arg, Finding, Weight, say};
use workspace::{CalendarSpec, Workspace};

/// Approving a strike-off, min (own estimate).
const APPROVE: Minute = 30;
/// Minutes without the designer that do not end a visit: a weekend and a feast day.
const SAME_VISIT: Minute = 4 * 1440;
/// Rinsing a barrel for a darker bath, min (own estimate).
const DARKER: Minute = 15;
/// Scrubbing a barrel for a lighter bath, min (own estimate).
const LIGHTER: Minute = 45;
/// Days after the last promise that are looked at: what is late must still find a place.
const AFTER: i32 = 60;
/// Bolts for which a day more is looked at: slower than any workshop that fills a cauldron each day.
const BOLTS_A_DAY: u32 = 2;
/// Longest plan, days.
const LONGEST: i32 = 1000;
/// Most bolts of one plan; beyond it nobody waits for the answer.
const MOST_BOLTS: u32 = 1500;

/// What is asked of the planner.
#[derive(Clone, Debug)]
pub struct Asked {
    /// First day of the plan.
    pub first_day: Date,
    /// Designs whose strike-off comes first and must be approved; one that stands there twice takes two rounds.
    pub strike_offs: Vec<String>,
    /// Days a courier takes to the designer, who then approves by a call; `None`: strike-offs wait for the visit.
    pub courier_days: Option<u32>,
    /// How many plans are tried; the same number gives the same plan.
    pub tries: u64,
}

/// The problem, and what its parts stand for.
#[derive(Clone, Debug)]
pub struct Mapped {
    /// What there is to plan.
    pub problem: Problem,
    /// One entry for each lot.
    pub lots: Vec<RunLot>,
    /// Orders that are no part of it, and why.
    pub findings: Vec<Finding>,
}

/// A lot before it is one of the problem.
struct Wanted {
    name: String,
    /// As it is led here: bleaches take what the loads of a weakening bath take on average.
    design: Arc<Design>,
    /// What each of their loads takes.
    led: Arc<[Led]>,
    bolts: u32,
    due: Date,
    /// The day on which its cloth is there.
    cloth: Option<Date>,
    weight: u32,
    /// The lot of the strike-off that must be approved before.
    after: Option<usize>,
}

/// Makes the problem of a workspace's orders.
///
/// # Errors
/// If there is nothing to plan, or the workshop lacks what the routes need.
pub fn problem(workspace: &Workspace, asked: &Asked) -> Result<Mapped, Vec<Finding>> {
    let Some(shop) = &workspace.workshop else {
        let found = say!(
            "without a workshop nothing can be planned",
            "tanpa bengkel tidak ada yang dapat direncanakan"
        );
        return Err(vec![wrong("no-workshop", found)]);
    };
    let (wanted, mut findings) = wanted(workspace, shop, asked)?;
    let calendars = calendars(workspace, shop, asked.first_day, &wanted);
    let due = |date: Date| closes(&calendars, asked.first_day, date);
    let orders: Vec<Order> = wanted
        .iter()
        .map(|lot| Order {
            name: lot.name.clone(),
            design: &lot.design,
            bolts: lot.bolts,
            release: lot.cloth.map_or(0, |day| opens(&calendars, asked.first_day, day)),
            due: due(lot.due),
            weight: lot.weight,
        })
        .collect();
    let (absent, said) = copies::absent(workspace, asked.first_day, wanted.iter().map(|lot| &*lot.design))?;
    findings.extend(said);
    let copies = |design: &str, stamp: &str| copies::count(workspace, asked.first_day, design, stamp);
    let mut problem = tasks::problem(asked.first_day, calendars.clone(), &orders, shop, &copies)?;
    let lots: Vec<RunLot> = wanted.iter().map(|lot| run_lot(&lot.design, shop)).collect();
    for ((lot, run), wanted) in problem.lots.iter_mut().zip(&lots).zip(&wanted) {
        loads(lot, run, wanted, shop);
    }
    for stamp in &absent {
        stamp.keep_out(&mut problem, opens(&calendars, asked.first_day, stamp.from));
    }
    let first = calendars
        .iter()
        .filter_map(|c| c.windows.first())
        .map(|w| w.start)
        .min();
    problem.weights.origin = first.unwrap_or(0);
    approvals(&mut problem, &wanted, asked.courier_days)?;
    findings.extend(
        ::plan::examine(&problem)
            .into_iter()
            .filter(|f| f.weight < Weight::Wrong),
    );
    barrels(&mut problem, &wanted);
    Ok(Mapped {
        problem,
        lots,
        findings,
    })
}

/// Strike-offs first, then orders in the order of the file.
fn wanted(
    workspace: &Workspace,
    shop: &Workshop,
    asked: &Asked,
) -> Result<(Vec<Wanted>, Vec<Finding>), Vec<Finding>> {
    let mut wanted: Vec<Wanted> = Vec::new();
    let mut findings = Vec::new();
    let mut known: BTreeMap<String, (Arc<Design>, Arc<[Led]>)> = BTreeMap::new();
    let mut as_led = |design: &Arc<Design>| {
        let made = || {
            let led = led(design, shop);
            (on_average(design, &led), Arc::from(led))
        };
        known.entry(design.id.clone()).or_insert_with(made).clone()
    };
    for (at, id) in asked.strike_offs.iter().enumerate() {
        let before = asked.strike_offs[..at].iter().rposition(|other| other == id);
        let round = asked.strike_offs[..at]
            .iter()
            .filter(|other| *other == id)
            .count()
            + 1;
        let Some(design) = workspace.design(id) else {
            let found = say!(
                "there is no design {design} to make a strike-off of",
                "tidak ada desain {design} untuk dibuat contohnya",
                design = Arg::Name(id.clone())
            );
            return Err(vec![wrong("no-such-design", found)]);
        };
        let orders = workspace.orders.iter().filter(|order| order.design == *id);
        let (design, led) = as_led(design);
        wanted.push(Wanted {
            name: if round == 1 {
                format!("{id}-contoh")
            } else {
                format!("{id}-contoh-{round}")
            },
            design,
            led,
            bolts: 1,
            due: orders
                .map(|order| order.due)
                .min()
                .unwrap_or(asked.first_day.plus(AFTER)),
            // One bolt is always found.
            cloth: None,
            // Nobody is promised a strike-off; what waits for it is.
            weight: 0,
            // Another round waits for what was said about the one before.
            after: before,
        });
    }
    for order in &workspace.orders {
        if let Some(design) = workspace.design(&order.design) {
            let (design, led) = as_led(design);
            wanted.push(Wanted {
                name: order.id.clone(),
                design,
                led,
                bolts: order.bolts,
                due: order.due,
                cloth: order.cloth,
                weight: order.weight,
                after: asked.strike_offs.iter().rposition(|id| *id == order.design),
            });
        } else {
            findings.push(wrong(
                "order-not-planned",
                say!(
                    "order {order} is not planned: its design {design} cannot be made",
                    "pesanan {order} tidak direncanakan: desainnya {design} tidak dapat dibuat",
                    order = Arg::Name(order.id.clone()),
                    design = Arg::Name(order.design.clone())
                ),
            ));
        }
    }
    if wanted.is_empty() {
        let found = say!(
            "there is no order that can be planned",
            "tidak ada pesanan yang dapat direncanakan"
        );
        findings.push(wrong("nothing-to-plan", found));
        return Err(findings);
    }
    let bolts = wanted.iter().map(|lot| lot.bolts).fold(0u32, u32::saturating_add);
    if bolts > MOST_BOLTS {
        let number = |n: u32| Arg::Number(f64::from(n), 0);
        let found = say!(
            "the orders ask for {n} bolts",
            "pesanan meminta {n} gulung",
            n = number(bolts)
        );
        let allowed = say!(
            "up to {n} bolts in one plan",
            "sampai {n} gulung dalam satu rencana",
            n = number(MOST_BOLTS)
        );
        return Err(vec![wrong("too-many-bolts", found).allow(allowed)]);
    }
    Ok((wanted, findings))
}

/// For each operation of the lot's route, the place of its step in the design's.
fn run_lot(design: &Design, shop: &Workshop) -> RunLot {
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let mut steps = Vec::new();
    for (at, part) in along(design, &lot, shop).iter().enumerate() {
        let tasks = part.step.operation.occupies(&part.before, design, &lot, shop);
        steps.extend(std::iter::repeat_n(at, tasks.len()));
    }
    RunLot {
        design: design.id.clone(),
        steps,
    }
}

/// Gives each bolt the minutes of the load that it is in.
fn loads(lot: &mut Lot, run: &RunLot, wanted: &Wanted, shop: &Workshop) {
    for one in wanted.led.iter() {
        let minutes: Vec<Vec<Minute>> = (0..one.times.len())
            .map(|load| step_minutes(&one.design(&wanted.design, load), one.at, shop))
            .collect();
        let own = (0..run.steps.len()).filter(|operation| run.steps[*operation] == one.at);
        for (n, operation) in own.enumerate() {
            let Some(operation) = lot.route.get_mut(operation) else {
                continue;
            };
            let of_bolt = |bolt: u32| minutes[one.load(bolt)].get(n).copied();
            let all: Option<Vec<Minute>> = (0..lot.bolts).map(of_bolt).collect();
            operation.of_bolts = all
                .filter(|all| all.iter().any(|minutes| *minutes != operation.duration))
                .unwrap_or_default();
        }
    }
}

/// Minutes of the operations of a step of a route.
fn step_minutes(design: &Design, step: usize, shop: &Workshop) -> Vec<Minute> {
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let parts = along(design, &lot, shop);
    let tasks = parts.get(step).map(|part| {
        let operation = &part.step.operation;
        operation.occupies(&part.before, design, &lot, shop)
    });
    tasks.iter().flatten().map(tasks::minutes).collect()
}

fn calendars(workspace: &Workspace, shop: &Workshop, first: Date, wanted: &[Wanted]) -> Vec<Calendar> {
    let last = wanted.iter().map(|lot| lot.due.days).max().unwrap_or(first.days);
    let work = wanted.iter().map(|lot| lot.bolts).fold(0u32, u32::saturating_add) / BOLTS_A_DAY;
    let days = last.saturating_sub(first.days).max(0);
    let days = days
        .saturating_add(AFTER)
        .saturating_add_unsigned(work)
        .min(LONGEST);
    let windows = |spec: &CalendarSpec| {
        let mut all = Vec::new();
        for day in 0..days {
            let at = |minute: u16| Minute::from(day) * 1440 + Minute::from(minute);
            let shifts = spec.shifts_on(first.plus(day), &shop.climate);
            all.extend(
                shifts
                    .iter()
                    .map(|shift| Window::new(at(shift.start), at(shift.end))),
            );
        }
        union(&all, &[])
    };
    let calendar = |spec: &CalendarSpec| Calendar {
        name: spec.key.clone(),
        windows: windows(spec),
    };
    workspace.calendars.iter().map(calendar).collect()
}

/// The first minute that the shop is open on or after a day; its midnight where it never is.
fn opens(calendars: &[Calendar], first: Date, day: Date) -> Minute {
    let midnight = ((Minute::from(day.days) - Minute::from(first.days)) * 1440).max(0);
    let shop = calendars.iter().find(|calendar| calendar.name == "shop");
    let next = shop.and_then(|c| c.windows.iter().find(|w| w.start >= midnight));
    next.map_or(midnight, |w| w.start)
}

/// The last minute that the shop is open on or before a day; the midnight after it where it never is.
fn closes(calendars: &[Calendar], first: Date, due: Date) -> Minute {
    let midnight = (Minute::from(due.days) - Minute::from(first.days) + 1) * 1440;
    let shop = calendars.iter().find(|calendar| calendar.name == "shop");
    let last = shop.and_then(|c| c.windows.iter().rev().find(|w| w.end <= midnight));
    last.map_or(midnight, |w| w.end)
}

/// Lots that wait for a strike-off wait for its approval.
fn approvals(problem: &mut Problem, wanted: &[Wanted], courier: Option<u32>) -> Result<(), Vec<Finding>> {
    if wanted.iter().all(|lot| lot.after.is_none()) {
        return Ok(());
    }
    if let Some(days) = courier {
        let horizon = problem.horizon();
        problem.calendars.push(Calendar {
            name: "always".to_string(),
            windows: vec![Window::new(0, horizon)],
        });
        let always = CalendarId(problem.calendars.len() - 1);
        let sent: BTreeSet<usize> = wanted.iter().filter_map(|lot| lot.after).collect();
        for lot in sent {
            let minutes = Minute::from(days.max(1)) * 1440;
            problem.lots[lot]
                .route
                .push(Operation::new("courier", minutes, always));
        }
    }
    let named = if courier.is_some() { "shop" } else { "designer" };
    let Some(calendar) = problem.calendars.iter().position(|c| c.name == named) else {
        let found = say!(
            "the workshop has no calendar {key}: nobody knows when strike-offs are approved",
            "bengkel belum punya kalender {key}: tidak jelas kapan contoh di-acc",
            key = Arg::Name(named.into())
        );
        let remedy = say!(
            "add {table} to {file}",
            "tambahkan {table} di {file}",
            table = Arg::Name(format!("[calendars.{named}]")),
            file = Arg::Name(workspace::WORKSHOP.into())
        );
        return Err(vec![wrong("calendar-missing", found).remedy(remedy)]);
    };
    problem.resources.push(Resource {
        name: "designer".to_string(),
        capacity: 1,
        set_up: Vec::new(),
    });
    let resource = ResourceId(problem.resources.len() - 1);
    if courier.is_none() {
        later_visits(problem, wanted, CalendarId(calendar));
    }
    for (lot, wanted) in problem.lots.iter_mut().zip(wanted) {
        lot.approval = wanted.after.map(|after_lot| Approval {
            duration: APPROVE,
            calendar: CalendarId(calendar),
            resource,
            after_lot: Some(after_lot),
        });
    }
    Ok(())
}

/// A strike-off that follows another begins when the visit in which that one was approved is over, so that each round has
/// a visit of its own: its first operation does not fall into any.
fn later_visits(problem: &mut Problem, wanted: &[Wanted], designer: CalendarId) {
    let mut visits: Vec<Window> = Vec::new();
    for window in problem.windows(designer) {
        match visits.last_mut() {
            Some(visit) if window.start - visit.end <= SAME_VISIT => visit.end = window.end,
            _ => visits.push(*window),
        }
    }
    for at in 0..problem.lots.len() {
        let again = wanted[at].weight == 0 && wanted[at].after.is_some();
        let first = problem.lots[at].route.first().filter(|_| again);
        let Some(hours) = first.map(|first| first.calendar) else {
            continue;
        };
        let name = format!("{}, between visits", problem.calendar_name(hours));
        let known = problem
            .calendars
            .iter()
            .position(|calendar| calendar.name == name);
        let calendar = known.unwrap_or_else(|| {
            let windows = subtract(problem.windows(hours), &visits);
            problem.calendars.push(Calendar { name, windows });
            problem.calendars.len() - 1
        });
        problem.lots[at].route[0].calendar = CalendarId(calendar);
    }
}

/// Gives each recipe one barrel, and each barrel set-ups between its recipes.
fn barrels(problem: &mut Problem, wanted: &[Wanted]) {
    /// One step of one design: its darkness first, so that recipes sort from light to dark.
    type Recipe = (usize, String, String);
    let recipe = |lot: &Wanted, operation: &Operation| -> Option<Recipe> {
        Some((
            operation.set_up?.class,
            lot.design.id.clone(),
            operation.key.clone(),
        ))
    };
    // Barrels that stand for each other, and the minutes of each recipe there.
    let mut rows: BTreeMap<Vec<ResourceId>, BTreeMap<Recipe, Minute>> = BTreeMap::new();
    for (lot, wanted) in problem.lots.iter().zip(wanted) {
        for operation in &lot.route {
            let Some(recipe) = recipe(wanted, operation) else {
                continue;
            };
            let minutes = operation.duration * Minute::from(lot.bolts);
            *rows
                .entry(places(operation))
                .or_default()
                .entry(recipe)
                .or_default() += minutes;
        }
    }
    let mut chosen: BTreeMap<Recipe, SetUp> = BTreeMap::new();
    for (barrels, recipes) in &rows {
        let whole: Minute = recipes.values().sum();
        let mut kept: Vec<Vec<usize>> = vec![Vec::new(); barrels.len()];
        let mut before = 0;
        for (recipe, minutes) in recipes {
            // The middle of its work, on the scale of all of it, says whose it is.
            let middle = (2 * before + minutes) * barrels.len() as Minute / (2 * whole.max(1));
            let at = (middle as usize).min(barrels.len() - 1);
            before += minutes;
            chosen.insert(
                recipe.clone(),
                SetUp {
                    resource: barrels[at],
                    class: kept[at].len(),
                },
            );
            kept[at].push(recipe.0);
        }
        for (barrel, darkness) in barrels.iter().zip(&kept) {
            if let Some(resource) = problem.resources.get_mut(barrel.0) {
                resource.set_up = set_ups(darkness);
            }
        }
    }
    for (lot, wanted) in problem.lots.iter_mut().zip(wanted) {
        for operation in &mut lot.route {
            let Some(set_up) = recipe(wanted, operation).and_then(|recipe| chosen.get(&recipe)) else {
                continue;
            };
            let all: BTreeSet<ResourceId> = places(operation).into_iter().collect();
            operation.uses.retain(|used| !all.contains(&used.resource));
            operation.modes.clear();
            operation.uses.push(Use {
                resource: set_up.resource,
                quantity: 1,
                from: 0,
                to: None,
            });
            operation.set_up = Some(*set_up);
        }
    }
}

/// The barrels that an operation may take.
fn places(operation: &Operation) -> Vec<ResourceId> {
    match (operation.modes.as_slice(), operation.set_up) {
        ([], Some(set_up)) => vec![set_up.resource],
        (modes, _) => modes.iter().map(|mode| mode.resource).collect(),
    }
}

/// Set-up minutes between recipes of these darknesses.
fn set_ups(darkness: &[usize]) -> Vec<Vec<Minute>> {
    let between = |a: usize, b: usize| match darkness[b] > darkness[a] {
        _ if a == b => 0,
        true => DARKER,
        false => LIGHTER,
    };
    let all = 0..darkness.len();
    all.clone()
        .map(|a| all.clone().map(|b| between(a, b)).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::set_ups;

    /// By hand: pale (1), coral and lagoon (2 each), ink (5).
    #[test]
    fn a_barrel_goes_from_light_to_dark() {
        assert_eq!(
            set_ups(&[1, 2, 2, 5]),
            [[0, 15, 15, 15], [45, 0, 45, 15], [45, 45, 0, 15], [45, 45, 45, 0]]
        );
    }
}
