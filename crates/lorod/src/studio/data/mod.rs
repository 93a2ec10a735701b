//! What stands on a page, as data: tables that the page's own facts are read into, handed out as JSON, as CSV and on
//! paper, at the foot of the page and below `/data`.
//!
//! A page says in [`Page::data`](crate::studio::page::Page) what it hands out. The router, the strip at its foot and the
//! description of the interface all read that.

mod bath_paper;
pub mod cloth;
pub mod goods;
pub mod learned;
pub mod line;
pub mod lot;
pub mod offer;
pub mod photographs;
pub mod season;
pub mod serve;
pub mod shades;
pub mod shelf;
pub mod stamp;
pub mod table;
pub mod windows;

pub use offer::strip;
pub use table::Table;

use super::Studio;
use super::kiln::KeepGoing;
use super::page::{PAGES, Page};
use super::pages::pick::{Picked, pick};
use super::reader::Reader;
use words::{Finding, Place, Text, Weight, say};
use workspace::Workspace;

/// What one page hands out.
pub struct Data {
    /// What its files are called: `/data/baths.json`.
    pub name: &'static str,
    /// Its tables, in order: key, and what it is.
    pub tables: &'static [(&'static str, &'static Text)],
    /// What its address may ask after `?`: name, meaning.
    pub query: &'static [(&'static str, &'static str)],
    /// Whether it takes seconds.
    pub slow: bool,
    /// Reads the page's facts into the tables, in the order of `tables`.
    pub make: fn(&Asked) -> Result<Told, Vec<Finding>>,
    /// Other files of the page: addresses of the table of `/api` and of `api/files.rs`.
    pub more: &'static [File],
}

/// A file of a page that has an address of its own.
#[derive(Clone, Copy)]
pub struct File {
    /// Its address, as the description spells it.
    pub path: &'static str,
    /// What it is.
    pub what: &'static Text,
}

/// Who asks, and what.
pub struct Asked<'a> {
    /// The studio.
    pub studio: &'a Studio,
    /// The folder as read now.
    pub workspace: &'a Workspace,
    /// The address, the language, the units.
    pub reader: &'a Reader,
    /// Whether to go on, where it takes seconds.
    pub keep_going: KeepGoing<'a>,
}

/// What a page tells.
pub struct Told {
    /// What it is about: a cloth, the collection.
    pub about: String,
    /// The question that the page answers.
    pub question: &'static Text,
    /// The answer, and what it rests on, in sentences.
    pub said: Vec<String>,
    /// The tables, in the order of [`Data::tables`].
    pub tables: Vec<Table>,
}

/// The design that an address names.
pub const DESIGN: (&str, &str) = (
    "design",
    "id of the design; the first that can be made unless said",
);
/// How many bolts it counts with.
pub const BOLTS: (&str, &str) = ("bolts", "bolts of the lot; those ordered unless said");

impl<'a> Asked<'a> {
    /// The design that is asked about.
    pub fn picked(&self) -> Result<Picked<'a>, Vec<Finding>> {
        pick(self.workspace, self.reader).ok_or_else(|| {
            let asked = self.reader.get("design").unwrap_or("");
            let found = say!(
                "there is no design {design} that can be made",
                "tidak ada desain {design} yang dapat dibuat",
                design = crate::studio::pages::short(asked)
            );
            vec![Finding::new(NO_DESIGN, Weight::Wrong, Place::Request, found)]
        })
    }

    /// The collection.
    pub fn collection(&self) -> String {
        self.workspace.collection.name.clone()
    }
}

/// Code of the finding that there is no such design.
const NO_DESIGN: &str = "no-such-design";

/// Pages with data.
pub fn all() -> impl Iterator<Item = (&'static Page, &'static Data)> {
    PAGES.iter().filter_map(|page| Some((*page, page.data?)))
}
