//! `lorod stamp`: from a drawing to copper. One file per command.

mod check;
mod draw;
mod drawing;
mod propose;

use super::End;
use clap::{Args, Subcommand};
use words::Voice;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod stamp check fan.svg --size \"200 mm\" -o marked.svg
  lorod stamp propose fan.svg --size \"200 mm\" -o buildable.svg
  lorod stamp draw my-cloth sea-fan -o fan.pdf")]
pub struct Ask {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Say whether copper can be bent to a drawing, place by place
    Check(check::Ask),
    /// Make a drawing buildable by small changes that can be refused
    Propose(propose::Ask),
    /// Print a design's stamp at full size for its maker
    Draw(draw::Ask),
}

impl Ask {
    /// Whether one JSON document is asked for.
    pub const fn json(&self) -> bool {
        match &self.command {
            Command::Check(ask) => ask.json,
            Command::Propose(ask) => ask.json,
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
        Command::Check(ask) => check::run(ask, voice),
        Command::Propose(ask) => propose::run(ask, voice),
        Command::Draw(ask) => draw::run(ask, voice),
    }
}
