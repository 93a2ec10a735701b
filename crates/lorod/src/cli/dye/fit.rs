//! `lorod dye fit`: a dye card from a ladder.

use super::{card_file, keep, share, write_card};
use crate::cli::given::Given;
use crate::cli::measure::Written;
use crate::cli::table::Table;
use crate::cli::{End, drawing, out, tell, wire};
use crate::facts::dyes::{Asked, Fitted, fitted, from_rungs};
use crate::facts::measured::Sheet;
use crate::facts::{patches, seen};
use clap::{Args, ValueEnum};
use colour::dye::{Chemistry, Price};
use colour::measured::Stated;
use colour::{DyeCard, nanometres};
use serde::Serialize;
use std::path::{Path, PathBuf};
use words::{Arg, Finding, Line, Place, Voice, Weight, say, text};
use workspace::{CardHead, Source, first_card, read_card, refitted, renamed};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod dye fit ladder.txt -o dyes/coral-vs.toml --replace --plot coral.png
  lorod dye fit ladder.txt -o dyes/fern-vs.toml --chemistry vinyl-sulfone --price \"310000 IDR/kg\"
  lorod dye fit patches.csv --photo ladder.jpg -o dyes/fern-vs.toml --like dyes/leaf-vs.toml --date 2026-11-28

A ladder is the undyed cloth and cloth dyed to rising depths, in a column OWF_PCT (% of the cloth's weight, put on).
With --photo the file names rectangles of the photograph instead: patch,x,y,width,height,owf_pct,grey (the grey card's
reflectance) or lab_l,lab_a,lab_b of target patches (D65, 10 degrees). Photograph in open shade, without flash.

Weigh dye powder in still air with a mask; the supplier's safety sheet and local rules go first.")]
pub struct Ask {
    /// The ladder: CGATS or CSV, or rectangles of a photograph
    pub ladder: PathBuf,
    /// Dye card to write
    #[arg(short, long, value_name = "CARD")]
    pub output: PathBuf,
    /// The card is there already: put the new spectrum in, leave all else as it is written
    #[arg(long)]
    pub replace: bool,
    /// Begin a new card from this one
    #[arg(long, value_name = "CARD", conflicts_with = "chemistry")]
    pub like: Option<PathBuf>,
    /// Begin a new card from what is usual for this chemistry, marked as assumed
    #[arg(long, value_enum)]
    pub chemistry: Option<Binds>,
    /// Id of a new card [default: the name of its file]
    #[arg(long)]
    pub id: Option<String>,
    /// Name of a new card [default: its id]
    #[arg(long)]
    pub name: Option<String>,
    /// Price of a new card's dye, like "310000 IDR/kg"
    #[arg(long)]
    pub price: Option<String>,
    /// Share of the dye put on that stayed bound, where the file does not say
    #[arg(long, value_name = "SHARE")]
    pub share: Option<String>,
    /// When it was read, where the file does not say
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<String>,
    /// Deepest shade you will make, like "4 %": says whether the ladder reaches it
    #[arg(long, value_name = "DEPTH")]
    pub deepest: Option<String>,
    /// How reflectance is written, where the file does not say
    #[arg(long = "as", value_enum, value_name = "SCALE")]
    pub scale: Option<Written>,
    /// The ladder is this photograph (PNG or JPEG), and the file names its rectangles
    #[arg(long, value_name = "PHOTO")]
    pub photo: Option<PathBuf>,
    /// Plot to write: .svg or .png
    #[arg(long, value_name = "FILE")]
    pub plot: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// How a dye binds.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Binds {
    /// Slow in the cold; most clear well
    VinylSulfone,
    /// Quick in the cold; many resist chlorine
    Dichlorotriazine,
    /// Wants heat
    Monochlorotriazine,
}

impl Binds {
    const fn chemistry(self) -> Chemistry {
        match self {
            Self::VinylSulfone => Chemistry::VinylSulfone,
            Self::Dichlorotriazine => Chemistry::Dichlorotriazine,
            Self::Monochlorotriazine => Chemistry::Monochlorotriazine,
        }
    }
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Card that was written.
    card: String,
    id: String,
    /// Origin of the spectrum.
    spectrum: wire::OriginOut,
    peak_nm: u32,
    /// K/S per g of bound dye per kg of cloth, 400 to 700 nm.
    unit_ks: Vec<f64>,
    /// Its standard error; `null` where it cannot be told.
    unit_error: Vec<Option<f64>>,
    k_max: f64,
    k_max_origin: wire::OriginOut,
    /// Share of the dye put on that was taken as bound.
    fixed_share: f64,
    white: Vec<f64>,
    /// Mean squared residual in units of the noise.
    misfit: f64,
    /// % owf put on.
    deepest: f64,
    rungs: Vec<RungOut>,
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct RungOut {
    /// % owf put on, as stated.
    depth: f64,
    /// Depth at which the fitted dye looks like it.
    looks_like: f64,
    ks_read: f64,
    ks_fitted: f64,
    /// CIEDE2000 between rung and fit (D65, 10 degrees).
    off: f64,
}

/// Runs it.
///
/// # Errors
/// If the ladder cannot be read or fitted, or the card not written.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    keep(&ask.output, ask.replace)?;
    let start = start(ask)?;
    let asked = Asked {
        share: ask.share.as_deref().map(share).transpose()?,
        date: ask.date.clone(),
        deepest: ask.deepest.as_deref().map(share).transpose()?.map(|d| d * 100.0),
    };
    let given = Given::read(&ask.ladder)?;
    let found = match &ask.photo {
        None => {
            let stated = Stated {
                scale: ask.scale.map(Written::scale),
                viewing: None,
            };
            let sheet = Sheet::read(&given.source.text, &given.source.path, stated);
            fitted(&sheet, &start.card, &asked)
        }
        Some(photo) => photographed(photo, &given, &start.card, &asked)?,
    };
    let found = match found {
        Ok(found) => found,
        Err(findings) => return Err(given.refused(findings)),
    };
    let text = refitted(&start.text, &start.path, &found.card).map_err(|f| End::refused(vec![f]))?;
    if let Some(plot) = &ask.plot {
        drawing::write(
            plot,
            &colour::plot::ladder_svg(&found.fit, &found.card.name, voice),
        )?;
    }
    write_card(&ask.output, text)?;
    if ask.json {
        wire::print(&as_json(ask, &found, &given, voice));
    } else {
        tell(&as_text(ask, &found, voice));
        given.aside(&found.findings, voice);
    }
    super::ended(&found.findings)
}

fn photographed(
    photo: &Path,
    given: &Given,
    base: &DyeCard,
    asked: &Asked,
) -> Result<Result<Fitted, Vec<Finding>>, End> {
    let bytes = out::read(photo, seen::MOST_BYTES)?;
    let picture = seen::picture(&bytes, &photo.display().to_string()).map_err(|f| End::refused(vec![f]))?;
    let rungs = patches::rungs(&picture, &given.source.text, &given.source.path);
    Ok(rungs.and_then(|(mut rungs, noise)| {
        rungs.sort_by(|a, b| a.depth.total_cmp(&b.depth));
        from_rungs(&rungs, noise, base, asked, Vec::new())
    }))
}

/// The text that the spectrum is put into, and the card that it is.
struct Start {
    text: String,
    path: String,
    card: DyeCard,
}

fn start(ask: &Ask) -> Result<Start, End> {
    let (text, path) = if ask.output.exists() {
        let file = card_file(&ask.output)?;
        (file.source.text, file.source.path)
    } else if let Some(like) = &ask.like {
        let file = card_file(like)?;
        let head = head(ask, Some(&file.card.price))?;
        let text = renamed(&file.source.text, &file.source.path, &head).map_err(|f| End::refused(vec![f]))?;
        (text, file.source.path)
    } else if let Some(binds) = ask.chemistry {
        let text = first_card(binds.chemistry(), &head(ask, None)?);
        (text, ask.output.display().to_string())
    } else {
        let found = say!(
            "there is no card {card} yet",
            "belum ada kartu {card}",
            card = Arg::Name(ask.output.display().to_string())
        );
        let finding = Finding::new("card-none", Weight::Wrong, Place::Request, found);
        return Err(End::usage(finding.allow(say!(
            "a measured spectrum is not a whole card: {like} begins it from another card, {chemistry} from what is usual",
            "spektrum terukur belum menjadi kartu: {like} memulainya dari kartu lain, {chemistry} dari yang lazim",
            like = Arg::Name("--like CARD".into()),
            chemistry = Arg::Name("--chemistry".into())
        ))));
    };
    let source = Source {
        path: path.clone(),
        text: text.clone(),
        hash: [0; 32],
    };
    match read_card(&source) {
        (Some(card), _) => Ok(Start { text, path, card }),
        (None, findings) => Err(End::in_source(findings, source)),
    }
}

/// Id, name and price of a new card. `price` is that of the card it begins from.
fn head(ask: &Ask, price: Option<&Price>) -> Result<CardHead, End> {
    let stem = ask
        .output
        .file_stem()
        .map_or_else(Default::default, |s| s.to_string_lossy());
    let id = ask.id.clone().unwrap_or_else(|| stem.into_owned());
    let price = match (&ask.price, price) {
        (Some(typed), _) => Price::read(typed, &Place::Request).map_err(End::usage)?,
        (None, Some(price)) => price.clone(),
        (None, None) => {
            let found = say!(
                "a new card needs the price of its dye",
                "kartu baru perlu harga pewarnanya"
            );
            let finding = Finding::new("card-no-price", Weight::Wrong, Place::Request, found);
            return Err(End::usage(finding.allow(say!(
                "{price}",
                "{price}",
                price = Arg::Name("--price \"310000 IDR/kg\"".into())
            ))));
        }
    };
    Ok(CardHead {
        name: ask.name.clone().unwrap_or_else(|| id.replace('-', " ")),
        id,
        price,
    })
}

fn as_text(ask: &Ask, found: &Fitted, voice: Voice) -> String {
    let fit = &found.fit;
    let raw = |t: &'static words::Text| t.raw(voice.language).to_string();
    let nm = nanometres(fit.peak);
    let n = |v: f64, decimals| voice.number(v, decimals);
    let mut table = Table::new(&[true, true, true, true, true]);
    table.row([
        raw(text!("put on", "diberikan")),
        raw(text!("looks like", "tampak seperti")),
        format!("K/S {nm} nm"),
        raw(text!("fitted", "dicocokkan")),
        raw(text!("dE00 off", "selisih dE00")),
    ]);
    for rung in &fit.rungs {
        table.row([
            format!("{} %", n(rung.depth, 2)),
            format!("{} %", n(rung.depth_found, 2)),
            n(rung.ks_read, 2),
            n(rung.ks_fitted, 2),
            n(rung.off, 2),
        ]);
    }
    let share = 2.0 * fit.unit_error[fit.peak] / fit.unit_ks[fit.peak].max(f64::MIN_POSITIVE);
    let height = say!(
        "{dye}: 1 % gives a K/S of {one} at {nm} nm, known within {share} % ({mark}); K_max {k_max} ({k_mark})",
        "{dye}: 1 % memberi K/S {one} pada {nm} nm, ketelitian {share} % ({mark}); K_max {k_max} ({k_mark})",
        dye = Arg::Name(found.card.name.clone()),
        one = Arg::Number(fit.ks_at(1.0), 2),
        nm = Arg::Number(f64::from(nm), 0),
        share = Arg::Number(100.0 * share, 1),
        mark = Arg::Text(fit.spectrum.mark()),
        k_max = Arg::Number(fit.k_max.value, 1),
        k_mark = Arg::Text(fit.k_max.origin.mark())
    );
    let mut out = format!("{}\n{}", height.say(voice), table.text());
    for path in std::iter::once(&ask.output).chain(&ask.plot) {
        let line: Line = say!(
            "{file} is written",
            "{file} sudah ditulis",
            file = Arg::Name(path.display().to_string())
        );
        out += &format!("{}\n", line.say(voice));
    }
    out
}

fn as_json(ask: &Ask, found: &Fitted, given: &Given, voice: Voice) -> Out {
    let fit = &found.fit;
    Out {
        card: ask.output.display().to_string(),
        id: found.card.id.clone(),
        spectrum: wire::OriginOut::new(&fit.spectrum),
        peak_nm: nanometres(fit.peak),
        unit_ks: fit.unit_ks.to_vec(),
        unit_error: fit.unit_error.map(|e| e.is_finite().then_some(e)).to_vec(),
        k_max: fit.k_max.value,
        k_max_origin: wire::OriginOut::new(&fit.k_max.origin),
        fixed_share: fit.fixed_share.value,
        white: fit.white.to_vec(),
        misfit: fit.misfit,
        deepest: fit.deepest,
        rungs: fit
            .rungs
            .iter()
            .map(|rung| RungOut {
                depth: rung.depth,
                looks_like: rung.depth_found,
                ks_read: rung.ks_read,
                ks_fitted: rung.ks_fitted,
                off: rung.off,
            })
            .collect(),
        findings: wire::findings(
            &found.findings,
            |path| (path == given.source.path).then_some(&given.source),
            voice,
        ),
    }
}
