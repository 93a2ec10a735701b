//! What `--json` prints. One document a command, UTF-8, numbers in the SI base of their measure unless the name of
//! the field says otherwise. Fields may be added; none changes its meaning.

use serde::Serialize;
use units::Quantity;
use words::{Finding, Origin, Place, Voice, Weight, line_and_column};
use workspace::Source;

/// Prints a document.
pub fn print(document: &impl Serialize) {
    match serde_json::to_string_pretty(document) {
        Ok(text) => super::tell(&format!("{text}\n")),
        // Only a map with keys that are no strings fails; there is none here.
        Err(error) => eprintln!("{error}"),
    }
}

/// A command that could not do what was asked.
#[derive(Debug, Serialize)]
pub struct Refusal {
    /// Why.
    pub findings: Vec<FindingOut>,
}

/// A finding.
#[derive(Debug, Serialize)]
pub struct FindingOut {
    /// Stable code, kebab-case.
    pub code: &'static str,
    /// `note`, `doubtful` or `wrong`.
    pub weight: &'static str,
    /// What was found, in the reader's language.
    pub found: String,
    /// What is allowed.
    pub allowed: Option<String>,
    /// What to do.
    pub remedy: Option<String>,
    /// Where.
    #[serde(flatten)]
    pub place: PlaceOut,
}

/// Where a finding points; empty for the request itself.
#[derive(Debug, Default, Serialize)]
pub struct PlaceOut {
    /// File of the workspace.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// Line, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// Column in characters, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<usize>,
    /// Permanent id of a step.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// Key of a setting of the step.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub setting: Option<&'static str>,
    /// A point of a drawing from its top left corner, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawing_mm: Option<[f64; 2]>,
}

/// Findings; `source` gives the file that a path names.
pub fn findings<'s>(
    all: &[Finding],
    source: impl Fn(&str) -> Option<&'s Source>,
    voice: Voice,
) -> Vec<FindingOut> {
    let place = |place: &Place| match place {
        Place::File { path, span } => {
            let at = source(path).map(|s| line_and_column(&s.text, span.start));
            PlaceOut {
                file: Some(path.clone()),
                line: at.map(|(line, _)| line),
                column: at.map(|(_, column)| column),
                ..PlaceOut::default()
            }
        }
        Place::Step { id, setting } => PlaceOut {
            step: Some(id.clone()),
            setting: *setting,
            ..PlaceOut::default()
        },
        Place::Drawing { x_um, y_um } => PlaceOut {
            drawing_mm: Some([*x_um as f64 / 1e3, *y_um as f64 / 1e3]),
            ..PlaceOut::default()
        },
        Place::Request => PlaceOut::default(),
    };
    all.iter()
        .map(|finding| FindingOut {
            code: finding.code,
            weight: match finding.weight {
                Weight::Note => "note",
                Weight::Doubtful => "doubtful",
                Weight::Wrong => "wrong",
            },
            found: finding.found.say(voice),
            allowed: finding.allowed.as_ref().map(|line| line.say(voice)),
            remedy: finding.remedy.as_ref().map(|line| line.say(voice)),
            place: place(&finding.place),
        })
        .collect()
}

/// A quantity.
#[derive(Debug, Serialize)]
pub struct QuantityOut {
    /// In the SI base of its measure.
    pub si: f64,
    /// Unit of `si`.
    pub unit: &'static str,
    /// As the reader sees it.
    pub text: String,
}

impl QuantityOut {
    /// A quantity.
    pub fn new(quantity: Quantity, voice: Voice) -> Self {
        Self {
            si: quantity.si,
            unit: quantity
                .measure
                .units()
                .find(|unit| unit.factor == 1.0 && unit.offset == 0.0)
                .map_or("", |unit| unit.symbol),
            text: voice.quantity(quantity),
        }
    }
}

/// Where a number comes from.
#[derive(Debug, Serialize)]
pub struct OriginOut {
    /// `assumed`, `yours` or `measured`.
    pub kind: &'static str,
    /// Assumed: the true value is expected within this factor, up or down.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor: Option<f64>,
    /// Assumed: where it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Measured: the day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Measured: number of readings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub n: Option<u32>,
}

impl OriginOut {
    /// An origin.
    pub fn new(origin: &Origin) -> Self {
        let empty = Self {
            kind: "yours",
            factor: None,
            source: None,
            date: None,
            n: None,
        };
        match origin {
            Origin::Assumed { factor, source } => Self {
                kind: "assumed",
                factor: Some(*factor),
                source: Some(source.clone()),
                ..empty
            },
            Origin::Yours => empty,
            Origin::Measured { date, n } => Self {
                kind: "measured",
                date: Some(date.clone()),
                n: Some(*n),
                ..empty
            },
        }
    }
}

/// An amount of something from the store.
#[derive(Debug, Serialize)]
pub struct DrawnOut {
    /// Its name in the reader's language.
    pub name: String,
    /// How much.
    pub amount: QuantityOut,
    /// Where the number comes from; `null` if it rests on settings and arithmetic alone.
    pub origin: Option<OriginOut>,
}

impl DrawnOut {
    /// Amounts.
    pub fn all(drawn: &[route::Drawn], voice: Voice) -> Vec<Self> {
        drawn
            .iter()
            .map(|drawn| Self {
                name: drawn.name.say(voice),
                amount: QuantityOut::new(drawn.amount, voice),
                origin: drawn.origin.as_ref().map(OriginOut::new),
            })
            .collect()
    }
}
