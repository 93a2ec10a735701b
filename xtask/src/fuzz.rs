//! `cargo xtask fuzz`: the property tests with far more cases than a normal test run takes.

use crate::run::{Outcome, cargo, run};

/// Runs the tests of the workspace, or of one crate, with `[CASES] [CRATE]` in either order.
pub fn fuzz(args: &[&str]) -> Outcome {
    let mut cases = 20_000_u32;
    let mut scope = None;
    for arg in args {
        match arg.parse() {
            Ok(0) => return Err("fuzz with 0 cases would test nothing".to_string()),
            Ok(number) => cases = number,
            Err(_) if scope.is_none() => scope = Some(*arg),
            Err(_) => {
                return Err(format!(
                    "one crate at a time: {arg} after {}",
                    scope.unwrap_or_default()
                ));
            }
        }
    }
    let mut command = match scope {
        Some(package) => cargo(&["test", "--package", package]),
        None => cargo(&["test", "--workspace"]),
    };
    println!(
        "PROPTEST_CASES={cases}; a failure is kept in the crate's proptest-regressions folder: commit it"
    );
    run(command.env("PROPTEST_CASES", cases.to_string()))
}
