//! The steps of a route. Which operations there are, and which settings they have, is read from
//! [`route::OPERATIONS`]; no operation is named here.

use super::{Palette, StepPlace, stamps::Named};
use crate::read::{Item, Table};
use route::{DyeDose, Kind, OPERATIONS, Setting, Shape, Step, Value, Values, operations};
use units::Measure;
use words::{Arg, Finding, Place, Weight, say};

/// Longest route.
const MOST_STEPS: usize = 200;

/// The steps under `[[steps]]`; wrong ones are left out and said. `places` tells where each stands.
pub(super) fn read(
    design: &Table,
    palette: &mut Palette,
    stamps: &[Named],
    places: &mut Vec<StepPlace>,
) -> Vec<Step> {
    let Some(item) = design.item("steps") else {
        return Vec::new();
    };
    let entries = item.list().unwrap_or_default();
    if entries.len() > MOST_STEPS {
        item.add(
            item.wrong(
                "route-too-long",
                say!(
                    "the route has {n} steps",
                    "alur berisi {n} langkah",
                    n = Arg::Number(entries.len() as f64, 0)
                ),
            )
            .allow(say!(
                "up to {most}",
                "sampai {most}",
                most = Arg::Number(MOST_STEPS as f64, 0)
            )),
        );
        return Vec::new();
    }
    if entries.is_empty() {
        item.add(item.wrong(
            "route-empty",
            say!("the route has no step", "alur belum berisi langkah"),
        ));
    }
    let mut steps = Vec::new();
    for entry in entries {
        let Some(table) = entry.open_table() else { continue };
        if let Some(step) = step(&table, palette, stamps, places) {
            steps.push(step);
        }
    }
    steps
}

fn step(table: &Table, palette: &mut Palette, stamps: &[Named], places: &mut Vec<StepPlace>) -> Option<Step> {
    let id = step_id(table, places);
    let word = table.item("do").and_then(|item| Some((item, item.text()?)));
    let kind = word.and_then(|(item, word)| {
        let kind = operations::kind(word);
        if kind.is_none() {
            item.unknown("operation-not-known", word, OPERATIONS.iter().map(|k| k.key));
        }
        kind
    });
    let values = kind.and_then(|kind| {
        let known: Vec<&'static str> = ["id", "do"]
            .into_iter()
            .chain(kind.settings.iter().map(|s| s.key))
            .collect();
        table.only(&known);
        values(kind, table, palette, stamps)
    });
    let id = id?;
    let span = |key: &'static str| table.maybe(key).map(|item| (key, item.span()));
    let settings = kind
        .iter()
        .flat_map(|kind| kind.settings)
        .filter_map(|s| span(s.key))
        .collect();
    let whole = span("do").map_or_else(|| table.span(), |(_, span)| span);
    places.push(StepPlace {
        id: id.clone(),
        span: whole,
        settings,
    });
    Some(Step {
        id,
        operation: (kind?.make)(values?),
        key: [0; 32],
    })
}

/// The permanent id of a step: random fields of the cloth are seeded by it.
fn step_id(table: &Table, places: &[StepPlace]) -> Option<String> {
    let fresh = || {
        let mut n = places.len() + 1;
        while places.iter().any(|p| p.id == format!("s{n:02}")) {
            n += 1;
        }
        say!(
            "give it one that no other step has, for example {id}",
            "beri id yang belum dipakai, misalnya {id}",
            id = Arg::Name(format!("s{n:02}"))
        )
    };
    let Some(item) = table.maybe("id") else {
        table.sheet().add(
            Finding::new(
                "step-without-id",
                Weight::Wrong,
                table.place(),
                say!("this step has no id", "langkah ini belum punya id"),
            )
            .remedy(fresh()),
        );
        return None;
    };
    let id = item.text()?;
    item.kebab();
    if places.iter().any(|p| p.id == id) {
        item.add(
            item.wrong(
                "step-twice",
                say!(
                    "there are two steps {id}",
                    "ada dua langkah {id}",
                    id = Arg::Name(id.to_string())
                ),
            )
            .remedy(fresh()),
        );
        return None;
    }
    Some(id.to_string())
}

fn values(kind: &'static Kind, table: &Table, palette: &mut Palette, stamps: &[Named]) -> Option<Values> {
    let mut given = Vec::new();
    let mut unread = Vec::new();
    for setting in kind.settings {
        let Some(item) = table.maybe(setting.key) else {
            continue;
        };
        match value(setting, item, palette, stamps) {
            Some(value) => given.push((setting.key, value)),
            None => unread.push(setting.key),
        }
    }
    // A setting that could not be read was told already; that it is missing too need not be.
    let place = |key: &'static str| match unread.contains(&key) {
        true => Place::Request,
        false => table.place_of(key),
    };
    match Values::complete(kind.settings, given, &place) {
        Ok(values) => unread.is_empty().then_some(values),
        Err(findings) => {
            for finding in findings.into_iter().filter(|f| f.place != Place::Request) {
                table.sheet().add(finding);
            }
            None
        }
    }
}

fn value(setting: &Setting, item: Item, palette: &mut Palette, stamps: &[Named]) -> Option<Value> {
    match setting.shape {
        Shape::Quantity { measure, .. } => item.quantity(measure).map(Value::Quantity),
        Shape::Choice(terms) => item.choice(terms).map(Value::Choice),
        Shape::Dyes { depth, .. } => doses(item, depth, palette).map(Value::Dyes),
        Shape::Stamp => {
            let id = item.text()?;
            let at = stamps.iter().position(|named| named.id == id);
            if at.is_none() {
                item.unknown(
                    "stamp-not-known",
                    id,
                    stamps.iter().map(|named| named.id.as_str()),
                );
            }
            at.map(Value::Stamp)
        }
    }
}

/// `[ { dye = "rose-vs", depth = "25 g/L" }, ... ]`
fn doses(item: Item, depth: Measure, palette: &mut Palette) -> Option<Vec<DyeDose>> {
    let mut doses = Vec::new();
    let mut complete = true;
    for entry in item.list()? {
        let dose = entry.table(&["dye", "depth"]).and_then(|table| {
            let depth = table.quantity("depth", depth);
            let dye = table.item("dye").and_then(|item| palette.place(&item));
            Some(DyeDose {
                dye: dye?,
                depth: depth?,
            })
        });
        match dose {
            Some(dose) if doses.iter().any(|d: &DyeDose| d.dye == dose.dye) => {
                entry.add(entry.wrong(
                    "dye-twice",
                    say!(
                        "a dye stands twice in this list",
                        "satu pewarna tertulis dua kali di daftar ini"
                    ),
                ));
                complete = false;
            }
            Some(dose) => doses.push(dose),
            None => complete = false,
        }
    }
    complete.then_some(doses)
}
