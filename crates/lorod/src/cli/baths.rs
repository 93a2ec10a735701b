//! `lorod baths`: what goes into each bath, bolt after bolt.

use super::end::{design, open, shop};
use super::table::Table;
use super::wire::{DrawnOut, QuantityOut};
use super::{End, tell, wire};
use clap::Args;
use route::{BatchSheetData, Drawn, DumpSheet, LotShape, Vessel};
use serde::Serialize;
use std::path::PathBuf;
use words::{Arg, Text, Voice, say, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod baths my-cloth sea-fan --bolts 6")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Bolts of the lot
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub bolts: u32,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Id of the design.
    design: String,
    /// Bolts of the lot.
    bolts: u32,
    /// One sheet for each bath or table, in the order of the route.
    sheets: Vec<SheetOut>,
    /// One for each tank of bleach that is emptied.
    emptying: Vec<EmptyOut>,
    /// From the store for the whole lot.
    totals: Vec<DrawnOut>,
}

/// A batch sheet.
#[derive(Serialize)]
struct SheetOut {
    /// Permanent id of the step.
    step: String,
    /// Number that people call it by.
    number: u32,
    /// What is done.
    what: &'static str,
    /// Key of the vessel; `null` for what is weighed at the table.
    vessel: Option<&'static str>,
    /// Liquor of a full bath.
    volume: Option<QuantityOut>,
    /// Bolts that go in at once.
    bolts_a_load: Option<u32>,
    /// Bolts until it is made anew.
    bolts_a_bath: Option<u32>,
    /// A fresh bath.
    charge: Vec<DrawnOut>,
    /// Bolt by bolt.
    rows: Vec<RowOut>,
    /// The whole lot.
    totals: Vec<DrawnOut>,
}

/// One bolt.
#[derive(Serialize)]
struct RowOut {
    bolt: u32,
    bath: u32,
    load: u32,
    /// Is the bath made anew before it?
    fresh: bool,
    /// Weighed out before it.
    materials: Vec<DrawnOut>,
    /// Added after its load.
    top_ups: Vec<DrawnOut>,
}

/// Emptying a tank of bleach.
#[derive(Serialize)]
struct EmptyOut {
    /// Permanent id of the step.
    step: String,
    /// Key of the vessel.
    vessel: &'static str,
    /// Its liquor.
    volume: QuantityOut,
    /// Strength for which the dose holds.
    strength: QuantityOut,
    /// For the whole tank; never the dose for cloth.
    antichlor: Vec<DrawnOut>,
    /// What to do.
    lines: Vec<String>,
    /// What to take care of.
    cautions: Vec<&'static str>,
}

/// Runs it.
///
/// # Errors
/// If there is no such design.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let lot = LotShape::new(&design.id, ask.bolts, 0, design.cloth);
    let sheets = route::baths(&design, &lot, shop);
    let dumps = route::dumps(&design, &lot, shop);
    let totals = route::totals(&design, &lot, shop);
    if ask.json {
        wire::print(&Out {
            design: design.id.clone(),
            bolts: ask.bolts,
            sheets: sheets.iter().map(|sheet| sheet_out(sheet, voice)).collect(),
            emptying: dumps.iter().map(|dump| empty_out(dump, voice)).collect(),
            totals: DrawnOut::all(&totals, voice),
        });
    } else {
        tell(&as_text(&sheets, &dumps, &totals, voice));
    }
    Ok(())
}

fn sheet_out(sheet: &BatchSheetData, voice: Voice) -> SheetOut {
    let (vessel, volume, load, bath) = match &sheet.vessel {
        Vessel::Bath {
            key,
            volume,
            bolts_a_load,
            bolts_a_bath,
            ..
        } => (
            Some(*key),
            Some(QuantityOut::new(*volume, voice)),
            Some(*bolts_a_load),
            Some(*bolts_a_bath),
        ),
        Vessel::Table => (None, None, None, None),
    };
    let rows = sheet.rows.iter().map(|row| RowOut {
        bolt: row.bolt,
        bath: row.bath,
        load: row.load,
        fresh: row.fresh,
        materials: DrawnOut::all(&row.materials, voice),
        top_ups: DrawnOut::all(&row.top_ups, voice),
    });
    SheetOut {
        step: sheet.step.clone(),
        number: sheet.number,
        what: sheet.term.text.raw(voice.language),
        vessel,
        volume,
        bolts_a_load: load,
        bolts_a_bath: bath,
        charge: DrawnOut::all(&sheet.charge, voice),
        rows: rows.collect(),
        totals: DrawnOut::all(&sheet.totals, voice),
    }
}

fn empty_out(dump: &DumpSheet, voice: Voice) -> EmptyOut {
    EmptyOut {
        step: dump.step.clone(),
        vessel: dump.vessel,
        volume: QuantityOut::new(dump.volume, voice),
        strength: QuantityOut::new(dump.strength, voice),
        antichlor: DrawnOut::all(std::slice::from_ref(&dump.antichlor), voice),
        lines: dump.lines.iter().map(|line| line.say(voice)).collect(),
        cautions: dump.cautions.iter().map(|c| c.text.raw(voice.language)).collect(),
    }
}

/// The sheets as text.
pub fn as_text(sheets: &[BatchSheetData], dumps: &[DumpSheet], totals: &[Drawn], voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let mut out = String::new();
    for sheet in sheets {
        out += &format!("{}. {}", sheet.number, raw(&sheet.term.text));
        if let Vessel::Bath {
            key,
            volume,
            bolts_a_load,
            bolts_a_bath,
            care,
        } = &sheet.vessel
        {
            let n = |n: u32| Arg::Number(f64::from(n), 0);
            let how = say!(
                "{vessel}, {volume}; bolts at a time: {load}, until it is made anew: {bath}; baths: {baths}, loads: {loads}",
                "{vessel}, {volume}; gulung sekali masuk: {load}, sampai dibuat baru: {bath}; bak: {baths}, muatan: {loads}",
                vessel = Arg::Name((*key).to_string()),
                volume = Arg::Quantity(*volume),
                load = n(*bolts_a_load),
                bath = n(*bolts_a_bath),
                baths = n(sheet.baths),
                loads = n(sheet.loads)
            );
            out += &format!(": {}\n  {}\n", how.say(voice), raw(care));
        } else {
            out += &format!(
                ": {}\n",
                raw(text!("weighed out at the table", "ditimbang di meja"))
            );
        }
        let mut table = Table::new(&[false, false, true, false]);
        if !sheet.charge.is_empty() {
            rows(
                &mut table,
                &raw(text!("a fresh bath", "bak baru")),
                &sheet.charge,
                voice,
            );
        }
        // Bolts that take the same stand on one line.
        let mut at = 0;
        while let Some(row) = sheet.rows.get(at) {
            let alike =
                |other: &&route::BatchRow| other.materials == row.materials && other.top_ups == row.top_ups;
            let count = sheet.rows[at..].iter().take_while(alike).count().max(1);
            let bolts = match count {
                1 => format!("{} {}", raw(text!("bolt", "gulung")), row.bolt),
                n => format!(
                    "{} {}-{}",
                    raw(text!("bolts", "gulung")),
                    row.bolt,
                    row.bolt + n as u32 - 1
                ),
            };
            let each = if count > 1 {
                raw(text!(", each", ", masing-masing"))
            } else {
                String::new()
            };
            rows(&mut table, &format!("{bolts}{each}"), &row.materials, voice);
            let after = format!("{} {bolts}{each}", raw(text!("after", "sesudah")));
            rows(&mut table, &after, &row.top_ups, voice);
            at += count;
        }
        rows(
            &mut table,
            &raw(text!("the whole lot", "seluruh partai")),
            &sheet.totals,
            voice,
        );
        out += &table.text();
    }
    for dump in dumps {
        let head = say!(
            "Emptying the {vessel} after step {number} (never the dose for cloth):",
            "Membuang isi {vessel} sesudah langkah {number} (bukan takaran untuk kain):",
            vessel = Arg::Name(dump.vessel.to_string()),
            number = Arg::Number(f64::from(dump.number), 0)
        );
        out += &format!("{}\n", head.say(voice));
        let mut table = Table::new(&[false, false, true, false]);
        rows(
            &mut table,
            &raw(text!("the whole tank", "seluruh bak")),
            std::slice::from_ref(&dump.antichlor),
            voice,
        );
        out += &table.text();
        for line in &dump.lines {
            out += &format!("  {}\n", line.say(voice));
        }
        for caution in &dump.cautions {
            out += &format!("  ! {}\n", raw(&caution.text));
        }
    }
    out += &format!(
        "{}\n",
        raw(text!("From the store, in all", "Dari gudang, seluruhnya"))
    );
    let mut table = Table::new(&[false, true, false]);
    for drawn in totals {
        table.row([
            drawn.name.say(voice),
            voice.quantity(drawn.amount),
            mark(drawn, voice),
        ]);
    }
    out + &table.text()
}

fn rows(table: &mut Table, head: &str, all: &[Drawn], voice: Voice) {
    for (at, drawn) in all.iter().enumerate() {
        let head = if at == 0 { head } else { "" };
        table.row([
            head.to_string(),
            drawn.name.say(voice),
            voice.quantity(drawn.amount),
            mark(drawn, voice),
        ]);
    }
}

fn mark(drawn: &Drawn, voice: Voice) -> String {
    drawn.origin.as_ref().map_or_else(String::new, |origin| {
        format!("({})", origin.mark().raw(voice.language))
    })
}
