//! Recipes for a shade, each beside its target under the lamps that cloth is looked at.

use super::paper::{EDGE, HAIR, Hold, Paper, Style, seen_hex};
use crate::recipe::{Recipe, Store, Target};
use crate::spaces::{Lab, lab};
use crate::viewing::{Illuminant, Observer, Viewing, xyz};
use words::{Arg, Line, Voice, say};

const WIDTH: f64 = 1040.0;
const TOP: f64 = 152.0;
const ROW: f64 = 118.0;
/// Side of a swatch, target and recipe together.
const SWATCH: (f64, f64) = (132.0, 78.0);

/// Draws the first `most` recipes for a target called `name`: on the left of each swatch the target, on the right the
/// recipe, under daylight and, where the target's reflectance is known, under the lamps of [`Illuminant::ALL`].
pub fn shades_svg(
    name: &str,
    target: &Target,
    store: &Store,
    recipes: &[Recipe],
    most: usize,
    voice: Voice,
) -> String {
    let shown = &recipes[..recipes.len().min(most)];
    let title = say!(
        "Which recipe comes nearest to {name}?",
        "Resep mana yang paling dekat dengan {name}?",
        name = Arg::Name(name.to_string())
    );
    let height = TOP + ROW * shown.len().max(1) as f64 + 66.0;
    let mut paper = Paper::new(WIDTH, height, &title, voice);
    paper.say((32.0, 46.0), Hold::Start, Style::Title, &title);
    let answer = answer(store, shown).say(voice);
    paper.paragraph((32.0, 80.0), WIDTH - 64.0, Style::Answer, 24.0, &answer);
    let lights = if target.reflectance().is_some() { 3 } else { 1 };
    for (at, light) in Illuminant::ALL.iter().enumerate().take(lights) {
        let x = 32.0 + at as f64 * (SWATCH.0 + 12.0);
        paper.say((x, TOP - 14.0), Hold::Start, Style::Small, &lamp(*light));
    }
    for (n, recipe) in shown.iter().enumerate() {
        row(&mut paper, TOP + n as f64 * ROW, target, store, recipe, lights);
    }
    let note = match target {
        Target::Measured(_) => say!(
            "Left half of a swatch: target, measured; right half: recipe. Colours are shown as the eye sees them under the lamp.",
            "Kiri: sasaran, diukur; kanan: resep. Warna ditampilkan seperti terlihat mata di bawah lampu."
        ),
        Target::Recovered(_) => say!(
            "Left half of a swatch: target, its reflectance recovered from a colour: under A and F11 it is a guess, and nothing is said about metamerism; right half: recipe.",
            "Kiri: sasaran, reflektansinya dipulihkan dari warna: di bawah A dan F11 hanya perkiraan, tanpa pernyataan metamerisme; kanan: resep."
        ),
        Target::Colour(_) => say!(
            "Left half of a swatch: target, a colour in daylight; how it looks under a lamp is not known. Right half: recipe.",
            "Kiri: sasaran, warna di cahaya siang; rupanya di bawah lampu tidak diketahui. Kanan: resep."
        ),
    };
    paper.paragraph(
        (32.0, height - 34.0),
        WIDTH - 64.0,
        Style::Small,
        17.0,
        &note.say(voice),
    );
    paper.finish()
}

fn lamp(light: Illuminant) -> Line {
    match light {
        Illuminant::D65 => say!("daylight (D65)", "cahaya siang (D65)"),
        Illuminant::A => say!("incandescent (A)", "lampu pijar (A)"),
        Illuminant::F11 => say!("shop lamp (F11)", "lampu toko (F11)"),
    }
}

fn answer(store: &Store, shown: &[Recipe]) -> Line {
    let Some(best) = shown.first() else {
        return say!("No recipe was found.", "Tidak ada resep yang ditemukan.");
    };
    say!(
        "{dyes}: {off} CIEDE2000 away in daylight.",
        "{dyes}: berselisih {off} CIEDE2000 di cahaya siang.",
        dyes = Arg::Name(named(store, best)),
        off = Arg::Number(best.daylight, 2)
    )
}

fn named(store: &Store, recipe: &Recipe) -> String {
    let names: Vec<&str> = recipe
        .parts
        .iter()
        .filter_map(|p| store.jars.get(p.jar).map(|jar| jar.card.name.as_str()))
        .collect();
    if names.is_empty() {
        "-".to_string()
    } else {
        names.join(" + ")
    }
}

fn row(paper: &mut Paper, y: f64, target: &Target, store: &Store, recipe: &Recipe, lights: usize) {
    let amounts: Vec<(usize, f64)> = recipe.parts.iter().map(|p| (p.jar, p.bound)).collect();
    let dyed = store.reflectance(&amounts);
    for (at, illuminant) in Illuminant::ALL.into_iter().enumerate().take(lights) {
        let viewing = Viewing {
            illuminant,
            observer: Observer::TenDegrees,
        };
        let seen = |r| lab(xyz(r, viewing), viewing.white());
        let wanted: Lab = target.reflectance().map_or_else(|| target.lab(), seen);
        let x = 32.0 + at as f64 * (SWATCH.0 + 12.0);
        paper.rect((x, y), (SWATCH.0 / 2.0, SWATCH.1), &seen_hex(wanted));
        paper.rect(
            (x + SWATCH.0 / 2.0, y),
            (SWATCH.0 / 2.0, SWATCH.1),
            &seen_hex(seen(&dyed)),
        );
        let off = recipe.lights.map_or(recipe.daylight, |l| l[at]);
        let off = say!("dE00 {off}", "dE00 {off}", off = Arg::Number(off, 2));
        paper.say((x, y + SWATCH.1 + 17.0), Hold::Start, Style::Small, &off);
    }
    let x = 32.0 + lights as f64 * (SWATCH.0 + 12.0) + 12.0;
    let voice = paper.voice;
    // Bars of the amounts to weigh out, in the colour of the dye by itself.
    let longest = recipe.parts.iter().map(|p| p.charged).fold(0.0_f64, f64::max);
    for (n, part) in recipe.parts.iter().enumerate() {
        let at = y + 4.0 + n as f64 * 26.0;
        let alone = seen_hex(lab(
            xyz(&store.reflectance(&[(part.jar, part.bound)]), Viewing::DAYLIGHT),
            Viewing::DAYLIGHT.white(),
        ));
        let wide = 150.0 * part.charged / longest.max(1e-9);
        paper.rect((x, at), (wide.max(2.0), 14.0), &alone);
        paper.line((x, at + 14.0), (x + wide.max(2.0), at + 14.0), EDGE, 0.8, "");
        let name = store.jars.get(part.jar).map_or("", |jar| jar.card.name.as_str());
        paper.text((x + 164.0, at + 12.0), Hold::Start, Style::Strong, name);
        let grams = say!("{g} g/kg", "{g} g/kg", g = Arg::Number(part.charged, 2));
        paper.say((WIDTH - 260.0, at + 12.0), Hold::End, Style::Plain, &grams);
    }
    let mut facts = Vec::new();
    if let Some([a, f11]) = recipe.metamerism {
        facts.push(say!(
            "metamerism A {a}, F11 {f}",
            "metamerisme A {a}, F11 {f}",
            a = Arg::Number(a, 2),
            f = Arg::Number(f11, 2)
        ));
    }
    if let Some(cost) = &recipe.cost {
        facts.push(say!(
            "{amount} {currency} per kg of cloth",
            "{amount} {currency} per kg kain",
            amount = Arg::Number(cost.amount, if cost.amount < 100.0 { 2 } else { 0 }),
            currency = Arg::Name(cost.currency.clone())
        ));
    }
    facts.push(say!(
        "{g} g/kg to wash off",
        "{g} g/kg harus dibilas",
        g = Arg::Number(recipe.wash_off, 1)
    ));
    if let Some(slowest) = &recipe.slowest {
        facts.push(say!(
            "clears at {k} /M/s",
            "tercabut {k} /M/s",
            k = Arg::Number(slowest.rate, 3)
        ));
    }
    for (n, fact) in facts.iter().enumerate() {
        let text = fact.say(voice);
        paper.text(
            (WIDTH - 32.0, y + 14.0 + n as f64 * 20.0),
            Hold::End,
            Style::Small,
            &text,
        );
    }
    if recipe.at_limit {
        let line = say!("at a limit of its amounts", "sudah pada batas takarannya");
        paper.haloed(
            (x, y + SWATCH.1 + 17.0),
            Hold::Start,
            Style::Small,
            &line.say(voice),
        );
    }
    paper.line(
        (32.0, y + ROW - 12.0),
        (WIDTH - 32.0, y + ROW - 12.0),
        HAIR,
        1.0,
        "",
    );
}
