//! `[[targets]]` of a design: colours that its finished cloth is to carry.

mod common;

use common::Folder;
use words::Language;

const FILE: &str = "designs/sea-fan/design.toml";

#[test]
fn targets_are_read_as_written() {
    let folder = Folder::demo();
    let workspace = folder.open();
    let targets = &workspace.design_file("sea-fan").unwrap().targets;
    let scarlet = targets.iter().find(|t| t.name == "scarlet fans").unwrap();
    assert_eq!(scarlet.waxed, ["s12"]);
    assert_eq!(scarlet.leads, Some(("s04".to_string(), 1)));
    assert_eq!((scarlet.tolerance, scarlet.weight), (3.0, 1.0));
    let sand = targets.iter().find(|t| t.name == "wet sand").unwrap();
    assert_eq!((&sand.bare[..], &sand.leads), (&["s12".to_string()][..], &None));
}

#[test]
fn wrong_targets_are_said_with_their_place() {
    for (from, to, code) in [
        ("leads = \"s04.2\"", "leads = \"s04.9\"", "[no-such-dye-of-step]"),
        ("leads = \"s04.2\"", "leads = \"s99.1\"", "[step-not-known]"),
        ("waxed = [\"s12\"]", "waxed = [\"s1x\"]", "[step-not-known]"),
        ("colour = \"#b8655c\"", "colour = \"#b8655\"", "[target-hex]"),
        ("colour = \"#b8655c\"", "lab = [120, 0, 0]", "[target-lab]"),
    ] {
        let folder = Folder::demo();
        folder.change(FILE, from, to);
        let said = folder.said(Language::En);
        assert!(said.contains(code) && said.contains(FILE), "{to}: {said}");
    }
}
