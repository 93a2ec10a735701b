//! The bath of a bleach as it is now: what was seen at the tank, when to lift this load and the next, and antichlor for
//! their cloth, on a sheet of its own. A third sheet, on another page, empties the tank.

use super::step::mark;
use crate::facts::tank::{Known, Sheets, TINTS, tank};
use crate::facts::window::{Timed, percent};
use crate::studio::parts::finding;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{amount, span, t};
use crate::studio::windows::{NORMALITY, seen};
use cloth::window::millimetres;
use maud::{Markup, html};
use route::{Caution, Design, Workshop};
use std::sync::Arc;
use units::{Measure, Quantity};
use words::{Arg, Finding, Voice, say, text};

/// The panel; nothing for a step without a tank.
pub fn panel(design: &Arc<Design>, shop: &Workshop, step: &Timed, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let Ok(tank) = tank(design, shop, Some(&step.id)) else {
        return html! {};
    };
    let read = seen(reader);
    let wrong: &[Finding] = read.as_ref().err().map_or(&[], Vec::as_slice);
    let sheets = tank.sheets(read.as_ref().ok().unwrap_or(&Default::default()), shop);
    html! {
        section.mori.tank aria-labelledby="tank-q" {
            h2 #tank-q { (t(text!("This bath, now: when to lift?", "Bak ini sekarang: kapan diangkat?"), voice)) }
            (form(design, step, reader))
            (watch(design, step, voice))
            @for one in wrong { (finding(one, None, voice)) }
            @if wrong.is_empty() { (answer(&sheets, reader.get("strip").is_some(), voice)) }
            (care(tank.cautions, voice))
            p.small { a href=(emptying(design, step, reader)) {
                (t(text!("What goes into each bath, and how the tank is emptied", "Isi tiap bak, dan cara mengosongkan bak"), voice))
            } }
        }
        @if wrong.is_empty() { (tub(&sheets, voice)) }
    }
}

/// Antichlor for the cloth of this load. Never beside what goes into the bleach.
fn tub(sheets: &Sheets, voice: Voice) -> Markup {
    let [dose, rule] = sheets.tub.lines(&sheets.tank);
    html! {
        section.mori.tub aria-labelledby="tub-q" {
            h2 #tub-q { (t(text!("How much antichlor for this load's cloth?", "Berapa penetral klorin untuk kain muatan ini?"), voice)) }
            p.num { (amount(Quantity::new(sheets.tub.weighed().0, Measure::Mass), voice)) small { (say!(
                "metabisulfite, {n} bolts",
                "metabisulfit, {n} gulung",
                n = Arg::Number(f64::from(sheets.tank.bolts), 0)
            ).say(voice)) } (mark(Some(&sheets.tub.origin), voice)) }
            p { (dose.say(voice)) }
            p.small { (rule.say(voice)) }
            p.small { (t(text!(
                "Into the tub goes only cloth that was rinsed once. It is done when starch-iodide paper stays white on three places of each bolt.",
                "Hanya kain yang sudah dibilas sekali masuk ke bak penetral. Selesai bila kertas kanji-iodida tetap putih di tiga tempat tiap gulung."
            ), voice)) }
            (care(sheets.tub.cautions, voice))
        }
    }
}

fn care(cautions: &[Caution], voice: Voice) -> Markup {
    html! {
        section.care {
            h3 { (t(text!("Take care", "Awas"), voice)) }
            ul { @for caution in cautions { li { (t(&caution.text, voice)) } } }
            p.small { (t(&route::DEFER, voice)) }
        }
    }
}

/// Where the tank is emptied, for the strength that was titrated.
fn emptying(design: &Design, step: &Timed, reader: &Reader) -> String {
    let mut href = format!("/baths?design={}&step={}", escape(&design.id), escape(&step.id));
    for key in ["titrated", "sample"] {
        if let Some(typed) = reader.get(key).filter(|typed| !typed.is_empty()) {
            href += &format!("&{key}={}", escape(typed));
        }
    }
    href + "#emptying"
}

fn form(design: &Design, step: &Timed, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let field = |key: &str, label: &'static words::Text, example: &str| {
        html! {
            span.q.field { label for=(format!("k-{key}")) { (t(label, voice)) } " "
                input id=(format!("k-{key}")) name=(key) type="text" value=(reader.get(key).unwrap_or("")) placeholder=(example) size="6" spellcheck="false"; }
        }
    };
    html! {
        form.limits method="get" action=(reader.path) {
            input type="hidden" name="design" value=(design.id);
            input type="hidden" name="step" value=(step.id);
            p.fields {
                (field("strip", text!("The witness strip reached the printed tint at", "Potong uji mencapai warna cetak pada"), "4:10")) ". "
                (field("titrated", text!("The sample took", "Cuplikan memakai"), "8.1 mL")) " "
                (say!("of {n} N thiosulfate for", "tiosulfat {n} N untuk", n = Arg::Number(NORMALITY, 1)).say(voice)) " "
                (field("sample", text!("bath:", "larutan bak:"), "10 mL")) ", "
                (field("temperature", text!("at", "pada"), "29 C")) ". "
                (field("stock", text!("The stock holds", "Stok berisi"), "80 g/L")) "; "
                (field("done", text!("loads done in this bath:", "muatan yang sudah masuk:"), "0")) "."
            }
            button.btn type="submit" { (t(text!("When?", "Kapan?"), voice)) }
        }
    }
}

/// A clock for the witness strip. It is shown where a script runs it; what it comes to may be typed just as well.
fn watch(design: &Design, step: &Timed, voice: Voice) -> Markup {
    html! {
        div.watch hidden data-watch="k-strip" data-of=(format!("{} {}", design.id, step.id))
            data-runs=(t(text!("The clock runs.", "Jam berjalan."), voice))
            data-noted=(t(text!("0:00 stands in the field.", "0:00 sudah tercatat di isian."), voice)) {
            span.time role="timer" aria-label=(t(text!("Clock of the witness strip", "Jam potong uji"), voice)) { "0:00" }
            button.btn type="button" data-clock="start" { (t(text!("The strip goes in: start", "Potong uji masuk: mulai"), voice)) }
            button.btn.go type="button" data-clock="stop" hidden { (t(text!("It has the printed tint: stop", "Sudah sewarna cetak: berhenti"), voice)) }
            span.small role="status" {}
        }
    }
}

fn answer(sheets: &Sheets, asked: bool, voice: Voice) -> Markup {
    let now = say!(
        "{strength} available chlorine, {temperature}{whose}.",
        "Klorin aktif {strength}, {temperature}{whose}.",
        strength = Arg::Name(amount(
            Quantity::new(sheets.now.chlorine, Measure::PerVolume),
            voice
        )),
        temperature = Arg::Name(amount(
            Quantity::new(sheets.now.temperature.0, Measure::Temperature),
            voice
        )),
        whose = Arg::Name(
            if sheets.titrated {
                ""
            } else {
                t(text!(": the design's", ": angka desain"), voice)
            }
            .to_string()
        )
    );
    html! {
        div aria-live="polite" {
            p.small { (now.say(voice)) }
            @match (&sheets.strip, sheets.known) {
                (Some(read), _) => {
                    p.num { (span(read.lift.0, voice)) small { (t(text!("lift", "angkat"), voice)) } }
                    p.small { (say!(
                        "The strip says clear ({clear} %) at {done}; the bleach works on in lifted cloth for {lag}.",
                        "Menurut potong uji bersih ({clear} %) pada {done}; pemutih di kain masih bekerja {lag}.",
                        clear = Arg::Number(TINTS.1 * 100.0, 0),
                        done = Arg::Name(span(read.clear.0, voice)),
                        lag = Arg::Name(span(sheets.now.lag.0, voice))
                    ).say(voice)) }
                },
                (None, Known::ByRates) => {
                    @if let Some(first) = sheets.batches.first() {
                        p.num { (span(first.strengthened_time.0, voice)) small { (t(text!("lift", "angkat"), voice)) } }
                        p.small { (t(text!("From the design's time, by dose and temperature; rates were measured here.", "Dari waktu desain, menurut dosis dan suhu; laju sudah diukur di sini."), voice)) }
                    }
                },
                (None, _) => (no_time(sheets, asked, voice)),
            }
            @if let Some(longest) = sheets.longest {
                p.small { (say!(
                    "The thinnest line stands {time} in the bath, whatever its strength.",
                    "Garis tertipis bertahan {time} di bak, berapa pun kekuatannya.",
                    time = Arg::Name(span(longest.0, voice))
                ).say(voice)) }
            }
            @if !sheets.batches.is_empty() { (batches(sheets, voice)) }
        }
    }
}

fn no_time(sheets: &Sheets, asked: bool, voice: Voice) -> Markup {
    let dye = sheets.tank.slowest.as_ref().map_or("", |dye| dye.name.as_str());
    let said = if asked {
        say!("This strip gives no time.", "Potong uji ini tidak memberi waktu.")
    } else {
        say!(
            "No time to lift yet: how fast {dye} clears is only assumed. Do this strip: hang an unwaxed piece of this dyeing in first, and note when it reaches the printed 10 % tint.",
            "Belum ada waktu angkat: kecepatan cabut {dye} masih perkiraan. Lakukan uji ini: gantung dulu potongan tanpa malam dari celupan ini, catat saat mencapai warna cetak 10 %.",
            dye = Arg::Name(dye.to_string())
        )
    };
    html! { div.find.look { p { b.w { (t(text!("Look.", "Periksa."), voice)) } " " (said.say(voice)) } } }
}

/// This load and the next, until the tank is emptied.
fn batches(sheets: &Sheets, voice: Voice) -> Markup {
    let chlorine = |g_per_l: f64| amount(Quantity::new(g_per_l, Measure::PerVolume), voice);
    html! {
        table.plain {
            thead { tr {
                th scope="col" { (t(text!("Load", "Muatan"), voice)) }
                th.n scope="col" { (t(text!("chlorine", "klorin"), voice)) }
                th.n scope="col" {
                    (t(text!("lift at", "angkat pada"), voice))
                    @if let Some(line) = sheets.tank.line() {
                        small { (say!("what is left of {line} lines", "sisa garis {line}", line = Arg::Name(millimetres(line, voice))).say(voice)) }
                        (mark(sheets.tank.creep.as_ref(), voice))
                    }
                }
            } }
            tbody { @for batch in &sheets.batches {
                tr {
                    th scope="row" {
                        (batch.number)
                        @if batch.add > 0.0 { small { (say!(
                            "first add {stock} of stock", "tambah dulu stok {stock}",
                            stock = Arg::Name(amount(Quantity::new(batch.add / 1000.0, Measure::Volume), voice))
                        ).say(voice)) } }
                        @if batch.dump { small { (t(text!("empty the tank after it", "kosongkan bak sesudahnya"), voice)) } }
                    }
                    td.n { (chlorine(batch.strengthened)) }
                    td.n {
                        b { (span(batch.strengthened_time.0, voice)) }
                        @if let Some((left, share)) = sheets.line_left(batch.strengthened_time) {
                            small { (millimetres(left, voice)) ", " (percent(share, voice)) }
                        }
                    }
                }
            } }
        }
    }
}
