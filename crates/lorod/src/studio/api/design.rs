//! Designs and operations as JSON.

use super::{answer, findings};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::design::{Along, dye_colour};
use crate::studio::names::hash;
use crate::studio::picture::mark;
use crate::studio::reader::Reader;
use crate::studio::say::t;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use route::{Design, Kind, OPERATIONS, Setting, Shape, Step, Value as Held};
use serde_json::{Value, json};
use std::sync::Arc;
use units::{Measure, Quantity};
use words::Voice;

/// Every operation with its settings.
pub async fn kinds(State(_): State<Arc<Studio>>, reader: Reader) -> Response {
    let all: Value = OPERATIONS.iter().map(|k| kind(k, reader.voice)).collect();
    answer(StatusCode::OK, &json!({ "kinds": all }))
}

fn kind(kind: &Kind, voice: Voice) -> Value {
    let settings: Value = kind.settings.iter().map(|s| setting(s, voice)).collect();
    json!({
        "key": kind.key,
        "name": t(&kind.term.text, voice),
        "gloss": t(&kind.term.gloss, voice),
        "settings": settings,
    })
}

/// A setting of the table: what it holds, what is allowed, the usual value and where that comes from.
fn setting(setting: &Setting, voice: Voice) -> Value {
    let said = |si: f64, measure: Measure| voice.quantity(Quantity::new(si, measure));
    let shape = match setting.shape {
        Shape::Quantity { measure, least, most } => json!({
            "is": "quantity", "measure": measure.name(),
            "least": said(least, measure), "most": said(most, measure),
        }),
        Shape::Choice(terms) => {
            let words: Value = terms
                .iter()
                .map(|term| json!({ "key": term.key, "name": t(&term.text, voice) }))
                .collect();
            json!({ "is": "choice", "words": words })
        }
        Shape::Dyes {
            least,
            most,
            depth,
            deepest,
        } => json!({
            "is": "dyes", "least": least, "most": most,
            "measure": depth.name(), "deepest": said(deepest, depth),
        }),
        Shape::Stamp => json!({ "is": "stamp" }),
    };
    json!({
        "key": setting.key,
        "name": t(&setting.term.text, voice),
        "gloss": t(&setting.term.gloss, voice),
        "shape": shape,
        "usual": setting.default,
        "source": setting.source,
    })
}

/// One design.
pub async fn view(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    let job = tokio::task::spawn_blocking(move || {
        let workspace = studio.workspace();
        let Some(file) = workspace.design_file(&id) else {
            return answer(StatusCode::NOT_FOUND, &json!({}));
        };
        let voice = reader.voice;
        let [undo, redo] = studio.depth(&id);
        let source = workspace.source(&file.path);
        let mut body = json!({
            "id": id,
            "hash": source.map(|source| hex(&source.hash)),
            "undo": undo,
            "redo": redo,
            "findings": findings(&file.findings, voice),
        });
        if let (Some(design), Some(whole)) = (&file.design, body.as_object_mut()) {
            let along = workspace.workshop.as_ref().map(|shop| studio.along(design, shop));
            let steps: Value = design
                .steps
                .iter()
                .enumerate()
                .map(|(at, one)| step(&studio, design, along.as_deref(), at, one, voice))
                .collect();
            let dyes: Value = design
                .dyes
                .iter()
                .map(|card| json!({ "id": card.id, "name": card.name, "colour": hash(dye_colour(card)) }))
                .collect();
            let stamps: Value = design
                .stamps
                .iter()
                .map(|used| json!({ "id": used.id }))
                .collect();
            let cloth = [
                ("width", design.cloth.width.0, Measure::Length),
                ("length", design.cloth.length.0, Measure::Length),
                ("weight", design.cloth.weight, Measure::PerArea),
            ];
            let cloth: Value = cloth
                .iter()
                .map(|(key, si, measure)| {
                    (
                        (*key).to_string(),
                        voice.quantity(Quantity::new(*si, *measure)).into(),
                    )
                })
                .collect::<serde_json::Map<_, _>>()
                .into();
            for (key, value) in [
                ("name", design.name.clone().into()),
                ("colourway", design.colourway.clone().into()),
                ("note", design.note.clone().into()),
                ("cloth", cloth),
                ("steps", steps),
                ("dyes", dyes),
                ("stamps", stamps),
            ] {
                whole.insert(key.to_string(), value);
            }
        }
        answer(StatusCode::OK, &body)
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

fn step(
    studio: &Studio,
    design: &Design,
    along: Option<&Along>,
    at: usize,
    step: &Step,
    voice: Voice,
) -> Value {
    let found: Vec<words::Finding> =
        along.map_or_else(Vec::new, |along| along.at(at).into_iter().cloned().collect());
    let settings: serde_json::Map<String, Value> = step
        .operation
        .values()
        .iter()
        .map(|(key, value)| ((*key).to_string(), held(value, design)))
        .collect();
    json!({
        "id": step.id,
        "kind": step.operation.kind().key,
        "name": t(&step.operation.kind().term.text, voice),
        "mark": mark(studio, design, &step.id),
        "settings": settings,
        "findings": findings(&found, voice),
    })
}

/// A value as its author spelled it.
fn held(value: &Held, design: &Design) -> Value {
    match value {
        Held::Quantity(typed) => typed.spelled.clone().into(),
        Held::Choice(word) => (*word).into(),
        Held::Dyes(doses) => doses
            .iter()
            .map(|dose| {
                let dye = design.dyes.get(dose.dye).map(|card| card.id.as_str());
                json!({ "dye": dye, "depth": dose.depth.spelled })
            })
            .collect(),
        Held::Stamp(at) => design.stamps.get(*at).map(|used| used.id.as_str()).into(),
    }
}
