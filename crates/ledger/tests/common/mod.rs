//! Folders to test on, and events whose ids and times are handed in.
#![allow(dead_code)]

use ledger::{Event, Fact};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use uuid::Uuid;

/// A folder that is removed when the test ends.
pub struct Folder(pub PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

impl Folder {
    /// An empty folder.
    pub fn fresh() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let n = NEXT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("lorod-ledger-{}-{n}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }
    /// Where its ledger is.
    pub fn ledger(&self) -> PathBuf {
        self.0.join(ledger::FILE)
    }
}

/// The small workspace that the reader of workspaces is tested on.
pub fn small_workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../workspace/tests/data/small")
}

/// An id of version 7 (RFC 9562: milliseconds first), from a number: the same number, the same id.
pub fn id(n: u64) -> Uuid {
    let mut rest = [0; 10];
    rest[2..].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
    uuid::Builder::from_unix_timestamp_millis(1_764_000_000_000 + n, &rest).into_uuid()
}

/// An event number `n` of a device.
pub fn event(n: u64, device: &str, fact: impl Into<Fact>) -> Event {
    let at = "2026-11-25T07:20:00Z".parse().unwrap();
    Event::new(id(n), device, at, fact).unwrap()
}
