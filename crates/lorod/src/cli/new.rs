//! `lorod new`: a workspace with the demonstration's workshop and dyes, and perhaps a first design.

use super::demo::Demo;
use super::{End, out, tell};
use clap::Args;
use colour::DyeCard;
use std::borrow::Cow;
use std::fs;
use std::path::{Path, PathBuf};
use units::{Length, Measure, parse_as};
use words::{Arg, Known, Origin, Place, Voice, finding_of, say};
use workspace::{
    COLLECTION, Drawing, FIRST_COLOURS, NotDone, ORDERS, Source, WORKSHOP, Workspace, add_design, quoted,
    read_card, refitted,
};

/// Longest drawing that is read, bytes; the drawing itself may be refused for less.
const MOST_DRAWING: u64 = 16 << 20;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod new my-cloth
  lorod new my-cloth --artwork fan.svg --name \"Sea fan\" --width \"205 mm\"

The workshop and the dye cards are invented ones to start from: put your own in their place.")]
pub struct Ask {
    /// Folder to make; it must be new or empty
    pub dir: PathBuf,
    /// Drawing of the first design (SVG: filled shapes are waxed)
    #[arg(long, value_name = "FILE")]
    pub artwork: Option<PathBuf>,
    /// Name of the first design [default: the name of the drawing]
    #[arg(long, requires = "artwork")]
    pub name: Option<String>,
    /// Width of its repeat on the cloth
    #[arg(long, default_value = "200 mm", requires = "artwork")]
    pub width: String,
}

/// Runs it.
///
/// # Errors
/// If the folder is not empty, the drawing cannot be a stamp, or the system refuses.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let width = parse_as(&ask.width, Measure::Length)
        .map_err(|problem| End::usage(finding_of(&problem, Place::Request)))?;
    let drawing = ask
        .artwork
        .as_deref()
        .map(|path| out::read(path, MOST_DRAWING).map(|bytes| (path, bytes)))
        .transpose()?;

    let dir = absolute(&ask.dir)?;
    if dir.exists()
        && fs::read_dir(&dir)
            .map_err(|e| End::disk(&dir, &e))?
            .next()
            .is_some()
    {
        return Err(workspace::IoError::NotEmpty { dir: ask.dir.clone() }.into());
    }
    // Everything is made beside it and renamed: a drawing that is refused leaves no workspace behind.
    let beside = out::beside(&dir);
    let made = make(
        &beside,
        &dir,
        drawing.as_ref(),
        ask.name.as_deref(),
        Length(width.quantity.si),
        voice,
    );
    let made = made.and_then(|id| {
        if dir.exists() {
            fs::remove_dir(&dir).map_err(|e| End::disk(&dir, &e))?;
        }
        fs::rename(&beside, &dir).map_err(|e| End::disk(&dir, &e))?;
        Ok(id)
    });
    if made.is_err() {
        // Best effort: what failed is told, not that its leftovers stayed.
        let _ = fs::remove_dir_all(&beside);
    }
    let id = made?;
    let shown = Arg::Name(ask.dir.display().to_string());
    let line = say!(
        "{dir} is made, with an invented workshop and invented dyes to start from.",
        "{dir} sudah dibuat, dengan bengkel dan pewarna rekaan sebagai awal.",
        dir = shown.clone()
    );
    tell(&format!("{}\n", line.say(voice)));
    if let Some(id) = id {
        let next = say!(
            "See it: {command}",
            "Lihat: {command}",
            command = Arg::Name(format!("lorod cloth {} {id} -o {id}.png", ask.dir.display()))
        );
        tell(&format!("{}\n", next.say(voice)));
    }
    Ok(())
}

/// Makes a workspace without designs in a folder that is new or empty; leaves any other folder alone.
///
/// # Errors
/// If the system refuses.
pub fn begin(dir: &Path) -> Result<(), End> {
    let dir = absolute(dir)?;
    let empty = match fs::read_dir(&dir) {
        Ok(mut entries) => entries.next().is_none(),
        Err(error) => error.kind() == std::io::ErrorKind::NotFound,
    };
    if !empty {
        return Ok(());
    }
    let called = dir
        .file_name()
        .map_or_else(Default::default, |n| n.to_string_lossy());
    let files = skeleton(&called);
    let list: Vec<(&str, &[u8])> = files.iter().map(|(n, b)| (n.as_ref(), b.as_ref())).collect();
    Ok(workspace::create(&dir, &list)?)
}

fn make(
    beside: &Path,
    dir: &Path,
    drawing: Option<&(&Path, Vec<u8>)>,
    name: Option<&str>,
    width: Length,
    voice: Voice,
) -> Result<Option<String>, End> {
    let called = dir
        .file_name()
        .map_or_else(Default::default, |n| n.to_string_lossy());
    let files = skeleton(&called);
    let list: Vec<(&str, &[u8])> = files.iter().map(|(n, b)| (n.as_ref(), b.as_ref())).collect();
    workspace::create(beside, &list)?;
    let Some((path, bytes)) = drawing else {
        return Ok(None);
    };
    let stem = path
        .file_stem()
        .map_or_else(Default::default, |n| n.to_string_lossy());
    let workspace = Workspace::open(beside)?;
    let shown = path.display().to_string();
    let drawing = Drawing {
        bytes,
        name: &shown,
        colourway: FIRST_COLOURS.raw(voice.language),
        width,
        wax_below: None,
    };
    add_design(&workspace, name.unwrap_or(&stem), &drawing)
        .map(Some)
        .map_err(|not_done| match not_done {
            NotDone::Io(error) => error.into(),
            NotDone::Findings(findings) => End::refused(findings),
        })
}

/// The files of a workspace without designs: the demonstration's dyes and workshop.
fn skeleton(name: &str) -> Vec<(Cow<'static, str>, Cow<'static, [u8]>)> {
    let mut files = Vec::new();
    for (path, bytes) in Demo::files() {
        if path == WORKSHOP {
            let text = String::from_utf8_lossy(&bytes);
            files.push((path, without_measurements(&text).into_bytes().into()));
        } else if path.starts_with(workspace::DYES) {
            let card = assumed_card(&path, &String::from_utf8_lossy(&bytes));
            files.push((path, card.into_bytes().into()));
        }
    }
    let collection = format!("name = {}\ndesigner = \"?\"\n", quoted(name));
    files.push((COLLECTION.into(), collection.into_bytes().into()));
    let orders = "# [[orders]]\n# id = \"o-1\"\n# design = \"the design's id\"\n# bolts = 3\n# due = \"2027-03-31\"\n# buyer = \"who ordered\"\n";
    files.push((ORDERS.into(), orders.as_bytes().into()));
    files
}

/// The demonstration's workshop without what is said to be measured there: a new workshop has measured nothing yet.
fn without_measurements(workshop: &str) -> String {
    let mut out = String::new();
    // Comments belong to what follows them.
    let mut held = String::new();
    let mut skip = false;
    for line in workshop.lines() {
        if line.starts_with('[') {
            skip = line.trim() == "[constants]";
        }
        if line.starts_with('#') || line.is_empty() {
            held.push_str(line);
            held.push('\n');
            continue;
        }
        if !skip {
            out.push_str(&held);
            out.push_str(line);
            out.push('\n');
        }
        held.clear();
    }
    out
}

/// A card of the demonstration in a workshop that has not measured it: ladder and strip tests become assumptions.
fn assumed_card(path: &str, text: &str) -> String {
    const TEST: &str = "factor = 2.5, source = \"an invented strip test of the demonstration\"";
    let lines = text.lines().map(|line| match line.find("measured = ") {
        // Inside a value; a line of its own is the spectrum's and replaced below.
        Some(at) if at > 0 => format!("{}{TEST} }}", &line[..at]),
        _ => line.to_string(),
    });
    let mut text: String = lines.map(|line| line + "\n").collect();
    let source = Source {
        path: path.to_string(),
        text: text.clone(),
        hash: [0; 32],
    };
    if let (Some(card), _) = read_card(&source) {
        let invented = |factor| Origin::Assumed {
            factor,
            source: "an invented ladder of the demonstration".to_string(),
        };
        let card = DyeCard {
            spectrum: invented(1.3),
            k_max: Known {
                origin: invented(1.2),
                ..card.k_max.clone()
            },
            ladder: None,
            ..card
        };
        if let Ok(assumed) = refitted(&text, path, &card) {
            text = assumed;
        }
    }
    text
}

fn absolute(dir: &Path) -> Result<PathBuf, End> {
    std::path::absolute(dir).map_err(|e| End::disk(dir, &e))
}

#[cfg(test)]
mod tests {
    use super::{skeleton, without_measurements};

    #[test]
    fn a_new_workshop_has_measured_nothing() {
        let text = "# shop\nname = \"a\"\n\n# measured\n[constants]\n# wedge\n\"wax.creep\" = 1\n\n# more\n[rest]\nx = 1\n";
        assert_eq!(
            without_measurements(text),
            "# shop\nname = \"a\"\n\n# more\n[rest]\nx = 1\n"
        );
    }

    #[test]
    fn a_new_workshop_has_measured_no_dye() {
        let cards: Vec<String> = skeleton("x")
            .iter()
            .filter(|(path, _)| path.starts_with(workspace::DYES))
            .map(|(_, bytes)| String::from_utf8_lossy(bytes).into_owned())
            .collect();
        assert!(cards.len() >= 12);
        for card in &cards {
            let stated = card.lines().filter(|l| !l.starts_with('#'));
            assert!(
                stated
                    .clone()
                    .all(|l| !l.contains("measured =") && !l.contains("[ladder]")),
                "{card}"
            );
            assert!(stated.clone().any(|l| l.starts_with("unit_ks")));
        }
    }
}
