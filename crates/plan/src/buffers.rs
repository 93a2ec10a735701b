//! Time in hand where it buys most: which lots should run earlier than the plan has them, so that rain and slow days do
//! not break their promises?
//!
//! A lot's *buffer* moves all its work up to so much earlier, as far as its release, its calendars and the work before
//! it on each resource allow; the order of all work stays. It costs nothing but cloth that stands longer in the shop. It
//! is given greedily: each time the buffer, of those tried, that gains most of the promises' weight per hour.

use crate::replay::{Net, Played, play};
use crate::{Chances, Minute, Problem, Replays, Schedule, judge};

/// Buffers that are tried for each lot, minutes: an hour, half a working day, and days of the wall clock.
const TRIED: [Minute; 5] = [60, 240, 1_440, 2_880, 5_760];
/// Less than this share of a promise is within what replays can tell.
const LEAST: f64 = 0.01;

/// Time in hand that a lot got.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Buffer {
    /// The lot.
    pub lot: usize,
    /// Minutes that its work may run earlier than before.
    pub minutes: Minute,
    /// Promises kept more, on average over the replays, weighted by the lots' weights and divided by their sum.
    pub gain: f64,
}

/// A plan with time in hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Buffered {
    /// The plan.
    pub schedule: Schedule,
    /// Its buffers, in the order in which they were given.
    pub buffers: Vec<Buffer>,
    /// How sure the plan was, and is.
    pub before: Replays,
    /// How sure it is.
    pub after: Replays,
}

/// Gives at most so many buffers. `keep_going` is asked before each replay; what was found until it says no counts.
///
/// `None` if the plan cannot be played, or nothing was.
pub fn buffers(
    problem: &Problem,
    schedule: &Schedule,
    chances: &Chances,
    most: usize,
    keep_going: &dyn Fn() -> bool,
) -> Option<Buffered> {
    let mut net = Net::new(problem, schedule)?;
    let played = play(problem, &net, chances, keep_going);
    let (mut kept, mut late) = (kept(problem, &played)?, broken(problem, &played));
    let before = played.told(problem)?;
    let mut found = Buffered {
        schedule: schedule.clone(),
        buffers: Vec::new(),
        after: before.clone(),
        before,
    };
    let mut lead = vec![0; problem.lots.len()];
    while found.buffers.len() < most && keep_going() {
        // A lot whose promises all hold gains nothing itself; what runs before others may still help them.
        let mut best: Option<(f64, Buffer)> = None;
        for lot in 0..problem.lots.len() {
            if !late.iter().any(|late| *late) {
                break;
            }
            for minutes in TRIED {
                let mut tried = lead.clone();
                tried[lot] += minutes;
                net.lead(problem, &tried);
                let played = play(problem, &net, chances, keep_going);
                if played.replays() < found.before.replays {
                    break;
                }
                let gain = self::kept(problem, &played)? - kept;
                let an_hour = gain / (minutes as f64 / 60.0);
                if gain >= LEAST && best.as_ref().is_none_or(|(most, _)| an_hour > *most) {
                    best = Some((an_hour, Buffer { lot, minutes, gain }));
                }
            }
        }
        let Some((_, buffer)) = best else { break };
        lead[buffer.lot] += buffer.minutes;
        net.lead(problem, &lead);
        let schedule = net.as_planned(problem)?;
        if !judge::check(problem, &schedule).is_empty() {
            // Two loads of one vessel would begin in the same minute, and count as one.
            break;
        }
        let played = play(problem, &net, chances, keep_going);
        (kept, late) = (self::kept(problem, &played)?, broken(problem, &played));
        found.after = played.told(problem)?;
        found.schedule = schedule;
        found.buffers.push(buffer);
    }
    Some(found)
}

/// The share of promises that are kept, by weight.
fn kept(problem: &Problem, played: &Played) -> Option<f64> {
    let shares = played.on_time(problem)?;
    let weights = problem.lots.iter().map(|lot| f64::from(lot.weight));
    let whole: f64 = weights.clone().sum();
    Some(
        weights
            .zip(shares)
            .map(|(weight, share)| weight * share)
            .sum::<f64>()
            / whole.max(1.0),
    )
}

/// Lots that do not always keep their promise.
fn broken(problem: &Problem, played: &Played) -> Vec<bool> {
    let shares = played.on_time(problem).unwrap_or_default();
    shares
        .into_iter()
        .zip(&problem.lots)
        .map(|(share, lot)| share < 1.0 && lot.weight > 0)
        .collect()
}
