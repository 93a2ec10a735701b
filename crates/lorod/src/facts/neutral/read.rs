//! The problem's file.

use super::json::{Node, Object, shown};
use ::plan::{
    Approval, Attendance, Batch, Calendar, CalendarId, Lag, Lot, Minute, Mode, Operation, Problem, Resource,
    ResourceId, SetUp, Use, Weights, Window,
};
use sky::Date;
use std::collections::HashMap;
use std::ops::RangeInclusive;
use words::{Arg, Finding, say};

/// The format that is read.
const FORMAT: &str = "batik-plan/1";
/// Minutes of a plan: a thousand days.
const MINUTES: RangeInclusive<i64> = 0..=1_440_000;
/// Units, bolts, weights: far above any workshop, far below what overflows.
const COUNT: RangeInclusive<i64> = 0..=100_000;
/// Most operations of all bolts together; beyond it nobody waits for the answer.
const MOST_OPERATIONS: usize = 100_000;
/// The Monday that stands for day 0, which the format gives no date.
const DAY_0: &str = "2026-01-05";

/// A problem with the name that its file gives it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instance {
    /// Its name; empty if the file gives none.
    pub name: String,
    /// The problem. Sound as JSON; [`plan::examine`] says whether it is sound as a problem.
    pub problem: Problem,
}

/// Reads a problem. `file` is its name in findings.
///
/// # Errors
/// The first place that is no JSON, lacks a field, has another value than is allowed, or names something that is
/// not there.
pub fn problem(file: &str, text: &str) -> Result<Instance, Finding> {
    let root = Node::document(file, text)?.object()?;
    let format = root.need("format")?;
    if format.word()? != FORMAT {
        let found = say!("this is another format", "ini format lain");
        let allowed = say!("{format}", "{format}", format = Arg::Name(FORMAT.into()));
        return Err(format.wrong("json-format", found).allow(allowed));
    }
    let mut reader = Reader::default();
    let mut calendars = Vec::new();
    for (name, windows) in root.need("calendars")?.object()?.fields() {
        let windows = windows
            .items()?
            .into_iter()
            .map(window)
            .collect::<Result<_, _>>()?;
        reader.calendars.insert(name.to_string(), calendars.len());
        calendars.push(Calendar {
            name: name.to_string(),
            windows,
        });
    }
    let mut resources = Vec::new();
    for (name, units) in root.need("resources")?.object()?.fields() {
        reader.resources.insert(name.to_string(), resources.len());
        resources.push(Resource {
            name: name.to_string(),
            capacity: count(units)?,
            set_up: Vec::new(),
        });
    }
    if let Some(set_ups) = root.may("setups") {
        for (name, set_up) in set_ups.object()?.fields() {
            let at = reader.known(&reader.resources, name, set_up)?;
            resources[at].set_up = matrix(set_up)?;
        }
    }
    let lots = root.need("lots")?.items()?;
    let lots = lots
        .into_iter()
        .map(Node::object)
        .collect::<Result<Vec<_>, _>>()?;
    for (at, lot) in lots.iter().enumerate() {
        let id = lot.need("id")?;
        if reader.lots.insert(id.word()?, at).is_some() {
            return Err(twice(id));
        }
    }
    let lots = lots
        .iter()
        .map(|lot| reader.lot(lot))
        .collect::<Result<Vec<_>, _>>()?;
    let operations = lots
        .iter()
        .map(|l| l.bolts as usize * l.route.len())
        .sum::<usize>();
    if operations > MOST_OPERATIONS {
        let number = |n: usize| Arg::Number(n as f64, 0);
        let found = say!(
            "{n} operations in all",
            "semuanya {n} operasi",
            n = number(operations)
        );
        let allowed = say!("up to {n}", "sampai {n}", n = number(MOST_OPERATIONS));
        return Err(root.need("lots")?.wrong("plan-too-long", found).allow(allowed));
    }
    Ok(Instance {
        name: root.may("name").map_or(Ok(String::new()), Node::word)?,
        problem: Problem {
            first_day: Date::parse(DAY_0).unwrap_or_default(),
            calendars,
            resources,
            lots,
            weights: weights(&root)?,
        },
    })
}

/// Places of names.
#[derive(Default)]
struct Reader {
    calendars: HashMap<String, usize>,
    resources: HashMap<String, usize>,
    lots: HashMap<String, usize>,
}

impl Reader {
    fn known(&self, among: &HashMap<String, usize>, name: &str, at: Node) -> Result<usize, Finding> {
        among.get(name).copied().ok_or_else(|| {
            let found = say!(
                "\"{name}\" is named here and is not in this file",
                "\"{name}\" disebut di sini dan tidak ada di berkas ini",
                name = Arg::Name(shown(name))
            );
            let mut all: Vec<&str> = among.keys().map(String::as_str).collect();
            all.sort_unstable();
            let list = Arg::Name(shown(&all.join(", ")));
            at.wrong("json-unknown", found)
                .allow(say!("{list}", "{list}", list = list))
        })
    }
    fn calendar(&self, at: Node) -> Result<CalendarId, Finding> {
        self.known(&self.calendars, &at.word()?, at).map(CalendarId)
    }
    fn resource(&self, at: Node) -> Result<ResourceId, Finding> {
        self.known(&self.resources, &at.word()?, at).map(ResourceId)
    }

    fn lot(&self, from: &Object) -> Result<Lot, Finding> {
        let mut route: Vec<Operation> = Vec::new();
        let mut places = HashMap::new();
        for step in from.need("route")?.items()? {
            let operation = self.operation(step)?;
            if places.insert(operation.key.clone(), route.len()).is_some() {
                return Err(twice(step.object()?.need("id")?));
            }
            route.push(operation);
        }
        let place = |at: Node| self.known(&places, &at.word()?, at);
        let mut lags = Vec::new();
        for lag in from.need("lags")?.items()? {
            let lag = lag.object()?;
            lags.push(Lag {
                from: place(lag.need("frm")?)?,
                to: place(lag.need("to")?)?,
                least: lag.need("min")?.whole(MINUTES)?,
                most: lag.may("max").map(|most| most.whole(MINUTES)).transpose()?,
            });
        }
        Ok(Lot {
            name: from.need("id")?.word()?,
            bolts: count(from.need("n")?)?,
            release: from.need("release")?.whole(MINUTES)?,
            due: from.need("due")?.whole(-1_440_000..=*MINUTES.end())?,
            weight: count(from.need("weight")?)?,
            approval: from.may("approval").map(|a| self.approval(a)).transpose()?,
            route,
            lags,
        })
    }

    fn approval(&self, from: Node) -> Result<Approval, Finding> {
        let from = from.object()?;
        let strike_off = |lot: Node| self.known(&self.lots, &lot.word()?, lot);
        Ok(Approval {
            duration: from.need("dur")?.whole(MINUTES)?,
            calendar: self.calendar(from.need("cal")?)?,
            resource: self.resource(from.need("res")?)?,
            after_lot: from.may("after_lot").map(strike_off).transpose()?,
        })
    }

    fn operation(&self, node: Node) -> Result<Operation, Finding> {
        let from = node.object()?;
        let modes = from.may("modes").map_or(Ok(Vec::new()), |modes| {
            let mode = |mode: Node| {
                let mode = mode.object()?;
                Ok(Mode {
                    resource: self.resource(mode.need("res")?)?,
                    duration: mode.need("dur")?.whole(MINUTES)?,
                })
            };
            modes.items()?.into_iter().map(mode).collect()
        })?;
        let duration = if modes.is_empty() {
            from.need("dur")?.whole(MINUTES)?
        } else {
            from.may("dur").map_or(Ok(0), |d| d.whole(MINUTES))?
        };
        let uses = from.need("uses")?.items()?.into_iter().map(|u| self.holds(u));
        let uses = uses.collect::<Result<Vec<_>, _>>()?;
        let first = |what: Node| {
            uses.first().map(|u: &Use| u.resource).ok_or_else(|| {
                let found = say!(
                    "the operation uses nothing, so this has no vessel",
                    "operasi ini tidak memakai apa pun, jadi tidak ada bejananya"
                );
                what.wrong("json-no-vessel", found)
            })
        };
        let attend = |a: Node| {
            let [from, to, calendar] = a.row("from, to, calendar")?;
            Ok(Attendance {
                from: from.whole(MINUTES)?,
                to: to.whole(MINUTES)?,
                calendar: self.calendar(calendar)?,
            })
        };
        let batch = |b: Node| {
            let of = b.object()?;
            Ok(Batch {
                vessel: first(b)?,
                capacity: count(of.need("cap")?)?,
                family: of.need("family")?.word()?,
            })
        };
        let set_up = |class: Node| {
            Ok(SetUp {
                resource: first(class)?,
                class: count(class)? as usize,
            })
        };
        Ok(Operation {
            key: from.need("id")?.word()?,
            duration,
            of_bolts: Vec::new(),
            calendar: self.calendar(from.need("cal")?)?,
            pausable: from.need("split")?.yes()?,
            attend: from.may("attend").map(attend).transpose()?,
            batch: from.may("batch").map(batch).transpose()?,
            set_up: from.may("setup").map(set_up).transpose()?,
            uses,
            modes,
        })
    }

    fn holds(&self, from: Node) -> Result<Use, Finding> {
        let [resource, quantity, from, to] = from.row("resource, units, from, to")?;
        let to = to.whole(-1..=*MINUTES.end())?;
        Ok(Use {
            resource: self.resource(resource)?,
            quantity: count(quantity)?,
            from: from.whole(MINUTES)?,
            to: (to >= 0).then_some(to),
        })
    }
}

fn window(from: Node) -> Result<Window, Finding> {
    let [start, end] = from.row("from, to")?;
    Ok(Window::new(start.whole(MINUTES)?, end.whole(MINUTES)?))
}

fn matrix(set_up: Node) -> Result<Vec<Vec<Minute>>, Finding> {
    let of = set_up.object()?;
    if let Some(initial) = of.may("initial") {
        let found = say!(
            "a resource that is not clean at the start is not known here",
            "sumber daya yang belum bersih di awal tidak dikenal di sini"
        );
        let allowed = say!("{null}: clean", "{null}: bersih", null = Arg::Name("null".into()));
        return Err(initial.wrong("json-initial", found).allow(allowed));
    }
    let row = |row: Node| row.items()?.into_iter().map(|m| m.whole(MINUTES)).collect();
    of.need("matrix")?.items()?.into_iter().map(row).collect()
}

fn weights(root: &Object) -> Result<Weights, Finding> {
    let from = root.need("objective")?.object()?;
    Ok(Weights {
        tardiness: count(from.need("tardiness")?)?,
        makespan: count(from.need("makespan")?)?,
        mean_flow: count(from.need("mean_flow")?)?,
        origin: from.need("origin")?.whole(MINUTES)?,
    })
}

fn count(from: Node) -> Result<u32, Finding> {
    from.whole(COUNT).map(|n| n as u32)
}

fn twice(id: Node) -> Finding {
    id.wrong(
        "json-twice",
        say!("this id is there twice", "id ini ada dua kali"),
    )
}
