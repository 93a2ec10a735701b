//! What the workshop's own tests taught, as tables.

use super::table::{Cell, Column, Table, Unit, base};
use super::{Asked, Data, Told};
use crate::facts::learn::lessons;
use crate::studio::pages::learned::{answer, inside};
use crate::studio::say::{amount, origin, said};
use cloth::window::good_to;
use units::Quantity;
use words::{Finding, text};

/// What the page of what was measured hands out.
pub static LEARNED: Data = Data {
    name: "learned",
    tables: &[
        (
            "constants",
            text!("Constants, before and after", "Konstanta, sebelum dan sesudah"),
        ),
        (
            "forecasts",
            text!("Forecasts and what came", "Ramalan dan hasilnya"),
        ),
        (
            "coverage",
            text!(
                "How often what was said came true",
                "Seberapa sering yang dijanjikan terjadi"
            ),
        ),
    ],
    query: &[],
    slow: false,
    make: learned,
    more: &[],
};

fn learned(asked: &Asked) -> Result<Told, Vec<Finding>> {
    let (workspace, voice) = (asked.workspace, asked.reader.voice);
    let shop = workspace
        .workshop
        .as_ref()
        .ok_or_else(|| workspace.findings.clone())?;
    let lessons = lessons(workspace, shop);
    let mut constants = Table::new(&[
        Column::words("constant", text!("Constant", "Konstanta")),
        Column::plain("file", Unit::Words),
        Column::plain("key", Unit::Words),
        Column::words("before", text!("Before", "Sebelum")),
        Column::words("measured", text!("Measured here", "Diukur di sini")),
        Column::plain("before_value", Unit::Beside("unit")),
        Column::plain("measured_value", Unit::Beside("unit")),
        Column::plain("unit", Unit::Words),
        Column::one(
            "before_factor",
            text!("Before within a factor", "Sebelum dalam faktor"),
        ),
        Column::one("measured_factor", text!("now within", "kini dalam")),
        Column::count("n", text!("Readings", "Bacaan")),
        Column::words("date", text!("Last", "Terakhir")),
        Column::words("in_use", text!("In use", "Dipakai")),
        Column::words("origin", text!("Before rests on", "Sebelum berdasar")),
    ]);
    for one in &lessons.constants {
        constants.row([
            Cell::words(said(&one.of, voice)),
            Cell::words(&one.file),
            Cell::words(one.path.join(".")),
            Cell::words(amount(Quantity::new(one.was.value, one.measure), voice)),
            Cell::words(amount(Quantity::new(one.fitted.value, one.measure), voice)),
            Cell::number(one.was.value, 4),
            Cell::number(one.fitted.value, 4),
            Cell::words(base(one.measure)),
            Cell::number(good_to(&one.was.origin), 2),
            Cell::number(one.fitted.factor, 2),
            Cell::count(one.fitted.n),
            Cell::words(one.date.to_string()),
            Cell::Flag(one.in_use()),
            Cell::words(origin(&one.was.origin, voice)),
        ]);
    }
    let mut forecasts = Table::new(&[
        Column::words("forecast", text!("Forecast", "Ramalan")),
        Column::one(
            "least_over_forecast",
            text!("90 of 100 from", "90 dari 100 mulai"),
        ),
        Column::one("most_over_forecast", text!("to", "sampai")),
        Column::one(
            "came_over_forecast",
            text!("came, over the forecast", "hasil dibagi ramalan"),
        ),
        Column::words("inside", text!("Inside", "Di dalam")),
    ]);
    for named in &lessons.outcomes {
        let one = named.outcome;
        forecasts.row([
            Cell::words(&named.name),
            Cell::number(1.0 / one.factor, 2),
            Cell::number(one.factor, 2),
            Cell::number(one.actual / one.forecast, 2),
            Cell::Flag(inside(&one)),
        ]);
    }
    let mut coverage = Table::new(&[
        Column::number(
            "said_below",
            "percent",
            text!("Said to stay below", "Dijanjikan di bawah batas"),
        ),
        Column::number(
            "came_below",
            "percent",
            text!("came out below", "ternyata di bawah batas"),
        ),
    ]);
    if lessons.replay.n > 0 {
        for (said, came) in &lessons.replay.below {
            coverage.row([Cell::number(100.0 * said, 0), Cell::number(100.0 * came, 0)]);
        }
    }
    let mut lines = vec![answer(Some(&lessons), voice)];
    lines.extend(lessons.findings.iter().map(|one| said(&one.found, voice)));
    Ok(Told {
        about: asked.collection(),
        question: text!(
            "What has this workshop measured itself?",
            "Apa yang sudah diukur bengkel ini sendiri?"
        ),
        said: lines,
        tables: vec![constants, forecasts, coverage],
    })
}
