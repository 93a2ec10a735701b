//! The files of a workspace, read as text.
//!
//! ```text
//! collection.toml   workshop.toml   orders.toml
//! trials.toml       what was tried and measured here
//! stamps.toml       copies of stamps, and what was done to them
//! dyes/*.toml       one dye card each
//! designs/*/*.toml  one design or colourway each, drawings (SVG) beside them
//! ```
//! Names of files and folders below `dyes` and `designs` say nothing: things are known by the `id` inside.

use crate::IoError;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::Path;
use words::{Arg, Finding, Place, Weight, say};

/// File of the collection; a folder is a workspace if it holds this file.
pub const COLLECTION: &str = "collection.toml";
/// File of the workshop.
pub const WORKSHOP: &str = "workshop.toml";
/// File of the orders.
pub const ORDERS: &str = "orders.toml";
/// File of what was tried and measured.
pub const TRIALS: &str = "trials.toml";
/// File of the stamps' copies.
pub const STAMPS: &str = "stamps.toml";
/// Folder of the dye cards.
pub const DYES: &str = "dyes";
/// Folder of the designs.
pub const DESIGNS: &str = "designs";

/// Longest TOML file that is read, bytes; a full workshop with hundreds of orders stays below a tenth of it.
const MOST_TOML: u64 = 2 << 20;

/// A file as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Path from the workspace's folder, with `/`.
    pub path: String,
    /// Its text, without a byte order mark; bytes that are no UTF-8 are shown as U+FFFD.
    pub text: String,
    /// SHA-256 of its bytes, to see whether it is still the same.
    pub hash: [u8; 32],
}

/// Every file of a folder that a workspace is read from.
pub(crate) struct Folder {
    pub collection: Option<Source>,
    pub workshop: Option<Source>,
    pub orders: Option<Source>,
    pub trials: Option<Source>,
    pub stamps: Option<Source>,
    pub dyes: Vec<Source>,
    pub designs: Vec<Source>,
    pub findings: Vec<Finding>,
}

impl Folder {
    /// Reads the folder. Files that cannot be read become findings.
    ///
    /// # Errors
    /// If there is no workspace, or the system refuses to list a folder.
    pub fn read(dir: &Path) -> Result<Self, IoError> {
        if !dir.join(COLLECTION).is_file() {
            return Err(IoError::NotAWorkspace {
                dir: dir.to_path_buf(),
            });
        }
        let mut findings = Vec::new();
        let mut one = |name: &str| take(dir, name, MOST_TOML, &mut findings);
        let (collection, workshop) = (one(COLLECTION), one(WORKSHOP));
        let mut maybe = |name: &str| dir.join(name).exists().then(|| one(name)).flatten();
        let (orders, trials, stamps) = (maybe(ORDERS), maybe(TRIALS), maybe(STAMPS));
        let mut many = |names: Vec<String>| -> Vec<Source> {
            names
                .iter()
                .filter_map(|n| take(dir, n, MOST_TOML, &mut findings))
                .collect()
        };
        let dyes = many(toml_files(dir, DYES)?);
        let mut names = Vec::new();
        for folder in below(dir, DESIGNS)? {
            if dir.join(&folder).is_dir() {
                names.extend(toml_files(dir, &folder)?);
            }
        }
        let designs = many(names);
        Ok(Self {
            collection,
            workshop,
            orders,
            trials,
            stamps,
            dyes,
            designs,
            findings,
        })
    }
}

/// Reads one file of the workspace. What is wrong with it as a file is added to `findings`; text that is no
/// UTF-8 answers `None`, since what stands in it is not known.
pub(crate) fn take(dir: &Path, path: &str, most: u64, findings: &mut Vec<Finding>) -> Option<Source> {
    let place = |start: usize, end: usize| Place::File {
        path: path.to_string(),
        span: start..end,
    };
    let name = || Arg::Name(path.to_string());
    let whole = dir.join(path);
    let bytes = match plain_bytes(&whole, most) {
        Ok(bytes) => bytes,
        Err(Refusal::Missing) => {
            findings.push(Finding::new(
                "file-missing",
                Weight::Wrong,
                place(0, 0),
                say!(
                    "there is no file {path}",
                    "berkas {path} tidak ada",
                    path = name()
                ),
            ));
            return None;
        }
        Err(Refusal::NotPlain) => {
            findings.push(
                Finding::new(
                    "not-a-plain-file",
                    Weight::Wrong,
                    place(0, 0),
                    say!(
                        "{path} is not a plain file",
                        "{path} bukan berkas biasa",
                        path = name()
                    ),
                )
                .remedy(say!(
                    "copy the file itself into the workspace, not a link to it",
                    "salin berkasnya sendiri ke ruang kerja, bukan tautannya"
                )),
            );
            return None;
        }
        Err(Refusal::TooLong(bytes)) => {
            findings.push(
                Finding::new(
                    "file-too-long",
                    Weight::Wrong,
                    place(0, 0),
                    say!(
                        "{path} has {kb} kB",
                        "{path} berukuran {kb} kB",
                        path = name(),
                        kb = Arg::Number(bytes as f64 / 1000.0, 0)
                    ),
                )
                .allow(say!(
                    "up to {kb} kB",
                    "sampai {kb} kB",
                    kb = Arg::Number(most as f64 / 1000.0, 0)
                )),
            );
            return None;
        }
        Err(Refusal::System(error)) => {
            findings.push(Finding {
                place: place(0, 0),
                ..IoError::at(&whole)(error).finding()
            });
            return None;
        }
    };
    let hash = Sha256::digest(&bytes).into();
    let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
    match std::str::from_utf8(body) {
        Ok(text) => Some(Source {
            path: path.to_string(),
            text: text.to_string(),
            hash,
        }),
        Err(error) => {
            let at = error.valid_up_to();
            let line = body[..at].iter().filter(|b| **b == b'\n').count() + 1;
            findings.push(
                Finding::new(
                    "not-utf8",
                    Weight::Wrong,
                    place(at, at),
                    say!(
                        "{path} is not UTF-8 text (line {line})",
                        "{path} bukan teks UTF-8 (baris {line})",
                        path = name(),
                        line = Arg::Number(line as f64, 0)
                    ),
                )
                .remedy(say!(
                    "save it again with the encoding UTF-8",
                    "simpan ulang dengan pengodean UTF-8"
                )),
            );
            None
        }
    }
}

enum Refusal {
    Missing,
    NotPlain,
    TooLong(u64),
    System(std::io::Error),
}

fn plain_bytes(path: &Path, most: u64) -> Result<Vec<u8>, Refusal> {
    let kind = match fs::symlink_metadata(path) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Err(Refusal::Missing),
        Err(e) => return Err(Refusal::System(e)),
        Ok(kind) => kind,
    };
    // A link could lead to any file of the computer, whose lines would then stand in a message.
    if !kind.is_file() {
        return Err(Refusal::NotPlain);
    }
    if kind.len() > most {
        return Err(Refusal::TooLong(kind.len()));
    }
    fs::read(path).map_err(Refusal::System)
}

/// TOML files directly in a folder, by name.
fn toml_files(dir: &Path, folder: &str) -> Result<Vec<String>, IoError> {
    Ok(below(dir, folder)?
        .into_iter()
        .filter(|n| n.ends_with(".toml"))
        .collect())
}

/// Names directly in a folder, as paths from the workspace, sorted; hidden ones and names that are no Unicode
/// left out. A folder that is not there is empty.
fn below(dir: &Path, folder: &str) -> Result<Vec<String>, IoError> {
    let path = dir.join(folder);
    let entries = match fs::read_dir(&path) {
        Ok(entries) => entries,
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) => return Err(IoError::at(&path)(e)),
    };
    let mut names = Vec::new();
    for entry in entries {
        let name = entry.map_err(IoError::at(&path))?.file_name();
        if let Some(name) = name.to_str()
            && !name.starts_with('.')
        {
            names.push(format!("{folder}/{name}"));
        }
    }
    names.sort();
    Ok(names)
}
