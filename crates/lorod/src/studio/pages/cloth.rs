//! One design: the strip of its steps, the chosen step large beside the finished cloth, and what the step is.

use super::fields::{of_design, of_stamp};
use super::look::{Chosen, table, under};
use super::wound::wound;
use super::{missing, no_design, step, strip, tour};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::design::{Along, Found, found, lot_of};
use crate::studio::frame::{self, Here};
use crate::studio::kiln::Work;
use crate::studio::page::{About, Page};
use crate::studio::parts::sentence;
use crate::studio::picture::steps;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{finding, t, trouble_at};
use axum::http::StatusCode;
use axum::response::Response;
use colour::Illuminant;
use maud::{Markup, html};
use route::Design;
use std::sync::Arc;
use words::{Arg, Voice, Weight, say, text};
use workspace::Workspace;

/// The step to begin with: the first with something to look at; else the first that a clock decides while wax is
/// on the cloth, where most can still change; else the last with wax on; else the middle of the route.
fn first_look(design: &Design, along: &Along) -> usize {
    let n = design.steps.len();
    let worst = along
        .findings
        .iter()
        .map(|(_, f)| f.weight)
        .max()
        .filter(|w| *w > Weight::Note);
    let heavy = along
        .findings
        .iter()
        .filter(|(_, f)| Some(f.weight) == worst)
        .map(|(at, _)| *at)
        .min();
    let waxed = |at: &usize| along.means.get(at + 1).is_some_and(route::Means::waxed);
    let timed = |at: &usize| {
        design
            .steps
            .get(*at)
            .is_some_and(|s| s.operation.kind().timed.is_some())
    };
    let by_clock = (0..n).find(|at| waxed(at) && timed(at));
    heavy
        .or(by_clock)
        .or_else(|| (0..n).rfind(waxed))
        .unwrap_or(n / 2)
        .min(n.saturating_sub(1))
}

/// What the winding of this page is made of.
pub fn work(studio: &Studio, workspace: &Workspace, id: &str, reader: &Reader) -> Option<Work> {
    let design = workspace.design(id)?;
    let shop = workspace.workshop.as_ref()?;
    let steps = match reader.get("step") {
        None => first_look(design, &studio.along(design, shop)) + 1,
        given => steps(design, given).ok()?,
    };
    let bolt = reader
        .get("bolt")
        .and_then(|v| v.parse().ok())
        .filter(|b| *b < 10_000)
        .unwrap_or(0);
    Some(Work {
        design: design.clone(),
        shop: Arc::new(shop.clone()),
        lot: lot_of(design, bolt),
        steps,
        lamp: Illuminant::D65,
    })
}

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Cloth", "Kain"),
    path: "/design/{design}",
    about: About::OneDesign,
    make: page,
    data: Some(&crate::studio::data::cloth::CLOTH),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let id = reader.last_part();
    let id = id.as_str();
    let Some(file) = workspace.design_file(id) else {
        return no_design(studio, reader, id);
    };
    let (Some(design), Some(shop)) = (&file.design, &workspace.workshop) else {
        let title = text!("This cloth cannot be made yet", "Kain ini belum dapat dibuat");
        let all = if file.design.is_some() {
            &workspace.findings
        } else {
            &file.findings
        };
        return trouble_at(
            studio,
            reader,
            StatusCode::OK,
            &Here::at(&PAGE, title, workspace, reader),
            title,
            all,
        );
    };
    let along = studio.along(design, shop);
    let at = match reader.get("step") {
        None => first_look(design, &along),
        given => match steps(design, given) {
            Ok(done) => done.saturating_sub(1),
            Err((_, finding)) => return missing(studio, reader, &finding),
        },
    };
    let chosen = Chosen::of(studio, workspace, design, at, reader);
    let Some(current) = design.steps.get(at) else {
        let title = text!("This route has no step yet", "Alur ini belum berisi langkah");
        return trouble_at(
            studio,
            reader,
            StatusCode::OK,
            &Here::at(&PAGE, title, workspace, reader),
            title,
            &workspace.examine(id),
        );
    };
    let rest: Vec<Found> = found(studio, workspace, file)
        .into_iter()
        .filter(|f| f.step.is_none())
        .collect();
    let hash = workspace
        .source(&file.path)
        .map_or_else(String::new, |source| hex(&source.hash));
    let store: Vec<&str> = workspace.dyes.iter().map(|card| card.id.as_str()).collect();
    let body = html! {
        div data-desk=(id) data-hash=(hash) data-step=(current.id) data-store=(serde_json::json!(store)) {
            div.wrap.head {
                div data-part="title" {
                    h1 { (design.name) " " @if !design.colourway.is_empty() { em { (design.colourway) } } }
                    @if !design.note.is_empty() { p.say { (design.note) } }
                }
                div.row.desk-acts data-part="acts" { (acts(studio, id, voice)) }
            }
            div.wrap { (others(workspace, id, voice)) }
            (told(voice))
            @if reader.get("tour").is_some() { (tour::beside_the_cloth(voice)) }
            div.wrap.strip data-part="strip" { (strip::strip(studio, design, &along, at, chosen.bolt, reader)) }
            div.wrap.two {
                div.laid {
                    (table(studio, design, &along, &chosen, reader))
                    (under(studio, workspace, design, &chosen, reader))
                    div data-part="winding" { (winding_place(studio, workspace, id, reader)) }
                }
                section.mori.laid data-part="panel" aria-label=(t(&current.operation.kind().term.text, voice)) {
                    (step::panel(workspace, shop, design, &along, at, voice))
                }
            }
            section.wrap.after data-part="about" { div.mori {
                details open[!rest.is_empty()] {
                    summary { (t(text!("About the whole cloth", "Tentang seluruh kain"), voice)) }
                    (sentence(t(text!("This cloth", "Kain ini"), voice), &of_design(design, voice), voice))
                    @if let Some(source) = workspace.source(&file.path) {
                        @for used in &design.stamps {
                            (sentence(&say!("The stamp {id}", "Cap {id}", id = Arg::Name(used.id.clone())).say(voice), &of_stamp(&used.id, &source.text, voice), voice))
                        }
                    }
                    @if !rest.is_empty() {
                        ul.finds { @for f in &rest { li { (finding(&f.finding, None, voice)) (others_of_kind(f, voice)) } } }
                    }
                }
            } }
            (keep(voice))
        }
    };
    let mut here = Here::at(&PAGE, text!("Cloth", "Kain"), workspace, reader);
    here.title.clone_from(&design.name);
    frame::page(studio, reader, &here.of(design), body)
}

/// Undo, redo, and a copy in other colours.
pub(super) fn acts(studio: &Studio, id: &str, voice: Voice) -> Markup {
    let [undo, redo] = studio.depth(id);
    html! {
        button.btn type="button" data-go="undo" disabled[undo == 0] { (t(text!("Undo", "Urungkan"), voice)) }
        button.btn type="button" data-go="redo" disabled[redo == 0] { (t(text!("Do again", "Ulangi"), voice)) }
        button.btn.go type="button" data-opens="keep" { (t(text!("Keep as a colourway", "Simpan sebagai warna baru"), voice)) }
    }
}

/// Where a refusal without a field of its own is told, and where one is told that somebody else changed the cloth.
pub(super) fn told(voice: Voice) -> Markup {
    let words = serde_json::json!({ "none": t(text!("nothing", "tidak ada"), voice) });
    html! {
        div.wrap #told role="alert" {}
        section.wrap.clash #clash hidden role="alertdialog" aria-labelledby="clash-title" data-words=(words) { div.mori {
            h2 #clash-title { (t(text!("Somebody else changed this cloth", "Orang lain mengubah kain ini"), voice)) }
            div.told {}
            ul {}
            div.row {
                button.btn.go type="button" data-mine="" { (t(text!("Make my change on top of it", "Buat perubahan saya di atasnya"), voice)) }
                button.btn type="button" data-theirs="" { (t(text!("Leave mine, show the cloth as it is now", "Tinggalkan, tampilkan kain yang sekarang"), voice)) }
            }
        } }
    }
}

/// Asks how the copy shall be called.
pub(super) fn keep(voice: Voice) -> Markup {
    html! {
        dialog #keep aria-labelledby="keep-title" {
            form data-keep="" {
                h2 #keep-title { (t(text!("Keep as a colourway", "Simpan sebagai warna baru"), voice)) }
                p { (t(text!(
                    "A copy with a name of its own. This cloth stays as it is, and both hang on the line.",
                    "Salinan dengan nama sendiri. Kain ini tetap, dan keduanya tergantung di jemuran."
                ), voice)) }
                label for="keep-name" { (t(text!("In the colours", "Dalam warna"), voice)) }
                input #keep-name type="text" required maxlength="40" autocomplete="off";
                div.told role="alert" {}
                div.row {
                    button.btn.go type="submit" { (t(text!("Keep it", "Simpan"), voice)) }
                    button.btn type="button" data-closes="" { (t(text!("Leave it", "Batal"), voice)) }
                }
            }
        }
    }
}

fn others_of_kind(found: &Found, voice: Voice) -> Markup {
    html! {
        @if !found.more.is_empty() {
            details.more {
                summary { (say!("{n} more of this kind", "{n} lagi sejenis", n = Arg::Number(found.more.len() as f64, 0)).say(voice)) }
                ul.finds { @for one in &found.more { li { (finding(one, None, voice)) } } }
            }
        }
    }
}

/// The other designs, by name.
fn others(workspace: &Workspace, id: &str, voice: Voice) -> Markup {
    others_at(workspace, id, voice, |id| format!("/design/{}", escape(id)))
}

/// The same, leading to another page about them.
pub(super) fn others_on(workspace: &Workspace, id: &str, path: &str, voice: Voice) -> Markup {
    others_at(workspace, id, voice, |id| format!("{path}?design={}", escape(id)))
}

fn others_at(workspace: &Workspace, id: &str, voice: Voice, href: impl Fn(&str) -> String) -> Markup {
    html! {
        nav.others aria-label=(t(text!("Other cloth", "Kain lain"), voice)) {
            @for design in workspace.designs.iter().filter_map(|f| f.design.as_ref()) {
                a href=(href(&design.id)) aria-current=[(design.id == id).then_some("true")] {
                    (design.name)
                }
            }
        }
    }
}

/// The winding, if it is known; else a place for it, which a script fills and a link fills without one.
fn winding_place(studio: &Studio, workspace: &Workspace, id: &str, reader: &Reader) -> Markup {
    let known = work(studio, workspace, id, reader).and_then(|work| studio.kiln().known_winding(&work));
    html! {
        @match known {
            Some(winding) => (wound(&winding, reader.voice)),
            None => {
                @let plain = reader.here(&[]);
                @let query = plain.split_once('?').map_or("", |(_, q)| q);
                div.windings.empty data-winding=(format!("/design/{}/winding?{query}", escape(id))) {
                    a href=(format!("/design/{}/winding?{query}", escape(id))) { (t(text!("Wind the palette of this step", "Gulung palet langkah ini"), reader.voice)) }
                }
            }
        }
    }
}
