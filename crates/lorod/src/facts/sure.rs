//! How sure a plan's promises are: the plan played in the workshop's rain, with durations that stray as far as each
//! operation says, or as the clock has shown here.
//!
//! Work in a calendar of the sun is outdoors: its hours are those that rain takes. An operation that was timed [`ENOUGH`]
//! times strays as these timings do, against the minutes planned for the same steps; until then as its route says.

use super::led::as_led;
use super::problem::Mapped;
use ::plan::solve::weathered;
use ::plan::{
    Buffer, Buffered, CalendarId, Chances, Floor, Minute, Problem, Rain, Replays, Schedule, Spread, Unrest,
    Window, buffers, judge, replay,
};
use route::{Design, LotShape, Occupancy, Part, Workshop, along};
use std::collections::{BTreeMap, BTreeSet};
use words::{Arg, Finding, Line, Place, Weight, say};
use workspace::{Hours, TRIALS, WhenWet, Workspace};

/// Timings that make the minutes of an operation measured ones.
pub const ENOUGH: usize = 20;
/// Buffers that are given at most; each takes a round of replays for every lot.
const MOST_BUFFERS: usize = 8;
/// The same for every plan, so that two plans are compared in the same weather.
const SEED: u64 = 1;

/// What is uncertain about a plan of the workspace.
#[derive(Clone, Debug)]
pub struct Unsure {
    /// Rain on what is done outdoors; `None`: the workshop's file says nothing of rain.
    pub rain: Option<Rain>,
    /// `[lot][operation of its route]`.
    pub spreads: Vec<Vec<Spread>>,
    /// Keys of the operations in the plan, with how often each was timed here.
    pub timed: BTreeMap<&'static str, usize>,
    /// Timings of no step there is.
    findings: Vec<Finding>,
}

/// What the replays say, and what they rest on.
#[derive(Clone, Debug)]
pub struct Sure {
    /// What they say.
    pub replays: Replays,
    /// What they rest on.
    pub findings: Vec<Finding>,
}

/// Plays a plan of the workspace from a minute on: what begins before stands as planned. `None` if it is no whole plan, or nothing was played before `keep_going` ended it.
pub fn sure(
    workspace: &Workspace,
    mapped: &Mapped,
    schedule: &Schedule,
    now: Minute,
    replays: u32,
    keep_going: &dyn Fn() -> bool,
) -> Option<Sure> {
    let unsure = Unsure::of(workspace, mapped);
    let chances = Chances {
        now,
        ..unsure.chances(replays)
    };
    let replays = replay(&mapped.problem, schedule, &chances, keep_going)?;
    Some(Sure {
        replays,
        findings: unsure.remarks(workspace, &mapped.problem, schedule),
    })
}

/// The plan of a day whose weather is known.
#[derive(Clone, Debug)]
pub struct Wet {
    /// The repaired plan.
    pub schedule: Schedule,
    /// What moved.
    pub unrest: Unrest,
    /// Faults that the judge found.
    pub faults: usize,
}

/// Repairs a plan for a day on which the yard can be used only in `dry`, known before anything of that day has begun.
///
/// # Errors
/// Why an operation finds no place any more.
pub fn wet_day(
    workspace: &Workspace,
    mapped: &Mapped,
    schedule: &Schedule,
    dry: Window,
) -> Result<Wet, Vec<Finding>> {
    let midnight = dry.start.div_euclid(1440) * 1440;
    let shut = [
        Window::new(midnight, dry.start),
        Window::new(dry.end, midnight + 1440),
    ];
    let outdoors = outdoors(workspace, &mapped.problem);
    let (problem, repaired) = weathered(&mapped.problem, schedule, &outdoors, &shut, midnight)?;
    // What hung out at midnight did so before.
    let faults = judge::check(&problem, &repaired).len();
    Ok(Wet {
        unrest: Unrest::between(schedule, &repaired, midnight),
        faults,
        schedule: repaired,
    })
}

/// A plan of the workspace with time in hand where it buys most, and lines that say where. `None` as [`sure`].
pub fn in_hand(
    workspace: &Workspace,
    mapped: &Mapped,
    schedule: &Schedule,
    replays: u32,
    keep_going: &dyn Fn() -> bool,
) -> Option<(Buffered, Vec<Finding>)> {
    let unsure = Unsure::of(workspace, mapped);
    let buffered = buffers(
        &mapped.problem,
        schedule,
        &unsure.chances(replays),
        MOST_BUFFERS,
        keep_going,
    )?;
    let name = |lot: usize| {
        mapped
            .problem
            .lots
            .get(lot)
            .map_or_else(String::new, |lot| lot.name.clone())
    };
    let one = |buffer: &Buffer| {
        let found = say!(
            "begin {lot} {hours} h earlier: promises are kept {gain} % more often on average, {each} % for each hour",
            "mulai {lot} {hours} jam lebih awal: janji rata-rata {gain} % lebih sering ditepati, {each} % per jam",
            lot = Arg::Name(name(buffer.lot)),
            hours = Arg::Number(buffer.minutes as f64 / 60.0, 0),
            gain = Arg::Number(buffer.gain * 100.0, 1),
            each = Arg::Number(buffer.gain * 6_000.0 / buffer.minutes.max(1) as f64, 2)
        );
        Finding::new("plan-buffer", Weight::Note, Place::Request, found)
    };
    let mut findings: Vec<Finding> = buffered.buffers.iter().map(one).collect();
    let all = |replays: &Replays| Arg::Number(replays.all_on_time.value * 100.0, 0);
    let found = if findings.is_empty() {
        say!(
            "no order keeps its promise more often by beginning earlier",
            "tidak ada pesanan yang lebih sering tepat janji bila mulai lebih awal"
        )
    } else {
        say!(
            "with these hours in hand all promises are kept in {after} % of the replays instead of {before} %",
            "dengan cadangan jam ini semua janji ditepati pada {after} % ulangan, bukan {before} %",
            after = all(&buffered.after),
            before = all(&buffered.before)
        )
    };
    findings.push(Finding::new("plan-in-hand", Weight::Note, Place::Request, found));
    Some((buffered, findings))
}

impl Unsure {
    /// Of a plan of the workspace.
    pub fn of(workspace: &Workspace, mapped: &Mapped) -> Self {
        let mut unsure = Self {
            rain: rain(workspace, &mapped.problem),
            spreads: Vec::new(),
            timed: BTreeMap::new(),
            findings: Vec::new(),
        };
        let Some(shop) = &workspace.workshop else {
            return unsure;
        };
        let measured = measured(workspace, shop, &mut unsure.findings);
        for (lot, run) in mapped.problem.lots.iter().zip(&mapped.lots) {
            let mut spreads = Vec::new();
            if let Some(design) = workspace.design(&run.design) {
                for (_, kind, tasks) in tasks(&as_led(design, shop), lot.bolts, shop) {
                    let shares = measured.get(kind).map_or(&[][..], Vec::as_slice);
                    unsure.timed.insert(kind, shares.len());
                    let here = Spread::measured(shares).filter(|_| shares.len() >= ENOUGH);
                    spreads.extend(tasks.iter().map(|task| here.unwrap_or_else(|| told(task))));
                }
            }
            unsure.spreads.push(spreads);
        }
        unsure
    }

    /// What is played.
    pub fn chances(&self, replays: u32) -> Chances<'_> {
        Chances {
            rain: self.rain.as_ref(),
            spreads: &self.spreads,
            replays,
            seed: SEED,
            now: 0,
        }
    }

    /// Are all minutes measured ones?
    pub fn measured(&self) -> bool {
        self.timed.values().all(|n| *n >= ENOUGH)
    }

    /// What replays rest on: whose minutes, which rain, what the floor does.
    fn remarks(&self, workspace: &Workspace, problem: &Problem, schedule: &Schedule) -> Vec<Finding> {
        let note = |code, found| Finding::new(code, Weight::Note, Place::Request, found);
        let mut findings = self.findings.clone();
        findings.push(note("replay-minutes", self.minutes()));
        let Some(spec) = &workspace.rain else {
            let found = say!(
                "rain is not counted: the workshop's file has no {rain}",
                "hujan tidak dihitung: berkas bengkel tidak punya {rain}",
                rain = Arg::Name("[rain]".into())
            );
            findings.push(note("replay-no-rain", found));
            return findings;
        };
        findings.push(note(
            "replay-rain",
            say!(
                "rain by the hour: {source}; each hour for itself, though real rain keeps on",
                "hujan per jam: {source}; tiap jam sendiri-sendiri, padahal hujan nyata biasanya berlanjut",
                source = Arg::Name(spec.source.clone())
            ),
        ));
        findings.push(note("replay-floor", floor(spec.floor)));
        let end = schedule
            .placed
            .values()
            .map(|placed| placed.end)
            .max()
            .unwrap_or(0);
        let months: BTreeSet<u32> = (0..=end.div_euclid(1440))
            .map(|day| problem.first_day.plus(day as i32).civil().1)
            .collect();
        let unknown: Vec<String> = months
            .into_iter()
            .filter(|month| spec.chance.get(*month as usize - 1).is_none_or(Option::is_none))
            .map(|month| month.to_string())
            .collect();
        if !unknown.is_empty() {
            let found = say!(
                "no chance of rain is known for these months of the year, which count as dry: {months}",
                "peluang hujan bulan ini tidak diketahui dan dianggap kering: {months}",
                months = Arg::Name(unknown.join(", "))
            );
            findings.push(Finding::new(
                "replay-months",
                Weight::Doubtful,
                Place::Request,
                found,
            ));
        }
        findings
    }

    /// Whose minutes they are.
    pub fn minutes(&self) -> Line {
        let few: Vec<&str> = self
            .timed
            .iter()
            .filter(|(_, n)| **n < ENOUGH)
            .map(|(key, _)| *key)
            .collect();
        let needed = Arg::Number(ENOUGH as f64, 0);
        if few.is_empty() {
            return say!(
                "minutes as measured here: every operation was timed {n} times or more",
                "menit menurut ukuran di sini: setiap pekerjaan sudah dicatat {n} kali atau lebih",
                n = needed
            );
        }
        let few = Arg::Name(few.join(", "));
        if self.timed.values().all(|n| *n < ENOUGH) {
            return say!(
                "if your minutes are right: no operation was timed {n} times yet",
                "bila menit kerja Anda benar: belum ada pekerjaan yang dicatat {n} kali",
                n = needed
            );
        }
        say!(
            "if your minutes are right: not yet timed {n} times are {few}; the others are as measured here",
            "bila menit kerja Anda benar: belum dicatat {n} kali: {few}; yang lain menurut ukuran di sini",
            n = needed,
            few = few
        )
    }
}

/// The rain on what is done outdoors: in the calendars that follow the sun.
pub fn rain(workspace: &Workspace, problem: &Problem) -> Option<Rain> {
    let spec = workspace.rain.as_ref()?;
    let sun = |name: &str| {
        matches!(
            workspace.calendar(name).map(|c| &c.hours),
            Some(Hours::Sun { .. })
        )
    };
    let calendars = problem.calendars.iter().enumerate();
    Some(Rain {
        calendars: calendars
            .filter(|(_, calendar)| sun(&calendar.name))
            .map(|(at, _)| CalendarId(at))
            .collect(),
        chance: spec.chance.map(|month| month.unwrap_or([0.0; 24])),
        floor: match spec.floor {
            WhenWet::Wait => Floor::Wait,
            WhenWet::Inside(slower) => Floor::Inside(slower),
        },
    })
}

/// The calendars that follow the sun.
fn outdoors(workspace: &Workspace, problem: &Problem) -> Vec<CalendarId> {
    let sun = |name: &str| {
        matches!(
            workspace.calendar(name).map(|c| &c.hours),
            Some(Hours::Sun { .. })
        )
    };
    let calendars = problem.calendars.iter().enumerate();
    calendars
        .filter(|(_, calendar)| sun(&calendar.name))
        .map(|(at, _)| CalendarId(at))
        .collect()
}

/// What the floor does.
fn floor(rule: WhenWet) -> Line {
    match rule {
        WhenWet::Wait => say!(
            "when it rains, cloth that should be outside waits until it is dry for long enough; what goes before waits with it",
            "bila hujan, kain yang seharusnya di luar menunggu sampai cerah cukup lama; langkah sebelumnya ikut menunggu"
        ),
        WhenWet::Inside(slower) => say!(
            "when it rains, cloth that should be outside hangs under the roof and takes {slower} times as long there",
            "bila hujan, kain yang seharusnya di luar digantung di bawah atap dan perlu {slower} kali waktunya di sana",
            slower = Arg::Number(slower, 1)
        ),
    }
}

/// Each step of a design: its id, the key of its operation, what it asks of the plan.
fn tasks(design: &Design, bolts: u32, shop: &Workshop) -> Vec<(String, &'static str, Vec<Occupancy>)> {
    let shape = LotShape::new(&design.id, bolts, 0, design.cloth);
    let parts = along(design, &shape, shop);
    let one = |part: &Part| {
        let operation = &part.step.operation;
        let tasks = operation.occupies(&part.before, design, &shape, shop);
        (part.step.id.clone(), operation.kind().key, tasks)
    };
    parts.iter().map(one).collect()
}

/// The spread that the route tells of a task, against whole minutes as they are planned.
fn told(task: &Occupancy) -> Spread {
    let planned = task.work.likely.to_min().round().max(1.0);
    Spread {
        least: (task.work.least.to_min() / planned).min(1.0),
        likely: 1.0,
        most: (task.work.most.to_min() / planned).max(1.0),
    }
}

/// For each operation, minutes by the clock over the minutes planned for the same step.
fn measured(
    workspace: &Workspace,
    shop: &Workshop,
    findings: &mut Vec<Finding>,
) -> BTreeMap<&'static str, Vec<f64>> {
    let mut shares: BTreeMap<&'static str, Vec<f64>> = BTreeMap::new();
    for trial in &workspace.trials.timings {
        let all = workspace
            .design(&trial.design)
            .map(|design| tasks(&as_led(design, shop), 1, shop));
        let Some((_, kind, tasks)) = all.into_iter().flatten().find(|(id, ..)| *id == trial.step) else {
            let found = say!(
                "{design} has no step {step}: its timings are left out",
                "{design} tidak punya langkah {step}: catatan waktunya tidak dipakai",
                design = Arg::Name(trial.design.clone()),
                step = Arg::Name(trial.step.clone())
            );
            let place = Place::File {
                path: TRIALS.to_string(),
                span: 0..0,
            };
            findings.push(Finding::new("trial-not-used", Weight::Doubtful, place, found));
            continue;
        };
        let planned: Minute = tasks
            .iter()
            .map(|task| task.work.likely.to_min().round() as Minute)
            .sum();
        let of = trial
            .times
            .iter()
            .map(|time| time.to_min() / planned.max(1) as f64);
        shares.entry(kind).or_default().extend(of);
    }
    shares
}
