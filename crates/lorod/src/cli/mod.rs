//! The command line: one file per command. Arguments are read here; what is printed comes from the crates below.

mod archive;
mod baths;
mod cards;
mod check;
mod cloth;
mod compare;
mod cost;
mod demo;
mod drawing;
mod dye;
mod end;
mod given;
mod learn;
mod lettering;
mod lot;
mod measure;
mod new;
mod out;
mod pack;
mod palette;
mod plan;
mod plan_file;
mod plan_said;
mod plan_state;
mod plan_views;
mod progress;
mod rain;
mod season;
mod shade;
mod stamp;
mod stop;
mod studio;
mod table;
mod tank;
mod tiles;
mod typed;
mod window;
mod wire;

pub use end::End;

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::io::Write as _;
use std::process::ExitCode;
use words::{Language, Voice};

const ABOUT: &str = "From artwork to shipped bolt of hand-stamped wax-resist cotton";
const LONG_ABOUT: &str = "From artwork to shipped bolt of hand-stamped wax-resist cotton: the stamp, pictures of the \
    cloth after every step, baths, cost, plan, job cards.\n\nWithout a command lorod makes the demonstration in \
    ./reef-and-rain (if there is none), works all of it out into reef-and-rain/out, and opens the studio.";
const AFTER: &str = "\
Examples:
  lorod                                     the demonstration, then the studio
  lorod new my-cloth --artwork fan.svg --name \"Sea fan\"
  lorod check my-cloth
  lorod cloth my-cloth sea-fan -o fan.png

Exit codes:
  0    done
  1    something is wrong in the workspace, or cannot be done as asked; the findings say what
  2    the command line is wrong
  3    a file or folder cannot be read or written
  130  stopped with Ctrl-C; no file is half-written, and a picture waits as .NAME.part for the same command to go on";

/// Everything a person may type.
#[derive(Debug, Parser)]
#[command(name = "lorod", version, about = ABOUT, long_about = LONG_ABOUT, after_help = AFTER)]
struct Cli {
    #[command(flatten)]
    reader: ReaderArgs,
    /// Without a command: make everything, but do not open the studio
    #[arg(long)]
    no_serve: bool,
    /// Without a command: port of the studio; 0 takes a free one
    #[arg(long, value_name = "N", default_value_t = studio::PORT)]
    port: u16,
    #[command(subcommand)]
    command: Option<Command>,
}

/// Who reads the answer.
#[derive(Clone, Copy, Debug, Args)]
struct ReaderArgs {
    /// Language of findings and sheets [default: en]; on job cards the one that is large [default: id]
    #[arg(long, global = true, value_enum)]
    lang: Option<Lang>,
    /// Inches, yards, ounces and gallons instead of metric units
    #[arg(long, global = true)]
    imperial: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Lang {
    /// English
    En,
    /// Bahasa Indonesia
    Id,
}

impl ReaderArgs {
    const fn voice(self) -> Voice {
        self.speaking(Lang::En)
    }
    /// The floor reads Bahasa Indonesia unless somebody says otherwise.
    const fn floor(self) -> Voice {
        self.speaking(Lang::Id)
    }
    const fn speaking(self, otherwise: Lang) -> Voice {
        let lang = match self.lang {
            Some(lang) => lang,
            None => otherwise,
        };
        Voice {
            language: match lang {
                Lang::En => Language::En,
                Lang::Id => Language::Id,
            },
            system: if self.imperial {
                units::System::Imperial
            } else {
                units::System::Metric
            },
        }
    }
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Make a new workspace, with a first design if there is a drawing
    New(new::Ask),
    /// Say everything that is wrong or doubtful, file by file and along each route
    Check(check::Ask),
    /// Make a picture of the cloth after any step
    Cloth(cloth::Ask),
    /// From a drawing to copper: check it, make it buildable, print it for its maker
    Stamp(stamp::Ask),
    /// Find recipes for colours
    Shade(shade::Ask),
    /// Say what goes into each bath, bolt after bolt
    Baths(baths::Ask),
    /// Say what a lot, a bolt and a yard cost
    Cost(cost::Ask),
    /// Show first, middle and last bolt of a lot side by side
    Lot(lot::Ask),
    /// Say how long a timed step may run, how surely, and what would widen that
    Window(window::Ask),
    /// Say how long a load stays in the bleach, and what to add, from a strip or a titration
    Tank(tank::Ask),
    /// Fit constants to the workshop's own strips, wedges and weighed bolts; hold forecasts against outcomes
    Learn(learn::Ask),
    /// Plan all orders
    Plan(plan::Ask),
    /// Say when artwork, stamps, strike-offs, bulk and shipping are due, and what the next visit is for
    Season(season::Ask),
    /// Say whether to hang cloth out now or wait; repair the plan of a day whose weather is known
    Rain(rain::Ask),
    /// Print job cards and batch sheets
    Cards(cards::Ask),
    /// Print the handover pack for the workshop, and the line sheet for buyers
    Pack(pack::Ask),
    /// Put the whole folder into one archive
    Archive(archive::Ask),
    /// Make a folder of an archive
    Unpack(archive::UnpackAsk),
    /// Compare a photograph of real cloth with what was approved
    Compare(compare::Ask),
    /// Say what a file of measurements holds, as colours and shade bands
    Measure(measure::Ask),
    /// Dye cards from measured cloth: fit, new lots, mixtures, the store
    Dye(dye::Ask),
    /// Say how far the colours of two pictures lie apart
    Palette(palette::Ask),
    /// Open the studio: the same answers as pages, on this computer only
    Studio(studio::Ask),
}

/// Runs what was typed; answers the exit code (see `lorod --help`).
pub fn run(typed: impl IntoIterator<Item = OsString>) -> ExitCode {
    let cli = match Cli::try_parse_from(typed) {
        Ok(cli) => cli,
        Err(refused) => {
            // Help and version are answers, not faults; a closed pipe is the reader's affair.
            let _ = refused.print();
            return ExitCode::from(if refused.use_stderr() { end::USAGE } else { 0 });
        }
    };
    let voice = cli.reader.voice();
    let json = cli.command.as_ref().is_some_and(Command::json);
    let done = match cli.command {
        None => demo::run(!cli.no_serve, cli.port, voice, cli.reader.floor()),
        Some(Command::New(ask)) => new::run(&ask, voice),
        Some(Command::Check(ask)) => check::run(&ask, voice),
        Some(Command::Cloth(ask)) => cloth::run(&ask, voice),
        Some(Command::Stamp(ask)) => stamp::run(&ask, voice),
        Some(Command::Shade(ask)) => shade::run(&ask, voice),
        Some(Command::Baths(ask)) => baths::run(&ask, voice),
        Some(Command::Cost(ask)) => cost::run(&ask, voice),
        Some(Command::Window(ask)) => window::run(&ask, voice),
        Some(Command::Tank(ask)) => tank::run(&ask, voice),
        Some(Command::Learn(ask)) => learn::run(&ask, voice),
        Some(Command::Lot(ask)) => lot::run(&ask, voice),
        Some(Command::Plan(ask)) => plan::run(&ask, voice, cli.reader.floor()),
        Some(Command::Season(ask)) => season::run(&ask, voice),
        Some(Command::Rain(ask)) => rain::run(&ask, voice),
        Some(Command::Cards(ask)) => cards::run(&ask, voice, cli.reader.floor()),
        Some(Command::Pack(ask)) => pack::run(&ask, voice),
        Some(Command::Archive(ask)) => archive::run(&ask, voice),
        Some(Command::Unpack(ask)) => archive::run_unpack(&ask, voice),
        Some(Command::Compare(ask)) => compare::run(&ask, voice),
        Some(Command::Measure(ask)) => measure::run(&ask, voice),
        Some(Command::Dye(ask)) => dye::run(&ask, voice),
        Some(Command::Palette(ask)) => palette::run(&ask, voice),
        Some(Command::Studio(ask)) => studio::run(&ask, voice),
    };
    let Err(end) = done else { return ExitCode::SUCCESS };
    if json {
        end.print_json(voice);
    } else {
        end.print(voice);
    }
    ExitCode::from(end.code())
}

impl Command {
    const fn json(&self) -> bool {
        match self {
            Self::New(_)
            | Self::Cards(_)
            | Self::Pack(_)
            | Self::Archive(_)
            | Self::Unpack(_)
            | Self::Studio(_) => false,
            Self::Stamp(ask) => ask.json(),
            Self::Check(ask) => ask.json,
            Self::Measure(ask) => ask.answer.json,
            Self::Dye(ask) => ask.json(),
            Self::Palette(ask) => ask.answer.json,
            Self::Cloth(ask) => ask.json,
            Self::Shade(ask) => ask.json,
            Self::Baths(ask) => ask.json,
            Self::Cost(ask) => ask.json,
            Self::Window(ask) => ask.answer.json,
            Self::Tank(ask) => ask.json,
            Self::Learn(ask) => ask.json,
            Self::Lot(ask) => ask.json,
            Self::Plan(ask) => ask.json,
            Self::Season(ask) => ask.json,
            Self::Rain(ask) => ask.json,
            Self::Compare(ask) => ask.json,
        }
    }
}

/// Writes to the terminal. A reader that has gone away (`| head`) is no fault of the work.
fn tell(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}
