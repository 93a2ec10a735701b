//! How the finished cloth answers to the way a timed step is done.

use super::doubt::{Doubt, creep_origin, doubts, hotter_wax, rate_origin};
use super::places::{Place, Rest, Runs};
use super::shade::{SHADE, Shade, Sums, ToLab};
use super::spreads::Spreads;
use super::surface::{Axis, Surface};
use super::sweep::{Strength, Sweep, Way};
use crate::{Appearance, Bolt, Region};
use field::Seed;
use rayon::prelude::*;
use route::{Design, Hand, Means, Workshop};
use std::sync::Arc;
use units::{Length, Span};
use words::{Arg, Finding, Origin, Place as At, Term, Weight, say};

/// Ground and motif.
pub(crate) const REGIONS: usize = 2;
/// Largest step between durations of the grid, in logarithm.
const TIME_STEP: f64 = 0.33;
/// Quick runs that are off by no more than this are good enough, dE00: below what an eye tells apart.
const QUICK_ENOUGH: f64 = 0.1;
/// Largest step between strengths or creeps of the grid, in logarithm.
const FACTOR_STEP: f64 = 0.55;

/// Colours of finished cloth as functions of (time, strength, temperature, creep). It belongs to one bolt, one step and
/// the ranges of its [`Spreads`]; targets and limits may change without running anything again.
pub struct Response {
    /// Place of the step in the route.
    pub step: usize,
    /// Its permanent id.
    pub id: String,
    /// What the step is.
    pub term: &'static Term,
    /// Its time in the design.
    pub designed: Span,
    /// Shortest and longest time that the grid knows.
    pub range: (Span, Span),
    /// Finished cloth if the step were left out: ground, motif.
    pub left_out: [Option<Shade>; REGIONS],
    /// Finished cloth if the step lasted as long as it ever may.
    pub longest: [Option<Shade>; REGIONS],
    /// Share of the cloth that is motif, at the places looked at.
    pub motif_share: f64,
    /// What eats the wax lines, where there is wax.
    pub lines: Option<Lines>,
    /// Constants on which the answer rests and which are only assumed.
    pub doubts: Vec<Doubt>,
    /// Where the weakest constant of its rate comes from, and the creep; `None` where nothing of the kind counts.
    pub origins: [Option<Origin>; 2],
    /// Spreads whose range the grid covers.
    pub spreads: Spreads,
    /// Farthest that the surface was from a full run, dE00, of three that were compared: short, as designed, long.
    pub error: f64,
    /// The rest of the route was known and only the step run; otherwise the rest was run every time.
    pub quick: bool,
    /// Runs of the step over all places.
    pub runs: usize,
    pub(crate) surface: Surface,
    pub(crate) sweep: Sweep,
    pub(crate) seed: Seed,
    /// Creep under wax 5 K hotter, over creep as it is.
    pub(crate) hotter: Option<f64>,
}

/// Wax lines under a bath.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lines {
    /// How fast the bath creeps under their edges, m2/s.
    pub creep: f64,
    /// Time that the bath works on after the step, until the next.
    pub lag: Span,
    /// Width of the thinnest lines of the stamps that printed the wax, if thin enough to matter: one in twenty places of
    /// all lines is thinner.
    pub thinnest: Option<Length>,
}

impl Response {
    /// Runs the grid. `bolt` is ready to its last step; `step` is a place in the route.
    ///
    /// # Errors
    /// A finding if there is no such step, or it has no time to sweep.
    // A finding is a whole answer to a person, made once.
    #[allow(clippy::result_large_err)]
    pub fn new(bolt: &Bolt, shop: &Workshop, step: usize, spreads: &Spreads) -> Result<Self, Finding> {
        let runs = runs(bolt, shop, step)?;
        let Some(this) = bolt.design.steps.get(step) else {
            return Err(no_step(step));
        };
        let (designed, least, most) = runs.sweep.span(this);
        let axes = axes(&runs, spreads, (designed, least, most));
        let ways: Vec<Way> = Surface::points(&axes)
            .into_iter()
            .map(|[time, strength, warmer, creep]| Way {
                time: time.exp(),
                strength: strength.exp(),
                warmer,
                creep: creep.exp(),
            })
            .collect();
        let hands: Vec<Option<Arc<dyn Hand>>> = ways.iter().map(|way| runs.hand(way)).collect();
        let nominal = runs.hands(&Way::lasting(designed));
        let by_creep: Vec<Vec<Arc<dyn Hand>>> = axes[3]
            .nodes
            .iter()
            .map(|creep| {
                runs.hands(&Way {
                    creep: creep.exp(),
                    ..Way::lasting(designed)
                })
            })
            .collect();
        let per_creep = ways.len() / axes[3].nodes.len();
        let middle = axes[3]
            .nodes
            .partition_point(|c| *c < -1e-9)
            .min(axes[3].nodes.len() - 1);
        let longest = runs.hand(&Way::lasting(most));
        let places = runs.places();
        let rests: Vec<Rest> = places
            .par_iter()
            .map(|place| runs.rest(place, &nominal, &by_creep))
            .collect();
        let quickly = compare(&runs, &places, &rests, &nominal, middle) < QUICK_ENOUGH;
        let sums: Vec<Vec<[Sums; REGIONS]>> = places
            .par_iter()
            .zip(&rests)
            .map(|(place, rest)| {
                let run = |hand: Option<&Arc<dyn Hand>>, creep: usize| {
                    if quickly {
                        runs.quick(place, rest, hand.map(|h| &**h), creep)
                    } else {
                        runs.slow(place, hand, &by_creep[creep][1..])
                    }
                };
                let hands = hands.iter().enumerate();
                let mut sums: Vec<_> = hands.map(|(n, hand)| run(hand.as_ref(), n / per_creep)).collect();
                sums.push(run(None, middle));
                sums.push(run(longest.as_ref(), middle));
                sums
            })
            .collect();
        let pooled: Vec<[Sums; REGIONS]> = (0..ways.len() + 2)
            .map(|n| pool(sums.iter().map(|sums| sums[n])))
            .collect();
        let shades = |at: usize| pooled[at].map(|sums| sums.shade());
        let surface = Surface::new(axes, REGIONS * SHADE, |n| {
            shades(n)
                .into_iter()
                .flat_map(|shade| shade.unwrap_or_default().to_array())
                .collect()
        });
        let range = surface.axes()[0].nodes.clone();
        let mut response = Self {
            step,
            id: this.id.clone(),
            term: &this.operation.kind().term,
            designed: Span(designed),
            range: (
                Span(range.first().map_or(least, |t| t.exp())),
                Span(range.last().map_or(most, |t| t.exp())),
            ),
            left_out: shades(ways.len()),
            longest: shades(ways.len() + 1),
            motif_share: pooled[0][1].n / (pooled[0][0].n + pooled[0][1].n).max(1.0),
            lines: lines(&bolt.design, &bolt.means, step),
            doubts: doubts(bolt, shop, step),
            origins: [rate_origin(bolt, shop, step), creep_origin(bolt, shop, step)],
            spreads: *spreads,
            error: 0.0,
            quick: quickly,
            runs: ways.len() + 2,
            surface,
            sweep: runs.sweep,
            seed: bolt.lot.seed().child(&this.id).child("window"),
            hotter: hotter_wax(bolt, shop, step),
        };
        // Short, as designed, long: hands and bolt averages made anew.
        let (short, long) = response.range;
        for time in [short.0, designed, long.0] {
            let way = Way::lasting(time);
            let [ground, motif] = full(&runs, &places, &runs.hands(&way));
            for (region, full) in [(Region::Ground, ground), (Region::Motif, motif)] {
                if let (Some(full), Some(read)) = (full, response.shade(region, &way)) {
                    response.error = response.error.max(full.distance(read));
                }
            }
        }
        Ok(response)
    }

    /// Is there any motif at the places looked at?
    pub fn has_motif(&self) -> bool {
        self.motif_share > 0.0
    }

    /// The finished cloth if the step is done this way, from the surface. Ways beyond the ranges of the grid are taken
    /// to its edge.
    pub fn shade(&self, region: Region, way: &Way) -> Option<Shade> {
        let first = match region {
            Region::Ground => 0,
            Region::Motif if self.has_motif() => SHADE,
            Region::Motif => return None,
        };
        let values = self.surface.at(self.point(way));
        Some(Shade::from_slice(&values[first..]))
    }

    /// The finished cloth by running every step from this one on, hands and bolt averages made anew: slow, and what
    /// the surface is held against. `bolt` and `shop` are those of [`Response::new`].
    pub fn run(&self, bolt: &Bolt, shop: &Workshop, ways: &[Way]) -> Vec<[Option<Shade>; REGIONS]> {
        let Ok(runs) = runs(bolt, shop, self.step) else {
            return Vec::new();
        };
        let places = runs.places();
        ways.iter()
            .map(|way| full(&runs, &places, &runs.hands(way)))
            .collect()
    }

    pub(crate) fn point(&self, way: &Way) -> [f64; 4] {
        let (time, strength) = match self.sweep.strength {
            Strength::Time => (way.time * way.strength, 1.0),
            Strength::Setting(_) => (way.time, way.strength),
        };
        [
            time.max(1e-3).ln(),
            strength.max(1e-9).ln(),
            way.warmer,
            way.creep.max(1e-9).ln(),
        ]
    }
}

#[allow(clippy::result_large_err)]
pub(crate) fn runs<'a>(bolt: &'a Bolt, shop: &'a Workshop, step: usize) -> Result<Runs<'a>, Finding> {
    let this = bolt
        .design
        .steps
        .get(step)
        .filter(|_| bolt.hands.len() == bolt.design.steps.len())
        .ok_or_else(|| no_step(step))?;
    let sweep = Sweep::of(this).ok_or_else(|| {
        Finding::new(
            "window-no-time",
            Weight::Wrong,
            At::Step {
                id: this.id.clone(),
                setting: None,
            },
            say!(
                "\"{step}\" has no time that decides how the cloth comes out",
                "\"{step}\" tidak punya waktu yang menentukan hasil kain",
                step = Arg::Term(&this.operation.kind().term)
            ),
        )
        .remedy(say!(
            "ask for the window of a bleach, a bath, a rest in the sun or in alkali, or the boil",
            "mintalah jendela waktu untuk cabut warna, celup, jemur, diamkan, atau rebus"
        ))
    })?;
    Ok(Runs {
        bolt,
        shop,
        step,
        sweep,
        appearance: Appearance::new(&bolt.design),
        to_lab: ToLab::new(),
    })
}

fn no_step(step: usize) -> Finding {
    Finding::new(
        "window-no-step",
        Weight::Wrong,
        At::Request,
        say!(
            "the route has no step number {n} that is ready",
            "rute tidak punya langkah nomor {n} yang siap",
            n = Arg::Number((step + 1) as f64, 0)
        ),
    )
    .remedy(say!(
        "make the bolt ready to its last step and name one of them",
        "siapkan gulung sampai langkah terakhir lalu pilih salah satu"
    ))
}

/// The grid: durations in equal ratios, and as many strengths, temperatures and creeps as the spreads need.
fn axes(runs: &Runs, spreads: &Spreads, (designed, least, most): (f64, f64, f64)) -> [Axis; 4] {
    let severity = spreads.severity();
    let widen = match runs.sweep.strength {
        Strength::Time => severity.exp(),
        Strength::Setting(_) => 1.0,
    };
    let short = (designed / 6.0 / widen).max(least.min(designed) / widen);
    let long = (designed * 5.0 * widen).min(most.max(designed) * widen);
    let time = (short.ln(), long.ln());
    let steps = |range: f64, step: f64| (range / step).ceil() as usize + 1;
    let factor = |half: f64| match half > 1e-9 {
        true => Axis::even(-half, half, steps(2.0 * half, FACTOR_STEP).max(3)),
        false => Axis::single(0.0),
    };
    let strength = match runs.sweep.strength {
        Strength::Setting(_) => factor(severity),
        Strength::Time => Axis::single(0.0),
    };
    let warmth = spreads.warmth();
    let temperature = match runs.sweep.temperature {
        Some(_) if warmth > 0.0 => Axis::even(-warmth, warmth, 3),
        _ => Axis::single(0.0),
    };
    let creeps = ["bleach", "dip"].contains(&runs.key()) && runs.bolt.means[runs.step].waxed();
    let creep = if creeps {
        factor(spreads.creeping())
    } else {
        Axis::single(0.0)
    };
    [
        Axis::even(time.0, time.1, steps(time.1 - time.0, TIME_STEP).max(4)),
        strength,
        temperature,
        creep,
    ]
}

/// All places with every step run.
fn full(runs: &Runs, places: &[Place], hands: &[Arc<dyn Hand>]) -> [Option<Shade>; REGIONS] {
    let sums: Vec<_> = places.par_iter().map(|place| runs.direct(place, hands)).collect();
    pool(sums.into_iter()).map(|sums| sums.shade())
}

/// How far quick runs are from full ones as designed, dE00.
fn compare(runs: &Runs, places: &[Place], rests: &[Rest], hands: &[Arc<dyn Hand>], creep: usize) -> f64 {
    let quick: Vec<_> = places
        .par_iter()
        .zip(rests)
        .map(|(place, rest)| runs.quick(place, rest, hands.first().map(|h| &**h), creep))
        .collect();
    let quick = pool(quick.into_iter()).map(|sums| sums.shade());
    let pairs = quick.into_iter().zip(full(runs, places, hands));
    pairs
        .filter_map(|(quick, full)| Some(quick?.distance(full?)))
        .fold(0.0, f64::max)
}

fn pool(sums: impl Iterator<Item = [Sums; REGIONS]>) -> [Sums; REGIONS] {
    let mut total = [Sums::default(); REGIONS];
    for these in sums {
        total.iter_mut().zip(&these).for_each(|(t, s)| t.add(s));
    }
    total
}

/// Width that one in twenty places of the lines is thinner than, mm: a single neck that goes is a nick, no lost line.
fn thin_line(widths: &stamp::Widths) -> Option<f64> {
    widths.lines.get(widths.lines.len() / 20).map(|width| width.mm)
}

/// What a bleach finds of wax lines: `means` before the first step and after each. The stamps are those of the waxings
/// since the last boil. `None` for other steps, and for cloth without wax.
pub fn lines(design: &Design, all: &[Means], step: usize) -> Option<Lines> {
    let this = design
        .steps
        .get(step)
        .filter(|s| s.operation.kind().key == "bleach")?;
    let means = all.get(step).filter(|m| m.waxed() && m.creep > 0.0)?;
    let mut thinnest: Option<f64> = None;
    for (at, before) in design.steps.iter().enumerate().take(step).rev() {
        if !all.get(at + 1).is_some_and(Means::waxed) {
            break;
        }
        for (_, value) in before.operation.values().iter() {
            let route::Value::Stamp(index) = value else {
                continue;
            };
            let used = design.stamps.get(*index);
            if let Some(mm) = used.and_then(|used| thin_line(used.stamp.widths())) {
                thinnest = Some(thinnest.map_or(mm, |w| w.min(mm)));
            }
        }
    }
    let lag = this.operation.values().si("lag");
    Some(Lines {
        creep: means.creep,
        lag: Span(if lag.is_finite() { lag } else { 0.0 }),
        thinnest: thinnest.map(Length::mm),
    })
}
