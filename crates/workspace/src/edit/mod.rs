//! Changes to a design's file as a person makes them. What is not changed keeps its bytes: comments, order, spelling.
//!
//! [`apply`] turns text into text and knows no disk; [`crate::Workspace::as_if`] says what the folder would be with it,
//! and [`crate::save`] writes it if nobody else has. Which operations and settings there are is read from
//! [`route::OPERATIONS`]; none is named here.

mod between;
mod fresh;
mod targets;

pub use between::{Difference, between};

use fresh::{first_values, fresh_id};
use route::operations;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value, value};
use words::{Arg, Finding, Place, Weight, say};

/// What a setting is given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Given {
    /// A quantity, a word or an id, as typed.
    Text(String),
    /// Dyes of the store by id, each with its depth as typed.
    Doses(Vec<(String, String)>),
}

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// A setting of a step; nothing given takes it out of the file, so that its usual value holds.
    Setting {
        /// Id of the step.
        step: String,
        /// Key of the setting.
        key: String,
        /// What it is given.
        given: Option<Given>,
    },
    /// A new step. What has no usual value is given one to begin with.
    Add {
        /// Key of the operation.
        kind: String,
        /// Its place in the route, from 0.
        at: usize,
    },
    /// A step less.
    Remove {
        /// Its id.
        step: String,
    },
    /// A step to another place of the route.
    Move {
        /// Its id.
        step: String,
        /// Its place afterwards, from 0.
        to: usize,
    },
    /// The same step once more, right after it, with an id of its own.
    Duplicate {
        /// Its id.
        step: String,
    },
    /// The white cloth.
    Cloth {
        /// `width`, `length` or `weight`.
        key: String,
        /// As typed.
        text: String,
    },
    /// What it is called.
    About {
        /// `name`, `colourway` or `note`.
        key: String,
        /// As typed.
        text: String,
    },
    /// A stamp of the design.
    Stamp {
        /// Its id.
        stamp: String,
        /// `file`, `width`, `height`, `layout` or `wax_below`.
        key: String,
        /// As typed; nothing takes it out of the file.
        text: Option<String>,
    },
    /// A colour that the finished cloth is to carry.
    Target {
        /// Its place in the file, from 0.
        at: usize,
        /// `name`, `colour`, `tolerance`, `weight` or `leads`.
        key: String,
        /// As typed; nothing takes it out of the file. A colour is `#rrggbb`, or L*, a*, b* (D65, 10 degrees).
        text: Option<String>,
    },
    /// One more of them, after the others.
    AddTarget(NewTarget),
    /// One of them less, by its place in the file.
    RemoveTarget(usize),
    /// Several changes as one: all of them or none.
    All(Vec<Change>),
}

/// A colour for a region that has none yet. Steps are named by their ids.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NewTarget {
    /// What people call the region.
    pub name: String,
    /// `#rrggbb`, or L*, a*, b*.
    pub colour: String,
    /// Steps whose wax covers it.
    pub waxed: Vec<String>,
    /// Steps whose wax leaves it bare.
    pub bare: Vec<String>,
    /// A step and which of its dyes leads there: `s04.2`.
    pub leads: Option<String>,
}

const CLOTH: [&str; 3] = ["width", "length", "weight"];
const ABOUT: [&str; 3] = ["name", "colourway", "note"];
const STAMP: [&str; 5] = ["file", "width", "height", "layout", "wax_below"];

/// The text of a design's file after a change.
///
/// # Errors
/// If the text is no TOML, or the change is about something that is not there. Whether the result can be made is
/// another question: read it.
pub fn apply(text: &str, change: &Change) -> Result<String, Finding> {
    let mut file = document(text)?;
    match change {
        Change::Setting { step, key, given } => {
            let mut steps = take_steps(&mut file)?;
            let at = place_of(&steps, step)?;
            let table = of(&mut steps, at, step)?;
            let known = table.get("do").and_then(Item::as_str).and_then(operations::kind);
            if !known.is_some_and(|kind| kind.settings.iter().any(|s| s.key == key)) {
                return Err(not_here("setting", key));
            }
            put(table, key, given.as_ref().map(spelled));
            put_steps(&mut file, steps);
        }
        Change::Add { kind, at } => {
            let Some(kind) = operations::kind(kind) else {
                return Err(not_here("operation", kind));
            };
            let mut steps = take_steps(&mut file)?;
            let mut table = Table::new();
            table.decor_mut().set_prefix("\n");
            table.insert("id", value(fresh_id(&steps)));
            table.insert("do", value(kind.key));
            for (key, given) in first_values(kind, &steps, &file)? {
                table.insert(key, Item::Value(spelled(&given)));
            }
            let at = (*at).min(steps.len());
            steps.insert(at, table);
            put_steps(&mut file, steps);
        }
        Change::Remove { step } => {
            let mut steps = take_steps(&mut file)?;
            let at = place_of(&steps, step)?;
            if steps.len() == 1 {
                return Err(last_step());
            }
            steps.remove(at);
            put_steps(&mut file, steps);
        }
        Change::Move { step, to } => {
            let mut steps = take_steps(&mut file)?;
            let at = place_of(&steps, step)?;
            let mut table = steps.remove(at);
            // Its old place in the text would put it back where it was.
            table.set_position(None);
            steps.insert((*to).min(steps.len()), table);
            put_steps(&mut file, steps);
        }
        Change::Duplicate { step } => {
            let mut steps = take_steps(&mut file)?;
            let at = place_of(&steps, step)?;
            let mut table = of(&mut steps, at, step)?.clone();
            table.set_position(None);
            table.decor_mut().set_prefix("\n");
            put(&mut table, "id", Some(fresh_id(&steps).into()));
            steps.insert(at + 1, table);
            put_steps(&mut file, steps);
        }
        Change::Cloth { key, text } => {
            known(&CLOTH, key)?;
            let cloth = file.get_mut("cloth").and_then(Item::as_table_like_mut);
            let cloth = cloth.ok_or_else(|| not_here("table", "cloth"))?;
            put(cloth, key, Some(text.trim().into()));
        }
        Change::About { key, text } => {
            known(&ABOUT, key)?;
            put(file.as_table_mut(), key, Some(text.trim().into()));
        }
        Change::Stamp { stamp, key, text } => {
            known(&STAMP, key)?;
            let stamps = file.get_mut("stamps").and_then(Item::as_array_of_tables_mut);
            let mut all = stamps.into_iter().flat_map(ArrayOfTables::iter_mut);
            let table = all.find(|table| id_of(table) == Some(stamp));
            let table = table.ok_or_else(|| not_here("stamp", stamp))?;
            put(table, key, text.as_deref().map(number_or_text));
        }
        Change::Target { at, key, text } => targets::set(&mut file, *at, key, text.as_deref())?,
        Change::AddTarget(new) => targets::add(&mut file, new)?,
        Change::RemoveTarget(at) => targets::remove(&mut file, *at)?,
        Change::All(changes) => {
            return changes
                .iter()
                .try_fold(text.to_string(), |text, change| apply(&text, change));
        }
    }
    Ok(file.to_string())
}

/// What stands in a design's file for a stamp, as typed; nothing where the usual value holds.
pub fn stands(text: &str, stamp: &str, key: &str) -> Option<String> {
    let file = document(text).ok()?;
    let stamps = file.get("stamps")?.as_array_of_tables()?;
    let table = stamps.iter().find(|table| id_of(table) == Some(stamp))?;
    table.get(key).map(between::plain)
}

/// The text of a design's file as another colourway: a new id, another name of its colours, all else alike.
///
/// # Errors
/// If the text is no TOML.
pub(crate) fn renamed(text: &str, id: &str, colourway: &str) -> Result<String, Finding> {
    let mut file = document(text)?;
    put(file.as_table_mut(), "id", Some(id.into()));
    put(file.as_table_mut(), "colourway", Some(colourway.trim().into()));
    Ok(file.to_string())
}

pub(crate) fn document(text: &str) -> Result<DocumentMut, Finding> {
    text.parse().map_err(|error: toml_edit::TomlError| {
        let first = error.message().lines().next().unwrap_or_default().to_string();
        Finding::new(
            "not-toml",
            Weight::Wrong,
            Place::Request,
            say!(
                "the file of the design cannot be changed as it stands: {why}",
                "berkas desain belum dapat diubah: {why}",
                why = Arg::Name(first)
            ),
        )
    })
}

/// The steps, whichever way they are written, out of the document.
fn take_steps(file: &mut DocumentMut) -> Result<ArrayOfTables, Finding> {
    let item = file.insert("steps", Item::None).unwrap_or(Item::None);
    item.into_array_of_tables()
        .map_err(|_| not_here("table", "steps"))
}

fn put_steps(file: &mut DocumentMut, steps: ArrayOfTables) {
    file.insert("steps", Item::ArrayOfTables(steps));
}

fn id_of(table: &Table) -> Option<&str> {
    table.get("id").and_then(Item::as_str)
}

fn place_of(steps: &ArrayOfTables, id: &str) -> Result<usize, Finding> {
    let mut ids = steps.iter().map(id_of);
    ids.position(|found| found == Some(id))
        .ok_or_else(|| not_here("step", id))
}

fn of<'a>(steps: &'a mut ArrayOfTables, at: usize, id: &str) -> Result<&'a mut Table, Finding> {
    steps.get_mut(at).ok_or_else(|| not_here("step", id))
}

/// Puts a value in the place of another, whose comment and spaces stay; nothing takes it out.
pub(crate) fn put(table: &mut dyn toml_edit::TableLike, key: &str, new: Option<Value>) {
    let Some(mut new) = new else {
        table.remove(key);
        return;
    };
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        _ => {
            table.insert(key, Item::Value(new));
        }
    }
}

fn spelled(given: &Given) -> Value {
    match given {
        Given::Text(text) => text.trim().into(),
        Given::Doses(doses) => {
            let mut list = Array::new();
            for (dye, depth) in doses {
                let mut one = InlineTable::new();
                one.insert("dye", dye.as_str().into());
                one.insert("depth", depth.trim().into());
                list.push(one);
            }
            list.into()
        }
    }
}

/// Numbers without a unit stand without quotes.
fn number_or_text(text: &str) -> Value {
    match text.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => number.into(),
        _ => text.trim().into(),
    }
}

fn known(keys: &[&str], key: &str) -> Result<(), Finding> {
    if keys.contains(&key) {
        Ok(())
    } else {
        Err(not_here("setting", key).allow(say!("{keys}", "{keys}", keys = Arg::Name(keys.join(", ")))))
    }
}

fn not_here(what: &'static str, name: &str) -> Finding {
    Finding::new(
        "nothing-to-change",
        Weight::Wrong,
        Place::Request,
        say!(
            "this design has no {what} {name}",
            "desain ini tidak punya {what} {name}",
            what = Arg::Name(what.to_string()),
            name = Arg::Name(name.chars().filter(|c| !c.is_control()).take(60).collect())
        ),
    )
}

fn last_step() -> Finding {
    Finding::new(
        "route-empty",
        Weight::Wrong,
        Place::Request,
        say!(
            "this is the only step of the route",
            "ini satu-satunya langkah di alur"
        ),
    )
    .remedy(say!("add another step first", "tambahkan langkah lain dulu"))
}
