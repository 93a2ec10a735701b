//! The one table of what lies below `/api`: what is served, and what its description says of it.

use super::bring::{self, MOST_ARCHIVE, MOST_MEASURED};
use super::{
    MOST_DRAWING, alive, change, describe, design, lessons, photo, plan, read, shades, shelf, upload, window,
};
use crate::facts::stamp::MOST_FILE;
use crate::studio::Studio;
use crate::studio::photographs::MOST_PHOTOGRAPH;
use crate::studio::windows::{AT_THE_TANK, LIMITS, MOST_APPROVED, STEP, words};
use axum::extract::DefaultBodyLimit;
use axum::routing::{MethodRouter, get, post};
use std::sync::Arc;

/// One address and one way to ask it.
pub struct Entry {
    /// Below `/api`; parts in braces are names.
    pub path: &'static str,
    /// Whether it changes something, and so wants the start token.
    pub changes: bool,
    /// One sentence.
    pub what: &'static str,
    /// What may stand after `?`: name, meaning.
    pub query: &'static [(&'static str, &'static str)],
    /// Whether `If-Match` must hold the hash that the change was made for.
    pub hash: bool,
    /// What is sent along.
    pub takes: Takes,
    /// Type of a good answer.
    pub gives: &'static str,
    /// Answers besides the good one: status, meaning.
    pub refuses: &'static [(u16, &'static str)],
    /// Status of the good answer.
    pub good: u16,
    /// What serves it.
    pub serve: fn() -> MethodRouter<Arc<Studio>>,
}

/// The body of a request.
#[derive(Clone, Copy)]
pub enum Takes {
    /// None.
    Nothing,
    /// JSON; an example, which a test sends through the parser.
    Json(&'static str),
    /// A file: type, most bytes.
    File(&'static str, usize),
}

/// Types of drawings, and what is said about one.
const DRAWINGS: &str = "image/*";
const FILE: (&str, &str) = ("file", "name of the drawing, for what is said about it");
const WAX_BELOW: (&str, &str) = (
    "wax_below",
    "lightness below which paint is wax, 1 to 100; the drawing's own unless said",
);

const CUT: (&str, &str) = (
    "cut",
    "`1` cuts the page to the shapes, with 4 mm of room on the cloth",
);

/// What is asked for by reading.
pub(super) const fn reads(
    path: &'static str,
    what: &'static str,
    serve: fn() -> MethodRouter<Arc<Studio>>,
) -> Entry {
    Entry {
        path,
        changes: false,
        what,
        query: &[],
        hash: false,
        takes: Takes::Nothing,
        gives: "application/json",
        refuses: &[],
        good: 200,
        serve,
    }
}

/// What changes something.
const fn changes(path: &'static str, what: &'static str, serve: fn() -> MethodRouter<Arc<Studio>>) -> Entry {
    Entry {
        changes: true,
        ..reads(path, what, serve)
    }
}

const NO_DESIGN: (u16, &str) = (404, "there is no such design");
const FINDINGS: (u16, &str) = (422, "it cannot be done; the findings say why");
const CLASH: (u16, &str) = (409, "the file was changed since: its hash now, and what differs");
const NO_HASH: (u16, &str) = (428, "If-Match is missing");
const NOT_JSON: (u16, &str) = (400, "the body is not what is asked for");
const TOO_LARGE: (u16, &str) = (413, "the file is too large");

/// All of it, in the order of the description.
pub static TABLE: &[Entry] = &[
    reads("/", "This description.", || get(describe::serve)),
    reads(
        "/alive",
        "That the studio is there, and which start of it.",
        || get(alive),
    ),
    reads(
        "/read",
        "Answers when every design was read along its route.",
        || get(read),
    ),
    reads(
        "/kinds",
        "Every operation with its settings: measure, range, usual value, source.",
        || get(design::kinds),
    ),
    Entry {
        refuses: &[NO_DESIGN],
        ..reads(
            "/design/{id}",
            "A design: hash of its file, settings as spelled, findings, marks of its pictures.",
            || get(design::view),
        )
    },
    Entry {
        hash: true,
        takes: Takes::Json(r#"{"do":"set","step":"s5","key":"time","given":"14 min"}"#),
        refuses: &[NOT_JSON, NO_DESIGN, CLASH, FINDINGS, NO_HASH],
        ..changes(
            "/design/{id}/change",
            "Makes one change: `set` a setting, `add`, `remove`, `move` or `duplicate` a step, change the white `cloth`, what is said `about` it, a `stamp`, or a colour that it shall carry (`target`, `add-target`, `remove-target`), or `build` a stamp's proposal; `all` makes several as one.",
            || post(change::change),
        )
    },
    Entry {
        takes: Takes::Json(r#"{"do":"set","step":"s5","key":"time","given":"14 min"}"#),
        refuses: &[NOT_JSON, NO_DESIGN, FINDINGS],
        ..changes(
            "/design/{id}/try",
            "What a change would find; nothing is written.",
            || post(change::try_change),
        )
    },
    Entry {
        hash: true,
        refuses: &[NO_DESIGN, CLASH, FINDINGS, NO_HASH],
        ..changes("/design/{id}/undo", "Undoes the last change.", || {
            post(change::undo)
        })
    },
    Entry {
        hash: true,
        refuses: &[NO_DESIGN, CLASH, FINDINGS, NO_HASH],
        ..changes("/design/{id}/redo", "Makes an undone change again.", || {
            post(change::redo)
        })
    },
    Entry {
        refuses: &[NO_DESIGN, FINDINGS],
        ..reads(
            "/design/{id}/regions",
            "The colours that the cloth shall carry, region by region, and those that it has now. Some seconds; tells its progress as lines of JSON if asked for `application/x-ndjson`.",
            || get(shades::regions),
        )
    },
    Entry {
        query: &[("dyes", "`any` of the store, or the `same` that each step has")],
        refuses: &[NO_DESIGN, FINDINGS],
        ..reads(
            "/design/{id}/recipes",
            "Dyes, depths and times of the route that bring the regions to their colours. Ten seconds or more; tells its progress as `/design/{id}/regions` does.",
            || get(shades::recipes),
        )
    },
    Entry {
        refuses: &[NO_DESIGN, FINDINGS],
        ..reads(
            "/design/{id}/lamps",
            "How far the colours of the finished cloth move from daylight (D65) to a lamp (A, F11), CIEDE2000. Some seconds; tells its progress as `/design/{id}/regions` does.",
            || get(shades::lamps),
        )
    },
    Entry {
        query: &words::<6>(&[&[STEP], &LIMITS]),
        refuses: &[NO_DESIGN, FINDINGS],
        ..reads(
            "/design/{id}/window",
            "How long a timed step may run, how surely, and what would widen that; no time while its rates are assumed. Some seconds; tells its progress as `/design/{id}/regions` does.",
            || get(window::window),
        )
    },
    Entry {
        query: &words::<7>(&[&[window::BLEACH], &AT_THE_TANK]),
        refuses: &[NO_DESIGN, FINDINGS],
        ..reads(
            "/design/{id}/tank",
            "Times for this load of a bleach and the next, from a witness strip or a titration, and antichlor for this load's cloth.",
            || get(window::at_the_tank),
        )
    },
    Entry {
        query: &[(
            "target",
            "a colour: `#rrggbb`, or L*, a*, b* (D65, 10 degrees) as `54,40,31`",
        )],
        refuses: &[FINDINGS],
        ..reads(
            "/shade",
            "Recipes of the store for a colour on white cloth, the nearest first.",
            || get(shades::shade),
        )
    },
    Entry {
        query: &[
            ("file", "name of the file, for what is said about it"),
            (
                "scale",
                "how reflectances are written where the file does not say: `percent` or `fraction`",
            ),
        ],
        takes: Takes::File("text/plain", MOST_MEASURED),
        refuses: &[TOO_LARGE, FINDINGS],
        ..changes(
            "/samples",
            "The samples of a file of measurements with their colours. Nothing is written.",
            || post(shades::measured).layer(DefaultBodyLimit::max(MOST_MEASURED)),
        )
    },
    Entry {
        takes: Takes::Json(r#"{"colourway":"evening"}"#),
        good: 201,
        refuses: &[NOT_JSON, FINDINGS],
        ..changes(
            "/design/{id}/colourway",
            "A copy of the design in other colours, under an id of its own.",
            || post(change::colourway),
        )
    },
    Entry {
        query: &[("stamp", "id of the stamp"), ("file", "name of the drawing")],
        hash: true,
        takes: Takes::File("image/svg+xml", MOST_DRAWING),
        refuses: &[NO_DESIGN, CLASH, TOO_LARGE, FINDINGS, NO_HASH],
        ..changes(
            "/design/{id}/drawing",
            "Another drawing for a stamp; the old one stays in the folder, so that it can be undone.",
            || post(change::redraw).layer(DefaultBodyLimit::max(MOST_DRAWING)),
        )
    },
    Entry {
        query: &[
            ("name", "what the design is called"),
            ("width", "width of one repeat with its unit, as `200 mm`"),
            FILE,
            WAX_BELOW,
            CUT,
        ],
        takes: Takes::File(DRAWINGS, MOST_FILE as usize),
        good: 201,
        refuses: &[TOO_LARGE, FINDINGS],
        ..changes(
            "/designs",
            "A new design with a first route; the body is its drawing.",
            || post(upload::new_design).layer(DefaultBodyLimit::max(MOST_FILE as usize)),
        )
    },
    Entry {
        query: &[
            ("width", "width of one repeat with its unit, as `200 mm`"),
            FILE,
            WAX_BELOW,
            CUT,
        ],
        takes: Takes::File(DRAWINGS, MOST_FILE as usize),
        refuses: &[TOO_LARGE, FINDINGS],
        ..changes(
            "/reading",
            "How a drawing reads as wax at a width, and whether copper can follow it. Nothing is written.",
            || post(upload::reading).layer(DefaultBodyLimit::max(MOST_FILE as usize)),
        )
    },
    Entry {
        takes: Takes::Json(
            r#"{"design":"sea-fan","bolts":"6","due":"2027-03-31","buyer":"Fennel & Thread"}"#,
        ),
        good: 201,
        refuses: &[NOT_JSON, FINDINGS],
        ..changes(
            "/orders",
            "Promises cloth: an order at the end of the orders file.",
            || post(upload::new_order),
        )
    },
    Entry {
        hash: true,
        takes: Takes::Json(r#"{"name":"Reef & Rain","designer":"whoever hands it over","place":"Porto"}"#),
        refuses: &[NOT_JSON, CLASH, FINDINGS, NO_HASH],
        ..changes(
            "/collection",
            "Signs the collection: its name, who designs it and where, as heads of papers say it. The hash is that of `collection.toml`.",
            || post(upload::sign_collection),
        )
    },
    Entry {
        hash: true,
        takes: Takes::Json(r#"{"way":"some","day":"2026-12-01","opens":"08:30","closes":"11:00"}"#),
        refuses: &[NOT_JSON, CLASH, FINDINGS, NO_HASH],
        ..changes(
            "/plan",
            "Makes a way to go on (`keep`, `some`, `best`) from the morning of a day, as the run sheet worked it out, the plan: `plan.json` of the folder, as `lorod plan -o` writes it. `anew` means none. The hash is that of the file's text, of an empty one where there is none.",
            || post(plan::choose),
        )
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes("/plan/undo", "Takes back what was chosen last.", || {
            post(plan::undo)
        })
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes("/plan/redo", "Chooses again what was taken back.", || {
            post(plan::redo)
        })
    },
    Entry {
        query: &[("file", "name of the picture")],
        takes: Takes::File("image/jpeg, image/png", MOST_PHOTOGRAPH),
        good: 201,
        refuses: &[TOO_LARGE, FINDINGS],
        ..changes(
            "/photographs",
            "Keeps a photograph of cloth, if it can be read.",
            || post(photo::bring).layer(DefaultBodyLimit::max(MOST_PHOTOGRAPH)),
        )
    },
    Entry {
        takes: Takes::Json(
            r#"{"across":"240 mm","along":"240 mm","card":"18 mm","window":"260,190 1330,240 1290,1270 300,1210","grey":"400,1400 520,1404 518,1500 398,1496","reflectance":"18 %"}"#,
        ),
        refuses: &[NOT_JSON, (404, "there is no such photograph"), FINDINGS],
        ..changes(
            "/photographs/{id}",
            "Writes where the window stands on a photograph, and the grey card or (`target`, `columns`, `rows`, `values`: a file seen from the photographs' folder) the target of known patches.",
            || post(photo::mark),
        )
    },
    reads(
        "/shelf",
        "Every copy of the stamps: where it hangs, what it printed in all and since it was filed, when it is to be filed.",
        || get(shelf::shelf),
    ),
    Entry {
        hash: true,
        takes: Takes::Json(r#"{"did":"stamped","copy":"sea-fan/fan/1","on":"2026-06-04","bolts":"9"}"#),
        refuses: &[NOT_JSON, CLASH, FINDINGS, NO_HASH],
        ..changes(
            "/shelf",
            "Records what was done to a copy: it is `new`, `stamped` whole bolts, was `proofed`, `refiled` or `retired`.",
            || post(shelf::record),
        )
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes("/shelf/undo", "Takes back what was recorded last.", || {
            post(shelf::undo)
        })
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes("/shelf/redo", "Records again what was taken back.", || {
            post(shelf::redo)
        })
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes(
            "/lessons",
            "Writes what was measured here and is not in use yet into dye cards and the workshop's file. The hash is that which `/learned` shows: of all files but orders, collection and the shelf of stamps.",
            || post(lessons::write),
        )
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes("/lessons/undo", "Takes back what was written last.", || {
            post(lessons::undo)
        })
    },
    Entry {
        hash: true,
        refuses: &[CLASH, FINDINGS, NO_HASH],
        ..changes("/lessons/redo", "Writes again what was taken back.", || {
            post(lessons::redo)
        })
    },
    Entry {
        query: &[("file", "name of the archive; the folder is called after it")],
        takes: Takes::File("application/zip", MOST_ARCHIVE),
        good: 201,
        refuses: &[TOO_LARGE, FINDINGS],
        ..changes(
            "/archive",
            "Unpacks an archive of a workspace into a new folder beside this one.",
            || post(bring::archive).layer(DefaultBodyLimit::max(MOST_ARCHIVE)),
        )
    },
    Entry {
        query: &[("file", "name of the file")],
        takes: Takes::File("text/csv", MOST_APPROVED),
        good: 201,
        refuses: &[(409, "there is such a file already"), TOO_LARGE, FINDINGS],
        ..changes(
            "/approved",
            "Keeps the colours of approved cloth: lines of `region,lab_l,lab_a,lab_b` and perhaps `share`.",
            || post(bring::approved).layer(DefaultBodyLimit::max(MOST_APPROVED)),
        )
    },
    Entry {
        query: &[("file", "name of the file")],
        takes: Takes::File("text/plain", MOST_MEASURED),
        good: 201,
        refuses: &[(409, "there is such a file already"), TOO_LARGE, FINDINGS],
        ..changes(
            "/measured",
            "Keeps a file of measured samples, if it can be read.",
            || post(bring::measured).layer(DefaultBodyLimit::max(MOST_MEASURED)),
        )
    },
];
