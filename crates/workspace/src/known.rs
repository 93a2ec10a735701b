//! Numbers with their origin:
//!
//! ```toml
//! a = { value = "0.11 /M/s", factor = 2.5, source = "where it was read" }   # assumed
//! b = { value = "34 %", yours = true }                                      # typed in by the workshop
//! c = { value = "1.4e-10 m2/s", measured = "2026-06-02", n = 5 }            # measured here
//! ```

use crate::read::{Item, Table};
use units::Measure;
use words::{Arg, Finding, Known, Origin, Weight, say};

/// Keys of an origin.
const ORIGIN: [&str; 5] = ["factor", "source", "yours", "measured", "n"];
const KNOWN: [&str; 6] = ["value", "factor", "source", "yours", "measured", "n"];

/// A number with its origin.
pub(crate) fn known(item: Item, measure: Measure) -> Option<Known> {
    let table = item.table(&KNOWN)?;
    let value = table.quantity("value", measure);
    let origin = origin(&table);
    Some(Known {
        value: value?.quantity.si,
        origin: origin?,
    })
}

/// The origin that a table states beside its number.
pub(crate) fn origin(table: &Table) -> Option<Origin> {
    let has = |key: &str| table.maybe(key).is_some();
    let kinds = [
        has("factor") || has("source"),
        has("yours"),
        has("measured") || has("n"),
    ];
    match kinds {
        [true, false, false] => {
            // The true value lies within this factor: 1 is exact, and a thousand says nothing.
            let factor = table.number_within("factor", 1.0, 1000.0, 1);
            let source = table.text("source");
            Some(Origin::Assumed {
                factor: factor?,
                source: source?,
            })
        }
        [false, true, false] => {
            let item = table.maybe("yours")?;
            if item.yes()? {
                return Some(Origin::Yours);
            }
            item.add(item.wrong(
                "origin-yours-false",
                say!(
                    "yours = false says no origin",
                    "yours = false tidak menyebut asal"
                ),
            ));
            None
        }
        [false, false, true] => {
            let date = table.item("measured").and_then(|i| Some((i, i.date()?)));
            let n = table.item("n").and_then(|i| i.whole(1, 1_000_000));
            let date = date.and_then(|(item, _)| item.date_text());
            Some(Origin::Measured {
                date: date?.trim().to_string(),
                n: n?,
            })
        }
        _ => {
            let found = if kinds == [false; 3] {
                say!(
                    "the number does not say where it comes from",
                    "angka ini tidak menyebut asalnya"
                )
            } else {
                say!(
                    "the number names more than one origin",
                    "angka ini menyebut lebih dari satu asal"
                )
            };
            table.sheet().add(
                Finding::new("origin-not-clear", Weight::Wrong, table.place(), found).allow(say!(
                    "{assumed}, or {yours}, or {measured}",
                    "{assumed}, atau {yours}, atau {measured}",
                    assumed = Arg::Name("factor = 2, source = \"...\"".into()),
                    yours = Arg::Name("yours = true".into()),
                    measured = Arg::Name("measured = \"2026-06-02\", n = 5".into())
                )),
            );
            None
        }
    }
}

/// Keys of an origin together with others.
pub(crate) fn with_origin(others: &[&'static str]) -> Vec<&'static str> {
    others.iter().chain(&ORIGIN).copied().collect()
}
