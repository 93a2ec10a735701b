//! What can be printed: job cards, batch sheets, stamp sheets.

use super::baths::findings;
use super::short;
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{line, t, trouble};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use maud::html;
use words::{Finding, Place, Weight, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Papers", "Lembar cetak"),
    path: "/papers",
    about: About::All,
    make: page,
    data: Some(&crate::studio::data::line::PAPERS),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let papers = studio.facts().papers(workspace);
    let mut groups: Vec<String> = Vec::new();
    for paper in &papers {
        let group = paper.group.say(voice);
        if !groups.contains(&group) {
            groups.push(group);
        }
    }
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("What shall be printed?", "Apa yang dicetak?"), voice)) }
            p.say { (t(text!(
                "A4, both languages on every sheet, yours first. Stamp sheets print at full size: no scaling in the printer's dialog.",
                "A4, dua bahasa di tiap lembar, bahasa Anda dulu. Lembar cap dicetak ukuran asli: jangan diskalakan saat mencetak."
            ), voice)) }
        } }
        @if !papers.is_empty() { (super::pack::asked(workspace, reader)) }
        div.wrap.after.three.papers {
            @for group in &groups {
                section.mori {
                    h2 { (group) }
                    ul {
                        @for paper in papers.iter().filter(|p| p.group.say(voice) == *group) {
                            li { a href=(format!("/papers/{}", escape(&paper.key))) type="application/pdf" { (line(&paper.name, voice)) } " " span.small { "PDF" } }
                        }
                    }
                }
            }
            @if groups.is_empty() {
                section.mori { p { (t(text!("Nothing can be printed: there is no design that can be made, or this studio was started without papers.",
                    "Belum ada yang dapat dicetak: belum ada desain yang dapat dibuat, atau studio dijalankan tanpa lembar cetak."), voice)) }
                    (findings(&workspace.findings, voice)) }
            }
        }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, text!("Papers", "Lembar cetak"), workspace, reader),
        body,
    )
}

/// One paper.
pub fn print(studio: &Studio, workspace: &Workspace, reader: &Reader, key: &str) -> Response {
    let facts = studio.facts();
    if !facts.papers(workspace).iter().any(|paper| paper.key == key) {
        let finding = Finding::new(
            "no-such-paper",
            Weight::Wrong,
            Place::Request,
            say!(
                "there is no paper {key}",
                "tidak ada lembar {key}",
                key = short(key)
            ),
        );
        return super::missing(studio, reader, &finding);
    }
    match facts.print(workspace, key, reader.voice) {
        Ok(pdf) => {
            // Only letters, digits and `-`: the name stands in a header.
            let name: String = key
                .chars()
                .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
                .collect();
            let about = [
                (header::CONTENT_TYPE, "application/pdf".to_string()),
                (
                    header::CONTENT_DISPOSITION,
                    format!("inline; filename=\"{name}.pdf\""),
                ),
            ];
            (about, pdf).into_response()
        }
        Err(found) => {
            let title = text!(
                "This paper cannot be printed yet",
                "Lembar ini belum dapat dicetak"
            );
            trouble(studio, reader, StatusCode::CONFLICT, title, &found)
        }
    }
}
