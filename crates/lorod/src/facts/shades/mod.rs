//! Shades: which dyes of the store, how deep, for a colour; what the store can reach.
//!
//! [`targets`] reads what a person names as a colour, [`solve`] answers for the store by itself: dyed cloth with
//! nothing done to it afterwards. [`route`] answers for the finished cloth of a design.

pub mod colourways;
pub mod route;

use colour::dye::DyeCard;
use colour::gamut::Gamut;
use colour::measured::{Basis, Stated, read, samples};
use colour::plot::GamutTarget;
use colour::recipe::{Limits, Objective, Recipe, Solver, Store, Target};
use colour::{Lab, de2000};
use words::{Arg, Finding, Place, Weight, say};
use workspace::Workspace;

/// A colour that is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// What it is called: the sample's name, or the colour as it was typed.
    pub name: String,
    /// The colour.
    pub target: Target,
}

/// Recipes for one shade.
#[derive(Clone, Debug)]
pub struct Shade {
    /// What was wanted.
    pub wanted: Wanted,
    /// What was made small.
    pub objective: Objective,
    /// Recipes by [`colour::recipe::Order::Closest`]; jars count the dyes of [`dyes`].
    pub recipes: Vec<Recipe>,
}

/// The dyes of a workspace that recipes may use, in the order that jars count.
pub fn dyes(workspace: &Workspace) -> Vec<&DyeCard> {
    workspace.dyes.iter().map(|card| &**card).collect()
}

/// The store of a workspace, for white cotton, with at most `most` dyes in a recipe.
///
/// # Errors
/// If there is no dye.
pub fn store(workspace: &Workspace, most: usize) -> Result<Store<'_>, Vec<Finding>> {
    let dyes = dyes(workspace);
    if dyes.is_empty() {
        let found = say!("there is no dye in the store", "belum ada pewarna di gudang");
        let remedy = say!(
            "put dye cards into the folder {dyes}",
            "taruh kartu pewarna di map {dyes}",
            dyes = Arg::Name("dyes".into())
        );
        return Err(vec![
            Finding::new("store-empty", Weight::Wrong, Place::Request, found).remedy(remedy),
        ]);
    }
    Ok(Store {
        limits: Limits {
            dyes: most,
            ..Limits::USUAL
        },
        ..Store::of(&dyes)
    })
}

/// A colour as typed: `#c83c28` (screen), or `54.2,40,31` (L*, a*, b* under D65, 10 degrees). `None` if it is neither.
pub fn colour(text: &str) -> Option<Result<Target, Finding>> {
    if text.starts_with('#') {
        return Some(Target::from_hex(text, &Place::Request));
    }
    let parts: Vec<&str> = text.split([',', ' ']).filter(|p| !p.is_empty()).collect();
    let numbers: Option<Vec<f64>> = parts.iter().map(|p| p.parse().ok()).collect();
    match numbers?[..] {
        [l, a, b] => Some(lab_target(l, a, b)),
        _ => None,
    }
}

fn lab_target(l: f64, a: f64, b: f64) -> Result<Target, Finding> {
    if (0.0..=100.0).contains(&l) && a.abs() <= 150.0 && b.abs() <= 150.0 {
        return Ok(Target::Colour(Lab::new(l, a, b)));
    }
    let found = say!(
        "L* {l}, a* {a}, b* {b} is no colour of a cloth",
        "L* {l}, a* {a}, b* {b} bukan warna kain",
        l = Arg::Number(l, 1),
        a = Arg::Number(a, 1),
        b = Arg::Number(b, 1)
    );
    Err(
        Finding::new("target-lab", Weight::Wrong, Place::Request, found).allow(say!(
            "L* from 0 to 100, a* and b* from -150 to 150",
            "L* dari 0 sampai 100, a* dan b* dari -150 sampai 150"
        )),
    )
}

/// Every sample of a file of measurements as a target, and what is to be told about the file. `path` is for findings.
///
/// # Errors
/// Everything that is wrong in the file.
pub fn samples_of(
    text: &str,
    path: &str,
    stated: Stated,
) -> Result<(Vec<Wanted>, Vec<Finding>), Vec<Finding>> {
    let measured = read(text, path, stated);
    if measured.is_wrong() {
        return Err(measured.findings);
    }
    let (samples, more) = samples(&measured.readings);
    let wanted = samples.into_iter().map(|sample| Wanted {
        name: sample.name,
        target: match sample.basis {
            Basis::Recovered { .. } => Target::Recovered(sample.mean),
            _ => Target::Measured(sample.mean),
        },
    });
    Ok((
        wanted.collect(),
        measured.findings.into_iter().chain(more).collect(),
    ))
}

/// Recipes for shades on white cloth of the store.
///
/// # Errors
/// Findings about the store, or a target that says too little for the objective.
pub fn solve(
    store: &Store,
    wanted: Vec<Wanted>,
    objective: Option<Objective>,
) -> Result<Vec<Shade>, Vec<Finding>> {
    let solver = Solver::new(store.clone())?;
    wanted
        .into_iter()
        .map(|wanted| {
            let objective = objective.unwrap_or_else(|| wanted.target.objective());
            let recipes = solver.solve_by(&wanted.target, objective).map_err(|f| vec![f])?;
            Ok(Shade {
                wanted,
                objective,
                recipes,
            })
        })
        .collect()
}

/// What the store reaches on white cloth, and where the shades lie in it: plot it with [`colour::plot::gamut_svg`].
///
/// # Errors
/// Findings about the store.
pub fn gamut(store: &Store, shades: &[Shade]) -> Result<(Gamut, Vec<GamutTarget>), Vec<Finding>> {
    let gamut = Gamut::of(store)?;
    let targets = shades.iter().map(|shade| {
        let lab = shade.wanted.target.lab();
        let best = shade
            .recipes
            .iter()
            .min_by(|a, b| a.daylight.total_cmp(&b.daylight));
        let white = gamut.points().first().copied().unwrap_or(lab);
        GamutTarget {
            name: shade.wanted.name.clone(),
            lab,
            nearest: best.map_or((white, de2000(lab, white)), |r| (r.lab, r.daylight)),
            together: None,
            tolerance: 1.0,
        }
    });
    let targets = targets.collect();
    Ok((gamut, targets))
}

/// Dyes in a recipe of the store: more is not weighed out for one shade (common practice, no source).
pub const MOST_DYES: usize = 3;

/// That a text is no colour, and how one is written.
pub fn no_colour(found: &str) -> Finding {
    let found = say!(
        "\"{found}\" is no colour",
        "\"{found}\" bukan warna",
        found = Arg::Name(found.chars().filter(|c| !c.is_control()).take(60).collect())
    );
    Finding::new("target-no-colour", Weight::Wrong, Place::Request, found).allow(say!(
        "{lab} or {hex}",
        "{lab} atau {hex}",
        lab = Arg::Name("54,40,31".into()),
        hex = Arg::Name("#c83c28".into())
    ))
}
