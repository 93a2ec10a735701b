//! A new design from a drawing: dropped or chosen, named, and given the width of its repeat. The first page of a folder
//! without designs.

use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::reader::Reader;
use crate::studio::say::t;
use axum::response::Response;
use maud::{Markup, html};
use units::System;
use words::{Text, Voice, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("A new design", "Desain baru"),
    path: "/new",
    about: About::Aside,
    make: page,
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
                img.preview alt=(t(text!("The drawing", "Gambarnya"), voice)) width="240" height="240" hidden;
                p.file { (t(text!("Drop an SVG drawing here", "Letakkan gambar SVG di sini"), voice)) }
                label.btn for="drawing" { (t(text!("or choose a file", "atau pilih berkas"), voice)) }
                input #drawing type="file" accept=".svg,image/svg+xml";
                p.small { (t(text!(
                    "Filled shapes are waxed and keep the colour under them; everything else is dyed on. One repeat, without a background.",
                    "Bidang terisi diberi malam dan menyimpan warna di bawahnya; selebihnya terus diwarnai. Satu ulangan, tanpa latar."
                ), voice)) }
            }
            p.sentence-line {
                label for="new-name" { (t(text!("It is called", "Namanya"), voice)) } " "
                input #new-name name="name" type="text" required maxlength="60" size="18";
                ", " label for="new-width" { (t(text!("and one repeat is", "dan satu ulangan selebar"), voice)) } " "
                input #new-width name="width" type="text" required value=(width) size="7" aria-describedby="width-help";
                " " (t(text!("wide on the cloth.", "di kain."), voice))
            }
            p.small #width-help { (t(text!(
                "Type it as you measure it: 205 mm, 8 in. A stamp of 150 to 250 mm is comfortable in one hand (common practice, no source).",
                "Tulis seperti diukur: 205 mm, 8 in. Cap 150 sampai 250 mm nyaman di satu tangan (praktik umum, tanpa sumber)."
            ), voice)) }
            div.told role="alert" tabindex="-1"
                data-none=(t(text!("Choose a drawing first.", "Pilih gambar dulu."), voice))
                data-busy=(t(text!("Cutting the stamp and laying the first route…", "Membuat cap dan menyusun alur pertama…"), voice)) {}
            button.btn.go type="submit" { (t(text!("Hang it on the line", "Gantung di jemuran"), voice)) }
            noscript { p { (t(text!("This needs a script; without one, use the command: lorod new --help", "Ini perlu skrip; tanpa skrip, pakai perintah: lorod new --help"), voice)) } }
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
