//! Changes of `[[targets]]`: the colours that the finished cloth is to carry.

use super::{NewTarget, known, not_here, number_or_text, put};
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value, value};
use words::Finding;

const KEYS: [&str; 5] = ["name", "colour", "tolerance", "weight", "leads"];

/// One value of a target.
pub(super) fn set(file: &mut DocumentMut, at: usize, key: &str, text: Option<&str>) -> Result<(), Finding> {
    known(&KEYS, key)?;
    let table = all(file)
        .and_then(|all| all.get_mut(at))
        .ok_or_else(|| missing(at))?;
    match (key, text) {
        ("colour", Some(text)) => colour(table, text),
        ("name" | "leads", text) => put(table, key, text.map(|text| text.trim().into())),
        (_, text) => put(table, key, text.map(number_or_text)),
    }
    Ok(())
}

/// One more, after the others.
pub(super) fn add(file: &mut DocumentMut, new: &NewTarget) -> Result<(), Finding> {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table.insert("name", value(new.name.trim()));
    colour(&mut table, &new.colour);
    for (key, steps) in [("waxed", &new.waxed), ("bare", &new.bare)] {
        if !steps.is_empty() {
            table.insert(key, value(steps.iter().map(String::as_str).collect::<Array>()));
        }
    }
    if let Some(leads) = &new.leads {
        table.insert("leads", value(leads.trim()));
    }
    if file.get("targets").is_none() {
        file.insert("targets", Item::ArrayOfTables(ArrayOfTables::new()));
    }
    all(file).ok_or_else(|| not_here("table", "targets"))?.push(table);
    Ok(())
}

/// One less.
pub(super) fn remove(file: &mut DocumentMut, at: usize) -> Result<(), Finding> {
    let all = all(file)
        .filter(|all| at < all.len())
        .ok_or_else(|| missing(at))?;
    all.remove(at);
    if all.is_empty() {
        file.remove("targets");
    }
    Ok(())
}

fn all(file: &mut DocumentMut) -> Option<&mut ArrayOfTables> {
    file.get_mut("targets").and_then(Item::as_array_of_tables_mut)
}

fn missing(at: usize) -> Finding {
    not_here("target", &(at + 1).to_string())
}

/// A colour stands in the file as `colour = "#rrggbb"`, or as `lab = [L*, a*, b*]`; in one of both ways.
fn colour(table: &mut Table, text: &str) {
    let parts: Vec<&str> = text.split([',', ' ']).filter(|part| !part.is_empty()).collect();
    let lab: Option<Vec<f64>> = parts.iter().map(|part| part.parse().ok()).collect();
    let (key, other, new): (_, _, Value) = match lab {
        Some(lab) if lab.len() == 3 => ("lab", "colour", lab.into_iter().collect::<Array>().into()),
        _ => ("colour", "lab", text.trim().into()),
    };
    if !table.contains_key(key)
        && let Some(old) = table.get_key_value(other).map(|(old, _)| old.clone())
    {
        // In the place of the other, whose line and comment it takes.
        let mut rest: Vec<(toml_edit::Key, Item)> = Vec::new();
        for name in table.iter().map(|(name, _)| name.to_string()).collect::<Vec<_>>() {
            rest.extend(table.remove_entry(&name));
        }
        for (name, item) in rest {
            if name == old {
                let mut renamed = toml_edit::Key::new(key);
                *renamed.leaf_decor_mut() = name.leaf_decor().clone();
                table.insert_formatted(&renamed, item);
            } else {
                table.insert_formatted(&name, item);
            }
        }
    }
    put(table, key, Some(new));
}
