//! Shades through the route of a design: colours of the finished cloth, region by region.
//!
//! A design's file names its regions and their colours under `[[targets]]`; [`spots`] reads them, with other colours
//! for some of them if the person says so. [`cloth::aim::solve`] does the work; [`edits`] says what is to be written.

use super::colour;
use cloth::aim::{Change, Set, Solved, Spot};
use colour::plot::GamutTarget;
use route::Design;
use words::{Arg, Finding, Place, Weight, say};
use workspace::edit::{self, Given};
use workspace::{RegionTarget, Source, Workspace};

/// The regions of a design with the colours that are wanted there. `others` are `(name of a region, colour as typed)`
/// and go before the file.
///
/// # Errors
/// If the design has no targets, one names no region of it, or is no colour.
pub fn spots(
    workspace: &Workspace,
    design: &Design,
    others: &[(String, String)],
) -> Result<Vec<Spot>, Vec<Finding>> {
    let file = workspace.design_file(&design.id);
    let targets = file.map_or(&[][..], |file| &file.targets);
    if targets.is_empty() {
        let found = say!(
            "{design} does not say which colours its cloth shall carry",
            "{design} belum menyebut warna yang diinginkan pada kainnya",
            design = Arg::Name(design.name.clone())
        );
        return Err(vec![
            Finding::new("no-targets", Weight::Wrong, Place::Request, found).remedy(say!(
                "add {targets} to its file: a name, a colour, and where it lies",
                "tambahkan {targets} di berkasnya: nama, warna, dan letaknya",
                targets = Arg::Name("[[targets]]".into())
            )),
        ]);
    }
    let mut spots: Vec<Spot> = targets.iter().map(|t| spot(t, design)).collect();
    for (name, text) in others {
        let Some(spot) = spots.iter_mut().find(|s| s.name == *name) else {
            let known: Vec<&str> = targets.iter().map(|t| t.name.as_str()).collect();
            let found = say!(
                "{design} has no region {name}",
                "{design} tidak punya bagian {name}",
                design = Arg::Name(design.name.clone()),
                name = Arg::Name(name.chars().filter(|c| !c.is_control()).take(60).collect())
            );
            let finding = Finding::new("no-such-region", Weight::Wrong, Place::Request, found);
            return Err(vec![finding.allow(say!(
                "{list}",
                "{list}",
                list = Arg::Name(known.join(", "))
            ))]);
        };
        let target = colour(text)
            .unwrap_or_else(|| Err(no_colour(text)))
            .map_err(|f| vec![f])?;
        spot.target = Some(target.lab());
    }
    Ok(spots)
}

fn no_colour(text: &str) -> Finding {
    let found = say!(
        "\"{text}\" is no colour",
        "\"{text}\" bukan warna",
        text = Arg::Name(text.chars().filter(|c| !c.is_control()).take(60).collect())
    );
    Finding::new("target-no-colour", Weight::Wrong, Place::Request, found).allow(say!(
        "{lab} or {hex}",
        "{lab} atau {hex}",
        lab = Arg::Name("54,40,31".into()),
        hex = Arg::Name("#c83c28".into())
    ))
}

fn spot(target: &RegionTarget, design: &Design) -> Spot {
    let place = |id: &String| design.steps.iter().position(|s| s.id == *id);
    Spot {
        name: target.name.clone(),
        waxed: target.waxed.iter().filter_map(place).collect(),
        bare: target.bare.iter().filter_map(place).collect(),
        leads: target
            .leads
            .as_ref()
            .and_then(|(id, nth)| Some((place(id)?, *nth))),
        target: Some(target.lab),
        weight: target.weight,
        tolerance: target.tolerance,
    }
}

/// The text of the design's file with the solved recipes in it. Everything else keeps its bytes.
///
/// # Errors
/// If the file cannot be changed as it stands.
pub fn edits(source: &Source, changes: &[Change]) -> Result<String, Finding> {
    changes.iter().try_fold(source.text.clone(), |text, change| {
        let given = match &change.to {
            Set::Time(time) => Given::Text(time.spelled.clone()),
            Set::Dyes(dyes) => Given::Doses(
                dyes.iter()
                    .map(|(id, depth)| (id.clone(), depth.spelled.clone()))
                    .collect(),
            ),
        };
        let change = edit::Change::Setting {
            step: change.step.clone(),
            key: change.key.to_string(),
            given: Some(given),
        };
        edit::apply(&text, &change)
    })
}

/// Targets for the plot of what the route reaches: all regions' colours together.
pub fn gamut_targets(solved: &Solved) -> Vec<GamutTarget> {
    let one = |region: &cloth::aim::Seen| {
        let lab = region.target?;
        Some(GamutTarget {
            name: region.name.clone(),
            lab,
            nearest: region.nearest.unwrap_or((region.lab, region.difference?)),
            together: Some((region.lab, region.difference?)),
            tolerance: region.tolerance,
        })
    };
    solved.regions.iter().filter_map(one).collect()
}
