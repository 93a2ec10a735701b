//! The plan's file.

use super::Instance;
use super::json::{Node, shown};
use ::plan::{Placed, Schedule, Spot, Window};
use std::collections::HashMap;
use std::fmt::Write as _;
use words::{Arg, Finding, say};

/// Starts and ends that can be said; that they lie in the calendars is the judge's affair.
const MINUTES: std::ops::RangeInclusive<i64> = -1_440_000..=14_400_000;

/// Reads a plan of a problem. It may be incomplete or wrong: [`plan::judge::check`] says so.
///
/// # Errors
/// The first place that is no JSON, or speaks of something that the problem does not have.
pub fn schedule(file: &str, text: &str, instance: &Instance) -> Result<Schedule, Finding> {
    let problem = &instance.problem;
    let root = Node::document(file, text)?.object()?;
    if let Some(name) = root.may("instance")
        && !instance.name.is_empty()
        && name.word()? != instance.name
    {
        let found = say!("this is a plan of another problem", "ini rencana masalah lain");
        let allowed = say!("{name}", "{name}", name = Arg::Name(shown(&instance.name)));
        return Err(name.wrong("plan-of-another", found).allow(allowed));
    }
    let lots: HashMap<&str, usize> = problem
        .lots
        .iter()
        .enumerate()
        .map(|(i, l)| (l.name.as_str(), i))
        .collect();
    let mut schedule = Schedule::default();
    for (bolt_name, operations) in root.need("bolts")?.object()?.fields() {
        let bolt = bolt_name.rsplit_once('#').and_then(|(lot, number)| {
            let (lot, number) = (*lots.get(lot)?, number.parse::<u32>().ok()?);
            (1..=problem.lots[lot].bolts)
                .contains(&number)
                .then(|| (lot, number - 1))
        });
        let Some((lot, bolt)) = bolt else {
            return Err(unknown(operations, bolt_name));
        };
        let route = &problem.lots[lot].route;
        for (key, value) in operations.object()?.fields() {
            let Some(operation) = route.iter().position(|o| o.key == key) else {
                return Err(unknown(value, key));
            };
            let items = value.items()?;
            let (times, at) = match &items[..] {
                [start, end] => ([start, end], None),
                [start, end, at] => ([start, end], Some(*at)),
                _ => {
                    value.row::<2>("start, end")?;
                    continue;
                }
            };
            let mode = at.map(|at| {
                let word = at.word()?;
                let modes = &route[operation].modes;
                let mode = modes
                    .iter()
                    .position(|m| problem.resource_name(m.resource) == word);
                mode.ok_or_else(|| unknown(at, &word))
            });
            let placed = Placed {
                start: times[0].whole(MINUTES)?,
                end: times[1].whole(MINUTES)?,
                mode: mode.transpose()?,
            };
            schedule.placed.insert(Spot { lot, bolt, operation }, placed);
        }
    }
    if let Some(approvals) = root.may("approvals") {
        for (name, times) in approvals.object()?.fields() {
            let Some(lot) = lots.get(name) else {
                return Err(unknown(times, name));
            };
            let [start, end] = times.row("start, end")?;
            let window = Window::new(start.whole(MINUTES)?, end.whole(MINUTES)?);
            schedule.approvals.insert(*lot, window);
        }
    }
    Ok(schedule)
}

/// The file of a plan: a bolt a line, in the order of the problem.
pub fn write(instance: &Instance, schedule: &Schedule) -> String {
    let problem = &instance.problem;
    let mut bolts: Vec<String> = Vec::new();
    for (lot, l) in problem.lots.iter().enumerate() {
        for bolt in 0..l.bolts {
            let mut line = String::new();
            for (operation, o) in l.route.iter().enumerate() {
                let Some(p) = schedule.get(lot, bolt, operation) else {
                    continue;
                };
                let comma = if line.is_empty() { "" } else { ", " };
                let at = p.mode.and_then(|m| o.modes.get(m));
                let at = at.map_or_else(String::new, |m| {
                    format!(", {}", quoted(problem.resource_name(m.resource)))
                });
                let _ = write!(line, "{comma}{}: [{}, {}{at}]", quoted(&o.key), p.start, p.end);
            }
            bolts.push(format!(
                "    {}: {{{line}}}",
                quoted(&problem.bolt_name(lot, bolt))
            ));
        }
    }
    let approval = |(lot, w): (&usize, &Window)| {
        let name = problem.lots.get(*lot).map_or("?", |l| l.name.as_str());
        format!("    {}: [{}, {}]", quoted(name), w.start, w.end)
    };
    let approvals: Vec<String> = schedule.approvals.iter().map(approval).collect();
    format!(
        "{{\n  \"instance\": {},\n  \"bolts\": {{\n{}\n  }},\n  \"approvals\": {{\n{}\n  }}\n}}\n",
        quoted(&instance.name),
        bolts.join(",\n"),
        approvals.join(",\n")
    )
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn unknown(at: Node, name: &str) -> Finding {
    let found = say!(
        "the problem knows no \"{name}\" here",
        "di sini masalah ini tidak mengenal \"{name}\"",
        name = Arg::Name(shown(name))
    );
    at.wrong("json-unknown", found)
}
