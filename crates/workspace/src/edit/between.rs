//! What differs between two texts of a design's file, in terms of the design.

use super::document;
use std::collections::BTreeMap;
use toml_edit::{Item, Table, Value};
use words::Finding;

/// One thing that differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Id of the step, of the stamp (`stamp:<id>`), or name of the target (`target:<name>`); empty for the design itself.
    pub of: String,
    /// Key of the setting; empty where all of it came, went or moved.
    pub key: String,
    /// As it was; nothing where it was not there.
    pub before: Option<String>,
    /// As it is; nothing where it is not there.
    pub after: Option<String>,
}

/// Everything that differs, settings in the order of the later text. Comments and spaces do not count.
///
/// # Errors
/// If one of them is no TOML.
pub fn between(before: &str, after: &str) -> Result<Vec<Difference>, Finding> {
    let (old, new) = (Flat::of(before)?, Flat::of(after)?);
    let mut all = Vec::new();
    for (of, key) in &new.order {
        let (was, is) = (old.get(of, key), new.get(of, key));
        if was != is {
            all.push(difference(of, key, was, is));
        }
    }
    for (of, key) in old.order.iter().filter(|(of, key)| new.get(of, key).is_none()) {
        all.push(difference(of, key, old.get(of, key), None));
    }
    Ok(all)
}

fn difference(of: &str, key: &str, before: Option<&str>, after: Option<&str>) -> Difference {
    Difference {
        of: of.to_string(),
        key: key.to_string(),
        before: before.map(str::to_string),
        after: after.map(str::to_string),
    }
}

/// A file as one list of settings.
struct Flat {
    order: Vec<(String, String)>,
    values: BTreeMap<(String, String), String>,
}

impl Flat {
    fn of(text: &str) -> Result<Self, Finding> {
        let file = document(text)?;
        let mut flat = Self {
            order: Vec::new(),
            values: BTreeMap::new(),
        };
        for (key, item) in file.iter() {
            match (key, item) {
                ("steps" | "stamps", Item::ArrayOfTables(tables)) => {
                    let mut before = String::new();
                    for table in tables {
                        let id = super::id_of(table).unwrap_or_default();
                        let of = if key == "steps" {
                            id.to_string()
                        } else {
                            format!("stamp:{id}")
                        };
                        flat.table(&of, table);
                        if key == "steps" {
                            // Its place: after which step it comes.
                            flat.add(&of, "", &before);
                            before = of;
                        }
                    }
                }
                ("targets", Item::ArrayOfTables(tables)) => {
                    for table in tables {
                        let name = table.get("name").and_then(Item::as_str).unwrap_or_default();
                        flat.table(&format!("target:{name}"), table);
                    }
                }
                (_, Item::Table(table)) => flat.table(key, table),
                (_, item @ Item::Value(_)) => flat.add("", key, &plain(item)),
                _ => {}
            }
        }
        Ok(flat)
    }

    fn table(&mut self, of: &str, table: &Table) {
        for (key, item) in table.iter().filter(|(key, _)| *key != "id") {
            self.add(of, key, &plain(item));
        }
    }

    fn add(&mut self, of: &str, key: &str, value: &str) {
        let name = (of.to_string(), key.to_string());
        self.order.push(name.clone());
        self.values.insert(name, value.to_string());
    }

    fn get(&self, of: &str, key: &str) -> Option<&str> {
        self.values
            .get(&(of.to_string(), key.to_string()))
            .map(String::as_str)
    }
}

/// A value without its quotes, and without the spaces and comments around it.
pub(super) fn plain(item: &Item) -> String {
    match item {
        Item::Value(Value::String(text)) => text.value().clone(),
        Item::Value(value) => value.clone().decorated("", "").to_string(),
        other => other.to_string(),
    }
}
