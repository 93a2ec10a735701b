//! How far a long piece of work is, on the error stream, once it has taken more than a second.

use std::io::{IsTerminal, Write as _};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

/// Work that takes less is not talked about.
const QUIET: Duration = Duration::from_secs(1);

/// A piece of work that says how far it is.
pub struct Progress {
    what: String,
    since: Instant,
    shown: AtomicU32,
    terminal: bool,
}

impl Progress {
    /// Begins.
    pub fn new(what: &str) -> Self {
        Self {
            what: what.to_string(),
            since: Instant::now(),
            shown: AtomicU32::new(0),
            terminal: std::io::stderr().is_terminal(),
        }
    }

    /// The share done, 0..1. May be called from any thread, as often as one likes.
    pub fn at(&self, share: f64) {
        if self.since.elapsed() < QUIET {
            return;
        }
        // On paper or in a log every tenth is enough.
        let step = if self.terminal { 1 } else { 10 };
        let percent = (share * 100.0) as u32 / step * step;
        if self.shown.fetch_max(percent, Ordering::Relaxed) < percent {
            let mut to = std::io::stderr().lock();
            let _ = if self.terminal {
                write!(to, "\r{} {percent:3} %", self.what)
            } else {
                writeln!(to, "{} {percent} %", self.what)
            };
        }
    }

    /// Ends; answers how long it took.
    pub fn done(self) -> Duration {
        if self.terminal && self.shown.load(Ordering::Relaxed) > 0 {
            let width = self.what.chars().count() + 6;
            let _ = write!(std::io::stderr().lock(), "\r{}\r", " ".repeat(width));
        }
        self.since.elapsed()
    }
}
