//! Late orders: why, and what helps.

use super::problem::Mapped;
use super::views::{stamp, term};
use ::plan::solve::Options;
use ::plan::{CalendarId, Late, Levers, Names, Problem, ResourceId, Schedule, Score, late, remedies};
use words::{Arg, Finding, Place, Term, Weight, say, text};
use workspace::{Hours, Workspace};

/// Plans tried for each thing that may help; each begins with the plan there is.
const TRIES: u64 = 60;
/// Late lots for which help is looked for, the latest first: beyond that the plan as a whole is the trouble.
const MOST: usize = 3;

/// A finding for each late lot that was promised, with the remedy that planning again found best, and notes on what
/// it waited for and what else helps.
pub fn remarks(
    workspace: &Workspace,
    mapped: &Mapped,
    schedule: &Schedule,
    score: &Score,
    keep_going: &dyn Fn() -> bool,
) -> Vec<Finding> {
    let problem = &mapped.problem;
    let names = Called { workspace, mapped };
    let levers = levers(workspace, mapped);
    let options = Options {
        tries: TRIES,
        ..Options::default()
    };
    let mut lots = score.late.clone();
    lots.retain(|(lot, _)| problem.lots.get(*lot).is_some_and(|lot| lot.weight > 0));
    lots.sort_by_key(|(_, minutes)| std::cmp::Reverse(*minutes));
    let mut findings = Vec::new();
    for (n, (lot, minutes)) in lots.into_iter().enumerate() {
        let mut broken = Finding::new(
            "promise-broken",
            Weight::Doubtful,
            Place::Request,
            say!(
                "lot {lot} is planned to be done {days} days after its promise",
                "partai {lot} direncanakan selesai {days} hari sesudah janji",
                lot = Arg::Name(problem.lots[lot].name.clone()),
                days = Arg::Number(minutes as f64 / 1440.0, 1)
            ),
        );
        let why: Option<Late> = late(problem, schedule, lot).filter(|_| n < MOST);
        let mut notes = Vec::new();
        if let Some(why) = &why {
            notes.extend(
                why.lines(problem, &names)
                    .into_iter()
                    .map(|line| ("why-late", line)),
            );
            let found = remedies(problem, schedule, why, &levers, &options, keep_going);
            let mut found = found.iter().map(|r| r.line(problem, &names, lot));
            broken.remedy = found.next();
            notes.extend(found.map(|line| ("also-helps", line)));
        }
        findings.push(broken);
        findings.extend(
            notes
                .into_iter()
                .map(|(code, line)| Finding::new(code, Weight::Note, Place::Request, line)),
        );
    }
    findings
}

/// Operations by the terms of the trade, stamps by their designs.
struct Called<'a> {
    workspace: &'a Workspace,
    mapped: &'a Mapped,
}

impl Names for Called<'_> {
    fn operation(&self, lot: usize, operation: usize) -> Arg {
        match term_of(self.workspace, self.mapped, lot, operation) {
            Some(term) => Arg::Term(term),
            // What is no step of the route.
            None => Arg::Text(text!("the courier", "kurir")),
        }
    }
    fn resource(&self, resource: ResourceId) -> Arg {
        let key = self.mapped.problem.resource_name(resource);
        match (term(key), stamp(key, self.workspace)) {
            // Of several alike, the number says which.
            (Some(word), _) => match key.rsplit_once(' ') {
                Some((_, number)) => Arg::Called(word, number.to_string()),
                None => Arg::Text(word),
            },
            (_, Some(stamp)) => Arg::Called(text!("stamp", "cap"), stamp),
            _ => Arg::Name(key.to_string()),
        }
    }
}

/// The trade's name of a lot's operation; `None` for what is no step.
fn term_of(workspace: &Workspace, mapped: &Mapped, lot: usize, operation: usize) -> Option<&'static Term> {
    let lot = mapped.lots.get(lot)?;
    let step = workspace
        .design(&lot.design)?
        .steps
        .get(*lot.steps.get(operation)?)?;
    Some(&step.operation.kind().term)
}

/// The same problem, its stamps called by their designs; `cap` is the trade's word in both languages.
pub fn named(workspace: &Workspace, problem: &Problem) -> Problem {
    let mut named = problem.clone();
    for resource in &mut named.resources {
        if let Some(stamp) = stamp(&resource.name, workspace) {
            resource.name = format!("cap {stamp}");
        }
    }
    named
}

/// Overtime is for the workshop's own hours: the sun works none, and a visitor has gone.
fn levers(workspace: &Workspace, mapped: &Mapped) -> Levers {
    let problem = &mapped.problem;
    let visited: Vec<CalendarId> = problem
        .lots
        .iter()
        .filter_map(|l| l.approval.map(|a| a.calendar))
        .collect();
    let own = |(at, calendar): (usize, &::plan::Calendar)| {
        let spec = workspace
            .calendars
            .iter()
            .find(|spec| spec.key == calendar.name)?;
        let week = matches!(spec.hours, Hours::Week { .. });
        (week && !visited.contains(&CalendarId(at))).then_some(CalendarId(at))
    };
    Levers {
        overtime: problem.calendars.iter().enumerate().filter_map(own).collect(),
        now: problem.weights.origin,
    }
}
