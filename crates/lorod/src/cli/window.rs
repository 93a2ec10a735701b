//! `lorod window`: how long a timed step may run, how surely, and what would widen that.

use super::drawing::Answer;
use super::end::{design, open, shop};
use super::progress::Progress;
use super::table::Table;
use super::{End, compare, drawing, out, stop, tell, typed, wire};

use crate::facts::approved::Approved;
use crate::facts::photo::piece;
use crate::facts::window::{Asked, Found, Row, Strays, find, percent, steps};
use clap::Args;
use cloth::window::{Advice, Limits, Off, clock};
use route::{Design, Workshop};
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use units::{Length, Measure, Span};
use words::{Arg, Finding, Place, Voice, Weight, say, text};
use workspace::edit::{Change, Given, apply};
use workspace::{Workspace, save};

/// Rows of the table in the terminal.
const ROWS: usize = 13;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod window my-cloth sea-fan
  lorod window my-cloth sea-fan --step s09 -o rest.svg
  lorod window my-cloth sea-fan --ground 4 --keep \"60 %\" --ends \"40 s\" -o bleach.png
  lorod window my-cloth sea-fan --approved strike-1.toml strike-2.toml
  lorod window my-cloth sea-fan --approved colours.csv

Colours are those of the finished cloth. While how fast the step works is only assumed, the answer is the
test to do, not a time: see `lorod learn`.

--approved holds the cloth against what was approved instead of against a perfect bleach: descriptions of photographs of
strike-offs (as for `lorod compare`), or a table region,lab_l,lab_a,lab_b,share with regions ground and motif.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design
    pub design: String,
    /// Which step: its id or its number [default: the bleach, else the first timed step]
    #[arg(long, value_name = "STEP")]
    pub step: Option<String>,
    /// Farthest that the ground may be from its target, dE00
    #[arg(long, value_name = "N", default_value_t = 6.8)]
    pub ground: f64,
    /// Farthest that the motif may be from its target, dE00
    #[arg(long, value_name = "N", default_value_t = 6.8)]
    pub motif: f64,
    /// Width of the thinnest wax line that must be seen [default: the stamp's]
    #[arg(long, value_name = "WIDTH")]
    pub line: Option<String>,
    /// Share of its width that this line must keep
    #[arg(long, value_name = "SHARE", default_value = "40 %")]
    pub keep: String,
    /// Share of bolts that must pass
    #[arg(long, value_name = "SHARE", default_value = "80 %")]
    pub pass: String,
    /// 95 of 100 bolts: strength of the bath within this share [default: 10 %]
    #[arg(long, value_name = "SHARE")]
    pub strength: Option<String>,
    /// 95 of 100 bolts: temperature within so many K [default: 3 K]
    #[arg(long, value_name = "K")]
    pub warmth: Option<String>,
    /// 95 of 100 bolts: start and stop within this time [default: 20 s]
    #[arg(long, value_name = "TIME")]
    pub hands: Option<String>,
    /// The end that goes in last comes out first and gets so much less [default: 0 s]
    #[arg(long, value_name = "TIME")]
    pub ends: Option<String>,
    /// Approved cloth that finished cloth is held against: photographs (.toml) or colours (.csv)
    #[arg(long, value_name = "FILE", num_args = 1..)]
    pub approved: Vec<PathBuf>,
    /// Direct runs that the interpolation is held against
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u32).range(0..=1000))]
    pub against: u32,
    /// The plot for a phone: narrow, one curve
    #[arg(long)]
    pub narrow: bool,
    /// Write the best time into the design's file; refused where there is none
    #[arg(long)]
    pub write: bool,
    #[command(flatten)]
    pub answer: Answer,
}

/// The answer as JSON. Where the rates are assumed, all times but the design's are `null`.
#[derive(Serialize)]
struct Out {
    /// Id of the design.
    design: String,
    /// Permanent id of the step.
    step: String,
    /// What it is.
    operation: &'static str,
    /// Its time in the design, s.
    designed: f64,
    /// `pull`, `closed`, `do-this-strip` or `indifferent`.
    advice: &'static str,
    /// The answer as a sentence.
    answer: String,
    /// s; `null` if the shortest will do.
    earliest: Option<f64>,
    /// s.
    best: Option<f64>,
    /// s; `null` if the longest will do.
    latest: Option<f64>,
    /// Share of bolts that pass at the best.
    chance: Option<f64>,
    /// Both curves by duration.
    curves: Vec<RowOut>,
    /// What would widen it.
    widen: Vec<WidenOut>,
    /// Assumed constants that it rests on.
    doubts: Vec<DoubtOut>,
    /// Bias: from lifting to antichlor, s.
    lag: Option<f64>,
    /// Bias: last in, first out, s.
    ends: f64,
    /// The surface against direct runs, dE00.
    error: ErrorOut,
    /// Limits, spreads and biases as sentences.
    small_print: Vec<String>,
    /// Other steps that may be asked about.
    steps: Vec<String>,
    /// Files of approved cloth, if that is the target.
    approved: Vec<String>,
    /// The plot that was written.
    file: Option<String>,
    /// The design's file, if the best time was written into it.
    written: Option<String>,
}

#[derive(Serialize)]
struct RowOut {
    /// s.
    time: Option<f64>,
    pass: Option<f64>,
    ground: f64,
    motif: Option<f64>,
    line: Option<f64>,
}

#[derive(Serialize)]
struct WidenOut {
    what: String,
    /// s, in steps of 30; of a closed window, by how much less it lacks.
    gain: f64,
    /// Whether there is a window with it.
    opens: bool,
}

#[derive(Serialize)]
struct DoubtOut {
    of: String,
    factor: f64,
}

#[derive(Serialize)]
struct ErrorOut {
    runs: u32,
    mean: f64,
    most: f64,
    worst: f64,
}

/// Runs it.
///
/// # Errors
/// If there is no such design or step, a quantity cannot be read, or the plot cannot be written.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let mut asked = asked(ask)?;
    let workspace = open(&ask.dir)?;
    let design = design(&workspace, &ask.design)?;
    let shop = shop(&workspace)?;
    asked.approved = approved(&ask.approved, &design, shop)?;
    stop::flag();
    let progress = Progress::new("window");
    let found = find(&design, shop, &asked, &|share| {
        progress.at(share);
        !stop::raised()
    })
    .map_err(End::refused)?;
    progress.done();
    if stop::raised() {
        return Err(End::stopped());
    }
    if let Some(path) = &ask.answer.output {
        let svg = if ask.narrow {
            found.plot_narrow(voice)
        } else {
            found.plot(voice)
        };
        drawing::write(path, &svg)?;
    }
    let written = if ask.write {
        Some(write(&workspace, &found)?)
    } else {
        None
    };
    if ask.answer.json {
        wire::print(&out(&found, ask, written, voice));
    } else {
        tell(&as_text(&found, voice));
        if let Some(path) = &written {
            let line = say!(
                "{file} is written.",
                "{file} sudah ditulis.",
                file = Arg::Name(path.clone())
            );
            tell(&format!("{}\n", line.say(voice)));
        }
        if let Some(path) = &ask.answer.output {
            tell(&format!("{}\n", path.display()));
        }
    }
    Ok(())
}

/// Writes the best time into the design's file; answers its path.
fn write(workspace: &Workspace, found: &Found) -> Result<String, End> {
    let refused = |finding| End::refused(vec![finding]);
    let Advice::Pull { best, .. } = found.window.advice else {
        let none = say!(
            "there is no time to write: {answer}",
            "tidak ada waktu untuk ditulis: {answer}",
            answer = Arg::Name(found.answer(Voice::default()))
        );
        return Err(refused(Finding::new(
            "window-no-best",
            Weight::Wrong,
            Place::Request,
            none,
        )));
    };
    let step = found.design.steps.get(found.step.at);
    let key = step
        .and_then(|step| step.operation.kind().timed)
        .unwrap_or_default();
    let file = workspace.design_file(&found.design.id);
    let source = file.and_then(|file| workspace.source(&file.path));
    let Some(source) = source else {
        return Err(refused(no_file(&found.design.id)));
    };
    let change = Change::Setting {
        step: found.step.id.clone(),
        key: key.to_string(),
        given: Some(Given::Text(format!("{:.0} s", best.0))),
    };
    let text = apply(&source.text, &change).map_err(refused)?;
    save(&workspace.dir, &source.path, Some(source.hash), text.as_bytes())?;
    Ok(source.path.clone())
}

fn no_file(design: &str) -> Finding {
    let found = say!(
        "the file of {design} is gone",
        "berkas {design} sudah tidak ada",
        design = Arg::Name(design.to_string())
    );
    Finding::new("file-missing", Weight::Wrong, Place::Request, found)
}

/// Approved cloth, from the files that were named.
fn approved(files: &[PathBuf], design: &Arc<Design>, shop: &Workshop) -> Result<Option<Approved>, End> {
    let mut approved = Approved::default();
    for path in files {
        let name = path.display().to_string();
        if path.extension().is_some_and(|e| e == "toml") {
            let (photograph, source) = compare::described(path)?;
            let place = Place::File {
                path: name.clone(),
                span: 0..0,
            };
            let folder = path.parent().unwrap_or(Path::new(""));
            let added = piece(&photograph, &place, folder, design, shop)
                .and_then(|piece| approved.add_piece(&piece, &name, &place).map_err(|f| vec![f]));
            added.map_err(|findings| End::in_source(findings, source))?;
        } else {
            let source = out::text(path, 1_000_000)?;
            let added = approved.add_colours(&source.text, &name);
            added.map_err(|findings| End::in_source(findings, source))?;
        }
    }
    Ok((!files.is_empty()).then_some(approved))
}

fn asked(ask: &Ask) -> Result<Asked, End> {
    let maybe = |text: &Option<String>, measure| match text {
        Some(text) => typed::quantity(text, measure, 0.0..=f64::MAX).map(Some),
        None => Ok(None),
    };
    Ok(Asked {
        step: ask.step.clone(),
        limits: Limits {
            ground: typed::number("--ground", ask.ground, 0.1..=100.0)?,
            motif: typed::number("--motif", ask.motif, 0.1..=100.0)?,
            line: maybe(&ask.line, Measure::Length)?.map(Length),
            keep: typed::quantity(&ask.keep, Measure::Share, 0.0..=1.0)?,
            pass: typed::quantity(&ask.pass, Measure::Share, 0.01..=1.0)?,
        },
        strays: Strays {
            strength: ask
                .strength
                .as_ref()
                .map(|t| typed::quantity(t, Measure::Share, 0.0..=0.9))
                .transpose()?,
            temperature: ask
                .warmth
                .as_ref()
                .map(|t| typed::quantity(t, Measure::TemperatureDifference, 0.0..=15.0))
                .transpose()?,
            handling: maybe(&ask.hands, Measure::Span)?.map(Span),
            ends: maybe(&ask.ends, Measure::Span)?.map(Span),
        },
        against: ask.against,
        approved: None,
    })
}

fn as_text(found: &Found, voice: Voice) -> String {
    let raw = |text: &words::Text| text.raw(voice.language).to_string();
    let mut out = format!("{}\n{}\n\n", found.heading(voice), found.answer(voice));
    let head = [
        text!("time", "waktu"),
        text!("bolts that pass", "gulung lulus"),
        text!("ground off", "latar meleset"),
        text!("motif off", "motif meleset"),
        text!("thinnest line", "garis tertipis"),
    ];
    let timed = found.timed();
    let shown = |n: usize| timed || n > 1;
    let mut table = Table::new(&[true; 5]);
    table.row((0..5).filter(|n| shown(*n)).map(|n| raw(head[n])));
    for row in found.rows(ROWS) {
        let cells = cells(&row, voice);
        table.row((0..5).filter(|n| shown(*n)).map(|n| cells[n].clone()));
    }
    out += &table.text();
    out.push('\n');
    let widen = found.widen(voice);
    if !widen.is_empty() {
        out += &format!("{}\n", raw(text!("What would widen it", "Yang memperlebar")));
        widen.iter().for_each(|line| out += &format!("  {line}\n"));
        out.push('\n');
    }
    for line in found.small_print(voice) {
        out += &format!("  {line}\n");
    }
    let others: Vec<String> = others(found);
    if !others.is_empty() {
        let label = raw(text!("Also timed", "Langkah lain yang memakai waktu"));
        out += &format!("  {label}: {}\n", others.join(", "));
    }
    out
}

fn others(found: &Found) -> Vec<String> {
    steps(&found.design)
        .into_iter()
        .filter(|step| step.id != found.step.id)
        .map(|step| format!("{} ({})", step.id, step.term.key))
        .collect()
}

fn cells(row: &Row, voice: Voice) -> [String; 5] {
    let de = |d: f64| voice.number(d, 1);
    [
        row.time.map_or_else(String::new, |time| clock(time, voice)),
        row.pass.map_or_else(String::new, |pass| percent(pass, voice)),
        de(row.ground),
        row.motif.map_or_else(|| "–".to_string(), de),
        row.line
            .map_or_else(|| "–".to_string(), |left| percent(left, voice)),
    ]
}

fn out(found: &Found, ask: &Ask, written: Option<String>, voice: Voice) -> Out {
    let window = &found.window;
    let (advice, earliest, best, latest, chance) = match &window.advice {
        Advice::Pull {
            earliest,
            best,
            latest,
            chance,
        } => ("pull", *earliest, Some(*best), *latest, Some(*chance)),
        Advice::Closed { best, chance } => ("closed", None, Some(*best), None, Some(*chance)),
        Advice::DoThisStrip { .. } => ("do-this-strip", None, None, None, None),
        Advice::Indifferent => ("indifferent", None, None, None, None),
    };
    let Off { mean, most, worst } = found.held.worst();
    Out {
        design: found.design.id.clone(),
        step: found.step.id.clone(),
        operation: found.step.term.key,
        designed: found.step.designed.0,
        advice,
        answer: found.answer(voice),
        earliest: earliest.map(|t| t.0),
        best: best.map(|t| t.0),
        latest: latest.map(|t| t.0),
        chance,
        curves: found
            .rows(usize::MAX)
            .into_iter()
            .map(|row| RowOut {
                time: row.time.map(|t| t.0),
                pass: row.pass,
                ground: row.ground,
                motif: row.motif,
                line: row.line,
            })
            .collect(),
        widen: window
            .widen
            .iter()
            .map(|widening| WidenOut {
                what: widening.what.say(voice),
                gain: widening.gain.0,
                opens: widening.opens,
            })
            .collect(),
        doubts: window
            .doubts
            .iter()
            .map(|doubt| DoubtOut {
                of: doubt.of.clone(),
                factor: doubt.factor,
            })
            .collect(),
        lag: window.lag.map(|lag| lag.0),
        ends: window.spreads.ends.0,
        error: ErrorOut {
            runs: found.held.runs,
            mean,
            most,
            worst,
        },
        small_print: found.small_print(voice),
        steps: others(found),
        approved: found.approved.as_ref().map_or_else(Vec::new, |a| a.files.clone()),
        file: ask.answer.output.as_ref().map(|path| path.display().to_string()),
        written,
    }
}
