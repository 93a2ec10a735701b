//! Where events are kept, whatever keeps them.

use crate::{Event, LedgerError};
use uuid::Uuid;

/// An event in a store.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its number in this store, from 1 without gaps: the order in which events arrived here.
    pub seq: u64,
    /// The event.
    pub event: Event,
}

/// What became of an event that was sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The event.
    pub id: Uuid,
    /// Its number in this store.
    pub seq: u64,
    /// Was it new? `false`: it had been sent before.
    pub new: bool,
}

/// Events read at a time where all are wanted.
pub const PAGE: usize = 256;

/// An append-only store of events.
pub trait Store {
    /// Appends events, all or none. When it returns, they are on the disk. An event that is there already stays as it
    /// is, so sending again is harmless.
    ///
    /// # Errors
    /// [`LedgerError::Differs`] if an id is there with another event; what the storage says otherwise.
    fn append(&mut self, events: &[Event]) -> Result<Vec<Receipt>, LedgerError>;

    /// Up to `most` events in the order of arrival, after number `after` (0: from the first); fewer only at the end.
    ///
    /// # Errors
    /// If the storage refuses, or an event there is not as it was written.
    fn page(&self, after: u64, most: usize) -> Result<Vec<Entry>, LedgerError>;

    /// An event by id.
    ///
    /// # Errors
    /// As [`Store::page`].
    fn get(&self, id: Uuid) -> Result<Option<Entry>, LedgerError>;

    /// Every event after number `after`, a page at a time.
    ///
    /// # Errors
    /// As [`Store::page`], or what `each` answers.
    fn walk(
        &self,
        mut after: u64,
        each: &mut dyn FnMut(Entry) -> Result<(), LedgerError>,
    ) -> Result<(), LedgerError> {
        loop {
            let page = self.page(after, PAGE)?;
            let full = page.len() == PAGE;
            for entry in page {
                after = entry.seq;
                each(entry)?;
            }
            if !full {
                return Ok(());
            }
        }
    }
}
