//! The shade card: the colours that a design's cloth shall carry, where they lie, and what brings it there.

mod cloth;
mod lamps;
mod recipes;
mod regions;

use super::baths::nothing;
use super::cloth::{acts, keep, told};
use super::pick::{Picked, others, pick};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::frame::{self, Here};
use crate::studio::names::hash;
use crate::studio::page::{About, Page};
use crate::studio::reader::Reader;
use crate::studio::say::t;
use crate::studio::shades::Dyes;
use ::cloth::aim::Seen;
use axum::response::Response;
use maud::html;
use words::{Arg, Voice, say, text};
use workspace::{RegionTarget, Workspace};

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Shade card", "Kartu warna"),
    path: "/shades",
    about: About::Design,
    make: page,
    data: Some(&crate::studio::data::shades::SHADES),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let Some(picked) = pick(workspace, reader) else {
        return nothing(studio, workspace, reader);
    };
    let Picked { design, shop, .. } = &picked;
    let file = workspace.design_file(&design.id);
    let targets = file.map_or(&[][..], |file| &file.targets);
    let source = file.and_then(|file| workspace.source(&file.path));
    // A page without a script waits for what it asks.
    let mut refused = Vec::new();
    if reader.get("wait").is_some() && !targets.is_empty() {
        refused.extend(studio.regions(workspace, design, shop).err());
    }
    if let Some(dyes) = Dyes::ALL
        .into_iter()
        .find(|d| reader.get("seek") == Some(d.key()))
    {
        refused.extend(
            studio
                .recipes(workspace, design, shop, dyes, voice, &|_| true)
                .err(),
        );
    }
    let now = studio.known_regions(workspace, &design.id);
    let now = now.as_deref().map(Vec::as_slice);
    let found = studio.known_recipes(workspace, &design.id, voice);
    let last = design.steps.last().map_or("", |step| step.id.as_str());
    let body = html! {
        div data-desk=(design.id) data-hash=(source.map_or_else(String::new, |s| hex(&s.hash))) data-step=(last) {
            div.wrap.head {
                div data-part="title" {
                    h1 { (design.name) " " @if !design.colourway.is_empty() { em { (design.colourway) } } }
                    p.say { (summary(targets, now, voice)) }
                }
                div.row.desk-acts data-part="acts" { (acts(studio, &design.id, voice)) }
            }
            div.wrap { (others(workspace, &design.id, reader)) }
            (told(voice))
            div.wrap.shade-card {
                div.laid { (cloth::laid(studio, design, targets, reader)) }
                section.mori data-part="regions" aria-labelledby="regions-q" {
                    (regions::section(design, targets, now, reader))
                }
            }
            section.wrap.after data-part="recipes" aria-labelledby="recipes-q" {
                (recipes::section(studio, workspace, design, shop, now, &found, !targets.is_empty(), &refused, reader))
            }
            @if let Some(best) = found.first() {
                div.wrap.after data-part="reach" { (recipes::reach(design, best, voice)) }
            } @else {
                div data-part="reach" {}
            }
            p.wrap.after { a href=(super::shade::PAGE.path) { (t(text!("Recipes for one colour, without a design", "Resep untuk satu warna, tanpa desain"), voice)) } }
            section.wrap.after data-part="lamps" aria-labelledby="lamps-q" { (lamps::section(studio, workspace, design, reader)) }
            (keep(voice))
        }
    };
    let here = Here::at(&PAGE, text!("Shade card", "Kartu warna"), workspace, reader);
    frame::page(studio, reader, &here.of(design), body)
}

/// How far the cloth is from its colours, in a sentence.
pub fn summary(targets: &[RegionTarget], now: Option<&[Seen]>, voice: Voice) -> String {
    let n = |n: usize| Arg::Number(n as f64, 0);
    let Some(now) = now.filter(|_| !targets.is_empty()) else {
        return match targets.len() {
            0 => say!(
                "No colour is asked of this cloth yet: name a region and pick its colour.",
                "Belum ada warna yang diminta dari kain ini: beri nama satu bagian dan pilih warnanya."
            ),
            all => say!(
                "{all} regions have a colour to reach.",
                "{all} bagian punya warna yang dituju.",
                all = n(all)
            ),
        }
        .say(voice);
    };
    let reached = now.iter().filter(|r| reaches(r)).count();
    if reached == now.len() {
        say!(
            "All {all} regions have their colours.",
            "Semua {all} bagian sudah sesuai warnanya.",
            all = n(now.len())
        )
    } else {
        say!(
            "{reached} of {all} regions have their colours as the route stands.",
            "{reached} dari {all} bagian sudah sesuai warnanya dengan alur sekarang.",
            reached = n(reached),
            all = n(now.len())
        )
    }
    .say(voice)
}

/// Is a region within its tolerance?
fn reaches(region: &Seen) -> bool {
    region.difference.is_some_and(|off| off <= region.tolerance)
}

/// A colour of cloth (D65, 10 degrees) on a screen.
pub fn on_screen(lab: colour::Lab) -> [u8; 3] {
    let white = colour::Viewing::DAYLIGHT.white();
    let linear = colour::screen::linear_under(lab.xyz(white), white);
    colour::screen::bytes(colour::screen::clip(linear).0)
}

/// The colour of a target as its author would type it.
fn spelled(target: &RegionTarget) -> String {
    let bytes = on_screen(target.lab);
    let same = ::colour::recipe::Target::from_hex(&hash(bytes), &words::Place::Request)
        .is_ok_and(|read| colour::de2000(read.lab(), target.lab) < 0.2);
    if same {
        hash(bytes)
    } else {
        format!("{:.1}, {:.1}, {:.1}", target.lab.l, target.lab.a, target.lab.b)
    }
}
