//! Photographs of real cloth, and what one comes to beside what is promised.

use super::table::{Cell, Column, Table};
use super::{Asked, DESIGN, Data, Told};
use crate::facts::photo;
use crate::studio::pages::photographs::asked as asked_of;
use crate::studio::photographs::{described, names};
use crate::studio::say::t;
use cloth::photo::Measure;
use words::{Finding, text};

/// What the page of photographs hands out.
pub static PHOTOGRAPHS: Data = Data {
    name: "photographs",
    tables: &[
        (
            "photographs",
            text!("Photographs in the folder", "Foto di folder"),
        ),
        (
            "compared",
            text!(
                "This cloth beside what was approved",
                "Kain ini di samping yang di-acc"
            ),
        ),
    ],
    query: &[
        DESIGN,
        (
            "photo",
            "name of the photograph that is compared; none unless said",
        ),
        (
            "approved",
            "name of a photograph of approved cloth; may stand several times; the model's own cloth unless said",
        ),
    ],
    slow: true,
    make: photographs,
    more: &[],
};

fn photographs(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let all = names(asked.workspace);
    let mut list = Table::new(&[
        Column::words("name", text!("Photograph", "Foto")),
        Column::words("marked", text!("Marked", "Ditandai")),
    ]);
    for name in &all {
        let marked = described(asked.workspace, name).is_some_and(|(_, marked, _)| marked.is_some());
        list.row([Cell::words(name), Cell::Flag(marked)]);
    }
    let number = |key, name| Column::beside(key, "unit", name);
    let mut compared = Table::new(&[
        Column::words("of", text!("Of", "Bagian")),
        Column::words("what", text!("What", "Apa")),
        number("here", text!("Here", "Di sini")),
        number("least", text!("Approved from", "Di-acc dari")),
        number("most", text!("to", "sampai")),
        Column::words("unit", text!("Unit", "Satuan")),
        Column::words("within", text!("As approved", "Sesuai acc")),
    ]);
    let mut said = Vec::new();
    if let Some(name) = asked
        .reader
        .get("photo")
        .filter(|name| all.iter().any(|one| one == name))
    {
        let what = asked_of(&all, picked.design, name, asked.reader);
        let judged = asked
            .studio
            .judge(asked.workspace, picked.shop, &what, asked.keep_going)?;
        said.push(photo::verdict(&judged.compared).say(voice));
        said.push(photo::light(&judged.piece).say(voice));
        for one in &judged.compared {
            let unit = match one.measure {
                Measure::Palette => "dE00",
                Measure::MottleScale => "mm",
                Measure::Contrast => "L*",
                Measure::Cover => "1",
            };
            let places = if one.measure == Measure::Cover { 2 } else { 1 };
            let of = one.region.map_or(text!("whole", "seluruhnya"), photo::region);
            compared.row([
                Cell::words(t(of, voice)),
                Cell::words(t(photo::measure(one.measure), voice)),
                Cell::number(one.found, places),
                Cell::number(one.least, places),
                Cell::number(one.most, places),
                Cell::words(unit),
                Cell::Flag(one.within()),
            ]);
        }
    }
    Ok(Told {
        about: picked.design.name.clone(),
        question: text!(
            "Is this cloth like the cloth that was approved?",
            "Apakah kain ini seperti yang di-acc?"
        ),
        said,
        tables: vec![list, compared],
    })
}
