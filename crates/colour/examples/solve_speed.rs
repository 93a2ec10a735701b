//! How long one shade takes over every single, pair and triple of a store of twelve dyes, and what comes out.
//!
//! `cargo run --release -p colour --example solve_speed [-- '#c83c28']`; with `data` it prints the store and the
//! targets as numbers, for `bench/shades.py`.

#[path = "../tests/common/card_file.rs"]
mod card_file;

use colour::kubelka_munk::ks_spectrum;
use colour::recipe::{Objective, Recipe, Solver, Store, Target};
use colour::{Illuminant, Lab, Observer, Viewing, dye::DyeCard, white_cotton};
use std::time::{Duration, Instant};
use words::Place;

/// Shades over the solid of cloth colours, CIELAB: some can be dyed, some cannot.
const SHADES: [[f64; 3]; 12] = [
    [50.0, 55.0, 35.0],
    [75.0, 10.0, 70.0],
    [35.0, 5.0, -35.0],
    [55.0, -35.0, 10.0],
    [25.0, 5.0, -5.0],
    [70.0, 20.0, 15.0],
    [85.0, -5.0, 25.0],
    [40.0, 35.0, -20.0],
    [60.0, 0.0, 0.0],
    [20.0, 20.0, 10.0],
    [65.0, -60.0, 40.0],
    [45.0, 20.0, 40.0],
];
const REPEATS: usize = 15;
/// Dyes of the store: the first of the demonstration's.
const DYES: usize = 12;

fn main() -> Result<(), String> {
    let cards = card_file::demo_cards();
    let dyes: Vec<&DyeCard> = cards.iter().take(DYES).collect();
    if std::env::args().nth(1).as_deref() == Some("data") {
        print_data(&dyes);
        return Ok(());
    }
    let begun = Instant::now();
    let solver = Solver::new(Store::of(&dyes)).map_err(|f| format!("{f:?}"))?;
    println!(
        "store of {} dyes made ready in {}",
        dyes.len(),
        ms(begun.elapsed())
    );
    let colours: Vec<Target> = SHADES
        .iter()
        .map(|[l, a, b]| Target::Colour(Lab::new(*l, *a, *b)))
        .collect();
    let measured: Vec<Target> = spectra(solver.store())
        .into_iter()
        .map(Target::Measured)
        .collect();
    time(&solver, "colour, daylight", &colours, Objective::Daylight)?;
    time(&solver, "reflectance, three lights", &measured, Objective::Lights)?;
    time(&solver, "reflectance, spectrum", &measured, Objective::Spectrum)?;
    if let Some(hex) = std::env::args().nth(1) {
        let target = Target::from_hex(&hex, &Place::Request).map_err(|f| format!("{f:?}"))?;
        let recipes = solver.solve(&target).map_err(|f| format!("{f:?}"))?;
        println!(
            "{hex} is {:.1?}; {} recipes, the first ten:",
            target.lab(),
            recipes.len()
        );
        recipes
            .iter()
            .take(10)
            .for_each(|r| println!("{}", spoken(r, &dyes)));
    }
    Ok(())
}

/// Reflectances that three of the dyes give.
fn spectra(store: &Store) -> Vec<colour::Spectrum> {
    let n = store.jars.len();
    let amounts = |i: usize| [(i % n, 1.5), ((5 * i + 3) % n, 4.0), ((7 * i + 1) % n, 9.0)];
    (0..SHADES.len())
        .map(|i| store.reflectance(&amounts(i)))
        .collect()
}

/// A row of numbers each, behind a word that says what they are.
fn print_data(dyes: &[&DyeCard]) {
    let row = |word: &str, numbers: &[f64]| {
        let numbers: Vec<String> = numbers.iter().map(|v| format!("{v:e}")).collect();
        println!("{word} {}", numbers.join(" "));
    };
    let store = Store::of(dyes);
    dyes.iter().for_each(|dye| row("unit", &dye.unit_ks));
    row("cloth", &ks_spectrum(white_cotton()));
    row("k_max", &[store.cloth.k_max]);
    for illuminant in Illuminant::ALL {
        let viewing = Viewing {
            illuminant,
            observer: Observer::TenDegrees,
        };
        for axis in 0..3 {
            let weights: Vec<f64> = viewing.weights().iter().map(|w| w[axis]).collect();
            row("weight", &weights);
        }
        row("white", &viewing.white().to_array());
    }
    spectra(&store).iter().for_each(|r| row("target", r));
}

fn time(solver: &Solver, what: &str, targets: &[Target], objective: Objective) -> Result<(), String> {
    let mut times = Vec::new();
    let mut recipes = 0;
    for target in targets {
        let mut least = Duration::MAX;
        for _ in 0..REPEATS {
            let begun = Instant::now();
            recipes += solver
                .solve_by(target, objective)
                .map_err(|f| format!("{f:?}"))?
                .len();
            // Others work on this machine, too: the least time is the nearest to the solver's own.
            least = least.min(begun.elapsed());
        }
        times.push(least);
    }
    times.sort_unstable();
    println!(
        "{what}: {} a shade (median of {}, each the least of {REPEATS}; slowest {}; {} recipes a shade)",
        ms(times[times.len() / 2]),
        times.len(),
        ms(times[times.len() - 1]),
        recipes / (times.len() * REPEATS)
    );
    Ok(())
}

fn ms(time: Duration) -> String {
    format!("{:.2} ms", time.as_secs_f64() * 1e3)
}

fn spoken(recipe: &Recipe, dyes: &[&DyeCard]) -> String {
    let parts: Vec<String> = recipe
        .parts
        .iter()
        .map(|p| format!("{} {:.2} g/kg", dyes[p.jar].id, p.bound))
        .collect();
    format!(
        "dE00 {:.3}, cost {:.0}, wash-off {:.2} g/kg: {}",
        recipe.daylight,
        recipe.cost.as_ref().map_or(f64::NAN, |c| c.amount),
        recipe.wash_off,
        parts.join(" + ")
    )
}
