//! `cargo xtask check`: what must hold before anything is handed on.

use crate::run::{Outcome, cargo, root, run, run_within, works};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

/// The checker, of one version, so that a page is not right today and wrong tomorrow.
const AXE: &str = "axe-core@4.14.1";

/// How long the built program may take to write its demo workspace.
const SMOKE: Duration = Duration::from_secs(300);

/// All stages in order, cheapest first; the first failure ends it. Tests come last, so that their summary is
/// what remains on the screen.
pub fn check() -> Outcome {
    type Stage = (&'static str, fn() -> Outcome);
    let stages: [Stage; 5] = [
        ("tools", tools),
        ("format", || run(&mut cargo(&["fmt", "--all", "--check"]))),
        ("lints", || {
            run(&mut cargo(&[
                "clippy",
                "--locked",
                "--workspace",
                "--all-targets",
                "--",
                "-D",
                "warnings",
            ]))
        }),
        ("release binary", smoke),
        // One command for the whole workspace: with fewer packages features unify differently, and everything
        // would be built a second time.
        ("tests", || run(&mut cargo(&["test", "--locked", "--workspace"]))),
    ];
    let count = stages.len();
    for (at, (name, stage)) in stages.into_iter().enumerate() {
        println!("== {} of {count}: {name}", at + 1);
        let begun = Instant::now();
        stage().map_err(|why| format!("{name}: {why}"))?;
        if at + 1 < count {
            println!("== {name}: passed in {:.0} s", begun.elapsed().as_secs_f64());
        }
    }
    Ok(())
}

/// The parts of the toolchain that are not always installed, and the browser that the page tests drive.
fn tools() -> Outcome {
    for (component, args) in [
        ("rustfmt", ["fmt", "--version"]),
        ("clippy", ["clippy", "--version"]),
    ] {
        let present = cargo(&args).output().is_ok_and(|out| out.status.success());
        if !present {
            return Err(format!(
                "cargo {} is missing; run: rustup component add {component}",
                args[0]
            ));
        }
    }
    browser()
}

/// The accessibility checker that the page tests run: an npm package, kept under `target`, never in the tree.
fn checker() -> Outcome {
    let folder = root().join("target/npm");
    if folder.join("node_modules/axe-core/axe.min.js").is_file() {
        return Ok(());
    }
    if !works("npm", &["--version"]) {
        apt(&["install", "--no-install-recommends", "npm"]).map_err(|why| {
            format!("the page tests need the npm package axe-core, and npm is missing: {why}")
        })?;
    }
    std::fs::create_dir_all(&folder).map_err(|e| format!("cannot make {}: {e}", folder.display()))?;
    run(Command::new("npm")
        .args(["install", "--no-audit", "--no-fund", "--prefix"])
        .arg(&folder)
        .arg(AXE))
}

fn browser() -> Outcome {
    checker()?;
    let found = || {
        ["chromium", "chromium-browser", "google-chrome"]
            .into_iter()
            .find(|b| works(b, &["--version"]))
    };
    if let Some(browser) = found() {
        println!("browser for the page tests: {browser}");
        return Ok(());
    }
    let by_hand = "the page tests drive a browser and none was found; install chromium (on Debian: \
                   apt-get install chromium)";
    let root_user = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|out| out.stdout.starts_with(b"0\n"));
    if !root_user || !Path::new("/etc/debian_version").exists() {
        return Err(by_hand.to_string());
    }
    apt(&["update"])?;
    apt(&["install", "--no-install-recommends", "chromium"])?;
    found().map(drop).ok_or_else(|| by_hand.to_string())
}

fn apt(args: &[&str]) -> Outcome {
    run(Command::new("apt-get")
        .args(["-q", "-y"])
        .args(args)
        .env("DEBIAN_FRONTEND", "noninteractive"))
}

/// Builds the release binary and lets it write its demo workspace into an empty folder.
fn smoke() -> Outcome {
    run(&mut cargo(&[
        "build",
        "--locked",
        "--release",
        "--package",
        "lorod",
    ]))?;
    let folder = Scratch::new()?;
    let manifest = root().join("Cargo.toml");
    let mut lorod = cargo(&[
        "run",
        "--quiet",
        "--locked",
        "--release",
        "--package",
        "lorod",
        "--manifest-path",
    ]);
    lorod
        .arg(&manifest)
        .args(["--", "--no-serve"])
        .current_dir(&folder.0);
    run_within(&mut lorod, SMOKE)?;
    let files = files_below(&folder.0)?;
    println!("lorod --no-serve wrote {files} files");
    if files == 0 {
        Err("lorod --no-serve wrote nothing".to_string())
    } else {
        Ok(())
    }
}

fn files_below(folder: &Path) -> Outcome<usize> {
    let wrong = |e: std::io::Error| format!("cannot list {}: {e}", folder.display());
    let mut count = 0;
    for entry in std::fs::read_dir(folder).map_err(wrong)? {
        let entry = entry.map_err(wrong)?;
        count += if entry.file_type().map_err(wrong)?.is_dir() {
            files_below(&entry.path())?
        } else {
            1
        };
    }
    Ok(count)
}

/// An empty folder that goes when it is dropped.
struct Scratch(PathBuf);

impl Scratch {
    fn new() -> Outcome<Self> {
        let folder = std::env::temp_dir().join(format!("lorod-smoke-{}", std::process::id()));
        std::fs::create_dir(&folder).map_err(|e| format!("cannot make {}: {e}", folder.display()))?;
        Ok(Self(folder))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        if let Err(e) = std::fs::remove_dir_all(&self.0) {
            eprintln!("cannot remove {}: {e}", self.0.display());
        }
    }
}
