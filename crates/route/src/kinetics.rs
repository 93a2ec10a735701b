//! What unbound dye does in time: binds, loses itself to water, washes out. One set of rate functions, used by
//! the tally of a bolt and by its picture alike.

use crate::detail::{add_share, alike, unveil, veil_again};
use crate::{DYES, Patch, Zone};
use colour::DyeCard;
use colour::dye::{Shares, competing};
use field::{Plane, exp};
use units::{Celsius, Span};

/// Unbound dye that finished cloth may keep and still be fast to washing, g/kg: 0.002 % owf (Broadbent, Basic
/// Principles of Textile Coloration, SDC 2001, p. 344).
pub const UNBOUND_LIMIT: f64 = 0.02;

/// Below this much water, kg/kg, dye neither moves nor reacts: migration is seen to stop at 25-30 % (from
/// memory); dry cloth does not react.
pub const WET: f64 = 0.3;

/// Soda ash on wet cloth, kg/m2, at which its alkalinity has reached 1 - 1/e of its full effect. Some 0.1 kg/m2 of
/// water in the cloth: 2 g/m2 is a 20 g/L solution, near pH 11.5, beyond which more powder adds little (own
/// estimate, within a factor of 3).
pub const ALKALINE_SODA: f64 = 0.002;

/// What a rest in alkali does to dye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rested {
    /// Bound, over what would be bound in the end, 0..1.
    pub of_final: f64,
    /// Dye that is not bound, loose and hydrolysed together, g/kg: must be washed out.
    pub unbound: f64,
}

/// `depth` g/kg of loose dye after a rest, wet and alkaline.
pub fn rested(card: &DyeCard, depth: f64, rest: Span, cloth: Celsius) -> Rested {
    let shares = card.fixation.shares(rest, cloth);
    let last = card.fixation.final_share.value;
    Rested {
        of_final: if last > 0.0 { shares.bound / last } else { 0.0 },
        unbound: depth * (1.0 - shares.bound),
    }
}

/// Binding where soda ash lies: the card's rates, weighed by how alkaline the place is (0..1).
pub fn at_soda(card: &DyeCard, alkaline: f64, wet: Span, cloth: Celsius) -> Shares {
    let (rate, last) = (
        card.fixation_rate(cloth) * alkaline,
        card.fixation.final_share.value,
    );
    competing(rate * last, rate * (1.0 - last), wet.0)
}

/// How alkaline wet cloth is under soda ash (kg/m2), 0..1.
#[inline(always)]
pub fn alkaline(soda: f32) -> f32 {
    1.0 - exp(-soda * (1.0 / ALKALINE_SODA as f32))
}

/// Share of unbound dye that stays in the cloth in a rinse that reaches equilibrium: `(K + p) / (K + p + LR)`, with
/// affinity K, liquor carried over p and liquor ratio LR, all L/kg. Textbook mass balance; without affinity it is
/// the dilution of the liquor that the cloth brings.
pub fn rinse_left(affinity: f64, carried: f64, liquor: f64) -> f64 {
    let held = affinity + carried;
    if held + liquor > 0.0 {
        held / (held + liquor)
    } else {
        1.0
    }
}

/// Rinses until no more than `limit` of `unbound` dye is left, each leaving the share `left`. `None` if rinsing
/// never gets there.
pub fn rinses_needed(unbound: f64, left: f64, limit: f64) -> Option<u32> {
    if unbound <= limit {
        return Some(0);
    }
    if !(left < 1.0 && limit > 0.0) {
        return None;
    }
    if left <= 0.0 {
        return Some(1);
    }
    // A hair of slack, so that rounding does not ask for one rinse more.
    let times = (unbound / limit).ln() / -left.ln();
    Some((times - 1e-9).ceil() as u32)
}

impl Zone {
    /// Loose dye of one kind reacts.
    pub(crate) fn react(&mut self, dye: usize, shares: &Shares) {
        let loose = self.loose[dye];
        self.fast[dye] += loose * shares.bound;
        self.spent[dye] += loose * shares.spent;
        self.loose[dye] = loose * shares.loose;
    }
}

impl Patch {
    /// A bath leaves the share `kept` of unbound dye on the cloth, which reacts alike all over the tile. Shares of
    /// each dye as f32: bound, spent, loose.
    pub(crate) fn react(&mut self, kept: f32, shares: &[[f32; 3]; DYES]) {
        for (dye, [bound, spent, loose]) in shares.iter().enumerate() {
            let (from, lost, fast) = (&mut self.loose[dye], &mut self.spent[dye], &mut self.fast[dye]);
            let veil = unveil([from, lost, fast]);
            react_planes(kept, [*bound, *spent, *loose], from, lost, fast);
            if let Some(veil) = veil {
                veil_again(&veil, [from, lost, fast]);
            }
        }
    }
}

/// One dye reacts alike everywhere. Shares: bound, spent, loose.
fn react_planes(kept: f32, shares: [f32; 3], from: &mut Plane, lost: &mut Plane, fast: &mut Plane) {
    let [bound, spent, loose] = shares;
    if let (true, Plane::Grid(grid)) = (kept != 0.0 && loose != 0.0, &*from) {
        let detail = (grid.lattice, grid.rect);
        // One pass where planes are alike: what this takes is memory, not arithmetic.
        if let Some([from, lost, fast]) = alike([&mut *from, &mut *lost, &mut *fast], detail) {
            react_row(kept, shares, from, lost, fast);
            return;
        }
    }
    from.scale(kept);
    lost.scale(kept);
    if from.is_zero() {
        return;
    }
    for (share, to) in [(bound, fast), (spent, lost)] {
        match from {
            Plane::Grid(grid) if share > 0.0 => add_share(to, grid, share),
            _ if share > 0.0 => {
                let mut part = from.clone();
                part.scale(share);
                to.add(&part);
            }
            _ => {}
        }
    }
    from.scale(loose);
}

field::lanes! {
    fn react_row(kept: f32, shares: [f32; 3], loose: &mut [f32], spent: &mut [f32], fast: &mut [f32]) {
        let n = loose.len();
        let (spent, fast) = (&mut spent[..n], &mut fast[..n]);
        let [bound, lost, stays] = shares;
        for i in 0..n {
            let from = loose[i] * kept;
            fast[i] += bound * from;
            spent[i] = spent[i] * kept + lost * from;
            loose[i] = from * stays;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{rinse_left, rinses_needed};

    /// Facts of dilution, checked by hand: 1/21, 1/441, 1/9261; with an affinity of 5 L/kg 6/26 a rinse.
    #[test]
    fn a_rinse_leaves_what_the_mass_balance_says() {
        assert!((rinse_left(0.0, 1.0, 20.0) - 1.0 / 21.0).abs() < 1e-15);
        assert!((rinse_left(0.0, 1.0, 20.0).powi(2) - 0.002_268).abs() < 1e-6);
        assert!((rinse_left(0.0, 1.0, 20.0).powi(3) - 0.000_108).abs() < 1e-6);
        assert!((rinse_left(5.0, 1.0, 20.0) - 0.2308).abs() < 1e-4);
    }

    /// From 0.3 % owf to 0.002 %: a factor of 150 in 1.65, 2.5, 3.4, 4.8 rinses at K = 0, 2, 5, 10 L/kg.
    #[test]
    fn rinses_to_the_limit_of_washing_fastness() {
        for (affinity, exact, whole) in [(0.0, 1.65, 2), (2.0, 2.46, 3), (5.0, 3.42, 4), (10.0, 4.84, 5)] {
            let left: f64 = rinse_left(affinity, 1.0, 20.0);
            assert!((150f64.ln() / -left.ln() - exact).abs() < 0.01, "{affinity}");
            assert_eq!(rinses_needed(3.0, left, 0.02), Some(whole), "{affinity}");
        }
        assert_eq!(rinses_needed(0.02, 0.2, 0.02), Some(0));
        assert_eq!(rinses_needed(0.5, 1.0, 0.02), None);
        // Exactly three rinses of a tenth each.
        assert_eq!(rinses_needed(20.0, 0.1, 0.02), Some(3));
    }
}
