//! Changes to a design: checked before they are written, refused where somebody else wrote meanwhile, undone and done
//! again. What was done is kept here and, for the next start, in the folder ([`super::kept`]).

use super::Studio;
use super::assets::hex;
use super::kept;
use super::state::{Files, Held};
use route::Design;
use std::sync::Arc;
use words::{Finding, Place, Weight, say};
use workspace::edit::{Change, Difference, apply, between};
use workspace::{DesignFile, IoError, Workspace};

/// Changes that can be undone, and versions that can be compared with, of one design.
const MOST: usize = 100;

/// What was done to one design's file.
#[derive(Default)]
pub struct History {
    undo: Vec<Moment>,
    redo: Vec<Moment>,
    seen: Vec<Version>,
}

/// One change.
pub struct Moment {
    /// Text of the file before.
    pub before: String,
    /// And after.
    pub after: String,
    /// The step that it was about.
    pub step: Option<String>,
}

/// The file as it once was.
struct Version {
    hash: String,
    text: String,
    design: Option<Arc<Design>>,
}

/// A change that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// Hash of the file now.
    pub hash: String,
    /// The step to look at, where the change was about one.
    pub step: Option<String>,
    /// How many changes can be undone, and done again.
    pub depth: [usize; 2],
}

/// A change that was not made. The file is as it was.
#[derive(Debug)]
pub enum NotDone {
    /// There is no such design.
    NoDesign,
    /// The file is not the one that the page shows.
    Stale {
        /// Hash of the file now.
        now: String,
        /// What differs from what the page shows; nothing where that is not known any more.
        differences: Option<Vec<Difference>>,
    },
    /// It cannot be done, and why.
    Findings(Vec<Finding>),
}

/// Which way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Undo.
    Back,
    /// Do again.
    On,
}

impl Held {
    /// Keeps what the designs were before the folder is read anew.
    pub fn remember(&mut self, next: &Workspace) {
        let now = self.workspace.clone();
        for file in &now.designs {
            let (was, is) = (now.source(&file.path), next.source(&file.path));
            if let Some(was) = was.filter(|was| is.is_none_or(|is| is.hash != was.hash)) {
                let version = Version::of(&was.text, was.hash, file);
                self.history(&file.path).see(version);
            }
        }
    }

    /// What was done to a file; before this start of the studio too.
    pub fn history(&mut self, path: &str) -> &mut History {
        let dir = &self.workspace.dir;
        self.histories
            .entry(path.to_string())
            .or_insert_with(|| kept::read(dir, path))
    }
}

impl Version {
    fn of(text: &str, hash: [u8; 32], file: &DesignFile) -> Self {
        Self {
            hash: hex(&hash),
            text: text.to_string(),
            design: file.design.clone(),
        }
    }
}

impl History {
    /// With changes that can be undone, and done again, the last ones last.
    pub fn of(undo: Vec<Moment>, redo: Vec<Moment>) -> Self {
        Self {
            undo,
            redo,
            seen: Vec::new(),
        }
    }
    /// What can be undone, and done again.
    pub fn moments(&self) -> [&[Moment]; 2] {
        [&self.undo, &self.redo]
    }
    fn see(&mut self, version: Version) {
        if !self.seen.iter().any(|seen| seen.hash == version.hash) {
            self.seen.push(version);
            if self.seen.len() > MOST {
                self.seen.remove(0);
            }
        }
    }
    /// How many changes can be undone, and done again.
    pub fn depth(&self) -> [usize; 2] {
        [self.undo.len(), self.redo.len()]
    }
    /// A change was made.
    pub fn did(&mut self, moment: Moment) {
        self.redo.clear();
        self.undo.push(moment);
        if self.undo.len() > MOST {
            self.undo.remove(0);
        }
    }
    /// The text that going one way leads to from the text of the file, and the step to look at.
    ///
    /// # Errors
    /// If there is no change that way, or the file was written since.
    pub fn next(&self, way: Way, text: &str) -> Result<(String, Option<String>), NotDone> {
        let from = if way == Way::Back { &self.undo } else { &self.redo };
        let Some(moment) = from.last() else {
            return Err(one(nothing_left(way)));
        };
        let (expected, wanted) = match way {
            Way::Back => (&moment.after, &moment.before),
            Way::On => (&moment.before, &moment.after),
        };
        if expected != text {
            return Err(one(written_between()));
        }
        Ok((wanted.clone(), moment.step.clone()))
    }
    /// It was gone.
    pub fn went(&mut self, way: Way) {
        match way {
            Way::Back => self.redo.extend(self.undo.pop()),
            Way::On => self.undo.extend(self.redo.pop()),
        }
    }
}

impl Studio {
    /// Changes a design. `hash` is that of the file which the change was made for.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn change(&self, id: &str, hash: &str, change: &Change) -> Result<Done, NotDone> {
        let mut held = self.held();
        let text = current(&held, id, hash)?;
        let after = apply(&text, change).map_err(one)?;
        let step = about(change, &text, &after);
        self.write(&mut held, id, &text, &after)?;
        let history = history(&mut held, id);
        if text != after {
            history.did(Moment {
                before: text,
                after,
                step: step.clone(),
            });
            keep(&mut held, id);
        }
        Ok(done(&mut held, id, step))
    }

    /// What would be found if a design were changed so; nothing is written.
    pub fn try_change(&self, id: &str, change: &Change) -> Result<Vec<Finding>, NotDone> {
        let workspace = self.workspace();
        let (file, text) = text_of(&workspace, id).ok_or(NotDone::NoDesign)?;
        let after = apply(&text, change).map_err(one)?;
        let next = workspace.as_if(&file.path, &after);
        Ok(refusals(&workspace, &next, &file.path))
    }

    /// Undoes the last change, or does it again.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn go(&self, id: &str, hash: &str, way: Way) -> Result<Done, NotDone> {
        let mut held = self.held();
        let text = current(&held, id, hash)?;
        let history = history(&mut held, id);
        let (wanted, step) = history.next(way, &text)?;
        self.write(&mut held, id, &text, &wanted)?;
        self::history(&mut held, id).went(way);
        keep(&mut held, id);
        Ok(done(&mut held, id, step))
    }

    /// How many changes of a design can be undone, and done again.
    pub fn depth(&self, id: &str) -> [usize; 2] {
        let mut held = self.held();
        let path = held.workspace.design_file(id).map(|file| file.path.clone());
        path.map_or([0, 0], |path| held.history(&path).depth())
    }

    /// A design as it was when its file had this hash.
    pub fn version(&self, id: &str, hash: &str) -> Option<Arc<Design>> {
        let held = self.held();
        let file = held.workspace.design_file(id)?;
        let seen = &held.histories.get(&file.path)?.seen;
        seen.iter().find(|v| v.hash == hash)?.design.clone()
    }

    /// Hash of a design's file before the last change that was made here.
    pub fn before_last(&self, id: &str) -> Option<String> {
        let held = self.held();
        let file = held.workspace.design_file(id)?;
        let history = held.histories.get(&file.path)?;
        let before = &history.undo.last()?.before;
        let seen = history.seen.iter().find(|version| version.text == *before)?;
        Some(seen.hash.clone())
    }

    /// Writes the new text if it can be made, and holds what the folder is then.
    fn write(&self, held: &mut Held, id: &str, before: &str, after: &str) -> Result<(), NotDone> {
        if before == after {
            return Ok(());
        }
        let workspace = held.workspace.clone();
        let file = workspace.design_file(id).ok_or(NotDone::NoDesign)?;
        let source = workspace.source(&file.path).ok_or(NotDone::NoDesign)?;
        let next = workspace.as_if(&file.path, after);
        let refused = refusals(&workspace, &next, &file.path);
        if !refused.is_empty() {
            return Err(NotDone::Findings(refused));
        }
        match workspace::save(self.dir(), &file.path, Some(source.hash), after.as_bytes()) {
            Ok(()) => {}
            // Written in the moment since the folder was looked at: what it holds now is not known yet.
            Err(IoError::Changed { .. }) => {
                return Err(NotDone::Stale {
                    now: String::new(),
                    differences: None,
                });
            }
            Err(error) => return Err(one(error.finding())),
        }
        let version = Version::of(&source.text, source.hash, file);
        held.history(&file.path).see(version);
        let folder = Files::of(self.dir());
        // Otherwise another file was written too, and the next look reads everything.
        if folder.same_but(&held.folder, &file.path) {
            held.folder = folder;
        }
        held.workspace = Arc::new(next);
        Ok(())
    }
}

/// A change that one finding keeps from being made.
pub fn one(finding: Finding) -> NotDone {
    NotDone::Findings(vec![finding])
}

fn text_of<'a>(workspace: &'a Workspace, id: &str) -> Option<(&'a DesignFile, String)> {
    let file = workspace.design_file(id)?;
    Some((file, workspace.source(&file.path)?.text.clone()))
}

/// The text of the file, if it is the one that the page shows.
fn current(held: &Held, id: &str, hash: &str) -> Result<String, NotDone> {
    let file = held.workspace.design_file(id).ok_or(NotDone::NoDesign)?;
    let source = held.workspace.source(&file.path).ok_or(NotDone::NoDesign)?;
    let now = hex(&source.hash);
    if now == hash {
        return Ok(source.text.clone());
    }
    let seen = held.histories.get(&file.path).map(|history| &history.seen);
    let shown = seen.and_then(|seen| seen.iter().find(|version| version.hash == hash));
    Err(NotDone::Stale {
        now,
        differences: shown.and_then(|shown| between(&shown.text, &source.text).ok()),
    })
}

/// What a change would break: findings that are wrong and were not there before. A file that cannot be made anyway may
/// be changed as long as it gets no worse.
fn refusals(now: &Workspace, next: &Workspace, path: &str) -> Vec<Finding> {
    let wrong = |workspace: &Workspace| -> Vec<Finding> {
        let file = workspace.designs.iter().find(|file| file.path == path);
        let all = file.into_iter().flat_map(|file| &file.findings);
        all.filter(|f| f.weight == Weight::Wrong).cloned().collect()
    };
    let before = wrong(now);
    let known = |finding: &Finding| {
        before
            .iter()
            .any(|b| b.code == finding.code && b.found == finding.found)
    };
    wrong(next).into_iter().filter(|f| !known(f)).collect()
}

fn history<'a>(held: &'a mut Held, id: &str) -> &'a mut History {
    let path = held.workspace.design_file(id).map(|file| file.path.clone());
    held.history(&path.unwrap_or_default())
}

/// Keeps what was done for the next start.
fn keep(held: &mut Held, id: &str) {
    if let Some(path) = held.workspace.design_file(id).map(|file| file.path.clone()) {
        let dir = held.workspace.dir.clone();
        kept::write(&dir, &path, held.history(&path));
    }
}

fn done(held: &mut Held, id: &str, step: Option<String>) -> Done {
    let file = held.workspace.design_file(id);
    let source = file.and_then(|file| held.workspace.source(&file.path));
    Done {
        hash: source.map_or_else(String::new, |source| hex(&source.hash)),
        depth: history(held, id).depth(),
        step,
    }
}

/// The step to look at after a change: the one it is about, or the one that it made.
fn about(change: &Change, before: &str, after: &str) -> Option<String> {
    match change {
        Change::Setting { step, .. } | Change::Move { step, .. } => Some(step.clone()),
        Change::Add { .. } | Change::Duplicate { .. } => {
            let new = between(before, after).ok()?;
            new.into_iter()
                .find(|d| d.key == "do" && d.before.is_none())
                .map(|d| d.of)
        }
        Change::Remove { .. }
        | Change::Cloth { .. }
        | Change::About { .. }
        | Change::Stamp { .. }
        | Change::Target { .. }
        | Change::AddTarget(_)
        | Change::RemoveTarget(_)
        | Change::All(_) => None,
    }
}

fn nothing_left(way: Way) -> Finding {
    let found = match way {
        Way::Back => say!("there is nothing to undo", "tidak ada yang dapat diurungkan"),
        Way::On => say!("there is nothing to do again", "tidak ada yang dapat diulangi"),
    };
    Finding::new("nothing-left", Weight::Note, Place::Request, found)
}

fn written_between() -> Finding {
    Finding::new(
        "written-between",
        Weight::Wrong,
        Place::Request,
        say!(
            "the file was written by another program since, and undoing would lose that",
            "berkas sudah ditulis program lain, dan mengurungkan akan menghilangkannya"
        ),
    )
}
