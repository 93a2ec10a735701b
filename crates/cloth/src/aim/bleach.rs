//! The steps of a route that take dye by chlorine, and their times.

use super::pots::with_time;
use super::traced::fast;
use crate::averages;
use colour::DyeCard;
use route::{Design, Fate, LotShape, Means, Shape, Workshop, strength_kept};
use std::sync::Arc;

/// Cotton must keep this share of its strength (the usual limit for bleached cloth: common practice, no source).
const STRENGTH: f64 = 0.9;
/// A time is sought within this factor of the design's own: a bath that wants more is another bath.
const LONGER: f64 = 2.0;

/// A step that takes dye by chlorine.
pub(super) struct Timed {
    /// Its place in the route.
    pub step: usize,
    /// Range of its time, s.
    pub range: (f64, f64),
    /// Dose at so many seconds: a straight line through two tallies.
    per_s: f64,
    fixed: f64,
    pub dose: f64,
}

impl Timed {
    /// Seconds that give a dose.
    pub fn seconds(&self, dose: f64) -> f64 {
        ((dose - self.fixed) / self.per_s.max(1e-12)).clamp(self.range.0, self.range.1)
    }

    /// Dose after so many seconds.
    pub fn after(&self, seconds: f64) -> f64 {
        (self.fixed + self.per_s * seconds).max(0.0)
    }
}

/// Steps that lose dye to the bleach and have a time.
pub(super) fn timed(design: &Arc<Design>, lot: &LotShape, shop: &Workshop) -> Vec<Timed> {
    let (means, takes) = averages(design, lot, shop);
    let bleaches = |at: &usize| takes[*at].lost.iter().any(|(_, fate, _)| *fate == Fate::Bleached);
    let steps = (0..design.steps.len()).filter(bleaches);
    let one = |step: usize| {
        let operation = &design.steps[step].operation;
        let key = operation.kind().timed?;
        let range = operation.kind().settings.iter().find_map(|s| match s.shape {
            Shape::Quantity { least, most, .. } if s.key == key => Some((least, most)),
            _ => None,
        })?;
        let wear = |seconds: f64| {
            let lasting = with_time(design, step, seconds)?;
            let mut after = means[step].clone();
            lasting.steps[step]
                .operation
                .tally(&mut after, &lasting, lot, shop);
            Some(after.wear - means[step].wear)
        };
        let designed = operation.values().si(key);
        let range = (range.0.max(designed / LONGER), range.1.min(designed * LONGER));
        let (once, twice) = (wear(designed)?, wear(2.0 * designed)?);
        let per_s = (twice - once) / designed.max(1.0);
        let mut this = Timed {
            step,
            range,
            per_s,
            fixed: once - per_s * designed,
            dose: once,
        };
        // The fibre's limit: strength falls evenly in the logarithm of the dose.
        let before = means[step].wear;
        let per_dose = -strength_kept(1.0, shop).value.ln();
        if per_dose > 0.0 {
            let most = (-STRENGTH.ln() / per_dose - before).max(0.0);
            this.range.1 = this.range.1.min(this.seconds(most)).max(this.range.0);
        }
        Some(this)
    };
    steps.filter_map(one).collect()
}

/// How fast the step clears each card, 1/(M s), by its tally; 0 where a card says nothing for its bath.
pub(super) fn rates(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    this: &Timed,
    cards: &[&DyeCard],
) -> Vec<f64> {
    let operation = &design.steps[this.step].operation;
    let rate = |card: &&DyeCard| -> f64 {
        let mut bare = fast(card, card.bleaching.rate.value);
        bare.bleaching.energy = card.bleaching.energy.clone();
        (bare.bleaching.ph_least, bare.bleaching.ph_most) = (card.bleaching.ph_least, card.bleaching.ph_most);
        let mut alone = (**design).clone();
        alone.dyes = vec![Arc::new(bare)];
        let mut means = Means::default();
        means.ground.fast[0] = 1.0;
        operation.tally(&mut means, &alone, lot, shop);
        // Rate times the dose of this very tally.
        -means.ground.fast[0].max(1e-300).ln() / means.wear.max(1e-12)
    };
    cards.iter().map(rate).collect()
}
