//! One value of a file, and the ways to read it.

use super::{Sheet, Table, remedy_for};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;
use units::{Measure, Typed};
use words::{Arg, Finding, Line, Place, Term, Text, Weight, finding_of, say, text};

/// A value with its place and the name of its key.
#[derive(Clone, Copy)]
pub(crate) struct Item<'a> {
    sheet: &'a Sheet<'a>,
    key: &'a str,
    value: &'a Spanned<DeValue<'a>>,
}

impl<'a> Item<'a> {
    pub(super) fn new(sheet: &'a Sheet<'a>, key: &'a str, value: &'a Spanned<DeValue<'a>>) -> Self {
        Self { sheet, key, value }
    }
    /// Where it stands.
    pub fn span(&self) -> Range<usize> {
        self.value.span()
    }
    /// Where it stands, as a place.
    pub fn place(&self) -> Place {
        self.sheet.place(self.span())
    }
    /// Writes down that this value is wrong.
    pub fn wrong(&self, code: &'static str, found: Line) -> Finding {
        Finding::new(code, Weight::Wrong, self.place(), found)
    }
    /// Writes a finding down.
    pub fn add(&self, finding: Finding) {
        self.sheet.add(finding);
    }

    /// A text that is not empty.
    pub fn text(&self) -> Option<&'a str> {
        match self.value.get_ref() {
            DeValue::String(text) if !text.trim().is_empty() => Some(text.as_ref()),
            DeValue::String(_) => {
                self.add(self.wrong(
                    "text-empty",
                    say!(
                        "{key} is empty",
                        "{key} kosong",
                        key = Arg::Name(self.key.to_string())
                    ),
                ));
                None
            }
            _ => self.other_kind(text!("text in quotes", "teks dalam tanda kutip")),
        }
    }

    /// A text, perhaps empty.
    pub fn any_text(&self) -> Option<&'a str> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text.as_ref()),
            _ => self.other_kind(text!("text in quotes", "teks dalam tanda kutip")),
        }
    }

    /// Writes down that a text is no id, if it is none.
    pub fn kebab(&self) {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let Some(id) = self.value.get_ref().as_str() else {
            return;
        };
        if id.trim().is_empty() || (id.chars().all(plain) && id.len() <= 60) {
            return;
        }
        self.add(
            self.wrong(
                "id",
                say!(
                    "\"{id}\" is not an id",
                    "\"{id}\" bukan id",
                    id = Arg::Name(short(id))
                ),
            )
            .allow(say!(
                "small letters, digits and hyphens, at most 60",
                "huruf kecil, angka, dan tanda hubung, paling banyak 60"
            )),
        );
    }

    /// A truth value.
    pub fn yes(&self) -> Option<bool> {
        match self.value.get_ref() {
            DeValue::Boolean(yes) => Some(*yes),
            _ => self.other_kind(text!("true or false", "true atau false")),
        }
    }

    /// A plain number.
    pub fn number(&self) -> Option<f64> {
        match self
            .bare()
            .and_then(|text| text.parse::<f64>().ok())
            .filter(|n| n.is_finite())
        {
            Some(number) => Some(number),
            None => self.other_kind(text!("a number", "angka")),
        }
    }

    /// A whole number within limits.
    pub fn whole(&self, least: u32, most: u32) -> Option<u32> {
        let Some(text) = self.bare() else {
            return self.other_kind(text!("a whole number", "bilangan bulat"));
        };
        let number = text.parse::<u32>().ok().filter(|n| (least..=most).contains(n));
        if number.is_none() {
            self.add(
                self.wrong(
                    "number-out-of-range",
                    say!(
                        "{key} is {found}",
                        "{key} diisi {found}",
                        key = Arg::Name(self.key.to_string()),
                        found = Arg::Spelled(short(&text))
                    ),
                )
                .allow(say!(
                    "a whole number from {least} to {most}",
                    "bilangan bulat dari {least} sampai {most}",
                    least = Arg::Number(f64::from(least), 0),
                    most = Arg::Number(f64::from(most), 0)
                )),
            );
        }
        number
    }

    /// A quantity with its unit, as text. Counts and pH may be plain numbers.
    pub fn quantity(&self, measure: Measure) -> Option<Typed> {
        let bare = matches!(measure, Measure::Count | Measure::Acidity);
        let spelled = match self.value.get_ref() {
            DeValue::String(text) => text.to_string(),
            // "time = 12" has no unit: the same finding as "12".
            DeValue::Integer(_) | DeValue::Float(_) => self.bare()?,
            _ if bare => return self.other_kind(text!("a number", "angka")),
            _ => return self.other_kind(text!("a quantity in quotes", "besaran dalam tanda kutip")),
        };
        match units::parse_as(&spelled, measure) {
            Ok(typed) => Some(typed),
            Err(problem) => {
                self.add(finding_of(&problem, self.place()));
                None
            }
        }
    }

    /// SI number of a quantity that must lie within limits (SI).
    pub fn within(&self, measure: Measure, least: f64, most: f64) -> Option<f64> {
        let typed = self.quantity(measure)?;
        let si = typed.quantity.si;
        if (least..=most).contains(&si) {
            return Some(si);
        }
        let quantity = |si| Arg::Quantity(units::Quantity::new(si, measure));
        self.add(
            self.wrong(
                "quantity-out-of-range",
                say!(
                    "{key} is {found}",
                    "{key} diisi {found}",
                    key = Arg::Name(self.key.to_string()),
                    found = Arg::Spelled(typed.spelled)
                ),
            )
            .allow(say!(
                "{least} to {most}",
                "{least} sampai {most}",
                least = quantity(least),
                most = quantity(most)
            )),
        );
        None
    }

    /// The key of one of some terms.
    pub fn choice(&self, terms: &[&'static Term]) -> Option<&'static str> {
        let word = self.text()?;
        let found = terms.iter().find(|t| t.key == word).map(|t| t.key);
        if found.is_none() {
            self.unknown("word-not-known", word, terms.iter().map(|t| t.key));
        }
        found
    }

    /// Writes down that a word is none of the known ones.
    pub fn unknown<'k>(&self, code: &'static str, word: &str, known: impl Iterator<Item = &'k str>) {
        let known: Vec<&str> = known.collect();
        let mut finding = self.wrong(
            code,
            say!(
                "{key} is \"{word}\", which is not known here",
                "{key} diisi \"{word}\", yang tidak dikenal di sini",
                key = Arg::Name(self.key.to_string()),
                word = Arg::Name(short(word))
            ),
        );
        finding.allowed = one_of(&known);
        finding.remedy = remedy_for(word, known.iter().copied());
        self.add(finding);
    }

    /// The values of a list.
    pub fn list(&self) -> Option<Vec<Item<'a>>> {
        match self.value.get_ref() {
            DeValue::Array(values) => Some(
                values
                    .iter()
                    .map(|v| Item::new(self.sheet, self.key, v))
                    .collect(),
            ),
            _ => self.other_kind(text!("a list in square brackets", "daftar dalam kurung siku")),
        }
    }

    /// A table with these keys.
    pub fn table(&self, known: &[&'static str]) -> Option<Table<'a>> {
        match self.value.get_ref() {
            DeValue::Table(table) => Some(Table::new(self.sheet, self.key, table, self.span(), known)),
            _ => self.other_kind(text!("a table in braces", "tabel dalam kurung kurawal")),
        }
    }

    /// A table whose keys are the user's own.
    pub fn open_table(&self) -> Option<Table<'a>> {
        match self.value.get_ref() {
            DeValue::Table(table) => Some(Table::open(self.sheet, self.key, table, self.span())),
            _ => self.other_kind(text!("a table in braces", "tabel dalam kurung kurawal")),
        }
    }

    /// Is it a table?
    pub fn is_table(&self) -> bool {
        self.value.get_ref().is_table()
    }

    /// A date as text ("2026-05-14"), from text or from a TOML date.
    pub fn date_text(&self) -> Option<String> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            DeValue::Datetime(date) => Some(date.to_string()),
            _ => self.other_kind(text!("a date", "tanggal")),
        }
    }

    /// A day of the calendar.
    pub fn date(&self) -> Option<sky::Date> {
        let text = self.date_text()?;
        let date = sky::Date::parse(text.trim());
        if date.is_none() {
            self.add(
                self.wrong(
                    "not-a-date",
                    say!(
                        "\"{found}\" is not a day of the calendar",
                        "\"{found}\" bukan tanggal kalender",
                        found = Arg::Name(short(&text))
                    ),
                )
                .allow(say!(
                    "year, month and day with hyphens: {example}",
                    "tahun, bulan, dan hari dengan tanda hubung: {example}",
                    example = Arg::Name("2026-12-04".into())
                )),
            );
        }
        date
    }

    /// Writes down that the value is of another kind than wanted.
    pub fn other_kind<T>(&self, wanted: &'static Text) -> Option<T> {
        let found = match self.value.get_ref() {
            DeValue::String(_) => text!("a text", "sebuah teks"),
            DeValue::Integer(_) | DeValue::Float(_) => text!("a number", "sebuah angka"),
            DeValue::Boolean(_) => text!("true or false", "true atau false"),
            DeValue::Datetime(_) => text!("a date", "sebuah tanggal"),
            DeValue::Array(_) => text!("a list", "sebuah daftar"),
            DeValue::Table(_) => text!("a table", "sebuah tabel"),
        };
        self.add(
            self.wrong(
                "value-of-other-kind",
                say!(
                    "{key} is {found}",
                    "{key} berisi {found}",
                    key = Arg::Name(self.key.to_string()),
                    found = Arg::Text(found)
                ),
            )
            .allow(say!("{wanted}", "{wanted}", wanted = Arg::Text(wanted))),
        );
        None
    }

    /// Digits of a plain decimal number.
    fn bare(&self) -> Option<String> {
        match self.value.get_ref() {
            DeValue::Integer(i) if i.radix() == 10 => Some(i.as_str().to_string()),
            DeValue::Float(f) => Some(f.as_str().to_string()),
            _ => None,
        }
    }
}

/// "one of: a, b, c", or nothing if there is none.
pub(super) fn one_of(known: &[&str]) -> Option<Line> {
    const MOST: usize = 24;
    if known.is_empty() {
        return None;
    }
    let more = if known.len() > MOST { ", …" } else { "" };
    let words = known.iter().take(MOST).copied().collect::<Vec<_>>().join(", ");
    Some(say!(
        "one of: {words}",
        "salah satu dari: {words}",
        words = Arg::Name(words + more)
    ))
}

/// A user's words, kept short enough for a line.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_string();
    }
    text.chars().take(MOST - 1).chain(['…']).collect()
}
