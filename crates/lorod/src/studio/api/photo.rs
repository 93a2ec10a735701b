//! Photographs by JSON: a picture is kept if it can be read, and what is marked on it is written beside it.

use super::bring::{put, take};
use super::{answer, findings, refuse};
use crate::facts::seen;
use crate::studio::Studio;
use crate::studio::api::with_point;
use crate::studio::photographs::{MOST_PHOTOGRAPH, PHOTOGRAPHS, described, names, picture, values};
use crate::studio::reader::{Reader, escape};
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::sync::Arc;
use words::{Arg, Finding, Language, Place, Weight, say};
use workspace::{Source, photograph, plain_name, save};

/// What is marked on a photograph, as its page sends it.
#[derive(Debug, Deserialize)]
struct Marked {
    /// Across and along the cloth, with units.
    across: String,
    along: String,
    /// White card around the window; empty: none.
    card: String,
    /// Four corners, `x,y x,y x,y x,y`, pixels.
    window: String,
    /// What tells how the camera sees.
    #[serde(flatten)]
    guide: Marks,
}

/// A grey card, or a target of known patches, by its four corners.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Marks {
    Grey {
        grey: String,
        reflectance: String,
    },
    Target {
        target: String,
        columns: String,
        rows: String,
        /// File of its measured patches, seen from the photographs' folder.
        values: String,
    },
}

/// Keeps a picture: `?file=`, the body is the file.
pub async fn bring(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    take(body, MOST_PHOTOGRAPH, reader, move |body, reader| {
        let given = reader.get("file").unwrap_or("");
        let shown: String = given.chars().filter(|c| !c.is_control()).take(80).collect();
        if let Err(finding) = seen::picture(body, &shown) {
            return refuse(StatusCode::UNPROCESSABLE_ENTITY, &[finding], reader);
        }
        let stem = given.rsplit_once('.').map_or(given, |(stem, _)| stem);
        let stem = plain_name(stem).unwrap_or_else(|| "cloth".to_string());
        let taken = names(&studio.workspace());
        let name = (1..)
            .map(|n| {
                if n == 1 {
                    stem.clone()
                } else {
                    format!("{stem}-{n}")
                }
            })
            .find(|name| !taken.contains(name))
            .unwrap_or_default();
        let ending = if body.starts_with(b"\x89PNG") {
            "png"
        } else {
            "jpg"
        };
        match put(&studio, PHOTOGRAPHS, &format!("{name}.{ending}"), body) {
            Ok(()) => answer(
                StatusCode::CREATED,
                &json!({ "name": name, "href": format!("/photographs?photo={}", escape(&name)) }),
            ),
            Err(error) => refuse(StatusCode::CONFLICT, &[error.finding()], reader),
        }
    })
    .await
}

/// Writes what is marked on a picture.
pub async fn mark(
    State(studio): State<Arc<Studio>>,
    Path(name): Path<String>,
    reader: Reader,
    body: Bytes,
) -> Response {
    let job = tokio::task::spawn_blocking(move || {
        let marked: Marked = match serde_json::from_slice(&body) {
            Ok(marked) => marked,
            Err(error) => {
                let why = Arg::Name(error.to_string());
                let found = say!(
                    "this does not describe a photograph: {why}",
                    "ini bukan keterangan foto: {why}",
                    why = why
                );
                let finding = Finding::new("not-a-photograph", Weight::Wrong, Place::Request, found);
                return refuse(StatusCode::BAD_REQUEST, &[finding], &reader);
            }
        };
        let workspace = studio.workspace();
        let Some((file, _)) = picture(&workspace, &name) else {
            let found = say!("there is no such photograph", "tidak ada foto itu");
            let finding = Finding::new("no-such-photograph", Weight::Wrong, Place::Request, found);
            return refuse(StatusCode::NOT_FOUND, &[finding], &reader);
        };
        // A page may name only what lies there; other files are none of its business.
        if let Marks::Target { values, .. } = &marked.guide {
            let now = described(&workspace, &name).and_then(|(_, now, _)| now);
            if !self::values(&workspace, now.as_ref()).contains(values) {
                return refuse(StatusCode::UNPROCESSABLE_ENTITY, &[no_values(values)], &reader);
            }
        }
        let path = format!("{PHOTOGRAPHS}/{name}.toml");
        let written = marked
            .text(&file, reader.voice.language)
            .map_err(|finding| vec![finding])
            .and_then(|text| {
                let source = Source {
                    path: path.clone(),
                    hash: [0; 32],
                    text,
                };
                match photograph(&source) {
                    (Some(_), _) => Ok(source.text),
                    (None, all) => Err(all),
                }
            });
        let text = match written {
            Ok(text) => text,
            Err(all) => return refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader),
        };
        let now = std::fs::read(workspace.dir.join(&path)).ok();
        let hash = now.map(|bytes| Sha256::digest(bytes).into());
        match save(studio.dir(), &path, hash, text.as_bytes()) {
            Ok(()) => answer(
                StatusCode::OK,
                &json!({ "path": path, "findings": findings(&[], reader.voice) }),
            ),
            Err(error) => refuse(StatusCode::CONFLICT, &[error.finding()], &reader),
        }
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

fn no_values(file: &str) -> Finding {
    let found = say!(
        "there is no file {file} of measured patches",
        "tidak ada berkas {file} berisi bidang terukur",
        file = Arg::Name(file.chars().filter(|c| !c.is_control()).take(80).collect())
    );
    Finding::new("no-target-values", Weight::Wrong, Place::Request, found).remedy(say!(
        "bring the target's measurements on the folder's page first",
        "bawa dulu hasil ukur target di halaman folder"
    ))
}

impl Marked {
    /// The description as a file.
    fn text(&self, picture: &str, language: Language) -> Result<String, Finding> {
        let typed = |text: &str| {
            let text = match language {
                Language::En => text.trim().to_string(),
                Language::Id => with_point(text.trim()),
            };
            // A string of JSON is a basic string of TOML.
            serde_json::Value::from(text).to_string()
        };
        let window = corners(&self.window)?;
        let mut out = format!(
            "picture = \"{picture}\"\nwindow = [{}, {}]\ncorners = {window}\n",
            typed(&self.across),
            typed(&self.along)
        );
        if !self.card.trim().is_empty() {
            let _ = writeln!(out, "card = {}", typed(&self.card));
        }
        let _ = match &self.guide {
            Marks::Grey { grey, reflectance } => write!(
                out,
                "\n[grey]\ncorners = {}\nreflectance = {}\n",
                corners(grey)?,
                typed(reflectance)
            ),
            Marks::Target {
                target,
                columns,
                rows,
                values,
            } => write!(
                out,
                "\n[target]\ncorners = {}\ncolumns = {}\nrows = {}\nvalues = {}\n",
                corners(target)?,
                patches(columns)?,
                patches(rows)?,
                serde_json::Value::from(values.as_str())
            ),
        };
        Ok(out)
    }
}

/// Patches in a row or column; the file's reader says how many there may be.
fn patches(text: &str) -> Result<u32, Finding> {
    text.trim().parse().map_err(|_| {
        let found = say!(
            "\"{text}\" is no number of patches",
            "\"{text}\" bukan jumlah bidang",
            text = Arg::Name(text.chars().filter(|c| !c.is_control()).take(40).collect())
        );
        Finding::new("no-patches", Weight::Wrong, Place::Request, found).allow(say!(
            "whole patches in a row or a column, 1 to 40",
            "bidang utuh dalam satu baris atau kolom, 1 sampai 40"
        ))
    })
}

/// Four corners as a list of the file.
fn corners(text: &str) -> Result<String, Finding> {
    let points: Option<Vec<String>> = text
        .split_whitespace()
        .map(|point| {
            let (x, y) = point.split_once(',')?;
            let (x, y): (f64, f64) = (x.parse().ok()?, y.parse().ok()?);
            (x.is_finite() && y.is_finite()).then(|| format!("[{x:.1}, {y:.1}]"))
        })
        .collect();
    match points {
        Some(points) if points.len() == 4 => Ok(format!("[{}]", points.join(", "))),
        _ => {
            let found = say!("four corners are not marked", "empat sudut belum ditandai");
            Err(
                Finding::new("no-corners", Weight::Wrong, Place::Request, found).allow(say!(
                    "across and down from the left top, pixels: {example}",
                    "ke kanan dan ke bawah dari kiri atas, piksel: {example}",
                    example = Arg::Name("260,190 1330,240 1290,1270 300,1210".into())
                )),
            )
        }
    }
}
