//! What the plan and the calendar want of the designer: the next visit, and orders that will be late.

use crate::studio::Studio;
use crate::studio::parts::finding;
use crate::studio::reader::Reader;
use crate::studio::say::t;
use maud::{Markup, html};
use sky::Date;
use words::{Arg, Finding, Place, Voice, Weight, say, text};
use workspace::Workspace;

/// Calendar of the designer's visits, as the workshop's file calls it.
const DESIGNER: &str = "designer";
/// How far ahead a visit is looked for, days.
const AHEAD: i32 = 400;
/// A visit ends where more days than a weekend pass without one.
const APART: i32 = 4;

/// The designer's next days at the workshop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// Days until the first, from the first day of the plan.
    pub away: i32,
}

/// The next visit from the first day of the plan on, if the workshop's file says when the designer comes.
pub fn next_visit(studio: &Studio, workspace: &Workspace) -> Option<Visit> {
    let today = studio.facts().first_day()?;
    let calendar = workspace.calendar(DESIGNER)?;
    let climate = &workspace.workshop.as_ref()?.climate;
    let open = |days: i32| !calendar.shifts_on(today.plus(days), climate).is_empty();
    let away = (0..AHEAD).find(|day| open(*day))?;
    let mut last = away;
    while let Some(next) = (last + 1..last + APART).find(|day| open(*day)) {
        last = next;
    }
    Some(Visit {
        from: today.plus(away),
        to: today.plus(last),
        away,
    })
}

/// The visit as a sentence.
pub fn visit_said(visit: &Visit, voice: Voice) -> String {
    let day = |date| Arg::Name(super::day_name(date, voice));
    match visit.away {
        0 => say!(
            "You are at the workshop until {to}.",
            "Anda di bengkel sampai {to}.",
            to = day(visit.to)
        ),
        away => say!(
            "The next visit is from {from} to {to}, in {n} days.",
            "Kunjungan berikutnya {from} sampai {to}, {n} hari lagi.",
            from = day(visit.from),
            to = day(visit.to),
            n = Arg::Number(f64::from(away), 0)
        ),
    }
    .say(voice)
}

/// Orders that the plan finishes after their promise, as findings; what keeps the plan from being made, if nothing can.
/// Makes the plan if it was not made: seconds.
pub fn late(studio: &Studio, workspace: &Workspace) -> Vec<Finding> {
    let planned = match studio.facts().plan(workspace, &|_| true) {
        Ok(planned) => planned,
        Err(found) => return found,
    };
    let lots = planned.mapped.problem.lots.iter().enumerate();
    let late = lots.filter_map(|(at, lot)| {
        let late = planned.late(at)?;
        (late > 0).then(|| {
            Finding::new(
                "order-late",
                Weight::Wrong,
                Place::Request,
                say!(
                    "{lot} is planned to be packed {days} days after its promise",
                    "{lot} direncanakan dikemas {days} hari setelah janjinya",
                    lot = Arg::Name(lot.name.clone()),
                    days = Arg::Number(late as f64 / 1440.0, 1)
                ),
            )
            .remedy(say!(
                "look at the run sheet, or tell the buyer another day",
                "lihat lembar kerja, atau beri tahu pembeli hari lain"
            ))
        })
    });
    late.collect()
}

/// The late orders as a piece of a page.
pub fn piece(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Markup {
    let voice = reader.voice;
    if workspace.orders.is_empty() {
        return html! { div.late { p.none {
            (t(text!("Nobody has ordered anything yet.", "Belum ada yang memesan."), voice)) " "
            a href="/run" { (t(text!("Promise some cloth", "Janjikan kain"), voice)) }
        } } };
    }
    let late = late(studio, workspace);
    html! {
        div.late {
            @for one in &late { (finding(one, None, voice)) }
            @if late.is_empty() {
                div.find.good { p {
                    b.w { (t(text!("Good.", "Baik."), voice)) } " "
                    (t(text!("Every order leaves on time by the plan.", "Menurut rencana semua pesanan selesai tepat waktu."), voice)) " "
                    a href="/run" { (t(text!("See the run sheet", "Lihat lembar kerja"), voice)) }
                } }
            }
        }
    }
}
