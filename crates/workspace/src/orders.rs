//! Orders from `orders.toml`, and the collection's own lines from `collection.toml`.

use crate::Source;
use crate::read::{Sheet, Table, parse};
use sky::Date;
use std::ops::Range;
use words::{Arg, Finding, Weight, say};

/// The collection.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Collection {
    /// Its name.
    pub name: String,
    /// Who designs it.
    pub designer: String,
    /// Where the designer works.
    pub place: String,
    /// One sentence about it.
    pub note: String,
}

/// Cloth that is promised to somebody.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// Permanent id.
    pub id: String,
    /// Id of the design.
    pub design: String,
    /// Bolts.
    pub bolts: u32,
    /// Promised for this day.
    pub due: Date,
    /// The day on which its cloth is there; `None`: it is.
    pub cloth: Option<Date>,
    /// Who ordered.
    pub buyer: String,
    /// How much a late day counts against other orders; 1 unless given.
    pub weight: u32,
    /// What else is to be known.
    pub note: String,
    /// Where it stands in the orders file.
    pub span: Range<usize>,
    /// Where the design's id stands in the orders file.
    pub design_span: Range<usize>,
}

/// Largest order, bolts.
const MOST_BOLTS: u32 = 10_000;

/// Reads the collection.
pub(crate) fn collection(source: &Source) -> (Option<Collection>, Vec<Finding>) {
    let sheet = Sheet::new(&source.path);
    let collection = parse(source, &sheet).and_then(|document| {
        let table = Table::document(&sheet, &document, &["name", "designer", "place", "note"]);
        let (name, designer) = (table.text("name"), table.text("designer"));
        let (place, note) = (table.text_or_empty("place"), table.text_or_empty("note"));
        Some(Collection {
            name: name?,
            designer: designer?,
            place: place?,
            note: note?,
        })
    });
    (collection, sheet.into_findings())
}

/// Reads the orders; a wrong order is left out and said.
pub(crate) fn orders(source: &Source) -> (Vec<Order>, Vec<Finding>) {
    let sheet = Sheet::new(&source.path);
    let mut orders: Vec<Order> = Vec::new();
    if let Some(document) = parse(source, &sheet) {
        let table = Table::document(&sheet, &document, &["orders"]);
        let known = ["id", "design", "bolts", "due", "cloth", "buyer", "weight", "note"];
        for entry in table.tables("orders", &known) {
            let Some(order) = order(&entry) else { continue };
            if orders.iter().any(|o| o.id == order.id) {
                sheet.add(
                    Finding::new(
                        "order-twice",
                        Weight::Wrong,
                        entry.place_of("id"),
                        say!(
                            "there are two orders {id}",
                            "ada dua pesanan {id}",
                            id = Arg::Name(order.id)
                        ),
                    )
                    .remedy(say!("give one of them another id", "beri salah satunya id lain")),
                );
            } else {
                orders.push(order);
            }
        }
    }
    (orders, sheet.into_findings())
}

fn order(entry: &Table) -> Option<Order> {
    let id = entry.text("id");
    let design = entry
        .item("design")
        .and_then(|i| Some((i.text()?.to_string(), i.span())));
    let bolts = entry.item("bolts").and_then(|i| i.whole(1, MOST_BOLTS));
    let due = entry.date("due");
    let cloth = entry.maybe("cloth").map_or(Some(None), |i| i.date().map(Some));
    let buyer = entry.text("buyer");
    let weight = entry.maybe("weight").map_or(Some(1), |i| i.whole(1, 1000));
    let note = entry.text_or_empty("note");
    let (design, design_span) = design?;
    Some(Order {
        id: id?,
        design,
        bolts: bolts?,
        due: due?,
        cloth: cloth?,
        buyer: buyer?,
        weight: weight?,
        note: note?,
        span: entry.span(),
        design_span,
    })
}
