//! `lorod plan --problem` and `--check`: planning and judging what stands in a neutral file.

use super::end::REFUSED;
use super::plan::Search;
use super::progress::Progress;
use super::table::Table;
use super::{End, out, stop, tell, wire};
use crate::facts::neutral::{self, Instance};
use ::plan::solve::{Options, solve as search_plan};
use ::plan::{Bound, Minute, Schedule, Score, bound, judge};
use serde::Serialize;
use std::cell::Cell;
use std::path::Path;
use std::time::Instant;
use words::{Arg, Finding, Line, Text, Voice, Weight, say, text};

/// Longest file that is read, bytes; 200 bolts take a tenth of a MB.
const MOST: u64 = 64 << 20;

/// The answer as JSON. Times are minutes from 00:00 of day 0.
#[derive(Serialize)]
struct Out {
    /// Name of the problem.
    instance: String,
    /// Can the schedule be worked? The judge, who shares nothing with the planner, found no fault.
    judged: bool,
    /// What it is worth; `null` if it is incomplete.
    score: Option<ScoreOut>,
    /// What no schedule can beat; `null` where no bound is known.
    lower_bound: Option<f64>,
    /// How far it may be from the best, 0..1.
    gap: Option<f64>,
    /// Lots in the order of the file.
    lots: Vec<LotOut>,
    /// Faults, and what else there is to say.
    findings: Vec<wire::FindingOut>,
}

/// What a schedule is worth; less is better everywhere.
#[derive(Serialize)]
struct ScoreOut {
    /// The three by the problem's weights.
    total: f64,
    /// Sum over lots of weight x minutes late.
    weighted_tardiness_min: Minute,
    /// Minutes from the origin to the last completion.
    makespan_min: Minute,
    /// Mean over bolts of last end minus first start.
    mean_flow_min: f64,
}

/// A lot.
#[derive(Serialize)]
struct LotOut {
    /// Its id.
    id: String,
    /// Last bolt done.
    done: Option<Minute>,
    /// Promised for.
    due: Minute,
    /// No schedule has it done before.
    earliest: Option<Minute>,
}

/// Plans a problem's file; the schedule is judged before it is written.
///
/// # Errors
/// If the file is no sound problem, there is no plan, or the judge refuses it.
pub fn solve(path: &Path, search: &Search, to: Option<&Path>, json: bool, voice: Voice) -> Result<(), End> {
    let instance = read(path)?;
    stop::flag();
    let since = Instant::now();
    let options = Options {
        tries: search.tries,
        seed: search.seed,
        ..Options::default()
    };
    let progress = Progress::new(&say!("planning", "menyusun rencana").say(voice));
    let share = || since.elapsed().as_secs_f64() / search.longest.as_secs_f64().max(1e-3);
    // What no schedule can beat need not be looked for any longer.
    let least = bound(&instance.problem).map_or(f64::NEG_INFINITY, |b| b.total);
    let proven = Cell::new(false);
    let mut on_better = |_: &Schedule, score: &Score| proven.set(score.total <= least + 1e-6);
    let keep_going = || {
        progress.at(share().min(1.0));
        !stop::raised() && !proven.get() && since.elapsed() < search.longest
    };
    let schedule =
        search_plan(&instance.problem, &options, &mut on_better, &keep_going).map_err(End::refused)?;
    progress.done();
    if stop::raised() {
        return Err(End::stopped());
    }
    let judged = judge::check(&instance.problem, &schedule).is_empty();
    if let (Some(to), true) = (to, judged) {
        out::write(to, neutral::write(&instance, &schedule).as_bytes())?;
    }
    answer(&instance, &schedule, json, voice)
}

/// Judges a schedule's file.
///
/// # Errors
/// If a file cannot be understood, or the schedule has a fault.
pub fn check(problem: &Path, schedule: &Path, json: bool, voice: Voice) -> Result<(), End> {
    let instance = read(problem)?;
    let source = out::text(schedule, MOST)?;
    let schedule = neutral::schedule(&source.path, &source.text, &instance);
    let schedule = schedule.map_err(|finding| End::in_file(finding, source))?;
    answer(&instance, &schedule, json, voice)
}

fn read(path: &Path) -> Result<Instance, End> {
    let source = out::text(path, MOST)?;
    let instance = neutral::problem(&source.path, &source.text);
    let instance = instance.map_err(|finding| End::in_file(finding, source))?;
    let mut wrong = ::plan::examine(&instance.problem);
    wrong.retain(|f| f.weight == Weight::Wrong);
    if wrong.is_empty() {
        Ok(instance)
    } else {
        Err(End::refused(wrong))
    }
}

fn answer(instance: &Instance, schedule: &Schedule, json: bool, voice: Voice) -> Result<(), End> {
    let problem = &instance.problem;
    let faults = judge::check(problem, schedule);
    let findings: Vec<Finding> = faults.iter().map(|fault| fault.finding(problem)).collect();
    let bound = bound(problem);
    if json {
        wire::print(&document(instance, schedule, bound.as_ref(), &findings, voice));
    } else {
        for finding in &findings {
            eprint!("{}", words::show(finding, None, voice));
        }
        tell(&as_text(instance, schedule, bound.as_ref(), voice));
        let verdict = if findings.is_empty() {
            let n = Arg::Number(schedule.placed.len() as f64, 0);
            say!(
                "judged: all {n} operations can be done as planned",
                "dinilai: semua {n} pekerjaan dapat dilakukan sesuai rencana",
                n = n
            )
        } else {
            let n = Arg::Number(findings.len() as f64, 0);
            say!(
                "judged: {n} faults, this cannot be worked",
                "dinilai: {n} kesalahan, tidak dapat dikerjakan",
                n = n
            )
        };
        tell(&format!("{}\n", verdict.say(voice)));
    }
    if findings.is_empty() {
        Ok(())
    } else {
        Err(End::said(REFUSED))
    }
}

fn document(
    instance: &Instance,
    schedule: &Schedule,
    bound: Option<&Bound>,
    findings: &[Finding],
    voice: Voice,
) -> Out {
    let problem = &instance.problem;
    let score = schedule.score(problem);
    let lots = problem.lots.iter().enumerate().map(|(at, lot)| LotOut {
        id: lot.name.clone(),
        done: schedule.completion(problem, at),
        due: lot.due,
        earliest: bound.and_then(|b| b.lots.get(at)).map(|(earliest, _)| *earliest),
    });
    Out {
        instance: instance.name.clone(),
        judged: findings.is_empty(),
        lower_bound: bound.map(|b| b.total),
        gap: bound.zip(score.as_ref()).map(|(b, s)| b.gap(s.total)),
        score: score.map(|s| ScoreOut {
            total: s.total,
            weighted_tardiness_min: s.weighted_tardiness,
            makespan_min: s.makespan,
            mean_flow_min: s.mean_flow,
        }),
        lots: lots.collect(),
        findings: wire::findings(findings, |_| None, voice),
    }
}

/// A line for each lot, then what the whole is worth.
fn as_text(instance: &Instance, schedule: &Schedule, bound: Option<&Bound>, voice: Voice) -> String {
    let raw = |text: &Text| text.raw(voice.language).to_string();
    let problem = &instance.problem;
    // The file gives no date: days are counted.
    let clock = |minute: Minute| {
        let (day, of_day) = (minute.div_euclid(1440), minute.rem_euclid(1440));
        format!("{day} {:02}:{:02}", of_day / 60, of_day % 60)
    };
    let mut table = Table::new(&[false, true, true, true, true]);
    table.row([
        raw(text!("lot", "partai")),
        raw(text!("bolts", "gulung")),
        raw(text!("done, day and time", "selesai, hari dan jam")),
        raw(text!("promised", "janji")),
        raw(text!("minutes late", "menit terlambat")),
    ]);
    for (at, lot) in problem.lots.iter().enumerate() {
        let done = schedule.completion(problem, at);
        let late = done.map_or(0, |done| (done - lot.due).max(0));
        table.row([
            lot.name.clone(),
            lot.bolts.to_string(),
            done.map_or_else(|| "-".into(), clock),
            clock(lot.due),
            if late > 0 { late.to_string() } else { "-".into() },
        ]);
    }
    let mut text = table.text();
    if let Some(score) = schedule.score(problem) {
        let n = |n: f64, decimals| Arg::Number(n, decimals);
        let worth: Line = say!(
            "worth {total}: {late} weighted minutes late, {long} min long, a bolt {flow} min in work",
            "nilai {total}: terlambat {late} menit berbobot, panjang {long} menit, satu gulung {flow} menit dalam proses",
            total = n(score.total, 1),
            late = n(score.weighted_tardiness as f64, 0),
            long = n(score.makespan as f64, 0),
            flow = n(score.mean_flow, 1)
        );
        text.push_str(&format!("{}\n", worth.say(voice)));
        if let Some(bound) = bound {
            let line: Line = say!(
                "no schedule is worth less than {bound}: this one is within {gap} % of the best",
                "tidak ada jadwal di bawah {bound}: yang ini paling jauh {gap} % dari yang terbaik",
                bound = n(bound.total, 1),
                gap = n(bound.gap(score.total) * 100.0, 2)
            );
            text.push_str(&format!("{}\n", line.say(voice)));
        }
    }
    text
}
