//! `lorod stamp`: from a drawing to copper. One file per command.

mod draw;

use super::End;
use clap::{Args, Subcommand};
use words::Voice;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod stamp draw my-cloth sea-fan -o fan.pdf")]
pub struct Ask {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Print a design's stamp at full size for its maker
    Draw(draw::Ask),
}

impl Ask {
    /// Whether one JSON document is asked for.
    pub const fn json(&self) -> bool {
        match &self.command {
            Command::Draw(_) => false,
        }
    }
}

/// Runs it.
///
/// # Errors
/// What the command says.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    match &ask.command {
        Command::Draw(ask) => draw::run(ask, voice),
    }
}
