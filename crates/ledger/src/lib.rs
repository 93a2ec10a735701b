//! What was really done: append-only events.
//!
//! The workspace's files say what is intended; the ledger says what happened. An [`Event`] is a statement of one
//! device: it is never edited, only voided by another event. Its id is made where it is recorded, so a phone may be
//! offline for a day and send again what it is not sure of. Lots, stocks, approvals and measurements are [`Books`],
//! reckoned from the events each time; no total is stored anywhere.
//!
//! Two ledgers that exchanged their events hold the same books, whoever sent first, because books depend on the *set*
//! of events alone: not on the sequence numbers, which each ledger gives for itself, nor on clocks.
//!
//! This crate knows no pictures, plans or pages. Only [`Event::record`] looks at the clock.

mod books;
mod closure;
mod error;
mod event;
mod fact;
mod lot;
mod names;
mod sqlite;
mod store;
mod transfer;

pub use books::{Books, Lot, Made, Noted, Stock};
pub use closure::Closure;
pub use error::LedgerError;
pub use event::{Event, LONGEST_EVENT};
pub use fact::{Amount, Approved, Fact, LotMade, Measured, OUTSIDE, StepDone, StockMoved, Subject, Voided};
pub use lot::{Outcome, freeze, make_lot};
pub use sqlite::Sqlite;
pub use store::{Entry, PAGE, Receipt, Store};
pub use transfer::{Imported, export, import};

/// File name of the ledger in a workspace's folder.
pub const FILE: &str = "ledger.sqlite";
