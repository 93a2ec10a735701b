//! lorod: from artwork to shipped bolt of hand-stamped wax-resist cotton. What it does is in the library beside it.

use std::process::ExitCode;

fn main() -> ExitCode {
    lorod::cli::run(std::env::args_os())
}
