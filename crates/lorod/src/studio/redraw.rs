//! Another drawing for a stamp: written beside the old one, then the design's file is made to name it. The old drawing
//! stays, so that undo is a change of one word.

use super::Studio;
use super::history::{Done, NotDone};
use stamp::{Limits, MOST_BYTES, Proposal};
use std::path::Path;
use std::sync::Arc;
use words::{Arg, Finding, Place, Weight, say};
use workspace::edit::Change;
use workspace::{IoError, Workspace};

impl Studio {
    /// Gives a stamp of a design another drawing. `name` is how its file shall be called, without its ending; `hash` is
    /// that of the design's file which the change was made for.
    ///
    /// # Errors
    /// [`NotDone`]; no file is left behind then.
    pub fn redraw(&self, id: &str, hash: &str, stamp: &str, name: &str, svg: &[u8]) -> Result<Done, NotDone> {
        if svg.len() > MOST_BYTES {
            return Err(NotDone::Findings(vec![too_long(svg.len())]));
        }
        let workspace = self.workspace();
        let file = workspace.design_file(id).ok_or(NotDone::NoDesign)?;
        let folder = file.path.rsplit_once('/').map_or("", |(folder, _)| folder);
        let written =
            place(self.dir(), folder, name, svg).map_err(|e| NotDone::Findings(vec![e.finding()]))?;
        let change = Change::Stamp {
            stamp: stamp.to_string(),
            key: "file".to_string(),
            text: Some(written.clone()),
        };
        let done = self.change(id, hash, &change);
        if done.is_err() {
            // Best effort: what failed is told, not that its leftovers stayed.
            let _ = std::fs::remove_file(self.dir().join(folder).join(&written));
        }
        done
    }

    /// Gives a stamp the drawing of its proposal, without the changes that are refused. Takes as long as finding the
    /// proposal did, unless it is known.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn build_stamp(&self, id: &str, hash: &str, stamp: &str, refuse: &[usize]) -> Result<Done, NotDone> {
        let workspace = self.workspace();
        let proposal = self.proposal(&workspace, id, stamp)?;
        let drawing = proposal.refusing(refuse).drawing();
        self.redraw(id, hash, stamp, &format!("{stamp}-buildable"), drawing.as_bytes())
    }

    /// The proposal for a stamp, if it is known; else made now.
    ///
    /// # Errors
    /// If there is no such design or stamp.
    pub fn proposal(&self, workspace: &Workspace, id: &str, stamp: &str) -> Result<Arc<Proposal>, NotDone> {
        let design = workspace.design(id).ok_or(NotDone::NoDesign)?;
        let used = design.stamps.iter().find(|used| used.id == stamp);
        let used = used.ok_or_else(|| NotDone::Findings(vec![no_stamp(stamp)]))?;
        let (limits, cloth_mm) = (workspace.stamp_limits(), design.cloth.width.to_mm());
        let known = self.bench().known(&proposal_name(&used.key, &limits, cloth_mm));
        Ok(known.unwrap_or_else(|| Arc::new(Proposal::of(&used.stamp, &limits, cloth_mm))))
    }
}

/// Everything that a proposal depends on.
pub fn proposal_name(key: &[u8; 32], limits: &Limits, cloth_mm: f64) -> String {
    format!("proposal {key:?} {cloth_mm} {limits:?}")
}

pub fn no_stamp(stamp: &str) -> Finding {
    let found = say!(
        "the design has no stamp {stamp}",
        "desain tidak punya cap {stamp}",
        stamp = Arg::Name(stamp.chars().take(60).collect())
    );
    Finding::new("no-such-stamp", Weight::Wrong, Place::Request, found)
}

fn too_long(bytes: usize) -> Finding {
    let n = |n: usize| Arg::Number(n as f64, 0);
    Finding::new(
        "artwork-too-long",
        Weight::Wrong,
        Place::Request,
        say!(
            "the drawing has {n} bytes",
            "gambar berisi {n} byte",
            n = n(bytes)
        ),
    )
    .allow(say!("at most {n}", "paling banyak {n}", n = n(MOST_BYTES)))
}

/// Writes under a name that is free in the folder; answers it.
fn place(dir: &Path, folder: &str, name: &str, bytes: &[u8]) -> Result<String, IoError> {
    let plain = workspace::plain_name(name).unwrap_or_else(|| "drawing".to_string());
    let mut taken = None;
    for n in 1..1000 {
        let name = if n == 1 {
            format!("{plain}.svg")
        } else {
            format!("{plain}-{n}.svg")
        };
        match workspace::save(dir, &format!("{folder}/{name}"), None, bytes) {
            Ok(()) => return Ok(name),
            Err(changed @ IoError::Changed { .. }) => taken = Some(changed),
            Err(other) => return Err(other),
        }
    }
    Err(taken.unwrap_or(IoError::BadName {
        name: name.to_string(),
    }))
}
