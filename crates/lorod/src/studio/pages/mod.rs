//! The pages, one module each.

pub mod baths;
pub mod cloth;
mod fields;
pub mod folder;
pub mod learned;
pub mod line;
mod look;
pub mod lot;
mod narrow;
pub mod needs;
pub mod onward;
pub mod pack;
pub mod papers;
pub mod photographs;
pub mod pick;
pub mod price;
pub mod run;
pub mod season;
pub mod shade;
pub mod shades;
pub mod shelf;
pub mod stamp;
pub mod start;
mod step;
mod strip;
mod tank;
mod tour;
pub mod windows;
mod wound;

pub use crate::facts::views::day_name;

use super::Studio;
use super::page::{PAGES, Page};
use super::reader::Reader;
use super::say::trouble;
use super::work::teller;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use std::sync::Arc;
use words::{Arg, Finding, Place, Weight, say, text};
use workspace::Workspace;

/// Builds a page on a worker thread: following a route takes some milliseconds, reading files more.
async fn build(
    studio: Arc<Studio>,
    reader: Reader,
    make: impl FnOnce(&Studio, &Workspace, &Reader) -> Response + Send + 'static,
) -> Response {
    let job = tokio::task::spawn_blocking(move || {
        let workspace = studio.workspace();
        make(&studio, &workspace, &reader)
    });
    job.await
        .unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

/// Every page of the list at its address.
pub fn routes() -> Router<Arc<Studio>> {
    let serve = |page: &'static Page| {
        get(move |State(studio): State<Arc<Studio>>, reader: Reader| build(studio, reader, page.make))
    };
    PAGES
        .iter()
        .fold(Router::new(), |router, page| router.route(page.path, serve(page)))
}

/// The palette of a design after a step, as a piece of a page.
pub async fn winding(
    State(studio): State<Arc<Studio>>,
    Path(design): Path<String>,
    reader: Reader,
) -> Response {
    let workspace = studio.look().await;
    let Some(work) = cloth::work(&studio, &workspace, &design, &reader) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    match studio.kiln().winding(work).await {
        Ok(winding) => wound::wound(&winding, reader.voice).into_response(),
        Err(_) => StatusCode::SERVICE_UNAVAILABLE.into_response(),
    }
}

/// The late orders as a piece of a page: making the plan may take seconds, and the line does not wait for it.
pub async fn late(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    if let Err(status) = run::plan(&studio).await {
        return status.into_response();
    }
    build(studio, reader, |studio, workspace, reader| {
        needs::piece(studio, workspace, reader).into_response()
    })
    .await
}

/// The folder as one archive.
pub async fn archive(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    build(studio, reader, folder::archive).await
}

/// The narrow windows as a piece of a page; they take a second or two each.
pub async fn narrow(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    let kiln = studio.kiln().clone();
    let work = move |keep_going: super::kiln::KeepGoing| {
        let workspace = studio.workspace();
        narrow::piece(&studio, &workspace, &reader, keep_going).into_response()
    };
    let piece = kiln.long(teller(), work).await;
    piece.unwrap_or_else(|_| StatusCode::SERVICE_UNAVAILABLE.into_response())
}

/// One paper as PDF.
pub async fn paper(State(studio): State<Arc<Studio>>, Path(paper): Path<String>, reader: Reader) -> Response {
    build(studio, reader, move |studio, workspace, reader| {
        papers::print(studio, workspace, reader, &paper)
    })
    .await
}

/// 404 as a page.
pub async fn nothing_here(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    let finding = Finding::new(
        "no-such-page",
        Weight::Wrong,
        Place::Request,
        say!(
            "there is no page {path}",
            "tidak ada halaman {path}",
            path = short(&reader.path)
        ),
    );
    missing(&studio, &reader, &finding)
}

fn missing(studio: &Studio, reader: &Reader, finding: &Finding) -> Response {
    let title = text!("Not on this line", "Tidak ada di jemuran ini");
    trouble(
        studio,
        reader,
        StatusCode::NOT_FOUND,
        title,
        std::slice::from_ref(finding),
    )
}

fn no_design(studio: &Studio, reader: &Reader, id: &str) -> Response {
    let finding = Finding::new(
        "no-such-design",
        Weight::Wrong,
        Place::Request,
        say!(
            "there is no design {design}",
            "tidak ada desain {design}",
            design = short(id)
        ),
    );
    missing(studio, reader, &finding)
}

pub(super) fn short(text: &str) -> Arg {
    Arg::Name(text.chars().filter(|c| !c.is_control()).take(60).collect())
}
