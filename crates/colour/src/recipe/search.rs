//! All singles, pairs and triples of a store, each brought as near to the target as it goes.

use super::descent::{MATCH, SumOfSquares, descend};
use super::optics::{BANDS_USED, Light, Row, WIDE, add, reflectance, reflectance_slope, row};
use super::quadratic::{Bounds, Quadratic};
use super::store::Store;
use super::target::{Aim, Objective, Target};
use super::{Recipe, report};
use crate::difference::de76;
use crate::kubelka_munk::ks;
use crate::spaces::Lab;
use words::Finding;

/// Dyes in a recipe at most.
pub(crate) const MOST_DYES: usize = 3;

/// Depths of the lattice that searches start from, as K of the dye at its strongest band: pale, medium, deep.
const LATTICE_K: [f64; 3] = [0.4, 2.5, 12.0];
/// Starts from the lattice for a combination that is worth polishing: guards against the far side of the hue circle.
const STARTS: usize = 2;
/// Half the squared distance (4 CIEDE2000, or as much of reflectance) above which a combination is no recipe for
/// this shade, and is left as near as the first approach brought it.
const WORTH_POLISH: f64 = 8.0;
/// Of the first approach: what is still promised, as a share of half the squared distance.
const ROUGH: f64 = 3e-3;
/// Of polishing.
const FINE: f64 = 1e-6;

/// A store made ready: ask it for any number of shades.
pub struct Solver<'a> {
    store: Store<'a>,
    pub(crate) lights: [Light; 3],
    /// K per g of each dye as it is after the rest of the route.
    units: Vec<Row>,
    cloth: Row,
    under: Row,
    combinations: Vec<Combination>,
}

/// Some dyes, and daylight colours of a lattice of their amounts.
struct Combination {
    dyes: Vec<usize>,
    lattice: Vec<([f64; MOST_DYES], Lab)>,
}

/// Amounts of the dyes of one combination.
pub(crate) type Amounts = [f64; MOST_DYES];

/// The colour of some dyes on the cloth, against an aim.
struct Shade<'s> {
    units: Vec<&'s Row>,
    cloth: &'s Row,
    under: &'s Row,
    k_max: f64,
    lights: &'s [Light; 3],
    aim: &'s Aim,
}

impl<'a> Solver<'a> {
    /// Makes a store ready: computes a lattice of amounts for every combination of dyes.
    ///
    /// # Errors
    /// Findings about numbers of the store that no recipe can be sought with.
    pub fn new(store: Store<'a>) -> Result<Self, Vec<Finding>> {
        let faults = store.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let (cloth, under) = store.cloth.rows();
        let units: Vec<Row> = store
            .jars
            .iter()
            .map(|jar| row(&jar.card.unit_ks.map(|k| k * jar.keep)))
            .collect();
        let mut solver = Self {
            lights: Light::all(),
            units,
            cloth,
            under,
            combinations: Vec::new(),
            store,
        };
        solver.combinations = combinations(solver.store.jars.len(), solver.store.limits.dyes)
            .into_iter()
            .map(|dyes| solver.lattice(dyes))
            .collect();
        Ok(solver)
    }

    /// The store.
    pub const fn store(&self) -> &Store<'a> {
        &self.store
    }

    /// Recipes for a shade by the target's own objective, the best of every combination of dyes: see
    /// [`Solver::solve_by`].
    ///
    /// # Errors
    /// A finding if the target is no colour.
    pub fn solve(&self, target: &Target) -> Result<Vec<Recipe>, Finding> {
        self.solve_by(target, target.objective())
    }

    /// Recipes for a shade: the cloth without dye, and of every combination of dyes the amounts that come nearest to it, in the order of
    /// [`super::Order::Closest`]. A combination that does best with less than the least amount of one of its dyes
    /// is left out: the same recipe without that dye is in the list.
    ///
    /// Amounts are exact to rounding for combinations within 4 CIEDE2000 of the target, or within 1.14 times the
    /// distance of the nearest. Those farther off are listed as near as a first approach brought them; they are no
    /// recipe for this shade, and may be a little nearer to it than is said.
    ///
    /// # Errors
    /// A finding if the target is no colour, or says too little for the objective.
    pub fn solve_by(&self, target: &Target, objective: Objective) -> Result<Vec<Recipe>, Finding> {
        if let Some(fault) = target.fault(objective) {
            return Err(fault);
        }
        let aim = Aim::new(target, objective, &self.lights);
        let reference = report::Reference::new(target, &self.lights);
        let mut found: Vec<(&Combination, Amounts, f64)> = self
            .combinations
            .iter()
            .map(|combination| {
                let (amounts, value) = self.approach(combination, target, &aim);
                (combination, amounts, value)
            })
            .collect();
        let nearest = found.iter().map(|f| f.2).fold(f64::INFINITY, f64::min);
        for (combination, amounts, value) in &mut found {
            if *value <= WORTH_POLISH.max(1.3 * nearest) {
                self.polish(combination, target, &aim, amounts, value);
            }
        }
        let weighed = |(_, amount): &(usize, f64)| *amount >= self.store.limits.least.max(1e-9);
        let mut recipes: Vec<Recipe> = found
            .into_iter()
            .map(|(combination, amounts, _)| combination.dyes.iter().copied().zip(amounts).collect())
            .filter(|used: &Vec<(usize, f64)>| used.iter().all(weighed))
            .map(|used| self.report(used, &reference))
            .collect();
        super::rank(&mut recipes, super::Order::Closest);
        Ok(recipes)
    }

    /// Finished reflectance of a recipe of this store.
    pub(crate) fn finished(&self, amounts: &[(usize, f64)]) -> Row {
        let mut k = self.under;
        for (dye, amount) in amounts {
            add(&mut k, *amount, &self.units[*dye]);
        }
        reflectance(&k, &self.cloth, self.store.cloth.k_max)
    }

    fn shade<'s>(&'s self, dyes: &[usize], aim: &'s Aim) -> Shade<'s> {
        Shade {
            units: dyes.iter().map(|d| &self.units[*d]).collect(),
            cloth: &self.cloth,
            under: &self.under,
            k_max: self.store.cloth.k_max,
            lights: &self.lights,
            aim,
        }
    }

    fn bounds(&self, dyes: &[usize]) -> Bounds<MOST_DYES> {
        let mut high = [0.0; MOST_DYES];
        for (high, dye) in high.iter_mut().zip(dyes) {
            *high = self.store.jars[*dye].most;
        }
        Bounds {
            low: [0.0; MOST_DYES],
            high,
            sum: self.store.limits.total,
        }
    }

    fn lattice(&self, dyes: Vec<usize>) -> Combination {
        let bounds = self.bounds(&dyes);
        let depth = |at: usize, level: usize| {
            let strongest = self.units[dyes[at]].iter().copied().fold(0.0, f64::max);
            let share = bounds.sum / dyes.len() as f64;
            (LATTICE_K[level] / strongest.max(1e-9))
                .min(bounds.high[at])
                .min(share)
        };
        let count = LATTICE_K.len().pow(dyes.len() as u32);
        let lattice = (0..count)
            .map(|index| {
                let mut amounts = [0.0; MOST_DYES];
                let mut rest = index;
                for (at, amount) in amounts.iter_mut().enumerate().take(dyes.len()) {
                    *amount = depth(at, rest % LATTICE_K.len());
                    rest /= LATTICE_K.len();
                }
                let used: Vec<_> = dyes.iter().copied().zip(amounts).collect();
                (amounts, self.lights[0].lab(&self.finished(&used)))
            })
            .collect();
        Combination { dyes, lattice }
    }

    /// From the best start to where the slope all but ends.
    fn approach(&self, combination: &Combination, target: &Target, aim: &Aim) -> (Amounts, f64) {
        let shade = self.shade(&combination.dyes, aim);
        let bounds = self.bounds(&combination.dyes);
        let mut start = nearest_starts(&combination.lattice, target.lab())
            .next()
            .map_or([0.0; MOST_DYES], |s| *s);
        if let Some(goal) = target.reflectance() {
            let by_ks = shade.by_ks(&row(goal), &bounds);
            if shade.value(&by_ks) < shade.value(&start) {
                start = by_ks;
            }
        }
        descend(&shade, &start, &bounds, ROUGH)
    }

    /// From there to the end, and from other starts if that is not a match.
    fn polish(
        &self,
        combination: &Combination,
        target: &Target,
        aim: &Aim,
        amounts: &mut Amounts,
        value: &mut f64,
    ) {
        let shade = self.shade(&combination.dyes, aim);
        let bounds = self.bounds(&combination.dyes);
        (*amounts, *value) = descend(&shade, amounts, &bounds, FINE);
        // Where a dye does not help, the recipe without it is in the list; and a start from the spectrum lies on the
        // right side of the hue circle unless the dyes are far from the target.
        let unused = |amount: &f64| *amount < self.store.limits.least;
        let spectral = target.reflectance().is_some() && *value <= WORTH_POLISH / 4.0;
        if spectral || amounts[..combination.dyes.len()].iter().any(unused) {
            return;
        }
        for start in nearest_starts(&combination.lattice, target.lab()) {
            if *value <= MATCH {
                break;
            }
            let (x, there) = descend(&shade, start, &bounds, FINE);
            if there < *value {
                (*amounts, *value) = (x, there);
            }
        }
    }
}

/// The lattice points nearest to the goal.
fn nearest_starts(lattice: &[(Amounts, Lab)], goal: Lab) -> impl Iterator<Item = &Amounts> {
    let mut nearest: [Option<(&Amounts, f64)>; STARTS] = [None; STARTS];
    for (amounts, lab) in lattice {
        let mut candidate = (amounts, de76(*lab, goal));
        for place in &mut nearest {
            match place {
                Some(held) if held.1 <= candidate.1 => {}
                Some(held) => std::mem::swap(held, &mut candidate),
                None => {
                    *place = Some(candidate);
                    break;
                }
            }
        }
    }
    nearest.into_iter().flatten().map(|n| n.0)
}

impl Shade<'_> {
    fn k(&self, x: &Amounts) -> Row {
        let mut k = *self.under;
        for (unit, amount) in self.units.iter().zip(x) {
            add(&mut k, *amount, unit);
        }
        k
    }

    /// Amounts by weighted non-negative least squares in K, each band weighted by how fast R falls with K at the
    /// goal, so that to first order it is R that is fitted (as in the match of Allen 1966, but in all bands).
    fn by_ks(&self, goal: &Row, bounds: &Bounds<MOST_DYES>) -> Amounts {
        let wanted: Row = std::array::from_fn(|b| {
            let seen = (ks(goal[b].clamp(1e-4, 1.0)) - self.cloth[b]).clamp(0.0, 0.95 * self.k_max);
            seen / (1.0 - seen / self.k_max)
        });
        let weight = reflectance_slope(&wanted, self.cloth, self.k_max).1;
        let mut form = Quadratic::new(self.units.len());
        for b in BANDS_USED {
            let mut slope = [0.0; MOST_DYES];
            for (slope, unit) in slope.iter_mut().zip(&self.units) {
                *slope = weight[b] * unit[b];
            }
            form.add(weight[b] * (self.under[b] - wanted[b]), &slope);
        }
        form.mirror();
        form.lowest(bounds)
    }
}

impl SumOfSquares<MOST_DYES> for Shade<'_> {
    fn value(&self, x: &Amounts) -> f64 {
        self.aim
            .value(&reflectance(&self.k(x), self.cloth, self.k_max), self.lights)
    }

    fn expand(&self, x: &Amounts) -> (f64, Quadratic<MOST_DYES>) {
        let (r, falls) = reflectance_slope(&self.k(x), self.cloth, self.k_max);
        let mut slopes = [[0.0; WIDE]; MOST_DYES];
        for (slope, unit) in slopes.iter_mut().zip(&self.units) {
            *slope = std::array::from_fn(|b| falls[b] * unit[b]);
        }
        let n = self.units.len();
        let mut form = Quadratic::new(n);
        let value = self.aim.expand(&r, &slopes[..n], self.lights, &mut form);
        form.mirror();
        (value, form)
    }
}

/// All sets of up to `most` of `count` things, smallest first; the first is the empty one.
pub(crate) fn combinations(count: usize, most: usize) -> Vec<Vec<usize>> {
    let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
    let mut last: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..most.min(count) {
        last = last
            .iter()
            .flat_map(|set| {
                let next = set.last().map_or(0, |l| l + 1);
                (next..count).map(move |i| [set.as_slice(), &[i]].concat())
            })
            .collect();
        sets.extend(last.iter().cloned());
    }
    sets
}
