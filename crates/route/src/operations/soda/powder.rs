//! The powder's pattern on the top of the package, and what lies under it.

use crate::detail::{Factor, times};
use crate::patch::positions;
use crate::prelude::*;
use crate::water::spread;
use field::{clamp01, exp, noise, noise2, smoothstep};

/// Size of a clump and of a grain with its wet ring, mm (own estimate from the halo of a few mm).
const CLUMP: f32 = 26.0;
const GRAIN: f32 = 2.4;
/// How far below the threshold of the clumps' noise their foot reaches (a halo of some 3 mm).
const FOOT: f32 = 0.08;
/// Samples looked at together.
const RUN: usize = 32;
/// Width of the halo: the alkaline share is `c + HALO sqrt(c) (1 - c)` for powder on a share c (fitted to the pattern).
const HALO: f64 = 0.24;
/// Part of the dye of a package that lies no deeper than powder from above makes alkaline (fitted to the pattern on a
/// package of 3.4 layers; 0.79 to 0.91 for 10 to 40 g/m2).
const DEEP: f64 = 0.86;
/// Places of the top at which the clumps' threshold is set.
pub(super) const PROBES: usize = 8_000;

/// Powder on the top, before scaling.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clumps {
    pub(super) seed: u32,
    /// The clump noise lies above it on the covered share.
    pub(super) threshold: f32,
    pub(super) layer_loss: f32,
}

pub(super) struct SodaHand {
    pub(super) clumps: Clumps,
    /// From the pattern to kg/m2.
    pub(super) scale: f32,
    /// Share of loose dye drawn, over the dye-weighted mean of the pattern.
    pub(super) pull: f32,
    pub(super) drawn: f32,
}

impl Clumps {
    /// Height of the clumps' noise: clumps, and the finer unevenness of the hand.
    #[inline(always)]
    pub(super) fn height(&self, u: f32, v: f32) -> f32 {
        noise2(u / CLUMP, v / CLUMP, self.seed ^ 1, 0.0) + 0.30 * noise(u / 6.5, v / 6.5, self.seed ^ 2)
    }

    /// Clumps that thin out over a halo of a few mm, thicker in their middle, made of grains.
    #[inline(always)]
    pub(super) fn powder(&self, height: f32, u: f32, v: f32, depth: f32) -> f32 {
        let over = height - self.threshold;
        let uneven =
            noise(u / GRAIN, v / GRAIN, self.seed ^ 3) + 0.6 * noise(u / 5.3, v / 5.3, self.seed ^ 4);
        let body = smoothstep(-FOOT, 0.12, over) * (0.6 + 0.8 * clamp01(over * 2.0));
        body * (0.6 + 0.8 * smoothstep(-0.25, 0.45, uneven)) * exp(-self.layer_loss * depth)
    }

    #[cfg(test)]
    fn at(&self, u: f32, v: f32, depth: f32) -> f32 {
        self.powder(self.height(u, v), u, v, depth)
    }

    /// Sets the threshold so that the share `cover` of the top lies above it.
    pub(super) fn set(seed: u32, cover: f64, layer_loss: f32) -> Self {
        let mut clumps = Self {
            seed,
            threshold: 0.0,
            layer_loss,
        };
        // Far more clumps than a package holds: the quantile is that of the noise, not of one stretch of it.
        let mut heights: Vec<f32> = spread(20_000.0, 20_000.0, PROBES)
            .map(|(u, v)| clumps.height(u, v))
            .collect();
        heights.sort_by(f32::total_cmp);
        let rank = ((1.0 - cover) * PROBES as f64) as usize;
        clumps.threshold = heights.get(rank.min(PROBES - 1)).copied().unwrap_or(0.0);
        clumps
    }
}

/// Share of the dye that lies where powder, on the share `cover` of the top, makes the cloth alkaline.
pub(super) fn alkaline_share(cover: f64, layers: f64) -> f64 {
    let top = (cover + HALO * cover.sqrt() * (1.0 - cover)).clamp(0.0, 1.0);
    if layers > 1.0 { DEEP * top } else { top }
}

field::lanes! {
    fn height_row(clumps: &Clumps, u: &[f32], v: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (u, v) = (&u[..n], &v[..n]);
        for i in 0..n {
            out[i] = clumps.height(u[i], v[i]);
        }
    }

    /// From heights to powder, in place.
    fn powder_row(clumps: &Clumps, u: &[f32], v: &[f32], depth: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (u, v, depth) = (&u[..n], &v[..n], &depth[..n]);
        // In runs: most of them lie between clumps, where the grains need not be known.
        let foot = clumps.threshold - FOOT;
        for (k, run) in out.chunks_mut(RUN).enumerate() {
            let at = k * RUN..k * RUN + run.len();
            let (u, v, depth) = (&u[at.clone()], &v[at.clone()], &depth[at]);
            if run.iter().fold(f32::MIN, |a, b| if *b > a { *b } else { a }) > foot {
                for i in 0..run.len() {
                    run[i] = clumps.powder(run[i], u[i], v[i], depth[i]);
                }
            } else {
                run.fill(0.0);
            }
        }
    }

    /// From the pattern to what becomes of a gram of loose dye.
    fn pull_row(drawn: f32, pull: f32, pattern: &mut [f32]) {
        for p in pattern {
            *p = 1.0 - drawn + pull * *p;
        }
    }
}

impl SodaHand {
    /// Heights of the clumps: nothing in them is shorter than 6 mm, so a millimetre is fine enough; only the grains
    /// want more.
    fn heights(&self, patch: &mut Patch) -> Grid {
        let (lattice, rect) = patch.milli();
        let mut heights = Grid::flat(lattice, rect, 0.0);
        let nx = rect.nx.max(1) as usize;
        match patch.folds((lattice, rect)) {
            Some(f) => height_row(&self.clumps, &f.u, &f.v, &mut heights.data),
            None => {
                let xs = positions(lattice, rect.x0, rect.nx);
                let ys = positions(lattice, rect.y0, rect.ny);
                for (y, row) in ys.iter().zip(heights.data.chunks_exact_mut(nx)) {
                    height_row(&self.clumps, &xs, &vec![*y; nx], row);
                }
            }
        }
        heights
    }
}

impl Hand for SodaHand {
    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = patch.half();
        let mut powder = self.heights(patch).sample_onto(lattice, rect);
        let nx = rect.nx.max(1) as usize;
        match patch.folds((lattice, rect)) {
            Some(f) => powder_row(&self.clumps, &f.u, &f.v, &f.depth, &mut powder.data),
            None => {
                let (xs, flat) = (positions(lattice, rect.x0, rect.nx), vec![0.0; nx]);
                for (y, row) in positions(lattice, rect.y0, rect.ny)
                    .iter()
                    .zip(powder.data.chunks_exact_mut(nx))
                {
                    powder_row(&self.clumps, &xs, &vec![*y; nx], &flat, row);
                }
            }
        }
        let mut pull = powder.clone();
        pull_row(self.drawn, self.pull, &mut pull.data);
        let mut pull = Factor::new(pull);
        for plane in &mut patch.loose {
            times(plane, &mut pull);
        }
        let mut powder = Plane::Grid(powder);
        powder.scale(self.scale);
        patch.soda.add(&powder);
    }
}

#[cfg(test)]
mod tests {
    use super::super::LAYER_LOSS;
    use super::{Clumps, alkaline_share, spread};
    use crate::Package;
    use crate::kinetics::alkaline;
    use crate::water::likely_dye;

    /// What the tally takes for the alkaline share is what the pattern does, for every cover and amount that is usual.
    #[test]
    fn the_alkaline_share_is_that_of_the_pattern() {
        let package = Package {
            seed: 3,
            pitch: 80.0,
            contraction: (0.545, 0.533),
            crumple: 44.0,
        }
        .ready();
        for (cover, amount) in [
            (0.15, 0.01),
            (0.15, 0.04),
            (0.25, 0.02),
            (0.35, 0.01),
            (0.35, 0.04),
            (0.8, 0.02),
        ] {
            for layers in [1.0, 3.44] {
                let clumps = Clumps::set(5, cover, LAYER_LOSS.value as f32);
                let places: Vec<(f64, f64)> = spread(1117.0, 13_716.0, 20_000)
                    .map(|(x, y)| {
                        if layers > 1.0 {
                            package.at(x, y)
                        } else {
                            open(x, y)
                        }
                    })
                    .map(|p| {
                        (
                            f64::from(clumps.at(p.u, p.v, p.depth)),
                            likely_dye(&p, (layers > 1.0).then_some(0.6)),
                        )
                    })
                    .collect();
                let mean = places.iter().map(|p| p.0).sum::<f64>() / places.len() as f64;
                let per_pattern = amount / layers / mean;
                let dye: f64 = places.iter().map(|p| p.1).sum();
                let alkaline: f64 = places
                    .iter()
                    .map(|p| p.1 * f64::from(alkaline((per_pattern * p.0) as f32)))
                    .sum();
                let (found, said) = (alkaline / dye, alkaline_share(cover, layers));
                assert!(
                    (found / said - 1.0).abs() < 0.15,
                    "{cover} {amount} {layers}: {found} is not {said}"
                );
            }
        }
    }

    fn open(x: f32, y: f32) -> crate::Folded {
        crate::Folded {
            u: x,
            v: y,
            depth: 0.0,
            crest: 0.0,
            facet: 0.0,
        }
    }

    #[test]
    fn powder_covers_the_share_that_was_asked() {
        for (cover, seed) in [(0.15, 7), (0.25, 8), (0.35, 9)] {
            let clumps = Clumps::set(seed, cover, 1.2);
            let over = |(u, v): (f32, f32)| clumps.height(u + 31_000.0, v) > clumps.threshold;
            let n = 20_000;
            let share = spread(9_000.0, 9_000.0, n).filter(|p| over(*p)).count() as f64 / n as f64;
            assert!(
                (share - cover).abs() < 0.015,
                "seed {seed}: {share} instead of {cover}"
            );
        }
    }
}
