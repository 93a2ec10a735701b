//! The finished cloth to take colours from: by a click on it, on a picture, or out of a file of measurements.

use crate::studio::Studio;
use crate::studio::pages::look::{SCALES, words};
use crate::studio::picture::{across, lamp, mark};
use crate::studio::reader::Reader;
use crate::studio::say::t;
use ::colour::Illuminant;
use maud::{Markup, html};
use route::Design;
use serde_json::json;
use std::sync::Arc;
use words::{Arg, Voice, say, text};
use workspace::RegionTarget;

/// The table with the cloth, and beneath it what was picked and where else colours come from.
pub fn laid(studio: &Studio, design: &Arc<Design>, targets: &[RegionTarget], reader: &Reader) -> Markup {
    let voice = reader.voice;
    let beside = lamp(reader.get("lamp")).unwrap_or(Illuminant::D65);
    html! {
        (table(studio, design, beside, voice))
        div.under {
            p.reading #reading role="status" {
                span.chip aria-hidden="true" {}
                span.said { (t(text!("Click on the cloth to pick a colour from it.", "Klik kain untuk mengambil warnanya."), voice)) }
            }
            div.seg.near role="group" aria-label=(t(text!("How near", "Seberapa dekat"), voice)) {
                button type="button" data-near="out" aria-label=(t(text!("Farther", "Menjauh"), voice)) { "−" }
                @for (key, word) in SCALES { button type="button" data-near=(key) { (t(word, voice)) } }
                button type="button" data-near="in" aria-label=(t(text!("Nearer", "Mendekat"), voice)) { "+" }
            }
        }
        div.under.places {
            p.small #where {}
            div.seg.thin role="group" aria-label=(t(text!("Seen under", "Dilihat di bawah"), voice)) data-part="lamp" {
                @for one in Illuminant::ALL {
                    a href=(reader.here(&[("lamp", if one == Illuminant::D65 { "" } else { one.key() })])) data-lay="" aria-current=[(one == beside).then_some("true")] { (t(&one.term().text, voice)) }
                }
            }
        }
        div data-part="pick" { (pick(targets, voice)) }
    }
}

fn table(studio: &Studio, design: &Design, beside: Illuminant, voice: Voice) -> Markup {
    let step = design.steps.last().map_or("", |s| s.id.as_str());
    let spec = |lamp: Illuminant| {
        let mut spec = json!({ "design": design.id, "step": step, "v": mark(studio, design, step) });
        if let (true, Some(whole)) = (lamp != Illuminant::D65, spec.as_object_mut()) {
            whole.insert("lamp".into(), lamp.key().into());
        }
        spec
    };
    let repeat = design
        .stamps
        .first()
        .map_or(200.0, |used| used.stamp.repeat_mm()[0]);
    let cloth = json!({
        "width": design.cloth.width.to_mm(), "length": design.cloth.length.to_mm(),
        "repeat": repeat, "bolt": 0, "sample": cloth::WIDEST_SAMPLE, "left": spec(Illuminant::D65), "right": spec(beside),
    });
    let label = say!(
        "{name}, finished. Arrow keys move over the cloth, plus and minus come nearer and farther, Enter picks the colour in the middle.",
        "{name}, jadi. Tombol panah menggeser kain, tambah dan kurang mendekat dan menjauh, Enter mengambil warna di tengah.",
        name = Arg::Name(design.name.clone())
    );
    let still = across(design, 960.0);
    let (wide, high) = still.size();
    html! {
        div class=(if beside == Illuminant::D65 { "table alone" } else { "table" }) data-cloth=(cloth) data-words=(words(0, voice))
            data-scale="yard" data-label=(label.say(voice)) {
            noscript { img src=(still.href(studio, design, step, 0)) width=(wide) height=(high) alt=(design.name); }
            input.pull type="range" min="0" max="100" value="54" hidden
                aria-label=(t(text!("Pull the seam to compare", "Tarik sambungan untuk membandingkan"), voice));
            div.seam aria-hidden="true" { span { "↔" } }
            p.cap.left data-part="cap-left" { (t(text!("finished, in daylight", "jadi, di cahaya siang"), voice)) }
            p.cap.right data-part="cap-right" { (t(&beside.term().text, voice)) }
        }
    }
}

/// What was picked and which region gets it; a picture and a file to pick from.
fn pick(targets: &[RegionTarget], voice: Voice) -> Markup {
    html! {
        div.picked #picked hidden {
            span.chip aria-hidden="true" {}
            b.said {}
            @if !targets.is_empty() {
                label for="give-to" { (t(text!("for", "untuk"), voice)) }
                select #give-to { @for (at, target) in targets.iter().enumerate() { option value=(at) { (target.name) } } }
                button.btn.go type="button" data-give="" { (t(text!("Make it the colour to reach", "Jadikan warna tujuan"), voice)) }
            }
        }
        details.sources {
            summary { (t(text!("Take colours from a picture, or from a file of measurements", "Ambil warna dari gambar, atau dari berkas hasil ukur"), voice)) }
            div.row {
                label.file-of for="from-picture" { (t(text!("A picture", "Gambar"), voice)) }
                input #from-picture type="file" accept="image/*";
            }
            p.small { (t(text!("A photograph shows what the camera saw: for a colour that must be met, measure the cloth.", "Foto menunjukkan yang dilihat kamera: untuk warna yang harus tepat, ukur kainnya."), voice)) }
            canvas #picture-held hidden tabindex="0" role="img" aria-label=(t(text!("The picture: click to pick a colour", "Gambar: klik untuk mengambil warna"), voice)) {}
            div.row {
                label.file-of for="from-file" { (t(text!("Measurements", "Hasil ukur"), voice)) }
                input #from-file type="file" accept=".csv,.txt,text/*";
                label for="file-scale" { (t(text!("reflectances in", "reflektansi dalam"), voice)) }
                select #file-scale {
                    option value="" { (t(text!("what the file says", "yang disebut berkas"), voice)) }
                    option value="percent" { (t(text!("percent", "persen"), voice)) }
                    option value="fraction" { (t(text!("fractions of 1", "pecahan dari 1"), voice)) }
                }
            }
            div.told #measured-told role="status" data-none=(t(text!("This file is no picture that can be read.", "Berkas ini bukan gambar yang dapat dibaca."), voice)) {}
            ul.samples #measured {}
        }
    }
}
