//! The workshop's own constants, checked against those of the operations:
//!
//! ```toml
//! [constants]
//! "wax.creep" = { value = "1.4e-10 m2/s", measured = "2026-06-02", n = 5 }
//! ```

use crate::known::known;
use crate::read::{Item, Table};
use crate::workshop::not_known;
use route::{Constant, Constants, OPERATIONS};
use units::{Measure, Quantity};
use words::{Arg, Finding, Known, Place, Weight, say};

/// Every constant of the operations, by key.
fn all_constants() -> impl Iterator<Item = &'static Constant> {
    OPERATIONS.iter().flat_map(|kind| kind.constants)
}

/// A value this many times from the usual one is a slip, not a workshop.
const IMPOSSIBLE: f64 = 100.0;

/// Reads `[constants]`; a wrong one is left out and said.
pub(crate) fn read(table: &Table) -> Constants {
    let mut own = Constants::default();
    for (key, place, item) in flat(table) {
        let Some(constant) = all_constants().find(|c| c.key == key) else {
            table.sheet().add(not_known(
                "constant-not-known",
                place,
                &key,
                all_constants().map(|c| c.key),
            ));
            continue;
        };
        let Some(known) = known(item, constant.measure) else {
            continue;
        };
        let finding = doubt(constant, &known, place);
        let usable = finding.as_ref().is_none_or(|f| f.weight != Weight::Wrong);
        finding.into_iter().for_each(|f| table.sheet().add(f));
        if usable {
            own.set(constant.key, known);
        }
    }
    own
}

/// What there is to say about a value: of another sign, more than the whole, or far from the usual.
fn doubt(constant: &Constant, known: &Known, place: Place) -> Option<Finding> {
    let (value, usual) = (known.value, constant.value);
    let quantity = |si| Arg::Quantity(Quantity::new(si, constant.measure));
    let times = value / usual;
    let too_much = constant.measure == Measure::Share && value > 1.0 && usual <= 1.0;
    let (code, weight) = if usual == 0.0 && value.is_finite() {
        return None;
    } else if too_much || !(1.0 / IMPOSSIBLE..=IMPOSSIBLE).contains(&times) {
        ("constant-impossible", Weight::Wrong)
    } else {
        // Beyond three times its spread, a slip of the unit is likelier than an unusual workshop.
        let far = 3.0 * constant.factor.max(1.0);
        if (1.0 / far..=far).contains(&times) {
            return None;
        }
        ("constant-far-off", Weight::Doubtful)
    };
    let found = say!(
        "{key} is {found}, far from the usual {usual}",
        "{key} diisi {found}, jauh dari biasanya {usual}",
        key = Arg::Name(constant.key.to_string()),
        found = quantity(value),
        usual = quantity(usual)
    );
    Some(Finding::new(code, weight, place, found).remedy(say!("check the unit", "periksa satuannya")))
}

/// Constants by their whole key, whether it stands in quotes (`"wax.creep" = ...`) or not (`wax.creep = ...`, which
/// TOML reads as a table in a table).
fn flat<'a>(table: &Table<'a>) -> Vec<(String, Place, Item<'a>)> {
    let mut all = Vec::new();
    for (key, place, item) in table.items() {
        let inside = if item.is_table() { item.open_table() } else { None };
        match inside.filter(|t| !key.contains('.') && t.maybe("value").is_none()) {
            Some(inside) => {
                all.extend(
                    inside
                        .items()
                        .map(|(inner, place, item)| (format!("{key}.{inner}"), place, item)),
                );
            }
            None => all.push((key.to_string(), place, item)),
        }
    }
    all
}
