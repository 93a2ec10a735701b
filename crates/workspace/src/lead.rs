//! How long after its order something is there, from the workshop file:
//!
//! ```toml
//! [lead_times]
//! artwork = "7 d"      # from the finished drawing to the stamp's order: check, repair, talk
//! stamp = "28 d"
//! cloth = "21 d"
//! dyes = "14 d"        # any dye that does not stand here by its id
//! sand-dct = "35 d"
//! ```

use crate::read::Table;
use std::collections::BTreeMap;
use units::Measure;

/// Longest lead time, s: two years.
const MOST: f64 = 730.0 * 86_400.0;

/// Lead times of the workshop, whole days.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeadTimes {
    /// By name: `artwork`, `stamp`, `cloth`, `dyes`, or the id of a dye.
    pub days: BTreeMap<String, i32>,
}

impl LeadTimes {
    /// Days of a name; `None`: the workshop's file does not say.
    pub fn of(&self, name: &str) -> Option<i32> {
        self.days.get(name).copied()
    }
    /// Days of a dye: its own, or those of any dye.
    pub fn dye(&self, id: &str) -> Option<i32> {
        self.of(id).or_else(|| self.of("dyes"))
    }
}

/// Reads `[lead_times]`; a wrong one is left out and said.
pub(crate) fn read(workshop: &Table) -> LeadTimes {
    let table = workshop.maybe("lead_times").and_then(|item| item.open_table());
    let items = table.iter().flat_map(Table::items);
    let days = items.filter_map(|(name, _, item)| {
        let seconds = item.within(Measure::Span, 0.0, MOST)?;
        Some((name.to_string(), (seconds / 86_400.0).ceil() as i32))
    });
    LeadTimes { days: days.collect() }
}
