//! The stamps of a design: drawings beside its file, put to size.

mod drawn;
mod together;

pub use together::BORDERS;

use crate::Source;
use crate::folder::take;
use crate::read::{Item, Table};
use route::StampUse;
use sha2::{Digest, Sha256};
use stamp::{Artwork, LEAST_MM, Layout, Limits, MOST_BYTES, MOST_MM, Reading, Register, Stamp, Visible};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex};
use units::Measure;
use words::{Arg, Finding, Place, Term, Text, say};

const KEYS: [&str; 10] = [
    "id",
    "file",
    "width",
    "height",
    "layout",
    "wax_below",
    "border",
    "inset",
    "corner",
    "register",
];

/// Stamps that were made already, by their key, with what was said about the drawing, and what was said about them as
/// stamps: both take longer than reading all files.
#[derive(Default)]
pub(crate) struct StampStore {
    made: Mutex<BTreeMap<[u8; 32], Made>>,
    judged: Mutex<Vec<Judged>>,
    fresh: drawn::Fresh,
}

/// What there is to say about a stamp under a maker's limits, on cloth of a width; of a set, for a hand that needs a
/// room.
struct Judged {
    key: [u8; 32],
    width_mm: f64,
    limits: Limits,
    findings: Vec<Finding>,
}

/// Judgements kept; a collection has some dozens of stamps.
const MOST_JUDGED: usize = 256;

#[derive(Clone)]
struct Made {
    stamp: Arc<Stamp>,
    notes: Vec<Finding>,
}

impl StampStore {
    fn get(&self, key: &[u8; 32]) -> Option<Made> {
        self.made.lock().ok()?.get(key).cloned()
    }
    fn put(&self, key: [u8; 32], made: Made) {
        if let Ok(mut all) = self.made.lock() {
            all.insert(key, made);
        }
    }

    /// Are there drawings that the next start would read anew?
    pub fn is_kept(&self) -> bool {
        self.fresh.is_empty()
    }
    /// Keeps drawings that were read for the next start.
    pub fn keep(&self, dir: &Path) {
        self.fresh.keep(dir);
    }

    /// What there is to say about a stamp; worked out once.
    pub fn judge(&self, used: &StampUse, limits: &Limits, width_mm: f64) -> Vec<Finding> {
        let report = || used.stamp.report(limits, width_mm).findings();
        self.judged(used.key, width_mm, limits, report)
    }

    /// What there is to say about a fill in register with its outlines, if the hand needs `least_mm` of room; worked
    /// out once.
    pub fn judge_set(&self, outline: &StampUse, fill: &StampUse, least_mm: f64) -> Vec<Finding> {
        let mut both = Sha256::new();
        for key in [outline.key, fill.key] {
            both.update(key);
        }
        both.update(format!("{:?}", fill.layout));
        let set =
            || Register::of(&outline.stamp, &fill.stamp, fill.layout).findings(least_mm, &Visible::default());
        self.judged(both.finalize().into(), least_mm, &Limits::default(), set)
    }

    fn judged(
        &self,
        key: [u8; 32],
        width_mm: f64,
        limits: &Limits,
        findings: impl FnOnce() -> Vec<Finding>,
    ) -> Vec<Finding> {
        let same = |j: &&Judged| j.key == key && j.width_mm == width_mm && j.limits == *limits;
        let known = self
            .judged
            .lock()
            .ok()
            .and_then(|all| all.iter().find(same).map(|j| j.findings.clone()));
        known.unwrap_or_else(|| {
            let findings = findings();
            if let Ok(mut all) = self.judged.lock() {
                if all.len() >= MOST_JUDGED {
                    all.remove(0);
                }
                all.push(Judged {
                    key,
                    width_mm,
                    limits: limits.clone(),
                    findings: findings.clone(),
                });
            }
            findings
        })
    }
}

/// A stamp that the design names; `used` is `None` if it cannot be made.
pub(super) struct Named {
    pub id: String,
    pub used: Option<StampUse>,
}

/// Drawings read for one design.
pub(super) struct Drawings<'a> {
    dir: &'a Path,
    folder: &'a str,
    store: &'a StampStore,
    pub sources: Vec<Source>,
    pub findings: Vec<Finding>,
}

impl<'a> Drawings<'a> {
    pub fn new(dir: &'a Path, design: &'a str, store: &'a StampStore) -> Self {
        let folder = design.rsplit_once('/').map_or("", |(folder, _)| folder);
        Self {
            dir,
            folder,
            store,
            sources: Vec::new(),
            findings: Vec::new(),
        }
    }
}

/// The stamps under `[[stamps]]`.
pub(super) fn read(design: &Table, drawings: &mut Drawings) -> Vec<Named> {
    let entries = design.tables("stamps", &KEYS);
    let mut all: Vec<Named> = Vec::new();
    for entry in &entries {
        let id = entry.item("id").and_then(|item| {
            item.kebab();
            let id = item.text()?;
            if all.iter().any(|named| named.id == id) {
                item.add(item.wrong(
                    "stamp-twice",
                    say!(
                        "there are two stamps {id}",
                        "ada dua cap {id}",
                        id = Arg::Name(id.to_string())
                    ),
                ));
                return None;
            }
            Some(id.to_string())
        });
        let used = stamp(entry, id.as_deref().unwrap_or_default(), drawings);
        if let Some(id) = id {
            all.push(Named { id, used });
        }
    }
    together::join(&entries, &mut all);
    all
}

fn stamp(entry: &Table, id: &str, drawings: &mut Drawings) -> Option<StampUse> {
    let size = |key| {
        entry
            .within(key, Measure::Length, LEAST_MM / 1e3, MOST_MM / 1e3)
            .map(|m| m * 1e3)
    };
    let width = size("width");
    let height = entry
        .maybe("height")
        .map_or(Some(None), |_| size("height").map(Some));
    let layout = entry.maybe("layout").map_or(Some(Layout::default()), layout);
    let border = together::border(entry);
    let wax_below = entry.maybe("wax_below").map_or(Some(None), |_| {
        entry.number_within("wax_below", 1.0, 100.0, 0).map(Some)
    });
    let file = entry.item("file").and_then(file_name);
    let path = format!("{}/{}", drawings.folder, file?);
    let source = take(drawings.dir, &path, MOST_BYTES as u64, &mut drawings.findings)?;
    let (width, height, layout, wax_below, border) = (width?, height?, layout?, wax_below?, border?);

    let mut key = Sha256::new();
    key.update(source.hash);
    for number in [Some(width), height, wax_below] {
        key.update(number.map_or([0xff; 8], f64::to_le_bytes));
    }
    let key: [u8; 32] = key.finalize().into();
    let made = match drawings.store.get(&key) {
        Some(made) => Some(made),
        None => make(&source, entry, width, height, wax_below, drawings),
    };
    if !drawings.sources.contains(&source) {
        drawings.sources.push(source);
    }
    let made = made?;
    drawings
        .findings
        .extend(made.notes.iter().cloned().map(|note| at_path(note, &path)));
    let stamp = made.stamp.clone();
    drawings.store.put(key, made);
    Some(StampUse {
        id: id.to_string(),
        stamp,
        layout,
        border,
        register: None,
        key,
    })
}

fn make(
    source: &Source,
    entry: &Table,
    width: f64,
    height: Option<f64>,
    wax_below: Option<f64>,
    drawings: &mut Drawings,
) -> Option<Made> {
    let key = drawn::key(source, wax_below);
    let kept = drawn::find(drawings.dir, &key, &source.path);
    let is_kept = kept.is_some();
    let read = || Artwork::read_as(&source.text, &source.path, &Reading { wax_below });
    let artwork = match kept.map_or_else(read, Ok) {
        Ok(artwork) => artwork,
        Err(all) => {
            drawings.findings.extend(all);
            return None;
        }
    };
    let made = Stamp::new(&artwork, width, height);
    let notes = artwork.notes().to_vec();
    if !is_kept {
        drawings.store.fresh.add(key, artwork);
    }
    match made {
        Ok(stamp) => Some(Made {
            stamp: Arc::new(stamp),
            notes,
        }),
        Err(all) => {
            // What is said about the size points at the size in the design.
            drawings
                .findings
                .extend(all.into_iter().map(|finding| match finding.place {
                    Place::Request => Finding {
                        place: entry.place_of("width"),
                        ..finding
                    },
                    _ => finding,
                }));
            None
        }
    }
}

/// A stamp made once may be used by two files with the same drawing.
fn at_path(finding: Finding, path: &str) -> Finding {
    match &finding.place {
        Place::File { span, .. } => {
            let place = Place::File {
                path: path.to_string(),
                span: span.clone(),
            };
            Finding { place, ..finding }
        }
        _ => finding,
    }
}

/// The name of a file in the design's own folder.
fn file_name<'a>(item: Item<'a>) -> Option<&'a str> {
    let name = item.text()?;
    let plain = !name.contains(['/', '\\', ':', '\0']) && !name.starts_with('.') && name.len() <= 200;
    if plain {
        return Some(name);
    }
    item.add(
        item.wrong(
            "drawing-outside",
            say!(
                "\"{name}\" is not a file in the design's own folder",
                "\"{name}\" bukan berkas di folder desain ini",
                name = Arg::Name(name.chars().take(80).collect())
            ),
        )
        .remedy(say!(
            "copy the drawing beside the design and write its name only",
            "salin gambar ke samping berkas desain dan tulis namanya saja"
        )),
    );
    None
}

/// The layouts as words in files.
pub static LAYOUTS: [(Term, Layout); 5] = [
    (
        Term {
            key: "straight",
            text: Text::new("straight", "lurus"),
            gloss: Text::new(
                "Side by side and one below the other.",
                "Berdampingan dan bersusun.",
            ),
        },
        Layout::Straight,
    ),
    (
        Term {
            key: "half-drop",
            text: Text::new("half-drop", "turun setengah"),
            gloss: Text::new(
                "Every second column stands half a repeat higher.",
                "Tiap lajur kedua naik setengah ulangan.",
            ),
        },
        Layout::HalfDrop,
    ),
    (
        Term {
            key: "brick",
            text: Text::new("brick", "susun bata"),
            gloss: Text::new(
                "Every second row stands half a repeat to the left.",
                "Tiap baris kedua bergeser setengah ulangan ke kiri.",
            ),
        },
        Layout::Brick,
    ),
    (
        Term {
            key: "mirror",
            text: Text::new("mirror", "cermin"),
            gloss: Text::new(
                "Every second column is its neighbour's mirror image: a pair of stamps.",
                "Tiap lajur kedua bayangan cermin tetangganya: sepasang cap.",
            ),
        },
        Layout::Mirror,
    ),
    (
        Term {
            key: "rotated-pair",
            text: Text::new("rotated pair", "pasangan putar"),
            gloss: Text::new(
                "In every second column the stamp is turned by half a turn.",
                "Di tiap lajur kedua cap diputar setengah putaran.",
            ),
        },
        Layout::Rotated,
    ),
];

fn layout(item: Item) -> Option<Layout> {
    let terms: Vec<&'static Term> = LAYOUTS.iter().map(|(term, _)| term).collect();
    let key = item.choice(&terms)?;
    LAYOUTS
        .iter()
        .find(|(term, _)| term.key == key)
        .map(|(_, layout)| *layout)
}
