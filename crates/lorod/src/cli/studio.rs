//! `lorod studio`: the same answers as pages, on this computer only.

use super::plan::{TRIES, first_day};
use super::{End, tell};
use crate::facts::HouseFacts;
use crate::facts::problem::Asked;
use crate::studio::{Options, Reading, serve_blocking};
use clap::Args;
use sky::Date;
use std::path::PathBuf;
use std::sync::Arc;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// Port unless asked otherwise.
pub const PORT: u16 = 8713;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod studio my-cloth --port 0

Only this computer can reach it. Ctrl-C ends it.")]
pub struct Ask {
    /// Folder of the workspace; a new or empty one is filled with an invented workshop and dyes to start from
    pub dir: PathBuf,
    /// Port; 0 takes a free one
    #[arg(long, value_name = "N", default_value_t = PORT)]
    pub port: u16,
    /// First day of the plan [default: tomorrow]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<String>,
}

/// Runs it until Ctrl-C.
///
/// # Errors
/// If there is no workspace, or the port is taken.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    // A newcomer begins in the studio itself: a new or empty folder gets a workshop and dyes to start from.
    super::new::begin(&ask.dir)?;
    // Says what is missing before a port is taken.
    let reading = Reading::of(&ask.dir)?;
    let first_day = first_day(ask.from.as_deref(), reading.workspace())?;
    open(reading, ask.port, first_day, voice)
}

/// Serves until Ctrl-C; pages speak like `voice` until their reader chooses.
///
/// # Errors
/// If the port is taken.
pub fn open(reading: Reading, port: u16, first_day: Date, voice: Voice) -> Result<(), End> {
    let facts = HouseFacts::new(Asked {
        first_day,
        strike_offs: Vec::new(),
        courier_days: None,
        tries: TRIES,
    });
    let options = Options {
        port,
        voice,
        facts: Arc::new(facts),
        ready: Box::new(|address| tell(&format!("http://{address}/   (Ctrl-C)\n"))),
    };
    serve_blocking(reading, options).map_err(|error| {
        let found = say!(
            "the studio stopped: {why}",
            "studio berhenti: {why}",
            why = Arg::Name(format!("{error:#}"))
        );
        let finding = Finding::new("studio", Weight::Wrong, Place::Request, found);
        End::trouble(finding.remedy(say!(
            "try another port: {option}",
            "coba port lain: {option}",
            option = Arg::Name("--port 0".into())
        )))
    })
}
