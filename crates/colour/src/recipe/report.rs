//! What is known about a recipe, and which comes first.

use super::optics::{Light, spectrum};
use super::search::Solver;
use super::target::Target;
use crate::difference::de2000;
use crate::metamerism::{Indices, index_from_xyz};
use crate::spaces::{Lab, Xyz};
use words::{Finding, Origin};

/// Dyes and amounts, and what they give.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    /// Dyes; none for the cloth as it is.
    pub parts: Vec<Part>,
    /// Finished colour in daylight (D65, 10 degrees).
    pub lab: Lab,
    /// CIEDE2000 from the target in daylight.
    pub daylight: f64,
    /// CIEDE2000 from the target under D65, A and F11; none for a target that is a colour in daylight only. For a
    /// recovered target those under A and F11 are a guess.
    pub lights: Option<[f64; 3]>,
    /// Special index of metamerism under A and F11 relative to D65: see [`crate::metamerism`]. None unless the
    /// target was measured.
    pub metamerism: Option<Indices>,
    /// Cost of the dye, per kg of cloth; none without dye, or if its dyes are priced in different currencies.
    pub cost: Option<Cost>,
    /// Dye that does not bind and must be washed off, g per kg of cloth.
    pub wash_off: f64,
    /// The dye of the recipe that chlorine clears slowest, where bleach rates are stated: it decides how long a
    /// bleach takes; none without dye, or if a card says nothing about that bath (see
    /// [`Solver::bleach_gaps`]).
    pub slowest: Option<Slowest>,
    /// A limit of amounts is reached: more dye would go nearer, or the search stopped at the limit.
    pub at_limit: bool,
}

/// A dye of a recipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Place of its jar in the store.
    pub jar: usize,
    /// Bound dye, g per kg of cloth, when dyed: before the rest of the route takes its share.
    pub bound: f64,
    /// Dye to weigh out, g per kg of cloth.
    pub charged: f64,
}

/// An amount of money for the dye of 1 kg of cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// In units of the currency.
    pub amount: f64,
    /// ISO 4217 code.
    pub currency: String,
}

/// How fast the slowest dye clears.
#[derive(Clone, Debug, PartialEq)]
pub struct Slowest {
    /// Place of its jar in the store.
    pub jar: usize,
    /// 1/(M s).
    pub rate: f64,
    /// What the rate may claim.
    pub origin: Origin,
}

/// Which recipe comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Order {
    /// Nearest to the target. Recipes within [`CLOSE`] are equal to the eye; among them the cheaper comes first.
    Closest,
    /// Cheapest first.
    Cheapest,
    /// Least dye to wash off.
    Cleanest,
    /// Slowest to bleach: keeps its motif. Recipes whose rate is not known come last.
    Resistant,
    /// Fastest to bleach: clears from a ground. Recipes whose rate is not known come last.
    Clearing,
}

/// CIEDE2000 that two pieces of cloth may differ by without anyone telling (common practice, no source; just
/// noticeable differences of textiles lie at 0.5 to 1).
pub const CLOSE: f64 = 0.5;

/// Sorts recipes. Ties are decided by cost, then by fewer dyes, then by their places in the store.
pub fn rank(recipes: &mut [Recipe], order: Order) {
    let off = |r: &Recipe| {
        let seen = r.lights.map_or(r.daylight, |l| {
            if r.metamerism.is_some() {
                l.into_iter().fold(0.0, f64::max)
            } else {
                r.daylight
            }
        });
        seen.max(CLOSE)
    };
    let rate = |r: &Recipe| r.slowest.as_ref().map(|s| s.rate);
    let first = |r: &Recipe| match order {
        Order::Closest => off(r),
        Order::Cheapest => 0.0,
        Order::Cleanest => r.wash_off,
        Order::Resistant => rate(r).unwrap_or(f64::INFINITY),
        Order::Clearing => rate(r).map_or(f64::INFINITY, |k| -k),
    };
    let currency = |r: &Recipe| r.cost.as_ref().map_or(String::new(), |c| c.currency.clone());
    let cost = |r: &Recipe| r.cost.as_ref().map_or(f64::INFINITY, |c| c.amount);
    let jars = |r: &Recipe| r.parts.iter().map(|p| p.jar).collect::<Vec<_>>();
    recipes.sort_by(|a, b| {
        first(a)
            .total_cmp(&first(b))
            // Amounts compare within a currency only.
            .then_with(|| currency(a).cmp(&currency(b)))
            .then_with(|| cost(a).total_cmp(&cost(b)))
            .then_with(|| a.parts.len().cmp(&b.parts.len()))
            .then_with(|| jars(a).cmp(&jars(b)))
    });
}

/// A target as its colours.
pub(crate) struct Reference {
    lab: Lab,
    seen: Option<([Lab; 3], [Xyz; 3])>,
    measured: bool,
}

impl Reference {
    pub fn new(target: &Target, lights: &[Light; 3]) -> Self {
        let seen = target.reflectance().map(super::optics::row).map(|r| {
            (
                std::array::from_fn(|i| lights[i].lab(&r)),
                std::array::from_fn(|i| lights[i].xyz(&r)),
            )
        });
        Self {
            lab: target.lab(),
            seen,
            measured: matches!(target, Target::Measured(_)),
        }
    }
}

impl Solver<'_> {
    /// What is known about these amounts of these jars (all of them in the store).
    pub(crate) fn report(&self, amounts: Vec<(usize, f64)>, reference: &Reference) -> Recipe {
        let store = self.store();
        let r = self.finished(&amounts);
        let lab = self.lights[0].lab(&r);
        let lights = reference
            .seen
            .map(|(goal, _)| std::array::from_fn(|i| de2000(goal[i], self.lights[i].lab(&r))));
        let metamerism = reference.seen.filter(|_| reference.measured).map(|(_, goal)| {
            let here: [Xyz; 3] = std::array::from_fn(|i| self.lights[i].xyz(&r));
            std::array::from_fn(|lamp| {
                let i = lamp + 1;
                index_from_xyz([goal[0], goal[i]], [here[0], here[i]], self.lights[i].white)
            })
        });
        let whole: f64 = amounts.iter().map(|a| a.1).sum();
        let full = |(jar, amount): &(usize, f64)| *amount >= store.jars[*jar].most * (1.0 - 1e-9);
        let at_limit = whole >= store.limits.total * (1.0 - 1e-9) || amounts.iter().any(full);
        let parts: Vec<Part> = amounts
            .into_iter()
            .map(|(jar, bound)| Part {
                jar,
                bound,
                charged: bound / store.jars[jar].bound,
            })
            .collect();
        Recipe {
            lab,
            daylight: de2000(reference.lab, lab),
            lights,
            metamerism,
            cost: self.cost(&parts),
            wash_off: parts.iter().map(|p| p.charged - p.bound).sum(),
            slowest: self.slowest(&parts),
            at_limit,
            parts,
        }
    }

    /// Finished reflectance of a recipe.
    pub fn reflectance(&self, recipe: &Recipe) -> crate::Spectrum {
        let amounts: Vec<_> = recipe
            .parts
            .iter()
            .filter(|p| p.jar < self.store().jars.len())
            .map(|p| (p.jar, p.bound))
            .collect();
        spectrum(&self.finished(&amounts))
    }

    /// Cards of the store that say nothing about the bath bleach rates are stated in.
    pub fn bleach_gaps(&self) -> Vec<Finding> {
        let store = self.store();
        let rate = |jar: &super::Jar| jar.card.bleach_rate(store.bath.at, store.bath.ph).err();
        store.jars.iter().filter_map(rate).collect()
    }

    fn cost(&self, parts: &[Part]) -> Option<Cost> {
        let price = |p: &Part| &self.store().jars[p.jar].card.price;
        let currency = &price(parts.first()?).currency;
        if parts.iter().any(|p| price(p).currency != *currency) {
            return None;
        }
        let amount = parts
            .iter()
            .map(|p| price(p).amount as f64 / 10_f64.powi(i32::from(price(p).decimals)) * p.charged / 1000.0)
            .sum();
        Some(Cost {
            amount,
            currency: currency.clone(),
        })
    }

    fn slowest(&self, parts: &[Part]) -> Option<Slowest> {
        let store = self.store();
        let mut slowest: Option<(usize, f64)> = None;
        for part in parts {
            let bleaching = &store.jars[part.jar].card.bleaching;
            if !(bleaching.ph_least..=bleaching.ph_most).contains(&store.bath.ph) {
                return None;
            }
            let rate = store.jars[part.jar]
                .card
                .bleach_rate(store.bath.at, store.bath.ph)
                .ok()?;
            if slowest.is_none_or(|(_, least)| rate < least) {
                slowest = Some((part.jar, rate));
            }
        }
        slowest.map(|(jar, rate)| Slowest {
            jar,
            rate,
            origin: store.jars[jar].card.bleaching.origin(store.bath.at).clone(),
        })
    }
}
