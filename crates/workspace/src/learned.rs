//! A constant in a file replaced by what was measured here; everything else keeps its bytes.

use toml_edit::{DocumentMut, InlineTable, Item, TableLike, Value};
use words::{Arg, Finding, Place, Weight, say};

/// A measured value, as a file spells it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Learned {
    /// Quantity with its unit: "0.11 /M/s".
    pub value: String,
    /// Day of the last reading (ISO 8601).
    pub date: String,
    /// Readings.
    pub n: u32,
}

/// The text of a file with the number at `path` (tables, then its key) measured here. Comments, order and the spelling
/// of everything else stay; a table on the way that is missing is added at the end.
///
/// ```
/// use workspace::{Learned, learned};
/// let text = "# The card.\n[bleaching]\nrate = { value = \"0.1 /M/s\", factor = 2.5, source = \"a guess\" } # slow\n";
/// let measured = Learned { value: "0.12 /M/s".into(), date: "2026-06-02".into(), n: 3 };
/// assert_eq!(
///     learned(text, &["bleaching", "rate"], &measured).unwrap(),
///     "# The card.\n[bleaching]\nrate = { value = \"0.12 /M/s\", measured = \"2026-06-02\", n = 3 } # slow\n"
/// );
/// ```
///
/// # Errors
/// If the text is no TOML, or something that is no table stands on the way.
// A finding is a whole answer to a person, made once.
#[allow(clippy::result_large_err)]
pub fn learned(text: &str, path: &[&str], measured: &Learned) -> Result<String, Finding> {
    let refused = |what: &str| {
        Finding::new(
            "not-written",
            Weight::Wrong,
            Place::Request,
            say!(
                "{key} cannot be written: {what}",
                "{key} tidak dapat ditulis: {what}",
                key = Arg::Name(path.join(".")),
                what = Arg::Name(what.to_string())
            ),
        )
    };
    let mut document: DocumentMut = text
        .parse()
        .map_err(|e: toml_edit::TomlError| refused(e.message()))?;
    let Some((key, tables)) = path.split_last() else {
        return Err(refused("-"));
    };
    let mut table: &mut dyn TableLike = document.as_table_mut();
    for name in tables {
        table = table
            .entry(name)
            .or_insert_with(toml_edit::table)
            .as_table_like_mut()
            .ok_or_else(|| refused(name))?;
    }
    // "wax.creep" may stand without quotes: then TOML reads a table in a table.
    if table.get(key).is_none()
        && let Some((outer, inner)) = key.split_once('.')
        && table
            .get(outer)
            .and_then(Item::as_table_like)
            .is_some_and(|t| t.contains_key(inner))
    {
        let inside = table.get_mut(outer).and_then(Item::as_table_like_mut);
        put(inside.ok_or_else(|| refused(outer))?, inner, measured);
    } else {
        put(table, key, measured);
    }
    Ok(document.to_string())
}

fn put(table: &mut dyn TableLike, key: &str, measured: &Learned) {
    let mut inline = InlineTable::new();
    inline.insert("value", measured.value.as_str().into());
    inline.insert("measured", measured.date.as_str().into());
    inline.insert("n", i64::from(measured.n).into());
    let mut value = Value::InlineTable(inline);
    // What stood around the old number stands around the new one.
    if let Some(old) = table.get(key).and_then(Item::as_value) {
        *value.decor_mut() = old.decor().clone();
    }
    match table.get_mut(key) {
        Some(item) => *item = Item::Value(value),
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}
