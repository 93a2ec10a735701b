//! The window of a timed step: its curves, what would widen it, and the loads of its bath.

use super::table::{Cell, Column, Table};
use super::{Asked, DESIGN, Data, File, Told};
use crate::facts::tank::tank;
use crate::facts::window::steps;
use crate::studio::pages::windows::nothing_timed;
use crate::studio::windows::{AT_THE_TANK, LIMITS, STEP, approved, limits, seen, words};
use words::{Arg, Finding, say, text};

/// What the page of windows hands out.
pub static WINDOWS: Data = Data {
    name: "windows",
    tables: &[
        ("curves", text!("The curves", "Kurva")),
        (
            "widen",
            text!("What would widen the window", "Yang memperlebar batas waktu"),
        ),
        (
            "loads",
            text!("This load and the next", "Muatan ini dan berikutnya"),
        ),
    ],
    query: &words::<13>(&[&[DESIGN, STEP], &LIMITS, &AT_THE_TANK]),
    slow: true,
    make: windows,
    more: &[
        File {
            path: "/api/design/{id}/window",
            what: text!("the window, in numbers", "batas waktu, dalam angka"),
        },
        File {
            path: "/api/design/{id}/tank",
            what: text!("the bath as it is now", "bak seperti sekarang"),
        },
    ],
};

fn windows(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (picked, voice) = (asked.picked()?, asked.reader.voice);
    let (design, shop) = (picked.design, picked.shop);
    let all = steps(design);
    let named = asked.reader.get("step");
    let step = match named {
        Some(named) => all
            .iter()
            .find(|one| one.id == named || one.number.to_string() == named),
        None => all.first(),
    };
    let mut curves = Table::new(&[
        Column::number("time", "s", text!("Time", "Waktu")),
        Column::number("pass", "percent", text!("Bolts that pass", "Gulungan lulus")),
        Column::number("ground_off", "de00", text!("Ground off by", "Latar meleset")),
        Column::number("motif_off", "de00", text!("Motif off by", "Motif meleset")),
        Column::number(
            "thinnest_line",
            "percent",
            text!("Thinnest line left", "Garis tertipis tersisa"),
        ),
    ]);
    curves.most = 36;
    let mut widen = Table::new(&[
        Column::words("what", text!("If you…", "Bila Anda…")),
        Column::number("gain", "s", text!("it grows by about", "bertambah kira-kira")),
    ]);
    let mut loads = Table::new(&[
        Column::count("load", text!("Load", "Muatan")),
        Column::number("chlorine", "g_per_l", text!("Chlorine", "Klorin")),
        Column::number(
            "add_stock",
            "litres",
            text!("Stock to add first", "Stok ditambah dulu"),
        ),
        Column::number(
            "strengthened",
            "g_per_l",
            text!("Chlorine with it", "Klorin sesudahnya"),
        ),
        Column::number("lift", "s", text!("Lift at", "Angkat pada")),
        Column::number(
            "line_left",
            "mm",
            text!("Left of the thinnest line", "Sisa garis tertipis"),
        ),
        Column::words(
            "empty_after",
            text!("Empty the tank after it", "Kosongkan bak sesudahnya"),
        ),
    ]);
    let mut said = Vec::new();
    match step {
        None => said.push(nothing_timed(named, design, voice)),
        Some(step) => {
            let limits = limits(asked.reader)?;
            let held = approved(asked.workspace, asked.reader)?;
            let id = Some(step.id.as_str());
            let found =
                asked
                    .studio
                    .window(asked.workspace, design, shop, id, held.as_ref(), asked.keep_going)?;
            let window = found.with(&limits);
            said.push(window.answer(voice));
            said.extend(window.small_print(voice));
            said.push(found.error(voice));
            // While the rates are assumed a time would be a guess: there is none in the table either.
            let timed = found.timed();
            for point in &window.hill.points {
                curves.row([
                    Cell::number(timed.then_some(point.time.0), 0),
                    Cell::number(timed.then_some(100.0 * point.pass), 0),
                    Cell::number(point.ground, 1),
                    Cell::number(point.motif, 1),
                    Cell::number(point.line.map(|left| 100.0 * left), 0),
                ]);
            }
            for one in &window.widen {
                widen.row([Cell::words(one.what.say(voice)), Cell::number(one.gain.0, 0)]);
            }
            if let Ok(tank) = tank(design, shop, id) {
                let sheets = tank.sheets(&seen(asked.reader)?, shop);
                for batch in &sheets.batches {
                    let left = sheets.line_left(batch.strengthened_time);
                    loads.row([
                        Cell::count(batch.number),
                        Cell::number(batch.chlorine, 2),
                        Cell::number(batch.add, 2),
                        Cell::number(batch.strengthened, 2),
                        Cell::number(batch.strengthened_time.0, 0),
                        Cell::number(left.map(|(left, _)| left.to_mm()), 2),
                        Cell::Flag(batch.dump),
                    ]);
                }
                if sheets.batches.is_empty() {
                    said.push(
                        say!(
                            "The loads of the bath have no times yet: a witness strip says how fast it clears.",
                            "Muatan bak belum punya waktu: potong uji menunjukkan kecepatan cabutnya."
                        )
                        .say(voice),
                    );
                }
                said.extend(
                    tank.cautions
                        .iter()
                        .map(|one| one.text.raw(voice.language).to_string()),
                );
                said.push(route::DEFER.raw(voice.language).to_string());
            }
        }
    }
    let about = match step {
        Some(step) => say!(
            "{design}, step {n}",
            "{design}, langkah {n}",
            design = Arg::Name(design.name.clone()),
            n = Arg::Number(f64::from(step.number), 0)
        )
        .say(voice),
        None => design.name.clone(),
    };
    Ok(Told {
        about,
        question: text!(
            "How long may this step run?",
            "Berapa lama langkah ini boleh berjalan?"
        ),
        said,
        tables: vec![curves, widen, loads],
    })
}
