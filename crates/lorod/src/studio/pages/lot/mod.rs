//! First, middle and last bolt of a lot side by side: do they belong together, does the motif read, what becomes of the
//! size.

mod apart;

use super::baths::nothing;
use super::pick::{Picked, pick, picker};
use crate::facts::lot::{Lot, OneBolt, USUAL, list, reads};
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::kiln::KeepGoing;
use crate::studio::lots::{LEAST, Made, SIDE, led};
use crate::studio::page::{About, Page};
use crate::studio::parts::{Plot, finding, plot, work};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{amount, t};
use crate::studio::work::teller;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use cloth::lot::{Led, Wander};
use maud::{Markup, html};
use std::sync::Arc;
use units::{Length, Measure, Quantity};
use words::{Arg, Voice, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Lot", "Partai"),
    path: "/lot",
    about: About::Aside,
    make: page,
    data: Some(&crate::studio::data::lot::LOT),
};

/// Bolts that are counted with where fewer are ordered: a lot has a first, a middle and a last.
pub fn bolts(picked: &Picked) -> u32 {
    picked.lot.bolts.max(LEAST)
}

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let Some(mut picked) = pick(workspace, reader) else {
        return nothing(studio, workspace, reader);
    };
    picked.lot.bolts = bolts(&picked);
    let Picked { design, shop, lot } = &picked;
    let led = led(reader);
    let made = match reader.get("wait") {
        Some(_) => studio.lot(workspace, design, shop, lot.bolts, led, &|_| true),
        None => studio
            .known_lot(workspace, design, lot.bolts, led)
            .ok_or_else(Vec::new),
    };
    let about = about(&design.id, lot.bolts, led);
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("Do first, middle and last bolt belong together?", "Apakah gulung pertama, tengah, dan terakhir seragam?"), voice)) }
            p.say { (say!(
                "{design}, {n} bolts in one lot: each as baths weaken, wax drifts with the pan and hands are early or late.",
                "{design}, {n} gulung dalam satu partai: bak melemah, malam berubah menurut wajan, tangan lebih cepat atau lambat.",
                design = Arg::Name(design.name.clone()),
                n = Arg::Number(f64::from(lot.bolts), 0)
            ).say(voice)) }
        } }
        div.wrap { (picker(workspace, &picked, reader)) (baths(led, reader)) }
        div.wrap.after {
            @match &made {
                Ok(made) => (piece_of(made, &about, voice)),
                Err(found) if !found.is_empty() => div.mori { @for one in found { (finding(one, None, voice)) } },
                Err(_) => (work(
                    &format!("/lot/made{about}"),
                    t(text!("Three bolts are made from beginning to end", "Tiga gulung dikerjakan dari awal sampai akhir"), voice),
                    None,
                    &reader.here(&[("wait", "1")]),
                    voice,
                )),
            }
        }
    };
    let here = Here::at(&PAGE, PAGE.word, workspace, reader);
    frame::page(studio, reader, &here.of(design), body)
}

/// What the addresses of pieces and pictures say.
fn about(design: &str, bolts: u32, led: Led) -> String {
    let left = if led == Led::Left { "&baths=left" } else { "" };
    format!("?design={}&bolts={bolts}{left}", escape(design))
}

/// Whether anybody tops the baths up.
fn baths(led: Led, reader: &Reader) -> Markup {
    let voice = reader.voice;
    html! {
        nav.seg aria-label=(t(text!("How the baths are led", "Cara bak dijaga"), voice)) {
            a href=(reader.here(&[("baths", "")])) aria-current=[(led == Led::BySheet).then_some("true")] { (t(text!("baths topped up by the sheet", "bak ditambah menurut lembar"), voice)) }
            a href=(reader.here(&[("baths", "left")])) aria-current=[(led == Led::Left).then_some("true")] { (t(text!("baths left to themselves", "bak dibiarkan"), voice)) }
        }
    }
}

/// `/lot/{piece}`: `made` as a piece of the page; `near-2.png`, `wide-2.png`: pictures of the bolts, from 1.
pub async fn piece(State(studio): State<Arc<Studio>>, Path(piece): Path<String>, reader: Reader) -> Response {
    let kiln = studio.kiln().clone();
    let job = move |keep_going: KeepGoing| made(&studio, &reader, &piece, keep_going);
    let done = kiln.long(teller(), job).await;
    done.unwrap_or_else(|_| StatusCode::SERVICE_UNAVAILABLE.into_response())
}

fn made(studio: &Studio, reader: &Reader, piece: &str, keep_going: KeepGoing) -> Response {
    let (workspace, voice) = (studio.workspace(), reader.voice);
    let Some(picked) = pick(&workspace, reader) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let (bolts, led) = (bolts(&picked), led(reader));
    let picture = piece.strip_suffix(".png").and_then(|name| {
        let (which, number) = name.split_once('-')?;
        let which = ["near", "wide"].iter().position(|one| *one == which)?;
        let number = number.parse::<usize>().ok()?;
        Some((which, number.checked_sub(1)?))
    });
    if piece != "made" && picture.is_none() {
        return StatusCode::NOT_FOUND.into_response();
    }
    match studio.lot(&workspace, picked.design, picked.shop, bolts, led, keep_going) {
        Ok(made) => match picture {
            Some((which, at)) => drawn(&made, which, at),
            None => piece_of(&made, &about(&picked.design.id, bolts, led), voice).into_response(),
        },
        Err(found) => html! { @for one in &found { (finding(one, None, voice)) } }.into_response(),
    }
}

fn drawn(made: &Made, which: usize, at: usize) -> Response {
    let Some(picture) = made.pictures.get(at).and_then(|both| both.get(which)) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    match cloth::png(picture, 100.0) {
        Ok(bytes) => ([(header::CONTENT_TYPE, "image/png")], bytes).into_response(),
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

/// Everything about a lot that was made.
fn piece_of(made: &Made, about: &str, voice: Voice) -> Markup {
    let lot = &made.lot;
    let good = lot.worst() <= USUAL;
    html! {
        div.lot {
            section.mori aria-label=(t(text!("The three bolts", "Ketiga gulung"), voice)) {
                div class=(if good { "find good" } else { "find look" }) { p {
                    b.w { (t(if good { text!("Good.", "Baik.") } else { text!("Look.", "Periksa.") }, voice)) } " "
                    (lot.verdict().say(voice))
                } }
                ul.side-by-side { @for (at, one) in lot.bolts.iter().enumerate() { li { (bolt(lot, one, at, about, voice)) } } }
                p.small { (t(text!(
                    "Above, a piece as it lies in the hand, 29 cm across; below, the whole width, selvedge to selvedge. The same place of each bolt.",
                    "Di atas, sepotong seperti di tangan, lebar 29 sentimeter; di bawah, seluruh lebar, tepi ke tepi. Tempat yang sama di tiap gulung."
                ), voice)) }
            }
            (plot(&Plot {
                key: "apart",
                question: t(text!("How far does each bolt lie from the design?", "Seberapa jauh tiap gulung dari desain?"), voice),
                answer: html! { (farthest(lot, voice)) },
                wide: apart::drawing(lot, apart::Room::Wide, voice),
                narrow: Some(apart::drawing(lot, apart::Room::Narrow, voice)),
                assumed: Some(html! { p { (t(text!(
                    "Distances of palettes, dE00, on the same cloth as the design's: only baths, wax and hands differ.",
                    "Jarak palet, dE00, di kain yang sama dengan desain: hanya bak, malam, dan tangan yang berbeda."
                ), voice)) } p { (strays(voice)) } }),
            }))
            section.mori aria-labelledby="lot-numbers" {
                h2 #lot-numbers { (t(text!("The distances, region by region", "Jaraknya, bagian demi bagian"), voice)) }
                (distances(lot, voice))
                p.small { (say!(
                    "Bolts are mottled: two readings of one bolt already lie {apart} dE00 apart, so less than that from the first bolt is no difference.",
                    "Gulung memang belang: dua bacaan dari satu gulung sudah berjarak {apart} dE00, jadi kurang dari itu dari gulung pertama bukan beda.",
                    apart = Arg::Name(list(&lot.reading, voice))
                ).say(voice)) }
            }
            section.mori aria-labelledby="lot-reads" {
                h2 #lot-reads { (t(text!("Does the motif read from two metres?", "Apakah motif terbaca dari dua meter?"), voice)) }
                (afar(lot, voice))
            }
            section.mori aria-labelledby="lot-size" {
                h2 #lot-size { (t(text!("What becomes of the size?", "Bagaimana ukurannya nanti?"), voice)) }
                p { (lot.issue().say(voice)) }
                (size(lot, voice))
            }
        }
    }
}

/// How a bolt is called among the three.
fn place(lot: &Lot, at: usize, voice: Voice) -> &'static str {
    let name = match at {
        0 => text!("first", "pertama"),
        at if at + 1 == lot.bolts.len() => text!("last", "terakhir"),
        _ => text!("middle", "tengah"),
    };
    t(name, voice)
}

fn called(one: &OneBolt, voice: Voice) -> String {
    say!(
        "Bolt {n}",
        "Gulung {n}",
        n = Arg::Number(f64::from(one.number), 0)
    )
    .say(voice)
}

fn bolt(lot: &Lot, one: &OneBolt, at: usize, about: &str, voice: Voice) -> Markup {
    let name = called(one, voice);
    let alt = |what: &'static words::Text| format!("{name}: {}", t(what, voice));
    let src = |which: &str| format!("/lot/{which}-{}.png{about}", at + 1);
    html! {
        figure {
            span.peg {}
            img.hang src=(src("near")) width=(SIDE) height=(SIDE) alt=(alt(text!("a piece of it, as in the hand", "sepotong, seperti di tangan")));
            img src=(src("wide")) width=(SIDE) height=(SIDE) alt=(alt(text!("the whole width", "seluruh lebar")));
            figcaption {
                b { (name) } " " span.small { (place(lot, at, voice)) }
                @if !one.from_first.is_empty() { br; span.small { (say!(
                    "from the first: {apart}",
                    "dari yang pertama: {apart}",
                    apart = Arg::Name(list(&one.from_first, voice))
                ).say(voice)) } }
            }
        }
    }
}

/// Where the farthest is.
fn farthest(lot: &Lot, voice: Voice) -> String {
    let all = lot
        .bolts
        .iter()
        .flat_map(|one| one.from_design.iter().map(move |(w, d)| (one, *w, *d)));
    match all.max_by(|a, b| a.2.total_cmp(&b.2)) {
        Some((one, waxing, distance)) => say!(
            "The farthest is bolt {n}, {region}: {off} dE00.",
            "Yang terjauh gulung {n}, {region}: {off} dE00.",
            n = Arg::Number(f64::from(one.number), 0),
            region = Arg::Name(region(waxing, voice)),
            off = Arg::Number(distance, 1)
        )
        .say(voice),
        None => t(
            text!(
                "There is nothing to compare.",
                "Tidak ada yang dapat dibandingkan."
            ),
            voice,
        )
        .to_string(),
    }
}

/// A region as people call it: the ground, or the motif of a waxing with its number in the route.
pub fn region(waxing: Option<usize>, voice: Voice) -> String {
    match waxing {
        None => t(text!("ground", "latar"), voice).to_string(),
        Some(at) => say!(
            "motif of step {n}",
            "motif langkah {n}",
            n = Arg::Number(at as f64 + 1.0, 0)
        )
        .say(voice),
    }
}

/// How far settings were let stray.
fn strays(voice: Voice) -> String {
    let wander = Wander::default();
    let percent = |share: f64| Arg::Number(100.0 * share, 0);
    say!(
        "Assumed (own estimates), 95 of 100 bolts: what is weighed or titrated within {strength} %, what a hand lays on within {laid} %, temperatures within {kelvin} K, the clock within {seconds} s.",
        "Perkiraan (taksiran sendiri), 95 dari 100 gulung: timbangan dan titrasi dalam {strength} %, yang dioleskan tangan dalam {laid} %, suhu dalam {kelvin} K, jam dalam {seconds} detik.",
        strength = percent(wander.strength),
        laid = percent(wander.laid_on),
        kelvin = Arg::Number(wander.temperature, 0),
        seconds = Arg::Number(wander.handling.0, 0)
    )
    .say(voice)
}

fn heads(lot: &Lot, first: &'static words::Text, voice: Voice) -> Markup {
    html! { thead { tr {
        th scope="col" { (t(first, voice)) }
        @for one in &lot.bolts { th.n scope="col" { (called(one, voice)) } }
    } } }
}

fn distances(lot: &Lot, voice: Voice) -> Markup {
    let regions: Vec<Option<usize>> = lot
        .bolts
        .first()
        .map_or_else(Vec::new, |one| one.from_design.iter().map(|(w, _)| *w).collect());
    let of = |apart: &[(Option<usize>, f64)], waxing: Option<usize>| {
        let found = apart.iter().find(|(w, _)| *w == waxing);
        found.map_or_else(|| "–".to_string(), |(_, d)| voice.number(*d, 1))
    };
    html! {
        div.scroll tabindex="0" role="region" aria-label=(t(text!("Distances", "Jarak"), voice)) { table {
            (heads(lot, text!("Region, dE00", "Bagian, dE00"), voice))
            tbody { @for waxing in &regions {
                @let name = region(*waxing, voice);
                tr { th scope="row" { (name) " " span.small { (t(text!("from the design", "dari desain"), voice)) } }
                    @for one in &lot.bolts { td.n { b { (of(&one.from_design, *waxing)) } } } }
                tr { th scope="row" { (name) " " span.small { (t(text!("from the first bolt", "dari gulung pertama"), voice)) } }
                    @for one in &lot.bolts { td.n { (of(&one.from_first, *waxing)) } } }
            } }
        } }
    }
}

fn afar(lot: &Lot, voice: Voice) -> Markup {
    let waxings: Vec<usize> = lot
        .bolts
        .first()
        .map_or_else(Vec::new, |one| one.stands_out.iter().map(|s| s.waxing).collect());
    html! {
        @if waxings.is_empty() {
            p.none { (t(text!("There is no motif beside a ground to tell from it.", "Tidak ada motif di samping latar yang dapat dibedakan."), voice)) }
        } @else {
            div.scroll tabindex="0" role="region" aria-label=(t(text!("From two metres", "Dari dua meter"), voice)) { table.orders {
                (heads(lot, text!("Motif against its ground", "Motif terhadap latarnya"), voice))
                tbody { @for waxing in &waxings { tr {
                    th scope="row" { (region(Some(*waxing), voice)) }
                    @for one in &lot.bolts { td.n data-what=(called(one, voice)) {
                        @match one.stands_out.iter().find(|s| s.waxing == *waxing) {
                            Some(stands) => {
                                b { (t(reads(stands), voice)) } br;
                                span.small { (say!(
                                    "{far} dE00, at hand {near}",
                                    "{far} dE00, di tangan {near}",
                                    far = Arg::Number(stands.afar, 1),
                                    near = Arg::Number(stands.at_hand, 1)
                                ).say(voice)) }
                            },
                            None => "–",
                        }
                    } }
                } } }
            } }
            p.small { (t(text!(
                "The eye blurs fine colour more than light and dark; grades by ISO 105-A02: above 9.6 clearly, above 4.8 softly (own estimate).",
                "Mata mengaburkan warna halus lebih dari terang dan gelap; menurut tingkat ISO 105-A02: di atas 9,6 jelas, di atas 4,8 samar (taksiran sendiri)."
            ), voice)) }
        }
    }
}

fn size(lot: &Lot, voice: Voice) -> Markup {
    let length = |l: Length| amount(Quantity::new(l.0, Measure::Length), voice);
    let sizes = &lot.sizes;
    let white = lot
        .bolts
        .first()
        .map_or(sizes.width, |one| one.bolt.lot.cloth.width);
    let shrinks = |from: Length, to: Length| {
        say!(
            "{p} % less",
            "{p} % berkurang",
            p = Arg::Number(100.0 * (1.0 - to.0 / from.0), 1)
        )
        .say(voice)
    };
    html! {
        div.scroll tabindex="0" role="region" aria-label=(t(text!("Sizes", "Ukuran"), voice)) { table {
            thead { tr {
                th scope="col" { (t(text!("Of", "Bagian"), voice)) }
                th.n scope="col" { (t(text!("white or as stamped", "putih atau saat dicap"), voice)) }
                th.n scope="col" { (t(text!("finished", "jadi"), voice)) }
                th.n scope="col" { (t(text!("shrinks", "susut"), voice)) }
            } }
            tbody {
                tr { th scope="row" { (t(text!("Length", "Panjang"), voice)) } td.n { (length(sizes.issue)) } td.n { b { (length(sizes.length)) } } td.n { (shrinks(sizes.issue, sizes.length)) } }
                tr { th scope="row" { (t(text!("Width", "Lebar"), voice)) } td.n { (length(white)) } td.n { b { (length(sizes.width)) } } td.n { (shrinks(white, sizes.width)) } }
                @for repeat in &sizes.repeats {
                    tr {
                        th scope="row" { (say!("Repeat of {stamp}", "Ulangan {stamp}", stamp = Arg::Name(repeat.stamp.clone())).say(voice)) }
                        td.n { (length(repeat.stamped.0)) " × " (length(repeat.stamped.1)) }
                        td.n { b { (length(repeat.finished.0)) " × " (length(repeat.finished.1)) } }
                        td.n { (shrinks(repeat.stamped.0, repeat.finished.0)) }
                    }
                }
            }
        } }
    }
}
