//! The search: recipes of one dyeing after the other, then everything together.

use super::causes::{Limit, limits};
use super::model::{Model, Unknown, colours};
use super::{MOST_UNKNOWNS, Settings, Works};
use crate::difference::de2000;
use crate::recipe::descent::{SumOfSquares, descend};
use crate::recipe::optics::Light;
use crate::recipe::quadratic::Bounds;
use crate::recipe::search::{MOST_DYES, combinations};
use crate::recipe::store::Limits;
use crate::spaces::Lab;
use words::Finding;

/// Shares of the most dose that searches start from.
const DOSES: [f64; 4] = [0.04, 0.15, 0.4, 1.0];
/// Times that each dyeing is chosen anew, given the others.
const ROUNDS: usize = 4;
/// Amounts that a dyeing's search starts from, as K of the dye at its strongest band where it ends.
const LATTICE_K: [f64; 3] = [0.4, 2.5, 12.0];
/// Combinations of dyes that are polished.
const FINALISTS: usize = 6;
/// One more dye must bring this much of half a squared distance (0.1 CIEDE2000 near 0).
const DYE_WORTH: f64 = 0.005;
/// And so must 20 g/kg more: of recipes that look the same the one with less dye is wanted.
const GRAM_WORTH: f64 = 2.5e-4;
/// A dyeing makes a region's colour if at least this share of it ends there; less is a stain.
pub(super) const MAKES: f64 = 0.2;
/// Half a sum of squares, with its effort, that needs no further round.
const WELL: f64 = 0.05;
/// Below this an amount is none, g/kg.
const NOTHING: f64 = 1e-3;

/// What the route can do for its targets.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Amounts and doses; the square distances of the regions, weighted, are the least that was found.
    pub settings: Settings,
    /// Regions, in the order they were given.
    pub regions: Vec<Reached>,
}

/// A region under those settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// Its finished colour.
    pub lab: Lab,
    /// CIEDE2000 from its target; none without target.
    pub difference: Option<f64>,
    /// The nearest that this route could bring it if no other region had a target, and how far that is; only for
    /// a region that misses its tolerance.
    pub nearest: Option<(Lab, f64)>,
    /// Why it misses, most helpful first: what could give way, and how near the target would then be.
    pub limits: Vec<Limit>,
}

impl Works<'_> {
    /// Finds the amounts and doses that bring the regions nearest to their targets, and for those that miss, why.
    ///
    /// For some doses to start from, each dyeing's dyes are chosen from all combinations while the others stand
    /// still, several times round; then all amounts and doses move together. It is a search: it does not prove that
    /// nothing better exists.
    ///
    /// # Errors
    /// Findings about numbers that cannot be solved with.
    pub fn solve(&self) -> Result<Answer, Vec<Finding>> {
        let answer = self.search()?;
        let missed = |(region, reached): (&super::Region, &Reached)| {
            region.weight > 0.0 && reached.difference.is_some_and(|d| d > region.tolerance)
        };
        let missed: Vec<bool> = self.regions.iter().zip(&answer.regions).map(missed).collect();
        self.explain(&answer.settings, &missed)
    }

    /// As [`Works::solve`], without asking why a region misses.
    ///
    /// # Errors
    /// As [`Works::solve`].
    pub fn search(&self) -> Result<Answer, Vec<Finding>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let weights: Vec<f64> = self.regions.iter().map(|r| r.weight).collect();
        let settings = search(self, &weights, &Light::all());
        self.explain(&settings, &[])
    }

    /// The regions under these settings, taken as the best there are; for those that are marked as missed also the
    /// nearest that they alone could come, and why they miss.
    ///
    /// # Errors
    /// As [`Works::colours`].
    pub fn explain(&self, settings: &Settings, missed: &[bool]) -> Result<Answer, Vec<Finding>> {
        let seen = self.colours(settings)?;
        let lights = Light::all();
        let regions = self
            .regions
            .iter()
            .zip(seen)
            .enumerate()
            .map(|(at, (region, lab))| {
                let mut reached = Reached {
                    lab,
                    difference: region.target.map(|t| de2000(t, lab)),
                    nearest: None,
                    limits: Vec::new(),
                };
                if missed.get(at) == Some(&true) && region.target.is_some() {
                    let (lab, off, causes) = limits(self, at, settings, &lights);
                    reached.nearest = Some((lab, off));
                    reached.limits = causes;
                }
                reached
            });
        let regions = regions.collect();
        Ok(Answer {
            settings: settings.clone(),
            regions,
        })
    }

    /// Colours of the regions under these settings. Dyes and bleaches that the route does not have are not read;
    /// doses that are missing count as 0.
    ///
    /// # Errors
    /// Findings about numbers of the route that no colour follows from.
    pub fn colours(&self, settings: &Settings) -> Result<Vec<Lab>, Vec<Finding>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut known = settings.clone();
        known.doses.resize(self.bleaches.len(), 0.0);
        for dyes in &mut known.amounts {
            dyes.retain(|(card, _)| *card < self.cards.len());
        }
        Ok(colours(self, &known, &Light::all()[0]))
    }
}

/// The best settings for these weights.
pub(super) fn search(works: &Works, weights: &[f64], lights: &[Light; 3]) -> Settings {
    let search = Search::new(works, weights, lights);
    let starts: &[f64] = if works.bleaches.is_empty() { &[1.0] } else { &DOSES };
    let from = |share: &f64| {
        let mut settings = Settings {
            amounts: works.dyeings.iter().map(|d| d.fixed.clone()).collect(),
            doses: works
                .bleaches
                .iter()
                .map(|b| (share * b.most).max(b.least))
                .collect(),
        };
        for dyeing in sought(works) {
            let weights = search.weights_for(dyeing, true);
            if let Some(first) = search.choices(&settings, dyeing, &weights).into_iter().next() {
                settings.amounts[dyeing] = first;
            }
        }
        let value = search.together(&mut settings);
        (settings, value)
    };
    let mut best = from(&starts[0]);
    for share in &starts[1..] {
        let there = from(share);
        if there.1 < best.1 {
            best = there;
        }
    }
    let all: Vec<usize> = sought(works).collect();
    for _ in 0..ROUNDS {
        let before = best.1;
        search.choose_again(&mut best, &all);
        // NaN ends it, too.
        if !(best.1 < 0.95 * before) || best.1 < WELL {
            break;
        }
    }
    search.without_traces(best.0)
}

/// The best settings near these, when something about the route has changed and all regions count. The dyes of
/// `dyeings` may change, of the others only the amounts.
pub(super) fn again(works: &Works, settings: &Settings, dyeings: &[usize], lights: &[Light; 3]) -> Settings {
    let weights: Vec<f64> = works.regions.iter().map(|r| r.weight).collect();
    let search = Search::new(works, &weights, lights);
    let mut moved = settings.clone();
    let value = search.together(&mut moved);
    let mut best = (moved, value);
    search.choose_again(&mut best, dyeings);
    search.without_traces(best.0)
}

/// The dyeings whose recipes are sought.
fn sought(works: &Works) -> impl Iterator<Item = usize> {
    (0..works.dyeings.len()).filter(|at| works.dyeings[*at].fixed.is_empty())
}

struct Search<'s, 'a> {
    works: &'s Works<'a>,
    /// 0 for regions without target.
    weights: Vec<f64>,
    lights: &'s [Light; 3],
}

impl<'s, 'a> Search<'s, 'a> {
    fn new(works: &'s Works<'a>, weights: &[f64], lights: &'s [Light; 3]) -> Self {
        let weigh = |(region, weight): (&super::Region, &f64)| region.target.map_or(0.0, |_| *weight);
        Self {
            works,
            weights: works.regions.iter().zip(weights).map(weigh).collect(),
            lights,
        }
    }

    /// Gives each of these dyeings in turn the dyes with which all together come lowest.
    fn choose_again(&self, best: &mut (Settings, f64), dyeings: &[usize]) {
        let open = |dyeing: &&usize| self.works.dyeings[**dyeing].fixed.is_empty();
        for dyeing in dyeings.iter().filter(open) {
            let weights = self.weights_for(*dyeing, false);
            for choice in self.choices(&best.0, *dyeing, &weights) {
                let mut next = best.0.clone();
                next.amounts[*dyeing] = choice;
                let value = self.together(&mut next);
                if value < best.1 {
                    *best = (next, value);
                }
            }
        }
    }

    /// Leaves out what cannot be weighed, and settles the rest.
    fn without_traces(&self, mut settings: Settings) -> Settings {
        for dyeing in sought(self.works) {
            settings.amounts[dyeing].retain(|(_, amount)| *amount >= Limits::USUAL.least);
        }
        self.together(&mut settings);
        settings
    }

    /// The best recipes of one dyeing while everything else stands still, best first.
    fn choices(&self, settings: &Settings, dyeing: usize, weights: &[f64]) -> Vec<Vec<(usize, f64)>> {
        if weights.iter().all(|w| *w == 0.0) {
            return Vec::new();
        }
        let limit = self.works.dyeings[dyeing].most;
        let choice = &self.works.dyeings[dyeing].choice;
        let mut tried: Vec<(Vec<usize>, [f64; MOST_DYES], f64)> =
            combinations(choice.len(), self.works.dyeings[dyeing].dyes)
                .into_iter()
                .map(|set| {
                    let cards: Vec<usize> = set.into_iter().map(|i| choice[i]).collect();
                    let model = self.model_of(settings, dyeing, &cards, weights);
                    let start = nearest(&model, &self.starts(dyeing, &cards));
                    let (x, value) = descend(&model, &start, &box_of(cards.len(), limit), 1e-2);
                    (cards, x, value + effort(x.into_iter()))
                })
                .collect();
        tried.sort_by(|a, b| a.2.total_cmp(&b.2));
        tried.truncate(FINALISTS);
        for (cards, x, value) in &mut tried {
            let model = self.model_of(settings, dyeing, cards, weights);
            let (there, fine) = descend(&model, x, &box_of(cards.len(), limit), 1e-6);
            (*x, *value) = (there, fine + effort(there.into_iter()));
        }
        tried.sort_by(|a, b| a.2.total_cmp(&b.2));
        tried
            .into_iter()
            .map(|(cards, x, _)| cards.into_iter().zip(x).collect())
            .collect()
    }

    /// Moves all amounts and doses together; half the sum of squares there, with the effort.
    fn together(&self, settings: &mut Settings) -> f64 {
        let mut unknowns = Vec::new();
        let mut x = [0.0; MOST_UNKNOWNS];
        let mut bounds = box_of(0, 0.0);
        let mut seek = |unknown, at: f64, low, high| {
            let place = unknowns.len();
            unknowns.push(unknown);
            x[place] = at;
            bounds.low[place] = low;
            bounds.high[place] = high;
        };
        for dyeing in sought(self.works) {
            for (card, amount) in &settings.amounts[dyeing] {
                let card = *card;
                seek(
                    Unknown::Amount { dyeing, card },
                    *amount,
                    0.0,
                    self.works.dyeings[dyeing].most,
                );
            }
        }
        for (at, (bleach, dose)) in self.works.bleaches.iter().zip(&settings.doses).enumerate() {
            seek(Unknown::Dose(at), *dose, bleach.least, bleach.most);
        }
        let model = Model::new(self.works, settings, &unknowns, &self.weights, self.lights);
        let (x, value) = descend(&model, &x, &bounds, 1e-7);
        let mut moved = x.iter();
        for dyeing in sought(self.works) {
            for ((_, amount), x) in settings.amounts[dyeing].iter_mut().zip(&mut moved) {
                *amount = *x;
            }
        }
        for (dose, x) in settings.doses.iter_mut().zip(moved) {
            *dose = *x;
        }
        let effort = |dyes: &Vec<(usize, f64)>| effort(dyes.iter().map(|d| d.1));
        value + settings.amounts.iter().map(effort).sum::<f64>()
    }

    fn model_of(&self, settings: &Settings, dyeing: usize, cards: &[usize], weights: &[f64]) -> Model<'_> {
        let unknowns: Vec<Unknown> = cards
            .iter()
            .map(|card| Unknown::Amount { dyeing, card: *card })
            .collect();
        let mut others = settings.clone();
        others.amounts[dyeing].clear();
        Model::new(self.works, &others, &unknowns, weights, self.lights)
    }

    /// Weights of the regions that carry this dyeing; on the first round only of those that no later dyeing makes,
    /// unless there are none such.
    fn weights_for(&self, dyeing: usize, first: bool) -> Vec<f64> {
        let makes = |region: usize, which: &dyn Fn(usize) -> bool, least: f64| {
            self.works.regions[region].parts.iter().any(|p| {
                p.carries
                    .iter()
                    .any(|c| which(c.dyeing) && c.keep.iter().any(|k| *k > least))
            })
        };
        let weigh = |complete: bool| -> Vec<f64> {
            (0..self.works.regions.len())
                .map(|r| {
                    let mine = makes(r, &|d| d == dyeing, if complete { MAKES } else { 0.0 });
                    let later = complete && makes(r, &|d| d > dyeing, MAKES);
                    if mine && !later { self.weights[r] } else { 0.0 }
                })
                .collect()
        };
        let weights = weigh(first);
        if first && weights.iter().all(|w| *w == 0.0) {
            return weigh(false);
        }
        weights
    }

    /// A lattice of amounts for a dyeing's search.
    fn starts(&self, dyeing: usize, cards: &[usize]) -> Vec<[f64; MOST_DYES]> {
        let depth = |card: usize, level: usize| {
            let strongest = self.works.cards[card]
                .unit_ks
                .iter()
                .copied()
                .fold(1e-9, f64::max);
            (LATTICE_K[level] / strongest).min(self.works.dyeings[dyeing].most)
        };
        (0..LATTICE_K.len().pow(cards.len() as u32))
            .map(|index| {
                let mut x = [0.0; MOST_DYES];
                let mut rest = index;
                for (x, card) in x.iter_mut().zip(cards) {
                    *x = depth(*card, rest % LATTICE_K.len());
                    rest /= LATTICE_K.len();
                }
                x
            })
            .collect()
    }
}

/// What dyes and grams are worth, as half a squared distance.
fn effort(amounts: impl Iterator<Item = f64>) -> f64 {
    amounts
        .filter(|amount| *amount > NOTHING)
        .map(|amount| DYE_WORTH + GRAM_WORTH * amount)
        .sum()
}

fn nearest(model: &Model, starts: &[[f64; MOST_DYES]]) -> [f64; MOST_DYES] {
    let mut best = ([0.0; MOST_DYES], f64::INFINITY);
    for start in starts {
        let value = model.value(start);
        if value < best.1 {
            best = (*start, value);
        }
    }
    best.0
}

fn box_of<const N: usize>(n: usize, most: f64) -> Bounds<N> {
    let mut high = [0.0; N];
    high[..n].fill(most);
    Bounds {
        low: [0.0; N],
        high,
        sum: f64::INFINITY,
    }
}
