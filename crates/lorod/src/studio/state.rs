//! What all requests share: the workspace as last read, the pictures, the start token.

use super::Facts;
use super::assets::hex;
use super::bench::Bench;
use super::design::Along;
use super::history::History;
use super::kiln::Kiln;
use super::known::Known;
use super::lamps::Moved;
use super::lots::Made;
use super::photographs::Judged;
use super::shades::Recipes;
use crate::facts::window::Found;
use anyhow::Context;
use cloth::aim::Seen;
use route::{Design, Workshop};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};
use workspace::{IoError, Workspace};

/// One running studio.
pub struct Studio {
    dir: PathBuf,
    held: Mutex<Held>,
    facts: Arc<dyn Facts>,
    kiln: Arc<Kiln>,
    bench: Bench,
    followed: Mutex<Vec<Followed>>,
    answers: Answers,
    hosts: [String; 2],
    token: String,
    build: String,
}

/// What took seconds to work out about designs, by what it rests on ([`super::known::rests_on`]) and what was asked.
#[derive(Default)]
pub struct Answers {
    /// Windows of timed steps.
    pub windows: Known<Found>,
    /// Regions with targets, as the cloth has them now.
    pub regions: Known<Vec<Seen>>,
    /// Recipes that were sought.
    pub recipes: Known<Recipes>,
    /// How far colours move under the lamps.
    pub lamps: Known<[Moved; 2]>,
    /// Lots: first, middle and last bolt.
    pub lots: Known<Made>,
    /// Photographs beside what is promised.
    pub photographs: Known<Judged>,
    /// Designs with recipes that nobody has taken yet.
    proposals: Known<Design>,
}

/// The folder as last read, and what was done to it here.
pub struct Held {
    /// The folder.
    pub workspace: Arc<Workspace>,
    /// Its files when it was read.
    pub folder: Files,
    /// What was changed here, by the path of the design's file.
    pub histories: HashMap<String, History>,
}

impl Held {
    /// The folder was read anew; `folder` is how its files were before that.
    pub fn take(&mut self, again: Workspace, folder: Files) {
        self.remember(&again);
        self.workspace = Arc::new(again);
        self.folder = folder;
        keep_drawings(&self.workspace);
    }
}

/// A version of a design with what is known along it. A changed workshop makes new designs.
type Followed = (Arc<Design>, Arc<Along>);

/// Versions whose route is kept as it was followed.
const MOST_FOLLOWED: usize = 64;

/// A folder that was read: whoever starts the studio has looked into it already, and it is read once.
pub struct Reading {
    workspace: Workspace,
    folder: Files,
}

impl Reading {
    /// Reads a folder.
    ///
    /// # Errors
    /// As [`Workspace::open`].
    pub fn of(dir: &Path) -> Result<Self, IoError> {
        // First: a file that changes while it is read then shows as changed.
        let folder = Files::of(dir);
        let workspace = Workspace::open(dir)?;
        Ok(Self { workspace, folder })
    }

    /// Reads the folder of a workspace again, with what its stamps have come to.
    ///
    /// # Errors
    /// As [`Workspace::again`].
    pub fn again(workspace: &Workspace) -> Result<Self, IoError> {
        let folder = Files::of(&workspace.dir);
        let workspace = workspace.again()?;
        Ok(Self { workspace, folder })
    }

    /// What was read.
    pub const fn workspace(&self) -> &Workspace {
        &self.workspace
    }
}

impl Studio {
    /// A studio of a folder.
    ///
    /// # Errors
    /// If the folder is no workspace; or as [`Studio::of`].
    pub fn open(dir: &Path, facts: Arc<dyn Facts>, port: u16) -> anyhow::Result<Self> {
        Self::of(Reading::of(dir)?, facts, port)
    }

    /// A studio of a folder that was read. `port` is where it will listen.
    ///
    /// # Errors
    /// If the system gives no threads or no random bytes.
    pub fn of(reading: Reading, facts: Arc<dyn Facts>, port: u16) -> anyhow::Result<Self> {
        let Reading { workspace, folder } = reading;
        let dir = workspace.dir.clone();
        let mut secret = [0u8; 16];
        let kiln = Arc::new(Kiln::new().context("cannot start the picture worker")?);
        getrandom::fill(&mut secret).map_err(|e| anyhow::anyhow!("the system gives no random bytes: {e}"))?;
        Ok(Self {
            dir,
            held: Mutex::new(Held {
                workspace: Arc::new(workspace),
                folder,
                histories: HashMap::new(),
            }),
            facts,
            bench: Bench::new(kiln.clone()),
            kiln,
            followed: Mutex::default(),
            answers: Answers::default(),
            hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")],
            token: hex(&secret),
            build: build(),
        })
    }

    /// The workspace; read again if a file of it has changed. Blocks while it reads.
    ///
    /// A folder that cannot be listed any more leaves the last reading standing.
    pub fn workspace(&self) -> Arc<Workspace> {
        self.held().workspace.clone()
    }

    /// Everything held, read again if a file has changed.
    pub fn held(&self) -> MutexGuard<'_, Held> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let folder = Files::of(&self.dir);
        if folder != held.folder
            && let Ok(again) = held.workspace.again()
        {
            held.take(again, folder);
        }
        held
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

    /// What is known along the route of a design of the workspace; worked out once for each version of it.
    pub fn along(&self, design: &Arc<Design>, shop: &Workshop) -> Arc<Along> {
        if let Some(known) = self.known(design) {
            return known;
        }
        let made = Arc::new(Along::of(design, shop));
        let mut followed = self.followed.lock().unwrap_or_else(PoisonError::into_inner);
        if followed.len() >= MOST_FOLLOWED {
            followed.remove(0);
        }
        followed.push((design.clone(), made.clone()));
        made
    }

    fn known(&self, design: &Arc<Design>) -> Option<Arc<Along>> {
        let followed = self.followed.lock().unwrap_or_else(PoisonError::into_inner);
        let same = followed.iter().find(|(of, _)| Arc::ptr_eq(of, design));
        same.map(|(_, along)| along.clone())
    }

    /// Has everything been worked out that the line tells about these designs?
    pub fn is_read(&self, workspace: &Workspace) -> bool {
        let mut designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
        workspace.workshop.is_none() || designs.all(|design| self.known(design).is_some())
    }

    /// The folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }
    /// What the rest of the program knows.
    pub fn facts(&self) -> Arc<dyn Facts> {
        self.facts.clone()
    }
    /// What was worked out before.
    pub const fn answers(&self) -> &Answers {
        &self.answers
    }
    /// Designs with recipes that nobody has taken yet, by what their pictures call them.
    pub const fn proposals(&self) -> &Known<Design> {
        &self.answers.proposals
    }
    /// Where pictures are made.
    pub fn kiln(&self) -> &Arc<Kiln> {
        &self.kiln
    }
    /// Where longer work is done.
    pub fn bench(&self) -> &Bench {
        &self.bench
    }
    /// The names by which this studio may be called, with the port.
    pub fn hosts(&self) -> &[String] {
        &self.hosts
    }
    /// The start token.
    pub fn token(&self) -> &str {
        &self.token
    }
    /// Differs between two starts; tells nothing of the token.
    pub fn start(&self) -> String {
        hex(&Sha256::digest(self.token.as_bytes())[..6])
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

/// Lays what was read of drawings in the folder, beside whatever else goes on: the next start reads it back. Not at once,
/// since the page for whose sake the folder was read comes first.
pub fn keep_drawings(workspace: &Arc<Workspace>) {
    const PAGE_FIRST: Duration = Duration::from_secs(1);
    if workspace.drawings_are_kept() {
        return;
    }
    let workspace = workspace.clone();
    // Without a thread the next start reads them anew.
    let _ = std::thread::Builder::new()
        .name("drawings".to_string())
        .spawn(move || {
            std::thread::sleep(PAGE_FIRST);
            workspace.keep_drawings();
        });
}

/// The files of the folder with their size and time: a change of any of them shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files(Vec<(PathBuf, u64, Option<SystemTime>)>);

impl Files {
    /// Looks at the folder.
    pub fn of(dir: &Path) -> Self {
        let mut files = Self::default();
        files.walk(dir, Path::new(""), 0);
        files
    }

    /// Is every file but one as it was?
    pub fn same_but(&self, other: &Self, path: &str) -> bool {
        let rest = |files: &Self| -> Vec<_> {
            let rest = files.0.iter().filter(|(p, _, _)| p != Path::new(path));
            rest.cloned().collect()
        };
        rest(self) == rest(other)
    }

    fn walk(&mut self, dir: &Path, below: &Path, depth: u32) {
        let Ok(entries) = std::fs::read_dir(dir.join(below)) else {
            return;
        };
        let mut found: Vec<_> = entries.flatten().collect();
        found.sort_by_key(std::fs::DirEntry::file_name);
        for entry in found {
            if entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            let Ok(about) = entry.metadata() else { continue };
            let path = below.join(entry.file_name());
            if about.is_dir() && depth < 2 {
                self.walk(dir, &path, depth + 1);
            } else if about.is_file() {
                self.0.push((path, about.len(), about.modified().ok()));
            }
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
