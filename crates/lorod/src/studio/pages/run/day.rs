//! The weather of a day, entered in the morning: three ways to go on side by side, and what moves.

use super::made::{plan, plan_name};
use super::orders::moment;
use crate::facts::followed;
use crate::facts::plan::Planned;
use crate::facts::replan::{Choice, Way};
use crate::facts::today::{Moved, Today, moved, today};
use crate::facts::told::document;
use crate::facts::views::{Days, View, clock, day_name, runs};
use crate::studio::Studio;
use crate::studio::pages::baths::findings;
use crate::studio::parts::{self, Head, work};
use crate::studio::reader::{Reader, escape};
use crate::studio::say::t;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use plan::Minute;
use serde_json::json;
use sky::Date;
use std::sync::Arc;
use words::{Arg, Finding, Place, Voice, Weight, say, text};
use workspace::{Hours, Workspace};

/// A day and the hours in which its yard can be used, as an address says them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    on: Date,
    yard: (Minute, Minute),
}

impl Asked {
    /// `?day=2026-12-01&opens=08:30&closes=11:00`; a day of rain only is `closes` at `opens`. `None` where nothing is asked.
    ///
    /// # Errors
    /// A finding where it cannot be read.
    fn of(reader: &Reader) -> Result<Option<Self>, Finding> {
        let Some(day) = reader.get("day") else {
            return Ok(None);
        };
        let wrong = |found: words::Line| Finding::new("yard-hours", Weight::Wrong, Place::Request, found);
        let name = |text: &str| Arg::Name(text.chars().filter(|c| !c.is_control()).take(40).collect());
        let on = Date::parse(day).ok_or_else(|| {
            wrong(say!(
                "\"{text}\" is not a date",
                "\"{text}\" bukan tanggal",
                text = name(day)
            ))
        })?;
        let time = |key: &str| {
            let typed = reader.get(key).unwrap_or("");
            minute(typed).ok_or_else(|| {
                let found = say!(
                    "\"{text}\" is not a time of day",
                    "\"{text}\" bukan jam",
                    text = name(typed)
                );
                wrong(found).allow(say!(
                    "hours and minutes on the 24-hour clock: {example}",
                    "jam dan menit dengan jam 24: {example}",
                    example = Arg::Name("08:30".into())
                ))
            })
        };
        let yard = (time("opens")?, time("closes")?);
        if yard.0 > yard.1 {
            let found = say!("the yard closes before it opens", "halaman tutup sebelum dibuka");
            return Err(wrong(found));
        }
        Ok(Some(Self { on, yard }))
    }

    fn query(self) -> String {
        let time = |minute| escape(&clock(minute));
        format!(
            "day={}&opens={}&closes={}",
            self.on,
            time(self.yard.0),
            time(self.yard.1)
        )
    }
}

/// Minutes after midnight of `08:30`.
fn minute(text: &str) -> Option<Minute> {
    let (hour, minute) = text.trim().split_once(':')?;
    let (hour, minute) = (hour.parse::<Minute>().ok()?, minute.parse::<Minute>().ok()?);
    ((0..=23).contains(&hour) && (0..=59).contains(&minute)).then_some(hour * 60 + minute)
}

/// The question, and a place for its answer once it is asked.
pub fn place(workspace: &Workspace, planned: &Planned, reader: &Reader) -> Markup {
    let voice = reader.voice;
    let Some(view) = View::new(workspace, planned) else {
        return html! {};
    };
    let sun = workspace
        .calendars
        .iter()
        .find(|spec| matches!(spec.hours, Hours::Sun { .. }));
    let asked = Asked::of(reader);
    let given = asked.as_ref().ok().copied().flatten();
    let on = given.map_or_else(|| view.whole().first, |asked| asked.on);
    let shifts = sun
        .map(|sun| sun.shifts_on(on, &view.shop.climate))
        .unwrap_or_default();
    let usual = shifts.first().map_or((510, 660), |shift| {
        (
            Minute::from(shift.start),
            Minute::from(shift.start + shift.end) / 2,
        )
    });
    let (opens, closes) = given.map_or(usual, |asked| asked.yard);
    html! {
        div.mori #weather {
            h2 { (t(text!("What does today's weather change?", "Apa yang berubah karena cuaca hari ini?"), voice)) }
            form.weather method="get" action="/run#weather" {
                p.sentence-line {
                    label for="weather-day" { (t(text!("On", "Pada"), voice)) } " "
                    input #weather-day name="day" type="date" required value=(on.to_string());
                    " " label for="weather-opens" { (t(text!("the yard can be used from", "halaman dapat dipakai dari"), voice)) } " "
                    input #weather-opens name="opens" type="text" inputmode="numeric" required size="5" maxlength="5" value=(clock(opens));
                    " " label for="weather-closes" { (t(text!("to", "sampai"), voice)) } " "
                    input #weather-closes name="closes" type="text" inputmode="numeric" required size="5" maxlength="5" value=(clock(closes));
                    ". "
                    button.btn.go type="submit" { (t(text!("Ask", "Tanya"), voice)) }
                }
            }
            @match (asked, given) {
                (Err(found), _) => (findings(std::slice::from_ref(&found), voice)),
                (Ok(_), Some(asked)) => (work(
                    &format!("/run/day?{}", asked.query()),
                    t(text!("Three ways to go on are planned and played", "Tiga cara melanjutkan sedang disusun dan diulang"), voice),
                    None,
                    &format!("/run/day?{}", asked.query()),
                    voice,
                )),
                (Ok(_), None) => p.small { (t(text!(
                    "What has begun before that day stands. Rain all day is the same hour twice.",
                    "Yang sudah mulai sebelum hari itu tetap. Hujan sepanjang hari: tulis jam yang sama dua kali."
                ), voice)) },
            }
        }
    }
}

type Outcome = Result<Today, Vec<Finding>>;

/// The answer as a piece of the page.
pub async fn piece(State(studio): State<Arc<Studio>>, reader: Reader) -> Response {
    let voice = reader.voice;
    let asked = match Asked::of(&reader) {
        Ok(Some(asked)) => asked,
        Ok(None) => return StatusCode::NOT_FOUND.into_response(),
        Err(found) => return findings(std::slice::from_ref(&found), voice).into_response(),
    };
    let made = match plan(&studio).await {
        Ok(made) => made,
        Err(status) => return status.into_response(),
    };
    let workspace = studio.look().await;
    let (facts, ws, of) = (studio.facts(), workspace.clone(), made.clone());
    let name = day_work(asked, &workspace);
    let work = move |go_on: &dyn Fn(f64) -> bool| -> Outcome {
        let (Ok(made), Some(plan)) = (of.as_ref(), facts.asked()) else {
            return Err(Vec::new());
        };
        let plan = followed::asked(&ws, &made.planned, plan);
        today(&ws, (&made.planned, &plan), asked.on, asked.yard, go_on)
    };
    let answer = match studio.bench().ask(&name, work).await {
        Ok(answer) => answer,
        Err(status) => return status.into_response(),
    };
    match (answer.as_ref(), made.as_ref()) {
        (Ok(today), Ok(made)) => said(&workspace, &made.planned, today, voice).into_response(),
        (Err(found), _) => findings(found, voice).into_response(),
        (_, Err(found)) => findings(found, voice).into_response(),
    }
}

fn said(workspace: &Workspace, planned: &Planned, today: &Today, voice: Voice) -> Markup {
    let Some(view) = View::new(workspace, planned) else {
        return html! {};
    };
    let choices = &today.replanned.choices;
    let kept = choices.iter().find(|choice| choice.way == Way::Keep);
    let days = Days::one(today.on);
    let rows = kept.map(|kept| moved(&view, &planned.schedule, &kept.planned.schedule, days));
    let rows = rows.unwrap_or_default();
    html! {
        p.say { (answer(today, &rows, voice)) }
        div.beside-each-other {
            div.scroll tabindex="0" role="region" aria-label=(t(text!("Three ways to go on", "Tiga cara melanjutkan"), voice)) { (side_by_side(&view, today, voice)) }
            @if !rows.is_empty() { (what_moves(&view, &rows, voice)) }
        }
        p.small { (t(text!(
            "Each way was checked by the independent judge. A share is how often the promise is kept when that plan is played in rain with minutes that stray; what began before stands. If your minutes are right.",
            "Tiap cara diperiksa penilai terpisah. Angka adalah seberapa sering janji ditepati bila rencana itu diulang dalam hujan dengan menit yang menyimpang; yang sudah mulai tetap. Bila menit kerja Anda benar."
        ), voice)) }
    }
}

fn what_moves(view: &View, rows: &[Moved], voice: Voice) -> Markup {
    let lines = html! {
        @for row in rows { tr {
            th scope="row" { (view.called(row.lot, voice)) " " span.small { (runs(&numbers(row))) } }
            td { @if let Some((number, term)) = view.step(row.lot, row.operation) { (number) " " (t(&term.text, voice)) } }
            td { (clock(row.begins.0)) }
            td { (moment(view, row.begins.1, voice)) }
        } }
    };
    let heads = [
        Head::Words(text!("Lot and bolts", "Partai dan gulung")),
        Head::Words(text!("Step", "Langkah")),
        Head::Words(text!("Was to begin", "Seharusnya mulai")),
        Head::Words(text!("Begins", "Mulai")),
    ];
    html! { div {
        h3 { (t(text!("What moves if everything is kept as it was", "Yang bergeser bila semuanya dipertahankan"), voice)) }
        div.scroll.tall tabindex="0" role="region" aria-label=(t(text!("What moves", "Yang bergeser"), voice)) { (parts::table("", &heads, &lines, voice)) }
    } }
}

fn numbers(row: &Moved) -> Vec<u32> {
    row.bolts.iter().map(|bolt| bolt + 1).collect()
}

fn answer(today: &Today, rows: &[Moved], voice: Voice) -> String {
    let day = Arg::Name(day_name(today.on, voice));
    if rows.is_empty() {
        return say!(
            "Nothing of {day} has to move.",
            "Tidak ada pekerjaan {day} yang perlu bergeser.",
            day = day
        )
        .say(voice);
    }
    let late = today
        .replanned
        .choices
        .iter()
        .map(|choice| choice.late().0)
        .min()
        .unwrap_or(0);
    let n = Arg::Number(rows.len() as f64, 0);
    if late == 0 {
        return say!(
            "Steps of {day} that move: {n}. Every promise can still be kept.",
            "Langkah {day} yang bergeser: {n}. Semua janji masih dapat ditepati.",
            day = day,
            n = n
        )
        .say(voice);
    }
    say!(
        "Steps of {day} that move: {n}. Orders late in the best of the three plans: {late}.",
        "Langkah {day} yang bergeser: {n}. Pesanan terlambat dalam rencana terbaik dari ketiganya: {late}.",
        day = day,
        n = n,
        late = Arg::Number(late as f64, 0)
    )
    .say(voice)
}

/// The three plans, a column each.
fn side_by_side(view: &View, today: &Today, voice: Voice) -> Markup {
    let choices = &today.replanned.choices;
    let row = |name: &'static words::Text, cell: &dyn Fn(&Choice) -> String| {
        html! { tr { th scope="row" { (t(name, voice)) } @for choice in choices { td { (cell(choice)) } } } }
    };
    let percent = |share: f64| format!("{} %", voice.number(share * 100.0, 0));
    html! {
        table.ways-on {
            thead { tr { th scope="col" { } @for choice in choices { th scope="col" { (t(choice.way.name(), voice)) } } } }
            tbody {
                tr.takes {
                    th scope="row" { (t(text!("for the plan", "untuk rencana"), voice)) }
                    @for choice in choices { td { (take(choice, today, voice)) } }
                }
                (row(text!("orders late", "pesanan terlambat"), &|choice| choice.late().0.to_string()))
                (row(text!("everything ready", "semua selesai"), &|choice| moment(view, choice.done(), voice)))
                (row(text!("moved to another day", "pindah hari"), &|choice| choice.unrest.days.to_string()))
                (row(text!("moved over half an hour", "geser lebih dari setengah jam"), &|choice| choice.unrest.hours.to_string()))
                (row(text!("faults that the judge finds", "kesalahan menurut penilai"), &|choice| choice.planned.faults.len().to_string()))
                tr {
                    th scope="row" { (t(text!("all on time, played", "semua tepat waktu, diulang"), voice)) }
                    @for sure in &today.sure { td { @match sure { Some(sure) => (percent(sure.replays.all_on_time.value)), None => "–" } } }
                }
                @for at in 0..view.problem().lots.len() {
                    tr {
                        th scope="row" { (view.called(at, voice)) }
                        @for (choice, sure) in choices.iter().zip(&today.sure) {
                            @let done = choice.planned.schedule.completion(&choice.planned.mapped.problem, at);
                            @let late = choice.planned.late(at).is_some_and(|late| late > 0);
                            td class=[late.then_some("late")] {
                                @match done { Some(done) => (moment(view, done, voice)), None => "–" }
                                @if late { " " b { (t(text!("late", "terlambat"), voice)) } }
                                @if let Some(promise) = sure.as_ref().and_then(|sure| sure.replays.lots.get(at)) { small { (percent(promise.on_time.value)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Makes a way the plan.
fn take(choice: &Choice, today: &Today, voice: Voice) -> Markup {
    let way = match choice.way {
        Way::Keep => "keep",
        Way::Some => "some",
        Way::Best => "best",
    };
    let sends = json!({
        "way": way, "day": today.on.to_string(), "opens": clock(today.yard.0), "closes": clock(today.yard.1),
    });
    html! { button.btn type="button" data-plan="/api/plan" data-sends=(sends.to_string())
    aria-label=(say!("Take the plan {way}", "Pakai rencana {way}", way = Arg::Text(choice.way.name())).say(voice)) { (t(text!("Take this", "Pakai ini"), voice)) } }
}

/// The text of the plan's file if a way to go on from a morning is taken.
///
/// # Errors
/// If it cannot be read what is asked, or it was not worked out on the plan that there is.
pub fn chosen_text(
    studio: &Studio,
    [day, opens, closes]: [&str; 3],
    way: Way,
    voice: Voice,
) -> Result<String, Finding> {
    let typed = [("day", day), ("opens", opens), ("closes", closes)];
    let reader = Reader {
        query: typed
            .map(|(key, value)| (key.to_string(), value.to_string()))
            .to_vec(),
        ..Reader::default()
    };
    let workspace = studio.workspace();
    let unknown = || {
        let found = say!(
            "these ways to go on were not worked out on the plan that there is now",
            "cara melanjutkan ini tidak dihitung dari rencana yang sekarang"
        );
        Finding::new("no-such-way", Weight::Wrong, Place::Request, found)
            .remedy(say!("ask for the day again", "tanyakan harinya lagi"))
    };
    let on = Asked::of(&reader)?.ok_or_else(unknown)?;
    let known = studio
        .bench()
        .known::<Outcome>(&day_work(on, &workspace))
        .ok_or_else(unknown)?;
    let today = known.as_ref().as_ref().map_err(|_| unknown())?;
    let mut choices = today.replanned.choices.iter().zip(&today.sure);
    let (choice, sure) = choices
        .find(|(choice, _)| choice.way == way)
        .ok_or_else(unknown)?;
    let planned = &choice.planned;
    let findings: Vec<serde_json::Value> = planned
        .findings
        .iter()
        .map(|one| json!({ "code": one.code, "found": crate::studio::say::said(&one.found, voice) }))
        .collect();
    let told = document(
        planned,
        sure.as_ref(),
        &today.replanned.asked,
        &workspace,
        findings,
        voice,
    );
    // Numbers, text and lists: nothing in it can fail to be written as JSON.
    let text = serde_json::to_string_pretty(&told).unwrap_or_default();
    match followed::fits(&workspace, &text, 0) {
        Ok(()) => Ok(text),
        Err(_) => Err(beyond()),
    }
}

/// What has begun may force waits that a plan of its own may not have.
fn beyond() -> Finding {
    let found = say!(
        "this way oversteps a limit that no plan may overstep",
        "cara ini melewati batas yang tidak boleh dilanggar sebuah rencana"
    );
    Finding::new("way-beyond-limits", Weight::Wrong, Place::Request, found).remedy(say!(
        "take another way, or write down what was done and go on from it: {command}",
        "pilih cara lain, atau catat yang sudah dikerjakan lalu lanjutkan: {command}",
        command = Arg::Name("lorod plan --state".into())
    ))
}

/// What the work on a day is called.
fn day_work(asked: Asked, workspace: &Workspace) -> String {
    format!("day {} {}", asked.query(), plan_name(workspace))
}

#[cfg(test)]
mod tests {
    use super::minute;

    #[test]
    fn times_are_read_on_the_24_hour_clock() {
        assert_eq!(minute("08:30"), Some(510));
        assert_eq!(minute(" 23:59"), Some(1439));
        assert_eq!(
            (minute("24:00"), minute("8.30"), minute("-1:10")),
            (None, None, None)
        );
    }
}
