//! What the workshop's own tests teach: constants fitted to strips, wedges and weighed bolts, and forecasts held against
//! what came of them.

use cloth::window::{Fitted, Outcome, Replay, fit_creep, fit_rate, good_to, replay};
use colour::dye::arrhenius;
use route::operations::bleach::CHLORINE;
use route::operations::wax::{CREEP, TAKE_UP, creep};
use route::{LotShape, Workshop, along};
use sky::Date;
use units::{Celsius, Decimal, Measure, Quantity, System, print};
use words::{Arg, Finding, Known, Line, Origin, Place, Weight, say};
use workspace::{
    Came, Learned, OutcomeTrial, Source, StripTrial, TRIALS, WORKSHOP, WedgeTrial, Workspace, learned,
};

/// A strip read by card, and a line read by eye, repeat within these factors (own estimates).
const STRIP_READING: f64 = 1.2;
const LINE_READING: f64 = 1.1;
/// Standard deviations in 95 and in 90 of 100, two-sided.
const Z95: f64 = 1.96;
const Z90: f64 = 1.645;

/// One constant, and what it should be.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// What it is.
    pub of: Line,
    /// File of the workspace it stands in.
    pub file: String,
    /// Tables on the way, and its key.
    pub path: Vec<String>,
    /// Kind of quantity.
    pub measure: Measure,
    /// What holds until now.
    pub was: Known,
    /// What was measured.
    pub fitted: Fitted,
    /// Day of the last reading.
    pub date: Date,
}

/// A forecast and what came, with a name.
#[derive(Clone, Debug)]
pub struct Named {
    /// What about.
    pub name: String,
    /// The numbers.
    pub outcome: Outcome,
}

/// Everything that the trials teach.
#[derive(Clone, Debug)]
pub struct Lessons {
    /// Constants, dyes first.
    pub constants: Vec<Lesson>,
    /// Forecasts by the constants as they are, oldest first.
    pub outcomes: Vec<Named>,
    /// Of them all.
    pub replay: Replay,
    /// Trials that could not be used.
    pub findings: Vec<Finding>,
}

/// Reads the lessons off a workspace.
pub fn lessons(workspace: &Workspace, shop: &Workshop) -> Lessons {
    let mut findings = Vec::new();
    let mut constants = rates(workspace, &mut findings);
    constants.extend(creeping(workspace, shop));
    constants.extend(take_up(workspace, shop, &mut findings));
    let mut trials: Vec<&OutcomeTrial> = workspace.trials.outcomes.iter().collect();
    trials.sort_by_key(|trial| trial.date);
    let outcomes: Vec<Named> = trials
        .into_iter()
        .filter_map(|trial| forecast(trial, workspace, shop, &mut findings))
        .collect();
    let all: Vec<Outcome> = outcomes.iter().map(|named| named.outcome).collect();
    Lessons {
        constants,
        replay: replay(&all),
        outcomes,
        findings,
    }
}

impl Lesson {
    /// Does everything count with it?
    pub fn in_use(&self) -> bool {
        matches!(&self.was.origin, Origin::Measured { n, .. } if *n == self.fitted.n)
            && (self.was.value / self.fitted.value - 1.0).abs() < 0.01
    }
    /// The value as the file will spell it.
    pub fn spelled(&self) -> String {
        let quantity = Quantity::new(self.fitted.value, self.measure);
        print(quantity, System::Metric, Decimal::Point)
    }
}

/// The texts of the files that the lessons change: path, the file as it was read, and its new text.
///
/// # Errors
/// If a file cannot be changed.
pub fn written<'w>(
    workspace: &'w Workspace,
    lessons: &[Lesson],
) -> Result<Vec<(&'w Source, String)>, Vec<Finding>> {
    let mut files: Vec<(&Source, String)> = Vec::new();
    for lesson in lessons {
        let Some(source) = workspace.source(&lesson.file) else {
            continue;
        };
        let at = files.iter().position(|(s, _)| s.path == source.path);
        let text = at.map_or(source.text.as_str(), |at| &files[at].1);
        let path: Vec<&str> = lesson.path.iter().map(String::as_str).collect();
        let measured = Learned {
            value: lesson.spelled(),
            date: lesson.date.to_string(),
            n: lesson.fitted.n,
        };
        let new = learned(text, &path, &measured).map_err(|finding| vec![finding])?;
        match at {
            Some(at) => files[at].1 = new,
            None => files.push((source, new)),
        }
    }
    Ok(files)
}

fn doubtful(found: Line) -> Finding {
    let place = Place::File {
        path: TRIALS.to_string(),
        span: 0..0,
    };
    Finding::new("trial-not-used", Weight::Doubtful, place, found)
}

/// Rates of dyes in bleach, each at its card's own temperature.
fn rates(workspace: &Workspace, findings: &mut Vec<Finding>) -> Vec<Lesson> {
    let strips = &workspace.trials.strips;
    let mut ids: Vec<&str> = strips.iter().map(|s| s.dye.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    ids.into_iter()
        .filter_map(|id| {
            let Some((dye, file)) = workspace.dye(id).zip(workspace.dye_file(id)) else {
                findings.push(doubtful(say!(
                    "strips name a dye {dye} that is not in the store",
                    "potong uji menyebut pewarna {dye} yang tidak ada di gudang",
                    dye = Arg::Name(id.to_string())
                )));
                return None;
            };
            let own: Vec<&StripTrial> = strips.iter().filter(|s| s.dye == id).collect();
            let card = &dye.bleaching;
            let (fit, other): (Vec<&StripTrial>, Vec<&StripTrial>) = own
                .into_iter()
                .partition(|s| (card.ph_least..=card.ph_most).contains(&s.ph));
            if !other.is_empty() {
                findings.push(doubtful(say!(
                    "{n} strips of {dye} were done at a pH that its card does not speak of; they are left out",
                    "{n} potong uji {dye} dibuat pada pH di luar kartunya; tidak dipakai",
                    n = Arg::Number(other.len() as f64, 0),
                    dye = Arg::Name(dye.name.clone())
                )));
            }
            let doses: Vec<(f64, f64)> = fit
                .iter()
                .map(|s| {
                    let faster = arrhenius(1.0, card.at, card.energy.value, s.temperature);
                    (s.chlorine / CHLORINE * s.time.0 * faster, s.left)
                })
                .collect();
            let Some(fitted) = fit_rate(&doses, card.residue.value) else {
                if !fit.is_empty() {
                    findings.push(doubtful(say!(
                        "a strip of {dye} is as pale as what never clears: it says nothing of the rate",
                        "potong uji {dye} sudah sepucat sisa yang tak pernah hilang: tidak menunjukkan laju",
                        dye = Arg::Name(dye.name.clone())
                    )));
                }
                return None;
            };
            Some(Lesson {
                of: say!(
                    "how fast {dye} clears at {at}",
                    "kecepatan cabut {dye} pada {at}",
                    dye = Arg::Name(dye.name.clone()),
                    at = Arg::Quantity(Quantity::new(card.at.0, Measure::Temperature))
                ),
                file: file.path.clone(),
                path: vec!["bleaching".to_string(), "rate".to_string()],
                measure: Measure::SecondOrderRate,
                was: card.rate.clone(),
                fitted,
                date: fit.iter().map(|s| s.date).max()?,
            })
        })
        .collect()
}

/// Over the creep of hot wax.
fn colder(wax: Celsius, shop: &Workshop) -> f64 {
    creep(wax, &shop.constants) / shop.constants.get(&CREEP)
}

/// Creep under hot wax.
fn creeping(workspace: &Workspace, shop: &Workshop) -> Option<Lesson> {
    let wedges = &workspace.trials.wedges;
    // Creep times time decides: wax that was colder is brought to hot wax by its time.
    let lost: Vec<(f64, f64)> = wedges
        .iter()
        .map(|w| (w.lost.0, w.time.0 * colder(w.wax, shop)))
        .collect();
    let fitted = fit_creep(&lost)?;
    Some(Lesson {
        of: say!("creep under hot-stamped wax", "rambatan bak di bawah malam panas"),
        file: WORKSHOP.to_string(),
        path: vec!["constants".to_string(), CREEP.key.to_string()],
        measure: CREEP.measure,
        was: shop.constants.known(&CREEP),
        fitted,
        date: wedges.iter().map(|w| w.date).max()?,
    })
}

/// Wax taken over wax asked.
fn take_up(workspace: &Workspace, shop: &Workshop, findings: &mut Vec<Finding>) -> Option<Lesson> {
    let waxings = &workspace.trials.waxings;
    let now = shop.constants.get(&TAKE_UP);
    let mut ratios = Vec::new();
    let mut last = None;
    for trial in waxings {
        let asked = workspace.design(&trial.design).and_then(|design| {
            let lot = LotShape::new(&design.id, 1, 0, design.cloth);
            let parts = along(design, &lot, shop);
            let part = parts.iter().find(|part| part.step.id == trial.step)?;
            Some(part.takes.wax_put / now).filter(|kg| *kg > 0.0)
        });
        match asked {
            Some(asked) => {
                ratios.push(trial.wax.0 / asked);
                last = last.max(Some(trial.date));
            }
            None => findings.push(doubtful(say!(
                "{step} of {design} is no waxing: the weighed bolt is left out",
                "{step} pada {design} bukan langkah cap malam: gulung yang ditimbang tidak dipakai",
                step = Arg::Name(trial.step.clone()),
                design = Arg::Name(trial.design.clone())
            ))),
        }
    }
    let fitted = Fitted::from_readings(&ratios)?;
    Some(Lesson {
        of: say!(
            "wax that cloth takes, over what is asked",
            "malam yang diambil kain dibanding yang diminta"
        ),
        file: WORKSHOP.to_string(),
        path: vec!["constants".to_string(), TAKE_UP.key.to_string()],
        measure: TAKE_UP.measure,
        was: shop.constants.known(&TAKE_UP),
        fitted,
        // Of what was used.
        date: last?,
    })
}

/// What 90 of 100 lie within, of a constant good to one factor (95 %) read with another (95 %).
fn ninety(constant: f64, reading: f64) -> f64 {
    (Z90 / Z95 * constant.ln().hypot(reading.ln())).exp()
}

fn forecast(
    trial: &OutcomeTrial,
    workspace: &Workspace,
    shop: &Workshop,
    findings: &mut Vec<Finding>,
) -> Option<Named> {
    let (outcome, about) = match &trial.of {
        Came::Strip(strip) => (strip_outcome(strip, workspace, findings)?, strip.dye.as_str()),
        Came::Wedge(wedge) => (wedge_outcome(wedge, shop), "wedge"),
        Came::Stated {
            forecast,
            factor,
            actual,
        } => (
            Outcome {
                forecast: forecast.0,
                factor: *factor,
                actual: actual.0,
            },
            "",
        ),
    };
    let what = if trial.what.is_empty() { about } else { &trial.what };
    Some(Named {
        name: format!("{} {what}", trial.date).trim_end().to_string(),
        outcome,
    })
}

/// The time to the strip's tint.
fn strip_outcome(strip: &StripTrial, workspace: &Workspace, findings: &mut Vec<Finding>) -> Option<Outcome> {
    let time = workspace.dye(&strip.dye).and_then(|dye| {
        let rate = dye.bleach_rate(strip.temperature, strip.ph).ok()?;
        let residue = dye.bleaching.residue.value;
        let time = -((strip.left - residue) / (1.0 - residue)).ln() / (rate * strip.chlorine / CHLORINE);
        let factor = good_to(dye.bleaching.origin(strip.temperature));
        time.is_finite().then_some((time, factor))
    });
    let Some((forecast, factor)) = time else {
        findings.push(doubtful(say!(
            "nothing can be forecast for the strip of {dye} of {date}",
            "tidak ada ramalan untuk potong uji {dye} tanggal {date}",
            dye = Arg::Name(strip.dye.clone()),
            date = Arg::Name(strip.date.to_string())
        )));
        return None;
    };
    Some(Outcome {
        forecast,
        factor: ninety(factor, STRIP_READING),
        actual: strip.time.0,
    })
}

/// The width that was lost: it goes with the root of the creep.
fn wedge_outcome(wedge: &WedgeTrial, shop: &Workshop) -> Outcome {
    let creep = shop.constants.get(&CREEP) * colder(wedge.wax, shop);
    Outcome {
        forecast: 2.0 * route::creep_depth(creep, wedge.time.0),
        factor: ninety(good_to(&shop.constants.known(&CREEP).origin).sqrt(), LINE_READING),
        actual: wedge.lost.0,
    }
}
