//! A version of the drawing that copper can follow: before and after, every change kept or refused, and taken.

use super::drawing::{Mark, Sheet, path};
use super::{Held, count, length};
use crate::studio::Studio;
use crate::studio::parts::finding;
use crate::studio::picture::Cut;
use crate::studio::say::t;
use maud::{Markup, html};
use stamp::{Change, Cure, Proposal};
use words::{Arg, Text, Voice, say, text};

/// The views of the drawing: key, name.
const VIEWS: [(&str, &Text); 4] = [
    ("difference", text!("difference", "beda")),
    ("drawn", text!("as drawn", "seperti digambar")),
    ("proposed", text!("as proposed", "seperti diusulkan")),
    ("cloth", text!("finished cloth", "kain jadi")),
];

/// The piece.
pub fn piece(studio: &Studio, held: &Held, proposal: &Proposal) -> Markup {
    let voice = held.voice;
    if proposal.changes.is_empty() {
        return html! { div.mori {
            h2 { (t(text!("What must change before copper can be bent to it?", "Apa yang harus diubah agar dapat dibuat dari tembaga?"), voice)) }
            p.say { (nothing(proposal, voice)) }
        } };
    }
    html! {
        div.two.stamp-page.proposed data-build=(held.used.id) {
            div.mori.paper {
                div.seg.views role="radiogroup" aria-label=(t(text!("What is drawn", "Yang digambar"), voice)) {
                    @for (at, (key, name)) in VIEWS.iter().enumerate() {
                        @if *key != "cloth" || cloth(studio, held).is_some() {
                            input type="radio" name="view" value=(key) id=(format!("view-{key}")) checked[at == 0];
                            label for=(format!("view-{key}")) { (t(name, voice)) }
                        }
                    }
                }
                (overlay(proposal, voice))
                @if let Some((href, w, h)) = cloth(studio, held) {
                    img.printed src=(href) width=(w) height=(h) loading="lazy" alt=(t(text!("The finished cloth with the stamp as drawn now", "Kain jadi dengan cap seperti digambar sekarang"), voice));
                }
                p.small.legend {
                    span.key.added {} (t(text!("wax added", "malam ditambah"), voice)) " "
                    span.key.removed {} (t(text!("wax taken away", "malam dikurangi"), voice)) " "
                    span.key.kept {} (t(text!("stays", "tetap"), voice))
                }
            }
            section.mori.places aria-labelledby="build-title" {
                h2 #build-title { (t(text!("What must change before copper can be bent to it?", "Apa yang harus diubah agar dapat dibuat dari tembaga?"), voice)) }
                p.say role="status" { (outcome(proposal, voice)) }
                p.row {
                    button.btn.go type="button" data-accept="" { (t(text!("Take this drawing", "Pakai gambar ini"), voice)) }
                    span.small { (t(text!(
                        "Writes it beside the old one, which stays in the folder. Undo takes it back.",
                        "Ditulis di samping gambar lama, yang tetap di folder. Urungkan mengembalikannya."
                    ), voice)) }
                }
                (kinds(proposal, voice))
                @if !proposal.after.buildable() {
                    h3 { (t(text!("What is left", "Yang tersisa"), voice)) }
                    ul.finds { @for one in left(proposal) { li { (finding(&one, None, voice)) } } }
                }
            }
        }
    }
}

fn nothing(proposal: &Proposal, voice: Voice) -> String {
    if proposal.after.buildable() {
        say!(
            "Nothing: every line can be bent as it is.",
            "Tidak ada: semua garis dapat dibuat apa adanya."
        )
    } else {
        say!(
            "No small change was found that helps: see the places above, or make the stamp larger.",
            "Tidak ditemukan perubahan kecil yang menolong: lihat tempat di atas, atau perbesar cap."
        )
    }
    .say(voice)
}

fn outcome(proposal: &Proposal, voice: Voice) -> String {
    proposal.sum().map(|line| line.say(voice)).join(" ")
}

/// The worst of each rule that is left.
fn left(proposal: &Proposal) -> Vec<words::Finding> {
    let drawn = proposal.after.faults.iter().filter(|f| f.rule.drawn());
    let mut seen = Vec::new();
    let mut worst = Vec::new();
    for fault in drawn {
        if !seen.contains(&fault.rule) {
            seen.push(fault.rule);
            worst.push(proposal.after.finding(fault));
        }
    }
    worst
}

fn overlay(proposal: &Proposal, voice: Voice) -> Markup {
    let mut sheet = Sheet::new(
        &proposal.before.area,
        proposal.before.repeat_mm,
        proposal.changes.len(),
    );
    let reach = |change: &Change| {
        let areas = [&change.added, &change.removed];
        let sides = areas.iter().filter_map(|area| area.bounds());
        sides.map(|b| b.width().max(b.height()) / 2.0).fold(0.0, f64::max)
    };
    sheet.keep_clear(proposal.changes.iter().map(|change| (change.at, reach(change))));
    let marks: Vec<Markup> = proposal
        .changes
        .iter()
        .map(|change| {
            let title = format!("{} {}", change.id, t(change.cure.text(), voice));
            let (number, class) = (change.id, if change.kept { "good" } else { "note" });
            let to = format!("c{number}");
            sheet.mark(
                change.at,
                reach(change),
                &Mark {
                    number,
                    class,
                    to: &to,
                    title: &title,
                },
            )
        })
        .collect();
    let refused = |change: &Change| if change.kept { "change" } else { "change refused" };
    let inside = html! {
        path.wax.before fill-rule="evenodd" d=(path(&proposal.before.area)) {}
        path.wax.then fill-rule="evenodd" d=(path(proposal.area())) {}
        g.changes { @for change in &proposal.changes {
            g class=(refused(change)) {
                path.added fill-rule="evenodd" d=(path(&change.added)) {}
                path.removed fill-rule="evenodd" d=(path(&change.removed)) {}
            }
        } }
        @for mark in &marks { (mark) }
    };
    sheet.draw(
        t(
            text!(
                "The drawing before and after, changes numbered as in the list",
                "Gambar sebelum dan sesudah, perubahan bernomor seperti di daftar"
            ),
            voice,
        ),
        &inside,
        voice,
    )
}

/// Changes by kind; each can be left out.
fn kinds(proposal: &Proposal, voice: Voice) -> Markup {
    let mut cures: Vec<Cure> = proposal.changes.iter().map(|c| c.cure).collect();
    cures.sort();
    cures.dedup();
    html! {
        @for cure in cures {
            @let all: Vec<&Change> = proposal.changes.iter().filter(|c| c.cure == cure).collect();
            @let kept = all.iter().filter(|c| c.kept).count();
            fieldset.kind data-kind="" {
                legend {
                    input type="checkbox" id=(format!("all-{}", cure.key())) data-keep-kind="" checked[kept == all.len()];
                    label for=(format!("all-{}", cure.key())) { (t(cure.text(), voice)) " · " (all.len()) }
                }
                @if all.len() > OPEN {
                    details open[kept < all.len()] {
                        summary { (say!("each of the {n}", "tiap {n} tempat", n = count(all.len())).say(voice)) }
                        (each(&all, voice))
                    }
                } @else { (each(&all, voice)) }
            }
        }
    }
}

/// Changes of one kind that stand open.
const OPEN: usize = 6;

fn each(all: &[&Change], voice: Voice) -> Markup {
    html! {
        @for change in all {
            p id=(format!("c{}", change.id)) {
                input type="checkbox" id=(format!("keep-{}", change.id)) data-keep-change=(change.id) checked[change.kept];
                a.num-flag href=(format!("#at-c{}", change.id)) { (change.id) } " "
                label for=(format!("keep-{}", change.id)) { (said(change, voice)) }
            }
        }
    }
}

fn said(change: &Change, voice: Voice) -> String {
    let [was, limit] = change.measured.map(|mm| Arg::Name(length(mm, voice)));
    say!(
        "{rule}: {was}, limit {limit}",
        "{rule}: {was}, batas {limit}",
        rule = Arg::Text(change.rule.text()),
        was = was,
        limit = limit
    )
    .say(voice)
}

/// One and a half repeats of the finished cloth.
fn cloth(studio: &Studio, held: &Held) -> Option<(String, u32, u32)> {
    let step = held.design.steps.last()?;
    let [width, height] = held.used.stamp.repeat_mm();
    let (w, h) = ((1.5 * width).min(held.cloth_mm()), 1.5 * height);
    let cut = Cut::wide(
        0.0,
        600.0_f64.min((held.design.cloth.length.to_mm() - h).max(0.0)),
        w,
        h,
        800.0,
    );
    let (wide, high) = cut.size();
    Some((cut.href(studio, &held.design, &step.id, 0), wide, high))
}
