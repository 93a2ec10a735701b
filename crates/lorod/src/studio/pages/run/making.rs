//! The plan while it is made, and all of it as a table.

use super::{PAGE, View, clock};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::file::{File, csv as csv_of};
use crate::studio::frame::{self, Here};
use crate::studio::reader::Reader;
use crate::studio::say::{t, trouble};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::html;
use std::sync::Arc;
use words::text;
use workspace::Workspace;

/// Everything that a plan depends on.
pub fn plan_name(workspace: &Workspace) -> String {
    let hashes = workspace.sources.iter().map(|source| hex(&source.hash[..8]));
    format!("plan {}", hashes.collect::<String>())
}

pub fn being_made(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let said = t(text!("The plan is being made…", "Rencana sedang disusun…"), voice);
    let body = html! {
        div.wrap.head { div { h1 { (t(text!("Will the orders leave on time?", "Apakah pesanan selesai tepat waktu?"), voice)) } } }
        section.wrap.after { div.job data-job="/run/made" aria-busy="true" { div.mori.waits role="status" {
            p { (said) }
            progress max="1" aria-label=(said) {}
            p.told hidden { (t(text!("The plan could not be made.", "Rencana tidak dapat disusun."), voice)) }
            noscript { p { a href=(reader.here(&[("now", "1")])) { (t(text!("Wait for it", "Tunggu"), voice)) } } }
        } } }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// Makes the plan, unless it is made.
///
/// # Errors
/// The status to answer with where that ended early.
pub async fn plan(studio: &Arc<Studio>) -> Result<(), StatusCode> {
    let workspace = studio.look().await;
    let (facts, name) = (studio.facts(), plan_name(&workspace));
    // What keeps a plan from being made is told on the page.
    let work = move |_: &dyn Fn(f64) -> bool| drop(facts.run_sheet(&workspace));
    studio.bench().ask(&name, work).await.map(drop)
}

/// Whether the plan is made; the page is then read anew.
pub async fn made(State(studio): State<Arc<Studio>>) -> Response {
    match plan(&studio).await {
        Ok(()) => html! { p data-again="" {} }.into_response(),
        Err(status) => status.into_response(),
    }
}

/// Everything of the plan as a table, in the workshop's own time.
pub fn csv(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let sheet = match studio.facts().run_sheet(workspace) {
        Ok(sheet) => sheet,
        Err(found) => {
            let title = text!("There is no plan yet", "Belum ada rencana");
            return trouble(studio, reader, StatusCode::CONFLICT, title, &found);
        }
    };
    let gantt = plan::gantt(&sheet.problem, &sheet.schedule);
    let view = View {
        sheet: &sheet,
        workspace,
        voice: reader.voice,
    };
    let stamp = |minute: i64| {
        let date = sheet.problem.first_day.plus(minute.div_euclid(1440) as i32);
        let (year, month, day) = date.civil();
        format!("{year}-{month:02}-{day:02}T{}", clock(minute))
    };
    let mut rows: Vec<[String; 7]> = gantt
        .by_station
        .iter()
        .flat_map(|row| row.lanes.iter().flatten().map(|bar| (&row.label, bar)))
        .map(|(station, bar)| {
            let (number, name) = view.step(bar).unwrap_or((0, ""));
            let bolts: Vec<String> = bar.bolts.iter().map(|(_, b)| (b + 1).to_string()).collect();
            let number = if number == 0 {
                String::new()
            } else {
                number.to_string()
            };
            [
                stamp(bar.start),
                stamp(bar.end),
                view.lot_name(bar).to_string(),
                bolts.join(" "),
                number,
                name.to_string(),
                station.clone(),
            ]
        })
        .collect();
    rows.sort();
    let head = ["from", "to", "lot", "bolts", "step", "what", "station"].map(str::to_string);
    File::csv("run-sheet.csv", csv_of(std::iter::once(head).chain(rows))).into_response()
}
