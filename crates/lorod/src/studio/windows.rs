//! Windows of timed steps as pages ask for them: what is asked, and what was worked out before.

use super::Studio;
use super::api::with_point;
use super::assets::hex;
use super::kiln::KeepGoing;
use super::known::rests_on;
use super::reader::Reader;
use crate::facts::approved::Approved;
use crate::facts::tank::Seen;
use crate::facts::window::{Asked, Found, find, steps};
use cloth::window::{Limits, chlorine_titrated};
use route::{Design, Workshop};
use sha2::{Digest, Sha256};
use std::ops::RangeInclusive;
use std::sync::Arc;
use units::{Celsius, Measure, Quantity, Span, parse_as};
use words::{Arg, Finding, Language, Place, Weight, finding_of, say};
use workspace::Workspace;

/// A word of an address after `?`, and what it means.
type Word = (&'static str, &'static str);

/// Which step.
pub const STEP: Word = (
    "step",
    "id or number of the timed step; the bleach, else the first, unless said",
);
/// When a bolt passes, and what it is held against: see [`limits`] and [`approved`].
pub const LIMITS: [Word; 5] = [
    (
        "ground",
        "farthest that the ground may be from its target, CIEDE2000",
    ),
    ("motif", "farthest that the motif may be"),
    (
        "keep",
        "share of its width that the thinnest line must keep, as `40 %`",
    ),
    ("pass", "share of bolts that must pass, as `80 %`"),
    (
        "approved",
        "file of the folder `approved` that the cloth is held against; a perfect bleach unless said",
    ),
];
/// What was seen at the tank: see [`seen`].
pub const AT_THE_TANK: [Word; 6] = [
    (
        "strip",
        "when the witness strip had reached the printed tint, as `4:10`",
    ),
    ("titrated", "0.1 N thiosulfate that the sample took, as `8.1 mL`"),
    ("sample", "bath that was titrated; 10 mL unless said"),
    ("temperature", "temperature of the bath; the design's unless said"),
    ("stock", "available chlorine of the stock, as `80 g/L`"),
    ("done", "loads that have been in this bath"),
];

/// Several lists of words as one of `N`. Wrongly counted it does not compile.
pub const fn words<const N: usize>(lists: &[&[Word]]) -> [Word; N] {
    let mut all = [("", ""); N];
    let (mut at, mut list) = (0, 0);
    while list < lists.len() {
        let mut word = 0;
        while word < lists[list].len() {
            all[at] = lists[list][word];
            (at, word) = (at + 1, word + 1);
        }
        list += 1;
    }
    assert!(at == N, "fewer words than were counted");
    all
}

/// Direct runs that the curves are held against.
const AGAINST: u32 = 12;

impl Studio {
    /// The window of a step (of the first timed one where none is named), if it was worked out.
    pub fn known_window(
        &self,
        workspace: &Workspace,
        design: &Design,
        step: Option<&str>,
        approved: Option<&Chosen>,
    ) -> Option<Arc<Found>> {
        self.answers()
            .windows
            .get(&key(workspace, design, step, approved)?)
    }

    /// The same, worked out: a second or two. Other limits than the usual ones are asked of the answer.
    ///
    /// # Errors
    /// If the design has no such step; no finding at all if the work was ended.
    pub fn window(
        &self,
        workspace: &Workspace,
        design: &Arc<Design>,
        shop: &Workshop,
        step: Option<&str>,
        approved: Option<&Chosen>,
        keep_going: KeepGoing,
    ) -> Result<Arc<Found>, Vec<Finding>> {
        if let Some(known) = self.known_window(workspace, design, step, approved) {
            return Ok(known);
        }
        let asked = Asked {
            step: step.map(str::to_string),
            against: AGAINST,
            approved: approved.map(|chosen| chosen.colours.clone()),
            ..Asked::default()
        };
        let found = find(design, shop, &asked, keep_going)?;
        if !keep_going(1.0) {
            return Err(Vec::new());
        }
        let key = key(workspace, design, step, approved).unwrap_or_default();
        Ok(self.answers().windows.put(key, found))
    }
}

/// A step may be named by its id, by its number, or not at all.
fn key(
    workspace: &Workspace,
    design: &Design,
    step: Option<&str>,
    approved: Option<&Chosen>,
) -> Option<String> {
    let all = steps(design);
    let named = |step: &str| {
        all.iter()
            .find(|one| one.id == step || one.number.to_string() == step)
    };
    let step = match step {
        Some(step) => named(step)?,
        None => all.first()?,
    };
    let held = approved.map_or("", |chosen| &chosen.mark);
    Some(format!("{} {} {held}", rests_on(workspace, &design.id)?, step.id))
}

/// Folder of the colours of approved cloth, as tables.
pub const APPROVED: &str = "approved";
/// Longest table that is read, bytes.
pub const MOST_APPROVED: usize = 1_000_000;

/// Approved cloth that an address names.
pub struct Chosen {
    /// Its file.
    pub name: String,
    /// Differs between two versions of it.
    mark: String,
    colours: Approved,
}

impl Chosen {
    /// Reads a table of colours; `name` is that of its file.
    ///
    /// # Errors
    /// Findings for every line that cannot be read.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Self, Vec<Finding>> {
        let path = format!("{APPROVED}/{name}");
        let mut colours = Approved::default();
        colours.add_colours(&String::from_utf8_lossy(bytes), &path)?;
        Ok(Self {
            name: name.to_string(),
            mark: hex(&Sha256::digest(bytes)[..8]),
            colours,
        })
    }
}

/// The tables of approved cloth in the folder, by name.
pub fn approved_files(workspace: &Workspace) -> Vec<String> {
    let entries = std::fs::read_dir(workspace.dir.join(APPROVED));
    let names = entries.into_iter().flatten().flatten();
    let mut names: Vec<String> = names
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| name.ends_with(".csv") && !name.starts_with('.'))
        .collect();
    names.sort();
    names
}

/// The approved cloth that an address names: none means a perfect bleach.
///
/// # Errors
/// If there is no such file, or it cannot be read.
pub fn approved(workspace: &Workspace, reader: &Reader) -> Result<Option<Chosen>, Vec<Finding>> {
    let Some(asked) = reader.get("approved").filter(|name| !name.is_empty()) else {
        return Ok(None);
    };
    let missing = || {
        let found = say!(
            "there is no approved cloth {file}",
            "tidak ada kain acc {file}",
            file = Arg::Name(asked.chars().filter(|c| !c.is_control()).take(60).collect())
        );
        vec![Finding::new(
            "no-such-approved",
            Weight::Wrong,
            place("approved"),
            found,
        )]
    };
    let name = approved_files(workspace).into_iter().find(|name| name == asked);
    let name = name.ok_or_else(missing)?;
    let bytes = std::fs::read(workspace.dir.join(APPROVED).join(&name)).map_err(|_| missing())?;
    Chosen::read(&name, &bytes[..bytes.len().min(MOST_APPROVED)]).map(Some)
}

/// The limits that an address asks for; the usual ones where it says nothing.
///
/// # Errors
/// A finding for each that cannot be read.
pub fn limits(reader: &Reader) -> Result<Limits, Vec<Finding>> {
    let usual = Limits::default();
    let mut read = Read::of(reader);
    let limits = Limits {
        ground: read.number("ground", 0.1..=100.0).unwrap_or(usual.ground),
        motif: read.number("motif", 0.1..=100.0).unwrap_or(usual.motif),
        keep: read
            .quantity("keep", Measure::Share, 0.0..=1.0)
            .unwrap_or(usual.keep),
        pass: read
            .quantity("pass", Measure::Share, 0.01..=1.0)
            .unwrap_or(usual.pass),
        ..usual
    };
    read.end(limits)
}

/// What was seen at the tank, as an address says it.
///
/// # Errors
/// A finding for each that cannot be read.
pub fn seen(reader: &Reader) -> Result<Seen, Vec<Finding>> {
    let mut read = Read::of(reader);
    let thiosulfate = read.quantity("titrated", Measure::Volume, 0.0..=1e-3);
    let sample = read
        .quantity("sample", Measure::Volume, 1e-7..=1e-2)
        .unwrap_or(SAMPLE);
    let done = read.number("done", 0.0..=100.0).unwrap_or(0.0);
    let seen = Seen {
        chlorine: thiosulfate.and_then(|ml| chlorine_titrated(ml * 1e6, NORMALITY, sample * 1e6)),
        temperature: read
            .quantity("temperature", Measure::Temperature, 0.0..=60.0)
            .map(Celsius),
        strip: read.stopwatch("strip").map(Span),
        lag: None,
        stock: read.quantity("stock", Measure::PerVolume, 0.1..=300.0),
        done: done as u32,
    };
    read.end(seen)
}

/// Normality of the thiosulfate, and the bath that is titrated, m3, unless said otherwise.
pub const NORMALITY: f64 = 0.1;
const SAMPLE: f64 = 10e-6;

/// Values of an address as they are read, and what is wrong with them.
struct Read<'a> {
    reader: &'a Reader,
    wrong: Vec<Finding>,
}

impl<'a> Read<'a> {
    fn of(reader: &'a Reader) -> Self {
        Self {
            reader,
            wrong: Vec::new(),
        }
    }

    fn end<T>(self, value: T) -> Result<T, Vec<Finding>> {
        if self.wrong.is_empty() {
            Ok(value)
        } else {
            Err(self.wrong)
        }
    }

    /// As typed, with a decimal point; nothing where nothing was typed.
    fn text(&self, key: &str) -> Option<String> {
        let typed = self
            .reader
            .get(key)
            .map(str::trim)
            .filter(|text| !text.is_empty())?;
        Some(match self.reader.voice.language {
            Language::En => typed.to_string(),
            Language::Id => with_point(typed),
        })
    }

    fn number(&mut self, key: &'static str, range: RangeInclusive<f64>) -> Option<f64> {
        let text = self.text(key)?;
        let number = text.parse::<f64>().ok().filter(|n| range.contains(n));
        if number.is_none() {
            let bound = |n: f64| Arg::Number(n, if n.fract() == 0.0 { 0 } else { 1 });
            self.outside(key, &text, between(bound(*range.start()), bound(*range.end())));
        }
        number
    }

    fn quantity(&mut self, key: &'static str, measure: Measure, range: RangeInclusive<f64>) -> Option<f64> {
        let text = self.text(key)?;
        match parse_as(&text, measure) {
            Ok(typed) if range.contains(&typed.quantity.si) => Some(typed.quantity.si),
            Ok(_) => {
                let bound = |si: f64| Arg::Quantity(Quantity::new(si, measure));
                self.outside(key, &text, between(bound(*range.start()), bound(*range.end())));
                None
            }
            Err(problem) => {
                self.wrong.push(finding_of(&problem, place(key)));
                None
            }
        }
    }

    /// `4:10` on a stopwatch, or a duration with its unit; s.
    fn stopwatch(&mut self, key: &'static str) -> Option<f64> {
        let text = self.text(key)?;
        let Some((minutes, seconds)) = text.split_once(':') else {
            return self.quantity(key, Measure::Span, 1.0..=7200.0);
        };
        let whole = |part: &str| {
            let plain = (1..=3).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
            plain.then(|| part.parse::<u32>().ok()).flatten()
        };
        let read = match (whole(minutes), whole(seconds)) {
            (Some(m), Some(s)) if m <= 120 && s < 60 && seconds.len() == 2 && m + s > 0 => {
                Some(f64::from(60 * m + s))
            }
            _ => None,
        };
        if read.is_none() {
            self.outside(
                key,
                &text,
                say!(
                    "minutes and seconds like 4:10, or a time with its unit like 250 s",
                    "menit dan detik seperti 4:10, atau waktu dengan satuan seperti 250 s"
                ),
            );
        }
        read
    }

    fn outside(&mut self, key: &'static str, text: &str, allowed: words::Line) {
        let found = say!(
            "\"{found}\" is not allowed here",
            "\"{found}\" tidak boleh di sini",
            found = Arg::Name(text.chars().filter(|c| !c.is_control()).take(40).collect())
        );
        let finding = Finding::new("out-of-range", Weight::Wrong, place(key), found);
        self.wrong.push(finding.allow(allowed));
    }
}

fn between(least: Arg, most: Arg) -> words::Line {
    say!(
        "{least} to {most}",
        "{least} sampai {most}",
        least = least,
        most = most
    )
}

/// The field of the form that it stands in.
fn place(key: &'static str) -> Place {
    Place::Step {
        id: String::new(),
        setting: Some(key),
    }
}

#[cfg(test)]
mod tests {
    use super::{limits, seen};
    use crate::studio::reader::Reader;
    use cloth::window::Limits;
    use words::Language;

    fn asked(query: &[(&str, &str)]) -> Reader {
        Reader {
            query: query
                .iter()
                .map(|(key, value)| ((*key).to_string(), (*value).to_string()))
                .collect(),
            ..Reader::default()
        }
    }

    #[test]
    fn limits_are_read_as_typed_or_refused_one_by_one() {
        let read = limits(&asked(&[("ground", "4"), ("keep", "60 %"), ("motif", " ")])).unwrap();
        assert_eq!(
            (read.ground, read.keep, read.motif),
            (4.0, 0.6, Limits::default().motif)
        );
        let wrong = limits(&asked(&[("ground", "-1"), ("keep", "6 kg"), ("pass", "90 %")])).unwrap_err();
        assert_eq!(wrong.len(), 2);
        let mut reader = asked(&[("ground", "4,5")]);
        assert!(limits(&reader).is_err());
        reader.voice.language = Language::Id;
        assert_eq!(limits(&reader).unwrap().ground, 4.5);
    }

    /// 8.1 mL of 0.1 N thiosulfate for 10 mL of bath: 8.1 x 3.545 mg / 10 mL = 2.87 g/L of available chlorine
    /// (3.545 mg a mL is half the atomic mass of chlorine, 35.45, times the normality).
    #[test]
    fn a_titration_and_a_stopwatch_are_read() {
        let read = seen(&asked(&[
            ("titrated", "8.1 mL"),
            ("strip", "4:10"),
            ("done", "2"),
        ]))
        .unwrap();
        assert!((read.chlorine.unwrap() - 2.871).abs() < 0.001);
        assert_eq!((read.strip.unwrap().0, read.done), (250.0, 2));
        for strip in ["4:1", "4:70", "-4:10", "0:00", "soon"] {
            assert!(seen(&asked(&[("strip", strip)])).is_err(), "{strip}");
        }
    }
}
