//! `lorod stamp shelf`: the workshop's copies of its stamps, what they have printed, when they are to be filed.

use crate::cli::end::{open, short};
use crate::cli::plan::first_day;
use crate::cli::table::Table;
use crate::cli::{End, tell, wire};
use crate::facts::shelf::{Due, Life, Lives, copy_typed, lives, may_write, no_copy};
use clap::Args;
use serde::Serialize;
use sky::Date;
use std::path::PathBuf;
use units::{Length, Measure, parse_as};
use words::{Arg, Finding, Place, Voice, Weight, finding_of, say, text};
use workspace::{CopyId, Deed, Did, STAMPS, ShelfEntry, StampCopy, Workspace, copy_name, save, shelved};

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod stamp shelf my-cloth
  lorod stamp shelf my-cloth --copy sea-fan/fan/2 --new A4 --on 2026-06-01
  lorod stamp shelf my-cloth --copy sea-fan/fan/2 --stamped 9 --on 2026-06-04
  lorod stamp shelf my-cloth --copy sea-fan/fan/2 --proofed \"0.2 mm\"
  lorod stamp shelf my-cloth --copy sea-fan/fan/2 --refiled

Reads and writes stamps.toml of the workspace; comments and everything else in it stay. The plan takes the copies
that are in use from it.")]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// A copy: design/stamp/number
    #[arg(long, value_name = "COPY")]
    pub copy: Option<String>,
    /// Record: it is new, and hangs here
    #[arg(long, value_name = "SHELF", requires = "copy", group = "deed")]
    pub new: Option<String>,
    /// Record: it stamped so many whole bolts
    #[arg(long, value_name = "BOLTS", requires = "copy", group = "deed", value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub stamped: Option<u32>,
    /// Record: a proof was printed; widest gap under a straight edge over its face
    #[arg(long, value_name = "GAP", requires = "copy", group = "deed", num_args = 0..=1, default_missing_value = "")]
    pub proofed: Option<String>,
    /// Record: it was filed level
    #[arg(long, requires = "copy", group = "deed")]
    pub refiled: bool,
    /// Record: it is used no more
    #[arg(long, requires = "copy", group = "deed")]
    pub retired: bool,
    /// Day of what is recorded [default: today at the workshop]
    #[arg(long, value_name = "DATE", requires = "copy")]
    pub on: Option<String>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// Runs it.
///
/// # Errors
/// If the file is wrong, there is no such copy, or the file cannot be written.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let mut workspace = open(&ask.dir)?;
    let wrong: Vec<_> = workspace
        .findings
        .iter()
        .filter(|f| f.weight == Weight::Wrong && about(f))
        .cloned()
        .collect();
    if !wrong.is_empty() {
        return Err(End::in_files(wrong, &workspace));
    }
    let id = ask.copy.as_deref().map(copy).transpose()?;
    if let Some(id) = &id
        && let Some(entry) = entry(ask, id, &workspace)?
    {
        may_write(&workspace, &entry).map_err(|f| End::refused(vec![f]))?;
        let source = workspace.source(STAMPS);
        let (text, hash) = source.map_or(("", None), |s| (s.text.as_str(), Some(s.hash)));
        let text = shelved(text, &entry).map_err(|f| End::refused(vec![f]))?;
        save(&workspace.dir, STAMPS, hash, text.as_bytes())?;
        workspace = workspace.again()?;
    }
    let mut lives = lives(&workspace);
    if let Some(id) = &id {
        lives.copies.retain(|life| life.copy.id == *id);
        if lives.copies.is_empty() {
            return Err(End::refused(vec![no_copy(id)]));
        }
    }
    if ask.json {
        wire::print(&out(&lives, voice));
    } else {
        tell(&as_text(&lives, voice));
    }
    Ok(())
}

fn about(finding: &Finding) -> bool {
    matches!(&finding.place, Place::File { path, .. } if path == STAMPS)
}

fn copy(typed: &str) -> Result<CopyId, End> {
    copy_typed(typed).ok_or_else(|| {
        let found = say!(
            "\"{text}\" is no copy of a stamp",
            "\"{text}\" bukan salinan cap",
            text = Arg::Name(short(typed))
        );
        End::usage(
            Finding::new("no-such-copy", Weight::Wrong, Place::Request, found).allow(say!(
                "design, stamp and number: {example}",
                "desain, cap dan nomor: {example}",
                example = Arg::Name("sea-fan/fan/1".into())
            )),
        )
    })
}

/// What is recorded, if anything.
fn entry(ask: &Ask, id: &CopyId, workspace: &Workspace) -> Result<Option<ShelfEntry>, End> {
    let did = match (&ask.new, ask.stamped, &ask.proofed, ask.refiled, ask.retired) {
        (Some(shelf), ..) => {
            return Ok(Some(ShelfEntry::Copy(StampCopy {
                id: id.clone(),
                shelf: shelf.clone(),
                made: Some(day(ask, workspace)?),
                span: 0..0,
            })));
        }
        (_, Some(bolts), ..) => Did::Stamped(bolts),
        (_, _, Some(gap), ..) if gap.is_empty() => Did::Proofed(None),
        (_, _, Some(gap), ..) => {
            let typed = parse_as(gap, Measure::Length);
            let gap = typed.map_err(|problem| End::usage(finding_of(&problem, Place::Request)))?;
            Did::Proofed(Some(Length(gap.quantity.si)))
        }
        (.., true, _) => Did::Refiled,
        (.., true) => Did::Retired,
        _ => return Ok(None),
    };
    Ok(Some(ShelfEntry::Deed(Deed {
        date: day(ask, workspace)?,
        id: id.clone(),
        did,
    })))
}

fn day(ask: &Ask, workspace: &Workspace) -> Result<Date, End> {
    match &ask.on {
        Some(text) => first_day(Some(text), workspace),
        // A plan begins tomorrow.
        None => first_day(None, workspace).map(|tomorrow| tomorrow.plus(-1)),
    }
}

fn as_text(lives: &Lives, voice: Voice) -> String {
    if lives.copies.is_empty() {
        let line = say!(
            "No copies are written down; the plan takes one of each stamp. Begin with --copy and --new.",
            "Belum ada salinan yang dicatat; rencana memakai satu dari tiap cap. Mulai dengan --copy dan --new."
        );
        return format!("{}\n", line.say(voice));
    }
    let mut table = Table::new(&[false, false, true, true, true, false, false]);
    table.row(
        [
            text!("copy", "salinan"),
            text!("shelf", "rak"),
            text!("bolts", "gulung"),
            text!("prints", "cetakan"),
            text!("m since filed", "meter sejak dikikir"),
            text!("filed", "dikikir"),
            text!("next", "berikut"),
        ]
        .map(|t| t.raw(voice.language)),
    );
    for life in &lives.copies {
        let none = || "-".to_string();
        table.row([
            copy_name(&life.copy.id),
            if life.copy.shelf.is_empty() {
                none()
            } else {
                life.copy.shelf.clone()
            },
            voice.number(f64::from(life.all.bolts), 0),
            voice.number(life.all.prints as f64, 0),
            voice.number(life.since.metres, 0),
            life.refiled.last().map_or_else(none, ToString::to_string),
            next(life, voice),
        ]);
    }
    let mut all = table.text();
    for finding in lives.findings() {
        all += &words::show(&finding, None, voice);
    }
    all
}

fn next(life: &Life, voice: Voice) -> String {
    if let Some(day) = life.retired {
        return say!(
            "retired {day}",
            "tidak dipakai sejak {day}",
            day = Arg::Name(day.to_string())
        )
        .say(voice);
    }
    match life.due {
        Some(Due::OffLevel(_) | Due::Now) => say!("file it", "kikir").say(voice),
        Some(Due::Soon) => say!("look at it", "periksa").say(voice),
        Some(Due::Later(metres)) => say!(
            "in about {m} m",
            "kira-kira {m} meter lagi",
            m = Arg::Number(metres, 0)
        )
        .say(voice),
        None => "-".to_string(),
    }
}

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    copies: Vec<CopyOut>,
    /// Cloth after which a stamp is filed, m.
    refile_every_m: f64,
    refile_every_origin: wire::OriginOut,
    findings: Vec<wire::FindingOut>,
}

#[derive(Serialize)]
struct CopyOut {
    copy: String,
    shelf: String,
    made: Option<String>,
    bolts: u32,
    prints: u64,
    metres: f64,
    metres_since_filed: f64,
    refiled: Vec<String>,
    proofed: Option<String>,
    off_level_mm: Option<f64>,
    retired: Option<String>,
    /// `now`, `soon`, `later`, or `null` for a retired copy.
    file: Option<&'static str>,
}

fn out(lives: &Lives, voice: Voice) -> Out {
    let day = |d: Option<Date>| d.map(|d| d.to_string());
    let copy = |life: &Life| CopyOut {
        copy: copy_name(&life.copy.id),
        shelf: life.copy.shelf.clone(),
        made: day(life.copy.made),
        bolts: life.all.bolts,
        prints: life.all.prints,
        metres: super::drawing::rounded(life.all.metres),
        metres_since_filed: super::drawing::rounded(life.since.metres),
        refiled: life.refiled.iter().map(ToString::to_string).collect(),
        proofed: day(life.proof.map(|(day, _)| day)),
        off_level_mm: life
            .proof
            .and_then(|(_, off)| off)
            .map(|m| super::drawing::rounded(m * 1e3)),
        retired: day(life.retired),
        file: life.due.map(|due| match due {
            Due::OffLevel(_) | Due::Now => "now",
            Due::Soon => "soon",
            Due::Later(_) => "later",
        }),
    };
    Out {
        copies: lives.copies.iter().map(copy).collect(),
        refile_every_m: lives.refile_every.value,
        refile_every_origin: wire::OriginOut::new(&lives.refile_every.origin),
        findings: wire::findings(&lives.findings(), |_| None, voice),
    }
}
