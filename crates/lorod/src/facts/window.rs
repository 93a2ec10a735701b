//! The window of a timed step: what the command prints, the studio shows and the plan takes its minutes from.
//!
//! [`find`] makes a [`Found`]; everything a reader sees is read off it: [`Found::answer`], the plots, the rows of the
//! two curves, what would widen the window, the small print with the error of the surface. Where the rates are only
//! assumed there are no times in any of them: [`Found::timed`] says so.

use super::approved::Approved;
use super::photo::ALLOWANCE;
use cloth::Bolt;
use cloth::window::{
    Advice, Held, Limits, Point, Response, Spreads, Window, clock, plot_svg, plot_svg_narrow, timed,
};
use route::{Design, LotShape, Workshop};
use std::sync::Arc;
use units::{Measure, Quantity, Span};
use words::{Arg, Finding, Line, Place, Term, Voice, Weight, say};

/// A step whose time may be asked about.
#[derive(Clone, Debug, PartialEq)]
pub struct Timed {
    /// Place in the route.
    pub at: usize,
    /// Permanent id.
    pub id: String,
    /// Number that people call it by.
    pub number: u32,
    /// What it is.
    pub term: &'static Term,
    /// Its time in the design.
    pub designed: Span,
}

/// What is asked.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// Id or number of the step; `None` takes the first of [`steps`].
    pub step: Option<String>,
    /// When a bolt passes.
    pub limits: Limits,
    /// How far bolts stray, where it is not as expected.
    pub strays: Strays,
    /// Direct runs that the surface is held against.
    pub against: u32,
    /// Cloth that was approved: the target, where there is one.
    pub approved: Option<Approved>,
}

/// Spreads that somebody knows better; `None` takes what is expected ([`Spreads::expected`]).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Strays {
    /// Strength of the bath, share.
    pub strength: Option<f64>,
    /// Temperature of the bath, K.
    pub temperature: Option<f64>,
    /// Start and stop by the clock.
    pub handling: Option<Span>,
    /// The end that goes in last comes out first.
    pub ends: Option<Span>,
}

/// A window with what it was made of. Other limits need no new runs: [`Found::with`].
pub struct Found {
    /// The design.
    pub design: Arc<Design>,
    /// Which step.
    pub step: Timed,
    /// The answer.
    pub window: Window,
    /// The surface against direct runs.
    pub held: Held,
    /// Colours of the finished cloth as functions of the way the step is done.
    pub response: Response,
    /// Cloth that was approved, if that is the target.
    pub approved: Option<Approved>,
}

/// Steps of a design whose time may be asked about, bleaches first.
pub fn steps(design: &Design) -> Vec<Timed> {
    timed(design)
        .into_iter()
        .filter_map(|at| {
            let step = design.steps.get(at)?;
            let kind = step.operation.kind();
            Some(Timed {
                at,
                id: step.id.clone(),
                number: at as u32 + 1,
                term: &kind.term,
                designed: Span(step.operation.values().si(kind.timed?)),
            })
        })
        .collect()
}

/// Finds the step, runs the grid and reads the window off it: about a second of one core, and a tenth of one for each
/// direct run. `keep_going` hears the share done.
///
/// # Errors
/// If the design has no such step or none whose time decides anything.
pub fn find(
    design: &Arc<Design>,
    shop: &Workshop,
    asked: &Asked,
    keep_going: &dyn Fn(f64) -> bool,
) -> Result<Found, Vec<Finding>> {
    let step = which(design, asked.step.as_deref()).map_err(|finding| vec![finding])?;
    let lot = LotShape::new(&design.id, 1, 0, design.cloth);
    let bolt = Bolt::prepare(design, &lot, shop, None);
    let expected = Spreads::expected(&bolt, shop, step.at);
    let spreads = Spreads {
        strength: asked.strays.strength.unwrap_or(expected.strength),
        temperature: asked.strays.temperature.unwrap_or(expected.temperature),
        handling: asked.strays.handling.unwrap_or(expected.handling),
        ends: asked.strays.ends.unwrap_or(expected.ends),
        typed: [
            asked.strays.strength.is_some(),
            asked.strays.temperature.is_some(),
            asked.strays.handling.is_some(),
        ],
        ..expected
    };
    let response = Response::new(&bolt, shop, step.at, &spreads).map_err(|finding| vec![finding])?;
    let held = response.held_against(&bolt, shop, asked.against, keep_going);
    let approved = asked.approved.as_ref();
    let target = approved.and_then(Approved::target);
    let window = response.window(&target.unwrap_or_else(|| response.usual_target()), &asked.limits);
    Ok(Found {
        design: design.clone(),
        step,
        window,
        held,
        response,
        approved: asked.approved.clone(),
    })
}

/// The step that is meant.
fn which(design: &Design, named: Option<&str>) -> Result<Timed, Finding> {
    let all = steps(design);
    let list = || {
        let names: Vec<String> = all
            .iter()
            .map(|step| format!("{} ({})", step.id, step.term.key))
            .collect();
        Arg::Name(names.join(", "))
    };
    let wrong = |code, found: Line| {
        let finding = Finding::new(code, Weight::Wrong, Place::Request, found);
        if all.is_empty() {
            finding
        } else {
            finding.allow(say!("{list}", "{list}", list = list()))
        }
    };
    let Some(named) = named else {
        return all.first().cloned().ok_or_else(|| {
            wrong(
                "window-no-time",
                say!(
                    "no step of {design} has a time that decides how the cloth comes out",
                    "tidak ada langkah {design} yang lamanya menentukan hasil kain",
                    design = Arg::Name(design.name.clone())
                ),
            )
        });
    };
    let by_id = all.iter().find(|step| step.id == named);
    let by_number = || all.iter().find(|step| step.number.to_string() == named);
    by_id.or_else(by_number).cloned().ok_or_else(|| {
        let named: String = named.chars().filter(|c| !c.is_control()).take(60).collect();
        wrong(
            "window-no-step",
            say!(
                "{design} has no timed step {step}",
                "{design} tidak punya langkah {step} yang memakai waktu",
                design = Arg::Name(design.name.clone()),
                step = Arg::Name(named)
            ),
        )
    })
}

/// One row of the two curves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Duration; `None` where no time may be told.
    pub time: Option<Span>,
    /// Share of bolts that pass; `None` with it.
    pub pass: Option<f64>,
    /// Distance of the ground from its target, dE00.
    pub ground: f64,
    /// Distance of the motif from its target, dE00.
    pub motif: Option<f64>,
    /// Share of the thinnest line that is left.
    pub line: Option<f64>,
}

impl Found {
    /// The same step under other limits. Cheap: nothing is run again.
    pub fn with(&self, limits: &Limits) -> Window {
        self.response.window(&self.window.target, limits)
    }

    /// May times be told? Not while they would rest on assumed rates.
    pub const fn timed(&self) -> bool {
        !matches!(self.window.advice, Advice::DoThisStrip { .. })
    }

    /// The answer, in a sentence or two.
    pub fn answer(&self, voice: Voice) -> String {
        self.window.answer(voice)
    }

    /// The plot for a page or for paper, 1160 px wide.
    pub fn plot(&self, voice: Voice) -> String {
        plot_svg(&self.window, voice)
    }

    /// The plot for a phone, 340 px wide.
    pub fn plot_narrow(&self, voice: Voice) -> String {
        plot_svg_narrow(&self.window, voice)
    }

    /// The curves in at most `most` rows, from short to long.
    pub fn rows(&self, most: usize) -> Vec<Row> {
        let points = &self.window.hill.points;
        let every = points.len().div_ceil(most.max(1)).max(1);
        points
            .iter()
            .step_by(every)
            .map(|point| self.row(point))
            .collect()
    }

    fn row(&self, point: &Point) -> Row {
        Row {
            time: self.timed().then_some(point.time),
            pass: self.timed().then_some(point.pass),
            ground: point.ground,
            motif: point.motif,
            line: point.line,
        }
    }

    /// What would widen the window, most first, each a sentence.
    pub fn widen(&self, voice: Voice) -> Vec<String> {
        self.window
            .widen
            .iter()
            .map(|widening| widening.say(voice))
            .collect()
    }

    /// What a careful reader must know: places, spreads, biases, and how far the surface is off.
    pub fn small_print(&self, voice: Voice) -> Vec<String> {
        let mut lines = self.window.small_print(voice);
        lines.extend(
            self.approved
                .as_ref()
                .map(|approved| against(approved).say(voice)),
        );
        lines.push(self.error(voice));
        lines
    }

    /// How far the surface is off from direct runs, as a sentence.
    pub fn error(&self, voice: Voice) -> String {
        error(&self.held).say(voice)
    }

    /// Which step of which design, and its time in the design.
    pub fn heading(&self, voice: Voice) -> String {
        say!(
            "{design}, step {number} ({id}), {term}: {time} in the design",
            "{design}, langkah {number} ({id}), {term}: {time} menurut desain",
            design = Arg::Name(self.design.name.clone()),
            number = Arg::Number(f64::from(self.step.number), 0),
            id = Arg::Name(self.step.id.clone()),
            term = Arg::Term(self.step.term),
            time = Arg::Name(clock(self.step.designed, voice))
        )
        .say(voice)
    }
}

fn against(approved: &Approved) -> Line {
    let files = Arg::Name(approved.files.join(", "));
    if approved.photographed {
        say!(
            "The target is approved cloth: {files}. A photograph itself strays by up to {off} dE00.",
            "Sasarannya kain acc: {files}. Foto sendiri bisa meleset sampai {off} dE00.",
            files = files,
            off = Arg::Number(ALLOWANCE, 1)
        )
    } else {
        say!(
            "The target is approved cloth: {files}.",
            "Sasarannya kain acc: {files}.",
            files = files
        )
    }
}

fn error(held: &Held) -> Line {
    let off = held.worst();
    let de = |d: f64| Arg::Number(d, 2);
    if held.runs == 0 {
        return say!(
            "The curves interpolate a grid of runs; they were not held against direct runs.",
            "Kurva diinterpolasi dari petak hitungan; belum dibandingkan dengan hitungan langsung."
        );
    }
    say!(
        "The curves interpolate a grid of runs. Against {n} direct runs they were off by {mean} dE00 on average, 95 of 100 within {most}, the farthest {worst}.",
        "Kurva diinterpolasi dari petak hitungan. Terhadap {n} hitungan langsung selisihnya rata-rata {mean} dE00, 95 dari 100 di bawah {most}, terjauh {worst}.",
        n = Arg::Number(f64::from(held.runs), 0),
        mean = de(off.mean),
        most = de(off.most),
        worst = de(off.worst)
    )
}

/// A share for a table: "97 %".
pub fn percent(share: f64, voice: Voice) -> String {
    // Never rounded up: 99.6 of 100 are not all.
    voice.quantity(Quantity::new(
        (100.0 * share + 1e-9).floor() / 100.0,
        Measure::Share,
    ))
}
