//! The shelf of stamps: what each copy has printed since it was filed, what was done to it, and a place to record more.

mod record;
mod wear;

use super::day_name;
use crate::facts::shelf::{Due, Life, Lives, lives};
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::parts::{self, Head, Plot, finding, plot};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{origin, t};
use axum::response::Response;
use maud::{Markup, html};
use sky::Date;
use units::System;
use words::{Arg, Voice, say, text};
use workspace::{CopyId, Did, Workspace};

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Shelf", "Rak"),
    path: "/shelf",
    about: About::Aside,
    make: page,
    data: Some(&crate::studio::data::shelf::SHELF),
};

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let (lives, recorded) = (lives(workspace), studio.recorded());
    let title = text!(
        "Which stamp is to be filed next?",
        "Cap mana yang dikikir berikutnya?"
    );
    let body = html! {
        div.shelf data-record-hash=(recorded.hash) {
            div.wrap.head {
                div {
                    h1 { (t(title, voice)) }
                    p.say { (answer(&lives, voice)) }
                }
                div.row.desk-acts {
                    button.btn type="button" data-record="/api/shelf/undo" disabled[recorded.depth[0] == 0] { (t(text!("Undo", "Urungkan"), voice)) }
                    button.btn type="button" data-record="/api/shelf/redo" disabled[recorded.depth[1] == 0] { (t(text!("Do again", "Ulangi"), voice)) }
                }
            }
            div.wrap { div.told data-record-told="" role="alert" {} }
            @let found = lives.findings();
            @if !found.is_empty() { section.wrap { div.mori { @for one in &found { (finding(one, None, voice)) } } } }
            @if lives.copies.iter().any(|life| life.retired.is_none()) { section.wrap { (plot(&Plot {
                key: "wear",
                question: t(text!("How much has each copy printed since it was filed?", "Seberapa banyak tiap salinan mencetak sejak dikikir?"), voice),
                answer: html! { (limit(&lives, voice)) },
                wide: wear::drawing(&lives, wear::Room::Wide, voice),
                narrow: Some(wear::drawing(&lives, wear::Room::Narrow, voice)),
                assumed: Some(html! { (origin(&lives.refile_every.origin, voice)) ". " (t(text!(
                    "Cloth counts once for each waxing; whole bolts are counted as they are recorded below.",
                    "Kain dihitung sekali tiap pengecapan; gulung utuh dihitung seperti yang dicatat di bawah."
                ), voice)) }),
            })) } }
            section.wrap.after { div.mori { (record::forms(workspace, voice)) } }
            @if !lives.copies.is_empty() { section.wrap.after { div.mori {
                h2 { (t(text!("What was done to each", "Yang sudah dilakukan pada tiap cap"), voice)) }
                (table(workspace, &lives, voice))
            } } }
        }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// The copy that has printed most of what it may, or that was found off level.
pub fn answer(lives: &Lives, voice: Voice) -> String {
    let urgent = |life: &&Life| match life.due {
        Some(Due::OffLevel(_)) => f64::INFINITY,
        Some(_) => life.since.metres,
        None => -1.0,
    };
    let next = lives.copies.iter().max_by(|a, b| urgent(a).total_cmp(&urgent(b)));
    let Some((life, due)) = next.and_then(|life| Some((life, life.due?))) else {
        return say!(
            "No copy is written down; the plan takes one of each stamp.",
            "Belum ada salinan yang dicatat; rencana memakai satu dari tiap cap."
        )
        .say(voice);
    };
    let copy = Arg::Name(called(&life.stamp, &life.copy.id, voice));
    match due {
        Due::OffLevel(m) => say!(
            "{copy}: at its last proof it was {mm} mm off level.",
            "{copy}: pada cetak coba terakhir muka tidak rata {mm} milimeter.",
            copy = copy,
            mm = Arg::Number(m * 1e3, 1)
        ),
        Due::Now | Due::Soon => say!(
            "{copy}: it has printed {m} of cloth since it was filed.",
            "{copy}: sudah mencetak {m} kain sejak dikikir.",
            copy = copy,
            m = Arg::Name(cloth(life.since.metres, voice))
        ),
        Due::Later(left) => say!(
            "None yet. {copy} comes first, after about {m} more of cloth.",
            "Belum ada. {copy} lebih dulu, kira-kira {m} kain lagi.",
            copy = copy,
            m = Arg::Name(cloth(left, voice))
        ),
    }
    .say(voice)
}

fn limit(lives: &Lives, voice: Voice) -> String {
    say!(
        "A stamp is filed level again after about {m} of cloth.",
        "Cap dikikir rata lagi sesudah kira-kira {m} kain.",
        m = Arg::Name(cloth(lives.refile_every.value, voice))
    )
    .say(voice)
}

/// What people call a copy: its stamp, and its number.
fn called(stamp: &str, id: &CopyId, voice: Voice) -> String {
    say!(
        "{stamp}, copy {n}",
        "{stamp}, salinan {n}",
        stamp = Arg::Name(stamp.to_string()),
        n = Arg::Number(f64::from(id.copy), 0)
    )
    .say(voice)
}

/// A length of cloth, whole metres or yards.
fn cloth(metres: f64, voice: Voice) -> String {
    let (unit, value) = wear::unit(voice, metres);
    format!("{}\u{a0}{unit}", voice.number(value, 0))
}

/// A gap under a straight edge, as fine as it is measured.
fn gap(metres: f64, voice: Voice) -> String {
    match voice.system {
        System::Metric => format!("{}\u{a0}mm", voice.number(metres * 1e3, 1)),
        System::Imperial => format!("{}\u{a0}in", voice.number(metres / 0.0254, 3)),
    }
}

/// A day with its year: a shelf remembers years.
fn dated(date: Date, voice: Voice) -> String {
    format!("{} {}", day_name(date, voice), date.civil().0)
}

fn table(workspace: &Workspace, lives: &Lives, voice: Voice) -> Markup {
    let rows = html! {
        @for life in &lives.copies { tr {
            th scope="row" { (which(life, voice)) }
            td data-what=(t(text!("shelf", "rak"), voice)) { @if life.copy.shelf.is_empty() { "–" } @else { (life.copy.shelf) } }
            td data-what=(t(text!("bolts", "gulung"), voice)) { (voice.number(f64::from(life.all.bolts), 0)) }
            td data-what=(t(text!("prints", "cetakan"), voice)) { (voice.number(life.all.prints as f64, 0)) }
            td data-what=(t(text!("cloth", "kain"), voice)) { (cloth(life.all.metres, voice)) }
            td data-what=(t(text!("since it was filed", "sejak dikikir"), voice)) { (cloth(life.since.metres, voice)) }
            td { (deeds(workspace, life, voice)) }
        } }
    };
    let heads = [
        Head::Words(text!("Copy", "Salinan")),
        Head::Words(text!("Shelf", "Rak")),
        Head::Words(text!("Bolts", "Gulung")),
        Head::Words(text!("Prints", "Cetakan")),
        Head::Words(text!("Cloth", "Kain")),
        Head::Words(text!("Since it was filed", "Sejak dikikir")),
        Head::Words(text!("What was done", "Yang dilakukan")),
    ];
    parts::table("orders", &heads, &rows, voice)
}

fn which(life: &Life, voice: Voice) -> Markup {
    let id = &life.copy.id;
    let href = format!("/stamp?design={}&stamp={}", escape(&id.design), escape(&id.stamp));
    html! { a href=(href) { (called(&life.stamp, id, voice)) } }
}

/// Its life, the latest first.
fn deeds(workspace: &Workspace, life: &Life, voice: Voice) -> Markup {
    let mut all: Vec<(Date, String)> = workspace
        .shelf
        .of(&life.copy.id)
        .map(|deed| {
            let what = match &deed.did {
                Did::Stamped(bolts) => say!(
                    "stamped {n} bolts",
                    "mengecap {n} gulung",
                    n = Arg::Number(f64::from(*bolts), 0)
                )
                .say(voice),
                Did::Refiled => t(text!("filed level", "dikikir rata"), voice).to_string(),
                Did::Proofed(None) => t(text!("proof printed", "cetak coba"), voice).to_string(),
                Did::Proofed(Some(off)) => say!(
                    "proof printed, {gap} off level",
                    "cetak coba, tidak rata {gap}",
                    gap = Arg::Name(gap(off.0, voice))
                )
                .say(voice),
                Did::Retired => t(text!("retired", "tidak dipakai lagi"), voice).to_string(),
            };
            (deed.date, what)
        })
        .collect();
    if let Some(made) = life.copy.made {
        let came = t(text!("came from its maker", "datang dari pembuatnya"), voice);
        all.insert(0, (made, came.to_string()));
    }
    html! { ul.deeds { @for (date, what) in all.iter().rev() { li { span.small { (dated(*date, voice)) } " " (what) } } } }
}
