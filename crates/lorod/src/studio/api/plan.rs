//! The plan by JSON: one of the ways to go on from a day becomes the plan, and that is undone.

use super::change::{Made, Refusal, if_match, on_a_thread};
use crate::facts::replan::Way as GoOn;
use crate::studio::Studio;
use crate::studio::history::{Done, NotDone, Way, one};
use crate::studio::pages::run::chosen_text;
use crate::studio::reader::Reader;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;
use words::{Arg, Finding, Place, Weight, say};

/// What becomes the plan.
#[derive(Debug, Deserialize)]
#[serde(tag = "way", rename_all = "kebab-case", deny_unknown_fields)]
enum Asked {
    /// A way to go on from the morning of a day, as the run sheet showed it.
    Keep(Morning),
    /// Another.
    Some(Morning),
    /// Another.
    Best(Morning),
    /// None: everything is planned anew.
    Anew,
}

/// A day and the hours in which its yard can be used.
#[derive(Debug, Deserialize)]
struct Morning {
    day: String,
    opens: String,
    closes: String,
}

/// Makes a way to go on the plan.
pub async fn choose(State(studio): State<Arc<Studio>>, reader: Reader, body: Bytes) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let asked: Asked = serde_json::from_slice(&body).map_err(|error| {
            let found = say!(
                "this chooses no plan: {why}",
                "ini tidak memilih rencana: {why}",
                why = Arg::Name(error.to_string())
            );
            let finding = Finding::new("not-a-choice", Weight::Wrong, Place::Request, found);
            Refusal::Request(StatusCode::BAD_REQUEST, finding)
        })?;
        let hash = if_match(reader)?;
        let (way, morning) = match asked {
            Asked::Anew => return made(studio.choose_plan(&hash, "")),
            Asked::Keep(morning) => (GoOn::Keep, morning),
            Asked::Some(morning) => (GoOn::Some, morning),
            Asked::Best(morning) => (GoOn::Best, morning),
        };
        // What the page showed rests on the plan that it showed.
        let now = studio.chosen_plan().hash;
        if now != hash {
            return made(Err(NotDone::Stale {
                now,
                differences: None,
            }));
        }
        let text = chosen_text(
            studio,
            [&morning.day, &morning.opens, &morning.closes],
            way,
            reader.voice,
        );
        made(studio.choose_plan(&hash, &text.map_err(one)?))
    })
    .await
}

/// Takes back what was chosen last.
pub async fn undo(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    go(studio, reader, Way::Back).await
}

/// Chooses it again.
pub async fn redo(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    go(studio, reader, Way::On).await
}

async fn go(studio: Arc<Studio>, reader: Reader, way: Way) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let hash = if_match(reader)?;
        made(studio.choose_again(&hash, way))
    })
    .await
}

fn made(done: Result<Done, NotDone>) -> Made {
    let done = done?;
    let body = json!({ "hash": done.hash, "undo": done.depth[0], "redo": done.depth[1], "href": "/run" });
    Ok((StatusCode::OK, body))
}
