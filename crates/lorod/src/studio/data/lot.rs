//! First, middle and last bolt of a lot: distances, how motifs read from two metres, sizes.

use super::table::{Cell, Column, Table};
use super::{Asked, BOLTS, DESIGN, Data, Told};
use crate::facts::lot::reads;
use crate::studio::lots::led;
use crate::studio::pages::lot::{bolts, region};
use crate::studio::say::t;
use units::Length;
use words::{Finding, text};

/// What the page of a lot hands out.
pub static LOT: Data = Data {
    name: "lot",
    tables: &[
        ("distances", text!("Distances of palettes", "Jarak palet")),
        ("afar", text!("From two metres", "Dari dua meter")),
        ("sizes", text!("Sizes", "Ukuran")),
    ],
    query: &[
        DESIGN,
        BOLTS,
        (
            "baths",
            "`left`: nobody tops a bath up until it is made anew; by the batch sheets unless said",
        ),
    ],
    slow: true,
    make: lot,
    more: &[],
};

fn lot(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let made = asked.studio.lot(
        asked.workspace,
        picked.design,
        picked.shop,
        bolts(&picked),
        led(asked.reader),
        asked.keep_going,
    )?;
    let lot = &made.lot;
    let mut distances = Table::new(&[
        Column::count("bolt", text!("Bolt", "Gulung")),
        Column::words("region", text!("Region", "Bagian")),
        Column::number("from_design", "de00", text!("From the design", "Dari desain")),
        Column::number(
            "from_first",
            "de00",
            text!("From the first bolt", "Dari gulung pertama"),
        ),
        Column::number(
            "reading",
            "de00",
            text!("Two readings differ by", "Dua bacaan berbeda"),
        ),
    ]);
    let mut afar = Table::new(&[
        Column::count("bolt", text!("Bolt", "Gulung")),
        Column::words("motif", text!("Motif", "Motif")),
        Column::number(
            "at_hand",
            "de00",
            text!("From its ground, at hand", "Dari latarnya, di tangan"),
        ),
        Column::number(
            "from_two_metres",
            "de00",
            text!("from two metres", "dari dua meter"),
        ),
        Column::words("reads", text!("Reads", "Terbaca")),
    ]);
    for one in &lot.bolts {
        for (waxing, distance) in &one.from_design {
            let of = |all: &[(Option<usize>, f64)]| all.iter().find(|(w, _)| w == waxing).map(|(_, d)| *d);
            distances.row([
                Cell::count(one.number),
                Cell::words(region(*waxing, voice)),
                Cell::number(*distance, 1),
                Cell::number(of(&one.from_first), 1),
                Cell::number(of(&lot.reading), 1),
            ]);
        }
        for stands in &one.stands_out {
            afar.row([
                Cell::count(one.number),
                Cell::words(region(Some(stands.waxing), voice)),
                Cell::number(stands.at_hand, 1),
                Cell::number(stands.afar, 1),
                Cell::words(t(reads(stands), voice)),
            ]);
        }
    }
    let mut sizes = Table::new(&[
        Column::words("of", text!("Of", "Bagian")),
        Column::number(
            "before",
            "m",
            text!("White, or as stamped", "Putih, atau saat dicap"),
        ),
        Column::number("finished", "m", text!("Finished", "Jadi")),
        Column::number("shrinks", "percent", text!("Shrinks", "Susut")),
    ]);
    let mut add = |of: String, before: Length, after: Length| {
        sizes.row([
            Cell::words(of),
            Cell::number(before.0, 3),
            Cell::number(after.0, 3),
            Cell::number(100.0 * (1.0 - after.0 / before.0), 1),
        ]);
    };
    add(
        t(text!("length", "panjang"), voice).to_string(),
        lot.sizes.issue,
        lot.sizes.length,
    );
    add(
        t(text!("width", "lebar"), voice).to_string(),
        picked.lot.cloth.width,
        lot.sizes.width,
    );
    for repeat in &lot.sizes.repeats {
        let of = |way: &'static words::Text| format!("{} {}", repeat.stamp, t(way, voice));
        add(
            of(text!("across", "melintang")),
            repeat.stamped.0,
            repeat.finished.0,
        );
        add(
            of(text!("along", "membujur")),
            repeat.stamped.1,
            repeat.finished.1,
        );
    }
    Ok(Told {
        about: picked.design.name.clone(),
        question: text!(
            "Do first, middle and last bolt belong together?",
            "Apakah gulung pertama, tengah, dan terakhir seragam?"
        ),
        said: vec![
            lot.verdict().say(voice),
            lot.readings(voice).say(voice),
            lot.issue().say(voice),
        ],
        tables: vec![distances, afar, sizes],
    })
}
