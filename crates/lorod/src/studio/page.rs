//! What a page is, and the one list of them.

use super::Studio;
use super::data::Data;
use super::pages;
use super::reader::{Reader, escape};
use axum::response::Response;
use words::Text;
use workspace::Workspace;

/// One page of the studio.
pub struct Page {
    /// Its word in the head of every page.
    pub word: &'static Text,
    /// Its address.
    pub path: &'static str,
    /// What it is about.
    pub about: About,
    /// Makes it, on a worker thread.
    pub make: fn(&Studio, &Workspace, &Reader) -> Response,
    /// What stands on it, as data; none where nothing does until something is brought.
    pub data: Option<&'static Data>,
}

/// What a page is about; it says how links lead there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// All designs.
    All,
    /// One of them, named by `?design=`; another page about the same design links to it.
    Design,
    /// Nothing that the head leads to: other pages do.
    Aside,
    /// One of them, named by the last part of its address (`{design}` in [`Page::path`]).
    OneDesign,
}

/// The pages in the order of the head. A new page is one line here.
pub static PAGES: &[&Page] = &[
    &pages::line::PAGE,
    &pages::cloth::PAGE,
    &pages::shades::PAGE,
    &pages::stamp::PAGE,
    &pages::shelf::PAGE,
    &pages::windows::PAGE,
    &pages::lot::PAGE,
    &pages::photographs::PAGE,
    &pages::baths::PAGE,
    &pages::price::PAGE,
    &pages::run::PAGE,
    &pages::season::PAGE,
    &pages::papers::PAGE,
    &pages::folder::PAGE,
    &pages::start::PAGE,
    &pages::shade::PAGE,
    &pages::learned::PAGE,
];

/// Addresses of all pages, those about a design for this one.
pub fn addresses(design: &str) -> Vec<String> {
    PAGES.iter().filter_map(|page| page.href(Some(design))).collect()
}

impl Page {
    /// Its address, about a design if it is about one. None where it needs a design and there is none.
    pub fn href(&self, design: Option<&str>) -> Option<String> {
        match (self.about, design) {
            (About::All | About::Aside, _) => Some(self.path.to_string()),
            (About::Design, None) => Some(self.path.to_string()),
            (About::Design, Some(id)) => Some(format!("{}?design={}", self.path, escape(id))),
            (About::OneDesign, id) => Some(self.path.replace("{design}", &escape(id?))),
        }
    }
}

impl PartialEq for Page {
    fn eq(&self, other: &Self) -> bool {
        self.path == other.path
    }
}
