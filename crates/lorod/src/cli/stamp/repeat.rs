//! `lorod stamp repeat`: whether a design's stamp joins its neighbours, what closes it, what slips do, and the
//! impressions on a bolt; how a fill stands to its outlines, and how a border fills its edges.

mod border;
mod register;

use super::chosen;
use crate::cli::end::{design, open, shop};
use crate::cli::{End, out, tell, wire};
use crate::facts::building::Repeat;
use crate::facts::together::{Bordered, InRegister};
use clap::{Args, ValueEnum};
use serde_json::json;
use stamp::{Slip, Tolerance, Visible, Wrong};
use std::path::PathBuf;
use words::{Arg, Voice, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod stamp repeat my-cloth sea-fan
  lorod stamp repeat my-cloth sea-fan --picture slip --slip 1,0,1 -o slip.svg
  lorod stamp repeat my-cloth sea-fan --picture closed -o joined.svg
  lorod stamp repeat my-cloth lotus --stamp petals --picture register -o set.svg

Two stamps are in register if design.toml says so: the one that fills says register = \"lines\", the id of the one
with the outlines. A border says border = \"frame\" and corner = \"id\", or border = \"ends\" or \"selvedges\".")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Id of the stamp inside the design [default: its first]
    #[arg(long, value_name = "ID")]
    pub stamp: Option<String>,
    /// Which picture is written
    #[arg(long, value_enum, default_value_t = Picture::Seams)]
    pub picture: Picture,
    /// Slip of one impression: mm across, mm along, degrees
    #[arg(long, value_name = "X,Y,DEGREES", value_parser = slip, default_value = "1,1,1", allow_hyphen_values = true)]
    pub slip: Slip,
    /// SVG of the picture to write
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// What was found as JSON
    #[arg(long)]
    pub json: bool,
}

/// A picture of a repeat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Picture {
    /// Where it joins and where not
    Seams,
    /// As proposed, with what breaks closed
    Closed,
    /// What the slip does
    Slip,
    /// All impressions on a bolt
    Bolt,
    /// A fill on its outlines, as drawn and with the slip
    Register,
}

fn slip(text: &str) -> Result<Slip, String> {
    let parts: Vec<f64> = text
        .split(',')
        .filter_map(|part| part.trim().parse().ok())
        .collect();
    match parts[..] {
        [x_mm, y_mm, degrees] if x_mm.abs() <= 100.0 && y_mm.abs() <= 100.0 && degrees.abs() <= 180.0 => {
            Ok(Slip {
                x_mm,
                y_mm,
                angle: degrees.to_radians(),
            })
        }
        _ => Err(
            "three numbers: mm across, mm along (100 at most), degrees (180 at most), as 1,0,0.5".to_string(),
        ),
    }
}

/// Runs it.
///
/// # Errors
/// If the design has no such stamp.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let used = chosen(&design, ask.stamp.as_deref())?;
    if let Some(found) = Bordered::of(&design, used, shop) {
        return border::tell_of(ask, &found, voice);
    }
    let found = Repeat::of(&design, used, shop);
    let set = InRegister::of(&design, used, shop);
    if let Some(path) = &ask.output {
        let (lattice, area) = (used.repeat(), used.stamp.area());
        let [width, length] = found.cloth_mm;
        let svg = match ask.picture {
            Picture::Seams => lattice.picture_of_seams(area, &found.seams, voice),
            Picture::Closed => {
                let closed = lattice.close(area, &Tolerance::default());
                lattice.picture_of_seams(&closed.area, &closed.seams, voice)
            }
            Picture::Slip => {
                lattice.picture_of_slip(area, &found.seams, &ask.slip, &Visible::default(), voice)
            }
            Picture::Bolt => lattice.picture_of_bolt(area, width, length, voice),
            Picture::Register => match &set {
                Some(set) => set.picture(&ask.slip, voice),
                None => return Err(register::none(&used.id)),
            },
        };
        out::write(path, svg.as_bytes())?;
    }
    if ask.json {
        let mut all = json(&found);
        all["register"] = set.as_ref().map_or(serde_json::Value::Null, register::json);
        wire::print(&all);
        return Ok(());
    }
    let n = |n: usize| Arg::Number(n as f64, 0);
    let mut lines = vec![
        say!(
            "{joins} lines go on from one impression to the next, {over} shapes reach over by themselves, {breaks} break",
            "{joins} garis berlanjut dari cap ke cap, {over} bentuk melewati tepi sendiri, {breaks} putus",
            joins = n(found.seams.joins.len()),
            over = n(found.seams.over),
            breaks = n(found.seams.breaks.len())
        ),
        say!(
            "the proposal leaves {n} breaks and changes {a} mm2",
            "usulan menyisakan {n} putus dan mengubah {a} mm2",
            n = n(found.closed_breaks),
            a = Arg::Number(found.changed_mm2, 0)
        ),
        say!(
            "{p} % of impressions set by hand show a break (assumed slip of {s} mm and {a} degrees; +- {e} from {tried} tries)",
            "{p} persen cap tangan tampak putus (perkiraan geser {s} milimeter dan {a} derajat; +- {e} dari {tried} percobaan)",
            p = Arg::Number(100.0 * found.slips.share(), 0),
            s = Arg::Number(found.hand.x_mm, 1),
            a = Arg::Number(found.hand.angle.to_degrees(), 1),
            e = Arg::Number(100.0 * found.slips.error(), 1),
            tried = Arg::Number(f64::from(found.slips.tried), 0)
        ),
        say!(
            "{all} impressions on a bolt: {whole} whole, {side} cut by a selvedge, {end} by an end",
            "{all} kali cap satu gulung: {whole} utuh, {side} terpotong tepi kain, {end} terpotong ujung",
            all = Arg::Number(f64::from(found.census.all), 0),
            whole = Arg::Number(f64::from(found.census.whole), 0),
            side = Arg::Number(f64::from(found.census.at_selvedges), 0),
            end = Arg::Number(f64::from(found.census.at_ends), 0)
        ),
    ];
    lines.extend(found.seams.breaks.iter().map(|one| {
        say!(
            "  x {x} mm, y {y} mm: {what}",
            "  x {x} milimeter, y {y} milimeter: {what}",
            x = Arg::Number(one.at[0], 1),
            y = Arg::Number(one.at[1], 1),
            what = Arg::Name(one.wrong.line().say(voice))
        )
    }));
    lines.extend(set.iter().flat_map(register::lines));
    for line in lines {
        tell(&format!("{}\n", line.say(voice)));
    }
    Ok(())
}

fn json(found: &Repeat) -> serde_json::Value {
    let breaks = found.seams.breaks.iter().map(|one| {
        let (wrong, by) = match one.wrong {
            Wrong::Ends => ("ends", None),
            Wrong::Leaps(mm) => ("leaps_mm", Some(mm)),
            Wrong::Turns(angle) => ("turns_degrees", Some(angle.to_degrees())),
        };
        json!({ "x_mm": one.at[0], "y_mm": one.at[1], "wide_mm": one.wide_mm, "wrong": wrong, "by": by })
    });
    json!({
        "joins": found.seams.joins.len(),
        "over": found.seams.over,
        "breaks": breaks.collect::<Vec<_>>(),
        "proposal": { "breaks": found.closed_breaks, "changed_mm2": found.changed_mm2 },
        "slips": {
            "tried": found.slips.tried, "broken": found.slips.broken, "share": found.slips.share(),
            "standard_error": found.slips.error(), "slip_mm": found.hand.x_mm, "turn_degrees": found.hand.angle.to_degrees(),
        },
        "impressions": {
            "all": found.census.all, "whole": found.census.whole,
            "at_selvedges": found.census.at_selvedges, "at_ends": found.census.at_ends,
        },
    })
}
