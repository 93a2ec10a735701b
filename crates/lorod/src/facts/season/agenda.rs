//! What the designer's next visit is for: what must be decided, what to look at, what is waiting.

use super::Season;
use crate::facts::views::{Days, View, clock, day_name};
use sky::Date;
use std::collections::BTreeMap;
use words::{Arg, Voice, Weight, say, text};

/// The agenda of a visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Agenda {
    /// First and last day.
    pub visit: (Date, Date),
    /// What must be decided.
    pub decide: Vec<String>,
    /// What to look at.
    pub look: Vec<String>,
    /// What waits for it, or for something else.
    pub waiting: Vec<String>,
}

/// The agenda of the next visit; `None` if there is none.
pub fn next(view: &View, season: &Season, voice: Voice) -> Option<Agenda> {
    let visit = *season.visits.first()?;
    let days = Days {
        first: visit.0,
        last: visit.1,
    };
    Some(Agenda {
        visit,
        decide: decide(view, season, days, voice),
        look: look(view, season, days, voice),
        waiting: waiting(view, season, days, voice),
    })
}

fn lots(view: &View, lots: &[usize], voice: Voice) -> Arg {
    Arg::Name(
        lots.iter()
            .map(|lot| view.called(*lot, voice))
            .collect::<Vec<_>>()
            .join(", "),
    )
}

fn decide(view: &View, season: &Season, days: Days, voice: Voice) -> Vec<String> {
    let mut lines = Vec::new();
    // One sitting for each strike-off, at the earliest time that the plan has for any lot that waits for it.
    let mut sittings: BTreeMap<usize, (i64, Vec<usize>)> = BTreeMap::new();
    for (lot, window) in &view.planned.schedule.approvals {
        let after = view
            .problem()
            .lots
            .get(*lot)
            .and_then(|lot| lot.approval?.after_lot);
        if let Some(after) = after.filter(|_| days.has(view.date(window.start))) {
            let sitting = sittings
                .entry(after)
                .or_insert_with(|| (window.start, Vec::new()));
            sitting.0 = sitting.0.min(window.start);
            sitting.1.push(*lot);
        }
    }
    let mut sittings: Vec<(usize, (i64, Vec<usize>))> = sittings.into_iter().collect();
    sittings.sort_by_key(|(_, (minute, _))| *minute);
    for (strike_off, (minute, waiting)) in sittings {
        lines.push(
            say!(
                "{when}: approve {strike_off}; after it: {lots}",
                "{when}: acc {strike_off}; sesudahnya: {lots}",
                when = Arg::Name(format!(
                    "{} {}",
                    day_name(view.date(minute), voice),
                    clock(minute)
                )),
                strike_off = Arg::Name(view.called(strike_off, voice)),
                lots = lots(view, &waiting, voice)
            )
            .say(voice),
        );
    }
    for order in season
        .designs
        .iter()
        .flat_map(|design| &design.orders)
        .filter(|order| order.late)
    {
        lines.push(
            say!(
                "{lot} is planned for {ready} and promised for {ships}: another promise, or what the plan says would help",
                "{lot} direncanakan selesai {ready}, dijanjikan {ships}: ubah janji, atau lakukan yang disarankan rencana",
                lot = Arg::Name(view.lot(order.lot).to_string()),
                ready = Arg::Name(day_name(order.ready, voice)),
                ships = Arg::Name(day_name(order.ships, voice))
            )
            .say(voice),
        );
    }
    for file in &view.workspace.designs {
        let wrong = file
            .findings
            .iter()
            .filter(|finding| finding.weight == Weight::Wrong)
            .count();
        if wrong > 0 {
            lines.push(
                say!(
                    "{design} cannot be made yet: {n} findings of lorod check",
                    "{design} belum dapat dibuat: {n} temuan dari lorod check",
                    design = Arg::Name(file.id.clone().unwrap_or_default()),
                    n = Arg::Number(wrong as f64, 0)
                )
                .say(voice),
            );
        }
    }
    lines
}

fn look(view: &View, season: &Season, days: Days, voice: Voice) -> Vec<String> {
    let mut lines = Vec::new();
    let rounds = season.designs.iter().flat_map(|design| &design.rounds);
    let mut there: Vec<_> = rounds
        .filter(|(_, _, done, approved)| *done <= days.last && approved.is_none_or(|day| day >= days.first))
        .collect();
    there.sort_by_key(|(lot, _, done, _)| (*done, *lot));
    if !there.is_empty() {
        let how = text!(
            "strike-offs: beside the picture of the cloth, in daylight, from two metres",
            "contoh: di samping gambar kain, di bawah cahaya siang, dari dua meter"
        );
        lines.push(how.raw(voice.language).to_string());
    }
    for (lot, _, done, _) in there {
        lines.push(
            say!(
                "{lot}, finished {day}",
                "{lot}, selesai {day}",
                lot = Arg::Name(view.called(*lot, voice)),
                day = Arg::Name(day_name(*done, voice))
            )
            .say(voice),
        );
    }
    // What is in work: first and last step of each lot during the visit.
    let mut at_work: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    for piece in view.pieces_on(days) {
        for (lot, _) in &piece.bolts {
            let Some(operation) = view.operation_in(&piece, *lot) else {
                continue;
            };
            let entry = at_work.entry(*lot).or_insert((operation, operation));
            entry.0 = entry.0.min(operation);
            entry.1 = entry.1.max(operation);
        }
    }
    for (lot, (first, last)) in at_work {
        let name = |operation: usize| {
            view.step(lot, operation)
                .map_or_else(String::new, |(number, term)| {
                    format!("{number} {}", term.text.raw(voice.language))
                })
        };
        lines.push(
            say!(
                "{lot} at work: {first} to {last}",
                "{lot} sedang dikerjakan: {first} sampai {last}",
                lot = Arg::Name(view.called(lot, voice)),
                first = Arg::Name(name(first)),
                last = Arg::Name(name(last))
            )
            .say(voice),
        );
    }
    for order in season.designs.iter().flat_map(|design| &design.orders) {
        if order.ready <= days.last && order.ships >= days.first {
            lines.push(
                say!(
                    "{lot}, packed {ready}, ships {ships}: the finished bolts",
                    "{lot}, dikemas {ready}, dikirim {ships}: gulungan jadi",
                    lot = Arg::Name(view.lot(order.lot).to_string()),
                    ready = Arg::Name(day_name(order.ready, voice)),
                    ships = Arg::Name(day_name(order.ships, voice))
                )
                .say(voice),
            );
        }
    }
    lines
}

fn waiting(view: &View, season: &Season, days: Days, voice: Voice) -> Vec<String> {
    let mut lines = Vec::new();
    for design in &season.designs {
        let later: Vec<usize> = design
            .orders
            .iter()
            .filter(|o| o.starts > days.last)
            .map(|o| o.lot)
            .collect();
        // Strike-offs that are approved at a later visit.
        let next = design
            .rounds
            .iter()
            .filter_map(|(lot, .., approved)| Some((*lot, (*approved)?)));
        if let Some((lot, day)) = next
            .filter(|(_, day)| *day > days.last && !later.is_empty())
            .min_by_key(|(_, day)| *day)
        {
            lines.push(
                say!(
                    "{lots} wait for the approval of {strike_off} on {day}, at a later visit",
                    "{lots} menunggu acc {strike_off} pada {day}, kunjungan berikutnya",
                    lots = lots(view, &later, voice),
                    strike_off = Arg::Name(view.called(lot, voice)),
                    day = Arg::Name(day_name(day, voice))
                )
                .say(voice),
            );
        }
    }
    for order in view
        .workspace
        .orders
        .iter()
        .filter(|order| order.cloth.is_some_and(|day| day > days.first))
    {
        lines.push(
            say!(
                "{order} waits for its cloth, there on {day}",
                "{order} menunggu kainnya, tiba {day}",
                order = Arg::Name(order.id.clone()),
                day = Arg::Name(order.cloth.map_or_else(String::new, |day| day_name(day, voice)))
            )
            .say(voice),
        );
    }
    let mut by_day: BTreeMap<Date, Vec<String>> = BTreeMap::new();
    for purchase in &season.purchases {
        if let Some(day) = purchase.order_by.filter(|day| *day <= days.last) {
            let one = format!("{} {}", purchase.what.say(voice), voice.quantity(purchase.amount));
            by_day.entry(day).or_default().push(one);
        }
    }
    for (day, what) in by_day {
        lines.push(
            say!(
                "to be ordered by {day}, if not in the store: {what}",
                "dipesan paling lambat {day}, bila tidak ada di gudang: {what}",
                what = Arg::Name(what.join(", ")),
                day = Arg::Name(day_name(day, voice))
            )
            .say(voice),
        );
    }
    lines
}

impl Agenda {
    /// The agenda as a text.
    pub fn as_text(&self, voice: Voice) -> String {
        let raw = |text: &'static words::Text| text.raw(voice.language).to_string();
        let mut out = say!(
            "The next visit: {first} to {last}",
            "Kunjungan berikutnya: {first} sampai {last}",
            first = Arg::Name(day_name(self.visit.0, voice)),
            last = Arg::Name(day_name(self.visit.1, voice))
        )
        .say(voice);
        out.push('\n');
        for (name, lines) in [
            (text!("To decide", "Harus diputuskan"), &self.decide),
            (text!("To look at", "Untuk dilihat"), &self.look),
            (text!("Waiting", "Menunggu"), &self.waiting),
        ] {
            out.push_str(&format!("\n{}\n", raw(name)));
            if lines.is_empty() {
                out.push_str(&format!("  {}\n", raw(text!("nothing", "tidak ada"))));
            }
            for line in lines {
                out.push_str(&format!("  - {line}\n"));
            }
        }
        out
    }
}
