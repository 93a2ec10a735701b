//! Stamps that belong together, from the folder to what is said, drawn and printed.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;

use common::{Scratch, ends_with, json, stdout};
use std::fs;

const HEAD: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 "#;

/// The demonstration's net floats with more stamps; the wax of the route is the new ones'.
fn with(stamps: &str, drawings: &[(&str, &str)], waxes: &str) -> Scratch {
    let scratch = Scratch::with_demo(&["net-float"]);
    for (name, svg) in drawings {
        let path = scratch.path(&format!("demo/designs/net-float/{name}.svg"));
        fs::write(path, format!("{HEAD}{svg}</svg>")).unwrap();
    }
    let path = scratch.path("demo/designs/net-float/design.toml");
    let text = fs::read_to_string(&path).unwrap();
    let (before, after) = text.split_once("[[stamps]]").unwrap();
    let old = after.split("id = \"").nth(1).unwrap().split('"').next().unwrap();
    let after = after.replace(&format!("stamp = \"{old}\""), &format!("stamp = \"{waxes}\""));
    fs::write(&path, format!("{before}{stamps}\n[[stamps]]{after}")).unwrap();
    scratch
}

/// A square outline of 8 mm on 200, and a fill that reaches 3 mm under it.
#[test]
fn a_set_in_register_is_told_drawn_and_marked() {
    let lines = r#"100 100"><path fill-rule="evenodd" d="M20 20h60v60h-60zM24 24v52h52v-52z"/>"#;
    let inside = r#"100 100"><path d="M22.5 22.5h55v55h-55z"/>"#;
    let stamps = "[[stamps]]\nid = \"lines\"\nfile = \"lines.svg\"\nwidth = \"200 mm\"\n\
                  [[stamps]]\nid = \"inside\"\nfile = \"inside.svg\"\nwidth = \"200 mm\"\nregister = \"lines\"\n";
    let scratch = with(stamps, &[("lines", lines), ("inside", inside)], "lines");
    let repeat = |more: &[&str]| scratch.run(&[&["stamp", "repeat", "demo", "net-float"], more].concat());
    let found = json(&repeat(&["--stamp", "inside", "--json"]))["register"].clone();
    // 3 mm back to the line's inner side, and the 0.8 mm that wax closes.
    let room = found["room_mm"].as_f64().unwrap();
    assert!((room - 3.8).abs() < 0.06, "{room}");
    let edge = found["edge_mm"].as_f64().unwrap();
    assert!((edge - 440.0).abs() < 1.0, "{edge}");
    assert_eq!(found["outline"], "lines");
    // Asked from the outlines it is the same set.
    assert_eq!(json(&repeat(&["--stamp", "lines", "--json"]))["register"], found);
    let said = stdout(&repeat(&["--stamp", "inside"]));
    assert!(
        said.contains("inside fills lines") && said.contains("3.8 mm"),
        "{said}"
    );
    let picture = repeat(&["--stamp", "inside", "--picture", "register", "-o", "set.svg"]);
    ends_with(&picture, 0);
    assert!(
        fs::read_to_string(scratch.path("set.svg"))
            .unwrap()
            .contains("</svg>")
    );
    // The same two files, before they are part of a workspace.
    let check = |room: &str| {
        let [fill, lines] = ["inside", "lines"].map(|id| format!("demo/designs/net-float/{id}.svg"));
        let args = [
            "stamp",
            "check",
            &fill,
            "--size",
            "200 mm",
            "--outline",
            &lines,
            "--room",
            room,
            "--json",
        ];
        let found = json(&scratch.run(&args));
        let all = found["findings"].as_array().unwrap().clone();
        all.iter().any(|one| one["code"] == "register-tight")
    };
    assert!(!check("3.7 mm") && check("3.9 mm"));

    // The covers of both drawings name the other; the drawing is as large as the repeat and 4 mm of marks around it.
    for (id, other) in [("lines", "inside"), ("inside", "lines")] {
        let args = ["--stamp", id, "--paper", "a3", "-o", "out.svg"];
        ends_with(
            &scratch.run(&[&["stamp", "draw", "demo", "net-float"], &args[..]].concat()),
            0,
        );
        let cover = fs::read_to_string(scratch.path("out-0.svg")).unwrap();
        assert!(
            cover.contains("In register with") && cover.contains(other),
            "{id}"
        );
        let tile = fs::read_to_string(scratch.path("out-A1.svg")).unwrap();
        assert!(tile.contains("208 × 208 mm"), "{id}");
    }
}

#[test]
fn a_border_is_told_drawn_printed_and_counted() {
    let bar = r#"120 80"><path d="M0 10h120v20h-120z"/>"#;
    let turn = r#"80 80"><path d="M10 10h70v20h-50v50h-20z"/>"#;
    let stamps = "[[stamps]]\nid = \"edge\"\nfile = \"edge.svg\"\nwidth = \"120 mm\"\nborder = \"frame\"\ncorner = \"turn\"\n\
                  [[stamps]]\nid = \"turn\"\nfile = \"turn.svg\"\nwidth = \"80 mm\"\n";
    let scratch = with(stamps, &[("edge", bar), ("turn", turn)], "edge");
    let output = scratch.run(&[
        "stamp",
        "repeat",
        "demo",
        "net-float",
        "--stamp",
        "edge",
        "--picture",
        "bolt",
        "-o",
        "piece.svg",
        "--json",
    ]);
    ends_with(&output, 0);
    let found = json(&output);
    // By hand, 44 in x 15 yd: 957.6 mm are 8 steps of 120, 13556 mm are 113; and four corners.
    let n = |key: &str| found["impressions"][key].as_u64().unwrap();
    assert_eq!((n("border"), n("corner"), n("all")), (242, 4, 246));
    let runs = found["border"]["runs"].as_array().unwrap();
    assert!(
        (runs[0]["apart_mm"].as_f64().unwrap() + 0.3).abs() < 1e-6,
        "{runs:?}"
    );
    for joins in found["border"]["joins"].as_array().unwrap() {
        assert_eq!(joins["joins"], 1, "{joins}");
        assert!(joins["breaks"].as_array().unwrap().is_empty(), "{joins}");
    }
    assert!(
        fs::read_to_string(scratch.path("piece.svg"))
            .unwrap()
            .contains("</svg>")
    );
    let slip = scratch.run(&[
        "stamp",
        "repeat",
        "demo",
        "net-float",
        "--stamp",
        "edge",
        "--picture",
        "slip",
        "-o",
        "no.svg",
    ]);
    ends_with(&slip, 1);
    assert!(!scratch.path("no.svg").exists());
    // The shelf counts both stamps.
    for (stamp, prints) in [("edge", 242), ("turn", 4)] {
        let copy = format!("net-float/{stamp}/1");
        let shelf = |more: &[&str]| {
            let output = scratch.run(&[&["stamp", "shelf", "demo", "--copy", &copy], more].concat());
            ends_with(&output, 0);
        };
        shelf(&["--new", "A9", "--on", "2026-06-01"]);
        shelf(&["--stamped", "2", "--on", "2026-06-04"]);
        let all = json(&scratch.run(&["stamp", "shelf", "demo", "--json"]));
        let one = all["copies"]
            .as_array()
            .unwrap()
            .iter()
            .find(|one| one["copy"] == copy);
        let one = one.unwrap_or_else(|| panic!("{all}"));
        assert_eq!(one["prints"].as_u64(), Some(2 * prints), "{one}");
    }
}
