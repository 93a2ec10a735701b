//! What is recorded on the shelf of stamps: written if nobody else wrote meanwhile, undone and done again like a change of
//! a design.

use super::Studio;
use super::assets::hex;
use super::history::{Done, Moment, NotDone, Way, one};
use super::kept;
use super::state::Held;
use crate::facts::shelf::may_write;
use std::sync::MutexGuard;
use words::{Finding, Place, Weight};
use workspace::{IoError, STAMPS, ShelfEntry, Workspace, shelved};

/// What stands for the hash of a file that is not there yet.
const NO_FILE: &str = "none";

impl Studio {
    /// Records something. `hash` is that of the file which it was typed for.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn record(&self, hash: &str, entry: &ShelfEntry) -> Result<Done, NotDone> {
        let held = self.held();
        let before = current(&held.workspace, hash)?;
        let wrong: Vec<Finding> = held
            .workspace
            .findings
            .iter()
            .filter(|f| broken(f))
            .cloned()
            .collect();
        if !wrong.is_empty() {
            return Err(NotDone::Findings(wrong));
        }
        may_write(&held.workspace, entry).map_err(one)?;
        let after = shelved(&before, entry).map_err(one)?;
        let mut held = self.replace(held, &after)?;
        held.history(STAMPS).did(Moment {
            before,
            after,
            step: None,
        });
        Ok(kept_so(&mut held))
    }

    /// Takes back what was recorded last, or records it again.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn record_again(&self, hash: &str, way: Way) -> Result<Done, NotDone> {
        let mut held = self.held();
        let text = current(&held.workspace, hash)?;
        let (wanted, _) = held.history(STAMPS).next(way, &text)?;
        let mut held = self.replace(held, &wanted)?;
        held.history(STAMPS).went(way);
        Ok(kept_so(&mut held))
    }

    /// Hash of the shelf's file, and how much can be undone and done again.
    pub fn recorded(&self) -> Done {
        done(&mut self.held())
    }

    /// Writes the file and reads the folder again.
    fn replace<'s>(
        &'s self,
        held: MutexGuard<'s, Held>,
        text: &str,
    ) -> Result<MutexGuard<'s, Held>, NotDone> {
        let hash = held.workspace.source(STAMPS).map(|source| source.hash);
        match workspace::save(self.dir(), STAMPS, hash, text.as_bytes()) {
            Ok(()) => {
                drop(held);
                Ok(self.held())
            }
            Err(IoError::Changed { .. }) => Err(stale(String::new())),
            Err(error) => Err(one(error.finding())),
        }
    }
}

/// The text of the file, if it is the one that the page shows.
fn current(workspace: &Workspace, hash: &str) -> Result<String, NotDone> {
    let now = named(workspace);
    if now != hash {
        return Err(stale(now));
    }
    Ok(workspace
        .source(STAMPS)
        .map_or_else(String::new, |source| source.text.clone()))
}

fn named(workspace: &Workspace) -> String {
    let source = workspace.source(STAMPS);
    source.map_or_else(|| NO_FILE.to_string(), |source| hex(&source.hash))
}

const fn stale(now: String) -> NotDone {
    NotDone::Stale {
        now,
        differences: None,
    }
}

fn broken(finding: &Finding) -> bool {
    finding.weight == Weight::Wrong && matches!(&finding.place, Place::File { path, .. } if path == STAMPS)
}

fn kept_so(held: &mut Held) -> Done {
    let dir = held.workspace.dir.clone();
    kept::write(&dir, STAMPS, held.history(STAMPS));
    done(held)
}

fn done(held: &mut Held) -> Done {
    Done {
        hash: named(&held.workspace),
        depth: held.history(STAMPS).depth(),
        step: None,
    }
}
