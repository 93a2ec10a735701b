//! Hang cloth out now or wait: what the workshop's files know of the question, and the answer.
//!
//! Which steps are outdoors is what the route says: those in a calendar that follows the sun.

use super::plan::wrong;
use ::plan::{Advice, Minute, Outside, go_or_wait};
use route::{Design, LotShape, Money, Occupancy, Person, Workshop, along};
use sky::Date;
use words::{Arg, Finding, say};
use workspace::{CalendarSpec, Hours, Workspace};

/// A stretch of the sky, minutes: how often somebody looks up (assumed).
const LOOKS: Minute = 15;
/// Longest that a day's cloth is asked about.
const DAY: Minute = 1440;

/// The question. Money is in minor units of the books' currency.
#[derive(Clone, Debug)]
pub struct Asked {
    /// Place of the step in the design's route; `None`: the first outdoors.
    pub step: Option<usize>,
    /// Bolts.
    pub bolts: u32,
    /// The day.
    pub date: Date,
    /// Now, minutes after midnight.
    pub now: Minute,
    /// Does it rain?
    pub raining: bool,
    /// Is it outside already?
    pub out: bool,
    /// Minutes that it must be outside; `None`: the likely ones of the step.
    pub needs: Option<Minute>,
    /// What a bolt that is rained on costs; `None`: all that a bolt costs.
    pub loss: Option<f64>,
    /// What an hour of waiting costs; `None`: the wages of those whom the step needs.
    pub wait: Option<f64>,
    /// What it costs if it is not done today; `None`: as much waiting as the step's people have hours that day.
    pub missed: Option<f64>,
}

/// The question with its numbers, and the answer.
#[derive(Clone, Debug)]
pub struct Hung {
    /// Place of the step.
    pub step: usize,
    /// What was weighed.
    pub cloth: Outside,
    /// The answer.
    pub advice: Advice,
    /// Currency of the books.
    pub currency: String,
    /// Where the chances come from.
    pub source: String,
}

impl Hung {
    /// Money in the books.
    pub fn money(&self, minor: f64) -> Money {
        Money {
            minor: minor.round() as i64,
            currency: self.currency.clone(),
        }
    }
}

/// Weighs going against waiting.
///
/// # Errors
/// What is not known, or makes no sense at that hour.
pub fn hung(
    workspace: &Workspace,
    design: &Design,
    shop: &Workshop,
    asked: &Asked,
) -> Result<Hung, Vec<Finding>> {
    let (step, task, yard) = outdoors(workspace, design, shop, asked)?;
    let Some(spec) = &workspace.rain else {
        let found = say!(
            "the workshop's file has no {rain}",
            "berkas bengkel tidak punya {rain}",
            rain = Arg::Name("[rain]".into())
        );
        return Err(vec![wrong("no-rain", found).remedy(say!(
            "write down the chance of rain in each hour of this month",
            "tulis peluang hujan tiap jam bulan ini"
        ))]);
    };
    let month = asked.date.civil().1;
    let Some(chance) = spec.chance.get(month as usize - 1).copied().flatten() else {
        let found = say!(
            "{rain} has no month {month}",
            "{rain} tidak punya bulan {month}",
            rain = Arg::Name("[rain]".into()),
            month = Arg::Number(f64::from(month), 0)
        );
        return Err(vec![wrong("no-rain", found)]);
    };
    let until = open_until(yard, shop, asked)?;
    let people: Vec<(&Person, f64, Minute)> = task
        .uses
        .iter()
        .filter_map(|used| {
            let until = used.to.unwrap_or(task.work.likely);
            Some((
                shop.person(&used.what)?,
                f64::from(used.count),
                until.to_min().ceil() as Minute,
            ))
        })
        .collect();
    let bolts = f64::from(asked.bolts);
    let hour: f64 = people
        .iter()
        .map(|(person, n, _)| person.wage.minor as f64 * n)
        .sum();
    let wait = asked.wait.unwrap_or(hour);
    // In and out again, by those who carry it out.
    let carrying = people
        .iter()
        .map(|(person, n, minutes)| person.wage.minor as f64 * n * *minutes as f64 / 60.0);
    let open: Minute = workspace.calendar("shop").map_or(0, |c| {
        c.shifts_on(asked.date, &shop.climate)
            .iter()
            .map(|s| Minute::from(s.end - s.start))
            .sum()
    });
    let cloth = Outside {
        now: asked.now,
        until,
        needs: asked
            .needs
            .unwrap_or(task.work.likely.to_min().round() as Minute)
            .clamp(1, DAY),
        every: LOOKS,
        raining: asked.raining,
        out: asked.out,
        loss: bolts * asked.loss.map_or_else(|| whole(design, shop, asked.bolts), Ok)?,
        wait,
        handling: 2.0 * bolts * carrying.sum::<f64>(),
        missed: asked.missed.unwrap_or(wait * open as f64 / 60.0),
    };
    let advice = go_or_wait(&chance, &cloth).ok_or_else(Vec::new)?;
    Ok(Hung {
        step,
        cloth,
        advice,
        currency: shop.books.clone(),
        source: spec.source.clone(),
    })
}

/// The step, what it asks of the plan, and the calendar of the sun it lies in.
fn outdoors<'w>(
    workspace: &'w Workspace,
    design: &Design,
    shop: &Workshop,
    asked: &Asked,
) -> Result<(usize, Occupancy, &'w CalendarSpec), Vec<Finding>> {
    let shape = LotShape::new(&design.id, asked.bolts, 0, design.cloth);
    let mut all = Vec::new();
    for (at, part) in along(design, &shape, shop).iter().enumerate() {
        for task in part.step.operation.occupies(&part.before, design, &shape, shop) {
            let calendar = workspace.calendar(task.calendar);
            if let Some(yard) = calendar.filter(|c| matches!(c.hours, Hours::Sun { .. })) {
                all.push((at, task, yard));
            }
        }
    }
    let ids: Vec<String> = all
        .iter()
        .filter_map(|(at, ..)| Some(design.steps.get(*at)?.id.clone()))
        .collect();
    let found = all
        .into_iter()
        .find(|(at, ..)| asked.step.is_none_or(|step| step == *at));
    found.ok_or_else(|| {
        let finding = wrong(
            "nothing-outdoors",
            say!(
                "this is no step that is done outdoors",
                "langkah ini tidak dikerjakan di luar"
            ),
        );
        vec![if ids.is_empty() {
            finding
        } else {
            finding.allow(say!("{steps}", "{steps}", steps = Arg::Name(ids.join(", "))))
        }]
    })
}

/// End of the yard's hours that hold now.
fn open_until(yard: &CalendarSpec, shop: &Workshop, asked: &Asked) -> Result<Minute, Vec<Finding>> {
    let shifts = yard.shifts_on(asked.date, &shop.climate);
    let now = shifts
        .iter()
        .find(|s| (Minute::from(s.start)..Minute::from(s.end)).contains(&asked.now));
    now.map(|shift| Minute::from(shift.end)).ok_or_else(|| {
        let clock = |minute: u16| format!("{:02}:{:02}", minute / 60, minute % 60);
        let hours: Vec<String> = shifts
            .iter()
            .map(|s| format!("{}-{}", clock(s.start), clock(s.end)))
            .collect();
        let finding = wrong(
            "yard-shut",
            say!(
                "the yard is not in use at that hour of {day}",
                "halaman tidak dipakai pada jam itu tanggal {day}",
                day = Arg::Name(asked.date.to_string())
            ),
        );
        vec![if hours.is_empty() {
            finding
        } else {
            finding.allow(say!("{hours}", "{hours}", hours = Arg::Name(hours.join(", "))))
        }]
    })
}

/// All that a bolt costs, minor units.
fn whole(design: &Design, shop: &Workshop, bolts: u32) -> Result<f64, Vec<Finding>> {
    let cost = route::cost(design, &LotShape::new(&design.id, bolts, 0, design.cloth), shop);
    match cost.books {
        Some(shares) => Ok(shares.bolt.minor as f64),
        None => Err(cost.findings),
    }
}
