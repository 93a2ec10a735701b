//! Drawings as they were read, in `.lorod/drawn`: uniting the shapes of one takes some hundredths of a second, which would
//! be most of the time until a folder is read.
//!
//! A file is a seal and what was read. The seal is the SHA-256 of what the drawing is (its bytes and how they are read),
//! of the code that read it, and of the rest of the file: a file that is torn, was made by other code or lies at
//! another's place has another seal, and the drawing is read anew. They are a help, not the work: what cannot be
//! written is read anew as well, and whoever removes the folder loses time only.

use crate::folder::{COLLECTION, Source};
use crate::write::write_atomic;
use sha2::{Digest, Sha256};
use stamp::{Artwork, MADE_BY};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Drawings kept in a folder; a collection has some dozens, and each has some earlier states.
const MOST: usize = 128;
/// Longest file; the most intricate drawing that is read has less.
const MOST_BYTES: u64 = 32 << 20;

/// What a drawing is, and how it is read.
pub(super) type Key = [u8; 32];

pub(super) fn key(source: &Source, wax_below: Option<f64>) -> Key {
    let mut key = Sha256::new();
    key.update(source.hash);
    key.update(wax_below.map_or([0xff; 8], f64::to_le_bytes));
    key.finalize().into()
}

/// Drawings that were read and are not in the folder yet.
#[derive(Default)]
pub(super) struct Fresh(Mutex<Vec<(Key, Artwork)>>);

impl Fresh {
    pub(super) fn add(&self, key: Key, artwork: Artwork) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if all.len() < MOST && all.iter().all(|(known, _)| *known != key) {
            all.push((key, artwork));
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).is_empty()
    }

    /// Lays them in the folder; of those that were there the oldest go.
    pub(super) fn keep(&self, dir: &Path) {
        let all = std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner));
        let folder = folder(dir);
        // A workspace that was taken away meanwhile does not come back as an empty folder.
        let is_there = !all.is_empty() && dir.join(COLLECTION).is_file();
        if !is_there || fs::create_dir_all(&folder).is_err() {
            return;
        }
        for (key, artwork) in all {
            let kept = artwork.kept();
            let whole = [&seal(&key, MADE_BY, &kept)[..], &kept].concat();
            // What is not there is read anew at the next start.
            let _ = write_atomic(&folder.join(name(&key)), &whole);
        }
        sweep(&folder);
    }
}

/// The drawing, if this code has read it before; called `path` in what is said about it.
pub(super) fn find(dir: &Path, key: &Key, path: &str) -> Option<Artwork> {
    let place = folder(dir).join(name(key));
    let about = fs::symlink_metadata(&place).ok()?;
    if !about.is_file() || about.len() > MOST_BYTES {
        return None;
    }
    let whole = fs::read(&place).ok()?;
    let (sealed, kept) = whole.split_at_checked(32)?;
    (sealed == seal(key, MADE_BY, kept)).then(|| Artwork::of_kept(kept, path))?
}

fn seal(key: &Key, made_by: &str, kept: &[u8]) -> [u8; 32] {
    let mut seal = Sha256::new();
    seal.update(b"drawing ");
    seal.update(made_by);
    seal.update(key);
    seal.update(kept);
    seal.finalize().into()
}

fn folder(dir: &Path) -> PathBuf {
    dir.join(".lorod").join("drawn")
}

fn name(key: &Key) -> String {
    key.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Removes the oldest files beyond [`MOST`], of those that have a name of ours.
fn sweep(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let ours = entries.filter(|entry| {
        let name = entry.file_name();
        name.len() == 64 && name.to_string_lossy().bytes().all(|b| b.is_ascii_hexdigit())
    });
    let mut all: Vec<_> = ours
        .filter_map(|entry| Some((entry.metadata().ok()?.modified().ok()?, entry.path())))
        .collect();
    all.sort();
    for (_, path) in all.iter().take(all.len().saturating_sub(MOST)) {
        // One that stays takes room only.
        let _ = fs::remove_file(path);
    }
}

#[cfg(test)]
mod tests {
    use super::{COLLECTION, Fresh, Key, MADE_BY, MOST, find, folder, name, seal};
    use stamp::{Area, Artwork, Bounds};
    use std::fs;
    use std::path::PathBuf;

    struct Scratch(PathBuf);

    impl Scratch {
        fn new(name: &str) -> Self {
            let dir = std::env::temp_dir().join(format!("lorod-drawn-{name}-{}", std::process::id()));
            fs::create_dir_all(&dir).expect("a folder for tests");
            fs::write(dir.join(COLLECTION), "").expect("written");
            Self(dir)
        }
    }

    impl Drop for Scratch {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    fn drawing(side: f64) -> Artwork {
        Artwork::from_area(Area::rectangle(&Bounds::sized(side, side)), [100.0, 100.0])
    }

    fn keep(dir: &Scratch, key: Key, artwork: Artwork) -> PathBuf {
        let fresh = Fresh::default();
        fresh.add(key, artwork);
        assert!(!fresh.is_empty());
        fresh.keep(&dir.0);
        assert!(fresh.is_empty());
        folder(&dir.0).join(name(&key))
    }

    #[test]
    fn what_was_read_comes_back_for_the_same_drawing_only() {
        let dir = Scratch::new("same");
        keep(&dir, [1; 32], drawing(10.0));
        assert_eq!(find(&dir.0, &[1; 32], "a.svg"), Some(drawing(10.0)));
        assert_eq!(find(&dir.0, &[2; 32], "a.svg"), None);
    }

    #[test]
    fn a_torn_or_foreign_file_is_refused() {
        let dir = Scratch::new("torn");
        let place = keep(&dir, [1; 32], drawing(10.0));
        let whole = fs::read(&place).expect("it was written");
        for end in [0, 20, 32, 40, whole.len() - 1] {
            fs::write(&place, &whole[..end]).expect("written");
            assert_eq!(find(&dir.0, &[1; 32], "a.svg"), None, "torn at {end}");
        }
        for at in [0, 31, 32, whole.len() - 1] {
            let mut spoiled = whole.clone();
            spoiled[at] ^= 1;
            fs::write(&place, &spoiled).expect("written");
            assert_eq!(find(&dir.0, &[1; 32], "a.svg"), None, "one bit of byte {at}");
        }
        // Another drawing's file at this place; the same by other code, sealed as that code would.
        let other = fs::read(keep(&dir, [2; 32], drawing(20.0))).expect("it was written");
        fs::write(&place, &other).expect("written");
        assert_eq!(find(&dir.0, &[1; 32], "a.svg"), None, "another's");
        let kept = &whole[32..];
        for (made_by, is_ours) in [("other code", false), (MADE_BY, true)] {
            let sealed = [&seal(&[1; 32], made_by, kept)[..], kept].concat();
            fs::write(&place, sealed).expect("written");
            assert_eq!(find(&dir.0, &[1; 32], "a.svg").is_some(), is_ours, "{made_by}");
        }
        // It is made anew at its place.
        fs::write(&place, b"torn").expect("written");
        keep(&dir, [1; 32], drawing(10.0));
        assert_eq!(find(&dir.0, &[1; 32], "a.svg"), Some(drawing(10.0)));
    }

    #[test]
    fn the_folder_does_not_grow_for_ever_and_loses_nothing_of_others() {
        let dir = Scratch::new("many");
        fs::create_dir_all(folder(&dir.0)).expect("made");
        let foreign = folder(&dir.0).join("notes.txt");
        fs::write(&foreign, "mine").expect("written");
        for n in 0..=MOST {
            fs::write(folder(&dir.0).join(format!("{n:064x}")), "old").expect("written");
        }
        let place = keep(&dir, [0xff; 32], drawing(10.0));
        let left = fs::read_dir(folder(&dir.0)).expect("listed").count();
        assert_eq!(left, MOST + 1);
        assert!(foreign.exists() && place.exists());
    }
}
