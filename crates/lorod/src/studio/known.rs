//! Answers that took seconds to work out, kept while what they rest on stays as it is.

use super::assets::hex;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use workspace::Workspace;

/// Answers kept of one kind.
const MOST: usize = 24;

/// Answers by what they rest on.
pub struct Known<T> {
    held: Mutex<Vec<(String, Arc<T>)>>,
}

impl<T> Default for Known<T> {
    fn default() -> Self {
        Self {
            held: Mutex::default(),
        }
    }
}

impl<T> Known<T> {
    /// The answer, if it was worked out before.
    pub fn get(&self, key: &str) -> Option<Arc<T>> {
        let held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let found = held.iter().find(|(known, _)| known == key);
        found.map(|(_, answer)| answer.clone())
    }

    /// Keeps an answer; the oldest goes.
    pub fn put(&self, key: String, answer: impl Into<Arc<T>>) -> Arc<T> {
        let answer = answer.into();
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        held.retain(|(known, _)| *known != key);
        held.push((key, answer.clone()));
        if held.len() > MOST {
            held.remove(0);
        }
        answer
    }
}

/// What every answer about a design rests on: its own files, the workshop, the dyes, the trials. A change that is
/// undone brings the key back. None where there is no such design.
pub fn rests_on(workspace: &Workspace, design: &str) -> Option<String> {
    let file = workspace.design_file(design)?;
    let (own, _) = file.path.rsplit_once('/')?;
    let counts = |path: &str| match path.starts_with("designs/") {
        true => path.strip_prefix(own).is_some_and(|rest| rest.starts_with('/')),
        // Who ordered and who signed changes no cloth.
        false => ![workspace::ORDERS, workspace::COLLECTION].contains(&path),
    };
    // In the order of their paths, each once: a folder that was read anew lists them otherwise than one that was changed
    // here, and a drawing once for each design that names it.
    let sources = workspace.sources.iter().filter(|source| counts(&source.path));
    let files: BTreeMap<&str, _> = sources
        .map(|source| (source.path.as_str(), source.hash))
        .collect();
    let mut hash = Sha256::new();
    for (path, content) in files {
        hash.update(path.as_bytes());
        hash.update(content);
    }
    Some(hex(&hash.finalize()[..16]))
}

#[cfg(test)]
mod tests {
    use super::{Known, MOST};

    #[test]
    fn the_oldest_goes_and_a_newer_answer_replaces_one() {
        let known = Known::default();
        for n in 0..=MOST {
            known.put(n.to_string(), n);
        }
        assert!(known.get("0").is_none() && known.get("1").is_some());
        known.put("1".into(), 99);
        assert_eq!(known.get("1").as_deref(), Some(&99));
        assert!(known.get("2").is_some(), "replacing makes no room");
    }
}
