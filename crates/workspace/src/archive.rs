//! A workspace as one archive, and back. Both ways a file that is hidden, or lies in `out`, stays where it is: the first
//! are ours or another program's, the second was computed.

use crate::folder::COLLECTION;
use crate::write::{create, inside};
use crate::{IoError, Workspace};
use std::collections::BTreeSet;
use std::fs;
use std::io::{Cursor, Read, Write};
use std::path::Path;
use words::{Arg, Finding, Line, Place, Weight, say};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// Most files of an archive.
pub const MOST_FILES: usize = 4000;
/// Most bytes of one file of it, and of all of them, unpacked.
pub const MOST_FILE: u64 = 64 << 20;
pub const MOST_ALL: u64 = 256 << 20;
/// Folder of what was computed.
const COMPUTED: &str = "out";
/// Folders below folders that are looked into.
const DEEPEST: usize = 8;

/// Why there is no archive, or no folder of it.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// The disk.
    #[error(transparent)]
    Io(#[from] IoError),
    /// The archive.
    #[error("the archive cannot be used")]
    Archive(Finding),
}

impl Refused {
    /// In the user's language.
    pub fn finding(&self) -> Finding {
        match self {
            Self::Io(error) => error.finding(),
            Self::Archive(finding) => finding.clone(),
        }
    }
}

/// The folder as a ZIP archive (APPNOTE 6.3.3; deflate). The same files give the same bytes.
///
/// # Errors
/// If a file cannot be read, or there are more of them, or larger ones, than [`unpack`] takes.
pub fn pack(workspace: &Workspace) -> Result<Vec<u8>, Refused> {
    let mut names = Vec::new();
    below(&workspace.dir, "", 0, &mut names)?;
    names.sort();
    let mut files = Vec::new();
    let mut all = 0;
    for name in names {
        let path = workspace.dir.join(&name);
        let bytes = fs::read(&path).map_err(IoError::at(&path))?;
        all += bytes.len() as u64;
        if bytes.len() as u64 > MOST_FILE || all > MOST_ALL || files.len() >= MOST_FILES {
            return Err(Refused::Archive(too_much(&name)));
        }
        files.push((name, bytes));
    }
    zipped(&files)
}

/// Files (path with `/`, bytes) as a ZIP archive.
///
/// # Errors
/// If the archive cannot be made, which only a name can cause that is used twice.
pub fn zipped(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, Refused> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    for (name, bytes) in files {
        let written = zip.start_file(name.as_str(), options);
        written
            .and_then(|()| zip.write_all(bytes).map_err(ZipError::from))
            .map_err(|e| Refused::Archive(unreadable(&e.to_string())))?;
    }
    let whole = zip
        .finish()
        .map_err(|e| Refused::Archive(unreadable(&e.to_string())))?;
    Ok(whole.into_inner())
}

/// Unpacks an archive of a workspace into a new or empty folder, which appears whole or not at all. Answers how many
/// files it holds. A single folder around everything is taken off.
///
/// # Errors
/// If it is no archive, holds no workspace, a name leads out of the folder or stands twice, or it is larger than
/// [`MOST_FILES`], [`MOST_FILE`], [`MOST_ALL`] allow, counted as it is unpacked.
pub fn unpack(archive: &[u8], dir: &Path) -> Result<usize, Refused> {
    let files = read(archive).map_err(Refused::Archive)?;
    let plain: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
        .collect();
    create(dir, &plain)?;
    Ok(files.len())
}

/// The files of an archive, checked.
fn read(archive: &[u8]) -> Result<Vec<(String, Vec<u8>)>, Finding> {
    let mut zip = ZipArchive::new(Cursor::new(archive)).map_err(|e| unreadable(&e.to_string()))?;
    if zip.len() > MOST_FILES {
        return Err(too_much(&format!("{} files", zip.len())));
    }
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let mut seen = BTreeSet::new();
    let mut left = MOST_ALL;
    for at in 0..zip.len() {
        let mut file = zip.by_index(at).map_err(|e| unreadable(&e.to_string()))?;
        let name = file.name().map_err(|e| unreadable(&e.to_string()))?.into_owned();
        if file.is_dir() {
            continue;
        }
        // A link would be followed by whoever reads the folder later.
        if file.is_symlink() || !inside(&name) {
            return Err(leads_out(&name));
        }
        if name.split('/').any(|part| part.starts_with('.')) {
            continue;
        }
        // Two names that one folder of some systems cannot keep apart would overwrite one another.
        if !seen.insert(name.to_lowercase()) {
            return Err(twice(&name));
        }
        let most = left.min(MOST_FILE);
        let mut bytes = Vec::new();
        // What the archive says about sizes is not believed: what comes out is counted.
        let read = file.by_ref().take(most + 1).read_to_end(&mut bytes);
        read.map_err(|e| unreadable(&format!("{name}: {e}")))?;
        if bytes.len() as u64 > most {
            return Err(too_much(&name));
        }
        left -= bytes.len() as u64;
        files.push((name, bytes));
    }
    let files = without_wrapper(files);
    if files.iter().any(|(name, _)| name == COLLECTION) {
        Ok(files)
    } else {
        Err(no_workspace())
    }
}

/// Takes off one folder around everything.
fn without_wrapper(files: Vec<(String, Vec<u8>)>) -> Vec<(String, Vec<u8>)> {
    let first = files
        .first()
        .and_then(|(name, _)| Some(name.split_once('/')?.0.to_string()));
    let Some(prefix) = first.map(|folder| folder + "/") else {
        return files;
    };
    if files.iter().all(|(name, _)| name.starts_with(&prefix)) {
        files
            .into_iter()
            .map(|(name, bytes)| (name[prefix.len()..].to_string(), bytes))
            .collect()
    } else {
        files
    }
}

/// Names of all files below a folder.
fn below(dir: &Path, under: &str, depth: usize, names: &mut Vec<String>) -> Result<(), IoError> {
    let folder = dir.join(under);
    for entry in fs::read_dir(&folder).map_err(IoError::at(&folder))? {
        let entry = entry.map_err(IoError::at(&folder))?;
        let Ok(own) = entry.file_name().into_string() else {
            continue;
        };
        let name = if under.is_empty() {
            own.clone()
        } else {
            format!("{under}/{own}")
        };
        let kind = entry.file_type().map_err(IoError::at(&folder))?;
        if own.starts_with('.') || name == COMPUTED || depth > DEEPEST {
            continue;
        }
        if kind.is_dir() {
            below(dir, &name, depth + 1, names)?;
        } else if kind.is_file() {
            names.push(name);
        }
    }
    Ok(())
}

fn wrong(code: &'static str, found: Line) -> Finding {
    Finding::new(code, Weight::Wrong, Place::Request, found)
}

fn shown(name: &str) -> Arg {
    Arg::Name(name.chars().filter(|c| !c.is_control()).take(120).collect())
}

fn unreadable(why: &str) -> Finding {
    wrong(
        "archive-unreadable",
        say!(
            "this is not an archive that can be read: {why}",
            "ini bukan arsip yang dapat dibaca: {why}",
            why = shown(why)
        ),
    )
    .allow(say!("a ZIP archive of a workspace", "arsip ZIP dari ruang kerja"))
}

fn leads_out(name: &str) -> Finding {
    wrong(
        "archive-leads-outside",
        say!(
            "the archive holds \"{name}\", which leads out of its folder",
            "arsip memuat \"{name}\", yang keluar dari foldernya",
            name = shown(name)
        ),
    )
    .remedy(say!(
        "do not use an archive that you do not know",
        "jangan pakai arsip yang tidak Anda kenal"
    ))
}

fn twice(name: &str) -> Finding {
    wrong(
        "archive-name-twice",
        say!(
            "the archive holds \"{name}\" twice",
            "arsip memuat \"{name}\" dua kali",
            name = shown(name)
        ),
    )
}

fn too_much(what: &str) -> Finding {
    wrong(
        "archive-too-large",
        say!(
            "too much for an archive: {what}",
            "terlalu besar untuk arsip: {what}",
            what = shown(what)
        ),
    )
    .allow(say!(
        "{files} files, {one} MB each, {all} MB in all",
        "{files} berkas, masing-masing {one} MB, seluruhnya {all} MB",
        files = Arg::Number(MOST_FILES as f64, 0),
        one = Arg::Number((MOST_FILE >> 20) as f64, 0),
        all = Arg::Number((MOST_ALL >> 20) as f64, 0)
    ))
}

fn no_workspace() -> Finding {
    wrong(
        "archive-without-workspace",
        say!(
            "the archive holds no {file}, so it is no workspace",
            "arsip tidak memuat {file}, jadi bukan ruang kerja",
            file = Arg::Name(COLLECTION.to_string())
        ),
    )
}
