//! Chores of the workspace, as `cargo xtask <chore>`. Standard library only, so that it builds in a second.

mod bench;
mod check;
mod fuzz;
mod run;
mod spectra;

use std::process::ExitCode;

const HELP: &str = "\
cargo xtask check                  everything that must hold: format, lints, the release binary, all tests
cargo xtask bench                  the cloth's kernels beside numpy, in ns per sample; plans beside published results; writes docs/bench.md
cargo xtask fuzz [CASES] [CRATE]   all tests with CASES random cases per property (default 20000)";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match args[..] {
        ["check"] => check::check(),
        ["bench"] => bench::bench(),
        ["fuzz", ref rest @ ..] => fuzz::fuzz(rest),
        [] | ["help" | "--help" | "-h"] => {
            println!("{HELP}");
            Ok(())
        }
        _ => Err(format!("no such chore: {}\n\n{HELP}", args.join(" "))),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("xtask: {why}");
            ExitCode::FAILURE
        }
    }
}
