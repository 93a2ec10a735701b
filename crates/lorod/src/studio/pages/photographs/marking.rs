//! Where the window and what tells the colours stand on a photograph: marked by mouse, by keys, or typed.

use crate::studio::parts::finding;
use crate::studio::photographs::{Asked, values};
use crate::studio::reader::escape;
use crate::studio::say::t;
use maud::{Markup, html};
use words::{Arg, Finding, Place, Text, Voice, Weight, say, text};
use workspace::{Corners, Guide, Photograph, Workspace};

/// Of a window, of the card around it, mm; of a grey card, of a common target.
const USUAL_WINDOW: [f64; 2] = [240.0; 2];
const USUAL_CARD: f64 = 18.0;
const USUAL_GREY: f64 = 0.18;
const USUAL_PATCHES: [u32; 2] = [6, 4];

/// The picture to mark, and the sentence with its sizes. `picture` is its address.
pub fn form(
    workspace: &Workspace,
    asked: &Asked,
    marked: Option<&Photograph>,
    picture: &str,
    voice: Voice,
) -> Markup {
    let mm = |mm: f64| format!("{} mm", voice.number(mm, 0));
    let [across, along] = marked.map_or(USUAL_WINDOW, |m| m.window_mm).map(mm);
    let card = marked
        .map_or(Some(USUAL_CARD), |m| m.card_mm)
        .map_or_else(String::new, mm);
    let guide = marked.map(|m| &m.guide);
    let by_target = matches!(guide, Some(Guide::Target { .. }));
    let (grey, reflectance) = match guide {
        Some(Guide::Grey { corners, reflectance }) => (Some(corners), *reflectance),
        _ => (None, USUAL_GREY),
    };
    let (target, [columns, rows], named) = match guide {
        Some(Guide::Target {
            corners,
            columns,
            rows,
            values,
        }) => (Some(corners), [*columns, *rows], values.as_str()),
        _ => (None, USUAL_PATCHES, ""),
    };
    let share = format!("{} %", voice.number(100.0 * reflectance, 0));
    let files = values(workspace, marked);
    let name = Arg::Name(asked.name.clone());
    html! {
        p { (t(text!(
            "Choose what you mark, then click its four corners, in any order; a fifth click begins anew. By keys: the arrows move the cross (with Shift by ten), Enter marks, Backspace takes the last corner back. Corners can also be typed.",
            "Pilih yang ditandai, lalu klik keempat sudutnya, urutan bebas; klik kelima mulai lagi. Dengan tombol: panah menggeser silang (dengan Shift sepuluh kali), Enter menandai, Backspace menghapus sudut terakhir. Sudut juga dapat diketik."
        ), voice)) }
        form.promise.marking data-marking=(format!("/api/photographs/{}", escape(&asked.name))) autocomplete="off" {
            fieldset { legend { (t(text!("Mark", "Tandai"), voice)) }
                label { input type="radio" name="which" value="window" checked; " " (t(text!("the window", "jendela"), voice)) }
                label data-for="grey" hidden[by_target] { input type="radio" name="which" value="grey"; " " (t(text!("the grey card", "kartu abu-abu"), voice)) }
                label data-for="target" hidden[!by_target] { input type="radio" name="which" value="target"; " " (t(text!("the target", "target"), voice)) }
            }
            div.marked data-marks="" tabindex="0" role="application" aria-describedby="marks-where"
                aria-label=(say!("The photograph {name}, to be marked", "Foto {name}, untuk ditandai", name = name.clone()).say(voice)) {
                img src=(picture) width="960" height="720" alt=(say!("The photograph {name}", "Foto {name}", name = name).say(voice));
                svg aria-hidden="true" { polygon.window {} polygon.grey {} polygon.target {} path.cross {} }
                canvas.loupe width="132" height="132" aria-hidden="true" hidden {}
            }
            p.small #marks-where role="status" data-where=(t(text!("Cross at {x}, {y}; corners marked: {n} of 4", "Silang di {x}, {y}; sudut ditandai: {n} dari 4"), voice)) {}
            p.sentence-line {
                (field("across", text!("The window is", "Jendela selebar"), &across, 7, voice)) " "
                (field("along", text!("across and", "melintang dan"), &along, 7, voice)) " " (t(text!("along the cloth", "membujur kain"), voice)) "; "
                (field("card", text!("the white card around it is at least", "karton putih di sekelilingnya paling sedikit"), &card, 6, voice)) ". "
                label for="guide" { (t(text!("Colours are told by", "Acuan warna:"), voice)) } " "
                select #guide data-guide="" {
                    option value="grey" selected[!by_target] { (t(text!("a grey card", "kartu abu-abu"), voice)) }
                    option value="target" selected[by_target] { (t(text!("a target of known patches", "target berbidang warna"), voice)) }
                }
                span data-for="grey" hidden[by_target] { " "
                    (field("reflectance", text!("that gives back", "yang memantulkan"), &share, 5, voice))
                    " " (t(text!("of the light", "cahaya"), voice)) }
                span data-for="target" hidden[!by_target] { " "
                    (field("columns", text!("in", "dalam"), &columns.to_string(), 2, voice)) " "
                    (field("rows", text!("columns and", "kolom dan"), &rows.to_string(), 2, voice)) " " (t(text!("rows", "baris"), voice)) ", "
                    label for="values" { (t(text!("as measured in", "terukur di"), voice)) } " "
                    select #values name="values" { @for file in &files { option value=(file) selected[file == named] { (file.trim_start_matches("../")) } } } }
                "."
            }
            @if files.is_empty() { div data-for="target" hidden[!by_target] { (finding(&no_files(), None, voice)) } }
            p.corners {
                (corners("window", text!("Corners of the window", "Sudut jendela"), marked.map(|m| &m.corners), voice)) " "
                span data-for="grey" hidden[by_target] { (corners("grey", text!("Corners of the grey card", "Sudut kartu abu-abu"), grey, voice)) }
                span data-for="target" hidden[!by_target] { (corners("target", text!("Corners of the target", "Sudut target"), target, voice)) }
            }
            div.told role="alert" {}
            button.btn.go type="submit" { (t(text!("Keep the marks and compare", "Simpan tanda dan bandingkan"), voice)) }
        }
    }
}

fn field(id: &'static str, label: &Text, value: &str, size: usize, voice: Voice) -> Markup {
    html! {
        label for=(id) { (t(label, voice)) } " "
        input id=(id) name=(id) type="text" value=(value) size=(size) spellcheck="false";
    }
}

fn corners(id: &'static str, label: &Text, corners: Option<&Corners>, voice: Voice) -> Markup {
    let point = |p: &[f64; 2]| format!("{:.1},{:.1}", p[0], p[1]);
    let typed = corners.map_or_else(String::new, |all| {
        all.iter().map(point).collect::<Vec<_>>().join(" ")
    });
    field(id, label, &typed, 44, voice)
}

fn no_files() -> Finding {
    let found = say!(
        "no file of measured patches lies in the folder",
        "belum ada berkas bidang terukur di folder"
    );
    Finding::new("no-target-values", Weight::Doubtful, Place::Request, found).remedy(say!(
        "bring the target's measurements on the folder's page first",
        "bawa dulu hasil ukur target di halaman folder"
    ))
}
