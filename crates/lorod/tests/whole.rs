//! The demonstration as it runs without a command, and what an end in the middle leaves.

mod common;

use common::{Scratch, ends_with, png, stdout};
use std::fs;
use std::process::{Child, Command};
use std::time::{Duration, Instant};

/// The real thing on one design of the demonstration: a workspace that is there is used as it is.
#[test]
fn everything_is_made_and_listed() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    fs::rename(scratch.path("demo"), scratch.path("reef-and-rain")).unwrap();
    let output = scratch.run(&["--no-serve"]);
    ends_with(&output, 0);
    let said = stdout(&output);
    let out = scratch.path("reef-and-rain/out");
    for file in [
        "check.txt",
        "repeat.png",
        "yard.png",
        "bolt.png",
        "film.png",
        "baths.txt",
        "cost.txt",
    ] {
        let path = out.join("rain-gutter").join(file);
        assert!(fs::metadata(&path).unwrap().len() > 100, "{file}");
        assert!(
            said.contains(&format!("reef-and-rain/out/rain-gutter/{file}")),
            "{file} is not listed"
        );
        if file.ends_with(".png") {
            assert!(png(&path).is_some(), "{file} is no whole picture");
        }
    }
    // By hand: 44 in x 36 in at 50 dpi, 44 in x 540 in at 10 dpi.
    assert_eq!(png(&out.join("rain-gutter/yard.png")), Some((2200, 1800)));
    assert_eq!(png(&out.join("rain-gutter/bolt.png")), Some((440, 5400)));
    assert!(fs::read(out.join("cards.pdf")).unwrap().starts_with(b"%PDF-"));
    assert!(
        fs::read_to_string(out.join("plan.txt"))
            .unwrap()
            .contains("o-103")
    );
    assert!(leftovers(&scratch).is_empty(), "{:?}", leftovers(&scratch));
}

/// Files that are not yet, or no longer, what their name says.
fn leftovers(scratch: &Scratch) -> Vec<std::path::PathBuf> {
    let all = scratch.files().into_iter();
    all.filter(|path| path.extension().is_some_and(|e| e == "part" || e == "new"))
        .collect()
}

fn wait(mut until: impl FnMut() -> bool) {
    let since = Instant::now();
    while !until() {
        assert!(since.elapsed() < Duration::from_secs(120), "waited in vain");
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[cfg(unix)]
fn signal(child: &Child, which: &str) {
    let sent = Command::new("kill")
        .args([which, &child.id().to_string()])
        .status()
        .unwrap();
    assert!(sent.success());
}

/// Ctrl-C in the middle of a picture: nothing stands under its name, what is done waits beside it for the same command to
/// go on, and the exit code says that it was stopped.
#[cfg(unix)]
#[test]
fn ctrl_c_leaves_no_picture() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let args = [
        "cloth",
        "demo",
        "rain-gutter",
        "--area",
        "bolt",
        "--dpi",
        "200",
        "-o",
        "bolt.png",
    ];
    let mut child = scratch.command(&args).spawn().unwrap();
    wait(|| !leftovers(&scratch).is_empty());
    signal(&child, "-INT");
    assert_eq!(child.wait().unwrap().code(), Some(130));
    assert!(!scratch.path("bolt.png").exists());
    assert_eq!(leftovers(&scratch), [scratch.path(".bolt.png.part")]);
}

/// Even a program that is killed leaves no half file under the name that was asked for.
#[cfg(unix)]
#[test]
fn a_kill_leaves_no_half_picture() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    fs::write(scratch.path("bolt.png"), b"the old picture").unwrap();
    let args = [
        "cloth",
        "demo",
        "rain-gutter",
        "--area",
        "bolt",
        "--dpi",
        "200",
        "-o",
        "bolt.png",
    ];
    let mut child = scratch.command(&args).spawn().unwrap();
    wait(|| {
        leftovers(&scratch)
            .iter()
            .any(|path| fs::metadata(path).is_ok_and(|about| about.len() > 0))
    });
    signal(&child, "-KILL");
    child.wait().unwrap();
    assert_eq!(fs::read(scratch.path("bolt.png")).unwrap(), b"the old picture");
}

/// The demonstration appears whole, and an end in the middle of its work leaves only whole files, and at most the one
/// picture that it was at, under a name of its own.
#[cfg(unix)]
#[test]
fn ctrl_c_in_the_demonstration_leaves_whole_files() {
    let scratch = Scratch::new();
    let mut child = scratch.command(&["--no-serve"]).spawn().unwrap();
    let folder = scratch.path("reef-and-rain/out/kite-tail");
    wait(|| folder.join("repeat.png").exists());
    signal(&child, "-INT");
    assert_eq!(child.wait().unwrap().code(), Some(130));
    let left = leftovers(&scratch);
    let one_picture = |path: &std::path::PathBuf| path.to_string_lossy().ends_with(".png.part");
    assert!(left.len() <= 1 && left.iter().all(one_picture), "{left:?}");
    for path in scratch
        .files()
        .iter()
        .filter(|path| path.extension().is_some_and(|e| e == "png"))
    {
        assert!(png(path).is_some(), "{} is half a picture", path.display());
    }
    ends_with(&scratch.run(&["check", "reef-and-rain"]), 0);
}
