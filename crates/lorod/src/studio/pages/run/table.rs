//! The plan in words: every piece of work of some days, as a table.

use super::orders::moment;
use crate::facts::views::{Days, View};
use crate::studio::parts::{self, Head};
use crate::studio::say::t;
use maud::{Markup, html};
use sky::Date;
use words::{Arg, Voice, say, text};

/// The table.
pub fn of(view: &View, days: Option<(Date, Date)>, voice: Voice) -> Markup {
    let pieces = days.map_or_else(Vec::new, |(first, last)| view.pieces_on(Days { first, last }));
    let rows = html! {
        @for piece in &pieces {
            @let others: Vec<String> = piece.holds.iter().filter(|(held, ..)| Some(*held) != piece.place).map(|(held, n, ..)| format!("{n} {}", view.place(*held, voice))).collect();
            tr {
                th scope="row" { (moment(view, piece.start, voice)) }
                td { (moment(view, piece.end, voice)) }
                td { @if piece.bolts.is_empty() { (view.called(piece.lot, voice)) } @else { (view.bolts(&piece.bolts)) } }
                td { @if let Some((number, _)) = piece.operation.and_then(|at| view.step(piece.lot, at)) { (number) " " } (view.what(piece, voice)) }
                td { @if let Some(place) = piece.place { (view.place(place, voice)) } }
                td { (others.join(", ")) }
            }
        }
    };
    let heads = [
        Head::Words(text!("From", "Dari")),
        Head::Words(text!("To", "Sampai")),
        Head::Words(text!("Lot and bolts", "Partai dan gulung")),
        Head::Words(text!("Step", "Langkah")),
        Head::Words(text!("Where", "Di mana")),
        Head::Words(text!("Who and what else", "Siapa dan apa lagi")),
    ];
    html! {
        details {
            summary { (say!("These days as a table, {n} lines", "Hari-hari ini sebagai tabel, {n} baris", n = Arg::Number(pieces.len() as f64, 0)).say(voice)) }
            div.scroll tabindex="0" role="region" aria-label=(t(text!("The plan as a table", "Rencana sebagai tabel"), voice)) { (parts::table("", &heads, &rows, voice)) }
        }
    }
}
