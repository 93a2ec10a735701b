//! A new design from a drawing: dropped or chosen, named, and given the width of its repeat. The first page of a folder
//! without designs.

use super::stamp::drawing::{Sheet, path};
use super::stamp::sized;
use crate::facts::stamp::Drawn;
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::names::hash;
use crate::studio::page::{About, Page};
use crate::studio::parts::finding;
use crate::studio::reader::Reader;
use crate::studio::say::t;
use axum::response::Response;
use maud::{Markup, html};
use stamp::{BuildRule, Ink, Report, Stamp};
use units::System;
use words::{Arg, Finding, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("A new design", "Desain baru"),
    path: "/new",
    about: About::Aside,
    make: page,
    data: None,
};

/// The page.
pub fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let first = workspace.designs.is_empty();
    let (title, said): (&Text, &Text) = if first {
        (
            text!(
                "An empty line, waiting for cloth",
                "Jemuran kosong, menunggu kain"
            ),
            text!(
                "Bring one drawing. It becomes a copper stamp, the stamp prints wax, and you see the cloth before anybody has bought a metre of it.",
                "Bawa satu gambar. Gambar itu menjadi cap tembaga, cap mencetak malam, dan Anda melihat kainnya sebelum ada yang membeli semeter pun."
            ),
        )
    } else {
        (
            text!("Which drawing becomes cloth?", "Gambar mana yang menjadi kain?"),
            text!(
                "It becomes a copper stamp and gets a first route of its own; everything can be changed afterwards.",
                "Gambar itu menjadi cap tembaga dengan alur pertama sendiri; semuanya dapat diubah nanti."
            ),
        )
    };
    let body = html! {
        div.wrap.head { div {
            h1 { (t(title, voice)) }
            p.say { (t(said, voice)) }
        } }
        div.wrap.start {
            (take(voice))
            (how(voice))
        }
    };
    let here = Here::at(&PAGE, PAGE.word, workspace, reader);
    frame::page(studio, reader, &here, body)
}

/// The place to drop a drawing, and what else must be said.
fn take(voice: Voice) -> Markup {
    let width = match voice.system {
        System::Metric => "200 mm",
        System::Imperial => "8 in",
    };
    html! {
        form.mori.take data-take="" autocomplete="off" {
            div.drop-here {
                div.brought hidden {
                    figure { img.preview alt=(t(text!("The drawing", "Gambarnya"), voice)) width="240" height="240"; figcaption.file {} }
                    div.as-wax #as-wax data-busy=(t(text!("It is being read…", "Sedang dibaca…"), voice)) {}
                }
                p.ask { (t(text!("Drop a drawing here: SVG, or a scan as PNG or JPEG", "Letakkan gambar di sini: SVG, atau pindaian PNG atau JPEG"), voice)) }
                label.btn for="drawing" data-another=(t(text!("Take another file", "Ambil berkas lain"), voice)) { (t(text!("or choose a file", "atau pilih berkas"), voice)) }
                input #drawing type="file" accept=".svg,.png,.jpg,.jpeg,image/svg+xml,image/png,image/jpeg";
                p.small.ask { (t(text!(
                    "Dark shapes are waxed and keep the colour under them; everything else is dyed on. One repeat, without a background.",
                    "Bidang gelap diberi malam dan menyimpan warna di bawahnya; selebihnya terus diwarnai. Satu ulangan, tanpa latar."
                ), voice)) }
            }
            div.asked {
            p.sentence-line {
                label for="new-name" { (t(text!("It is called", "Namanya"), voice)) } " "
                input #new-name name="name" type="text" required maxlength="60" size="18";
                ", " label for="new-width" { (t(text!("and one repeat is", "dan satu ulangan selebar"), voice)) } " "
                input #new-width name="width" type="text" required value=(width) size="7" aria-describedby="width-help";
                " " (t(text!("wide on the cloth.", "di kain."), voice)) " "
                span.paint hidden {
                    label for="new-wax" { (t(text!("Wax takes paint darker than", "Malam mengambil warna yang lebih gelap dari"), voice)) } " "
                    output for="new-wax" {} " "
                    input #new-wax name="wax_below" type="range" min="1" max="100" aria-describedby="wax-help";
                }
            }
            p.small #wax-help.paint hidden { (t(text!(
                "0 is black, 100 white paper; a gradient counts as its mean. (Lightness L*, wax_below in the file.)",
                "0 hitam, 100 kertas putih; gradasi dihitung rata-ratanya. (Terang L*, wax_below di berkas.)"
            ), voice)) }
            p.roomy hidden {
                input #new-cut name="cut" type="checkbox" value="1"; " "
                label for="new-cut" { (t(text!("The shapes leave much of the page empty: cut the page to them", "Banyak bagian halaman kosong: potong halaman sesuai bentuknya"), voice)) }
            }
            p.small #width-help { (t(text!(
                "Type it as you measure it: 205 mm, 8 in. A stamp of 150 to 250 mm is comfortable in one hand (common practice, no source).",
                "Tulis seperti diukur: 205 mm, 8 in. Cap 150 sampai 250 mm nyaman di satu tangan (praktik umum, tanpa sumber)."
            ), voice)) }
            div.told role="alert" tabindex="-1"
                data-none=(t(text!("Choose a drawing first.", "Pilih gambar dulu."), voice))
                data-busy=(t(text!("Cutting the stamp and laying the first route…", "Membuat cap dan menyusun alur pertama…"), voice)) {}
            button.btn.go type="submit" { (t(text!("Hang it on the line", "Gantung di jemuran"), voice)) }
            }
            div.read-as role="status" {}
            noscript { p { (t(text!("This needs a script; without one, use the command: lorod new --help", "Ini perlu skrip; tanpa skrip, pakai perintah: lorod new --help"), voice)) } }
        }
    }
}

/// Whether shapes leave much of their page empty, and whether so much that the page is no repeat.
pub fn is_roomy(stamp: &Stamp) -> [bool; 2] {
    let [width, height] = stamp.repeat_mm();
    let around = stamp.area().bounds();
    [FULL, LOST].map(|share| around.is_some_and(|b| b.width() * b.height() < share * width * height))
}

/// Share of its page that the box around a drawing fills at least, where nobody need ask whether it shall be cut.
const FULL: f64 = 0.8;
/// Share below which it is cut unless somebody wants the room: a sheet of paper with a drawing on it, not a repeat.
const LOST: f64 = 0.5;

/// What the stamp would print, at the size asked for.
pub fn as_wax(stamp: &Stamp, voice: Voice) -> Markup {
    let sheet = Sheet::new(stamp.area(), stamp.repeat_mm(), 0);
    let wax = html! { path.wax fill-rule="evenodd" d=(path(stamp.area())) {} };
    let label = t(text!("As wax on the cloth", "Sebagai malam di kain"), voice);
    html! { figure {
        div.paper { (sheet.draw(label, &wax, voice)) }
        figcaption { (label) }
    } }
}

/// How a drawing was read, and whether copper can follow it.
pub fn read_as(drawn: &Drawn, report: &Report, voice: Voice) -> Markup {
    let paints = |wax: bool| drawn.inks.iter().filter(move |ink| ink.wax == wax);
    html! {
        p { (sized(&drawn.stamp, voice)) }
        @if !drawn.traced {
            p.paints {
                @for (said, wax) in [(text!("Wax:", "Malam:"), true), (text!("Bare:", "Tanpa malam:"), false)] {
                    @if paints(wax).next().is_some() {
                        span { (t(said, voice)) @for ink in paints(wax).take(MOST_PAINTS) { " " (chip(ink)) } }
                    }
                }
            }
        }
        @for note in &drawn.notes {
            (finding(note, None, voice))
            @if let Some(limit) = other_limit(note) {
                p { button.btn type="button" data-wax-below=(limit) { (say!("Take wax only from paint darker than {n}", "Ambil malam hanya dari warna lebih gelap dari {n}", n = Arg::Number(limit, 0)).say(voice)) } }
            }
        }
        (followed(report, voice))
    }
}

/// The limit that a note about a drawing's paints proposes instead, if it proposes one.
fn other_limit(note: &Finding) -> Option<f64> {
    let named = note.remedy.iter().flat_map(|remedy| &remedy.args);
    let mut limits = named.filter_map(|(name, value)| match value {
        Arg::Number(limit, _) if ["limit", "n"].contains(name) => Some(limit.round()),
        _ => None,
    });
    limits.rfind(|limit| (1.0..=100.0).contains(limit))
}

/// Paints shown of each kind.
const MOST_PAINTS: usize = 12;

fn chip(ink: &Ink) -> Markup {
    let [r, g, b] = ink.colour;
    let colour = hash([r, g, b]);
    html! { svg.chip viewBox="0 0 10 10" width="18" height="18" role="img" aria-label=(format!("{colour}, L* {:.0}", ink.lightness)) { rect width="10" height="10" fill=(colour) {} } }
}

/// Whether copper can follow the drawing, and where that is told in full.
fn followed(report: &Report, voice: Voice) -> Markup {
    let drawn = report.faults.iter().filter(|fault| fault.rule.drawn());
    let mut rules: Vec<(BuildRule, f64)> = Vec::new();
    for fault in drawn {
        match rules.iter_mut().find(|(rule, _)| *rule == fault.rule) {
            Some((_, n)) => *n += 1.0,
            None => rules.push((fault.rule, 1.0)),
        }
    }
    html! {
        @if rules.is_empty() {
            div.find.good { p { b.w { (t(text!("Good.", "Baik."), voice)) } " " (t(text!("Copper can follow every line at this width.", "Tembaga dapat mengikuti tiap garis pada lebar ini."), voice)) } }
        } @else {
            div.find.look {
                p { b.w { (t(text!("Look.", "Periksa."), voice)) } " " (t(text!("Copper cannot follow all of it at this width:", "Tembaga tidak dapat mengikuti semuanya pada lebar ini:"), voice)) }
                ul.rules { @for (rule, n) in &rules { li { (t(rule.text(), voice)) " (" (voice.number(*n, 0)) ")" } } }
                p.do { (t(text!("A wider repeat helps. So does the stamp page: it shows each place and proposes changes that you keep or refuse.", "Ulangan yang lebih lebar membantu. Halaman cap juga: tiap tempat ditunjukkan dan perubahan diusulkan untuk diterima atau ditolak."), voice)) }
            }
        }
        @for fault in report.faults.iter().filter(|fault| !fault.rule.drawn() && fault.rule.weight() > Weight::Note) {
            (finding(&report.finding(fault), None, voice))
        }
    }
}

/// What will happen, in the words of the trade.
fn how(voice: Voice) -> Markup {
    const STOPS: [(&Text, &Text); 5] = [
        (
            text!("The stamp.", "Cap."),
            text!(
                "Copper strip follows the edges of your shapes. What is too thin or too close for copper is told on the drawing.",
                "Pita tembaga mengikuti tepi bidang. Yang terlalu tipis atau rapat untuk tembaga ditunjukkan pada gambar."
            ),
        ),
        (
            text!("First colours.", "Warna pertama."),
            text!(
                "The cloth is scrunched, sponged with dye, left in the sun, and rinsed.",
                "Kain dikerut, ditotol pewarna, dijemur, lalu dibilas."
            ),
        ),
        (
            text!("Wax, then bleach.", "Malam, lalu pemutih."),
            text!(
                "Hot wax keeps the first colours under your motif; a bleach bath clears the rest.",
                "Malam panas menyimpan warna pertama di bawah motif; bak pemutih membersihkan selebihnya."
            ),
        ),
        (
            text!("The ground.", "Latar."),
            text!(
                "Baths and sprays colour what the wax left open. How long the cloth lies in each is yours to decide.",
                "Bak dan semprotan mewarnai yang tidak tertutup malam. Lamanya Anda yang menentukan."
            ),
        ),
        (
            text!("Boil off.", "Lorod."),
            text!(
                "The wax melts away and the cloth is finished. You see every step before it is done.",
                "Malam luruh dan kain jadi. Tiap langkah terlihat sebelum dikerjakan."
            ),
        ),
    ];
    html! {
        section.how aria-labelledby="how-title" {
            h2 #how-title { (t(text!("What will happen to it", "Apa yang terjadi dengannya"), voice)) }
            ol { @for (what, how) in STOPS { li { b { (t(what, voice)) } " " (t(how, voice)) } } }
        }
    }
}
