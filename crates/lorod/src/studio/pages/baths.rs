//! What goes into each bath, bolt after bolt.

use super::pick::{Picked, pick, picker};
use super::step::mark;
use crate::studio::Studio;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{amount, finding, line, said, t, trouble_at};
use crate::studio::windows::{NORMALITY, seen};
use axum::http::StatusCode;
use axum::response::Response;
use maud::{Markup, html};
use route::{BatchSheetData, Drawn, DumpSheet, Vessel};
use units::Quantity;
use words::{Arg, Voice, say, text};
use workspace::Workspace;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Baths", "Bak"),
    path: "/baths",
    about: About::Design,
    make: page,
    data: Some(&crate::studio::data::goods::BATHS),
};

/// The page.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let Some(picked) = pick(workspace, reader) else {
        return nothing(studio, workspace, reader);
    };
    let Picked { design, shop, lot } = &picked;
    let sheets = route::baths(design, lot, shop);
    let titrated = seen(reader);
    let dumps = dumps(&picked, reader);
    let all = route::totals(design, lot, shop);
    let body = html! {
        div.wrap.head {
            div {
                h1 { (t(text!("What goes into each bath?", "Apa isi tiap bak?"), voice)) }
                p.say { (say!(
                    "{design}, {n} bolts in one lot: {sheets} sheets, in the order of the route.",
                    "{design}, {n} gulung dalam satu partai: {sheets} lembar, menurut urutan alur.",
                    design = Arg::Name(design.name.clone()),
                    n = Arg::Number(f64::from(lot.bolts), 0),
                    sheets = Arg::Number(sheets.len() as f64, 0)
                ).say(voice)) }
            }
            div.row { a.btn href=(format!("{}?design={}&bolts={}", super::lot::PAGE.path, escape(&design.id), lot.bolts)) { (t(text!("First, middle, last bolt", "Gulung pertama, tengah, terakhir"), voice)) } }
        }
        div.wrap { (picker(workspace, &picked, reader)) }
        div.wrap.sheets {
            section.mori.total {
                h2 { (t(text!("From the store, in all", "Dari gudang, seluruhnya"), voice)) }
                table.plain { @for one in &all { (row(one, voice)) } }
            }
            @for sheet in &sheets { (batch(sheet, &design.id, voice)) }
            @for (n, (sheet, measured)) in dumps.iter().enumerate() {
                (dump(sheet, *measured, n == 0, titrated.as_ref().err().map_or(&[], Vec::as_slice), &picked, reader))
            }
        }
    };
    let here = Here::at(&PAGE, text!("Baths", "Bak"), workspace, reader);
    frame::page(studio, reader, &here.about(design), body)
}

/// How each tank is emptied, and whether for the strength that was titrated: it holds for the tank it was titrated in.
pub fn dumps(picked: &Picked, reader: &Reader) -> Vec<(DumpSheet, bool)> {
    let Picked { design, shop, lot } = picked;
    let strength = seen(reader).ok().and_then(|seen| seen.chlorine);
    let of = reader.get("step");
    let titrated_here = |sheet: &DumpSheet| strength.filter(|_| of.is_none_or(|id| id == sheet.step));
    route::dumps(design, lot, shop)
        .into_iter()
        .map(|made| match titrated_here(&made) {
            None => (made, false),
            strength => {
                let at = route::dumps_at(design, lot, shop, strength);
                (
                    at.into_iter().find(|one| one.step == made.step).unwrap_or(made),
                    true,
                )
            }
        })
        .collect()
}

/// Nothing can be counted: say why.
pub fn nothing(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    match reader.get("design").filter(|id| workspace.design(id).is_none()) {
        Some(id) => super::no_design(studio, reader, id),
        None => {
            let title = text!("There is nothing to count yet", "Belum ada yang dapat dihitung");
            trouble_at(
                studio,
                reader,
                StatusCode::OK,
                &Here::at(&PAGE, title, workspace, reader),
                title,
                &workspace.findings,
            )
        }
    }
}

/// A row: what, how much, and whether anybody measured it.
fn row(drawn: &Drawn, voice: Voice) -> Markup {
    html! {
        tr {
            th scope="row" { (line(&drawn.name, voice)) (mark(drawn.origin.as_ref(), voice)) }
            td.n { (amount(drawn.amount, voice)) }
        }
    }
}

fn list(all: &[Drawn], voice: Voice) -> Markup {
    html! {
        @if all.is_empty() { "–" }
        @for one in all { div { (line(&one.name, voice)) " " b { (amount(one.amount, voice)) } } }
    }
}

/// What every bolt takes, where no bath makes one bolt differ from another.
fn alike(sheet: &BatchSheetData) -> Option<&[Drawn]> {
    let first = sheet.rows.first()?;
    let same = |row: &route::BatchRow| row.materials == first.materials && row.top_ups.is_empty();
    (sheet.vessel == Vessel::Table && sheet.rows.iter().all(same)).then_some(&first.materials)
}

/// Where a bath's work is done, and how often it is made anew.
pub fn how(sheet: &BatchSheetData) -> words::Line {
    let n = |n: u32| Arg::Number(f64::from(n), 0);
    match &sheet.vessel {
        Vessel::Bath {
            key,
            volume,
            bolts_a_load,
            bolts_a_bath,
            ..
        } => say!(
            "{vessel}, {volume}; {load} at a time, made anew after {bath}. Baths: {baths}, loads: {loads}.",
            "{vessel}, {volume}; {load} sekali masuk, dibuat baru setelah {bath}. Bak: {baths}, muatan: {loads}.",
            vessel = Arg::Name(key.replace('-', " ")),
            volume = Arg::Quantity(*volume),
            load = n(*bolts_a_load),
            bath = n(*bolts_a_bath),
            baths = n(sheet.baths),
            loads = n(sheet.loads)
        ),
        Vessel::Table => say!(
            "Weighed out at the table, bolt by bolt.",
            "Ditimbang di meja, gulung demi gulung."
        ),
    }
}

fn batch(sheet: &BatchSheetData, design: &str, voice: Voice) -> Markup {
    let how = how(sheet);
    let tops = sheet.rows.iter().any(|row| !row.top_ups.is_empty());
    let weighed = sheet.rows.iter().any(|row| !row.materials.is_empty());
    let bath = sheet.baths > 0;
    html! {
        section.mori {
            h2 {
                a href=(format!("/design/{}?step={}", escape(design), escape(&sheet.step))) {
                    (sheet.number) " " (t(&sheet.term.text, voice))
                }
            }
            p.small { (said(&how, voice)) }
            @if !sheet.charge.is_empty() {
                h3 { (t(text!("A fresh bath", "Bak baru"), voice)) }
                table.plain { @for one in &sheet.charge { (row(one, voice)) } }
            }
            @if let Some(same) = alike(sheet) {
                h3 { (t(text!("For every bolt", "Untuk tiap gulung"), voice)) }
                table.plain { @for one in same { (row(one, voice)) } }
            } @else { div.scroll tabindex="0" role="region" aria-label=(t(text!("Bolt by bolt", "Gulung demi gulung"), voice)) {
                table {
                    thead { tr {
                        th scope="col" { (t(text!("Bolt", "Gulung"), voice)) }
                        @if bath { th scope="col" { (t(text!("Bath", "Bak"), voice)) } th scope="col" { (t(text!("Load", "Muatan"), voice)) } }
                        @if weighed { th scope="col" { (t(text!("Weigh out before", "Timbang sebelumnya"), voice)) } }
                        @if tops { th scope="col" { (t(text!("Add after the load", "Tambah setelah muatan"), voice)) } }
                    } }
                    tbody {
                        @for row in &sheet.rows {
                            tr {
                                th scope="row" { (row.bolt) }
                                @if bath {
                                    td { (row.bath) @if row.fresh { " " b { (t(text!("fresh", "baru"), voice)) } } }
                                    td { (row.load) }
                                }
                                @if weighed { td { (list(&row.materials, voice)) } }
                                @if tops { td { (list(&row.top_ups, voice)) } }
                            }
                        }
                    }
                }
            } }
            h3 { (t(text!("For the whole lot", "Untuk seluruh partai"), voice)) }
            table.plain { @for one in &sheet.totals { (row(one, voice)) } }
            @if let Vessel::Bath { care, .. } = &sheet.vessel { p.small { (t(care, voice)) } }
            @if !sheet.cautions.is_empty() {
                section.care {
                    h3 { (t(text!("Take care", "Hati-hati"), voice)) }
                    ul { @for caution in sheet.cautions { li { (t(&caution.text, voice)) } } }
                    p.small { (t(&route::DEFER, voice)) }
                }
            }
        }
    }
}

/// Emptying a tank of bleach: never on one sheet with the dose for cloth.
fn dump(
    sheet: &DumpSheet,
    measured: bool,
    first: bool,
    wrong: &[words::Finding],
    picked: &Picked,
    reader: &Reader,
) -> Markup {
    let voice = reader.voice;
    let typed = |key: &str, usual: &str| reader.get(key).unwrap_or(usual).to_string();
    let field = |key: &str, label: &'static words::Text, value: String, example: &str| {
        let id = format!("e-{}-{key}", sheet.step);
        html! {
            span.q.field { label for=(id) { (t(label, voice)) } " "
                input id=(id) name=(key) type="text" value=(value) placeholder=(example) size="6" spellcheck="false"; }
        }
    };
    html! {
        section.mori.dump id=[first.then_some("emptying")] {
            h2 { (say!(
                "Emptying the tank of {step}",
                "Mengosongkan bak {step}",
                step = Arg::Term(sheet.term)
            ).say(voice)) }
            form.limits method="get" action=(format!("{}#emptying", reader.path)) {
                input type="hidden" name="design" value=(picked.design.id);
                input type="hidden" name="bolts" value=(picked.lot.bolts);
                input type="hidden" name="step" value=(sheet.step);
                p.fields {
                    (field("titrated", text!("Titrated on the day: the sample took", "Titrasi hari itu: cuplikan memakai"), typed("titrated", ""), "8.1 mL")) " "
                    (say!("of {n} N thiosulfate for", "tiosulfat {n} N untuk", n = Arg::Number(NORMALITY, 1)).say(voice)) " "
                    (field("sample", text!("bath:", "larutan bak:"), typed("sample", ""), "10 mL")) "."
                }
                button.btn type="submit" { (t(text!("How much?", "Berapa?"), voice)) }
            }
            @for one in wrong { (finding(one, None, voice)) }
            p.small { (if measured {
                say!("For {volume} at {strength}, as titrated.", "Untuk {volume} pada {strength}, menurut titrasi.",
                    volume = Arg::Quantity(sheet.volume), strength = Arg::Quantity(rounded(sheet.strength)))
            } else {
                say!("For {volume} at {strength}: the design's, nobody has titrated.", "Untuk {volume} pada {strength}: angka desain, belum dititrasi.",
                    volume = Arg::Quantity(sheet.volume), strength = Arg::Quantity(sheet.strength))
            }.say(voice)) }
            table.plain { (row(&sheet.antichlor, voice)) }
            ol.lines { @for one in &sheet.lines { li { (line(one, voice)) } } }
            section.care {
                h3 { (t(text!("Take care", "Hati-hati"), voice)) }
                ul { @for caution in &sheet.cautions { li { (t(&caution.text, voice)) } } }
                p.small { (t(&route::DEFER, voice)) }
            }
        }
    }
}

/// A strength to the hundredth, as a titration can tell it.
fn rounded(strength: Quantity) -> Quantity {
    Quantity::new((strength.si * 100.0).round() / 100.0, strength.measure)
}

/// Findings as a list, if there are any.
pub fn findings(all: &[words::Finding], voice: Voice) -> Markup {
    html! { @if !all.is_empty() { ul.finds { @for one in all { li { (finding(one, None, voice)) } } } } }
}
