//! The plan of all orders: does everything leave on time, where is each lot, which station is busy, what the day's weather
//! changes.

mod day;
mod files;
mod load;
mod made;
mod orders;
mod promise;
mod table;
mod waits;

pub use day::{chosen_text, piece as day_piece};
pub use files::serve as file;
pub use made::{made, plan, plan_name};
pub use orders::piece as orders_piece;

use super::baths::findings;
use crate::facts::followed;
use crate::facts::views::{View, clock, day_name, load as loaded};
use crate::studio::Studio;
use crate::studio::assets;
use crate::studio::frame::{self, Here};
use crate::studio::gantt::{Axis, Hours, Labels, Name, drawing, names};
use crate::studio::page::{About, Page};
use crate::studio::parts::{Plot, plot};
use crate::studio::picture::Cut;
use crate::studio::reader::Reader;
use crate::studio::say::t;
use axum::response::Response;
use made::Outcome;
use maud::{Markup, html};
use plan::{Bar, Gantt, ResourceId, Row};
use sky::Date;
use std::collections::BTreeMap;
use std::sync::Arc;
use words::{Arg, Finding, Voice, Weight, say, text};
use workspace::Workspace;

/// Days drawn at once, as one may choose; the second is the usual.
const DAYS: [usize; 4] = [1, 6, 12, 30];

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Run sheet", "Lembar kerja"),
    path: "/run",
    about: About::All,
    make: page,
    data: Some(&crate::studio::data::stamp::RUN),
};

/// The page. Making a plan may take many seconds: until it is made, the page says so; `?now=1` waits for it.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let known = studio.bench().known::<Outcome>(&plan_name(workspace));
    let outcome = match known {
        Some(outcome) => outcome,
        // Without an order there is nothing to wait for.
        None if reader.get("now").is_none() && !workspace.orders.is_empty() => {
            return made::being_made(studio, workspace, reader);
        }
        None => Arc::new(made::make(studio, workspace, &|_| true)),
    };
    let voice = reader.voice;
    let shown = match outcome.as_ref() {
        Ok(made) => View::new(workspace, &made.planned)
            .map(|view| (made, view))
            .ok_or(&[][..]),
        Err(found) => Err(found.as_slice()),
    };
    let (made, view) = match shown {
        Ok(shown) => shown,
        Err(found) => {
            let title = text!("There is no plan yet", "Belum ada rencana");
            let body = html! {
                div.wrap.head { div {
                    h1 { (t(title, voice)) }
                    p.say { (t(text!("A plan begins with a promise: which cloth, how many bolts, for which day.", "Rencana dimulai dari janji: kain mana, berapa gulung, untuk hari apa."), voice)) }
                } }
                section.wrap.after { div.mori { @if !workspace.orders.is_empty() { (findings(found, voice)) } (promise::form(workspace, reader)) } }
            };
            return frame::page(studio, reader, &Here::at(&PAGE, title, workspace, reader), body);
        }
    };
    let gantt = plan::gantt(view.problem(), &made.planned.schedule);
    let at = Part::of(reader, gantt.days.len());
    let axis = Axis::new(&gantt, at.range(gantt.days.len()));
    let loads = loaded::loads(&view, view.whole());
    let drawn = Drawn {
        gantt: &gantt,
        axis: &axis,
        cloth: cloths(studio, &view),
        view: &view,
        voice,
    };
    let (heavy, notes): (Vec<Finding>, Vec<Finding>) = made
        .planned
        .findings
        .iter()
        .cloned()
        .partition(|one| one.weight != Weight::Note);
    let (chosen, follows) = (
        studio.chosen_plan(),
        !followed::text(&workspace.dir).trim().is_empty(),
    );
    let body = html! {
        div.wrap.head {
            div {
                h1 { (t(text!("Will the orders leave on time?", "Apakah pesanan selesai tepat waktu?"), voice)) }
                p.say { (view.kept(voice)) }
            }
            div.row.desk-acts data-plan-hash=(chosen.hash) {
                @if chosen.depth != [0, 0] {
                    button.btn type="button" data-plan="/api/plan/undo" disabled[chosen.depth[0] == 0] { (t(text!("Undo", "Urungkan"), voice)) }
                    button.btn type="button" data-plan="/api/plan/redo" disabled[chosen.depth[1] == 0] { (t(text!("Do again", "Ulangi"), voice)) }
                }
                @if follows { button.btn type="button" data-plan="/api/plan" data-sends=(r#"{"way":"anew"}"#) { (t(text!("Plan anew", "Susun ulang"), voice)) } }
                a.btn href="#weather" { (t(text!("It is raining", "Sedang hujan"), voice)) }
                a.btn.go href=(super::season::PAGE.path) { (t(text!("Season and next visit", "Musim dan kunjungan berikutnya"), voice)) }
            }
        }
        div.wrap { div.told data-plan-told="" role="alert" {} }
        section.wrap { div.mori {
            (orders::place(studio, workspace, made, reader))
            (findings(&heavy, voice))
            details { summary { (t(text!("What the plan rests on", "Dasar rencana ini"), voice)) } (findings(&notes, voice)) }
            (handed_out(&view, &drawn, &at, voice))
        } }
        section.wrap { (day::place(workspace, &made.planned, reader)) }
        div.wrap.row.parts-nav #days {
            (at.parts(&gantt, reader))
            (at.zoom(reader))
            p.small { (t(text!("In a drawing, + and − change how many days it shows, Page Up and Page Down go to other days.", "Di dalam gambar, + dan − mengubah jumlah hari, Page Up dan Page Down pindah ke hari lain."), voice)) }
        }
        section.wrap { div.mori {
            h2 { (t(text!("Where is each lot, hour by hour?", "Di mana tiap partai, jam demi jam?"), voice)) }
            p.small { (t(text!(
                "A bar is cloth at work, one lane a bolt; numbers are steps of the route; a dashed thread is rest or waiting. Double lines are nights; slanting strokes are hours with rain in three of ten or more.",
                "Batang adalah kain yang dikerjakan, satu jalur satu gulung; angka adalah langkah alur; benang putus-putus adalah istirahat atau menunggu. Garis ganda adalah malam; coretan miring adalah jam dengan hujan tiga dari sepuluh atau lebih."
            ), voice)) }
            (drawn.chart(&shown_rows(&by_bolt(&gantt.by_lot), &axis), "lot", &ByLot(&view, voice), &|row| drawn.lot_name(row)))
        } }
        section.wrap { (plot(&Plot {
            key: "stations",
            question: t(text!("Which place is the narrow one?", "Tempat mana yang paling sempit?"), voice),
            answer: html! { (loaded::answer(&view, &loads, voice)) },
            wide: drawn.chart(&shown_rows(&gantt.by_station, &axis), "station", &ByStation(&view, voice), &|row| drawn.place_name(row, &loads)),
            narrow: None,
            assumed: Some(html! { (t(text!("Names on the cloth are lots. Two lanes are two places that are used at once.", "Nama di kain adalah partai. Dua jalur adalah dua tempat yang dipakai bersamaan."), voice)) }),
        })) }
        section.wrap { (plot(&Plot {
            key: "load",
            question: t(text!("How full is each place?", "Seberapa penuh tiap tempat?"), voice),
            answer: html! { (load::hours(&view, &loads, voice)) },
            wide: load::bars(&view, &loads, voice),
            narrow: None,
            assumed: Some(html! { (t(text!(
                "Minutes held inside the hours of the work that uses it, as a share of those hours, from the first work to the last.",
                "Menit terpakai dalam jam kerja yang memakainya, dibanding jam itu, dari pekerjaan pertama sampai terakhir."
            ), voice)) }),
        })) }
        section.wrap.after { div.mori { (table::of(&view, at.days(&gantt), voice)) } }
        section.wrap.after { div.mori { h2 { (t(text!("Promise more", "Janji lagi"), voice)) } (promise::form(workspace, reader)) } }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, PAGE.word, workspace, reader),
        body,
    )
}

/// Which days are drawn.
struct Part {
    /// Place in [`DAYS`].
    zoom: usize,
    /// Which stretch of so many days, from 0.
    at: usize,
    /// How many there are.
    of: usize,
}

impl Part {
    fn of(reader: &Reader, all: usize) -> Self {
        let asked = reader.get("days").and_then(|v| v.parse().ok());
        let zoom = asked
            .and_then(|n: usize| DAYS.iter().position(|days| *days == n))
            .unwrap_or(1);
        let of = all.div_ceil(DAYS[zoom]).max(1);
        let at = reader
            .get("part")
            .and_then(|v| v.parse::<usize>().ok())
            .unwrap_or(1);
        Self {
            zoom,
            at: at.clamp(1, of) - 1,
            of,
        }
    }

    fn range(&self, all: usize) -> std::ops::Range<usize> {
        let days = DAYS[self.zoom];
        (self.at * days).min(all)..((self.at + 1) * days).min(all)
    }

    /// First and last day that are drawn.
    fn days(&self, gantt: &Gantt) -> Option<(Date, Date)> {
        let days = gantt.days.get(self.range(gantt.days.len()))?;
        Some((days.first()?.0, days.last()?.0))
    }

    fn parts(&self, gantt: &Gantt, reader: &Reader) -> Markup {
        html! {
            nav.seg aria-label=(t(text!("Days", "Hari"), reader.voice)) {
                @for part in 0..self.of {
                    @if let Some((date, _, _)) = gantt.days.get(part * DAYS[self.zoom]) {
                        @let turn = if part == self.at + 1 { Some("on") } else if part + 1 == self.at { Some("back") } else { None };
                        a href=(format!("{}#days", reader.here(&[("part", &(part + 1).to_string())]))) data-turn=[turn] aria-current=[(part == self.at).then_some("true")] {
                            (day_name(*date, reader.voice))
                        }
                    }
                }
            }
        }
    }

    /// How many days are drawn at once.
    fn zoom(&self, reader: &Reader) -> Markup {
        let voice = reader.voice;
        html! {
            nav.seg aria-label=(t(text!("How much is drawn", "Seberapa banyak yang digambar"), voice)) {
                @for (at, choice) in DAYS.iter().enumerate() {
                    @let turn = if at + 1 == self.zoom { Some("in") } else if at == self.zoom + 1 { Some("out") } else { None };
                    @let part = (self.at * DAYS[self.zoom] / choice + 1).to_string();
                    a href=(format!("{}#days", reader.here(&[("days", &choice.to_string()), ("part", &part)]))) data-turn=[turn] aria-current=[(at == self.zoom).then_some("true")] {
                        @if *choice == 1 { (t(text!("a day", "sehari"), voice)) } @else {
                            (say!("{n} days", "{n} hari", n = Arg::Number(*choice as f64, 0)).say(voice))
                        }
                    }
                }
            }
        }
    }
}

/// The run sheets of the days that are shown; the whole plan is handed out at the foot of the page.
fn handed_out(view: &View, drawn: &Drawn, at: &Part, voice: Voice) -> Markup {
    let days = at.days(drawn.gantt);
    let these = days.map_or_else(String::new, |(first, last)| format!("?first={first}&last={last}"));
    html! {
        p.row.small.files {
            @if let Some((first, last)) = days { a href=(format!("/run/sheets.pdf{these}")) { (say!(
                "run sheets of {first} to {last} (PDF)",
                "lembar kerja {first} sampai {last} (PDF)",
                first = Arg::Name(day_name(first, voice)),
                last = Arg::Name(day_name(last.min(view.whole().last), voice))
            ).say(voice)) } }
        }
    }
}

/// Rows and lanes with something on these days.
fn shown_rows(rows: &[Row], axis: &Axis) -> Vec<Row> {
    let used = |lane: &&Vec<Bar>| lane.iter().any(|bar| axis.shows(bar));
    rows.iter()
        .map(|row| Row {
            label: row.label.clone(),
            lanes: row.lanes.iter().filter(used).cloned().collect(),
        })
        .filter(|row| !row.lanes.is_empty())
        .collect()
}

/// The same rows with a lane for each bolt, so that what rests between two bars is one piece of cloth.
fn by_bolt(rows: &[Row]) -> Vec<Row> {
    let lanes = |row: &Row| -> Vec<Vec<Bar>> {
        let mut lanes: BTreeMap<u32, Vec<Bar>> = BTreeMap::new();
        for bar in row.lanes.iter().flatten() {
            let bolt = bar.bolts.first().map_or(0, |(_, bolt)| *bolt);
            lanes.entry(bolt).or_default().push(bar.clone());
        }
        lanes.into_values().collect()
    };
    rows.iter()
        .map(|row| Row {
            label: row.label.clone(),
            lanes: lanes(row),
        })
        .collect()
}

/// A strip of the finished cloth of each lot.
pub fn cloths(studio: &Studio, view: &View) -> Vec<String> {
    let cloth = |lot: usize| {
        let Some(design) = view.design(lot) else {
            return assets::href("mark.svg");
        };
        let width = design.cloth.width.to_mm();
        let step = design.steps.last().map_or("", |step| step.id.as_str());
        let long = 600.0_f64.min(design.cloth.length.to_mm() / 2.0);
        Cut::wide(0.0, long, width, width / 5.0, 240.0).href(studio, design, step, 0)
    };
    (0..view.problem().lots.len()).map(cloth).collect()
}

/// What both drawings share.
struct Drawn<'a> {
    gantt: &'a Gantt,
    axis: &'a Axis,
    cloth: Vec<String>,
    view: &'a View<'a>,
    voice: Voice,
}

impl Drawn<'_> {
    /// Labels stand still; only the hours scroll where there is no room.
    fn chart(&self, rows: &[Row], name: &str, labels: &dyn Labels, named: &dyn Fn(&Row) -> Name) -> Markup {
        let spec = self.view.workspace.rain.as_ref();
        let rain = |date: Date, hour: i64| {
            let month = spec?.chance.get(date.civil().1 as usize - 1)?.as_ref()?;
            month.get(hour as usize).copied()
        };
        let hours = Hours {
            gantt: self.gantt,
            axis: self.axis,
            cloth: &self.cloth,
            rain: &rain,
            voice: self.voice,
        };
        html! {
            div.chart {
                div.names { (names(rows, named)) }
                div.scroll id=(format!("{name}-hours")) tabindex="0" role="region" aria-label=(t(text!("Drawing of the plan; the table below says the same", "Gambar rencana; tabel di bawah isinya sama"), self.voice)) {
                    (drawing(&hours, rows, name, labels))
                }
            }
        }
    }

    fn lot_name(&self, row: &Row) -> Name {
        let lots = &self.view.problem().lots;
        let at = lots.iter().position(|lot| lot.name == row.label);
        let about = at.and_then(|at| orders::about(self.view, at, self.voice));
        let (href, about) = about.map_or((None, String::new()), |(href, words)| (Some(href), words));
        Name {
            label: at.map_or_else(|| row.label.clone(), |at| self.view.called(at, self.voice)),
            about,
            href,
            narrow: false,
        }
    }

    fn place_name(&self, row: &Row, loads: &[loaded::Load]) -> Name {
        let resources = &self.view.problem().resources;
        let at = resources
            .iter()
            .position(|one| one.name == row.label)
            .map(ResourceId);
        let load = loads.iter().position(|load| Some(load.resource) == at);
        let narrow = load == Some(0);
        let share = load.map(|at| Arg::Number(loads[at].share * 100.0, 0));
        let about = share.map_or_else(String::new, |share| {
            let words = if narrow {
                say!("narrow place, {n} %", "paling sempit, {n} %", n = share)
            } else {
                say!("{n} % in use", "terpakai {n} %", n = share)
            };
            words.say(self.voice)
        });
        Name {
            label: at.map_or_else(|| row.label.clone(), |at| self.view.place(at, self.voice)),
            about,
            href: None,
            narrow,
        }
    }
}

/// Number and name of the step of a bar.
fn step<'a>(view: &View<'a>, bar: &Bar, voice: Voice) -> Option<(usize, &'static str)> {
    let key = bar.operation.as_ref()?;
    let route = &view.problem().lots.get(bar.lot)?.route;
    let at = route.iter().position(|operation| operation.key == *key)?;
    let (number, term) = view.step(bar.lot, at)?;
    Some((number, t(&term.text, voice)))
}

fn words_of(view: &View, bar: &Bar, voice: Voice) -> String {
    let what = match (step(view, bar, voice), &bar.operation) {
        (Some((number, name)), _) => format!("{number} {name}"),
        (None, Some(_)) => t(text!("courier", "kurir"), voice).to_string(),
        (None, None) => t(text!("approval", "acc"), voice).to_string(),
    };
    let lot = if bar.bolts.is_empty() {
        view.called(bar.lot, voice)
    } else {
        view.bolts(&bar.bolts)
    };
    format!(
        "{lot} · {what} · {}–{}",
        orders::moment(view, bar.start, voice),
        clock(bar.end)
    )
}

struct ByLot<'a>(&'a View<'a>, Voice);

impl Labels for ByLot<'_> {
    fn label(&self, bar: &Bar) -> String {
        step(self.0, bar, self.1).map_or_else(String::new, |(number, _)| number.to_string())
    }
    fn title(&self, bar: &Bar) -> String {
        words_of(self.0, bar, self.1)
    }
    fn threads(&self) -> bool {
        true
    }
}

struct ByStation<'a>(&'a View<'a>, Voice);

impl Labels for ByStation<'_> {
    fn label(&self, bar: &Bar) -> String {
        self.0.called(bar.lot, self.1)
    }
    fn title(&self, bar: &Bar) -> String {
        words_of(self.0, bar, self.1)
    }
    fn threads(&self) -> bool {
        false
    }
}
