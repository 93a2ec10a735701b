//! Stamp makers from the workshop file, with what each of them can build:
//!
//! ```toml
//! [[stamp_makers]]
//! key = "by-the-bridge"
//! strip = "0.5 mm"
//! gap = "1.8 mm"
//! ```
//!
//! The first is the workshop's usual one. What is not stated is as assumed for any.

use crate::read::Table;
use stamp::{Limit, Limits};
use std::collections::BTreeSet;
use words::{Arg, Finding, Known, Weight, say};

const KEYS: [&str; Limit::ALL.len() + 1] = {
    let mut keys = ["key"; Limit::ALL.len() + 1];
    let mut k = 0;
    while k < Limit::ALL.len() {
        keys[k + 1] = Limit::ALL[k].key();
        k += 1;
    }
    keys
};
/// A value this many times from the usual one is a slip, not a stamp maker.
const IMPOSSIBLE: f64 = 20.0;

/// A stamp maker.
#[derive(Clone, Debug, PartialEq)]
pub struct StampMaker {
    /// Key in the workshop file.
    pub key: String,
    /// What can be built.
    pub limits: Limits,
}

/// Reads `[[stamp_makers]]`; a wrong limit is said and stays as assumed.
pub(crate) fn read(table: &Table) -> Vec<StampMaker> {
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for entry in table.tables("stamp_makers", &KEYS) {
        let key = entry.text("key");
        let mut limits = Limits::default();
        for limit in Limit::ALL
            .iter()
            .filter(|limit| entry.maybe(limit.key()).is_some())
        {
            let usual = limits.get(*limit).value;
            let (low, high) = (usual / IMPOSSIBLE, usual * IMPOSSIBLE);
            if let Some(value) = entry.within(limit.key(), limit.measure(), low, high) {
                limits.set(*limit, Known::yours(value));
            }
        }
        let Some(key) = key else { continue };
        if seen.insert(key.clone()) {
            all.push(StampMaker { key, limits });
        } else {
            let found = say!(
                "there are two stamp makers {key}",
                "ada dua pembuat cap {key}",
                key = Arg::Name(key)
            );
            entry.sheet().add(Finding::new(
                "key-twice",
                Weight::Wrong,
                entry.place_of("key"),
                found,
            ));
        }
    }
    all
}
