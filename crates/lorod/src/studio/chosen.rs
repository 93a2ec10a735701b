//! The plan that was chosen: written if nobody else chose meanwhile, undone and done again like a change of a design.

use super::Studio;
use super::assets::hex;
use super::history::{Done, Moment, NotDone, Way, one};
use super::kept;
use super::state::Held;
use crate::facts::followed::{PLAN, mark, text};
use sha2::{Digest, Sha256};
use workspace::IoError;

impl Studio {
    /// Makes a text the plan's file; an empty one means that no plan is chosen. `hash` is that of the file which the choice
    /// was made for.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn choose_plan(&self, hash: &str, after: &str) -> Result<Done, NotDone> {
        let mut held = self.held();
        let before = current(&held, hash)?;
        write(&held, &before, after)?;
        held.history(PLAN).did(Moment {
            before,
            after: after.to_string(),
            step: None,
        });
        Ok(done(&mut held))
    }

    /// Takes back what was chosen last, or chooses it again.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn choose_again(&self, hash: &str, way: Way) -> Result<Done, NotDone> {
        let mut held = self.held();
        let before = current(&held, hash)?;
        let (wanted, _) = held.history(PLAN).next(way, &before)?;
        write(&held, &before, &wanted)?;
        held.history(PLAN).went(way);
        Ok(done(&mut held))
    }

    /// Hash of the plan's file, and how much can be undone and done again.
    pub fn chosen_plan(&self) -> Done {
        told(&mut self.held())
    }
}

fn current(held: &Held, hash: &str) -> Result<String, NotDone> {
    let text = text(&held.workspace.dir);
    let now = hex(&Sha256::digest(&text));
    if now == hash { Ok(text) } else { Err(stale(now)) }
}

fn write(held: &Held, before: &str, after: &str) -> Result<(), NotDone> {
    let dir = &held.workspace.dir;
    // A file that is not there reads as an empty one.
    let there = dir.join(PLAN).exists();
    let hash = there.then(|| Sha256::digest(before).into());
    match workspace::save(dir, PLAN, hash, after.as_bytes()) {
        Ok(()) => Ok(()),
        Err(IoError::Changed { .. }) => Err(stale(hex(&mark(dir)))),
        Err(error) => Err(one(error.finding())),
    }
}

const fn stale(now: String) -> NotDone {
    NotDone::Stale {
        now,
        differences: None,
    }
}

fn done(held: &mut Held) -> Done {
    let dir = held.workspace.dir.clone();
    kept::write(&dir, PLAN, held.history(PLAN));
    told(held)
}

fn told(held: &mut Held) -> Done {
    Done {
        hash: hex(&mark(&held.workspace.dir)),
        depth: held.history(PLAN).depth(),
        step: None,
    }
}
