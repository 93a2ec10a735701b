//! Making a lot: its cards are printed, and what it was made from is kept.

use crate::names::wrong;
use crate::{Books, Closure, Event, LedgerError, LotMade, Store, Voided};
use std::path::Path;
use uuid::Uuid;
use words::{Arg, say};
use workspace::{COLLECTION, WORKSHOP, Workspace};

/// A lot of a design as the workspace holds it now: its revision, and the files that give it again (collection,
/// workshop, every dye card, the design and the drawings beside it).
///
/// # Errors
/// If there is no such design, it cannot be made, or its files are too large to keep.
pub fn freeze(workspace: &Workspace, lot: &str, design: &str, bolts: u32) -> Result<LotMade, LedgerError> {
    let file = workspace.design_file(design);
    let Some((file, revision)) = file.and_then(|file| Some((file, file.revision?))) else {
        let found = say!(
            "the design {id} cannot be made, so there is no lot of it",
            "desain {id} belum dapat dibuat, jadi tidak ada partainya",
            id = Arg::Name(design.chars().take(60).collect())
        );
        return Err(wrong("lot-without-design", found).into());
    };
    let dyes = Path::new(workspace::DYES);
    let folder = Path::new(&file.path).parent();
    let belongs = |path: &str| {
        let at = Path::new(path);
        let drawing = at.parent() == folder && at.extension().is_none_or(|kind| kind != "toml");
        path == file.path || path == COLLECTION || path == WORKSHOP || at.starts_with(dyes) || drawing
    };
    let files = workspace.sources.iter().filter(|source| belongs(&source.path));
    let files: Vec<(&str, &str)> = files.map(|s| (s.path.as_str(), s.text.as_str())).collect();
    Ok(LotMade {
        lot: lot.to_string(),
        design: design.to_string(),
        revision,
        bolts,
        closure: Some(Closure::pack(&files)?),
    })
}

/// What [`make_lot`] did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The lot is new.
    Made(Uuid),
    /// It had been made just so: the cards were printed again, and nothing happened.
    AsBefore(Uuid),
    /// It had been made otherwise and not begun: the old events are voided. Cards of theirs must not be used.
    Anew {
        /// The event that holds now.
        made: Uuid,
        /// Those that do not hold any more.
        voided: Vec<Uuid>,
    },
}

/// Records that a lot is made, once.
///
/// # Errors
/// If the lot was begun from another revision or in another size: its cards are about, and cloth is in work. And as
/// [`Store::append`].
pub fn make_lot(store: &mut dyn Store, device: &str, lot: LotMade) -> Result<Outcome, LedgerError> {
    let books = Books::read(store)?;
    let known = books.lots.get(&lot.lot);
    let made = known.map_or(&[][..], |known| &known.made);
    let same = made.iter().find(|m| {
        let m = &m.fact;
        m.design == lot.design && m.revision == lot.revision && m.bolts == lot.bolts
    });
    let disputed = known.is_some_and(crate::Lot::disputed);
    if let Some(same) = same.filter(|_| !disputed) {
        return Ok(Outcome::AsBefore(same.event));
    }
    if !made.is_empty() && known.is_some_and(|known| !known.steps.is_empty()) {
        let found = say!(
            "lot {lot} was begun as it was designed before",
            "partai {lot} sudah dimulai menurut rancangan sebelumnya",
            lot = Arg::Name(lot.lot)
        );
        let remedy = say!(
            "finish it by its old cards, or order the new one under another id",
            "selesaikan dengan kartu lamanya, atau pesan yang baru dengan id lain"
        );
        return Err(wrong("lot-begun", found).remedy(remedy).into());
    }
    let voided: Vec<Uuid> = made.iter().map(|m| m.event).collect();
    let mut events = Vec::new();
    for event in &voided {
        events.push(Event::record(device, Voided { event: *event })?);
    }
    let new = Event::record(device, lot)?;
    let made = new.id();
    events.push(new);
    store.append(&events)?;
    Ok(if voided.is_empty() {
        Outcome::Made(made)
    } else {
        Outcome::Anew { made, voided }
    })
}
