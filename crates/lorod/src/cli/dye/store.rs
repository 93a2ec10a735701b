//! `lorod dye store`: which dyes of a workspace clear, and which bind in its rest.

use crate::cli::drawing::Answer;
use crate::cli::table::Table;
use crate::cli::{End, drawing, end, tell, wire};
use crate::facts::recipes::{Stated, conditions};
use clap::Args;
use colour::DyeCard;
use colour::plot::{Store, StorePoint, store_points, store_svg};
use serde::Serialize;
use std::path::PathBuf;
use units::{Celsius, Measure, Quantity, Span, parse_as};
use words::{Place, Voice, finding_of, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod dye store my-cloth -o store.svg
  lorod dye store my-cloth --rest \"16 h\" --cloth \"26 C\" -o night.png

Rest and bath are those that most steps of the routes have, unless stated here. A dye without a strip test is drawn
hollow: its rate is assumed, anywhere on its thread.

Never mix bleach with acid: poisonous gas. Local rules and a licensed person come first.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// How long the cloth rests wet and alkaline
    #[arg(long, value_name = "TIME")]
    pub rest: Option<String>,
    /// How warm it is then
    #[arg(long, value_name = "TEMPERATURE")]
    pub cloth: Option<String>,
    /// How warm the bleach bath is
    #[arg(long, value_name = "TEMPERATURE")]
    pub bath: Option<String>,
    /// Its pH
    #[arg(long, value_name = "PH")]
    pub ph: Option<String>,
    /// Its available chlorine
    #[arg(long, value_name = "STRENGTH")]
    pub chlorine: Option<String>,
    #[command(flatten)]
    pub answer: Answer,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    rest: wire::QuantityOut,
    cloth: wire::QuantityOut,
    bath: wire::QuantityOut,
    ph: f64,
    chlorine_g_per_l: f64,
    dyes: Vec<DyeOut>,
}

#[derive(Serialize)]
struct DyeOut {
    id: String,
    name: String,
    /// Share of the dye on the cloth that is bound after the rest.
    bound: f64,
    /// Minutes until 2 % of what chlorine can clear is left; `null` if the card says nothing for this pH.
    clears_min: Option<f64>,
    /// The factor, up and down, within which that is known; 1 with a strip test.
    factor: f64,
    rate: wire::OriginOut,
}

/// Runs it.
///
/// # Errors
/// If no route says how cloth rests and is bleached, or the plot cannot be written.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let si = |typed: &Option<String>, measure: Measure| {
        let read = |typed: &String| {
            parse_as(typed, measure)
                .map(|typed| typed.quantity.si)
                .map_err(|problem| End::usage(finding_of(&problem, Place::Request)))
        };
        typed.as_ref().map(read).transpose()
    };
    let stated = Stated {
        rest: si(&ask.rest, Measure::Span)?.map(Span),
        cloth: si(&ask.cloth, Measure::Temperature)?.map(Celsius),
        bath: si(&ask.bath, Measure::Temperature)?.map(Celsius),
        ph: si(&ask.ph, Measure::Acidity)?,
        chlorine: si(&ask.chlorine, Measure::PerVolume)?,
    };
    let workspace = end::open(&ask.dir)?;
    let store = conditions(&workspace, stated).map_err(|f| End::refused(vec![f]))?;
    let dyes: Vec<&DyeCard> = workspace.dyes.iter().map(|card| &**card).collect();
    let points = store_points(&dyes, store);
    if let Some(path) = &ask.answer.output {
        drawing::write(path, &store_svg(&dyes, store, voice))?;
    }
    if ask.answer.json {
        wire::print(&as_json(&points, &dyes, store, voice));
        return Ok(());
    }
    tell(&as_text(&points, &dyes, voice));
    if let Some(path) = &ask.answer.output {
        tell(&format!("{}\n", path.display()));
    }
    Ok(())
}

fn as_text(points: &[StorePoint], dyes: &[&DyeCard], voice: Voice) -> String {
    let raw = |t: &'static words::Text| t.raw(voice.language).to_string();
    let mut rows: Vec<(&StorePoint, &&DyeCard)> = points.iter().zip(dyes).collect();
    let minutes = |p: &StorePoint| p.clears_min.unwrap_or(f64::INFINITY);
    rows.sort_by(|a, b| minutes(a.0).total_cmp(&minutes(b.0)));
    let mut table = Table::new(&[false, true, true, false]);
    table.row([
        raw(text!("dye", "pewarna")),
        raw(text!("clears in", "tercabut dalam")),
        raw(text!("bound", "terikat")),
        raw(text!("rate", "laju")),
    ]);
    for (point, card) in rows {
        let clears = match point.clears_min {
            None => raw(text!("not known at this pH", "belum diketahui pada pH ini")),
            Some(m) if point.factor > 1.0 => {
                let n = |v| voice.number(v, 0);
                format!("{}-{} min", n(m / point.factor), n(m * point.factor))
            }
            Some(m) => format!("{} min", voice.number(m, 0)),
        };
        table.row([
            point.name.clone(),
            clears,
            format!("{} %", voice.number(100.0 * point.bound, 0)),
            raw(card.bleaching.rate.origin.mark()),
        ]);
    }
    table.text()
}

fn as_json(points: &[StorePoint], dyes: &[&DyeCard], store: Store, voice: Voice) -> Out {
    let quantity = |si, measure| wire::QuantityOut::new(Quantity::new(si, measure), voice);
    Out {
        rest: quantity(store.rest.0, Measure::Span),
        cloth: quantity(store.cloth.0, Measure::Temperature),
        bath: quantity(store.bath.0, Measure::Temperature),
        ph: store.ph,
        chlorine_g_per_l: store.chlorine,
        dyes: points
            .iter()
            .zip(dyes)
            .map(|(point, card)| DyeOut {
                id: point.id.clone(),
                name: point.name.clone(),
                bound: point.bound,
                clears_min: point.clears_min,
                factor: point.factor,
                rate: wire::OriginOut::new(&card.bleaching.rate.origin),
            })
            .collect(),
    }
}
