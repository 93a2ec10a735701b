//! Carrying a ledger to another: a text file with one event a line.
//!
//! ```text
//! lorod-ledger 1
//! {"v":1,"id":…}
//! end 1 <SHA-256 of everything above, hexadecimal>
//! ```
//! Events stand in the order of their ids, so two ledgers that hold the same events export the same bytes. The last
//! line tells a file that arrived whole from one that was cut or changed on its way.

use crate::closure::hex;
use crate::names::wrong;
use crate::{Event, LONGEST_EVENT, LedgerError, Store};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::io::{BufRead, Read as _, Write};
use words::{Arg, say};

const HEAD: &str = "lorod-ledger 1";

/// What an import brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Imported {
    /// Events that were not there before.
    pub new: usize,
    /// Events that were.
    pub known: usize,
}

/// Writes every event; returns how many.
///
/// # Errors
/// If the store or the system refuses; what was written is then without its last line, and no import takes it.
pub fn export(from: &dyn Store, to: &mut dyn Write) -> Result<usize, LedgerError> {
    let mut ids = BTreeSet::new();
    from.walk(0, &mut |entry| {
        ids.insert(entry.event.id());
        Ok(())
    })?;
    let mut sum = Sha256::new();
    let mut line = |text: &str, sum: &mut Sha256| {
        sum.update(text);
        sum.update("\n");
        writeln!(to, "{text}").map_err(|e| LedgerError::system("export", e))
    };
    line(HEAD, &mut sum)?;
    for id in &ids {
        let entry = from.get(*id)?.ok_or_else(|| LedgerError::Damaged {
            path: crate::FILE.into(),
            what: format!("event {id} is there, but not found by its id"),
        })?;
        line(entry.event.text(), &mut sum)?;
    }
    let end = format!("end {} {}", ids.len(), hex(&sum.clone().finalize()));
    line(&end, &mut sum)?;
    to.flush().map_err(|e| LedgerError::system("export", e))?;
    Ok(ids.len())
}

/// Reads an export and appends what is not there yet: all of it, or nothing.
///
/// # Errors
/// If it is no export, did not arrive whole, holds an event that this ledger knows otherwise, or the store or the system
/// refuses.
pub fn import(from: &mut dyn BufRead, to: &mut dyn Store) -> Result<Imported, LedgerError> {
    let events = read(from)?;
    let receipts = to.append(&events)?;
    let new = receipts.iter().filter(|receipt| receipt.new).count();
    Ok(Imported {
        new,
        known: receipts.len() - new,
    })
}

fn read(from: &mut dyn BufRead) -> Result<Vec<Event>, LedgerError> {
    if line(from)?.as_deref() != Some(HEAD) {
        let found = say!("this is no export of a ledger", "ini bukan ekspor buku catatan");
        let allowed = say!(
            "a file that begins with {head}",
            "berkas yang diawali {head}",
            head = Arg::Name(HEAD.into())
        );
        return Err(wrong("not-an-export", found).allow(allowed).into());
    }
    let mut sum = Sha256::new();
    sum.update(HEAD);
    sum.update("\n");
    let mut events = Vec::new();
    while let Some(text) = line(from)? {
        if text.starts_with("end ") {
            let end = format!("end {} {}", events.len(), hex(&sum.finalize()));
            let whole = text == end && line(from)?.is_none();
            return if whole {
                Ok(events)
            } else {
                Err(not_whole(events.len()))
            };
        }
        sum.update(&text);
        sum.update("\n");
        events.push(Event::read(&text)?);
    }
    Err(not_whole(events.len()))
}

fn not_whole(events: usize) -> LedgerError {
    let found = say!(
        "the export did not arrive as it was written ({n} events were read)",
        "ekspor ini tidak tiba seperti aslinya ({n} catatan terbaca)",
        n = Arg::Number(events as f64, 0)
    );
    let remedy = say!(
        "send it again, zipped or as an attachment; nothing was taken over",
        "kirim lagi, dalam zip atau sebagai lampiran; belum ada yang diambil"
    );
    wrong("export-not-whole", found).remedy(remedy).into()
}

/// The next line without its end; `None` after the last. A line that is not ended was cut.
fn line(from: &mut dyn BufRead) -> Result<Option<String>, LedgerError> {
    let mut bytes = Vec::new();
    from.take(LONGEST_EVENT as u64 + 1)
        .read_until(b'\n', &mut bytes)
        .map_err(|e| LedgerError::system("import", e))?;
    if bytes.is_empty() {
        return Ok(None);
    }
    let text = bytes
        .strip_suffix(b"\n")
        .and_then(|line| std::str::from_utf8(line).ok());
    match text {
        Some(text) => Ok(Some(text.to_string())),
        None => Err(not_whole(0)),
    }
}
