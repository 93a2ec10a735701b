//! `lorod stamp draw`: the stamp at full size for its maker, on sheets or in one piece.

use super::chosen;
use crate::cli::cards::Paper;
use crate::cli::end::{design, open, shop};
use crate::cli::wire;
use crate::cli::{End, out, tell};
use crate::facts::building::{Building, drawing};
use crate::facts::papers::refused;
use clap::{Args, ValueEnum};
use papers::StampSide;
use serde_json::json;
use stamp::{Norm, Use};
use std::path::{Path, PathBuf};
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod stamp draw my-cloth sea-fan -o fan.pdf
  lorod stamp draw my-cloth sea-fan -o fan.svg              in one piece, for a plotter
  lorod stamp draw my-cloth sea-fan --paper a3 -o fan.svg   fan-0.svg, fan-A1.svg, ...

Print at 100 %, never fitted to the page; a bar on every sheet is there to be measured.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Id of the stamp inside the design [default: its first]
    #[arg(long, value_name = "ID")]
    pub stamp: Option<String>,
    /// Size of paper [default: a4 for PDF, one piece for SVG]
    #[arg(long, value_enum)]
    pub paper: Option<Paper>,
    /// Which side is drawn: the copper is built over its face, which is mirrored
    #[arg(long, value_enum, default_value_t = Side::Face)]
    pub side: Side,
    /// PDF or SVG to write
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Strips, joints, hours and price as JSON
    #[arg(long)]
    pub json: bool,
}

/// A side of a stamp.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Side {
    /// The copper, mirrored
    Face,
    /// As it prints on the cloth
    Print,
}

/// Runs it.
///
/// # Errors
/// If the design has no such stamp, or the file ends neither in .pdf nor in .svg.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let ending = ask
        .output
        .extension()
        .and_then(|e| e.to_str())
        .unwrap_or_default();
    let (pdf, svg) = (
        ending.eq_ignore_ascii_case("pdf"),
        ending.eq_ignore_ascii_case("svg"),
    );
    if !pdf && !svg {
        return Err(End::refused(vec![neither(&ask.output)]));
    }
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let used = chosen(&design, ask.stamp.as_deref())?;
    let limits = workspace.stamp_limits();
    let side = match ask.side {
        Side::Face => StampSide::Face,
        Side::Print => StampSide::Print,
    };
    let sheet = drawing(&design, used, shop, &limits, side);
    let refuse = |e| End::refused(refused(e));
    let files: Vec<(PathBuf, Vec<u8>)> = match ask.paper {
        None if svg => {
            let one = papers::stamp_drawing(&sheet, voice).map_err(refuse)?;
            vec![(ask.output.clone(), one.into_bytes())]
        }
        Some(paper) if svg => papers::stamp_drawings(&sheet, paper.sheet(), voice)
            .map_err(refuse)?
            .into_iter()
            .map(|(name, page)| (named(&ask.output, &name), page.into_bytes()))
            .collect(),
        paper => {
            let paper = paper.unwrap_or(Paper::A4).sheet();
            let pdf = papers::stamp_sheet(&sheet, paper, voice).map_err(refuse)?;
            vec![(ask.output.clone(), pdf)]
        }
    };
    for (path, bytes) in &files {
        out::write(path, bytes)?;
    }
    if ask.json {
        let building = Building::of(used, shop, &limits, &Norm::default());
        let names: Vec<String> = files.iter().map(|(path, _)| path.display().to_string()).collect();
        wire::print(&json(&building, &names));
        return Ok(());
    }
    for (path, _) in &files {
        tell(&format!("{}\n", path.display()));
    }
    Ok(())
}

fn json(building: &Building, files: &[String]) -> serde_json::Value {
    let plan = &building.plan;
    let kind = |kind| match kind {
        Use::Line => "line",
        Use::Outline => "outline",
        Use::Fill => "fill",
        Use::Dot => "pin",
    };
    let strips = plan.strips.iter().map(|s| {
        json!({ "number": s.number, "kind": kind(s.kind), "mm": s.mm(), "prints_mm": s.prints_mm, "closed": s.closed })
    });
    let price = building.price.as_ref().ok().map(|p| {
        json!({
            "total": p.total.decimal(), "copper": p.copper.decimal(), "labour": p.labour.decimal(),
            "overhead": p.overhead.decimal(), "least": p.range[0].decimal(), "most": p.range[1].decimal(),
            "currency": p.total.currency,
        })
    });
    json!({
        "files": files,
        "strips": strips.collect::<Vec<_>>(),
        "joints": plan.joints.iter().map(|j| json!({ "x_mm": j.at[0], "y_mm": j.at[1], "strips": j.strips })).collect::<Vec<_>>(),
        "metres": plan.all_metres(),
        "frame_m": plan.frame_metres(),
        "weight_kg": building.weight_kg,
        "hours": { "least": building.hours.least, "likely": building.hours.likely, "most": building.hours.most },
        "price": price,
    })
}

/// `fan.svg` and `A1`: `fan-A1.svg`.
fn named(output: &Path, page: &str) -> PathBuf {
    let stem = output.file_stem().unwrap_or_default().to_string_lossy();
    output.with_file_name(format!("{stem}-{page}.svg"))
}

fn neither(path: &Path) -> Finding {
    Finding::new(
        "drawing-kind",
        Weight::Wrong,
        Place::Request,
        say!(
            "{file} ends neither in .pdf nor in .svg",
            "{file} tidak berakhiran .pdf atau .svg",
            file = Arg::Name(path.display().to_string())
        ),
    )
    .remedy(say!(
        "give the file one of these endings",
        "beri berkas salah satu akhiran itu"
    ))
}
