//! A step read aloud: what is done, with its quantities, what it takes, and what was assumed.

use super::fields::of_step;
use crate::studio::design::{Along, lot_of};
use crate::studio::parts::{finding, number, sentence};
use crate::studio::say::{amount, line, t};
use maud::{Markup, html};
use route::{Design, Dose, OPERATIONS, Stuff, Workshop};
use serde_json::json;
use units::{Measure, Quantity};
use words::{Arg, Language, Origin, Voice, say, text};
use workspace::Workspace;

/// The panel of one step: its settings to be changed, what was found, what it takes, how the floor hears it.
pub fn panel(
    workspace: &Workspace,
    shop: &Workshop,
    design: &Design,
    along: &Along,
    at: usize,
    voice: Voice,
) -> Markup {
    let Some(step) = design.steps.get(at) else {
        return html! {};
    };
    let kind = step.operation.kind();
    let (other, lang) = match voice.language {
        Language::En => (Language::Id, "id"),
        Language::Id => (Language::En, "en"),
    };
    let lot = lot_of(design, 0);
    let instructions = along
        .takes
        .get(at)
        .map(|takes| step.operation.instructs(takes, design, &lot, shop));
    html! {
        p.small {
            (say!(
                "Step {n} of {of}",
                "Langkah {n} dari {of}",
                n = Arg::Number(at as f64 + 1.0, 0),
                of = Arg::Number(design.steps.len() as f64, 0)
            ).say(voice))
            " · " span lang=(lang) { (kind.term.text.raw(other).to_lowercase()) }
        }
        h2 { (t(&kind.term.text, voice)) }
        p.gloss { (t(&kind.term.gloss, voice)) }
        @if !kind.settings.is_empty() {
            (sentence(t(&kind.term.text, voice), &of_step(step, design, workspace, voice), voice))
        }
        @for one in &along.at(at) { (finding(one, None, voice)) }
        @if let Some(said) = &instructions {
            h3 { (t(text!("How the floor hears it", "Begini di lantai kerja"), voice)) }
            div.step { @for one in &said.lines { p { (line(one, voice)) } } }
            p.done { b { (t(text!("Done when", "Selesai bila"), voice)) } " " (line(&said.done_when, voice)) "." }
        }
        (takes(shop, design, along, at, voice))
        @if !kind.cautions.is_empty() {
            section.care {
                h3 { (t(text!("Take care", "Awas"), voice)) }
                ul { @for caution in kind.cautions { li { (t(&caution.text, voice)) } } }
                p.small { (t(text!(
                    "The usual care; local rules and licensed practice come first.",
                    "Kehati-hatian yang lazim; aturan setempat dan izin yang berlaku lebih utama."
                ), voice)) }
            }
        }
        @if !kind.constants.is_empty() {
            details {
                summary { (t(text!("What this step rests on", "Dasar perhitungan langkah ini"), voice)) }
                table.plain {
                    @for constant in kind.constants {
                        @let known = shop.constants.known(constant);
                        tr {
                            th scope="row" { (t(&constant.text, voice)) }
                            td { (number(Quantity::new(known.value, constant.measure), &known.origin, voice)) }
                        }
                    }
                }
            }
        }
        (route_acts(design, at, voice))
    }
}

/// What can be done with a step as a whole.
fn route_acts(design: &Design, at: usize, voice: Voice) -> Markup {
    let Some(step) = design.steps.get(at) else {
        return html! {};
    };
    let act = |change: serde_json::Value, words: &'static words::Text| {
        html! { button.btn type="button" data-act=(change) { (t(words, voice)) } }
    };
    html! {
        section.acts aria-label=(t(text!("This step in the route", "Langkah ini di alur"), voice)) {
            div.row {
                @if at > 0 { (act(json!({ "do": "move", "step": step.id, "to": at - 1 }), text!("Do it earlier", "Lebih awal"))) }
                @if at + 1 < design.steps.len() { (act(json!({ "do": "move", "step": step.id, "to": at + 1 }), text!("Do it later", "Lebih akhir"))) }
                (act(json!({ "do": "duplicate", "step": step.id }), text!("Do it twice", "Dua kali")))
                @if design.steps.len() > 1 { (act(json!({ "do": "remove", "step": step.id }), text!("Leave it out", "Hilangkan"))) }
            }
            form.row data-add=(at + 1) {
                label for="add-kind" { (t(text!("After this step:", "Sesudah langkah ini:"), voice)) }
                select #add-kind {
                    @for kind in OPERATIONS { option value=(kind.key) { (t(&kind.term.text, voice).to_lowercase()) } }
                }
                button.btn type="submit" { (t(text!("Put it in", "Sisipkan"), voice)) }
            }
        }
    }
}

/// The name of what is dosed.
pub fn stuff(stuff: &Stuff, design: &Design, voice: Voice) -> String {
    match stuff {
        Stuff::Material(material) => t(&material.term.text, voice).to_string(),
        Stuff::Dye(at) => design
            .dyes
            .get(*at)
            .map_or_else(String::new, |card| card.name.clone()),
    }
}

/// A short mark behind a number that nobody here has measured.
pub fn mark(origin: Option<&Origin>, voice: Voice) -> Markup {
    html! {
        @if let Some(Origin::Assumed { factor, .. }) = origin {
            small.assumed { (say!("assumed, × or ÷ {f}", "perkiraan, × atau ÷ {f}", f = Arg::Number(*factor, 1)).say(voice)) }
        }
    }
}

fn dose(dose: &Dose, when: Option<&str>, design: &Design, voice: Voice) -> Markup {
    html! {
        tr {
            th scope="row" {
                (stuff(&dose.stuff, design, voice))
                @if let Some(when) = when { small { (when) } }
                (mark(dose.origin.as_ref(), voice))
            }
            td.n { (amount(dose.amount, voice)) }
        }
    }
}

/// What the step takes for one bolt: from the store, and of places, people and time.
fn takes(shop: &Workshop, design: &Design, along: &Along, at: usize, voice: Voice) -> Markup {
    let (Some(step), Some(takes), Some(means)) =
        (design.steps.get(at), along.takes.get(at), along.means.get(at))
    else {
        return html! {};
    };
    let tasks = step.operation.occupies(means, design, &lot_of(design, 0), shop);
    let span = |seconds: f64| amount(Quantity::new(seconds, Measure::Span), voice);
    html! {
        h3 { (t(text!("What this step takes, for 1 bolt", "Keperluan langkah ini, untuk 1 gulung"), voice)) }
        table.plain {
            @if let Some(bath) = &takes.bath {
                @let filled = say!(
                    "once, for {n} bolts",
                    "sekali, untuk {n} gulung",
                    n = Arg::Number(f64::from(bath.lasts_bolts), 0)
                ).say(voice);
                @for one in &bath.charge { (dose(one, Some(&filled), design, voice)) }
            }
            @let each = takes.bath.as_ref().map(|_| t(text!("for every bolt", "tiap gulung"), voice));
            @for one in &takes.per_bolt { (dose(one, each, design, voice)) }
            @for task in &tasks {
                tr {
                    th scope="row" {
                        (t(&task.term.text, voice))
                        small { (task.uses.iter().map(|u| if u.count > 1 { format!("{} {}", u.count, key(&u.what)) } else { key(&u.what) }).collect::<Vec<_>>().join(", ")) }
                    }
                    td.n { (span(task.work.likely.0)) small { (span(task.work.least.0)) " – " (span(task.work.most.0)) } }
                }
                @if task.then.least.0 > 0.0 {
                    tr { th scope="row" { (t(text!("Then rests at least", "Lalu didiamkan paling sedikit"), voice)) } td.n { (span(task.then.least.0)) } }
                }
                @if let Some(most) = task.then.most {
                    tr { th scope="row" { (t(text!("The next must follow within", "Berikutnya harus dalam"), voice)) } td.n { (span(most.0)) } }
                }
            }
        }
        @if let Some(bath) = &takes.bath { p.small { (t(&bath.care, voice)) } }
    }
}

/// A key of the workshop as a word.
fn key(key: &str) -> String {
    key.strip_prefix("stamp:").unwrap_or(key).replace('-', " ")
}
