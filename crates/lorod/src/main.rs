//! lorod: from artwork to shipped bolt of hand-stamped wax-resist cotton. What it does is in the library beside it.

use std::process::ExitCode;

/// Tiles take and give back large planes all the time, which the system's allocator pays for with page faults.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    lorod::cli::run(std::env::args_os())
}
