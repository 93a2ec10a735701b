//! Writing: whole or not at all, never over somebody else's work.

mod common;

use common::Folder;
use std::fs;
use units::Length;
use workspace::{Drawing, IoError, Lock, NotDone, Workspace, add_design, create, save, write_atomic};

const SVG: &[u8] = include_bytes!("data/small/designs/sea-fan/sea-fan.svg");

fn names(folder: &Folder) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(&folder.0)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_new_workspace_appears_whole() {
    let folder = Folder::fresh();
    create(
        &folder.0,
        &[("collection.toml", b"name = \"A\"\n"), ("dyes/a/b.toml", b"")],
    )
    .unwrap();
    assert_eq!(folder.text("collection.toml"), "name = \"A\"\n");
    assert!(folder.path("dyes/a/b.toml").is_file());
    // Nothing else is left beside it.
    let parent = folder.0.parent().unwrap();
    let stem = folder.0.file_name().unwrap().to_string_lossy().into_owned();
    let left = fs::read_dir(parent).unwrap().filter(|e| {
        e.as_ref()
            .unwrap()
            .file_name()
            .to_string_lossy()
            .starts_with(&format!(".{stem}."))
    });
    assert_eq!(left.count(), 0);
}

#[test]
fn an_empty_folder_is_filled_and_a_full_one_refused() {
    let folder = Folder::fresh();
    fs::create_dir_all(&folder.0).unwrap();
    create(&folder.0, &[("collection.toml", b"")]).unwrap();
    let again = create(&folder.0, &[("orders.toml", b"")]);
    assert!(matches!(again, Err(IoError::NotEmpty { .. })));
    assert_eq!(names(&folder), ["collection.toml"]);
}

#[test]
fn names_that_lead_out_are_refused_and_nothing_is_left() {
    for name in ["../x", "/etc/x", "a/../../x", "", "C:x", "a\\b"] {
        let folder = Folder::fresh();
        let made = create(&folder.0, &[("collection.toml", b""), (name, b"")]);
        assert!(matches!(made, Err(IoError::BadName { .. })), "{name:?}");
        assert!(!folder.0.exists(), "{name:?}");
    }
    // Two files with one name fail half way: the folder does not appear.
    let folder = Folder::fresh();
    assert!(create(&folder.0, &[("a", b""), ("a", b"")]).is_err());
    assert!(!folder.0.exists());
}

#[test]
fn a_file_is_replaced_only_if_it_is_the_one_that_was_read() {
    let folder = Folder::small();
    let workspace = folder.open();
    let read = workspace.source("orders.toml").unwrap();
    let mine = read.text.replace("bolts = 9", "bolts = 10");
    save(&folder.0, "orders.toml", Some(read.hash), mine.as_bytes()).unwrap();
    assert_eq!(folder.open().orders[0].bolts, 10);
    // Saving once more from what was read at first would undo the change.
    let again = save(&folder.0, "orders.toml", Some(read.hash), read.text.as_bytes());
    assert!(matches!(again, Err(IoError::Changed { .. })));
    assert_eq!(folder.open().orders[0].bolts, 10);
    // A file that should not be there yet, and is.
    let new = save(&folder.0, "orders.toml", None, b"");
    assert!(matches!(new, Err(IoError::Changed { .. })));
    save(&folder.0, "dyes/new.toml", None, b"id = 1").unwrap();
    assert!(matches!(
        save(&folder.0, "../x", None, b""),
        Err(IoError::BadName { .. })
    ));
}

#[test]
fn one_writes_at_a_time() {
    let folder = Folder::small();
    let lock = Lock::take(&folder.0).unwrap();
    assert!(matches!(Lock::take(&folder.0), Err(IoError::Locked { .. })));
    assert!(matches!(
        save(&folder.0, "x.toml", None, b""),
        Err(IoError::Locked { .. })
    ));
    drop(lock);
    save(&folder.0, "x.toml", None, b"").unwrap();
}

#[test]
fn a_failed_write_leaves_the_old_file() {
    let folder = Folder::small();
    let path = folder.path("designs");
    // A folder cannot be replaced by a file.
    assert!(write_atomic(&path, b"x").is_err());
    assert!(path.is_dir());
    write_atomic(&folder.path("orders.toml"), b"# none\n").unwrap();
    assert_eq!(folder.text("orders.toml"), "# none\n");
    assert!(names(&folder).iter().all(|name| !name.ends_with(".new")));
}

fn drawing(bytes: &[u8], width_mm: f64) -> Drawing<'_> {
    Drawing {
        bytes,
        name: "drawing.svg",
        colourway: "pertama",
        width: Length::mm(width_mm),
        wax_below: None,
    }
}

#[test]
fn a_drawing_becomes_a_design_that_can_be_made() {
    let folder = Folder::demo();
    let workspace = folder.open();
    let heron = drawing(SVG, 180.0);
    let id = add_design(&workspace, "Heron \"at\" dusk\n", &heron).unwrap();
    assert_eq!(id, "heron-at-dusk");
    let after = workspace.again().unwrap();
    let said: String = after
        .findings
        .iter()
        .map(|f| after.show(f, Default::default()))
        .collect();
    assert_eq!(said, "");
    let design = after.design(&id).unwrap();
    assert_eq!(design.name, "Heron \"at\" dusk");
    assert_eq!(design.colourway, "pertama");
    assert_eq!(design.stamps[0].stamp.repeat_mm(), [180.0, 180.0]);
    // Sponged dyes clear: all of them are in the quicker half of the store, and differ in hue.
    let sponged = design
        .steps
        .iter()
        .find(|s| s.operation.kind().key == "sponge")
        .unwrap();
    let mut rates: Vec<f64> = after.dyes.iter().map(|d| d.bleaching.rate.value).collect();
    rates.sort_by(f64::total_cmp);
    let median = rates[rates.len() / 2];
    for dose in sponged.operation.values().dyes("dyes") {
        let card = &design.dyes[dose.dye];
        assert!(
            card.bleaching.rate.value >= median,
            "{} is slow to clear",
            card.id
        );
    }
    let wrong: Vec<_> = after
        .examine(&id)
        .into_iter()
        .filter(|f| f.weight == words::Weight::Wrong)
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
    // The same name again gets another id.
    let paler = Drawing {
        wax_below: Some(70.0),
        ..heron
    };
    let second = add_design(&after, "Heron at dusk", &paler).unwrap();
    assert_eq!(second, "heron-at-dusk-2");
    let text = |id: &str| folder.text(&format!("designs/{id}/design.toml"));
    assert!(text(&second).contains("\nwax_below = 70\n") && !text(&id).contains("wax_below"));
    assert!(after.again().unwrap().design(&second).is_some());
}

#[test]
fn a_small_store_is_enough() {
    let folder = Folder::small();
    for dye in ["coral-vs", "mango-vs", "sand-dct", "lagoon-vs"] {
        fs::remove_file(folder.path(&format!("dyes/{dye}.toml"))).unwrap();
    }
    let workspace = folder.open();
    let id = add_design(&workspace, "One", &drawing(SVG, 100.0)).unwrap();
    assert!(workspace.again().unwrap().design(&id).is_some());
}

#[test]
fn what_cannot_be_a_design_leaves_nothing() {
    let folder = Folder::small();
    let workspace = folder.open();
    let before = fs::read_dir(folder.path("designs")).unwrap().count();
    let rows: [(&str, &[u8], f64, &str); 5] = [
        ("A", b"\xFF\xFE", 100.0, "not-utf8"),
        ("A", b"<svg", 100.0, "svg-"),
        ("A", SVG, 5.0, "stamp-size"),
        ("A", SVG, f64::NAN, "stamp-size"),
        ("\u{30ab}", SVG, 100.0, "name-gives-no-id"),
    ];
    for (name, svg, width, code) in rows {
        match add_design(&workspace, name, &drawing(svg, width)) {
            Err(NotDone::Findings(all)) => {
                assert!(
                    all.iter().any(|f| f.code.starts_with(code)) || code == "svg-",
                    "{code}: {all:?}"
                );
            }
            other => panic!("{code}: {other:?}"),
        }
    }
    assert_eq!(fs::read_dir(folder.path("designs")).unwrap().count(), before);
    assert!(Workspace::open(&folder.0).is_ok());
}
