//! A route as the solver of colours sees it, read off the route itself.
//!
//! Where dye ends is read off samples of cloth: every pot is given a dye slot of its own, and the route is run with
//! dyes that chlorine does not touch, then with dyes that it clears at a known rate. How much of another dye would
//! bind, wash off or be cleared there is read off the tallies. No operation is named: a step dyes if it names dyes, it
//! bleaches if its tally loses dye to the bleach, and its time is the setting that its kind declares.

use super::bleach::{Timed, rates, timed};
use super::places::{Samples, samples};
use super::pots::{Pot, pots, with_doses, with_time};
use super::traced::{Liquor, PROBE, clears, fast, field, liquors, mixes, place, ratios, without};
use super::{Aimed, Spot};
use crate::Bolt;
use colour::DyeCard;
use colour::recipe::through::{Bleach, Carry, Dyeing, Region, RegionPart, Works};
use route::{Design, LotShape, Workshop};
use std::sync::Arc;
use words::Voice;

/// A pot leads where it makes this share of what its step left.
const LEADS: f64 = 0.6;
/// And where it left this share of its own mean over those places: elsewhere the cloth stayed white.
const SHOWS: f64 = 0.35;
/// A region is cut into so many kinds of place: 2 to this power.
const CUTS: u32 = 3;
/// Fewer samples say nothing about a region.
pub(super) const FEWEST: usize = 40;

/// The model and how to get back from it to settings.
pub(super) struct Read<'a> {
    pub works: Works<'a>,
    pub pots: Vec<Pot>,
    pub liquors: Vec<Liquor>,
    pub timed: Vec<Timed>,
    /// Samples of each spot.
    pub chosen: Vec<Vec<usize>>,
    /// Cloth as it is with the design's own dyes.
    pub real: Samples,
}

/// What each pot leaves on the samples.
struct Fields {
    /// g/kg per SI unit of depth where no bleach is, by pot and sample.
    kept: Vec<Vec<f32>>,
    /// Access of each bleach to it, by bleach, pot and sample.
    access: Vec<Vec<Vec<f32>>>,
    /// Other dyes over its own, by pot, card and zone.
    ratios: Vec<Vec<[f64; 2]>>,
    /// Samples under the last wax.
    motif: Vec<bool>,
}

/// Reads a route. `None` if it names no dye.
pub(super) fn read<'a>(
    design: &Arc<Design>,
    lot: &LotShape,
    shop: &Workshop,
    cards: &[&'a DyeCard],
    spots: &[Spot],
    aimed: &Aimed,
    voice: Voice,
) -> Option<Read<'a>> {
    let pots = pots(design);
    if pots.is_empty() {
        return None;
    }
    let real = samples(&Bolt::prepare(design, lot, shop, None));
    let own = |pot: &Pot| design.dyes.get(pot.dye).map(|d| (**d).clone());
    let base: Vec<DyeCard> = pots.iter().filter_map(own).collect();
    if base.len() != pots.len() {
        return None;
    }
    let timed = timed(design, lot, shop);
    let untouched = |pot: &Pot| fast(&base[place(&pots, pot)], 0.0);
    let kept = field(design, lot, shop, &pots, &untouched)?;
    let mut access = Vec::new();
    for this in &timed {
        let others: Vec<usize> = timed.iter().map(|t| t.step).filter(|s| *s != this.step).collect();
        let alone = without(design, &others);
        let shift = |p: &Pot| Pot {
            step: p.step - others.iter().filter(|s| **s < p.step).count(),
            ..p.clone()
        };
        let moved: Vec<Pot> = pots.iter().map(shift).collect();
        let probe = |pot: &Pot| clears(&base[place(&moved, pot)], this);
        let seen = field(&alone, lot, shop, &moved, &probe)?;
        let share = |pot: usize| -> Vec<f32> {
            let pairs = seen[pot].iter().zip(&kept[pot]);
            pairs
                .map(|(with, all)| {
                    if *all > 1e-6 {
                        (-(with / all).clamp(1e-4, 1.0).ln() / PROBE as f32).clamp(0.0, 1.0)
                    } else {
                        0.0
                    }
                })
                .collect()
        };
        access.push((0..pots.len()).map(share).collect::<Vec<_>>());
    }
    let mut liquors = liquors(&pots, &kept);
    for liquor in &mut liquors {
        liquor.mixes = liquor.mixes || mixes(design, lot, shop, &pots, &base, liquor.pots[0]);
    }
    let motif: Vec<bool> = match real.waxed.last() {
        Some((_, inside)) => inside.clone(),
        None => vec![false; real.len()],
    };
    let ratios = ratios(design, lot, shop, &pots, &base, cards);
    let chosen: Vec<Vec<usize>> = spots
        .iter()
        .map(|spot| inside(spot, &real, &pots, &kept))
        .collect();
    let fields = Fields {
        kept,
        access,
        ratios,
        motif,
    };
    let mut read = Read {
        works: Works::of(cards),
        pots,
        liquors,
        timed,
        chosen,
        real,
    };
    read.fill((design, lot, shop), spots, &fields, aimed, voice);
    Some(read)
}

/// Samples of a spot.
fn inside(spot: &Spot, real: &Samples, pots: &[Pot], kept: &[Vec<f32>]) -> Vec<usize> {
    let covered = |step: usize, at: usize| {
        let mask = real.waxed.iter().find(|(s, _)| *s == step);
        mask.is_some_and(|(_, mask)| mask[at])
    };
    let mut chosen: Vec<usize> = (0..real.len())
        .filter(|at| spot.waxed.iter().all(|s| covered(*s, *at)))
        .filter(|at| !spot.bare.iter().any(|s| covered(*s, *at)))
        .collect();
    let Some((step, nth)) = spot.leads else {
        return chosen;
    };
    // Beside its own mean, so that a region stays where it is when depths change.
    let means: Vec<f32> = kept
        .iter()
        .map(|k| (k.iter().sum::<f32>() / k.len().max(1) as f32).max(1e-12))
        .collect();
    let amount = |pot: usize, at: usize| kept[pot][at] / means[pot];
    let of_step: Vec<usize> = (0..pots.len()).filter(|p| pots[*p].step == step).collect();
    let Some(mine) = of_step.get(nth).copied() else {
        return Vec::new();
    };
    let leads = |at: &usize| {
        let all: f32 = of_step.iter().map(|p| amount(*p, *at)).sum();
        all > 0.0 && f64::from(amount(mine, *at) / all) >= LEADS
    };
    chosen.retain(leads);
    let mean = chosen.iter().map(|at| f64::from(amount(mine, *at))).sum::<f64>() / chosen.len().max(1) as f64;
    chosen.retain(|at| f64::from(amount(mine, *at)) >= SHOWS * mean);
    chosen
}

impl Read<'_> {
    fn fill(
        &mut self,
        (design, lot, shop): (&Arc<Design>, &LotShape, &Workshop),
        spots: &[Spot],
        fields: &Fields,
        aimed: &Aimed,
        voice: Voice,
    ) {
        let Fields { kept, ratios, .. } = fields;
        let cards = self.works.cards.len();
        let highest = |liquor: &Liquor| {
            let of = |p: &usize| ratios[*p].iter().flatten().copied().fold(1.0, f64::max);
            liquor.pots.iter().map(of).fold(1.0, f64::max)
        };
        // Shares must not exceed 1 for any dye: the unit of an amount is what the best binder leaves at the richest place.
        for liquor in &mut self.liquors {
            liquor.per_depth *= highest(liquor);
        }
        let name = |step: usize, nth: Option<usize>| {
            let this = &design.steps[step];
            let term = this.operation.kind().term.text.raw(voice.language);
            match nth {
                Some(nth) => format!("{term} ({}.{})", this.id, nth + 1),
                None => format!("{term} ({})", this.id),
            }
        };
        self.works.dyeings = self
            .liquors
            .iter()
            .map(|liquor| {
                let first = &self.pots[liquor.pots[0]];
                let mixed = liquor.mixes;
                let alone = self.pots.iter().filter(|p| p.step == first.step).count() == 1;
                let own = |pot: &usize| {
                    let id = &design.dyes[self.pots[*pot].dye].id;
                    self.works.cards.iter().position(|c| c.id == *id)
                };
                let choice: Vec<usize> = if aimed.keep_dyes {
                    liquor.pots.iter().filter_map(own).collect()
                } else {
                    aimed.choice.clone().unwrap_or_else(|| (0..cards).collect())
                };
                // A pot of a pattern that no target names stays as it is; a bath goes with the ground.
                let named = spots.iter().any(|s| s.leads == Some((first.step, first.nth)));
                let fixed = match own(&liquor.pots[0]) {
                    Some(card) if !mixed && !named => vec![(card, first.depth * liquor.per_depth)],
                    _ => Vec::new(),
                };
                Dyeing {
                    fixed,
                    name: name(first.step, (!mixed && !alone).then_some(first.nth)),
                    dyes: if mixed {
                        first.most.min(3).min(choice.len().max(1))
                    } else {
                        1
                    },
                    choice,
                    most: first.deepest * liquor.per_depth,
                }
            })
            .collect();
        self.works.bleaches = self
            .timed
            .iter()
            .map(|t| Bleach {
                name: name(t.step, None),
                rates: rates(design, lot, shop, t, &self.works.cards),
                least: t.after(t.range.0),
                most: t.after(t.range.1).max(t.after(t.range.0) + 1e-6),
            })
            .collect();
        let regions = spots.iter().zip(&self.chosen).map(|(spot, chosen)| Region {
            name: spot.name.clone(),
            parts: cut(chosen.clone(), CUTS, kept, &self.pots)
                .into_iter()
                .map(|part| self.part(&part, fields))
                .collect(),
            target: spot.target,
            weight: spot.weight,
            tolerance: spot.tolerance,
        });
        self.works.regions = regions.collect();
    }

    fn part(&self, part: &[usize], fields: &Fields) -> RegionPart {
        let Fields {
            kept,
            access,
            ratios,
            motif,
        } = fields;
        let n = part.len() as f64;
        let mean = |plane: &[f32]| part.iter().map(|at| f64::from(plane[*at])).sum::<f64>() / n;
        let inner = part.iter().filter(|at| motif[**at]).count() as f64 / n;
        let carries = self.liquors.iter().enumerate().map(|(dyeing, liquor)| {
            let pot = liquor.pots[0];
            let here = mean(&kept[pot]) / liquor.per_depth;
            let ratio = |card: &[f64; 2]| card[0] * (1.0 - inner) + card[1] * inner;
            let weighed = |plane: &[f32]| {
                let sum: f64 = part.iter().map(|at| f64::from(kept[pot][*at] * plane[*at])).sum();
                (sum / (mean(&kept[pot]) * n).max(1e-12)).clamp(0.0, 1.0)
            };
            Carry {
                dyeing,
                keep: ratios[pot]
                    .iter()
                    .map(|r| (here * ratio(r)).clamp(0.0, 1.0))
                    .collect(),
                access: access.iter().map(|pots| weighed(&pots[pot])).collect(),
            }
        });
        RegionPart {
            share: n,
            carries: carries.collect(),
        }
    }
}

/// Samples in kinds of place: halved again and again across the pot that differs most.
fn cut(samples: Vec<usize>, times: u32, kept: &[Vec<f32>], pots: &[Pot]) -> Vec<Vec<usize>> {
    if times == 0 || samples.len() < 2 * FEWEST {
        return if samples.is_empty() {
            Vec::new()
        } else {
            vec![samples]
        };
    }
    let at = |pot: usize, s: usize| (kept[pot][s] * pots[pot].depth as f32).sqrt();
    let spread = |pot: usize| {
        let n = samples.len() as f32;
        let mean = samples.iter().map(|s| at(pot, *s)).sum::<f32>() / n;
        samples.iter().map(|s| (at(pot, *s) - mean).powi(2)).sum::<f32>()
    };
    let widest = (0..kept.len())
        .max_by(|a, b| spread(*a).total_cmp(&spread(*b)))
        .unwrap_or(0);
    let mut sorted = samples;
    sorted.sort_by(|a, b| at(widest, *a).total_cmp(&at(widest, *b)).then(a.cmp(b)));
    let upper = sorted.split_off(sorted.len() / 2);
    let mut parts = cut(sorted, times - 1, kept, pots);
    parts.extend(cut(upper, times - 1, kept, pots));
    parts
}

/// The design with other amounts and times.
pub(super) fn settled(
    read: &Read,
    design: &Design,
    amounts: &[Vec<(usize, f64)>],
    seconds: &[f64],
    cards: &[Arc<DyeCard>],
) -> Option<Design> {
    // (step, setting, order among its dyes, card, depth)
    let mut doses: Vec<(usize, &'static str, usize, usize, f64)> = Vec::new();
    for (liquor, dyes) in read.liquors.iter().zip(amounts) {
        let first = &read.pots[liquor.pots[0]];
        let own = |pot: usize| {
            cards
                .iter()
                .position(|c| c.id == design.dyes[read.pots[pot].dye].id)
        };
        let depth = |amount: f64| (amount / liquor.per_depth).min(first.deepest);
        if dyes.is_empty() {
            // A pot of a pattern cannot go away without moving the others: next to nothing of its dye stays in it.
            let least = 1e-3 * first.deepest;
            doses.push((first.step, first.key, first.nth, own(liquor.pots[0])?, least));
        }
        for (n, (card, amount)) in dyes.iter().enumerate() {
            let nth = if liquor.mixes { n } else { first.nth };
            doses.push((first.step, first.key, nth, *card, depth(*amount)));
        }
    }
    doses.sort_by_key(|d| (d.0, d.2));
    let mut used: Vec<usize> = Vec::new();
    for (_, _, _, card, _) in &doses {
        if !used.contains(card) {
            used.push(*card);
        }
    }
    let dyes: Vec<Arc<DyeCard>> = used.iter().map(|c| cards[*c].clone()).collect();
    let slot = |card: usize| used.iter().position(|u| *u == card).unwrap_or(0);
    let mut new = with_doses(design, dyes, |step, key| {
        let mine: Vec<(usize, f64)> = doses
            .iter()
            .filter(|d| d.0 == step && d.1 == key)
            .map(|d| (slot(d.3), d.4))
            .collect();
        (!mine.is_empty()).then_some(mine)
    })?;
    for (timed, seconds) in read.timed.iter().zip(seconds) {
        new = with_time(&new, timed.step, *seconds)?;
    }
    Some(new)
}
