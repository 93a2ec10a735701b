//! What the events come to: lots, stocks, approvals, measurements.
//!
//! Books are a function of the set of events. A list in them is in the order of ids, which every ledger shares; that an
//! id begins with its device's clock makes lists readable, and nothing rests on it. Where two events contradict each
//! other both are kept and shown: which of two people was right is not the ledger's to say.

use crate::{Amount, Approved, Event, Fact, LedgerError, Measured, OUTSIDE, StepDone, StockMoved, Store};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// A fact with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<T> {
    /// The event.
    pub event: Uuid,
    /// The device that recorded it.
    pub device: String,
    /// What its clock said.
    pub at: Timestamp,
    /// What happened.
    pub fact: T,
}

/// What a lot was made from; its closure stays in the event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// Id of the design.
    pub design: String,
    /// Its revision.
    pub revision: [u8; 32],
    /// Bolts.
    pub bolts: u32,
}

/// A lot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lot {
    /// Every time that it was said to be made: none if that event has not arrived yet.
    pub made: Vec<Noted<Made>>,
    /// Steps that are done. A step may stand here twice: two people may have written it down.
    pub steps: Vec<Noted<StepDone>>,
}

impl Lot {
    /// What it was made from, if that is known and undisputed.
    pub fn made(&self) -> Option<&Noted<Made>> {
        let first = self.made.first()?;
        self.made.iter().all(|m| m.fact == first.fact).then_some(first)
    }
    /// Was it made from two revisions, or in two sizes? Then two kinds of cards are about.
    pub fn disputed(&self) -> bool {
        !self.made.is_empty() && self.made().is_none()
    }
}

/// What the events come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Books {
    /// Lots by id.
    pub lots: BTreeMap<String, Lot>,
    /// Movements of material.
    pub moves: Vec<Noted<StockMoved>>,
    /// Approvals.
    pub approvals: Vec<Noted<Approved>>,
    /// Measurements.
    pub measurements: Vec<Noted<Measured>>,
    /// Events that do not hold.
    pub voided: BTreeSet<Uuid>,
    /// Events of a kind that this program does not know: they are kept, and the books are without them.
    pub unread: BTreeMap<Uuid, String>,
}

impl Books {
    /// The books of a store.
    ///
    /// # Errors
    /// If the store cannot be read.
    pub fn read(store: &dyn Store) -> Result<Self, LedgerError> {
        let mut notes = BTreeMap::new();
        store.walk(0, &mut |entry| {
            note(&mut notes, &entry.event);
            Ok(())
        })?;
        Ok(Self::reckon(notes))
    }

    /// The books of some events, in any order, repeated or not.
    pub fn of<'e>(events: impl IntoIterator<Item = &'e Event>) -> Self {
        let mut notes = BTreeMap::new();
        for event in events {
            note(&mut notes, event);
        }
        Self::reckon(notes)
    }

    fn reckon(notes: BTreeMap<Uuid, Noted<Told>>) -> Self {
        let mut books = Self::default();
        for note in notes.values() {
            if let Told::Voided(event) = note.fact {
                books.voided.insert(event);
            }
        }
        for (id, note) in notes {
            if !books.voided.contains(&id) {
                books.take(note);
            }
        }
        books
    }

    fn take(&mut self, note: Noted<Told>) {
        let Noted {
            event,
            device,
            at,
            fact,
        } = note;
        macro_rules! noted {
            ($fact:expr) => {
                Noted {
                    event,
                    device,
                    at,
                    fact: $fact,
                }
            };
        }
        match fact {
            Told::Made(lot, made) => self.lots.entry(lot).or_default().made.push(noted!(made)),
            Told::Done(step) => {
                let lot = self.lots.entry(step.lot.clone()).or_default();
                lot.steps.push(noted!(step));
            }
            Told::Measured(fact) => self.measurements.push(noted!(fact)),
            Told::Approved(fact) => self.approvals.push(noted!(fact)),
            Told::Moved(fact) => self.moves.push(noted!(fact)),
            Told::Voided(_) => {}
            Told::Unread(kind) => {
                self.unread.insert(event, kind);
            }
        }
    }

    /// What every place holds of every material, mg and µL apart: sums over the movements. Nothing is left out, so
    /// the places hold zero of each material together.
    pub fn stocks(&self) -> BTreeMap<(&str, &str), Stock> {
        let mut stocks: BTreeMap<(&str, &str), Stock> = BTreeMap::new();
        for StockMoved {
            material,
            from,
            to,
            amount,
        } in self.moves.iter().map(|m| &m.fact)
        {
            stocks.entry((from, material)).or_default().add(*amount, -1);
            stocks.entry((to, material)).or_default().add(*amount, 1);
        }
        stocks
    }

    /// What a place holds of a material.
    pub fn holds(&self, place: &str, material: &str) -> Stock {
        self.stocks().get(&(place, material)).copied().unwrap_or_default()
    }

    /// Places and materials of which more was taken than was ever there: count them.
    pub fn short(&self) -> Vec<(&str, &str)> {
        let stocks = self.stocks().into_iter();
        let short = stocks.filter(|((place, _), stock)| *place != OUTSIDE && (stock.mg < 0 || stock.ul < 0));
        short.map(|(key, _)| key).collect()
    }
}

/// An amount held; below zero where more was taken than the ledger knows of. Wide enough for any number of moves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stock {
    /// By mass, mg.
    pub mg: i128,
    /// By volume, µL.
    pub ul: i128,
}

impl Stock {
    fn add(&mut self, amount: Amount, sign: i128) {
        match amount {
            Amount::Mg(n) => self.mg += sign * i128::from(n),
            Amount::Ul(n) => self.ul += sign * i128::from(n),
        }
    }
}

/// A fact without its closure, which may have megabytes.
enum Told {
    Made(String, Made),
    Done(StepDone),
    Measured(Measured),
    Approved(Approved),
    Moved(StockMoved),
    Voided(Uuid),
    Unread(String),
}

fn note(notes: &mut BTreeMap<Uuid, Noted<Told>>, event: &Event) {
    let fact = match event.fact() {
        Some(Fact::LotMade(f)) => {
            let (design, revision, bolts) = (f.design.clone(), f.revision, f.bolts);
            Told::Made(
                f.lot.clone(),
                Made {
                    design,
                    revision,
                    bolts,
                },
            )
        }
        Some(Fact::StepDone(f)) => Told::Done(f.clone()),
        Some(Fact::Measured(f)) => Told::Measured(f.clone()),
        Some(Fact::Approved(f)) => Told::Approved(f.clone()),
        Some(Fact::StockMoved(f)) => Told::Moved(f.clone()),
        Some(Fact::Voided(f)) => Told::Voided(f.event),
        None => Told::Unread(event.kind().to_string()),
    };
    let (device, at) = (event.device().to_string(), event.at());
    notes.insert(
        event.id(),
        Noted {
            event: event.id(),
            device,
            at,
            fact,
        },
    );
}
