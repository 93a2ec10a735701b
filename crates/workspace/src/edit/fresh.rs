//! What a new step begins with: an id of its own, and values for the settings that have no usual one.

use super::{Given, not_here};
use route::{Kind, Shape};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table};
use units::{Decimal, Measure, Quantity, System, print};
use words::{Finding, Place, Weight, say};

/// An id that no step has.
pub(super) fn fresh_id(steps: &ArrayOfTables) -> String {
    let taken: Vec<&str> = steps.iter().filter_map(super::id_of).collect();
    let mut n = steps.len() + 1;
    while taken.contains(&format!("s{n:02}").as_str()) {
        n += 1;
    }
    format!("s{n:02}")
}

/// Values for the settings without a usual one: as in the nearest step of the kind, else as little as can be said.
pub(super) fn first_values(
    kind: &'static Kind,
    steps: &ArrayOfTables,
    file: &DocumentMut,
) -> Result<Vec<(&'static str, Given)>, Finding> {
    let like = steps
        .iter()
        .find(|step| step.get("do").and_then(Item::as_str) == Some(kind.key));
    let mut values = Vec::new();
    for setting in kind.settings.iter().filter(|s| s.default.is_none()) {
        let same = like.and_then(|step| given(step.get(setting.key)?));
        let value = match (same, setting.shape) {
            (Some(same), _) => same,
            (None, Shape::Quantity { measure, least, most }) => {
                Given::Text(spell((least * most).max(0.0).sqrt().max(least), measure))
            }
            (None, Shape::Choice(terms)) => Given::Text(terms.first().map_or("", |t| t.key).to_string()),
            (None, Shape::Dyes { least: 0, .. }) => Given::Doses(Vec::new()),
            (None, Shape::Dyes { depth, deepest, .. }) => {
                let dye = first_dye(steps).ok_or_else(no_dye)?;
                // A tenth of the deepest: seen at once, and nothing is spoiled.
                Given::Doses(vec![(dye, spell(deepest / 10.0, depth))])
            }
            (None, Shape::Stamp) => Given::Text(first_stamp(file).ok_or_else(|| not_here("stamp", "yet"))?),
        };
        values.push((setting.key, value));
    }
    Ok(values)
}

fn spell(si: f64, measure: Measure) -> String {
    print(Quantity::new(si, measure), System::Metric, Decimal::Point)
}

fn first_stamp(file: &DocumentMut) -> Option<String> {
    let stamps = file.get("stamps")?.as_array_of_tables()?;
    Some(super::id_of(stamps.get(0)?)?.to_string())
}

/// The first dye that any step names.
fn first_dye(steps: &ArrayOfTables) -> Option<String> {
    let of = |table: &Table| {
        table.iter().find_map(|(_, item)| match given(item)? {
            Given::Doses(doses) => doses.into_iter().next().map(|(dye, _)| dye),
            Given::Text(_) => None,
        })
    };
    steps.iter().find_map(of)
}

/// A setting as it stands in a file.
pub(super) fn given(item: &Item) -> Option<Given> {
    if let Some(text) = item.as_str() {
        return Some(Given::Text(text.to_string()));
    }
    let dose = |value: &toml_edit::Value| {
        let table = value.as_inline_table()?;
        let word = |key: &str| Some(table.get(key)?.as_str()?.to_string());
        Some((word("dye")?, word("depth")?))
    };
    let doses: Option<Vec<_>> = item.as_array()?.iter().map(dose).collect();
    doses.map(Given::Doses)
}

fn no_dye() -> Finding {
    Finding::new(
        "store-empty",
        Weight::Wrong,
        Place::Request,
        say!(
            "no step of this design names a dye yet",
            "belum ada langkah desain ini yang memakai pewarna"
        ),
    )
}
