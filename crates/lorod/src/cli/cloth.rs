//! `lorod cloth`: a picture of any part of any bolt after any step.

use super::end::{design, no_such, open, shop, short};
use super::progress::Progress;
use super::{End, out, tell, tiles, wire};
use clap::Args;
use cloth::{Bolt, Shot};
use route::{Design, LotShape};
use serde::Serialize;
use std::path::PathBuf;
use units::{Length, Measure, Quantity, parse_as};
use words::{Arg, Finding, Place, Voice, Weight, finding_of, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod cloth my-cloth sea-fan -o fan.png
  lorod cloth my-cloth sea-fan --after s13 --area \"0 mm,0 mm,44 in,1 yd\" --dpi 50 -o bleached.png
  lorod cloth my-cloth sea-fan --area bolt --dpi 10 --bolt 3 -o bolt.png
  lorod cloth my-cloth sea-fan --area bolt --dpi 300 -o bolt.tif
  lorod cloth my-cloth sea-fan --area bolt --dpi 150 --tiles bolt-tiles

A large picture that was stopped or killed goes on where it was when the same command is given again. The same bolt of the same lot always gives the same cloth, whatever part of it is drawn.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// After this step: its id or its number [default: finished]; `0` is white cloth
    #[arg(long, value_name = "STEP")]
    pub after: Option<String>,
    /// From selvedge, from start, width, length; or `bolt` for all of it [default: one repeat]
    #[arg(long, value_name = "X,Y,W,L")]
    pub area: Option<String>,
    /// Pixels per inch
    #[arg(long, value_name = "N", default_value_t = 150.0)]
    pub dpi: f64,
    /// Which bolt of the lot, from 1
    #[arg(long, value_name = "K", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub bolt: u32,
    /// Which lot [default: that of the studio's pictures, named like the design]
    #[arg(long, value_name = "ID")]
    pub lot: Option<String>,
    /// Picture to write: PNG, or TIFF with 64-bit offsets if the name ends in .tif or .tiff
    #[arg(short, long, value_name = "FILE", required_unless_present = "tiles")]
    pub output: Option<PathBuf>,
    /// Folder for the same picture at many resolutions, in square tiles: DIR/<level>/<column>/<row>.png, level 0 the
    /// coarsest
    #[arg(long, value_name = "DIR", conflicts_with = "output")]
    pub tiles: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// The picture, or the folder of its tiles.
    file: String,
    /// Resolutions in the folder of tiles.
    #[serde(skip_serializing_if = "Option::is_none")]
    levels: Option<usize>,
    /// Permanent id of the last step done; `null` for white cloth.
    after: Option<String>,
    /// Pixels across and along.
    pixels: [u32; 2],
    /// Bytes of the file, or of the tiles made by this run.
    bytes: u64,
    /// How long it took, s.
    seconds: f64,
}

/// Runs it.
///
/// # Errors
/// If there is no such design or step, the area is no part of the bolt, or the picture is too large.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let steps = steps(&design, ask.after.as_deref())?;
    let [x, y, width, height] = area(&design, ask.area.as_deref())?;
    let shot = Shot {
        x,
        y,
        width,
        height,
        dpi: dpi(ask.dpi)?,
        steps,
    };
    let lot = ask.lot.as_deref().unwrap_or(&design.id);
    let lot = LotShape::new(lot, ask.bolt, ask.bolt - 1, design.cloth);
    let target = ask.tiles.as_ref().or(ask.output.as_ref()).ok_or_else(no_target)?;
    let file = target.display().to_string();
    let progress = Progress::new(&file);
    super::stop::flag();
    let last = steps.checked_sub(1);
    let bolt = match last {
        Some(last) => Bolt::prepare(&design, &lot, shop, Some(last)),
        // Preparing up to step 0 makes one hand more than white cloth needs; none of it is run.
        None => Bolt::prepare(&design, &lot, shop, Some(0)),
    };
    let share = |share| progress.at(share);
    let (levels, bytes) = if ask.tiles.is_some() {
        let made = tiles::write(target, &shot, &bolt, &share)?;
        (Some(made.levels), made.bytes)
    } else {
        out::picture(target, &shot, &bolt, &share)?;
        (None, out::size(target))
    };
    let took = progress.done();
    let pixels = shot.pixels();
    if ask.json {
        wire::print(&Out {
            file,
            levels,
            after: last
                .and_then(|at| design.steps.get(at))
                .map(|step| step.id.clone()),
            pixels: [pixels.nx, pixels.ny],
            bytes,
            seconds: took.as_secs_f64(),
        });
    } else {
        let line = say!(
            "{file}: {w} x {h} pixels, {s} s",
            "{file}: {w} x {h} piksel, {s} detik",
            file = Arg::Name(file),
            w = Arg::Number(f64::from(pixels.nx), 0),
            h = Arg::Number(f64::from(pixels.ny), 0),
            s = Arg::Number(took.as_secs_f64(), 1)
        );
        tell(&format!("{}\n", line.say(voice)));
    }
    Ok(())
}

/// Nothing was said about where the picture goes.
fn no_target() -> End {
    End::usage(
        Finding::new(
            "no-output",
            Weight::Wrong,
            Place::Request,
            say!("no file was named", "belum ada berkas yang disebut"),
        )
        .allow(say!(
            "{output} or {tiles}",
            "{output} atau {tiles}",
            output = Arg::Name("--output FILE".into()),
            tiles = Arg::Name("--tiles DIR".into())
        )),
    )
}

/// How many steps are done after the one that was named by id or number.
fn steps(design: &Design, after: Option<&str>) -> Result<usize, End> {
    let Some(after) = after else {
        return Ok(design.steps.len());
    };
    let id = design
        .steps
        .iter()
        .position(|step| step.id == after)
        .map(|at| at + 1);
    let number = || after.parse::<usize>().ok().filter(|n| *n <= design.steps.len());
    id.or_else(number).ok_or_else(|| {
        End::refused(vec![no_such(
            "no-such-step",
            say!(
                "{design} has no step {step}",
                "{design} tidak punya langkah {step}",
                design = Arg::Name(design.name.clone()),
                step = Arg::Name(short(after))
            ),
            after,
            design.steps.iter().map(|step| step.id.as_str()),
        )])
    })
}

fn dpi(dpi: f64) -> Result<f64, End> {
    if (1.0..=1200.0).contains(&dpi) {
        return Ok(dpi);
    }
    Err(End::usage(
        Finding::new(
            "dpi",
            Weight::Wrong,
            Place::Request,
            say!(
                "{dpi} pixels per inch were asked for",
                "yang diminta {dpi} piksel per inci",
                dpi = Arg::Number(dpi, 1)
            ),
        )
        .allow(say!("1 to 1200", "1 sampai 1200")),
    ))
}

/// One repeat of the design's first stamp, a whole one away from the edges where there is room; of cloth without a
/// stamp 230 mm, some hands wide.
pub fn repeat(design: &Design) -> [Length; 4] {
    let [w, h] = match design.stamps.first() {
        Some(used) => used.stamp.repeat_mm().map(Length::mm),
        None => [Length::mm(230.0); 2],
    };
    let (w, h) = (least(w, design.cloth.width), least(h, design.cloth.length));
    let from = |size: Length, whole: Length| {
        if size.0 * 2.0 <= whole.0 {
            size
        } else {
            Length(0.0)
        }
    };
    [from(w, design.cloth.width), from(h, design.cloth.length), w, h]
}

fn least(a: Length, b: Length) -> Length {
    if a.0 < b.0 { a } else { b }
}

fn area(design: &Design, text: Option<&str>) -> Result<[Length; 4], End> {
    let cloth = design.cloth;
    let text = match text.map(str::trim) {
        None => return Ok(repeat(design)),
        Some("bolt") => return Ok([Length(0.0), Length(0.0), cloth.width, cloth.length]),
        Some(text) => text,
    };
    let parts: Vec<&str> = text.split(',').collect();
    let [x, y, w, h] = parts.as_slice() else {
        return Err(End::usage(not_four(text)));
    };
    let read = |part: &str| {
        parse_as(part, Measure::Length)
            .map(|typed| Length(typed.quantity.si))
            .map_err(|problem| End::usage(finding_of(&problem, Place::Request)))
    };
    let area = [read(x)?, read(y)?, read(w)?, read(h)?];
    let [x, y, w, h] = area.map(|length| length.0);
    // A hair of rounding is no mistake: "44 in" may be wider than a width spelled in mm.
    let hair = 1e-6;
    let inside = x >= 0.0
        && y >= 0.0
        && w > 0.0
        && h > 0.0
        && x + w <= cloth.width.0 + hair
        && y + h <= cloth.length.0 + hair;
    if inside {
        Ok(area)
    } else {
        Err(End::usage(outside(text, design)))
    }
}

fn not_four(text: &str) -> Finding {
    Finding::new(
        "area",
        Weight::Wrong,
        Place::Request,
        say!(
            "\"{text}\" is not an area",
            "\"{text}\" bukan bidang kain",
            text = Arg::Name(short(text))
        ),
    )
    .allow(say!(
        "four lengths with units and commas between them, or {bolt}",
        "empat panjang dengan satuan, dipisah koma, atau {bolt}",
        bolt = Arg::Name("bolt".into())
    ))
    .remedy(say!(
        "write for example {example}",
        "tulis misalnya {example}",
        example = Arg::Name("--area \"10 cm,1 m,205 mm,205 mm\"".into())
    ))
}

fn outside(text: &str, design: &Design) -> Finding {
    let length = |length: Length| Arg::Quantity(Quantity::new(length.0, Measure::Length));
    Finding::new(
        "area-outside",
        Weight::Wrong,
        Place::Request,
        say!(
            "\"{text}\" is not inside the bolt",
            "\"{text}\" tidak ada di dalam gulung",
            text = Arg::Name(short(text))
        ),
    )
    .allow(say!(
        "across from 0 to {width}, along from 0 to {length}; a width and a length above 0",
        "melintang 0 sampai {width}, memanjang 0 sampai {length}; lebar dan panjang di atas 0",
        width = length(design.cloth.width),
        length = length(design.cloth.length)
    ))
}
