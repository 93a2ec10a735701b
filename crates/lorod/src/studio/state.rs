//! What all requests share: the workspace as last read, the pictures, the start token.

use super::Facts;
use super::assets::hex;
use super::kiln::Kiln;
use anyhow::Context;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use workspace::Workspace;

/// One running studio.
pub struct Studio {
    dir: PathBuf,
    held: Mutex<Held>,
    facts: Arc<dyn Facts>,
    kiln: Arc<Kiln>,
    hosts: [String; 2],
    token: String,
    build: String,
}

struct Held {
    workspace: Arc<Workspace>,
    folder: u64,
}

impl Studio {
    /// Reads the workspace. `port` is where the studio will listen.
    ///
    /// # Errors
    /// If the folder is no workspace, or the system gives no random bytes.
    pub fn open(dir: &Path, facts: Arc<dyn Facts>, port: u16) -> anyhow::Result<Self> {
        let folder = fingerprint(dir);
        let workspace = Arc::new(Workspace::open(dir)?);
        let mut secret = [0u8; 16];
        getrandom::fill(&mut secret).map_err(|e| anyhow::anyhow!("the system gives no random bytes: {e}"))?;
        Ok(Self {
            dir: dir.to_path_buf(),
            held: Mutex::new(Held { workspace, folder }),
            facts,
            kiln: Arc::new(Kiln::new().context("cannot start the picture worker")?),
            hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")],
            token: hex(&secret),
            build: build(),
        })
    }

    /// The workspace; read again if a file of it has changed. Blocks while it reads.
    ///
    /// A folder that cannot be listed any more leaves the last reading standing.
    pub fn workspace(&self) -> Arc<Workspace> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let folder = fingerprint(&self.dir);
        if folder != held.folder
            && let Ok(again) = held.workspace.again()
        {
            *held = Held {
                workspace: Arc::new(again),
                folder,
            };
        }
        held.workspace.clone()
    }

    /// The workspace, from an async task.
    pub async fn look(self: &Arc<Self>) -> Arc<Workspace> {
        let studio = self.clone();
        match tokio::task::spawn_blocking(move || studio.workspace()).await {
            Ok(workspace) => workspace,
            // The reading task can only fail while the runtime ends.
            Err(_) => self
                .held
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .workspace
                .clone(),
        }
    }

    /// What the rest of the program knows.
    pub fn facts(&self) -> Arc<dyn Facts> {
        self.facts.clone()
    }
    /// Where pictures are made.
    pub fn kiln(&self) -> &Arc<Kiln> {
        &self.kiln
    }
    /// The names by which this studio may be called, with the port.
    pub fn hosts(&self) -> &[String] {
        &self.hosts
    }
    /// The start token.
    pub fn token(&self) -> &str {
        &self.token
    }
    /// Differs between two builds of this program, so that no browser keeps a picture of another one.
    pub fn build(&self) -> &str {
        &self.build
    }
    /// Ends the work on pictures.
    pub fn close(&self) {
        self.kiln.close();
    }
}

/// Changes when a file of the folder appears, goes, or is written.
fn fingerprint(dir: &Path) -> u64 {
    let mut hash = DefaultHasher::new();
    walk(dir, 0, &mut hash);
    hash.finish()
}

fn walk(dir: &Path, depth: u32, hash: &mut DefaultHasher) {
    let Ok(entries) = std::fs::read_dir(dir) else {
        return;
    };
    let mut found: Vec<_> = entries.flatten().collect();
    found.sort_by_key(std::fs::DirEntry::file_name);
    for entry in found {
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        let Ok(about) = entry.metadata() else { continue };
        if about.is_dir() && depth < 2 {
            walk(&entry.path(), depth + 1, hash);
        } else if about.is_file() {
            entry.file_name().hash(hash);
            about.len().hash(hash);
            about.modified().ok().hash(hash);
        }
    }
}

fn build() -> String {
    let written = std::env::current_exe()
        .and_then(|path| path.metadata())
        .and_then(|m| m.modified())
        .ok();
    let mut hash = DefaultHasher::new();
    env!("CARGO_PKG_VERSION").hash(&mut hash);
    written.hash(&mut hash);
    format!("{:016x}", hash.finish())
}
