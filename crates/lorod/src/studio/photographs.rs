//! Photographs that lie in the folder, and what they come to beside the model's own cloth.
//!
//! `photographs/<name>.jpg` or `.png` with `photographs/<name>.toml` beside it, as `lorod compare` reads them.

use super::Studio;
use super::assets::hex;
use super::kiln::KeepGoing;
use super::known::rests_on;
use crate::facts::photo::{self, Piece};
use cloth::photo::Compared;
use route::{Design, Workshop};
use sha2::{Digest, Sha256};
use std::sync::Arc;
use words::{Arg, Finding, Place, Weight, say};
use workspace::{Guide, Photograph, Source, Workspace, photograph};

/// Their folder.
pub const PHOTOGRAPHS: &str = "photographs";
/// Largest file that is taken, bytes.
pub const MOST_PHOTOGRAPH: usize = crate::facts::seen::MOST_BYTES as usize;
/// Endings of files of measurements.
const VALUES: [&str; 4] = [".txt", ".csv", ".tsv", ".cgats"];
/// Endings of pictures.
const ENDINGS: [&str; 2] = ["jpg", "png"];

/// A photograph, and what it is held against.
pub struct Asked {
    /// The design that the cloth shall be.
    pub design: Arc<Design>,
    /// The photograph.
    pub name: String,
    /// Photographs of approved cloth; none: the model's own cloth.
    pub approved: Vec<String>,
}

/// A photograph beside what it is held against.
pub struct Judged {
    /// The cloth, straight.
    pub piece: Piece,
    /// A piece of approved cloth, or of the model's.
    pub approved: Piece,
    /// The numbers with their ranges.
    pub compared: Vec<Compared>,
}

/// Names of the photographs in the folder.
pub fn names(workspace: &Workspace) -> Vec<String> {
    let entries = std::fs::read_dir(workspace.dir.join(PHOTOGRAPHS));
    let files = entries
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| entry.file_name().into_string().ok());
    let mut all: Vec<String> = files
        .filter_map(|file| {
            let (name, ending) = file.rsplit_once('.')?;
            (ENDINGS.contains(&ending) && is_name(name)).then(|| name.to_string())
        })
        .collect();
    all.sort();
    all
}

/// Whether it can be the name of a photograph here: what leads nowhere else.
fn is_name(name: &str) -> bool {
    workspace::plain_name(name).as_deref() == Some(name)
}

/// The picture's file name, and its bytes.
pub fn picture(workspace: &Workspace, name: &str) -> Option<(String, Vec<u8>)> {
    let file = ENDINGS.iter().map(|ending| format!("{name}.{ending}"));
    let mut read = file.filter(|_| is_name(name)).filter_map(|file| {
        let bytes = std::fs::read(workspace.dir.join(PHOTOGRAPHS).join(&file)).ok()?;
        Some((file, bytes))
    });
    read.next()
}

/// Its description, if there is one.
pub fn described(workspace: &Workspace, name: &str) -> Option<(Source, Option<Photograph>, Vec<Finding>)> {
    let path = format!("{PHOTOGRAPHS}/{name}.toml");
    let text = is_name(name)
        .then(|| std::fs::read_to_string(workspace.dir.join(&path)))?
        .ok()?;
    let source = Source {
        hash: Sha256::digest(text.as_bytes()).into(),
        path,
        text,
    };
    let (described, findings) = photograph(&source);
    Some((source, described, findings))
}

/// Files that may hold the measured patches of a target, seen from the photographs' folder: those beside the photographs,
/// those of the folder of measured samples, and the one that the photograph names now.
pub fn values(workspace: &Workspace, now: Option<&Photograph>) -> Vec<String> {
    let listed = |folder: &str, before: &str| -> Vec<String> {
        let names = super::pages::folder::names(&workspace.dir.join(folder)).into_iter();
        let text = names.filter(|name| VALUES.iter().any(|ending| name.ends_with(ending)));
        text.map(|name| format!("{before}{name}")).collect()
    };
    let mut all = listed(PHOTOGRAPHS, "");
    all.extend(listed(super::pages::folder::MEASURED, "../measured/"));
    if let Some(Guide::Target { values, .. }) = now.map(|now| &now.guide)
        && !all.contains(values)
    {
        all.push(values.clone());
    }
    all
}

/// What an answer rests on; none where a photograph is missing or not marked.
fn key(workspace: &Workspace, asked: &Asked) -> Option<String> {
    let mut key = rests_on(workspace, &asked.design.id)?;
    for name in std::iter::once(&asked.name).chain(&asked.approved) {
        let (_, bytes) = picture(workspace, name)?;
        let (source, described, _) = described(workspace, name)?;
        let mut hash = Sha256::new();
        hash.update(&bytes);
        hash.update(source.hash);
        if let Some(Photograph {
            guide: Guide::Target { values, .. },
            ..
        }) = described
        {
            // A file that cannot be read is told when its colours are asked for.
            hash.update(std::fs::read(workspace.dir.join(PHOTOGRAPHS).join(values)).unwrap_or_default());
        }
        key.push_str(&format!(" {}", hex(&hash.finalize()[..12])));
    }
    Some(key)
}

/// A marked photograph as a piece of cloth.
fn piece(
    workspace: &Workspace,
    shop: &Workshop,
    design: &Arc<Design>,
    name: &str,
) -> Result<(Piece, Photograph), Vec<Finding>> {
    let (source, described, findings) =
        self::described(workspace, name).ok_or_else(|| vec![not_marked(name)])?;
    let described = described.ok_or(findings)?;
    let place = Place::File {
        path: source.path,
        span: 0..0,
    };
    let folder = workspace.dir.join(PHOTOGRAPHS);
    let piece = photo::piece(&described, &place, &folder, design, shop)?;
    Ok((piece, described))
}

fn not_marked(name: &str) -> Finding {
    let found = say!(
        "window and card are not marked on the photograph {name}",
        "jendela dan kartu belum ditandai di foto {name}",
        name = Arg::Name(name.to_string())
    );
    Finding::new("photo-not-marked", Weight::Wrong, Place::Request, found)
}

impl Studio {
    /// What a photograph came to, if that was worked out before.
    pub fn judged(&self, workspace: &Workspace, asked: &Asked) -> Option<Arc<Judged>> {
        self.answers().photographs.get(&key(workspace, asked)?)
    }

    /// What it comes to. Some seconds.
    ///
    /// # Errors
    /// What keeps its colours, or those of the approved cloth, from being told.
    pub fn judge(
        &self,
        workspace: &Workspace,
        shop: &Workshop,
        asked: &Asked,
        keep_going: KeepGoing,
    ) -> Result<Arc<Judged>, Vec<Finding>> {
        if let Some(known) = self.judged(workspace, asked) {
            return Ok(known);
        }
        let read = |name: &str| piece(workspace, shop, &asked.design, name);
        let going = |share: f64| {
            keep_going(share);
        };
        let (piece, described) = read(&asked.name)?;
        let mut approved = Vec::new();
        if asked.approved.is_empty() {
            approved =
                photo::promised(&asked.design, shop, described.window_mm, &going).map_err(|f| vec![f])?;
        }
        for name in &asked.approved {
            approved.push(read(name)?.0);
            going(approved.len() as f64 / asked.approved.len() as f64);
        }
        let compared = photo::compare(&piece, &approved, &Place::Request).map_err(|f| vec![f])?;
        let judged = Judged {
            piece,
            approved: approved.swap_remove(0),
            compared,
        };
        let key = key(workspace, asked).unwrap_or_default();
        Ok(self.answers().photographs.put(key, judged))
    }
}
