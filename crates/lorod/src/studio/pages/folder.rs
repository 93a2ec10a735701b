//! The folder itself: taken along as one archive, another one unpacked beside it, measurements brought in, and where
//! other programs find what stands on the pages.

use crate::studio::Studio;
use crate::studio::data;
use crate::studio::file::File;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::reader::Reader;
use crate::studio::say::{finding, t};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use words::{Arg, Voice, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Folder", "Folder"),
    path: "/folder",
    about: About::All,
    make: page,
    data: Some(&crate::studio::data::line::FOLDER),
};

/// Folder of measured samples.
pub const MEASURED: &str = "measured";

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let measured = names(&workspace.dir.join(MEASURED));
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("Where does all this lie?", "Di mana semua ini tersimpan?"), voice)) }
            p.say { (say!(
                "In the folder {dir}, as plain files. Designs: {n}; dyes: {d}; orders: {o}.",
                "Di folder {dir}, sebagai berkas biasa. Desain: {n}; pewarna: {d}; pesanan: {o}.",
                dir = Arg::Name(workspace.dir.display().to_string()),
                n = Arg::Number(workspace.designs.len() as f64, 0),
                d = Arg::Number(workspace.dyes.len() as f64, 0),
                o = Arg::Number(workspace.orders.len() as f64, 0)
            ).say(voice)) }
        } }
        div.wrap.after.three.folder {
            section.mori {
                h2 { (t(text!("Take it along", "Bawa serta"), voice)) }
                p { (t(text!("Everything you wrote, in one archive. What was computed stays here: it can be made again.", "Semua yang Anda tulis, dalam satu arsip. Yang dihitung tetap di sini: dapat dibuat lagi."), voice)) }
                p { a.btn.go href="/archive" download { (t(text!("Take the archive", "Ambil arsip"), voice)) } }
                h3 { (t(text!("For other programs", "Untuk program lain"), voice)) }
                ul.plain-list {
                    li { a href="/api" { (t(text!("Description of the local interface (OpenAPI)", "Keterangan antarmuka lokal (OpenAPI)"), voice)) } }
                    li { (t(text!("Every page hands out what stands on it at its foot, as JSON, CSV and PDF.", "Tiap halaman membagikan isinya di kaki halaman, sebagai JSON, CSV, dan PDF."), voice)) }
                    @for (page, _) in data::all() {
                        @let first = workspace.designs.iter().find_map(|file| Some(file.design.as_ref()?.id.as_str()));
                        @let all = data::offer::offers(page, first.filter(|_| matches!(page.about, About::Design | About::OneDesign)), &Reader::default());
                        @if page.path != PAGE.path { li { (t(page.word, voice)) ": "
                            @for (at, one) in all.iter().enumerate() { @if at > 0 { " · " } a href=(one.href) title=(t(one.what, voice)) { (one.form) } }
                        } }
                    }
                }
            }
            section.mori {
                h2 { (t(text!("Unpack another", "Buka yang lain"), voice)) }
                p { (t(text!("An archive that somebody gave you becomes a new folder beside this one. Nothing here is touched.", "Arsip dari orang lain menjadi folder baru di samping ini. Yang di sini tidak disentuh."), voice)) }
                (bring("archive", "/api/archive", ".zip,application/zip", text!("Choose an archive", "Pilih arsip"), voice))
            }
            section.mori {
                h2 { (t(text!("Bring measurements", "Bawa hasil ukur"), voice)) }
                p { (t(text!("Spectra or colours of samples as text, as a spectrophotometer writes them. They are read and judged before they are kept.", "Spektrum atau warna contoh sebagai teks, seperti ditulis spektrofotometer. Dibaca dan dinilai sebelum disimpan."), voice)) }
                (bring("measured", "/api/measured", ".txt,.csv,.tsv,.cgats,text/plain", text!("Choose a file", "Pilih berkas"), voice))
                @if !measured.is_empty() {
                    details { summary { (say!("{n} files of measurements", "{n} berkas hasil ukur", n = Arg::Number(measured.len() as f64, 0)).say(voice)) }
                        ul.plain-list { @for name in &measured { li { (name) } } } }
                }
            }
        }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// A place to drop a file that is sent as it is.
fn bring(key: &str, to: &str, accept: &str, label: &'static words::Text, voice: Voice) -> Markup {
    html! {
        form.bring data-bring=(to) {
            label.btn for=(format!("bring-{key}")) { (t(label, voice)) }
            input id=(format!("bring-{key}")) type="file" accept=(accept);
            p.small { (t(text!("or drop it here", "atau letakkan di sini"), voice)) }
            div.told role="status" data-busy=(t(text!("It is being read…", "Sedang dibaca…"), voice)) {}
        }
    }
}

/// Files of a folder of the workspace, by name.
pub fn names(dir: &std::path::Path) -> Vec<String> {
    let entries = std::fs::read_dir(dir).into_iter().flatten().flatten();
    let mut all: Vec<String> = entries
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|n| !n.starts_with('.'))
        .collect();
    all.sort();
    all
}

/// The folder as an archive.
pub fn archive(_: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    match workspace::pack(workspace) {
        Ok(zip) => {
            let name = workspace
                .dir
                .file_name()
                .map_or_else(|| "workspace".into(), |n| n.to_string_lossy().into_owned());
            File::archive(&format!("{name}.zip"), zip).into_response()
        }
        Err(refused) => {
            let told = html! { (finding(&refused.finding(), None, reader.voice)) };
            (StatusCode::CONFLICT, told).into_response()
        }
    }
}
