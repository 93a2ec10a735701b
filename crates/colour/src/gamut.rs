//! What a store of dyes can reach: the set of finished colours, for plots in a*b* and in L*C*.

use crate::kubelka_munk::{reflectance, saturated};
use crate::recipe::Store;
use crate::spaces::{Lab, lab, lch};
use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::{Viewing, xyz};
use words::Finding;

/// The finished colours of a store, as a dense sample of what singles, pairs and triples give.
#[derive(Clone, Debug, PartialEq)]
pub struct Gamut {
    points: Vec<Lab>,
}

/// A point of an outline: an angle or lightness, and how far the gamut goes there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rim {
    /// Hue angle in degrees ([`Gamut::rim_by_hue`]) or L* ([`Gamut::rim_by_lightness`]), middle of the sector.
    pub at: f64,
    /// The colour of most chroma there.
    pub lab: Lab,
}

/// Amounts of a dye in the sample, as K at its strongest band; each must also be within the limits.
const DEPTHS_K: [f64; 10] = [0.0, 0.04, 0.15, 0.4, 1.0, 2.2, 4.5, 9.0, 18.0, 40.0];

/// Depths at which each dye is sampled by itself, closer together where it is pale.
const SINGLES: u32 = 64;

impl Gamut {
    /// Samples what the dyes of a store reach on its cloth, after the losses and over the dye that it states.
    ///
    /// # Errors
    /// Findings about numbers of the store.
    pub fn of(store: &Store) -> Result<Self, Vec<Finding>> {
        let cloth = (store.cloth.ks, store.cloth.k_max);
        Self::after(store, |dyes| {
            let r: Spectrum = std::array::from_fn(|b| {
                reflectance(saturated(dyes[b] + store.cloth.under[b], cloth.1) + cloth.0[b])
            });
            lab(xyz(&r, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white())
        })
    }

    /// As [`Gamut::of`], with the rest of the route as a function from the K of the dyes (kept share included, before
    /// levelling off) to the finished colour: a motif with light wax edges, a ground over several left-overs.
    ///
    /// # Errors
    /// Findings about numbers of the store.
    pub fn after(store: &Store, finish: impl Fn(&Spectrum) -> Lab) -> Result<Self, Vec<Finding>> {
        let faults = store.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let ladders: Vec<Vec<(f64, Spectrum)>> =
            (0..store.jars.len()).map(|jar| ladder(store, jar)).collect();
        let mut sample = Sample {
            ladders: &ladders,
            total: store.limits.total,
            finish: &finish,
            points: vec![finish(&[0.0; BANDS])],
        };
        sample.grow(0, store.limits.dyes, 0.0, &[0.0; BANDS]);
        // The outline is mostly single dyes, and they cost little: they are sampled closely besides.
        for rungs in &ladders {
            let Some((most, full)) = rungs.last() else {
                continue;
            };
            for step in 1..SINGLES {
                let share = (f64::from(step) / f64::from(SINGLES)).powi(3);
                if share * most >= store.limits.least {
                    sample.points.push(finish(&full.map(|k| k * share)));
                }
            }
        }
        Ok(Self {
            points: sample.points,
        })
    }

    /// The gamut of these colours, from wherever they come.
    pub fn from_points(points: Vec<Lab>) -> Self {
        Self { points }
    }

    /// All colours of the sample; undyed cloth first.
    pub fn points(&self) -> &[Lab] {
        &self.points
    }

    /// Corners of the convex hull in a*b*, counter-clockwise, without points within an edge. Not every colour inside
    /// can be dyed: the true outline may be hollow, and lightness is another matter ([`Gamut::rim_by_hue`]).
    pub fn hull(&self) -> Vec<[f64; 2]> {
        hull(self.points.iter().map(|p| [p.a, p.b]).collect())
    }

    /// The most chroma of each of `sectors` equal sectors of hue, from 0 degrees up; sectors without colour are left
    /// out. `lightness` limits the colours that count.
    pub fn rim_by_hue(&self, sectors: usize, lightness: std::ops::RangeInclusive<f64>) -> Vec<Rim> {
        let width = 360.0 / sectors.max(1) as f64;
        let inside = self.points.iter().filter(|p| lightness.contains(&p.l));
        rim(inside.copied(), sectors, width, |p| lch(p).h)
    }

    /// The most chroma in each of `steps` equal steps of L* from 0 to 100, of colours whose hue lies within `reach`
    /// degrees of `hue`; steps without colour are left out. With 180 degrees of reach every hue counts.
    pub fn rim_by_lightness(&self, steps: usize, hue: f64, reach: f64) -> Vec<Rim> {
        let near = |p: &&Lab| {
            let off = (lch(**p).h - hue).rem_euclid(360.0);
            off.min(360.0 - off) <= reach
        };
        let width = 100.0 / steps.max(1) as f64;
        rim(self.points.iter().filter(near).copied(), steps, width, |p| p.l)
    }

    /// The sampled colour nearest to a target (CIEDE2000) and its distance: a first look, an upper bound for what a
    /// solver finds.
    pub fn nearest(&self, target: Lab) -> Option<(Lab, f64)> {
        self.points
            .iter()
            .map(|p| (*p, crate::difference::de2000(target, *p)))
            .min_by(|x, y| x.1.total_cmp(&y.1))
    }
}

/// Amounts of one jar and the K they leave, without that of nothing.
fn ladder(store: &Store, jar: usize) -> Vec<(f64, Spectrum)> {
    let jar = &store.jars[jar];
    let strongest = jar.card.unit_ks.iter().copied().fold(1e-9, f64::max);
    let most = jar.most.min(store.limits.total);
    let mut amounts: Vec<f64> = DEPTHS_K[1..]
        .iter()
        .map(|k| k / strongest)
        .filter(|amount| *amount < most)
        .collect();
    // The limit itself belongs to what is reached.
    amounts.push(most);
    amounts
        .into_iter()
        .map(|amount| (amount, jar.card.unit_ks.map(|k| k * amount * jar.keep)))
        .collect()
}

struct Sample<'s, F> {
    ladders: &'s [Vec<(f64, Spectrum)>],
    total: f64,
    finish: &'s F,
    points: Vec<Lab>,
}

impl<F: Fn(&Spectrum) -> Lab> Sample<'_, F> {
    /// Adds every mixture of what is there with up to `dyes` of the jars from `from` on.
    fn grow(&mut self, from: usize, dyes: usize, amount: f64, k: &Spectrum) {
        if dyes == 0 {
            return;
        }
        for (jar, ladder) in self.ladders.iter().enumerate().skip(from) {
            for (more, unit) in ladder {
                // The limit may be met exactly by several dyes, but for rounding.
                if amount + more > self.total * (1.0 + 1e-12) {
                    continue;
                }
                let mixed: Spectrum = std::array::from_fn(|b| k[b] + unit[b]);
                let colour = (self.finish)(&mixed);
                self.points.push(colour);
                self.grow(jar + 1, dyes - 1, amount + more, &mixed);
            }
        }
    }
}

fn rim(points: impl Iterator<Item = Lab>, sectors: usize, width: f64, at: impl Fn(Lab) -> f64) -> Vec<Rim> {
    let mut best: Vec<Option<Lab>> = vec![None; sectors];
    for p in points {
        let sector = (at(p) / width).floor().max(0.0) as usize;
        if let Some(held) = best.get_mut(sector.min(sectors.saturating_sub(1)))
            && held.is_none_or(|h| h.chroma() < p.chroma())
        {
            *held = Some(p);
        }
    }
    best.into_iter()
        .enumerate()
        .filter_map(|(sector, lab)| {
            lab.map(|lab| Rim {
                at: (sector as f64 + 0.5) * width,
                lab,
            })
        })
        .collect()
}

/// Convex hull by the monotone chain (Andrew 1979).
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.retain(|p| p[0].is_finite() && p[1].is_finite());
    points.sort_by(|p, q| p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let left = |o: [f64; 2], p: [f64; 2], q: [f64; 2]| {
        (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]) > 0.0
    };
    let half = |points: &mut dyn Iterator<Item = &[f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while chain.len() >= 2 && !left(chain[chain.len() - 2], chain[chain.len() - 1], *p) {
                chain.pop();
            }
            chain.push(*p);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut points.iter());
    lower.extend(half(&mut points.iter().rev()));
    lower
}
