//! A plan played many times, in weather and with durations as they come: how sure is each promise?
//!
//! The floor follows one stated rule. Everything keeps the order, the places and the batches of the plan, nothing
//! begins before its planned minute, and what cannot begin then begins as soon as it can. Where a greatest lag would
//! break, the earlier operation begins later, as in [`crate::solve::repair`]: nobody sponges what must go out into rain.
//! If that would cost the rest of the day and the cloth only waits up to a tenth longer than it may, or if it does not help
//! at all, it waits longer: the replay is counted, with the longest such wait.
//! What the floor does with cloth that should be outside while it rains is its [`Floor`] rule.
//!
//! Wet hours are drawn each by itself (assumed; real rain keeps on, which makes bad days worse and good ones better).
//! Durations are triangular between least, likely and most (Kotz and van Dorp, Beyond Beta, 2004, chapter 1), drawn for
//! each operation of each bolt by itself. Every draw belongs to its replay and its hour or operation, not to the order
//! of drawing, so two plans are compared in the same weather.

mod net;

use crate::calendar::subtract;
use crate::{CalendarId, Minute, Problem, Schedule, Window};
pub(crate) use net::Net;

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
    /// The longest that any did, minutes beyond its greatest lag.
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
    /// `[replay]`: minutes that a greatest lag was overstepped by.
    over: Vec<Minute>,
    /// `[lot][replay]`; `Minute::MAX`: beyond the calendars.
    done: Vec<Vec<Minute>>,
}

/// Plays a net.
pub(crate) fn play(problem: &Problem, net: &Net, chances: &Chances, keep_going: &dyn Fn() -> bool) -> Played {
    let mut played = Played {
        replays: 0,
        over: Vec::new(),
        done: vec![Vec::new(); problem.lots.len()],
    };
    let mut room = net::Room::default();
    for replay in 0..chances.replays {
        if !keep_going() {
            break;
        }
        let weather = Weather::drawn(problem, chances, replay);
        let share = |lot: usize, bolt: u32, operation: usize| {
            let draw = [
                u64::from(replay),
                lot as u64,
                u64::from(bolt),
                operation as u64,
                1,
            ];
            let spread = chances.spreads.get(lot).and_then(|of_lot| of_lot.get(operation));
            spread.map_or(1.0, |spread| spread.at(unit(chances.seed, &draw)))
        };
        net.play(&weather, &share, &mut room);
        for (done, end) in played.done.iter_mut().zip(net.ends(&room)) {
            done.push(end.unwrap_or(Minute::MAX));
        }
        played.over.push(room.over);
        played.replays += 1;
    }
    played
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
            // The least completion that at least this share of the replays keeps.
            let by = |share: f64| {
                let rank = (share * count as f64).ceil() as usize;
                let end = ends.get(rank.max(1) - 1).copied();
                end.filter(|end| *end < Minute::MAX)
            };
            Promise {
                on_time: Share::of(ends.partition_point(|end| *end <= lot.due), count),
                p50: by(0.5),
                p90: by(0.9),
            }
        };
        Some(Replays {
            replays: self.replays,
            lots: problem.lots.iter().zip(&mut self.done).map(promise).collect(),
            all_on_time,
            stuck,
            overstepped: Share::of(self.over.iter().filter(|over| **over > 0).count(), count),
            longest_over: self.over.iter().copied().max().unwrap_or(0),
        })
    }
}

/// The hours of a replay.
pub(crate) struct Weather {
    /// Of each calendar the windows that are left.
    pub windows: Vec<Vec<Window>>,
    /// Of each calendar with cloth that goes on under a roof: the dry windows, and how many times slower it is there.
    pub roof: Vec<Option<(Vec<Window>, f64)>>,
}

impl Weather {
    /// As the calendars say, always dry.
    pub(crate) fn fair(problem: &Problem) -> Self {
        Self {
            windows: problem.calendars.iter().map(|c| c.windows.clone()).collect(),
            roof: vec![None; problem.calendars.len()],
        }
    }

    fn drawn(problem: &Problem, chances: &Chances, replay: u32) -> Self {
        let mut weather = Self::fair(problem);
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
                Floor::Wait => *windows = dry,
                Floor::Inside(slower) => weather.roof[id.0] = Some((dry, slower.max(1.0))),
            }
        }
        weather
    }
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
