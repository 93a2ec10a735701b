//! The shelf of stamps: copies, and what was done to each.

use super::table::{Cell, Column, Table};
use super::{Asked, Data, File, Told};
use crate::facts::shelf::{Due, lives};
use crate::studio::pages::shelf::answer;
use crate::studio::say::{origin, said, t};
use words::{Finding, text};
use workspace::{Did, copy_name};

/// What the shelf hands out.
pub static SHELF: Data = Data {
    name: "shelf",
    tables: &[
        ("copies", text!("Copies", "Salinan")),
        (
            "deeds",
            text!("What was done to each", "Yang sudah dilakukan pada tiap cap"),
        ),
    ],
    query: &[],
    slow: false,
    make: shelf,
    more: &[File {
        path: "/api/shelf",
        what: text!(
            "the shelf with its hash, for programs that record",
            "rak dengan hash, untuk program yang mencatat"
        ),
    }],
};

fn shelf(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (lives, voice) = (lives(asked.workspace), asked.reader.voice);
    let mut copies = Table::new(&[
        Column::words("copy", text!("Copy", "Salinan")),
        Column::words("shelf", text!("Shelf", "Rak")),
        Column::words("made", text!("Made", "Dibuat")),
        Column::count("bolts", text!("Bolts", "Gulung")),
        Column::count("prints", text!("Prints", "Cetakan")),
        Column::number("cloth", "m", text!("Cloth", "Kain")),
        Column::number("since_filed", "m", text!("Since it was filed", "Sejak dikikir")),
        Column::number("off_level", "mm", text!("Off level", "Tidak rata")),
        Column::words("file", text!("To be filed", "Perlu dikikir")),
    ]);
    let mut deeds = Table::new(&[
        Column::words("copy", text!("Copy", "Salinan")),
        Column::words("date", text!("Date", "Tanggal")),
        Column::words("did", text!("What", "Apa")),
        Column::count("bolts", text!("Bolts", "Gulung")),
        Column::number("off_level", "mm", text!("Off level", "Tidak rata")),
    ]);
    for life in &lives.copies {
        let name = copy_name(&life.copy.id);
        let due = life.due.map(|due| match due {
            Due::OffLevel(_) | Due::Now => text!("now", "sekarang"),
            Due::Soon => text!("soon", "segera"),
            Due::Later(_) => text!("later", "nanti"),
        });
        copies.row([
            Cell::words(&name),
            Cell::words(&life.copy.shelf),
            Cell::maybe(life.copy.made.map(|day| day.to_string())),
            Cell::count(life.all.bolts),
            Cell::count(life.all.prints),
            Cell::number(life.all.metres, 0),
            Cell::number(life.since.metres, 0),
            Cell::number(life.proof.and_then(|(_, off)| off).map(|m| m * 1e3), 1),
            Cell::maybe(due.map(|word| t(word, voice))),
        ]);
        for deed in asked.workspace.shelf.of(&life.copy.id) {
            let (what, bolts, off) = match &deed.did {
                Did::Stamped(bolts) => (text!("stamped", "mengecap"), Some(*bolts), None),
                Did::Refiled => (text!("filed level", "dikikir rata"), None, None),
                Did::Proofed(off) => (text!("proof printed", "cetak coba"), None, *off),
                Did::Retired => (text!("retired", "tidak dipakai lagi"), None, None),
            };
            deeds.row([
                Cell::words(&name),
                Cell::words(deed.date.to_string()),
                Cell::words(t(what, voice)),
                bolts.map_or(Cell::Nothing, Cell::count),
                Cell::number(off.map(|off| off.0 * 1e3), 1),
            ]);
        }
    }
    let mut lines = vec![answer(&lives, voice), origin(&lives.refile_every.origin, voice)];
    lines.extend(lives.findings().iter().map(|one| said(&one.found, voice)));
    Ok(Told {
        about: asked.collection(),
        question: text!(
            "Which stamp is to be filed next?",
            "Cap mana yang dikikir berikutnya?"
        ),
        said: lines,
        tables: vec![copies, deeds],
    })
}
