//! The strip at the foot of every page: what stands on it, to take along.

use super::File;
use super::serve::Form;
use crate::studio::api::query_of;
use crate::studio::frame::Here;
use crate::studio::page::Page;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use maud::{Markup, html};
use words::{Text, text};

/// What one link leads to.
pub struct Offer {
    /// Where.
    pub href: String,
    /// In which form: `CSV`.
    pub form: &'static str,
    /// What it is.
    pub what: &'static Text,
}

/// Everything that a page about a design hands out, with what its address asks.
pub fn offers(page: &Page, design: Option<&str>, reader: &Reader) -> Vec<Offer> {
    let Some(data) = page.data else {
        return Vec::new();
    };
    let all = text!("everything on this page", "semua di halaman ini");
    let own = data.forms().map(|form| {
        let (word, what) = match form {
            Form::Json => ("JSON", all),
            Form::Pdf => ("PDF", all),
            Form::Csv(at) => ("CSV", data.tables.get(at).map_or(all, |(_, name)| name)),
        };
        let path = data.path(form);
        Offer {
            href: address(&path, data.query, design, reader),
            form: word,
            what,
        }
    });
    let more = data.more.iter().map(|file| Offer {
        href: address(file.path, query_of(file.path), design, reader),
        form: form_of(file),
        what: file.what,
    });
    own.chain(more).collect()
}

/// By what its name ends with; addresses of `/api` answer JSON.
fn form_of(file: &File) -> &'static str {
    let ending = file.path.rsplit('.').next().unwrap_or("");
    match ending {
        "csv" => "CSV",
        "pdf" => "PDF",
        "svg" => "SVG",
        "ics" => "iCalendar",
        "txt" => text!("text", "teks").en,
        "zip" => "ZIP",
        _ if file.path == "/archive" => "ZIP",
        _ => "JSON",
    }
}

/// An address with the design in it and what the page's own address says.
fn address(path: &str, query: &[(&str, &str)], design: Option<&str>, reader: &Reader) -> String {
    let design = design.unwrap_or("");
    let mut href = path
        .replace("{id}", &escape(design))
        .replace("{design}", &escape(design));
    let mut asked: Vec<(&str, &str)> = Vec::new();
    for (key, _) in query {
        let mut said = reader.query.iter().filter(|(k, _)| k == key).peekable();
        if *key == "design" && said.peek().is_none() && !design.is_empty() {
            asked.push(("design", design));
        }
        asked.extend(said.map(|(_, value)| (*key, value.as_str())));
    }
    for (at, (key, value)) in asked.iter().enumerate() {
        let join = if at == 0 { '?' } else { '&' };
        href.push_str(&format!("{join}{}={}", escape(key), escape(value)));
    }
    href
}

/// The strip.
pub fn strip(here: &Here, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let design = here.design.as_ref().map(|(id, _)| id.as_str());
    let all = here
        .page
        .map_or_else(Vec::new, |page| offers(page, design, reader));
    html! {
        @if !all.is_empty() {
            nav.wrap.take-along data-part="take-along" aria-labelledby="take-along-title" {
                h2 #take-along-title { (t(text!("Take this page along", "Bawa serta halaman ini"), voice)) }
                ul { @for one in &all { li {
                    a href=(one.href) { b { (one.form) } " " (t(one.what, voice)) }
                } } }
            }
        }
    }
}
