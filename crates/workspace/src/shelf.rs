//! The life of the workshop's stamps, from `stamps.toml`:
//!
//! ```toml
//! refile_every = "400 m"       # of cloth; without it as assumed for any stamp
//!
//! [[copies]]
//! design = "sea-fan"
//! stamp = "fan"
//! copy = 1
//! shelf = "A3"
//! made = "2026-03-02"          # a day that lies ahead: ordered, and comes then
//!
//! # What was done: stamped, refiled, proofed or retired.
//! [[deeds]]
//! date = "2026-06-04"
//! design = "sea-fan"
//! stamp = "fan"
//! copy = 1
//! did = "stamped"
//! bolts = 9                    # whole bolts that this copy stamped
//!
//! [[deeds]]
//! date = "2026-06-09"
//! design = "sea-fan"
//! stamp = "fan"
//! copy = 1
//! did = "proofed"
//! off_level = "0.2 mm"         # widest gap under a straight edge laid over the face
//! ```

use crate::Source;
use crate::read::{Sheet, Table, parse};
use sky::Date;
use std::collections::BTreeSet;
use std::ops::Range;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table as Written, value};
use units::{Length, Measure};
use words::{Arg, Finding, Known, Place, Term, Text, Weight, say};

/// One copy of a stamp.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CopyId {
    /// Id of the design.
    pub design: String,
    /// Id of the stamp inside the design.
    pub stamp: String,
    /// Which copy, from 1.
    pub copy: u32,
}

/// A copy and where it hangs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StampCopy {
    /// Which.
    pub id: CopyId,
    /// Its place on the shelf; may be empty.
    pub shelf: String,
    /// When it came from its maker; a day that lies ahead: when it will come.
    pub made: Option<Date>,
    /// Where it stands in the file.
    pub span: Range<usize>,
}

/// What was done to a copy, or with it.
#[derive(Clone, Debug, PartialEq)]
pub enum Did {
    /// It stamped whole bolts.
    Stamped(u32),
    /// It was filed level.
    Refiled,
    /// A proof was printed; how far the face was off level, if that was measured.
    Proofed(Option<Length>),
    /// It is used no more.
    Retired,
}

/// Something done on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Deed {
    /// When.
    pub date: Date,
    /// To which copy.
    pub id: CopyId,
    /// What.
    pub did: Did,
}

/// All copies, and what was done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shelf {
    /// The copies, as they stand in the file.
    pub copies: Vec<StampCopy>,
    /// What was done, by day.
    pub deeds: Vec<Deed>,
    /// Cloth after which the workshop refiles; none: as assumed.
    pub refile_every: Option<Known>,
}

/// What hangs there of one stamp on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hanging {
    /// The file names no copy of it.
    Untold,
    /// So many copies can be used.
    Copies(u32),
    /// None can; the next comes on this day.
    Coming(Date),
    /// None can, and none is on its way: the last was retired on this day.
    Retired(Date),
}

/// Most bolts in one line, and most copies of one stamp.
const MOST: u32 = 10_000;

const fn term(key: &'static str, text: Text, gloss: Text) -> Term {
    Term { key, text, gloss }
}

/// What can be done to a stamp, by its word in the file.
pub static DEEDS: [Term; 4] = [
    term(
        "stamped",
        Text::new("stamped", "mengecap"),
        Text::new("It stamped whole bolts.", "Sudah mengecap gulung utuh."),
    ),
    term(
        "refiled",
        Text::new("refiled", "dikikir ulang"),
        Text::new("It was filed level.", "Sudah dikikir rata."),
    ),
    term(
        "proofed",
        Text::new("proof printed", "cetak coba"),
        Text::new("A proof was printed and looked at.", "Cetak coba sudah dilihat."),
    ),
    term(
        "retired",
        Text::new("retired", "tidak dipakai lagi"),
        Text::new("It is used no more.", "Tidak dipakai lagi."),
    ),
];

const COPY: [&str; 5] = ["design", "stamp", "copy", "shelf", "made"];
const DEED: [&str; 7] = ["date", "design", "stamp", "copy", "did", "bolts", "off_level"];

impl Shelf {
    /// How many copies of a stamp may be used; none if the file names no copy of it.
    pub fn in_use(&self, design: &str, stamp: &str) -> Option<u32> {
        let own = |id: &CopyId| id.design == design && id.stamp == stamp;
        let all: Vec<&StampCopy> = self.copies.iter().filter(|c| own(&c.id)).collect();
        let retired = |id: &CopyId| self.of(id).any(|deed| deed.did == Did::Retired);
        let left = all.iter().filter(|c| !retired(&c.id)).count();
        (!all.is_empty()).then_some(left as u32)
    }
    /// What hangs there of a stamp on a day. A copy whose day of making lies ahead is on its way.
    pub fn hanging(&self, design: &str, stamp: &str, day: Date) -> Hanging {
        let own = |id: &CopyId| id.design == design && id.stamp == stamp;
        let left = |id: &CopyId| self.of(id).all(|deed| deed.did != Did::Retired);
        let in_use = || self.copies.iter().filter(|c| own(&c.id) && left(&c.id));
        let there = in_use().filter(|c| c.made.is_none_or(|made| made <= day)).count();
        let next = in_use().filter_map(|c| c.made).min();
        let retired = self.deeds.iter().filter(|d| own(&d.id) && d.did == Did::Retired);
        match (there, next, retired.map(|d| d.date).max()) {
            (0, Some(next), _) => Hanging::Coming(next),
            (0, None, Some(retired)) => Hanging::Retired(retired),
            (0, None, None) => Hanging::Untold,
            _ => Hanging::Copies(there as u32),
        }
    }
    /// What was done to one copy, by day.
    pub fn of<'s>(&'s self, id: &CopyId) -> impl Iterator<Item = &'s Deed> + use<'s> {
        let id = id.clone();
        self.deeds.iter().filter(move |deed| deed.id == id)
    }
}

/// Reads the file; a wrong line is left out and said.
pub(crate) fn read(source: &Source) -> (Shelf, Vec<Finding>) {
    let sheet = Sheet::new(&source.path);
    let mut shelf = Shelf::default();
    if let Some(document) = parse(source, &sheet) {
        let table = Table::document(&sheet, &document, &["refile_every", "copies", "deeds"]);
        if table.maybe("refile_every").is_some() {
            let metres = table.within("refile_every", Measure::Length, 1.0, 1e6);
            shelf.refile_every = metres.map(Known::yours);
        }
        let mut known = BTreeSet::new();
        for entry in table.tables("copies", &COPY) {
            let Some(copy) = copy(&entry) else { continue };
            if known.insert(copy.id.clone()) {
                shelf.copies.push(copy);
            } else {
                let found = say!(
                    "{id} stands on the shelf twice",
                    "{id} dua kali di rak",
                    id = Arg::Name(name(&copy.id))
                );
                sheet.add(Finding::new(
                    "copy-twice",
                    Weight::Wrong,
                    entry.place_of("copy"),
                    found,
                ));
            }
        }
        for entry in table.tables("deeds", &DEED) {
            let Some(deed) = deed(&entry) else { continue };
            if known.contains(&deed.id) {
                shelf.deeds.push(deed);
            } else {
                let found = say!(
                    "{id} is no copy on the shelf",
                    "{id} tidak ada di rak",
                    id = Arg::Name(name(&deed.id))
                );
                sheet.add(
                    Finding::new("no-such-copy", Weight::Wrong, entry.place_of("copy"), found).remedy(say!(
                        "add it under {section}",
                        "tambahkan di {section}",
                        section = Arg::Name("[[copies]]".into())
                    )),
                );
            }
        }
        shelf.deeds.sort_by_key(|deed| deed.date);
    }
    (shelf, sheet.into_findings())
}

/// A copy as people write it: `sea-fan/fan/1`.
pub fn name(id: &CopyId) -> String {
    format!("{}/{}/{}", id.design, id.stamp, id.copy)
}

fn id(entry: &Table) -> Option<CopyId> {
    let (design, stamp) = (entry.text("design"), entry.text("stamp"));
    let copy = entry.item("copy").and_then(|i| i.whole(1, MOST));
    Some(CopyId {
        design: design?,
        stamp: stamp?,
        copy: copy?,
    })
}

fn copy(entry: &Table) -> Option<StampCopy> {
    let id = id(entry);
    let shelf = entry.text_or_empty("shelf");
    let made = entry.maybe("made").map_or(Some(None), |i| i.date().map(Some));
    Some(StampCopy {
        id: id?,
        shelf: shelf?,
        made: made?,
        span: entry.span(),
    })
}

fn deed(entry: &Table) -> Option<Deed> {
    let (date, id) = (entry.date("date"), id(entry));
    let terms: Vec<&'static Term> = DEEDS.iter().collect();
    let did = entry.item("did").and_then(|i| i.choice(&terms))?;
    // A key that says nothing here is a slip of the pen.
    let astray = [("bolts", "stamped"), ("off_level", "proofed")];
    for (key, with) in astray.into_iter().filter(|(_, with)| *with != did) {
        if entry.maybe(key).is_some() {
            let found = say!(
                "{key} goes with {with}, not with {did}",
                "{key} hanya untuk {with}, bukan {did}",
                key = Arg::Name(key.into()),
                with = Arg::Name(with.into()),
                did = Arg::Name(did.into())
            );
            entry.sheet().add(Finding::new(
                "deed-not-clear",
                Weight::Wrong,
                entry.place_of(key),
                found,
            ));
            return None;
        }
    }
    let did = match did {
        "stamped" => Did::Stamped(entry.item("bolts")?.whole(1, MOST)?),
        "refiled" => Did::Refiled,
        "proofed" if entry.maybe("off_level").is_none() => Did::Proofed(None),
        "proofed" => Did::Proofed(Some(Length(entry.within(
            "off_level",
            Measure::Length,
            0.0,
            0.05,
        )?))),
        _ => Did::Retired,
    };
    Some(Deed {
        date: date?,
        id: id?,
        did,
    })
}

/// What is written into the file.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// A copy that came.
    Copy(StampCopy),
    /// Something that was done.
    Deed(Deed),
}

/// The text of the file with one more entry; what stands there keeps its bytes.
///
/// ```
/// use workspace::{CopyId, Deed, Did, ShelfEntry, shelved};
/// let fan = CopyId { design: "sea-fan".into(), stamp: "fan".into(), copy: 1 };
/// let date = sky::Date::parse("2026-06-04").unwrap();
/// let text = shelved("# Ours.\n", &ShelfEntry::Deed(Deed { date, id: fan, did: Did::Stamped(9) })).unwrap();
/// assert_eq!(
///     text,
///     "# Ours.\n[[deeds]]\ndate = \"2026-06-04\"\ndesign = \"sea-fan\"\nstamp = \"fan\"\ncopy = 1\ndid = \"stamped\"\nbolts = 9\n"
/// );
/// ```
///
/// # Errors
/// If the text is no TOML, or something else stands where the entries go.
// A finding is a whole answer to a person, made once.
#[allow(clippy::result_large_err)]
pub fn shelved(text: &str, entry: &Entry) -> Result<String, Finding> {
    let refused = |what: &str| {
        Finding::new(
            "not-written",
            Weight::Wrong,
            Place::Request,
            say!(
                "{file} cannot be written: {what}",
                "{file} tidak dapat ditulis: {what}",
                file = Arg::Name(crate::STAMPS.into()),
                what = Arg::Name(what.to_string())
            ),
        )
    };
    let mut document: DocumentMut = text
        .parse()
        .map_err(|e: toml_edit::TomlError| refused(e.message()))?;
    let mut table = Written::new();
    let put_id = |table: &mut Written, id: &CopyId| {
        table.insert("design", value(id.design.as_str()));
        table.insert("stamp", value(id.stamp.as_str()));
        table.insert("copy", value(i64::from(id.copy)));
    };
    let list = match entry {
        Entry::Copy(copy) => {
            put_id(&mut table, &copy.id);
            if !copy.shelf.is_empty() {
                table.insert("shelf", value(copy.shelf.as_str()));
            }
            if let Some(made) = copy.made {
                table.insert("made", value(made.to_string()));
            }
            "copies"
        }
        Entry::Deed(deed) => {
            table.insert("date", value(deed.date.to_string()));
            put_id(&mut table, &deed.id);
            let did = match deed.did {
                Did::Stamped(_) => "stamped",
                Did::Refiled => "refiled",
                Did::Proofed(_) => "proofed",
                Did::Retired => "retired",
            };
            table.insert("did", value(did));
            if let Did::Stamped(bolts) = deed.did {
                table.insert("bolts", value(i64::from(bolts)));
            }
            if let Did::Proofed(Some(off)) = deed.did {
                table.insert("off_level", value(format!("{:.2} mm", off.to_mm())));
            }
            "deeds"
        }
    };
    if document.is_empty() {
        // What the file says before its first entry stays above it.
        let above = document.trailing().clone();
        document.set_trailing("");
        table.decor_mut().set_prefix(above);
    }
    let all = document
        .entry(list)
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
        .ok_or_else(|| refused(list))?;
    all.push(table);
    Ok(document.to_string())
}
