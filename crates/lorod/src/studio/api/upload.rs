//! A drawing as wax, a new design from it, and a new order of one.

use super::change::{Refusal, if_match, on_a_thread};
use super::{answer, findings, refuse};
use crate::facts::stamp::{Asked, Drawn, MOST_FILE, read};
use crate::studio::Studio;
use crate::studio::pages::pack::collection_hash;
use crate::studio::pages::start;
use crate::studio::reader::{Reader, escape};
use axum::body::Bytes;
use axum::extract::State;
use axum::extract::rejection::BytesRejection;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use serde_json::json;
use stamp::{drawing, is_picture};
use std::ops::RangeInclusive;
use std::sync::Arc;
use units::{Length, Measure, parse_as};
use words::{Arg, Finding, Place, Weight, finding_of, say};
use workspace::{Drawing, FIRST_COLOURS, NewOrder, NotDone, Signed, add_design, add_order, sign};

/// How a drawing reads as wax: `?width=&file=&wax_below=&cut=`, the body is the SVG, PNG or JPEG. Nothing is written.
pub async fn reading(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    with_drawing(studio, reader, body, |studio, reader, brought| {
        let drawn = brought.read()?;
        let limits = studio.workspace().stamp_limits();
        let report = drawn.stamp.report(&limits, NARROWEST_CLOTH_MM);
        let [width, height] = drawn.stamp.repeat_mm();
        let [roomy, lost] = start::is_roomy(&drawn.stamp);
        let body = json!({
            "repeat_mm": [width, height],
            "share": drawn.stamp.share_of_repeat(),
            "pieces": drawn.stamp.pieces(),
            "thinnest_line_mm": report.thinnest_line_mm,
            "narrowest_gap_mm": report.narrowest_gap_mm,
            "wax_below": (!drawn.traced).then_some(drawn.wax_below),
            "notes": findings(&drawn.notes, reader.voice),
            "buildable": report.buildable(),
            "roomy": roomy,
            "lost": lost,
            "picture": start::as_wax(&drawn.stamp, reader.voice).into_string(),
            "piece": start::read_as(&drawn, &report, reader.voice).into_string(),
        });
        Ok(answer(StatusCode::OK, &body))
    })
    .await
}

/// Cloth that the reading is judged for, mm: no design says yet how wide its own is (the first route's 44 in).
const NARROWEST_CLOTH_MM: f64 = 44.0 * 25.4;

/// Makes a design: `?name=&width=&file=&wax_below=&cut=`, the body is the SVG, PNG or JPEG. A scan is kept as it was
/// traced.
pub async fn new_design(
    State(studio): State<Arc<Studio>>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    with_drawing(studio, reader, body, |studio, reader, brought| {
        // The folder keeps the drawing itself where nothing was done to it.
        let made = if is_picture(&brought.bytes) || brought.cut {
            let stamp = brought.read()?.stamp;
            Some(drawing(stamp.area(), stamp.repeat_mm()))
        } else {
            None
        };
        let new = Drawing {
            bytes: made.as_ref().map_or(&brought.bytes, |svg| svg.as_bytes()),
            name: &brought.file,
            colourway: FIRST_COLOURS.raw(reader.voice.language),
            width: brought.width,
            wax_below: brought.wax_below.filter(|_| made.is_none()),
        };
        let name = reader.get("name").unwrap_or("").trim();
        match add_design(&studio.workspace(), name, &new) {
            Ok(id) => {
                let href = format!("/design/{}", escape(&id));
                Ok(answer(StatusCode::CREATED, &json!({ "id": id, "href": href })))
            }
            Err(NotDone::Findings(all)) => Err(all),
            Err(NotDone::Io(error)) => Ok(refuse(StatusCode::CONFLICT, &[error.finding()], reader)),
        }
    })
    .await
}

/// A drawing that was sent, with what was said about it.
struct Brought {
    bytes: Bytes,
    file: String,
    width: Length,
    wax_below: Option<f64>,
    cut: bool,
}

impl Brought {
    fn of(bytes: Bytes, reader: &Reader) -> Result<Self, Vec<Finding>> {
        let word = |key: &str| reader.get(key).unwrap_or("").trim();
        let setting = |setting| Place::Step {
            id: String::new(),
            setting: Some(setting),
        };
        let width = parse_as(word("width"), Measure::Length)
            .map_err(|problem| vec![finding_of(&problem, setting("width"))])?;
        let wax_below = match word("wax_below") {
            "" => None,
            typed => {
                let limit = typed.parse().ok().filter(|limit| LIGHTNESS.contains(limit));
                Some(limit.ok_or_else(|| vec![no_lightness(typed, setting("wax_below"))])?)
            }
        };
        Ok(Self {
            bytes,
            file: word("file").to_string(),
            width: Length(width.quantity.si),
            wax_below,
            cut: word("cut") == "1",
        })
    }

    fn read(&self) -> Result<Drawn, Vec<Finding>> {
        let asked = Asked {
            width: Some(self.width),
            wax_below: self.wax_below,
            room: self.cut.then_some(ROOM),
            ..Asked::default()
        };
        read(&self.bytes, &self.file, &asked)
    }
}

/// Room around shapes that a page is cut to (assumed: half the gap that two impressions need not to touch).
const ROOM: Length = Length(0.004);

/// Lightness that may part wax from bare cloth, as in a design's file.
const LIGHTNESS: RangeInclusive<f64> = 1.0..=100.0;

/// Does something with a drawing on a thread that may take a while; findings are a refusal.
async fn with_drawing(
    studio: Arc<Studio>,
    reader: Reader,
    body: Result<Bytes, BytesRejection>,
    work: impl FnOnce(&Studio, &Reader, &Brought) -> Result<Response, Vec<Finding>> + Send + 'static,
) -> Response {
    let Ok(body) = body else {
        return refuse(StatusCode::PAYLOAD_TOO_LARGE, &[too_large()], &reader);
    };
    let job = tokio::task::spawn_blocking(move || {
        let done = Brought::of(body, &reader).and_then(|brought| work(&studio, &reader, &brought));
        done.unwrap_or_else(|all| refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader))
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

fn no_lightness(typed: &str, place: Place) -> Finding {
    let found = say!(
        "\"{found}\" is no lightness",
        "\"{found}\" bukan keterangan terang",
        found = Arg::Name(typed.chars().filter(|c| !c.is_control()).take(40).collect())
    );
    let bound = |n: f64| Arg::Number(n, 0);
    Finding::new("out-of-range", Weight::Wrong, place, found).allow(say!(
        "{least} (black) to {most} (white)",
        "{least} (hitam) sampai {most} (putih)",
        least = bound(*LIGHTNESS.start()),
        most = bound(*LIGHTNESS.end())
    ))
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
            Ok(id) => {
                let href = format!("/run?design={}", escape(&asked.design));
                answer(StatusCode::CREATED, &json!({ "id": id, "href": href }))
            }
            Err(NotDone::Findings(all)) => refuse(StatusCode::UNPROCESSABLE_ENTITY, &all, &reader),
            Err(NotDone::Io(error)) => refuse(StatusCode::CONFLICT, &[error.finding()], &reader),
        }
    });
    job.await
        .unwrap_or_else(|_| answer(StatusCode::INTERNAL_SERVER_ERROR, &json!({})))
}

/// Who signs the collection, as a page sends it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Signer {
    name: String,
    designer: String,
    #[serde(default)]
    place: String,
}

/// Signs the collection.
pub async fn sign_collection(State(studio): State<Arc<Studio>>, reader: Reader, body: Bytes) -> Response {
    on_a_thread(studio, reader, move |studio, reader| {
        let asked: Signer = serde_json::from_slice(&body).map_err(|error| {
            let why = Arg::Name(error.to_string());
            let found = say!(
                "this is no signature: {why}",
                "ini bukan tanda tangan: {why}",
                why = why
            );
            let finding = Finding::new("not-a-signature", Weight::Wrong, Place::Request, found);
            Refusal::Request(StatusCode::BAD_REQUEST, finding)
        })?;
        let hash = if_match(reader)?;
        let workspace = studio.workspace();
        let now = collection_hash(&workspace);
        if now != hash {
            return Err(crate::studio::history::NotDone::Stale {
                now,
                differences: None,
            }
            .into());
        }
        let by = Signed {
            name: &asked.name,
            designer: &asked.designer,
            place: &asked.place,
        };
        match sign(&workspace, &by) {
            Ok(()) => Ok((
                StatusCode::OK,
                json!({ "hash": collection_hash(&studio.workspace()) }),
            )),
            Err(NotDone::Findings(all)) => Err(crate::studio::history::NotDone::Findings(all).into()),
            Err(NotDone::Io(error)) => {
                Err(crate::studio::history::NotDone::Findings(vec![error.finding()]).into())
            }
        }
    })
    .await
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
        mb = Arg::Number((MOST_FILE >> 20) as f64, 0)
    ))
    .remedy(say!(
        "save the drawing without pictures inside it",
        "simpan gambar tanpa foto di dalamnya"
    ))
}
