//! The plan as pages know it: made in the background, kept until a file changes, with what each lot waits for.

use super::PAGE;
use super::waits::{Waits, waits};
use crate::facts::followed::mark;
use crate::facts::plan::Planned;
use crate::facts::sure::{Sure, sure};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::frame::{self, Here};
use crate::studio::parts::work;
use crate::studio::reader::Reader;
use crate::studio::say::t;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::html;
use std::sync::Arc;
use words::{Finding, text};
use workspace::Workspace;

/// Replays that say how sure each promise is.
const REPLAYS: u32 = 400;

/// A plan, and what each of its lots waits for.
pub struct Made {
    /// The plan.
    pub planned: Arc<Planned>,
    /// For every lot.
    pub waits: Vec<Waits>,
}

/// What came of making it.
pub type Outcome = Result<Made, Vec<Finding>>;

/// Everything that a plan depends on.
pub fn plan_name(workspace: &Workspace) -> String {
    let hashes = workspace.sources.iter().map(|source| hex(&source.hash[..8]));
    let chosen = hex(&mark(&workspace.dir)[..8]);
    format!("plan {}{chosen}", hashes.collect::<String>())
}

/// What the replays of a plan depend on.
fn sure_name(workspace: &Workspace) -> String {
    format!("sure {}", plan_name(workspace))
}

/// Makes it.
pub fn make(studio: &Studio, workspace: &Workspace, go_on: &dyn Fn(f64) -> bool) -> Outcome {
    let planned = studio.facts().plan(workspace, go_on)?;
    let waits = waits(&planned.mapped.problem, &planned.schedule);
    Ok(Made { planned, waits })
}

/// Makes the plan, unless it is made.
///
/// # Errors
/// The status to answer with where that ended early.
pub async fn plan(studio: &Arc<Studio>) -> Result<Arc<Outcome>, StatusCode> {
    let workspace = studio.look().await;
    let (maker, name) = (studio.clone(), plan_name(&workspace));
    // What keeps a plan from being made is told on the page.
    let work = move |go_on: &dyn Fn(f64) -> bool| make(&maker, &workspace, go_on);
    studio.bench().ask(&name, work).await
}

/// How sure its promises are, if that was worked out.
pub fn known_sure(studio: &Studio, workspace: &Workspace) -> Option<Arc<Option<Sure>>> {
    studio.bench().known(&sure_name(workspace))
}

/// Plays the plan, unless it was played; `None` where it is not whole.
///
/// # Errors
/// The status to answer with where that ended early.
pub async fn play(studio: &Arc<Studio>) -> Result<Arc<Option<Sure>>, StatusCode> {
    let made = plan(studio).await?;
    let workspace = studio.look().await;
    let name = sure_name(&workspace);
    let work = move |go_on: &dyn Fn(f64) -> bool| {
        let planned = &made.as_ref().as_ref().ok()?.planned;
        let played = std::cell::Cell::new(0u32);
        let keep_going = || {
            played.set(played.get() + 1);
            go_on(f64::from(played.get()) / f64::from(REPLAYS))
        };
        sure(
            &workspace,
            &planned.mapped,
            &planned.schedule,
            0,
            REPLAYS,
            &keep_going,
        )
    };
    studio.bench().ask(&name, work).await
}

/// The page while the plan is made.
pub fn being_made(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let said = t(text!("The plan is being made", "Rencana sedang disusun"), voice);
    let body = html! {
        div.wrap.head { div { h1 { (t(text!("Will the orders leave on time?", "Apakah pesanan selesai tepat waktu?"), voice)) } } }
        section.wrap.after { div.mori { (work("/run/made", said, None, &reader.here(&[("now", "1")]), voice)) } }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// Whether the plan is made; the page is then read anew.
pub async fn made(State(studio): State<Arc<Studio>>) -> Response {
    match plan(&studio).await {
        Ok(_) => html! { p data-again="" {} }.into_response(),
        Err(status) => status.into_response(),
    }
}
