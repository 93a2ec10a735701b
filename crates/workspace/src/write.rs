//! Writing without ever leaving half a file: a temporary name in the same folder, then a rename.

use crate::IoError;
use sha2::{Digest, Sha256};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::Write;
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// Name of the lock file in a workspace.
const LOCK: &str = ".lorod-lock";

/// Makes a new workspace of these files (path inside the folder, bytes). The folder appears whole or not at all.
///
/// # Errors
/// If the folder exists and is not empty, a path leads out of it, or the system refuses.
pub fn create(dir: &Path, files: &[(&str, &[u8])]) -> Result<(), IoError> {
    if dir.exists() {
        let mut entries = fs::read_dir(dir).map_err(IoError::at(dir))?;
        if entries.next().is_some() {
            return Err(IoError::NotEmpty {
                dir: dir.to_path_buf(),
            });
        }
    }
    for (name, _) in files {
        if !inside(name) {
            return Err(IoError::BadName {
                name: (*name).to_string(),
            });
        }
    }
    let new = beside(dir);
    let made = fill(&new, files).and_then(|()| {
        if dir.exists() {
            // Empty; a rename onto it works on some systems only.
            fs::remove_dir(dir).map_err(IoError::at(dir))?;
        }
        fs::rename(&new, dir).map_err(IoError::at(dir))
    });
    if made.is_err() {
        // Best effort: what failed is told, not that its leftovers stayed.
        let _ = fs::remove_dir_all(&new);
    }
    made
}

fn fill(new: &Path, files: &[(&str, &[u8])]) -> Result<(), IoError> {
    fs::create_dir_all(new).map_err(IoError::at(new))?;
    for (name, bytes) in files {
        let path = new.join(name);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(IoError::at(folder))?;
        }
        let mut file = File::create_new(&path).map_err(IoError::at(&path))?;
        file.write_all(bytes)
            .and_then(|()| file.sync_all())
            .map_err(IoError::at(&path))?;
    }
    Ok(())
}

/// Replaces a file, or makes it: whoever reads it meanwhile sees the old or the new bytes, never a part.
///
/// # Errors
/// If the system refuses; the old file is then as it was.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Result<(), IoError> {
    let new = beside(path);
    let written = (|| {
        let mut file = OpenOptions::new().write(true).create_new(true).open(&new)?;
        file.write_all(bytes)?;
        if let Ok(old) = fs::metadata(path) {
            file.set_permissions(old.permissions())?;
        }
        file.sync_all()?;
        fs::rename(&new, path)
    })();
    if written.is_err() {
        // Best effort, as above.
        let _ = fs::remove_file(&new);
    }
    written.map_err(IoError::at(path))
}

/// Replaces a file of a workspace, if it is still the one that was read (`hash` as in
/// [`crate::Source::hash`]; `None`: there is none yet).
///
/// # Errors
/// [`IoError::Changed`] if somebody wrote it meanwhile; [`IoError::Locked`] if somebody is writing.
pub fn save(dir: &Path, path: &str, hash: Option<[u8; 32]>, bytes: &[u8]) -> Result<(), IoError> {
    if !inside(path) {
        return Err(IoError::BadName {
            name: path.to_string(),
        });
    }
    let _lock = Lock::take(dir)?;
    let whole = dir.join(path);
    let now = match fs::read(&whole) {
        Ok(bytes) => Some(Sha256::digest(bytes).into()),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
        Err(e) => return Err(IoError::at(&whole)(e)),
    };
    if now != hash {
        return Err(IoError::Changed {
            path: path.to_string(),
        });
    }
    write_atomic(&whole, bytes)
}

/// The right to write to a workspace, until it is dropped. It is the system's lock on a file, so a program that
/// dies leaves none behind.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

impl Lock {
    /// Takes the lock, without waiting.
    ///
    /// # Errors
    /// [`IoError::Locked`] if another program, or another part of this one, holds it.
    pub fn take(dir: &Path) -> Result<Self, IoError> {
        let path = dir.join(LOCK);
        let open = OpenOptions::new()
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path);
        let file = open.map_err(IoError::at(&path))?;
        match file.try_lock() {
            Ok(()) => Ok(Self { _file: file }),
            Err(TryLockError::WouldBlock) => Err(IoError::Locked {
                dir: dir.to_path_buf(),
            }),
            Err(TryLockError::Error(e)) => Err(IoError::at(&path)(e)),
        }
    }
}

/// A relative path without `..`, with `/` between its parts.
pub(crate) fn inside(name: &str) -> bool {
    let plain = |c: Component| matches!(c, Component::Normal(_));
    !name.is_empty() && !name.contains(['\\', ':', '\0']) && Path::new(name).components().all(plain)
}

/// A name in the same folder that nothing else uses; hidden, so that readers pass it by.
pub(crate) fn beside(path: &Path) -> PathBuf {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let name = path
        .file_name()
        .map_or_else(Default::default, |n| n.to_string_lossy().into_owned());
    let n = NEXT.fetch_add(1, Ordering::Relaxed);
    path.with_file_name(format!(".{name}.{}-{n}.new", std::process::id()))
}
