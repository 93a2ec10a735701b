//! A day or some days of the plan as a short text, to be sent to a phone: plain words, no table.

use super::{Days, Piece, View, clock, day_name};
use ::plan::Minute;
use sky::Date;
use std::collections::BTreeMap;
use words::{Arg, Voice, say, text};

/// The text: of one day what is done from when to when, of several days which lots go through which steps; and on both
/// who comes, what must be ready, what is promised.
pub fn chat(view: &View, days: Days, voice: Voice) -> String {
    let raw = |text: &'static words::Text| text.raw(voice.language);
    let mut lines = vec![if days.first == days.last {
        format!("{}, {}", view.shop.name, day_name(days.first, voice))
    } else {
        format!(
            "{}, {} - {}",
            view.shop.name,
            day_name(days.first, voice),
            day_name(days.last, voice)
        )
    }];
    let one = days.first == days.last;
    for day in (days.first.days..=days.last.days).map(|days| Date { days }) {
        let pieces = view.pieces_on(Days::one(day));
        let mut said = if one {
            hours(view, &pieces, voice)
        } else {
            steps(view, &pieces, voice)
        };
        said.extend(marks(view, day, voice));
        if said.is_empty() && !one {
            continue;
        }
        if !one {
            lines.push(String::new());
            lines.push(day_name(day, voice));
        }
        if said.is_empty() {
            said.push(raw(text!("Nothing is planned.", "Tidak ada pekerjaan.")).to_string());
        }
        lines.extend(said);
    }
    lines.push(String::new());
    lines.push(raw(text!(
        "Times hold if your minutes are right. Caution with bleach, alkali, hot wax and boiling water: follow the job card.",
        "Jam berlaku bila menit kerja benar. Hati-hati pemutih, alkali, malam panas, dan air mendidih: ikuti kartu kerja."
    )).to_string());
    lines.join("\n") + "\n"
}

/// Of a day: each step of each lot once.
fn hours(view: &View, pieces: &[Piece], voice: Voice) -> Vec<String> {
    struct Entry {
        start: Minute,
        end: Minute,
        what: String,
        bolts: Vec<(usize, u32)>,
    }
    let mut entries: BTreeMap<(usize, Option<usize>), Entry> = BTreeMap::new();
    for piece in pieces {
        let entry = entries
            .entry((piece.lot, piece.operation))
            .or_insert_with(|| Entry {
                start: piece.start,
                end: piece.end,
                what: view.what(piece, voice),
                bolts: Vec::new(),
            });
        entry.end = entry.end.max(piece.end);
        entry.bolts.extend(&piece.bolts);
    }
    let mut entries: Vec<((usize, Option<usize>), Entry)> = entries.into_iter().collect();
    entries.sort_by_key(|((lot, operation), entry)| (entry.start, *lot, *operation));
    let line = |((lot, _), entry): ((usize, Option<usize>), Entry)| {
        let bolts = if entry.bolts.is_empty() {
            view.lot(lot).to_string()
        } else {
            view.bolts(&entry.bolts)
        };
        // What lasts over the night ends on another day.
        let overnight = view.date(entry.start) != view.date(entry.end - 1);
        let end = if overnight {
            format!("{} {}", day_name(view.date(entry.end), voice), clock(entry.end))
        } else {
            clock(entry.end)
        };
        format!("{}-{end} {}: {bolts}", clock(entry.start), entry.what)
    };
    entries.into_iter().map(line).collect()
}

/// What is done of a lot on a day: first and last step, (lot, bolt) of each piece.
type Done = (usize, usize, Vec<(usize, u32)>);

/// Of a day among several: each lot once, with its first and last step.
fn steps(view: &View, pieces: &[Piece], voice: Voice) -> Vec<String> {
    let mut lots: BTreeMap<usize, Done> = BTreeMap::new();
    for piece in pieces {
        for (lot, bolt) in &piece.bolts {
            let Some(operation) = view.operation_in(piece, *lot) else {
                continue;
            };
            let entry = lots
                .entry(*lot)
                .or_insert_with(|| (operation, operation, Vec::new()));
            entry.0 = entry.0.min(operation);
            entry.1 = entry.1.max(operation);
            entry.2.push((*lot, *bolt));
        }
    }
    let name = |lot: usize, operation: usize| match view.step(lot, operation) {
        Some((number, term)) => format!("{number} {}", term.text.raw(voice.language)),
        None => text!("courier", "kurir").raw(voice.language).to_string(),
    };
    let line = |(lot, (first, last, bolts)): (usize, Done)| {
        let design = view.design(lot).map_or("", |design| design.name.as_str());
        let steps = if first == last {
            name(lot, first)
        } else {
            let to = text!("to", "sampai").raw(voice.language);
            format!("{} {to} {}", name(lot, first), name(lot, last))
        };
        format!("{} {design}: {steps}", view.bolts(&bolts))
    };
    lots.into_iter().map(line).collect()
}

/// Who comes, what is approved, what is ready, what is promised.
fn marks(view: &View, day: Date, voice: Voice) -> Vec<String> {
    let mut lines = Vec::new();
    let here = view
        .workspace
        .calendar("designer")
        .is_some_and(|calendar| !calendar.shifts_on(day, &view.shop.climate).is_empty());
    if here {
        lines.push(say!("The designer is here.", "Desainer ada di sini.").say(voice));
    }
    for (at, lot) in view.problem().lots.iter().enumerate() {
        let name = || Arg::Name(lot.name.clone());
        if let Some((_, done)) = view.planned.span(at).filter(|(_, done)| view.date(*done) == day) {
            let time = Arg::Name(clock(done));
            lines.push(
                say!(
                    "{lot} is ready at {time}.",
                    "{lot} selesai jam {time}.",
                    lot = name(),
                    time = time
                )
                .say(voice),
            );
        }
        if lot.weight > 0 && view.date(lot.due - 1) == day {
            lines.push(
                say!(
                    "{lot} is promised for today.",
                    "{lot} dijanjikan hari ini.",
                    lot = name()
                )
                .say(voice),
            );
        }
    }
    lines
}
