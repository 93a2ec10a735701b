//! `lorod cards`: job cards and batch sheets as PDF.

use super::check::aside;
use super::end::open;
use super::plan::{LONGEST, TRIES, first_day, for_papers, order};
use super::{End, out, tell};
use crate::facts::papers::{Printed, orders};
use crate::facts::problem::Asked;
use clap::{Args, ValueEnum};
use papers::Sheet;
use std::path::PathBuf;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod cards my-cloth -o cards.pdf
  lorod cards my-cloth --order o-101 --paper letter --lang en -o o-101.pdf

Both languages stand on every card; Bahasa Indonesia is large unless --lang en says otherwise. Times come from the plan that was chosen
(plan.json of the folder) while it fits the orders, else from a new one.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Only this order. May be repeated [default: all]
    #[arg(long, value_name = "ID")]
    pub order: Vec<String>,
    /// Size of paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// First day of the plan that times come from [default: tomorrow]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
    /// PDF to write
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Paper {
    /// 210 x 297 mm
    A4,
    /// 297 x 420 mm
    A3,
    /// 8.5 x 11 in
    Letter,
}

impl Paper {
    /// As papers know it.
    pub const fn sheet(self) -> Sheet {
        match self {
            Self::A4 => Sheet::A4,
            Self::A3 => Sheet::A3,
            Self::Letter => Sheet::UsLetter,
        }
    }
}

/// Runs it. `floor` is the voice of the cards, `voice` that of what is said about making them.
///
/// # Errors
/// If an order is not there or cannot be printed.
pub fn run(ask: &Ask, voice: Voice, floor: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    super::end::shop(&workspace)?;
    let mut ids = Vec::new();
    for id in &ask.order {
        let order = order(&workspace, id)?;
        super::end::design(&workspace, &order.design)?;
        ids.push(order.id.as_str());
    }
    if ask.order.is_empty() {
        ids = workspace.orders.iter().map(|order| order.id.as_str()).collect();
        for order in &workspace.orders {
            super::end::design(&workspace, &order.design)?;
        }
    }
    let asked = Asked {
        first_day: first_day(ask.from.as_deref(), &workspace)?,
        strike_offs: Vec::new(),
        courier_days: None,
        tries: TRIES,
    };
    let planned = match for_papers(&workspace, &asked, LONGEST, voice) {
        Ok(planned) => Some(planned),
        Err(end) => {
            // A card without times can be worked; no card cannot.
            end.print(voice);
            aside(&[without_times()], &workspace, voice);
            None
        }
    };
    let printed = Printed {
        sheet: ask.paper.sheet(),
        voice: floor,
        planned: planned.as_ref(),
    };
    let pdf = orders(&workspace, &ids, &printed).map_err(|findings| End::in_files(findings, &workspace))?;
    if super::stop::raised() {
        return Err(End::stopped());
    }
    out::write(&ask.output, &pdf)?;
    let line = say!(
        "{file}: cards and sheets of {n} orders, {kb} kB",
        "{file}: kartu dan lembar {n} pesanan, {kb} kB",
        file = Arg::Name(ask.output.display().to_string()),
        n = Arg::Number(ids.len() as f64, 0),
        kb = Arg::Number(pdf.len() as f64 / 1000.0, 0)
    );
    tell(&format!("{}\n", line.say(voice)));
    Ok(())
}

fn without_times() -> Finding {
    let found = say!(
        "there is no plan, so the cards carry no times",
        "belum ada rencana, jadi kartu tidak memuat jam"
    );
    Finding::new("cards-without-times", Weight::Doubtful, Place::Request, found)
}
