//! The cloth of a step, large, beside another: the finished cloth, another step, or another version.

use crate::studio::Studio;
use crate::studio::design::Along;
use crate::studio::picture::{Cut, mark};
use crate::studio::reader::Reader;
use crate::studio::say::t;
use maud::{Markup, html};
use route::Design;
use serde_json::{Value, json};
use std::sync::Arc;
use units::System;
use words::{Arg, Text, Voice, say, text};
use workspace::Workspace;

/// Pixels of the picture for a page without a script, and its height for its width.
const WIDE: f64 = 960.0;
const TALL: f64 = 0.66;

/// How near one looks, as a script goes there.
pub(super) const SCALES: [(&str, &Text); 4] = [
    ("bolt", text!("bolt", "gulung")),
    ("yard", text!("yard", "yard")),
    ("repeat", text!("repeat", "ulangan")),
    ("thread", text!("thread", "benang")),
];

/// What the cloth is laid beside.
enum Against {
    /// A step of the same design.
    Step(usize),
    /// The same step, as the design was when its file had this hash.
    Was(String),
    /// Another design, finished.
    Other(Arc<Design>),
}

/// What the address chooses.
pub struct Chosen {
    at: usize,
    /// Which bolt, from 0.
    pub bolt: u32,
    against: Against,
}

impl Chosen {
    /// Reads the address.
    pub fn of(studio: &Studio, workspace: &Workspace, design: &Design, at: usize, reader: &Reader) -> Self {
        let bolt = reader
            .get("bolt")
            .and_then(|v| v.parse().ok())
            .filter(|b| *b < 10_000)
            .unwrap_or(0);
        let last = design.steps.len().saturating_sub(1);
        let against = reader
            .get("against")
            .and_then(|word| match word.split_once(':')? {
                ("step", id) => design.steps.iter().position(|s| s.id == id).map(Against::Step),
                ("was", hash) => {
                    let was = studio.version(&design.id, hash)?;
                    let step = design.steps.get(at)?;
                    // A step that was not there yet cannot be compared.
                    let there = was.steps.iter().any(|s| s.id == step.id);
                    there.then(|| Against::Was(hash.to_string()))
                }
                ("design", id) => workspace.design(id).cloned().map(Against::Other),
                _ => None,
            });
        Self {
            at,
            bolt,
            against: against.unwrap_or(Against::Step(last)),
        }
    }

    /// Is there nothing to compare with?
    fn alone(&self) -> bool {
        matches!(self.against, Against::Step(at) if at == self.at)
    }
}

fn step_name(design: &Design, at: usize, voice: Voice) -> String {
    let term = design.steps.get(at).map(|s| &s.operation.kind().term.text);
    term.map_or_else(String::new, |text| t(text, voice).to_lowercase())
}

/// What stands under each half, in words.
fn captions(design: &Design, along: &Along, chosen: &Chosen, voice: Voice) -> [String; 2] {
    let after = |at: usize| {
        let how: Vec<&str> = along
            .condition(at + 1)
            .into_iter()
            .map(|word| t(word, voice))
            .collect();
        say!(
            "after {n} {step}: {how}",
            "setelah {n} {step}: {how}",
            n = Arg::Number(at as f64 + 1.0, 0),
            step = Arg::Name(step_name(design, at, voice)),
            how = Arg::Name(how.join(", "))
        )
        .say(voice)
    };
    let finished = t(text!("finished", "jadi"), voice).to_string();
    let last = design.steps.len().saturating_sub(1);
    let of_step = |at: usize| if at == last { finished.clone() } else { after(at) };
    let right = match &chosen.against {
        Against::Step(at) => of_step(*at),
        Against::Was(_) => t(text!("as it was before", "seperti sebelumnya"), voice).to_string(),
        Against::Other(other) => format!("{} {}", other.name, other.colourway),
    };
    [of_step(chosen.at), right]
}

/// The table that the cloth is laid on. A script draws on it; without one it shows a picture.
pub fn table(studio: &Studio, design: &Design, along: &Along, chosen: &Chosen, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let [left, right] = captions(design, along, chosen, voice);
    let spec = |of: &Design, at: usize| -> Value {
        let step = of.steps.get(at).map_or("", |s| s.id.as_str());
        json!({ "design": of.id, "step": step, "v": mark(studio, of, step) })
    };
    let last = |of: &Design| of.steps.len().saturating_sub(1);
    let beside = match &chosen.against {
        Against::Step(at) => spec(design, *at),
        Against::Other(other) => spec(other, last(other)),
        Against::Was(hash) => {
            let mut spec = spec(design, chosen.at);
            if let (Some(was), Some(whole)) = (studio.version(&design.id, hash), spec.as_object_mut()) {
                let step = design.steps.get(chosen.at).map_or("", |s| s.id.as_str());
                whole.insert("was".into(), hash.clone().into());
                whole.insert("v".into(), mark(studio, &was, step).into());
            }
            spec
        }
    };
    let repeat = design
        .stamps
        .first()
        .map_or(200.0, |used| used.stamp.repeat_mm()[0]);
    let cloth = json!({
        "width": design.cloth.width.to_mm(),
        "length": design.cloth.length.to_mm(),
        "repeat": repeat,
        "bolt": chosen.bolt,
        "sample": cloth::WIDEST_SAMPLE,
        "left": spec(design, chosen.at),
        "right": beside,
    });
    let label = say!(
        "{name}, {after}. Arrow keys move over the cloth, plus and minus come nearer and farther, Enter reads the colour in the middle.",
        "{name}, {after}. Tombol panah menggeser kain, tambah dan kurang mendekat dan menjauh, Enter membaca warna di tengah.",
        name = Arg::Name(design.name.clone()),
        after = Arg::Name(left.clone())
    );
    let scale = reader
        .get("scale")
        .filter(|key| SCALES.iter().any(|(known, _)| known == key));
    html! {
        div class=(if chosen.alone() { "table alone" } else { "table" }) data-cloth=(cloth) data-words=(words(chosen.bolt, voice))
            data-scale=(scale.unwrap_or("yard")) data-label=(label.say(voice)) {
            noscript { (still(studio, design, chosen, &left)) }
            input.pull type="range" min="0" max="100" value="50" hidden
                aria-label=(t(text!("Pull the seam to compare", "Tarik sambungan untuk membandingkan"), voice));
            div.seam aria-hidden="true" { span { "↔" } }
            p.cap.left data-part="cap-left" { (left) }
            p.cap.right data-part="cap-right" { (right) }
        }
    }
}

fn still(studio: &Studio, design: &Design, chosen: &Chosen, alt: &str) -> Markup {
    let (width, length) = (design.cloth.width.to_mm(), design.cloth.length.to_mm());
    let w = 914.4_f64.min(width);
    let h = (w * TALL).min(length);
    let cut = Cut::wide((width - w) / 2.0, 900.0_f64.min(length - h), w, h, WIDE);
    let (wide, high) = cut.size();
    let step = design.steps.get(chosen.at).map_or("", |s| s.id.as_str());
    html! { img src=(cut.href(studio, design, step, chosen.bolt)) width=(wide) height=(high) alt=(format!("{}, {alt}", design.name)); }
}

/// What a script says about the place and the colour, with its places for numbers in braces written as `⟨…⟩`.
pub(super) fn words(bolt: u32, voice: Voice) -> String {
    let bolt = Arg::Number(f64::from(bolt) + 1.0, 0);
    let whole = say!(
        "Bolt {bolt}, all of it: four lengths side by side, read from the left. A click comes nearer.",
        "Gulung {bolt}, seluruhnya: empat potong berdampingan, dibaca dari kiri. Klik untuk mendekat.",
        bolt = bolt.clone()
    );
    let place = |name: &str| Arg::Name(format!("⟨{name}⟩"));
    let part = say!(
        "Bolt {bolt}: around {y} from its start and {x} from the selvedge; {w} wide.",
        "Gulung {bolt}: sekitar {y} dari awal dan {x} dari tepi kain; lebar {w}.",
        bolt = bolt,
        y = place("y"),
        x = place("x"),
        w = place("w")
    );
    let reading = say!(
        "L {l} a {a} b {b}, {hex}, {share} % of this picture is near it",
        "L {l} a {a} b {b}, {hex}, {share} % gambar ini mendekatinya",
        l = place("l"),
        a = place("a"),
        b = place("b"),
        hex = place("hex"),
        share = place("share")
    );
    let units = if voice.system == System::Imperial {
        "imperial"
    } else {
        "metric"
    };
    json!({ "whole": whole.say(voice), "part": part.say(voice), "reading": reading.say(voice), "units": units }).to_string()
}

/// What the picture shows, how near one looks, what it is compared with, and the colour under the pointer.
pub fn under(
    studio: &Studio,
    workspace: &Workspace,
    design: &Design,
    chosen: &Chosen,
    reader: &Reader,
) -> Markup {
    let voice = reader.voice;
    let say = |words: &'static Text| t(words, voice);
    let next = reader.here(&[("bolt", &(chosen.bolt + 1).to_string())]);
    let previous = chosen
        .bolt
        .checked_sub(1)
        .map(|b| reader.here(&[("bolt", &b.to_string())]));
    let step = design.steps.get(chosen.at).map_or("", |s| s.id.as_str());
    html! {
        div.under data-part="under" {
            p.reading #reading role="status" {
                span.chip aria-hidden="true" {}
                span.said { (say(text!("Point at the cloth, or tap it, to read its colour.", "Tunjuk atau ketuk kain untuk membaca warnanya."))) }
            }
            div.seg.near role="group" aria-label=(say(text!("How near", "Seberapa dekat"))) {
                button type="button" data-near="out" aria-label=(say(text!("Farther", "Menjauh"))) { "−" }
                @for (key, word) in SCALES { button type="button" data-near=(key) { (t(word, voice)) } }
                button type="button" data-near="in" aria-label=(say(text!("Nearer", "Mendekat"))) { "+" }
            }
        }
        div.under.places {
            p.small #where {}
            form.beside method="get" data-lay="" data-part="beside" {
                input type="hidden" name="step" value=(step);
                @if chosen.bolt > 0 { input type="hidden" name="bolt" value=(chosen.bolt); }
                label for="against" { (say(text!("Laid beside it:", "Di sampingnya:"))) } " "
                select #against name="against" { (choices(studio, workspace, design, chosen, voice)) }
                noscript { button.btn type="submit" { (say(text!("Compare", "Bandingkan"))) } }
            }
            div.ways data-part="ways" role="group" aria-label=(say(text!("Bolts", "Gulung"))) {
                @if let Some(href) = previous { a href=(href) data-lay="" { (say(text!("bolt before", "gulung sebelumnya"))) } }
                a href=(next) data-lay="" { (say(text!("next bolt", "gulung berikutnya"))) }
            }
        }
    }
}

/// What the cloth can be laid beside: finished, any step, before the last change, other colourways.
fn choices(studio: &Studio, workspace: &Workspace, design: &Design, chosen: &Chosen, voice: Voice) -> Markup {
    let last = design.steps.len().saturating_sub(1);
    let siblings = workspace.designs.iter().filter_map(|file| file.design.as_ref());
    let siblings: Vec<_> = siblings
        .filter(|d| d.name == design.name && d.id != design.id)
        .collect();
    let was = studio.before_last(&design.id);
    html! {
        option value="" { (t(text!("the finished cloth", "kain jadi"), voice)) }
        @if let Some(hash) = &was {
            option value=(format!("was:{hash}")) selected[matches!(&chosen.against, Against::Was(_))] {
                (t(text!("as it was before your last change", "seperti sebelum perubahan terakhir"), voice))
            }
        }
        @for other in siblings {
            option value=(format!("design:{}", other.id)) selected[matches!(&chosen.against, Against::Other(o) if o.id == other.id)] {
                (t(text!("colourway", "warna"), voice)) " " (other.colourway)
            }
        }
        optgroup label=(t(text!("after a step", "setelah langkah"), voice)) {
            @for (at, step) in design.steps.iter().enumerate().take(last) {
                option value=(format!("step:{}", step.id)) selected[matches!(chosen.against, Against::Step(n) if n == at)] {
                    (at + 1) " " (step_name(design, at, voice))
                }
            }
        }
    }
}
