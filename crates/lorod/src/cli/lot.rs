//! `lorod lot`: first, middle and last bolt of a lot side by side.

use super::end::{design, open, shop};
use super::lettering::contact_sheet;
use super::progress::Progress;
use super::table::Table;
use super::wire::QuantityOut;
use super::{End, out, stop, tell, wire};
use crate::facts::lot::{Apart, Asked, Lot, OneBolt, list, lot, reads};
use clap::Args;
use cloth::Reads;
use cloth::lot::{Led, Wander};
use serde::Serialize;
use std::path::PathBuf;
use units::{Measure, Quantity};
use words::{Arg, Line, Voice, say, text};

/// Side of a picture, pixels.
const SIDE: u32 = 420;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod lot my-cloth sea-fan --bolts 12 -o lot.png
  lorod lot my-cloth sea-fan --bolts 12 --left

Baths weaken and are topped up, wax drifts with the pan, hands are early or late; how far is assumed. --left shows
the lot if nobody tops up or strengthens a bath until it is made anew.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Bolts of the lot
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub bolts: u32,
    /// Which lot [default: named like the design]
    #[arg(long, value_name = "ID")]
    pub lot: Option<String>,
    /// Baths are left to themselves
    #[arg(long)]
    pub left: bool,
    /// Picture to write (PNG)
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON. Distances are earth mover's distances of palettes, dE00.
#[derive(Serialize)]
struct Out {
    design: String,
    bolts: Vec<BoltOut>,
    /// Two readings of one bolt: less than this is no difference.
    reading: Vec<ApartOut>,
    size: SizeOut,
    file: Option<String>,
}

#[derive(Serialize)]
struct BoltOut {
    number: u32,
    from_first: Vec<ApartOut>,
    from_design: Vec<ApartOut>,
    motifs: Vec<MotifOut>,
}

#[derive(Serialize)]
struct ApartOut {
    /// `ground`, or the id of the waxing.
    region: String,
    distance: f64,
}

#[derive(Serialize)]
struct MotifOut {
    /// Id of the waxing.
    region: String,
    at_hand: f64,
    from_two_metres: f64,
    /// `clearly`, `softly` or `drowned`.
    reads: &'static str,
}

#[derive(Serialize)]
struct SizeOut {
    issue: QuantityOut,
    width: QuantityOut,
    length: QuantityOut,
}

/// Runs it.
///
/// # Errors
/// If there is no such design, or the picture cannot be made.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let flag = stop::flag();
    let asked = Asked {
        lot: ask.lot.clone().unwrap_or_else(|| design.id.clone()),
        bolts: ask.bolts,
        wander: Wander::default(),
        led: if ask.left { Led::Left } else { Led::BySheet },
    };
    let progress = Progress::new("lot");
    let lot = lot(&design, shop, &asked, &|share| {
        progress.at(0.7 * share);
        !stop::raised()
    })
    .map_err(out::not_made)?;
    if let Some(path) = &ask.output {
        let (mut near, mut wide) = (Vec::new(), Vec::new());
        for one in &lot.bolts {
            let [piece, width] = one.pictures(SIDE, flag).map_err(out::not_made)?;
            near.push((piece, caption(one, voice)));
            wide.push((width, afar(one, voice)));
        }
        near.extend(wide);
        if let Some(sheet) = contact_sheet(&near, lot.bolts.len() as u32) {
            let png = cloth::png(&sheet, 100.0).map_err(|error| End::disk(path, &error.into()))?;
            out::write(path, &png)?;
        }
    }
    progress.done();
    if ask.json {
        wire::print(&json(&lot, ask, voice));
    } else {
        tell(&as_text(&lot, voice));
    }
    Ok(())
}

fn caption(one: &OneBolt, voice: Voice) -> String {
    let number = Arg::Number(f64::from(one.number), 0);
    let line = if one.from_first.is_empty() {
        say!("bolt {n}", "gulung {n}", n = number)
    } else {
        say!(
            "bolt {n}: from the first {apart} dE",
            "gulung {n}: dari yang pertama {apart} dE",
            n = number,
            apart = Arg::Name(list(&one.from_first, voice))
        )
    };
    line.say(voice)
}

fn afar(one: &OneBolt, voice: Voice) -> String {
    let all: Vec<String> = one
        .stands_out
        .iter()
        .map(|s| reads(s).raw(voice.language).to_string())
        .collect();
    all.join(", ")
}

fn as_text(lot: &Lot, voice: Voice) -> String {
    let raw = |text: &words::Text| text.raw(voice.language).to_string();
    let mut text = String::new();
    let mut table = Table::new(&[true, false, true, true, true, true]);
    table.row([
        raw(text!("bolt", "gulung")),
        raw(text!("region", "bagian")),
        raw(text!("from the first", "dari yang pertama")),
        raw(text!("from the design", "dari desain")),
        raw(text!("from its ground", "dari latarnya")),
        raw(text!("at two metres", "dari dua meter")),
    ]);
    for one in &lot.bolts {
        for (at, (waxing, from_design)) in one.from_design.iter().enumerate() {
            let first = one.from_first.iter().find(|(w, _)| w == waxing);
            let stands = one.stands_out.iter().find(|s| Some(s.waxing) == *waxing);
            let de = |d: f64| voice.number(d, 1);
            table.row([
                if at == 0 {
                    voice.number(f64::from(one.number), 0)
                } else {
                    String::new()
                },
                lot.region(*waxing).say(voice),
                first.map_or_else(String::new, |(_, d)| de(*d)),
                de(*from_design),
                stands.map_or_else(String::new, |s| de(s.at_hand)),
                stands.map_or_else(String::new, |s| de(s.afar)),
            ]);
        }
    }
    text += &table.text();
    for line in remarks(lot, voice) {
        text += &format!("{}\n", line.say(voice));
    }
    text
}

fn remarks(lot: &Lot, voice: Voice) -> Vec<Line> {
    let mut lines = vec![lot.readings(voice), lot.verdict()];
    if let Some(stands) = lot.bolts.first().and_then(|one| one.stands_out.first()) {
        lines.push(say!(
            "{reads}.",
            "{reads}.",
            reads = Arg::Name(reads(stands).raw(voice.language).to_string())
        ));
    }
    lines.push(lot.issue());
    lines
}

fn json(lot: &Lot, ask: &Ask, voice: Voice) -> Out {
    let region = |waxing: Option<usize>| {
        waxing
            .and_then(|at| lot.design.steps.get(at))
            .map_or_else(|| "ground".to_string(), |step| step.id.clone())
    };
    let apart = |all: &Apart| -> Vec<ApartOut> {
        all.iter()
            .map(|(waxing, distance)| ApartOut {
                region: region(*waxing),
                distance: *distance,
            })
            .collect()
    };
    let length = |l: units::Length| QuantityOut::new(Quantity::new(l.0, Measure::Length), voice);
    Out {
        design: lot.design.id.clone(),
        bolts: lot
            .bolts
            .iter()
            .map(|one| BoltOut {
                number: one.number,
                from_first: apart(&one.from_first),
                from_design: apart(&one.from_design),
                motifs: one
                    .stands_out
                    .iter()
                    .map(|s| MotifOut {
                        region: region(Some(s.waxing)),
                        at_hand: s.at_hand,
                        from_two_metres: s.afar,
                        reads: match s.reads() {
                            Reads::Clearly => "clearly",
                            Reads::Softly => "softly",
                            Reads::Drowned => "drowned",
                        },
                    })
                    .collect(),
            })
            .collect(),
        reading: apart(&lot.reading),
        size: SizeOut {
            issue: length(lot.sizes.issue),
            width: length(lot.sizes.width),
            length: length(lot.sizes.length),
        },
        file: ask.output.as_ref().map(|path| path.display().to_string()),
    }
}
