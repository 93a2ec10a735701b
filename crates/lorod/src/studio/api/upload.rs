//! A new design from a drawing, and a new order of one.

use super::{answer, refuse};
use crate::studio::Studio;
use crate::studio::reader::{Reader, escape};
use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;
use units::{Length, Measure, parse_as};
use words::{Arg, Finding, Place, Weight, finding_of, say};
use workspace::{NewOrder, NotDone, add_design, add_order};

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

/// An order as a page sends it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ordered {
    design: String,
    bolts: String,
    due: String,
    buyer: String,
}

/// Makes an order.
pub async fn new_order(State(studio): State<Arc<Studio>>, reader: Reader, body: Bytes) -> Response {
    let job = tokio::task::spawn_blocking(move || {
        let asked: Ordered = match serde_json::from_slice(&body) {
            Ok(asked) => asked,
            Err(error) => {
                return refuse(
                    StatusCode::BAD_REQUEST,
                    &[not_an_order(&error.to_string())],
                    &reader,
                );
            }
        };
        let new = NewOrder {
            design: &asked.design,
            bolts: &asked.bolts,
            due: &asked.due,
            buyer: &asked.buyer,
        };
        match add_order(&studio.workspace(), &new) {
            Ok(id) => answer(StatusCode::CREATED, &json!({ "id": id, "href": "/run" })),
            Err(NotDone::Findings(all)) => refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader),
            Err(NotDone::Io(error)) => refuse(StatusCode::CONFLICT, &[error.finding()], &reader),
        }
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

fn not_an_order(why: &str) -> Finding {
    Finding::new(
        "not-an-order",
        Weight::Wrong,
        Place::Request,
        say!(
            "this is not an order: {why}",
            "ini bukan pesanan: {why}",
            why = Arg::Name(why.to_string())
        ),
    )
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
