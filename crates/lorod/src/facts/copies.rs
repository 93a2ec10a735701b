//! Copies of stamps that a plan may count on, and stamps that have none: when the next copy is there, and that
//! nothing is stamped before.

use ::plan::calendar::subtract;
use ::plan::{Calendar, CalendarId, Minute, Problem, Window};
use route::Design;
use sky::Date;
use std::collections::BTreeMap;
use words::{Arg, Finding, Line, Place, Weight, say};
use workspace::{Hanging, Workspace};

/// How many copies of a stamp there are to plan with: those in use; of a stamp that stamps.toml does not name, one or
/// the places of a station `stamp:<id>`; of one without a copy in use, the one that is waited for.
pub fn count(workspace: &Workspace, day: Date, design: &str, stamp: &str) -> u32 {
    let station = || workspace.workshop.as_ref()?.station(&format!("stamp:{stamp}"));
    match workspace.shelf.hanging(design, stamp, day) {
        Hanging::Untold => station().map_or(1, |s| s.places),
        Hanging::Copies(copies) => copies,
        Hanging::Coming(_) | Hanging::Retired(_) => 1,
    }
}

/// A stamp of which no copy can be used when the plan begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Absent {
    /// `design/stamp`.
    name: String,
    /// The first day on which a copy is there.
    pub from: Date,
}

/// The stamps of some designs that have no copy in use on a day, and what is to be said about them.
///
/// # Errors
/// If none is ordered and the workshop does not say how long that takes: then nobody knows when to stamp.
pub fn absent<'d>(
    workspace: &Workspace,
    day: Date,
    designs: impl Iterator<Item = &'d Design>,
) -> Result<(Vec<Absent>, Vec<Finding>), Vec<Finding>> {
    let mut all: BTreeMap<(&str, &str), Hanging> = BTreeMap::new();
    for design in designs {
        for used in &design.stamps {
            let hanging = workspace.shelf.hanging(&design.id, &used.id, day);
            all.insert((&design.id, &used.id), hanging);
        }
    }
    let (mut absent, mut said, mut unknown) = (Vec::new(), Vec::new(), Vec::new());
    for ((design, stamp), hanging) in all {
        let name = format!("{design}/{stamp}");
        let from = match hanging {
            Hanging::Untold | Hanging::Copies(_) => continue,
            Hanging::Coming(from) => {
                said.push(coming(&name, from));
                from
            }
            Hanging::Retired(last) => {
                let Some(days) = workspace.lead_times.of("stamp") else {
                    unknown.push(nobody_knows(&name));
                    continue;
                };
                // Nobody ordered it before the last copy was given up.
                let ordered = day.max(last);
                said.push(retired(&name, ordered, days));
                ordered.plus(days)
            }
        };
        absent.push(Absent { name, from });
    }
    if unknown.is_empty() {
        Ok((absent, said))
    } else {
        Err(unknown)
    }
}

impl Absent {
    /// Lets nothing be stamped with it before a minute: what holds it gets its calendar from there on. The calendar keeps
    /// its name, so that hours that are lost or added count there too.
    pub fn keep_out(&self, problem: &mut Problem, before: Minute) {
        let name = format!("stamp:{}", self.name);
        let Some(stamp) = problem.resources.iter().position(|r| r.name == name) else {
            return;
        };
        let mut later: BTreeMap<CalendarId, CalendarId> = BTreeMap::new();
        for operation in problem.lots.iter_mut().flat_map(|lot| &mut lot.route) {
            if !operation.uses.iter().any(|used| used.resource.0 == stamp) {
                continue;
            }
            let calendars = &mut problem.calendars;
            operation.calendar = *later.entry(operation.calendar).or_insert_with(|| {
                if let Some(whole) = calendars.get(operation.calendar.0) {
                    let windows = subtract(&whole.windows, &[Window::new(0, before)]);
                    let name = whole.name.clone();
                    calendars.push(Calendar { name, windows });
                }
                CalendarId(calendars.len() - 1)
            });
        }
    }
}

fn none_in_use(name: &str, weight: Weight) -> Finding {
    let found = say!(
        "no copy of the stamp {stamp} is in use",
        "tidak ada salinan cap {stamp} yang dipakai",
        stamp = Arg::Name(name.to_string())
    );
    Finding::new("stamp-without-copy", weight, Place::Request, found)
}

/// That every copy of a stamp, `design/stamp`, is retired.
pub fn all_retired(name: &str) -> Finding {
    none_in_use(name, Weight::Doubtful)
        .allow(say!(
            "nothing can be stamped with it before a new one is there",
            "tidak ada yang dapat dicap dengannya sebelum ada yang baru"
        ))
        .remedy(order_it())
}

fn order_it() -> Line {
    say!(
        "order it, and put it on the shelf with the day on which it comes",
        "pesan, lalu catat di rak dengan hari datangnya"
    )
}

fn coming(name: &str, from: Date) -> Finding {
    none_in_use(name, Weight::Note).allow(say!(
        "the next comes on {day}: nothing is stamped with it before",
        "berikutnya datang {day}: sebelum itu tidak ada yang dicap dengannya",
        day = Arg::Name(from.to_string())
    ))
}

fn retired(name: &str, ordered: Date, days: i32) -> Finding {
    let allowed = say!(
        "ordered on {ordered} a new one is there on {day} ({n} days, yours): nothing is stamped with it before",
        "bila dipesan {ordered}, yang baru ada {day} ({n} hari, dari Anda): sebelum itu tidak ada yang dicap dengannya",
        ordered = Arg::Name(ordered.to_string()),
        day = Arg::Name(ordered.plus(days).to_string()),
        n = Arg::Number(f64::from(days), 0)
    );
    none_in_use(name, Weight::Doubtful)
        .allow(allowed)
        .remedy(order_it())
}

fn nobody_knows(name: &str) -> Finding {
    none_in_use(name, Weight::Wrong)
        .allow(say!(
            "nobody knows when a new one is there",
            "tidak jelas kapan yang baru ada"
        ))
        .remedy(say!(
            "write {what} under {table} in {file}, or put the copy on the shelf with the day on which it comes",
            "tulis {what} di {table} dalam {file}, atau catat salinan di rak dengan hari datangnya",
            what = Arg::Name("stamp = \"28 d\"".into()),
            table = Arg::Name("[lead_times]".into()),
            file = Arg::Name(workspace::WORKSHOP.into())
        ))
}
