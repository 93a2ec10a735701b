//! `lorod plan`: when each order is ready, judged by a part of the program that shares nothing with the planner.

use super::check::aside;
use super::end::{REFUSED, no_such, open, short};
use super::{End, cards, plan_file, plan_said, plan_state, plan_views, stop, tell, wire};
use crate::facts::followed::{self, followed};
use crate::facts::plan::{Planned, plan};
use crate::facts::problem::Asked;
use crate::facts::sure::{in_hand, sure};
use crate::facts::told;
use clap::{ArgGroup, Args};
use sky::Date;
use std::path::PathBuf;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use words::{Arg, Finding, Place, Voice, Weight, say};
use workspace::Workspace;

pub use super::plan_said::as_text;

/// Plans that are tried unless asked otherwise: some seconds for sixty bolts.
pub const TRIES: u64 = 2_000;
/// Seconds after which a plan is given, however many tries are left, unless asked otherwise.
pub const LONGEST: Duration = Duration::from_secs(60);
/// Replays for each buffer that is tried.
const EARLY: u32 = 100;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod plan my-cloth
  lorod plan my-cloth --anew
  lorod plan my-cloth --from 2026-11-30 --strike-off sea-fan -o plan.json
  lorod plan my-cloth --days 2026-12-07..2026-12-12 -o week.svg -o week.pdf -o week.ics
  lorod plan my-cloth --show load -o load.svg
  lorod --lang id plan my-cloth --days 2026-12-07 --chat
  lorod plan my-cloth --state state.toml -o plan-2.json
  lorod plan --problem shop.json --seconds 30 -o schedule.json
  lorod plan --check shop.json schedule.json

A plan that was chosen lies in the folder as plan.json and is followed while it fits the orders; --anew, or an option that
asks for another plan (--from, --strike-off, --tries, --seconds), plans anew and leaves the file as it is.
Nothing starts before the first day of the plan, which is tomorrow unless --from says otherwise.
The end of a file's name says what it holds: .json the whole plan, .svg or .png a drawing (--show), .pdf run sheets for
each station and day in both languages, .ics a calendar feed, .csv a table, .txt the short text of --chat.
A state's file says what was done; crates/workspace/src/state.rs and `lorod plan --state-example` show one.
A problem's file is JSON, format batik-plan/1: calendars, resources, set-ups, lots with routes and time limits; times are
whole minutes from 00:00 of day 0, a Monday. A schedule's file names start and end of each operation of each bolt.")]
#[command(group(ArgGroup::new("what").required(true).args(["dir", "problem", "check", "state_example"])))]
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
    /// Make a strike-off of this design first; its orders wait for the designer's approval. May be repeated, for other
    /// designs, and for the same one if it takes two rounds
    #[arg(long, value_name = "DESIGN")]
    pub strike_off: Vec<String>,
    /// Strike-offs go to the designer by courier, who approves by a call after so many days, instead of at a visit
    #[arg(long, value_name = "DAYS", requires = "strike_off", value_parser = clap::value_parser!(u32).range(1..=60))]
    pub courier: Option<u32>,
    /// Plan anew even where a plan was chosen: plan.json of the folder
    #[arg(long, requires = "dir", conflicts_with = "state")]
    pub anew: bool,
    /// Go on from what was done and is running: this file says it. What has begun stands, the rest moves little
    #[arg(long, value_name = "FILE", requires = "dir", conflicts_with_all = ["from", "strike_off", "courier"])]
    pub state: Option<PathBuf>,
    /// Which of the three plans that go on from a state is written and shown
    #[arg(long, value_enum, default_value_t = plan_state::Choose::Some, requires = "state")]
    pub choose: plan_state::Choose,
    /// Print a state's file to begin with
    #[arg(long)]
    pub state_example: bool,
    /// Plans to try; the same number gives the same plan, if the time is enough [default: 2000; with --seconds as many
    /// as the time allows]
    #[arg(long, value_name = "N")]
    pub tries: Option<u64>,
    /// Give the best plan so far after this time [default: 60]
    #[arg(long, value_name = "N")]
    pub seconds: Option<u32>,
    /// Play the plan so often, in rain and with durations that stray, to say how sure each promise is; 0: not at all
    #[arg(long, value_name = "N", default_value_t = 400, conflicts_with_all = ["problem", "check"],
        value_parser = clap::value_parser!(u32).range(0..=100_000))]
    pub replays: u32,
    /// Say which orders should begin earlier than planned so that rain and slow days break fewer promises
    #[arg(long, conflicts_with_all = ["problem", "check", "state"])]
    pub early: bool,
    /// Another seed tries other plans of the file's problem
    #[arg(long, value_name = "N", default_value_t = 1, requires = "problem")]
    pub seed: u64,
    /// What a drawing shows
    #[arg(long, value_enum, default_value_t = plan_views::Show::Lots, requires = "dir")]
    pub show: plan_views::Show,
    /// Only these days in drawings, sheets, feeds, tables and texts [default: all; of texts the first]
    #[arg(long, value_name = "DAY[..DAY]", requires = "dir")]
    pub days: Option<String>,
    /// Print a short text of the day or the days, to be sent to a phone, instead of the table
    #[arg(long, requires = "dir", conflicts_with = "json")]
    pub chat: bool,
    /// Paper of run sheets
    #[arg(long, value_enum, default_value_t = cards::Paper::A4, requires = "dir")]
    pub paper: cards::Paper,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
    /// Write there, as the name ends (see below). May be repeated for a workspace's plan
    #[arg(short, long, value_name = "FILE")]
    pub output: Vec<PathBuf>,
}

/// Runs it. `floor` is the voice of run sheets, `voice` that of everything else.
///
/// # Errors
/// If there is no plan, the judge refuses it, or an order is not planned.
pub fn run(ask: &Ask, voice: Voice, floor: Voice) -> Result<(), End> {
    if ask.state_example {
        tell(workspace::STATE_EXAMPLE);
        return Ok(());
    }
    let search = Search::of(ask);
    let dir = match (&ask.dir, &ask.problem, ask.check.as_deref()) {
        (_, _, Some([problem, schedule])) => return plan_file::check(problem, schedule, ask.json, voice),
        (_, Some(problem), _) => {
            return plan_file::solve(
                problem,
                &search,
                ask.output.first().map(PathBuf::as_path),
                ask.json,
                voice,
            );
        }
        (dir, ..) => dir.clone().unwrap_or_default(),
    };
    let workspace = open(&dir)?;
    for id in &ask.strike_off {
        super::end::design(&workspace, id)?;
    }
    let files = plan_views::Files::of(ask)?;
    let (asked, mut planned, now) = if let Some(state) = &ask.state {
        plan_state::go_on(
            &workspace,
            state,
            ask.choose,
            &search,
            &plan_state::Told {
                silent: ask.json || ask.chat,
                replays: ask.replays,
            },
            voice,
        )?
    } else {
        let asked = Asked {
            first_day: first_day(ask.from.as_deref(), &workspace)?,
            strike_offs: ask.strike_off.clone(),
            courier_days: ask.courier,
            tries: search.tries,
        };
        let planned = if ask.another() {
            another(&workspace, &asked, search.longest)?
        } else {
            for_papers(&workspace, &asked, search.longest, voice)?
        };
        (followed::asked(&workspace, &planned, &asked), planned, 0)
    };
    if stop::raised() {
        return Err(End::stopped());
    }
    // The three ways on from a state were played side by side already.
    let played = ask.replays > 0 && !ask.chat && (ask.state.is_none() || ask.json);
    let sure = played
        .then(|| {
            sure(
                &workspace,
                &planned.mapped,
                &planned.schedule,
                now,
                ask.replays,
                &|| !stop::raised(),
            )
        })
        .flatten();
    if ask.early {
        let found = in_hand(&workspace, &planned.mapped, &planned.schedule, EARLY, &|| {
            !stop::raised()
        });
        planned
            .findings
            .extend(found.map(|(_, findings)| findings).unwrap_or_default());
    }
    let findings = wire::findings(&planned.findings, |path| workspace.source(path), voice);
    let document = told::document(&planned, sure.as_ref(), &asked, &workspace, findings, voice);
    files.write(&workspace, &planned, &document, voice, floor)?;
    if ask.json {
        wire::print(&document);
    } else if ask.chat {
        tell(&files.chat(&workspace, &planned, voice)?);
    } else {
        tell(&as_text(&planned, &workspace, voice));
        match &sure {
            Some(sure) => tell(&plan_said::promises(&planned, sure, voice)),
            None if played => {
                let line = say!(
                    "how sure the promises are is not known: the plan is not whole, so it cannot be played",
                    "keyakinan janji tidak diketahui: rencana belum lengkap, jadi tidak dapat diulang"
                );
                tell(&format!("{}\n", line.say(voice)));
            }
            None => {}
        }
        aside(&planned.findings, &workspace, voice);
    }
    let wrong = planned.findings.iter().any(|f| f.weight == Weight::Wrong);
    if wrong { Err(End::said(REFUSED)) } else { Ok(()) }
}

impl Ask {
    /// Whether what was typed asks for another plan than the one that was chosen.
    const fn another(&self) -> bool {
        self.anew
            || self.from.is_some()
            || !self.strike_off.is_empty()
            || self.tries.is_some()
            || self.seconds.is_some()
    }
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

/// A new plan, which says so where another was chosen.
fn another(workspace: &Workspace, asked: &Asked, longest: Duration) -> Result<Planned, End> {
    let mut planned = work(workspace, asked, longest)?;
    planned.findings.extend(followed::set_aside(workspace));
    Ok(planned)
}

/// The plan that was chosen, as studio, papers and commands follow it, while it fits the orders; else a new one.
///
/// # Errors
/// As [`work`].
pub fn for_papers(
    workspace: &Workspace,
    asked: &Asked,
    longest: Duration,
    voice: Voice,
) -> Result<Planned, End> {
    stop::flag();
    let since = Instant::now();
    let keep_going = || !stop::raised() && since.elapsed() < longest;
    match followed(workspace, asked.tries, &keep_going) {
        Some(Ok(planned)) => Ok(planned),
        Some(Err(why)) => {
            aside(&[why], workspace, voice);
            work(workspace, asked, longest)
        }
        None => work(workspace, asked, longest),
    }
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
