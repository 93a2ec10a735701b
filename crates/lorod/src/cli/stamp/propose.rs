//! `lorod stamp propose`: a drawing made buildable by small changes that can be refused.

use super::drawing::{DrawingArgs, FaultOut, rounded};
use crate::cli::end::REFUSED;
use crate::cli::progress::Progress;
use crate::cli::{End, out, tell, wire};
use clap::Args;
use serde::Serialize;
use stamp::{Change, Proposal};
use std::path::PathBuf;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod stamp propose fan.svg --size \"200 mm\" -o buildable.svg --picture changes.svg
  lorod stamp propose fan.svg --size \"200 mm\" -o buildable.svg --refuse 3,7

Numbers stay the same from run to run for the same drawing and limits.
Exit code 1 if the result cannot be built either.")]
pub struct Ask {
    #[command(flatten)]
    drawing: DrawingArgs,
    /// Drawing to write (SVG, one repeat at its size)
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Picture of the drawing before and after, every change numbered (SVG)
    #[arg(long, value_name = "FILE")]
    picture: Option<PathBuf>,
    /// Numbers of changes that are not wanted
    #[arg(long, value_name = "N,N", value_delimiter = ',')]
    refuse: Vec<usize>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// The drawing.
    file: String,
    /// Whether the result can be built.
    buildable: bool,
    /// Surface that differs, mm2.
    changed_mm2: f64,
    /// The changes.
    changes: Vec<ChangeOut>,
    /// What is still wrong with the result.
    faults: Vec<FaultOut>,
}

#[derive(Serialize)]
struct ChangeOut {
    id: usize,
    /// `thicken`, `open`, `close`, `drop`, `grow`, `round`, `lengthen`, `bridge` or `join`.
    cure: &'static str,
    /// Code of the rule that asked for it.
    rule: &'static str,
    at_mm: [f64; 2],
    measured_mm: f64,
    limit_mm: f64,
    changed_mm2: f64,
    kept: bool,
}

impl ChangeOut {
    fn new(change: &Change) -> Self {
        Self {
            id: change.id,
            cure: change.cure.key(),
            rule: change.rule.code(),
            at_mm: change.at.map(rounded),
            measured_mm: rounded(change.measured[0]),
            limit_mm: rounded(change.measured[1]),
            changed_mm2: rounded(change.mm2()),
            kept: change.kept,
        }
    }
}

/// Runs it.
///
/// # Errors
/// If the drawing cannot be a stamp, or a number is no change.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let ready = ask.drawing.ready()?;
    let progress = Progress::new(&say!("proposing changes", "menyusun perubahan").say(voice));
    let all = Proposal::told(&ready.drawn.stamp, &ready.limits, ready.cloth_mm, &|share| {
        progress.at(share);
        true
    });
    progress.done();
    if let Some(id) = ask
        .refuse
        .iter()
        .find(|id| !(1..=all.changes.len()).contains(*id))
    {
        return Err(End::usage(no_change(*id, all.changes.len())));
    }
    let proposal = if ask.refuse.is_empty() {
        all
    } else {
        all.refusing(&ask.refuse)
    };
    out::write(&ask.output, proposal.drawing().as_bytes())?;
    if let Some(path) = &ask.picture {
        out::write(path, proposal.picture(voice).as_bytes())?;
    }
    let buildable = proposal.after.buildable();
    if ask.json {
        wire::print(&Out {
            file: ask.output.display().to_string(),
            buildable,
            changed_mm2: rounded(proposal.changed_mm2()),
            changes: proposal.changes.iter().map(ChangeOut::new).collect(),
            faults: FaultOut::all(&proposal.after),
        });
    } else {
        for change in &proposal.changes {
            tell(&format!("{}\n", line(change).say(voice)));
        }
        let left = proposal.after.faults.iter().filter(|f| f.rule.drawn()).count();
        let sum = say!(
            "{file}: {n} changes, {area} mm2 of wax in all; {left} places left.",
            "{file}: {n} perubahan, seluruhnya {area} mm2 malam; sisa {left} tempat.",
            file = Arg::Name(ask.output.display().to_string()),
            n = Arg::Number(proposal.changes.iter().filter(|c| c.kept).count() as f64, 0),
            area = Arg::Number(proposal.changed_mm2(), 1),
            left = Arg::Number(left as f64, 0)
        );
        tell(&format!("{}\n", sum.say(voice)));
    }
    if buildable {
        Ok(())
    } else {
        Err(End::said(REFUSED))
    }
}

fn line(change: &Change) -> words::Line {
    let mm = |v: f64| Arg::Number(v, 2);
    let (id, cure) = (Arg::Number(change.id as f64, 0), Arg::Text(change.cure.text()));
    let (x, y) = (Arg::Number(change.at[0], 1), Arg::Number(change.at[1], 1));
    if change.kept {
        say!(
            "{id}. {cure} at {x}, {y} mm: {was} mm, allowed {limit} mm",
            "{id}. {cure} di {x}, {y} mm: {was} mm, batas {limit} mm",
            id = id,
            cure = cure,
            x = x,
            y = y,
            was = mm(change.measured[0]),
            limit = mm(change.measured[1])
        )
    } else {
        say!(
            "{id}. refused: {cure} at {x}, {y} mm",
            "{id}. ditolak: {cure} di {x}, {y} mm",
            id = id,
            cure = cure,
            x = x,
            y = y
        )
    }
}

fn no_change(id: usize, changes: usize) -> Finding {
    let found = say!(
        "there is no change {id}",
        "tidak ada perubahan {id}",
        id = Arg::Number(id as f64, 0)
    );
    Finding::new("no-such-change", Weight::Wrong, Place::Request, found).allow(say!(
        "1 to {n}",
        "1 sampai {n}",
        n = Arg::Number(changes as f64, 0)
    ))
}
