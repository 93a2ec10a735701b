//! What the workshop's own tests taught: constants before and after, and whether forecasts have held.

use crate::facts::learn::{Lesson, Lessons, lessons};
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::history::Done;
use crate::studio::page::{About, Page};
use crate::studio::parts::{self, Head, Plot, finding, plate, plot};
use crate::studio::reader::Reader;
use crate::studio::say::{amount, origin, said, t};
use ::cloth::window::{Outcome, calibration_svg, calibration_svg_narrow, good_to};
use axum::response::Response;
use maud::{Markup, html};
use units::Quantity;
use words::{Arg, Voice, say, text};
use workspace::{TRIALS, Workspace};

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Measured here", "Diukur di sini"),
    path: "/learned",
    about: About::Aside,
    make: page,
    data: Some(&crate::studio::data::learned::LEARNED),
};

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let lessons = workspace.workshop.as_ref().map(|shop| lessons(workspace, shop));
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("What has this workshop measured itself?", "Apa yang sudah diukur bengkel ini sendiri?"), voice)) }
            p.say { (answer(lessons.as_ref(), voice)) }
        }
        div.row { a.btn href=(super::windows::PAGE.path) { (t(text!("Back to the windows", "Kembali ke batas waktu"), voice)) } } }
        @if let Some(lessons) = &lessons { (told(lessons, &studio.learned(), voice)) }
        @else { div.wrap { div.mori { @for one in &workspace.findings { (finding(one, None, voice)) } } } }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

fn told(lessons: &Lessons, written: &Done, voice: Voice) -> Markup {
    html! {
        @if !lessons.constants.is_empty() {
            section.wrap { (plot(&Plot {
                key: "constants",
                question: t(text!("What did the tests change?", "Apa yang diubah oleh uji?"), voice),
                answer: html! { (moved(&lessons.constants, voice)) },
                wide: spreads(&lessons.constants, Room::Wide, voice),
                narrow: Some(spreads(&lessons.constants, Room::Narrow, voice)),
                assumed: Some(html! {
                    p { (t(text!(
                        "Each as a multiple of what held before. Hollow: before, within the factor that was stated (95 of 100). Filled: measured here, with what the scatter of the readings leaves open (95 of 100).",
                        "Masing-masing sebagai kelipatan nilai sebelumnya. Kosong: sebelumnya, dalam faktor yang dinyatakan (95 dari 100). Penuh: diukur di sini, dengan sebaran bacaan (95 dari 100)."
                    ), voice)) }
                }),
            })) }
            section.wrap.after { div.mori {
                h2 { (t(text!("Before and after", "Sebelum dan sesudah"), voice)) }
                (constants(&lessons.constants, voice))
            } }
            (take_up(lessons, written, voice))
        }
        @if lessons.replay.n > 0 {
            section.wrap.after { (plate(
                "calibration",
                &drawing(lessons, false, voice),
                &drawing(lessons, true, voice),
                &html! { p { (t(text!(
                    "A dot inside its bar: what came lay in the interval that was said to hold 90 of 100. A cross: it did not.",
                    "Titik di dalam batang: hasilnya ada dalam selang yang dijanjikan memuat 90 dari 100. Silang: tidak."
                ), voice)) } },
            )) }
            section.wrap.after { div.mori {
                details { summary { (say!("All {n} forecasts as a table", "Semua {n} ramalan sebagai tabel", n = Arg::Number(lessons.outcomes.len() as f64, 0)).say(voice)) }
                    (outcomes(lessons, voice)) }
            } }
        } @else { section.wrap.after { div.mori { p.none { (t(text!(
            "No outcome was written down yet, so no forecast was held against one.",
            "Belum ada hasil yang dicatat, jadi belum ada ramalan yang dibandingkan."
        ), voice)) } } } }
        @if !lessons.findings.is_empty() { section.wrap.after { div.mori {
            h2 { (t(text!("Tests that could not be used", "Uji yang tidak dapat dipakai"), voice)) }
            @for one in &lessons.findings { (finding(one, None, voice)) }
        } } }
    }
}

/// What would be written, file by file, before it is; and what was written last, to be taken back.
fn take_up(lessons: &Lessons, written: &Done, voice: Voice) -> Markup {
    let open: Vec<&Lesson> = lessons.constants.iter().filter(|one| !one.in_use()).collect();
    let [undo, redo] = written.depth;
    let quantity = |si, one: &Lesson| amount(Quantity::new(si, one.measure), voice);
    html! {
        section.wrap.after { div.mori.take-up data-record-hash=(written.hash) {
            h2 { (t(text!("Shall the studio count with them?", "Apakah studio menghitung dengan nilai ini?"), voice)) }
            @if open.is_empty() {
                p { (t(text!(
                    "It does: everything that was measured here is in use.",
                    "Sudah: semua yang diukur di sini dipakai."
                ), voice)) }
            } @else {
                p { (t(text!(
                    "This would be written; comments and everything else in the files stay. Windows, times at the tank and plans are then worked out anew.",
                    "Ini yang akan ditulis; komentar dan isi lain berkas tetap. Batas waktu, waktu di bak, dan rencana lalu dihitung ulang."
                ), voice)) }
                ul.becomes { @for one in &open { li {
                    span.file { (one.file) } " "
                    (said(&one.of, voice)) ": "
                    span.whole { (quantity(one.was.value, one)) } " → " b.whole { (quantity(one.fitted.value, one)) }
                    " " span.small { (say!("from {n} readings", "dari {n} bacaan", n = Arg::Number(f64::from(one.fitted.n), 0)).say(voice)) }
                } } }
            }
            div.told data-record-told="" role="alert" {}
            div.row {
                @if !open.is_empty() {
                    button.btn.go type="button" data-record="/api/lessons" { @match open.len() {
                        1 => (t(text!("Write this constant", "Tulis konstanta ini"), voice)),
                        n => (say!("Write these {n} constants", "Tulis {n} konstanta ini", n = Arg::Number(n as f64, 0)).say(voice)),
                    } }
                }
                @if undo > 0 { button.btn type="button" data-record="/api/lessons/undo" { (t(text!("Undo", "Urungkan"), voice)) } }
                @if redo > 0 { button.btn type="button" data-record="/api/lessons/redo" { (t(text!("Do again", "Ulangi"), voice)) } }
            }
        } }
    }
}

/// In a sentence: how many constants, from how many readings, how many are in use.
pub fn answer(lessons: Option<&Lessons>, voice: Voice) -> String {
    let constants = lessons.map_or(&[][..], |lessons| &lessons.constants);
    if constants.is_empty() {
        return say!(
            "Nothing yet: every rate is assumed. Strips, line wedges, weighed bolts and outcomes are written into {file}.",
            "Belum ada: semua laju masih perkiraan. Potong uji, baji garis, gulung yang ditimbang, dan hasil dicatat di {file}.",
            file = Arg::Name(TRIALS.to_string())
        )
        .say(voice);
    }
    let n = |n: usize| Arg::Number(n as f64, 0);
    let readings: u32 = constants.iter().map(|one| one.fitted.n).sum();
    say!(
        "{all} constants from {readings} readings; {used} of them are what the studio counts with.",
        "{all} konstanta dari {readings} bacaan; {used} di antaranya dipakai studio untuk menghitung.",
        all = n(constants.len()),
        readings = Arg::Number(f64::from(readings), 0),
        used = n(constants.iter().filter(|one| one.in_use()).count())
    )
    .say(voice)
}

fn moved(constants: &[Lesson], voice: Voice) -> String {
    let far = |one: &&Lesson| (one.fitted.value / one.was.value).ln().abs();
    match constants.iter().max_by(|a, b| far(a).total_cmp(&far(b))) {
        Some(one) => say!(
            "Most of all {what}: {times} times what held before, now known within a factor {factor} (before {before}).",
            "Paling jauh {what}: {times} kali nilai sebelumnya, kini diketahui dalam faktor {factor} (sebelumnya {before}).",
            what = Arg::Name(said(&one.of, voice)),
            times = Arg::Number(one.fitted.value / one.was.value, 2),
            factor = Arg::Number(one.fitted.factor, 2),
            before = Arg::Number(good_to(&one.was.origin), 1)
        )
        .say(voice),
        None => String::new(),
    }
}

fn drawing(lessons: &Lessons, narrow: bool, voice: Voice) -> String {
    let outcomes: Vec<Outcome> = lessons.outcomes.iter().map(|named| named.outcome).collect();
    let names: Vec<String> = lessons.outcomes.iter().map(|named| named.name.clone()).collect();
    let draw = if narrow {
        calibration_svg_narrow
    } else {
        calibration_svg
    };
    draw(&outcomes, &names, &lessons.replay, voice)
}

fn constants(constants: &[Lesson], voice: Voice) -> Markup {
    let rows = html! {
        @for one in constants {
            @let quantity = |si| amount(Quantity::new(si, one.measure), voice);
            tr {
                th scope="row" { (said(&one.of, voice)) }
                td data-what=(t(text!("before", "sebelum"), voice)) { span.whole { (quantity(one.was.value)) } br; span.small { (origin(&one.was.origin, voice)) } }
                td data-what=(t(text!("measured here", "diukur di sini"), voice)) { b.whole { (quantity(one.fitted.value)) } }
                td data-what=(t(text!("within a factor", "dalam faktor"), voice)) { (voice.number(one.fitted.factor, 2)) }
                td data-what=(t(text!("readings", "bacaan"), voice)) { (one.fitted.n) }
                td data-what=(t(text!("last", "terakhir"), voice)) { (one.date.to_string().replace('-', "\u{2011}")) }
                td data-what=(t(text!("in use", "dipakai"), voice)) { (t(if one.in_use() { text!("yes", "ya") } else { text!("not yet", "belum") }, voice)) }
            }
        }
    };
    let heads = [
        Head::Words(text!("Constant", "Konstanta")),
        Head::Words(text!("Before", "Sebelum")),
        Head::Words(text!("Measured here", "Diukur di sini")),
        Head::Words(text!("Within a factor", "Dalam faktor")),
        Head::Words(text!("Readings", "Bacaan")),
        Head::Words(text!("Last", "Terakhir")),
        Head::Words(text!("In use", "Dipakai")),
    ];
    parts::table("orders", &heads, &rows, voice)
}

fn outcomes(lessons: &Lessons, voice: Voice) -> Markup {
    let n = |ratio: f64| voice.number(ratio, 2);
    let rows = html! {
        @for named in &lessons.outcomes {
            @let one = named.outcome;
            @let ratio = one.actual / one.forecast;
            tr {
                th scope="row" { (named.name) }
                td.n { (n(1.0 / one.factor)) " – " (n(one.factor)) }
                td.n { b { (n(ratio)) } }
                td { @if inside(&one) { (t(text!("yes", "ya"), voice)) } @else { b { (t(text!("no", "tidak"), voice)) } } }
            }
        }
    };
    let heads = [
        Head::Words(text!("Forecast", "Ramalan")),
        Head::Numbers(text!(
            "90 of 100, over the forecast",
            "90 dari 100, dibagi ramalan"
        )),
        Head::Numbers(text!("came", "hasil")),
        Head::Words(text!("inside", "di dalam")),
    ];
    html! {
        div.scroll tabindex="0" role="region" aria-label=(t(text!("Forecasts and what came", "Ramalan dan hasilnya"), voice)) { (parts::table("", &heads, &rows, voice)) }
    }
}

/// Did it come inside the interval that was stated?
pub fn inside(one: &Outcome) -> bool {
    (one.actual / one.forecast).ln().abs() <= one.factor.ln()
}

/// How much room there is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Room {
    Wide,
    Narrow,
}

/// Each constant with its spread, before and after, as multiples of what held before.
fn spreads(constants: &[Lesson], room: Room, voice: Voice) -> Markup {
    let (left, right, row, down) = match room {
        Room::Wide => (340.0, 900.0, 44.0, 6.0),
        Room::Narrow => (10.0, 330.0, 64.0, 26.0),
    };
    let far = constants
        .iter()
        .map(|one| {
            let after = (one.fitted.value / one.was.value).ln().abs() + one.fitted.factor.ln();
            after.max(good_to(&one.was.origin).ln())
        })
        .fold(2f64.ln(), f64::max)
        * 1.08;
    let x = |times: f64| left + (times.ln() / far + 1.0) / 2.0 * (right - left);
    let foot = 10.0 + row * constants.len() as f64;
    let (wide, tall) = (right + 20.0, foot + 50.0);
    let px = |v: f64| format!("{v:.1}");
    let label = t(
        text!(
            "Constants before and after; the table below says the same",
            "Konstanta sebelum dan sesudah; tabel di bawah isinya sama"
        ),
        voice,
    );
    html! {
        svg.wear viewBox=(format!("0 0 {wide:.0} {tall:.0}")) width=(format!("{wide:.0}")) height=(format!("{tall:.0}")) role="img" aria-label=(label) {
            line.limit x1=(px(x(1.0))) x2=(px(x(1.0))) y1="6" y2=(px(foot)) {}
            @for times in [0.25, 0.5, 1.0, 2.0, 4.0] { @if (left..=right).contains(&x(times)) {
                line.tick x1=(px(x(times))) x2=(px(x(times))) y1=(px(foot)) y2=(px(foot + 5.0)) {}
                text.scale x=(px(x(times))) y=(px(foot + 19.0)) text-anchor="middle" { (voice.number(times, if times < 1.0 { 2 } else { 0 })) }
            } }
            line.axis x1=(px(left)) x2=(px(right)) y1=(px(foot)) y2=(px(foot)) {}
            text.scale x=(px(right)) y=(px(foot + 38.0)) text-anchor="end" { (t(text!("times what held before", "kali nilai sebelumnya"), voice)) }
            @for (at, one) in constants.iter().enumerate() {
                @let top = 10.0 + row * at as f64;
                @let before = good_to(&one.was.origin);
                @let (low, high) = (x(one.fitted.value / one.was.value / one.fitted.factor), x(one.fitted.value / one.was.value * one.fitted.factor));
                @if room == Room::Wide { text.who x=(px(left - 14.0)) y=(px(top + down + 18.0)) text-anchor="end" { (said(&one.of, voice)) } }
                @else { text.who x=(px(left)) y=(px(top + 16.0)) { (said(&one.of, voice)) } }
                rect.before x=(px(x(1.0 / before))) y=(px(top + down)) width=(px((x(before) - x(1.0 / before)).max(1.0))) height="10" {}
                rect.worn x=(px(low)) y=(px(top + down + 14.0)) width=(px((high - low).max(1.0))) height="10" {}
                circle.mean cx=(px(x(one.fitted.value / one.was.value))) cy=(px(top + down + 19.0)) r="5" {}
            }
        }
    }
}
