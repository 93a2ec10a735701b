//! Files that are no ledger, damaged ledgers, other writers, and any text at all: errors in words, never a panic, and
//! nothing that is taken for true without being what was written.

mod common;

use common::{Folder, event, id};
use ledger::{Books, Event, LedgerError, Measured, Sqlite, Store, export, import};
use proptest::prelude::*;
use rusqlite::Connection;
use std::fs;
use std::time::Duration;
use words::{Language, Voice};

fn reading(n: u64) -> Event {
    let what = "width ".to_string() + &"of the cloth ".repeat(7) + "on the bench";
    event(
        n,
        "desk",
        Measured {
            what,
            value: n as f64,
            unit: "mm".into(),
            n: 1,
        },
    )
}

/// A ledger of `n` events as the bytes of its file.
fn file_of(n: u64) -> Vec<u8> {
    let folder = Folder::fresh();
    let mut store = Sqlite::open(&folder.ledger()).unwrap();
    store.append(&(0..n).map(reading).collect::<Vec<_>>()).unwrap();
    drop(store);
    fs::read(folder.ledger()).unwrap()
}

/// Everything a program may do with a ledger; returns what was read.
fn use_it(store: &mut Sqlite) -> Result<Vec<Event>, LedgerError> {
    let mut events = Vec::new();
    store.walk(0, &mut |entry| {
        events.push(entry.event);
        Ok(())
    })?;
    let _ = store.get(id(3));
    let _ = Books::read(store);
    let _ = export(store, &mut Vec::new());
    let _ = store.append(&[reading(1), reading(1000)]);
    Ok(events)
}

/// Every error is a short sentence in both languages, however long the input was.
fn said(error: &LedgerError) {
    let id = Voice {
        language: Language::Id,
        ..Voice::default()
    };
    for line in [Voice::default(), id]
        .map(|voice| error.finding().say(voice))
        .concat()
    {
        assert!(!line.is_empty() && line.chars().count() < 500, "{line}");
    }
}

fn cases(least: u32) -> ProptestConfig {
    let asked = std::env::var_os("PROPTEST_CASES").is_some();
    let cases = if asked {
        ProptestConfig::default().cases
    } else {
        least
    };
    ProptestConfig {
        cases,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(cases(64))]

    #[test]
    fn a_file_of_any_bytes_is_refused_and_left_alone(
        bytes in prop::collection::vec(any::<u8>(), 1..3000),
        database in any::<bool>(),
    ) {
        let bytes = if database { [b"SQLite format 3\0", bytes.as_slice()].concat() } else { bytes };
        let folder = Folder::fresh();
        fs::write(folder.ledger(), &bytes).unwrap();
        let error = Sqlite::open(&folder.ledger()).unwrap_err();
        said(&error);
        prop_assert_eq!(fs::read(folder.ledger()).unwrap(), bytes);
    }

    /// Each event that is read from a damaged ledger is one that was written.
    #[test]
    fn a_damaged_ledger_tells_or_is_right(
        flips in prop::collection::vec((any::<prop::sample::Index>(), 1u8..=255), 1..12),
        cut in prop::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = file_of(60);
        for (at, mask) in flips {
            let at = at.index(bytes.len());
            bytes[at] ^= mask;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()).max(1));
        }
        let folder = Folder::fresh();
        fs::write(folder.ledger(), &bytes).unwrap();
        match Sqlite::open(&folder.ledger()).and_then(|mut store| use_it(&mut store)) {
            Ok(events) => for event in events {
                prop_assert!((0..60).any(|n| reading(n) == event), "{}", event.text());
            },
            Err(error) => said(&error),
        }
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text: String, v in 0u32..3, fact in "\\PC{0,40}", kind in 0usize..7) {
        let _ = Event::read(&text);
        let kinds = ["lot-made", "step-done", "measured", "approved", "stock-moved", "voided", "x"];
        let kind = kinds[kind];
        for fact in [fact.as_str(), "{}", "null", r#"{"event":"7"}"#, &text] {
            let id = id(1);
            let text = format!(
                r#"{{"v":{v},"id":"{id}","device":"d","at":"2026-11-25T07:20:00Z","kind":"{kind}","fact":{fact}}}"#
            );
            if let Err(error) = Event::read(&text) {
                said(&error);
            }
        }
    }

    #[test]
    fn any_bytes_are_imported_or_refused(bytes: Vec<u8>, head in any::<bool>()) {
        let bytes = if head { [b"lorod-ledger 1\n", bytes.as_slice()].concat() } else { bytes };
        let error = import(&mut bytes.as_slice(), &mut Sqlite::in_memory().unwrap()).unwrap_err();
        said(&error);
    }
}

#[test]
fn what_is_nested_too_deep_or_too_long_is_refused() {
    let deep = "[".repeat(1_000_000);
    assert!(Event::read(&deep).is_err());
    let text = reading(1)
        .text()
        .replace(r#""fact":{"#, &format!(r#""fact":{deep}"#));
    assert!(Event::read(&text).is_err());
    let long = reading(1)
        .text()
        .replace(r#""n":1"#, &format!(r#""n":"{}""#, "7".repeat(9999)));
    said(&Event::read(&long).unwrap_err());
}

#[test]
fn events_that_cannot_be_are_refused_by_name() {
    let text = reading(1).text().to_string();
    let rows = [
        (text.replace("\"id\":\"", "\"id\":\"x"), "event-id"),
        // Version 4: an id that is not sorted by when it was made.
        (
            text.replace(&id(1).to_string(), "67e55044-10b1-426f-9247-bb680e5fe0c8"),
            "event-id",
        ),
        (text.replace("2026-11-25T07", "2026-11-25T27"), "event-time"),
        (text.replace("\"desk\"", "\"\""), "name-empty"),
        (text.replace("\"desk\"", "\" desk\""), "name-not-plain"),
        (text.replace("\"desk\"", "\"de\\u0000sk\""), "name-not-plain"),
        (
            text.replace("\"desk\"", &format!("\"{}\"", "d".repeat(121))),
            "name-too-long",
        ),
        (text.replace("\"v\":1", "\"v\":-1"), "event-not-read"),
        (text.replace("\"v\":1", "\"v\":1,\"v\":1"), "event-not-read"),
        (text.replace(",\"kind\"", ",\n\"kind\""), "event-too-long"),
    ];
    for (text, code) in rows {
        let error = Event::read(&text).unwrap_err();
        assert_eq!(error.finding().code, code, "{text}");
        said(&error);
    }
    assert!(Event::read(&text.replace("\"desk\"", &format!("\"{}\"", "d".repeat(120)))).is_ok());
}

/// SQLite alone would take the first for an empty database.
#[test]
fn small_and_blank_files_are_left_alone() {
    for bytes in [&[0][..], b"S", &[b'x'; 511], &[0; 512], &[0; 4096]] {
        let folder = Folder::fresh();
        fs::write(folder.ledger(), bytes).unwrap();
        let error = Sqlite::open(&folder.ledger()).unwrap_err();
        assert!(
            matches!(error, LedgerError::NotALedger { .. }),
            "{}: {error}",
            bytes.len()
        );
        assert_eq!(fs::read(folder.ledger()).unwrap(), bytes);
    }
    let folder = Folder::fresh();
    fs::write(folder.ledger(), []).unwrap();
    assert!(
        Sqlite::open(&folder.ledger()).is_ok(),
        "an empty file is a place for a new ledger"
    );
}

/// Looks at the error of opening a database that somebody else made; it has to be left as it was.
#[track_caller]
fn foreign(sql: &str) -> LedgerError {
    let folder = Folder::fresh();
    Connection::open(folder.ledger())
        .unwrap()
        .execute_batch(sql)
        .unwrap();
    let before = fs::read(folder.ledger()).unwrap();
    let error = Sqlite::open(&folder.ledger()).unwrap_err();
    assert_eq!(fs::read(folder.ledger()).unwrap(), before);
    said(&error);
    error
}

#[test]
fn another_programs_database_is_left_alone() {
    let marked = format!("pragma application_id = {};", u32::from_be_bytes(*b"lrod"));
    assert!(matches!(
        foreign("create table t (a)"),
        LedgerError::NotALedger { .. }
    ));
    assert!(matches!(
        foreign("pragma application_id = 7"),
        LedgerError::NotALedger { .. }
    ));
    let newer = foreign(&format!("{marked} pragma user_version = 2"));
    assert!(
        matches!(
            newer,
            LedgerError::Newer {
                found: 2,
                known: 1,
                ..
            }
        ),
        "{newer}"
    );
    let older = foreign(&format!("{marked} pragma user_version = -1"));
    assert!(matches!(older, LedgerError::Damaged { .. }), "{older}");
}

#[test]
fn the_database_refuses_to_change_what_happened() {
    let folder = Folder::fresh();
    let mut store = Sqlite::open(&folder.ledger()).unwrap();
    store.append(&[reading(1), reading(2), reading(3)]).unwrap();
    let other = Connection::open(folder.ledger()).unwrap();
    for sql in ["update event set text = 'x'", "delete from event where seq = 2"] {
        let error = other.execute(sql, []).unwrap_err().to_string();
        assert!(error.contains("append-only"), "{error}");
    }
    // Who insists is told.
    other
        .execute_batch("drop trigger event_is_not_removed; delete from event where seq = 2")
        .unwrap();
    let gap = store.page(0, 9).unwrap_err();
    assert!(gap.to_string().contains("event 2 is missing"), "{gap}");
    other.execute_batch("drop trigger event_is_not_changed").unwrap();
    other
        .execute(
            "update event set text = replace(text, '3.0', '8.0') where seq = 3",
            [],
        )
        .unwrap();
    let sum = store.page(2, 9).unwrap_err();
    assert!(sum.to_string().contains("event 3: its sum does not fit"), "{sum}");
}

#[test]
fn a_busy_ledger_says_so_and_works_afterwards() {
    let folder = Folder::fresh();
    let mut store = Sqlite::open_waiting(&folder.ledger(), Duration::from_millis(30)).unwrap();
    let other = Connection::open(folder.ledger()).unwrap();
    other.execute_batch("begin immediate").unwrap();
    let busy = store.append(&[reading(1)]).unwrap_err();
    assert!(matches!(busy, LedgerError::Busy { .. }), "{busy}");
    said(&busy);
    // Reading does not wait for the writer.
    assert!(store.page(0, 9).unwrap().is_empty());
    other.execute_batch("rollback").unwrap();
    assert_eq!(store.append(&[reading(1)]).unwrap()[0].seq, 1);
}

#[test]
fn all_or_nothing() {
    let mut store = Sqlite::in_memory().unwrap();
    store.append(&[reading(1)]).unwrap();
    let altered = event(
        1,
        "other",
        Measured {
            what: "a".into(),
            value: 1.0,
            unit: "".into(),
            n: 1,
        },
    );
    let differs = store.append(&[reading(2), altered]).unwrap_err();
    assert!(matches!(differs, LedgerError::Differs { .. }));
    said(&differs);
    assert!(store.get(id(2)).unwrap().is_none());
    // Twice in one go is once.
    let receipts = store.append(&[reading(3), reading(3)]).unwrap();
    assert_eq!(
        receipts.iter().map(|r| (r.seq, r.new)).collect::<Vec<_>>(),
        [(2, true), (2, false)]
    );
}

#[test]
fn two_programs_begin_and_write_one_ledger() {
    let folder = Folder::fresh();
    let path = folder.ledger();
    std::thread::scope(|scope| {
        for start in [0, 20, 40] {
            let path = &path;
            scope.spawn(move || {
                let mut store = Sqlite::open(path).unwrap();
                for n in start..start + 40 {
                    store.append(&[reading(n)]).unwrap();
                }
            });
        }
    });
    let store = Sqlite::open(&path).unwrap();
    let mut seqs = Vec::new();
    store
        .walk(0, &mut |entry| {
            seqs.push(entry.seq);
            Ok(())
        })
        .unwrap();
    assert_eq!(seqs, (1..=80).collect::<Vec<_>>());
}

#[test]
fn a_place_that_cannot_be_written_says_so() {
    let folder = Folder::fresh();
    for path in [folder.0.clone(), folder.0.join("no/such/folder")] {
        let error = Sqlite::open(&path).unwrap_err();
        assert!(matches!(error, LedgerError::System { .. }), "{error}");
        said(&error);
    }
}
