//! Which design, and how many bolts of it, a page of tables is about.

use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use maud::{Markup, html};
use route::{Design, LotShape, Workshop};
use std::sync::Arc;
use words::text;
use workspace::Workspace;

/// Bolts of one lot that a page counts with at most.
const MOST: u32 = 500;

/// What was picked.
pub struct Picked<'a> {
    /// The design.
    pub design: &'a Arc<Design>,
    /// The workshop.
    pub shop: &'a Workshop,
    /// A lot of as many bolts as are asked for: those of the address, or those ordered, or one.
    pub lot: LotShape,
}

/// Reads the address; the first design that can be made if it names none.
pub fn pick<'a>(workspace: &'a Workspace, reader: &Reader) -> Option<Picked<'a>> {
    let shop = workspace.workshop.as_ref()?;
    let design = match reader.get("design") {
        Some(id) => workspace.design(id)?,
        None => workspace.designs.iter().find_map(|file| file.design.as_ref())?,
    };
    let ordered: u32 = workspace
        .orders
        .iter()
        .filter(|o| o.design == design.id)
        .map(|o| o.bolts)
        .sum();
    let asked = reader
        .get("bolts")
        .and_then(|v| v.parse().ok())
        .filter(|n| (1..=MOST).contains(n));
    let bolts = asked.unwrap_or(ordered.clamp(1, MOST));
    Some(Picked {
        design,
        shop,
        lot: LotShape::new(&design.id, bolts, 0, design.cloth),
    })
}

/// Links to the same page about other designs, and a field for the number of bolts.
pub fn picker(workspace: &Workspace, picked: &Picked, reader: &Reader) -> Markup {
    let voice = reader.voice;
    html! {
        div.pick {
            (others(workspace, &picked.design.id, reader))
            form.bolts method="get" action=(reader.path) {
                input type="hidden" name="design" value=(picked.design.id);
                label for="bolts" { (t(text!("for", "untuk"), voice)) }
                input #bolts type="number" name="bolts" min="1" max=(MOST) value=(picked.lot.bolts) inputmode="numeric";
                span { (t(text!("bolts", "gulung"), voice)) }
                button.btn type="submit" { (t(text!("Count", "Hitung"), voice)) }
            }
        }
    }
}

/// Links to the same page about other designs.
pub fn others(workspace: &Workspace, id: &str, reader: &Reader) -> Markup {
    html! {
        nav.others aria-label=(t(text!("Other cloth", "Kain lain"), reader.voice)) {
            @for (other, name) in hung_ids(workspace) {
                a href=(format!("{}?design={}", reader.path, escape(&other))) aria-current=[(other == id).then_some("true")] { (name) }
            }
        }
    }
}

fn hung_ids(workspace: &Workspace) -> Vec<(String, String)> {
    workspace
        .designs
        .iter()
        .filter_map(|f| f.design.as_ref())
        .map(|d| (d.id.clone(), d.name.clone()))
        .collect()
}
