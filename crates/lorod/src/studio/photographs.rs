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
use words::{Finding, Place};
use workspace::{Photograph, Source, Workspace, photograph};

/// Their folder.
pub const PHOTOGRAPHS: &str = "photographs";
/// Largest file that is taken, bytes.
pub const MOST_PHOTOGRAPH: usize = crate::facts::seen::MOST_BYTES as usize;
/// Endings of pictures.
const ENDINGS: [&str; 2] = ["jpg", "png"];

/// A photograph beside what is promised.
pub struct Judged {
    /// The cloth, straight.
    pub piece: Piece,
    /// A piece of the model's cloth.
    pub promised: Piece,
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

fn key(workspace: &Workspace, design: &str, name: &str) -> Option<String> {
    let (_, bytes) = picture(workspace, name)?;
    let (source, ..) = described(workspace, name)?;
    let picture = hex(&Sha256::digest(&bytes)[..12]);
    Some(format!(
        "{} {picture} {}",
        rests_on(workspace, design)?,
        hex(&source.hash[..12])
    ))
}

impl Studio {
    /// What a photograph came to, if that was worked out before.
    pub fn judged(&self, workspace: &Workspace, design: &str, name: &str) -> Option<Arc<Judged>> {
        self.answers().photographs.get(&key(workspace, design, name)?)
    }

    /// What it comes to. Some seconds.
    ///
    /// # Errors
    /// What keeps its colours from being told.
    pub fn judge(
        &self,
        workspace: &Workspace,
        design: &Arc<Design>,
        shop: &Workshop,
        name: &str,
        keep_going: KeepGoing,
    ) -> Result<Arc<Judged>, Vec<Finding>> {
        if let Some(known) = self.judged(workspace, &design.id, name) {
            return Ok(known);
        }
        let (key, (source, described, findings)) = key(workspace, &design.id, name)
            .zip(self::described(workspace, name))
            .ok_or_else(Vec::new)?;
        let described = described.ok_or(findings)?;
        let place = Place::File {
            path: source.path,
            span: 0..0,
        };
        let folder = workspace.dir.join(PHOTOGRAPHS);
        let piece = photo::piece(&described, &place, &folder, design, shop)?;
        let going = |share: f64| {
            keep_going(share);
        };
        let mut promised =
            photo::promised(design, shop, described.window_mm, &going).map_err(|finding| vec![finding])?;
        let compared = photo::compare(&piece, &promised, &Place::Request).map_err(|finding| vec![finding])?;
        let judged = Judged {
            piece,
            promised: promised.swap_remove(0),
            compared,
        };
        Ok(self.answers().photographs.put(key, judged))
    }
}
