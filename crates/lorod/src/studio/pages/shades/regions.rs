//! Regions of the finished cloth with the colours they shall carry: swatch cards to type in.

use super::{on_screen, reaches, spelled};
use crate::studio::parts::{Control, Field, halves, sentence, work};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use ::cloth::aim::Seen;
use maud::{Markup, html};
use route::{Design, Shape};
use serde_json::json;
use std::sync::Arc;
use words::{Arg, Text, Voice, say, text};
use workspace::RegionTarget;

/// The cards, and a form for one more.
pub fn section(
    design: &Arc<Design>,
    targets: &[RegionTarget],
    now: Option<&[Seen]>,
    reader: &Reader,
) -> Markup {
    let voice = reader.voice;
    html! {
        h2 #regions-q { (t(text!("Which colours shall the cloth carry?", "Warna apa yang harus dimiliki kain?"), voice)) }
        @if now.is_none() && !targets.is_empty() {
            (work(
                &format!("/api/design/{}/regions", escape(&design.id)),
                t(text!("Looking at every region of the finished cloth", "Melihat tiap bagian kain jadi"), voice),
                None,
                &reader.here(&[("wait", "1")]),
                voice,
            ))
        }
        ol.regions {
            @for (at, target) in targets.iter().enumerate() {
                li.region { (card(design, at, target, now.and_then(|now| now.get(at)), voice)) }
            }
        }
        details.add open[targets.is_empty()] {
            summary { (t(text!("One region more", "Tambah satu bagian"), voice)) }
            (add(design, voice))
        }
    }
}

fn card(design: &Design, at: usize, target: &RegionTarget, now: Option<&Seen>, voice: Voice) -> Markup {
    let is = now.map(|seen| on_screen(seen.lab));
    let alt = say!(
        "{name}: wanted, and as the cloth is now",
        "{name}: yang diinginkan, dan kain sekarang",
        name = Arg::Name(target.name.clone())
    );
    html! {
        div.pair {
            (halves(on_screen(target.lab), is, &alt.say(voice)))
            p.small.halves-say aria-hidden="true" {
                span { (t(text!("wanted", "diinginkan"), voice)) }
                span { (t(text!("now", "sekarang"), voice)) }
            }
        }
        div {
            (sentence(&target.name, &fields(at, target, voice), voice))
            @if let Some(seen) = now { (verdict(seen, voice)) }
            p.small { (place(design, target, voice)) @if let Some(seen) = now {
                " " (say!("{n} % of the cloth.", "{n} % dari kain.", n = Arg::Number(seen.share * 100.0, 0)).say(voice))
            } }
            button.drop.plain-act type="button" data-act=(json!({ "do": "remove-target", "at": at })) {
                (t(text!("Ask no colour of it", "Jangan minta warnanya"), voice))
            }
        }
    }
}

/// Reached or not, in words and stitches.
pub fn verdict(seen: &Seen, voice: Voice) -> Markup {
    let off = seen.difference.unwrap_or(0.0);
    // Where one digit would make both alike, two tell them apart.
    let digits = if (off - seen.tolerance).abs() < 0.1 { 2 } else { 1 };
    let said = say!(
        "{off} from its colour (CIEDE2000; {tolerance} is near enough).",
        "{off} dari warnanya (CIEDE2000; {tolerance} sudah cukup dekat).",
        off = Arg::Number(off, digits),
        tolerance = Arg::Number(seen.tolerance, digits)
    );
    let (class, word): (_, &'static Text) = if reaches(seen) {
        ("good", text!("Reached.", "Tercapai."))
    } else {
        ("look", text!("Look.", "Periksa."))
    };
    html! { div class=(format!("find {class}")) { p { b.w { (t(word, voice)) } " " (said.say(voice)) } } }
}

fn fields(at: usize, target: &RegionTarget, voice: Voice) -> Vec<Field> {
    let number = |n: f64| {
        let digits = if n.fract() == 0.0 { 0 } else { 1 };
        format!("{n:.digits$}")
    };
    let field = |key: &str, label: &'static Text, text: String, help: &'static Text| Field {
        id: format!("t-{at}-{key}"),
        label: t(label, voice).to_string(),
        control: Control::Typed { text, also: None },
        help: html! { (t(help, voice)) },
        change: json!({ "do": "target", "at": at, "key": key }).to_string(),
    };
    vec![
        field(
            "colour",
            text!("shall be", "harus"),
            spelled(target),
            text!(
                "A screen colour like #c83c28, or L*, a*, b* of a measurement like 54, 40, 31 (D65, 10 degrees).",
                "Warna layar seperti #c83c28, atau L*, a*, b* hasil ukur seperti 54, 40, 31 (D65, 10 derajat)."
            ),
        ),
        field(
            "tolerance",
            text!("within", "dalam"),
            number(target.tolerance),
            text!(
                "CIEDE2000 within which it counts as reached. Allowed: 0.1 to 50. Usual: 3, what hand-dyed cloth is called the same within (common practice, no source).",
                "CIEDE2000 yang masih dianggap tercapai. Boleh: 0,1 sampai 50. Lazimnya: 3, kain celup tangan dalam jarak ini disebut sama (kebiasaan, tanpa sumber)."
            ),
        ),
        field(
            "weight",
            text!("and counts", "dan berbobot"),
            number(target.weight),
            text!(
                "How much its squared distance counts beside the others when recipes are sought. Allowed: 0 to 100. Usual: 1.",
                "Bobot kuadrat jaraknya dibanding bagian lain saat mencari resep. Boleh: 0 sampai 100. Lazimnya: 1."
            ),
        ),
    ]
}

/// Where it lies: under which wax, bare of which, where which dye leads.
fn place(design: &Design, target: &RegionTarget, voice: Voice) -> String {
    let name = |id: &String| {
        let at = design.steps.iter().position(|step| step.id == *id)?;
        Some(step_name(design, at, voice))
    };
    let names = |ids: &[String]| Arg::Name(ids.iter().filter_map(name).collect::<Vec<_>>().join(", "));
    let mut said = Vec::new();
    if !target.waxed.is_empty() {
        said.push(say!(
            "Under the wax of step {steps}.",
            "Di bawah malam langkah {steps}.",
            steps = names(&target.waxed)
        ));
    }
    if !target.bare.is_empty() {
        said.push(say!(
            "Left bare in step {steps}.",
            "Terbuka pada langkah {steps}.",
            steps = names(&target.bare)
        ));
    }
    if let Some((id, nth)) = &target.leads
        && let Some(at) = design.steps.iter().position(|step| step.id == *id)
        && let Some((dye, _)) = dyes_of(design, at).get(*nth)
    {
        said.push(say!(
            "Where {dye} leads after step {step}.",
            "Tempat {dye} menonjol setelah langkah {step}.",
            dye = Arg::Name(dye.clone()),
            step = Arg::Name(step_name(design, at, voice))
        ));
    }
    if said.is_empty() {
        said.push(say!("The whole cloth.", "Seluruh kain."));
    }
    said.iter()
        .map(|line| line.say(voice))
        .collect::<Vec<_>>()
        .join(" ")
}

/// `12 stamp`
pub fn step_name(design: &Design, at: usize, voice: Voice) -> String {
    let term = design.steps.get(at).map(|s| &s.operation.kind().term.text);
    format!(
        "{} {}",
        at + 1,
        term.map_or_else(String::new, |text| t(text, voice).to_lowercase())
    )
}

/// Names and ids of the dyes of a step, in the order that targets count them.
fn dyes_of(design: &Design, at: usize) -> Vec<(String, String)> {
    let Some(step) = design.steps.get(at) else {
        return Vec::new();
    };
    let lists = step.operation.kind().settings.iter();
    lists
        .filter(|setting| matches!(setting.shape, Shape::Dyes { .. }))
        .flat_map(|setting| step.operation.values().dyes(setting.key))
        .filter_map(|dose| design.dyes.get(dose.dye))
        .map(|card| (card.name.clone(), card.id.clone()))
        .collect()
}

/// A region by its wax and its leading dye.
fn add(design: &Design, voice: Voice) -> Markup {
    let stamped: Vec<usize> = (0..design.steps.len())
        .filter(|at| {
            let kind = design.steps[*at].operation.kind();
            kind.settings.iter().any(|s| matches!(s.shape, Shape::Stamp))
        })
        .collect();
    let dyed: Vec<usize> = (0..design.steps.len())
        .filter(|at| !dyes_of(design, *at).is_empty())
        .collect();
    html! {
        form.sentence-line data-new-target="" autocomplete="off" {
            label for="region-name" { (t(text!("Call it", "Sebut"), voice)) } " "
            input #region-name type="text" required maxlength="40" size="14" placeholder=(t(text!("motif, ground …", "motif, latar …"), voice)); ", "
            label for="region-colour" { (t(text!("make it", "buat"), voice)) } " "
            input #region-colour type="text" required value="#c8b090" size="8" spellcheck="false";
            @for at in &stamped {
                ", " label for=(format!("wax-{at}")) { (say!("in step {step}:", "pada langkah {step}:", step = Arg::Name(step_name(design, *at, voice))).say(voice)) } " "
                select id=(format!("wax-{at}")) data-wax=(design.steps[*at].id) {
                    option value="waxed" { (t(text!("covered: the motif", "tertutup: motif"), voice)) }
                    option value="bare" { (t(text!("left bare: the ground", "terbuka: latar"), voice)) }
                    option value="" { (t(text!("either", "keduanya"), voice)) }
                }
            }
            @if !dyed.is_empty() {
                ", " label for="region-leads" { (t(text!("where", "tempat"), voice)) } " "
                select #region-leads {
                    option value="" { (t(text!("any dye leads", "pewarna mana pun menonjol"), voice)) }
                    @for at in &dyed {
                        optgroup label=(step_name(design, *at, voice)) {
                            @for (nth, (name, _)) in dyes_of(design, *at).iter().enumerate() {
                                option value=(format!("{}.{}", design.steps[*at].id, nth + 1)) { (name) " " (t(text!("leads", "menonjol"), voice)) }
                            }
                        }
                    }
                }
            }
            ". "
            button.btn type="submit" { (t(text!("Ask for it", "Minta"), voice)) }
        }
    }
}
