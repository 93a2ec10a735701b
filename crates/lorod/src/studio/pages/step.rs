//! A step read aloud: what is done, with its quantities, what it takes, and what was assumed.

use crate::studio::design::{Along, lot_of};
use crate::studio::say::{amount, finding, line, origin, said, t};
use maud::{Markup, html};
use route::{Design, Dose, Setting, Shape, Step, Stuff, Value, Workshop};
use units::{Measure, Quantity};
use words::{Arg, Language, Line, Origin, Voice, say, text};
use workspace::Workspace;

/// The panel of one step.
pub fn panel(
    _: &Workspace,
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
    let findings = along.at(at);
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
        @if let Some(said) = &instructions {
            div.step { @for one in &said.lines { p { (line(one, voice)) } } }
            p.done { b { (t(text!("Done when", "Selesai bila"), voice)) } " " (line(&said.done_when, voice)) "." }
        }
        @for one in &findings { (finding(one, None, voice)) }
        (takes(shop, design, along, at, voice))
        @if !kind.cautions.is_empty() {
            section.care {
                h3 { (t(text!("Take care", "Hati-hati"), voice)) }
                ul { @for caution in kind.cautions { li { (t(&caution.text, voice)) } } }
                p.small { (t(text!(
                    "The usual care; local rules and licensed practice come first.",
                    "Kehati-hatian yang lazim; aturan setempat dan izin yang berlaku lebih utama."
                ), voice)) }
            }
        }
        details {
            summary { (t(text!("All settings of this step", "Semua pengaturan langkah ini"), voice)) }
            (settings(step, kind.settings, design, voice))
        }
        @if !kind.constants.is_empty() {
            details {
                summary { (t(text!("What this step rests on", "Dasar perhitungan langkah ini"), voice)) }
                table.plain {
                    @for constant in kind.constants {
                        @let known = shop.constants.known(constant);
                        tr {
                            th scope="row" { (t(&constant.text, voice)) small { (origin(&known.origin, voice)) } }
                            td.n { (amount(Quantity::new(known.value, constant.measure), voice)) }
                        }
                    }
                }
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

fn settings(step: &Step, table: &[Setting], design: &Design, voice: Voice) -> Markup {
    html! {
        table.plain {
            @for setting in table {
                tr {
                    th scope="row" {
                        (t(&setting.term.text, voice))
                        small { (t(&setting.term.gloss, voice)) @if let Some(range) = range(setting, voice) { " " (range) "." } }
                    }
                    td.n { @for said in value(step, setting, design, voice) { div { (said) } } }
                }
            }
        }
    }
}

/// The allowed range, in words.
fn range(setting: &Setting, voice: Voice) -> Option<String> {
    let Shape::Quantity { measure, least, most } = setting.shape else {
        return None;
    };
    let q = |si| Arg::Quantity(Quantity::new(si, measure));
    Some(said(
        &say!(
            "{least} to {most}",
            "{least} sampai {most}",
            least = q(least),
            most = q(most)
        ),
        voice,
    ))
}

/// The value as its author spelled it, in the reader's marks.
fn value(step: &Step, setting: &Setting, design: &Design, voice: Voice) -> Vec<String> {
    let spelled =
        |text: &str| Line::new(text!("{x}", "{x}"), vec![("x", Arg::Spelled(text.to_string()))]).say(voice);
    match step.operation.values().get(setting.key) {
        Some(Value::Quantity(typed)) => vec![spelled(&typed.spelled)],
        Some(Value::Choice(word)) => {
            let Shape::Choice(terms) = setting.shape else {
                return vec![(*word).to_string()];
            };
            vec![
                terms
                    .iter()
                    .find(|term| term.key == *word)
                    .map_or((*word).to_string(), |term| t(&term.text, voice).to_string()),
            ]
        }
        Some(Value::Dyes(doses)) => doses
            .iter()
            .map(|one| {
                let name = design.dyes.get(one.dye).map_or("", |card| card.name.as_str());
                format!("{name} {}", spelled(&one.depth.spelled))
            })
            .collect(),
        Some(Value::Stamp(at)) => design
            .stamps
            .get(*at)
            .map(|used| used.id.clone())
            .into_iter()
            .collect(),
        None => vec!["–".to_string()],
    }
}
