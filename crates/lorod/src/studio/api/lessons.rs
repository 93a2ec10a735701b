//! What was measured here, by JSON: written into the files that the studio counts with, and taken back.

use super::change::{Made, if_match, on_a_thread};
use crate::studio::Studio;
use crate::studio::history::{Done, NotDone, Way};
use crate::studio::reader::Reader;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde_json::json;
use std::sync::Arc;

/// Writes what is not in use yet.
pub async fn write(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    on_a_thread(studio, reader, |studio, reader| {
        made(studio.learn(&if_match(reader)?))
    })
    .await
}

/// Takes back what was written last.
pub async fn undo(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    go(studio, reader, Way::Back).await
}

/// Writes it again.
pub async fn redo(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    go(studio, reader, Way::On).await
}

async fn go(studio: Arc<Studio>, reader: Reader, way: Way) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        made(studio.learn_again(&if_match(reader)?, way))
    })
    .await
}

fn made(done: Result<Done, NotDone>) -> Made {
    let done = done?;
    let body = json!({ "hash": done.hash, "undo": done.depth[0], "redo": done.depth[1], "href": "/learned" });
    Ok((StatusCode::OK, body))
}
