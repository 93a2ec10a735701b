//! What a load does to the bath: cloth and air take their share of the chlorine, the dye that is cleared its own.

use super::{Bleach, CHLORINE};
use crate::baths::bolts_in;
use crate::chlorine::{Chlorine, Demand};
use crate::prelude::*;

pub(super) const USED: Constant = Constant {
    key: "bleach.used-per-bolt",
    text: Text::new("Chlorine used up by a bolt, its dye apart", "Klorin terpakai per gulung, di luar pewarnanya"),
    measure: Measure::Share,
    value: 0.08,
    factor: 2.0,
    source: "5-20 % per 15 yd bolt at liquor ratio 15-20, dye included (own estimate)",
};
pub(super) const DYE: Constant = Constant {
    key: "bleach.used-per-dye",
    text: Text::new("Chlorine used up by dye, by its mass", "Klorin terpakai oleh pewarna, menurut massanya"),
    measure: Measure::Share,
    value: 0.5,
    factor: 3.0,
    source: "4-10 mol of chlorine (Cl2) break a molecule of 600-1000 g/mol (own estimate)",
};
pub(super) const CARRIED: Constant = Constant {
    key: "bleach.carried",
    text: Text::new("Liquor carried out by drained cloth", "Larutan terbawa kain setelah tiris"),
    measure: Measure::PerMass,
    value: 1.0e-3,
    factor: 1.4,
    source: "drained cloth 0.8-1.5 L/kg (from memory)",
};
/// Tank of a workshop that names none, m3.
pub(super) const TANK: f64 = 0.115;
/// A load that uses up more of its bath than this finds it too weak at the end.
pub(super) const STARVED: f64 = 0.5;

/// Bolts of this cloth that go into the tank together.
pub(super) fn bolts_in_load(cloth: &crate::Cloth, shop: &Workshop) -> f64 {
    f64::from(bolts_in(shop.load("tank", cloth.length), cloth.length))
}

/// Share of its chlorine that one load of this cloth uses beside its dye, 0..1.
pub fn used_by_load(cloth: &crate::Cloth, shop: &Workshop) -> f64 {
    1.0 - (1.0 - shop.constants.get(&USED)).powf(bolts_in_load(cloth, shop))
}

/// Available chlorine, g/L of the tank, that the dye of one load takes; `cleared` g of dye per kg of cloth.
pub fn used_by_dye(cleared: f64, lot: &LotShape, shop: &Workshop) -> f64 {
    let cloth = lot.mass().0 * bolts_in_load(&lot.cloth, shop);
    shop.constants.get(&DYE) * cleared * cloth / (1000.0 * shop.volume("tank", TANK))
}

/// Liquor that drained cloth carries out of the tank, L/kg.
pub fn carried(shop: &Workshop) -> f64 {
    shop.constants.get(&CARRIED) * 1000.0
}

/// Where that comes from.
pub fn carried_origin(shop: &Workshop) -> words::Origin {
    shop.constants.known(&CARRIED).origin
}

impl Bleach {
    /// The bath with a load of the cloth in it.
    ///
    /// Creep is taken as deep as it ends: what it opens takes its chlorine from the beginning, a little early.
    pub(super) fn tank(&self, means: &Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Chlorine {
        let time = self.values.si("time").max(1.0);
        let fades = -(1.0 - used_by_load(&lot.cloth, shop)).max(0.01).ln() / time;
        let crept = self.crept(means);
        let zones = [(&means.ground, 1.0, 1.0), (&means.motif, 1.0, crept), (&means.motif, means.leak, 1.0 - crept)];
        let mut demands = Vec::new();
        for (dye, rate, residue) in self.rates(design) {
            for (zone, access, part) in zones {
                let dyed = zone.share * part * (zone.loose[dye] + zone.spent[dye] + zone.fast[dye]);
                let takes = used_by_dye((1.0 - residue) * dyed, lot, shop) / CHLORINE;
                if rate * access * takes > 0.0 {
                    demands.push(Demand { rate: rate * access, takes });
                }
            }
        }
        Chlorine { start: self.values.si("chlorine") / CHLORINE, fades, demands }
    }

    /// Dose of bare fibre, M s, and what it ends with, M: the bath while the load weakens it, and the lag at the strength
    /// that is left.
    pub(super) fn dose(&self, means: &Means, design: &Design, lot: &LotShape, shop: &Workshop) -> (f64, f64) {
        let tank = self.tank(means, design, lot, shop);
        let in_bath = tank.dose(self.values.si("time"));
        let end = tank.at(in_bath);
        (in_bath + end * self.values.si("lag"), end)
    }
}
