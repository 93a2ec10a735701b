//! Colourways of a design, and a contact sheet of them.

use super::super::lettering::contact_sheet;
use super::super::progress::Progress;
use super::super::table::Table;
use super::super::{end, out, stop, tell, wire};
use super::{Ask, End};
use crate::facts::pictures::Roll;
use crate::facts::seen;
use crate::facts::shades::colourways::{Colourway, Scheme, colourways, pixels_palette};
use crate::facts::shades::route::spots;
use colour::plot::hex_of;
use serde::Serialize;
use std::path::Path;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// Longest picture that is read, bytes.
const MOST: u64 = 64 << 20;
/// Pixels of a picture on the sheet.
const CELL: (u32, u32) = (380, 380);

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Id of the design.
    design: String,
    /// Proposals, the most forgiving bleach first.
    colourways: Vec<ColourwayOut>,
}

/// A proposal.
#[derive(Serialize)]
struct ColourwayOut {
    name: String,
    /// Regions with what was asked for and what the finished cloth has, as `#rrggbb`.
    regions: Vec<[String; 3]>,
    /// Mean CIEDE2000 between the two.
    moved: f64,
    /// Share of bolts that pass at the best time of the bleach; `null` without a timed bleach.
    chance: Option<f64>,
    /// Minutes in which enough bolts pass.
    open_minutes: Option<f64>,
}

/// Proposes and draws.
pub fn run(ask: &Ask, id: &str, scheme: &str, voice: Voice) -> Result<(), End> {
    let workspace = end::open(&ask.dir)?;
    let design = end::design(&workspace, id)?;
    let shop = end::shop(&workspace)?;
    let spots = spots(&workspace, &design, &[]).map_err(|f| End::in_files(f, &workspace))?;
    let scheme = read(scheme, spots.len())?;
    let progress = Progress::new(&design.name);
    let found = colourways(&workspace, &design, shop, &spots, &scheme, voice, &|share| {
        progress.at(share)
    })
    .map_err(|f| End::in_files(f, &workspace))?;
    progress.done();
    if let Some(path) = &ask.output {
        sheet(path, &found, shop, voice)?;
    }
    if ask.json {
        wire::print(&Out {
            design: design.id.clone(),
            colourways: found.iter().map(|c| colourway_out(c, voice)).collect(),
        });
        return Ok(());
    }
    let mut table = Table::new(&[false, true, true, true, false]);
    table.row([
        say!("colourway", "warna baru").say(voice),
        say!("moved, dE00", "bergeser, dE00").say(voice),
        say!("bolts that pass", "gulung lolos").say(voice),
        say!("window", "jendela waktu").say(voice),
        say!("regions", "bagian").say(voice),
    ]);
    for way in &found {
        let colours: Vec<String> = way.solved.regions.iter().map(|r| hex_of(r.lab)).collect();
        let none = || "-".to_string();
        table.row([
            way.name.say(voice),
            voice.number(way.moved, 1),
            way.chance()
                .map_or_else(none, |c| format!("{} %", voice.number(100.0 * c, 0))),
            way.open_minutes()
                .map_or_else(none, |m| format!("{} min", voice.number(m, 1))),
            colours.join(" "),
        ]);
    }
    tell(&table.text());
    Ok(())
}

/// The name of a scheme, or a picture.
fn read(text: &str, regions: usize) -> Result<Scheme, End> {
    match text {
        "shift" => Ok(Scheme::Shift),
        "contrast" => Ok(Scheme::Contrast),
        "tonal" => Ok(Scheme::Tonal),
        file if Path::new(file).exists() => {
            let bytes = out::read(Path::new(file), MOST)?;
            let picture = seen::picture(&bytes, file).map_err(|f| End::refused(vec![f]))?;
            let palette = pixels_palette(&picture, regions.max(2)).map_err(|f| End::refused(vec![f]))?;
            Ok(Scheme::Photo(palette))
        }
        _ => {
            let found = say!(
                "\"{text}\" is neither a scheme nor a picture",
                "\"{text}\" bukan skema dan bukan gambar",
                text = Arg::Name(end::short(text))
            );
            let finding = Finding::new("no-such-scheme", Weight::Wrong, Place::Request, found);
            Err(End::usage(finding.allow(say!(
                "shift, contrast, tonal, or a picture (PNG, JPEG)",
                "shift, contrast, tonal, atau gambar (PNG, JPEG)"
            ))))
        }
    }
}

fn sheet(path: &Path, found: &[Colourway], shop: &route::Workshop, voice: Voice) -> Result<(), End> {
    let progress = Progress::new(&path.display().to_string());
    let mut cells = Vec::new();
    for (at, way) in found.iter().enumerate() {
        progress.at(at as f64 / found.len() as f64);
        let design = &way.solved.design;
        let picture = Roll::of(design, shop)
            .piece(design.steps.len(), CELL, stop::flag())
            .map_err(out::not_made)?;
        let caption = match way.chance() {
            Some(chance) => say!(
                "{name}: {pass} % pass, {moved} dE00 moved",
                "{name}: {pass} % lolos, geser {moved} dE00",
                name = Arg::Name(way.name.say(voice)),
                pass = Arg::Number(100.0 * chance, 0),
                moved = Arg::Number(way.moved, 1)
            ),
            None => way.name.clone(),
        };
        cells.push((picture, caption.say(voice)));
    }
    progress.done();
    let Some(sheet) = contact_sheet(&cells, 3) else {
        return Ok(());
    };
    let bytes = cloth::png(&sheet, 96.0).map_err(|e| End::disk(path, &e.into()))?;
    out::write(path, &bytes)
}

fn colourway_out(way: &Colourway, voice: Voice) -> ColourwayOut {
    let region = |r: &cloth::aim::Seen| {
        [
            r.name.clone(),
            r.target.map_or_else(String::new, hex_of),
            hex_of(r.lab),
        ]
    };
    ColourwayOut {
        name: way.name.say(voice),
        regions: way.solved.regions.iter().map(region).collect(),
        moved: way.moved,
        chance: way.chance(),
        open_minutes: way.open_minutes(),
    }
}
