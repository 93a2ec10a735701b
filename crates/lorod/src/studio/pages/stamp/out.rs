//! The stamp as files: what was found as CSV and JSON, pictures of the repeat, drawings at full size.

use super::Asked;
use super::copper::{PAPERS, used_for};
use super::together::in_set;
use crate::facts::building::drawing;
use crate::facts::together::{Bordered, InRegister};
use crate::studio::file::{File, csv};
use crate::studio::say::{said, t};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use papers::{Sheet, StampSide};
use serde_json::json;
use stamp::{Report, Slip, StripPlan, Tolerance};
use words::{Finding, Voice};

/// Serves one file; 404 for a name that is none.
pub async fn serve(asked: &Asked<'_>, file: &str) -> Response {
    let held = &asked.held;
    let name = |ending: &str| format!("{}-{}-{ending}", held.design.id, held.used.id);
    match file {
        "faults.csv" | "faults.json" => {
            let report = match asked.report().await {
                Ok(report) => report,
                Err(status) => return status.into_response(),
            };
            if file == "faults.csv" {
                File::csv(&name(file), faults(&report, held.voice)).into_response()
            } else {
                File::json(&name(file), &found(&report, held.voice)).into_response()
            }
        }
        "strips.csv" => {
            let plan = match asked.plan().await {
                Ok(plan) => plan,
                Err(status) => return status.into_response(),
            };
            File::csv(&name(file), strips(&plan, held.voice)).into_response()
        }
        "register.svg" if !in_set(&held.design, &held.used) => StatusCode::NOT_FOUND.into_response(),
        "joins.svg" | "closed.svg" | "bolt.svg" | "register.svg" | "drawing.pdf" | "drawing.svg"
        | "drawing.zip" => {
            let (held, file, paper) = (
                held.clone(),
                file.to_string(),
                asked.reader.get("paper").unwrap_or("a4").to_string(),
            );
            let name = name(&file);
            let job = tokio::task::spawn_blocking(move || made(&held, &file, &paper, &name));
            match job.await {
                Ok(Ok(file)) => file.into_response(),
                Ok(Err(found)) => refused(&found, asked.held.voice),
                Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
            }
        }
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}

fn made(held: &super::Held, file: &str, paper: &str, name: &str) -> Result<File, Vec<Finding>> {
    let (lattice, area, voice) = (held.used.repeat(), held.used.stamp.area(), held.voice);
    let cloth = [held.design.cloth.width, held.design.cloth.length].map(|l| l.to_mm());
    let sheet = match PAPERS.iter().position(|(key, _)| *key == paper) {
        Some(1) => Sheet::A3,
        Some(2) => Sheet::UsLetter,
        _ => Sheet::A4,
    };
    let face = || {
        drawing(
            &held.design,
            &held.used,
            &held.shop,
            &held.limits,
            StampSide::Face,
        )
    };
    let refused = crate::facts::papers::refused;
    if let Some(found) = Bordered::of(&held.design, &held.used, &held.shop) {
        match file {
            "joins.svg" => return Ok(File::svg(name, found.picture_of_joins(voice))),
            "closed.svg" => return Ok(File::svg(name, found.picture_of_closed(voice))),
            "bolt.svg" => return Ok(File::svg(name, found.picture_of_piece(voice))),
            _ => {}
        }
    }
    Ok(match file {
        "register.svg" => {
            let set = InRegister::of(&held.design, &held.used, &held.shop).ok_or_else(Vec::new)?;
            let slip = Slip {
                x_mm: 1.0,
                y_mm: 1.0,
                angle: 1f64.to_radians(),
            };
            File::svg(name, set.picture(&slip, voice))
        }
        "joins.svg" => {
            let seams = lattice.seams(area, &Tolerance::default());
            File::svg(name, lattice.picture_of_seams(area, &seams, voice))
        }
        "closed.svg" => {
            let closed = lattice.close(area, &Tolerance::default());
            File::svg(name, lattice.picture_of_seams(&closed.area, &closed.seams, voice))
        }
        "bolt.svg" => File::svg(name, lattice.picture_of_bolt(area, cloth[0], cloth[1], voice)),
        "drawing.pdf" => File::pdf(name, papers::stamp_sheet(&face(), sheet, voice).map_err(refused)?),
        "drawing.svg" => File::svg(name, papers::stamp_drawing(&face(), voice).map_err(refused)?),
        _ => {
            let pages = papers::stamp_drawings(&face(), sheet, voice).map_err(refused)?;
            let files: Vec<(String, Vec<u8>)> = pages
                .into_iter()
                .map(|(page, svg)| (format!("{page}.svg"), svg.into_bytes()))
                .collect();
            File::archive(name, workspace::zipped(&files).map_err(|e| vec![e.finding()])?)
        }
    })
}

fn refused(found: &[Finding], voice: Voice) -> Response {
    let lines: String = found.iter().map(|one| words::show(one, None, voice)).collect();
    (StatusCode::CONFLICT, lines).into_response()
}

/// Every place with its measure; millimetres.
fn faults(report: &Report, voice: Voice) -> String {
    let head = [
        "number", "rule", "what", "x_mm", "y_mm", "measured", "limit", "to_do",
    ]
    .map(str::to_string);
    let rows = report.faults.iter().map(|fault| {
        [
            fault.number.to_string(),
            fault.rule.code().to_string(),
            t(fault.rule.text(), voice).to_string(),
            format!("{:.3}", fault.at[0]),
            format!("{:.3}", fault.at[1]),
            format!("{:.4}", fault.measured),
            format!("{:.4}", fault.limit),
            said(&fault.rule.remedy(), voice),
        ]
    });
    csv(std::iter::once(head).chain(rows))
}

fn found(report: &Report, voice: Voice) -> serde_json::Value {
    let places: Vec<_> = report
        .faults
        .iter()
        .map(|fault| {
            json!({
                "number": fault.number, "rule": fault.rule.code(), "what": t(fault.rule.text(), voice),
                "at_mm": fault.at, "measured": fault.measured, "limit": fault.limit,
            })
        })
        .collect();
    json!({
        "buildable": report.buildable(),
        "repeat_mm": report.repeat_mm,
        "pieces": report.pieces,
        "thinnest_line_mm": report.thinnest_line_mm,
        "narrowest_gap_mm": report.narrowest_gap_mm,
        "faults": places,
    })
}

/// Every strip; millimetres.
fn strips(plan: &StripPlan, voice: Voice) -> String {
    let head = ["number", "use", "length_mm", "prints_mm", "closed"].map(str::to_string);
    let rows = plan.strips.iter().map(|strip| {
        [
            strip.number.to_string(),
            t(used_for(strip.kind), voice).to_string(),
            format!("{:.2}", strip.mm()),
            format!("{:.2}", strip.prints_mm),
            strip.closed.to_string(),
        ]
    });
    csv(std::iter::once(head).chain(rows))
}
