//! `lorod stamp draw`: the stamp at full size, over as many sheets as it needs.

use crate::cli::cards::Paper;
use crate::cli::end::{design, no_such, open, shop, short};
use crate::cli::{End, out, tell};
use crate::facts::papers::{Printed, stamp_paper};
use clap::Args;
use std::path::PathBuf;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod stamp draw my-cloth sea-fan -o fan.pdf

Print at 100 %, never fitted to the page; a bar on every sheet is there to be measured.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Id of the stamp inside the design [default: its first]
    #[arg(long, value_name = "ID")]
    pub stamp: Option<String>,
    /// Size of paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// PDF to write
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
}

/// Runs it.
///
/// # Errors
/// If the design has no such stamp.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    let known = || design.stamps.iter().map(|used| used.id.as_str());
    let id = match &ask.stamp {
        Some(id) if known().any(|k| k == id) => id.as_str(),
        Some(id) => {
            let found = say!(
                "there is no stamp {id}",
                "tidak ada cap {id}",
                id = Arg::Name(short(id))
            );
            return Err(End::refused(vec![no_such("no-such-stamp", found, id, known())]));
        }
        None => known().next().ok_or_else(|| {
            let found = say!(
                "{design} is made without a stamp",
                "{design} dibuat tanpa cap",
                design = Arg::Name(design.name.clone())
            );
            End::refused(vec![Finding::new(
                "no-stamp",
                Weight::Wrong,
                Place::Request,
                found,
            )])
        })?,
    };
    let printed = Printed {
        sheet: ask.paper.sheet(),
        voice,
        planned: None,
    };
    let pdf = stamp_paper(&design, id, shop, &printed).map_err(End::refused)?;
    out::write(&ask.output, &pdf)?;
    tell(&format!("{}\n", ask.output.display()));
    Ok(())
}
