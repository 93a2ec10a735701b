//! Photographs of real cloth: brought, marked, and held against what the design promises.

mod marking;

use super::{missing, no_design};
use crate::facts::photo::{self, ALLOWANCE};
use crate::facts::seen;
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::kiln::KeepGoing;
use crate::studio::page::{About, Page};
use crate::studio::parts::{self, Head, finding, work};
use crate::studio::photographs::{Asked, Judged, described, names, picture};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use crate::studio::work::teller;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use cloth::Picture;
use cloth::photo::{Compared, Measure};
use maud::{Markup, html};
use route::Design;
use std::sync::Arc;
use words::{Arg, Finding, Place, Voice, Weight, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Photographs", "Foto"),
    path: "/photographs",
    about: About::Design,
    make: page,
    data: Some(&crate::studio::data::photographs::PHOTOGRAPHS),
};

fn picked<'w>(workspace: &'w Workspace, reader: &Reader) -> Option<&'w Arc<Design>> {
    match reader.get("design") {
        Some(id) => workspace.design(id),
        None => workspace.designs.iter().find_map(|file| file.design.as_ref()),
    }
}

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let Some(design) = picked(workspace, reader) else {
        return match reader.get("design") {
            Some(id) => no_design(studio, reader, id),
            None => super::baths::nothing(studio, workspace, reader),
        };
    };
    let all = names(workspace);
    let name = reader.get("photo");
    if let Some(name) = name.filter(|name| !all.iter().any(|one| one == name)) {
        let found = say!(
            "there is no photograph {name}",
            "tidak ada foto {name}",
            name = super::short(name)
        );
        let finding = Finding::new("no-such-photograph", Weight::Wrong, Place::Request, found);
        return missing(studio, reader, &finding);
    }
    let title = text!(
        "Is this cloth like the cloth that was approved?",
        "Apakah kain ini seperti yang di-acc?"
    );
    let body = html! {
        div.photographs data-design=(design.id) {
            div.wrap.head { div {
                h1 { (t(title, voice)) }
                p.say { (t(text!(
                    "Lay the cloth under a white card with a window, a grey card beside the window, and take one picture from above.",
                    "Letakkan kain di bawah karton putih berjendela, kartu abu-abu di samping jendela, lalu potret sekali dari atas."
                ), voice)) }
            } }
            div.wrap { (super::cloth::others_on(workspace, &design.id, PAGE.path, voice)) }
            @if let Some(name) = name { (shown(studio, workspace, &asked(&all, design, name, reader), voice)) }
            section.wrap.after { div.mori {
                h2 { (t(text!("Bring a photograph", "Bawa foto"), voice)) }
                form.bring data-photograph="/api/photographs" {
                    label.btn for="bring-photo" { (t(text!("Choose a picture", "Pilih gambar"), voice)) }
                    input #bring-photo type="file" accept=".png,.jpg,.jpeg,image/png,image/jpeg";
                    p.small { (t(text!("or drop it here: PNG or JPEG as the camera wrote it", "atau letakkan di sini: PNG atau JPEG seperti dari kamera"), voice)) }
                    div.told role="status" data-busy=(t(text!("It is being read…", "Sedang dibaca…"), voice)) {}
                }
                @if !all.is_empty() {
                    ul.plain-list { @for one in &all {
                        li { a href=(href(&design.id, one)) aria-current=[(Some(one.as_str()) == name).then_some("true")] { (one) } }
                    } }
                }
            } }
        }
    };
    let here = Here::at(&PAGE, PAGE.word, workspace, reader);
    frame::page(studio, reader, &here.about(design), body)
}

fn href(design: &str, photo: &str) -> String {
    format!("/photographs?design={}&photo={}", escape(design), escape(photo))
}

/// Address of a piece about a photograph.
fn piece_of(asked: &Asked, piece: &str) -> String {
    let approved = asked
        .approved
        .iter()
        .map(|one| format!("&approved={}", escape(one)));
    format!(
        "/photographs/{piece}?design={}&photo={}{}",
        escape(&asked.design.id),
        escape(&asked.name),
        approved.collect::<String>()
    )
}

/// What an address asks: `?photo=bolt-7`, and `approved=` for each photograph of approved cloth.
pub fn asked(all: &[String], design: &Arc<Design>, name: &str, reader: &Reader) -> Asked {
    let named = |one: &&String| {
        reader
            .query
            .iter()
            .any(|(key, value)| key == "approved" && value == *one)
    };
    Asked {
        design: design.clone(),
        name: name.to_string(),
        approved: all
            .iter()
            .filter(named)
            .filter(|one| *one != name)
            .cloned()
            .collect(),
    }
}

/// One photograph: what it comes to, what it is held against, and where its cards are marked.
fn shown(studio: &Studio, workspace: &Workspace, asked: &Asked, voice: Voice) -> Markup {
    let described = described(workspace, &asked.name);
    let marked = described.as_ref().and_then(|(_, marked, _)| marked.as_ref());
    let refused = described.as_ref().map_or(&[][..], |(_, _, findings)| findings);
    html! {
        @if marked.is_some() { section.wrap { div.mori data-part="judged" {
            @match studio.judged(workspace, asked) {
                Some(judged) => (verdict(&judged, asked, voice)),
                None => (work(
                    &piece_of(asked, "judged"),
                    t(text!("The photograph is straightened and compared", "Foto diluruskan dan dibandingkan"), voice),
                    None,
                    &piece_of(asked, "judged"),
                    voice,
                )),
            }
        } } (against(workspace, asked, voice)) }
        section.wrap.after { div.mori {
            h2 { (t(text!("Where are window and card?", "Di mana jendela dan kartu?"), voice)) }
            @for one in refused { (finding(one, None, voice)) }
            (marking::form(workspace, asked, marked, &piece_of(asked, "picture"), voice))
        } }
    }
}

/// What the cloth is held against: the model's own cloth, or photographs of what was approved.
fn against(workspace: &Workspace, asked: &Asked, voice: Voice) -> Markup {
    let others: Vec<(String, bool)> = names(workspace)
        .into_iter()
        .filter(|one| *one != asked.name)
        .map(|one| {
            let marked = described(workspace, &one).is_some_and(|(_, marked, _)| marked.is_some());
            (one, marked)
        })
        .collect();
    html! {
        section.wrap.after { div.mori {
            h2 { (t(text!("What is it held against?", "Dibandingkan dengan apa?"), voice)) }
            p { (t(text!(
                "With none chosen, the model's own cloth of this design. Photographs of approved cloth show the range that was approved: three at least, from different places of it.",
                "Bila tidak ada yang dipilih: kain dari model desain ini. Foto kain yang di-acc menunjukkan kisaran yang di-acc: paling sedikit tiga, dari tempat berbeda."
            ), voice)) }
            @if others.is_empty() { p.none { (t(text!("No other photograph lies here yet: bring some below.", "Belum ada foto lain di sini: bawa di bawah."), voice)) } }
            @else {
                form.against method="get" action="/photographs" {
                    input type="hidden" name="design" value=(asked.design.id);
                    input type="hidden" name="photo" value=(asked.name);
                    fieldset {
                        legend { (t(text!("Approved cloth", "Kain yang di-acc"), voice)) }
                        @for (one, marked) in &others { label {
                            input type="checkbox" name="approved" value=(one) checked[asked.approved.contains(one)] disabled[!marked];
                            " " (one)
                            @if !marked { " " span.small { (t(text!("(not marked yet)", "(belum ditandai)"), voice)) } }
                        } }
                    }
                    button.btn type="submit" { (t(text!("Compare with these", "Bandingkan dengan ini"), voice)) }
                }
            }
        } }
    }
}

/// What it comes to.
fn verdict(judged: &Judged, asked: &Asked, voice: Voice) -> Markup {
    let good = !judged.compared.is_empty() && judged.compared.iter().all(Compared::within);
    let pictures = [
        (
            "straight",
            text!(
                "this cloth, straight and even",
                "kain ini, diluruskan dan diratakan"
            ),
        ),
        ("drawing", text!("where the stamp stood", "letak cap")),
        (
            "approved",
            if asked.approved.is_empty() {
                text!("the model's cloth", "kain dari model")
            } else {
                text!("approved cloth", "kain yang di-acc")
            },
        ),
    ];
    let rows = html! {
        @for one in &judged.compared { (row(one, voice)) }
    };
    let heads = [
        Head::Words(text!("Of", "Bagian")),
        Head::Words(text!("What", "Apa")),
        Head::Words(text!("Here", "Di sini")),
        Head::Words(text!("Approved", "Di-acc")),
        Head::Words(text!("In words", "Dengan kata")),
    ];
    html! {
        h2 { (photo::verdict(&judged.compared).say(voice)) }
        div class=(if good { "find good" } else { "find look" }) { p {
            b.w { (t(if good { text!("Good.", "Baik.") } else { text!("Look.", "Periksa.") }, voice)) } " "
            (doubt(judged, asked, voice))
        } }
        p.small { (photo::light(&judged.piece).say(voice)) }
        div.pieces { @for (key, what) in pictures {
            @if key != "drawing" || judged.piece.laid.is_some() { figure {
                @let size = if key == "approved" { judged.approved.sheet.size } else { judged.piece.sheet.size };
                img src=(piece_of(asked, key)) width=(size[0]) height=(size[1]) alt=(t(what, voice));
                figcaption.small { (t(what, voice)) }
            } }
        } }
        (parts::table("orders", &heads, &rows, voice))
    }
}

fn row(one: &Compared, voice: Voice) -> Markup {
    let n = |v: f64| voice.number(v, if one.measure == Measure::Cover { 2 } else { 1 });
    let of = one.region.map_or(text!("whole", "seluruhnya"), photo::region);
    html! { tr {
        th scope="row" { (t(of, voice)) }
        td { (t(photo::measure(one.measure), voice)) }
        td data-what=(t(text!("here", "di sini"), voice)) { b { (n(one.found)) } }
        td data-what=(t(text!("approved", "di-acc"), voice)) { (n(one.least)) " – " (n(one.most)) }
        td { @if one.within() { (t(text!("as approved", "sesuai acc"), voice)) } @else { b { (t(text!("outside", "di luar"), voice)) } } }
    } }
}

/// How sure that is.
fn doubt(judged: &Judged, asked: &Asked, voice: Voice) -> String {
    let de = Arg::Number(ALLOWANCE, 1);
    let allowed = if asked.approved.is_empty() {
        say!(
            "The measure is the model's own cloth of this design; a photograph may move a colour by {de} dE00, which the ranges of the palettes hold already.",
            "Ukurannya kain dari model desain ini; foto dapat menggeser warna {de} dE00, sudah termasuk dalam kisaran palet.",
            de = de
        )
    } else {
        say!(
            "The measure is the approved cloth on {n} photographs; a photograph may move a colour by {de} dE00, which the ranges of the palettes hold already.",
            "Ukurannya kain yang di-acc pada {n} foto; foto dapat menggeser warna {de} dE00, sudah termasuk dalam kisaran palet.",
            n = Arg::Number(asked.approved.len() as f64, 0),
            de = de
        )
    };
    let drawing = match &judged.piece.laid {
        Some(laid) => say!(
            "The drawing was found: wax and bare cloth explain {share} % of the scatter.",
            "Gambar cap ditemukan: malam dan kain polos menjelaskan {share} % sebaran.",
            share = Arg::Number(100.0 * laid.told, 0)
        ),
        None => say!(
            "The drawing was not found on this piece: motif and ground are compared together.",
            "Gambar cap tidak ditemukan pada potongan ini: motif dan latar dibandingkan bersama."
        ),
    };
    let clipped = judged.piece.sheet.clipped;
    let mut all = format!("{} {}", allowed.say(voice), drawing.say(voice));
    if clipped > 0.0005 {
        let line = say!(
            "In {share} % of it the camera's range ended.",
            "Di {share} %-nya jangkauan kamera habis.",
            share = Arg::Number(100.0 * clipped, 1)
        );
        all = format!("{all} {}", line.say(voice));
    }
    all
}

/// A piece of the page, or a picture.
pub async fn piece(State(studio): State<Arc<Studio>>, Path(piece): Path<String>, reader: Reader) -> Response {
    let kiln = studio.kiln().clone();
    let job = move |keep_going: KeepGoing| made(&studio, &reader, &piece, keep_going);
    let done = kiln.long(teller(), job).await;
    done.unwrap_or_else(|_| StatusCode::SERVICE_UNAVAILABLE.into_response())
}

fn made(studio: &Studio, reader: &Reader, piece: &str, keep_going: KeepGoing) -> Response {
    let workspace = studio.workspace();
    let gone = || StatusCode::NOT_FOUND.into_response();
    let (Some(design), Some(name)) = (picked(&workspace, reader), reader.get("photo")) else {
        return gone();
    };
    if piece == "picture" {
        let Some((file, bytes)) = picture(&workspace, name) else {
            return gone();
        };
        let kind = if file.ends_with(".png") {
            "image/png"
        } else {
            "image/jpeg"
        };
        // Only what is a picture is handed out as one.
        return match seen::picture(&bytes, &file) {
            Ok(_) => ([(header::CONTENT_TYPE, kind)], bytes).into_response(),
            Err(_) => gone(),
        };
    }
    let asked = asked(&names(&workspace), design, name, reader);
    if piece == "judged" {
        let Some(shop) = &workspace.workshop else {
            return gone();
        };
        return match studio.judge(&workspace, shop, &asked, keep_going) {
            Ok(judged) => verdict(&judged, &asked, reader.voice).into_response(),
            Err(all) => html! { @for one in &all { (finding(one, None, reader.voice)) } }.into_response(),
        };
    }
    let Some(judged) = studio.judged(&workspace, &asked) else {
        return gone();
    };
    match piece {
        "straight" => png(&judged.piece.picture()),
        "drawing" => png(&judged.piece.outlined()),
        "approved" => png(&judged.approved.picture()),
        _ => gone(),
    }
}

fn png(picture: &Picture) -> Response {
    match cloth::png(picture, 25.4) {
        Ok(bytes) => ([(header::CONTENT_TYPE, "image/png")], bytes).into_response(),
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}
