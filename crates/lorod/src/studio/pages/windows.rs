//! How long a bath may hold the cloth: the window of a timed step, what would widen it, and the tank as it is now.

use super::baths::nothing;
use super::cloth::{acts, keep, told};
use super::pick::{Picked, others, pick};
use super::tank;
use crate::facts::window::{Found, Timed, percent, steps};
use crate::studio::Studio;
use crate::studio::assets::hex;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::parts::{finding, plate, work};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{span, t};
use crate::studio::windows::{Chosen, approved, approved_files, limits};
use ::cloth::window::{Advice, Limits, Window, plot_svg, plot_svg_narrow};
use axum::response::Response;
use maud::{Markup, html};
use route::{Design, Workshop};
use serde_json::json;
use std::sync::Arc;
use words::{Arg, Finding, Voice, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Windows", "Batas waktu"),
    path: "/windows",
    about: About::Design,
    make: page,
    data: Some(&crate::studio::data::windows::WINDOWS),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let Some(picked) = pick(workspace, reader) else {
        return nothing(studio, workspace, reader);
    };
    let Picked { design, shop, .. } = &picked;
    let all = steps(design);
    let asked = reader.get("step");
    let step = match asked {
        Some(named) => all
            .iter()
            .find(|one| one.id == named || one.number.to_string() == named),
        None => all.first(),
    };
    let source = workspace
        .design_file(&design.id)
        .and_then(|file| workspace.source(&file.path));
    let body = html! {
        div data-desk=(design.id) data-hash=(source.map_or_else(String::new, |s| hex(&s.hash))) data-step=(step.map_or("", |s| s.id.as_str())) {
            div.wrap.head {
                div data-part="title" {
                    h1 { (design.name) " " @if let Some(step) = step { em { (heading(step, voice)) } } }
                }
                div.row.desk-acts data-part="acts" { (acts(studio, &design.id, voice)) }
            }
            div.wrap { (others(workspace, &design.id, reader)) }
            (told(voice))
            @match step {
                Some(step) => (of_step(studio, workspace, design, shop, &all, step, reader)),
                None => section.wrap.after { div.mori { p.say { (nothing_timed(asked, design, voice)) } (chooser(&all, None, reader)) } },
            }
            (keep(voice))
        }
    };
    let here = Here::at(&PAGE, text!("Windows", "Batas waktu"), workspace, reader);
    frame::page(studio, reader, &here.of(design), body)
}

fn heading(step: &Timed, voice: Voice) -> String {
    say!(
        "{n} {term}, {time} in the design",
        "{n} {term}, {time} menurut desain",
        n = Arg::Number(f64::from(step.number), 0),
        term = Arg::Name(t(&step.term.text, voice).to_lowercase()),
        time = Arg::Name(span(step.designed.0, voice))
    )
    .say(voice)
}

pub fn nothing_timed(asked: Option<&str>, design: &Design, voice: Voice) -> String {
    let name = Arg::Name(design.name.clone());
    match asked {
        Some(asked) => say!(
            "{design} has no timed step {step}.",
            "{design} tidak punya langkah {step} yang memakai waktu.",
            design = name,
            step = super::short(asked)
        ),
        None => say!(
            "No step of {design} has a time that decides how the cloth comes out.",
            "Tidak ada langkah {design} yang lamanya menentukan hasil kain.",
            design = name
        ),
    }
    .say(voice)
}

/// The timed steps, the bleaches first.
fn chooser(all: &[Timed], now: Option<&Timed>, reader: &Reader) -> Markup {
    let voice = reader.voice;
    html! {
        nav.seg.timed aria-label=(t(text!("Timed steps", "Langkah yang memakai waktu"), voice)) {
            @for step in all {
                a href=(reader.here(&[("step", &step.id)])) aria-current=[now.is_some_and(|now| now.id == step.id).then_some("true")] {
                    (step.number) " " (t(&step.term.text, voice).to_lowercase())
                }
            }
        }
    }
}

fn of_step(
    studio: &Studio,
    workspace: &Workspace,
    design: &Arc<Design>,
    shop: &Workshop,
    all: &[Timed],
    step: &Timed,
    reader: &Reader,
) -> Markup {
    let voice = reader.voice;
    let read = limits(reader);
    let wrong: &[Finding] = read.as_ref().err().map_or(&[], Vec::as_slice);
    let limits = read.as_ref().copied().unwrap_or_default();
    let id = Some(step.id.as_str());
    let (approved, unread) = match approved(workspace, reader) {
        Ok(approved) => (approved, Vec::new()),
        Err(found) => (None, found),
    };
    let found = match reader.get("wait") {
        Some(_) => studio.window(workspace, design, shop, id, approved.as_ref(), &|_| true),
        None => studio
            .known_window(workspace, design, id, approved.as_ref())
            .ok_or_else(Vec::new),
    };
    let held = approved
        .as_ref()
        .map_or_else(String::new, |held| format!("&approved={}", escape(&held.name)));
    let window = found.as_ref().ok().map(|found| found.with(&limits));
    html! {
        div.wrap { (chooser(all, Some(step), reader)) }
        div.wrap.window {
            div.plot-place data-part="plot" {
                @match (&found, &window) {
                    (Ok(found), Some(window)) => (drawn(found, window, design, voice)),
                    (Err(refused), _) if !refused.is_empty() => div.mori { @for one in refused { (finding(one, None, voice)) } },
                    _ => div.mori.waits { (work(
                        &format!("/api/design/{}/window?step={}{held}", escape(&design.id), escape(&step.id)),
                        t(text!("Doing this step over and over, shorter and longer, stronger and weaker, on 64 places of the bolt", "Mencoba langkah ini berulang-ulang, lebih singkat dan lama, lebih kuat dan lemah, di 64 tempat pada gulungan"), voice),
                        None,
                        &reader.here(&[("wait", "1")]),
                        voice,
                    )) },
                }
            }
            div.below {
                (tank::panel(design, shop, step, reader))
                section.mori aria-labelledby="limits-q" {
                    h2 #limits-q { (t(text!("When does a bolt pass?", "Kapan gulungan lulus?"), voice)) }
                    (form(design, step, &limits, wrong, reader))
                }
                (target(workspace, design, step, approved.as_ref(), &unread, voice))
                p.small { a href=(super::learned::PAGE.path) { (t(text!("What was measured here, and whether forecasts held", "Yang sudah diukur di sini, dan apakah ramalan benar"), voice)) } }
                div data-part="widen" { @if let Some(window) = &window { (widen(window, voice)) } }
                div data-part="numbers" { @if let (Ok(found), Some(window)) = (&found, &window) { (numbers(found, window, voice)) } }
            }
        }
    }
}

/// The plot with its small print, and the best time to be set.
fn drawn(found: &Found, window: &Window, design: &Design, voice: Voice) -> Markup {
    let key = design
        .steps
        .get(found.step.at)
        .and_then(|step| step.operation.kind().timed);
    let best = match &window.advice {
        Advice::Pull { best, .. } if (best.0 - found.step.designed.0).abs() >= 1.0 => Some(*best),
        _ => None,
    };
    let below = html! {
        @for line in window.small_print(voice) { p { (line) } }
        p { (found.error(voice)) }
    };
    html! {
        (plate("window", &plot_svg(window, voice), &plot_svg_narrow(window, voice), &below))
        @if let (Some(best), Some(key)) = (best, key) {
            div.mori.set-best {
                p { (say!(
                    "The design says {designed}; most bolts pass at {best}.",
                    "Desain menyebut {designed}; paling banyak gulungan lulus pada {best}.",
                    designed = Arg::Name(span(found.step.designed.0, voice)),
                    best = Arg::Name(span(best.0, voice))
                ).say(voice)) }
                button.btn.go type="button" data-act=(json!({ "do": "set", "step": found.step.id, "key": key, "given": format!("{:.0} s", best.0) })) {
                    (say!("Set the design to {best}", "Setel desain ke {best}", best = Arg::Name(span(best.0, voice))).say(voice))
                }
            }
        }
    }
}

/// What would widen it, as threads of beads.
fn widen(window: &Window, voice: Voice) -> Markup {
    let most = window.widen.iter().map(|one| one.gain.0).fold(30.0, f64::max);
    html! {
        section.mori aria-labelledby="widen-q" {
            h2 #widen-q { @match &window.advice {
                Advice::Closed { .. } => (t(text!("What would bring a window nearer?", "Apa yang membuka batas waktu?"), voice)),
                _ => (t(text!("What would widen the window most?", "Apa yang paling memperlebar batas waktu?"), voice)),
            } }
            @if window.widen.is_empty() {
                p.none { (match &window.advice {
                    Advice::DoThisStrip { .. } => t(text!("That is told once the test is done: minutes would rest on a guess.", "Itu baru dapat dikatakan setelah uji dilakukan: menitnya masih dugaan."), voice),
                    _ => t(text!("Nothing that was tried gains half a minute or more, or more than hands differ in starting and stopping.", "Tidak ada cara yang dicoba yang menambah setengah menit atau lebih, atau lebih dari selisih tangan saat mulai dan angkat."), voice),
                }) }
            } @else {
                table.plain.widen {
                    thead { tr {
                        th scope="col" { (t(text!("If you…", "Bila Anda…"), voice)) }
                        td {}
                        th.n scope="col" { @match &window.advice {
                            Advice::Closed { .. } => (t(text!("so much less is lacking", "kekurangan berkurang"), voice)),
                            _ => (t(text!("it grows by about", "bertambah kira-kira"), voice)),
                        } }
                    } }
                    tbody { @for one in &window.widen {
                        tr {
                            th scope="row" { (one.what.say(voice)) }
                            td { svg.beads viewBox="0 0 200 12" preserveAspectRatio="xMinYMid meet" aria-hidden="true" {
                                line x1="0" y1="6" x2=(format!("{:.0}", 200.0 * one.gain.0 / most)) y2="6" {}
                            } }
                            td.n {
                                b { @if one.open { "+" } (span(one.gain.0, voice)) }
                                @match (one.open, one.opens) {
                                    (true, _) => {},
                                    (false, true) => small { (t(text!("and it opens", "dan terbuka"), voice)) },
                                    (false, false) => small { (t(text!("still closed", "masih tertutup"), voice)) },
                                }
                            }
                        }
                    } }
                }
            }
        }
    }
}

/// The limits as a sentence with fields.
fn form(design: &Design, step: &Timed, limits: &Limits, wrong: &[Finding], reader: &Reader) -> Markup {
    let voice = reader.voice;
    let share = |share: f64| format!("{} %", voice.number(100.0 * share, 0));
    let typed = |key: &str, usual: String| reader.get(key).map_or(usual, str::to_string);
    let field = |key: &str, label: &str, value: String| {
        html! {
            span.q.field { label for=(format!("l-{key}")) { (label) } " "
                input id=(format!("l-{key}")) name=(key) type="text" value=(value) size="5"; }
        }
    };
    html! {
        form.limits method="get" action=(reader.path) {
            input type="hidden" name="design" value=(design.id);
            input type="hidden" name="step" value=(step.id);
            @if let Some(held) = reader.get("approved") { input type="hidden" name="approved" value=(held); }
            p.fields {
                (field("ground", t(text!("The ground lies within", "Latar dalam"), voice), typed("ground", voice.number(limits.ground, 1)))) " dE00, "
                (field("motif", t(text!("the motif within", "motif dalam"), voice), typed("motif", voice.number(limits.motif, 1)))) " dE00 "
                (t(text!("of target", "dari sasaran"), voice)) ", "
                (field("keep", t(text!("the thinnest line keeps", "garis tertipis tersisa"), voice), typed("keep", share(limits.keep)))) " "
                (t(text!("of its width", "lebarnya"), voice)) "; "
                (field("pass", t(text!("of all bolts this many must pass:", "dari semua gulungan harus lulus:"), voice), typed("pass", share(limits.pass)))) "."
            }
            @for one in wrong { (finding(one, None, voice)) }
            button.btn type="submit" { (t(text!("Judge by this", "Nilai dengan ini"), voice)) }
        }
    }
}

/// What the cloth is held against: a perfect bleach, or cloth that was approved.
fn target(
    workspace: &Workspace,
    design: &Design,
    step: &Timed,
    now: Option<&Chosen>,
    unread: &[Finding],
    voice: Voice,
) -> Markup {
    let files = approved_files(workspace);
    html! {
        section.mori aria-labelledby="target-q" {
            h2 #target-q { (t(text!("What is the cloth held against?", "Kain dibandingkan dengan apa?"), voice)) }
            @for one in unread { (finding(one, None, voice)) }
            form.limits method="get" action=(PAGE.path) {
                input type="hidden" name="design" value=(design.id);
                input type="hidden" name="step" value=(step.id);
                p.fields {
                    label for="l-approved" { (t(text!("A bolt passes when it matches", "Gulungan lulus bila sesuai dengan"), voice)) } " "
                    select #l-approved name="approved" {
                        option value="" selected[now.is_none()] { (t(text!("the design, bleached without fault", "desain, dicabut tanpa cela"), voice)) }
                        @for name in &files { option value=(name) selected[now.is_some_and(|now| now.name == *name)] { (name) } }
                    } "."
                }
                button.btn type="submit" { (t(text!("Hold it against this", "Bandingkan dengan ini"), voice)) }
            }
            form.bring data-bring="/api/approved" data-chooses="approved" {
                label.btn for="bring-approved" { (t(text!("Bring approved colours", "Bawa warna acc"), voice)) }
                input #bring-approved type="file" accept=".csv,text/csv,text/plain";
                p.small { (t(text!(
                    "A table with the columns region, lab_l, lab_a, lab_b and perhaps share; regions are ground and motif. Or drop it here.",
                    "Tabel dengan kolom region, lab_l, lab_a, lab_b dan boleh share; region ialah ground dan motif. Atau letakkan di sini."
                ), voice)) }
                div.told role="status" data-busy=(t(text!("It is being read…", "Sedang dibaca…"), voice)) {}
            }
        }
    }
}

/// Rows of the table of the curves.
const ROWS: usize = 16;

/// The curves as numbers, for those who read them rather.
fn numbers(found: &Found, window: &Window, voice: Voice) -> Markup {
    let points = &window.hill.points;
    let every = points.len().div_ceil(ROWS).max(1);
    let timed = found.timed();
    let off = |d: f64| voice.number(d, 1);
    html! {
        details.mori.numbers {
            summary { (t(text!("The curves as numbers", "Kurva sebagai angka"), voice)) }
            div.scroll tabindex="0" role="region" aria-label=(t(text!("Curves", "Kurva"), voice)) {
                table {
                    thead { tr {
                        @if timed {
                            th scope="col" { (t(text!("Time", "Waktu"), voice)) }
                            th.n scope="col" { (t(text!("bolts that pass", "gulungan lulus"), voice)) }
                        }
                        th.n scope="col" { (t(text!("ground off, dE00", "latar meleset, dE00"), voice)) }
                        th.n scope="col" { (t(text!("motif off, dE00", "motif meleset, dE00"), voice)) }
                        th.n scope="col" { (t(text!("thinnest line", "garis tertipis"), voice)) }
                    } }
                    tbody { @for point in points.iter().step_by(every) {
                        tr {
                            @if timed {
                                th scope="row" { (span(point.time.0, voice)) }
                                td.n { (percent(point.pass, voice)) }
                            }
                            td.n { (off(point.ground)) }
                            td.n { (point.motif.map_or_else(|| "–".to_string(), off)) }
                            td.n { (point.line.map_or_else(|| "–".to_string(), |left| percent(left, voice))) }
                        }
                    } }
                }
            }
        }
    }
}
