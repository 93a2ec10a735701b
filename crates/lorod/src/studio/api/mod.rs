//! The studio's JSON: everything that pages change or ask for without being a page. All of it lies below `/api`.
//!
//! `table.rs` is the list: every address with what it takes and answers; `files.rs` lists the files that pages hand out
//! elsewhere. The router and the description at `GET /api` (OpenAPI 3.1) are made from both, and from what each page
//! says that it hands out as tables (`studio/data`).
//!
//! A refusal is `{"findings": [...]}` with 422; with 409 it tells what else has changed since (`differences`) and the
//! hash now; without `If-Match` it is 428. Changes need the start token, see the guard.

mod bring;
mod change;
mod describe;
mod design;
mod files;
mod lessons;
mod photo;
mod plan;
mod shades;
mod shelf;
mod table;
mod upload;
mod window;

pub use change::with_point;
pub use files::routes as file_routes;

use super::Studio;
use super::reader::Reader;
use super::say::{said, stitch, t};
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};
use std::sync::Arc;
use words::{Finding, Place, Voice};

/// Largest drawing that is taken, bytes.
const MOST_DRAWING: usize = 16 << 20;

/// All of it.
pub fn routes() -> Router<Arc<Studio>> {
    table::TABLE.iter().fold(Router::new(), |router, entry| {
        router.route(entry.path, (entry.serve)())
    })
}

/// What an address, as the description spells it, may ask after `?`.
pub fn query_of(path: &str) -> &'static [(&'static str, &'static str)] {
    describe::entries()
        .find(|(whole, _)| whole == path)
        .map_or(&[], |(_, entry)| entry.query)
}

/// That the studio is there. A page that finds another start reads itself anew.
async fn alive(State(studio): State<Arc<Studio>>) -> Response {
    answer(StatusCode::OK, &json!({ "start": studio.start() }))
}

/// Reads every design along its route, if that was not done.
async fn read(State(studio): State<Arc<Studio>>) -> Response {
    let job = tokio::task::spawn_blocking(move || {
        let workspace = studio.workspace();
        super::design::hung(&studio, &workspace).len()
    });
    let designs = job.await.unwrap_or(0);
    answer(StatusCode::OK, &json!({ "designs": designs }))
}

/// JSON with a status.
fn answer(status: StatusCode, body: &Value) -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (status, kind, body.to_string()).into_response()
}

/// Findings as JSON, in the reader's language and units.
fn findings(findings: &[Finding], voice: Voice) -> Value {
    findings.iter().map(|one| finding(one, voice)).collect()
}

fn finding(finding: &Finding, voice: Voice) -> Value {
    let (weight, word) = stitch(finding.weight);
    let line = |line: &Option<words::Line>| line.as_ref().map(|l| said(l, voice));
    let (step, setting) = match &finding.place {
        Place::Step { id, setting } => (Some(id.as_str()), *setting),
        _ => (None, None),
    };
    json!({
        "code": finding.code,
        "weight": weight,
        "word": t(word, voice),
        "found": said(&finding.found, voice),
        "allowed": line(&finding.allowed),
        "remedy": line(&finding.remedy),
        "step": step,
        "setting": setting,
    })
}

fn refuse(status: StatusCode, all: &[Finding], reader: &Reader) -> Response {
    answer(status, &json!({ "findings": findings(all, reader.voice) }))
}
