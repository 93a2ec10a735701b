//! The workshop: what stands there, who works there, what things cost, and its climate.

use crate::Constants;
use units::{Celsius, Length};

/// A station, a vessel or a pool of places.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Key, as operations use it ("jig", "tank", "cauldron", "table").
    pub key: String,
    /// How many bolts or loads at a time.
    pub places: u32,
    /// Liquor it holds, m3; zero for a table or a yard.
    pub volume: f64,
    /// Running length of cloth it takes at once.
    pub load: Length,
}

/// People of one skill.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// Key, as operations use it ("sponger", "stamper", "helper", "foreman").
    pub key: String,
    /// How many.
    pub count: u32,
    /// Wage per hour.
    pub wage: Money,
}

/// An amount of money, in whole minor units of a currency.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Money {
    /// Minor units (cents; for IDR, whole rupiah).
    pub minor: i64,
    /// ISO 4217 code.
    pub currency: String,
}

/// Where the workshop stands and what its air is like while work is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Climate {
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
    /// Hours ahead of UTC.
    pub utc_hours: f64,
    /// Air in the shade, by day.
    pub air: Celsius,
    /// Relative humidity, 0..1.
    pub humidity: f64,
    /// Wind over the yard, m/s.
    pub wind: f64,
    /// Part of the clear-sky sun that usually arrives in working hours, 0..1.
    pub clearness: f64,
    /// Days since 1970-01-01 for which the sun is computed.
    pub day: i32,
}

/// The workshop.
#[derive(Clone, Debug, PartialEq)]
pub struct Workshop {
    /// Its name.
    pub name: String,
    /// Its town.
    pub town: String,
    /// Stations and vessels.
    pub stations: Vec<Station>,
    /// People by skill.
    pub people: Vec<Person>,
    /// Prices by material key, each per what [`crate::Material::sold_by`] says: water per m3, everything else per kg.
    pub prices: Vec<(String, Money)>,
    /// White cloth, per metre of length.
    pub cloth_price: Money,
    /// Overhead on labour, as a share.
    pub overhead: f64,
    /// Rates: one unit of the first currency is so many of the second, and the date it was read.
    pub rates: Vec<Rate>,
    /// Currency of the workshop's books.
    pub books: String,
    /// Currency of quotations.
    pub quotes: String,
    /// Climate.
    pub climate: Climate,
    /// Own constants.
    pub constants: Constants,
}

/// A dated exchange rate.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// From.
    pub from: String,
    /// To.
    pub to: String,
    /// Units of `to` per unit of `from`.
    pub rate: f64,
    /// ISO date it was read.
    pub date: String,
}

impl Workshop {
    /// A station by key.
    pub fn station(&self, key: &str) -> Option<&Station> {
        self.stations.iter().find(|s| s.key == key)
    }
    /// Volume of a vessel, m3, or what is given here if the workshop has no such vessel or states no volume.
    pub fn volume(&self, key: &str, otherwise: f64) -> f64 {
        self.station(key)
            .map(|s| s.volume)
            .filter(|v| *v > 0.0)
            .unwrap_or(otherwise)
    }
    /// Running length a vessel takes at once; `otherwise` as for [`Workshop::volume`].
    pub fn load(&self, key: &str, otherwise: Length) -> Length {
        self.station(key)
            .map(|s| s.load)
            .filter(|l| l.0 > 0.0)
            .unwrap_or(otherwise)
    }
    /// People of a skill.
    pub fn person(&self, key: &str) -> Option<&Person> {
        self.people.iter().find(|p| p.key == key)
    }
}
