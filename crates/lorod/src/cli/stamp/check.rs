//! `lorod stamp check`: whether copper can be bent to a drawing.

use super::drawing::{DrawingArgs, FaultOut, rounded, typed};
use crate::cli::end::REFUSED;
use crate::cli::{End, out, tell, wire};
use clap::Args;
use serde::Serialize;
use stamp::{Layout, Limit, Register, Stamp, Visible};
use std::path::{Path, PathBuf};
use units::Measure;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod stamp check fan.svg --size \"200 mm\"
  lorod stamp check petals.svg --size \"200 mm\" --outline lines.svg
  lorod stamp check scan.jpg --size \"8 in\" --threshold 0.6 -o marked.svg

Exit code 1 if it cannot be a stamp at all; what a stamp maker would doubt does not count.")]
pub struct Ask {
    #[command(flatten)]
    drawing: DrawingArgs,
    /// Drawing of the outlines that this one fills, in register with it
    #[arg(long, value_name = "FILE")]
    outline: Option<PathBuf>,
    /// Room that a fill must have against its outlines; 19 of 20 pairs set by hand keep within the usual (assumed)
    #[arg(long, value_name = "LENGTH", default_value = "3.4 mm", requires = "outline")]
    room: String,
    /// Picture of the drawing with every fault numbered (SVG)
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Whether nothing about the drawing itself is in doubt.
    buildable: bool,
    /// Width and height of the repeat, mm.
    repeat_mm: [f64; 2],
    /// Pieces that do not hang together.
    pieces: usize,
    /// Thinnest line; `null` if all are wide.
    thinnest_line_mm: Option<f64>,
    /// Narrowest gap; `null` if all are wide.
    narrowest_gap_mm: Option<f64>,
    /// Strip along the lines, m.
    strip_m: f64,
    /// Strip inside solid parts, m.
    fill_m: f64,
    /// Weight with frame and handle, kg.
    weight_kg: f64,
    /// Every place that breaks a rule.
    faults: Vec<FaultOut>,
    /// The limits, with their origin.
    limits: Vec<LimitOut>,
    /// The worst places of each rule in words.
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct LimitOut {
    key: &'static str,
    /// In the SI base of its measure.
    value: f64,
    origin: wire::OriginOut,
}

/// Runs it.
///
/// # Errors
/// If the drawing cannot be a stamp.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let ready = ask.drawing.ready()?;
    let report = ready.drawn.stamp.report(&ready.limits, ready.cloth_mm);
    if let Some(path) = &ask.output {
        out::write(path, report.picture(voice).as_bytes())?;
    }
    let set = match &ask.outline {
        Some(path) => in_register(ask, path, &ready.drawn.stamp)?,
        None => Vec::new(),
    };
    let notes = ready.drawn.notes.iter().cloned();
    let findings: Vec<_> = notes.chain(report.findings()).chain(set).collect();
    let wrong = findings.iter().any(|f| f.weight == Weight::Wrong);
    if ask.json {
        let limit = |limit: &Limit| LimitOut {
            key: limit.key(),
            value: ready.limits.get(*limit).value,
            origin: wire::OriginOut::new(&ready.limits.get(*limit).origin),
        };
        wire::print(&Out {
            buildable: report.buildable(),
            repeat_mm: report.repeat_mm.map(rounded),
            pieces: report.pieces,
            thinnest_line_mm: report.thinnest_line_mm.map(rounded),
            narrowest_gap_mm: report.narrowest_gap_mm.map(rounded),
            strip_m: rounded(report.build.strip_m),
            fill_m: rounded(report.build.fill_m),
            weight_kg: rounded(report.build.weight_kg),
            faults: FaultOut::all(&report),
            limits: Limit::ALL.iter().map(limit).collect(),
            findings: wire::findings(&findings, |_| None, voice),
        });
    } else {
        for finding in &findings {
            tell(&words::show(finding, None, voice));
        }
        let places = report.faults.iter().filter(|f| f.rule.drawn()).count();
        let line = if report.buildable() {
            say!(
                "Copper can be bent to this drawing.",
                "Gambar ini bisa dibuat dari tembaga."
            )
        } else {
            say!(
                "{n} places cannot be built as drawn; see a version that can: lorod stamp propose",
                "{n} tempat tidak bisa dibuat seperti digambar; versi yang bisa: lorod stamp propose",
                n = Arg::Number(places as f64, 0)
            )
        };
        tell(&format!("{}\n", line.say(voice)));
    }
    if wrong { Err(End::said(REFUSED)) } else { Ok(()) }
}

/// Whether the drawing keeps inside its outlines when the hand slips.
fn in_register(ask: &Ask, path: &Path, fill: &Stamp) -> Result<Vec<Finding>, End> {
    let least_mm = typed(&ask.room, Measure::Length)? * 1e3;
    let [width, height] = fill.repeat_mm();
    let outline = ask.drawing.drawn(path, Some(width / 1e3))?.stamp;
    let [_, other] = outline.repeat_mm();
    if (other - height).abs() > SAME_MM {
        let found = say!(
            "at the same width the outlines' repeat is {other} mm high, the fill's {height} mm",
            "pada lebar yang sama ulangan garis tepi setinggi {other} milimeter, isian {height} milimeter",
            other = Arg::Number(other, 1),
            height = Arg::Number(height, 1)
        );
        let differ = Finding::new("stamps-differ", Weight::Wrong, Place::Request, found);
        return Err(End::refused(vec![differ.remedy(say!(
            "draw both on pages of one shape",
            "gambar keduanya di halaman berbentuk sama"
        ))]));
    }
    Ok(Register::of(&outline, fill, Layout::Straight).findings(least_mm, &Visible::default()))
}

/// Repeats that differ by less are the same, mm.
const SAME_MM: f64 = 0.05;
