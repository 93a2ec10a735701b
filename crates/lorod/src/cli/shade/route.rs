//! Recipes through the whole route of a design, for its finished cloth.

use super::super::progress::Progress;
use super::super::table::Table;
use super::super::{end, out, tell, wire};
use super::{Ask, End};
use crate::facts::shades::route::{edits, gamut_targets, spots};
use cloth::aim::{self, Aimed, Seen, Set, Solved};
use colour::gamut::Gamut;
use colour::plot::{gamut_svg, hex_of};
use route::LotShape;
use serde::Serialize;
use words::{Arg, Finding, Place, Voice, Weight, say};

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// Id of the design.
    design: String,
    /// Regions of the finished cloth.
    regions: Vec<RegionOut>,
    /// What the recipes change in the design.
    changes: Vec<ChangeOut>,
    /// The file that was written; `null` if none was.
    written: Option<String>,
    /// About regions that miss their colour.
    findings: Vec<wire::FindingOut>,
}

/// A region.
#[derive(Serialize)]
struct RegionOut {
    name: String,
    /// L*, a*, b* that were wanted, D65, 10 degrees.
    target: Option<[f64; 3]>,
    /// Mean L*, a*, b* of developed cloth.
    lab: [f64; 3],
    /// On a screen.
    screen: String,
    /// CIEDE2000 between the two.
    difference: Option<f64>,
    /// CIEDE2000 within which it counts as reached.
    tolerance: f64,
    /// Mean distance of all its colours from the target: mottle is in it.
    palette_distance: Option<f64>,
    /// Share of the cloth.
    share: f64,
    /// CIEDE2000 of the nearest that the route could bring it, all else aside; only where it misses.
    nearest: Option<f64>,
}

/// A changed setting.
#[derive(Serialize)]
struct ChangeOut {
    step: String,
    setting: &'static str,
    /// Dyes with their depths, or one time.
    dyes: Vec<[String; 2]>,
    time: Option<String>,
}

/// Solves and tells.
pub fn run(ask: &Ask, id: &str, voice: Voice) -> Result<(), End> {
    let workspace = end::open(&ask.dir)?;
    let design = end::design(&workspace, id)?;
    let shop = end::shop(&workspace)?;
    let others: Vec<(String, String)> = ask.targets.iter().map(|t| named(t)).collect::<Result<_, _>>()?;
    let spots = spots(&workspace, &design, &others).map_err(|f| End::in_files(f, &workspace))?;
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    if ask.as_it_is {
        let regions = aim::look(&design, &lot, shop, &spots).map_err(|f| End::in_files(f, &workspace))?;
        if ask.json {
            wire::print(&Out {
                design: design.id.clone(),
                regions: regions.iter().map(region_out).collect(),
                changes: Vec::new(),
                written: None,
                findings: Vec::new(),
            });
        } else {
            tell(&regions_text(&regions, voice));
        }
        return Ok(());
    }
    let aimed = Aimed {
        keep_dyes: ask.keep_dyes,
        ..Aimed::default()
    };
    let progress = Progress::new(&design.name);
    let solved = aim::solve(
        &design,
        &lot,
        shop,
        &workspace.dyes,
        &spots,
        &aimed,
        voice,
        &|share| {
            progress.at(share);
            true
        },
    )
    .map_err(|f| End::in_files(f, &workspace))?;
    progress.done();
    if let Some(path) = ask.gamut.as_ref().or(ask.output.as_ref()) {
        let all = solved
            .reach
            .iter()
            .flat_map(|g| g.points().iter().copied())
            .collect();
        let svg = gamut_svg(
            &design.name,
            &Gamut::from_points(all),
            &gamut_targets(&solved),
            voice,
        );
        out::drawing(path, &svg)?;
    }
    let written = if ask.write && !solved.changes.is_empty() {
        let file = workspace
            .design_file(&design.id)
            .map(|f| f.path.clone())
            .unwrap_or_default();
        let Some(source) = workspace.source(&file) else {
            return Err(End::said(end::DISK));
        };
        let text = edits(source, &solved.changes).map_err(|f| End::refused(vec![f]))?;
        workspace::save(&workspace.dir, &file, Some(source.hash), text.as_bytes())?;
        Some(file)
    } else {
        None
    };
    if ask.json {
        wire::print(&Out {
            design: design.id.clone(),
            regions: solved.regions.iter().map(region_out).collect(),
            changes: solved.changes.iter().map(change_out).collect(),
            written,
            findings: wire::findings(&solved.findings, |path| workspace.source(path), voice),
        });
    } else {
        tell(&as_text(&solved, written.as_deref(), voice));
        for finding in &solved.findings {
            eprint!("{}", words::show(finding, None, voice));
        }
    }
    Ok(())
}

/// "scarlet fans=#a8453c"
fn named(text: &str) -> Result<(String, String), End> {
    match text.rsplit_once('=') {
        Some((name, colour)) => Ok((name.trim().to_string(), colour.trim().to_string())),
        None => {
            let found = say!(
                "\"{text}\" names no region of the design",
                "\"{text}\" tidak menyebut bagian desain",
                text = Arg::Name(end::short(text))
            );
            let finding = Finding::new("target-without-region", Weight::Wrong, Place::Request, found);
            Err(End::usage(finding.allow(say!(
                "a region and its colour: {example}",
                "bagian dan warnanya: {example}",
                example = Arg::Name("\"scarlet fans=#a8453c\"".into())
            ))))
        }
    }
}

fn region_out(seen: &Seen) -> RegionOut {
    RegionOut {
        name: seen.name.clone(),
        target: seen.target.map(|t| [t.l, t.a, t.b]),
        lab: [seen.lab.l, seen.lab.a, seen.lab.b],
        screen: hex_of(seen.lab),
        difference: seen.difference,
        tolerance: seen.tolerance,
        palette_distance: seen.palette_distance,
        share: seen.share,
        nearest: seen.nearest.map(|n| n.1),
    }
}

fn change_out(change: &aim::Change) -> ChangeOut {
    let (dyes, time) = match &change.to {
        Set::Dyes(dyes) => (
            dyes.iter()
                .map(|(id, depth)| [id.clone(), depth.spelled.clone()])
                .collect(),
            None,
        ),
        Set::Time(time) => (Vec::new(), Some(time.spelled.clone())),
    };
    ChangeOut {
        step: change.step.clone(),
        setting: change.key,
        dyes,
        time,
    }
}

fn regions_text(regions: &[Seen], voice: Voice) -> String {
    let mut table = Table::new(&[false, false, false, true, true, true]);
    table.row([
        say!("region", "bagian").say(voice),
        say!("wanted", "diinginkan").say(voice),
        say!("finished", "jadinya").say(voice),
        "dE00".to_string(),
        say!("palette", "palet").say(voice),
        say!("of the cloth", "dari kain").say(voice),
    ]);
    let number = |v: Option<f64>| v.map_or_else(|| "-".to_string(), |v| voice.number(v, 1));
    for seen in regions {
        table.row([
            seen.name.clone(),
            seen.target.map_or_else(String::new, hex_of),
            hex_of(seen.lab),
            number(seen.difference),
            number(seen.palette_distance),
            format!("{} %", voice.number(100.0 * seen.share, 0)),
        ]);
    }
    table.text()
}

fn as_text(solved: &Solved, written: Option<&str>, voice: Voice) -> String {
    let mut out = regions_text(&solved.regions, voice);
    let mut recipes = Table::new(&[false, false, false]);
    for change in &solved.changes {
        let to = match &change.to {
            Set::Dyes(dyes) => {
                let parts: Vec<String> = dyes
                    .iter()
                    .map(|(id, depth)| format!("{id} {}", depth.spelled))
                    .collect();
                parts.join(" + ")
            }
            Set::Time(time) => time.spelled.clone(),
        };
        recipes.row([change.step.clone(), change.key.to_string(), to]);
    }
    if solved.changes.is_empty() {
        out += &say!(
            "The recipes of the design are the best already.\n",
            "Resep desain ini sudah yang terbaik.\n"
        )
        .say(voice);
    } else {
        out += &recipes.text();
    }
    if let Some(file) = written {
        let line = say!(
            "{file} written\n",
            "{file} ditulis\n",
            file = Arg::Name(file.to_string())
        );
        out += &line.say(voice);
    }
    out
}
