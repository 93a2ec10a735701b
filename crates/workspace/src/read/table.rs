//! A table of a file, asked for the keys that its reader declared.

use super::item::{one_of, short};
use super::{Item, Sheet, remedy_for};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeTable;
use units::{Measure, Typed};
use words::{Arg, Finding, Place, Weight, say};

/// A table with its place.
#[derive(Clone)]
pub(crate) struct Table<'a> {
    sheet: &'a Sheet<'a>,
    name: &'a str,
    table: &'a DeTable<'a>,
    span: Range<usize>,
}

impl<'a> Table<'a> {
    /// The whole document, with these keys.
    pub fn document(
        sheet: &'a Sheet<'a>,
        document: &'a Spanned<DeTable<'a>>,
        known: &[&'static str],
    ) -> Self {
        // The document as a whole has no line to point at but its first.
        Self::new(sheet, "", document.get_ref(), 0..0, known)
    }

    /// A table with these keys; others become findings at once.
    pub fn new(
        sheet: &'a Sheet<'a>,
        name: &'a str,
        table: &'a DeTable<'a>,
        span: Range<usize>,
        known: &[&'static str],
    ) -> Self {
        let this = Self::open(sheet, name, table, span);
        for key in table.keys().filter(|k| !known.contains(&k.get_ref().as_ref())) {
            let mut finding = Finding::new(
                "key-not-known",
                Weight::Wrong,
                sheet.place(key.span()),
                say!(
                    "{key} is not a key known here",
                    "{key} bukan kunci yang dikenal di sini",
                    key = Arg::Name(short(key.get_ref()))
                ),
            );
            finding.allowed = one_of(known);
            finding.remedy = remedy_for(key.get_ref(), known.iter().copied());
            sheet.add(finding);
        }
        this
    }

    /// A table whose keys are the user's own.
    pub fn open(sheet: &'a Sheet<'a>, name: &'a str, table: &'a DeTable<'a>, span: Range<usize>) -> Self {
        Self {
            sheet,
            name,
            table,
            span,
        }
    }

    /// The sheet it stands on.
    pub fn sheet(&self) -> &'a Sheet<'a> {
        self.sheet
    }
    /// Where it stands; for a table with a heading, the heading.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }
    /// Where it stands, as a place.
    pub fn place(&self) -> Place {
        self.sheet.place(self.span.clone())
    }
    /// Where a key's value stands, or the table if the key is missing.
    pub fn place_of(&self, key: &str) -> Place {
        self.maybe(key).map_or_else(|| self.place(), |item| item.place())
    }

    /// The value of a key, if it is there.
    pub fn maybe(&self, key: &str) -> Option<Item<'a>> {
        let (key, value) = self.table.get_key_value(key)?;
        Some(Item::new(self.sheet, key.get_ref(), value))
    }

    /// All keys and their values, with the places of the keys.
    pub fn items(&self) -> impl Iterator<Item = (&'a str, Place, Item<'a>)> {
        let sheet = self.sheet;
        self.table.iter().map(move |(key, value)| {
            let name: &'a str = key.get_ref();
            (name, sheet.place(key.span()), Item::new(sheet, name, value))
        })
    }

    /// The value of a key that must be there.
    pub fn item(&self, key: &'static str) -> Option<Item<'a>> {
        let item = self.maybe(key);
        if item.is_none() {
            self.missing(key);
        }
        item
    }

    /// Writes down that a key is missing.
    pub fn missing(&self, key: &'static str) {
        let key = Arg::Name(key.to_string());
        let found = if self.name.is_empty() {
            say!("{key} is missing", "{key} belum ada", key = key)
        } else {
            say!(
                "{key} is missing in {table}",
                "{key} belum ada dalam {table}",
                key = key,
                table = Arg::Name(short(self.name))
            )
        };
        self.sheet
            .add(Finding::new("key-missing", Weight::Wrong, self.place(), found));
    }

    /// A text that must be there.
    pub fn text(&self, key: &'static str) -> Option<String> {
        self.item(key)?.text().map(str::to_string)
    }
    /// A text that may be there or be empty: `None` only if it is of another kind.
    pub fn text_or_empty(&self, key: &'static str) -> Option<String> {
        self.maybe(key)
            .map_or_else(|| Some(String::new()), |item| item.any_text().map(str::to_string))
    }
    /// A quantity that must be there.
    pub fn quantity(&self, key: &'static str, measure: Measure) -> Option<Typed> {
        self.item(key)?.quantity(measure)
    }
    /// SI number of a quantity that must be there and lie within limits (SI).
    pub fn within(&self, key: &'static str, measure: Measure, least: f64, most: f64) -> Option<f64> {
        self.item(key)?.within(measure, least, most)
    }
    /// A plain number that must be there and lie within limits.
    pub fn number_within(&self, key: &'static str, least: f64, most: f64, decimals: usize) -> Option<f64> {
        let item = self.item(key)?;
        let number = item.number()?;
        if (least..=most).contains(&number) {
            return Some(number);
        }
        let limit = |n| Arg::Number(n, decimals);
        item.add(
            item.wrong(
                "number-out-of-range",
                say!(
                    "{key} is {found}",
                    "{key} diisi {found}",
                    key = Arg::Name(key.to_string()),
                    found = Arg::Number(number, decimals)
                ),
            )
            .allow(say!(
                "{least} to {most}",
                "{least} sampai {most}",
                least = limit(least),
                most = limit(most)
            )),
        );
        None
    }
    /// A date that must be there.
    pub fn date(&self, key: &'static str) -> Option<sky::Date> {
        self.item(key)?.date()
    }
    /// A table that must be there.
    pub fn table(&self, key: &'static str, known: &[&'static str]) -> Option<Table<'a>> {
        self.item(key)?.table(known)
    }
    /// The tables of `[[key]]`; none if there is no such heading.
    pub fn tables(&self, key: &'static str, known: &[&'static str]) -> Vec<Table<'a>> {
        let Some(item) = self.maybe(key) else {
            return Vec::new();
        };
        let Some(list) = item.list() else {
            return Vec::new();
        };
        list.into_iter().filter_map(|entry| entry.table(known)).collect()
    }
    /// Keys other than the known ones become findings: for tables opened without knowing their keys.
    pub fn only(&self, known: &[&'static str]) {
        Self::new(self.sheet, self.name, self.table, self.span.clone(), known);
    }
}
