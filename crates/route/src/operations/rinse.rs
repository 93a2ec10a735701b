//! Rinse: clean water takes out loose and hydrolysed dye, soda ash and silicate.
//!
//! Each rinse comes to equilibrium: `(K + p) / (K + p + LR)` of the unbound dye stays. Dye that has been in the water
//! does not go back to where it came from: a part of what stays lies evenly over the whole cloth, which is how
//! white places stain when there are too few rinses.

use crate::kinetics::{UNBOUND_LIMIT, rinse_left, rinses_needed};
use crate::prelude::*;
use colour::DyeCard;

/// The static side.
pub static KIND: Kind = Kind {
    key: "rinse",
    term: Term {
        key: "rinse",
        text: Text::new("Rinse", "Bilas"),
        gloss: Text::new(
            "Wash out what is not bound, in clean water.",
            "Bilas yang tidak terikat dengan air bersih.",
        ),
    },
    model: 1,
    settings: &[Setting {
        key: "times",
        term: Term {
            key: "times",
            text: Text::new("Rinses", "Kali bilas"),
            gloss: Text::new("Each in fresh water.", "Masing-masing dengan air baru."),
        },
        shape: Shape::Quantity {
            measure: Measure::Count,
            least: 1.0,
            most: 12.0,
        },
        default: Some("3 x"),
        source: "3-5 rinses including a boil bring unbound dye to 0.002 % owf (mass balance)",
    }],
    constants: &[CARRIED, STAIN],
    cautions: &[Caution {
        code: "effluent",
        text: Text::new(
            "Rinse water is alkaline and coloured: gloves; to the colour tank, not into the ditch. Local rules go first.",
            "Air bilasan basa dan berwarna: pakai sarung tangan; alirkan ke bak warna, bukan ke selokan. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[Ask {
        term: Term {
            key: "rinses-done",
            text: Text::new("Rinses done", "Bilasan dilakukan"),
            gloss: Text::new("Until the water stays clear.", "Sampai air tetap jernih."),
        },
        measure: Measure::Count,
    }],
    timed: None,
    make: |values| Arc::new(Rinse { values }),
};

const CARRIED: Constant = Constant {
    key: "rinse.carried",
    text: Text::new("Liquor that wrung cloth carries", "Larutan terbawa kain peras"),
    measure: Measure::PerMass,
    value: 1e-3,
    factor: 1.3,
    source: "wrung by hand 80-120 % (from memory, handbook range)",
};
const STAIN: Constant = Constant {
    key: "rinse.evened",
    text: Text::new(
        "Unbound dye that a rinse spreads over all the cloth",
        "Pewarna lepas yang tersebar ke seluruh kain saat dibilas",
    ),
    measure: Measure::Share,
    value: 0.10,
    factor: 3.0,
    source: "own estimate; sew a white patch to the cloth and read its stain",
};
/// Liquor ratio where the workshop has named no trough, L/kg (common practice, no source).
const RATIO: f64 = 20.0;

struct Rinse {
    values: Values,
}

/// Unbound dye of each kind: what stays in its place, and what lies evenly over the cloth, g/kg.
struct RinseHand {
    local: [f32; DYES],
    even: [(f32, f32); DYES],
    water: f32,
}

impl Hand for RinseHand {
    fn act(&self, patch: &mut Patch) {
        for dye in 0..DYES {
            let (local, (loose, spent)) = (self.local[dye], self.even[dye]);
            for (plane, even) in [(&mut patch.loose[dye], loose), (&mut patch.spent[dye], spent)] {
                if local == 0.0 {
                    *plane = Plane::Flat(even);
                } else if even == 0.0 {
                    plane.scale(local);
                } else {
                    plane.map(|v| v * local + even);
                }
            }
        }
        patch.soda = Plane::Zero;
        patch.water = Plane::Flat(self.water);
    }
}

/// Bolts that the trough takes at once.
fn bolts(lot: &LotShape, shop: &Workshop) -> f64 {
    (shop.load("trough", lot.cloth.length).0 / lot.cloth.length.0 + 1e-9)
        .floor()
        .max(1.0)
}

/// Litres of water per kilogram of cloth in the workshop's trough.
pub fn liquor_ratio(lot: &LotShape, shop: &Workshop) -> f64 {
    let cloth = bolts(lot, shop) * lot.mass().0;
    if cloth > 0.0 {
        shop.volume("trough", RATIO * cloth / 1000.0) * 1000.0 / cloth
    } else {
        RATIO
    }
}

/// Share of a dye's unbound part that stays in one rinse at a liquor ratio, L/kg.
pub fn left_once(card: &DyeCard, ratio: f64, shop: &Workshop) -> f64 {
    rinse_left(
        card.affinity.value * 1000.0,
        shop.constants.get(&CARRIED) * 1000.0,
        ratio,
    )
}

/// After so many rinses of `left` each: the share that stays where it was, and the share that lies evenly.
fn parts(left: f64, evened: f64, times: i32) -> (f64, f64) {
    let (all, kept) = (left.powi(times), (1.0 - evened).powi(times));
    (all * kept, all * (1.0 - kept))
}

impl Rinse {
    fn times(&self) -> i32 {
        self.values.si("times").round() as i32
    }

    /// `unbound` is what the bolt carries before, g/kg on average. What ends below the limit of washing fastness is
    /// too little to see where it lies, and is taken to lie evenly: later steps then need not follow it point by point.
    fn parts(&self, card: &DyeCard, unbound: f64, lot: &LotShape, shop: &Workshop) -> (f64, f64) {
        let left = left_once(card, liquor_ratio(lot, shop), shop);
        let (local, even) = parts(left, shop.constants.get(&STAIN).clamp(0.0, 1.0), self.times());
        if unbound * (local + even) < UNBOUND_LIMIT {
            (0.0, local + even)
        } else {
            (local, even)
        }
    }
}

impl Operation for Rinse {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let ratio = liquor_ratio(before.lot, before.shop);
        let mut findings = Vec::new();
        for (dye, card) in before.design.dyes.iter().enumerate().take(DYES) {
            let unbound = before.means.mean(|z| z.loose[dye] + z.spent[dye]);
            let left = left_once(card, ratio, before.shop);
            let need = rinses_needed(unbound, left, UNBOUND_LIMIT);
            if need.is_some_and(|n| f64::from(n) <= f64::from(self.times())) {
                continue;
            }
            let after = unbound * left.powi(self.times());
            let mut finding = Finding::new(
                "rinse-too-few",
                Weight::Doubtful,
                here(before, Some("times")),
                say!(
                    "{dye}: {unbound} % owf is not bound; after these rinses {after} % is left",
                    "{dye}: {unbound} % owf tidak terikat; setelah bilasan ini tersisa {after} %",
                    dye = Arg::Name(card.name.clone()),
                    unbound = Arg::Number(unbound / 10.0, 2),
                    after = Arg::Number(after / 10.0, 4)
                ),
            )
            .allow(say!(
                "0.002 % owf for good fastness to washing",
                "0,002 % owf supaya tahan cuci"
            ));
            if let Some(n) = need {
                finding = finding.remedy(say!(
                    "{n} rinses; a boil counts for more than one",
                    "{n} kali bilas; satu rebusan dihitung lebih dari satu",
                    n = Arg::Number(f64::from(n), 0)
                ));
            }
            findings.push(finding);
        }
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let mut lost = Vec::new();
        for (dye, card) in design.dyes.iter().enumerate().take(DYES) {
            let before = means.dye(dye);
            let (loose, spent) = (means.mean(|z| z.loose[dye]), means.mean(|z| z.spent[dye]));
            let (local, even) = self.parts(card, loose + spent, lot, shop);
            for zone in means.zones_mut() {
                zone.loose[dye] = zone.loose[dye] * local + loose * even;
                zone.spent[dye] = zone.spent[dye] * local + spent * even;
            }
            let gone = before - means.dye(dye);
            if gone > 0.0 {
                lost.push((dye, Fate::Drain, gone));
            }
        }
        means.soda = 0.0;
        means.soda_cover = 0.0;
        means.water = shop.constants.get(&CARRIED) * 1000.0;
        let litres = liquor_ratio(lot, shop) * lot.mass().0 * f64::from(self.times());
        Takes {
            per_bolt: vec![draw_water(litres)],
            lost,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let mut hand = RinseHand {
            local: [1.0; DYES],
            even: [(0.0, 0.0); DYES],
            water: (before.shop.constants.get(&CARRIED) * 1000.0) as f32,
        };
        for (dye, card) in before.design.dyes.iter().enumerate().take(DYES) {
            let unbound = before.means.mean(|z| z.loose[dye] + z.spent[dye]);
            let (local, even) = self.parts(card, unbound, before.lot, before.shop);
            hand.local[dye] = local as f32;
            let mean = |of: fn(&Zone) -> &[f64; DYES]| (before.means.mean(|z| of(z)[dye]) * even) as f32;
            hand.even[dye] = (mean(|z| &z.loose), mean(|z| &z.spent));
        }
        Arc::new(hand)
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let times = f64::from(self.times());
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("trough"), Use::whole("helper")],
            work: Work::minutes(2.0 * times, 3.5 * times, 6.0 * times),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let water = takes
            .per_bolt
            .first()
            .map_or(Quantity::new(0.0, Measure::Volume), |dose| dose.amount);
        let times = self.values.si("times").round();
        Instructions {
            lines: vec![
                say!(
                    "Rinse {n} times, each time in fresh water ({water} in all for this bolt); move the cloth, do not leave it lying.",
                    "Bilas {n} kali, tiap kali air baru (total {water} untuk gulung ini); kain digerakkan, jangan didiamkan.",
                    n = Arg::Number(times, 0),
                    water = Arg::Quantity(water)
                ),
                say!(
                    "Wring between rinses: what drips off need not be diluted.",
                    "Peras di antara bilasan: yang menetes tidak perlu diencerkan."
                ),
            ],
            done_when: say!(
                "the last water is clear and the cloth no longer feels slippery",
                "air terakhir jernih dan kain tidak terasa licin"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::parts;

    #[test]
    fn what_stays_is_the_same_however_it_is_spread() {
        for times in 1..6 {
            let (local, even) = parts(0.2308, 0.1, times);
            assert!((local + even - 0.2308f64.powi(times)).abs() < 1e-15);
            assert!(even > 0.0 && local > 0.0);
        }
    }
}
