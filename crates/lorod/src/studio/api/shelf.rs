//! The shelf of stamps by JSON: what each copy has printed, and what is recorded about it.

use super::change::{Made, Refusal, if_match, on_a_thread, with_point};
use super::findings;
use crate::facts::shelf::{Due, Life, copy_typed, lives, no_copy};
use crate::studio::Studio;
use crate::studio::history::{Done, NotDone, Way, one};
use crate::studio::reader::Reader;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::{Value, json};
use sky::Date;
use std::sync::Arc;
use units::{Length, Measure, parse_as};
use words::{Arg, Finding, Language, Place, Voice, Weight, finding_of, say};
use workspace::{CopyId, Deed, Did, ShelfEntry, StampCopy, copy_name};

/// Most bolts of one entry.
const MOST_BOLTS: u32 = 10_000;
/// Farthest that a face can be off level, m.
const MOST_GAP: f64 = 0.05;
/// Longest name of a place on the shelf, letters.
const LONGEST: usize = 40;

/// What is recorded, as pages send it.
#[derive(Debug, Deserialize)]
#[serde(tag = "did", rename_all = "kebab-case", deny_unknown_fields)]
enum Asked {
    /// A copy comes, to a place on the shelf.
    New { copy: String, on: String, shelf: String },
    /// It stamped whole bolts.
    Stamped { copy: String, on: String, bolts: String },
    /// A proof was printed; the widest gap under a straight edge, where that was measured.
    Proofed {
        copy: String,
        on: String,
        #[serde(default)]
        off_level: String,
    },
    /// It was filed level.
    Refiled { copy: String, on: String },
    /// It is used no more.
    Retired { copy: String, on: String },
}

/// All copies.
pub async fn shelf(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    on_a_thread(studio, reader, |studio, reader| {
        let workspace = studio.workspace();
        let (lives, recorded) = (lives(&workspace), studio.recorded());
        Ok((
            StatusCode::OK,
            json!({
                "hash": recorded.hash,
                "undo": recorded.depth[0],
                "redo": recorded.depth[1],
                "copies": lives.copies.iter().map(copy).collect::<Vec<_>>(),
                "refile_every_m": lives.refile_every.value,
                "refile_every_origin": lives.refile_every.origin.mark().raw(reader.voice.language),
                "findings": findings(&lives.findings(), reader.voice),
            }),
        ))
    })
    .await
}

fn copy(life: &Life) -> Value {
    let day = |day: Option<Date>| day.map(|day| day.to_string());
    json!({
        "copy": copy_name(&life.copy.id),
        "shelf": life.copy.shelf,
        "made": day(life.copy.made),
        "bolts": life.all.bolts,
        "prints": life.all.prints,
        "metres": life.all.metres,
        "metres_since_filed": life.since.metres,
        "refiled": life.refiled.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "proofed": day(life.proof.map(|(day, _)| day)),
        "off_level_mm": life.proof.and_then(|(_, off)| off).map(|m| m * 1e3),
        "retired": day(life.retired),
        "file": life.due.map(|due| match due {
            Due::OffLevel(_) | Due::Now => "now",
            Due::Soon => "soon",
            Due::Later(_) => "later",
        }),
    })
}

/// Records something.
pub async fn record(State(studio): State<Arc<Studio>>, reader: Reader, body: Bytes) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let asked: Asked = serde_json::from_slice(&body).map_err(|error| {
            let why = Arg::Name(error.to_string());
            let found = say!(
                "this is nothing that can be recorded: {why}",
                "ini bukan catatan: {why}",
                why = why
            );
            let finding = Finding::new("not-a-record", Weight::Wrong, Place::Request, found);
            Refusal::Request(StatusCode::BAD_REQUEST, finding)
        })?;
        let hash = if_match(reader)?;
        let entry = asked.entry(reader.voice).map_err(one)?;
        made(studio.record(&hash, &entry))
    })
    .await
}

/// Takes back what was recorded last.
pub async fn undo(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    go(studio, reader, Way::Back).await
}

/// Records it again.
pub async fn redo(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    go(studio, reader, Way::On).await
}

async fn go(studio: Arc<Studio>, reader: Reader, way: Way) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let hash = if_match(reader)?;
        made(studio.record_again(&hash, way))
    })
    .await
}

fn made(done: Result<Done, NotDone>) -> Made {
    let done = done?;
    let body = json!({ "hash": done.hash, "undo": done.depth[0], "redo": done.depth[1], "href": "/shelf" });
    Ok((StatusCode::OK, body))
}

impl Asked {
    /// The entry that it means.
    fn entry(self, voice: Voice) -> Result<ShelfEntry, Finding> {
        let (copy, on, did) = match self {
            Self::New { copy, on, shelf } => {
                let id = named(&copy)?;
                let made = Some(day(&on)?);
                let shelf = place(&shelf)?;
                return Ok(ShelfEntry::Copy(StampCopy {
                    id,
                    shelf,
                    made,
                    span: 0..0,
                }));
            }
            Self::Stamped { copy, on, bolts } => (copy, on, Did::Stamped(count(&bolts)?)),
            Self::Proofed { copy, on, off_level } => (copy, on, Did::Proofed(gap(&off_level, voice)?)),
            Self::Refiled { copy, on } => (copy, on, Did::Refiled),
            Self::Retired { copy, on } => (copy, on, Did::Retired),
        };
        Ok(ShelfEntry::Deed(Deed {
            date: day(&on)?,
            id: named(&copy)?,
            did,
        }))
    }
}

fn typed(text: &str) -> Arg {
    Arg::Name(text.chars().filter(|c| !c.is_control()).take(LONGEST).collect())
}

fn named(text: &str) -> Result<CopyId, Finding> {
    copy_typed(text).ok_or_else(|| {
        no_copy(&CopyId {
            design: text.chars().filter(|c| !c.is_control()).take(LONGEST).collect(),
            stamp: String::new(),
            copy: 0,
        })
    })
}

fn day(text: &str) -> Result<Date, Finding> {
    Date::parse(text.trim()).ok_or_else(|| {
        let found = say!(
            "\"{text}\" is no day",
            "\"{text}\" bukan tanggal",
            text = typed(text)
        );
        Finding::new("no-day", Weight::Wrong, Place::Request, found).allow(say!(
            "year, month and day: {example}",
            "tahun, bulan dan hari: {example}",
            example = Arg::Name("2026-06-04".into())
        ))
    })
}

fn count(text: &str) -> Result<u32, Finding> {
    let bolts = text.trim().parse().ok();
    bolts.filter(|n| (1..=MOST_BOLTS).contains(n)).ok_or_else(|| {
        let found = say!(
            "\"{text}\" is no number of bolts",
            "\"{text}\" bukan jumlah gulung",
            text = typed(text)
        );
        Finding::new("no-bolts", Weight::Wrong, Place::Request, found).allow(say!(
            "whole bolts, 1 to {most}",
            "gulung utuh, 1 sampai {most}",
            most = Arg::Number(f64::from(MOST_BOLTS), 0)
        ))
    })
}

/// Nothing typed: nothing was measured. A bare number is millimetres, as the field says.
fn gap(text: &str, voice: Voice) -> Result<Option<Length>, Finding> {
    let text = match voice.language {
        Language::En => text.trim().to_string(),
        Language::Id => with_point(text.trim()),
    };
    if text.is_empty() {
        return Ok(None);
    }
    let bare = text.parse::<f64>().is_ok();
    let text = if bare { format!("{text} mm") } else { text };
    let length = parse_as(&text, Measure::Length).map_err(|problem| finding_of(&problem, Place::Request))?;
    let metres = length.quantity.si;
    if (0.0..=MOST_GAP).contains(&metres) {
        return Ok(Some(Length(metres)));
    }
    let found = say!(
        "a face cannot be {gap} off level",
        "muka cap tidak mungkin miring {gap}",
        gap = typed(&text)
    );
    Err(
        Finding::new("no-gap", Weight::Wrong, Place::Request, found).allow(say!(
            "up to {mm} mm",
            "sampai {mm} milimeter",
            mm = Arg::Number(MOST_GAP * 1e3, 0)
        )),
    )
}

fn place(text: &str) -> Result<String, Finding> {
    let text = text.trim();
    if text.chars().count() <= LONGEST && !text.chars().any(char::is_control) {
        return Ok(text.to_string());
    }
    let found = say!("this is no place on the shelf", "ini bukan tempat di rak");
    Err(
        Finding::new("no-place", Weight::Wrong, Place::Request, found).allow(say!(
            "up to {n} letters",
            "sampai {n} huruf",
            n = Arg::Number(LONGEST as f64, 0)
        )),
    )
}
