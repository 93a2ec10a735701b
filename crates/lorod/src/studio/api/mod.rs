//! The studio's JSON: everything that pages change or ask for without being a page. All of it lies below `/api`.
//!
//! | address | what |
//! | --- | --- |
//! | `GET /api/alive` | that the studio is there, and which start of it |
//! | `GET /api/read` | answers when every design was read along its route |
//! | `GET /api/kinds` | every operation with its settings |
//! | `GET /api/design/{id}` | a design: hash, settings, findings, marks of its pictures |
//! | `POST /api/design/{id}/change` | one change; `If-Match` holds the hash that the page shows |
//! | `POST /api/design/{id}/try` | what a change would find; nothing is written |
//! | `POST /api/design/{id}/undo`, `/redo` | with `If-Match` |
//! | `POST /api/design/{id}/colourway` | a copy under a new id |
//! | `POST /api/designs?name=&width=&file=` | a new design; the body is the drawing |
//!
//! A refusal is `{"findings": [...]}` with 422; with 409 it tells what else has changed since (`differences`) and the
//! hash now; without `If-Match` it is 428. Changes need the start token, see the guard.

mod change;
mod design;
mod upload;

use super::Studio;
use super::reader::Reader;
use super::say::{said, stitch, t};
use axum::Router;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use serde_json::{Value, json};
use std::sync::Arc;
use words::{Finding, Place, Voice};

/// Largest drawing that is taken, bytes.
const MOST_DRAWING: usize = 16 << 20;

/// All of it.
pub fn routes() -> Router<Arc<Studio>> {
    Router::new()
        .route("/alive", get(alive))
        .route("/read", get(read))
        .route("/kinds", get(design::kinds))
        .route("/design/{id}", get(design::view))
        .route("/design/{id}/change", post(change::change))
        .route("/design/{id}/try", post(change::try_change))
        .route("/design/{id}/undo", post(change::undo))
        .route("/design/{id}/redo", post(change::redo))
        .route("/design/{id}/colourway", post(change::colourway))
        .route(
            "/designs",
            post(upload::new_design).layer(DefaultBodyLimit::max(MOST_DRAWING)),
        )
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
