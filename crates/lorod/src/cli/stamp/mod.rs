//! `lorod stamp`: from a drawing to copper. One file per command.

mod check;
mod draw;
mod drawing;
mod propose;
mod repeat;
mod shelf;

use super::End;
use super::end::{no_such, short};
use clap::{Args, Subcommand};
use route::{Design, StampUse};
use words::{Arg, Finding, Place, Voice, Weight, say};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod stamp check fan.svg --size \"200 mm\" -o marked.svg
  lorod stamp propose fan.svg --size \"200 mm\" -o buildable.svg
  lorod stamp draw my-cloth sea-fan -o fan.pdf
  lorod stamp shelf my-cloth")]
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
    /// Say whether a design's stamp joins its neighbours, and what slips of the hand do
    Repeat(repeat::Ask),
    /// Say what each copy of the stamps has printed and when it is to be filed; record what was done
    Shelf(shelf::Ask),
}

impl Ask {
    /// Whether one JSON document is asked for.
    pub const fn json(&self) -> bool {
        match &self.command {
            Command::Check(ask) => ask.json,
            Command::Propose(ask) => ask.json,
            Command::Draw(ask) => ask.json,
            Command::Repeat(ask) => ask.json,
            Command::Shelf(ask) => ask.json,
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
        Command::Repeat(ask) => repeat::run(ask, voice),
        Command::Shelf(ask) => shelf::run(ask, voice),
    }
}

/// The stamp of a design that was asked for, or its first.
fn chosen<'d>(design: &'d Design, id: Option<&str>) -> Result<&'d StampUse, End> {
    let found = match id {
        Some(id) => design.stamps.iter().find(|used| used.id == id),
        None => design.stamps.first(),
    };
    found.ok_or_else(|| {
        let Some(id) = id else {
            let found = say!(
                "{design} is made without a stamp",
                "{design} dibuat tanpa cap",
                design = Arg::Name(design.name.clone())
            );
            return End::refused(vec![Finding::new(
                "no-stamp",
                Weight::Wrong,
                Place::Request,
                found,
            )]);
        };
        let found = say!(
            "there is no stamp {id}",
            "tidak ada cap {id}",
            id = Arg::Name(short(id))
        );
        let known = design.stamps.iter().map(|used| used.id.as_str());
        End::refused(vec![no_such("no-such-stamp", found, id, known)])
    })
}
