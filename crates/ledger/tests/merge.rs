//! Two ledgers that exchanged their events hold the same books, whoever sent first; what a newer program wrote comes
//! through to the byte.

mod common;

use common::{Folder, event, id};
use ledger::{
    Amount, Approved, Books, Event, Fact, LotMade, Measured, Outcome, Sqlite, StepDone, StockMoved, Store,
    Subject, Voided, export, freeze, import, make_lot,
};
use proptest::prelude::*;
use workspace::Workspace;

fn facts() -> impl Strategy<Value = Fact> {
    let name = "[a-c]{1,2}";
    let lot = (name, name, 0u8..3, 1u32..4).prop_map(|(lot, design, revision, bolts)| {
        LotMade {
            lot,
            design,
            revision: [revision; 32],
            bolts,
            closure: None,
        }
        .into()
    });
    let asks = prop::collection::vec((name.prop_map(String::from), "[^\\p{C}\\s]{1,9}"), 0..3);
    let step = (name, prop::option::of(0u32..3), name, asks).prop_map(|(lot, bolt, step, asks)| {
        StepDone {
            lot,
            bolt,
            step,
            asks,
        }
        .into()
    });
    let measured = (name, -1e6..1e6, 1u32..9).prop_map(|(what, value, n)| {
        Measured {
            what,
            value,
            unit: "mm".into(),
            n,
        }
        .into()
    });
    let approved = (name, name).prop_map(|(lot, by)| {
        Approved {
            subject: Subject::Lot(lot),
            by,
        }
        .into()
    });
    let amount = (1i64..1000).prop_flat_map(|n| prop_oneof![Just(Amount::Mg(n)), Just(Amount::Ul(n))]);
    let moved = (name, 0usize..4, 1usize..4, amount).prop_map(|(material, from, step, amount)| {
        let place = |n: usize| ["outside", "shelf", "bath", "drain"][n % 4].to_string();
        StockMoved {
            material,
            from: place(from),
            to: place(from + step),
            amount,
        }
        .into()
    });
    let voided = (0u64..40).prop_map(|n| Voided { event: id(n) }.into());
    prop_oneof![lot, step, measured, approved, moved, voided]
}

/// Up to 40 events, and who has which: the desk, the phone, both.
fn two_ledgers() -> impl Strategy<Value = (Vec<Event>, Vec<Event>)> {
    prop::collection::vec((facts(), 1u8..4), 0..40).prop_map(|facts| {
        let all = facts.into_iter().enumerate();
        let all: Vec<_> = all
            .map(|(n, (fact, has))| (event(n as u64, "any", fact), has))
            .collect();
        let of = |who: u8| {
            all.iter()
                .filter(|(_, has)| has & who != 0)
                .map(|(e, _)| e.clone())
                .collect()
        };
        (of(1), of(2))
    })
}

fn store(events: &[Event]) -> Sqlite {
    let mut store = Sqlite::in_memory().unwrap();
    store.append(events).unwrap();
    store
}

fn exported(store: &Sqlite) -> Vec<u8> {
    let mut bytes = Vec::new();
    export(store, &mut bytes).unwrap();
    bytes
}

proptest! {
    #[test]
    fn either_order_gives_the_same_books((desk, phone) in two_ledgers(), turn in 0usize..40) {
        let (mut a, mut b) = (store(&desk), store(&phone));
        let (from_a, from_b) = (exported(&a), exported(&b));
        let into_a = import(&mut from_b.as_slice(), &mut a).unwrap();
        import(&mut from_a.as_slice(), &mut b).unwrap();
        let books = Books::read(&a).unwrap();
        prop_assert_eq!(&books, &Books::read(&b).unwrap());
        prop_assert_eq!(exported(&a), exported(&b));
        let text = exported(&a);
        let sorted = text.split(|b| *b == b'\n').filter(|line| line.len() > 100).is_sorted();
        prop_assert!(sorted, "not in the order of ids");
        // Nothing was lost or doubled.
        let both = desk.iter().filter(|e| phone.contains(e)).count();
        prop_assert_eq!((into_a.new, into_a.known), (phone.len() - both, both));
        let again = import(&mut from_b.as_slice(), &mut a).unwrap();
        prop_assert_eq!((again.new, again.known), (0, phone.len()));
        // The books are those of the events in any other order, too, and repeated.
        let mut events: Vec<&Event> = desk.iter().chain(&phone).collect();
        let places = events.len().max(1);
        events.rotate_left(turn % places);
        prop_assert_eq!(&books, &Books::of(events.iter().rev().copied()));
    }

    #[test]
    fn what_is_written_is_read((events, _) in two_ledgers()) {
        for event in &events {
            let read = Event::read(event.text()).unwrap();
            prop_assert_eq!(&read, event);
            prop_assert_eq!(read.fact(), event.fact());
        }
    }
}

/// A newer program's kinds, versions and fields: kept to the byte, counted as unread, voided like any other.
#[test]
fn what_a_newer_program_wrote_comes_through() {
    let written = |n: u64, v: u32, kind: &str, fact: &str| {
        format!(
            r#"{{"v":{v},"id":"{}","device":"d","at":"2031-01-01T00:00:00Z","kind":"{kind}","fact":{fact}}}"#,
            id(n)
        )
    };
    let newer = [
        written(
            1,
            1,
            "wax-filtered",
            r#"{"g" : 1.0000000000000000000001, "g":[ ]}"#,
        ),
        written(2, 2, "approved", r#"{"colour":"yes"}"#),
        written(3, 7, "wax-filtered", "null"),
        written(
            4,
            1,
            "approved",
            r#"{"subject":{"lot":"o-1"},"by":"ana","seal":"x"}"#,
        ),
    ];
    let mut events: Vec<Event> = newer.iter().map(|text| Event::read(text).unwrap()).collect();
    events.push(event(5, "d", Voided { event: id(3) }));
    let here = store(&events);
    let mut there = Sqlite::in_memory().unwrap();
    import(&mut exported(&here).as_slice(), &mut there).unwrap();
    for (n, text) in (1..).zip(&newer) {
        assert_eq!(there.get(id(n)).unwrap().unwrap().event.text(), text);
    }
    let books = Books::read(&there).unwrap();
    let unread: Vec<_> = books
        .unread
        .iter()
        .map(|(id, kind)| (*id, kind.as_str()))
        .collect();
    assert_eq!(unread, [(id(1), "wax-filtered"), (id(2), "approved")]);
    assert_eq!(books.approvals.len(), 1);
    // But a known kind and version has to be what it says.
    let wrong = Event::read(&written(6, 1, "approved", r#"{"colour":"yes"}"#)).unwrap_err();
    assert_eq!(wrong.finding().code, "event-not-read");
}

#[test]
fn an_export_that_was_cut_or_changed_brings_nothing() {
    let whole = exported(&store(&[
        event(1, "d", Voided { event: id(9) }),
        event(2, "d", Voided { event: id(8) }),
    ]));
    let mut into = Sqlite::in_memory().unwrap();
    for cut in 0..whole.len() {
        let error = import(&mut &whole[..cut], &mut into).unwrap_err();
        assert!(
            ["not-an-export", "export-not-whole"].contains(&error.finding().code),
            "{cut}: {error}"
        );
        let mut changed = whole.clone();
        changed[cut] ^= 1;
        assert!(import(&mut changed.as_slice(), &mut into).is_err(), "byte {cut}");
    }
    assert!(into.page(0, 1).unwrap().is_empty());
    let longer = [whole.as_slice(), b"x\n"].concat();
    assert!(import(&mut longer.as_slice(), &mut into).is_err());
    assert_eq!(import(&mut whole.as_slice(), &mut into).unwrap().new, 2);
}

/// The files are changed and gone; the lot still knows what it was made from.
#[test]
fn a_lot_can_be_made_again_from_the_ledger_alone() {
    let workspace = Workspace::open(&common::small_workspace()).unwrap();
    let file = workspace
        .designs
        .iter()
        .find(|file| file.design.is_some())
        .unwrap();
    let design = file.id.clone().unwrap();
    let folder = Folder::fresh();
    let mut store = Sqlite::open(&folder.ledger()).unwrap();
    let lot = freeze(&workspace, "o-101", &design, 3).unwrap();
    let Outcome::Made(made) = make_lot(&mut store, "desk", lot).unwrap() else {
        panic!("not made");
    };

    let entry = Sqlite::open(&folder.ledger())
        .unwrap()
        .get(made)
        .unwrap()
        .unwrap();
    let Some(Fact::LotMade(lot)) = entry.event.fact() else {
        panic!("not a lot");
    };
    let files = lot.closure.as_ref().unwrap().unpack().unwrap();
    let files: Vec<(&str, &[u8])> = files.iter().map(|(p, t)| (p.as_str(), t.as_bytes())).collect();
    let again = folder.0.join("again");
    workspace::create(&again, &files).unwrap();
    let again = Workspace::open(&again).unwrap();
    assert_eq!(again.design_file(&design).unwrap().revision, Some(lot.revision));
    assert!(again.workshop.is_some() && !again.wrong(), "{:?}", again.findings);
    // Orders and other designs are not the lot's affair.
    assert!(again.orders.is_empty() && again.designs.len() == 1);
}

#[test]
fn a_lot_is_made_once() {
    let lot = |lot: &str, revision: u8| LotMade {
        lot: lot.into(),
        design: "sea-fan".into(),
        revision: [revision; 32],
        bolts: 3,
        closure: None,
    };
    let mut store = Sqlite::in_memory().unwrap();
    let Outcome::Made(first) = make_lot(&mut store, "desk", lot("o-1", 1)).unwrap() else {
        panic!("not made");
    };
    assert_eq!(
        make_lot(&mut store, "desk", lot("o-1", 1)).unwrap(),
        Outcome::AsBefore(first)
    );
    let Outcome::Anew { made, voided } = make_lot(&mut store, "desk", lot("o-1", 2)).unwrap() else {
        panic!("not made anew");
    };
    assert_eq!(voided, [first]);
    let step = StepDone {
        lot: "o-1".into(),
        bolt: None,
        step: "wet-1".into(),
        asks: Vec::new(),
    };
    store.append(&[event(1, "phone", step)]).unwrap();
    let begun = make_lot(&mut store, "desk", lot("o-1", 3)).unwrap_err();
    assert_eq!(begun.finding().code, "lot-begun");
    assert_eq!(
        make_lot(&mut store, "desk", lot("o-1", 2)).unwrap(),
        Outcome::AsBefore(made)
    );
    assert!(matches!(
        make_lot(&mut store, "desk", lot("o-2", 3)).unwrap(),
        Outcome::Made(_)
    ));
    let books = Books::read(&store).unwrap();
    assert_eq!(books.lots["o-1"].made().unwrap().fact.revision, [2; 32]);
    let workspace = Workspace::open(&common::small_workspace()).unwrap();
    let none = freeze(&workspace, "o-9", "no-such-design", 1).unwrap_err();
    assert_eq!(none.finding().code, "lot-without-design");
}
