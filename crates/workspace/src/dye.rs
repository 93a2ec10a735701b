//! Dye cards from `dyes/*.toml`.

use crate::Source;
use crate::known::{known, origin, with_origin};
use crate::read::{Item, Sheet, Table, parse};
use colour::dye::{Bleaching, Chemistry, DyeCard, Fixation, HAZARDS, Hazard, Ladder, Price, hazard};
use colour::{Spectrum, spectrum_from};
use std::ops::Range;
use units::{Celsius, Measure};
use words::{Finding, Known, Place, Term};

const KEYS: [&str; 13] = [
    "id",
    "name",
    "chemistry",
    "price",
    "hazards",
    "k_max",
    "affinity",
    "exhaustion",
    "blue_wool",
    "fixation",
    "bleaching",
    "spectrum",
    "ladder",
];
const FIXATION: [&str; 5] = ["rate", "at", "ph", "energy", "final_share"];
const LADDER: [&str; 4] = ["deepest", "fixed_share", "error", "white"];
const BLEACHING: [&str; 7] = ["rate", "at", "ph", "ph_least", "ph_most", "energy", "residue"];

/// A dye card as it was read.
pub(crate) struct CardFile {
    /// The id and its place in the file, if it says one.
    pub id: Option<(String, Range<usize>)>,
    /// The card, unless something in it is wrong.
    pub card: Option<DyeCard>,
    /// Where the price stands.
    pub price: Range<usize>,
    /// What was found.
    pub findings: Vec<Finding>,
}

/// Reads one card.
pub(crate) fn read(source: &Source) -> CardFile {
    let sheet = Sheet::new(&source.path);
    let mut id = None;
    let (mut card, mut price) = (None, 0..0);
    if let Some(document) = parse(source, &sheet) {
        let table = Table::document(&sheet, &document, &KEYS);
        id = table
            .item("id")
            .and_then(|item| Some((item.text()?.to_string(), item.span())));
        price = table.maybe("price").map_or(0..0, |item| item.span());
        card = whole(&table, id.as_ref().map(|(id, _)| id.clone()));
        if let Some(card) = &card {
            for finding in card.validate_at(|key| place_of(&table, key)) {
                sheet.add(finding);
            }
        }
    }
    let usable = !sheet.wrong();
    CardFile {
        id,
        card: card.filter(|_| usable),
        price,
        findings: sheet.into_findings(),
    }
}

/// The place of "fixation.rate".
fn place_of(table: &Table, key: &str) -> Place {
    match key.split_once('.') {
        Some((outer, inner)) => match table.maybe(outer).and_then(|item| item.open_table()) {
            Some(inside) => inside.place_of(inner),
            None => table.place_of(outer),
        },
        None => table.place_of(key),
    }
}

/// The card; everything is asked for before anything is given up, so that all faults are told.
fn whole(table: &Table, id: Option<String>) -> Option<DyeCard> {
    let known_at = |key, measure| table.item(key).and_then(|item| known(item, measure));
    let name = table.text("name");
    let chemistry = table.item("chemistry").and_then(|item| {
        let terms: [&'static Term; 3] = Chemistry::ALL.map(Chemistry::term);
        item.choice(&terms).and_then(Chemistry::from_key)
    });
    let price = table.item("price").and_then(|item| {
        let text = item.text()?;
        Price::read(text, &item.place()).map_err(|f| item.add(f)).ok()
    });
    let hazards = table.item("hazards").and_then(hazards);
    let (k_max, affinity) = (
        known_at("k_max", Measure::Count),
        known_at("affinity", Measure::PerMass),
    );
    let (exhaustion, blue_wool) = (
        known_at("exhaustion", Measure::Share),
        known_at("blue_wool", Measure::Count),
    );
    let fixation = table.table("fixation", &FIXATION).and_then(|t| fixation(&t));
    let bleaching = table.table("bleaching", &BLEACHING).and_then(|t| bleaching(&t));
    let spectrum = table
        .table("spectrum", &with_origin(&["unit_ks"]))
        .map(|t| (spectrum(&t, "unit_ks"), origin(&t)));
    // A card may do without; a ladder that is there must be whole.
    let ladder = match table.maybe("ladder") {
        Some(item) => item.table(&LADDER).and_then(|t| ladder(&t)).map(Some),
        None => Some(None),
    };
    let (unit_ks, spectrum) = spectrum?;
    Some(DyeCard {
        id: id?,
        name: name?,
        chemistry: chemistry?,
        unit_ks: unit_ks?,
        spectrum: spectrum?,
        ladder: ladder?,
        k_max: k_max?,
        fixation: fixation?,
        affinity: affinity?,
        exhaustion: exhaustion?,
        bleaching: bleaching?,
        blue_wool: blue_wool?,
        price: price?,
        hazards: hazards?,
    })
}

fn hazards(item: Item) -> Option<Vec<&'static Hazard>> {
    let mut found = Vec::new();
    let mut complete = true;
    for entry in item.list()? {
        match entry.text() {
            Some(key) => match hazard(key) {
                Some(hazard) => found.push(hazard),
                None => {
                    entry.unknown("hazard-not-known", key, HAZARDS.iter().map(|h| h.key));
                    complete = false;
                }
            },
            None => complete = false,
        }
    }
    complete.then_some(found)
}

fn fixation(table: &Table) -> Option<Fixation> {
    let at = plain(table, "at", Measure::Temperature);
    let ph = plain(table, "ph", Measure::Acidity);
    let rate = number(table, "rate", Measure::Rate);
    let energy = number(table, "energy", Measure::MolarEnergy);
    let final_share = number(table, "final_share", Measure::Share);
    Some(Fixation {
        rate: rate?,
        at: Celsius(at?),
        ph: ph?,
        energy: energy?,
        final_share: final_share?,
    })
}

fn bleaching(table: &Table) -> Option<Bleaching> {
    let at = plain(table, "at", Measure::Temperature);
    let [ph, ph_least, ph_most] =
        ["ph", "ph_least", "ph_most"].map(|key| plain(table, key, Measure::Acidity));
    let rate = number(table, "rate", Measure::SecondOrderRate);
    let energy = number(table, "energy", Measure::MolarEnergy);
    let residue = number(table, "residue", Measure::Share);
    Some(Bleaching {
        rate: rate?,
        at: Celsius(at?),
        ph: ph?,
        ph_least: ph_least?,
        ph_most: ph_most?,
        energy: energy?,
        residue: residue?,
    })
}

fn ladder(table: &Table) -> Option<Ladder> {
    let share = |key| plain(table, key, Measure::Share);
    let (deepest, fixed_share, error) = (share("deepest"), share("fixed_share"), share("error"));
    let white = spectrum(table, "white");
    Some(Ladder {
        deepest: deepest? * 100.0,
        fixed_share: fixed_share?,
        error: error?,
        white: white?,
    })
}

fn spectrum(table: &Table, key: &'static str) -> Option<Spectrum> {
    let item = table.item(key)?;
    let values: Vec<Option<f64>> = item.list()?.iter().map(Item::number).collect();
    let values: Option<Vec<f64>> = values.into_iter().collect();
    spectrum_from(&values?, &item.place())
        .map_err(|f| item.add(f))
        .ok()
}

fn plain(table: &Table, key: &'static str, measure: Measure) -> Option<f64> {
    table.quantity(key, measure).map(|typed| typed.quantity.si)
}

fn number(table: &Table, key: &'static str, measure: Measure) -> Option<Known> {
    table.item(key).and_then(|item| known(item, measure))
}
