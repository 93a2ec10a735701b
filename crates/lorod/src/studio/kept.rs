//! What was done to a design, to the shelf or to the plan that is followed, kept in the workspace's folder so that it can be undone after the studio was closed.
//!
//! `.lorod/done/<design's folder>.json`, `stamps.toml.json` for the shelf of stamps, `lessons.json` for what was measured
//! here; hidden, so that nobody takes it for a file of the workspace. It is a help, not the work: what cannot be read is as if nothing had been done, and what cannot be written is forgotten at the end.

use super::history::{History, Moment};
use super::lessons::LESSONS;
use crate::facts::followed::PLAN;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Changes of one design that are kept.
const MOST: usize = 40;

/// Texts by their hash, since one change ends where the next begins.
#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    texts: BTreeMap<String, String>,
    undo: Vec<Step>,
    redo: Vec<Step>,
}

/// A change: hashes of the texts before and after, and the step it was about.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Step {
    before: String,
    after: String,
    step: Option<String>,
}

/// What was done to the design whose file lies at `path` of the folder.
pub fn read(dir: &Path, path: &str) -> History {
    let kept = place(dir, path).and_then(|place| std::fs::read(place).ok());
    let kept: Kept = kept
        .and_then(|bytes| serde_json::from_slice(&bytes).ok())
        .unwrap_or_default();
    let moments = |steps: Vec<Step>| {
        let moment = |step: Step| {
            Some(Moment {
                before: kept.texts.get(&step.before)?.clone(),
                after: kept.texts.get(&step.after)?.clone(),
                step: step.step,
            })
        };
        steps.into_iter().filter_map(moment).collect()
    };
    History::of(moments(kept.undo), moments(kept.redo))
}

/// Keeps it.
pub fn write(dir: &Path, path: &str, history: &History) {
    let mut kept = Kept::default();
    let [undo, redo] = history.moments();
    let mut steps = |moments: &[Moment]| -> Vec<Step> {
        let mut text = |text: &str| {
            let name = super::assets::hex(&Sha256::digest(text)[..8]);
            kept.texts.entry(name.clone()).or_insert_with(|| text.to_string());
            name
        };
        let last = &moments[moments.len().saturating_sub(MOST)..];
        last.iter()
            .map(|moment| Step {
                before: text(&moment.before),
                after: text(&moment.after),
                step: moment.step.clone(),
            })
            .collect()
    };
    let (undo, redo) = (steps(undo), steps(redo));
    (kept.undo, kept.redo) = (undo, redo);
    let (Some(place), Ok(bytes)) = (place(dir, path), serde_json::to_vec(&kept)) else {
        return;
    };
    let made = place
        .parent()
        .is_some_and(|folder| std::fs::create_dir_all(folder).is_ok());
    if made {
        // The change itself is on the disk already; only undoing it after a restart would be lost.
        let _ = workspace::write_atomic(&place, &bytes);
    }
}

/// The file for a design, for the shelf of stamps, for the plan or for lessons; none for another path.
fn place(dir: &Path, path: &str) -> Option<PathBuf> {
    let id = match path {
        workspace::STAMPS | PLAN | LESSONS => path,
        _ => path.strip_prefix("designs/")?.split('/').next()?,
    };
    Some(dir.join(".lorod").join("done").join(format!("{id}.json")))
}

#[cfg(test)]
mod tests {
    use super::{place, read, write};
    use crate::studio::history::{History, Moment};

    #[test]
    fn what_was_done_comes_back() {
        let dir = std::env::temp_dir().join(format!("lorod-kept-{}", std::process::id()));
        let path = "designs/pond/design.toml";
        let moment = |n: usize| Moment {
            before: format!("text {n}"),
            after: format!("text {}", n + 1),
            step: (n == 3).then(|| "s03".to_string()),
        };
        let done = History::of((0..60).map(moment).collect(), vec![moment(60)]);
        write(&dir, path, &done);
        let again = read(&dir, path);
        let [undo, redo] = again.moments();
        // The last forty, in their order.
        assert_eq!((undo.len(), redo.len()), (40, 1));
        assert_eq!(
            (undo[0].before.as_str(), undo[39].after.as_str()),
            ("text 20", "text 60")
        );
        // A file that somebody spoiled is no history, and no end of the studio.
        let file = place(&dir, path).expect("a design's");
        std::fs::write(&file, "{").expect("written");
        assert!(read(&dir, path).moments().iter().all(|m| m.is_empty()));
        assert!(place(&dir, "orders.toml").is_none());
        std::fs::remove_dir_all(&dir).expect("removed");
    }
}
