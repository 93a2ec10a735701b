//! The season as tables: what is due when, and what must be ordered.

use super::Data;
use super::stamp::{OWN, file};
use super::table::{AMOUNT, Cell, Column, Table, amount};
use crate::facts::season::Season;
use crate::facts::season::agenda::Agenda;
use crate::facts::views::View;
use crate::studio::pages::day_name;
use crate::studio::say::{said, t};
use papers::Listing;
use sky::Date;
use words::{Arg, Voice, Weight, say, text};

/// What the season hands out.
pub static SEASON: Data = Data {
    more: &[
        file(
            "/season/season.json",
            text!("everything on this page", "semua di halaman ini"),
        ),
        file(
            "/season/season.pdf",
            text!("everything on this page", "semua di halaman ini"),
        ),
        file(
            "/season/calendar.csv",
            text!("what is due when", "yang harus selesai dan kapan"),
        ),
        file(
            "/season/purchases.csv",
            text!("what must be ordered", "yang harus dipesan"),
        ),
        file("/season/season.svg", text!("the drawing", "gambarnya")),
        file(
            "/season/agenda.txt",
            text!("the agenda of the visit", "agenda kunjungan"),
        ),
    ],
    ..OWN
};

fn day(date: Option<Date>) -> Cell {
    Cell::maybe(date.map(|date| date.to_string()))
}

/// A row for what each design waits for, each round of strike-offs, and each order.
pub fn calendar(view: &View, season: &Season, voice: Voice) -> Table {
    let mut table = Table::new(&[
        Column::words("design", text!("Design", "Desain")),
        Column::words("what", text!("What", "Apa")),
        Column::words("begins", text!("Begins", "Mulai")),
        Column::words("ready", text!("Ready", "Selesai")),
        Column::words("approved", text!("Approved", "Acc")),
        Column::words("ships", text!("Ships", "Kirim")),
        Column::words("late", text!("Late", "Terlambat")),
    ]);
    for design in &season.designs {
        let mut add = |what: String, days: [Option<Date>; 4], late: Option<bool>| {
            let late = late.map_or(Cell::Nothing, Cell::Flag);
            let days = days.map(day);
            table.row(
                [Cell::words(&design.name), Cell::words(what)]
                    .into_iter()
                    .chain(days)
                    .chain([late]),
            );
        };
        for (what, due) in [
            (text!("artwork", "gambar"), design.artwork),
            (text!("stamp ordered", "cap dipesan"), design.stamp),
        ] {
            if due.is_some() {
                add(t(what, voice).to_string(), [None, due, None, None], None);
            }
        }
        for (lot, from, to, approved) in &design.rounds {
            add(
                view.called(*lot, voice),
                [Some(*from), Some(*to), *approved, None],
                None,
            );
        }
        for order in &design.orders {
            let days = [Some(order.starts), Some(order.ready), None, Some(order.ships)];
            add(view.called(order.lot, voice), days, Some(order.late));
        }
    }
    table
}

/// What must be there, the first to be ordered first.
pub fn purchases(view: &View, season: &Season, voice: Voice) -> Table {
    let mut columns = vec![Column::words("what", text!("What", "Apa"))];
    columns.extend(AMOUNT);
    columns.extend([
        Column::words("order_by", text!("Order by", "Pesan sebelum")),
        Column::words("first_used", text!("First used", "Mulai dipakai")),
        Column::words("for", text!("For", "Untuk")),
    ]);
    let mut table = Table::new(&columns);
    for purchase in &season.purchases {
        let mut row = vec![Cell::words(said(&purchase.what, voice))];
        row.extend(amount(purchase.amount, voice));
        row.extend([
            day(purchase.order_by),
            day(Some(purchase.needed)),
            Cell::words(purchase.for_whom(view, voice)),
        ]);
        table.row(row);
    }
    table
}

/// The season on paper, the next visit first.
pub fn listing(view: &View, season: &Season, agenda: Option<&Agenda>, voice: Voice) -> Listing {
    let mut lines = Vec::new();
    if let Some(agenda) = agenda {
        let day = |date| Arg::Name(day_name(date, voice));
        lines.push(
            say!(
                "The next visit, {first} to {last}.",
                "Kunjungan berikutnya, {first} sampai {last}.",
                first = day(agenda.visit.0),
                last = day(agenda.visit.1)
            )
            .say(voice),
        );
        for (name, all) in [
            (text!("To decide", "Harus diputuskan"), &agenda.decide),
            (text!("To look at", "Untuk dilihat"), &agenda.look),
            (text!("Waiting", "Menunggu"), &agenda.waiting),
        ] {
            if !all.is_empty() {
                lines.push(format!("{}: {}", t(name, voice), all.join("; ")));
            }
        }
    }
    let heavy = season.findings.iter().filter(|one| one.weight != Weight::Note);
    lines.extend(heavy.map(|one| said(&one.found, voice)));
    let (due, buy) = (
        text!("What is due when?", "Apa yang harus selesai kapan?"),
        text!(
            "What must be ordered by when?",
            "Apa yang harus dipesan sampai kapan?"
        ),
    );
    Listing {
        title: t(
            text!("Season and next visit", "Musim dan kunjungan berikutnya"),
            voice,
        )
        .to_string(),
        about: view.workspace.collection.name.clone(),
        said: lines,
        lists: vec![
            calendar(view, season, voice).list(due, voice),
            purchases(view, season, voice).list(buy, voice),
        ],
    }
}
