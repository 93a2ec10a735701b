//! A new design from a drawing: a folder with the drawing and a first route, dyes chosen from the store.

use crate::edit::Change;
use crate::folder::{DESIGNS, DYES};
use crate::write::{Lock, beside};
use crate::{IoError, Workspace};
use colour::DyeCard;
use stamp::{Artwork, Reading, Stamp};
use std::fs;
use std::path::Path;
use std::sync::Arc;
use units::{Celsius, Length, Measure, Quantity};
use words::{Arg, Finding, Place, Text, Weight, say, text};

/// The first route; its places in braces are filled here.
const TEMPLATE: &str = include_str!("new_design.toml");

/// What the first colours of a new design are called.
pub const FIRST_COLOURS: &Text = text!("first", "pertama");

/// Why there is no new design.
#[derive(Debug, thiserror::Error)]
pub enum NotDone {
    /// The disk.
    #[error(transparent)]
    Io(#[from] IoError),
    /// The drawing, the name or the store.
    #[error("the input cannot be used: {} findings", .0.len())]
    Findings(Vec<Finding>),
}

/// What a new design is drawn from.
#[derive(Clone, Copy, Debug)]
pub struct Drawing<'a> {
    /// An SVG file.
    pub bytes: &'a [u8],
    /// What the user calls it.
    pub name: &'a str,
    /// What its first colours are called, in the user's language.
    pub colourway: &'a str,
    /// Width of one repeat on the cloth.
    pub width: Length,
    /// Lightness below which paint is wax, L* 1..=100; the drawing's own where it is not said.
    pub wax_below: Option<f64>,
}

/// Adds a design to the workspace: `designs/<id>/design.toml` and `<id>.svg`, both or neither. Answers the new id.
///
/// # Errors
/// [`NotDone::Findings`] if the drawing cannot be a stamp, the name gives no id, or the store has no dye.
pub fn add_design(workspace: &Workspace, name: &str, drawing: &Drawing) -> Result<String, NotDone> {
    let refuse = |finding: Finding| NotDone::Findings(vec![finding]);
    let svg = text_of(drawing.bytes).ok_or_else(|| refuse(not_text(drawing.name)))?;
    let reading = Reading {
        wax_below: drawing.wax_below,
    };
    let artwork = Artwork::read_as(svg, drawing.name, &reading).map_err(NotDone::Findings)?;
    Stamp::new(&artwork, drawing.width.to_mm(), None).map_err(NotDone::Findings)?;
    let Some(chosen) = Chosen::from(&workspace.dyes) else {
        return Err(refuse(
            Finding::new(
                "store-empty",
                Weight::Wrong,
                Place::Request,
                say!("there is no dye in the store", "belum ada pewarna di gudang"),
            )
            .remedy(say!(
                "add a dye card to {folder}",
                "tambahkan kartu pewarna ke {folder}",
                folder = Arg::Name(DYES.into())
            )),
        ));
    };

    let _lock = Lock::take(&workspace.dir)?;
    let Some(id) = free_id(workspace, name) else {
        return Err(refuse(no_id(name)));
    };
    let toml = fill(&[
        ("{id}", quoted(&id)),
        ("{name}", quoted(name.trim())),
        ("{colourway}", quoted(drawing.colourway)),
        ("{file}", quoted(&format!("{id}.svg"))),
        ("{width}", quoted(&print(drawing.width))),
        (
            "{wax_below}",
            drawing
                .wax_below
                .map_or_else(String::new, |limit| format!("wax_below = {limit:.0}\n")),
        ),
        ("{sponge}", doses(&chosen.sponge, "22 g/L")),
        ("{touch_up}", doses(&chosen.sponge[..1], "15 g/L")),
        ("{dip}", doses(&[chosen.ground], "0.6 %")),
        ("{spray}", doses(&chosen.spray, "18 g/L")),
    ]);
    let files = [
        ("design.toml".to_string(), toml.into_bytes()),
        (format!("{id}.svg"), drawing.bytes.to_vec()),
    ];
    place(&workspace.dir, &id, &files)?;
    Ok(id)
}

/// Adds a design like another one, under a new id: `designs/<id>/` with a copy of its file, in which only the id, the
/// colourway and what `change` changes differ, and of its drawings. Answers the new id.
///
/// # Errors
/// [`NotDone::Findings`] if there is no such design, or the colourway gives no id.
pub fn add_colourway(
    workspace: &Workspace,
    like: &str,
    colourway: &str,
    change: Option<&Change>,
) -> Result<String, NotDone> {
    let refuse = |finding: Finding| NotDone::Findings(vec![finding]);
    let missing = || {
        refuse(Finding::new(
            "no-such-design",
            Weight::Wrong,
            Place::Request,
            say!(
                "there is no design {design} that can be copied",
                "tidak ada desain {design} yang dapat disalin",
                design = Arg::Name(like.chars().take(60).collect())
            ),
        ))
    };
    let file = workspace.design_file(like).ok_or_else(missing)?;
    let (Some(design), Some(source)) = (&file.design, workspace.source(&file.path)) else {
        return Err(missing());
    };
    let _lock = Lock::take(&workspace.dir)?;
    let Some(id) = free_id(workspace, &format!("{} {colourway}", design.name)) else {
        return Err(refuse(no_id(colourway)));
    };
    let text = match change {
        Some(change) => crate::edit::apply(&source.text, change).map_err(refuse)?,
        None => source.text.clone(),
    };
    let text = crate::edit::renamed(&text, &id, colourway).map_err(refuse)?;
    let folder = file.path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut files = vec![("design.toml".to_string(), text.into_bytes())];
    // Drawings as they lie on the disk: the copy has their bytes, not what was made of them.
    for drawing in workspace.sources.iter().filter(|s| !s.path.ends_with(".toml")) {
        let Some(name) = drawing
            .path
            .strip_prefix(folder)
            .and_then(|rest| rest.strip_prefix('/'))
        else {
            continue;
        };
        let path = workspace.dir.join(&drawing.path);
        let bytes = fs::read(&path).map_err(IoError::at(&path))?;
        if !files.iter().any(|(known, _)| known == name) {
            files.push((name.to_string(), bytes));
        }
    }
    place(&workspace.dir, &id, &files)?;
    Ok(id)
}

/// All files under a hidden name, then the folder is renamed.
fn place(dir: &Path, id: &str, files: &[(String, Vec<u8>)]) -> Result<(), IoError> {
    let folder = dir.join(DESIGNS).join(id);
    let new = beside(&folder);
    let made = (|| {
        fs::create_dir_all(&new).map_err(IoError::at(&new))?;
        for (name, bytes) in files {
            let path = new.join(name);
            fs::write(&path, bytes).map_err(IoError::at(&path))?;
        }
        fs::rename(&new, &folder).map_err(IoError::at(&folder))
    })();
    if made.is_err() {
        // Best effort: what failed is told, not that its leftovers stayed.
        let _ = fs::remove_dir_all(&new);
    }
    made
}

fn text_of(drawing: &[u8]) -> Option<&str> {
    std::str::from_utf8(drawing.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(drawing)).ok()
}

fn not_text(drawing_name: &str) -> Finding {
    Finding::new(
        "not-utf8",
        Weight::Wrong,
        Place::Request,
        say!(
            "{file} is not UTF-8 text",
            "{file} bukan teks UTF-8",
            file = Arg::Name(drawing_name.to_string())
        ),
    )
    .remedy(say!("save the drawing as SVG", "simpan gambar sebagai SVG"))
}

/// A person's name for something as a name for a file: small letters and digits of ASCII, one hyphen for anything else,
/// at most 40 bytes. `None` if nothing is left.
///
/// ```
/// assert_eq!(workspace::plain_name("Sea Fan, n\u{b0} 2!").as_deref(), Some("sea-fan-n-2"));
/// assert_eq!(workspace::plain_name("..."), None);
/// ```
pub fn plain_name(name: &str) -> Option<String> {
    let mut plain = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            plain.push(c);
        } else if !plain.is_empty() && !plain.ends_with('-') {
            plain.push('-');
        }
    }
    plain.truncate(40);
    let plain = plain.trim_end_matches('-');
    (!plain.is_empty()).then(|| plain.to_string())
}

/// The plain name, with a number if it is taken.
fn free_id(workspace: &Workspace, name: &str) -> Option<String> {
    let base = plain_name(name)?;
    let free =
        |id: &String| workspace.design_file(id).is_none() && !workspace.dir.join(DESIGNS).join(id).exists();
    std::iter::once(base.clone())
        .chain((2..1000).map(|n| format!("{base}-{n}")))
        .find(free)
}

fn no_id(name: &str) -> Finding {
    Finding::new(
        "name-gives-no-id",
        Weight::Wrong,
        Place::Request,
        say!(
            "\"{name}\" gives no id for the design",
            "\"{name}\" tidak menghasilkan id untuk desain",
            name = Arg::Name(name.chars().take(60).collect())
        ),
    )
    .remedy(say!(
        "use a name with some letters from a to z or digits",
        "pakai nama dengan huruf a sampai z atau angka"
    ))
}

/// Dyes for the roles of the first route.
struct Chosen<'a> {
    sponge: Vec<&'a DyeCard>,
    ground: &'a DyeCard,
    spray: Vec<&'a DyeCard>,
}

impl<'a> Chosen<'a> {
    /// Sponged dyes must clear in the bleach: from the quicker half of the store, three that are far apart in
    /// hue. The ground is dipped for minutes: the dye that binds quickest of the others. The spray lies over
    /// both: two of what is left, again far apart. A small store lends the same dye twice.
    fn from(store: &'a [Arc<DyeCard>]) -> Option<Self> {
        // A warm morning; only the order of the rates matters.
        let cloth = Celsius(28.0);
        let mut all: Vec<&DyeCard> = store.iter().map(Arc::as_ref).collect();
        all.sort_by(|a, b| b.bleaching.rate.value.total_cmp(&a.bleaching.rate.value));
        let quick = &all[..all.len().div_ceil(2)];
        let sponge = apart(quick, &[], 3);
        let others = |taken: &[&DyeCard]| -> Vec<&'a DyeCard> {
            all.iter()
                .filter(|card| !taken.iter().any(|t| t.id == card.id))
                .copied()
                .collect()
        };
        let mut rest = others(&sponge);
        rest.sort_by(|a, b| b.fixation_rate(cloth).total_cmp(&a.fixation_rate(cloth)));
        let ground = rest.first().or(sponge.first()).copied()?;
        let left = others(&[&sponge[..], &[ground]].concat());
        let spray = apart(if left.is_empty() { &sponge } else { &left }, &[ground], 2);
        Some(Self {
            sponge,
            ground,
            spray,
        })
    }
}

/// Up to `count` of the cards, each as far as can be in hue from those before it and from `from`.
fn apart<'a>(cards: &[&'a DyeCard], from: &[&'a DyeCard], count: usize) -> Vec<&'a DyeCard> {
    let mut chosen: Vec<&DyeCard> = Vec::new();
    while chosen.len() < count {
        let distance = |card: &DyeCard| {
            let others = chosen.iter().chain(from);
            others
                .map(|other| peak(card).abs_diff(peak(other)))
                .min()
                .unwrap_or(usize::MAX)
        };
        let free = cards
            .iter()
            .filter(|card| !chosen.iter().any(|c| c.id == card.id));
        // The first of equals: cards come in order of preference.
        let Some(next) = free.rev().max_by_key(|card| distance(card)) else {
            break;
        };
        chosen.push(next);
    }
    chosen
}

/// The band in which the dye takes most light, which gives its hue.
fn peak(card: &DyeCard) -> usize {
    let bands = card.unit_ks.iter().enumerate();
    bands
        .max_by(|a, b| a.1.total_cmp(b.1))
        .map_or(0, |(band, _)| band)
}

fn doses(cards: &[&DyeCard], depth: &str) -> String {
    let each = cards
        .iter()
        .map(|card| format!("{{ dye = {}, depth = \"{depth}\" }}", quoted(&card.id)));
    each.collect::<Vec<_>>().join(", ")
}

/// The template with its places filled, each place once: what is filled in is not searched again.
fn fill(places: &[(&str, String)]) -> String {
    let mut out = String::new();
    let mut rest = TEMPLATE;
    while let Some((at, (place, text))) = places
        .iter()
        .filter_map(|p| Some((rest.find(p.0)?, p)))
        .min_by_key(|(at, _)| *at)
    {
        out.push_str(&rest[..at]);
        out.push_str(text);
        rest = &rest[at + place.len()..];
    }
    out + rest
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn print(width: Length) -> String {
    units::print(
        Quantity::new(width.0, Measure::Length),
        units::System::Metric,
        units::Decimal::Point,
    )
}
