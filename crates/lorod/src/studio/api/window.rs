//! Windows of timed steps and the tank of a bleach as JSON.

use super::shades::of;
use super::{answer, findings, refuse};
use crate::facts::tank::{Known, tank};
use crate::facts::window::{Found, steps};
use crate::studio::Studio;
use crate::studio::reader::Reader;
use crate::studio::windows::{approved, limits, seen};
use crate::studio::work::tell;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use cloth::window::{Advice, Window};
use serde_json::{Value, json};
use std::sync::Arc;
use words::Voice;

/// The window of a step.
pub async fn window(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    tell(studio, reader, move |studio, reader, keep_going| {
        let voice = reader.voice;
        let refused = |all: Vec<words::Finding>| findings(&all, voice);
        let limits = limits(reader).map_err(refused)?;
        let workspace = studio.workspace();
        let (design, shop) = of(&workspace, &id, voice)?;
        let approved = approved(&workspace, reader).map_err(refused)?;
        let found = studio.window(
            &workspace,
            design,
            shop,
            reader.get("step"),
            approved.as_ref(),
            keep_going,
        );
        let found = found.map_err(refused)?;
        Ok(told(&found, &found.with(&limits), voice))
    })
    .await
}

/// Where the rates are assumed there is no time in it but the design's.
fn told(found: &Found, window: &Window, voice: Voice) -> Value {
    let timed = !matches!(window.advice, Advice::DoThisStrip { .. });
    let (advice, times) = match &window.advice {
        Advice::Pull {
            earliest,
            best,
            latest,
            chance,
        } => (
            "pull",
            [*earliest, Some(*best), *latest]
                .map(|t| t.map(|t| t.0))
                .into_iter()
                .chain([Some(*chance)])
                .collect(),
        ),
        Advice::Closed { best, chance } => ("closed", vec![None, Some(best.0), None, Some(*chance)]),
        Advice::DoThisStrip { .. } => ("do-this-strip", vec![None; 4]),
        Advice::Indifferent => ("indifferent", vec![None; 4]),
    };
    let at = |n: usize| times.get(n).copied().flatten();
    let curves: Value = window
        .hill
        .points
        .iter()
        .map(|point| {
            json!({
                "time": timed.then_some(point.time.0),
                "pass": timed.then_some(point.pass),
                "ground": point.ground,
                "motif": point.motif,
                "line": point.line,
            })
        })
        .collect();
    let widen: Value = window
        .widen
        .iter()
        .map(|one| json!({ "what": one.what.say(voice), "gain": one.gain.0, "opens": one.opens }))
        .collect();
    let others: Value = steps(&found.design)
        .iter()
        .map(|step| json!({ "id": step.id, "number": step.number, "operation": step.term.key }))
        .collect();
    json!({
        "design": found.design.id,
        "step": found.step.id,
        "operation": found.step.term.key,
        "designed": found.step.designed.0,
        "approved": found.approved.as_ref().map(|approved| &approved.files),
        "advice": advice,
        "answer": window.answer(voice),
        "earliest": at(0),
        "best": at(1),
        "latest": at(2),
        "chance": at(3),
        "curves": curves,
        "widen": widen,
        "small_print": window.small_print(voice),
        "steps": others,
    })
}

/// Which tank.
pub const BLEACH: (&str, &str) = ("step", "which bleach, by id or number; the first unless said");

/// Times at the tank.
pub async fn at_the_tank(
    State(studio): State<Arc<Studio>>,
    Path(id): Path<String>,
    reader: Reader,
) -> Response {
    let job = tokio::task::spawn_blocking(move || {
        let voice = reader.voice;
        let workspace = studio.workspace();
        let (design, shop) = match of(&workspace, &id, voice) {
            Ok(found) => found,
            Err(findings) => return answer(StatusCode::NOT_FOUND, &json!({ "findings": findings })),
        };
        let sheets = seen(&reader).and_then(|seen| {
            let tank = tank(design, shop, reader.get("step")).map_err(|finding| vec![finding])?;
            Ok(tank.sheets(&seen, shop))
        });
        let sheets = match sheets {
            Ok(sheets) => sheets,
            Err(all) => return refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader),
        };
        let batches: Value = sheets
            .batches
            .iter()
            .map(|batch| {
                json!({
                    "number": batch.number, "chlorine": batch.chlorine, "add": batch.add,
                    "lift": batch.strengthened_time.0,
                    "line": sheets.line_left(batch.strengthened_time).map(|(left, _)| left.to_mm()), "dump": batch.dump,
                })
            })
            .collect();
        let known = match sheets.known {
            Known::ByStrip => "strip",
            Known::ByRates => "rates",
            Known::Not => "nothing",
        };
        let body = json!({
            "design": id,
            "step": sheets.tank.id,
            "chlorine": sheets.now.chlorine,
            "titrated": sheets.titrated,
            "temperature": sheets.now.temperature.0,
            "known_by": known,
            "clear": sheets.strip.map(|read| read.clear.0),
            "lift": sheets.strip.map(|read| read.lift.0),
            "longest": sheets.longest.map(|t| t.0),
            "strengthen": sheets.strengthen,
            "batches": batches,
            "tub": {
                "bolts": sheets.tank.bolts,
                "strength": sheets.tub.strength,
                "strength_by": sheets.tub.by.key(),
                "antichlor": sheets.tub.load.0,
                "bolt_per_strength": sheets.tub.bolt_per_strength.0,
            },
        });
        answer(StatusCode::OK, &body)
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}
