//! What can go wrong with the disk, apart from what stands in the files.

use std::path::{Path, PathBuf};
use words::{Arg, Finding, Line, Place, Weight, say};

/// The folder or a file could not be read or written. What is wrong *inside* a file is a [`Finding`].
#[derive(Debug, thiserror::Error)]
pub enum IoError {
    /// There is no workspace in this folder.
    #[error("no workspace in {}: collection.toml is missing", dir.display())]
    NotAWorkspace {
        /// The folder.
        dir: PathBuf,
    },
    /// The folder exists and is not empty, so nothing is created in it.
    #[error("{} is not empty", dir.display())]
    NotEmpty {
        /// The folder.
        dir: PathBuf,
    },
    /// A name that leads out of the folder, or is no file name.
    #[error("{name:?} is not a name of a file inside the workspace")]
    BadName {
        /// The name.
        name: String,
    },
    /// The file is not the one that was read: somebody else wrote it meanwhile.
    #[error("{path} has changed since it was read")]
    Changed {
        /// The file.
        path: String,
    },
    /// Another program is writing to the workspace.
    #[error("{} is being written by another program", dir.display())]
    Locked {
        /// The folder.
        dir: PathBuf,
    },
    /// The system refused.
    #[error("{}: {source}", path.display())]
    System {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
}

impl IoError {
    /// For `map_err`: the system refused something about this path.
    pub(crate) fn at(path: &Path) -> impl FnOnce(std::io::Error) -> Self + '_ {
        move |source| Self::System {
            path: path.to_path_buf(),
            source,
        }
    }

    /// The same in the user's language, with what to do.
    pub fn finding(&self) -> Finding {
        let path = |p: &Path| Arg::Name(p.display().to_string());
        let (code, found, remedy): (_, Line, Option<Line>) = match self {
            Self::NotAWorkspace { dir } => (
                "not-a-workspace",
                say!(
                    "there is no workspace in {dir}: {file} is missing",
                    "tidak ada ruang kerja di {dir}: {file} tidak ditemukan",
                    dir = path(dir),
                    file = Arg::Name(crate::COLLECTION.into())
                ),
                Some(say!(
                    "name the folder that holds it, or make a new workspace",
                    "sebut folder yang memuatnya, atau buat ruang kerja baru"
                )),
            ),
            Self::NotEmpty { dir } => (
                "folder-not-empty",
                say!(
                    "the folder {dir} is not empty",
                    "folder {dir} tidak kosong",
                    dir = path(dir)
                ),
                Some(say!(
                    "name a new or an empty folder",
                    "sebut folder baru atau folder kosong"
                )),
            ),
            Self::BadName { name } => (
                "name-leads-outside",
                say!(
                    "\"{name}\" is not the name of a file inside the workspace",
                    "\"{name}\" bukan nama berkas di dalam ruang kerja",
                    name = Arg::Name(name.chars().take(80).collect())
                ),
                None,
            ),
            Self::Changed { path } => (
                "file-changed",
                say!(
                    "{path} has changed since it was read",
                    "{path} sudah berubah sejak dibaca",
                    path = Arg::Name(path.clone())
                ),
                Some(say!(
                    "look at the differences, then save again",
                    "lihat perbedaannya, lalu simpan lagi"
                )),
            ),
            Self::Locked { dir } => (
                "workspace-locked",
                say!(
                    "another program is writing to {dir}",
                    "program lain sedang menulis ke {dir}",
                    dir = path(dir)
                ),
                Some(say!(
                    "wait a moment and try again",
                    "tunggu sebentar lalu coba lagi"
                )),
            ),
            Self::System { path: at, source } => (
                "system-refused",
                say!(
                    "{path}: the system says \"{message}\"",
                    "{path}: sistem berkata \"{message}\"",
                    path = path(at),
                    message = Arg::Name(source.to_string())
                ),
                None,
            ),
        };
        let finding = Finding::new(code, Weight::Wrong, Place::Request, found);
        match remedy {
            Some(line) => finding.remedy(line),
            None => finding,
        }
    }
}
