//! The frame around every page: the selvedge with the name of the cloth, the pages, and how one wants to read.

use super::Studio;
use super::assets;
use super::data::strip;
use super::design::dye_colour;
use super::page::{About, PAGES, Page};
use super::pages::onward;
use super::parts::dot;
use super::reader::{Reader, Theme};
use super::say::t;
use axum::http::header::{CONTENT_TYPE, HeaderValue, SET_COOKIE};
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use route::Design;
use units::System;
use words::{Language, Text, text};
use workspace::Workspace;

/// Where the reader is.
pub struct Here {
    /// Title of the page.
    pub title: String,
    /// Which page.
    pub page: Option<&'static Page>,
    /// Name of the collection.
    pub collection: String,
    /// Id and name of the design that the page is about.
    pub design: Option<(String, String)>,
    /// A design to go to from pages that are about all of them.
    pub first: Option<String>,
    /// The design whose way to the pack is told along the lower edge.
    pub onward: Option<String>,
    /// Name and colour of the dyes in this cloth.
    pub dyes: Vec<(String, [u8; 3])>,
}

impl Here {
    /// A page about nothing in particular.
    pub fn plain(title: &str) -> Self {
        Self {
            title: title.to_string(),
            page: None,
            collection: "lorod".to_string(),
            design: None,
            first: None,
            onward: None,
            dyes: Vec::new(),
        }
    }
    /// A page of the workspace.
    pub fn at(page: &'static Page, title: &'static Text, workspace: &Workspace, reader: &Reader) -> Self {
        let mut made = workspace.designs.iter().filter(|d| d.design.is_some());
        let first = made.clone().next();
        // A page about all designs is about the one that the address names, or the only one there is.
        let named = reader.get("design").and_then(|id| workspace.design(id));
        let only = made.next().filter(|_| made.next().is_none());
        let only = only.and_then(|file| file.design.as_ref());
        let onward = named.or(only).filter(|_| page.about == About::All);
        Self {
            page: Some(page),
            onward: onward.map(|design| design.id.clone()),
            design: named.map(|design| (design.id.clone(), design.name.clone())),
            collection: workspace.collection.name.clone(),
            first: first.and_then(|d| d.id.clone()),
            ..Self::plain(t(title, reader.voice))
        }
    }

    /// About a design.
    #[must_use]
    pub fn about(self, design: &Design) -> Self {
        Self {
            design: Some((design.id.clone(), design.name.clone())),
            ..self
        }
    }

    /// About a design, with its dyes in the head: a page on which cloth or colour is looked at.
    #[must_use]
    pub fn of(self, design: &Design) -> Self {
        let dyes = design.dyes.iter();
        Self {
            dyes: dyes.map(|card| (card.name.clone(), dye_colour(card))).collect(),
            ..self.about(design)
        }
    }

    fn href(&self, page: &Page) -> Option<String> {
        let design = self.design.as_ref().map(|(id, _)| id);
        page.href(match page.about {
            About::OneDesign => design.or(self.first.as_ref()).map(String::as_str),
            _ => design.map(String::as_str),
        })
    }
}

/// The whole page, and at its foot what it hands out.
pub fn page(studio: &Studio, reader: &Reader, here: &Here, body: Markup) -> Response {
    bare(studio, reader, here, html! { (body) (strip(here, reader)) })
}

/// A page that has nothing to take along.
pub fn bare(studio: &Studio, reader: &Reader, here: &Here, body: Markup) -> Response {
    let voice = reader.voice;
    let lang = match voice.language {
        Language::En => "en",
        Language::Id => "id",
    };
    let whole = html! {
        (DOCTYPE)
        html lang=(lang) data-theme=(reader.theme.key()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="lorod-token" content=(studio.token());
                meta name="lorod-start" content=(studio.start());
                title { (here.title) " · lorod" }
                link rel="stylesheet" href=(assets::href(assets::SHEET));
                // Asked for along with the sheet that names them: words do not wait for them afterwards.
                @for letters in assets::LETTERS {
                    link rel="preload" as="font" type="font/ttf" crossorigin href=(assets::href(letters));
                }
                script type="module" src=(assets::href(assets::MODULE)) {}
                link rel="icon" href=(assets::href("mark.svg")) type="image/svg+xml";
            }
            body {
                a.skip href="#main" { (t(text!("Skip to the page", "Langsung ke isi"), voice)) }
                p.lost #lost role="alert" hidden {
                    (t(text!(
                        "The studio does not answer. Nothing you see is lost; this page goes on as soon as it is there again.",
                        "Studio tidak menjawab. Tidak ada yang hilang; halaman ini lanjut begitu studio ada lagi."
                    ), voice))
                }
                (selvedge(reader, here))
                main #main tabindex="-1" { (body) }
                @if let Some(design) = here.onward.as_ref().or(here.design.as_ref().map(|(id, _)| id)) {
                    (onward::edge(design, here.page, voice))
                }
                (foot(reader))
            }
        }
    };
    let mut answer = whole.into_string().into_response();
    let headers = answer.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static("text/html; charset=utf-8"));
    for cookie in &reader.keep {
        if let Ok(value) = HeaderValue::from_str(cookie) {
            headers.append(SET_COOKIE, value);
        }
    }
    answer
}

fn selvedge(reader: &Reader, here: &Here) -> Markup {
    let voice = reader.voice;
    html! {
        header.selvedge {
            a.name href="/" {
                (here.collection)
                @if let Some((_, name)) = &here.design { " · " (name) }
            }
            @if !here.dyes.is_empty() {
                ol.dots aria-label=(t(text!("Dyes in this cloth", "Pewarna kain ini"), voice)) {
                    @for (at, (name, colour)) in here.dyes.iter().enumerate() {
                        li { (dot(at + 1, name, *colour)) }
                    }
                }
            }
            nav aria-label=(t(text!("Pages", "Halaman"), voice)) {
                @for page in PAGES.iter().filter(|page| page.about != About::Aside) {
                    @if let Some(href) = here.href(page) {
                        a href=(href) aria-current=[(here.page == Some(*page)).then_some("page")] {
                            (t(page.word, voice))
                        }
                    }
                }
            }
        }
    }
}

fn foot(reader: &Reader) -> Markup {
    let voice = reader.voice;
    let choice = |key: &'static str, value: &'static str, label: &str, on: bool, lang: Option<&str>| {
        // Preferences are kept by a cookie; the rest of the address stays.
        let plain = reader.here(&[]);
        let join = if plain.contains('?') { '&' } else { '?' };
        html! {
            a href=(format!("{plain}{join}{key}={value}")) aria-current=[on.then_some("true")] lang=[lang] { (label) }
        }
    };
    let language = |l: Language| voice.language == l;
    html! {
        footer.foot {
            p.small {
                (t(text!(
                    "Cloth is computed, not photographed. The studio runs on this computer and speaks to no other.",
                    "Kain dihitung, bukan difoto. Studio berjalan di komputer ini dan tidak terhubung ke yang lain."
                ), voice))
            }
            div.row {
                div.seg role="group" aria-label=(t(text!("Language", "Bahasa"), voice)) {
                    (choice("lang", "en", "English", language(Language::En), Some("en")))
                    (choice("lang", "id", "Bahasa Indonesia", language(Language::Id), Some("id")))
                }
                div.seg role="group" aria-label=(t(text!("Units", "Satuan"), voice)) {
                    (choice("units", "metric", t(text!("metric", "metrik"), voice), voice.system == System::Metric, None))
                    (choice("units", "imperial", t(text!("yards and ounces", "yard dan ons"), voice), voice.system == System::Imperial, None))
                }
                div.seg role="group" aria-label=(t(text!("Light", "Cahaya"), voice)) {
                    (choice("theme", "light", t(text!("light", "terang"), voice), reader.theme == Theme::Light, None))
                    (choice("theme", "dark", t(text!("dark", "gelap"), voice), reader.theme == Theme::Dark, None))
                    (choice("theme", "system", t(text!("as the computer", "ikut komputer"), voice), reader.theme == Theme::System, None))
                }
            }
        }
    }
}
