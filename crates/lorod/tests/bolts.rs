//! Whole bolts as files: killed in the middle and gone on with, in both formats and as tiles.

mod common;

use common::{Scratch, ends_with};
use std::fs;
use std::path::Path;
use std::time::Duration;

/// Starts the command and kills it (SIGKILL on Unix) once `far` says that it is far enough; answers whether it was
/// still at work then.
fn killed(scratch: &Scratch, args: &[&str], far: impl Fn() -> bool) -> bool {
    let mut child = scratch.command(args).spawn().unwrap();
    while !far() {
        if child.try_wait().unwrap().is_some() {
            return false;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
    child.kill().unwrap();
    !child.wait().unwrap().success()
}

fn size(path: &Path) -> u64 {
    fs::metadata(path).map_or(0, |m| m.len())
}

#[test]
fn a_killed_bolt_goes_on_to_the_same_file() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let command = |file: &'static str| {
        let area = "0 mm,0 mm,44 in,2 m";
        [
            "cloth",
            "demo",
            "rain-gutter",
            "--area",
            area,
            "--dpi",
            "25",
            "-o",
            file,
        ]
    };
    for (whole, again) in [("whole.png", "again.png"), ("whole.tif", "again.tiff")] {
        ends_with(&scratch.run(&command(whole)), 0);
        let bytes = fs::read(scratch.path(whole)).unwrap();
        let part = scratch.path(&format!(".{again}.part"));
        let third = bytes.len() as u64 / 3;
        assert!(killed(&scratch, &command(again), || size(&part) > third));
        assert!(!scratch.path(again).exists(), "half a picture under its name");
        let left = size(&part);
        assert!(left > third && left < bytes.len() as u64);
        ends_with(&scratch.run(&command(again)), 0);
        assert!(fs::read(scratch.path(again)).unwrap() == bytes, "{again}");
        assert!(!part.exists());
    }
}

#[test]
fn killed_tiles_go_on_to_the_same_tiles() {
    let scratch = Scratch::with_demo(&["rain-gutter"]);
    let command = |dir: &'static str, dpi: &'static str| {
        let area = "0 mm,0 mm,44 in,1 m";
        [
            "cloth",
            "demo",
            "rain-gutter",
            "--area",
            area,
            "--dpi",
            dpi,
            "--tiles",
            dir,
        ]
    };
    let tiles = |dir: &str| {
        let root = scratch.path(dir);
        let below = scratch.files().into_iter().filter(|p| p.starts_with(&root));
        let mut all: Vec<_> = below
            .map(|p| {
                (
                    p.strip_prefix(&root).unwrap().to_path_buf(),
                    fs::read(&p).unwrap(),
                )
            })
            .collect();
        all.sort();
        all
    };
    ends_with(&scratch.run(&command("whole", "40")), 0);
    let whole = tiles("whole");
    // 1760 by 1575 pixels: 7 x 7 tiles, then 4 x 4, 2 x 2 and 1; and the file about them.
    assert_eq!(whole.len(), 49 + 16 + 4 + 1 + 1);
    let eighth = scratch.path("again/3/1");
    assert!(killed(&scratch, &command("again", "40"), || eighth.exists()));
    assert!(tiles("again").len() < whole.len());
    ends_with(&scratch.run(&command("again", "40")), 0);
    assert!(tiles("again") == whole);
    // Other tiles are not mixed in.
    ends_with(&scratch.run(&command("again", "50")), 2);
    assert!(tiles("again") == whole);
    let set: serde_json::Value =
        serde_json::from_slice(&fs::read(scratch.path("whole/tiles.json")).unwrap()).unwrap();
    let finest = &set["tileMatrices"][3];
    assert_eq!(
        (&finest["matrixWidth"], &finest["matrixHeight"]),
        (&7.into(), &7.into())
    );
    assert!((finest["cellSize"].as_f64().unwrap() - 0.000_635).abs() < 1e-12);
}
