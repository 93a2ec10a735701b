//! Files that pages hand out under addresses of their own, beside `/api` and `/data`: plan, season, stamp, papers, pictures.

use super::table::{Entry, Takes, reads};
use crate::studio::Studio;
use crate::studio::data::{BOLTS, DESIGN};
use crate::studio::pages::{self, pack, run, season, stamp};
use crate::studio::picture;
use crate::studio::reader::Reader;
use axum::Router;
use axum::extract::{Path, State};
use axum::routing::get;
use std::sync::Arc;

/// Serves one file of a handler that is told its name.
macro_rules! file {
    ($handler:path, $name:literal) => {
        || get(|studio: State<Arc<Studio>>, reader: Reader| $handler(studio, Path($name.to_string()), reader))
    };
}

const PDF: &str = "application/pdf";
const CSV: &str = "text/csv";
const SVG: &str = "image/svg+xml";
const ZIP: &str = "application/zip";

const DAYS: &[(&str, &str)] = &[
    (
        "first",
        "first day that is told, as `2026-12-01`; the first of the plan unless said",
    ),
    ("last", "last day; the first again unless said"),
];
const SEASON: &[(&str, &str)] = &[
    (
        "rounds",
        "rounds of strike-offs of designs that are not approved yet, 0 to 3; 1 unless said",
    ),
    (
        "approved",
        "id of a design that is approved; may stand several times",
    ),
];
const STAMP: &[(&str, &str)] = &[
    DESIGN,
    ("stamp", "id of the stamp; the design's first unless said"),
];
const DRAWING: &[(&str, &str)] = &[
    DESIGN,
    ("stamp", "id of the stamp; the design's first unless said"),
    ("paper", "`a4`, `a3` or `letter`; A4 unless said"),
];
const PACK: &[(&str, &str)] = &[(
    "design",
    "id of a design that it is of; may stand several times; all unless said",
)];
const PHOTO: &[(&str, &str)] = &[
    DESIGN,
    ("photo", "name of the photograph"),
    (
        "approved",
        "name of a photograph of approved cloth; may stand several times",
    ),
];

const NO_PLAN: (u16, &str) = (409, "there is no plan yet, as a page that says why");
const NOT_YET: (u16, &str) = (409, "it cannot be made yet");
const NO_STAMP: (u16, &str) = (404, "there is no such design, or it has no such stamp");

/// Without findings as JSON: a page says why, or nothing does.
const fn hands(
    path: &'static str,
    gives: &'static str,
    what: &'static str,
    query: &'static [(&'static str, &'static str)],
    refuses: &'static [(u16, &'static str)],
    serve: fn() -> axum::routing::MethodRouter<Arc<Studio>>,
) -> Entry {
    Entry {
        gives,
        query,
        refuses,
        takes: Takes::Nothing,
        ..reads(path, what, serve)
    }
}

/// All of them, by whole address.
pub static FILES: &[Entry] = &[
    hands(
        "/run/plan.json",
        "application/json",
        "The whole plan, with what the judge found and how sure each promise is.",
        &[],
        &[NO_PLAN],
        file!(run::file, "plan.json"),
    ),
    hands(
        "/run/plan.csv",
        CSV,
        "The plan, a line for each piece of work; times are those of the workshop's clock.",
        DAYS,
        &[NO_PLAN],
        file!(run::file, "plan.csv"),
    ),
    hands(
        "/run/plan.ics",
        "text/calendar",
        "The plan as a calendar to subscribe to (RFC 5545).",
        DAYS,
        &[NO_PLAN],
        file!(run::file, "plan.ics"),
    ),
    hands(
        "/run/sheets.pdf",
        PDF,
        "Run sheets: what is done at each place on each day, to be ticked off.",
        DAYS,
        &[NO_PLAN],
        file!(run::file, "sheets.pdf"),
    ),
    hands(
        "/season/season.json",
        "application/json",
        "The season: strike-offs, visits, promises, purchases, the next visit's agenda. Some seconds.",
        SEASON,
        &[NO_PLAN],
        file!(season::piece, "season.json"),
    ),
    hands(
        "/season/calendar.csv",
        CSV,
        "What is due when, a line for each round of strike-offs and each order.",
        SEASON,
        &[NO_PLAN],
        file!(season::piece, "calendar.csv"),
    ),
    hands(
        "/season/purchases.csv",
        CSV,
        "What must be ordered by when.",
        SEASON,
        &[NO_PLAN],
        file!(season::piece, "purchases.csv"),
    ),
    hands(
        "/season/season.pdf",
        PDF,
        "The season on paper.",
        SEASON,
        &[NO_PLAN],
        file!(season::piece, "season.pdf"),
    ),
    hands(
        "/season/season.svg",
        SVG,
        "The season as a drawing.",
        SEASON,
        &[NO_PLAN],
        file!(season::piece, "season.svg"),
    ),
    hands(
        "/season/agenda.txt",
        "text/plain",
        "What the next visit is for.",
        SEASON,
        &[NO_PLAN],
        file!(season::piece, "agenda.txt"),
    ),
    hands(
        "/stamp/faults.json",
        "application/json",
        "What copper cannot follow of a stamp's drawing, with measures in mm.",
        STAMP,
        &[NO_STAMP],
        file!(stamp::piece, "faults.json"),
    ),
    hands(
        "/stamp/faults.csv",
        CSV,
        "The same as a table.",
        STAMP,
        &[NO_STAMP],
        file!(stamp::piece, "faults.csv"),
    ),
    hands(
        "/stamp/strips.csv",
        CSV,
        "Every strip that a stamp is built from, in mm.",
        STAMP,
        &[NO_STAMP],
        file!(stamp::piece, "strips.csv"),
    ),
    hands(
        "/stamp/drawing.pdf",
        PDF,
        "The stamp at full size, its strips numbered, sheet by sheet.",
        DRAWING,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "drawing.pdf"),
    ),
    hands(
        "/stamp/drawing.svg",
        SVG,
        "The stamp at full size, one sheet from a roll.",
        STAMP,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "drawing.svg"),
    ),
    hands(
        "/stamp/drawing.zip",
        ZIP,
        "The stamp at full size as SVG, a file for each sheet.",
        DRAWING,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "drawing.zip"),
    ),
    hands(
        "/stamp/joins.svg",
        SVG,
        "The joins of a repeat with what does not meet there.",
        STAMP,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "joins.svg"),
    ),
    hands(
        "/stamp/closed.svg",
        SVG,
        "The joins once they are closed.",
        STAMP,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "closed.svg"),
    ),
    hands(
        "/stamp/bolt.svg",
        SVG,
        "How the repeat lies on a bolt.",
        STAMP,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "bolt.svg"),
    ),
    hands(
        "/stamp/register.svg",
        SVG,
        "Two stamps that belong together, one slipped by 1 mm and 1 degree; 404 for a stamp that stands alone.",
        STAMP,
        &[NO_STAMP, NOT_YET],
        file!(stamp::piece, "register.svg"),
    ),
    hands(
        "/papers/{paper}",
        PDF,
        "A paper: job cards and batch sheets of an order, a stamp at full size.",
        &[],
        &[(404, "there is no such paper"), NOT_YET],
        || get(pages::paper),
    ),
    hands(
        "/pack/workshop.pdf",
        PDF,
        "The handover pack for the workshop. Ten seconds or more the first time.",
        PACK,
        &[NOT_YET],
        file!(pack::piece, "workshop.pdf"),
    ),
    hands(
        "/pack/buyers.pdf",
        PDF,
        "The line sheet for buyers. Ten seconds or more the first time.",
        PACK,
        &[NOT_YET],
        file!(pack::piece, "buyers.pdf"),
    ),
    hands(
        "/pack/both.zip",
        ZIP,
        "Both in one archive.",
        PACK,
        &[NOT_YET],
        file!(pack::piece, "both.zip"),
    ),
    hands(
        "/archive",
        ZIP,
        "The folder as one archive.",
        &[],
        &[NOT_YET],
        || get(pages::archive),
    ),
    hands(
        "/cloth/{picture}",
        "image/png",
        "A picture of cloth: the id of a design and `.png`.",
        &[
            ("x", "mm from the selvedge"),
            ("y", "mm from the beginning of the bolt"),
            ("w", "mm across"),
            ("h", "mm along"),
            ("dpi", "pixels an inch"),
            (
                "step",
                "id or number of the step after which it is shown; finished unless said",
            ),
            ("bolt", "which bolt, from 0"),
            ("lamp", "`D65`, `A` or `F11`; daylight unless said"),
        ],
        &[
            (404, "there is no such design or step"),
            (422, "there is no such piece of cloth"),
        ],
        || get(picture::serve),
    ),
    hands(
        "/lot/{picture}",
        "image/png",
        "A bolt of a lot, made as it was done: `near-1.png` to `near-3.png` a piece as in the hand, `wide-1.png` to `wide-3.png` the whole width. Some ten seconds the first time.",
        &[
            DESIGN,
            BOLTS,
            (
                "baths",
                "`left`: nobody tops a bath up; by the batch sheets unless said",
            ),
        ],
        &[(404, "there is no such design or picture")],
        || get(pages::lot::piece),
    ),
    hands(
        "/photographs/picture",
        "image/*",
        "A photograph as it was brought.",
        PHOTO,
        &[(404, "there is no such photograph")],
        file!(pages::photographs::piece, "picture"),
    ),
    hands(
        "/photographs/straight",
        "image/png",
        "The cloth of a photograph, straight and even, once it was compared.",
        PHOTO,
        &[(404, "it was not compared yet")],
        file!(pages::photographs::piece, "straight"),
    ),
    hands(
        "/photographs/drawing",
        "image/png",
        "Where the stamp stood on it.",
        PHOTO,
        &[(404, "it was not compared yet")],
        file!(pages::photographs::piece, "drawing"),
    ),
    hands(
        "/photographs/approved",
        "image/png",
        "What it was held against.",
        PHOTO,
        &[(404, "it was not compared yet")],
        file!(pages::photographs::piece, "approved"),
    ),
];

/// All of them at their addresses.
pub fn routes() -> Router<Arc<Studio>> {
    FILES.iter().fold(Router::new(), |router, entry| {
        router.route(entry.path, (entry.serve)())
    })
}
