//! A photograph of cloth, described in a small TOML file beside the picture.
//!
//! ```toml
//! picture = "bolt-7.jpg"
//! window = ["240 mm", "240 mm"]      # of the white card: across, along
//! corners = [[260, 190], [1330, 240], [1290, 1270], [300, 1210]]
//! card = "18 mm"                     # white card around the window at least this far
//!
//! [grey]                             # or [target] with columns, rows and values = "chart.csv"
//! corners = [[400, 1400], [520, 1404], [518, 1500], [398, 1496]]
//! reflectance = "18 %"
//! ```

use crate::Source;
use crate::read::{Item, Sheet, Table, parse};
use units::Measure;
use words::{Arg, Finding, Weight, say};

/// Four corners on the picture, pixels from its left top: left top, right top, right bottom, left bottom.
pub type Corners = [[f64; 2]; 4];

/// What tells how the camera sees colours.
#[derive(Clone, Debug, PartialEq)]
pub enum Guide {
    /// A grey card.
    Grey {
        /// Where.
        corners: Corners,
        /// Its reflectance, 0 to 1.
        reflectance: f64,
    },
    /// A target of known patches in columns and rows.
    Target {
        /// Outer corners of the field of patches.
        corners: Corners,
        /// Patches in a row.
        columns: u32,
        /// Rows.
        rows: u32,
        /// File of measurements with a sample for each patch, row by row from the left top.
        values: String,
    },
}

/// A photograph of cloth under a white card with a window.
#[derive(Clone, Debug, PartialEq)]
pub struct Photograph {
    /// File of the picture, seen from this file's folder.
    pub picture: String,
    /// The window, mm, across and along the cloth.
    pub window_mm: [f64; 2],
    /// Its corners on the picture.
    pub corners: Corners,
    /// How far the white card lies around the window, mm; nothing if there is none.
    pub card_mm: Option<f64>,
    /// Grey card or target.
    pub guide: Guide,
}

/// Reads the description of a photograph.
pub fn photograph(source: &Source) -> (Option<Photograph>, Vec<Finding>) {
    let sheet = Sheet::new(&source.path);
    let known = ["picture", "window", "corners", "card", "grey", "target"];
    let read = parse(source, &sheet).and_then(|document| {
        let table = Table::document(&sheet, &document, &known);
        let picture = table.text("picture");
        let window = table.item("window").and_then(|item| lengths(&item));
        let corners = table.item("corners").and_then(|item| corners(&item));
        let card = match table.maybe("card") {
            Some(_) => Some(table.within("card", Measure::Length, 0.002, 0.5)?),
            None => None,
        };
        let guide = guide(&table);
        Some(Photograph {
            picture: picture?,
            window_mm: window?,
            corners: corners?,
            card_mm: card.map(|m| m * 1000.0),
            guide: guide?,
        })
    });
    let findings = sheet.into_findings();
    let wrong = findings.iter().any(|f| f.weight == Weight::Wrong);
    (read.filter(|_| !wrong), findings)
}

fn guide(table: &Table) -> Option<Guide> {
    if let (Some(grey), None) = (table.maybe("grey"), table.maybe("target")) {
        let grey = grey.table(&["corners", "reflectance"])?;
        let (corners, reflectance) = (
            grey.item("corners").and_then(|item| corners(&item)),
            grey.within("reflectance", Measure::Share, 0.02, 1.0),
        );
        return Some(Guide::Grey {
            corners: corners?,
            reflectance: reflectance?,
        });
    }
    let Some(target) = table.maybe("target").filter(|_| table.maybe("grey").is_none()) else {
        let found = say!(
            "colours need one guide: [grey] or [target]",
            "warna perlu satu acuan: [grey] atau [target]"
        );
        let finding = Finding::new("photo-guide", Weight::Wrong, table.place(), found);
        table.sheet().add(finding.remedy(say!(
            "give the corners of the grey card or of the target beside the window",
            "tulis sudut kartu abu-abu atau target di samping jendela"
        )));
        return None;
    };
    let target = target.table(&["corners", "columns", "rows", "values"])?;
    let count = |key| target.item(key).and_then(|item| item.whole(1, 40));
    let (columns, rows, values) = (count("columns"), count("rows"), target.text("values"));
    let corners = target.item("corners").and_then(|item| corners(&item));
    Some(Guide::Target {
        corners: corners?,
        columns: columns?,
        rows: rows?,
        values: values?,
    })
}

fn corners(item: &Item) -> Option<Corners> {
    let points: Vec<[f64; 2]> = item
        .list()?
        .iter()
        .map(|point| {
            let numbers: Option<Vec<f64>> = point.list()?.iter().map(Item::number).collect();
            pair(point, &numbers?)
        })
        .collect::<Option<_>>()?;
    points.try_into().ok().or_else(|| amount(item, 4))
}

fn lengths(item: &Item) -> Option<[f64; 2]> {
    let list = item.list()?;
    let mm: Option<Vec<f64>> = list
        .iter()
        .map(|length| Some(length.quantity(Measure::Length)?.quantity.si * 1000.0))
        .collect();
    pair(item, &mm?)
}

fn pair(item: &Item, numbers: &[f64]) -> Option<[f64; 2]> {
    numbers.try_into().ok().or_else(|| amount(item, 2))
}

/// The list has another number of entries.
fn amount<T>(item: &Item, wanted: u32) -> Option<T> {
    let found = say!(
        "this list has another number of entries",
        "jumlah isi daftar ini lain"
    );
    item.add(item.wrong("photo-list", found).allow(say!(
        "{n} entries",
        "{n} isi",
        n = Arg::Number(f64::from(wanted), 0)
    )));
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const GOOD: &str = r#"
picture = "bolt-7.jpg"
window = ["240 mm", "9 in"]
corners = [[260, 190], [1330.5, 240], [1290, 1270], [300, 1210]]
card = "18 mm"

[target]
corners = [[1, 2], [3, 4], [5, 6], [7, 8]]
columns = 6
rows = 4
values = "chart.csv"
"#;

    fn read(text: &str) -> (Option<Photograph>, Vec<&'static str>) {
        let source = Source {
            path: "p.toml".into(),
            text: text.into(),
            hash: [0; 32],
        };
        let (photograph, findings) = photograph(&source);
        for finding in &findings {
            if let words::Place::File { span, .. } = &finding.place {
                assert!(span.end <= text.len() && text.is_char_boundary(span.start));
            }
        }
        (photograph, findings.iter().map(|f| f.code).collect())
    }

    #[test]
    fn a_description_is_read() {
        let (photograph, findings) = read(GOOD);
        let photograph = photograph.expect("a photograph");
        assert!(findings.is_empty(), "{findings:?}");
        assert!((photograph.window_mm[1] - 228.6).abs() < 1e-9);
        assert_eq!(photograph.corners[1], [1330.5, 240.0]);
        assert!((photograph.card_mm.expect("a card") - 18.0).abs() < 1e-9);
        assert!(matches!(
            photograph.guide,
            Guide::Target {
                columns: 6,
                rows: 4,
                ..
            }
        ));
    }

    #[test]
    fn what_is_missing_or_wrong_is_said() {
        for (from, to, code) in [
            ("[260, 190], ", "", "photo-list"),
            ("[260, 190]", "[260]", "photo-list"),
            ("\"240 mm\"", "\"240 g\"", "quantity-of-other-kind"),
            ("columns = 6", "columns = 0", "number-out-of-range"),
            ("[target]", "[grey]", "key-missing"),
        ] {
            let (photograph, findings) = read(&GOOD.replace(from, to));
            assert!(
                photograph.is_none() && findings.contains(&code),
                "{from} -> {to}: {findings:?}"
            );
        }
        let both = format!("{GOOD}\n[grey]\ncorners = []\nreflectance = \"18 %\"\n");
        assert_eq!(read(&both).1, ["photo-guide"]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]
        /// Any cut and any change of a character: a photograph or a finding.
        #[test]
        fn nothing_panics(at in 0..GOOD.len(), with in "\\PC{0,3}", cut in any::<bool>()) {
            let (before, after) = GOOD.split_at(at);
            let text = if cut { before.to_string() } else { format!("{before}{with}{after}") };
            let (photograph, findings) = read(&text);
            prop_assert!(photograph.is_some() || !findings.is_empty());
        }
    }
}
