//! The handover pack and the line sheet: made once, with progress, then handed out as often as one likes.

use super::run::plan_name;
use crate::studio::file::File;
use crate::studio::parts::finding;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use crate::studio::{Packed, Studio};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use std::sync::Arc;
use words::{Arg, Finding, Voice, say, text};
use workspace::Workspace;

type Outcome = Result<Packed, Vec<Finding>>;

/// Where the pack is asked for, on the page of papers: which designs, and the button.
pub fn asked(workspace: &Workspace, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let chosen = designs(reader);
    let making = reader.get("make").is_some();
    html! {
        section.wrap.after #sign { div.mori.pack { (sign(workspace, voice)) } }
        section.wrap { div.mori.pack {
            h2 { (t(text!("Hand it over", "Serahkan"), voice)) }
            p.say { (t(text!(
                "For the workshop: what each cloth is, its palette, its stamps at full size, the route, job cards and batch sheets with their cautions. For buyers: the line sheet.",
                "Untuk bengkel: tiap kain, paletnya, capnya dalam ukuran penuh, alur, kartu kerja dan lembar takaran dengan peringatannya. Untuk pembeli: lembar koleksi."
            ), voice)) }
            form.choose method="get" action="/papers" {
                input type="hidden" name="make" value="1";
                fieldset {
                    legend { (t(text!("Which cloth?", "Kain mana?"), voice)) }
                    @for design in workspace.designs.iter().filter_map(|file| file.design.as_ref()) {
                        label {
                            input type="checkbox" name="design" value=(design.id) checked[chosen.is_empty() || chosen.contains(&design.id)];
                            " " (design.name) @if !design.colourway.is_empty() { " " span.small { (design.colourway) } }
                        }
                    }
                }
                button.btn.go type="submit" { (t(text!("Make the pack", "Buat paketnya"), voice)) }
            }
            @if making { div.job data-job=(format!("/pack/made{}", query(&chosen))) aria-busy="true" { div.waits role="status" {
                p { (t(text!("The cloth is drawn after every step, the sheets are set…", "Kain digambar setelah tiap langkah, lembar disusun…"), voice)) }
                progress max="1" aria-label=(t(text!("How far the pack is", "Sejauh mana paketnya"), voice)) {}
                p.told hidden { (t(text!("The pack could not be made.", "Paket tidak dapat dibuat."), voice)) }
                noscript { p { (t(text!("This needs a script; without one, use the command: lorod pack --help", "Ini perlu skrip; tanpa skrip, pakai perintah: lorod pack --help"), voice)) } }
            } } }
        } }
    }
}

/// Hash of the file of the collection, as `/api/collection` wants it.
pub fn collection_hash(workspace: &Workspace) -> String {
    let source = workspace.source(workspace::COLLECTION);
    source.map_or_else(
        || "none".to_string(),
        |source| crate::studio::assets::hex(&source.hash),
    )
}

/// Who hands it over: a sentence to fill in; once it is filled in, the sentence, and the way to change it.
fn sign(workspace: &Workspace, voice: Voice) -> Markup {
    let about = &workspace.collection;
    let designer = if about.is_signed() {
        about.designer.as_str()
    } else {
        ""
    };
    let form = html! {
        form.sign data-sign="/api/collection" data-hash=(collection_hash(workspace)) autocomplete="off" {
            p.sentence-line {
                label for="sign-name" { (t(text!("The collection is called", "Koleksi ini bernama"), voice)) } " "
                input #sign-name name="name" type="text" required maxlength="80" size="18" value=(about.name);
                ", " label for="sign-designer" { (t(text!("it is by", "karya"), voice)) } " "
                input #sign-designer name="designer" type="text" required maxlength="80" size="18" value=(designer);
                " " label for="sign-place" { (t(text!("in", "di"), voice)) } " "
                input #sign-place name="place" type="text" maxlength="80" size="14" value=(about.place);
                "."
            }
            p.small { (t(text!("It stands on the cover of the pack and at the head of the line sheet.", "Tertulis di sampul paket dan di kepala lembar koleksi."), voice)) }
            div.told role="alert" {}
            button.btn.go type="submit" { (t(text!("Sign it", "Tulis nama"), voice)) }
        }
    };
    html! {
        h2 { (t(text!("Who hands it over?", "Siapa yang menyerahkan?"), voice)) }
        @if about.is_signed() {
            p.say { (about.name) ", " (about.by()) "." }
            details { summary { (t(text!("Sign it differently", "Ganti nama"), voice)) } (form) }
        } @else { (form) }
    }
}

/// The designs that the address names; none means all.
fn designs(reader: &Reader) -> Vec<String> {
    let named = reader.query.iter().filter(|(key, _)| key == "design");
    named.map(|(_, id)| id.clone()).collect()
}

fn query(designs: &[String]) -> String {
    let all: Vec<String> = designs
        .iter()
        .map(|id| format!("design={}", escape(id)))
        .collect();
    if all.is_empty() {
        String::new()
    } else {
        format!("?{}", all.join("&"))
    }
}

/// What a pack rests on. Its cards take their times from the plan.
fn name(workspace: &Workspace, designs: &[String], voice: Voice) -> String {
    format!("pack {designs:?} {voice:?} {}", plan_name(workspace))
}

/// Whether a pack with a design as it stands was made for this reader: of it alone, or of all.
pub fn is_made(studio: &Studio, workspace: &Workspace, design: &str, voice: Voice) -> bool {
    let designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
    let all: Vec<String> = designs.map(|design| design.id.clone()).collect();
    let made = |designs: &[String]| {
        let known = studio.bench().known::<Outcome>(&name(workspace, designs, voice));
        known.is_some_and(|made| made.is_ok())
    };
    made(&[design.to_string()]) || made(&all) || made(&[])
}

/// The pack, when it is made: `made` is where to get it, the rest are its files.
pub async fn piece(State(studio): State<Arc<Studio>>, Path(piece): Path<String>, reader: Reader) -> Response {
    let workspace = studio.look().await;
    let (designs, voice) = (designs(&reader), reader.voice);
    let name = name(&workspace, &designs, voice);
    let (facts, of) = (studio.facts(), designs.clone());
    let work = {
        let workspace = workspace.clone();
        move |go_on: &dyn Fn(f64) -> bool| -> Outcome { facts.pack(&workspace, &of, voice, go_on) }
    };
    let made = match studio.bench().ask(&name, work).await {
        Ok(made) => made,
        Err(status) => return status.into_response(),
    };
    let packed = match made.as_ref() {
        Ok(packed) => packed,
        Err(found) if piece == "made" => {
            return html! { @for one in found { (finding(one, None, voice)) } }.into_response();
        }
        Err(_) => return StatusCode::CONFLICT.into_response(),
    };
    let [workshop, buyers] = names(&workspace, &designs, voice);
    match piece.as_str() {
        "made" => ready(packed, &query(&designs), voice).into_response(),
        "workshop.pdf" => File::pdf(&workshop, packed.workshop.clone()).into_response(),
        "buyers.pdf" => File::pdf(&buyers, packed.buyers.clone()).into_response(),
        "both.zip" => {
            let files = [
                (workshop.clone(), packed.workshop.clone()),
                (buyers, packed.buyers.clone()),
            ];
            match workspace::zipped(&files) {
                Ok(zip) => File::archive(&workshop.replace(".pdf", ".zip"), zip).into_response(),
                Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
            }
        }
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}

/// What the files are called: after the design, if it is one.
fn names(workspace: &Workspace, designs: &[String], voice: Voice) -> [String; 2] {
    let of = match designs {
        [one] => one.clone(),
        _ => workspace::plain_name(&workspace.collection.name).unwrap_or_else(|| "collection".to_string()),
    };
    let words = [text!("pack", "paket"), text!("line-sheet", "lembar-koleksi")];
    words.map(|word| format!("{of}-{}.pdf", t(word, voice)))
}

fn ready(packed: &Packed, query: &str, voice: Voice) -> Markup {
    let size = |bytes: usize| say!("{mb} MB", "{mb} MB", mb = Arg::Number(bytes as f64 / 1e6, 1)).say(voice);
    html! {
        div.find.good { p { b.w { (t(text!("Good.", "Baik."), voice)) } " " (t(text!("The pack is made.", "Paket sudah dibuat."), voice)) } }
        p.row.ready data-renews="" {
            a.btn.go href=(format!("/pack/workshop.pdf{query}")) type="application/pdf" { (t(text!("For the workshop", "Untuk bengkel"), voice)) " · PDF, " (size(packed.workshop.len())) }
            a.btn.go href=(format!("/pack/buyers.pdf{query}")) type="application/pdf" { (t(text!("For buyers", "Untuk pembeli"), voice)) " · PDF, " (size(packed.buyers.len())) }
            a.btn href=(format!("/pack/both.zip{query}")) download { (t(text!("Both in one archive", "Keduanya dalam satu arsip"), voice)) }
        }
    }
}
