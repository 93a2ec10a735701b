//! Why the ledger did not do what was asked.

use std::path::{Path, PathBuf};
use uuid::Uuid;
use words::{Arg, Finding, Line, Voice, say};

use crate::names::wrong;

/// Why the ledger did not do what was asked. Whatever it was, nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum LedgerError {
    /// What was given cannot be kept.
    #[error("{}", .0.say(Voice::default()).join("; "))]
    Refused(Box<Finding>),
    /// Another event with this id is there already, and says something else.
    #[error("event {id} is known and says something else")]
    Differs {
        /// The id.
        id: Uuid,
    },
    /// Another program is writing and did not finish in time.
    #[error("{} is busy", path.display())]
    Busy {
        /// The ledger.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{} is no ledger", path.display())]
    NotALedger {
        /// The file.
        path: PathBuf,
    },
    /// The file was made by a newer program.
    #[error("{} has format {found}; this program knows {known}", path.display())]
    Newer {
        /// The ledger.
        path: PathBuf,
        /// Its format.
        found: i64,
        /// The newest format known here.
        known: i64,
    },
    /// The file is a ledger, but not all of it can be read.
    #[error("{} is damaged: {what}", path.display())]
    Damaged {
        /// The ledger.
        path: PathBuf,
        /// What was seen.
        what: String,
    },
    /// The system refused.
    #[error("{}: {source}", path.display())]
    System {
        /// The file, or the part of the system.
        path: PathBuf,
        /// What the system said.
        source: Box<dyn std::error::Error + Send + Sync>,
    },
}

impl From<Finding> for LedgerError {
    fn from(finding: Finding) -> Self {
        Self::Refused(Box::new(finding))
    }
}

impl LedgerError {
    pub(crate) fn system(
        path: impl AsRef<Path>,
        source: impl Into<Box<dyn std::error::Error + Send + Sync>>,
    ) -> Self {
        Self::System {
            path: path.as_ref().to_path_buf(),
            source: source.into(),
        }
    }

    /// The same in the user's language, with what to do.
    pub fn finding(&self) -> Finding {
        let name = |p: &Path| Arg::Name(p.display().to_string());
        let (code, found, remedy): (_, Line, Option<Line>) = match self {
            Self::Refused(finding) => return (**finding).clone(),
            Self::Differs { id } => (
                "event-differs",
                say!(
                    "event {id} is known and says something else",
                    "catatan {id} sudah ada dan isinya lain",
                    id = Arg::Name(id.to_string())
                ),
                Some(say!(
                    "one of the two was changed on its way: export it again where it was recorded",
                    "salah satunya berubah di jalan: ekspor lagi dari tempat asalnya"
                )),
            ),
            Self::Busy { path } => (
                "ledger-busy",
                say!(
                    "another program is writing to {path}",
                    "program lain sedang menulis ke {path}",
                    path = name(path)
                ),
                Some(say!(
                    "wait a moment and try again",
                    "tunggu sebentar lalu coba lagi"
                )),
            ),
            Self::NotALedger { path } => (
                "not-a-ledger",
                say!(
                    "{path} is no ledger",
                    "{path} bukan buku catatan",
                    path = name(path)
                ),
                Some(say!(
                    "look what this file is and move it elsewhere; then a new ledger is begun",
                    "periksa berkas ini dan pindahkan; sesudah itu buku catatan baru dimulai"
                )),
            ),
            Self::Newer { path, found, known } => (
                "ledger-newer",
                say!(
                    "{path} has format {found}; this program knows {known}",
                    "{path} memakai format {found}; program ini mengenal {known}",
                    path = name(path),
                    found = Arg::Name(found.to_string()),
                    known = Arg::Name(known.to_string())
                ),
                Some(say!(
                    "open it with a newer program",
                    "buka dengan program yang lebih baru"
                )),
            ),
            Self::Damaged { path, what } => (
                "ledger-damaged",
                say!(
                    "{path} is damaged: {what}",
                    "{path} rusak: {what}",
                    path = name(path),
                    what = Arg::Name(what.clone())
                ),
                Some(say!(
                    "keep this file, and import the last export into a new ledger",
                    "simpan berkas ini, lalu impor ekspor terakhir ke buku catatan baru"
                )),
            ),
            Self::System { path, source } => (
                "system-refused",
                say!(
                    "{path}: the system says \"{message}\"",
                    "{path}: sistem berkata \"{message}\"",
                    path = name(path),
                    message = Arg::Name(source.to_string())
                ),
                None,
            ),
        };
        let finding = wrong(code, found);
        match remedy {
            Some(line) => finding.remedy(line),
            None => finding,
        }
    }
}
