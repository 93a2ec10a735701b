//! Which reading is which: ids stand once, and readings of one sample are numbered.

use super::columns::{Role, role};
use super::table::Table;
use super::{Measured, Reading};
use std::collections::HashSet;
use words::{Arg, Finding, Weight, say};

/// Leaves out the later of two readings with one id, and says so. Readings from `from` on are those of `table`.
pub(super) fn check(table: &Table, path: &str, from: usize, out: &mut Measured) {
    let at = |wanted: Role| table.columns.iter().position(|c| role(c) == wanted);
    let Some(id) = at(Role::Id) else { return };
    let reading = at(Role::Reading);
    let mut seen = HashSet::new();
    let mut twice = Vec::new();
    for row in &table.rows {
        let text = |column: usize| row.get(column).map_or("", |c| c.text);
        if text(id).is_empty() || seen.insert((text(id), reading.map_or("", text))) {
            continue;
        }
        let place = super::telling::row_place(row, path);
        out.findings.push(
            Finding::new(
                "measured-id-twice",
                Weight::Wrong,
                place.clone(),
                say!(
                    "Sample \"{id}\" stands here for the second time.",
                    "Contoh \"{id}\" muncul lagi di sini.",
                    id = Arg::Name(text(id).to_string())
                ),
            )
            .remedy(say!(
                "Give it an id of its own; or, if it is one more reading of the same sample, add a column READING \
                 with 1, 2, 3.",
                "Beri id tersendiri; atau, bila ini pembacaan lain dari contoh yang sama, tambahkan kolom READING \
                 berisi 1, 2, 3."
            )),
        );
        twice.push(place);
    }
    let mut index = 0;
    out.readings.retain(|r: &Reading| {
        let keep = index < from || !twice.contains(&r.place);
        index += 1;
        keep
    });
}
