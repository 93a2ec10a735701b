//! The season: from artwork to ship date over months, what to order by when, what the next visit is for.

use super::baths::findings;
use super::run::{cloths, plan_name};
use crate::facts::season::agenda::{self, Agenda};
use crate::facts::season::picture::picture;
use crate::facts::season::{AskedSeason, Season, season};
use crate::facts::views::{View, chart, day_name};
use crate::studio::Studio;
use crate::studio::data::season as tables;
use crate::studio::file::File;
use crate::studio::frame::{self, Here};
use crate::studio::page::{About, Page};
use crate::studio::parts::{in_house, work};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::{said, t};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use std::cell::Cell;
use std::sync::Arc;
use words::{Arg, Finding, Voice, Weight, say, text};
use workspace::Workspace;

/// Rounds of strike-offs that one may ask for, and the usual.
const ROUNDS: [u32; 4] = [0, 1, 2, 3];
const USUAL: u32 = 1;

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Season", "Musim"),
    path: "/season",
    about: About::Aside,
    make: page,
    data: Some(&crate::studio::data::season::SEASON),
};

type Outcome = Result<Season, Vec<Finding>>;

/// What an address asks for: rounds of strike-offs, and designs that need none.
struct Wanted {
    rounds: u32,
    approved: Vec<String>,
}

impl Wanted {
    fn of(workspace: &Workspace, reader: &Reader) -> Self {
        let rounds = reader.get("rounds").and_then(|n| n.parse().ok());
        let named = reader.query.iter().filter(|(key, _)| key == "approved");
        Self {
            rounds: rounds.filter(|n| ROUNDS.contains(n)).unwrap_or(USUAL),
            approved: named
                .map(|(_, id)| id.clone())
                .filter(|id| workspace.design(id).is_some())
                .collect(),
        }
    }

    fn query(&self) -> String {
        let approved = self.approved.iter().map(|id| format!("&approved={}", escape(id)));
        format!("?rounds={}{}", self.rounds, approved.collect::<String>())
    }
}

fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    let wanted = Wanted::of(workspace, reader);
    let from = format!("/season/made{}", wanted.query());
    let doing = t(
        text!(
            "All orders are planned with their strike-offs and the visits",
            "Semua pesanan disusun dengan contoh dan kunjungannya"
        ),
        voice,
    );
    let body = html! {
        div.wrap.head {
            div {
                h1 { (t(text!("What is the next visit for, and what is due when?", "Untuk apa kunjungan berikutnya, dan apa yang harus selesai kapan?"), voice)) }
                p.say { (t(text!("Strike-offs, approvals in your visits, bulk and ship dates as the plan of all orders puts them.", "Contoh, acc saat kunjungan, produksi, dan tanggal kirim menurut rencana semua pesanan."), voice)) }
            }
            div.row { a.btn href=(super::run::PAGE.path) { (t(text!("Back to the run sheet", "Kembali ke lembar kerja"), voice)) } }
        }
        section.wrap { div.mori { (question(workspace, &wanted, voice)) } }
        section.wrap.after { (work(&from, doing, None, &from, voice)) }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// What is approved already, and how many rounds the rest takes.
fn question(workspace: &Workspace, wanted: &Wanted, voice: Voice) -> Markup {
    let ordered = |id: &str| workspace.orders.iter().any(|order| order.design == id);
    let designs = workspace.designs.iter().filter_map(|file| file.design.as_ref());
    html! { form.choose method="get" action=(PAGE.path) {
        fieldset {
            legend { (t(text!("Which cloth is approved already?", "Kain mana yang sudah di-acc?"), voice)) }
            @for design in designs.filter(|design| ordered(&design.id)) { label {
                input type="checkbox" name="approved" value=(design.id) checked[wanted.approved.contains(&design.id)];
                " " (design.name)
            } }
        }
        p {
            label for="rounds" { (t(text!("Rounds of strike-offs of the others:", "Putaran contoh untuk yang lain:"), voice)) } " "
            select #rounds name="rounds" { @for n in ROUNDS { option value=(n) selected[n == wanted.rounds] { (n) } } }
        }
        button.btn type="submit" { (t(text!("Plan the season", "Susun musim"), voice)) }
    } }
}

/// What is served below `/season`: a piece of the page, and files.
const PIECES: [&str; 7] = [
    "made",
    "season.svg",
    "season.json",
    "season.pdf",
    "calendar.csv",
    "purchases.csv",
    "agenda.txt",
];

/// `/season/{piece}`: one of [`PIECES`].
pub async fn piece(State(studio): State<Arc<Studio>>, Path(piece): Path<String>, reader: Reader) -> Response {
    if !PIECES.contains(&piece.as_str()) {
        return super::nothing_here(State(studio), reader).await;
    }
    let (workspace, voice) = (studio.look().await, reader.voice);
    let wanted = Wanted::of(&workspace, &reader);
    let (facts, ws, query) = (studio.facts(), workspace.clone(), wanted.query());
    let name = format!("season {query} {}", plan_name(&workspace));
    let make = move |go_on: &dyn Fn(f64) -> bool| -> Outcome {
        let Some(plan) = facts.asked() else {
            // Says why nothing plans here.
            return Err(facts.plan(&ws, go_on).err().unwrap_or_default());
        };
        let asked = AskedSeason {
            first_day: plan.first_day,
            rounds: wanted.rounds,
            approved: wanted.approved,
            tries: plan.tries,
            anew: false,
        };
        let tried = Cell::new(0u64);
        let keep_going = || {
            tried.set(tried.get() + 1);
            go_on((tried.get() as f64 / plan.tries.max(1) as f64).min(0.95))
        };
        season(&ws, &asked, &keep_going)
    };
    let made = match studio.bench().ask(&name, make).await {
        Ok(made) => made,
        Err(status) => return status.into_response(),
    };
    let season = match made.as_ref() {
        Ok(season) => season,
        Err(found) if piece == "made" => return findings(found, voice).into_response(),
        Err(_) => return StatusCode::CONFLICT.into_response(),
    };
    let Some(view) = View::new(&workspace, &season.planned) else {
        return StatusCode::CONFLICT.into_response();
    };
    let agenda = agenda::next(&view, season, voice);
    match piece.as_str() {
        "season.svg" => {
            // A file has its cloth in itself; that takes a while.
            let (ws, made) = (workspace.clone(), made.clone());
            let job = tokio::task::spawn_blocking(move || {
                let season = made.as_ref().as_ref().ok()?;
                let view = View::new(&ws, &season.planned)?;
                Some(picture(&view, season, &chart::cloths(&view), voice))
            });
            match job.await {
                Ok(Some(svg)) => File::svg(&piece, svg).into_response(),
                _ => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
            }
        }
        "season.json" => File::json(&piece, &document(&view, season, agenda, voice)).into_response(),
        "calendar.csv" => File::csv(&piece, tables::calendar(&view, season, voice).csv()).into_response(),
        "purchases.csv" => File::csv(&piece, tables::purchases(&view, season, voice).csv()).into_response(),
        "season.pdf" => match papers::listing(&tables::listing(&view, season, agenda.as_ref(), voice), voice)
        {
            Ok(pdf) => File::pdf(&piece, pdf).into_response(),
            Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
        },
        "agenda.txt" => agenda
            .map_or_else(String::new, |agenda| agenda.as_text(voice))
            .into_response(),
        _ => told(&studio, &view, season, agenda, voice).into_response(),
    }
}

fn told(studio: &Studio, view: &View, season: &Season, agenda: Option<Agenda>, voice: Voice) -> Markup {
    let lots = view.planned.mapped.lots.iter().map(|lot| lot.design.clone());
    let cloths = lots
        .zip(cloths(studio, view).iter().map(|href| words::xml_text(href)))
        .collect();
    let (heavy, notes): (Vec<Finding>, Vec<Finding>) = season
        .findings
        .iter()
        .cloned()
        .partition(|one| one.weight != Weight::Note);
    let drawing = in_house(&picture(view, season, &cloths, voice), "season");
    html! {
        div.mori {
            div.scroll tabindex="0" role="region" aria-label=(t(text!("The season as a drawing; the table below says the same", "Musim sebagai gambar; tabel di bawah isinya sama"), voice)) {
                div.season-drawing { (PreEscaped(drawing)) }
            }
            (findings(&heavy, voice))
        }
        div.mori.agenda { @match &agenda { Some(agenda) => (next_visit(agenda, voice)), None => p.say { (t(text!("No visit falls into these months.", "Tidak ada kunjungan pada bulan ini."), voice)) } } }
        div.mori {
            h2 { (t(text!("What is due when?", "Apa yang harus selesai kapan?"), voice)) }
            (calendar(view, season, voice))
        }
        div.mori {
            h2 { (t(text!("What must be ordered by when?", "Apa yang harus dipesan sampai kapan?"), voice)) }
            p.small { (t(text!("If it is not in the store: nobody counts the store here.", "Bila tidak ada di gudang: isi gudang tidak dihitung di sini."), voice)) }
            (purchases(view, season, voice))
        }
        div.mori { details { summary { (t(text!("What this rests on", "Dasar perhitungan ini"), voice)) } (findings(&notes, voice)) } }
    }
}

fn next_visit(agenda: &Agenda, voice: Voice) -> Markup {
    let lists = [
        (text!("To decide", "Harus diputuskan"), &agenda.decide),
        (text!("To look at", "Untuk dilihat"), &agenda.look),
        (text!("Waiting", "Menunggu"), &agenda.waiting),
    ];
    html! {
        h2 { (say!(
            "The next visit, {first} to {last}",
            "Kunjungan berikutnya, {first} sampai {last}",
            first = Arg::Name(day_name(agenda.visit.0, voice)),
            last = Arg::Name(day_name(agenda.visit.1, voice))
        ).say(voice)) }
        div.three { @for (name, lines) in lists {
            section {
                h3 { (t(name, voice)) }
                @if lines.is_empty() { p.none { (t(text!("nothing", "tidak ada"), voice)) } }
                ul.told-lines { @for line in lines { li { (line) } } }
            }
        } }
    }
}

/// A line for each round and each order.
fn calendar(view: &View, season: &Season, voice: Voice) -> Markup {
    let day = |day| day_name(day, voice);
    let maybe = |date: Option<sky::Date>| date.map_or_else(|| "–".to_string(), day);
    html! {
        div.scroll tabindex="0" role="region" aria-label=(t(text!("The season as a table", "Musim sebagai tabel"), voice)) { table {
            thead { tr {
                th scope="col" { (t(text!("What", "Apa"), voice)) }
                th scope="col" { (t(text!("Begins", "Mulai"), voice)) }
                th scope="col" { (t(text!("Ready", "Selesai"), voice)) }
                th scope="col" { (t(text!("Approved", "Acc"), voice)) }
                th scope="col" { (t(text!("Ships", "Kirim"), voice)) }
            } }
            tbody { @for design in &season.designs {
                tr.group { th scope="colgroup" colspan="5" { (design.name)
                    @if design.stamp.is_some() { small { (say!(
                        "artwork by {artwork}, stamp ordered by {stamp}",
                        "gambar {artwork}, cap dipesan {stamp}",
                        artwork = Arg::Name(maybe(design.artwork)),
                        stamp = Arg::Name(maybe(design.stamp))
                    ).say(voice)) } }
                } }
                @for (lot, from, to, approved) in &design.rounds { tr {
                    th scope="row" { (view.called(*lot, voice)) }
                    td { (day(*from)) } td { (day(*to)) } td { (maybe(*approved)) } td { "–" }
                } }
                @for order in &design.orders { tr {
                    th scope="row" { (view.called(order.lot, voice)) }
                    td { (day(order.starts)) } td { (day(order.ready)) } td { "–" }
                    td { (day(order.ships)) @if order.late { " " b.late { (t(text!("late", "terlambat"), voice)) } } }
                } }
            } }
        } }
    }
}

fn purchases(view: &View, season: &Season, voice: Voice) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(t(text!("Purchases", "Pembelian"), voice)) { table {
            thead { tr {
                th scope="col" { (t(text!("What", "Apa"), voice)) }
                th.n scope="col" { (t(text!("Amount", "Jumlah"), voice)) }
                th scope="col" { (t(text!("Order by", "Pesan sebelum"), voice)) }
                th scope="col" { (t(text!("First used", "Mulai dipakai"), voice)) }
                th scope="col" { (t(text!("For", "Untuk"), voice)) }
            } }
            tbody { @for purchase in &season.purchases { tr {
                th scope="row" { (said(&purchase.what, voice)) }
                td.n { (crate::studio::say::amount(purchase.amount, voice)) }
                td { @match purchase.order_by { Some(day) => (day_name(day, voice)), None => "–" } }
                td { (day_name(purchase.needed, voice)) }
                td { (purchase.for_whom(view, voice)) }
            } } }
        } }
    }
}

/// Days are `2026-12-01`, amounts in the SI base of their measure.
fn document(view: &View, season: &Season, agenda: Option<Agenda>, voice: Voice) -> Value {
    let designs: Vec<Value> = season
        .designs
        .iter()
        .map(|design| {
            let rounds: Vec<Value> = design
                .rounds
                .iter()
                .map(|(lot, from, to, approved)| {
                    json!({
                        "lot": view.lot(*lot), "from": from.to_string(), "to": to.to_string(),
                        "approved": approved.map(|day| day.to_string()),
                    })
                })
                .collect();
            let orders: Vec<Value> = design
                .orders
                .iter()
                .map(|order| {
                    json!({
                        "id": view.lot(order.lot), "starts": order.starts.to_string(),
                        "inspected_from": order.inspected.to_string(), "ready": order.ready.to_string(),
                        "ships": order.ships.to_string(), "late": order.late,
                    })
                })
                .collect();
            json!({
                "id": design.id,
                "artwork_due": design.artwork.map(|day| day.to_string()),
                "stamp_order_by": design.stamp.map(|day| day.to_string()),
                "rounds": rounds,
                "orders": orders,
            })
        })
        .collect();
    let purchases: Vec<Value> = season
        .purchases
        .iter()
        .map(|purchase| {
            json!({
                "what": purchase.what.say(voice), "amount": purchase.amount.si,
                "needed": purchase.needed.to_string(),
                "order_by": purchase.order_by.map(|day| day.to_string()), "lots": purchase.lots,
            })
        })
        .collect();
    json!({
        "from": view.problem().first_day.to_string(),
        "designs": designs,
        "visits": season.visits.iter().map(|(from, to)| [from.to_string(), to.to_string()]).collect::<Vec<_>>(),
        "purchases": purchases,
        "agenda": agenda.map(|agenda| json!({
            "visit": [agenda.visit.0.to_string(), agenda.visit.1.to_string()],
            "decide": agenda.decide, "look": agenda.look, "waiting": agenda.waiting,
        })),
        "findings": season.findings.iter().map(|one| json!({ "code": one.code, "found": said(&one.found, voice) })).collect::<Vec<_>>(),
    })
}
