//! The house rules, as tests. Each says in its message what to do; the reasons are in CONTRIBUTING.md.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What each crate may depend on, besides crates from elsewhere. Arrows point down only; `plan` and `ledger` never
/// know `cloth`, and `papers` draws what it is handed.
const MAY_KNOW: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("words", &["units"]),
    ("field", &["units", "words"]),
    ("sky", &["units", "words"]),
    ("colour", &["units", "words", "field"]),
    ("stamp", &["units", "words"]),
    ("route", &["units", "words", "field", "sky", "colour", "stamp"]),
    (
        "cloth",
        &["units", "words", "field", "sky", "colour", "stamp", "route"],
    ),
    ("plan", &["units", "words", "sky", "route"]),
    (
        "workspace",
        &["units", "words", "sky", "colour", "stamp", "route"],
    ),
    ("ledger", &["units", "words", "route", "plan", "workspace"]),
    ("papers", &["units", "words"]),
    (
        "lorod",
        &[
            "units",
            "words",
            "field",
            "sky",
            "colour",
            "stamp",
            "route",
            "cloth",
            "plan",
            "workspace",
            "ledger",
            "papers",
        ],
    ),
    ("xtask", &[]),
];

/// The craft itself: no clock, files, network or wire formats; time, seed and bytes are handed in.
const CORE: &[&str] = &[
    "units", "words", "field", "sky", "colour", "stamp", "route", "cloth", "plan",
];

/// What core crates may not depend on.
const NOT_IN_CORE: &[&str] = &[
    "serde",
    "serde_json",
    "toml",
    "tokio",
    "axum",
    "jiff",
    "rusqlite",
    "postgres",
];

/// What core sources may not name.
const NOT_IN_CORE_SOURCE: &[&str] = &[
    "std::fs",
    "std::net",
    "std::env",
    "std::process",
    "SystemTime",
    "Instant::now",
    "File::open",
];

/// Longest source file, lines. Two thirds of it is the aim.
const LONGEST: usize = 600;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .to_path_buf()
}

fn text(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// All files below `crates` and `xtask` that end in `.ext`, as (path from the root, text).
fn files(ext: &str) -> Vec<(String, String)> {
    fn below(folder: &Path, ext: &str, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() && path.file_name().is_none_or(|n| n != "target") {
                below(&path, ext, found);
            } else if path.extension().is_some_and(|e| e == ext) {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    for folder in ["crates", "xtask"] {
        below(&root().join(folder), ext, &mut found);
    }
    found.sort();
    assert!(
        !found.is_empty(),
        "no .{ext} file at all: this test looks in the wrong place"
    );
    let name = |p: &Path| p.strip_prefix(root()).unwrap().to_string_lossy().into_owned();
    found
        .iter()
        .map(|p| (name(p), std::fs::read_to_string(p).unwrap()))
        .collect()
}

/// The program's own part of a source file: comments, and everything from `#[cfg(test)] mod tests {` on, left out.
/// A file of tests (`tests.rs`) has none.
fn shipped<'a>(path: &str, source: &'a str) -> impl Iterator<Item = (usize, &'a str)> {
    let tests = source.find("#[cfg(test)]\nmod tests {").unwrap_or(source.len());
    let end = if path.ends_with("/tests.rs") { 0 } else { tests };
    let lines = source[..end].lines().enumerate().map(|(at, line)| (at + 1, line));
    lines.filter(|(_, line)| !line.trim_start().starts_with("//"))
}

#[track_caller]
fn none(faults: &[String], rule: &str) {
    assert!(faults.is_empty(), "{rule}:\n  {}", faults.join("\n  "));
}

/// (crate, crates and packages it is built from); tests' own dependencies are not looked at.
fn dependencies() -> Vec<(String, Vec<String>)> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let out = std::process::Command::new(cargo)
        .args(["metadata", "--no-deps", "--format-version", "1"])
        .current_dir(root())
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let metadata: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let name = |value: &serde_json::Value| value["name"].as_str().unwrap().to_string();
    let built_from = |package: &serde_json::Value| {
        let all = package["dependencies"].as_array().unwrap();
        all.iter().filter(|d| d["kind"] != "dev").map(name).collect()
    };
    metadata["packages"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (name(p), built_from(p)))
        .collect()
}

#[test]
fn arrows_point_down() {
    let ours: BTreeSet<&str> = MAY_KNOW.iter().map(|(name, _)| *name).collect();
    let mut faults = Vec::new();
    let mut seen = BTreeSet::new();
    for (name, dependencies) in dependencies() {
        let Some((known, may)) = MAY_KNOW.iter().find(|(known, _)| *known == name) else {
            faults.push(format!("{name} is new: say in MAY_KNOW what it may know"));
            continue;
        };
        seen.insert(*known);
        let wrong = dependencies
            .iter()
            .filter(|d| ours.contains(d.as_str()) && !may.contains(&d.as_str()));
        faults.extend(wrong.map(|d| format!("{name} may not know {d}")));
    }
    faults.extend(
        ours.difference(&seen)
            .map(|gone| format!("{gone} is gone: take it out of MAY_KNOW")),
    );
    none(&faults, "crates depend downwards only");
}

#[test]
fn the_core_has_no_clock_files_or_wire() {
    let mut faults = Vec::new();
    for (name, dependencies) in dependencies()
        .iter()
        .filter(|(name, _)| CORE.contains(&name.as_str()))
    {
        let wrong = dependencies.iter().filter(|d| NOT_IN_CORE.contains(&d.as_str()));
        faults.extend(wrong.map(|d| format!("{name} depends on {d}")));
    }
    for (path, source) in files("rs") {
        if !CORE
            .iter()
            .any(|name| path.starts_with(&format!("crates/{name}/src/")))
        {
            continue;
        }
        for (at, line) in shipped(&path, &source) {
            let wrong = NOT_IN_CORE_SOURCE.iter().filter(|word| line.contains(*word));
            faults.extend(wrong.map(|word| format!("{path}:{at} names {word}")));
        }
    }
    none(&faults, "time, seed and bytes are handed in to the core");
}

#[test]
fn every_crate_keeps_the_same_lints_and_says_what_it_is() {
    let mut faults = Vec::new();
    for (name, _) in MAY_KNOW {
        let path = if *name == "xtask" {
            "xtask/Cargo.toml".to_string()
        } else {
            format!("crates/{name}/Cargo.toml")
        };
        let manifest = text(&path);
        for needed in [
            "\n[lints]\nworkspace = true\n",
            "\ndescription = \"",
            "\nlicense.workspace = true\n",
        ] {
            if !manifest.contains(needed) {
                faults.push(format!("{path} lacks {}", needed.trim()));
            }
        }
    }
    none(&faults, "crates share their settings");
}

#[test]
fn every_file_says_what_it_is_and_stays_short() {
    let mut faults = Vec::new();
    for (path, source) in files("rs") {
        if !source.starts_with("//!") {
            faults.push(format!(
                "{path} does not begin with //! and a sentence on what it is for"
            ));
        }
        let lines = source.lines().count();
        if lines > LONGEST {
            faults.push(format!(
                "{path} has {lines} lines; split it by what its parts are about (at most {LONGEST})"
            ));
        }
    }
    none(&faults, "a file is about one thing");
}

#[test]
fn nothing_is_left_for_later() {
    let later = [
        concat!("to", "do!("),
        concat!("unimpl", "emented!("),
        concat!("db", "g!("),
        concat!("#[ign", "ore"),
    ];
    let mut faults = Vec::new();
    for (path, source) in files("rs") {
        for (at, line) in source.lines().enumerate() {
            let wrong = later.iter().filter(|word| line.contains(*word));
            faults.extend(wrong.map(|word| format!("{path}:{}: {word}", at + 1)));
        }
    }
    none(&faults, "what is in the tree works and is tested");
}

/// A panic on a person's data loses their work. `expect` may state why something cannot fail; `unwrap` cannot.
#[test]
fn nothing_shipped_unwraps() {
    let mut faults = Vec::new();
    for (path, source) in files("rs").iter().filter(|(path, _)| path.contains("/src/")) {
        let wrong = shipped(path, source).filter(|(_, line)| line.contains(".unwrap()"));
        faults.extend(wrong.map(|(at, line)| format!("{path}:{at}: {}", line.trim())));
    }
    none(&faults, "bad input is a finding, never a panic");
}

#[test]
fn only_field_speaks_to_the_processor() {
    let words = [concat!("target_", "feature"), concat!("std::", "arch")];
    let mut faults = Vec::new();
    for (path, source) in files("rs")
        .iter()
        .filter(|(path, _)| !path.starts_with("crates/field/"))
    {
        for (at, line) in shipped(path, source) {
            faults.extend(
                words
                    .iter()
                    .filter(|w| line.contains(*w))
                    .map(|w| format!("{path}:{at}: {w}")),
            );
        }
    }
    none(&faults, "one crate to look at when a machine gives other bits");
}

/// Within a few lines above it, so that whoever changes the code sees the argument.
#[test]
fn what_the_compiler_cannot_check_is_argued() {
    let word = concat!("uns", "afe ");
    let mut faults = Vec::new();
    for (path, source) in files("rs") {
        let lines: Vec<&str> = source.lines().collect();
        for (at, line) in shipped(&path, &source).filter(|(_, line)| line.contains(word)) {
            let above = &lines[at.saturating_sub(8)..at];
            if !above
                .iter()
                .any(|line| line.contains("SAFETY:") || line.contains("# Safety"))
            {
                faults.push(format!("{path}:{at}: {}", line.trim()));
            }
        }
    }
    none(&faults, "a comment `SAFETY:` says why the code is sound");
}

#[test]
fn every_table_names_its_source() {
    let mut faults = Vec::new();
    for (path, table) in files("csv") {
        let head: Vec<&str> = table.lines().take_while(|line| line.starts_with('#')).collect();
        if head.concat().len() < 40 {
            faults.push(format!(
                "{path} does not begin with # lines on what it is and where it was published"
            ));
        }
    }
    none(&faults, "a number without its source cannot be checked");
}

/// An operation that is not in the list is not compiled, and nobody notices.
#[test]
fn every_operation_is_in_the_list() {
    let folder = root().join("crates/route/src/operations");
    let module = text("crates/route/src/operations/mod.rs");
    let list = module
        .split_once("operations![")
        .and_then(|(_, rest)| rest.split_once("];"));
    let (list, _) = list.expect("mod.rs holds the list `operations![...];`");
    let listed: BTreeSet<&str> = list
        .split(',')
        .map(str::trim)
        .filter(|name| !name.is_empty())
        .collect();
    let mut faults = Vec::new();
    let mut files = BTreeSet::new();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        if name == "mod" || path.is_dir() {
            continue;
        }
        let source = std::fs::read_to_string(&path).unwrap();
        let keys = [name.clone(), name.replace('_', "-")].map(|key| format!("    key: \"{key}\","));
        if !source.contains("pub static KIND: Kind") || !keys.iter().any(|key| source.contains(key)) {
            faults.push(format!(
                "{name}.rs has no `pub static KIND: Kind` with its own name as key"
            ));
        }
        files.insert(name);
    }
    let files: BTreeSet<&str> = files.iter().map(String::as_str).collect();
    faults.extend(
        files
            .difference(&listed)
            .map(|name| format!("{name}.rs is not in the list")),
    );
    faults.extend(
        listed
            .difference(&files)
            .map(|name| format!("{name} is listed but is no file")),
    );
    assert!(!files.is_empty());
    none(
        &faults,
        "one operation, one file, one line in the list (crates/route/src/operations/mod.rs)",
    );
}

/// Words in backticks that are paths from the root: no spaces, no placeholders, a slash or a known ending.
fn paths_in(page: &str) -> Vec<&str> {
    let endings = [".rs", ".toml", ".md", ".csv", ".py", ".svg"];
    let plain = |c: char| c.is_ascii_alphanumeric() || "_-./".contains(c);
    let is_path = |word: &&str| {
        !word.starts_with(['/', '-', '.'])
            && word.contains(|c: char| c.is_ascii_alphabetic())
            && word.chars().all(plain)
            && (word.contains('/') || endings.iter().any(|e| word.ends_with(e)))
    };
    page.split('`').skip(1).step_by(2).filter(is_path).collect()
}

#[test]
fn every_path_that_a_page_names_exists() {
    assert_eq!(
        paths_in("see `a/b.rs`, `x`, `c.md`, `cargo run`, `/floor` and `d/<key>.rs`"),
        ["a/b.rs", "c.md"]
    );
    let mut faults = Vec::new();
    for page in ["ARCHITECTURE.md", "CONTRIBUTING.md"] {
        let words = text(page);
        let paths = paths_in(&words);
        assert!(!paths.is_empty(), "{page} names no path in backticks");
        let gone = paths.into_iter().filter(|path| !root().join(path).exists());
        faults.extend(gone.map(|path| format!("{page} names {path}, which is not there")));
    }
    none(&faults, "a map that is wrong is worse than none");
}

#[test]
fn the_map_shows_every_crate() {
    let map = text("ARCHITECTURE.md");
    let missing = MAY_KNOW
        .iter()
        .filter(|(name, _)| !map.contains(&format!("`{name}")) && !map.contains(&format!("{name}/")));
    let missing: Vec<String> = missing.map(|(name, _)| name.to_string()).collect();
    none(&missing, "ARCHITECTURE.md does not show these crates");
}

#[test]
fn the_front_page_has_both_commands() {
    let page = text("README.md");
    for command in ["cargo run --release", "cargo xtask check"] {
        assert!(page.contains(command), "README.md does not say `{command}`");
    }
}

#[test]
fn the_changelog_knows_this_version() {
    let version = env!("CARGO_PKG_VERSION");
    assert!(
        text("CHANGELOG.md").contains(&format!("\n## {version}")),
        "CHANGELOG.md has no entry for {version}"
    );
}

/// Fails if a line of the recipe is left out when the folder or the list moves.
#[test]
fn the_recipe_for_an_operation_is_written_down() {
    let page = text("CONTRIBUTING.md");
    for piece in [
        "To add an operation",
        "`crates/route/src/operations/mod.rs`",
        "OPERATIONS",
    ] {
        assert!(page.contains(piece), "CONTRIBUTING.md does not say {piece}");
    }
}
