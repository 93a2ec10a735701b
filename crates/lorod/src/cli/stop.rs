//! Ctrl-C: the work in hand is asked to stop, so that nothing half-written stays.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

static STOP: AtomicBool = AtomicBool::new(false);
static WATCH: OnceLock<()> = OnceLock::new();

/// Raised by the first Ctrl-C from now on. A second one ends the program at once.
pub fn flag() -> &'static AtomicBool {
    WATCH.get_or_init(|| {
        // Without a watcher Ctrl-C ends the program as it always does; files still appear by renaming only.
        let _ = std::thread::Builder::new()
            .name("ctrl-c".to_string())
            .spawn(watch);
    });
    &STOP
}

/// Has it been raised?
pub fn raised() -> bool {
    STOP.load(Ordering::Relaxed)
}

fn watch() {
    let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else {
        return;
    };
    runtime.block_on(async {
        if tokio::signal::ctrl_c().await.is_ok() {
            STOP.store(true, Ordering::Relaxed);
        }
        if tokio::signal::ctrl_c().await.is_ok() {
            std::process::exit(i32::from(super::end::STOPPED));
        }
    });
}
