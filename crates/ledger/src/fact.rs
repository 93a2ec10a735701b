//! What can happen. To add a kind: a struct here with its `check`, and one line in `facts!`.
//!
//! A fact of a kind that exists is never given another meaning. A field may be added if events without it still say
//! all they said; anything else is a new version of the kind, which older programs keep without reading.

use crate::Closure;
use crate::names::{ANSWER, NAME, name, wrong};
use serde::{Deserialize, Serialize};
use uuid::Uuid;
use words::{Arg, Finding, say, text};

/// Where material comes from when it is bought, and goes to when it is used up, sold or poured away. The only place
/// that may hold less than nothing: what it is short of is what the workshop took in.
pub const OUTSIDE: &str = "outside";

/// Largest amount that moves at once, mg or µL: 1000 t or 1000 m³, a thousand times what a workshop holds. Browsers
/// keep whole numbers exactly up to 9·10¹⁵.
const MOST: i64 = 1_000_000_000_000;

macro_rules! facts {
    ($($kind:ident $key:literal $version:literal $what:literal,)*) => {
        /// Something that happened.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Fact {
            $(#[doc = $what] $kind($kind),)*
        }

        impl Fact {
            /// The key of its kind, as it is written.
            pub const fn kind(&self) -> &'static str {
                match self { $(Self::$kind(_) => $key,)* }
            }
            /// The version of the kind that this program writes.
            pub(crate) const fn version(&self) -> u32 {
                match self { $(Self::$kind(_) => $version,)* }
            }
            /// What is wrong with it.
            pub(crate) fn check(&self) -> Result<(), Finding> {
                match self { $(Self::$kind(fact) => fact.check(),)* }
            }
            pub(crate) fn write(&self) -> serde_json::Result<String> {
                match self { $(Self::$kind(fact) => serde_json::to_string(fact),)* }
            }
            /// `None`: a kind or version that this program does not know.
            pub(crate) fn read(kind: &str, version: u32, json: &str) -> serde_json::Result<Option<Self>> {
                Ok(match kind {
                    $($key if version == $version => Some(Self::$kind(serde_json::from_str(json)?)),)*
                    _ => None,
                })
            }
        }

        $(impl From<$kind> for Fact {
            fn from(fact: $kind) -> Self {
                Self::$kind(fact)
            }
        })*
    };
}

facts! {
    LotMade "lot-made" 1 "Job cards were made: from now on a lot exists.",
    StepDone "step-done" 1 "The floor finished a step.",
    Measured "measured" 1 "Something was measured.",
    Approved "approved" 1 "Somebody approved a lot or a strike-off.",
    StockMoved "stock-moved" 1 "Material went from one place to another.",
    Voided "voided" 1 "An earlier event does not hold.",
}

/// A lot, frozen as it was designed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LotMade {
    /// Id of the lot.
    pub lot: String,
    /// Id of the design.
    pub design: String,
    /// Revision of the design, see `route::revision`.
    #[serde(with = "hex")]
    pub revision: [u8; 32],
    /// Bolts, 1 or more.
    pub bolts: u32,
    /// The files that it was made from; `None` where a device cannot know them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closure: Option<Closure>,
}

impl LotMade {
    fn check(&self) -> Result<(), Finding> {
        name(text!("the lot", "partai"), &self.lot, NAME)?;
        name(text!("the design", "desain"), &self.design, NAME)?;
        if self.bolts == 0 {
            let found = say!("the lot has no bolt", "partai ini tanpa gulung");
            return Err(wrong("lot-without-bolts", found));
        }
        Ok(())
    }
}

/// A step that is done, for one bolt or for the whole lot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StepDone {
    /// Id of the lot.
    pub lot: String,
    /// The bolt, from 0; `None`: all of them.
    pub bolt: Option<u32>,
    /// Permanent id of the step.
    pub step: String,
    /// What the card asks the floor to write down: key and answer, as it was written.
    pub asks: Vec<(String, String)>,
}

impl StepDone {
    fn check(&self) -> Result<(), Finding> {
        name(text!("the lot", "partai"), &self.lot, NAME)?;
        name(text!("the step", "langkah"), &self.step, NAME)?;
        for (key, answer) in &self.asks {
            name(text!("what was asked", "pertanyaan"), key, NAME)?;
            name(text!("the answer", "jawaban"), answer, ANSWER)?;
        }
        Ok(())
    }
}

/// A measurement: the mean of `n` readings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// What.
    pub what: String,
    /// How much.
    pub value: f64,
    /// In which unit; empty for a plain number.
    pub unit: String,
    /// Number of readings, 1 or more.
    pub n: u32,
}

impl Measured {
    fn check(&self) -> Result<(), Finding> {
        name(text!("what was measured", "yang diukur"), &self.what, NAME)?;
        if !self.unit.is_empty() {
            name(text!("the unit", "satuan"), &self.unit, NAME)?;
        }
        if self.n == 0 || !self.value.is_finite() {
            let found = say!(
                "{value} of {n} readings is no measurement",
                "{value} dari {n} pembacaan bukan hasil ukur",
                value = Arg::Name(self.value.to_string()),
                n = Arg::Number(f64::from(self.n), 0)
            );
            let allowed = say!(
                "a number, from at least one reading",
                "sebuah angka, dari sedikitnya satu pembacaan"
            );
            return Err(wrong("not-a-measurement", found).allow(allowed));
        }
        Ok(())
    }
}

/// What is approved.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Subject {
    /// A lot by id.
    Lot(String),
    /// A strike-off by its name.
    StrikeOff(String),
}

/// An approval.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Approved {
    /// What is approved.
    pub subject: Subject,
    /// By whom.
    pub by: String,
}

impl Approved {
    fn check(&self) -> Result<(), Finding> {
        match &self.subject {
            Subject::Lot(id) => name(text!("the lot", "partai"), id, NAME)?,
            Subject::StrikeOff(id) => name(text!("the strike-off", "contoh"), id, NAME)?,
        }
        name(
            text!("the name of who approves", "nama yang menyetujui"),
            &self.by,
            NAME,
        )
    }
}

/// How much material, in whole units, so that a thousand small draws still add up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Amount {
    /// By mass, mg.
    Mg(i64),
    /// By volume, µL.
    Ul(i64),
}

impl Amount {
    /// The number, whichever unit it counts.
    pub const fn count(self) -> i64 {
        match self {
            Self::Mg(n) | Self::Ul(n) => n,
        }
    }
}

/// Material that went from one place to another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StockMoved {
    /// The material.
    pub material: String,
    /// The place that gives; [`OUTSIDE`] for what is bought.
    pub from: String,
    /// The place that receives; [`OUTSIDE`] for what is gone.
    pub to: String,
    /// How much, above zero.
    pub amount: Amount,
}

impl StockMoved {
    /// A place may give more than the ledger knows of: it was done, so it is recorded, and the books show the place as
    /// short until somebody counts it.
    fn check(&self) -> Result<(), Finding> {
        name(text!("the material", "bahan"), &self.material, NAME)?;
        name(text!("the place that gives", "tempat asal"), &self.from, NAME)?;
        name(text!("the place that receives", "tempat tujuan"), &self.to, NAME)?;
        if self.from == self.to {
            let found = say!(
                "{place} gives to itself",
                "{place} memberi kepada dirinya sendiri",
                place = Arg::Name(self.to.clone())
            );
            return Err(wrong("same-place", found));
        }
        let n = self.amount.count();
        if !(1..=MOST).contains(&n) {
            let number = |n: i64| Arg::Name(n.to_string());
            let found = say!("{n} mg or µL moved", "{n} mg atau µL dipindahkan", n = number(n));
            let allowed = say!("1 to {most}", "1 sampai {most}", most = number(MOST));
            return Err(wrong("amount-out-of-range", found).allow(allowed));
        }
        Ok(())
    }
}

/// An earlier event that does not hold. That stands: a mistaken voiding is mended by recording the fact anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Voided {
    /// The event, which may not have arrived yet.
    #[serde(with = "id")]
    pub event: Uuid,
}

impl Voided {
    const fn check(&self) -> Result<(), Finding> {
        Ok(())
    }
}

/// Ids as they are usually spelled.
mod id {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};
    use uuid::Uuid;

    pub fn serialize<S: Serializer>(id: &Uuid, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(id)
    }
    pub fn deserialize<'d, D: Deserializer<'d>>(from: D) -> Result<Uuid, D::Error> {
        Uuid::try_parse(&String::deserialize(from)?).map_err(D::Error::custom)
    }
}

/// A hash as 64 hexadecimal digits.
mod hex {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub fn serialize<S: Serializer>(hash: &[u8; 32], to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&crate::closure::hex(hash))
    }
    pub fn deserialize<'d, D: Deserializer<'d>>(from: D) -> Result<[u8; 32], D::Error> {
        let text = String::deserialize(from)?;
        let digit = |d: u8| char::from(d).to_digit(16);
        let byte = |pair: &[u8]| match pair {
            [high, low] => Some((digit(*high)? * 16 + digit(*low)?) as u8),
            _ => None,
        };
        let bytes: Option<Vec<u8>> = text.as_bytes().chunks(2).map(byte).collect();
        let hash = bytes.and_then(|bytes| bytes.try_into().ok());
        hash.ok_or_else(|| D::Error::custom("not 64 hexadecimal digits"))
    }
}
