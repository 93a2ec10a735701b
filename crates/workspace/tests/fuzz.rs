//! Whatever stands in the files: a workspace or a finding, never a panic, and every place lies inside its file.

mod common;

use common::Folder;
use proptest::prelude::*;
use std::sync::OnceLock;
use words::{Language, Place, Voice, Weight};
use workspace::Workspace;

const FILES: [&str; 7] = [
    "collection.toml",
    "workshop.toml",
    "orders.toml",
    "dyes/scarlet-vs.toml",
    "designs/sea-fan/design.toml",
    "designs/rain-gutter/design.toml",
    "designs/kite-tail/kite-tail.svg",
];

/// One folder for all cases of a test; a case writes one file and puts it back.
struct Bench {
    folder: Folder,
    first: Workspace,
}

impl Bench {
    fn new() -> Self {
        let folder = Folder::small();
        let first = folder.open();
        assert!(!first.wrong());
        Self { folder, first }
    }

    /// Reads the folder with one file replaced, and looks at every finding in both languages.
    fn read(&self, name: &str, bytes: &[u8]) -> Workspace {
        let before = std::fs::read(self.folder.path(name)).unwrap();
        self.folder.write(name, bytes);
        let read = self.first.again();
        self.folder.write(name, before);
        let workspace = read.unwrap();
        for finding in workspace.findings.iter().chain(&workspace.examine_all()) {
            for language in [Language::En, Language::Id] {
                let voice = Voice {
                    language,
                    ..Voice::default()
                };
                assert!(!workspace.show(finding, voice).is_empty());
            }
            if let Place::File { path, span } = &finding.place
                && let Some(source) = workspace.source(path)
            {
                assert!(
                    span.start <= span.end && span.end <= source.text.len(),
                    "{finding:?}"
                );
                assert!(source.text.is_char_boundary(span.start), "{finding:?}");
            }
        }
        for file in &workspace.designs {
            let wrong = file.findings.iter().any(|f| f.weight == Weight::Wrong);
            assert!(
                file.design.is_some() || wrong || twice(&workspace, file.id.as_deref()),
                "{}",
                file.path
            );
            assert!(file.design.is_none() || !wrong, "{}", file.path);
        }
        workspace
    }
}

fn twice(workspace: &Workspace, id: Option<&str>) -> bool {
    workspace.designs.iter().filter(|d| d.id.as_deref() == id).count() > 1
}

fn bench() -> std::sync::MutexGuard<'static, Bench> {
    static BENCH: OnceLock<std::sync::Mutex<Bench>> = OnceLock::new();
    let lock = BENCH.get_or_init(|| std::sync::Mutex::new(Bench::new())).lock();
    lock.unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Pieces that readers look for, so that random files get past the syntax.
const PIECES: [&str; 26] = [
    "[[steps]]\n",
    "id = \"a\"\n",
    "do = \"wax\"\n",
    "do = \"sponge\"\n",
    "stamp = \"fan\"\n",
    "dyes = [",
    "{ dye = \"scarlet-vs\", depth = \"9 g/L\" }",
    "]\n",
    "[cloth]\n",
    "width = \"1e308 m\"\n",
    "length = \"-1 m\"\n",
    "[[stamps]]\n",
    "file = \"x.svg\"\n",
    "time = \"NaN min\"\n",
    "= ",
    "\"",
    "\n",
    "[calendars.sun]\n",
    "least_elevation = \"1 deg\"\n",
    "[[orders]]\n",
    "bolts = 99999999999\n",
    "due = 2026-01-01\n",
    "[constants]\n",
    "wax.creep = { value = \"0\", yours = true }\n",
    "\u{1F41F}",
    "[a.b.c]\n",
];

/// Each case reads a folder: fewer of them unless PROPTEST_CASES asks for more.
fn config() -> ProptestConfig {
    let asked = std::env::var_os("PROPTEST_CASES").is_some();
    let usual = ProptestConfig::default();
    ProptestConfig {
        cases: if asked { usual.cases } else { 64 },
        ..usual
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn any_bytes(file in 0..FILES.len(), bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        bench().read(FILES[file], &bytes);
    }

    #[test]
    fn any_pieces(file in 0..6usize, picks in proptest::collection::vec(0..PIECES.len(), 0..40)) {
        let text: String = picks.iter().map(|p| PIECES[*p]).collect();
        bench().read(FILES[file], text.as_bytes());
    }

    /// A right file with a stretch cut out, doubled or replaced.
    #[test]
    fn slips_of_the_hand(
        file in 0..6usize,
        at in 0.0..1.0f64,
        length in 0usize..60,
        what in 0..4,
        piece in 0..PIECES.len(),
        mut digit in any::<u8>(),
    ) {
        let bench = bench();
        let name = FILES[file];
        let text = std::fs::read(bench.folder.path(name)).unwrap();
        let start = (at * text.len() as f64) as usize;
        let end = (start + length).min(text.len());
        let (head, cut, tail) = (&text[..start], &text[start..end], &text[end..]);
        digit = b'0' + digit % 10;
        let mutated = match what {
            0 => [head, tail].concat(),
            1 => [head, cut, cut, tail].concat(),
            2 => [head, PIECES[piece].as_bytes(), tail].concat(),
            _ => text.iter().enumerate().map(|(i, b)| if i >= start && i < end && b.is_ascii_digit() { digit } else { *b }).collect(),
        };
        bench.read(name, &mutated);
    }
}

#[test]
fn deep_nesting_is_a_finding() {
    let bench = bench();
    for name in &FILES[..6] {
        let deep = format!("id = {}", "[".repeat(200_000));
        assert!(bench.read(name, deep.as_bytes()).wrong(), "{name}");
        let deep = format!("id = {}1{}", "{a=".repeat(5_000), "}".repeat(5_000));
        assert!(bench.read(name, deep.as_bytes()).wrong(), "{name}");
        let deep = format!("{}a = 1", "a.".repeat(20_000));
        assert!(bench.read(name, deep.as_bytes()).wrong(), "{name}");
    }
}

#[test]
fn a_very_long_file_is_a_finding() {
    let workspace = bench().read("orders.toml", "# x\n".repeat(1 << 20).as_bytes());
    assert!(workspace.findings.iter().any(|f| f.code == "file-too-long"));
}
