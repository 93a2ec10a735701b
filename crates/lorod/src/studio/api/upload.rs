//! A new design from a drawing.

use super::{answer, refuse};
use crate::studio::Studio;
use crate::studio::reader::{Reader, escape};
use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::response::Response;
use serde_json::json;
use std::sync::Arc;
use units::{Length, Measure, parse_as};
use words::{Arg, Finding, Place, Weight, finding_of, say};
use workspace::{NotDone, add_design};

/// Makes it: `?name=&width=&file=`, the body is the SVG.
pub async fn new_design(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    let Ok(body) = body else {
        return refuse(StatusCode::PAYLOAD_TOO_LARGE, &[too_large()], &reader);
    };
    let job = tokio::task::spawn_blocking(move || {
        let word = |key: &str| reader.get(key).unwrap_or("").trim().to_string();
        let (name, file) = (word("name"), word("file"));
        let width = match parse_as(&word("width"), Measure::Length) {
            Ok(typed) => Length(typed.quantity.si),
            Err(problem) => {
                let finding = finding_of(
                    &problem,
                    Place::Step {
                        id: String::new(),
                        setting: Some("width"),
                    },
                );
                return refuse(StatusCode::UNPROCESSABLE_ENTITY, &[finding], &reader);
            }
        };
        match add_design(&studio.workspace(), &name, &body, &file, width) {
            Ok(id) => {
                let href = format!("/design/{}", escape(&id));
                answer(StatusCode::CREATED, &json!({ "id": id, "href": href }))
            }
            Err(NotDone::Findings(all)) => refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader),
            Err(NotDone::Io(error)) => refuse(StatusCode::CONFLICT, &[error.finding()], &reader),
        }
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

/// A drawing that is not even read.
pub fn too_large() -> Finding {
    Finding::new(
        "drawing-too-large",
        Weight::Wrong,
        Place::Request,
        say!("this file is too large", "berkas ini terlalu besar"),
    )
    .allow(say!(
        "drawings up to {mb} MB",
        "gambar sampai {mb} MB",
        mb = Arg::Number((super::MOST_DRAWING >> 20) as f64, 0)
    ))
    .remedy(say!(
        "save the drawing without pictures inside it",
        "simpan gambar tanpa foto di dalamnya"
    ))
}
