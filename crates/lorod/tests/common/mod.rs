//! The compiled binary on a copy of the demonstration.
#![allow(dead_code, reason = "each test file uses its part")]

#[cfg(unix)]
pub mod browser;
pub mod photo;
#[cfg(unix)]
pub mod running;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::{AtomicU32, Ordering};

/// A folder that goes when the test ends.
pub struct Scratch(pub PathBuf);

impl Scratch {
    pub fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let n = NEXT.fetch_add(1, Ordering::Relaxed);
        let dir = std::env::temp_dir().join(format!("lorod-test-{}-{n}", std::process::id()));
        fs::create_dir_all(&dir).unwrap();
        Self(dir)
    }

    /// With a copy of the demonstration in `demo`, of these designs and their orders only (none named: all).
    pub fn with_demo(designs: &[&str]) -> Self {
        let scratch = Self::new();
        let to = scratch.path("demo");
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo"), &to);
        if !designs.is_empty() {
            for entry in fs::read_dir(to.join("designs")).unwrap() {
                let path = entry.unwrap().path();
                if !designs.iter().any(|d| path.ends_with(d)) {
                    fs::remove_dir_all(path).unwrap();
                }
            }
            for (file, list) in [("orders.toml", "[[orders]]"), ("stamps.toml", "[[")] {
                let text = fs::read_to_string(to.join(file)).unwrap();
                let (head, rest) = text.split_once(list).unwrap();
                let kept: String = rest
                    .split(list)
                    .filter(|entry| {
                        designs
                            .iter()
                            .any(|d| entry.contains(&format!("design = \"{d}\"")))
                    })
                    .map(|entry| format!("{list}{entry}"))
                    .collect();
                fs::write(to.join(file), format!("{head}{kept}")).unwrap();
            }
        }
        scratch
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// Runs lorod in this folder.
    pub fn run(&self, args: &[&str]) -> Output {
        let output = self.command(args).output().unwrap();
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(!errors.contains("panicked"), "{args:?}: {errors}");
        output
    }

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lorod"));
        command.args(args).current_dir(&self.0).env("RUST_BACKTRACE", "0");
        command
    }

    /// Every file below, hidden ones too.
    pub fn files(&self) -> Vec<PathBuf> {
        fn below(dir: &Path, all: &mut Vec<PathBuf>) {
            for entry in fs::read_dir(dir).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    below(&path, all);
                } else {
                    all.push(path);
                }
            }
        }
        let mut all = Vec::new();
        below(&self.0, &mut all);
        all
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
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
            fs::copy(&path, &target).unwrap();
        }
    }
}

pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[track_caller]
pub fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|e| panic!("{e}: {}\n{}", stdout(output), stderr(output)))
}

#[track_caller]
pub fn ends_with(output: &Output, code: i32) {
    assert_eq!(
        output.status.code(),
        Some(code),
        "{}\n{}",
        stdout(output),
        stderr(output)
    );
}

/// Width, height and whether the file is whole: signature, IHDR and the IEND chunk of a PNG (PNG 3rd edition, 5.2,
/// 11.2).
pub fn png(path: &Path) -> Option<(u32, u32)> {
    let bytes = fs::read(path).ok()?;
    let whole = bytes.starts_with(b"\x89PNG\r\n\x1a\n") && bytes.ends_with(b"\0\0\0\0IEND\xae\x42\x60\x82");
    let side = |at: usize| Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?));
    if whole { Some((side(16)?, side(20)?)) } else { None }
}
