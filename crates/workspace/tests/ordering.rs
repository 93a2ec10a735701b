//! A new order: read before it is written, and nothing else in the file changes.

mod common;

use common::Folder;
use workspace::{NewOrder, NotDone, ORDERS, Workspace, add_order};

const NEW: NewOrder = NewOrder {
    design: "sea-fan",
    bolts: "6",
    due: "2027-03-31",
    buyer: "Fennel \"& Thread\"",
};

#[test]
fn an_order_is_added_at_the_end() {
    let folder = Folder::demo();
    let file = folder.0.join(ORDERS);
    let before = std::fs::read_to_string(&file).unwrap();
    let workspace = Workspace::open(&folder.0).unwrap();
    let id = add_order(&workspace, &NEW).unwrap();
    let after = std::fs::read_to_string(&file).unwrap();
    assert!(after.starts_with(&before));
    let again = Workspace::open(&folder.0).unwrap();
    let order = again.orders.iter().find(|order| order.id == id).unwrap();
    assert_eq!(
        (order.design.as_str(), order.bolts, order.buyer.as_str()),
        ("sea-fan", 6, NEW.buyer)
    );
    assert!(
        !workspace.orders.iter().any(|order| order.id == id),
        "an id of its own"
    );
    // The folder has changed since it was read: a second order from the same reading would lose the first.
    assert!(matches!(add_order(&workspace, &NEW), Err(NotDone::Io(_))));
}

#[test]
fn what_cannot_be_promised_is_told_and_not_written() {
    let folder = Folder::demo();
    let before = std::fs::read_to_string(folder.0.join(ORDERS)).unwrap();
    let workspace = Workspace::open(&folder.0).unwrap();
    for (new, code) in [
        (
            NewOrder {
                design: "no-such",
                ..NEW
            },
            "no-such-design",
        ),
        (NewOrder { bolts: "6 kg", ..NEW }, "bolts"),
        (NewOrder { bolts: "0", ..NEW }, ""),
        (
            NewOrder {
                due: "31 March",
                ..NEW
            },
            "",
        ),
        (NewOrder { buyer: "", ..NEW }, ""),
    ] {
        let Err(NotDone::Findings(found)) = add_order(&workspace, &new) else {
            panic!("{new:?} was taken");
        };
        assert!(
            !found.is_empty() && (code.is_empty() || found[0].code == code),
            "{new:?}: {found:?}"
        );
    }
    assert_eq!(std::fs::read_to_string(folder.0.join(ORDERS)).unwrap(), before);
}
