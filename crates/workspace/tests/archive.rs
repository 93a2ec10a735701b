//! A workspace as one archive: what goes in comes out, and nothing gets out of the folder.

use std::fs;
use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use workspace::{Workspace, create, pack, unpack, zipped};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let dir = std::env::temp_dir().join(format!("lorod-archive-{name}-{}", std::process::id()));
        // Left by a killed run with the same id.
        let _ = fs::remove_dir_all(&dir);
        fs::create_dir_all(&dir).unwrap();
        Self(dir)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn text(dir: &Path, name: &str) -> String {
    fs::read_to_string(dir.join(name)).unwrap()
}

#[test]
fn what_goes_in_comes_out() {
    let scratch = Scratch::new("round");
    let (from, to) = (scratch.0.join("from"), scratch.0.join("to"));
    let files: [(&str, &[u8]); 4] = [
        ("collection.toml", b"name = \"Dawn\"\n"),
        ("designs/moon/moon.svg", b"<svg/>"),
        ("measured/strip.txt", b"1 2 3"),
        ("out/cloth.png", b"computed"),
    ];
    create(&from, &files).unwrap();
    fs::write(from.join(".hidden"), "x").unwrap();
    let workspace = Workspace::open(&from).unwrap();
    let archive = pack(&workspace).unwrap();
    assert_eq!(
        archive,
        pack(&workspace).unwrap(),
        "the same files give the same bytes"
    );
    assert_eq!(unpack(&archive, &to).unwrap(), 3);
    for (name, bytes) in &files[..3] {
        assert_eq!(text(&to, name).as_bytes(), *bytes);
    }
    assert!(!to.join("out").exists() && !to.join(".hidden").exists());
    // Never over what is there.
    assert!(unpack(&archive, &to).is_err());
    // As a person would zip the folder itself.
    let wrapped = zipped(&[("dawn/collection.toml".into(), b"name = \"Dawn\"\n".to_vec())]).unwrap();
    unpack(&wrapped, &scratch.0.join("wrapped")).unwrap();
    assert!(scratch.0.join("wrapped/collection.toml").is_file());
}

/// Names that lead out of the folder, links, and archives that unfold to far more than they weigh (CWE-22, CWE-59,
/// CWE-409).
#[test]
fn nothing_gets_out_and_nothing_is_left() {
    let scratch = Scratch::new("hostile");
    type Writer = ZipWriter<Cursor<Vec<u8>>>;
    let zip = |add: &dyn Fn(&mut Writer)| {
        let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
        let options = SimpleFileOptions::default();
        zip.start_file("collection.toml", options).unwrap();
        zip.write_all(b"name = \"x\"\n").unwrap();
        add(&mut zip);
        zip.finish().unwrap().into_inner()
    };
    let named = |name: &'static str| {
        zip(&move |zip| {
            zip.start_file(name, SimpleFileOptions::default()).unwrap();
            zip.write_all(b"got out").unwrap();
        })
    };
    let refused = |archive: &[u8], code: &str| {
        let to = scratch.0.join("to");
        let refusal = unpack(archive, &to).unwrap_err();
        assert_eq!(refusal.finding().code, code);
        assert!(!to.exists());
        assert_eq!(
            fs::read_dir(&scratch.0).unwrap().count(),
            0,
            "nothing is left beside it"
        );
    };
    for name in [
        "../out.toml",
        "/tmp/out.toml",
        "designs/../../out.toml",
        "a\\..\\b.toml",
        "C:/out.toml",
    ] {
        refused(&named(name), "archive-leads-outside");
    }
    let link = zip(&|zip| {
        zip.add_symlink("designs", "/etc", SimpleFileOptions::default())
            .unwrap()
    });
    refused(&link, "archive-leads-outside");
    refused(&named("Collection.toml"), "archive-name-twice");
    refused(b"PK no archive", "archive-unreadable");
    refused(
        &zipped(&[("readme.txt".into(), Vec::new())]).unwrap(),
        "archive-without-workspace",
    );
    let bomb = zip(&|zip| {
        zip.start_file("dyes/zeros.toml", SimpleFileOptions::default())
            .unwrap();
        for _ in 0..65 {
            zip.write_all(&vec![0; 1 << 20]).unwrap();
        }
    });
    assert!(bomb.len() < 1 << 20);
    refused(&bomb, "archive-too-large");
}
