//! Recipes through the whole route that bring the cloth to its colours: side by side, the nearest first.

use super::regions::step_name;
use super::{on_screen, reaches};
use crate::facts::shades::route::gamut_targets;
use crate::studio::Studio;
use crate::studio::pages::price::money;
use crate::studio::parts::{finding, halves, plate, work};
use crate::studio::picture::across;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use crate::studio::shades::{Dyes, Recipes, mean};
use ::cloth::aim::{Change, Seen, Set};
use ::colour::gamut::Gamut;
use ::colour::plot::{gamut_svg, gamut_svg_narrow};
use maud::{Markup, html};
use route::{Design, LotShape, Value, Workshop, cost};
use serde_json::json;
use std::sync::Arc;
use words::{Arg, Finding, Voice, say, text};
use workspace::Workspace;

/// Pixels across of a recipe's cloth.
const WIDE: f64 = 480.0;

/// What was found, and buttons that seek.
#[allow(
    clippy::too_many_arguments,
    reason = "what a page knows, in the order it says it"
)]
pub fn section(
    studio: &Studio,
    workspace: &Workspace,
    design: &Arc<Design>,
    shop: &Workshop,
    now: Option<&[Seen]>,
    found: &[Arc<Recipes>],
    asked: bool,
    refused: &[Vec<Finding>],
    reader: &Reader,
) -> Markup {
    let voice = reader.voice;
    let seek = |dyes: Dyes, words: &'static words::Text| {
        let from = format!("/api/design/{}/recipes?dyes={}", escape(&design.id), dyes.key());
        let doing = t(
            text!(
                "Trying recipes on the whole route",
                "Mencoba resep di seluruh alur"
            ),
            voice,
        );
        work(
            &from,
            doing,
            Some(t(words, voice)),
            &reader.here(&[("seek", dyes.key())]),
            voice,
        )
    };
    let known = |dyes: Dyes| found.iter().any(|one| one.dyes == dyes);
    html! {
        h2 #recipes-q { (t(text!("What brings the cloth to these colours?", "Apa yang membawa kain ke warna ini?"), voice)) }
        @if !asked {
            p.none { (t(text!("Ask a colour of one region first.", "Minta dulu warna untuk satu bagian."), voice)) }
        } @else {
            p.say { (answer(found, now, voice)) }
            @for finding_ in refused.iter().flatten() { (finding(finding_, None, voice)) }
            div.row.seek {
                @if !known(Dyes::Any) { (seek(Dyes::Any, text!("Seek with any dye of the store", "Cari dengan semua pewarna gudang"))) }
                @if !known(Dyes::Same) { (seek(Dyes::Same, text!("Seek with the dyes it has", "Cari dengan pewarna yang ada"))) }
            }
            ol.recipes {
                @for one in found { li.mori { (recipe(studio, workspace, design, shop, one, voice)) } }
            }
        }
    }
}

fn answer(found: &[Arc<Recipes>], now: Option<&[Seen]>, voice: Voice) -> String {
    let Some(best) = found.first() else {
        return say!(
            "Dyes, depths and the time of the bleach are sought together, and the cloth is developed with each try.",
            "Pewarna, kadar, dan lama cabut dicari bersama, dan kain dihitung ulang pada tiap percobaan."
        )
        .say(voice);
    };
    let regions = &best.solved.regions;
    let reached = regions.iter().filter(|r| reaches(r)).count();
    let n = |n: usize| Arg::Number(n as f64, 0);
    let was = now.map_or(f64::NAN, mean);
    let line = if was.is_finite() {
        say!(
            "The nearest reaches {reached} of {all} regions; on average {off} from their colours, now {was} (CIEDE2000).",
            "Yang terdekat mencapai {reached} dari {all} bagian; rata-rata {off} dari warnanya, sekarang {was} (CIEDE2000).",
            reached = n(reached),
            all = n(regions.len()),
            off = Arg::Number(best.mean(), 1),
            was = Arg::Number(was, 1)
        )
    } else {
        say!(
            "The nearest reaches {reached} of {all} regions; on average {off} from their colours (CIEDE2000).",
            "Yang terdekat mencapai {reached} dari {all} bagian; rata-rata {off} dari warnanya (CIEDE2000).",
            reached = n(reached),
            all = n(regions.len()),
            off = Arg::Number(best.mean(), 1)
        )
    };
    line.say(voice)
}

fn recipe(
    studio: &Studio,
    workspace: &Workspace,
    design: &Arc<Design>,
    shop: &Workshop,
    recipes: &Recipes,
    voice: Voice,
) -> Markup {
    let solved = &recipes.solved;
    let title = match recipes.dyes {
        Dyes::Any => text!("With any dye of the store", "Dengan semua pewarna gudang"),
        Dyes::Same => text!("With the dyes it has", "Dengan pewarna yang ada"),
    };
    let act = as_change(&solved.changes);
    html! {
        h3 { (t(title, voice)) }
        p.small { (say!(
            "{off} from the colours on average (CIEDE2000)",
            "rata-rata {off} dari warnanya (CIEDE2000)",
            off = Arg::Number(recipes.mean(), 1)
        ).say(voice)) (price(design, recipes, shop, voice)) }
        div.recipe {
            @if let Some((name, with)) = &recipes.design {
                @let cut = across(with, WIDE);
                @let (wide, high) = cut.size();
                @let step = with.steps.last().map_or("", |s| s.id.as_str());
                div.hanging { span.peg {} img.hang.pinked src=(format!("{}&was={name}", cut.href(studio, with, step, 0))) width=(wide) height=(high) loading="lazy"
                    alt=(say!("{design} with these recipes", "{design} dengan resep ini", design = Arg::Name(design.name.clone())).say(voice)); }
            }
            ul.gives {
                @for region in &solved.regions {
                    li {
                        @let target = region.target.unwrap_or(region.lab);
                        (halves(on_screen(target), Some(on_screen(region.lab)), &region.name))
                        span { b { (region.name) } " " (voice.number(region.difference.unwrap_or(0.0), 1)) }
                        @if !reaches(region) { span.small.assumed { (t(text!("misses", "meleset"), voice)) } }
                    }
                }
            }
        }
        @if solved.changes.is_empty() {
            p { (t(text!("The recipes it has are the best already.", "Resep yang ada sudah yang terbaik."), voice)) }
        } @else {
            div.scroll tabindex="0" role="region" aria-label=(t(text!("What changes", "Yang berubah"), voice)) {
                table {
                    thead { tr {
                        th scope="col" { (t(text!("Step", "Langkah"), voice)) }
                        th scope="col" { (t(text!("now", "sekarang"), voice)) }
                        th scope="col" { (t(text!("becomes", "menjadi"), voice)) }
                    } }
                    tbody { @for change in &solved.changes { (changed(workspace, design, change, voice)) } }
                }
            }
            div.row.take-it {
                button.btn.go type="button" data-act=(act) { (t(text!("Use these recipes", "Pakai resep ini"), voice)) }
                button.btn type="button" data-opens="keep" data-with=(act) { (t(text!("Keep as a colourway", "Simpan sebagai warna baru"), voice)) }
            }
        }
        @for one in &solved.findings { (finding(one, None, voice)) }
    }
}

/// What a finished yard costs with the recipes, and now.
fn price(design: &Arc<Design>, recipes: &Recipes, shop: &Workshop, voice: Voice) -> Markup {
    let yard = |design: &Design| {
        let lot = LotShape::new(&design.id, 1, 0, design.cloth);
        cost(design, &lot, shop).quote.map(|(shares, _)| shares.yard)
    };
    let with = recipes.design.as_ref().and_then(|(_, with)| yard(with));
    html! {
        @if let (Some(with), Some(now)) = (with, yard(design)) {
            " · " (say!(
                "a finished yard costs {with}, now {now}",
                "satu yard jadi berharga {with}, sekarang {now}",
                with = Arg::Name(money(&with, voice)),
                now = Arg::Name(money(&now, voice))
            ).say(voice))
        }
    }
}

fn changed(workspace: &Workspace, design: &Design, change: &Change, voice: Voice) -> Markup {
    let at = design.steps.iter().position(|step| step.id == change.step);
    let held = at.and_then(|at| design.steps[at].operation.values().get(change.key));
    let name = |id: &str| {
        let card = workspace.dyes.iter().find(|card| card.id == id);
        card.map_or_else(|| id.to_string(), |card| card.name.clone())
    };
    let dose = |dye: &str, depth: &str| html! { div { (name(dye)) " " b { (depth) } } };
    html! {
        tr {
            th scope="row" { (at.map_or_else(String::new, |at| step_name(design, at, voice))) }
            td { @match held {
                Some(Value::Quantity(typed)) => b { (typed.spelled) },
                Some(Value::Dyes(doses)) => @for one in doses {
                    @if let Some(card) = design.dyes.get(one.dye) { (dose(&card.id, &one.depth.spelled)) }
                },
                _ => "–",
            } }
            td { @match &change.to {
                Set::Time(time) => b { (time.spelled) },
                Set::Dyes(dyes) => @for (id, depth) in dyes { (dose(id, &depth.spelled)) },
            } }
        }
    }
}

/// The recipes as the change that a page sends.
fn as_change(changes: &[Change]) -> serde_json::Value {
    let one = |change: &Change| {
        let given = match &change.to {
            Set::Time(time) => json!(time.spelled),
            Set::Dyes(dyes) => dyes
                .iter()
                .map(|(id, depth)| json!({ "dye": id, "depth": depth.spelled }))
                .collect(),
        };
        json!({ "do": "set", "step": change.step, "key": change.key, "given": given })
    };
    json!({ "do": "all", "changes": changes.iter().map(one).collect::<serde_json::Value>() })
}

/// What the route can reach with the dyes of the store, and where the colours lie in it.
pub fn reach(design: &Design, best: &Recipes, voice: Voice) -> Markup {
    let points = best.solved.reach.iter().flat_map(|g| g.points().iter().copied());
    let gamut = Gamut::from_points(points.collect());
    let targets = gamut_targets(&best.solved);
    let wide = gamut_svg(&design.name, &gamut, &targets, voice);
    let narrow = gamut_svg_narrow(&design.name, &gamut, &targets, voice);
    plate("reach", &wide, &narrow, &html! {})
}
