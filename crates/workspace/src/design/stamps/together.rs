//! Stamps that belong together: a border and its corner, outlines and the stamp that fills them in register.

use super::Named;
use crate::read::{Item, Table, remedy_for};
use route::{BorderUse, StampUse};
use stamp::Along;
use units::{Length, Measure};
use words::{Arg, Term, Text, say};

/// Sizes that differ by less are the same, mm: a tenth of what a file says.
const SAME_MM: f64 = 0.05;

/// The edges that a border runs along, as words in files.
pub static BORDERS: [(Term, Along); 3] = [
    (
        Term {
            key: "ends",
            text: Text::new("across both ends", "melintang di kedua ujung"),
            gloss: Text::new(
                "From selvedge to selvedge at both ends of the piece.",
                "Dari tepi ke tepi kain di kedua ujung.",
            ),
        },
        Along::Ends,
    ),
    (
        Term {
            key: "selvedges",
            text: Text::new("along both selvedges", "sepanjang kedua tepi kain"),
            gloss: Text::new(
                "From end to end along both selvedges.",
                "Dari ujung ke ujung sepanjang kedua tepi kain.",
            ),
        },
        Along::Selvedges,
    ),
    (
        Term {
            key: "frame",
            text: Text::new("all around", "keliling"),
            gloss: Text::new(
                "All around, with a corner stamp that is turned by a quarter at every corner.",
                "Keliling, dengan cap sudut yang diputar seperempat di tiap sudut.",
            ),
        },
        Along::Frame,
    ),
];

/// What an entry says about being a border; `None` if it says it wrongly. Its corner is found later.
pub(super) fn border(entry: &Table) -> Option<Option<BorderUse>> {
    let Some(item) = entry.maybe("border") else {
        for key in ["inset", "corner"] {
            if let Some(item) = entry.maybe(key) {
                let found = say!(
                    "{key} is said, but the stamp is no border",
                    "{key} disebut, tetapi cap ini bukan cap pinggir",
                    key = Arg::Name(key.to_string())
                );
                let to_do = say!(
                    "say border = \"frame\", or leave it out",
                    "tulis border = \"frame\", atau hapus"
                );
                item.add(item.wrong("border-not-said", found).remedy(to_do));
                return None;
            }
        }
        return Some(None);
    };
    if let Some(layout) = entry.maybe("layout") {
        let found = say!(
            "a border runs along the edges and has no layout",
            "cap pinggir berjalan di tepi dan tidak punya susunan"
        );
        let to_do = say!("leave out layout or border", "hapus layout atau border");
        layout.add(layout.wrong("border-with-layout", found).remedy(to_do));
        return None;
    }
    let terms: Vec<&'static Term> = BORDERS.iter().map(|(term, _)| term).collect();
    let key = item.choice(&terms)?;
    let along = BORDERS.iter().find(|(term, _)| term.key == key)?.1;
    let inset = entry
        .maybe("inset")
        .map_or(Some(0.0), |_| entry.within("inset", Measure::Length, 0.0, 1.0))?;
    if (along == Along::Frame) != entry.maybe("corner").is_some() {
        let found = if along == Along::Frame {
            say!(
                "a border all around turns at corners, and no corner stamp is named",
                "pinggiran keliling berbelok di sudut, tetapi cap sudut belum disebut"
            )
        } else {
            say!(
                "only a border all around has corners",
                "hanya pinggiran keliling yang punya sudut"
            )
        };
        let to_do = say!(
            "name a stamp as high and as wide as the band: corner = \"id\"",
            "sebut cap setinggi dan selebar pinggiran: corner = \"id\""
        );
        item.add(item.wrong("border-corner", found).remedy(to_do));
        return None;
    }
    Some(Some(BorderUse {
        along,
        inset: Length(inset),
        corner: None,
    }))
}

/// Finds the corner of every border, and the outlines of every fill, among the design's stamps. A stamp whose fellow
/// cannot be used cannot be used either.
pub(super) fn join(entries: &[Table], all: &mut [Named]) {
    for entry in entries {
        let id = entry.maybe("id").and_then(|item| item.text().map(str::to_string));
        let Some(at) = id.and_then(|id| all.iter().position(|named| named.id == id)) else {
            continue;
        };
        let Some(mut used) = all[at].used.clone() else {
            continue;
        };
        let mut fits = true;
        if let (Some(item), Some(border)) = (entry.maybe("corner"), used.border.as_mut()) {
            let band = used.stamp.repeat_mm()[1];
            border.corner = fellow(&item, &used.id, all)
                .filter(|corner| is_size(&item, corner, [band, band]))
                .map(|corner| (corner.id.clone(), corner.stamp.clone(), corner.key));
            fits &= border.corner.is_some();
        }
        if let Some(item) = entry.maybe("register") {
            let outline = fellow(&item, &used.id, all).filter(|outline| {
                is_size(&item, outline, used.stamp.repeat_mm()) && is_laid_alike(&item, outline, &used)
            });
            used.register = outline.map(|outline| outline.id.clone());
            fits &= used.register.is_some();
        }
        all[at].used = fits.then_some(used);
    }
}

/// The other stamp of the design that an item names.
fn fellow<'n>(item: &Item, own: &str, all: &'n [Named]) -> Option<&'n StampUse> {
    let id = item.text()?;
    let found = all.iter().find(|named| named.id == id && named.id != own);
    if found.is_none() {
        let mut finding = item.wrong(
            "stamp-not-known",
            say!(
                "there is no other stamp {id} in this design",
                "tidak ada cap lain {id} di desain ini",
                id = Arg::Name(id.chars().take(60).collect())
            ),
        );
        let others = all.iter().map(|named| named.id.as_str()).filter(|id| *id != own);
        finding.remedy = remedy_for(id, others);
        item.add(finding);
    }
    found?.used.as_ref()
}

fn is_size(item: &Item, used: &StampUse, wanted: [f64; 2]) -> bool {
    let size = used.stamp.repeat_mm();
    let same = (0..2).all(|k| (size[k] - wanted[k]).abs() < SAME_MM);
    if !same {
        let by = |size: [f64; 2]| Arg::Name(format!("{:.1} x {:.1} mm", size[0], size[1]));
        let found = say!(
            "stamp {id} prints a repeat of {size}",
            "cap {id} mencetak ulangan {size}",
            id = Arg::Name(used.id.clone()),
            size = by(size)
        );
        let allowed = say!("{size}", "{size}", size = by(wanted));
        let to_do = say!(
            "give it width and height of the other",
            "samakan lebar dan tingginya dengan yang lain"
        );
        item.add(item.wrong("stamps-differ", found).allow(allowed).remedy(to_do));
    }
    same
}

fn is_laid_alike(item: &Item, outline: &StampUse, fill: &StampUse) -> bool {
    let alike = outline.layout == fill.layout && outline.border.is_none() && fill.border.is_none();
    if !alike {
        let found = say!(
            "stamp {id} is laid in another way",
            "cap {id} disusun dengan cara lain",
            id = Arg::Name(outline.id.clone())
        );
        let to_do = say!(
            "give both the same layout; borders are not registered",
            "samakan susunan keduanya; cap pinggir tidak dipasangkan"
        );
        item.add(item.wrong("stamps-differ", found).remedy(to_do));
    }
    alike
}
