//! Windows that are closed, narrow, or not to be told yet: what the line says of every design's bleach, or of its first
//! timed step.

use crate::facts::window::steps;
use crate::studio::Studio;
use crate::studio::kiln::KeepGoing;
use crate::studio::parts::finding;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{span, t};
use cloth::window::{Advice, Window};
use maud::{Markup, html};
use words::{Arg, Finding, Place, Voice, Weight, say, text};
use workspace::Workspace;

/// Narrower than this a window asks for a clock and a second pair of hands, s (common practice, no source).
const NARROW: f64 = 180.0;

/// The windows as a piece of the line. A second or two for each design that was not asked before.
pub fn piece(studio: &Studio, workspace: &Workspace, reader: &Reader, keep_going: KeepGoing) -> Markup {
    let voice = reader.voice;
    let designs: Vec<_> = workspace
        .designs
        .iter()
        .filter_map(|file| file.design.as_ref())
        .collect();
    let Some(shop) = &workspace.workshop else {
        return html! {};
    };
    let mut open = 0;
    let mut told: Vec<(Finding, Markup)> = Vec::new();
    for (at, design) in designs.iter().enumerate() {
        let along = |share: f64| keep_going((at as f64 + share) / designs.len() as f64);
        let Some(step) = steps(design).into_iter().next() else {
            continue;
        };
        let Ok(found) = studio.window(workspace, design, shop, Some(&step.id), None, &along) else {
            continue;
        };
        let Some(finding) = judged(&found.window, voice) else {
            open += 1;
            continue;
        };
        let about = html! {
            a href=(format!("/windows?design={}&step={}", escape(&design.id), escape(&step.id))) {
                (design.name) ", " (step.number) " " (t(&step.term.text, voice).to_lowercase())
            }
        };
        told.push((finding, about));
    }
    told.sort_by_key(|(finding, _)| std::cmp::Reverse(finding.weight));
    html! {
        div.narrow-windows {
            @if !told.is_empty() {
                ul.finds { @for (one, about) in &told { li { (finding(one, Some(about.clone()), voice)) } } }
            }
            @if open > 0 {
                div.find.good { p {
                    b.w { (t(text!("Good.", "Baik."), voice)) } " "
                    (say!("{n} have room of {room} or more.", "{n} punya kelonggaran {room} atau lebih.",
                        n = Arg::Number(f64::from(open), 0), room = Arg::Name(span(NARROW, voice))).say(voice))
                } }
            }
        }
    }
}

/// What is to be told of a window; nothing where there is room.
fn judged(window: &Window, voice: Voice) -> Option<Finding> {
    let at = |seconds: f64| Arg::Name(span(seconds, voice));
    let said =
        |weight, found: words::Line| Some(Finding::new("window-narrow", weight, Place::Request, found));
    match &window.advice {
        Advice::Closed { chance, .. } => said(
            Weight::Doubtful,
            say!(
                "no time lets enough bolts pass: at best {n} of 100 do",
                "tidak ada waktu yang meluluskan cukup gulungan: paling banyak {n} dari 100",
                n = Arg::Number((100.0 * chance + 1e-9).floor(), 0)
            ),
        ),
        Advice::DoThisStrip { .. } => said(
            Weight::Doubtful,
            say!(
                "no time is safe to give before a strip is done",
                "belum ada waktu yang aman sebelum potong uji dilakukan"
            ),
        ),
        Advice::Pull {
            earliest: Some(earliest),
            latest: Some(latest),
            chance,
            ..
        } if latest.0 - earliest.0 < NARROW => said(
            Weight::Note,
            say!(
                "narrow: from {earliest} to {latest}, {n} of 100 bolts pass at best",
                "sempit: dari {earliest} sampai {latest}, paling banyak {n} dari 100 gulungan lulus",
                earliest = at(earliest.0),
                latest = at(latest.0),
                n = Arg::Number((100.0 * chance + 1e-9).floor(), 0)
            ),
        ),
        _ => None,
    }
}
