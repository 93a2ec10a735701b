//! Folders to test on: copies of the small workspace in `tests/data/small`, or of the demonstration.
#![allow(dead_code)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use words::{Language, Voice, Weight};
use workspace::Workspace;

/// A folder that is removed when the test ends.
pub struct Folder(pub PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

impl Folder {
    /// A path that does not exist yet.
    pub fn fresh() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let n = NEXT.fetch_add(1, Ordering::Relaxed);
        Self(std::env::temp_dir().join(format!("lorod-workspace-{}-{n}", std::process::id())))
    }

    /// A workspace of three designs and five dyes, with drawings of one square.
    pub fn small() -> Self {
        Self::copy_of("tests/data/small")
    }
    /// The demonstration.
    pub fn demo() -> Self {
        Self::copy_of("../lorod/demo")
    }
    fn copy_of(name: &str) -> Self {
        let folder = Self::fresh();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join(name), &folder.0);
        folder
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
    pub fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }
    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    /// Replaces the one place of `from` in a file.
    #[track_caller]
    pub fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        assert!(text.contains(from), "{from:?} does not stand in {name}");
        self.write(name, text.replacen(from, to, 1));
    }
    #[track_caller]
    pub fn open(&self) -> Workspace {
        Workspace::open(&self.0).unwrap()
    }
    /// Everything found that is wrong or doubtful, as on a terminal.
    pub fn said(&self, language: Language) -> String {
        let workspace = self.open();
        let voice = Voice {
            language,
            ..Voice::default()
        };
        let found = workspace.findings.iter().filter(|f| f.weight != Weight::Note);
        found.map(|f| workspace.show(f, voice)).collect()
    }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(path, target).unwrap();
        }
    }
}
