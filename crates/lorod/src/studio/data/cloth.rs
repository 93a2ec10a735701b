//! One cloth: its route with every setting as spelled, what was found, and the palette of the step that is looked at.

use super::table::{Cell, Column, Table, Unit, base};
use super::{Asked, DESIGN, Data, File, NO_DESIGN, Told};
use crate::studio::design::{dye_colour, found};
use crate::studio::names::{hash, say as colour_name};
use crate::studio::pages::cloth::work;
use crate::studio::say::{said, stitch, t};
use crate::studio::winding::Winding;
use ::cloth::Region;
use route::{Design, Value};
use words::{Arg, Finding, Text, Voice, say, text};

/// What the page of one cloth hands out.
pub static CLOTH: Data = Data {
    name: "cloth",
    tables: &[
        (
            "route",
            text!("Route, setting by setting", "Alur, setelan demi setelan"),
        ),
        ("dyes", text!("Dyes of the route", "Pewarna di alur ini")),
        ("palette", text!("Palette of the step", "Palet langkah ini")),
        ("findings", text!("What was found", "Yang ditemukan")),
    ],
    query: &[
        DESIGN,
        (
            "step",
            "id or number of the step whose palette is told; the one the page begins with unless said",
        ),
        ("bolt", "which bolt, from 0"),
    ],
    slow: true,
    make: told,
    more: &[
        File {
            path: "/api/design/{id}",
            what: text!("the design with its findings", "desain dengan temuannya"),
        },
        File {
            path: "/pack/workshop.pdf",
            what: text!("specification and papers", "spesifikasi dan lembar cetak"),
        },
    ],
};

/// The name of a region.
pub const fn region(region: Region) -> &'static Text {
    match region {
        Region::Ground => text!("ground", "latar"),
        Region::Motif => text!("motif", "motif"),
    }
}

fn told(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let design = picked.design;
    let work = work(asked.studio, asked.workspace, &design.id, asked.reader);
    let work = work.ok_or_else(|| {
        let found = say!(
            "{design} has no such step",
            "{design} tidak punya langkah itu",
            design = Arg::Name(design.name.clone())
        );
        vec![Finding::new(
            NO_DESIGN,
            words::Weight::Wrong,
            words::Place::Request,
            found,
        )]
    })?;
    let steps = work.steps;
    let winding = asked.studio.kiln().winding_now(&work).ok_or_else(|| {
        let found = text!("the studio is closing", "studio sedang ditutup");
        vec![Finding::new(
            "no-picture",
            words::Weight::Wrong,
            words::Place::Request,
            words::Line::plain(found),
        )]
    })?;
    let mut findings = Table::new(&[
        Column::words("weight", text!("Weight", "Bobot")),
        Column::words("code", text!("Code", "Kode")),
        Column::count("step", text!("Step", "Langkah")),
        Column::words("found", text!("What was found", "Yang ditemukan")),
        Column::words("remedy", text!("What helps", "Yang membantu")),
    ]);
    if let Some(file) = asked.workspace.design_file(&design.id) {
        for one in found(asked.studio, asked.workspace, file) {
            for finding in std::iter::once(&one.finding).chain(&one.more) {
                findings.row([
                    Cell::words(stitch(finding.weight).0),
                    Cell::words(finding.code),
                    one.step.map_or(Cell::Nothing, |at| Cell::count(at + 1)),
                    Cell::words(said(&finding.found, voice)),
                    Cell::maybe(finding.remedy.as_ref().map(|remedy| said(remedy, voice))),
                ]);
            }
        }
    }
    let looked_at = design.steps.get(steps.saturating_sub(1));
    let after = looked_at.map_or_else(String::new, |step| {
        t(&step.operation.kind().term.text, voice).to_lowercase()
    });
    let mut sentences = Vec::new();
    if !design.note.is_empty() {
        sentences.push(design.note.clone());
    }
    sentences.push(
        say!(
            "The palette is that of the cloth after step {n}, {what}: mean colours by area in CIELAB under the screen's white (D65), computed.",
            "Palet ialah milik kain sesudah langkah {n}, {what}: warna rata-rata menurut luas dalam CIELAB dengan putih layar (D65), hasil hitungan.",
            n = Arg::Number(steps as f64, 0),
            what = Arg::Name(after)
        )
        .say(voice),
    );
    let name = match design.colourway.as_str() {
        "" => design.name.clone(),
        colourway => format!("{} · {colourway}", design.name),
    };
    Ok(Told {
        about: name,
        question: text!("What is this cloth?", "Kain apa ini?"),
        said: sentences,
        tables: vec![
            route(design, voice),
            dyes(design),
            palette(&winding, voice),
            findings,
        ],
    })
}

/// A row for each setting; dyes have a row each.
fn route(design: &Design, voice: Voice) -> Table {
    let mut route = Table::new(&[
        Column::count("step", text!("Step", "Langkah")),
        Column::words("id", text!("Id", "Id")),
        Column::words("operation", text!("Operation", "Pekerjaan")),
        Column::words("setting", text!("Setting", "Setelan")),
        Column::words("given", text!("As written", "Seperti ditulis")),
        Column::plain("value", Unit::Beside("unit")),
        Column::plain("unit", Unit::Words),
    ]);
    for (at, step) in design.steps.iter().enumerate() {
        let kind = step.operation.kind();
        let mut add = |setting: &str, given: String, si: Option<units::Quantity>| {
            route.row([
                Cell::count(at + 1),
                Cell::words(&step.id),
                Cell::words(t(&kind.term.text, voice)),
                Cell::words(setting),
                Cell::words(given),
                Cell::number(si.map(|one| one.si), 4),
                Cell::maybe(si.map(|one| base(one.measure))),
            ]);
        };
        let mut settings = 0;
        for (key, value) in step.operation.values().iter() {
            let name = kind.settings.iter().find(|one| one.key == *key);
            let name = name.map_or(*key, |one| t(&one.term.text, voice));
            settings += 1;
            match value {
                Value::Quantity(typed) => add(name, typed.spelled.clone(), Some(typed.quantity)),
                Value::Choice(word) => add(name, (*word).to_string(), None),
                Value::Stamp(stamp) => {
                    let used = design.stamps.get(*stamp);
                    add(name, used.map_or_else(String::new, |used| used.id.clone()), None);
                }
                Value::Dyes(doses) => {
                    for dose in doses {
                        let dye = design.dyes.get(dose.dye).map_or("", |card| card.name.as_str());
                        let given = format!("{dye} {}", dose.depth.spelled);
                        add(name, given, Some(dose.depth.quantity));
                    }
                }
            }
        }
        if settings == 0 {
            add("", String::new(), None);
        }
    }
    route
}

fn dyes(design: &Design) -> Table {
    let mut dyes = Table::new(&[
        Column::count("number", text!("No.", "No.")),
        Column::words("id", text!("Id", "Id")),
        Column::words("name", text!("Dye", "Pewarna")),
        Column::words("screen", text!("On a screen, at 2 %", "Di layar, pada 2 %")),
    ]);
    for (at, card) in design.dyes.iter().enumerate() {
        dyes.row([
            Cell::count(at + 1),
            Cell::words(&card.id),
            Cell::words(&card.name),
            Cell::words(hash(dye_colour(card))),
        ]);
    }
    dyes
}

fn palette(winding: &Winding, voice: Voice) -> Table {
    let mut palette = Table::new(&[
        Column::words("region", text!("Region", "Bagian")),
        Column::number("of_cloth", "percent", text!("Of the cloth", "Dari kain")),
        Column::words("colour", text!("Colour", "Warna")),
        Column::number("of_region", "percent", text!("Of the region", "Dari bagian")),
        Column::words("screen", text!("On a screen", "Di layar")),
        Column::one("lab_l", text!("L*", "L*")),
        Column::one("lab_a", text!("a*", "a*")),
        Column::one("lab_b", text!("b*", "b*")),
    ]);
    for wound in winding {
        for yarn in &wound.yarns {
            palette.row([
                Cell::words(t(region(wound.region), voice)),
                Cell::number(100.0 * wound.share, 1),
                Cell::words(colour_name(yarn.lab, voice)),
                Cell::number(100.0 * yarn.share, 1),
                Cell::words(hash(yarn.bytes)),
                Cell::number(yarn.lab.l, 1),
                Cell::number(yarn.lab.a, 1),
                Cell::number(yarn.lab.b, 1),
            ]);
        }
    }
    palette
}
