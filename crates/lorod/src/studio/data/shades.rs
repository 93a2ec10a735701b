//! Colours that a cloth shall carry and carries, recipes that bring it there, lamps; recipes for one colour.

use super::table::{Cell, Column, Table};
use super::{Asked, DESIGN, Data, File, Told};
use crate::facts::shades::dyes;
use crate::studio::names::hash;
use crate::studio::pages::shade::{answer, sought};
use crate::studio::pages::shades::{on_screen, summary};
use crate::studio::reader::Reader;
use colour::Lab;
use words::{Finding, text};

/// What the shade card hands out.
pub static SHADES: Data = Data {
    name: "shades",
    tables: &[
        (
            "regions",
            text!("Colours asked for and reached", "Warna yang diminta dan dicapai"),
        ),
        (
            "recipes",
            text!("Changes that were found", "Perubahan yang ditemukan"),
        ),
    ],
    query: &[DESIGN],
    slow: true,
    make: shades,
    more: &[
        File {
            path: "/api/design/{id}/recipes",
            what: text!("recipes, sought now", "resep, dicari sekarang"),
        },
        File {
            path: "/api/design/{id}/lamps",
            what: text!("under the lamps", "di bawah lampu"),
        },
    ],
};

/// What the page for one colour hands out.
pub static SHADE: Data = Data {
    name: "shade",
    tables: &[(
        "recipes",
        text!("Recipes, a row for each dye", "Resep, satu baris tiap pewarna"),
    )],
    query: &[(
        "target",
        "a colour: `#rrggbb`, or L*, a*, b* (D65, 10 degrees) as `54,40,31`; nothing is sought unless said",
    )],
    slow: true,
    make: shade,
    more: &[],
};

fn lab(lab: Option<Lab>) -> [Cell; 3] {
    [lab.map(|c| c.l), lab.map(|c| c.a), lab.map(|c| c.b)].map(|one| Cell::number(one, 1))
}

fn shades(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let design = picked.design;
    let file = asked.workspace.design_file(&design.id);
    let targets = file.map_or(&[][..], |file| &file.targets);
    let now = match targets {
        [] => None,
        _ => Some(asked.studio.regions(asked.workspace, design, picked.shop)?),
    };
    let mut columns = vec![
        Column::words("region", text!("Region", "Bagian")),
        Column::number("of_cloth", "percent", text!("Of the cloth", "Dari kain")),
    ];
    columns.extend([
        Column::one("target_lab_l", text!("wanted L*", "diminta L*")),
        Column::one("target_lab_a", text!("a*", "a*")),
        Column::one("target_lab_b", text!("b*", "b*")),
        Column::one("lab_l", text!("is L*", "jadi L*")),
        Column::one("lab_a", text!("a*", "a*")),
        Column::one("lab_b", text!("b*", "b*")),
    ]);
    columns.extend([
        Column::words("screen", text!("On a screen", "Di layar")),
        Column::number("off", "de00", text!("Off by", "Meleset")),
        Column::number("tolerance", "de00", text!("Allowed", "Boleh")),
        Column::number("palette_off", "de00", text!("Palette off by", "Palet meleset")),
    ]);
    let mut regions = Table::new(&columns);
    for seen in now.iter().flat_map(|now| now.iter()) {
        let mut row = vec![Cell::words(&seen.name), Cell::number(100.0 * seen.share, 1)];
        row.extend(lab(seen.target));
        row.extend(lab(Some(seen.lab)));
        row.extend([
            Cell::words(hash(on_screen(seen.lab))),
            Cell::number(seen.difference, 1),
            Cell::number(seen.tolerance, 1),
            Cell::number(seen.palette_distance, 1),
        ]);
        regions.row(row);
    }
    let mut recipes = Table::new(&[
        Column::words("with", text!("With", "Dengan")),
        Column::number("mean_off", "de00", text!("Off on average", "Rata-rata meleset")),
        Column::words("step", text!("Step", "Langkah")),
        Column::words("setting", text!("Setting", "Setelan")),
        Column::words("to", text!("Set to", "Menjadi")),
    ]);
    for found in asked.studio.known_recipes(asked.workspace, &design.id, voice) {
        for change in &found.solved.changes {
            let to = match &change.to {
                cloth::aim::Set::Time(time) => time.spelled.clone(),
                cloth::aim::Set::Dyes(all) => {
                    let all = all.iter().map(|(id, depth)| format!("{id} {}", depth.spelled));
                    all.collect::<Vec<_>>().join("; ")
                }
            };
            recipes.row([
                Cell::words(found.dyes.key()),
                Cell::number(found.mean(), 2),
                Cell::words(&change.step),
                Cell::words(change.key),
                Cell::words(to),
            ]);
        }
    }
    Ok(Told {
        about: design.name.clone(),
        question: text!("Does the cloth have its colours?", "Apakah warna kainnya sesuai?"),
        said: vec![summary(targets, now.as_deref().map(Vec::as_slice), voice)],
        tables: vec![regions, recipes],
    })
}

/// The colour that an address asks for.
pub fn wanted(reader: &Reader) -> Option<&str> {
    let target = reader.get("target").map(str::trim);
    target.filter(|text| !text.is_empty())
}

fn shade(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let voice = asked.reader.voice;
    let found = wanted(asked.reader).map(|text| sought(asked.workspace, text));
    let shade = found.transpose()?;
    let mut columns = vec![
        Column::count("recipe", text!("Recipe", "Resep")),
        Column::words("dye", text!("Dye", "Pewarna")),
        Column::number("weigh_out", "g_per_kg", text!("To weigh out", "Ditimbang")),
        Column::number("binds", "g_per_kg", text!("Binds", "Terikat")),
    ];
    columns.extend([
        Column::one("lab_l", text!("L*", "L*")),
        Column::one("lab_a", text!("a*", "a*")),
        Column::one("lab_b", text!("b*", "b*")),
        Column::number(
            "daylight_off",
            "de00",
            text!("Off in daylight", "Meleset, cahaya siang"),
        ),
        Column::number("incandescent_off", "de00", text!("incandescent", "lampu pijar")),
        Column::number("shop_lamp_off", "de00", text!("shop lamp", "lampu toko")),
        Column::number("wash_off", "g_per_kg", text!("Washed off", "Tercuci")),
    ]);
    let mut recipes = Table::new(&columns);
    let cards = dyes(asked.workspace);
    for (at, one) in shade.iter().flat_map(|shade| shade.recipes.iter().enumerate()) {
        for part in &one.parts {
            let card = cards.get(part.jar);
            let mut row = vec![
                Cell::count(at + 1),
                Cell::maybe(card.map(|card| card.name.clone())),
                Cell::number(part.charged, 2),
                Cell::number(part.bound, 2),
            ];
            row.extend(lab(Some(one.lab)));
            row.extend([
                Cell::number(one.daylight, 1),
                Cell::number(one.lights.map(|[_, lamp, _]| lamp), 1),
                Cell::number(one.lights.map(|[_, _, shop]| shop), 1),
                Cell::number(one.wash_off, 2),
            ]);
            recipes.row(row);
        }
    }
    Ok(Told {
        about: wanted(asked.reader).map_or_else(|| asked.collection(), str::to_string),
        question: text!(
            "Which dyes give this colour?",
            "Pewarna mana yang memberi warna ini?"
        ),
        said: shade.map(|shade| answer(&shade, voice)).into_iter().collect(),
        tables: vec![recipes],
    })
}
