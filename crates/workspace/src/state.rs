//! What the floor has done so far, in a small TOML file: a plan goes on from there.
//!
//! `plan` names the plan that is followed (`lorod plan DIR -o plan.json`), seen from this file's folder. Everything that it
//! begins before `as_planned` stands as planned; the rest of the file says where the truth differs. Times are those of
//! the workshop's own clock.

use crate::Source;
use crate::read::{Item, Sheet, Table, parse};
use sky::Date;
use std::ops::Range;
use words::{Arg, Finding, Weight, say};

/// A state's file to begin with.
pub const STATE_EXAMPLE: &str = r#"# What was done and is running; the plan goes on from `now`.
plan = "plan.json"                  # the plan that is followed, beside this file
now = "2026-12-09 07:30"
as_planned = "2026-12-08 07:30"     # what the plan begins before this stands as planned: here, a day was lost

# Begun at another time than planned, or although planned for later. Without `ends` it takes as long as planned.
#[[happened]]
#order = "o-101"
#bolts = [1, 2]
#step = "s12"
#starts = "2026-12-07 10:05"
#ends = "2026-12-07 13:40"

# Planned before `as_planned`, but not begun.
#[[not_begun]]
#order = "o-103"
#bolts = [4]
#step = "s02"

# Hours that are lost from now on: rain this morning, no firewood. Without `calendars` everything is closed.
#[[closed]]
#calendars = ["sun"]
#from = "2026-12-09 07:30"
#to = "2026-12-09 12:00"
"#;

/// A day and a minute of it, local time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ClockTime {
    /// The day.
    pub date: Date,
    /// Minutes after midnight.
    pub minute: u16,
}

/// Bolts of an order at a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StateStep {
    /// Id of the order.
    pub order: String,
    /// Numbers of the bolts, from 1.
    pub bolts: Vec<u32>,
    /// Permanent id of the step.
    pub step: String,
    /// Where it stands in the file.
    pub span: Range<usize>,
}

/// Something that went otherwise than planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Happened {
    /// What.
    pub what: StateStep,
    /// When it began.
    pub starts: ClockTime,
    /// When it ended; `None`: as long after as planned.
    pub ends: Option<ClockTime>,
}

/// Hours in which nothing can be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Closed {
    /// Keys of calendars; none: all.
    pub calendars: Vec<String>,
    /// First minute.
    pub from: ClockTime,
    /// First minute after.
    pub to: ClockTime,
    /// Where it stands in the file.
    pub span: Range<usize>,
}

/// What was done and is running.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FloorState {
    /// The plan that is followed, seen from this file's folder.
    pub plan: String,
    /// Nothing that has not begun starts before.
    pub now: ClockTime,
    /// What the plan begins before stands as planned.
    pub as_planned: ClockTime,
    /// What went otherwise.
    pub happened: Vec<Happened>,
    /// What was planned and did not begin.
    pub not_begun: Vec<StateStep>,
    /// Lost hours.
    pub closed: Vec<Closed>,
}

const KEYS: [&str; 6] = ["plan", "now", "as_planned", "happened", "not_begun", "closed"];
const HAPPENED: [&str; 5] = ["order", "bolts", "step", "starts", "ends"];
const STEP: [&str; 3] = ["order", "bolts", "step"];
const CLOSED: [&str; 3] = ["calendars", "from", "to"];
/// Largest number of a bolt.
const MOST_BOLTS: u32 = 10_000;

/// Reads a state. With a finding that is wrong there is none: half a state would plan work twice.
pub fn floor_state(source: &Source) -> (Option<FloorState>, Vec<Finding>) {
    let sheet = Sheet::new(&source.path);
    let state = parse(source, &sheet).and_then(|document| {
        let table = Table::document(&sheet, &document, &KEYS);
        let (plan, now) = (table.text("plan"), table.item("now").and_then(time));
        let as_planned = match table.maybe("as_planned") {
            Some(item) => time(item),
            None => now,
        };
        let happened: Vec<Option<Happened>> =
            table.tables("happened", &HAPPENED).iter().map(happened).collect();
        let not_begun: Vec<Option<StateStep>> = table.tables("not_begun", &STEP).iter().map(step).collect();
        let closed: Vec<Option<Closed>> = table.tables("closed", &CLOSED).iter().map(closed).collect();
        let (now, as_planned) = (now?, as_planned?);
        if as_planned > now {
            let found = say!(
                "{key} lies after {now}",
                "{key} sesudah {now}",
                key = Arg::Name("as_planned".into()),
                now = Arg::Name("now".into())
            );
            let finding = Finding::new("state-future", Weight::Wrong, table.place_of("as_planned"), found);
            sheet.add(finding.allow(say!("what lies before now", "yang sudah lewat")));
            return None;
        }
        Some(FloorState {
            plan: plan?,
            now,
            as_planned,
            happened: happened.into_iter().collect::<Option<_>>()?,
            not_begun: not_begun.into_iter().collect::<Option<_>>()?,
            closed: closed.into_iter().collect::<Option<_>>()?,
        })
    });
    let findings = sheet.into_findings();
    let wrong = findings.iter().any(|finding| finding.weight == Weight::Wrong);
    (state.filter(|_| !wrong), findings)
}

fn step(entry: &Table) -> Option<StateStep> {
    let (order, step) = (entry.text("order"), entry.text("step"));
    let bolts = entry.item("bolts").and_then(|item| item.list())?;
    let bolts: Option<Vec<u32>> = bolts.iter().map(|bolt| bolt.whole(1, MOST_BOLTS)).collect();
    Some(StateStep {
        order: order?,
        bolts: bolts?,
        step: step?,
        span: entry.span(),
    })
}

fn happened(entry: &Table) -> Option<Happened> {
    let (what, starts) = (step(entry), entry.item("starts").and_then(time));
    let ends = entry
        .maybe("ends")
        .map_or(Some(None), |item| time(item).map(Some));
    let (starts, ends) = (starts?, ends?);
    if ends.is_some_and(|ends| ends <= starts) {
        entry.sheet().add(backwards(entry, "ends"));
        return None;
    }
    Some(Happened {
        what: what?,
        starts,
        ends,
    })
}

fn closed(entry: &Table) -> Option<Closed> {
    let calendars = match entry.maybe("calendars") {
        None => Some(Vec::new()),
        Some(item) => item
            .list()
            .and_then(|list| list.iter().map(|key| key.text().map(str::to_string)).collect()),
    };
    let (from, to) = (entry.item("from").and_then(time), entry.item("to").and_then(time));
    let (from, to) = (from?, to?);
    if to <= from {
        entry.sheet().add(backwards(entry, "to"));
        return None;
    }
    Some(Closed {
        calendars: calendars?,
        from,
        to,
        span: entry.span(),
    })
}

fn backwards(entry: &Table, key: &str) -> Finding {
    let found = say!(
        "{key} is not after the beginning",
        "{key} tidak sesudah awalnya",
        key = Arg::Name(key.to_string())
    );
    Finding::new("state-backwards", Weight::Wrong, entry.place_of(key), found)
        .allow(say!("a later time", "waktu yang lebih kemudian"))
}

/// `2026-12-09 07:30`.
fn time(item: Item) -> Option<ClockTime> {
    let text = item.text()?;
    let parsed = text.trim().split_once(' ').and_then(|(date, clock)| {
        let (hour, minute) = clock.trim().split_once(':')?;
        let two = |part: &str, most: u16| {
            let digits = part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
            part.parse::<u16>().ok().filter(|n| digits && *n < most)
        };
        Some(ClockTime {
            date: Date::parse(date)?,
            minute: two(hour, 24)? * 60 + two(minute, 60)?,
        })
    });
    if parsed.is_none() {
        let found = say!(
            "{text} is no day with a time",
            "{text} bukan hari dengan jam",
            text = Arg::Name(text.chars().take(60).collect())
        );
        let finding = item.wrong("not-a-time", found);
        item.add(finding.allow(say!(
            "day and time as {example}",
            "hari dan jam seperti {example}",
            example = Arg::Name("2026-12-09 07:30".into())
        )));
    }
    parsed
}
