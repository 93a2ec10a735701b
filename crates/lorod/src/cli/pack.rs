//! `lorod pack`: the handover pack for the workshop and the line sheet for buyers.

use super::cards::Paper;
use super::plan::{LONGEST, TRIES, first_day, for_papers};
use super::progress::Progress;
use super::{End, out, stop, tell};
use crate::facts::pack::Made;
use crate::facts::papers::Printed;
use crate::facts::problem::Asked;
use clap::Args;
use std::path::PathBuf;
use words::{Arg, Voice, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod pack my-cloth sea-fan -o sea-fan.pdf
  lorod pack my-cloth -o workshop.pdf --buyers line-sheet.pdf

The pack holds what each cloth is and looks like, its stamps at full size, its route, and cards and sheets of its
orders (of one bolt on trial, if nobody ordered it).")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Ids of designs [default: all]
    pub design: Vec<String>,
    /// PDF of the pack
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// PDF of the line sheet
    #[arg(long, value_name = "FILE")]
    pub buyers: Option<PathBuf>,
    /// Size of paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// First day of the plan that times come from [default: tomorrow]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
}

/// Runs it.
///
/// # Errors
/// If a design is not there or cannot be printed.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = super::end::open(&ask.dir)?;
    super::end::shop(&workspace)?;
    let mut ids = Vec::new();
    for id in &ask.design {
        super::end::design(&workspace, id)?;
        ids.push(id.as_str());
    }
    let asked = Asked {
        first_day: first_day(ask.from.as_deref(), &workspace)?,
        strike_offs: Vec::new(),
        courier_days: None,
        tries: TRIES,
    };
    // A pack without times can be worked.
    let planned = for_papers(&workspace, &asked, LONGEST, voice).ok();
    let printed = Printed {
        sheet: ask.paper.sheet(),
        voice,
        planned: planned.as_ref(),
    };
    let progress = Progress::new(&say!("drawing cloth", "menggambar kain").say(voice));
    let made = Made::of(&workspace, &ids, &|share| {
        progress.at(share);
        !stop::raised()
    });
    progress.done();
    if stop::raised() {
        return Err(End::stopped());
    }
    let refused = |findings| End::in_files(findings, &workspace);
    let made = made.map_err(refused)?;
    let pdf = made.workshop(&workspace, &printed).map_err(refused)?;
    let mut files = vec![(&ask.output, pdf)];
    if let Some(path) = &ask.buyers {
        files.push((
            path,
            made.buyers(&workspace, printed.sheet, voice).map_err(refused)?,
        ));
    }
    for (path, pdf) in files {
        out::write(path, &pdf)?;
        let line = say!(
            "{file}: {kb} kB",
            "{file}: {kb} kB",
            file = Arg::Name(path.display().to_string()),
            kb = Arg::Number(pdf.len() as f64 / 1000.0, 0)
        );
        tell(&format!("{}\n", line.say(voice)));
    }
    Ok(())
}
