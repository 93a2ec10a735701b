//! The cloth under the sun: water by layers, dye that goes with it, binding where soda lies.

use crate::detail::{Factor, add_share, alike, times, unveil, veil_again};
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

/// What the sun does to one dye.
struct Dyed {
    /// Rate at full alkali, 1/s, and the share that ends bound.
    rate: f32,
    last: f32,
    /// What light leaves of unbound and of bound dye.
    light: (f32, f32),
}

/// Where the drying face draws dye to.
#[inline(always)]
pub(super) fn face(depth: f32, crest: f32, facet: f32) -> f32 {
    exp(-FACE.0 * depth) * (1.0 + FACE.1 * facet) + FACE.2 * crest
}

field::lanes! {
    fn fade_row(profile: &Profile, depth: &[f32], fade: &mut [f32]) {
        for (fade, depth) in fade.iter_mut().zip(depth) {
            *fade = profile.fade(*depth);
        }
    }

    fn water_row(profile: &Profile, fade: &[f32], water: &mut [f32]) {
        let n = water.len();
        let fade = &fade[..n];
        for i in 0..n {
            // Worked out in any case: behind a condition it would be done place by place.
            let above = water[i] - REGAIN as f32;
            let dried = REGAIN as f32 + above * profile.left(fade[i]);
            water[i] = if above > 0.0 { dried } else { water[i] };
        }
    }

    fn carry_row(migration: f32, per_mean: f32, depth: &[f32], crest: &[f32], facet: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (depth, crest, facet) = (&depth[..n], &crest[..n], &facet[..n]);
        for i in 0..n {
            out[i] = 1.0 - migration + migration * per_mean * face(depth[i], crest[i], facet[i]);
        }
    }

    fn alkali_row(profile: &Profile, start: f32, seconds: f32, fade: &[f32], soda: &mut [f32]) {
        for (s, fade) in soda.iter_mut().zip(fade) {
            *s = alkaline(*s) * seconds * profile.wet_share(start, *fade);
        }
    }

    fn open_alkali_row(seconds: f32, soda: &mut [f32]) {
        for s in soda {
            *s = alkaline(*s) * seconds;
        }
    }

    /// Everything at once for a dye whose planes are alike: what this takes is memory, not arithmetic.
    fn lie_row(course: &Dyed, carry: &[f32], dose: &[f32], loose: &mut [f32], spent: &mut [f32], fast: &mut [f32]) {
        let n = loose.len();
        let (carry, dose, spent, fast) = (&carry[..n], &dose[..n], &mut spent[..n], &mut fast[..n]);
        let (unbound, bound) = course.light;
        for i in 0..n {
            let there = loose[i] * carry[i];
            let stays = exp(-course.rate * dose[i]);
            let reacted = there * (1.0 - stays);
            loose[i] = there * stays * unbound;
            spent[i] = (spent[i] * carry[i] + (1.0 - course.last) * reacted) * unbound;
            fast[i] = (fast[i] + course.last * reacted) * bound;
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
        let mut fade = Vec::new();
        if let (Some(profile), Some(f)) = (&self.profile, &folds) {
            fade.resize(f.depth.len(), 0.0);
            fade_row(profile, &f.depth, &mut fade);
        }
        let mut dose = self.alkaline_seconds(patch, &fade).map(Factor::new);
        let mut carry = None;
        if let (Some(profile), Some(f)) = (&self.profile, &folds) {
            let mut water = std::mem::take(&mut patch.water).into_detail(half.0, half.1);
            water_row(profile, &fade, &mut water.data);
            patch.water = Plane::Grid(water);
            let mut drawn = Grid::flat(half.0, half.1, 0.0);
            carry_row(
                self.migration,
                self.per_mean,
                &f.depth,
                &f.crest,
                &f.facet,
                &mut drawn.data,
            );
            carry = Some(Factor::new(drawn));
        } else {
            let (floor, left) = (REGAIN as f32, self.left);
            patch
                .water
                .map(|w| if w > floor { floor + (w - floor) * left } else { w });
        }
        for dye in 0..DYES {
            self.lie(dye, patch, carry.as_mut(), dose.as_mut());
        }
    }
}

impl SunHand {
    /// Seconds at full alkali of every place, from the soda that lies there and how long the place is wet.
    fn alkaline_seconds(&self, patch: &Patch, fade: &[f32]) -> Option<Grid> {
        if patch.soda.is_zero() || self.wet_seconds <= 0.0 {
            return None;
        }
        let (lattice, rect) = patch.half();
        let mut soda = patch.soda.at_detail(lattice, rect).into_owned();
        match &self.profile {
            Some(profile) if !fade.is_empty() => {
                alkali_row(profile, self.start, self.seconds, fade, &mut soda.data)
            }
            _ => open_alkali_row(self.wet_seconds, &mut soda.data),
        }
        Some(soda)
    }

    /// One dye goes to the drying face, binds where soda lies, and fades.
    fn lie(&self, dye: usize, patch: &mut Patch, carry: Option<&mut Factor>, dose: Option<&mut Factor>) {
        let (loose, spent, fast) = (&mut patch.loose[dye], &mut patch.spent[dye], &mut patch.fast[dye]);
        let veil = unveil([loose, spent, fast]);
        self.lie_on(dye, [loose, spent, fast], carry, dose);
        if let Some(veil) = veil {
            veil_again(&veil, [loose, spent, fast]);
        }
    }

    fn lie_on(
        &self,
        dye: usize,
        [loose, spent, fast]: [&mut Plane; 3],
        carry: Option<&mut Factor>,
        dose: Option<&mut Factor>,
    ) {
        let ((rate, last), light) = (self.rates[dye], self.light[dye]);
        let (mut carry, mut dose) = (carry, dose);
        if let (Some(carry), Some(dose)) = (&mut carry, &mut dose)
            && let (Some(carry), Some(dose)) = (carry.meeting(loose), dose.meeting(loose))
            && there_too([&mut *spent, &mut *fast], loose, (dose.lattice, dose.rect))
            && let Some([loose, spent, fast]) = alike([&mut *loose, &mut *spent, &mut *fast], (dose.lattice, dose.rect))
        {
            lie_row(&Dyed { rate, last, light }, &carry.data, &dose.data, loose, spent, fast);
            return;
        }
        if let Some(carry) = carry {
            times(loose, carry);
            times(spent, carry);
        }
        if let Some(seconds) = dose.and_then(|dose| dose.meeting(loose)) {
            let (lattice, rect) = (seconds.lattice, seconds.rect);
            let mut there = std::mem::take(loose).into_detail(lattice, rect);
            let mut reacted = Grid::flat(lattice, rect, 0.0);
            react_row(rate, &seconds.data, &mut there.data, &mut reacted.data);
            *loose = Plane::Grid(there);
            add_share(spent, &reacted, 1.0 - last);
            add_share(fast, &reacted, last);
        }
        loose.scale(light.0);
        spent.scale(light.0);
        fast.scale(light.1);
    }
}

/// Makes room for what comes into being where the loose dye is known on `detail`: then one pass does everything. False if
/// it is known otherwise, and nothing is changed.
fn there_too(planes: [&mut Plane; 2], loose: &Plane, (lattice, rect): (Lattice, Rect)) -> bool {
    if !matches!(loose, Plane::Grid(grid) if (grid.lattice, grid.rect) == (lattice, rect)) {
        return false;
    }
    for plane in planes.into_iter().filter(|plane| plane.is_zero()) {
        *plane = Plane::Grid(Grid::flat(lattice, rect, 0.0));
    }
    true
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
