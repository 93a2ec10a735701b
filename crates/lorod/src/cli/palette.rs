//! `lorod palette`: how far the colours of two pictures lie apart.

use super::drawing::Answer;
use super::table::Table;
use super::{End, drawing, out, tell, wire};

use crate::facts::palettes;
use crate::facts::seen::{MOST_BYTES, picture};
use clap::Args;
use cloth::Picture;
use colour::Palette;
use colour::palette::Ground;
use serde::Serialize;
use std::path::{Path, PathBuf};
use words::{Arg, Finding, Place, Voice, Weight, say, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod palette computed.png photo.jpg
  lorod palette one.png other.png --area-b 120,80,900,600 --colours 16 -o apart.png

The distance is the earth mover's: the mean colour change of a unit of area on the cheapest way from one palette to the
other, exact. PNG and JPEG, colours as sRGB.")]
pub struct Ask {
    /// One picture
    pub a: PathBuf,
    /// The other
    pub b: PathBuf,
    /// Colours of a palette at most
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u16).range(1..=64))]
    pub colours: u16,
    /// Only this part of the first picture: left,top,width,height in pixels
    #[arg(long, value_name = "X,Y,W,H")]
    pub area_a: Option<String>,
    /// Only this part of the second picture
    #[arg(long, value_name = "X,Y,W,H")]
    pub area_b: Option<String>,
    #[command(flatten)]
    pub answer: Answer,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Earth mover's distance over CIELAB distances: a metric.
    distance_lab: f64,
    /// The same over CIEDE2000.
    distance_de00: f64,
    a: PaletteOut,
    b: PaletteOut,
}

#[derive(Serialize)]
struct PaletteOut {
    file: String,
    /// Mean CIELAB by area (D65, 2 degrees).
    mean: [f64; 3],
    /// Largest share first.
    swatches: Vec<SwatchOut>,
}

#[derive(Serialize)]
struct SwatchOut {
    share: f64,
    lab: [f64; 3],
    hex: String,
}

/// Runs it.
///
/// # Errors
/// If a picture cannot be read.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let size = usize::from(ask.colours);
    let a = palette(&ask.a, ask.area_a.as_deref(), size)?;
    let b = palette(&ask.b, ask.area_b.as_deref(), size)?;
    let (lab, eye) = (
        a.distance(&b, Ground::Euclidean),
        a.distance(&b, Ground::Ciede2000),
    );
    let (name_a, name_b) = (file_name(&ask.a), file_name(&ask.b));
    if let Some(path) = &ask.answer.output {
        let svg = colour::plot::palettes_svg([(&name_a, &a), (&name_b, &b)], voice);
        drawing::write(path, &svg)?;
    }
    if ask.answer.json {
        wire::print(&Out {
            distance_lab: lab,
            distance_de00: eye,
            a: as_json(&ask.a, &a),
            b: as_json(&ask.b, &b),
        });
        return Ok(());
    }
    let line = say!(
        "{eye} dE00 apart ({lab} in CIELAB), by earth mover's distance",
        "berjarak {eye} dE00 ({lab} dalam CIELAB), menurut earth mover's distance",
        eye = Arg::Number(eye, 2),
        lab = Arg::Number(lab, 2)
    );
    tell(&format!("{}\n", line.say(voice)));
    for (name, palette) in [(name_a, &a), (name_b, &b)] {
        let mut table = Table::new(&[true, true, true, true, false]);
        let share = text!("share", "bagian").raw(voice.language);
        table.row([share, "L*", "a*", "b*", ""]);
        for swatch in palette.swatches() {
            let n = |v: f64| voice.number(v, 1);
            let share = format!("{} %", n(100.0 * swatch.share));
            let lab = swatch.lab;
            table.row([share, n(lab.l), n(lab.a), n(lab.b), palettes::hex(lab)]);
        }
        tell(&format!("{}\n{}", super::table::clean(&name), table.text()));
    }
    if let Some(path) = &ask.answer.output {
        tell(&format!("{}\n", path.display()));
    }
    Ok(())
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(
        || path.display().to_string(),
        |n| n.to_string_lossy().into_owned(),
    )
}

fn palette(path: &Path, area: Option<&str>, size: usize) -> Result<Palette, End> {
    let bytes = out::read(path, MOST_BYTES)?;
    let picture = picture(&bytes, &path.display().to_string()).map_err(|f| End::refused(vec![f]))?;
    let picture = match area {
        Some(typed) => part(&picture, typed)?,
        None => picture,
    };
    palettes::palette(&picture, size).map_err(|f| End::refused(vec![f]))
}

/// A rectangle of a picture.
fn part(picture: &Picture, typed: &str) -> Result<Picture, End> {
    let numbers: Option<Vec<u32>> = typed.split(',').map(|n| n.trim().parse().ok()).collect();
    let refused = || {
        let found = say!(
            "\"{typed}\" is no part of this picture",
            "\"{typed}\" bukan bagian dari gambar ini",
            typed = Arg::Name(super::end::short(typed))
        );
        let finding = Finding::new("picture-part", Weight::Wrong, Place::Request, found);
        End::usage(finding.allow(say!(
            "left,top,width,height in pixels, inside {w} x {h}",
            "kiri,atas,lebar,tinggi dalam piksel, di dalam {w} x {h}",
            w = Arg::Number(f64::from(picture.width), 0),
            h = Arg::Number(f64::from(picture.height), 0)
        )))
    };
    let [x, y, width, height] = numbers
        .as_deref()
        .and_then(|n| n.try_into().ok())
        .ok_or_else(refused)?;
    let fits = |start: u32, long: u32, whole: u32| {
        long > 0 && start.checked_add(long).is_some_and(|end| end <= whole)
    };
    if !fits(x, width, picture.width) || !fits(y, height, picture.height) {
        return Err(refused());
    }
    let row = |row: u32| {
        let start = 3 * (row as usize * picture.width as usize + x as usize);
        &picture.rgb[start..start + 3 * width as usize]
    };
    Ok(Picture {
        width,
        height,
        rgb: (y..y + height).flat_map(row).copied().collect(),
    })
}

fn as_json(path: &Path, palette: &Palette) -> PaletteOut {
    let flat = |lab: colour::Lab| [lab.l, lab.a, lab.b];
    PaletteOut {
        file: path.display().to_string(),
        mean: flat(palette.mean()),
        swatches: palette
            .swatches()
            .iter()
            .map(|swatch| SwatchOut {
                share: swatch.share,
                lab: flat(swatch.lab),
                hex: palettes::hex(swatch.lab),
            })
            .collect(),
    }
}
