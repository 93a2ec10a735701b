//! What the routes of a workspace do with its dyes: which steps use one, in which rest it binds, in which bath it clears.

use colour::plot::Store;
use route::Value;
use units::{Celsius, Quantity, Span};
use words::{Arg, Finding, Place, Weight, say};
use workspace::Workspace;

/// A depth of a route, and what it becomes for a lot of another strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// Id of the design.
    pub design: String,
    /// Permanent id of the step.
    pub step: String,
    /// As it stands in the route.
    pub was: Quantity,
    /// So that the cloth comes out as before.
    pub becomes: Quantity,
}

/// Every step that uses a dye, with the depth that a lot `ratio` times as strong needs.
pub fn followed(workspace: &Workspace, dye: &str, ratio: f64) -> Vec<Followed> {
    let mut out = Vec::new();
    for design in workspace.designs.iter().filter_map(|file| file.design.as_ref()) {
        for step in &design.steps {
            for (_, value) in step.operation.values().iter() {
                let Value::Dyes(doses) = value else { continue };
                for dose in doses.iter().filter(|d| design.dyes[d.dye].id == dye) {
                    let was = dose.depth.quantity;
                    out.push(Followed {
                        design: design.id.clone(),
                        step: step.id.clone(),
                        was,
                        becomes: Quantity::new(was.si / ratio, was.measure),
                    });
                }
            }
        }
    }
    out
}

/// What is known otherwise than from the routes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stated {
    /// How long the cloth rests wet and alkaline.
    pub rest: Option<Span>,
    /// How warm it is then.
    pub cloth: Option<Celsius>,
    /// How warm the bleach bath is.
    pub bath: Option<Celsius>,
    /// Its pH.
    pub ph: Option<f64>,
    /// Its available chlorine, g/L.
    pub chlorine: Option<f64>,
}

/// The rest and the bleach bath that most steps of the routes have, where they are not stated.
///
/// # Errors
/// A finding if no route has them.
pub fn conditions(workspace: &Workspace, stated: Stated) -> Result<Store, Finding> {
    let rests = usual(workspace, ["rest", "warmer"]);
    let baths = usual(workspace, ["temperature", "ph", "chlorine"]);
    let air = workspace.workshop.as_ref().map(|shop| shop.climate.air.0);
    let rest = stated.rest.or_else(|| rests.map(|[rest, _]| Span(rest)));
    let cloth = stated
        .cloth
        .or_else(|| Some(Celsius(air? + rests.map_or(0.0, |[_, warmer]| warmer))));
    let bath = stated.bath.or_else(|| baths.map(|[bath, _, _]| Celsius(bath)));
    let ph = stated.ph.or_else(|| baths.map(|[_, ph, _]| ph));
    // Per volume in SI is kg/m3, which is g/L.
    let chlorine = stated.chlorine.or_else(|| baths.map(|[_, _, chlorine]| chlorine));
    match (rest, cloth, bath, ph, chlorine) {
        (Some(rest), Some(cloth), Some(bath), Some(ph), Some(chlorine)) => Ok(Store {
            rest,
            cloth,
            bath,
            ph,
            chlorine,
        }),
        _ => Err(no_conditions()),
    }
}

/// The values of these settings that most steps with all of them share; of equally many, the first.
fn usual<const N: usize>(workspace: &Workspace, keys: [&str; N]) -> Option<[f64; N]> {
    let mut found: Vec<([f64; N], usize)> = Vec::new();
    for design in workspace.designs.iter().filter_map(|file| file.design.as_ref()) {
        for step in &design.steps {
            let values = step.operation.values();
            if !keys
                .iter()
                .all(|key| matches!(values.get(key), Some(Value::Quantity(_))))
            {
                continue;
            }
            let these = keys.map(|key| values.si(key));
            match found.iter_mut().find(|(known, _)| *known == these) {
                Some((_, count)) => *count += 1,
                None => found.push((these, 1)),
            }
        }
    }
    let most = found.iter().map(|(_, count)| *count).max()?;
    found
        .into_iter()
        .find(|(_, count)| *count == most)
        .map(|(these, _)| these)
}

fn no_conditions() -> Finding {
    Finding::new(
        "store-no-conditions",
        Weight::Wrong,
        Place::Request,
        say!(
            "No route of this workspace says how the cloth rests and in which bath it is bleached.",
            "Tidak ada alur di ruang kerja ini yang menyebut lama didiamkan dan bak pemutihnya."
        ),
    )
    .allow(say!(
        "State {options}.",
        "Nyatakan {options}.",
        options =
            Arg::Name("--rest \"2 h\" --cloth \"29 C\" --bath \"28 C\" --ph 10 --chlorine \"3 g/L\"".into())
    ))
}
