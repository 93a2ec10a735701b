//! `lorod plan`: when each order is ready, judged by a part of the program that shares nothing with the planner.

use super::check::aside;
use super::end::{REFUSED, no_such, open, short};
use super::table::Table;
use super::{End, out, plan_file, stop, tell, wire};
use crate::facts::plan::{Planned, plan};
use crate::facts::problem::Asked;
use ::plan::Minute;
use clap::{ArgGroup, Args};
use serde::Serialize;
use sky::Date;
use std::path::PathBuf;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use words::{Arg, Finding, Place, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// Plans that are tried unless asked otherwise: some seconds for sixty bolts.
pub const TRIES: u64 = 2_000;
/// Seconds after which a plan is given, however many tries are left, unless asked otherwise.
pub const LONGEST: Duration = Duration::from_secs(60);

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod plan my-cloth
  lorod plan my-cloth --from 2026-11-30 --strike-off sea-fan -o plan.json
  lorod plan --problem shop.json --seconds 30 -o schedule.json
  lorod plan --check shop.json schedule.json

Nothing starts before the first day of the plan, which is tomorrow unless --from says otherwise.
A problem's file is JSON, format batik-plan/1: calendars, resources, set-ups, lots with routes and time limits; times are
whole minutes from 00:00 of day 0, a Monday. A schedule's file names start and end of each operation of each bolt.")]
#[command(group(ArgGroup::new("what").required(true).args(["dir", "problem", "check"])))]
pub struct Ask {
    /// Folder of the workspace
    pub dir: Option<PathBuf>,
    /// Plan the problem of this file instead of a workspace; -o writes the schedule as JSON
    #[arg(long, value_name = "FILE", conflicts_with_all = ["from", "strike_off"])]
    pub problem: Option<PathBuf>,
    /// Say what is wrong with this schedule of this problem
    #[arg(long, num_args = 2, value_names = ["PROBLEM", "SCHEDULE"],
        conflicts_with_all = ["from", "strike_off", "tries", "seconds", "output", "seed"])]
    pub check: Option<Vec<PathBuf>>,
    /// First day of the plan [default: tomorrow]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
    /// Make a strike-off of this design first; its orders wait for the designer's approval. May be repeated
    #[arg(long, value_name = "DESIGN")]
    pub strike_off: Vec<String>,
    /// Strike-offs go to the designer by courier, who approves by a call after so many days, instead of at a visit
    #[arg(long, value_name = "DAYS", requires = "strike_off", value_parser = clap::value_parser!(u32).range(1..=60))]
    pub courier: Option<u32>,
    /// Plans to try; the same number gives the same plan, if the time is enough [default: 2000; with --seconds as many
    /// as the time allows]
    #[arg(long, value_name = "N")]
    pub tries: Option<u64>,
    /// Give the best plan so far after this time [default: 60]
    #[arg(long, value_name = "N")]
    pub seconds: Option<u32>,
    /// Another seed tries other plans of the file's problem
    #[arg(long, value_name = "N", default_value_t = 1, requires = "problem")]
    pub seed: u64,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
    /// Write the whole plan there as JSON
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// The answer as JSON. Times are those of the workshop's own clock, `2026-12-01 07:30`.
#[derive(Serialize)]
struct Out {
    /// First day.
    from: String,
    /// Was it checked, and found without fault, by the independent judge?
    judged: bool,
    /// How far it may be from the best plan, 0..1; `null` where no bound is known.
    gap: Option<f64>,
    /// Lots in the order of the orders' file, strike-offs first.
    lots: Vec<LotOut>,
    /// What there is to say about the plan.
    findings: Vec<wire::FindingOut>,
}

/// A lot.
#[derive(Serialize)]
struct LotOut {
    /// Its order.
    id: String,
    /// Id of its design.
    design: String,
    /// Bolts.
    bolts: u32,
    /// Promised for.
    promised: String,
    /// First work.
    starts: Option<String>,
    /// Last bolt packed.
    done: Option<String>,
    /// Minutes after the promise; negative: before.
    late_minutes: Option<Minute>,
    /// Approval of its strike-off.
    approved: Option<[String; 2]>,
    /// Everything that is done to its bolts.
    operations: Vec<OperationOut>,
}

/// An operation of a bolt.
#[derive(Serialize)]
struct OperationOut {
    /// The bolt, from 1.
    bolt: u32,
    /// Permanent id of the step.
    step: Option<String>,
    /// Key of the operation in the plan.
    operation: String,
    /// First minute.
    starts: String,
    /// First minute after.
    ends: String,
}

/// Runs it.
///
/// # Errors
/// If there is no plan, the judge refuses it, or an order is not planned.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let search = Search::of(ask);
    let dir = match (&ask.dir, &ask.problem, ask.check.as_deref()) {
        (_, _, Some([problem, schedule])) => return plan_file::check(problem, schedule, ask.json, voice),
        (_, Some(problem), _) => {
            return plan_file::solve(problem, &search, ask.output.as_deref(), ask.json, voice);
        }
        (dir, ..) => dir.clone().unwrap_or_default(),
    };
    let workspace = open(&dir)?;
    for id in &ask.strike_off {
        super::end::design(&workspace, id)?;
    }
    let asked = Asked {
        first_day: first_day(ask.from.as_deref(), &workspace)?,
        strike_offs: ask.strike_off.clone(),
        courier_days: ask.courier,
        tries: search.tries,
    };
    let planned = work(&workspace, &asked, search.longest)?;
    if stop::raised() {
        return Err(End::stopped());
    }
    let document = document(&planned, &workspace, voice);
    if let Some(path) = &ask.output {
        // Numbers, text and lists: nothing in it can fail to be written as JSON.
        let text = serde_json::to_string_pretty(&document).map_err(|e| End::disk(path, &e.into()))?;
        out::write(path, text.as_bytes())?;
    }
    if ask.json {
        wire::print(&document);
    } else {
        tell(&as_text(&planned, &workspace, voice));
        aside(&planned.findings, &workspace, voice);
    }
    let wrong = planned.findings.iter().any(|f| f.weight == Weight::Wrong);
    if wrong { Err(End::said(REFUSED)) } else { Ok(()) }
}

/// How long the search goes on.
#[derive(Clone, Copy, Debug)]
pub struct Search {
    /// Plans to try.
    pub tries: u64,
    /// Seed.
    pub seed: u64,
    /// However many tries are left.
    pub longest: Duration,
}

impl Search {
    fn of(ask: &Ask) -> Self {
        Self {
            tries: ask
                .tries
                .unwrap_or(if ask.seconds.is_some() { u64::MAX } else { TRIES }),
            seed: ask.seed,
            longest: ask.seconds.map_or(LONGEST, |s| Duration::from_secs(s.into())),
        }
    }
}

/// Plans; Ctrl-C and the time end the search with the best plan so far.
///
/// # Errors
/// Why there is no plan.
pub fn work(workspace: &Workspace, asked: &Asked, longest: Duration) -> Result<Planned, End> {
    stop::flag();
    let since = Instant::now();
    plan(workspace, asked, &|| !stop::raised() && since.elapsed() < longest)
        .map_err(|findings| End::in_files(findings, workspace))
}

/// The first day of a plan: the one typed, or tomorrow at the workshop (UTC, where there is none).
///
/// # Errors
/// If what was typed is no date.
pub fn first_day(from: Option<&str>, workspace: &Workspace) -> Result<Date, End> {
    let Some(text) = from else {
        let hours = workspace
            .workshop
            .as_ref()
            .map_or(0.0, |shop| shop.climate.utc_hours);
        // A clock set before 1970 plans from its first day on.
        let now = SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .unwrap_or_default()
            .as_secs_f64();
        let today = ((now + hours * 3600.0) / 86_400.0).floor() as i32;
        return Ok(Date { days: today }.plus(1));
    };
    Date::parse(text).ok_or_else(|| {
        let found = say!(
            "\"{text}\" is not a date",
            "\"{text}\" bukan tanggal",
            text = Arg::Name(short(text))
        );
        let finding = Finding::new("date", Weight::Wrong, Place::Request, found);
        End::usage(finding.allow(say!(
            "year, month and day: {example}",
            "tahun, bulan, dan hari: {example}",
            example = Arg::Name("2026-11-30".into())
        )))
    })
}

/// An order by id.
///
/// # Errors
/// The nearest one if there is none.
pub fn order<'w>(workspace: &'w Workspace, id: &str) -> Result<&'w workspace::Order, End> {
    workspace
        .orders
        .iter()
        .find(|order| order.id == id)
        .ok_or_else(|| {
            let found = say!(
                "there is no order {id}",
                "tidak ada pesanan {id}",
                id = Arg::Name(short(id))
            );
            let known = workspace.orders.iter().map(|order| order.id.as_str());
            End::refused(vec![no_such("no-such-order", found, id, known)])
        })
}

fn document(planned: &Planned, workspace: &Workspace, voice: Voice) -> Out {
    let problem = &planned.mapped.problem;
    let clock = |minute: Minute| problem.clock(minute);
    let lots = problem.lots.iter().enumerate().map(|(at, lot)| {
        let run = planned.mapped.lots.get(at);
        let design = run.and_then(|run| workspace.design(&run.design));
        let step = |operation: usize| Some(design?.steps.get(*run?.steps.get(operation)?)?.id.clone());
        let operations = planned.schedule.placed.iter().filter(|(spot, _)| spot.lot == at);
        LotOut {
            id: lot.name.clone(),
            design: run.map_or_else(String::new, |run| run.design.clone()),
            bolts: lot.bolts,
            promised: clock(lot.due),
            starts: planned.span(at).map(|(start, _)| clock(start)),
            done: planned.span(at).map(|(_, end)| clock(end)),
            late_minutes: planned.late(at),
            approved: planned
                .schedule
                .approvals
                .get(&at)
                .map(|w| [clock(w.start), clock(w.end)]),
            operations: operations
                .map(|(spot, placed)| OperationOut {
                    bolt: spot.bolt + 1,
                    step: step(spot.operation),
                    operation: lot
                        .route
                        .get(spot.operation)
                        .map_or_else(String::new, |o| o.key.clone()),
                    starts: clock(placed.start),
                    ends: clock(placed.end),
                })
                .collect(),
        }
    });
    Out {
        from: problem.first_day.to_string(),
        judged: planned.faults.is_empty(),
        gap: planned.gap(),
        lots: lots.collect(),
        findings: wire::findings(&planned.findings, |path| workspace.source(path), voice),
    }
}

/// The plan as text: a line for each lot.
pub fn as_text(planned: &Planned, workspace: &Workspace, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let problem = &planned.mapped.problem;
    let mut table = Table::new(&[false, false, true, false, false, false, true]);
    table.row([
        raw(text!("lot", "partai")),
        raw(text!("design", "desain")),
        raw(text!("bolts", "gulung")),
        raw(text!("starts", "mulai")),
        raw(text!("done", "selesai")),
        raw(text!("promised", "janji")),
        raw(text!("spare", "sisa waktu")),
    ]);
    for (at, lot) in problem.lots.iter().enumerate() {
        let design = planned
            .mapped
            .lots
            .get(at)
            .and_then(|run| workspace.design(&run.design));
        let span = planned.span(at);
        let clock = |minute: Option<Minute>| minute.map_or_else(|| "-".to_string(), |m| problem.clock(m));
        let days = |minutes: Minute| Arg::Number(minutes.abs() as f64 / 1440.0, 1);
        let spare = match planned.late(at) {
            None => "-".to_string(),
            Some(late) if late > 0 => say!("{d} days LATE", "TERLAMBAT {d} hari", d = days(late)).say(voice),
            Some(late) => say!("{d} days", "{d} hari", d = days(late)).say(voice),
        };
        table.row([
            lot.name.clone(),
            design.map_or_else(String::new, |design| design.name.clone()),
            lot.bolts.to_string(),
            clock(span.map(|(start, _)| start)),
            clock(span.map(|(_, end)| end)),
            clock(Some(lot.due)),
            spare,
        ]);
    }
    table.text()
}
