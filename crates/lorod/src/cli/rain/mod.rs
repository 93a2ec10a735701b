//! `lorod rain`: hang cloth out now or wait; and the plan of a day whose weather is known.

mod today;

use super::check::aside;
use super::cost::amount;
use super::end::{design, no_such, open, shop, short};
use super::plan::first_day;
use super::table::Table;
use super::{End, tell, typed, wire};
use crate::facts::outside::{Asked, Hung, hung};
use ::plan::Minute;
use clap::{ArgGroup, Args};
use route::{Design, minor_digits};
use serde::Serialize;
use sky::Date;
use std::path::PathBuf;
use units::{Measure, Quantity};
use words::{Arg, Finding, Place, Text, Voice, Weight, say, text};
use workspace::Workspace;

/// What was typed.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  lorod rain my-cloth sea-fan --on 2026-12-01 --at 13:15 --bolts 6
  lorod rain my-cloth sea-fan --at 14:00 --out --loss 120000
  lorod rain my-cloth --yard 08:30-11:00 --from 2026-11-30 --on 2026-12-02
  lorod rain my-cloth --yard 08:30-11:00 --state state.toml

Chances of rain are those of [rain] in workshop.toml. Money is in the currency of the books. What you do not say is taken
as the worst case: a bolt that is rained on costs all that a bolt costs.")]
#[command(group(ArgGroup::new("what").required(true).args(["design", "yard"])))]
pub struct Ask {
    /// Folder of the workspace
    pub dir: PathBuf,
    /// Id of the design whose cloth should go out
    pub design: Option<String>,
    /// Today the yard can be used in these hours only: the plan that starts on --from is repaired for it
    #[arg(long, value_name = "HH:MM-HH:MM", conflicts_with = "design")]
    pub yard: Option<String>,
    /// First day of the plan that is repaired [default: the day]
    #[arg(long, value_name = "YYYY-MM-DD", requires = "yard")]
    pub from: Option<String>,
    /// Go on from what was done and is running: this file says it, and names the plan that is followed
    #[arg(long, value_name = "FILE", requires = "yard", conflicts_with_all = ["from", "tries"])]
    pub state: Option<PathBuf>,
    /// Plans to try for the plan that is repaired
    #[arg(long, value_name = "N", default_value_t = super::plan::TRIES, requires = "yard")]
    pub tries: u64,
    /// The day [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// Which step, if several are outdoors: its id or its number
    #[arg(long, value_name = "STEP", requires = "design")]
    pub step: Option<String>,
    /// The time now
    #[arg(long, value_name = "HH:MM", default_value = "12:00", requires = "design")]
    pub at: String,
    /// Bolts that would hang out
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub bolts: u32,
    /// They hang outside already
    #[arg(long, requires = "design")]
    pub out: bool,
    /// It is raining now
    #[arg(long, requires = "design")]
    pub raining: bool,
    /// How long they must still be outside [default: the likely time of the step]
    #[arg(long, value_name = "TIME", requires = "design")]
    pub needs: Option<String>,
    /// What a bolt costs that is rained on [default: all that a bolt costs]
    #[arg(long, value_name = "AMOUNT", requires = "design")]
    pub loss: Option<f64>,
    /// What an hour of waiting costs [default: the wages of those whom the step needs]
    #[arg(long, value_name = "AMOUNT", requires = "design")]
    pub wait: Option<f64>,
    /// What it costs if it is not done today [default: a working day of waiting]
    #[arg(long, value_name = "AMOUNT", requires = "design")]
    pub missed: Option<f64>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// The answer as JSON. Money is in decimal numbers of the books' currency, times are `13:15`.
#[derive(Serialize)]
struct Out {
    /// Id of the design.
    design: String,
    /// Id of the step.
    step: Option<String>,
    /// Hang it out, or leave it out?
    go: bool,
    /// When to look again with the wish to go, if not now; `null`: not today.
    from: Option<String>,
    /// Expected cost of the better choice.
    cost: String,
    currency: String,
    /// What was weighed.
    weighed: WeighedOut,
    /// From now to the end of the yard's hours.
    stretches: Vec<StretchOut>,
    /// Where the chances come from.
    rain: String,
}

/// The numbers of the question.
#[derive(Serialize)]
struct WeighedOut {
    needs_minutes: Minute,
    yard_until: String,
    loss: String,
    wait_an_hour: String,
    handling: String,
    missed: String,
}

/// One look at the sky, if it is dry.
#[derive(Serialize)]
struct StretchOut {
    at: String,
    /// 0..1; `null` where the day is too short.
    stays_dry: Option<f64>,
    go: Option<String>,
    wait: String,
}

/// Runs it.
///
/// # Errors
/// If something is not known, or the yard is shut.
pub fn run(ask: &Ask, voice: Voice) -> Result<(), End> {
    let workspace = open(&ask.dir)?;
    let (Some(id), None) = (&ask.design, &ask.yard) else {
        return today::run(ask, &workspace, voice);
    };
    let design = design(&workspace, id)?;
    let shop = shop(&workspace)?;
    // Whole minor units are what the books count in.
    let minor = |option: &str, asked: Option<f64>| -> Result<Option<f64>, End> {
        let most = 1e12;
        let asked = asked
            .map(|sum| typed::number(option, sum, 0.0..=most))
            .transpose()?;
        Ok(asked.map(|sum| sum * 10f64.powi(minor_digits(&shop.books) as i32)))
    };
    let needs = ask.needs.as_deref();
    let needs = needs
        .map(|text| typed::quantity(text, Measure::Span, 60.0..=86_400.0))
        .transpose()?;
    let asked = Asked {
        step: ask
            .step
            .as_deref()
            .map(|step| step_at(&design, step))
            .transpose()?,
        bolts: ask.bolts,
        date: day(ask.on.as_deref(), &workspace)?,
        now: time_of_day(&ask.at)?,
        raining: ask.raining,
        out: ask.out,
        needs: needs.map(|seconds| (seconds / 60.0).ceil() as Minute),
        loss: minor("--loss", ask.loss)?,
        wait: minor("--wait", ask.wait)?,
        missed: minor("--missed", ask.missed)?,
    };
    let hung =
        hung(&workspace, &design, shop, &asked).map_err(|findings| End::in_files(findings, &workspace))?;
    let step = design.steps.get(hung.step).map(|step| step.id.clone());
    if ask.json {
        wire::print(&document(&hung, &design.id, step));
    } else {
        tell(&as_text(
            &hung,
            &design.id,
            &step.unwrap_or_default(),
            &asked,
            voice,
        ));
        let note = say!(
            "chances of rain: {source}; each stretch for itself, so look up again before each",
            "peluang hujan: {source}; tiap selang sendiri-sendiri, jadi lihat langit lagi tiap kali",
            source = Arg::Name(hung.source.clone())
        );
        aside(
            &[Finding::new("rain-chances", Weight::Note, Place::Request, note)],
            &workspace,
            voice,
        );
    }
    Ok(())
}

/// When to look again with the wish to go: the first later stretch at which going is no dearer.
fn look_again(hung: &Hung) -> Option<Minute> {
    let mut later = hung.advice.stretches.iter().skip(1);
    later.find(|stretch| stretch.goes()).map(|stretch| stretch.start)
}

fn document(hung: &Hung, design: &str, step: Option<String>) -> Out {
    let money = |minor: f64| hung.money(minor).decimal();
    let cloth = &hung.cloth;
    Out {
        design: design.to_string(),
        step,
        go: hung.advice.go,
        from: look_again(hung).filter(|_| !hung.advice.go).map(clock),
        cost: money(hung.advice.cost),
        currency: hung.currency.clone(),
        weighed: WeighedOut {
            needs_minutes: cloth.needs,
            yard_until: clock(cloth.until),
            loss: money(cloth.loss),
            wait_an_hour: money(cloth.wait),
            handling: money(cloth.handling),
            missed: money(cloth.missed),
        },
        stretches: hung
            .advice
            .stretches
            .iter()
            .map(|stretch| StretchOut {
                at: clock(stretch.start),
                stays_dry: stretch.dry,
                go: stretch.go.map(money),
                wait: money(stretch.wait),
            })
            .collect(),
        rain: hung.source.clone(),
    }
}

fn as_text(hung: &Hung, design: &str, step: &str, asked: &Asked, voice: Voice) -> String {
    let cloth = &hung.cloth;
    let name = |text: String| Arg::Name(text);
    let sum = |minor: f64| Arg::Name(amount(&hung.money(minor), voice));
    let minutes = |minutes: Minute| Arg::Quantity(Quantity::new(minutes as f64 * 60.0, Measure::Span));
    let answer = match (hung.advice.go, cloth.out, look_again(hung)) {
        (true, false, _) => say!("Hang it out now.", "Jemur sekarang."),
        (true, true, _) => say!("Leave it out.", "Biarkan di luar."),
        (false, true, Some(at)) => say!(
            "Take it in. Hang it out again from {at} on, at the first dry look.",
            "Masukkan. Jemur lagi mulai {at}, begitu langit cerah.",
            at = name(clock(at))
        ),
        (false, true, None) => say!(
            "Take it in; not again today.",
            "Masukkan; hari ini jangan dijemur lagi."
        ),
        (false, false, Some(at)) => say!(
            "Wait. Hang it out from {at} on, at the first dry look.",
            "Tunggu. Jemur mulai {at}, begitu langit cerah.",
            at = name(clock(at))
        ),
        (false, false, None) => say!("Wait; not today.", "Tunggu; jangan hari ini."),
    };
    let about = say!(
        "{bolts} x {design}, step {step}, {day} {at}: {needs} outside, yard until {until}",
        "{bolts} x {design}, langkah {step}, {day} {at}: {needs} di luar, halaman sampai {until}",
        bolts = Arg::Number(f64::from(asked.bolts), 0),
        design = name(design.to_string()),
        step = name(step.to_string()),
        day = name(asked.date.to_string()),
        at = name(clock(cloth.now)),
        needs = minutes(cloth.needs),
        until = name(clock(cloth.until))
    );
    let weighed = say!(
        "rain on it costs {loss}; an hour of waiting {wait}; in and out again {handling}; not today {missed}",
        "kena hujan rugi {loss}; menunggu sejam {wait}; masuk dan keluar lagi {handling}; tidak hari ini {missed}",
        loss = sum(cloth.loss),
        wait = sum(cloth.wait),
        handling = sum(cloth.handling),
        missed = sum(cloth.missed)
    );
    let mut table = Table::new(&[false, true, true, true, false]);
    let raw = |text: &Text| text.raw(voice.language).to_string();
    table.row([
        raw(text!("if dry at", "bila cerah pukul")),
        raw(text!("stays dry", "tetap kering")),
        raw(text!("hang it out", "jemur")),
        raw(text!("wait", "tunggu")),
        String::new(),
    ]);
    for stretch in &hung.advice.stretches {
        let percent = |share: f64| format!("{:.0} %", share * 100.0);
        let dash = || "-".to_string();
        table.row([
            clock(stretch.start),
            stretch.dry.map_or_else(dash, percent),
            stretch.go.map_or_else(dash, |go| amount(&hung.money(go), voice)),
            amount(&hung.money(stretch.wait), voice),
            if stretch.goes() {
                raw(text!("go", "jemur"))
            } else {
                raw(text!("wait", "tunggu"))
            },
        ]);
    }
    format!(
        "{}\n{}\n{}\n\n{}",
        about.say(voice),
        weighed.say(voice),
        answer.say(voice),
        table.text()
    )
}

/// The day typed, or today at the workshop.
fn day(typed: Option<&str>, workspace: &Workspace) -> Result<Date, End> {
    match typed {
        Some(typed) => first_day(Some(typed), workspace),
        // A plan begins tomorrow.
        None => Ok(first_day(None, workspace)?.plus(-1)),
    }
}

/// Place of a step by its id or its number from 1.
fn step_at(design: &Design, asked: &str) -> Result<usize, End> {
    let id = design.steps.iter().position(|step| step.id == asked);
    let number = || {
        asked
            .parse::<usize>()
            .ok()
            .filter(|n| (1..=design.steps.len()).contains(n))
    };
    id.or_else(|| number().map(|n| n - 1)).ok_or_else(|| {
        let found = say!(
            "{design} has no step {step}",
            "{design} tidak punya langkah {step}",
            design = Arg::Name(design.name.clone()),
            step = Arg::Name(short(asked))
        );
        let known = design.steps.iter().map(|step| step.id.as_str());
        End::refused(vec![no_such("no-such-step", found, asked, known)])
    })
}

/// `13:15`.
fn clock(minute: Minute) -> String {
    format!("{:02}:{:02}", minute.div_euclid(60), minute.rem_euclid(60))
}

/// Minutes after midnight of `13:15`.
fn time_of_day(text: &str) -> Result<Minute, End> {
    let read = text.trim().split_once(':').and_then(|(h, m)| {
        let two = |s: &str| (s.len() == 2).then(|| s.parse::<u16>().ok())?;
        let (h, m) = (two(h)?, two(m)?);
        (m < 60 && h * 60 + m <= 1440).then_some(Minute::from(h * 60 + m))
    });
    read.ok_or_else(|| {
        let found = say!(
            "\"{text}\" is not a time of day",
            "\"{text}\" bukan jam",
            text = Arg::Name(short(text))
        );
        let finding = Finding::new("time-of-day", Weight::Wrong, Place::Request, found);
        End::usage(finding.allow(say!(
            "hours and minutes on the 24-hour clock: {example}",
            "jam dan menit dengan jam 24: {example}",
            example = Arg::Name("15:30".into())
        )))
    })
}
