//! The plan of all orders: does everything leave on time, where is each lot, which station is busy.

mod load;
mod making;
mod promise;
mod waits;

pub use making::{csv, made, plan};

use super::baths::findings;
use crate::studio::Studio;
use crate::studio::facts::RunSheet;
use crate::studio::frame::{self, Here};
use crate::studio::gantt::{Axis, Labels, drawing, names};
use crate::studio::page::{About, Page};
use crate::studio::parts::{Plot, plot};
use crate::studio::picture::Cut;
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use axum::response::Response;
use maud::{Markup, html};
use plan::{Bar, Gantt, Row};
use sky::Date;
use words::{Arg, Language, Voice, say, text};
use workspace::Workspace;

/// Days drawn at once, as one may choose; the second is the usual.
const DAYS: [usize; 4] = [1, 6, 12, 30];

/// The page in the list of pages.
pub static PAGE: Page = Page {
    word: text!("Run sheet", "Lembar kerja"),
    path: "/run",
    about: About::All,
    make: page,
};

/// The page. Making a plan may take many seconds: until it is made, the page says so; `?now=1` waits for it.
fn page(studio: &Studio, workspace: &Workspace, reader: &Reader) -> Response {
    let voice = reader.voice;
    if reader.get("now").is_none()
        && studio
            .bench()
            .known::<()>(&making::plan_name(workspace))
            .is_none()
    {
        return making::being_made(studio, workspace, reader);
    }
    let sheet = match studio.facts().run_sheet(workspace) {
        Ok(sheet) => sheet,
        Err(found) => {
            let title = text!("There is no plan yet", "Belum ada rencana");
            let body = html! {
                div.wrap.head { div {
                    h1 { (t(title, voice)) }
                    p.say { (t(text!("A plan begins with a promise: which cloth, how many bolts, for which day.", "Rencana dimulai dari janji: kain mana, berapa gulung, untuk hari apa."), voice)) }
                } }
                section.wrap.after { div.mori { (findings(&found, voice)) (promise::form(workspace, voice)) } }
            };
            return frame::page(studio, reader, &Here::at(&PAGE, title, workspace, reader), body);
        }
    };
    let gantt = plan::gantt(&sheet.problem, &sheet.schedule);
    let days = reader
        .get("days")
        .and_then(|v| v.parse().ok())
        .filter(|n| DAYS.contains(n))
        .unwrap_or(DAYS[1]);
    let weeks = gantt.days.len().div_ceil(days).max(1);
    let week = reader
        .get("part")
        .and_then(|v| v.parse::<usize>().ok())
        .unwrap_or(1)
        .clamp(1, weeks)
        - 1;
    let axis = Axis::new(&gantt, week * days..((week + 1) * days).min(gantt.days.len()));
    let view = View {
        sheet: &sheet,
        workspace,
        voice,
    };
    let cloth: Vec<String> = sheet
        .lots
        .iter()
        .map(|lot| view.cloth(studio, &lot.design))
        .collect();
    let lots = shown(&gantt.by_lot, &axis);
    let stations = shown(&gantt.by_station, &axis);
    let loads = load::loads(&sheet.problem, &gantt);
    let waits = waits::waits(&sheet.problem, &sheet.schedule);
    let body = html! {
        div.wrap.head { div {
            h1 { (t(text!("Will the orders leave on time?", "Apakah pesanan selesai tepat waktu?"), voice)) }
            p.say { (view.answer()) }
        } }
        section.wrap { div.mori { (view.orders(&waits)) (findings(&sheet.findings, voice)) } }
        div.wrap.row.parts-nav {
            (parts(week, weeks, days, &gantt, reader))
            (zoom(days, reader))
        }
        section.wrap { div.mori {
            h2 { (t(text!("Where is each lot, hour by hour?", "Di mana tiap partai, jam demi jam?"), voice)) }
            p.small { (t(text!(
                "A bar is cloth at work, one lane a bolt; numbers are steps of the route. Double lines are nights.",
                "Batang adalah kain yang dikerjakan, satu jalur satu gulung; angka adalah langkah alur. Garis ganda adalah malam."
            ), voice)) }
            (chart(&gantt, &lots, &axis, &cloth, "lot", &ByLot(&view), &view))
        } }
        section.wrap { (plot(&Plot {
            key: "stations",
            question: t(text!("Which station is the narrow place?", "Stasiun mana yang paling sempit?"), voice),
            answer: html! { (load::answer(&loads, voice)) },
            wide: chart(&gantt, &stations, &axis, &cloth, "station", &ByStation(&view), &view),
            narrow: None,
            assumed: None,
        })) }
        section.wrap { (plot(&Plot {
            key: "load",
            question: t(text!("How full is each station?", "Seberapa penuh tiap stasiun?"), voice),
            answer: html! { (load::hours(&loads, voice)) },
            wide: load::bars(&loads, voice),
            narrow: None,
            assumed: Some(html! { (t(text!(
                "Busy minutes of the likely durations, as a share of the hours in which the station is open while the plan runs.",
                "Menit sibuk menurut lama yang paling mungkin, dibanding jam buka stasiun selama rencana berjalan."
            ), voice)) }),
        })) }
        section.wrap.after { div.mori {
            (view.table(&gantt, &axis))
            p.row.small { a href="/run.csv" { (t(text!("The whole plan as CSV", "Seluruh rencana sebagai CSV"), voice)) } }
        } }
        section.wrap.after { div.mori { h2 { (t(text!("Promise more", "Janji lagi"), voice)) } (promise::form(workspace, voice)) } }
    };
    frame::page(
        studio,
        reader,
        &Here::at(&PAGE, text!("Run sheet", "Lembar kerja"), workspace, reader),
        body,
    )
}

/// Rows and lanes with something on these days.
fn shown(rows: &[Row], axis: &Axis) -> Vec<Row> {
    let used = |lane: &&Vec<Bar>| lane.iter().any(|bar| axis.shows(bar));
    rows.iter()
        .map(|row| Row {
            label: row.label.clone(),
            lanes: row.lanes.iter().filter(used).cloned().collect(),
        })
        .filter(|row| !row.lanes.is_empty())
        .collect()
}

/// Labels stand still; only the hours scroll where there is no room.
fn chart(
    gantt: &Gantt,
    rows: &[Row],
    axis: &Axis,
    cloth: &[String],
    name: &str,
    labels: &dyn Labels,
    view: &View,
) -> Markup {
    html! {
        div.chart {
            div.names { (names(rows, |row| (row.label.clone(), if name == "lot" { view.about_lot(&row.label) } else { None }))) }
            div.scroll tabindex="0" role="region" aria-label=(t(text!("Drawing of the plan; the table below says the same", "Gambar rencana; tabel di bawah isinya sama"), view.voice)) {
                (drawing(gantt, rows, axis, cloth, name, labels, view.voice))
            }
        }
    }
}

fn parts(week: usize, weeks: usize, days: usize, gantt: &Gantt, reader: &Reader) -> Markup {
    html! {
        nav.seg aria-label=(t(text!("Days", "Hari"), reader.voice)) {
            @for part in 0..weeks {
                @if let Some((date, _, _)) = gantt.days.get(part * days) {
                    a href=(reader.here(&[("part", &(part + 1).to_string())])) aria-current=[(part == week).then_some("true")] {
                        (day_name(*date, reader.voice))
                    }
                }
            }
        }
    }
}

/// How many days are drawn at once.
fn zoom(days: usize, reader: &Reader) -> Markup {
    let voice = reader.voice;
    html! {
        nav.seg aria-label=(t(text!("How much is drawn", "Seberapa banyak yang digambar"), voice)) {
            @for choice in DAYS {
                a href=(reader.here(&[("days", &choice.to_string()), ("part", "")])) aria-current=[(choice == days).then_some("true")] {
                    @if choice == 1 { (t(text!("a day", "sehari"), voice)) } @else {
                        (say!("{n} days", "{n} hari", n = Arg::Number(choice as f64, 0)).say(voice))
                    }
                }
            }
        }
    }
}

struct View<'a> {
    sheet: &'a RunSheet,
    workspace: &'a Workspace,
    voice: Voice,
}

impl View<'_> {
    /// A strip of the finished cloth of a design.
    fn cloth(&self, studio: &Studio, id: &str) -> String {
        let Some(design) = self.workspace.design(id) else {
            return "/a/mark.svg".to_string();
        };
        let width = design.cloth.width.to_mm();
        let step = design.steps.last().map_or("", |step| step.id.as_str());
        Cut::wide(
            0.0,
            600.0_f64.min(design.cloth.length.to_mm() / 2.0),
            width,
            width / 5.0,
            240.0,
        )
        .href(studio, design, step, 0)
    }

    fn done(&self, lot: usize) -> Option<i64> {
        self.sheet.schedule.completion(&self.sheet.problem, lot)
    }

    fn answer(&self) -> String {
        let lots = &self.sheet.problem.lots;
        let late = (0..lots.len())
            .filter(|at| self.done(*at).is_none_or(|done| lots[*at].due < done))
            .count();
        let n = |n: usize| Arg::Number(n as f64, 0);
        match late {
            0 => say!(
                "All {n} of them, if your minutes are right.",
                "Semuanya, {n}, bila menit kerja Anda benar.",
                n = n(lots.len())
            ),
            late => say!(
                "{late} of {n} will not, even if your minutes are right.",
                "{late} dari {n} tidak, walaupun menit kerja Anda benar.",
                late = n(late),
                n = n(lots.len())
            ),
        }
        .say(self.voice)
    }

    fn moment(&self, minute: i64) -> String {
        let date = self.sheet.problem.first_day.plus(minute.div_euclid(1440) as i32);
        format!("{} {}", day_name(date, self.voice), clock(minute))
    }

    fn orders(&self, waits: &[waits::Waits]) -> Markup {
        let voice = self.voice;
        html! {
            table.orders {
                thead { tr {
                    th scope="col" { (t(text!("Lot", "Partai"), voice)) }
                    th scope="col" { (t(text!("Promised", "Dijanjikan"), voice)) }
                    th scope="col" { (t(text!("Planned to be packed", "Rencana dikemas"), voice)) }
                    th scope="col" { (t(text!("Spare", "Sisa waktu"), voice)) }
                    th scope="col" { (t(text!("What it waits for", "Yang ditunggu"), voice)) }
                } }
                tbody { @for (at, lot) in self.sheet.problem.lots.iter().enumerate() {
                    tr {
                        th scope="row" { (lot.name) (self.lot_note(&lot.name)) }
                        td data-what=(t(text!("promised", "dijanjikan"), voice)) { (self.moment(lot.due)) }
                        td data-what=(t(text!("packed", "dikemas"), voice)) { @match self.done(at) { Some(done) => (self.moment(done)), None => (t(text!("not planned", "belum direncanakan"), voice)) } }
                        td { @if let Some(done) = self.done(at) { (self.spare(lot.due - done)) } }
                        td data-what=(t(text!("waits for", "menunggu"), voice)) { @if let Some(waits) = waits.get(at) { (waits.say(voice)) } }
                    }
                } }
            }
        }
    }

    fn spare(&self, minutes: i64) -> Markup {
        let days = Arg::Number((minutes.abs() as f64 / 1440.0 * 10.0).round() / 10.0, 1);
        let voice = self.voice;
        if minutes >= 0 {
            html! { div.find.good { p { b.w { (t(text!("Good.", "Baik."), voice)) } " " (say!("{d} days to spare", "sisa {d} hari", d = days).say(voice)) } } }
        } else {
            html! { div.find.stop { p { b.w { (t(text!("Stop.", "Berhenti."), voice)) } " " (say!("{d} days late", "terlambat {d} hari", d = days).say(voice)) } } }
        }
    }

    /// The design of a lot: its address, and what to call it.
    fn about_lot(&self, name: &str) -> Option<(String, String)> {
        let at = self.sheet.problem.lots.iter().position(|lot| lot.name == name)?;
        let design = self.workspace.design(&self.sheet.lots.get(at)?.design)?;
        let words = say!(
            "{design}, {n} bolts",
            "{design}, {n} gulung",
            design = Arg::Name(design.name.clone()),
            n = Arg::Number(f64::from(self.sheet.problem.lots.get(at)?.bolts), 0)
        );
        Some((format!("/design/{}", escape(&design.id)), words.say(self.voice)))
    }

    fn lot_note(&self, name: &str) -> Markup {
        html! { @if let Some((href, words)) = self.about_lot(name) { small { a href=(href) { (words) } } } }
    }

    /// Number and name of the step of a bar.
    fn step(&self, bar: &Bar) -> Option<(usize, &'static str)> {
        let key = bar.operation.as_ref()?;
        let route = &self.sheet.problem.lots.get(bar.lot)?.route;
        let at = route.iter().position(|operation| operation.key == *key)?;
        let lot = self.sheet.lots.get(bar.lot)?;
        let step = *lot.steps.get(at)?;
        let design = self.workspace.design(&lot.design)?;
        let kind = design.steps.get(step)?.operation.kind();
        Some((step + 1, t(&kind.term.text, self.voice)))
    }

    fn lot_name(&self, bar: &Bar) -> &str {
        self.sheet
            .problem
            .lots
            .get(bar.lot)
            .map_or("", |lot| lot.name.as_str())
    }

    fn words(&self, bar: &Bar) -> String {
        let what = match self.step(bar) {
            Some((number, name)) => format!("{number} {name}"),
            None => t(text!("approval", "acc"), self.voice).to_string(),
        };
        format!(
            "{} · {what} · {}–{}",
            self.lot_name(bar),
            self.moment(bar.start),
            clock(bar.end)
        )
    }

    /// The same in words: everything of the days that are drawn.
    fn table(&self, gantt: &Gantt, axis: &Axis) -> Markup {
        let voice = self.voice;
        let mut bars: Vec<(&str, &Bar)> = gantt
            .by_station
            .iter()
            .flat_map(|row| {
                row.lanes
                    .iter()
                    .flatten()
                    .map(move |bar| (row.label.as_str(), bar))
            })
            .filter(|(_, bar)| axis.shows(bar))
            .collect();
        bars.sort_by_key(|(station, bar)| (bar.start, bar.lot, *station));
        html! {
            details {
                summary { (say!("These days as a table, {n} lines", "Hari-hari ini sebagai tabel, {n} baris", n = Arg::Number(bars.len() as f64, 0)).say(voice)) }
                div.scroll tabindex="0" role="region" aria-label=(t(text!("The plan as a table", "Rencana sebagai tabel"), voice)) { table {
                    thead { tr {
                        th scope="col" { (t(text!("From", "Dari"), voice)) }
                        th scope="col" { (t(text!("To", "Sampai"), voice)) }
                        th scope="col" { (t(text!("Lot", "Partai"), voice)) }
                        th scope="col" { (t(text!("Bolts", "Gulung"), voice)) }
                        th scope="col" { (t(text!("Step", "Langkah"), voice)) }
                        th scope="col" { (t(text!("Where or who", "Di mana atau siapa"), voice)) }
                    } }
                    tbody { @for (station, bar) in &bars {
                        tr {
                            th scope="row" { (self.moment(bar.start)) }
                            td { (self.moment(bar.end)) }
                            td { (self.lot_name(bar)) }
                            td { (bar.bolts.iter().map(|(_, b)| (b + 1).to_string()).collect::<Vec<_>>().join(", ")) }
                            td { @if let Some((number, name)) = self.step(bar) { (number) " " (name) } }
                            td { (station) }
                        }
                    } }
                } }
            }
        }
    }
}

struct ByLot<'a>(&'a View<'a>);

impl Labels for ByLot<'_> {
    fn label(&self, bar: &Bar) -> String {
        self.0
            .step(bar)
            .map_or_else(String::new, |(number, _)| number.to_string())
    }
    fn title(&self, bar: &Bar) -> String {
        self.0.words(bar)
    }
}

struct ByStation<'a>(&'a View<'a>);

impl Labels for ByStation<'_> {
    fn label(&self, bar: &Bar) -> String {
        self.0.lot_name(bar).to_string()
    }
    fn title(&self, bar: &Bar) -> String {
        self.0.words(bar)
    }
}

/// `08:20`: a clock, never a duration.
fn clock(minute: i64) -> String {
    let of_day = minute.rem_euclid(1440);
    format!("{:02}:{:02}", of_day / 60, of_day % 60)
}

/// A day as people say it: `Fri 18 Dec`.
pub fn day_name(date: Date, voice: Voice) -> String {
    let (_, month, day) = date.civil();
    let (days, months) = match voice.language {
        Language::En => (
            ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"],
            [
                "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
            ],
        ),
        Language::Id => (
            ["Sen", "Sel", "Rab", "Kam", "Jum", "Sab", "Min"],
            [
                "Jan", "Feb", "Mar", "Apr", "Mei", "Jun", "Jul", "Agu", "Sep", "Okt", "Nov", "Des",
            ],
        ),
    };
    let weekday = days.get(date.weekday() as usize).unwrap_or(&"");
    let month = months.get((month as usize).wrapping_sub(1)).unwrap_or(&"");
    format!("{weekday} {day} {month}")
}
