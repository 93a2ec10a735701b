//! Recipes of the store by itself.

use super::super::table::Table;
use super::super::wire::OriginOut;
use super::super::{end, out, tell, wire};
use super::{Ask, End};
use crate::facts::shades::{self, Shade, Wanted};
use colour::measured::Stated;
use colour::plot::{gamut_svg, hex_of, shades_svg};
use colour::recipe::{Order, Recipe, Store, Target, rank};
use serde::Serialize;
use std::path::{Path, PathBuf};
use words::{Arg, Finding, Place, Voice, Weight, say, show};

/// Longest file of measurements, bytes.
const MOST: u64 = 64 << 20;
/// Recipes this much farther from the target than the nearest, CIEDE2000, do not count as recipes for it when
/// another order than nearness is wanted.
const NEAR: f64 = 1.0;

/// The answer as JSON.
#[derive(Serialize)]
struct Out {
    /// One for each target.
    shades: Vec<ShadeOut>,
    /// Said about files of measurements.
    findings: Vec<wire::FindingOut>,
}

/// Recipes for a target.
#[derive(Serialize)]
struct ShadeOut {
    /// The target's name.
    name: String,
    /// L*, a*, b* of the target, D65, 10 degrees.
    lab: [f64; 3],
    /// The target on a screen.
    screen: String,
    /// `measured`, `recovered` or `colour`.
    basis: &'static str,
    /// Recipes, best first.
    recipes: Vec<RecipeOut>,
}

/// A recipe.
#[derive(Serialize)]
struct RecipeOut {
    /// Its dyes.
    dyes: Vec<PartOut>,
    /// L*, a*, b* of the dyed cloth, D65, 10 degrees.
    lab: [f64; 3],
    /// On a screen.
    screen: String,
    /// CIEDE2000 under D65.
    daylight: f64,
    /// CIEDE2000 under D65, A and F11; `null` if the target is a colour in daylight only.
    lights: Option<[f64; 3]>,
    /// Special index of metamerism under A and F11; `null` unless the target was measured.
    metamerism: Option<[f64; 2]>,
    /// Cost of the dye per kg of cloth.
    cost: Option<CostOut>,
    /// Dye to wash off, g per kg of cloth.
    wash_off_g_per_kg: f64,
    /// The dye that chlorine clears slowest.
    slowest: Option<SlowestOut>,
    /// Whether an amount stands at its limit.
    at_limit: bool,
}

/// A dye of a recipe.
#[derive(Serialize)]
struct PartOut {
    dye: String,
    /// Bound, g per kg of cloth.
    bound_g_per_kg: f64,
    /// To weigh out, g per kg of cloth.
    charged_g_per_kg: f64,
}

#[derive(Serialize)]
struct CostOut {
    amount: f64,
    currency: String,
}

#[derive(Serialize)]
struct SlowestOut {
    dye: String,
    /// 1/(M s) at 30 C, pH 10.
    rate: f64,
    origin: OriginOut,
}

/// Solves and tells.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = end::open(&ask.dir)?;
    let store = shades::store(&workspace, usize::from(ask.dyes)).map_err(|f| End::in_files(f, &workspace))?;
    let (wanted, findings) = targets(ask, voice)?;
    let objective = ask.by.map(super::By::objective);
    let mut solved = shades::solve(&store, wanted, objective).map_err(End::refused)?;
    if let Some(path) = &ask.gamut {
        let (gamut, targets) = shades::gamut(&store, &solved).map_err(End::refused)?;
        let whose = say!("this store", "gudang ini").say(voice);
        out::drawing(path, &gamut_svg(&whose, &gamut, &targets, voice))?;
    }
    for shade in &mut solved {
        ordered(shade, ask.order.order());
        shade.recipes.truncate(usize::from(ask.best));
    }
    if let Some(path) = &ask.output {
        for (at, shade) in solved.iter().enumerate() {
            let wanted = &shade.wanted;
            let svg = shades_svg(
                &wanted.name,
                &wanted.target,
                &store,
                &shade.recipes,
                usize::from(ask.best),
                voice,
            );
            out::drawing(&numbered(path, at, solved.len()), &svg)?;
        }
    }
    if ask.json {
        wire::print(&Out {
            shades: solved.iter().map(|shade| shade_out(shade, &store)).collect(),
            findings: wire::findings(&findings, |_| None, voice),
        });
    } else {
        for shade in &solved {
            tell(&as_text(shade, &store, voice));
        }
    }
    Ok(())
}

/// Everything that was named as a target, and what was found in files on the way.
fn targets(ask: &Ask, voice: Voice) -> Result<(Vec<Wanted>, Vec<Finding>), End> {
    let (mut wanted, mut found) = (Vec::new(), Vec::new());
    for text in &ask.targets {
        if let Some(target) = shades::colour(text) {
            wanted.push(Wanted {
                name: text.clone(),
                target: target.map_err(End::usage)?,
            });
            continue;
        }
        let path = Path::new(text);
        if !path.exists() {
            return Err(End::usage(no_target(text)));
        }
        let bytes = out::read(path, MOST)?;
        let source = String::from_utf8(bytes).map_err(|_| {
            let found = say!(
                "{path} is not UTF-8 text",
                "{path} bukan teks UTF-8",
                path = Arg::Name(text.clone())
            );
            End::refused(vec![Finding::new(
                "not-utf8",
                Weight::Wrong,
                Place::Request,
                found,
            )])
        })?;
        let stated = Stated {
            scale: ask.scale.map(super::Written::scale),
            viewing: None,
        };
        let say_all = |findings: &[Finding]| {
            for finding in findings {
                eprint!("{}", show(finding, Some(&source), voice));
            }
        };
        match shades::samples_of(&source, text, stated) {
            Ok((samples, findings)) => {
                if !ask.json {
                    say_all(&findings);
                }
                wanted.extend(samples);
                found.extend(findings);
            }
            Err(findings) if ask.json => return Err(End::refused(findings)),
            Err(findings) => {
                say_all(&findings);
                return Err(End::said(end::REFUSED));
            }
        }
    }
    Ok((wanted, found))
}

fn no_target(text: &str) -> Finding {
    let found = say!(
        "\"{text}\" is neither a colour nor a file",
        "\"{text}\" bukan warna dan bukan berkas",
        text = Arg::Name(end::short(text))
    );
    Finding::new("no-such-target", Weight::Wrong, Place::Request, found).allow(say!(
        "a file of measurements, {lab} or {hex}",
        "berkas hasil ukur, {lab} atau {hex}",
        lab = Arg::Name("54,40,31".into()),
        hex = Arg::Name("#c83c28".into())
    ))
}

/// Another order than nearness is among recipes that are near.
fn ordered(shade: &mut Shade, order: Order) {
    if order != Order::Closest {
        let nearest = shade
            .recipes
            .iter()
            .map(|r| r.daylight)
            .fold(f64::INFINITY, f64::min);
        shade.recipes.retain(|r| r.daylight <= nearest + NEAR);
    }
    rank(&mut shade.recipes, order);
}

/// Of several pictures each gets a number before the ending.
fn numbered(path: &Path, at: usize, count: usize) -> PathBuf {
    if count == 1 {
        return path.to_path_buf();
    }
    let stem = path
        .file_stem()
        .map_or_else(Default::default, |s| s.to_string_lossy());
    let ending = path
        .extension()
        .map_or_else(Default::default, |e| e.to_string_lossy());
    path.with_file_name(format!("{stem}-{}.{ending}", at + 1))
}

fn shade_out(shade: &Shade, store: &Store) -> ShadeOut {
    let lab = shade.wanted.target.lab();
    ShadeOut {
        name: shade.wanted.name.clone(),
        lab: [lab.l, lab.a, lab.b],
        screen: hex_of(lab),
        basis: match shade.wanted.target {
            Target::Measured(_) => "measured",
            Target::Recovered(_) => "recovered",
            Target::Colour(_) => "colour",
        },
        recipes: shade.recipes.iter().map(|r| recipe_out(r, store)).collect(),
    }
}

fn id(store: &Store, jar: usize) -> String {
    store
        .jars
        .get(jar)
        .map_or_else(String::new, |jar| jar.card.id.clone())
}

fn recipe_out(recipe: &Recipe, store: &Store) -> RecipeOut {
    RecipeOut {
        dyes: recipe
            .parts
            .iter()
            .map(|p| PartOut {
                dye: id(store, p.jar),
                bound_g_per_kg: p.bound,
                charged_g_per_kg: p.charged,
            })
            .collect(),
        lab: [recipe.lab.l, recipe.lab.a, recipe.lab.b],
        screen: hex_of(recipe.lab),
        daylight: recipe.daylight,
        lights: recipe.lights,
        metamerism: recipe.metamerism,
        cost: recipe.cost.as_ref().map(|c| CostOut {
            amount: c.amount,
            currency: c.currency.clone(),
        }),
        wash_off_g_per_kg: recipe.wash_off,
        slowest: recipe.slowest.as_ref().map(|s| SlowestOut {
            dye: id(store, s.jar),
            rate: s.rate,
            origin: OriginOut::new(&s.origin),
        }),
        at_limit: recipe.at_limit,
    }
}

fn as_text(shade: &Shade, store: &Store, voice: Voice) -> String {
    let lab = shade.wanted.target.lab();
    let head = say!(
        "{name}: L* {l}, a* {a}, b* {b}",
        "{name}: L* {l}, a* {a}, b* {b}",
        name = Arg::Name(shade.wanted.name.clone()),
        l = Arg::Number(lab.l, 1),
        a = Arg::Number(lab.a, 1),
        b = Arg::Number(lab.b, 1)
    );
    let mut table = Table::new(&[false, true, true, true, true, true, true, true, true]);
    let column = |line: words::Line| line.say(voice);
    table.row([
        column(say!(
            "dyes to weigh out, g per kg of cloth",
            "pewarna ditimbang, g per kg kain"
        )),
        "dE00 D65".to_string(),
        "A".to_string(),
        "F11".to_string(),
        column(say!("metam. A", "metam. A")),
        "F11".to_string(),
        column(say!("cost per kg", "biaya per kg")),
        column(say!("wash off, g/kg", "terbilas, g/kg")),
        column(say!("clears, /M/s", "tercabut, /M/s")),
    ]);
    let none = || "-".to_string();
    for recipe in &shade.recipes {
        let dyes: Vec<String> = recipe
            .parts
            .iter()
            .map(|p| format!("{} {}", id(store, p.jar), voice.number(p.charged, 2)))
            .collect();
        let light = |at: usize| recipe.lights.map_or_else(none, |l| voice.number(l[at], 2));
        let index = |at: usize| recipe.metamerism.map_or_else(none, |m| voice.number(m[at], 2));
        table.row([
            if dyes.is_empty() { none() } else { dyes.join(" + ") },
            voice.number(recipe.daylight, 2),
            light(1),
            light(2),
            index(0),
            index(1),
            recipe.cost.as_ref().map_or_else(none, |c| {
                format!(
                    "{} {}",
                    voice.number(c.amount, if c.amount < 100.0 { 2 } else { 0 }),
                    c.currency
                )
            }),
            voice.number(recipe.wash_off, 2),
            recipe
                .slowest
                .as_ref()
                .map_or_else(none, |s| voice.number(s.rate, 3)),
        ]);
    }
    let far = shade.recipes.first().filter(|r| r.daylight > 1.0).map(|r| {
        let line = say!(
            "  out of reach: no mixture of up to three dyes of this store comes nearer than {off} CIEDE2000\n",
            "  di luar jangkauan: tidak ada campuran sampai tiga pewarna yang lebih dekat dari {off} CIEDE2000\n",
            off = Arg::Number(r.daylight, 1)
        );
        line.say(voice)
    });
    format!("{}\n{}{}", head.say(voice), table.text(), far.unwrap_or_default())
}
