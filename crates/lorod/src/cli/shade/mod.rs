//! `lorod shade`: recipes for colours, of the store by itself or through the whole route of a design.

mod colourways;
mod route;
mod store;

use super::End;
use clap::{Args, ValueEnum};
use colour::measured::Scale;
use colour::recipe::{Objective, Order};
use std::path::PathBuf;
use words::Voice;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod shade my-cloth '#c83c28' -o red.png
  lorod shade my-cloth 54,40,31 --order cheapest --gamut reach.svg
  lorod shade my-cloth swatches.txt --as percent --by lights

  lorod shade my-cloth --design sea-fan --gamut reach.png
  lorod shade my-cloth --design sea-fan --colourways tonal -o tones.png
  lorod shade my-cloth --design sea-fan \"scarlet fans=#a8453c\" --write

A target is a file of measured reflectance, L*,a*,b* in daylight (D65, 10 degrees), or a screen colour.
With --design the colours are those of the finished cloth, region by region as [[targets]] of the design's file names
them; dyes, depths and the time of the bleach are sought together through all its steps.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Colours that are wanted: a file of measurements, `L,a,b` or `#rrggbb`; with --design `REGION=COLOUR`
    #[arg(value_name = "TARGET", required_unless_present = "design")]
    pub targets: Vec<String>,
    /// Through the route of this design
    #[arg(long, value_name = "ID")]
    pub design: Option<String>,
    /// Seek depths and times only: every step keeps its dyes
    #[arg(long, requires = "design")]
    pub keep_dyes: bool,
    /// Solve nothing: say what the regions look like with the recipes there are
    #[arg(long, requires = "design", conflicts_with_all = ["keep_dyes", "write", "gamut", "output"])]
    pub as_it_is: bool,
    /// Propose other colours for the regions: shift, contrast, tonal, or a picture whose colours to take; -o draws
    /// them on one sheet
    #[arg(long, value_name = "SCHEME", requires = "design", conflicts_with_all = ["keep_dyes", "write", "gamut", "as_it_is"])]
    pub colourways: Option<String>,
    /// Write the recipes into the design's file, if nobody has changed it meanwhile
    #[arg(long, requires = "design")]
    pub write: bool,
    /// What a recipe is to bring near the target [default: lights if it was measured, else daylight]
    #[arg(long, value_enum)]
    pub by: Option<By>,
    /// Which recipe comes first
    #[arg(long, value_enum, default_value_t = First::Closest)]
    pub order: First,
    /// Dyes in a recipe at most
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=3))]
    pub dyes: u8,
    /// Recipes to show for a target
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub best: u16,
    /// How reflectance is written, where a file does not say: never guessed
    #[arg(long = "as", value_enum, value_name = "SCALE")]
    pub scale: Option<Written>,
    /// Swatches of target and recipes to write (.svg or .png); of several targets one file each
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// Everything that can be reached, with the targets on it, to write (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub gamut: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// What a recipe is to bring near the target.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum By {
    /// Reflectance: matches under any lamp, as far as the dyes can
    Spectrum,
    /// Colour in daylight (CIEDE2000, D65)
    Daylight,
    /// Colour under D65, A and F11, daylight counting twice
    Lights,
}

/// Which recipe comes first.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum First {
    /// Nearest to the target; among those that look the same the cheaper
    Closest,
    /// Cheapest, of those near the target
    Cheapest,
    /// Least dye to wash off, of those near the target
    Cleanest,
    /// Slowest to bleach, of those near the target: keeps under wax
    Resistant,
    /// Fastest to bleach, of those near the target: clears from a ground
    Clearing,
}

/// How reflectance is written.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Written {
    /// The perfect white is 1
    Fraction,
    /// The perfect white is 100
    Percent,
}

impl By {
    const fn objective(self) -> Objective {
        match self {
            Self::Spectrum => Objective::Spectrum,
            Self::Daylight => Objective::Daylight,
            Self::Lights => Objective::Lights,
        }
    }
}

impl First {
    const fn order(self) -> Order {
        match self {
            Self::Closest => Order::Closest,
            Self::Cheapest => Order::Cheapest,
            Self::Cleanest => Order::Cleanest,
            Self::Resistant => Order::Resistant,
            Self::Clearing => Order::Clearing,
        }
    }
}

impl Written {
    const fn scale(self) -> Scale {
        match self {
            Self::Fraction => Scale::Fraction,
            Self::Percent => Scale::Percent,
        }
    }
}

/// Runs it.
///
/// # Errors
/// If a target is no colour, a file is wrong, or nothing can be solved.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    match &ask.design {
        Some(design) if ask.colourways.is_some() => {
            let scheme = ask.colourways.as_deref().unwrap_or_default();
            colourways::run(ask, design, scheme, voice)
        }
        Some(design) => route::run(ask, design, voice),
        None => store::run(ask, voice),
    }
}
