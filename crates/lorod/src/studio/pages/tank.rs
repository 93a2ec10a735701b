//! The bath of a bleach as it is now: what was seen at the tank, and when to lift this load and the next.

use crate::facts::tank::{Known, Sheets, TINTS, tank};
use crate::facts::window::Timed;
use crate::studio::parts::finding;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{amount, span, t};
use crate::studio::windows::{NORMALITY, seen};
use maud::{Markup, html};
use route::{Design, Workshop};
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
            @for one in wrong { (finding(one, None, voice)) }
            @if wrong.is_empty() { (answer(&sheets, reader.get("strip").is_some(), voice)) }
            section.care {
                h3 { (t(text!("Take care", "Awas"), voice)) }
                ul { @for caution in tank.cautions { li { (t(&caution.text, voice)) } } }
                p.small { (t(&route::DEFER, voice)) }
            }
            p.small { a href=(format!("/baths?design={}", escape(&design.id))) {
                (t(text!("What goes into each bath, and how it is emptied", "Isi tiap bak, dan cara mengosongkannya"), voice))
            } }
        }
    }
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
                th.n scope="col" { (t(text!("lift at", "angkat pada"), voice)) }
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
                    td.n { b { (span(batch.strengthened_time.0, voice)) } }
                }
            } }
        }
    }
}
