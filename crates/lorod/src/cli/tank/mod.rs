//! `lorod tank`: times and doses at the bleach, from a witness strip or a titration.

mod pages;

use super::end::{design, open, shop};
use super::wire::QuantityOut;
use super::{End, tell, typed, wire};
use crate::facts::tank::{Known, Seen, Sheets, tank};
use clap::{Args, ValueEnum};
use cloth::window::chlorine_titrated;
use route::{Caution, DumpSheet, LotShape, dumps_at};
use serde::Serialize;
use std::path::PathBuf;
use units::{Celsius, Measure, Quantity, Span};
use words::{Arg, Finding, Place, Voice, Weight, say};

use pages::{emptying_page, tank_page, tub_page};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod tank my-cloth sea-fan --strip 4:10
  lorod tank my-cloth sea-fan --titrated \"8.1 mL\" --sample \"10 mL\" --temperature \"29 C\" --stock \"80 g/L\"
  lorod tank my-cloth sea-fan --strength \"1.5 g/L\" --sheet emptying

Doses for the bath, for the cloth and for emptying stand on three sheets: --sheet tank, tub or emptying.
NEVER mix bleach with acid. Local rules and a licensed person come first.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Which bleach, by id or number [default: the first]
    #[arg(long, value_name = "STEP")]
    pub step: Option<String>,
    /// Which sheet
    #[arg(long, value_enum, default_value_t = Which::Tank)]
    pub sheet: Which,
    /// When the witness strip had reached the printed tint: minutes:seconds
    #[arg(long, value_name = "M:SS")]
    pub strip: Option<String>,
    /// Thiosulfate that the sample took
    #[arg(long, value_name = "VOLUME", conflicts_with = "strength")]
    pub titrated: Option<String>,
    /// Bath that was titrated
    #[arg(long, value_name = "VOLUME", default_value = "10 mL")]
    pub sample: String,
    /// Normality of the thiosulfate
    #[arg(long, value_name = "N", default_value_t = 0.1)]
    pub normality: f64,
    /// Available chlorine, if it is known already
    #[arg(long, value_name = "G/L")]
    pub strength: Option<String>,
    /// Temperature of the bath [default: the design's]
    #[arg(long, value_name = "TEMPERATURE")]
    pub temperature: Option<String>,
    /// From lifting to antichlor [default: the design's]
    #[arg(long, value_name = "TIME")]
    pub lag: Option<String>,
    /// Available chlorine of the stock, as titrated
    #[arg(long, value_name = "G/L")]
    pub stock: Option<String>,
    /// Loads that have been in this bath
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u32).range(0..=100))]
    pub done: u32,
    /// One JSON document instead of text: all sheets
    #[arg(long)]
    pub json: bool,
}

/// The three sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Which {
    /// The bath: times and strengthening
    Tank,
    /// The tub: antichlor for the cloth
    Tub,
    /// Emptying the tank
    Emptying,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    design: String,
    step: String,
    tank: TankOut,
    tub: TubOut,
    emptying: EmptyingOut,
}

#[derive(Serialize)]
struct TankOut {
    strength: QuantityOut,
    /// Was it titrated, or is it the design's?
    titrated: bool,
    temperature: QuantityOut,
    /// `strip`, `rates` or `nothing`: where times come from.
    known_by: &'static str,
    /// s from the start of the cloth; `null` without a strip.
    clear: Option<f64>,
    /// s.
    lift: Option<f64>,
    /// s later, if the bath weakens as a load makes it.
    later_if_weakening: Option<f64>,
    /// s: longest that the thinnest line stands.
    longest: Option<f64>,
    batches: Vec<BatchOut>,
    /// L of stock to the design's strength.
    strengthen: Option<f64>,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
struct BatchOut {
    number: u32,
    /// g/L before it.
    chlorine: f64,
    /// L of stock to add first.
    add: f64,
    /// s.
    lift: f64,
    /// mm of the thinnest line that are left after it.
    line: Option<f64>,
    dump: bool,
}

#[derive(Serialize)]
struct TubOut {
    /// For a full load.
    antichlor: QuantityOut,
    bolts: u32,
    /// Of the bath that the load goes into.
    strength: QuantityOut,
    /// `titrated`, `strengthened` or `designed`: who says how strong.
    strength_by: &'static str,
    /// For a bolt and each g/L, whatever else is titrated.
    bolt_per_strength: QuantityOut,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
struct EmptyingOut {
    volume: QuantityOut,
    strength: QuantityOut,
    antichlor: QuantityOut,
    lines: Vec<String>,
    cautions: Vec<&'static str>,
}

/// Runs it.
///
/// # Errors
/// If the design is not bleached, or what was typed cannot be read.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let seen = seen(ask)?;
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let tank = tank(&design, shop, ask.step.as_deref()).map_err(|f| End::refused(vec![f]))?;
    let sheets = tank.sheets(&seen, shop);
    let lot = LotShape::new(&design.id, tank.bolts, 0, design.cloth);
    let dump = dumps_at(&design, &lot, shop, seen.chlorine)
        .into_iter()
        .find(|dump| dump.step == tank.id);
    let Some(dump) = dump else { return Ok(()) };
    if ask.json {
        wire::print(&out(&sheets, &dump, voice));
        return Ok(());
    }
    let page = match ask.sheet {
        Which::Tank => tank_page(&sheets, ask, voice),
        Which::Tub => tub_page(&sheets, voice),
        Which::Emptying => emptying_page(&sheets, &dump, voice),
    };
    tell(&page);
    Ok(())
}

fn seen(ask: &Ask) -> Result<Seen, End> {
    let of = |text: &Option<String>, measure, range| {
        text.as_ref()
            .map(|text| typed::quantity(text, measure, range))
            .transpose()
    };
    let strength = of(&ask.strength, Measure::PerVolume, 0.01..=200.0)?;
    let titrated = match &ask.titrated {
        None => None,
        Some(text) => {
            let thiosulfate = typed::quantity(text, Measure::Volume, 0.0..=1e-3)?;
            let sample = typed::quantity(&ask.sample, Measure::Volume, 1e-7..=1e-2)?;
            let normality = typed::number("--normality", ask.normality, 0.001..=2.0)?;
            chlorine_titrated(thiosulfate * 1e6, normality, sample * 1e6)
        }
    };
    Ok(Seen {
        chlorine: strength.or(titrated),
        temperature: of(&ask.temperature, Measure::Temperature, 0.0..=60.0)?.map(Celsius),
        strip: ask.strip.as_deref().map(minutes).transpose()?,
        lag: of(&ask.lag, Measure::Span, 0.0..=1800.0)?.map(Span),
        stock: of(&ask.stock, Measure::PerVolume, 0.1..=300.0)?,
        done: ask.done,
    })
}

/// "4:10", or a duration with its unit.
fn minutes(text: &str) -> Result<Span, End> {
    let Some((minutes, seconds)) = text.split_once(':') else {
        return typed::quantity(text, Measure::Span, 1.0..=7200.0).map(Span);
    };
    let whole = |part: &str, most: u32| {
        let plain = !part.is_empty() && part.len() <= 3 && part.bytes().all(|b| b.is_ascii_digit());
        plain
            .then(|| part.parse::<u32>().ok())
            .flatten()
            .filter(|n| *n <= most)
    };
    match (whole(minutes, 120), whole(seconds, 59)) {
        (Some(m), Some(s)) if m + s > 0 && seconds.len() == 2 => Ok(Span(f64::from(60 * m + s))),
        _ => Err(End::usage(
            Finding::new(
                "not-a-time",
                Weight::Wrong,
                Place::Request,
                say!(
                    "\"{text}\" is no time on a stopwatch",
                    "\"{text}\" bukan waktu pada stopwatch",
                    text = Arg::Name(super::end::short(text))
                ),
            )
            .allow(say!(
                "minutes and seconds like 4:10, or a time with its unit like \"250 s\"",
                "menit dan detik seperti 4:10, atau waktu dengan satuan seperti \"250 s\""
            )),
        )),
    }
}

fn out(sheets: &Sheets, dump: &DumpSheet, voice: Voice) -> Out {
    let quantity = |si, measure| QuantityOut::new(Quantity::new(si, measure), voice);
    let raw = |all: &[Caution]| all.iter().map(|c| c.text.raw(voice.language)).collect();
    Out {
        design: sheets.tank.design.id.clone(),
        step: sheets.tank.id.clone(),
        tank: TankOut {
            strength: quantity(sheets.now.chlorine, Measure::PerVolume),
            titrated: sheets.titrated,
            temperature: quantity(sheets.now.temperature.0, Measure::Temperature),
            known_by: match sheets.known {
                Known::ByStrip => "strip",
                Known::ByRates => "rates",
                Known::Not => "nothing",
            },
            clear: sheets.strip.map(|read| read.clear.0),
            lift: sheets.strip.map(|read| read.lift.0),
            later_if_weakening: sheets.strip.and_then(|read| read.weaker).map(|late| late.0),
            longest: sheets.longest.map(|t| t.0),
            batches: sheets
                .batches
                .iter()
                .map(|batch| BatchOut {
                    number: batch.number,
                    chlorine: batch.chlorine,
                    add: batch.add,
                    lift: batch.strengthened_time.0,
                    line: sheets
                        .line_left(batch.strengthened_time)
                        .map(|(left, _)| left.to_mm()),
                    dump: batch.dump,
                })
                .collect(),
            strengthen: sheets.strengthen,
            cautions: raw(sheets.tank.cautions),
        },
        tub: TubOut {
            antichlor: quantity(sheets.tub.load.0, Measure::Mass),
            bolts: sheets.tank.bolts,
            strength: quantity(sheets.tub.strength, Measure::PerVolume),
            strength_by: sheets.tub.by.key(),
            bolt_per_strength: quantity(sheets.tub.bolt_per_strength.0, Measure::Mass),
            cautions: raw(sheets.tub.cautions),
        },
        emptying: EmptyingOut {
            volume: QuantityOut::new(dump.volume, voice),
            strength: QuantityOut::new(dump.strength, voice),
            antichlor: QuantityOut::new(dump.antichlor.amount, voice),
            lines: dump.lines.iter().map(|line| line.say(voice)).collect(),
            cautions: raw(&dump.cautions),
        },
    }
}
