//! Pages whose files have addresses of their own: the stamp, the run sheet.

use super::{Asked, Data, File, Told};
use words::{Finding, text};

/// A file of a page.
pub const fn file(path: &'static str, what: &'static words::Text) -> File {
    File { path, what }
}

/// What the page of a stamp hands out.
pub static STAMP: Data = Data {
    more: &[
        file(
            "/stamp/faults.json",
            text!("what copper cannot follow", "yang tidak dapat diikuti tembaga"),
        ),
        file(
            "/stamp/faults.csv",
            text!("what copper cannot follow", "yang tidak dapat diikuti tembaga"),
        ),
        file(
            "/stamp/strips.csv",
            text!("the strips, by number", "bilah, menurut nomor"),
        ),
        file(
            "/stamp/drawing.pdf",
            text!("the drawing at full size", "gambar ukuran penuh"),
        ),
        file(
            "/stamp/drawing.svg",
            text!(
                "the drawing, one sheet from a roll",
                "gambar, satu lembar dari gulungan"
            ),
        ),
        file(
            "/stamp/drawing.zip",
            text!(
                "the drawing as SVG, sheet by sheet",
                "gambar sebagai SVG, lembar demi lembar"
            ),
        ),
    ],
    ..OWN
};

/// What the run sheet hands out.
pub static RUN: Data = Data {
    more: &[
        file("/run/plan.json", text!("the whole plan", "seluruh rencana")),
        file("/run/plan.csv", text!("the whole plan", "seluruh rencana")),
        file("/run/plan.ics", text!("to subscribe to", "untuk langganan")),
        file(
            "/run/sheets.pdf",
            text!(
                "run sheets of every place and day",
                "lembar kerja tiap tempat dan hari"
            ),
        ),
    ],
    ..OWN
};

/// Without tables below `/data`.
pub const OWN: Data = Data {
    name: "",
    tables: &[],
    query: &[],
    slow: false,
    make: nothing,
    more: &[],
};

fn nothing(_: &Asked) -> Result<Told, Vec<Finding>> {
    Err(Vec::new())
}
