//! `lorod dye lot`: a new lot of a dye beside the last one.

use super::{card_file, keep, share, write_card};
use crate::cli::given::Given;
use crate::cli::measure::Written;
use crate::cli::table::Table;
use crate::cli::{End, tell, wire};
use crate::facts::dyes::{Asked, Lot, lot};
use crate::facts::measured::Sheet;
use crate::facts::recipes::{Followed, followed};
use clap::Args;
use colour::measured::Stated;
use serde::Serialize;
use std::path::PathBuf;
use words::{Arg, Voice, say, text};
use workspace::refitted;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  lorod dye lot dip.txt dyes/coral-vs.toml --workspace .

One flat dip of known depth (OWF_PCT) and the undyed cloth, dyed as the card's ladder was. One dip knows the strength no
better than it was dyed: three make sure of it. With -o and --replace the card takes the new height.")]
pub struct Ask {
    /// The dips: CGATS or CSV
    pub dips: PathBuf,
    /// Card of the dye, as the last lot was
    pub card: PathBuf,
    /// Say what becomes of the recipes of this workspace
    #[arg(long, value_name = "DIR")]
    pub workspace: Option<PathBuf>,
    /// Card to write for the new lot
    #[arg(short, long, value_name = "CARD")]
    pub output: Option<PathBuf>,
    /// The card to write is there already: put the new height in, leave all else as it is written
    #[arg(long, requires = "output")]
    pub replace: bool,
    /// Share of the dye put on that stayed bound [default: as on the card's ladder]
    #[arg(long, value_name = "SHARE")]
    pub share: Option<String>,
    /// When it was read, where the file does not say
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<String>,
    /// How reflectance is written, where the file does not say
    #[arg(long = "as", value_enum, value_name = "SCALE")]
    pub scale: Option<Written>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    id: String,
    /// Unit K/S of the new lot over that of the card.
    strength: f64,
    /// Its standard error, a share.
    error: f64,
    /// CIEDE2000 left when the strength is set right.
    hue_off: f64,
    readings: u32,
    /// What every depth of this dye is multiplied by.
    depths_times: f64,
    /// Steps of the workspace's routes that use the dye.
    recipes: Vec<RecipeOut>,
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct RecipeOut {
    design: String,
    step: String,
    was: wire::QuantityOut,
    becomes: wire::QuantityOut,
}

/// Runs it.
///
/// # Errors
/// If the dips do not tell the strength, or the card cannot be written.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    if let Some(output) = &ask.output {
        keep(output, ask.replace)?;
    }
    let file = card_file(&ask.card)?;
    let given = Given::read(&ask.dips)?;
    let asked = Asked {
        share: ask.share.as_deref().map(share).transpose()?,
        date: ask.date.clone(),
        deepest: None,
    };
    let stated = Stated {
        scale: ask.scale.map(Written::scale),
        viewing: None,
    };
    let sheet = Sheet::read(&given.source.text, &given.source.path, stated);
    let found = match lot(&sheet, &file.card, &asked) {
        Ok(found) => found,
        Err(findings) => return Err(given.refused(findings)),
    };
    let recipes = match &ask.workspace {
        None => Vec::new(),
        Some(dir) => followed(&crate::cli::end::open(dir)?, &file.card.id, found.strength.ratio),
    };
    if let Some(output) = &ask.output {
        let base = if output.exists() {
            card_file(output)?.source
        } else {
            file.source
        };
        let text = refitted(&base.text, &base.path, &found.card).map_err(|f| End::refused(vec![f]))?;
        write_card(output, text)?;
    }
    if ask.json {
        let strength = &found.strength;
        wire::print(&Out {
            id: found.card.id.clone(),
            strength: strength.ratio,
            error: strength.error,
            hue_off: strength.off,
            readings: strength.readings,
            depths_times: 1.0 / strength.ratio,
            recipes: recipes
                .iter()
                .map(|r| RecipeOut {
                    design: r.design.clone(),
                    step: r.step.clone(),
                    was: wire::QuantityOut::new(r.was, voice),
                    becomes: wire::QuantityOut::new(r.becomes, voice),
                })
                .collect(),
            findings: wire::findings(
                &found.findings,
                |path| (path == given.source.path).then_some(&given.source),
                voice,
            ),
        });
    } else {
        tell(&as_text(ask, &found, &recipes, voice));
        given.aside(&found.findings, voice);
    }
    super::ended(&found.findings)
}

fn as_text(ask: &Ask, found: &Lot, recipes: &[Followed], voice: Voice) -> String {
    let strength = &found.strength;
    let percent = |v: f64, decimals| Arg::Number(100.0 * v, decimals);
    let line = say!(
        "{dye}: the new lot is {ratio} % as strong as the card, known within {error} %; {off} dE00 of hue are left.",
        "{dye}: lot baru {ratio} % sekuat kartunya, ketelitian {error} %; sisa selisih rona {off} dE00.",
        dye = Arg::Name(found.card.name.clone()),
        ratio = percent(strength.ratio, 1),
        error = percent(2.0 * strength.error, 1),
        off = Arg::Number(strength.off, 2)
    );
    let mut out = format!("{}\n", line.say(voice));
    // A difference that its error covers changes no recipe.
    let stands_out = (strength.ratio - 1.0).abs() > 2.0 * strength.error;
    let follow = if stands_out {
        say!(
            "Recipes follow: weigh {times} times as much of it.",
            "Resep menyesuaikan: timbang {times} kali lipat.",
            times = Arg::Number(1.0 / strength.ratio, 3)
        )
    } else {
        say!(
            "The difference is within its error: leave the recipes, or dye two more dips to be sure. (By this dip: \
             {times} times as much.)",
            "Selisihnya masih dalam ketelitian: biarkan resepnya, atau celup dua kali lagi. (Menurut celupan ini: {times} \
             kali lipat.)",
            times = Arg::Number(1.0 / strength.ratio, 3)
        )
    };
    out += &format!("{}\n", follow.say(voice));
    if !recipes.is_empty() {
        let mut table = Table::new(&[false, false, true, true]);
        table.row([
            text!("design", "desain").raw(voice.language),
            text!("step", "langkah").raw(voice.language),
            text!("was", "semula").raw(voice.language),
            text!("becomes", "menjadi").raw(voice.language),
        ]);
        for recipe in recipes {
            table.row([
                recipe.design.clone(),
                recipe.step.clone(),
                voice.quantity(recipe.was),
                voice.quantity(recipe.becomes),
            ]);
        }
        out += &table.text();
    }
    if let Some(path) = &ask.output {
        let line = say!(
            "{file} is written: pictures now show the new lot; change the depths to keep the look",
            "{file} sudah ditulis: gambar kini memakai lot baru; ubah kedalaman agar rupa kain tetap",
            file = Arg::Name(path.display().to_string())
        );
        out += &format!("{}\n", line.say(voice));
    }
    out
}
