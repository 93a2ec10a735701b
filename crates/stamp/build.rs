//! Says what the code is that unites drawings, so that what other code has united is never taken for its work.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};

fn main() {
    println!("cargo:rerun-if-changed=src");
    println!("cargo:rerun-if-changed=../../Cargo.lock");
    let mut files = Vec::new();
    below(Path::new("src"), &mut files);
    files.sort();
    // The libraries that unite and widen shapes stand in the lock.
    files.push(PathBuf::from("../../Cargo.lock"));
    let mut hash = DefaultHasher::new();
    for path in files {
        // A file that cannot be read is not compiled either, and a crate without a lock has its sources.
        if let Ok(bytes) = fs::read(&path) {
            path.hash(&mut hash);
            bytes.hash(&mut hash);
        }
    }
    println!("cargo:rustc-env=STAMP_MADE_BY={:016x}", hash.finish());
}

fn below(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            below(&path, files);
        } else {
            files.push(path);
        }
    }
}
