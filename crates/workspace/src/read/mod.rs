//! Reading TOML so that every fault of a file is said at its place, not only the first.
//!
//! A file is parsed into tables that know their spans. A reader asks a [`Table`] for the keys that it declared;
//! what is missing, of the wrong kind or not known there becomes a finding, and the answer is `None`.

mod item;
mod suggest;
mod table;

pub(crate) use item::Item;
pub(crate) use suggest::remedy_for;
pub(crate) use table::Table;

use crate::Source;
use std::cell::RefCell;
use std::ops::Range;
use toml::de::DeTable;
use words::{Arg, Finding, Place, Weight, say};

/// Syntax faults told per file; after some, the parser mostly stumbles over its own recovery.
const MOST_SYNTAX: usize = 8;

/// One file while it is read: its path, and what has been found.
pub(crate) struct Sheet<'a> {
    /// Path as the user knows it.
    pub path: &'a str,
    findings: RefCell<Vec<Finding>>,
}

impl<'a> Sheet<'a> {
    /// A sheet for a file.
    pub fn new(path: &'a str) -> Self {
        Self {
            path,
            findings: RefCell::new(Vec::new()),
        }
    }
    /// A place in this file.
    pub fn place(&self, span: Range<usize>) -> Place {
        Place::File {
            path: self.path.to_string(),
            span,
        }
    }
    /// Writes a finding down.
    pub fn add(&self, finding: Finding) {
        self.findings.borrow_mut().push(finding);
    }
    /// All findings, in the order of the file.
    pub fn into_findings(self) -> Vec<Finding> {
        let mut findings = self.findings.into_inner();
        findings.sort_by_key(|f| match &f.place {
            Place::File { span, .. } => span.start,
            _ => usize::MAX,
        });
        findings
    }
    /// Has anything been found that makes the file unusable?
    pub fn wrong(&self) -> bool {
        self.findings.borrow().iter().any(|f| f.weight == Weight::Wrong)
    }
}

/// Parses a file. A file with faults of syntax answers with these alone: what stands in it is not known.
pub(crate) fn parse<'s>(source: &'s Source, sheet: &Sheet) -> Option<toml::Spanned<DeTable<'s>>> {
    let (document, errors) = DeTable::parse_recoverable(&source.text);
    for error in errors.iter().take(MOST_SYNTAX) {
        let span = error.span().unwrap_or(0..0);
        let message = error.message().trim().replace('\n', " ");
        let finding = if message.contains("duplicate key") {
            Finding::new(
                "key-twice",
                Weight::Wrong,
                sheet.place(span.clone()),
                say!(
                    "{key} stands twice in the same table",
                    "{key} tertulis dua kali dalam tabel yang sama",
                    key = Arg::Name(source.text.get(span).unwrap_or_default().trim().to_string())
                ),
            )
            .remedy(say!("keep one of the two", "sisakan salah satu"))
        } else {
            Finding::new(
                "syntax",
                Weight::Wrong,
                sheet.place(span),
                say!(
                    "this is not TOML: {message}",
                    "ini bukan TOML: {message}",
                    message = Arg::Name(message)
                ),
            )
            .allow(say!(
                "lines like {text}, {number} or a heading {heading}",
                "baris seperti {text}, {number} atau judul {heading}",
                text = Arg::Name("width = \"44 in\"".into()),
                number = Arg::Name("bolts = 12".into()),
                heading = Arg::Name("[cloth]".into())
            ))
        };
        sheet.add(finding);
    }
    errors.is_empty().then_some(document)
}
