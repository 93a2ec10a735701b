//! What a stamp is made of: strips, metres, hours, price, and the drawings that it is built from.

use super::drawing::{Sheet, n};
use super::{Held, count, length};
use crate::facts::building::{Building, Repeat};
use crate::studio::pages::price::money;
use crate::studio::parts::finding;
use crate::studio::say::{amount, t};
use maud::{Markup, html};
use stamp::{Norm, StripPlan, Use};
use units::{Measure, Quantity};
use words::{Arg, Text, Voice, say, text};

/// Sizes of paper: key, name.
pub const PAPERS: [(&str, &str); 3] = [("a4", "A4"), ("a3", "A3"), ("letter", "Letter")];

/// Name of a use of strip.
pub const fn used_for(kind: Use) -> &'static Text {
    match kind {
        Use::Line => text!("on the middle of a line", "di tengah garis"),
        Use::Outline => text!("around a wider part", "keliling bagian lebar"),
        Use::Fill => text!("inside a wider part", "di dalam bagian lebar"),
        Use::Dot => text!("pin", "paku"),
    }
}

/// The piece.
pub fn piece(held: &Held, plan: &StripPlan, repeat: &Repeat) -> Markup {
    let voice = held.voice;
    let building = Building::from(plan.clone(), &held.shop, &held.limits, &Norm::default());
    let hours = building.hours;
    let hour = |h: f64| Arg::Number(h, 0);
    html! {
        div.two.stamp-page {
            section.mori aria-labelledby="copper-title" {
                h2 #copper-title { (t(text!("What is the stamp made of?", "Cap ini terbuat dari apa?"), voice)) }
                table.facts { tbody {
                    @for kind in [Use::Line, Use::Outline, Use::Fill] { @if plan.count(kind) > 0 {
                        tr { th scope="row" { (strip_word(voice)) " " (t(used_for(kind), voice)) }
                            td.n { (say!("{m} in {n} pieces", "{m} dalam {n} bilah", m = Arg::Name(metres(plan.metres(kind), voice)), n = count(plan.count(kind))).say(voice)) } }
                    } }
                    @if plan.count(Use::Dot) > 0 { tr { th scope="row" { (t(text!("Pins", "Paku"), voice)) } td.n { (plan.count(Use::Dot)) } } }
                    tr { th scope="row" { (t(text!("Joints to solder", "Sambungan patri"), voice)) } td.n { (plan.joints.len()) } }
                    tr { th scope="row" { (t(text!("Weight with frame and handle", "Berat dengan rangka dan gagang"), voice)) } td.n { (amount(Quantity::new(building.weight_kg, Measure::Mass), voice)) } }
                    tr { th scope="row" { (t(text!("Hours of one stamp maker", "Jam kerja seorang pembuat cap"), voice)) }
                        td.n { (say!("about {h}, between {least} and {most}", "sekitar {h}, antara {least} dan {most}", h = hour(hours.likely), least = hour(hours.least), most = hour(hours.most)).say(voice)) } }
                    @if let Ok(price) = &building.price {
                        tr { th scope="row" { (t(text!("Price, in the workshop's books", "Harga, di buku bengkel"), voice)) }
                            td.n { b { (money(&price.total, voice)) } br; span.small { (money(&price.range[0], voice)) " – " (money(&price.range[1], voice)) } } }
                        tr { th scope="row" { span.small { (t(text!("of it copper, labour, overhead", "di antaranya tembaga, upah, biaya umum"), voice)) } }
                            td.n { span.small { (money(&price.copper, voice)) ", " (money(&price.labour, voice)) ", " (money(&price.overhead, voice)) } } }
                    }
                    tr { th scope="row" { (t(text!("Impressions on a bolt", "Kali cap di satu gulung"), voice)) }
                        td.n { (if held.used.border.is_some() {
                            say!("{all}", "{all}", all = Arg::Number(f64::from(held.used.impressions(&held.design.cloth)), 0))
                        } else {
                            say!("{all}, of them {part} cut by an edge", "{all}, {part} di antaranya terpotong tepi", all = Arg::Number(f64::from(repeat.census.all), 0), part = Arg::Number(f64::from(repeat.census.all - repeat.census.whole), 0))
                        }.say(voice)) } }
                    tr { th scope="row" { (t(text!("Cloth under wax", "Kain tertutup malam"), voice)) }
                        td.n { (say!("{p} %", "{p} %", p = Arg::Number(100.0 * held.used.coverage(&held.design.cloth).0, 0)).say(voice)) } }
                } }
                @if let Err(found) = &building.price { @for one in found { (finding(one, None, voice)) } }
                p.small.assumed { (t(text!(
                    "Hours by an assumed norm: an hour a metre bent, a minute a joint, a day for frame, handle and proof; good to a factor of 1.8 (own estimate).",
                    "Jam menurut norma perkiraan: satu jam tiap meter, satu menit tiap sambungan, satu hari untuk rangka, gagang dan uji cap; bisa meleset 1,8 kali (perkiraan sendiri)."
                ), voice)) }
            }
            section.mori #full-size aria-labelledby="print-title" {
                h2 #print-title { (t(text!("Drawings at full size", "Gambar ukuran penuh"), voice)) }
                p { (t(text!(
                    "Wax tinted, strips with their numbers. Print at 100 %, measure the bar of 100 mm, join the sheets at their marks.",
                    "Malam berwarna, bilah bernomor. Cetak 100 %, ukur garis 100 mm, sambung lembar pada tandanya."
                ), voice)) }
                table.facts { tbody { @for (key, name) in PAPERS { tr {
                    th scope="row" { (name) }
                    td { a href=(held.href("drawing.pdf", &format!("&paper={key}"))) { "PDF" } }
                    td { a href=(held.href("drawing.zip", &format!("&paper={key}"))) { (t(text!("SVG, one file a sheet", "SVG, satu berkas tiap lembar"), voice)) } }
                } } tr {
                    th scope="row" { (t(text!("One sheet from a roll", "Satu lembar dari gulungan"), voice)) }
                    td colspan="2" { a href=(held.href("drawing.svg", "")) { "SVG" } }
                } } }
                (strips(held, plan))
            }
        }
    }
}

fn strip_word(voice: Voice) -> &'static str {
    t(text!("Strip", "Bilah"), voice)
}

fn metres(m: f64, voice: Voice) -> String {
    amount(Quantity::new(m, Measure::Length), voice)
}

/// The drawing with its numbers, and every strip in a table.
fn strips(held: &Held, plan: &StripPlan) -> Markup {
    let voice = held.voice;
    let sheet = Sheet::new(held.used.stamp.area(), held.used.stamp.repeat_mm(), 0);
    let thick = held.limits.copper().strip.value * 1e3;
    html! {
        svg.stamp viewBox=(sheet.view()) width="800" height=(format!("{:.0}", 800.0 * sheet.tall())) role="img" aria-label=(t(text!("The strips with their numbers", "Bilah dengan nomornya"), voice)) {
            @for strip in &plan.strips { @if strip.kind != Use::Fill {
                polyline.strip points=(strip.points.iter().chain(strip.closed.then(|| strip.points.first()).flatten()).map(|p| format!("{:.2},{:.2}", p[0], p[1])).collect::<Vec<_>>().join(" ")) stroke-width=(n(thick)) {}
            } }
            @for label in &plan.labels { text.tiny x=(n(label.at[0])) y=(n(label.at[1] + 0.8)) font-size=(n(stamp::NUMBER_MM)) text-anchor="middle" { (label.number) } }
        }
        details {
            summary { (say!("All {n} strips, by number", "Semua {n} bilah, menurut nomor", n = count(plan.strips.len())).say(voice)) }
            div.scroll tabindex="0" role="region" aria-label=(t(text!("Strips", "Bilah"), voice)) { table {
                thead { tr { th scope="col" { (t(text!("No.", "No."), voice)) } th scope="col" { (t(text!("Use", "Guna"), voice)) } th.n scope="col" { (t(text!("Length", "Panjang"), voice)) } th.n scope="col" { (t(text!("Prints", "Mencetak"), voice)) } } }
                tbody { @for strip in &plan.strips { tr {
                    td { (strip.number) } td { (t(used_for(strip.kind), voice)) }
                    td.n { (length(strip.mm(), voice)) } td.n { (length(strip.prints_mm, voice)) }
                } } }
            } }
        }
    }
}
