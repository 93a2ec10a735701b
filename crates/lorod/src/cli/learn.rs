//! `lorod learn`: constants from the workshop's own strips, wedges and weighed bolts, and how well forecasts have held.

use super::end::{open, shop};
use super::table::Table;
use super::wire::{OriginOut, QuantityOut};
use super::{End, drawing, tell, wire};
use crate::facts::learn::{Lesson, Lessons, lessons, written};
use clap::Args;
use cloth::window::{Outcome, calibration_svg};
use serde::Serialize;
use std::path::PathBuf;
use units::{Measure, Quantity};
use words::{Arg, Voice, Weight, say, text};
use workspace::{TRIALS, Workspace, save};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod learn my-cloth
  lorod learn my-cloth --write
  lorod learn my-cloth -o forecasts.svg

Reads trials.toml of the workspace: [[strips]], [[wedges]], [[waxings]] and [[outcomes]]. With --write the dye
cards and workshop.toml say 'measured here', with date and number of readings; comments and everything else stay.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Write what was learned into dye cards and workshop.toml
    #[arg(long)]
    pub write: bool,
    /// Plot of forecasts and outcomes to write (.svg or .png)
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    constants: Vec<LessonOut>,
    forecasts: ForecastsOut,
    findings: Vec<wire::FindingOut>,
    /// Files that were written.
    written: Vec<String>,
}

#[derive(Serialize)]
struct LessonOut {
    what: String,
    file: String,
    key: String,
    was: QuantityOut,
    origin: OriginOut,
    measured: QuantityOut,
    /// True within this factor, 95 of 100.
    factor: f64,
    n: u32,
    date: String,
}

#[derive(Serialize)]
struct ForecastsOut {
    n: u32,
    /// Share inside the 90 % intervals.
    inside: Option<f64>,
    /// Outcome over forecast, geometric mean.
    bias: Option<f64>,
    /// Is that what chance allows?
    holds: bool,
}

/// Runs it.
///
/// # Errors
/// If the workspace's trials are wrong, or a file cannot be written.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let shop = shop(&workspace)?;
    let wrong: Vec<_> = workspace
        .findings
        .iter()
        .filter(|f| f.weight == Weight::Wrong && in_trials(f))
        .cloned()
        .collect();
    if !wrong.is_empty() {
        return Err(End::in_files(wrong, &workspace));
    }
    let lessons = lessons(&workspace, shop);
    let mut files = Vec::new();
    if ask.write {
        for (source, text) in written(&workspace, &lessons.constants).map_err(End::refused)? {
            if text != source.text {
                save(&workspace.dir, &source.path, Some(source.hash), text.as_bytes())?;
                files.push(source.path.clone());
            }
        }
    }
    if let Some(path) = &ask.output {
        let outcomes: Vec<Outcome> = lessons.outcomes.iter().map(|named| named.outcome).collect();
        let names: Vec<String> = lessons.outcomes.iter().map(|named| named.name.clone()).collect();
        drawing::write(path, &calibration_svg(&outcomes, &names, &lessons.replay, voice))?;
    }
    if ask.json {
        wire::print(&out(&lessons, &workspace, files, voice));
    } else {
        tell(&as_text(&lessons, &workspace, &files, ask.write, voice));
    }
    Ok(())
}

fn in_trials(finding: &words::Finding) -> bool {
    matches!(&finding.place, words::Place::File { path, .. } if path == TRIALS)
}

fn as_text(lessons: &Lessons, workspace: &Workspace, files: &[String], write: bool, voice: Voice) -> String {
    let raw = |text: &words::Text| text.raw(voice.language).to_string();
    let mut out = String::new();
    if lessons.constants.is_empty() {
        let none = say!(
            "Nothing was measured yet: write strips, wedges and weighed bolts into {file}.",
            "Belum ada yang diukur: catat potong uji, baji garis, dan gulung yang ditimbang di {file}.",
            file = Arg::Name(TRIALS.to_string())
        );
        out += &format!("{}\n", none.say(voice));
    } else {
        let mut table = Table::new(&[false, true, false, true, true, true, false]);
        table.row([
            raw(text!("constant", "konstanta")),
            raw(text!("now", "kini")),
            String::new(),
            raw(text!("measured here", "diukur di sini")),
            raw(text!("within a factor", "dalam faktor")),
            raw(text!("readings", "bacaan")),
            raw(text!("last", "terakhir")),
        ]);
        for lesson in &lessons.constants {
            table.row(row(lesson, voice));
        }
        out += &table.text();
    }
    let replay = &lessons.replay;
    if replay.n > 0 {
        let line = say!(
            "Of {n} outcomes {inside} % lie in their stated 90 % interval; they came out {bias} times the forecast.",
            "Dari {n} hasil, {inside} % ada dalam selang 90 % yang dinyatakan; hasilnya {bias} kali ramalan.",
            n = Arg::Number(f64::from(replay.n), 0),
            inside = Arg::Number(100.0 * replay.inside, 0),
            bias = Arg::Number(replay.bias, 2)
        );
        let verdict = match (replay.n < 10, replay.holds()) {
            (true, _) => text!("Too few to judge.", "Terlalu sedikit untuk dinilai."),
            (_, true) => text!("That is what chance allows.", "Itu wajar menurut peluang."),
            (_, false) => text!("Chance does not explain that.", "Itu bukan kebetulan."),
        };
        out += &format!("{} {}\n", line.say(voice), raw(verdict));
    }
    for finding in &lessons.findings {
        out += &format!("{}\n", workspace.show(finding, voice).trim_end());
    }
    if write {
        for file in files {
            let line = say!(
                "{file} is written.",
                "{file} sudah ditulis.",
                file = Arg::Name(file.clone())
            );
            out += &format!("{}\n", line.say(voice));
        }
        if files.is_empty() {
            let line = say!("Nothing to write.", "Tidak ada yang perlu ditulis.");
            out += &format!("{}\n", line.say(voice));
        }
    } else if !lessons.constants.is_empty() {
        let line = say!(
            "Nothing is written yet: {option} does it.",
            "Belum ditulis: {option} menuliskannya.",
            option = Arg::Name("--write".to_string())
        );
        out += &format!("{}\n", line.say(voice));
    }
    out
}

fn row(lesson: &Lesson, voice: Voice) -> [String; 7] {
    let quantity = |si| voice.quantity(Quantity::new(si, lesson.measure));
    [
        lesson.of.say(voice),
        quantity(lesson.was.value),
        format!("({})", lesson.was.origin.mark().raw(voice.language)),
        quantity(lesson.fitted.value),
        voice.number(lesson.fitted.factor, 2),
        voice.number(f64::from(lesson.fitted.n), 0),
        lesson.date.to_string(),
    ]
}

fn out(lessons: &Lessons, workspace: &Workspace, files: Vec<String>, voice: Voice) -> Out {
    let quantity = |si, measure: Measure| QuantityOut::new(Quantity::new(si, measure), voice);
    let some = lessons.replay.n > 0;
    Out {
        constants: lessons
            .constants
            .iter()
            .map(|lesson| LessonOut {
                what: lesson.of.say(voice),
                file: lesson.file.clone(),
                key: lesson.path.join("."),
                was: quantity(lesson.was.value, lesson.measure),
                origin: OriginOut::new(&lesson.was.origin),
                measured: quantity(lesson.fitted.value, lesson.measure),
                factor: lesson.fitted.factor,
                n: lesson.fitted.n,
                date: lesson.date.to_string(),
            })
            .collect(),
        forecasts: ForecastsOut {
            n: lessons.replay.n,
            inside: some.then_some(lessons.replay.inside),
            bias: some.then_some(lessons.replay.bias),
            holds: lessons.replay.holds(),
        },
        findings: wire::findings(&lessons.findings, |path| workspace.source(path), voice),
        written: files,
    }
}
