//! A plan played many times, in weather and with durations as they come: how sure is each promise?
//!
//! The floor follows one stated rule. Batches and tables are the plan's, and nothing begins before its planned minute.
//! Work is given its place in the plan's order; what is held up lets later work go ahead that is out of its way in time.
//! Something begins as soon as its cloth, its people and its station are there, in hours in which it is likely to be done,
//! and is then done to its end, if need be after hours. Before something is begun whose cloth may then wait only so long,
//! the floor looks ahead: in the hours to come, when can what follows begin, around all that was given its place before?
//! Both if they take what is likely and if they take the most they may. If that is too late, it begins later, as in
//! [`crate::solve::repair`]: nobody sponges what could not go out. Once it is begun, what must follow goes before all that is planned later. So a greatest lag is overstepped only
//! by what came after the decision: work that took longer than was likely. How often, and by how much, is told.
//! What the floor does with cloth that should be outside while it rains is its [`Floor`] rule. In looking ahead it knows
//! the rain of the hours to come: as far as greatest lags reach, the truth is a little worse.
//!
//! Wet hours are drawn each by itself (assumed; real rain keeps on, which makes bad days worse and good ones better).
//! Durations are triangular between least, likely and most (Kotz and van Dorp, Beyond Beta, 2004, chapter 1), drawn for
//! each operation of each bolt by itself. Every draw belongs to its replay and its hour or operation, not to the order
//! of drawing, so two plans are compared in the same weather.

mod book;
mod floor;
mod hours;
mod net;
mod pieces;

use crate::calendar::subtract;
use crate::{CalendarId, Minute, Problem, Schedule, Window};
use hours::Weather;
pub(crate) use net::Net;
use std::borrow::Cow;

/// Chance of rain in each hour of the day, in each month.
#[derive(Clone, Debug, PartialEq)]
pub struct Rain {
    /// Calendars of work that needs dry hours.
    pub calendars: Vec<CalendarId>,
    /// `[month from January][hour from midnight]`, 0..1.
    pub chance: [[f64; 24]; 12],
    /// What the floor does then.
    pub floor: Floor,
}

/// What is done with cloth that should be outside while it rains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Floor {
    /// It waits indoors for a dry stretch as long as itself. That takes a floor that foresees the next hours, so where
    /// rain surprises, the truth is a little worse.
    Wait,
    /// It hangs under the roof, where everything takes so many times as long (1 or more), until it is dry outside again;
    /// what is not done at the end of the day hangs there over the night. It goes out at its hours of the day whether it
    /// rains or not, and its place outside is kept for it.
    Inside(f64),
}

/// How far the duration of an operation strays, as shares of the planned one: `least <= likely <= most`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Shortest / planned.
    pub least: f64,
    /// Likeliest / planned; 1 where nothing was measured.
    pub likely: f64,
    /// Longest / planned.
    pub most: f64,
}

impl Spread {
    /// Always as planned.
    pub const NONE: Self = Self {
        least: 1.0,
        likely: 1.0,
        most: 1.0,
    };

    /// The triangle of measured shares: their ends, and the peak that gives it their mean, if it lies between them.
    /// `None` without any.
    pub fn measured(shares: &[f64]) -> Option<Self> {
        let least = shares.iter().copied().reduce(f64::min)?;
        let most = shares.iter().copied().reduce(f64::max)?;
        let mean = shares.iter().sum::<f64>() / shares.len() as f64;
        Some(Self {
            least,
            likely: (3.0 * mean - least - most).clamp(least, most),
            most,
        })
    }

    /// The share at a quantile `u` in 0..1 of the triangular distribution.
    fn at(self, u: f64) -> f64 {
        let (down, up) = (
            (self.likely - self.least).max(0.0),
            (self.most - self.likely).max(0.0),
        );
        let wide = down + up;
        if wide <= 0.0 {
            self.likely
        } else if u * wide < down {
            self.likely - down + (u * wide * down).sqrt()
        } else {
            self.likely + up - ((1.0 - u) * wide * up).sqrt()
        }
    }
}

/// What is uncertain, and how often to play.
pub struct Chances<'a> {
    /// Rain; `None`: always dry.
    pub rain: Option<&'a Rain>,
    /// `[lot][operation of its route]`; what is not there takes what is planned.
    pub spreads: &'a [Vec<Spread>],
    /// How many times.
    pub replays: u32,
    /// Seed of all draws.
    pub seed: u64,
    /// What is planned to begin before this minute has begun: it stands as planned, and nothing else begins before. 0: all
    /// is still to be done.
    pub now: Minute,
}

/// A share of the replays, and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Estimate, 0..1.
    pub value: f64,
    /// Standard error of the estimate. Of 0 and 1 as well it is not 0: it is taken at two successes and two failures more
    /// (Agresti and Coull, The American Statistician 52, 1998).
    pub error: f64,
}

impl Share {
    fn of(yes: usize, all: usize) -> Self {
        let n = all as f64 + 4.0;
        let p = (yes as f64 + 2.0) / n;
        Self {
            value: yes as f64 / all.max(1) as f64,
            error: (p * (1.0 - p) / n).sqrt(),
        }
    }
}

/// What the replays say of a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Promise {
    /// Done by its promise.
    pub on_time: Share,
    /// Completion that half of the replays keep; `None`: beyond the calendars.
    pub p50: Option<Minute>,
    /// Completion that nine of ten replays keep; `None`: beyond the calendars.
    pub p90: Option<Minute>,
}

/// What the replays say.
#[derive(Clone, Debug, PartialEq)]
pub struct Replays {
    /// How many.
    pub replays: u32,
    /// For each lot.
    pub lots: Vec<Promise>,
    /// Every lot done by its promise.
    pub all_on_time: Share,
    /// Replays in which some operation found no place any more inside the calendars.
    pub stuck: u32,
    /// Replays in which some cloth waited longer than its greatest lag.
    pub overstepped: Share,
    /// Of all waits with a greatest lag, in all replays, those that were longer; 0 where there are none.
    pub waits_over: f64,
    /// Minutes beyond the greatest lag that nine of ten of these stay within; 0 where there are none.
    pub over_p90: Minute,
    /// The longest of them, minutes beyond its greatest lag.
    pub longest_over: Minute,
}

/// Plays a plan. Asks `keep_going` before each replay, and answers with those that were played.
///
/// `None` if nothing was played, or the plan is incomplete or overbooked: [`crate::judge::check`] says why.
pub fn replay(
    problem: &Problem,
    schedule: &Schedule,
    chances: &Chances,
    keep_going: &dyn Fn() -> bool,
) -> Option<Replays> {
    let net = Net::new(problem, schedule)?;
    let played = play(problem, &net, chances, keep_going);
    played.told(problem)
}

/// When each lot was done in each replay.
pub(crate) struct Played {
    replays: u32,
    /// Greatest lags in the plan.
    lags: usize,
    /// Replays in which one was overstepped.
    overstepped: usize,
    /// By how many minutes, each time.
    over: Vec<Minute>,
    /// `[lot][replay]`; `Minute::MAX`: beyond the calendars.
    done: Vec<Vec<Minute>>,
}

/// Replays that a core plays at a time.
const AT_ONCE: u32 = 4;

/// What a replay came to: each lot's completion, and each overstepped lag.
type Outcome = (Vec<Minute>, Vec<Minute>);

/// Plays a net, on all cores: a replay's draws are its own, so the answer does not depend on how many there are.
pub(crate) fn play(problem: &Problem, net: &Net, chances: &Chances, keep_going: &dyn Fn() -> bool) -> Played {
    let mut played = Played {
        replays: 0,
        lags: net.greatest_lags(chances.now),
        overstepped: 0,
        over: Vec::new(),
        done: vec![Vec::new(); problem.lots.len()],
    };
    let cores = std::thread::available_parallelism().map_or(1, |cores| cores.get());
    let mut rooms: Vec<floor::Room> = (0..cores).map(|_| floor::Room::default()).collect();
    let expected = |lot, operation| spread(chances, lot, operation).unwrap_or(Spread::NONE);
    for room in &mut rooms {
        net.expect(&expected, room);
        room.now = chances.now;
    }
    loop {
        let most = (chances.replays - played.replays).min(AT_ONCE * cores as u32);
        let until = played.replays + (0..most).take_while(|_| keep_going()).count() as u32;
        if until == played.replays {
            break;
        }
        let mut next = played.replays;
        let outcomes: Vec<Outcome> = std::thread::scope(|scope| {
            let mut lanes = Vec::with_capacity(cores);
            for room in &mut rooms {
                let last = (next + AT_ONCE).min(until);
                let replays = std::mem::replace(&mut next, last)..last;
                let once = move |replay| one(problem, net, chances, replay, room);
                lanes.push(scope.spawn(|| replays.map(once).collect::<Vec<Outcome>>()));
            }
            let ended = lanes.into_iter().map(|lane| lane.join());
            ended
                .flat_map(|lane| lane.unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
                .collect()
        });
        for (ends, over) in outcomes {
            for (done, end) in played.done.iter_mut().zip(ends) {
                done.push(end);
            }
            played.overstepped += usize::from(!over.is_empty());
            played.over.extend(over);
            played.replays += 1;
        }
    }
    played
}

fn spread(chances: &Chances, lot: usize, operation: usize) -> Option<Spread> {
    chances.spreads.get(lot)?.get(operation).copied()
}

/// One replay.
fn one(problem: &Problem, net: &Net, chances: &Chances, replay: u32, room: &mut floor::Room) -> Outcome {
    let weather = drawn(problem, chances, replay);
    let share = |lot: usize, bolt: u32, operation: usize| {
        let draw = [
            u64::from(replay),
            lot as u64,
            u64::from(bolt),
            operation as u64,
            1,
        ];
        spread(chances, lot, operation).map_or(1.0, |spread| spread.at(unit(chances.seed, &draw)))
    };
    net.play(problem, &weather, &share, room);
    let ends = net.ends(room).map(|end| end.unwrap_or(Minute::MAX));
    (ends.collect(), room.over.clone())
}

impl Played {
    pub(crate) fn replays(&self) -> u32 {
        self.replays
    }

    /// For each lot the share of replays that keep its promise; `None` if nothing was played.
    pub(crate) fn on_time(&self, problem: &Problem) -> Option<Vec<f64>> {
        let of = |(lot, ends): (&crate::Lot, &Vec<Minute>)| {
            ends.iter().filter(|end| **end <= lot.due).count() as f64 / f64::from(self.replays)
        };
        (self.replays > 0).then(|| problem.lots.iter().zip(&self.done).map(of).collect())
    }

    /// What the plays say; `None` if nothing was played.
    pub(crate) fn told(mut self, problem: &Problem) -> Option<Replays> {
        let count = self.replays as usize;
        if count == 0 {
            return None;
        }
        let stuck = (0..count).filter(|at| self.done.iter().any(|ends| ends[*at] == Minute::MAX));
        let stuck = stuck.count() as u32;
        let kept = |at: &usize| {
            let mut lots = problem.lots.iter().zip(&self.done);
            lots.all(|(lot, ends)| ends[*at] <= lot.due)
        };
        let all_on_time = Share::of((0..count).filter(kept).count(), count);
        let promise = |(lot, ends): (&crate::Lot, &mut Vec<Minute>)| {
            ends.sort_unstable();
            let by = |share: f64| quantile(ends, share).filter(|end| *end < Minute::MAX);
            Promise {
                on_time: Share::of(ends.partition_point(|end| *end <= lot.due), count),
                p50: by(0.5),
                p90: by(0.9),
            }
        };
        self.over.sort_unstable();
        Some(Replays {
            replays: self.replays,
            lots: problem.lots.iter().zip(&mut self.done).map(promise).collect(),
            all_on_time,
            stuck,
            overstepped: Share::of(self.overstepped, count),
            waits_over: self.over.len() as f64 / (count * self.lags).max(1) as f64,
            over_p90: quantile(&self.over, 0.9).unwrap_or(0),
            longest_over: self.over.last().copied().unwrap_or(0),
        })
    }
}

/// The least of rising minutes that at least this share of them keeps.
fn quantile(rising: &[Minute], share: f64) -> Option<Minute> {
    let rank = (share * rising.len() as f64).ceil() as usize;
    rising.get(rank.max(1) - 1).copied()
}

/// The hours of a replay.
fn drawn<'p>(problem: &'p Problem, chances: &Chances, replay: u32) -> Weather<'p> {
    let mut weather = Weather::fair(problem);
    let Some(rain) = chances.rain else {
        return weather;
    };
    for id in &rain.calendars {
        let Some(windows) = weather.windows.get_mut(id.0) else {
            continue;
        };
        let mut dry = Vec::new();
        for w in windows.iter() {
            let hours = w.start.div_euclid(60)..=(w.end - 1).div_euclid(60);
            let wet: Vec<Window> = hours
                .filter(|hour| {
                    let date = problem.first_day.plus(hour.div_euclid(24) as i32);
                    let (_, month, _) = date.civil();
                    let chance = rain.chance[month as usize - 1][hour.rem_euclid(24) as usize];
                    unit(chances.seed, &[u64::from(replay), *hour as u64, 2]) < chance
                })
                .map(|hour| Window::new(hour * 60, hour * 60 + 60))
                .collect();
            dry.extend(subtract(&[*w], &wet));
        }
        match rain.floor {
            Floor::Wait => {
                *windows = Cow::Owned(dry);
                weather.foreseen[id.0] = true;
            }
            Floor::Inside(slower) => weather.roof[id.0] = Some((dry, slower.max(1.0))),
        }
    }
    weather
}

/// A number in 0..1 that belongs to its key: SplitMix64's mixing (Steele, Lea, Flood, OOPSLA 2014) of each part in turn.
fn unit(seed: u64, key: &[u64]) -> f64 {
    let mix = |state: u64, part: &u64| {
        let mut z = (state ^ part).wrapping_add(0x9e37_79b9_7f4a_7c15);
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    };
    let bits = key.iter().fold(mix(seed, &0), mix);
    (bits >> 11) as f64 / (1u64 << 53) as f64
}
