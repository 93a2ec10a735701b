//! What each pot of a route leaves on the cloth: the route run with a dye slot for every pot.

use super::bleach::Timed;
use super::places::samples;
use super::pots::{Pot, pots, tracers, with_doses};
use crate::{Bolt, averages};
use colour::DyeCard;
use route::{DYES, Design, LotShape, Means, Workshop};
use std::sync::Arc;

/// Pots whose patterns agree to this are mixed in one liquor.
const ONE_LIQUOR: f64 = 0.999;
/// Product of rate and dose of a tracer that shows where a bleach reaches.
pub(super) const PROBE: f64 = 1.0;

/// What belongs to one [`Dyeing`]: pots of one step that share a liquor, or one pot.
pub(super) struct Liquor {
    pub pots: Vec<usize>,
    /// g/kg at the richest place for one SI unit of depth.
    pub per_depth: f64,
    /// More dyes may join in.
    pub mixes: bool,
}

pub(super) fn place(pots: &[Pot], pot: &Pot) -> usize {
    pots.iter().position(|p| p == pot).unwrap_or(0)
}

/// The card with another bleach rate, known at every pH, and no residue.
pub(super) fn fast(card: &DyeCard, rate: f64) -> DyeCard {
    let mut card = card.clone();
    card.bleaching.rate.value = rate;
    card.bleaching.energy.value = 0.0;
    card.bleaching.residue.value = 0.0;
    (card.bleaching.ph_least, card.bleaching.ph_most) = (0.0, 14.0);
    card
}

/// A card that the step clears by [`PROBE`] where it has full access.
pub(super) fn clears(card: &DyeCard, this: &Timed) -> DyeCard {
    fast(card, PROBE / this.dose.max(1e-9))
}

/// The design without some steps.
pub(super) fn without(design: &Arc<Design>, steps: &[usize]) -> Arc<Design> {
    if steps.is_empty() {
        return design.clone();
    }
    let mut new = (**design).clone();
    let mut at = 0;
    new.steps.retain(|_| {
        at += 1;
        !steps.contains(&(at - 1))
    });
    Arc::new(new)
}

/// Dye of every pot in the end on every sample, g/kg per SI unit of depth.
pub(super) fn field(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    pots: &[Pot],
    card: &dyn Fn(&Pot) -> DyeCard,
) -> Option<Vec<Vec<f32>>> {
    let whole = pots.len() <= DYES;
    let size = if whole { DYES } else { DYES - 1 };
    let mut all = Vec::new();
    for from in (0..pots.len()).step_by(size) {
        let shown = from..(from + size).min(pots.len());
        let traced = Arc::new(tracers(design, pots, shown.clone(), card)?);
        let seen = samples(&Bolt::prepare(&traced, lot, shop, None));
        for (slot, pot) in shown.enumerate() {
            let depth = pots[pot].depth.max(1e-12) as f32;
            all.push(seen.dye[slot].iter().map(|g| g / depth).collect());
        }
    }
    Some(all)
}

/// Which pots share a liquor: those of one step whose patterns agree.
pub(super) fn liquors(pots: &[Pot], kept: &[Vec<f32>]) -> Vec<Liquor> {
    let mut liquors: Vec<Liquor> = Vec::new();
    for at in 0..pots.len() {
        let same = |l: &&mut Liquor| {
            let first = l.pots[0];
            pots[first].step == pots[at].step
                && pots[first].key == pots[at].key
                && alike(&kept[first], &kept[at]) > ONE_LIQUOR
        };
        let richest = kept[at].iter().copied().fold(0.0_f32, f32::max).max(1e-9);
        match liquors.iter_mut().find(same) {
            Some(liquor) => {
                liquor.pots.push(at);
                liquor.mixes = true;
                liquor.per_depth = liquor.per_depth.max(f64::from(richest));
            }
            None => liquors.push(Liquor {
                pots: vec![at],
                per_depth: f64::from(richest),
                mixes: false,
            }),
        }
    }
    liquors
}

/// Would a second dye of a step that has only this pot lie where the first lies? A bath mixes, marks do not.
pub(super) fn mixes(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    pots: &[Pot],
    base: &[DyeCard],
    at: usize,
) -> bool {
    let this = &pots[at];
    let alone = pots
        .iter()
        .filter(|p| p.step == this.step && p.key == this.key)
        .count()
        == 1;
    if !alone || this.most < 2 {
        return false;
    }
    let twin = Pot {
        nth: 1,
        ..this.clone()
    };
    let both = [pots, &[twin]].concat();
    let own = |pot: &Pot| {
        fast(
            &base[place(
                pots,
                &Pot {
                    nth: 0,
                    ..pot.clone()
                },
            )],
            0.0,
        )
    };
    let shown: Vec<Pot> = both.into_iter().filter(|p| p.step == this.step).collect();
    let Some(traced) = tracers(design, &shown, 0..2, own) else {
        return false;
    };
    // Only this step's dyes count; those of other steps are left as they are named, in slots that are not read.
    let Some(traced) = blank_others(&traced, this.step) else {
        return false;
    };
    let seen = samples(&Bolt::prepare(&Arc::new(traced), lot, shop, None));
    alike(&seen.dye[0], &seen.dye[1]) > ONE_LIQUOR
}

/// Every other step dyes with the last slot.
fn blank_others(design: &Design, step: usize) -> Option<Design> {
    let all = pots(design);
    with_doses(design, design.dyes.clone(), |at, key| {
        let mine = all.iter().filter(|p| p.step == at && p.key == key);
        let doses: Vec<(usize, f64)> = mine.map(|p| (DYES - 1, p.depth)).collect();
        (at != step && !doses.is_empty()).then_some(doses)
    })
}

/// Cosine of two patterns.
fn alike(one: &[f32], other: &[f32]) -> f64 {
    let dot = |a: &[f32], b: &[f32]| -> f64 { a.iter().zip(b).map(|(a, b)| f64::from(a * b)).sum() };
    dot(one, other) / (dot(one, one) * dot(other, other)).sqrt().max(1e-30)
}

/// How much more of a card than of its own dye a pot leaves in the end, by pot, card and zone (ground, motif), in
/// cloth that no bleach touches.
pub(super) fn ratios(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    pots: &[Pot],
    base: &[DyeCard],
    cards: &[&DyeCard],
) -> Vec<Vec<[f64; 2]>> {
    let left = |card: &dyn Fn(&Pot) -> DyeCard| -> Vec<[f64; 2]> {
        let size = if pots.len() <= DYES { DYES } else { DYES - 1 };
        let mut all = Vec::new();
        for from in (0..pots.len()).step_by(size) {
            let shown = from..(from + size).min(pots.len());
            let Some(traced) = tracers(design, pots, shown.clone(), card) else {
                return Vec::new();
            };
            let (means, _) = averages(&traced, lot, shop);
            let Some(end) = means.last() else {
                return Vec::new();
            };
            let zones =
                |m: &Means, slot: usize| m.zones().map(|z| z.loose[slot] + z.spent[slot] + z.fast[slot]);
            all.extend(shown.clone().map(|pot| zones(end, pot - shown.start)));
        }
        all
    };
    let own = left(&|pot| fast(&base[place(pots, pot)], 0.0));
    let mut out = vec![vec![[1.0; 2]; cards.len()]; pots.len()];
    for (at, card) in cards.iter().enumerate() {
        let other = left(&|_| fast(card, 0.0));
        for (pot, (other, own)) in other.iter().zip(&own).enumerate() {
            for zone in 0..2 {
                if own[zone] > 1e-9 {
                    out[pot][at][zone] = other[zone] / own[zone];
                } else if own[1 - zone] > 1e-9 {
                    out[pot][at][zone] = other[1 - zone] / own[1 - zone];
                }
            }
        }
    }
    out
}
