//! A workshop's days as tables: one row, one attempt, its outcome last; what it comes to at the end.

mod common;

use common::{event, id};
use ledger::{
    Amount, Approved, Books, Fact, LedgerError, LotMade, Measured, OUTSIDE, Sqlite, StepDone, StockMoved,
    Store, Subject, Voided,
};

#[test]
fn dye_is_bought_drawn_and_counted() {
    let books = story(
        "
        1  move    ink-vs outside shelf 500000 mg   ok 1
        2  move    ink-vs shelf bath-1 12500 mg     ok 2
        2  move    ink-vs shelf bath-1 12500 mg     known 2            // the phone was not sure, and sent it again
        2  move    ink-vs shelf bath-1 12501 mg     differs            // one id, two stories
        3  move    ink-vs shelf bath-1 0 mg         amount-out-of-range
        3  move    ink-vs shelf bath-1 -5 mg        amount-out-of-range
        3  move    ink-vs shelf bath-1 1000000000001 mg  amount-out-of-range  // one more than the largest
        3  move    ink-vs shelf shelf 1 mg          same-place
        3  move    ink-vs bath-1 shelf 2500 mg      ok 3               // unused paste goes back
        4  move    ink-vs bath-1 outside 10001 mg   ok 4               // one more than is there: it was done, so it stands
        ",
    );
    assert_eq!(books.short(), [("bath-1", "ink-vs")]);
    stocks(&books, &[("shelf", 490_000), ("bath-1", -1), (OUTSIDE, -489_999)]);

    let books = story(
        "
        1  move    ink-vs outside shelf 500000 mg   ok 1
        2  move    ink-vs shelf bath-1 10001 mg     ok 2
        3  void    2                                ok 3               // it was weighed again
        4  move    ink-vs shelf bath-1 10000 mg     ok 4
        5  move    ink-vs bath-1 outside 10000 mg   ok 5               // and exactly what is there
        6  void    3                                ok 6               // a voiding stands
        7  void    99                               ok 7               // of an event that has not arrived yet
        99 move    ink-vs shelf outside 1 mg        ok 8
        8  move    ink-vs outside shelf 3 ul        ok 9               // by volume: another stock
        ",
    );
    assert!(books.short().is_empty());
    stocks(&books, &[("shelf", 490_000), ("bath-1", 0), (OUTSIDE, -490_000)]);
    assert_eq!(books.holds("shelf", "ink-vs").ul, 3);
    assert_eq!(books.voided, [id(2), id(3), id(99)].into());
}

#[test]
fn a_lot_is_made_and_approved() {
    let books = story(
        "
        1  lot     o-101 sea-fan 7 0                lot-without-bolts
        1  lot     o-101 sea-fan 7 3                ok 1
        2  done    o-101 all wet-1                  ok 2
        3  done    o-101 2 dip-1                    ok 3
        4  done    o-102 all wet-1                  ok 4               // its making has not arrived yet
        5  approve o-101 ana                        ok 5
        6  measure cloth-width 1.12 m 0             not-a-measurement
        6  measure cloth-width NaN m 1              not-a-measurement
        6  measure cloth-width 1.12 m 5             ok 6
        7  lot     o-103 sea-fan 7 3                ok 7
        8  lot     o-103 sea-fan 7 3                ok 8               // printed at two desks
        9  lot     o-104 sea-fan 7 3                ok 9
        10 lot     o-104 sea-fan 8 3                ok 10              // and from another revision
        ",
    );
    let lot = &books.lots["o-101"];
    let made = &lot.made().unwrap().fact;
    assert_eq!(
        (made.design.as_str(), made.revision, made.bolts),
        ("sea-fan", [7; 32], 3)
    );
    let steps: Vec<_> = lot
        .steps
        .iter()
        .map(|s| (s.fact.step.as_str(), s.fact.bolt))
        .collect();
    assert_eq!(steps, [("wet-1", None), ("dip-1", Some(2))]);
    assert!(books.lots["o-102"].made().is_none() && !books.lots["o-102"].disputed());
    assert!(books.lots["o-103"].made().is_some() && !books.lots["o-103"].disputed());
    assert!(books.lots["o-104"].made().is_none() && books.lots["o-104"].disputed());
    assert_eq!(books.approvals[0].fact.by, "ana");
    assert_eq!(books.measurements[0].fact.value, 1.12);
}

/// The only place in these tests that calls the ledger.
#[track_caller]
fn story(rows: &str) -> Books {
    let mut store = Sqlite::in_memory().unwrap();
    for row in rows.lines().map(|line| line.split("//").next().unwrap().trim()) {
        let words: Vec<&str> = row.split_whitespace().collect();
        if words.is_empty() {
            continue;
        }
        let (fact, want) = fact(&words[1..]);
        let at = "2026-11-25T14:20:00+07:00".parse().unwrap();
        let event = ledger::Event::new(id(words[0].parse().unwrap()), "desk", at, fact);
        let got = match event.and_then(|event| store.append(&[event])) {
            Ok(receipts) if receipts[0].new => format!("ok {}", receipts[0].seq),
            Ok(receipts) => format!("known {}", receipts[0].seq),
            Err(LedgerError::Differs { .. }) => "differs".to_string(),
            Err(error) => error.finding().code.to_string(),
        };
        assert_eq!(got, want.join(" "), "row: {row}");
    }
    Books::read(&store).unwrap()
}

/// The fact of a row, and the words that are left.
fn fact<'w>(words: &'w [&'w str]) -> (Fact, &'w [&'w str]) {
    let text = |n: usize| words[n].to_string();
    match words[0] {
        "move" => {
            let amount = words[4].parse().unwrap();
            let amount = if words[5] == "mg" {
                Amount::Mg(amount)
            } else {
                Amount::Ul(amount)
            };
            let (material, from, to) = (text(1), text(2), text(3));
            (
                StockMoved {
                    material,
                    from,
                    to,
                    amount,
                }
                .into(),
                &words[6..],
            )
        }
        "void" => (
            Voided {
                event: id(words[1].parse().unwrap()),
            }
            .into(),
            &words[2..],
        ),
        "lot" => {
            let (lot, design, revision) = (text(1), text(2), [words[3].parse().unwrap(); 32]);
            let bolts = words[4].parse().unwrap();
            (
                LotMade {
                    lot,
                    design,
                    revision,
                    bolts,
                    closure: None,
                }
                .into(),
                &words[5..],
            )
        }
        "done" => {
            let (lot, bolt, step) = (text(1), words[2].parse().ok(), text(3));
            (
                StepDone {
                    lot,
                    bolt,
                    step,
                    asks: Vec::new(),
                }
                .into(),
                &words[4..],
            )
        }
        "approve" => {
            let (subject, by) = (Subject::Lot(text(1)), text(2));
            (Approved { subject, by }.into(), &words[3..])
        }
        "measure" => {
            let (what, value, unit) = (text(1), words[2].parse().unwrap(), text(3));
            let n = words[4].parse().unwrap();
            (Measured { what, value, unit, n }.into(), &words[5..])
        }
        other => panic!("no such deed: {other}"),
    }
}

/// What places hold of the dye, mg; and nothing was made or lost on the way.
#[track_caller]
fn stocks(books: &Books, want: &[(&str, i128)]) {
    for (place, mg) in want {
        assert_eq!(books.holds(place, "ink-vs").mg, *mg, "{place}");
    }
    let all = books.stocks();
    assert_eq!(all.values().map(|s| s.mg).sum::<i128>(), 0);
    assert_eq!(all.values().map(|s| s.ul).sum::<i128>(), 0);
}

/// The wire, to the byte: programs that are in use elsewhere read and write it.
#[test]
fn events_are_written_like_this() {
    let written = |fact: Fact| event(1, "phone-2", fact).text().to_string();
    let head = format!(
        r#"{{"v":1,"id":"{}","device":"phone-2","at":"2026-11-25T07:20:00Z","kind":"#,
        id(1)
    );
    let asks = vec![("bath_c".to_string(), "28,5".to_string())];
    let step = StepDone {
        lot: "o-101".into(),
        bolt: Some(2),
        step: "dip-1".into(),
        asks,
    };
    let subject = Subject::StrikeOff("sea-fan-3".into());
    let rows: [(Fact, String); 6] = [
        (
            step.into(),
            r#""step-done","fact":{"lot":"o-101","bolt":2,"step":"dip-1","asks":[["bath_c","28,5"]]}}"#
                .into(),
        ),
        (
            Approved {
                subject,
                by: "ana".into(),
            }
            .into(),
            r#""approved","fact":{"subject":{"strike-off":"sea-fan-3"},"by":"ana"}}"#.into(),
        ),
        (
            Measured {
                what: "ph".into(),
                value: 11.5,
                unit: String::new(),
                n: 3,
            }
            .into(),
            r#""measured","fact":{"what":"ph","value":11.5,"unit":"","n":3}}"#.into(),
        ),
        (
            fact(&["move", "salt", "outside", "shelf", "9", "ul"]).0,
            r#""stock-moved","fact":{"material":"salt","from":"outside","to":"shelf","amount":{"ul":9}}}"#
                .into(),
        ),
        (
            Voided { event: id(7) }.into(),
            format!(r#""voided","fact":{{"event":"{}"}}}}"#, id(7)),
        ),
        (
            fact(&["lot", "o-101", "sea-fan", "171", "3"]).0,
            format!(
                r#""lot-made","fact":{{"lot":"o-101","design":"sea-fan","revision":"{}","bolts":3}}}}"#,
                "ab".repeat(32)
            ),
        ),
    ];
    for (fact, want) in rows {
        let text = written(fact.clone());
        assert_eq!(text, format!("{head}{want}"));
        let read = ledger::Event::read(&text).unwrap();
        assert_eq!(read.fact(), Some(&fact));
        assert_eq!(read.text(), text);
    }
}
