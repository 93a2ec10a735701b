//! Colours of the regions as a function of amounts and doses, with their slopes.

use super::{Carry, Region, Settings, Works};
use crate::recipe::descent::SumOfSquares;
use crate::recipe::optics::{Light, Row, WIDE, add, reflectance, reflectance_slope, row};
use crate::recipe::quadratic::Quadratic;
use crate::recipe::target::Aim;
use crate::spaces::Lab;

/// What may be changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Unknown {
    Amount { dyeing: usize, card: usize },
    Dose(usize),
}

/// The regions that count, as a sum of squared CIEDE2000 in some unknowns; all else stands still.
pub(crate) struct Model<'l> {
    unknowns: usize,
    regions: Vec<ModelRegion>,
    cloth: Row,
    k_max: f64,
    lights: &'l [Light; 3],
}

struct ModelRegion {
    aim: Aim,
    parts: Vec<ModelPart>,
}

struct ModelPart {
    share: f64,
    /// K of what stands still.
    base: Row,
    live: Vec<Live>,
}

/// Dye on a place whose amount or dose is sought.
struct Live {
    amount: Amount,
    /// K per g, before the bleaches whose doses are sought.
    unit: Row,
    /// Share that chlorine does not clear.
    residue: f64,
    /// Exponent of the decay by doses that stand still.
    stands: f64,
    /// Exponent per unit of each dose that is sought, with its place among the unknowns.
    fades: Vec<(usize, f64)>,
}

#[derive(Clone, Copy)]
enum Amount {
    Sought(usize),
    Stands(f64),
}

impl<'l> Model<'l> {
    /// Regions count by `weights`; those without target or of weight 0 are not computed.
    pub fn new(
        works: &Works,
        settings: &Settings,
        unknowns: &[Unknown],
        weights: &[f64],
        lights: &'l [Light; 3],
    ) -> Self {
        let regions = works.regions.iter().zip(weights).filter_map(|(region, weight)| {
            let goal = region.target.filter(|_| *weight > 0.0)?;
            Some(ModelRegion {
                aim: Aim::Lights {
                    goal: [goal; 3],
                    weight: [weight.sqrt(), 0.0, 0.0],
                },
                parts: parts(works, region, settings, unknowns),
            })
        });
        Self {
            unknowns: unknowns.len(),
            regions: regions.collect(),
            cloth: row(&works.cloth),
            k_max: works.k_max,
            lights,
        }
    }
}

/// Colours of all regions.
pub(crate) fn colours(works: &Works, settings: &Settings, light: &Light) -> Vec<Lab> {
    let cloth = row(&works.cloth);
    let colour = |region: &Region| {
        let mut mixed = [0.0; WIDE];
        for part in parts(works, region, settings, &[]) {
            add(
                &mut mixed,
                part.share,
                &reflectance(&part.base, &cloth, works.k_max),
            );
        }
        light.lab(&mixed)
    };
    works.regions.iter().map(colour).collect()
}

/// Share of a card's grams of a dyeing that is left on a kind of place under these doses.
pub(super) fn amounts_left(works: &Works, carry: &Carry, card: usize, settings: &Settings) -> f64 {
    let live = live(works, carry, card, Amount::Stands(1.0), settings, &[]);
    carry.keep[card] * live.left(&[])
}

impl Works<'_> {
    /// K of all dye on a kind of place.
    pub(super) fn k_of(&self, part: &super::RegionPart, settings: &Settings) -> Row {
        let mut k = [0.0; WIDE];
        for carry in &part.carries {
            for (card, amount) in settings.amounts.get(carry.dyeing).into_iter().flatten() {
                let left = amounts_left(self, carry, *card, settings);
                add(&mut k, amount * left, &row(&self.cards[*card].unit_ks));
            }
        }
        k
    }
}

fn parts(works: &Works, region: &Region, settings: &Settings, unknowns: &[Unknown]) -> Vec<ModelPart> {
    let whole: f64 = region.parts.iter().map(|p| p.share).sum();
    region
        .parts
        .iter()
        .map(|part| {
            let mut model = ModelPart {
                share: part.share / whole,
                base: [0.0; WIDE],
                live: Vec::new(),
            };
            for carry in &part.carries {
                for (card, amount) in amounts_of(carry.dyeing, settings, unknowns) {
                    let live = live(works, carry, card, amount, settings, unknowns);
                    match (live.amount, live.fades.is_empty()) {
                        (Amount::Stands(amount), true) => {
                            add(&mut model.base, amount * live.left(&[]), &live.unit)
                        }
                        _ => model.live.push(live),
                    }
                }
            }
            model
        })
        .collect()
}

/// The dyes of a dyeing: those sought, and those that stand still.
fn amounts_of(dyeing: usize, settings: &Settings, unknowns: &[Unknown]) -> Vec<(usize, Amount)> {
    let sought = |at: &Unknown| match at {
        Unknown::Amount { dyeing: d, card } if *d == dyeing => Some(*card),
        _ => None,
    };
    let mut amounts: Vec<(usize, Amount)> = unknowns
        .iter()
        .enumerate()
        .filter_map(|(at, u)| sought(u).map(|card| (card, Amount::Sought(at))))
        .collect();
    for (card, amount) in settings.amounts.get(dyeing).into_iter().flatten() {
        if *amount > 0.0 && !amounts.iter().any(|(c, _)| c == card) {
            amounts.push((*card, Amount::Stands(*amount)));
        }
    }
    amounts
}

fn live(
    works: &Works,
    carry: &Carry,
    card: usize,
    amount: Amount,
    settings: &Settings,
    unknowns: &[Unknown],
) -> Live {
    let mut live = Live {
        amount,
        unit: row(&works.cards[card].unit_ks.map(|k| k * carry.keep[card])),
        residue: works.cards[card].bleaching.residue.value,
        stands: 0.0,
        fades: Vec::new(),
    };
    for (at, (bleach, access)) in works.bleaches.iter().zip(&carry.access).enumerate() {
        let rate = bleach.rates[card] * access;
        if rate == 0.0 {
            continue;
        }
        match unknowns.iter().position(|u| *u == Unknown::Dose(at)) {
            Some(unknown) => live.fades.push((unknown, rate)),
            None => live.stands += rate * settings.doses[at],
        }
    }
    live
}

impl Live {
    fn decay(&self, x: &[f64]) -> f64 {
        let sought: f64 = self.fades.iter().map(|(at, rate)| rate * x[*at]).sum();
        (1.0 - self.residue) * (-self.stands - sought).exp()
    }

    /// Share that the bleaches leave.
    fn left(&self, x: &[f64]) -> f64 {
        self.residue + self.decay(x)
    }

    fn amount(&self, x: &[f64]) -> f64 {
        match self.amount {
            Amount::Sought(at) => x[at],
            Amount::Stands(amount) => amount,
        }
    }
}

impl ModelPart {
    fn k(&self, x: &[f64]) -> Row {
        let mut k = self.base;
        for live in &self.live {
            add(&mut k, live.amount(x) * live.left(x), &live.unit);
        }
        k
    }
}

impl<const N: usize> SumOfSquares<N> for Model<'_> {
    fn value(&self, x: &[f64; N]) -> f64 {
        self.regions
            .iter()
            .map(|region| {
                let mut mixed = [0.0; WIDE];
                for part in &region.parts {
                    add(
                        &mut mixed,
                        part.share,
                        &reflectance(&part.k(x), &self.cloth, self.k_max),
                    );
                }
                region.aim.value(&mixed, self.lights)
            })
            .sum()
    }

    fn expand(&self, x: &[f64; N]) -> (f64, Quadratic<N>) {
        let mut form = Quadratic::new(self.unknowns);
        let mut value = 0.0;
        let mut slopes = vec![[0.0; WIDE]; self.unknowns];
        for region in &self.regions {
            let mut mixed = [0.0; WIDE];
            slopes.fill([0.0; WIDE]);
            for part in &region.parts {
                let (r, falls) = reflectance_slope(&part.k(x), &self.cloth, self.k_max);
                add(&mut mixed, part.share, &r);
                for live in &part.live {
                    let along: Row = std::array::from_fn(|b| part.share * falls[b] * live.unit[b]);
                    if let Amount::Sought(at) = live.amount {
                        add(&mut slopes[at], live.left(x), &along);
                    }
                    for (at, rate) in &live.fades {
                        add(&mut slopes[*at], -rate * live.decay(x) * live.amount(x), &along);
                    }
                }
            }
            value += region.aim.expand(&mixed, &slopes, self.lights, &mut form);
        }
        form.mirror();
        (value, form)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::through::{Bleach, Carry, Dyeing, RegionPart};
    use words::{Known, Origin};

    /// An invented dye with a band of absorption.
    fn dye(centre: f64) -> crate::DyeCard {
        let any = || Known::yours(1.0);
        crate::DyeCard {
            id: String::new(),
            name: String::new(),
            chemistry: crate::dye::Chemistry::VinylSulfone,
            unit_ks: std::array::from_fn(|b| 1.5 * (-((b as f64 - centre) / 6.0).powi(2)).exp() + 0.01),
            spectrum: Origin::Yours,
            ladder: None,
            k_max: Known::yours(41.0),
            fixation: crate::dye::Fixation {
                rate: any(),
                at: units::Celsius(30.0),
                ph: 11.0,
                energy: any(),
                final_share: any(),
            },
            affinity: any(),
            exhaustion: any(),
            bleaching: crate::dye::Bleaching {
                rate: any(),
                at: units::Celsius(30.0),
                ph: 10.0,
                ph_least: 9.0,
                ph_most: 11.0,
                energy: any(),
                residue: Known::yours(0.07),
            },
            blue_wool: any(),
            price: crate::dye::Price {
                amount: 1,
                decimals: 0,
                currency: "IDR".to_string(),
            },
            hazards: Vec::new(),
        }
    }

    /// Slopes of amounts and doses are what differences of the value give.
    #[test]
    fn slopes() {
        let (red, blue) = (dye(12.0), dye(20.0));
        let carry = |dyeing, keep: f64, access: [f64; 2]| Carry {
            dyeing,
            keep: vec![keep; 2],
            access: access.to_vec(),
        };
        let dyeing = Dyeing {
            name: String::new(),
            choice: vec![0, 1],
            dyes: 2,
            most: 30.0,
            fixed: Vec::new(),
        };
        let bleach = |rate: f64| Bleach {
            name: String::new(),
            rates: vec![rate, 0.3 * rate],
            least: 0.0,
            most: 60.0,
        };
        let region = |carries: Vec<Vec<Carry>>, l| Region {
            name: String::new(),
            parts: carries
                .into_iter()
                .enumerate()
                .map(|(at, carries)| RegionPart {
                    share: 1.0 + at as f64,
                    carries,
                })
                .collect(),
            target: Some(Lab::new(l, 10.0, -5.0)),
            weight: 1.0,
            tolerance: 1.0,
        };
        let works = Works {
            dyeings: vec![dyeing.clone(), dyeing],
            bleaches: vec![bleach(0.05), bleach(0.02)],
            regions: vec![
                region(
                    vec![vec![carry(0, 0.9, [0.1, 0.05]), carry(1, 0.2, [0.0, 0.3])]],
                    45.0,
                ),
                region(
                    vec![vec![carry(0, 0.9, [1.0, 0.8])], vec![carry(1, 0.8, [0.0, 1.0])]],
                    70.0,
                ),
            ],
            ..Works::of(&[&red, &blue])
        };
        let settings = Settings {
            amounts: vec![vec![(0, 3.0), (1, 1.0)], vec![(1, 2.0)]],
            doses: vec![12.0, 7.0],
        };
        let unknowns = [
            Unknown::Amount { dyeing: 0, card: 0 },
            Unknown::Amount { dyeing: 1, card: 1 },
            Unknown::Dose(0),
            Unknown::Dose(1),
        ];
        let lights = Light::all();
        let model = Model::new(&works, &settings, &unknowns, &[1.0, 2.0], &lights);
        let x = [3.0, 2.0, 12.0, 7.0];
        let (value, form) = SumOfSquares::<4>::expand(&model, &x);
        assert!((value - model.value(&x)).abs() < 1e-9 * value);
        for i in 0..4 {
            let at = |step: f64| {
                let mut moved = x;
                moved[i] += step;
                model.value(&moved)
            };
            let expected = (at(1e-4) - at(-1e-4)) / 2e-4;
            assert!(
                (form.gradient[i] - expected).abs() < 1e-5 * expected.abs().max(1.0),
                "{i}: {} is not {expected}",
                form.gradient[i]
            );
        }
        // Standing still, the same colours.
        let still = Model::new(&works, &settings, &[], &[1.0, 2.0], &lights);
        assert!((SumOfSquares::<4>::value(&still, &x) - value).abs() < 1e-9 * value);
    }
}
