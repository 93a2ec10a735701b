//! Events in one SQLite file.
//!
//! Write-ahead log with `synchronous = FULL`: an append that returned survives the program's end, and a loss of power
//! as far as the disk keeps what it was told to flush. The database itself refuses to change or remove a row, and each
//! row carries the SHA-256 of its text: a flipped bit is told, never added up.

use crate::{Entry, Event, LedgerError, Receipt, Store};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags, OptionalExtension, Row, TransactionBehavior, params};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;
use uuid::Uuid;

/// `lrod`, so that another program's database is never taken for a ledger.
const APPLICATION: i64 = 0x6c72_6f64;
/// Format of the tables below.
const FORMAT: i64 = 1;
/// Smallest page, and so smallest file, of a database that is not empty, bytes.
const SMALLEST: u64 = 512;
/// How long another writer is waited for.
const PATIENCE: Duration = Duration::from_secs(5);

const TABLES: &str = "
create table event (
    seq  integer primary key,
    id   blob not null unique,
    sum  blob not null,
    text text not null
) strict;
create trigger event_is_not_changed before update on event begin select raise(abort, 'append-only'); end;
create trigger event_is_not_removed before delete on event begin select raise(abort, 'append-only'); end;
";

/// A ledger in a SQLite file.
#[derive(Debug)]
pub struct Sqlite {
    path: PathBuf,
    connection: Connection,
}

impl Sqlite {
    /// Opens a ledger, or begins one where there is no file.
    ///
    /// # Errors
    /// If the file is no ledger (it stays as it is), is damaged or newer than this program, or the system refuses.
    pub fn open(path: &Path) -> Result<Self, LedgerError> {
        Self::open_waiting(path, PATIENCE)
    }

    /// As [`Sqlite::open`], with how long another writer is waited for.
    ///
    /// # Errors
    /// As [`Sqlite::open`].
    pub fn open_waiting(path: &Path, patience: Duration) -> Result<Self, LedgerError> {
        // SQLite takes a file of one byte for an empty database and would write over it. Its size is asked for without
        // opening it: closing a second handle would drop the locks that another connection of this program holds.
        if fs::metadata(path).is_ok_and(|file| file.is_file() && (1..SMALLEST).contains(&file.len())) {
            return Err(LedgerError::NotALedger {
                path: path.to_path_buf(),
            });
        }
        // Without SQLITE_OPEN_URI: a file may be called `file:x?mode=ro`.
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(|e| refused(path, e))?;
        let mut ledger = Self {
            path: path.to_path_buf(),
            connection,
        };
        ledger.prepare(patience)?;
        ledger.log_ahead()?;
        Ok(ledger)
    }

    /// A ledger that ends with the program, to try things on.
    ///
    /// # Errors
    /// If there is no memory.
    pub fn in_memory() -> Result<Self, LedgerError> {
        let path = PathBuf::from(":memory:");
        let connection = Connection::open_in_memory().map_err(|e| refused(&path, e))?;
        let mut ledger = Self { path, connection };
        ledger.prepare(PATIENCE)?;
        Ok(ledger)
    }

    /// Looks whose file it is before anything is written to it.
    fn prepare(&mut self, patience: Duration) -> Result<(), LedgerError> {
        let set = || -> rusqlite::Result<()> {
            self.connection.busy_timeout(patience)?;
            // A file from elsewhere can neither run code through its schema nor write to the schema itself.
            self.connection
                .set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
            self.connection.pragma_update(None, "trusted_schema", false)?;
            self.connection.pragma_update(None, "cell_size_check", true)
        };
        set().map_err(|e| self.refused(e))?;
        if self.mark()? == (0, 0) {
            self.begin()?;
        }
        let (application, format) = self.mark()?;
        let path = self.path.clone();
        match format {
            _ if application != APPLICATION => Err(LedgerError::NotALedger { path }),
            FORMAT => Ok(()),
            found if found > FORMAT => Err(LedgerError::Newer {
                path,
                found,
                known: FORMAT,
            }),
            found => Err(damaged(&path, format!("format {found}"))),
        }
    }

    /// Makes the tables in an empty file. Another program may do the same at this moment; a file with anything in it is
    /// left as it is.
    fn begin(&mut self) -> Result<(), LedgerError> {
        let mut make = || -> rusqlite::Result<()> {
            let tx = self
                .connection
                .transaction_with_behavior(TransactionBehavior::Exclusive)?;
            let things: i64 = tx.query_row("select count(*) from sqlite_schema", [], |row| row.get(0))?;
            if things == 0 {
                tx.execute_batch(TABLES)?;
                tx.pragma_update(None, "application_id", APPLICATION)?;
                tx.pragma_update(None, "user_version", FORMAT)?;
            }
            tx.commit()
        };
        make().map_err(|e| refused(&self.path, e))
    }

    fn mark(&self) -> Result<(i64, i64), LedgerError> {
        let pragma = |name| self.connection.pragma_query_value(None, name, |row| row.get(0));
        let mark = pragma("application_id").and_then(|a| Ok((a, pragma("user_version")?)));
        mark.map_err(|e| self.refused(e))
    }

    fn log_ahead(&self) -> Result<(), LedgerError> {
        let set = || -> rusqlite::Result<String> {
            let mode = self
                .connection
                .pragma_update_and_check(None, "journal_mode", "wal", |row| row.get(0))?;
            self.connection.pragma_update(None, "synchronous", "full")?;
            // Apple's disks need a stronger word to really flush; nothing elsewhere.
            self.connection.pragma_update(None, "fullfsync", true)?;
            Ok(mode)
        };
        match set().map_err(|e| self.refused(e))? {
            mode if mode == "wal" => Ok(()),
            mode => Err(LedgerError::system(
                &self.path,
                format!("no write-ahead log on this disk, only {mode}"),
            )),
        }
    }

    fn refused(&self, error: rusqlite::Error) -> LedgerError {
        refused(&self.path, error)
    }

    /// Checks what a row says of itself.
    fn entry(&self, raw: Raw) -> Result<Entry, LedgerError> {
        let bad = |what: &str| damaged(&self.path, format!("event {}: {what}", raw.seq));
        if raw.sum != Sha256::digest(raw.text.as_bytes()).as_slice() {
            return Err(bad("its sum does not fit its text"));
        }
        let event = Event::read(&raw.text).map_err(|e| bad(&e.to_string()))?;
        let seq = u64::try_from(raw.seq).map_err(|_| bad("its number is below zero"))?;
        if raw.id != event.id().as_bytes() {
            return Err(bad("it stands under another id"));
        }
        Ok(Entry { seq, event })
    }

    fn rows(&self, sql: &str, values: impl rusqlite::Params) -> Result<Vec<Entry>, LedgerError> {
        let raw = || -> rusqlite::Result<Vec<Raw>> {
            let mut query = self.connection.prepare(sql)?;
            query.query_map(values, Raw::read)?.collect()
        };
        let raw = raw().map_err(|e| self.refused(e))?;
        raw.into_iter().map(|row| self.entry(row)).collect()
    }
}

impl Store for Sqlite {
    fn append(&mut self, events: &[Event]) -> Result<Vec<Receipt>, LedgerError> {
        let path = self.path.clone();
        let refused = |e| refused(&path, e);
        let mut receipts = Vec::with_capacity(events.len());
        // Immediate: the numbers are read under the lock that they are written under. Dropped unfinished, it is undone.
        let tx = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(refused)?;
        {
            let mut find = tx
                .prepare("select seq, text from event where id = ?1")
                .map_err(refused)?;
            let mut insert = tx
                .prepare(
                    "insert into event (seq, id, sum, text)
                     select coalesce(max(seq), 0) + 1, ?1, ?2, ?3 from event returning seq",
                )
                .map_err(refused)?;
            for event in events {
                let id = event.id();
                let there: Option<(i64, String)> = find
                    .query_row([id.as_bytes()], |row| Ok((row.get(0)?, row.get(1)?)))
                    .optional()
                    .map_err(refused)?;
                let (seq, new) = match there {
                    Some((_, text)) if text != event.text() => return Err(LedgerError::Differs { id }),
                    Some((seq, _)) => (seq, false),
                    None => {
                        let sum = Sha256::digest(event.text().as_bytes());
                        let row = params![id.as_bytes(), sum.as_slice(), event.text()];
                        (insert.query_row(row, |row| row.get(0)).map_err(refused)?, true)
                    }
                };
                let seq = u64::try_from(seq).map_err(|_| damaged(&path, format!("event {seq}")))?;
                receipts.push(Receipt { id, seq, new });
            }
        }
        tx.commit().map_err(refused)?;
        Ok(receipts)
    }

    fn page(&self, after: u64, most: usize) -> Result<Vec<Entry>, LedgerError> {
        let large = |n: u64| i64::try_from(n).unwrap_or(i64::MAX);
        let sql = "select seq, id, sum, text from event where seq > ?1 order by seq limit ?2";
        let entries = self.rows(sql, params![large(after), large(most as u64)])?;
        match (after..)
            .zip(&entries)
            .find(|(before, entry)| before + 1 != entry.seq)
        {
            Some((before, _)) => Err(damaged(&self.path, format!("event {} is missing", before + 1))),
            None => Ok(entries),
        }
    }

    fn get(&self, id: Uuid) -> Result<Option<Entry>, LedgerError> {
        let sql = "select seq, id, sum, text from event where id = ?1";
        Ok(self.rows(sql, [id.as_bytes()])?.into_iter().next())
    }
}

/// A row as it stands in the file.
struct Raw {
    seq: i64,
    id: Vec<u8>,
    sum: Vec<u8>,
    text: String,
}

impl Raw {
    fn read(row: &Row) -> rusqlite::Result<Self> {
        Ok(Self {
            seq: row.get(0)?,
            id: row.get(1)?,
            sum: row.get(2)?,
            text: row.get(3)?,
        })
    }
}

fn damaged(path: &Path, what: String) -> LedgerError {
    LedgerError::Damaged {
        path: path.to_path_buf(),
        what,
    }
}

fn refused(path: &Path, error: rusqlite::Error) -> LedgerError {
    let at = path.to_path_buf();
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => LedgerError::Busy { path: at },
        Some(ErrorCode::NotADatabase) => LedgerError::NotALedger { path: at },
        // Our statements are fixed and fit our tables: if the database does not understand one, or a row breaks a rule
        // of the table, or is not of its type (no code at all), the file is not as it was written.
        Some(
            ErrorCode::DatabaseCorrupt
            | ErrorCode::Unknown
            | ErrorCode::ConstraintViolation
            | ErrorCode::TypeMismatch
            | ErrorCode::TooBig,
        )
        | None => damaged(path, error.to_string()),
        Some(_) => LedgerError::system(path, error),
    }
}
