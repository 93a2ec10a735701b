//! Who stands behind a collection: its name, who designs it and where, written into its file.

use crate::edit::{document, put};
use crate::folder::COLLECTION;
use crate::orders::{Collection, collection};
use crate::write::save;
use crate::{NotDone, Source, Workspace};
use sha2::{Digest, Sha256};
use words::{Finding, Place, Weight, say};

/// What stands for a designer in a new folder, until somebody signs.
const NOBODY: &str = "?";
/// Longest of the three, letters: a head of a page has room for no more.
const LONGEST: usize = 80;

/// What is written, as typed.
#[derive(Clone, Copy, Debug)]
pub struct Signed<'a> {
    /// Name of the collection.
    pub name: &'a str,
    /// Who designs it.
    pub designer: &'a str,
    /// Where the designer works; may be empty.
    pub place: &'a str,
}

impl Collection {
    /// Has somebody signed it?
    pub fn is_signed(&self) -> bool {
        !["", NOBODY].contains(&self.designer.trim())
    }

    /// Who designs it, and where; empty if nobody has signed.
    pub fn by(&self) -> String {
        if !self.is_signed() {
            return String::new();
        }
        let by = [self.designer.trim(), self.place.trim()];
        by.into_iter()
            .filter(|s| !s.is_empty())
            .collect::<Vec<_>>()
            .join(", ")
    }
}

/// Writes it into the file of the collection, whose hash must be the one that was read; the rest of the file stays.
///
/// # Errors
/// [`NotDone::Findings`] if a name is missing or too long, or the file cannot be changed as it stands.
pub fn sign(workspace: &Workspace, signed_so: &Signed) -> Result<(), NotDone> {
    let old = workspace.source(COLLECTION);
    let text = signed(old.map_or("", |source| source.text.as_str()), signed_so).map_err(NotDone::Findings)?;
    save(
        &workspace.dir,
        COLLECTION,
        old.map(|source| source.hash),
        text.as_bytes(),
    )?;
    Ok(())
}

/// The text of the file with it.
///
/// # Errors
/// As [`sign`].
pub fn signed(text: &str, by: &Signed) -> Result<String, Vec<Finding>> {
    let refuse = |code, found| {
        let finding = Finding::new(code, Weight::Wrong, Place::Request, found);
        Err(vec![finding])
    };
    let [name, designer, place] = [by.name, by.designer, by.place].map(str::trim);
    if [name, designer].contains(&"") || designer == NOBODY {
        return refuse(
            "not-signed",
            say!(
                "the collection needs a name, and the name of whoever hands it over",
                "koleksi perlu nama, dan nama yang menyerahkannya"
            ),
        );
    }
    if [name, designer, place]
        .iter()
        .any(|s| s.chars().count() > LONGEST)
    {
        return refuse(
            "name-too-long",
            say!(
                "this name is too long for the head of a page",
                "nama ini terlalu panjang untuk kepala halaman"
            ),
        );
    }
    let mut file = document(text).map_err(|finding| vec![finding])?;
    let table = file.as_table_mut();
    put(table, "name", Some(name.into()));
    put(table, "designer", Some(designer.into()));
    if !place.is_empty() || table.contains_key("place") {
        put(table, "place", Some(place.into()));
    }
    let source = Source {
        path: COLLECTION.to_string(),
        text: file.to_string(),
        hash: Sha256::digest(file.to_string().as_bytes()).into(),
    };
    match collection(&source) {
        (Some(_), _) => Ok(source.text),
        (None, findings) => Err(findings),
    }
}

#[cfg(test)]
mod tests {
    use super::{Signed, signed};

    const FILE: &str = "# ours\nname = \"demo\"\ndesigner = \"?\" # who\nnote = \"Six cottons.\"\n";

    #[test]
    fn what_else_stands_in_the_file_stays() {
        let by = Signed {
            name: "Rain \"light\"",
            designer: " Ines ",
            place: "Porto",
        };
        let text = signed(FILE, &by).expect("it is signed");
        assert!(
            text.starts_with("# ours\nname = ") && text.contains("designer = \"Ines\" # who"),
            "{text}"
        );
        assert!(
            text.contains("note = \"Six cottons.\"") && text.contains("place = \"Porto\""),
            "{text}"
        );
        assert_eq!(signed(&text, &by).expect("again"), text);
    }

    #[test]
    fn nobody_signs_with_nothing() {
        let long = "x".repeat(81);
        for (name, designer) in [
            ("", "Ines"),
            ("Rain", " "),
            ("Rain", "?"),
            ("Rain", long.as_str()),
        ] {
            let by = Signed {
                name,
                designer,
                place: "",
            };
            assert!(signed(FILE, &by).is_err(), "{name} {designer}");
        }
        let by = Signed {
            name: "Rain",
            designer: "Ines",
            place: "",
        };
        assert!(signed("name = ", &by).is_err(), "no TOML");
    }
}
