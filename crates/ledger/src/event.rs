//! One event: what a device recorded, kept to the byte as the device wrote it.
//!
//! ```text
//! {"v":1,"id":"0193…","device":"phone-2","at":"2026-11-25T07:20:00Z","kind":"step-done","fact":{…}}
//! ```
//! One line of JSON. These six names never change; `v` is the version of the kind, and `fact` is the kind's own
//! affair. So a program that does not know a kind still keeps, sends and voids it.

use crate::names::{NAME, name, wrong};
use crate::{Fact, LedgerError};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use std::borrow::Cow;
use uuid::Uuid;
use words::{Arg, Finding, say, text};

/// Longest event, bytes; the closure of a lot with several intricate drawings has about 3 MB.
pub const LONGEST_EVENT: usize = 24 << 20;

/// Something that a device says happened.
#[derive(Clone, Debug)]
pub struct Event {
    id: Uuid,
    device: String,
    at: Timestamp,
    kind: String,
    fact: Option<Fact>,
    text: String,
}

/// Two events are the same if their devices wrote the same.
impl PartialEq for Event {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

#[derive(Serialize, Deserialize)]
struct Wire<'a> {
    v: u32,
    id: Cow<'a, str>,
    device: Cow<'a, str>,
    at: Cow<'a, str>,
    kind: Cow<'a, str>,
    #[serde(borrow)]
    fact: &'a RawValue,
}

impl Event {
    /// Records a fact here and now: a new id, this computer's clock.
    ///
    /// # Errors
    /// If the fact says something that cannot be.
    pub fn record(device: &str, fact: impl Into<Fact>) -> Result<Self, LedgerError> {
        Self::new(Uuid::now_v7(), device, Timestamp::now(), fact)
    }

    /// An event with the id and time that its device gave it.
    ///
    /// # Errors
    /// If the fact says something that cannot be, or the id is not of version 7.
    pub fn new(id: Uuid, device: &str, at: Timestamp, fact: impl Into<Fact>) -> Result<Self, LedgerError> {
        let fact = fact.into();
        // Before writing: JSON would turn a value that is no number into `null`.
        fact.check()?;
        let json = fact.write().and_then(RawValue::from_string);
        let json = json.map_err(|e| LedgerError::system("json", e))?;
        let wire = Wire {
            v: fact.version(),
            id: id.to_string().into(),
            device: device.into(),
            at: at.to_string().into(),
            kind: fact.kind().into(),
            fact: &json,
        };
        let text = serde_json::to_string(&wire).map_err(|e| LedgerError::system("json", e))?;
        Self::read(&text)
    }

    /// Reads an event as a device wrote it.
    ///
    /// # Errors
    /// If it is not one line of the six names, or says something that cannot be.
    pub fn read(text: &str) -> Result<Self, LedgerError> {
        if text.len() > LONGEST_EVENT || text.contains(['\n', '\r']) {
            let found = say!(
                "an event of {n} bytes, or of more than one line",
                "catatan sepanjang {n} bita, atau lebih dari satu baris",
                n = Arg::Number(text.len() as f64, 0)
            );
            let allowed = say!(
                "one line of up to {n} bytes",
                "satu baris sampai {n} bita",
                n = Arg::Number(LONGEST_EVENT as f64, 0)
            );
            return Err(wrong("event-too-long", found).allow(allowed).into());
        }
        let wire: Wire = serde_json::from_str(text).map_err(|e| not_read(&e))?;
        name(text!("the device", "perangkat"), &wire.device, NAME)?;
        name(text!("the kind of event", "jenis catatan"), &wire.kind, NAME)?;
        let id = Uuid::try_parse(&wire.id)
            .ok()
            .filter(|id| id.get_version_num() == 7);
        let id = id.ok_or_else(|| unfit("event-id", "id", &wire.id, "UUID 7"))?;
        let at = wire.at.parse();
        let at = at.map_err(|_| unfit("event-time", "at", &wire.at, "2026-11-25T14:20:00+07:00"))?;
        let fact = Fact::read(&wire.kind, wire.v, wire.fact.get()).map_err(|e| not_read(&e))?;
        if let Some(fact) = &fact {
            fact.check()?;
        }
        Ok(Self {
            id,
            device: wire.device.into_owned(),
            at,
            kind: wire.kind.into_owned(),
            fact,
            text: text.to_string(),
        })
    }

    /// Its id, version 7 (RFC 9562).
    pub const fn id(&self) -> Uuid {
        self.id
    }
    /// The device that recorded it.
    pub fn device(&self) -> &str {
        &self.device
    }
    /// What the device's clock said: a statement, not an order.
    pub const fn at(&self) -> Timestamp {
        self.at
    }
    /// The key of its kind.
    pub fn kind(&self) -> &str {
        &self.kind
    }
    /// What happened; `None` for a kind or version newer than this program.
    pub const fn fact(&self) -> Option<&Fact> {
        self.fact.as_ref()
    }
    /// As its device wrote it.
    pub fn text(&self) -> &str {
        &self.text
    }
}

fn not_read(error: &serde_json::Error) -> Finding {
    // The parser quotes what it stumbled over, however long it is.
    let reason = error.to_string();
    let reason = reason.chars().filter(|c| !c.is_control()).take(200).collect();
    let found = say!(
        "this is no event: {reason}",
        "ini bukan catatan: {reason}",
        reason = Arg::Name(reason)
    );
    wrong("event-not-read", found)
}

fn unfit(code: &'static str, field: &str, value: &str, fit: &str) -> Finding {
    let found = say!(
        "the event's {field} is \"{value}\"",
        "{field} pada catatan ini \"{value}\"",
        field = Arg::Name(field.to_string()),
        value = Arg::Name(value.chars().take(60).collect())
    );
    let allowed = say!(
        "something like {fit}",
        "misalnya {fit}",
        fit = Arg::Name(fit.to_string())
    );
    wrong(code, found).allow(allowed)
}
