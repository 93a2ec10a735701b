//! What is said about wrong files, word for word: one wrong thing in a small workspace, and its message.

mod common;

use common::Folder;
use words::Language;

const ROUTE: &str = "designs/sea-fan/design.toml";

/// The small workspace with one change says exactly this.
#[track_caller]
fn check(file: &str, from: &str, to: &str, said: &str) {
    let folder = Folder::small();
    folder.change(file, from, to);
    assert_eq!(
        folder.said(Language::En).trim_end(),
        said.trim_matches('\n'),
        "{from:?} -> {to:?}"
    );
}

#[track_caller]
fn check_id(file: &str, from: &str, to: &str, said: &str) {
    let folder = Folder::small();
    folder.change(file, from, to);
    assert_eq!(
        folder.said(Language::Id).trim_end(),
        said.trim_matches('\n'),
        "{from:?} -> {to:?}"
    );
}

#[test]
fn an_unknown_operation_names_its_neighbour() {
    let folder = Folder::small();
    folder.change(ROUTE, "do = \"sponge\"", "do = \"spnge\"");
    let said = folder.said(Language::En);
    assert!(
        said.starts_with(
            "wrong: do is \"spnge\", which is not known here [operation-not-known]
  at designs/sea-fan/design.toml, line 32, column 6
  32 | do = \"spnge\"
     |      ^^^^^^^
  allowed: one of: prepare, "
        ),
        "{said}"
    );
    assert!(said.ends_with("\n  to do: did you mean sponge?\n"), "{said}");
}

#[test]
fn an_unknown_setting_names_its_neighbour() {
    check(
        ROUTE,
        "chlorine = \"4 g/L\"",
        "chlorin = \"4 g/L\"",
        r#"
wrong: chlorin is not a key known here [key-not-known]
  at designs/sea-fan/design.toml, line 79, column 1
  79 | chlorin = "4 g/L"
     | ^^^^^^^
  allowed: one of: id, do, time, chlorine, ph, temperature, lag
  to do: did you mean chlorine?
"#,
    );
}

#[test]
fn an_unknown_dye_names_its_neighbour_in_both_languages() {
    check(
        ROUTE,
        "{ dye = \"coral-vs\", depth = \"24 g/L\" }",
        "{ dye = \"corral-vs\", depth = \"24 g/L\" }",
        r#"
wrong: there is no dye corral-vs in the store [dye-not-known]
  at designs/sea-fan/design.toml, line 35, column 13
  35 |     { dye = "corral-vs", depth = "24 g/L" },
     |             ^^^^^^^^^^^
  to do: did you mean coral-vs?
"#,
    );
    check_id(
        ROUTE,
        "{ dye = \"coral-vs\", depth = \"24 g/L\" }",
        "{ dye = \"corral-vs\", depth = \"24 g/L\" }",
        r#"
salah: tidak ada pewarna corral-vs di gudang [dye-not-known]
  di designs/sea-fan/design.toml, baris 35, kolom 13
  35 |     { dye = "corral-vs", depth = "24 g/L" },
     |             ^^^^^^^^^^^
  tindakan: maksudnya coral-vs?
"#,
    );
}

#[test]
fn units_are_asked_for() {
    check(
        ROUTE,
        "time = \"16 min\"",
        "time = 16",
        r#"
wrong: "16" has no unit; a duration was wanted [quantity-without-unit]
  at designs/sea-fan/design.toml, line 80, column 8
  80 | time = 16
     |        ^^
  allowed: a number and one of: s, min, h, d
  to do: write for example 20 min or 2 h
"#,
    );
    check_id(
        ROUTE,
        "time = \"16 min\"",
        "time = \"16 kg\"",
        r#"
salah: "16 kg" adalah massa; yang diminta lama waktu [quantity-of-other-kind]
  di designs/sea-fan/design.toml, baris 80, kolom 8
  80 | time = "16 kg"
     |        ^^^^^^^
  boleh: sebuah angka dan salah satu dari: s, min, h, d
  tindakan: tulis misalnya 20 min atau 2 h
"#,
    );
}

#[test]
fn ranges_are_told() {
    check(
        ROUTE,
        "chlorine = \"4 g/L\"",
        "chlorine = \"40 g/L\"",
        r#"
wrong: chlorine is 40 g/L [setting-out-of-range]
  at designs/sea-fan/design.toml, line 79, column 12
  79 | chlorine = "40 g/L"
     |            ^^^^^^^^
  allowed: 0.1 g/L to 10 g/L
"#,
    );
}

#[test]
fn steps_need_ids_of_their_own() {
    check(
        ROUTE,
        "[[steps]]\nid = \"s03\"",
        "[[steps]]",
        r#"
wrong: this step has no id [step-without-id]
  at designs/sea-fan/design.toml, line 26, column 1
  26 | [[steps]]
     | ^^^^^^^^^
  to do: give it one that no other step has, for example s03
"#,
    );
    check(
        ROUTE,
        "id = \"s03\"",
        "id = \"s01\"",
        r#"
wrong: there are two steps s01 [step-twice]
  at designs/sea-fan/design.toml, line 27, column 6
  27 | id = "s01"
     |      ^^^^^
  to do: give it one that no other step has, for example s03
"#,
    );
}

#[test]
fn two_files_with_one_id_are_both_named() {
    check(
        "designs/kite-tail/design.toml",
        "id = \"kite-tail\"",
        "id = \"sea-fan\"",
        r#"
wrong: designs/sea-fan/design.toml and designs/kite-tail/design.toml have the same id sea-fan [design-in-two-files]
  at designs/sea-fan/design.toml, line 1, column 6
  1 | id = "sea-fan"
    |      ^^^^^^^^^
  to do: change the id in one of them
wrong: order o-105 asks for kite-tail, which is no design of this workspace [order-without-design]
  at orders.toml, line 22, column 10
  22 | design = "kite-tail"
     |          ^^^^^^^^^^^
"#,
    );
}

#[test]
fn drawings_stay_in_their_folder() {
    check(
        ROUTE,
        "file = \"sea-fan.svg\"",
        "file = \"../../../etc/passwd\"",
        r#"
wrong: "../../../etc/passwd" is not a file in the design's own folder [drawing-outside]
  at designs/sea-fan/design.toml, line 13, column 8
  13 | file = "../../../etc/passwd"
     |        ^^^^^^^^^^^^^^^^^^^^^
  to do: copy the drawing beside the design and write its name only
"#,
    );
}

#[test]
fn orders_name_designs_and_days() {
    check(
        "orders.toml",
        "due = \"2026-12-23\"",
        "due = \"2026-02-29\"",
        r#"
wrong: "2026-02-29" is not a day of the calendar [not-a-date]
  at orders.toml, line 15, column 7
  15 | due = "2026-02-29"
     |       ^^^^^^^^^^^^
  allowed: year, month and day with hyphens: 2026-12-04
"#,
    );
    check(
        "orders.toml",
        "design = \"rain-gutter\"",
        "design = \"rain-guter\"",
        r#"
wrong: order o-103 asks for rain-guter, which is no design of this workspace [order-without-design]
  at orders.toml, line 13, column 10
  13 | design = "rain-guter"
     |          ^^^^^^^^^^^^
  to do: did you mean rain-gutter?
"#,
    );
}

#[test]
fn the_workshop_is_checked_against_the_tables_of_the_trade() {
    const FILE: &str = "workshop.toml";
    check(
        FILE,
        "\"wax.creep\"",
        "\"wax.crep\"",
        r#"
wrong: wax.crep is not known here [constant-not-known]
  at workshop.toml, line 205, column 1
  205 | "wax.crep" = { value = "1.4e-10 m2/s", measured = "2026-06-02", n = 5 }
      | ^^^^^^^^^^
  to do: did you mean wax.creep?
"#,
    );
    check(
        FILE,
        "soda-ash = \"9500 IDR/kg\"",
        "soda-ash = \"9,500 IDR/kg\"",
        r#"
wrong: "9,500 IDR/kg" is not a price [price]
  at workshop.toml, line 122, column 12
  122 | soda-ash = "9,500 IDR/kg"
      |            ^^^^^^^^^^^^^^
  allowed: a number without thousands marks, a currency code, and per kg, g, lb
  to do: write for example 9200 IDR/kg
"#,
    );
    check_id(
        FILE,
        "friday = [\"07:30-11:30\", \"13:30-16:30\"]",
        "friday = [\"07:30-11:30\", \"11:00-16:30\"]",
        r#"
salah: giliran 11:00-16:30 mulai sebelum giliran sebelumnya selesai [shift-order]
  di workshop.toml, baris 139, kolom 26
  139 | friday = ["07:30-11:30", "11:00-16:30"]
      |                          ^^^^^^^^^^^^^
  boleh: giliran satu hari berurutan naik
"#,
    );
    check(
        FILE,
        "latitude = \"3.8 S\"",
        "latitude = \"-3.8\"",
        r#"
wrong: latitude is "-3.8" [degrees]
  at workshop.toml, line 19, column 12
  19 | latitude = "-3.8"
     |            ^^^^^^
  allowed: degrees from 0 to 90 and N or S: 3.8 S
"#,
    );
}

#[test]
fn constants_far_from_their_usual_value_are_doubted_and_impossible_ones_refused() {
    check(
        "workshop.toml",
        "1.4e-10 m2/s",
        "5e-9 m2/s",
        r#"
doubtful: wax.creep is 5.00e-9 m2/s, far from the usual 1.00e-10 m2/s [constant-far-off]
  at workshop.toml, line 205, column 1
  205 | "wax.creep" = { value = "5e-9 m2/s", measured = "2026-06-02", n = 5 }
      | ^^^^^^^^^^^
  to do: check the unit
"#,
    );
    for value in ["1.4e-4 m2/s", "-1.4e-10 m2/s", "0 m2/s"] {
        let folder = Folder::small();
        folder.change("workshop.toml", "1.4e-10 m2/s", value);
        let workspace = folder.open();
        assert_eq!(
            workspace.findings.iter().map(|f| f.code).collect::<Vec<_>>(),
            ["constant-impossible"],
            "{value}"
        );
        assert_eq!(
            workspace.workshop.unwrap().constants,
            Default::default(),
            "{value}"
        );
    }
}

#[test]
fn a_constant_may_be_written_with_or_without_quotes() {
    let folder = Folder::small();
    let before = folder.open().workshop.unwrap().constants;
    folder.change("workshop.toml", "\"wax.creep\" =", "wax.creep =");
    assert_eq!(folder.said(Language::En), "");
    assert_eq!(folder.open().workshop.unwrap().constants, before);
}

#[test]
fn cards_must_say_where_their_numbers_come_from() {
    // Only the designs with this dye suffer.
    let folder = Folder::small();
    folder.change(
        "dyes/mango-vs.toml",
        "blue_wool = { value = \"4\", factor = 1.3, source",
        "blue_wool = { value = \"4\", fctor = 1.3, source",
    );
    let said = folder.said(Language::En);
    assert!(
        said.contains("fctor is not a key known here [key-not-known]"),
        "{said}"
    );
    assert!(said.contains("  to do: did you mean factor?\n"), "{said}");
    assert!(
        said.contains("factor is missing in blue_wool [key-missing]"),
        "{said}"
    );
    assert!(
        said.contains("the card of mango-vs cannot be used [dye-card-wrong]"),
        "{said}"
    );
    let workspace = folder.open();
    assert!(workspace.design("kite-tail").is_none());
    assert!(workspace.design("sea-fan").is_some());
}

#[test]
fn faults_of_syntax_are_told_per_file_and_the_rest_is_read() {
    let folder = Folder::small();
    folder.change("orders.toml", "bolts = 9", "bolts = = 9");
    folder.change("collection.toml", "place = \"Porto\"", "name = \"Porto\"");
    folder.change(
        "designs/kite-tail/design.toml",
        "do = \"prepare\"",
        "do = prepare",
    );
    let said = folder.said(Language::En);
    assert!(
        said.contains(
            "wrong: name stands twice in the same table [key-twice]\n  at collection.toml, line 3,"
        ),
        "{said}"
    );
    assert!(
        said.contains("[syntax]\n  at orders.toml, line 6, column 9\n"),
        "{said}"
    );
    assert!(
        said.contains("[syntax]\n  at designs/kite-tail/design.toml, line 19, column 6\n"),
        "{said}"
    );
    let workspace = folder.open();
    assert_eq!(workspace.designs.iter().filter(|d| d.design.is_some()).count(), 2);
    assert_eq!(workspace.dyes.len(), 5);
    assert!(workspace.workshop.is_some());
}

#[test]
fn every_fault_of_a_file_is_told_at_once() {
    let folder = Folder::small();
    folder.change(ROUTE, "width = \"44 in\"", "width = \"44\"");
    folder.change(ROUTE, "layout = \"half-drop\"", "layout = \"halfdrop\"");
    folder.change(ROUTE, "stamp = \"fan\"", "stamp = \"fans\"");
    folder.change(ROUTE, "cover = \"25 %\"", "cover = \"250 %\"");
    folder.change(ROUTE, "times = \"5 x\"", "times = true");
    let codes: Vec<_> = folder.open().findings.iter().map(|f| f.code).collect();
    assert_eq!(
        codes,
        [
            "quantity-without-unit",
            "word-not-known",
            "value-of-other-kind",
            "stamp-not-known",
            "setting-out-of-range"
        ]
    );
}

#[test]
fn files_that_are_no_text() {
    let folder = Folder::small();
    folder.write("orders.toml", b"[[orders]]\nid = \"o-\xE9\"\n");
    std::fs::remove_file(folder.path("designs/sea-fan/sea-fan.svg")).unwrap();
    let said = folder.said(Language::En);
    assert!(
        said.contains("wrong: orders.toml is not UTF-8 text (line 2) [not-utf8]"),
        "{said}"
    );
    assert!(
        said.contains("wrong: there is no file designs/sea-fan/sea-fan.svg [file-missing]"),
        "{said}"
    );
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    let folder = Folder::small();
    let path = folder.path("dyes/secret.toml");
    std::os::unix::fs::symlink("/etc/hostname", path).unwrap();
    let said = folder.said(Language::En);
    assert!(
        said.contains("wrong: dyes/secret.toml is not a plain file [not-a-plain-file]"),
        "{said}"
    );
}

#[test]
fn a_folder_without_a_collection_is_no_workspace() {
    let folder = Folder::small();
    std::fs::remove_file(folder.path("collection.toml")).unwrap();
    let error = workspace::Workspace::open(&folder.0).err().unwrap();
    assert!(matches!(error, workspace::IoError::NotAWorkspace { .. }));
    assert_eq!(error.finding().code, "not-a-workspace");
}

/// A stamp maker's limits: what is stated is theirs, the rest stays assumed; a wrong one is said with its line.
#[test]
fn stamp_makers_are_read() {
    let folder = Folder::small();
    let file = "workshop.toml";
    let text = folder.text(file);
    let makers = |gap: &str, second: &str| {
        format!("{text}\n[[stamp_makers]]\nkey = \"bridge\"\nstrip = \"0.5 mm\"\ngap = \"{gap}\"\n{second}")
    };
    folder.write(file, makers("1.8 mm", ""));
    assert_eq!(folder.said(Language::En), "");
    let workspace = folder.open();
    let [maker] = workspace.stamp_makers.as_slice() else {
        panic!("{:?}", workspace.stamp_makers)
    };
    assert_eq!(maker.key, "bridge");
    let usual = stamp::Limits::default();
    for limit in stamp::Limit::ALL {
        match limit {
            stamp::Limit::Strip => assert!((maker.limits.mm(*limit) - 0.5).abs() < 1e-12),
            stamp::Limit::Gap => assert!((maker.limits.mm(*limit) - 1.8).abs() < 1e-12),
            _ => assert_eq!(maker.limits.get(*limit), usual.get(*limit)),
        }
    }
    folder.write(file, makers("1.8 m", "[[stamp_makers]]\nkey = \"bridge\"\n"));
    let said = folder.said(Language::En);
    assert!(
        said.contains("\ngap = ") || said.contains("gap = \"1.8 m\""),
        "{said}"
    );
    assert!(
        said.contains("there are two stamp makers bridge [key-twice]"),
        "{said}"
    );
}
