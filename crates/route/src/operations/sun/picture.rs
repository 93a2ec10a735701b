//! The cloth under the sun: water by layers, dye that goes with it, binding where soda lies.

use crate::detail::{Factor, add_share, times};
use crate::kinetics::alkaline;
use crate::prelude::*;
use crate::water::{Profile, REGAIN};
use field::exp;

/// How the drying face is shared by the layers (exponent a layer), by facets to and from the sun, and by creases
/// (own estimates).
const FACE: (f32, f32, f32) = (1.1, 0.28, 0.9);

pub(super) struct SunHand {
    pub(super) profile: Option<Profile>,
    /// Share of the water above regain that stays, on open cloth.
    pub(super) left: f32,
    pub(super) start: f32,
    pub(super) seconds: f32,
    pub(super) wet_seconds: f32,
    pub(super) migration: f32,
    /// One over the dye-weighted mean of the face pattern.
    pub(super) per_mean: f32,
    /// Rate of each dye at full alkali, 1/s, and the share that ends bound.
    pub(super) rates: [(f32, f32); DYES],
    /// What light leaves of unbound and of bound dye.
    pub(super) light: [(f32, f32); DYES],
}

/// Where the drying face draws dye to.
#[inline(always)]
pub(super) fn face(depth: f32, crest: f32, facet: f32) -> f32 {
    exp(-FACE.0 * depth) * (1.0 + FACE.1 * facet) + FACE.2 * crest
}

field::lanes! {
    fn water_row(profile: &Profile, depth: &[f32], water: &mut [f32]) {
        for (w, d) in water.iter_mut().zip(depth) {
            let above = *w - REGAIN as f32;
            *w = if above > 0.0 { REGAIN as f32 + above * profile.left(*d) } else { *w };
        }
    }

    fn carry_row(migration: f32, per_mean: f32, depth: &[f32], crest: &[f32], facet: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (depth, crest, facet) = (&depth[..n], &crest[..n], &facet[..n]);
        for i in 0..n {
            out[i] = 1.0 - migration + migration * per_mean * face(depth[i], crest[i], facet[i]);
        }
    }

    fn alkali_row(profile: &Profile, start: f32, seconds: f32, depth: &[f32], soda: &mut [f32]) {
        for (s, d) in soda.iter_mut().zip(depth) {
            *s = alkaline(*s) * seconds * profile.wet_share(start, *d);
        }
    }

    fn open_alkali_row(seconds: f32, soda: &mut [f32]) {
        for s in soda {
            *s = alkaline(*s) * seconds;
        }
    }

    /// Loose dye reacts for `dose` alkaline seconds; what has reacted is written to `reacted`.
    fn react_row(rate: f32, dose: &[f32], loose: &mut [f32], reacted: &mut [f32]) {
        let n = loose.len();
        let (dose, reacted) = (&dose[..n], &mut reacted[..n]);
        for i in 0..n {
            let stays = exp(-rate * dose[i]);
            reacted[i] = loose[i] * (1.0 - stays);
            loose[i] *= stays;
        }
    }
}

impl Hand for SunHand {
    fn act(&self, patch: &mut Patch) {
        let half = patch.half();
        let folds = patch.folds(half);
        let dose = self.alkaline_seconds(patch, folds.as_deref());
        if let (Some(profile), Some(f)) = (&self.profile, &folds) {
            let mut water = std::mem::take(&mut patch.water).into_detail(half.0, half.1);
            water_row(profile, &f.depth, &mut water.data);
            patch.water = Plane::Grid(water);
            let mut carry = Grid::flat(half.0, half.1, 0.0);
            carry_row(
                self.migration,
                self.per_mean,
                &f.depth,
                &f.crest,
                &f.facet,
                &mut carry.data,
            );
            let mut carry = Factor::new(carry);
            for plane in patch.loose.iter_mut().chain(&mut patch.spent) {
                times(plane, &mut carry);
            }
        } else {
            let (floor, left) = (REGAIN as f32, self.left);
            patch
                .water
                .map(|w| if w > floor { floor + (w - floor) * left } else { w });
        }
        if let Some(dose) = dose {
            self.bind(patch, dose);
        }
        for (dye, (unbound, bound)) in self.light.iter().enumerate() {
            patch.loose[dye].scale(*unbound);
            patch.spent[dye].scale(*unbound);
            patch.fast[dye].scale(*bound);
        }
    }
}

impl SunHand {
    /// Seconds at full alkali of every place, from the soda that lies there and how long the place is wet.
    fn alkaline_seconds(&self, patch: &Patch, folds: Option<&crate::Folds>) -> Option<Grid> {
        if patch.soda.is_zero() || self.wet_seconds <= 0.0 {
            return None;
        }
        let (lattice, rect) = patch.half();
        let mut soda = patch.soda.at_detail(lattice, rect).into_owned();
        match (&self.profile, folds) {
            (Some(profile), Some(f)) => {
                alkali_row(profile, self.start, self.seconds, &f.depth, &mut soda.data)
            }
            _ => open_alkali_row(self.wet_seconds, &mut soda.data),
        }
        Some(soda)
    }

    fn bind(&self, patch: &mut Patch, dose: Grid) {
        let mut dose = Factor::new(dose);
        for (dye, (rate, last)) in self.rates.iter().enumerate() {
            let Some(seconds) = dose.meeting(&patch.loose[dye]) else {
                continue;
            };
            let (lattice, rect) = (seconds.lattice, seconds.rect);
            let mut loose = std::mem::take(&mut patch.loose[dye]).into_detail(lattice, rect);
            let mut reacted = Grid::flat(lattice, rect, 0.0);
            react_row(*rate, &seconds.data, &mut loose.data, &mut reacted.data);
            patch.loose[dye] = Plane::Grid(loose);
            add_share(&mut patch.spent[dye], &reacted, 1.0 - last);
            add_share(&mut patch.fast[dye], &reacted, *last);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::face;

    #[test]
    fn dye_goes_to_the_top_and_to_creases() {
        assert!(face(0.0, 0.0, 0.0) > face(1.0, 0.0, 0.0));
        assert!(face(1.0, 1.0, 0.0) > face(1.0, 0.0, 0.0));
        assert!(face(0.0, 0.0, 0.5) > face(0.0, 0.0, -0.5));
    }
}
