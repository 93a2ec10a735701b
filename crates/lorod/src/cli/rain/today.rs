//! Today's weather, entered in the morning: the plan as it was, and as it is after the repair.

use super::super::check::aside;
use super::super::plan::{LONGEST, work};
use super::super::plan_state;
use super::super::table::Table;
use super::super::{End, tell, wire};
use super::{Ask, clock, day, time_of_day};
use crate::facts::problem::{Asked, Mapped};
use crate::facts::replan::{Replanned, Way, replan, shut};
use crate::facts::sure::{Wet, wet_day};
use ::plan::{Minute, Schedule, Spot, Window};
use serde::Serialize;
use sky::Date;
use std::path::Path;
use std::time::Instant;
use words::{Arg, Finding, Place, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// The answer as JSON. Times are those of the workshop's own clock, `2026-12-01 07:30`.
#[derive(Serialize)]
struct Out {
    /// The day.
    on: String,
    /// Hours in which the yard can be used.
    yard: [String; 2],
    /// Was it checked, and found without fault, by the independent judge?
    judged: bool,
    /// Operations that move to another day; by more than half an hour within their day.
    other_day: u32,
    within_day: u32,
    /// ms that the repair took.
    took_ms: u128,
    /// Every lot.
    lots: Vec<LotOut>,
    /// What begins today, and when instead.
    moved: Vec<MovedOut>,
}

#[derive(Serialize)]
struct LotOut {
    id: String,
    promised: String,
    before: Option<String>,
    after: Option<String>,
}

#[derive(Serialize)]
struct MovedOut {
    lot: String,
    bolt: u32,
    operation: String,
    /// Number and name of its step.
    step: String,
    from: String,
    to: String,
}

/// Runs it.
///
/// # Errors
/// If the hours cannot be read, there is no plan, or nothing fits any more.
pub(super) fn run(ask: &Ask, workspace: &Workspace, voice: Voice) -> Result<(), End> {
    let yard = hours(ask.yard.as_deref().unwrap_or_default())?;
    let (on, mapped, before, wet, took) = match &ask.state {
        Some(state) => from_state(ask, state, workspace, yard)?,
        None => from_plan(ask, workspace, yard)?,
    };
    let (opens, closes) = yard;
    let problem = &mapped.problem;
    let day = Minute::from(on.days - problem.first_day.days);
    let lots: Vec<LotOut> = problem
        .lots
        .iter()
        .enumerate()
        .map(|(at, lot)| LotOut {
            id: lot.name.clone(),
            promised: problem.clock(lot.due),
            before: before.completion(problem, at).map(|end| problem.clock(end)),
            after: wet.schedule.completion(problem, at).map(|end| problem.clock(end)),
        })
        .collect();
    let today = before
        .placed
        .iter()
        .filter(|(_, was)| was.start.div_euclid(1440) == day);
    let step = |spot: &Spot| {
        let run = mapped.lots.get(spot.lot)?;
        let at = *run.steps.get(spot.operation)?;
        let step = workspace.design(&run.design)?.steps.get(at)?;
        let name = step.operation.kind().term.text.raw(voice.language);
        Some(format!("{} {name}", at + 1))
    };
    let moved: Vec<MovedOut> = today
        .filter_map(|(spot, was)| {
            let is = wet.schedule.placed.get(spot)?;
            (is.start != was.start).then(|| MovedOut {
                lot: problem.lots[spot.lot].name.clone(),
                bolt: spot.bolt + 1,
                operation: problem.lots[spot.lot].route[spot.operation].key.clone(),
                step: step(spot).unwrap_or_default(),
                from: problem.clock(was.start),
                to: problem.clock(is.start),
            })
        })
        .collect();
    if ask.json {
        wire::print(&Out {
            on: on.to_string(),
            yard: [clock(opens), clock(closes)],
            judged: wet.faults == 0,
            other_day: wet.unrest.days,
            within_day: wet.unrest.hours,
            took_ms: took,
            lots,
            moved,
        });
    } else {
        tell(&as_text(&wet, &lots, &moved, voice));
        aside(&[judged(&wet, took)], workspace, voice);
    }
    if wet.faults == 0 {
        Ok(())
    } else {
        Err(End::said(super::super::end::REFUSED))
    }
}

/// The day, what was planned, the plan before, the plan after, ms that the repair took.
type Repaired = (Date, Mapped, Schedule, Wet, u128);

/// A plan made now, repaired before anything of the day has begun.
fn from_plan(ask: &Ask, workspace: &Workspace, (opens, closes): (Minute, Minute)) -> Result<Repaired, End> {
    let on = day(ask.on.as_deref(), workspace)?;
    let from = match ask.from.as_deref() {
        Some(from) => day(Some(from), workspace)?,
        None => on,
    };
    let day = Minute::from(on.days.saturating_sub(from.days));
    if day < 0 {
        let found = say!(
            "{on} is before the plan's first day, {from}",
            "{on} sebelum hari pertama rencana, {from}",
            on = Arg::Name(on.to_string()),
            from = Arg::Name(from.to_string())
        );
        return Err(End::usage(Finding::new(
            "before-the-plan",
            Weight::Wrong,
            Place::Request,
            found,
        )));
    }
    let asked = Asked {
        first_day: from,
        strike_offs: Vec::new(),
        courier_days: None,
        tries: ask.tries,
    };
    let planned = work(workspace, &asked, LONGEST)?;
    let since = Instant::now();
    let dry = Window::new(day * 1440 + opens, day * 1440 + closes);
    let wet = wet_day(workspace, &planned.mapped, &planned.schedule, dry)
        .map_err(|findings| End::in_files(findings, workspace))?;
    let took = since.elapsed().as_millis();
    Ok((on, planned.mapped, planned.schedule, wet, took))
}

/// The plan of a state, repaired from what has begun.
fn from_state(
    ask: &Ask,
    path: &Path,
    workspace: &Workspace,
    (opens, closes): (Minute, Minute),
) -> Result<Repaired, End> {
    let (source, mut state, followed) = plan_state::read(path)?;
    let on = match ask.on.as_deref() {
        Some(on) => day(Some(on), workspace)?,
        None => state.now.date,
    };
    state.closed.extend(shut(workspace, on, opens, closes));
    let since = Instant::now();
    let replanned = replan(
        workspace,
        &source.path,
        &state,
        &followed,
        &[Way::Keep],
        0,
        &|| true,
    );
    let took = since.elapsed().as_millis();
    let Replanned { choices, before, .. } = match replanned {
        Ok(replanned) => replanned,
        Err(findings) => return Err(End::in_source(findings, source)),
    };
    let kept = choices.into_iter().next().ok_or_else(End::stopped)?;
    let wet = Wet {
        schedule: kept.planned.schedule,
        unrest: kept.unrest,
        faults: kept.planned.faults.len(),
    };
    Ok((on, kept.planned.mapped, before, wet, took))
}

/// Whether the judge lets it be worked.
fn judged(wet: &Wet, took: u128) -> Finding {
    let took = Arg::Number(took as f64, 0);
    if wet.faults == 0 {
        let found = say!(
            "repaired in {took} ms and checked by a second, independent program part",
            "diperbaiki dalam {took} ms dan diperiksa bagian program kedua yang terpisah",
            took = took
        );
        return Finding::new("plan-judged", Weight::Note, Place::Request, found);
    }
    let found = say!(
        "the independent check found {n} faults in the repaired plan; do not work by it",
        "pemeriksaan terpisah menemukan {n} kesalahan pada rencana baru; jangan dipakai",
        n = Arg::Number(wet.faults as f64, 0)
    );
    Finding::new("plan-faults", Weight::Wrong, Place::Request, found)
}

fn as_text(wet: &Wet, lots: &[LotOut], moved: &[MovedOut], voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let number = |n: u32| Arg::Number(f64::from(n), 0);
    let head = say!(
        "{days} operations move to another day, {hours} by more than half an hour within theirs",
        "{days} pekerjaan pindah hari, {hours} bergeser lebih dari setengah jam",
        days = number(wet.unrest.days),
        hours = number(wet.unrest.hours)
    );
    let mut out = format!("{}\n", head.say(voice));
    let mut table = Table::new(&[false, false, false, false]);
    table.row([
        raw(text!("order", "pesanan")),
        raw(text!("promised", "dijanjikan")),
        raw(text!("was ready", "tadinya siap")),
        raw(text!("is ready", "sekarang siap")),
    ]);
    for lot in lots {
        let when = |at: &Option<String>| at.clone().unwrap_or_default();
        table.row([
            lot.id.clone(),
            lot.promised.clone(),
            when(&lot.before),
            when(&lot.after),
        ]);
    }
    out.push_str(&table.text());
    if !moved.is_empty() {
        out.push_str(&format!(
            "{}\n",
            raw(text!("Not as planned today:", "Hari ini berubah:"))
        ));
        let mut table = Table::new(&[false, false, false, false]);
        for one in moved {
            let bolt = format!("{}#{}", one.lot, one.bolt);
            table.row([bolt, one.step.clone(), one.from.clone(), format!("-> {}", one.to)]);
        }
        out.push_str(&table.text());
    }
    out
}

/// `08:30-11:00`.
fn hours(text: &str) -> Result<(Minute, Minute), End> {
    let (opens, closes) = text.split_once('-').unwrap_or((text, ""));
    let (opens, closes) = (time_of_day(opens)?, time_of_day(closes)?);
    if opens < closes {
        return Ok((opens, closes));
    }
    let found = say!(
        "the yard's hours {hours} end before they begin",
        "jam halaman {hours} berakhir sebelum mulai",
        hours = Arg::Name(super::short(text))
    );
    Err(End::usage(Finding::new(
        "shift-order",
        Weight::Wrong,
        Place::Request,
        found,
    )))
}
