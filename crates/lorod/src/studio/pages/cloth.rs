//! One design: the strip of its steps, the chosen step large beside the finished cloth, and what the step is.

use super::{missing, no_design, step, strip};
use crate::studio::Studio;
use crate::studio::design::{Along, Found, dye_colour, found, lot_of};
use crate::studio::frame::{self, Here, Nav};
use crate::studio::kiln::Work;
use crate::studio::names::{hash, say as colour_name};
use crate::studio::picture::{Cut, steps};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{finding, said, t, trouble_at};
use crate::studio::winding::Winding;
use axum::http::StatusCode;
use axum::response::Response;
use cloth::Region;
use maud::{Markup, html};
use route::Design;
use std::sync::Arc;
use units::{Measure, Quantity};
use words::{Arg, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// Pixels of the large picture, and its height for its width.
const WIDE: f64 = 960.0;
const TALL: f64 = 0.66;

/// How near one looks.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Scale {
    Bolt,
    Yard,
    Repeat,
    Thread,
}

impl Scale {
    const ALL: [(Self, &'static str); 4] = [
        (Self::Bolt, "bolt"),
        (Self::Yard, "yard"),
        (Self::Repeat, "repeat"),
        (Self::Thread, "thread"),
    ];

    fn of(reader: &Reader) -> Self {
        let asked = reader.get("scale").unwrap_or("yard");
        Self::ALL
            .into_iter()
            .find(|(_, key)| *key == asked)
            .map_or(Self::Yard, |(scale, _)| scale)
    }
    const fn text(self) -> &'static Text {
        match self {
            Self::Bolt => text!("bolt", "gulung"),
            Self::Yard => text!("yard", "yard"),
            Self::Repeat => text!("repeat", "ulangan"),
            Self::Thread => text!("thread", "benang"),
        }
    }
}

/// What the address chooses.
struct Chosen {
    at: usize,
    scale: Scale,
    bolt: u32,
    x: f64,
    y: f64,
    w: f64,
    h: f64,
}

impl Chosen {
    fn of(design: &Design, at: usize, reader: &Reader) -> Self {
        let (width, length) = (design.cloth.width.to_mm(), design.cloth.length.to_mm());
        let scale = Scale::of(reader);
        let repeat = design
            .stamps
            .first()
            .map_or(200.0, |used| used.stamp.repeat_mm()[0]);
        let w = match scale {
            Scale::Bolt => width,
            Scale::Yard => 914.4,
            Scale::Repeat => repeat * 1.6,
            Scale::Thread => 36.0,
        }
        .min(width);
        let h = if scale == Scale::Bolt {
            length
        } else {
            (w * TALL).min(length)
        };
        let number = |key: &str, otherwise: f64, most: f64| {
            let given = reader
                .get(key)
                .and_then(|v| v.parse::<f64>().ok())
                .filter(|v| v.is_finite());
            given.unwrap_or(otherwise).clamp(0.0, most.max(0.0))
        };
        let bolt = reader
            .get("bolt")
            .and_then(|v| v.parse().ok())
            .filter(|b| *b < 10_000)
            .unwrap_or(0);
        Self {
            at,
            scale,
            bolt,
            x: number("x", (width - w) / 2.0, width - w),
            y: number("y", 900.0, length - h),
            w,
            h,
        }
    }

    /// Pieces side by side: the whole bolt lies in four lengths, everything else in one.
    fn cuts(&self) -> Vec<Cut> {
        if self.scale != Scale::Bolt {
            return vec![Cut::wide(self.x, self.y, self.w, self.h, WIDE)];
        }
        let piece = self.h / 4.0;
        (0..4)
            .map(|k| Cut::wide(0.0, piece * f64::from(k), self.w, piece, WIDE / 4.0))
            .collect()
    }
}

/// The step to begin with: the first with something to look at; else the last that a clock decides while wax is
/// on the cloth, where most can still change; else the last with wax on; else the middle of the route.
fn first_look(design: &Design, along: &Along) -> usize {
    let n = design.steps.len();
    let worst = along
        .findings
        .iter()
        .map(|(_, f)| f.weight)
        .max()
        .filter(|w| *w > Weight::Note);
    let heavy = along
        .findings
        .iter()
        .filter(|(_, f)| Some(f.weight) == worst)
        .map(|(at, _)| *at)
        .min();
    let waxed = |at: &usize| along.means.get(at + 1).is_some_and(route::Means::waxed);
    let timed = |at: &usize| {
        design
            .steps
            .get(*at)
            .is_some_and(|s| s.operation.kind().timed.is_some())
    };
    let by_clock = (0..n).find(|at| waxed(at) && timed(at));
    heavy
        .or(by_clock)
        .or_else(|| (0..n).rfind(waxed))
        .unwrap_or(n / 2)
        .min(n.saturating_sub(1))
}

/// What the winding of this page is made of.
pub fn work(workspace: &Workspace, id: &str, reader: &Reader) -> Option<Work> {
    let design = workspace.design(id)?;
    let shop = workspace.workshop.as_ref()?;
    let steps = match reader.get("step") {
        None => first_look(design, &Along::of(design, shop)) + 1,
        given => steps(design, given).ok()?,
    };
    let bolt = reader
        .get("bolt")
        .and_then(|v| v.parse().ok())
        .filter(|b| *b < 10_000)
        .unwrap_or(0);
    Some(Work {
        design: design.clone(),
        shop: Arc::new(shop.clone()),
        lot: lot_of(design, bolt),
        steps,
    })
}

/// The page.
pub fn page(studio: &Studio, workspace: &Workspace, reader: &Reader, id: &str) -> Response {
    let voice = reader.voice;
    let Some(file) = workspace.design_file(id) else {
        return no_design(studio, reader, id);
    };
    let (Some(design), Some(shop)) = (&file.design, &workspace.workshop) else {
        let title = text!("This cloth cannot be made yet", "Kain ini belum dapat dibuat");
        let all = if file.design.is_some() {
            &workspace.findings
        } else {
            &file.findings
        };
        return trouble_at(
            studio,
            reader,
            StatusCode::OK,
            &Here::at(Nav::Cloth, title, workspace, reader),
            title,
            all,
        );
    };
    let along = Along::of(design, shop);
    let at = match reader.get("step") {
        None => first_look(design, &along),
        given => match steps(design, given) {
            Ok(done) => done.saturating_sub(1),
            Err((_, finding)) => return missing(studio, reader, &finding),
        },
    };
    let chosen = Chosen::of(design, at, reader);
    let Some(current) = design.steps.get(at) else {
        let title = text!("This route has no step yet", "Alur ini belum berisi langkah");
        return trouble_at(
            studio,
            reader,
            StatusCode::OK,
            &Here::at(Nav::Cloth, title, workspace, reader),
            title,
            &workspace.examine(id),
        );
    };
    let rest: Vec<Found> = found(workspace, file)
        .into_iter()
        .filter(|f| f.step.is_none())
        .collect();
    let body = html! {
        div.wrap.head {
            div {
                h1 { (design.name) " " @if !design.colourway.is_empty() { em { (design.colourway) } } }
                @if !design.note.is_empty() { p.say { (design.note) } }
            }
            (others(workspace, id, voice))
        }
        div.wrap.strip { (strip::strip(studio, design, &along, at, chosen.bolt, reader)) }
        div.wrap.two {
            div.laid {
                (table(studio, design, &along, &chosen, reader))
                (under(design, &chosen, reader))
                (winding_place(studio, workspace, id, reader))
            }
            section.mori.laid aria-label=(t(&current.operation.kind().term.text, voice)) {
                (step::panel(workspace, shop, design, &along, at, voice))
            }
        }
        @if !rest.is_empty() {
            section.wrap.after { div.mori {
                h2 { (t(text!("About the whole design", "Tentang seluruh desain"), voice)) }
                ul.finds { @for f in &rest { li { (finding(&f.finding, None, voice)) (others_of_kind(f, voice)) } } }
            } }
        }
    };
    let mut here = Here::at(Nav::Cloth, text!("Cloth", "Kain"), workspace, reader);
    here.title.clone_from(&design.name);
    here.design = Some((design.id.clone(), design.name.clone()));
    here.dyes = design
        .dyes
        .iter()
        .map(|card| (card.name.clone(), dye_colour(card)))
        .collect();
    frame::page(studio, reader, &here, body)
}

fn others_of_kind(found: &Found, voice: Voice) -> Markup {
    html! {
        @if !found.more.is_empty() {
            details.more {
                summary { (say!("{n} more of this kind", "{n} lagi sejenis", n = Arg::Number(found.more.len() as f64, 0)).say(voice)) }
                ul.finds { @for one in &found.more { li { (finding(one, None, voice)) } } }
            }
        }
    }
}

/// The other designs, by name.
fn others(workspace: &Workspace, id: &str, voice: Voice) -> Markup {
    html! {
        nav.others aria-label=(t(text!("Other cloth", "Kain lain"), voice)) {
            @for design in workspace.designs.iter().filter_map(|f| f.design.as_ref()) {
                a href=(format!("/design/{}", escape(&design.id))) aria-current=[(design.id == id).then_some("true")] {
                    (design.name)
                }
            }
        }
    }
}

fn table(studio: &Studio, design: &Design, along: &Along, chosen: &Chosen, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let last = design.steps.len().saturating_sub(1);
    let layer = |at: usize, class: &'static str, alt: String| {
        let step = design.steps.get(at).map_or("", |s| s.id.as_str());
        let cuts = chosen.cuts();
        html! {
            div class=(format!("layer {class}")) role="img" aria-label=(alt) {
                @for cut in &cuts {
                    @let (wide, high) = cut.size();
                    img src=(cut.href(studio, design, step, chosen.bolt)) width=(wide) height=(high) alt="";
                }
            }
        }
    };
    let name = |at: usize| {
        design
            .steps
            .get(at)
            .map_or("", |s| t(&s.operation.kind().term.text, voice))
    };
    let conditions: Vec<&str> = along
        .condition(chosen.at + 1)
        .into_iter()
        .map(|text| t(text, voice))
        .collect();
    let after = say!(
        "after {n} {step}: {how}",
        "setelah {n} {step}: {how}",
        n = Arg::Number(chosen.at as f64 + 1.0, 0),
        step = Arg::Name(name(chosen.at).to_lowercase()),
        how = Arg::Name(conditions.join(", "))
    )
    .say(voice);
    let finished = t(text!("finished", "jadi"), voice);
    let alone = chosen.at == last;
    html! {
        div class=(format!("table{}", if chosen.scale == Scale::Bolt { " lengths" } else { "" })) data-seam=[(!alone).then_some("")] {
            p.wait aria-hidden="true" { (t(text!("developing", "sedang digambar"), voice)) }
            @if alone {
                (layer(last, "whole", format!("{}, {finished}", design.name)))
                p.cap.right { (finished) }
            } @else {
                (layer(last, "below", format!("{}, {finished}", design.name)))
                (layer(chosen.at, "over", format!("{}, {after}", design.name)))
                input.pull type="range" min="0" max="100" value="54" hidden
                    aria-label=(t(text!("Pull the seam to compare", "Tarik sambungan untuk membandingkan"), voice));
                div.seam aria-hidden="true" { span { "↔" } }
                p.cap.left { (after) }
                p.cap.right { (finished) }
            }
        }
    }
}

/// What the picture shows, how near one looks, and ways along the bolt.
fn under(design: &Design, chosen: &Chosen, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let length = |mm: f64| Arg::Quantity(Quantity::new(mm / 1000.0, Measure::Length));
    let words = if chosen.scale == Scale::Bolt {
        say!(
            "Bolt {bolt}, all of it: four lengths side by side, read from the left.",
            "Gulung {bolt}, seluruhnya: empat potong berdampingan, dibaca dari kiri.",
            bolt = Arg::Number(f64::from(chosen.bolt) + 1.0, 0)
        )
    } else {
        say!(
            "Bolt {bolt}, {y} from its start and {x} from the selvedge; {w} wide.",
            "Gulung {bolt}, {y} dari awal dan {x} dari tepi kain; lebar {w}.",
            bolt = Arg::Number(f64::from(chosen.bolt) + 1.0, 0),
            y = length(chosen.y),
            x = length(chosen.x),
            w = length(chosen.w)
        )
    };
    let (most_x, most_y) = (
        design.cloth.width.to_mm() - chosen.w,
        design.cloth.length.to_mm() - chosen.h,
    );
    let to = |key: &str, from: f64, by: f64, most: f64| {
        let value = (from + by).clamp(0.0, most.max(0.0));
        ((value - from).abs() > 0.5).then(|| reader.here(&[(key, &format!("{value:.0}"))]))
    };
    let ways = [
        (
            "←",
            text!("left", "kiri"),
            to("x", chosen.x, -0.8 * chosen.w, most_x),
        ),
        (
            "→",
            text!("right", "kanan"),
            to("x", chosen.x, 0.8 * chosen.w, most_x),
        ),
        (
            "↑",
            text!("back along the bolt", "mundur di gulungan"),
            to("y", chosen.y, -0.8 * chosen.h, most_y),
        ),
        (
            "↓",
            text!("on along the bolt", "maju di gulungan"),
            to("y", chosen.y, 0.8 * chosen.h, most_y),
        ),
    ];
    let next = reader.here(&[("bolt", &(chosen.bolt + 1).to_string())]);
    let previous = chosen
        .bolt
        .checked_sub(1)
        .map(|b| reader.here(&[("bolt", &b.to_string())]));
    html! {
        div.under {
            p.small { (said(&words, voice)) }
            div.seg role="group" aria-label=(t(text!("How near", "Seberapa dekat"), voice)) {
                @for (scale, key) in Scale::ALL {
                    a href=(reader.here(&[("scale", key), ("x", ""), ("y", "")])) aria-current=[(scale == chosen.scale).then_some("true")] {
                        (t(scale.text(), voice))
                    }
                }
            }
            div.ways role="group" aria-label=(t(text!("Where", "Di mana"), voice)) {
                @if chosen.scale != Scale::Bolt {
                    @for (sign, word, href) in &ways {
                        @if let Some(href) = href { a href=(href) aria-label=(t(word, voice)) { (sign) } }
                    }
                }
                @if let Some(href) = previous { a href=(href) { (t(text!("bolt before", "gulung sebelumnya"), voice)) } }
                a href=(next) { (t(text!("next bolt", "gulung berikutnya"), voice)) }
            }
        }
    }
}

/// The winding, if it is known; else a place for it, which a script fills and a link fills without one.
fn winding_place(studio: &Studio, workspace: &Workspace, id: &str, reader: &Reader) -> Markup {
    let known = work(workspace, id, reader).and_then(|work| studio.kiln().known_winding(&work));
    html! {
        @match known {
            Some(winding) => (wound(&winding, reader.voice)),
            None => {
                @let plain = reader.here(&[]);
                @let query = plain.split_once('?').map_or("", |(_, q)| q);
                div.windings.empty data-winding=(format!("/design/{}/winding?{query}", escape(id))) {
                    a href=(reader.here(&[("wound", "1")])) { (t(text!("Wind the palette of this step", "Gulung palet langkah ini"), reader.voice)) }
                }
            }
        }
    }
}

/// Yarn wound on a card: width of a colour is its share of the region.
pub fn wound(winding: &Winding, voice: Voice) -> Markup {
    html! {
        div.windings {
            @for region in winding {
                @let percent = Arg::Number(region.share * 100.0, 0);
                @let title = match region.region {
                    Region::Ground => say!("Ground, {n} % of the cloth", "Latar, {n} % dari kain", n = percent),
                    Region::Motif => say!("Motif, {n} % of the cloth", "Motif, {n} % dari kain", n = percent),
                };
                section {
                    h3 { (title.say(voice)) }
                    svg.winding viewBox="0 0 1000 46" preserveAspectRatio="none" aria-hidden="true" {
                        @for (at, yarn) in region.yarns.iter().enumerate() {
                            @let from: f64 = region.yarns.iter().take(at).map(|y| y.share * 1000.0).sum();
                            rect x=(format!("{from:.1}")) y="0" width=(format!("{:.1}", yarn.share * 1000.0)) height="46" fill=(hash(yarn.bytes)) {}
                        }
                        @for turn in 1..200 {
                            line x1=(turn * 5) x2=(turn * 5) y1="0" y2="46" {}
                        }
                    }
                    ul.yarns {
                        @for yarn in &region.yarns {
                            li {
                                svg.chip viewBox="0 0 10 10" width="14" height="14" aria-hidden="true" { rect width="10" height="10" fill=(hash(yarn.bytes)) {} }
                                b { (voice.number(yarn.share * 100.0, 0)) " %" } " " (colour_name(yarn.lab, voice))
                                span.code { (hash(yarn.bytes)) " · L " (voice.number(yarn.lab.l, 0)) " a " (voice.number(yarn.lab.a, 0)) " b " (voice.number(yarn.lab.b, 0)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
