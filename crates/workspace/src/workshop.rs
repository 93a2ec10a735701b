//! The workshop from `workshop.toml`: what stands there, who works there, what things cost, when it works.

use crate::Source;
use crate::calendar::{self, CalendarSpec};
use crate::constants;
use crate::lead::{self, LeadTimes};
use crate::money::{self, Per, currency, money};
use crate::rain::{self, RainSpec};
use crate::read::{Sheet, Table, parse, remedy_for};
use crate::stamp_makers::{self, StampMaker};
use route::{Climate, Money, Person, Rate, STORE, Station, Workshop};
use std::collections::BTreeSet;
use units::{Celsius, Length, Measure};
use words::{Arg, Finding, Place, Weight, say};

const KEYS: [&str; 16] = [
    "name",
    "town",
    "cloth_price",
    "overhead",
    "money",
    "rates",
    "climate",
    "stations",
    "people",
    "prices",
    "calendars",
    "exceptions",
    "constants",
    "stamp_makers",
    "rain",
    "lead_times",
];
const STATION: [&str; 4] = ["key", "places", "volume", "load"];
const PERSON: [&str; 3] = ["key", "count", "wage"];
const MONEY: [&str; 2] = ["books", "quotes"];
const RATE: [&str; 4] = ["from", "to", "rate", "date"];
const CLIMATE: [&str; 8] = [
    "latitude",
    "longitude",
    "utc",
    "air",
    "humidity",
    "wind",
    "clearness",
    "day",
];

/// The workshop as it was read.
pub(crate) struct WorkshopFile {
    pub workshop: Option<Workshop>,
    pub calendars: Vec<CalendarSpec>,
    pub stamp_makers: Vec<StampMaker>,
    pub rain: Option<RainSpec>,
    pub lead_times: LeadTimes,
    pub findings: Vec<Finding>,
}

/// Reads the workshop. A wrong station, person, price, rate or constant is left out and said; a workshop without
/// a name, climate or currency is none.
pub(crate) fn read(source: &Source) -> WorkshopFile {
    let sheet = Sheet::new(&source.path);
    let (mut workshop, mut calendars, mut stamp_makers) = (None, Vec::new(), Vec::new());
    let (mut rain, mut lead_times) = (None, LeadTimes::default());
    if let Some(document) = parse(source, &sheet) {
        let table = Table::document(&sheet, &document, &KEYS);
        workshop = whole(&table);
        calendars = calendar::read(&table);
        stamp_makers = stamp_makers::read(&table);
        rain = rain::read(&table);
        lead_times = lead::read(&table);
    }
    WorkshopFile {
        workshop,
        calendars,
        stamp_makers,
        rain,
        lead_times,
        findings: sheet.into_findings(),
    }
}

fn whole(table: &Table) -> Option<Workshop> {
    let (name, town) = (table.text("name"), table.text("town"));
    let overhead = table.within("overhead", Measure::Share, 0.0, 10.0);
    let cloth_price = table
        .item("cloth_price")
        .and_then(|item| money(item, &Per::Metre));
    let codes = table.table("money", &MONEY).map(|t| {
        let code = |key| t.item(key).and_then(currency);
        (code("books"), code("quotes"))
    });
    let climate = table.table("climate", &CLIMATE).and_then(|t| climate(&t));
    let stations = list(table, "stations", &STATION, station);
    let people = list(table, "people", &PERSON, person);
    let rates = table.tables("rates", &RATE).iter().filter_map(rate).collect();
    let prices = table
        .item("prices")
        .and_then(|item| item.open_table())
        .map(|t| prices(&t));
    let constants = table
        .maybe("constants")
        .and_then(|item| item.open_table())
        .map(|t| constants::read(&t));
    let (books, quotes) = codes?;
    let workshop = Workshop {
        name: name?,
        town: town?,
        stations,
        people,
        prices: prices.unwrap_or_default(),
        cloth_price: cloth_price?,
        overhead: overhead?,
        rates,
        books: books?,
        quotes: quotes?,
        climate: climate?,
        constants: constants.unwrap_or_default(),
    };
    exchange(table, &workshop);
    Some(workshop)
}

/// The tables of `[[key]]`, each known by its own key, which may stand once.
fn list<T>(
    table: &Table,
    key: &'static str,
    known: &[&'static str],
    read: impl Fn(&Table) -> Option<(String, T)>,
) -> Vec<T> {
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for entry in table.tables(key, known) {
        let Some((name, value)) = read(&entry) else {
            continue;
        };
        if seen.insert(name.clone()) {
            all.push(value);
        } else {
            entry.sheet().add(Finding::new(
                "key-twice",
                Weight::Wrong,
                entry.place_of("key"),
                say!(
                    "{name} stands twice among the {list}",
                    "{name} tertulis dua kali di {list}",
                    name = Arg::Name(name),
                    list = Arg::Name(key.into())
                ),
            ));
        }
    }
    all
}

fn station(entry: &Table) -> Option<(String, Station)> {
    let key = entry.text("key");
    let places = entry.item("places").and_then(|i| i.whole(1, 1000));
    let optional = |key, measure, most| match entry.maybe(key) {
        Some(_) => entry.within(key, measure, 0.0, most),
        None => Some(0.0),
    };
    let volume = optional("volume", Measure::Volume, 100.0);
    let load = optional("load", Measure::Length, 10_000.0);
    let key = key?;
    Some((
        key.clone(),
        Station {
            key,
            places: places?,
            volume: volume?,
            load: Length(load?),
        },
    ))
}

fn person(entry: &Table) -> Option<(String, Person)> {
    let key = entry.text("key");
    let count = entry.item("count").and_then(|i| i.whole(1, 1000));
    let wage = entry.item("wage").and_then(|i| money(i, &Per::Hour));
    let key = key?;
    Some((
        key.clone(),
        Person {
            key,
            count: count?,
            wage: wage?,
        },
    ))
}

fn rate(entry: &Table) -> Option<Rate> {
    let code = |key| entry.item(key).and_then(currency);
    let (from, to) = (code("from"), code("to"));
    let rate = entry.number_within("rate", 1e-9, 1e9, 2);
    let date = entry
        .item("date")
        .and_then(|item| item.date().and_then(|_| item.date_text()));
    Some(Rate {
        from: from?,
        to: to?,
        rate: rate?,
        date: date?.trim().to_string(),
    })
}

fn climate(table: &Table) -> Option<Climate> {
    let latitude = side(table, "latitude", ["N", "S"], 90.0, "3.8 S");
    let longitude = side(table, "longitude", ["E", "W"], 180.0, "102.3 E");
    let utc = table.within("utc", Measure::Span, -14.0 * 3600.0, 14.0 * 3600.0);
    let air = table.within("air", Measure::Temperature, -10.0, 50.0);
    let humidity = table.within("humidity", Measure::Share, 0.05, 1.0);
    let clearness = table.within("clearness", Measure::Share, 0.0, 1.0);
    let wind = wind(table);
    let day = table.date("day");
    Some(Climate {
        latitude: latitude?,
        longitude: longitude?,
        utc_hours: utc? / 3600.0,
        air: Celsius(air?),
        humidity: humidity?,
        wind: wind?,
        clearness: clearness?,
        day: day?.days,
    })
}

/// Degrees with the side of the earth: "3.8 S" is -3.8.
fn side(table: &Table, key: &'static str, sides: [&str; 2], most: f64, example: &str) -> Option<f64> {
    let item = table.item(key)?;
    let text = item.text()?.trim();
    let read = sides.iter().zip([1.0, -1.0]).find_map(|(letter, sign)| {
        let number = decimal(text.strip_suffix(letter)?)?;
        (number <= most).then_some(sign * number)
    });
    if read.is_none() {
        item.add(
            item.wrong(
                "degrees",
                say!(
                    "{key} is \"{found}\"",
                    "{key} diisi \"{found}\"",
                    key = Arg::Name(key.into()),
                    found = Arg::Name(text.chars().take(40).collect())
                ),
            )
            .allow(say!(
                "degrees from 0 to {most} and {one} or {other}: {example}",
                "derajat dari 0 sampai {most} dan {one} atau {other}: {example}",
                most = Arg::Number(most, 0),
                one = Arg::Name(sides[0].into()),
                other = Arg::Name(sides[1].into()),
                example = Arg::Name(example.into())
            )),
        );
    }
    read
}

/// Wind in m/s from "2 m/s" or "7 km/h".
fn wind(table: &Table) -> Option<f64> {
    let item = table.item("wind")?;
    let text = item.text()?.trim();
    let read = [("km/h", 1.0 / 3.6), ("m/s", 1.0)]
        .iter()
        .find_map(|(unit, factor)| Some(decimal(text.strip_suffix(unit)?)? * factor))
        .filter(|wind| *wind <= 30.0);
    if read.is_none() {
        item.add(
            item.wrong(
                "wind",
                say!(
                    "{key} is \"{found}\"",
                    "{key} diisi \"{found}\"",
                    key = Arg::Name("wind".into()),
                    found = Arg::Name(text.chars().take(40).collect())
                ),
            )
            .allow(say!(
                "a speed of up to 30 m/s: {one} or {other}",
                "kecepatan sampai 30 m/s: {one} atau {other}",
                one = Arg::Name("2 m/s".into()),
                other = Arg::Name("7 km/h".into())
            )),
        );
    }
    read
}

/// A plain decimal number that is not negative.
fn decimal(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    plain.then(|| text.parse::<f64>().ok())?.filter(|n| n.is_finite())
}

fn prices(table: &Table) -> Vec<(String, Money)> {
    let mut all = Vec::new();
    for (key, place, item) in table.items() {
        let Some(material) = STORE.iter().find(|material| material.term.key == key) else {
            table.sheet().add(not_known(
                "material-not-known",
                place,
                key,
                STORE.iter().map(|material| material.term.key),
            ));
            continue;
        };
        let per = if material.sold_by() == Measure::Volume {
            Per::Volume
        } else {
            Per::Mass
        };
        if let Some(money) = money(item, &per) {
            all.push((key.to_string(), money));
        }
    }
    all
}

/// A key that is not in one of the trade's tables.
pub(crate) fn not_known<'k>(
    code: &'static str,
    place: Place,
    key: &str,
    known: impl Iterator<Item = &'k str>,
) -> Finding {
    let mut finding = Finding::new(
        code,
        Weight::Wrong,
        place,
        say!(
            "{key} is not known here",
            "{key} tidak dikenal di sini",
            key = Arg::Name(key.chars().take(60).collect())
        ),
    );
    finding.remedy = remedy_for(key, known);
    finding
}

/// Every currency met must have a rate to that of the books.
fn exchange(table: &Table, workshop: &Workshop) {
    let place = |list: &str| table.place_of(list);
    let mut met = vec![
        (&workshop.quotes, place("money")),
        (&workshop.cloth_price.currency, place("cloth_price")),
    ];
    met.extend(
        workshop
            .people
            .iter()
            .map(|p| (&p.wage.currency, place("people"))),
    );
    met.extend(
        workshop
            .prices
            .iter()
            .map(|(_, m)| (&m.currency, place("prices"))),
    );
    let mut told = BTreeSet::new();
    for (code, place) in met {
        let bridge = |r: &Rate| {
            (r.from == *code && r.to == workshop.books) || (r.to == *code && r.from == workshop.books)
        };
        if *code == workshop.books || workshop.rates.iter().any(bridge) || !told.insert(code.clone()) {
            continue;
        }
        table.sheet().add(
            Finding::new(
                "currency-without-rate",
                Weight::Wrong,
                place,
                say!(
                    "there is no exchange rate between {code} and {books}",
                    "tidak ada kurs antara {code} dan {books}",
                    code = Arg::Name(code.clone()),
                    books = Arg::Name(workshop.books.clone())
                ),
            )
            .remedy(say!(
                "add one under {rates} with the day it was read",
                "tambahkan di {rates} dengan tanggal bacanya",
                rates = Arg::Name("[[rates]]".into())
            )),
        );
    }
}

/// A code of the books that dye prices must be convertible to.
pub(crate) fn convertible(workshop: &Workshop, code: &str) -> bool {
    money::is_code(code)
        && (code == workshop.books
            || workshop.rates.iter().any(|r| {
                (r.from == code && r.to == workshop.books) || (r.to == code && r.from == workshop.books)
            }))
}
