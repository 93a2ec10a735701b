//! `[[targets]]` of a design: the colours that the finished cloth is to carry. They change no cloth; whoever solves a
//! design's recipes reads them.
//!
//! ```toml
//! [[targets]]
//! name = "scarlet fans"
//! colour = "#a8453c"     # of the screen; or lab = [44.1, 41.0, 27.5], D65, 10 degrees
//! waxed = ["s12"]        # covered by these waxings
//! bare = []              # left bare by these
//! leads = "s04.2"        # where the second dye of this step is most of what the step left
//! tolerance = 3          # CIEDE2000 [default: 3]
//! weight = 1             # how much its squared distance counts [default: 1]
//! ```

use crate::read::{Item, Table};
use colour::Lab;
use colour::recipe::Target;
use route::{Shape, Step};
use words::{Arg, say};

const KEYS: [&str; 8] = [
    "name",
    "colour",
    "lab",
    "waxed",
    "bare",
    "leads",
    "tolerance",
    "weight",
];
/// Hand-dyed cloth within this, CIEDE2000, is called the same colour (common practice, no source).
const TOLERANCE: f64 = 3.0;

/// A region of the finished cloth and its colour, as the file says it. Steps are named by their ids and are steps of
/// the design.
#[derive(Clone, Debug, PartialEq)]
pub struct RegionTarget {
    /// What people call it.
    pub name: String,
    /// The colour (D65, 10 degrees).
    pub lab: Lab,
    /// Steps whose wax covers it.
    pub waxed: Vec<String>,
    /// Steps whose wax leaves it bare.
    pub bare: Vec<String>,
    /// A step and the place of one of its dyes, from 0: where this dye is most of what the step left.
    pub leads: Option<(String, usize)>,
    /// CIEDE2000 within which it counts as reached.
    pub tolerance: f64,
    /// How much its squared distance counts.
    pub weight: f64,
}

/// The targets of a design; wrong ones are left out and said.
pub(super) fn read(design: &Table, steps: &[Step]) -> Vec<RegionTarget> {
    let one = |table: Table| {
        let name = table.text("name");
        let lab = colour(&table);
        let waxed = step_ids(&table, "waxed", steps);
        let bare = step_ids(&table, "bare", steps);
        let leads = match table.maybe("leads") {
            Some(item) => Some(leads(&item, steps)?),
            None => None,
        };
        let number = |key, least, most, usual| match table.maybe(key) {
            Some(_) => table.number_within(key, least, most, 1),
            None => Some(usual),
        };
        let tolerance = number("tolerance", 0.1, 50.0, TOLERANCE);
        let weight = number("weight", 0.0, 100.0, 1.0);
        Some(RegionTarget {
            name: name?,
            lab: lab?,
            waxed: waxed?,
            bare: bare?,
            leads,
            tolerance: tolerance?,
            weight: weight?,
        })
    };
    design
        .tables("targets", &KEYS)
        .into_iter()
        .filter_map(one)
        .collect()
}

fn colour(table: &Table) -> Option<Lab> {
    let Some(item) = table.maybe("lab") else {
        let item = table.item("colour")?;
        let target = Target::from_hex(item.text()?, &item.place());
        return target.map_err(|f| item.add(f)).ok().map(|t| t.lab());
    };
    let numbers: Option<Vec<f64>> = item.list()?.iter().map(Item::number).collect();
    match numbers?[..] {
        [l, a, b] if (0.0..=100.0).contains(&l) && a.abs() <= 150.0 && b.abs() <= 150.0 => {
            Some(Lab::new(l, a, b))
        }
        _ => {
            let found = say!("this is no colour of a cloth", "ini bukan warna kain");
            item.add(item.wrong("target-lab", found).allow(say!(
                "three numbers: L* from 0 to 100, a* and b* from -150 to 150",
                "tiga angka: L* dari 0 sampai 100, a* dan b* dari -150 sampai 150"
            )));
            None
        }
    }
}

fn step_ids(table: &Table, key: &'static str, steps: &[Step]) -> Option<Vec<String>> {
    let Some(item) = table.maybe(key) else {
        return Some(Vec::new());
    };
    item.list()?
        .iter()
        .map(|entry| known(entry, entry.text()?, steps))
        .collect()
}

fn known(item: &Item, id: &str, steps: &[Step]) -> Option<String> {
    if steps.iter().any(|s| s.id == id) {
        return Some(id.to_string());
    }
    item.unknown("step-not-known", id, steps.iter().map(|s| s.id.as_str()));
    None
}

/// "s04.2": the second dye of step s04.
fn leads(item: &Item, steps: &[Step]) -> Option<(String, usize)> {
    let text = item.text()?;
    let (id, nth) = text.rsplit_once('.').unwrap_or((text, "1"));
    let id = known(item, id, steps)?;
    let dyes = steps.iter().filter(|s| s.id == id).flat_map(|s| {
        let lists = s
            .operation
            .kind()
            .settings
            .iter()
            .filter(|k| matches!(k.shape, Shape::Dyes { .. }));
        lists.map(|k| s.operation.values().dyes(k.key).len())
    });
    let most = dyes.sum::<usize>();
    match nth.parse::<usize>() {
        Ok(nth) if (1..=most).contains(&nth) => Some((id, nth - 1)),
        _ => {
            let found = say!(
                "step {step} has {n} dyes",
                "langkah {step} punya {n} pewarna",
                step = Arg::Name(id),
                n = Arg::Number(most as f64, 0)
            );
            item.add(item.wrong("no-such-dye-of-step", found).allow(say!(
                "the id of a step, a point, and which of its dyes, from 1: {example}",
                "id langkah, titik, dan pewarna keberapa, dari 1: {example}",
                example = Arg::Name("s04.2".into())
            )));
            None
        }
    }
}
