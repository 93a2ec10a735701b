//! Every lot: when it is promised and packed, how sure that is, what it waits for.

use super::made::{Made, known_sure, plan, play};
use crate::facts::sure::Sure;
use crate::facts::views::{View, clock, day_name};
use crate::studio::Studio;
use crate::studio::parts::{self, Head};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{said, t};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use plan::{Minute, Promise, Share};
use std::sync::Arc;
use words::{Arg, Voice, say, text};
use workspace::Workspace;

/// Shares from which a promise is good, and from which it is worth a look (a choice of the house, assumed).
const GOOD: f64 = 0.9;
const DOUBTFUL: f64 = 0.5;
/// Beads on a thread.
const BEADS: u32 = 20;

/// The table, and the replays where they are known; else a place that asks for them.
pub fn place(studio: &Studio, workspace: &Workspace, made: &Made, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let known = known_sure(studio, workspace);
    html! {
        @match known {
            Some(sure) => (table(workspace, made, sure.as_ref().as_ref(), voice)),
            None => div.job data-job="/run/sure" aria-busy="true" {
                (table(workspace, made, None, voice))
                div.waits role="status" {
                    p.none { (t(text!("The plan is played in rain, with minutes that stray …", "Rencana diulang dalam hujan, dengan menit yang menyimpang …"), voice)) }
                    progress max="1" aria-label=(t(text!("How far the replays are", "Sejauh mana ulangannya"), voice)) {}
                    p.told hidden { (t(text!("The plan could not be played.", "Rencana tidak dapat diulang."), voice)) }
                }
            },
        }
    }
}

/// The same as a piece of the page, played.
pub async fn piece(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    let (made, sure) = match (plan(&studio).await, play(&studio).await) {
        (Ok(made), Ok(sure)) => (made, sure),
        (Err(status), _) | (_, Err(status)) => return status.into_response(),
    };
    let workspace = studio.look().await;
    match made.as_ref() {
        Ok(made) => table(&workspace, made, sure.as_ref().as_ref(), reader.voice).into_response(),
        Err(_) => html! { p data-again="" {} }.into_response(),
    }
}

fn table(workspace: &Workspace, made: &Made, sure: Option<&Sure>, voice: Voice) -> Markup {
    let Some(view) = View::new(workspace, &made.planned) else {
        return html! {};
    };
    let problem = view.problem();
    let rows = html! {
        @for (at, lot) in problem.lots.iter().enumerate() {
            @let done = made.planned.schedule.completion(problem, at);
            @let promise = sure.and_then(|sure| sure.replays.lots.get(at));
            tr {
                th scope="row" { (view.called(at, voice)) (note(&view, at, voice)) }
                td data-what=(t(text!("promised", "dijanjikan"), voice)) { (moment(&view, lot.due, voice)) }
                td data-what=(t(text!("packed", "dikemas"), voice)) { @match done { Some(done) => (moment(&view, done, voice)), None => (t(text!("not planned", "belum direncanakan"), voice)) } }
                td { @match promise { Some(promise) => (sureness(&view, promise, voice)), None => span.none { "…" } } }
                td { @if let Some(done) = done { (spare(lot.due - done, promise, voice)) } }
                td data-what=(t(text!("waits for", "menunggu"), voice)) { @if let Some(waits) = made.waits.get(at) { (waits.say(&view, voice)) } }
            }
        }
    };
    let heads = [
        Head::Words(text!("Lot", "Partai")),
        Head::Words(text!("Promised", "Dijanjikan")),
        Head::Words(text!("Planned to be packed", "Rencana dikemas")),
        Head::Words(text!("Leaves on time", "Tepat waktu")),
        Head::Words(text!("Spare", "Sisa waktu")),
        Head::Words(text!("What it waits for", "Yang ditunggu")),
    ];
    html! {
        @if let Some(sure) = sure { p.say { (all(sure.replays.all_on_time, sure.replays.replays, voice)) } }
        (parts::table("orders", &heads, &rows, voice))
        @if let Some(sure) = sure {
            details {
                summary { (t(text!("What these shares rest on", "Dasar angka ini"), voice)) }
                ul.rests-on { @for one in &sure.findings { li { (said(&one.found, voice)) } } }
                @if sure.replays.longest_over > 0 {
                    p.small { (say!(
                        "Of the waits that have a limit {share} % are longer because work before them was slow: nine of ten of these by at most {p90} min, the longest by {hours} h.",
                        "Dari semua tunggu yang dibatasi, {share} % lebih lama karena pekerjaan sebelumnya lambat: sembilan dari sepuluh paling banyak {p90} menit lebih lama, yang terlama {hours} jam.",
                        share = Arg::Number(sure.replays.waits_over * 100.0, 1),
                        p90 = Arg::Number(sure.replays.over_p90 as f64, 0),
                        hours = Arg::Number(sure.replays.longest_over as f64 / 60.0, 1)
                    ).say(voice)) }
                }
            }
        }
    }
}

fn all(share: Share, replays: u32, voice: Voice) -> String {
    say!(
        "All leave on time in {n} % of {replays} replays (± {e} %), if your minutes are right.",
        "Semua tepat waktu pada {n} % dari {replays} ulangan (± {e} %), bila menit kerja Anda benar.",
        n = Arg::Number(share.value * 100.0, 0),
        e = Arg::Number((share.error * 100.0).max(1.0), 0),
        replays = Arg::Number(f64::from(replays), 0)
    )
    .say(voice)
}

/// Twenty beads on a thread, always with the number.
fn sureness(view: &View, promise: &Promise, voice: Voice) -> Markup {
    let full = (promise.on_time.value * f64::from(BEADS)).round() as u32;
    let when = |minute: Option<Minute>| minute.map_or_else(|| "–".to_string(), |m| moment(view, m, voice));
    html! {
        svg.beads viewBox="0 0 204 12" width="204" height="12" aria-hidden="true" {
            line x1="0" x2="204" y1="6" y2="6" {}
            @for bead in 0..BEADS { circle class=(if bead < full { "full" } else { "empty" }) cx=(7 + bead * 10) cy="6" r="4.2" {} }
        }
        span.in-100 { b { (voice.number(promise.on_time.value * 100.0, 0)) } " " (t(text!("in 100", "dari 100"), voice)) }
        small { (say!(
            "half by {half}, nine of ten by {nine}",
            "separuh sebelum {half}, sembilan dari sepuluh sebelum {nine}",
            half = Arg::Name(when(promise.p50)),
            nine = Arg::Name(when(promise.p90))
        ).say(voice)) }
    }
}

/// Days between the plan and the promise; stop, look or good by how sure it is, else by the plan alone.
fn spare(minutes: Minute, promise: Option<&Promise>, voice: Voice) -> Markup {
    let days = Arg::Number(minutes.abs() as f64 / 1440.0, 1);
    let sure = promise.map_or(1.0, |promise| promise.on_time.value);
    let words = if minutes >= 0 {
        say!("{d} days to spare", "sisa {d} hari", d = days)
    } else {
        say!("{d} days late", "terlambat {d} hari", d = days)
    };
    let (class, word) = match sure {
        _ if minutes < 0 => ("find stop", text!("Stop.", "Berhenti.")),
        sure if sure >= GOOD => ("find good", text!("Good.", "Baik.")),
        sure if sure >= DOUBTFUL => ("find look", text!("Look.", "Periksa.")),
        _ => ("find stop", text!("Stop.", "Berhenti.")),
    };
    html! { div class=(class) { p { b.w { (t(word, voice)) } " " (words.say(voice)) } } }
}

/// `Fri 18 Dec 16:30`.
pub fn moment(view: &View, minute: Minute, voice: Voice) -> String {
    format!("{} {}", day_name(view.date(minute), voice), clock(minute))
}

/// The design of a lot: its address, and what to call it.
pub fn about(view: &View, lot: usize, voice: Voice) -> Option<(String, String)> {
    let design = view.design(lot)?;
    let words = say!(
        "{design}, {n} bolts",
        "{design}, {n} gulung",
        design = Arg::Name(design.name.clone()),
        n = Arg::Number(f64::from(view.problem().lots.get(lot)?.bolts), 0)
    );
    Some((format!("/design/{}", escape(&design.id)), words.say(voice)))
}

fn note(view: &View, lot: usize, voice: Voice) -> Markup {
    html! { @if let Some((href, words)) = about(view, lot, voice) { small { a href=(href) { (words) } } } }
}
