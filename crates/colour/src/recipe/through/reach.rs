//! What a region of the finished cloth can be made to look like.

use super::model::amounts_left;
use super::{Settings, Works};
use crate::gamut::Gamut;
use crate::recipe::optics::{Light, Row, WIDE, add, reflectance, row};
use crate::recipe::search::combinations;

/// Amounts of a dye in the sample, as K at its strongest band where it is richest.
const DEPTHS_K: [f64; 8] = [0.05, 0.15, 0.4, 1.0, 2.2, 4.5, 9.0, 20.0];
/// Depths of single dyes, which make most of the outline.
const SINGLES: u32 = 48;

impl Works<'_> {
    /// A dense sample of the finished colours of a region: every dye and mixture of two that the dyeing which makes it may
    /// use, at every depth, all else as in `settings`, with each bleach at its least, its most and its dose there.
    /// Undyed by that dyeing first.
    pub fn reach(&self, region: usize, settings: &Settings) -> Gamut {
        let mut points = Vec::new();
        for doses in self.dose_choices(settings) {
            let at = Settings {
                doses,
                ..settings.clone()
            };
            self.reach_at(region, &at, &mut points);
        }
        Gamut::from_points(points)
    }

    /// The doses as they are, and all at their ends.
    fn dose_choices(&self, settings: &Settings) -> Vec<Vec<f64>> {
        let mut all = vec![settings.doses.clone()];
        if !self.bleaches.is_empty() {
            all.push(self.bleaches.iter().map(|b| b.least).collect());
            all.push(self.bleaches.iter().map(|b| b.most).collect());
        }
        all
    }

    fn reach_at(&self, region: usize, settings: &Settings, points: &mut Vec<crate::Lab>) {
        let Some(region) = self.regions.get(region) else {
            return;
        };
        let whole: f64 = region.parts.iter().map(|p| p.share).sum();
        // The dyeing that leaves most there; of equals the last.
        let left = |dyeing: usize| -> f64 {
            let carries = region
                .parts
                .iter()
                .flat_map(|p| p.carries.iter().map(move |c| (p.share, c)));
            let mine = carries.filter(|(_, c)| c.dyeing == dyeing);
            let most =
                |c: &super::Carry| c.keep.iter().copied().fold(0.0, f64::max) * self.dyeings[dyeing].most;
            mine.map(|(share, c)| share * most(c)).sum()
        };
        let Some(makes) = (0..self.dyeings.len()).max_by(|a, b| left(*a).total_cmp(&left(*b))) else {
            return;
        };
        let mut others = settings.clone();
        others.amounts[makes].clear();
        let light = &Light::all()[0];
        let cloth = row(&self.cloth);
        let base: Vec<Row> = region.parts.iter().map(|part| self.k_of(part, &others)).collect();
        // K of 1 g of a card on each kind of place.
        let unit = |card: usize| -> Vec<Row> {
            region
                .parts
                .iter()
                .map(|part| {
                    let share: f64 = part
                        .carries
                        .iter()
                        .filter(|c| c.dyeing == makes)
                        .map(|c| amounts_left(self, c, card, settings))
                        .sum();
                    row(&self.cards[card].unit_ks.map(|k| k * share))
                })
                .collect()
        };
        let dyeing = &self.dyeings[makes];
        let units: Vec<Vec<Row>> = dyeing.choice.iter().map(|c| unit(*c)).collect();
        let colour = |mix: &[(usize, f64)]| {
            let mut mixed = [0.0; WIDE];
            for (at, part) in region.parts.iter().enumerate() {
                let mut k = base[at];
                for (dye, amount) in mix {
                    add(&mut k, *amount, &units[*dye][at]);
                }
                add(
                    &mut mixed,
                    part.share / whole,
                    &reflectance(&k, &cloth, self.k_max),
                );
            }
            light.lab(&mixed)
        };
        let most: Vec<f64> = units
            .iter()
            .map(|parts| {
                let richest = parts.iter().flatten().copied().fold(1e-9, f64::max);
                dyeing.most.min(4.0 * DEPTHS_K[DEPTHS_K.len() - 1] / richest)
            })
            .collect();
        points.push(colour(&[]));
        for set in combinations(units.len(), dyeing.dyes.min(2)) {
            match set[..] {
                [one] => points.extend((1..=SINGLES).map(|n| {
                    let share = (f64::from(n) / f64::from(SINGLES)).powi(3);
                    colour(&[(one, share * most[one])])
                })),
                [one, other] => {
                    let depth = |dye: usize, level: f64| {
                        let richest = units[dye].iter().flatten().copied().fold(1e-9, f64::max);
                        (level / richest).min(most[dye])
                    };
                    for a in DEPTHS_K {
                        points.extend(
                            DEPTHS_K.map(|b| colour(&[(one, depth(one, a)), (other, depth(other, b))])),
                        );
                    }
                }
                _ => {}
            }
        }
    }
}
