//! Colours as JSON: what the cloth shall carry and carries, recipes, lamps, measured samples.

use super::bring::MOST_MEASURED;
use super::{answer, findings, refuse};
use crate::facts::palettes::hex;
use crate::facts::shades::{MOST_DYES, Wanted, colour, dyes, no_colour, samples_of, solve, store};
use crate::studio::Studio;
use crate::studio::known::rests_on;
use crate::studio::lamps::{Moved, moved};
use crate::studio::picture::whole_width;
use crate::studio::reader::Reader;
use crate::studio::shades::{Dyes, Recipes};
use crate::studio::work::{Outcome, tell};
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use cloth::aim::{Change, Seen, Set};
use colour::Illuminant;
use colour::measured::{Scale, Stated};
use colour::plot::hex_of;
use colour::recipe::Recipe;
use serde_json::{Value, json};
use std::sync::Arc;
use words::{Arg, Finding, Place, Voice, Weight, say};
use workspace::Workspace;

/// Regions as the cloth has them now.
pub async fn regions(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    tell(studio, reader, move |studio, reader, _| {
        let workspace = studio.workspace();
        let (design, shop) = of(&workspace, &id, reader.voice)?;
        let seen = studio.regions(&workspace, design, shop);
        let seen = seen.map_err(|all| findings(&all, reader.voice))?;
        Ok(json!({ "regions": seen.iter().map(region).collect::<Value>() }))
    })
    .await
}

/// Recipes for all regions.
pub async fn recipes(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    tell(studio, reader, move |studio, reader, keep_going| {
        let voice = reader.voice;
        let workspace = studio.workspace();
        let (design, shop) = of(&workspace, &id, voice)?;
        let asked = reader.get("dyes").unwrap_or(Dyes::Any.key());
        let dyes = Dyes::ALL.into_iter().find(|dyes| dyes.key() == asked);
        let dyes = dyes.ok_or_else(|| findings(&[no_such_choice(asked)], voice))?;
        let found = studio.recipes(&workspace, design, shop, dyes, voice, keep_going);
        found
            .map(|recipes| recipes_of(&recipes, voice))
            .map_err(|all| findings(&all, voice))
    })
    .await
}

/// How far colours move under the lamps.
pub async fn lamps(State(studio): State<Arc<Studio>>, Path(id): Path<String>, reader: Reader) -> Response {
    tell(studio, reader, move |studio, reader, keep_going| -> Outcome {
        let workspace = studio.workspace();
        let (design, shop) = of(&workspace, &id, reader.voice)?;
        let key = rests_on(&workspace, &id).unwrap_or_default();
        let known = match studio.answers().lamps.get(&key) {
            Some(known) => known,
            None => {
                let (work, cut) = whole_width(design, shop, LOOKED_AT);
                let pictures = studio.kiln().under_lamps(&work, &cut, keep_going);
                let [day, warm, shop] = pictures.map_err(|_| json!([]))?;
                let moves = [moved(&day, &warm), moved(&day, &shop)];
                studio.answers().lamps.put(key, moves)
            }
        };
        let one = |lamp: Illuminant, moved: &Moved| json!({ "lamp": lamp.key(), "mean": moved.mean, "most": moved.most });
        Ok(json!({ "lamps": [one(Illuminant::A, &known[0]), one(Illuminant::F11, &known[1])] }))
    })
    .await
}

/// Pixels across in which colours are compared: as one sees the cloth from some metres.
const LOOKED_AT: f64 = 280.0;

/// Recipes of the store for one colour.
pub async fn shade(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    tell(studio, reader, move |studio, reader, _| {
        let voice = reader.voice;
        let refused = |all: Vec<Finding>| findings(&all, voice);
        let text = reader.get("target").unwrap_or("").trim();
        let target = colour(text).unwrap_or_else(|| Err(no_colour(text)));
        let wanted = Wanted {
            name: text.to_string(),
            target: target.map_err(|f| refused(vec![f]))?,
        };
        let workspace = studio.workspace();
        let store = store(&workspace, MOST_DYES).map_err(refused)?;
        let shades = solve(&store, vec![wanted], None).map_err(refused)?;
        let all = shades.iter().flat_map(|shade| &shade.recipes);
        Ok(json!({ "recipes": all.map(|one| recipe(one, &workspace)).collect::<Value>() }))
    })
    .await
}

fn recipe(recipe: &Recipe, workspace: &Workspace) -> Value {
    let cards = dyes(workspace);
    let parts: Value = recipe
        .parts
        .iter()
        .map(|part| {
            let dye = cards.get(part.jar).map(|card| card.id.as_str());
            json!({ "dye": dye, "bound_g_per_kg": part.bound, "charged_g_per_kg": part.charged })
        })
        .collect();
    json!({
        "dyes": parts,
        "lab": [recipe.lab.l, recipe.lab.a, recipe.lab.b],
        "screen": hex_of(recipe.lab),
        "daylight": recipe.daylight,
        "lights": recipe.lights,
        "metamerism": recipe.metamerism,
        "cost": recipe.cost.as_ref().map(|cost| json!({ "amount": cost.amount, "currency": cost.currency })),
        "wash_off_g_per_kg": recipe.wash_off,
    })
}

/// Samples of a file of measurements: `?file=`, the body is the file.
pub async fn measured(reader: Reader, body: Result<Bytes, BytesRejection>) -> Response {
    let Ok(body) = body else {
        return refuse(StatusCode::PAYLOAD_TOO_LARGE, &[too_large()], &reader);
    };
    let job = tokio::task::spawn_blocking(move || {
        let voice = reader.voice;
        let name = reader.get("file").unwrap_or("").to_string();
        let Ok(text) = std::str::from_utf8(&body) else {
            return refuse(StatusCode::UNPROCESSABLE_ENTITY, &[not_text()], &reader);
        };
        let stated = Stated {
            scale: match reader.get("scale") {
                Some("percent") => Some(Scale::Percent),
                Some("fraction") => Some(Scale::Fraction),
                _ => None,
            },
            viewing: None,
        };
        match samples_of(text, &name, stated) {
            Ok((samples, more)) => {
                let one = |wanted: &Wanted| {
                    let lab = wanted.target.lab();
                    json!({ "name": wanted.name, "lab": [lab.l, lab.a, lab.b], "screen": hex_of(lab) })
                };
                let samples: Value = samples.iter().map(one).collect();
                let body = json!({ "samples": samples, "findings": findings(&more, voice) });
                answer(StatusCode::OK, &body)
            }
            Err(all) => refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader),
        }
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

/// A design that can be made, and the workshop.
pub(super) fn of<'a>(
    workspace: &'a Workspace,
    id: &str,
    voice: Voice,
) -> Result<(&'a Arc<route::Design>, &'a route::Workshop), Value> {
    let missing = || {
        let found = say!(
            "there is no design {design} that can be made",
            "tidak ada desain {design} yang dapat dibuat",
            design = short(id)
        );
        findings(
            &[Finding::new(
                "no-such-design",
                Weight::Wrong,
                Place::Request,
                found,
            )],
            voice,
        )
    };
    let design = workspace.design(id).ok_or_else(missing)?;
    Ok((design, workspace.workshop.as_ref().ok_or_else(missing)?))
}

fn region(seen: &Seen) -> Value {
    json!({
        "name": seen.name,
        "target": seen.target.map(|t| [t.l, t.a, t.b]),
        "lab": [seen.lab.l, seen.lab.a, seen.lab.b],
        "screen": hex_of(seen.lab),
        "difference": seen.difference,
        "tolerance": seen.tolerance,
        "palette_distance": seen.palette_distance,
        "share": seen.share,
        "nearest": seen.nearest.map(|(lab, off)| json!({ "screen": hex(lab), "difference": off })),
    })
}

fn recipes_of(recipes: &Recipes, voice: Voice) -> Value {
    let solved = &recipes.solved;
    let change = |change: &Change| match &change.to {
        Set::Time(time) => json!({ "step": change.step, "setting": change.key, "time": time.spelled }),
        Set::Dyes(dyes) => {
            let dyes: Value = dyes
                .iter()
                .map(|(id, depth)| json!({ "dye": id, "depth": depth.spelled }))
                .collect();
            json!({ "step": change.step, "setting": change.key, "dyes": dyes })
        }
    };
    json!({
        "dyes": recipes.dyes.key(),
        "mean_difference": recipes.mean(),
        "regions": solved.regions.iter().map(region).collect::<Value>(),
        "changes": solved.changes.iter().map(change).collect::<Value>(),
        "findings": findings(&solved.findings, voice),
    })
}

fn short(text: &str) -> Arg {
    Arg::Name(text.chars().filter(|c| !c.is_control()).take(60).collect())
}

fn no_such_choice(found: &str) -> Finding {
    let found = say!(
        "dyes is \"{found}\"",
        "dyes diisi \"{found}\"",
        found = short(found)
    );
    Finding::new("no-such-choice", Weight::Wrong, Place::Request, found).allow(say!(
        "{any} or {same}",
        "{any} atau {same}",
        any = Arg::Name(Dyes::Any.key().into()),
        same = Arg::Name(Dyes::Same.key().into())
    ))
}

fn too_large() -> Finding {
    let found = say!("this file is too large", "berkas ini terlalu besar");
    Finding::new("file-too-large", Weight::Wrong, Place::Request, found).allow(say!(
        "measurements up to {mb} MB",
        "hasil ukur sampai {mb} MB",
        mb = Arg::Number((MOST_MEASURED >> 20) as f64, 0)
    ))
}

fn not_text() -> Finding {
    let found = say!("this file is not UTF-8 text", "berkas ini bukan teks UTF-8");
    Finding::new("not-utf8", Weight::Wrong, Place::Request, found).remedy(say!(
        "save the measurements as text with commas",
        "simpan hasil ukur sebagai teks berpemisah koma"
    ))
}
