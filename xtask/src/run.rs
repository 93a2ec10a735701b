//! Running other programs, and saying which one failed.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// What a chore comes to: nothing, or a sentence for the person who ran it.
pub type Outcome<T = ()> = Result<T, String>;

/// The root of the workspace.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .map(Path::to_path_buf)
        .unwrap_or_default()
}

/// The cargo that started us, at the workspace's root.
pub fn cargo(args: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(args).current_dir(root());
    command
}

/// The command as a person would type it.
fn spelled(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or_default();
    std::iter::once(program)
        .chain(command.get_args())
        .map(|a| a.to_string_lossy())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Runs a command with our own terminal.
pub fn run(command: &mut Command) -> Outcome {
    println!("$ {}", spelled(command));
    let status = command
        .status()
        .map_err(|e| format!("cannot start {}: {e}", spelled(command)))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("{} failed ({status})", spelled(command)))
    }
}

/// Runs a command and gives back what it printed; its errors go to our terminal.
pub fn read(command: &mut Command) -> Outcome<String> {
    let out = command
        .stderr(Stdio::inherit())
        .output()
        .map_err(|e| format!("cannot start {}: {e}", spelled(command)))?;
    if !out.status.success() {
        return Err(format!("{} failed ({})", spelled(command), out.status));
    }
    String::from_utf8(out.stdout).map_err(|e| format!("{} printed no text: {e}", spelled(command)))
}

/// Runs a command quietly: does it exist and succeed?
pub fn works(program: &str, args: &[&str]) -> bool {
    let status = Command::new(program)
        .args(args)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    status.is_ok_and(|s| s.success())
}

/// Runs a command but ends it after `limit`.
pub fn run_within(command: &mut Command, limit: Duration) -> Outcome {
    println!("$ {}", spelled(command));
    let mut child = command
        .spawn()
        .map_err(|e| format!("cannot start {}: {e}", spelled(command)))?;
    let begun = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Ok(()),
            Ok(Some(status)) => return Err(format!("{} failed ({status})", spelled(command))),
            Ok(None) if begun.elapsed() < limit => std::thread::sleep(Duration::from_millis(50)),
            Ok(None) => {
                let _ = child.kill();
                let _ = child.wait();
                return Err(format!(
                    "{} did not end within {} s",
                    spelled(command),
                    limit.as_secs()
                ));
            }
            Err(e) => return Err(format!("lost {}: {e}", spelled(command))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn failures_name_the_command() {
        let said = run(Command::new("cargo").arg("no-such-chore").stderr(Stdio::null())).unwrap_err();
        assert!(
            said.starts_with("cargo no-such-chore failed (exit status:"),
            "{said}"
        );
        let said = run(&mut Command::new("no-such-program")).unwrap_err();
        assert!(said.starts_with("cannot start no-such-program:"), "{said}");
        assert!(read(cargo(&["--version"]).stdin(Stdio::null())).is_ok_and(|out| out.starts_with("cargo ")));
        assert!(works("cargo", &["--version"]) && !works("cargo", &["no-such-chore"]));
    }

    #[test]
    fn what_hangs_is_ended() {
        let mut sleep = Command::new("sleep");
        let said = run_within(sleep.arg("60"), Duration::from_secs(0)).unwrap_err();
        assert_eq!(said, "sleep 60 did not end within 0 s");
        assert!(run_within(&mut Command::new("true"), Duration::from_secs(10)).is_ok());
    }
}
