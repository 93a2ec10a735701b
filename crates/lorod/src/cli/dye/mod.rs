//! `lorod dye`: cards from measured cloth, lots, mixtures, and the store.

mod fit;
mod lot;
mod mix;
mod store;

use super::end::{REFUSED, short};
use super::{End, out};
use clap::{Args, Subcommand};
use colour::DyeCard;
use std::path::Path;
use units::{Measure, parse_as};
use words::{Arg, Finding, Place, Voice, Weight, finding_of, say};
use workspace::{Source, read_card};

/// Longest dye card that is read, bytes.
const MOST_CARD: u64 = 2 << 20;

/// What was typed.
#[derive(Debug, Args)]
pub struct Ask {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Fit a dye card to a ladder: cloth dyed to rising depths and measured, or photographed beside a grey card
    Fit(fit::Ask),
    /// Compare a new lot with its card by one flat dip, and say what becomes of the recipes
    Lot(lot::Ask),
    /// Predict what dyes look like together
    Mix(mix::Ask),
    /// Plot which dyes of a workspace clear, and which bind in its rest
    Store(store::Ask),
}

impl Ask {
    /// Was JSON asked for?
    pub const fn json(&self) -> bool {
        match &self.what {
            What::Fit(ask) => ask.json,
            What::Lot(ask) => ask.json,
            What::Mix(ask) => ask.answer.json,
            What::Store(ask) => ask.answer.json,
        }
    }
}

/// Runs it.
///
/// # Errors
/// As each of the commands.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    match &ask.what {
        What::Fit(ask) => fit::run(ask, voice),
        What::Lot(ask) => lot::run(ask, voice),
        What::Mix(ask) => mix::run(ask, voice),
        What::Store(ask) => store::run(ask, voice),
    }
}

/// A dye card and its file.
struct CardFile {
    card: DyeCard,
    source: Source,
}

/// Reads a card that may be used.
fn card_file(path: &Path) -> Result<CardFile, End> {
    let source = super::given::Given::of(path, out::read(path, MOST_CARD)?)?.source;
    match read_card(&source) {
        (Some(card), _) => Ok(CardFile { card, source }),
        (None, findings) => Err(End::in_source(findings, source)),
    }
}

/// A share from the command line, like "75 %".
fn share(typed: &str) -> Result<f64, End> {
    parse_as(typed, Measure::Share)
        .map(|typed| typed.quantity.si)
        .map_err(|problem| End::usage(finding_of(&problem, Place::Request)))
}

/// A dye of a workspace by id.
fn dye<'w>(workspace: &'w workspace::Workspace, id: &str) -> Result<&'w DyeCard, End> {
    let known = || workspace.dyes.iter().map(|card| card.id.as_str());
    workspace
        .dyes
        .iter()
        .find(|card| card.id == id)
        .map(|card| &**card)
        .ok_or_else(|| {
            let found = say!(
                "there is no dye {id} in this workspace",
                "tidak ada pewarna {id} di ruang kerja ini",
                id = Arg::Name(short(id))
            );
            End::refused(vec![super::end::no_such("no-such-dye", found, id, known())])
        })
}

/// Writes a card that was checked: as a reader of the workspace will find it.
fn write_card(path: &Path, text: String) -> Result<(), End> {
    let source = Source {
        path: path.display().to_string(),
        text,
        hash: [0; 32],
    };
    let (card, findings) = read_card(&source);
    if card.is_none() {
        return Err(End::in_source(findings, source));
    }
    out::write(path, source.text.as_bytes())
}

/// Refuses to write over a file that nobody said may go.
fn keep(path: &Path, replace: bool) -> Result<(), End> {
    if replace || !path.exists() {
        return Ok(());
    }
    let found = say!(
        "{path} is there already",
        "{path} sudah ada",
        path = Arg::Name(path.display().to_string())
    );
    let finding = Finding::new("card-exists", Weight::Wrong, Place::Request, found);
    Err(End::refused(vec![finding.remedy(say!(
        "give another name, or {replace}: only spectrum, K_max and ladder change, all else stays as it is written",
        "beri nama lain, atau {replace}: hanya spektrum, K_max, dan tangga yang berubah, sisanya tetap",
        replace = Arg::Name("--replace".into())
    ))]))
}

/// A doubt weighs nothing for the exit code; what is wrong does.
fn ended(findings: &[Finding]) -> Result<(), End> {
    if findings.iter().any(|f| f.weight == Weight::Wrong) {
        return Err(End::said(REFUSED));
    }
    Ok(())
}
