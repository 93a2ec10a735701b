//! The fields of a design, from the tables of its operations: what stands in each, what is allowed, what is usual.

use crate::studio::parts::{Control, Field};
use crate::studio::say::t;
use maud::{Markup, html};
use route::{Design, Setting, Shape, Step, Value};
use serde_json::json;
use units::{Measure, Quantity, System, parse_as};
use words::{Arg, Voice, say, text};
use workspace::edit::stands;
use workspace::{LAYOUTS, Workspace};

/// The settings of a step.
pub fn of_step(step: &Step, design: &Design, workspace: &Workspace, voice: Voice) -> Vec<Field> {
    let settings = step.operation.kind().settings;
    settings
        .iter()
        .map(|setting| Field {
            id: format!("f-{}", setting.key),
            label: within(t(&setting.term.text, voice)),
            control: control(
                setting,
                step.operation.values().get(setting.key),
                design,
                workspace,
                voice,
            ),
            help: help(setting, voice),
            change: json!({ "do": "set", "step": step.id, "key": setting.key }).to_string(),
        })
        .collect()
}

/// A name inside a sentence: small first letter, except for signs like pH.
fn within(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second.is_whitespace() => {
            first.to_lowercase().collect::<String>() + &name[first.len_utf8()..]
        }
        _ => name.to_string(),
    }
}

fn control(
    setting: &Setting,
    value: Option<&Value>,
    design: &Design,
    workspace: &Workspace,
    voice: Voice,
) -> Control {
    match (setting.shape, value) {
        (Shape::Choice(terms), value) => Control::Chosen {
            of: terms
                .iter()
                .map(|term| (term.key.to_string(), t(&term.text, voice).to_lowercase()))
                .collect(),
            now: match value {
                Some(Value::Choice(word)) => (*word).to_string(),
                _ => String::new(),
            },
        },
        (Shape::Stamp, value) => Control::Chosen {
            of: design
                .stamps
                .iter()
                .map(|used| (used.id.clone(), used.id.clone()))
                .collect(),
            now: match value {
                Some(Value::Stamp(at)) => design
                    .stamps
                    .get(*at)
                    .map_or_else(String::new, |used| used.id.clone()),
                _ => String::new(),
            },
        },
        (Shape::Dyes { most, .. }, value) => {
            let doses = match value {
                Some(Value::Dyes(doses)) => doses.as_slice(),
                _ => &[],
            };
            Control::Dyes {
                doses: doses
                    .iter()
                    .filter_map(|dose| {
                        let card = design.dyes.get(dose.dye)?;
                        Some((
                            card.id.clone(),
                            card.name.clone(),
                            spelled(&dose.depth.spelled, voice),
                        ))
                    })
                    .collect(),
                store: workspace
                    .dyes
                    .iter()
                    .map(|card| (card.id.clone(), card.name.clone()))
                    .collect(),
                more: doses.len() < most,
            }
        }
        (Shape::Quantity { measure, .. }, Some(Value::Quantity(typed))) => Control::Typed {
            also: also(&typed.spelled, measure, voice),
            text: spelled(&typed.spelled, voice),
        },
        (Shape::Quantity { .. }, _) => Control::Typed {
            text: String::new(),
            also: None,
        },
    }
}

/// As its author spelled it, with the decimal mark of the language.
fn spelled(text: &str, voice: Voice) -> String {
    words::Line::new(text!("{x}", "{x}"), vec![("x", Arg::Spelled(text.to_string()))]).say(voice)
}

/// The same in the reader's units, where the author used others.
fn also(spelled: &str, measure: Measure, voice: Voice) -> Option<String> {
    let typed = parse_as(spelled, measure).ok()?;
    let unit = |text: &str| text.rsplit(' ').next().unwrap_or("").to_string();
    let said = voice.quantity(typed.quantity);
    let other = Voice {
        system: other(voice.system),
        ..voice
    }
    .quantity(typed.quantity);
    // Both systems print it alike, or the reader's own unit stands there already.
    (said != other && unit(&said) != unit(spelled) && unit(&other) == unit(spelled)).then_some(said)
}

fn other(system: System) -> System {
    match system {
        System::Metric => System::Imperial,
        System::Imperial => System::Metric,
    }
}

/// What a setting means, what is allowed, what is usual and where that comes from.
fn help(setting: &Setting, voice: Voice) -> Markup {
    let allowed = match setting.shape {
        Shape::Quantity { measure, least, most } => {
            let q = |si| Arg::Quantity(Quantity::new(si, measure));
            Some(
                say!(
                    "{least} to {most}",
                    "{least} sampai {most}",
                    least = q(least),
                    most = q(most)
                )
                .say(voice),
            )
        }
        Shape::Dyes {
            least,
            most,
            depth,
            deepest,
        } => Some(
            say!(
                "{least} to {most} dyes, each up to {deepest}",
                "{least} sampai {most} pewarna, masing-masing sampai {deepest}",
                least = Arg::Number(least as f64, 0),
                most = Arg::Number(most as f64, 0),
                deepest = Arg::Quantity(Quantity::new(deepest, depth))
            )
            .say(voice),
        ),
        Shape::Choice(_) | Shape::Stamp => None,
    };
    let usual = setting
        .default
        .filter(|usual| !usual.is_empty())
        .map(|usual| match setting.shape {
            Shape::Choice(terms) => {
                let term = terms.iter().find(|term| term.key == usual);
                term.map_or(usual.to_string(), |term| t(&term.text, voice).to_lowercase())
            }
            _ => spelled(usual, voice),
        });
    html! {
        b { (t(&setting.term.text, voice)) ". " } (t(&setting.term.gloss, voice))
        @if let Some(allowed) = allowed { " " (t(text!("Allowed", "Boleh"), voice)) ": " (allowed) "." }
        @if let Some(usual) = usual { " " (t(text!("Usual", "Lazimnya"), voice)) ": " (usual) "." }
        " " span.source { (t(text!("Source", "Sumber"), voice)) ": " (setting.source) "." }
    }
}

/// A stamp of the design: how large it is, how its impressions lie, what of a scan is wax. `text` is the design's file.
pub fn of_stamp(stamp: &str, text: &str, voice: Voice) -> Vec<Field> {
    let now = |key: &str| stands(text, stamp, key).unwrap_or_default();
    let field =
        |key: &str, label: &'static words::Text, control: Control, help: &'static words::Text| Field {
            id: format!("s-{stamp}-{key}"),
            label: t(label, voice).to_string(),
            control,
            help: html! { (t(help, voice)) },
            change: json!({ "do": "stamp", "stamp": stamp, "key": key }).to_string(),
        };
    let typed = |key: &str, measure: Measure| Control::Typed {
        also: also(&now(key), measure, voice),
        text: spelled(&now(key), voice),
    };
    let layout = now("layout");
    let mut fields = vec![
        field(
            "width",
            text!("is wide", "lebarnya"),
            typed("width", Measure::Length),
            text!(
                "Width of the drawing on the cloth, as 200 mm.",
                "Lebar gambar di kain, misalnya 200 mm."
            ),
        ),
        field(
            "height",
            text!("high", "tingginya"),
            typed("height", Measure::Length),
            text!(
                "Height on the cloth; left empty it follows the drawing.",
                "Tinggi di kain; bila kosong mengikuti gambar."
            ),
        ),
        field(
            "layout",
            text!("laid", "susunannya"),
            Control::Chosen {
                of: LAYOUTS
                    .iter()
                    .map(|(term, _)| (term.key.to_string(), t(&term.text, voice).to_string()))
                    .collect(),
                now: if layout.is_empty() {
                    LAYOUTS[0].0.key.to_string()
                } else {
                    layout
                },
            },
            text!(
                "How neighbouring impressions stand to each other.",
                "Kedudukan cap yang bertetangga."
            ),
        ),
    ];
    // What is drawn needs no telling what of it is wax.
    if !now("file").to_lowercase().ends_with(".svg") {
        fields.push(field(
            "wax_below",
            text!("wax below", "malam di bawah"),
            Control::Typed {
                text: now("wax_below"),
                also: None,
            },
            text!(
                "Only for a scan: what is darker than this, in percent of white, is wax. Left empty it is found in the scan.",
                "Hanya untuk pindaian: yang lebih gelap dari ini, dalam persen putih, adalah malam. Bila kosong dicari dari pindaian."
            ),
        ));
    }
    fields
}

/// What the design is called, and its white cloth.
pub fn of_design(design: &Design, voice: Voice) -> Vec<Field> {
    let plain = |words: &'static words::Text| html! { (t(words, voice)) };
    let about = |key: &str, label: &'static words::Text, text: &str, help| Field {
        id: format!("a-{key}"),
        label: t(label, voice).to_string(),
        control: Control::Typed {
            text: text.to_string(),
            also: None,
        },
        help: plain(help),
        change: json!({ "do": "about", "key": key }).to_string(),
    };
    let cloth = |key: &str, label: &'static words::Text, si: f64, measure: Measure, help| Field {
        id: format!("c-{key}"),
        label: t(label, voice).to_string(),
        control: Control::Typed {
            text: voice.quantity(Quantity::new(si, measure)),
            also: None,
        },
        help: plain(help),
        change: json!({ "do": "cloth", "key": key }).to_string(),
    };
    vec![
        about(
            "name",
            text!("called", "bernama"),
            &design.name,
            text!("The name that buyers read.", "Nama yang dibaca pembeli."),
        ),
        about(
            "colourway",
            text!("in the colours", "dalam warna"),
            &design.colourway,
            text!(
                "What this choice of colours is called.",
                "Nama pilihan warna ini."
            ),
        ),
        cloth(
            "width",
            text!("wide", "lebar"),
            design.cloth.width.0,
            Measure::Length,
            text!(
                "The white cloth from selvedge to selvedge. Allowed: 0.2 to 3.2 m.",
                "Kain putih dari tepi ke tepi. Boleh: 0,2 sampai 3,2 m."
            ),
        ),
        cloth(
            "length",
            text!("long", "panjang"),
            design.cloth.length.0,
            Measure::Length,
            text!(
                "One bolt, finished. Allowed: 0.5 to 100 m.",
                "Satu gulung, jadi. Boleh: 0,5 sampai 100 m."
            ),
        ),
        cloth(
            "weight",
            text!("weighing", "berat"),
            design.cloth.weight,
            Measure::PerArea,
            text!(
                "Mass of the dry white cloth per area. Allowed: 30 to 600 g/m2.",
                "Massa kain putih kering per luas. Boleh: 30 sampai 600 g/m2."
            ),
        ),
        about(
            "note",
            text!("note", "catatan"),
            &design.note,
            text!(
                "One sentence about it, for the line and the papers.",
                "Satu kalimat tentangnya, untuk jemuran dan lembar cetak."
            ),
        ),
    ]
}
