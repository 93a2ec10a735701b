//! `lorod dye mix`: what dyes look like together.

use super::{dye, share};
use crate::cli::drawing::Answer;
use crate::cli::given::Given;
use crate::cli::measure::Written;
use crate::cli::table::Table;
use crate::cli::{End, drawing, end, tell, wire};
use crate::facts::measured::Sheet;
use crate::facts::mixtures::{Mixture, Taught, learned, mixture};
use clap::Args;
use colour::measured::Stated;
use colour::{DyeCard, Illuminant, Lab};
use serde::Serialize;
use std::path::PathBuf;
use words::{Arg, Finding, Place, Voice, Weight, say, text};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod dye mix my-cloth marine-vs=0.6% gold-dct=0.4%
  lorod dye mix my-cloth marine-vs=0.6% gold-dct=0.4% --mixtures greens.txt -o green.svg

Depths are put on, % of the cloth's weight, dyed as the cards' ladders were. K/S of dyes add up; a file of measured
mixtures (columns OWF_PCT_<dye>) teaches how far pairs depart from that, where it stands out of the noise.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Two dyes or more with their depths: ID=DEPTH
    #[arg(required = true, num_args = 2..=4, value_name = "DYE=DEPTH")]
    pub dyes: Vec<String>,
    /// Measured mixtures to learn from: CGATS or CSV
    #[arg(long, value_name = "FILE")]
    pub mixtures: Option<PathBuf>,
    /// How reflectance is written, where that file does not say
    #[arg(long = "as", value_enum, value_name = "SCALE")]
    pub scale: Option<Written>,
    #[command(flatten)]
    pub answer: Answer,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Reflectance, 400 to 700 nm.
    reflectance: Vec<f64>,
    hex: String,
    /// CIELAB under each light, 10 degrees.
    lab: Vec<LightOut>,
    /// CIEDE2000 (D65, 10 degrees) that the errors of the ladders leave open, two standard errors.
    within: f64,
    /// Pairs that were learned to depart from their sum.
    pairs: Vec<PairOut>,
    /// CIEDE2000 of every measured mixture from its prediction, without and with the pairs.
    learned_off: Vec<[f64; 2]>,
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct LightOut {
    illuminant: &'static str,
    lab: [f64; 3],
}

#[derive(Serialize)]
struct PairOut {
    one: String,
    other: String,
    departure: f64,
    error: f64,
}

/// Runs it.
///
/// # Errors
/// If a dye is not there, or the file of mixtures cannot be used.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = end::open(&ask.dir)?;
    let mut dyes: Vec<(&DyeCard, f64)> = Vec::new();
    for typed in &ask.dyes {
        let (id, depth) = typed.split_once('=').ok_or_else(|| no_depth(typed))?;
        let card = dye(&workspace, id.trim())?;
        if dyes.iter().any(|(known, _)| known.id == card.id) {
            return Err(no_depth(typed));
        }
        dyes.push((card, 100.0 * share(depth.trim())?));
    }
    let given = ask.mixtures.as_deref().map(Given::read).transpose()?;
    let cards: Vec<&DyeCard> = workspace.dyes.iter().map(|card| &**card).collect();
    let taught = match &given {
        None => Taught::default(),
        Some(given) => {
            let stated = Stated {
                scale: ask.scale.map(Written::scale),
                viewing: None,
            };
            let sheet = Sheet::read(&given.source.text, &given.source.path, stated);
            match learned(&sheet, &cards) {
                Ok(taught) => taught,
                Err(findings) => return Err(End::in_source(findings, given.source.clone())),
            }
        }
    };
    let mixture = mixture(&dyes, &taught);
    if let Some(path) = &ask.answer.output {
        drawing::write(path, &mixture.svg(voice))?;
    }
    if ask.answer.json {
        wire::print(&as_json(&mixture, &taught, given.as_ref(), voice));
        return Ok(());
    }
    tell(&as_text(&mixture, &taught, voice));
    for finding in &mixture.findings {
        eprint!("{}", words::show(finding, None, voice));
    }
    if let Some(given) = &given {
        given.aside(&taught.findings, voice);
    }
    if let Some(path) = &ask.answer.output {
        tell(&format!("{}\n", path.display()));
    }
    Ok(())
}

fn no_depth(typed: &str) -> End {
    let found = say!(
        "\"{typed}\" is no dye with a depth, or stands twice",
        "\"{typed}\" bukan pewarna dengan kedalaman, atau tertulis dua kali",
        typed = Arg::Name(end::short(typed))
    );
    let finding = Finding::new("mix-dye", Weight::Wrong, Place::Request, found);
    End::usage(finding.allow(say!(
        "an id, an equals sign and a depth: {example}",
        "id, tanda sama dengan, dan kedalaman: {example}",
        example = Arg::Name("marine-vs=0.6%".into())
    )))
}

fn as_text(mixture: &Mixture, taught: &Taught, voice: Voice) -> String {
    let n = |v: f64| voice.number(v, 1);
    let mut table = Table::new(&[false, true, true, true, false]);
    table.row(["", "L*", "a*", "b*", ""]);
    let row = |name: String, lab: Lab, hex: &str| [name, n(lab.l), n(lab.a), n(lab.b), hex.to_string()];
    for (illuminant, lab) in Illuminant::ALL.into_iter().zip(mixture.lab) {
        let name = illuminant.term().text.raw(voice.language);
        let hex = if illuminant == Illuminant::D65 {
            mixture.hex.as_str()
        } else {
            ""
        };
        table.row(row(format!("{name} ({})", illuminant.key()), lab, hex));
    }
    let within = say!(
        "The ladders' errors leave {within} dE00 open, up or down.",
        "Galat tangga warna membuka {within} dE00, ke atas atau ke bawah.",
        within = Arg::Number(mixture.within, 1)
    );
    let mut out = format!("{}{}\n", table.text(), within.say(voice));
    if taught.off.is_empty() {
        return out;
    }
    let mean =
        |which: fn(&(f64, f64)) -> f64| taught.off.iter().map(which).sum::<f64>() / taught.off.len() as f64;
    let line = say!(
        "{count} measured mixtures: predicted within {before} dE00 on average by the sum alone, {after} with what they \
         taught.",
        "{count} campuran terukur: perkiraan rata-rata berselisih {before} dE00 dengan jumlah saja, {after} setelah belajar.",
        count = Arg::Number(taught.off.len() as f64, 0),
        before = Arg::Number(mean(|o| o.0), 2),
        after = Arg::Number(mean(|o| o.1), 2)
    );
    out += &format!("{}\n", line.say(voice));
    if !taught.pairs.is_empty() {
        let mut table = Table::new(&[false, true]);
        table.row([
            text!("pair", "pasangan").raw(voice.language),
            text!("from the sum", "dari jumlah").raw(voice.language),
        ]);
        // Where both absorb alike, and less elsewhere: half of the departure.
        let percent = |share: f64| voice.number(50.0 * share, 1);
        for pair in &taught.pairs {
            table.row([
                format!("{} + {}", pair.one, pair.other),
                format!(
                    "{} \u{b1} {} %",
                    percent(pair.departure),
                    percent(2.0 * pair.error)
                ),
            ]);
        }
        out += &table.text();
    }
    out
}

fn as_json(mixture: &Mixture, taught: &Taught, given: Option<&Given>, voice: Voice) -> Out {
    let all: Vec<Finding> = mixture.findings.iter().chain(&taught.findings).cloned().collect();
    let source = |path: &str| given.map(|g| &g.source).filter(|s| s.path == path);
    Out {
        reflectance: mixture.reflectance.to_vec(),
        hex: mixture.hex.clone(),
        lab: Illuminant::ALL
            .into_iter()
            .zip(mixture.lab)
            .map(|(illuminant, lab)| LightOut {
                illuminant: illuminant.key(),
                lab: [lab.l, lab.a, lab.b],
            })
            .collect(),
        within: mixture.within,
        pairs: taught
            .pairs
            .iter()
            .map(|pair| PairOut {
                one: pair.one.clone(),
                other: pair.other.clone(),
                departure: pair.departure,
                error: pair.error,
            })
            .collect(),
        learned_off: taught.off.iter().map(|(a, b)| [*a, *b]).collect(),
        findings: wire::findings(&all, source, voice),
    }
}
