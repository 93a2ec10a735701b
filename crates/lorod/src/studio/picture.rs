//! Pictures of cloth by address: `/cloth/<design>.png?x=&y=&w=&h=&dpi=&step=&bolt=`, lengths in mm.
//!
//! `for=glance` asks for a rough picture right after a change, `for=view` for what somebody looks at, one sample a pixel,
//! `for=smooth` for the same with as many samples as a pixel is wide, `for=strip` for a frame of the film strip; pictures
//! of pages come last. `was=` names a version of the design's file by its hash, or
//! recipes that were found for it; `lamp=` is one of D65, A, F11.

use super::Studio;
use super::assets::{has, hex, tagged};
use super::design::lot_of;
use super::gate::Rank;
use super::kiln::{Grain, NoPicture, Work};
use super::reader::{Reader, escape};
use axum::body::{Body, Bytes};
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use cloth::Shot;
use colour::Illuminant;
use route::{Design, Workshop};
use sha2::{Digest, Sha256};
use std::sync::Arc;
use units::Length;
use words::{Arg, Finding, Place, Weight, say, text};
use workspace::Workspace;

/// Most pixels of one picture: a large screen.
const MOST_PIXELS: f64 = 4.0e6;
/// Most samples: pixels times the samples each needs; about ten seconds of one core.
const MOST_SAMPLES: f64 = 2.4e7;
/// Finest resolution: 42 pixels a millimetre show a thread as wide as a finger.
const MOST_DPI: f64 = 1200.0;

/// A rectangle of a bolt, mm from its selvedge and its start, at a resolution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// From the selvedge, mm.
    pub x: f64,
    /// From the start of the bolt, mm.
    pub y: f64,
    /// Across, mm.
    pub w: f64,
    /// Along, mm.
    pub h: f64,
    /// Pixels per inch.
    pub dpi: f64,
}

impl Cut {
    /// The rectangle drawn so many pixels wide.
    pub fn wide(x: f64, y: f64, w: f64, h: f64, pixels: f64) -> Self {
        // Three decimals, as the address writes it, so that page and picture agree to the pixel.
        let dpi = (pixels / w * 25.4 * 1000.0).round() / 1000.0;
        let mm = |v: f64| (v * 100.0).round() / 100.0;
        Self {
            x: mm(x),
            y: mm(y),
            w: mm(w),
            h: mm(h),
            dpi,
        }
    }
    /// The picture to take after `steps` steps.
    pub fn shot(&self, steps: usize) -> Shot {
        let mm = |v: f64| Length(v / 1000.0);
        Shot {
            x: mm(self.x),
            y: mm(self.y),
            width: mm(self.w),
            height: mm(self.h),
            dpi: self.dpi,
            steps,
        }
    }
    /// Width and height in pixels.
    pub fn size(&self) -> (u32, u32) {
        let pixels = self.shot(0).pixels();
        (pixels.nx, pixels.ny)
    }
    /// Address of the picture. `step` is the id of the last step done; empty for white cloth. It carries a mark
    /// of what the picture rests on, so that a browser may keep it.
    pub fn href(&self, studio: &Studio, design: &Design, step: &str, bolt: u32) -> String {
        format!(
            "/cloth/{}.png?x={}&y={}&w={}&h={}&dpi={}&step={}&bolt={bolt}&v={}",
            escape(&design.id),
            self.x,
            self.y,
            self.w,
            self.h,
            self.dpi,
            escape(if step.is_empty() { WHITE } else { step }),
            mark(studio, design, step),
        )
    }
}

/// The address of a frame of the film strip: the first that is asked for develops all of them.
pub fn frame(cut: &Cut, studio: &Studio, design: &Design, step: &str, bolt: u32) -> String {
    format!("{}&for=strip", cut.href(studio, design, step, bolt))
}

/// Changes with everything that a picture after this step rests on.
pub fn mark(studio: &Studio, design: &Design, step: &str) -> String {
    let key = design
        .steps
        .iter()
        .find(|s| s.id == step)
        .map_or([0; 32], |s| s.key);
    let build: String = studio.build().chars().take(6).collect();
    format!("{build}{}", hex(&key[..5]))
}

/// In addresses: before the first step.
pub const WHITE: &str = "white";

/// The picture.
pub async fn serve(State(studio): State<Arc<Studio>>, Path(name): Path<String>, reader: Reader) -> Response {
    let workspace = studio.look().await;
    let rank = match reader.get("for") {
        Some("glance") => Rank::Glance,
        Some("view") => Rank::View,
        Some("smooth") => Rank::Smooth,
        Some("strip") => Rank::Strip,
        _ => Rank::Rest,
    };
    let (work, cut) = match asked(&studio, &workspace, &name, &reader) {
        Ok(asked) => asked,
        Err((status, finding)) => return refuse(status, &finding, &reader),
    };
    let tag = tag(&studio, &work, &cut, work.grain(&cut, rank));
    let last = work.steps.checked_sub(1).and_then(|at| work.design.steps.get(at));
    let kept = reader.get("v") == Some(mark(&studio, &work.design, last.map_or("", |s| &s.id)).as_str());
    if has(&reader.headers, &tag) {
        return tagged(&reader.headers, &tag, "image/png", Body::empty);
    }
    match studio.kiln().picture(work, cut, rank).await {
        Ok(png) => {
            let mut answer = tagged(&reader.headers, &tag, "image/png", || {
                Body::from(Bytes::from_owner(png))
            });
            if kept {
                let week = header::HeaderValue::from_static("private, max-age=604800, immutable");
                answer.headers_mut().insert(header::CACHE_CONTROL, week);
            }
            answer
        }
        Err(why) => {
            let found = match why {
                NoPicture::Busy => text!("too many pictures are waiting", "terlalu banyak gambar menunggu"),
                NoPicture::Stopped => text!("the studio is closing", "studio sedang ditutup"),
                NoPicture::Refused => {
                    text!(
                        "this piece of cloth cannot be drawn",
                        "potongan kain ini tidak dapat digambar"
                    )
                }
            };
            let finding = Finding::new(
                "no-picture",
                Weight::Wrong,
                Place::Request,
                words::Line::plain(found),
            );
            let mut answer = refuse(StatusCode::SERVICE_UNAVAILABLE, &finding, &reader);
            answer
                .headers_mut()
                .insert(header::RETRY_AFTER, header::HeaderValue::from_static("1"));
            answer
        }
    }
}

/// A finding as plain text.
fn refuse(status: StatusCode, finding: &Finding, reader: &Reader) -> Response {
    let mut said = finding.say(reader.voice).join("\n");
    said.push('\n');
    (status, said).into_response()
}

fn tag(studio: &Studio, work: &Work, cut: &Cut, grain: Grain) -> String {
    let mut hash = Sha256::new();
    hash.update(studio.build());
    hash.update(work.key());
    hash.update(&work.lot.id);
    hash.update(work.lot.bolt.to_le_bytes());
    hash.update([grain as u8, work.lamp as u8]);
    for length in [
        work.lot.cloth.width.0,
        work.lot.cloth.length.0,
        cut.x,
        cut.y,
        cut.w,
        cut.h,
        cut.dpi,
    ] {
        hash.update(length.to_le_bytes());
    }
    format!("\"{}\"", hex(&hash.finalize()[..16]))
}

type Refusal = (StatusCode, Finding);

/// What the address asks for, or what is wrong with it.
fn asked(
    studio: &Studio,
    workspace: &Workspace,
    name: &str,
    reader: &Reader,
) -> Result<(Work, Cut), Refusal> {
    let missing = |found| (StatusCode::NOT_FOUND, wrong("no-such-picture", found));
    let id = name.strip_suffix(".png").unwrap_or(name);
    let design = match reader.get("was") {
        Some(hash) => studio.version(id, hash).or_else(|| studio.proposals().get(hash)),
        None => workspace.design(id).cloned(),
    };
    let Some(design) = design else {
        return Err(missing(say!(
            "there is no design {design} that can be drawn",
            "tidak ada desain {design} yang dapat digambar",
            design = short(id)
        )));
    };
    let Some(shop) = &workspace.workshop else {
        return Err(missing(say!(
            "without a workshop no cloth can be drawn",
            "tanpa bengkel kain tidak dapat digambar"
        )));
    };
    let steps = steps(&design, reader.get("step"))?;
    let bolt = bolt(reader.get("bolt"))?;
    let cut = cut(&design, reader)?;
    let lamp = lamp(reader.get("lamp"))?;
    let work = Work {
        lamp,
        shop: Arc::new(shop.clone()),
        lot: lot_of(&design, bolt),
        design,
        steps,
    };
    Ok((work, cut))
}

/// Steps done after the step with this id; all if there is none.
pub fn steps(design: &Design, id: Option<&str>) -> Result<usize, Refusal> {
    match id {
        None => Ok(design.steps.len()),
        Some(WHITE) => Ok(0),
        Some(id) => match design.steps.iter().position(|step| step.id == id) {
            Some(at) => Ok(at + 1),
            None => Err((
                StatusCode::BAD_REQUEST,
                wrong(
                    "no-such-step",
                    say!(
                        "the route of {design} has no step {step}",
                        "alur {design} tidak punya langkah {step}",
                        design = Arg::Name(design.name.clone()),
                        step = short(id)
                    ),
                )
                .allow(say!(
                    "{steps}",
                    "{steps}",
                    steps = Arg::Name(
                        design
                            .steps
                            .iter()
                            .map(|s| s.id.as_str())
                            .collect::<Vec<_>>()
                            .join(", ")
                    )
                )),
            )),
        },
    }
}

/// A piece as wide as the bolt and half as long, finished, so many pixels across.
pub fn whole_width(design: &Arc<Design>, shop: &Workshop, pixels: f64) -> (Work, Cut) {
    let work = Work {
        design: design.clone(),
        shop: Arc::new(shop.clone()),
        lot: lot_of(design, 0),
        steps: design.steps.len(),
        lamp: Illuminant::D65,
    };
    (work, across(design, pixels))
}

/// The piece of [`whole_width`].
pub fn across(design: &Design, pixels: f64) -> Cut {
    let (width, length) = (design.cloth.width.to_mm(), design.cloth.length.to_mm());
    let high = (width / 2.0).min(length);
    Cut::wide(0.0, 900.0_f64.min(length - high), width, high, pixels)
}

/// A lamp by its name in tables; daylight unless one is asked for.
pub fn lamp(given: Option<&str>) -> Result<Illuminant, Refusal> {
    let Some(given) = given else {
        return Ok(Illuminant::D65);
    };
    let found = Illuminant::ALL.into_iter().find(|lamp| lamp.key() == given);
    found.ok_or_else(|| {
        let keys: Vec<&str> = Illuminant::ALL.iter().map(|lamp| lamp.key()).collect();
        bad(wrong(
            "lamp-wrong",
            say!(
                "lamp is \"{found}\"",
                "lamp diisi \"{found}\"",
                found = short(given)
            ),
        )
        .allow(say!("{keys}", "{keys}", keys = Arg::Name(keys.join(", ")))))
    })
}

/// Bolts that may be looked at.
const MOST_BOLTS: u32 = 10_000;

/// A bolt, counted from 0.
fn bolt(given: Option<&str>) -> Result<u32, Refusal> {
    let Some(given) = given else { return Ok(0) };
    given.parse().ok().filter(|n| *n < MOST_BOLTS).ok_or_else(|| {
        bad(wrong(
            "bolt-wrong",
            say!(
                "bolt is \"{found}\"",
                "bolt diisi \"{found}\"",
                found = short(given)
            ),
        )
        .allow(say!(
            "a whole number from 0 to {most}",
            "bilangan bulat 0 sampai {most}",
            most = Arg::Number(f64::from(MOST_BOLTS - 1), 0)
        )))
    })
}

/// The rectangle, inside the cloth and no larger than a screen.
fn cut(design: &Design, reader: &Reader) -> Result<Cut, Refusal> {
    let (width, length) = (design.cloth.width.to_mm(), design.cloth.length.to_mm());
    let x = number(reader, "x", 0.0, width, Some(0.0))?;
    let y = number(reader, "y", 0.0, length, Some(0.0))?;
    // A hundredth of a millimetre may be lost in the writing of an address.
    let w = number(reader, "w", 1.0, width - x + 0.02, None)?;
    let h = number(reader, "h", 1.0, length - y + 0.02, None)?;
    let dpi = number(reader, "dpi", 1.0, MOST_DPI, None)?;
    let cut = Cut { x, y, w, h, dpi };
    let pixels = w / 25.4 * dpi * (h / 25.4 * dpi);
    let samples = pixels * f64::from(cut.shot(0).samples()).powi(2);
    if !(1.0..=MOST_PIXELS).contains(&pixels) || samples > MOST_SAMPLES {
        let found = say!(
            "this picture would have {pixels} million pixels of {samples} million samples",
            "gambar ini berisi {pixels} juta piksel dari {samples} juta cuplikan",
            pixels = Arg::Number(pixels / 1e6, 2),
            samples = Arg::Number(samples / 1e6, 1)
        );
        return Err(bad(wrong("picture-too-large", found)
            .allow(say!(
                "up to {pixels} million pixels and {samples} million samples",
                "sampai {pixels} juta piksel dan {samples} juta cuplikan",
                pixels = Arg::Number(MOST_PIXELS / 1e6, 0),
                samples = Arg::Number(MOST_SAMPLES / 1e6, 0)
            ))
            .remedy(say!(
                "ask for a smaller piece or fewer dots per inch",
                "minta potongan lebih kecil atau dpi lebih rendah"
            ))));
    }
    Ok(cut)
}

fn number(
    reader: &Reader,
    key: &'static str,
    least: f64,
    most: f64,
    otherwise: Option<f64>,
) -> Result<f64, Refusal> {
    let name = || Arg::Name(key.to_string());
    let allowed = || {
        say!(
            "a number from {least} to {most}",
            "angka dari {least} sampai {most}",
            least = Arg::Number(least, 0),
            most = Arg::Number(most, 2)
        )
    };
    let Some(given) = reader.get(key) else {
        return otherwise.ok_or_else(|| {
            bad(wrong(
                "value-missing",
                say!("{key} is missing", "{key} belum diisi", key = name()),
            )
            .allow(allowed()))
        });
    };
    let value = given.parse::<f64>().ok().filter(|v| (least..=most).contains(v));
    value.ok_or_else(|| {
        bad(wrong(
            "value-wrong",
            say!(
                "{key} is \"{found}\"",
                "{key} diisi \"{found}\"",
                key = name(),
                found = short(given)
            ),
        )
        .allow(allowed()))
    })
}

fn wrong(code: &'static str, found: words::Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}

fn bad(finding: Finding) -> Refusal {
    (StatusCode::BAD_REQUEST, finding)
}

fn short(text: &str) -> Arg {
    Arg::Name(text.chars().filter(|c| !c.is_control()).take(40).collect())
}
