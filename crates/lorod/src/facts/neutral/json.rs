//! A JSON text whose values know where they stand, so that a finding can point at the line.

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;
use std::fmt;
use std::ops::{Range, RangeInclusive};
use words::{Arg, Finding, Line, Place, Weight, say};

/// A value of a document, and where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Node<'t> {
    file: &'t str,
    whole: &'t str,
    text: &'t str,
}

/// An object: its fields in the order of the file.
#[derive(Debug)]
pub struct Object<'t> {
    node: Node<'t>,
    fields: Vec<(String, Node<'t>)>,
}

impl<'t> Node<'t> {
    /// The value that a whole document is. `file` is its name in findings.
    ///
    /// # Errors
    /// Where it is no JSON.
    pub fn document(file: &'t str, whole: &'t str) -> Result<Self, Finding> {
        let node = |text| Self { file, whole, text };
        match serde_json::from_str::<&RawValue>(whole) {
            Ok(value) => Ok(node(value.get())),
            Err(error) => {
                let line = whole.split_inclusive('\n').take(error.line().saturating_sub(1));
                let start = line.map(str::len).sum::<usize>() + error.column().saturating_sub(1);
                let mut start = start.min(whole.len());
                while !whole.is_char_boundary(start) {
                    start -= 1;
                }
                let end = start + whole[start..].chars().next().map_or(0, char::len_utf8);
                let message = error.to_string();
                let message = message.split(" at line ").next().unwrap_or_default();
                let found = say!(
                    "this is no JSON from here on: {message}",
                    "mulai di sini bukan JSON: {message}",
                    message = Arg::Name(message.to_string())
                );
                Err(at(file, start..end, "json", found))
            }
        }
    }

    /// A finding that points here.
    pub fn wrong(self, code: &'static str, found: Line) -> Finding {
        let start = self.text.as_ptr() as usize - self.whole.as_ptr() as usize;
        at(self.file, start..start + self.text.len(), code, found)
    }

    fn expected(self, what: Line) -> Finding {
        let found = say!(
            "{value} stands where something else is expected",
            "{value} berdiri di tempat yang lain",
            value = Arg::Name(shown(self.text))
        );
        self.wrong("json-value", found).allow(what)
    }

    /// Its fields.
    ///
    /// # Errors
    /// If it is no object, or says one thing twice.
    pub fn object(self) -> Result<Object<'t>, Finding> {
        let Ok(Fields(raw)) = serde_json::from_str::<Fields>(self.text) else {
            return Err(self.expected(say!(
                "an object, {braces}",
                "objek, {braces}",
                braces = name("{}")
            )));
        };
        let mut fields: Vec<(String, Node)> = Vec::with_capacity(raw.len());
        let mut seen = std::collections::HashSet::new();
        for (key, value) in raw {
            let value = Self {
                text: value.get(),
                ..self
            };
            if !seen.insert(key.clone()) {
                let found = say!(
                    "\"{key}\" is said twice",
                    "\"{key}\" disebut dua kali",
                    key = name(&shown(&key))
                );
                return Err(value.wrong("json-twice", found));
            }
            fields.push((key, value));
        }
        Ok(Object { node: self, fields })
    }

    /// Its items.
    ///
    /// # Errors
    /// If it is no list.
    pub fn items(self) -> Result<Vec<Self>, Finding> {
        serde_json::from_str::<Vec<&RawValue>>(self.text)
            .map(|all| {
                all.iter()
                    .map(|v| Self {
                        text: v.get(),
                        ..self
                    })
                    .collect()
            })
            .map_err(|_| {
                self.expected(say!(
                    "a list, {brackets}",
                    "daftar, {brackets}",
                    brackets = name("[]")
                ))
            })
    }

    /// As many items as there are names for them.
    ///
    /// # Errors
    /// If it is no list of that length.
    pub fn row<const N: usize>(self, names: &'static str) -> Result<[Self; N], Finding> {
        let items = self.items()?;
        <[Self; N]>::try_from(items)
            .map_err(|_| self.expected(say!("a list of {names}", "daftar {names}", names = name(names))))
    }

    /// A whole number.
    ///
    /// # Errors
    /// If it is none, or out of range.
    pub fn whole(self, range: RangeInclusive<i64>) -> Result<i64, Finding> {
        serde_json::from_str::<i64>(self.text)
            .ok()
            .filter(|n| range.contains(n))
            .ok_or_else(|| {
                self.expected(say!(
                    "a whole number from {least} to {most}",
                    "bilangan bulat dari {least} sampai {most}",
                    least = Arg::Number(*range.start() as f64, 0),
                    most = Arg::Number(*range.end() as f64, 0)
                ))
            })
    }

    /// A text.
    ///
    /// # Errors
    /// If it is none.
    pub fn word(self) -> Result<String, Finding> {
        serde_json::from_str(self.text)
            .map_err(|_| self.expected(say!("a text in quotation marks", "teks dalam tanda kutip")))
    }

    /// `true` or `false`.
    ///
    /// # Errors
    /// If it is neither.
    pub fn yes(self) -> Result<bool, Finding> {
        serde_json::from_str(self.text).map_err(|_| {
            self.expected(say!(
                "{a} or {b}",
                "{a} atau {b}",
                a = name("true"),
                b = name("false")
            ))
        })
    }

    /// Nothing said?
    pub fn is_null(self) -> bool {
        self.text == "null"
    }
}

impl<'t> Object<'t> {
    /// Its fields in the order of the file.
    pub fn fields(&self) -> impl Iterator<Item = (&str, Node<'t>)> {
        self.fields.iter().map(|(key, value)| (key.as_str(), *value))
    }
    /// A field that may be left out or be null.
    pub fn may(&self, key: &str) -> Option<Node<'t>> {
        let found = self.fields.iter().find(|(k, _)| k == key);
        found.map(|(_, v)| *v).filter(|v| !v.is_null())
    }
    /// A field.
    ///
    /// # Errors
    /// If it is not there.
    pub fn need(&self, key: &'static str) -> Result<Node<'t>, Finding> {
        let found = self.fields.iter().find(|(k, _)| k == key);
        found.map(|(_, v)| *v).ok_or_else(|| {
            let found = say!(
                "\"{key}\" is missing here",
                "di sini \"{key}\" tidak ada",
                key = name(key)
            );
            self.node.wrong("json-missing", found)
        })
    }
}

/// Fields as they stand, twins included.
struct Fields<'t>(Vec<(String, &'t RawValue)>);

impl<'de> Deserialize<'de> for Fields<'de> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct All;
        impl<'de> Visitor<'de> for All {
            type Value = Fields<'de>;
            fn expecting(&self, to: &mut fmt::Formatter) -> fmt::Result {
                to.write_str("an object")
            }
            fn visit_map<M: MapAccess<'de>>(self, mut map: M) -> Result<Self::Value, M::Error> {
                let mut all = Vec::new();
                while let Some(field) = map.next_entry()? {
                    all.push(field);
                }
                Ok(Fields(all))
            }
        }
        from.deserialize_map(All)
    }
}

fn at(file: &str, span: Range<usize>, code: &'static str, found: Line) -> Finding {
    let path = file.to_string();
    Finding::new(code, Weight::Wrong, Place::File { path, span }, found)
}

/// Somebody's words, short enough for a line.
pub fn shown(text: &str) -> String {
    let mut short: String = text.chars().filter(|c| !c.is_control()).take(40).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

fn name(text: &str) -> Arg {
    Arg::Name(text.to_string())
}
