//! The search: recipes of one dyeing after the other, then everything together.

use super::causes::{Limit, limits};
use super::model::{Model, Unknown, colours};
use super::{MOST_UNKNOWNS, Settings, Works};
use crate::difference::de2000;
use crate::recipe::descent::{SumOfSquares, descend};
use crate::recipe::optics::Light;
use crate::recipe::quadratic::Bounds;
use crate::recipe::search::{MOST_DYES, combinations};
use crate::spaces::Lab;
use words::Finding;

/// Shares of the most dose that searches start from.
const DOSES: [f64; 4] = [0.04, 0.15, 0.4, 1.0];
/// Times that each dyeing is chosen anew, given the others.
const ROUNDS: usize = 3;
/// Amounts that a dyeing's search starts from, as K of the dye at its strongest band where it ends.
const LATTICE_K: [f64; 3] = [0.4, 2.5, 12.0];
/// Combinations of dyes that are polished.
const FINALISTS: usize = 6;
/// One more dye must bring this much of half a squared distance (0.1 CIEDE2000 near 0).
const DYE_WORTH: f64 = 0.005;
/// A dyeing makes a region's colour if at least this share of it ends there; less is a stain.
const MAKES: f64 = 0.2;
/// Half a sum of squares that needs no further round: 0.05 CIEDE2000.
const WELL: f64 = 1e-3;
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
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let lights = Light::all();
        let weights: Vec<f64> = self.regions.iter().map(|r| r.weight).collect();
        let (settings, _) = search(self, &weights, &lights);
        let seen = colours(self, &settings, &lights[0]);
        let regions = self
            .regions
            .iter()
            .zip(&seen)
            .enumerate()
            .map(|(at, (region, lab))| {
                let difference = region.target.map(|t| de2000(t, *lab));
                let missed = difference.filter(|d| *d > region.tolerance && region.weight > 0.0);
                let (nearest, limits) = match missed {
                    Some(_) => {
                        let (lab, off, limits) = limits(self, at, &settings, &lights);
                        (Some((lab, off)), limits)
                    }
                    None => (None, Vec::new()),
                };
                Reached {
                    lab: *lab,
                    difference,
                    nearest,
                    limits,
                }
            })
            .collect();
        Ok(Answer { settings, regions })
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

/// The best settings for these weights, and half their weighted sum of squares.
pub(super) fn search(works: &Works, weights: &[f64], lights: &[Light; 3]) -> (Settings, f64) {
    let search = Search::new(works, weights, lights);
    let starts: &[f64] = if works.bleaches.is_empty() { &[1.0] } else { &DOSES };
    let from = |share: &f64| {
        let settings = Settings {
            amounts: vec![Vec::new(); works.dyeings.len()],
            doses: works
                .bleaches
                .iter()
                .map(|b| (share * b.most).max(b.least))
                .collect(),
        };
        search.rounds(settings, f64::INFINITY)
    };
    let mut best = from(&starts[0]);
    for share in &starts[1..] {
        let there = from(share);
        if there.1 < best.1 {
            best = there;
        }
    }
    (without_traces(best.0), best.1)
}

/// The best settings near these, when something about the route has changed and all regions count.
pub(super) fn again(works: &Works, settings: &Settings, lights: &[Light; 3]) -> Settings {
    let weights: Vec<f64> = works.regions.iter().map(|r| r.weight).collect();
    let search = Search::new(works, &weights, lights);
    let mut moved = settings.clone();
    let value = search.together(&mut moved);
    without_traces(search.rounds(moved, value).0)
}

fn without_traces(mut settings: Settings) -> Settings {
    for dyes in &mut settings.amounts {
        dyes.retain(|(_, amount)| *amount > NOTHING);
    }
    settings
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

    /// Chooses dyeing after dyeing and moves all together, as long as it helps. `value` is that of `settings`, or
    /// infinite if no dyeing has been chosen.
    fn rounds(&self, mut settings: Settings, mut value: f64) -> (Settings, f64) {
        for _ in 0..ROUNDS {
            let before = value;
            let mut next = settings.clone();
            for dyeing in 0..self.works.dyeings.len() {
                self.choose(&mut next, dyeing, before.is_infinite());
            }
            let there = self.together(&mut next);
            if there < value {
                (settings, value) = (next, there);
            }
            // NaN ends it, too.
            if !(value < 0.95 * before) || value < WELL {
                break;
            }
        }
        (settings, value)
    }

    /// Chooses the recipe of one dyeing while everything else stands still. On the first round later dyeings are
    /// not there yet, so only regions whose colour is complete with this one count.
    fn choose(&self, settings: &mut Settings, dyeing: usize, first: bool) {
        let weights = self.weights_for(dyeing, first);
        if weights.iter().all(|w| *w == 0.0) {
            return;
        }
        let limit = self.works.dyeings[dyeing].most;
        let choice = &self.works.dyeings[dyeing].choice;
        let mut tried: Vec<(Vec<usize>, [f64; MOST_DYES], f64)> =
            combinations(choice.len(), self.works.dyeings[dyeing].dyes)
                .into_iter()
                .map(|set| {
                    let cards: Vec<usize> = set.into_iter().map(|i| choice[i]).collect();
                    let model = self.model_of(settings, dyeing, &cards, &weights);
                    let starts = self.starts(dyeing, &cards);
                    let start = nearest(&model, &starts);
                    let (x, value) = descend(&model, &start, &box_of(cards.len(), limit), 1e-2);
                    let value = value + DYE_WORTH * cards.len() as f64;
                    (cards, x, value)
                })
                .collect();
        tried.sort_by(|a, b| a.2.total_cmp(&b.2));
        tried.truncate(FINALISTS);
        for (cards, x, value) in &mut tried {
            let model = self.model_of(settings, dyeing, cards, &weights);
            let (there, fine) = descend(&model, x, &box_of(cards.len(), limit), 1e-6);
            (*x, *value) = (there, fine + DYE_WORTH * cards.len() as f64);
        }
        let least = tried.into_iter().min_by(|a, b| a.2.total_cmp(&b.2));
        if let Some((cards, x, _)) = least {
            settings.amounts[dyeing] = cards.into_iter().zip(x).collect();
        }
    }

    /// Moves all amounts and doses together; half the sum of squares there.
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
        for (dyeing, dyes) in settings.amounts.iter().enumerate() {
            for (card, amount) in dyes {
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
        for dyes in &mut settings.amounts {
            for ((_, amount), x) in dyes.iter_mut().zip(&mut moved) {
                *amount = *x;
            }
        }
        for (dose, x) in settings.doses.iter_mut().zip(moved) {
            *dose = *x;
        }
        value
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
