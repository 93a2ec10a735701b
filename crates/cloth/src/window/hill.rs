//! From a response to a window: which durations pass, how surely, and what would widen them.

use super::response::{REGIONS, Response};
use super::shade::{SHADE, Shade};
use super::spreads::Spreads;
use super::surface::{Ruler, Surface};
use super::sweep::Strength;
use field::{Seed, lanes, ln};
use rayon::prelude::*;
use route::creep_depth;
use units::{Length, Span};

/// What the finished cloth should look like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// The step done to perfection: bare cloth as after the longest time, waxed cloth as if the step had been left out.
    /// What a bleach is for.
    Apart,
    /// What the design's own time gives.
    AsDesigned,
    /// An approved cloth: ground, and motif if there is one.
    Approved(Shade, Option<Shade>),
}

/// When a bolt passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Farthest that the ground may be from its target, dE00.
    pub ground: f64,
    /// Farthest that the motif may be from its target, dE00.
    pub motif: f64,
    /// Width of the thinnest wax line that must be seen; `None` takes the stamp's, if it has one thin enough.
    pub line: Option<Length>,
    /// Share of its width that this line must keep, 0..1.
    pub keep: f64,
    /// Share of bolts that must pass, 0..1.
    pub pass: f64,
}

impl Default for Limits {
    /// Own estimate: hand-dyed grounds are judged like the change of a colour fastness of grade 2 (ISO 105-A02: 6.8),
    /// and a line that keeps two fifths of its width is still a line.
    fn default() -> Self {
        Self {
            ground: 6.8,
            motif: 6.8,
            line: None,
            keep: 0.4,
            pass: 0.8,
        }
    }
}

/// A duration and what it gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// How long.
    pub time: Span,
    /// Share of bolts that pass.
    pub pass: f64,
    /// Share of bolts whose ground is not there yet, or no longer.
    pub ground_fails: f64,
    /// Share of bolts whose motif or thinnest line is lost.
    pub motif_fails: f64,
    /// Distance of the ground from its target if nothing strays, dE00.
    pub ground: f64,
    /// The same of the motif; `None` if there is none.
    pub motif: Option<f64>,
    /// Share of the thinnest line that is left if nothing strays; `None` without a line to watch.
    pub line: Option<f64>,
    /// Colours if nothing strays: ground, motif.
    pub shades: [Option<Shade>; REGIONS],
}

impl Point {
    /// The farthest of ground, motif and line from where they should be, over what their limit allows.
    fn beyond(&self, limits: &Limits) -> f64 {
        let of = |off: f64, most: f64| off / most.max(1e-6);
        let ground = of(self.ground, limits.ground);
        let motif = self.motif.map_or(0.0, |off| of(off, limits.motif));
        let line = self.line.map_or(0.0, |left| of(1.0 - left, 1.0 - limits.keep));
        ground.max(motif).max(line)
    }
}

impl Hill {
    /// When enough bolts have a ground that is there, and until when enough have a motif that still is; `None` where
    /// that never happens.
    pub fn sides(&self, pass: f64) -> (Option<Span>, Option<Span>) {
        let may = 1.0 - pass;
        let ground = |at: usize| self.points[at].ground_fails;
        let motif = |at: usize| self.points[at].motif_fails;
        // Where the share of failures crosses what is allowed, between two durations.
        let cross = |good: usize, bad: usize, fails: &dyn Fn(usize) -> f64| {
            let (from, to) = (self.points[good].time.0, self.points[bad].time.0);
            let part = (may - fails(good)) / (fails(bad) - fails(good));
            Span(from + part * (to - from))
        };
        let there = (0..self.points.len()).find(|at| ground(*at) <= may);
        let there = there.map(|at| match at {
            0 => self.points[0].time,
            at => cross(at, at - 1, &ground),
        });
        let last = self.points.len().saturating_sub(1);
        let lost = (0..self.points.len()).rfind(|at| motif(*at) <= may);
        let lost = lost.map(|at| match at == last {
            true => self.points[at].time,
            false => cross(at, at + 1, &motif),
        });
        (there, lost)
    }

    /// Time from when the ground is there until the motif is lost, s; negative by what a closed window lacks. What never
    /// happens within the durations looked at counts as at their end: less than it is.
    pub fn room(&self, pass: f64) -> f64 {
        let (Some(first), Some(end)) = (self.points.first(), self.points.last()) else {
            return 0.0;
        };
        let (there, lost) = self.sides(pass);
        lost.map_or(first.time.0, |t| t.0) - there.map_or(end.time.0, |t| t.0)
    }
}

/// Durations at which enough bolts pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Open {
    /// From here; `None` if from the shortest on.
    pub earliest: Option<Span>,
    /// To here; `None` if to the longest.
    pub latest: Option<Span>,
}

/// Pass probability by duration.
#[derive(Clone, Debug, PartialEq)]
pub struct Hill {
    /// From the shortest to the longest duration.
    pub points: Vec<Point>,
    /// Where most bolts pass: the design's own time if it is among the best, else the middle of the top.
    pub best: Span,
    /// Share of bolts that pass there.
    pub chance: f64,
    /// Where enough pass; `None` is an honest answer.
    pub open: Option<Open>,
}

/// Durations that are looked at.
const POINTS: usize = 121;
/// Draws that one thread takes at a time.
const CHUNK: u32 = 512;

/// Distances from a target, ready for draws.
pub(crate) struct Judge<'a> {
    response: &'a Response,
    /// Squared distances of ground and motif: smooth where a distance is nothing.
    squares: Surface,
    wanted: [Option<Shade>; REGIONS],
    limits: Limits,
    line: Option<Length>,
    times: Vec<f64>,
    /// The design's own time, where that is what is aimed at.
    own: Option<Span>,
}

/// Counts over draws, one a duration: pass, ground fails, motif or line fails.
struct Counts(Vec<[u32; 3]>);

impl<'a> Judge<'a> {
    pub fn new(response: &'a Response, target: &Target, limits: &Limits) -> Self {
        let designed = |region: usize| {
            let values = response.surface.at([response.designed.0.ln(), 0.0, 0.0, 0.0]);
            Shade::from_slice(&values[region * SHADE..])
        };
        let wanted = match target {
            Target::Apart => [response.longest[0], response.left_out[1]],
            Target::AsDesigned => [Some(designed(0)), response.has_motif().then(|| designed(1))],
            Target::Approved(ground, motif) => [Some(*ground), *motif],
        };
        let motif = response.has_motif();
        let squares = response.surface.map(REGIONS, |values| {
            (0..REGIONS)
                .map(|region| match wanted[region] {
                    Some(wanted) if region == 0 || motif => Shade::from_slice(&values[region * SHADE..])
                        .distance(wanted)
                        .powi(2),
                    _ => 0.0,
                })
                .collect()
        });
        let (short, long) = response.range;
        let (short, long) = match response.sweep.strength {
            // The grid is wider than the durations asked about by what strength may add.
            Strength::Time => {
                let widen = response.spreads.severity().exp();
                (short.0 * widen, long.0 / widen)
            }
            Strength::Setting(_) => (short.0, long.0),
        };
        let ratio = (long / short).ln() / (POINTS - 1) as f64;
        let line = limits.line.or(response.lines.and_then(|l| l.thinnest));
        Self {
            response,
            squares,
            wanted,
            limits: *limits,
            line: line.filter(|_| response.lines.is_some()),
            own: matches!(target, Target::AsDesigned).then_some(response.designed),
            times: (0..POINTS).map(|i| short * (ratio * i as f64).exp()).collect(),
        }
    }

    /// Share of bolts that must pass.
    pub const fn pass(&self) -> f64 {
        self.limits.pass
    }

    /// The thinnest line that is watched.
    pub const fn line(&self) -> Option<Length> {
        self.line
    }

    /// Share of the watched line that is left.
    fn line_left(&self, seconds: f64, creep: f64) -> Option<f64> {
        let (lines, width) = (self.response.lines?, self.line?);
        let eaten = 2.0 * creep_depth(lines.creep * creep, (seconds + lines.lag.0).max(0.0));
        Some((1.0 - eaten / width.0).max(0.0))
    }

    /// The hill over `draws` bolts. `faster` is a bias on the creep (1: as the waxing says).
    pub fn hill(&self, spreads: &Spreads, draws: u32, seed: Seed, faster: f64) -> Hill {
        let chunks: Vec<Counts> = (0..draws.div_ceil(CHUNK))
            .into_par_iter()
            .map(|chunk| {
                self.count(
                    spreads,
                    chunk * CHUNK..draws.min((chunk + 1) * CHUNK),
                    seed,
                    faster,
                )
            })
            .collect();
        let mut total = vec![[0u32; 3]; self.times.len()];
        for Counts(counts) in &chunks {
            for (t, c) in total.iter_mut().zip(counts) {
                (0..3).for_each(|i| t[i] += c[i]);
            }
        }
        let share = |n: u32| f64::from(n) / f64::from(draws.max(1));
        let points: Vec<Point> = self
            .times
            .iter()
            .zip(&total)
            .map(|(time, [pass, ground, motif])| Point {
                pass: share(*pass),
                ground_fails: share(*ground),
                motif_fails: share(*motif),
                ..self.point(*time, faster)
            })
            .collect();
        summit(points, &self.limits, self.own)
    }

    /// What a duration gives if nothing strays.
    fn point(&self, time: f64, faster: f64) -> Point {
        let values = self.response.surface.at([time.ln(), 0.0, 0.0, faster.ln()]);
        let motif = self.response.has_motif();
        let ground_shade = Shade::from_slice(&values[..SHADE]);
        let motif_shade = motif.then(|| Shade::from_slice(&values[SHADE..]));
        let off = |shade: Shade, region: usize| self.wanted[region].map(|wanted| shade.distance(wanted));
        Point {
            time: Span(time),
            pass: 0.0,
            ground_fails: 0.0,
            motif_fails: 0.0,
            ground: off(ground_shade, 0).unwrap_or(0.0),
            motif: motif_shade.and_then(|shade| off(shade, 1)),
            line: self.line_left(time, faster),
            shades: [Some(ground_shade), motif_shade],
        }
    }

    /// Longest time that leaves the watched line wide enough, s.
    fn line_until(&self, creep: f64) -> f64 {
        let (Some(lines), Some(width)) = (self.response.lines, self.line) else {
            return f64::INFINITY;
        };
        let depth = 0.5 * width.0 * (1.0 - self.limits.keep).max(0.0);
        depth * depth / (2.0 * lines.creep * creep) - lines.lag.0
    }

    fn count(&self, spreads: &Spreads, draws: std::ops::Range<u32>, seed: Seed, faster: f64) -> Counts {
        let n = self.times.len();
        let mut counts = vec![[0u32; 3]; n];
        let times: Vec<f32> = self.times.iter().map(|t| *t as f32).collect();
        let mut places = vec![0.0f32; n];
        let mut ruler = Ruler::default();
        let mut values = vec![0.0; n];
        let mut within = vec![[true; REGIONS]; n];
        let most = [self.limits.ground.powi(2), self.limits.motif.powi(2)];
        let half = 0.5 * spreads.ends.0;
        // Both ends of the bolt must pass: what is short for one may be long for the other.
        let ends: &[f64] = if half > 0.0 { &[-half, half] } else { &[0.0] };
        for number in draws {
            let draw = spreads.draw(number, seed);
            let (stretch, strength) = match self.response.sweep.strength {
                Strength::Time => (draw.severity, 0.0),
                Strength::Setting(_) => (0.0, draw.severity),
            };
            let creep = draw.creep + faster.ln();
            let along = self.squares.along([strength, draw.warmer, creep]);
            within.fill([true; REGIONS]);
            for end in ends {
                shifted(&times, (draw.late + end) as f32, stretch as f32, &mut places);
                ruler.lay(&self.squares.axes()[0], &places);
                for (region, most) in most.iter().enumerate() {
                    ruler.read(&along, region, &mut values);
                    within
                        .iter_mut()
                        .zip(&values)
                        .for_each(|(w, v)| w[region] &= v <= most);
                }
            }
            let until = self.line_until(creep.exp()) - draw.late - half;
            for ((count, within), time) in counts.iter_mut().zip(&within).zip(&self.times) {
                let (ground, motif) = (within[0], within[1] && *time <= until);
                count[0] += u32::from(ground && motif);
                count[1] += u32::from(!ground);
                count[2] += u32::from(!motif);
            }
        }
        Counts(counts)
    }
}

lanes! {
    /// Logarithms of durations that came out `late` (s), times a factor whose logarithm is `stretch`. No step is
    /// shorter than a second.
    fn shifted(times: &[f32], late: f32, stretch: f32, out: &mut [f32]) {
        for (o, t) in out.iter_mut().zip(times) {
            let time = t + late;
            *o = stretch + ln(if time < 1.0 { 1.0 } else { time });
        }
    }
}

/// The top of the hill and where its sides cross the level that is wanted.
fn summit(points: Vec<Point>, limits: &Limits, own: Option<Span>) -> Hill {
    let level = limits.pass;
    let chance = points.iter().map(|p| p.pass).fold(0.0, f64::max);
    // A top of many durations is a plateau of chance: within a hundredth of the best, the middle is best.
    let top = |p: &Point| p.pass >= chance - 0.01;
    let peak = points.iter().position(|p| p.pass >= chance).unwrap_or(0);
    let first = points[..=peak]
        .iter()
        .rposition(|p| !top(p))
        .map_or(0, |at| at + 1);
    let last = points[peak..]
        .iter()
        .position(|p| !top(p))
        .map_or(points.len() - 1, |at| peak + at - 1);
    let (first, last) = (points[first].time, points[last].time);
    let own = own.filter(|t| (first.0..=last.0).contains(&t.0));
    let best = match own {
        Some(own) => own,
        // Where nothing passes, the plateau says nothing: least bad is what strays least beyond its limits.
        None if chance < 0.01 => points
            .iter()
            .min_by(|a, b| a.beyond(limits).total_cmp(&b.beyond(limits)))
            .map_or(first, |p| p.time),
        None => Span(0.5 * (first.0 + last.0)),
    };
    let open = (chance >= level && chance > 0.0).then(|| {
        let cross = |below: usize, above: usize| {
            let (a, b) = (&points[below], &points[above]);
            let part = (level - a.pass) / (b.pass - a.pass);
            Span(a.time.0 + part * (b.time.0 - a.time.0))
        };
        let before = points[..=peak].iter().rposition(|p| p.pass < level);
        let after = points[peak..]
            .iter()
            .position(|p| p.pass < level)
            .map(|at| peak + at);
        Open {
            earliest: before.map(|at| cross(at, at + 1)),
            latest: after.map(|at| cross(at, at - 1)),
        }
    });
    Hill {
        points,
        best,
        chance,
        open,
    }
}
