//! `lorod plan --state`: going on from what was done and is running, three ways side by side.

use super::plan::Search;
use super::table::Table;
use super::{End, out, stop, tell};
use crate::facts::plan::Planned;
use crate::facts::problem::Asked;
use crate::facts::replan::{Choice, Followed, Replanned, Way, replan};
use crate::facts::sure::{Sure, sure};
use ::plan::Minute;
use clap::ValueEnum;
use std::path::Path;
use std::time::Instant;
use words::{Arg, Text, Voice, Weight, say, text};
use workspace::{FloorState, Source, Workspace};

/// Longest file that is read, bytes.
const MOST: u64 = 16 << 20;

/// Which of the three plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Choose {
    /// Same order, same loads: what is hit waits
    Keep,
    /// A few moves where they help much
    Some,
    /// As if nobody minded what moves
    Best,
}

impl Choose {
    const fn way(self) -> Way {
        match self {
            Self::Keep => Way::Keep,
            Self::Some => Way::Some,
            Self::Best => Way::Best,
        }
    }
}

/// What is told beside the plan that is chosen.
#[derive(Clone, Copy, Debug)]
pub struct Told {
    /// Nothing: nobody reads the comparison.
    pub silent: bool,
    /// Replays of each way.
    pub replays: u32,
}

/// A state's file, what it says, and the plan that it names.
///
/// # Errors
/// What is wrong with either file.
pub fn read(path: &Path) -> Result<(Source, FloorState, Followed), End> {
    let source = out::text(path, MOST)?;
    let (state, findings) = workspace::floor_state(&source);
    let Some(state) = state else {
        return Err(End::in_source(findings, source));
    };
    let followed_path = path.parent().unwrap_or(Path::new("")).join(&state.plan);
    let followed = out::text(&followed_path, MOST)?;
    match Followed::read(&followed.path, &followed.text) {
        Ok(read) => Ok((source, state, read)),
        Err(finding) => Err(End::in_file(finding, followed)),
    }
}

/// Plans on from a state and says how the three ways differ, and how sure each leaves the promises. With the plan comes the
/// first minute that can still be planned.
///
/// # Errors
/// What is wrong with the files, or why there is no plan.
pub fn go_on(
    workspace: &Workspace,
    path: &Path,
    choose: Choose,
    search: &Search,
    asked: &Told,
    voice: Voice,
) -> Result<(Asked, Planned, Minute), End> {
    let (source, state, followed) = read(path)?;
    stop::flag();
    let since = Instant::now();
    let keep_going = || !stop::raised() && since.elapsed() < search.longest;
    // Where nobody reads the comparison, only what is chosen is planned: a repair then takes no search.
    let ways = if asked.silent {
        vec![choose.way()]
    } else {
        vec![Way::Keep, Way::Some, Way::Best]
    };
    let replanned = replan(
        workspace,
        &source.path,
        &state,
        &followed,
        &ways,
        search.tries,
        &keep_going,
    );
    let replanned = match replanned {
        Ok(replanned) => replanned,
        Err(findings) => return Err(End::in_source(findings, source)),
    };
    if !asked.silent {
        let sure: Vec<Option<Sure>> = replanned
            .choices
            .iter()
            .map(|choice| {
                let (mapped, schedule) = (&choice.planned.mapped, &choice.planned.schedule);
                let played = asked.replays > 0;
                played.then(|| {
                    sure(workspace, mapped, schedule, replanned.now, asked.replays, &|| {
                        !stop::raised()
                    })
                })?
            })
            .collect();
        tell(&side_by_side(&replanned, &sure, choose.way(), voice));
    }
    let chosen = replanned
        .choices
        .into_iter()
        .find(|choice| choice.way == choose.way());
    let (asked, now) = (replanned.asked, replanned.now);
    chosen
        .map(|choice| (asked, choice.planned, now))
        .ok_or_else(End::stopped)
}

/// The three plans, a column each, and what they mean in words.
fn side_by_side(replanned: &Replanned, sure: &[Option<Sure>], chosen: Way, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let choices = &replanned.choices;
    let Some(problem) = choices.first().map(|choice| &choice.planned.mapped.problem) else {
        return String::new();
    };
    let mut table = Table::new(&[false, true, true, true]);
    let mut row = |name: &Text, cell: &dyn Fn(&Choice) -> String| {
        table.row(std::iter::once(raw(name)).chain(choices.iter().map(cell)));
    };
    row(text!("going on from {now}", "lanjut dari {now}"), &|choice| {
        raw(choice.way.name())
    });
    row(text!("orders late", "pesanan terlambat"), &|choice| {
        choice.late().0.to_string()
    });
    row(text!("days late together", "jumlah hari terlambat"), &|choice| {
        voice.number(choice.late().1 as f64 / 1440.0, 1)
    });
    row(text!("everything ready", "semua selesai"), &|choice| {
        problem.clock(choice.done())
    });
    row(text!("moved to another day", "pindah hari"), &|choice| {
        choice.unrest.days.to_string()
    });
    row(
        text!("moved over 30 min in the day", "geser lebih dari 30 menit"),
        &|choice| choice.unrest.hours.to_string(),
    );
    row(text!("points of unrest", "nilai gangguan"), &|choice| {
        choice.unrest.points.to_string()
    });
    let percent = |share: f64| format!("{} %", voice.number(share * 100.0, 0));
    if sure.iter().any(Option::is_some) {
        let all = sure.iter().map(|sure| {
            sure.as_ref()
                .map_or_else(|| "-".into(), |sure| percent(sure.replays.all_on_time.value))
        });
        table.row(
            std::iter::once(raw(text!("all on time, replayed", "semua tepat waktu, diulang"))).chain(all),
        );
    }
    for (at, lot) in problem.lots.iter().enumerate() {
        let cell = |(choice, sure): (&Choice, &Option<Sure>)| {
            let done = choice.planned.schedule.completion(problem, at);
            let late = choice.planned.late(at).is_some_and(|late| late > 0);
            let mark = if late { " !" } else { "" };
            let sure = sure.as_ref().and_then(|sure| sure.replays.lots.get(at));
            let sure = sure.map_or_else(String::new, |promise| {
                format!(", {}", percent(promise.on_time.value))
            });
            done.map_or_else(
                || "-".into(),
                |done| format!("{}{mark}{sure}", problem.clock(done)),
            )
        };
        table.row(std::iter::once(lot.name.clone()).chain(choices.iter().zip(sure).map(cell)));
    }
    let table = table.text().replace("{now}", &problem.clock(replanned.now));
    let judged = choices
        .iter()
        .all(|choice| choice.planned.findings.iter().all(|f| f.weight != Weight::Wrong));
    let words = say!(
        "{begun} operations have begun and stand. ! is late; a share is how often the promise is kept, if your minutes are right. Shown below: {way}; --choose takes another.",
        "{begun} pekerjaan sudah dimulai dan tetap. ! berarti terlambat; persen adalah seberapa sering janji ditepati, bila menit kerja Anda benar. Di bawah: {way}; --choose memilih yang lain.",
        begun = Arg::Number(replanned.begun as f64, 0),
        way = Arg::Text(chosen.name())
    );
    let verdict = if judged {
        text!(
            "The independent judge finds nothing wrong with any of the three.",
            "Penilai terpisah tidak menemukan kesalahan pada ketiganya."
        )
    } else {
        text!(
            "The independent judge finds faults; see below.",
            "Penilai terpisah menemukan kesalahan; lihat di bawah."
        )
    };
    format!("{table}{}\n{}\n\n", words.say(voice), raw(verdict))
}
