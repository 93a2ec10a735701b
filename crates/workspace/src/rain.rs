//! How likely rain is, hour by hour in each month, and what the floor does then:
//!
//! ```toml
//! [rain]
//! source = "counted in the yard, 2019 to 2025"
//! floor = "inside"
//! slower = 3
//! december = [9, 8, 8, 7, 7, 7, 8, 9, 11, 13, 16, 20, 26, 33, 39, 42, 40, 34, 27, 21, 17, 14, 12, 10]
//! ```
//!
//! A month is a list of 24 chances in whole percent, from midnight on; a month that is not there is not known.

use crate::read::{Item, Table};
use words::{Arg, Finding, Term, Text, Weight, say};

/// What the floor does with cloth that should be outside while it rains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WhenWet {
    /// It waits for a dry stretch that is long enough.
    Wait,
    /// It hangs under the roof, where everything takes so many times as long.
    Inside(f64),
}

/// The workshop's rain.
#[derive(Clone, Debug, PartialEq)]
pub struct RainSpec {
    /// Where the chances come from.
    pub source: String,
    /// What the floor does.
    pub floor: WhenWet,
    /// `[month from January][hour from midnight]`, 0..1; `None`: not known.
    pub chance: [Option<[f64; 24]>; 12],
}

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];
const KEYS: [&str; 15] = {
    let mut keys = [
        "source", "floor", "slower", "", "", "", "", "", "", "", "", "", "", "", "",
    ];
    let mut month = 0;
    while month < 12 {
        keys[3 + month] = MONTHS[month];
        month += 1;
    }
    keys
};
/// Under a roof it dries no faster than outside, and what takes fifty times as long does not dry.
const SLOWER: (f64, f64) = (1.0, 50.0);

static WAIT: Term = Term {
    key: "wait",
    text: Text::new("waits for a dry stretch", "menunggu cerah"),
    gloss: Text::new(
        "Cloth stays indoors until it is dry outside for as long as it needs.",
        "Kain tetap di dalam sampai di luar cerah selama yang diperlukan.",
    ),
};
static INSIDE: Term = Term {
    key: "inside",
    text: Text::new("hangs inside", "digantung di dalam"),
    gloss: Text::new(
        "Cloth is carried under the roof and goes on there, more slowly.",
        "Kain dibawa ke bawah atap dan lanjut di sana, lebih lambat.",
    ),
};

/// Reads `[rain]`; a wrong month is left out and said.
pub(crate) fn read(workshop: &Table) -> Option<RainSpec> {
    let table = workshop.maybe("rain")?.table(&KEYS)?;
    let source = table.text("source");
    let floor = table
        .item("floor")
        .and_then(|item| item.choice(&[&WAIT, &INSIDE]));
    let floor = match floor {
        Some("inside") => table
            .number_within("slower", SLOWER.0, SLOWER.1, 0)
            .map(WhenWet::Inside),
        Some(_) => Some(WhenWet::Wait),
        None => None,
    };
    let chance = MONTHS.map(|month| table.maybe(month).and_then(|item| day(month, item)));
    Some(RainSpec {
        source: source?,
        floor: floor?,
        chance,
    })
}

/// The 24 chances of a day.
fn day(month: &str, item: Item) -> Option<[f64; 24]> {
    let hours = item.list()?;
    let Ok(chances) = <[Item; 24]>::try_from(hours) else {
        let found = say!(
            "{month} does not have 24 chances of rain",
            "{month} tidak berisi 24 peluang hujan",
            month = Arg::Name(month.to_string())
        );
        let finding = Finding::new("rain-hours", Weight::Wrong, item.place(), found);
        item.add(finding.allow(say!(
            "24 whole numbers of percent, from midnight on",
            "24 bilangan bulat persen, mulai tengah malam"
        )));
        return None;
    };
    let read = chances.map(|chance| chance.whole(0, 100).map(|percent| f64::from(percent) / 100.0));
    read.iter()
        .all(Option::is_some)
        .then(|| read.map(|chance| chance.unwrap_or(0.0)))
}
