//! What is wrong with a drawing as a stamp: on the drawing, and beside it what was measured, what is allowed, what to do.

use super::drawing::{Mark, Sheet, class, path};
use super::{Held, count, length};
use crate::studio::parts::finding;
use crate::studio::say::t;
use maud::{Markup, html};
use stamp::{BuildRule, Fault, Report};
use words::{Arg, Voice, Weight, say, text};

/// Places of one rule that stand open.
const OPEN: usize = 5;

/// The drawing and the list.
pub fn piece(held: &Held, report: &Report) -> Markup {
    let voice = held.voice;
    let mut sheet = Sheet::new(
        &report.area,
        report.repeat_mm,
        report
            .faults
            .iter()
            .filter(|f| f.rule.weight() > Weight::Note)
            .count(),
    );
    let on_drawing = |fault: &&Fault| placed(fault.rule);
    let reach = |fault: &Fault| {
        let far = fault
            .trace
            .iter()
            .map(|p| (p[0] - fault.at[0]).hypot(p[1] - fault.at[1]));
        far.fold(0.0, f64::max)
    };
    sheet.keep_clear(
        report
            .faults
            .iter()
            .filter(on_drawing)
            .map(|fault| (fault.at, reach(fault))),
    );
    let marks: Vec<Markup> = report
        .faults
        .iter()
        .filter(on_drawing)
        .map(|fault| {
            let title = format!("{} {}", fault.number, t(fault.rule.text(), voice));
            let (number, class) = (fault.number, class(fault.rule.weight()));
            let to = format!("p{number}");
            sheet.mark(
                fault.at,
                reach(fault),
                &Mark {
                    number,
                    class,
                    to: &to,
                    title: &title,
                },
            )
        })
        .collect();
    let inside = html! {
        path.wax fill-rule="evenodd" d=(path(&report.area)) {}
        @for mark in &marks { (mark) }
    };
    html! {
        div.two.stamp-page {
            div.mori.paper {
                (sheet.draw(t(text!("The stamp as drawn, places numbered as in the list", "Cap seperti digambar, tempat bernomor seperti di daftar"), voice), &inside, voice))
                p.small { (copper_said(held)) }
            }
            section.mori.places aria-labelledby="places-title" {
                h2 #places-title { (verdict(report, voice)) }
                @if !report.buildable() { p.remedy { a.btn.go href="#proposal" { (t(text!("See what would make it buildable", "Lihat yang membuatnya dapat dibuat"), voice)) } } }
                ul.finds { @for group in groups(report) { li { (rule(report, group, voice)) } } }
                @if report.faults.is_empty() {
                    div.find.good { p { b.w { (t(text!("Good.", "Baik."), voice)) } " " (t(text!("Copper can follow every line.", "Tembaga dapat mengikuti semua garis."), voice)) } }
                }
            }
        }
    }
}

/// Is a rule about a place, and not about the stamp as a whole?
fn placed(rule: BuildRule) -> bool {
    rule <= BuildRule::WideFill
}

fn verdict(report: &Report, voice: Voice) -> String {
    let places = report.faults.iter().filter(|f| f.rule.drawn()).count();
    match places {
        0 => say!("It can be built as drawn", "Dapat dibuat seperti digambar"),
        1 => say!("Not yet: one place", "Belum: satu tempat"),
        n => say!("Not yet: {n} places", "Belum: {n} tempat", n = count(n)),
    }
    .say(voice)
}

/// Faults of one rule together; they come sorted.
fn groups(report: &Report) -> impl Iterator<Item = &[Fault]> {
    report.faults.chunk_by(|a, b| a.rule == b.rule)
}

fn rule(report: &Report, group: &[Fault], voice: Voice) -> Markup {
    let Some(worst) = group.first() else {
        return html! {};
    };
    let list = |faults: &[Fault]| html! { @for fault in faults { (place(fault, voice)) } };
    html! {
        (finding(&report.finding(worst), None, voice))
        @if placed(worst.rule) {
            ol.where { (list(&group[..group.len().min(OPEN)])) }
            @if group.len() > OPEN {
                details {
                    summary { (say!("{n} more places", "{n} tempat lagi", n = count(group.len() - OPEN)).say(voice)) }
                    ol.where { (list(&group[OPEN..])) }
                }
            }
        }
    }
}

/// One place: its number leads to the drawing.
fn place(fault: &Fault, voice: Voice) -> Markup {
    html! {
        li id=(format!("p{}", fault.number)) {
            a.num-flag href=(format!("#at-p{}", fault.number)) { (fault.number) } " "
            (say!(
                "{measured}, limit {limit}; {x} from the left, {y} from the top",
                "{measured}, batas {limit}; {x} dari kiri, {y} dari atas",
                measured = Arg::Name(length(fault.measured, voice)),
                limit = Arg::Name(length(fault.limit, voice)),
                x = Arg::Name(length(fault.at[0], voice)),
                y = Arg::Name(length(fault.at[1], voice))
            ).say(voice))
        }
    }
}

fn copper_said(held: &Held) -> String {
    let copper = held.limits.copper();
    let assumed = matches!(copper.strip.origin, words::Origin::Assumed { .. });
    let line = if assumed {
        say!(
            "Strip {thick} by {high}, a stamp maker's usual limits (assumed; your maker's own go into workshop.toml).",
            "Bilah {thick} kali {high}, batas yang lazim (perkiraan; batas pembuat cap Anda ditulis di workshop.toml).",
            thick = Arg::Name(length(copper.strip.value * 1e3, held.voice)),
            high = Arg::Name(length(copper.height.value * 1e3, held.voice))
        )
    } else {
        say!(
            "Strip {thick} by {high}, your stamp maker's limits.",
            "Bilah {thick} kali {high}, batas pembuat cap Anda.",
            thick = Arg::Name(length(copper.strip.value * 1e3, held.voice)),
            high = Arg::Name(length(copper.height.value * 1e3, held.voice))
        )
    };
    line.say(held.voice)
}
