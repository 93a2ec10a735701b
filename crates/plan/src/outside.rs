//! Hang cloth out now, or wait? The cost of waiting against what rain on the cloth is expected to cost.
//!
//! The day is cut into short stretches. Rain comes to each by itself, so that an hour stays dry with the chance that the
//! table gives it, whatever its stretches (a constant hazard within the hour; assumed). Before each stretch the floor sees
//! whether it rains. If it does, cloth stays in; if not, it may go out, and then the stretches until it is dry must stay
//! dry as well. What to do is found backwards from the end of the day (optimal stopping; Bellman, Dynamic Programming,
//! 1957, chapter III), so waiting is worth what the best later choice is worth.

use crate::Minute;

/// Cloth that could be outside. Minutes are after midnight, money is in any one currency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Now.
    pub now: Minute,
    /// End of the hours in which the yard can be used.
    pub until: Minute,
    /// Minutes it must still be outside.
    pub needs: Minute,
    /// Length of a stretch, minutes.
    pub every: Minute,
    /// Does it rain now?
    pub raining: bool,
    /// It hangs outside already: waiting is taking it in.
    pub out: bool,
    /// What rain on the cloth costs.
    pub loss: f64,
    /// What an hour of waiting costs.
    pub wait: f64,
    /// What taking it in and bringing it out again costs, where it is outside.
    pub handling: f64,
    /// What it costs if it is not done today.
    pub missed: f64,
}

/// What the choices are worth at the beginning of a stretch that is seen to be dry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// When it begins.
    pub start: Minute,
    /// Chance that the cloth, hung out then, is dry before it rains; `None` where the day is too short for it.
    pub dry: Option<f64>,
    /// Expected cost of hanging it out then, without what was waited before.
    pub go: Option<f64>,
    /// Expected cost of waiting longer, and doing the best afterwards.
    pub wait: f64,
}

impl Stretch {
    /// Is going now no dearer than waiting?
    pub fn goes(&self) -> bool {
        self.go.is_some_and(|go| go <= self.wait)
    }
}

/// What to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// Hang it out now (or leave it out)?
    pub go: bool,
    /// Expected cost of the better choice.
    pub cost: f64,
    /// Every stretch from now to the end of the day.
    pub stretches: Vec<Stretch>,
}

/// Weighs going against waiting, with the chance of rain in each hour of this day.
///
/// `None` if the day's hours are over, or a stretch has no length.
pub fn go_or_wait(chance: &[f64; 24], cloth: &Outside) -> Option<Advice> {
    if cloth.now >= cloth.until || cloth.every <= 0 {
        return None;
    }
    let starts: Vec<Minute> = (0..)
        .map(|k| cloth.now + k * cloth.every)
        .take_while(|start| *start < cloth.until)
        .collect();
    let dry: Vec<f64> = starts
        .iter()
        .map(|start| stays_dry(chance, *start, (start + cloth.every).min(cloth.until)))
        .collect();
    let hour = |start: Minute| (cloth.until - start).min(cloth.every) as f64 / 60.0;
    let mut stretches = Vec::with_capacity(starts.len());
    // Best expected cost before the sky of the next stretch is seen.
    let mut later = cloth.missed;
    for (at, start) in starts.iter().enumerate().rev() {
        let wait = cloth.wait * hour(*start) + later;
        let fits = start + cloth.needs <= cloth.until;
        let next = (start + cloth.every).min(start + cloth.needs);
        let dried = fits.then(|| stays_dry(chance, next, start + cloth.needs));
        let go = dried.map(|dry| cloth.loss * (1.0 - dry));
        stretches.push(Stretch {
            start: *start,
            dry: dried,
            go,
            wait,
        });
        later = dry[at] * go.map_or(wait, |go| go.min(wait)) + (1.0 - dry[at]) * wait;
    }
    stretches.reverse();
    let first = stretches.first_mut()?;
    if cloth.out {
        first.wait += cloth.handling;
    }
    let go = !cloth.raining && first.goes();
    let cost = if go {
        first.go.unwrap_or(first.wait)
    } else {
        first.wait
    };
    Some(Advice { go, cost, stretches })
}

/// Chance that it does not rain from one minute to another.
fn stays_dry(chance: &[f64; 24], from: Minute, to: Minute) -> f64 {
    (from.div_euclid(60)..=(to - 1).div_euclid(60))
        .map(|hour| {
            let within = to.min(hour * 60 + 60) - from.max(hour * 60);
            let wet = chance[hour.rem_euclid(24) as usize].clamp(0.0, 1.0);
            if within > 0 {
                (1.0 - wet).powf(within as f64 / 60.0)
            } else {
                1.0
            }
        })
        .product()
}
