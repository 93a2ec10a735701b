//! What was measured here becomes what the studio counts with: written into dye cards and the workshop's file if nobody
//! else wrote meanwhile, undone and done again like a change of a design. It is one change of several files.

use super::Studio;
use super::assets::hex;
use super::history::{Done, Moment, NotDone, Way, one};
use super::kept;
use super::state::{Files, Held};
use crate::facts::learn::{Lesson, lessons, written};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use words::{Finding, Place, Weight};
use workspace::{IoError, TRIALS, Workspace};

/// Under what name the history is kept.
pub const LESSONS: &str = "lessons";

/// Texts of files by their paths.
type Texts = BTreeMap<String, String>;

impl Studio {
    /// Writes what is not in use yet. `hash` is that of [`Studio::learned`] as the page showed it.
    ///
    /// # Errors
    /// [`NotDone`]; then no file has changed.
    pub fn learn(&self, hash: &str) -> Result<Done, NotDone> {
        let mut held = self.held();
        let workspace = held.workspace.clone();
        current(&workspace, hash)?;
        let wrong = wrong_in(&workspace, |path| path == TRIALS);
        if !wrong.is_empty() {
            return Err(NotDone::Findings(wrong));
        }
        let changed = written(&workspace, &unused(&workspace)).map_err(NotDone::Findings)?;
        let changed = changed.into_iter().filter(|(source, text)| source.text != *text);
        let (mut before, mut after) = (Texts::new(), Texts::new());
        for (source, text) in changed {
            before.insert(source.path.clone(), source.text.clone());
            after.insert(source.path.clone(), text);
        }
        if after.is_empty() {
            return Ok(done(&mut held));
        }
        self.replace_all(&mut held, &before, &after)?;
        held.history(LESSONS).did(Moment {
            before: as_text(&before),
            after: as_text(&after),
            step: None,
        });
        Ok(kept_so(&mut held))
    }

    /// Takes back what was written last, or writes it again.
    ///
    /// # Errors
    /// [`NotDone`]; then no file has changed.
    pub fn learn_again(&self, hash: &str, way: Way) -> Result<Done, NotDone> {
        let mut held = self.held();
        let workspace = held.workspace.clone();
        current(&workspace, hash)?;
        let [undo, redo] = held.history(LESSONS).moments();
        let moments = if way == Way::Back { undo } else { redo };
        let named = moments.last().map(|moment| of_text(&moment.after));
        let text = |path: &String| Some((path.clone(), workspace.source(path)?.text.clone()));
        let now: Texts = named.iter().flat_map(BTreeMap::keys).filter_map(text).collect();
        let (wanted, _) = held.history(LESSONS).next(way, &as_text(&now))?;
        // Only files that are known by their hash are written.
        let mut wanted = of_text(&wanted);
        wanted.retain(|path, _| now.contains_key(path));
        self.replace_all(&mut held, &now, &wanted)?;
        held.history(LESSONS).went(way);
        Ok(kept_so(&mut held))
    }

    /// Hash of everything that a lesson rests on or is written into, and how much can be undone and done again.
    pub fn learned(&self) -> Done {
        done(&mut self.held())
    }

    /// Writes all files or none, and reads the folder again.
    fn replace_all(&self, held: &mut Held, before: &Texts, after: &Texts) -> Result<(), NotDone> {
        let mut there: Vec<&String> = Vec::new();
        let mut refused = None;
        for (path, text) in after {
            match self.put(path, before.get(path), text) {
                Ok(()) => there.push(path),
                Err(why) => {
                    refused = Some(why);
                    break;
                }
            }
        }
        let files = |path: &str| after.contains_key(path);
        if refused.is_none() {
            let was = wrong_in(&held.workspace, files);
            let folder = Files::of(self.dir());
            match held.workspace.again() {
                Ok(next) => {
                    let new = wrong_in(&next, files).into_iter();
                    let new: Vec<Finding> = new
                        .filter(|f| !was.iter().any(|known| known.found == f.found))
                        .collect();
                    if new.is_empty() {
                        held.take(next, folder);
                        return Ok(());
                    }
                    refused = Some(NotDone::Findings(new));
                }
                Err(error) => refused = Some(one(error.finding())),
            }
        }
        for path in there {
            // Whoever wrote it in this moment keeps what they wrote.
            if let (Some(old), Some(new)) = (before.get(path), after.get(path)) {
                let _ = self.put(path, Some(new), old);
            }
        }
        refused.map_or(Ok(()), Err)
    }

    fn put(&self, path: &str, before: Option<&String>, text: &str) -> Result<(), NotDone> {
        let hash = before.map(|text| Sha256::digest(text).into());
        match workspace::save(self.dir(), path, hash, text.as_bytes()) {
            Ok(()) => Ok(()),
            Err(IoError::Changed { .. }) => Err(stale(String::new())),
            Err(error) => Err(one(error.finding())),
        }
    }
}

/// What was measured and is not in use yet.
pub fn unused(workspace: &Workspace) -> Vec<Lesson> {
    let all = workspace.workshop.as_ref().map(|shop| lessons(workspace, shop));
    let all = all.map_or_else(Vec::new, |lessons| lessons.constants);
    all.into_iter().filter(|lesson| !lesson.in_use()).collect()
}

fn current(workspace: &Workspace, hash: &str) -> Result<(), NotDone> {
    let now = mark(workspace);
    if now == hash { Ok(()) } else { Err(stale(now)) }
}

/// Of everything but designs, orders and what is said of the collection: a lesson stands in the dye cards and the
/// workshop's file, and rests on the trials; what wax was asked rests on the designs, whose steps are read with them.
fn mark(workspace: &Workspace) -> String {
    let mut hash = Sha256::new();
    let aside = [workspace::ORDERS, workspace::COLLECTION, workspace::STAMPS];
    let files = workspace.sources.iter();
    let files = files.filter(|source| !aside.contains(&source.path.as_str()));
    let files: BTreeMap<&str, _> = files.map(|source| (source.path.as_str(), source.hash)).collect();
    for (path, content) in files {
        hash.update(path);
        hash.update(content);
    }
    hex(&hash.finalize()[..16])
}

fn wrong_in(workspace: &Workspace, of: impl Fn(&str) -> bool) -> Vec<Finding> {
    let wrong = workspace.findings.iter().filter(|f| f.weight == Weight::Wrong);
    let there = |f: &&Finding| matches!(&f.place, Place::File { path, .. } if of(path));
    wrong.filter(there).cloned().collect()
}

/// As the history holds one text for a change.
fn as_text(texts: &Texts) -> String {
    serde_json::json!(texts).to_string()
}

/// A text that somebody spoiled names no file.
fn of_text(text: &str) -> Texts {
    serde_json::from_str(text).unwrap_or_default()
}

const fn stale(now: String) -> NotDone {
    NotDone::Stale {
        now,
        differences: None,
    }
}

fn kept_so(held: &mut Held) -> Done {
    let dir = held.workspace.dir.clone();
    kept::write(&dir, LESSONS, held.history(LESSONS));
    done(held)
}

fn done(held: &mut Held) -> Done {
    Done {
        hash: mark(&held.workspace),
        depth: held.history(LESSONS).depth(),
        step: None,
    }
}

#[cfg(test)]
mod tests {
    use super::Texts;
    use crate::studio::tests::{PORT, copy, demo};
    use crate::studio::{NoFacts, Studio};
    use std::sync::Arc;

    /// One file that cannot be used keeps the others from being written too.
    #[test]
    fn all_files_are_written_or_none() {
        let dir = std::env::temp_dir().join(format!("lorod-lessons-{}", std::process::id()));
        copy(&demo(), &dir);
        let studio = Studio::open(&dir, Arc::new(NoFacts), PORT).expect("the copy opens");
        let text = |path: &str| std::fs::read_to_string(dir.join(path)).expect("it is there");
        let paths = ["dyes/coral-vs.toml", "workshop.toml"];
        let before: Texts = paths
            .iter()
            .map(|path| ((*path).to_string(), text(path)))
            .collect();
        let mut after = before.clone();
        after.insert(
            paths[0].to_string(),
            format!("{}# as good as before\n", text(paths[0])),
        );
        after.insert(paths[1].to_string(), "this is no workshop".to_string());
        let mut held = studio.held();
        assert!(studio.replace_all(&mut held, &before, &after).is_err());
        for path in paths {
            assert_eq!(Some(&text(path)), before.get(path), "{path}");
        }
        after.insert(paths[1].to_string(), format!("{}# too\n", text(paths[1])));
        assert!(studio.replace_all(&mut held, &before, &after).is_ok());
        for path in paths {
            assert_eq!(Some(&text(path)), after.get(path), "{path}");
        }
        drop(held);
        let _ = std::fs::remove_dir_all(&dir);
    }
}
