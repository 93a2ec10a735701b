//! Stamps that belong together, as files say it: outlines and their fill, a border and its corner.
#![allow(missing_docs, clippy::unwrap_used)]

mod common;

use common::Folder;
use stamp::Along;
use words::Language;

const FILE: &str = "designs/sea-fan/design.toml";
const HEAD: &str = r#"xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100""#;

/// The small workspace with more stamps before its first one.
fn with(stamps: &str) -> Folder {
    let folder = Folder::small();
    let drawing = |name: &str, shapes: &str| {
        folder.write(
            &format!("designs/sea-fan/{name}.svg"),
            format!("<svg {HEAD}>{shapes}</svg>"),
        );
    };
    drawing(
        "lines",
        r#"<path fill-rule="evenodd" d="M20 20h60v60h-60zM23 23v54h54v-54z"/>"#,
    );
    drawing("inside", r#"<path d="M22 22h56v56h-56z"/>"#);
    drawing("bar", r#"<path d="M0 20h100v20h-100z"/>"#);
    folder.change(FILE, "[[stamps]]", &format!("{stamps}\n[[stamps]]"));
    folder
}

fn entry(id: &str, file: &str, more: &str) -> String {
    format!("[[stamps]]\nid = \"{id}\"\nfile = \"{file}.svg\"\n{more}\n")
}

fn set(width: &str, more: &str) -> String {
    entry("lines", "lines", "width = \"200 mm\"")
        + &entry(
            "inside",
            "inside",
            &format!("width = \"{width}\"\nregister = \"lines\"\n{more}"),
        )
}

#[test]
fn a_fill_finds_its_outlines_and_is_told_what_room_it_has() {
    let workspace = with(&set("300 mm", "").replace("200 mm", "300 mm")).open();
    let design = workspace.design("sea-fan").unwrap();
    let fill = design.stamps.iter().find(|used| used.id == "inside").unwrap();
    assert_eq!(fill.register.as_deref(), Some("lines"));
    // Lapped by 3 of 9 mm, and wax closes 0.8 mm more: within 3.4 mm stay 19 of 20 pairs. At a tenth of the size it is
    // not enough.
    let tight = |w: &workspace::Workspace| {
        let all = w.examine("sea-fan");
        all.iter().any(|finding| finding.code == "register-tight")
    };
    assert!(!tight(&workspace));
    let small = with(&set("30 mm", "").replace("200 mm", "30 mm")).open();
    assert!(tight(&small));
}

#[test]
fn what_does_not_fit_together_is_refused_by_name() {
    for (stamps, code) in [
        (set("210 mm", ""), "stamps-differ"),
        (set("200 mm", "layout = \"brick\""), "stamps-differ"),
        (
            set("200 mm", "").replace("register = \"lines\"", "register = \"line\""),
            "stamp-not-known",
        ),
        (
            set("200 mm", "").replace("register = \"lines\"", "register = \"inside\""),
            "stamp-not-known",
        ),
        (
            entry("edge", "bar", "width = \"100 mm\"\nborder = \"frame\""),
            "border-corner",
        ),
        (
            entry(
                "edge",
                "bar",
                "width = \"100 mm\"\nborder = \"ends\"\nlayout = \"brick\"",
            ),
            "border-with-layout",
        ),
        (
            entry("edge", "bar", "width = \"100 mm\"\ninset = \"2 mm\""),
            "border-not-said",
        ),
        (
            entry("turn", "lines", "width = \"90 mm\"")
                + &entry(
                    "edge",
                    "bar",
                    "width = \"100 mm\"\nborder = \"frame\"\ncorner = \"turn\"",
                ),
            "stamps-differ",
        ),
    ] {
        let folder = with(&stamps);
        let workspace = folder.open();
        assert!(workspace.design("sea-fan").is_none(), "{stamps}");
        assert!(
            workspace.findings.iter().any(|finding| finding.code == code),
            "{code}: {}",
            folder.said(Language::En)
        );
    }
}

#[test]
fn a_border_finds_its_corner() {
    let stamps = entry("turn", "lines", "width = \"100 mm\"")
        + &entry(
            "edge",
            "bar",
            "width = \"100 mm\"\nborder = \"frame\"\ncorner = \"turn\"\ninset = \"1 in\"",
        );
    let workspace = with(&stamps).open();
    let design = workspace.design("sea-fan").unwrap();
    let edge = design.stamps.iter().find(|used| used.id == "edge").unwrap();
    let border = edge.border.as_ref().unwrap();
    assert_eq!((border.along, border.inset.to_mm()), (Along::Frame, 25.4));
    assert_eq!(border.corner.as_ref().unwrap().0, "turn");
    // The corner's square does not meet the border's bar.
    let found = workspace.examine("sea-fan");
    assert!(
        found.iter().any(|finding| finding.code == "border-breaks"),
        "{found:?}"
    );
}
