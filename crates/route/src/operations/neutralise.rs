//! Neutralise: bleached cloth is rinsed and goes through a dilute tub of sodium metabisulfite (antichlor).
//!
//! Dose = chlorine that the cloth carries x field dose x margin, where the cloth carries what a drained load takes out of
//! the bath at the strength titrated before it went in. Nothing is taken off for what the load used up, nor for the rinse
//! that keeps acid and bleach apart: both are guesses, and the dose errs to the safe side. The design only knows the
//! strength it asks for, so the card also says the dose for each g/L of what is titrated. The cloth's soda ash goes with
//! the tub's water. What is left out: unbound dye that comes off here; on bare cloth the bleach has destroyed it, and wax
//! covers the rest.
//!
//! A tank that is emptied needs many times this dose, and that is another sheet: see [`antichlor_for_dump`].

use crate::Constants;
use super::bleach::carried;
use crate::prelude::*;
use units::{Length, Mass};

/// The static side.
pub static KIND: Kind = Kind {
    key: "neutralise",
    term: Term {
        key: "neutralise",
        text: Text::new("Neutralise the bleach", "Netralkan klorin"),
        gloss: Text::new(
            "Antichlor in its own dilute tub stops the bleach that is left in the cloth.",
            "Penetral klorin di bak encer tersendiri menghentikan sisa pemutih di kain.",
        ),
    },
    model: 1,
    settings: &[Setting {
        key: "time",
        term: Term {
            key: "time",
            text: Text::new("Time in the tub", "Lama di bak"),
            gloss: Text::new("Moved all the time.", "Terus digerakkan."),
        },
        shape: Shape::Quantity {
            measure: Measure::Span,
            least: 60.0,
            most: 3600.0,
        },
        default: Some("5 min"),
        source: "common practice, no source; the paper test decides",
    }],
    constants: &[FIELD_DOSE, MARGIN, CARRIED, LASTS],
    cautions: &[
        Caution {
            code: "antichlor-acid",
            text: Text::new(
                "Metabisulfite is acid and smells of sulfur dioxide: only in its own dilute tub, only for rinsed cloth. \
                 NEVER into the bleach and never bleach into it: poisonous gas. Local rules and a licensed person come \
                 first.",
                "Metabisulfit bersifat asam dan berbau belerang dioksida: hanya di bak encer tersendiri, hanya untuk \
                 kain yang sudah dibilas. JANGAN tuang ke pemutih atau sebaliknya. Gas beracun. Ikuti aturan setempat \
                 dan petugas berizin.",
            ),
        },
        Caution {
            code: "chlorine",
            text: Text::new(
                "The cloth still carries bleach: goggles and gloves, open air.",
                "Kain masih membawa pemutih: pakai kacamata dan sarung tangan, udara terbuka.",
            ),
        },
    ],
    asks: &[
        Ask {
            term: Term {
                key: "paper-spots",
                text: Text::new(
                    "Blue spots on starch-iodide paper",
                    "Bintik biru pada kertas kanji-iodida",
                ),
                gloss: Text::new(
                    "On three places of each bolt; none may show.",
                    "Pada tiga tempat tiap gulung; tidak boleh ada.",
                ),
            },
            measure: Measure::Count,
        },
        Ask {
            term: Term {
                key: "into-tub",
                text: Text::new("From the bleach to the tub", "Dari pemutih sampai bak"),
                gloss: Text::new(
                    "By the clock; the bleach works until then.",
                    "Menurut jam; pemutih bekerja sampai saat itu.",
                ),
            },
            measure: Measure::Span,
        },
    ],
    timed: None,
    make: |values| Arc::new(Neutralise { values }),
};

const FIELD_DOSE: Constant = Constant {
    key: "neutralise.field-dose",
    text: Text::new(
        "Metabisulfite per available chlorine, by mass",
        "Metabisulfit per klorin aktif, menurut massa",
    ),
    measure: Measure::Count,
    value: 1.47,
    factor: 1.05,
    source: "field dose at pH 7, AWWA field guide on disposal of chlorinated water, table 7-2; the equation needs 1.341",
};
const MARGIN: Constant = Constant {
    key: "neutralise.margin",
    text: Text::new("Margin on the dose", "Cadangan takaran"),
    measure: Measure::Count,
    value: 1.2,
    factor: 1.1,
    source: "common practice, no source",
};
const CARRIED: Constant = Constant {
    key: "neutralise.carried",
    text: Text::new(
        "Liquor carried out by drained cloth",
        "Larutan terbawa kain setelah tiris",
    ),
    measure: Measure::PerMass,
    value: 1.0e-3,
    factor: 1.4,
    source: "drained cloth 0.8-1.5 L/kg (from memory)",
};
const LASTS: Constant = Constant {
    key: "neutralise.bath-lasts",
    text: Text::new(
        "Bolts until the tub's water is changed",
        "Jumlah gulung sampai air bak diganti",
    ),
    measure: Measure::Count,
    value: 6.0,
    factor: 2.0,
    source: "own estimate: what is used up leaves salt and acid in the water",
};
/// Liquor ratio where the workshop has named no tub, L/kg (common practice, no source).
const RATIO: f64 = 10.0;
/// A tub above this strength is not dilute, kg/m3 (own estimate: ten times what drained cloth needs).
const DILUTE: f64 = 3.0;
/// Chlorine below which there is nothing to neutralise, g/kg.
const NONE: f64 = 1e-4;

/// Metabisulfite for this much available chlorine.
pub fn antichlor(chlorine: Mass, constants: &Constants) -> Mass {
    chlorine * constants.get(&FIELD_DOSE) * constants.get(&MARGIN)
}

/// Metabisulfite before a tank of bleach is emptied: `volume` in m3, `strength` in kg/m3 (g/L) of available chlorine
/// as titrated on that day. It belongs on the tank's own sheet and never beside the dose for cloth.
pub fn antichlor_for_dump(volume: f64, strength: f64, constants: &Constants) -> Mass {
    antichlor(Mass(volume * strength), constants)
}

/// Metabisulfite for this much drained cloth out of a bath of `strength` kg/m3 (g/L) of available chlorine, as titrated
/// before the cloth went in: what the load used up is not taken off.
pub fn antichlor_for_cloth(cloth: Mass, strength: f64, shop: &Workshop) -> Mass {
    antichlor(Mass(cloth.0 * carried(shop) * strength / 1000.0), &shop.constants)
}

/// Where a dose of antichlor comes from: the weaker of its two constants.
pub fn antichlor_origin(constants: &Constants) -> words::Origin {
    let (dose, margin) = (
        constants.known(&FIELD_DOSE).origin,
        constants.known(&MARGIN).origin,
    );
    dose.weaker(&margin).clone()
}

/// Where the dose for cloth comes from: the weakest of what it rests on.
pub fn antichlor_for_cloth_origin(shop: &Workshop) -> words::Origin {
    let carried = super::bleach::carried_origin(shop);
    antichlor_origin(&shop.constants).weaker(&carried).clone()
}

struct Neutralise {
    values: Values,
}

/// Soda ash goes with the water; chlorine is kept per bolt, not per place.
struct NeutraliseHand {
    soda: f32,
    water: f32,
}

impl Hand for NeutraliseHand {
    fn act(&self, patch: &mut Patch) {
        patch.soda.scale(self.soda);
        patch.water = Plane::Flat(self.water);
    }
}

/// The tub in this workshop.
struct Tub {
    load: Length,
    bolts: f64,
    volume: f64,
}

impl Tub {
    fn of(lot: &LotShape, shop: &Workshop) -> Self {
        let load = shop.load("tub", lot.cloth.length);
        let bolts = (load.0 / lot.cloth.length.0 + 1e-9).floor().max(1.0);
        Self {
            load,
            bolts,
            volume: shop.volume("tub", RATIO / 1000.0 * bolts * lot.mass().0),
        }
    }
    /// Share of something dissolved that stays: one rinse, `p / (p + LR)`.
    fn stays(&self, lot: &LotShape, shop: &Workshop) -> f64 {
        let (carried, ratio) = (
            shop.constants.get(&CARRIED),
            self.volume / (self.bolts * lot.mass().0),
        );
        if carried + ratio > 0.0 {
            carried / (carried + ratio)
        } else {
            1.0
        }
    }
}

/// Metabisulfite for one bolt.
fn dose(means: &Means, lot: &LotShape, shop: &Workshop) -> Mass {
    let carries = means.chlorine.max(means.chlorine_most);
    antichlor(Mass(carries / 1000.0 * lot.mass().0), &shop.constants)
}

impl Operation for Neutralise {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.chlorine < NONE {
            findings.push(Finding::new(
                "neutralise-nothing",
                Weight::Note,
                here(before, None),
                say!(
                    "the cloth carries no chlorine here",
                    "kain tidak membawa klorin di sini"
                ),
            ));
        }
        let tub = Tub::of(before.lot, before.shop);
        let strength = dose(before.means, before.lot, before.shop).0 * tub.bolts / tub.volume;
        if strength > DILUTE {
            findings.push(
                Finding::new(
                    "neutralise-strong",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the tub comes to {strength} of metabisulfite, which is not dilute",
                        "bak menjadi {strength} metabisulfit, tidak encer lagi",
                        strength = Arg::Quantity(Quantity::new(strength, Measure::PerVolume))
                    ),
                )
                .allow(say!(
                    "at most {most}",
                    "paling banyak {most}",
                    most = Arg::Quantity(Quantity::new(DILUTE, Measure::PerVolume))
                ))
                .remedy(say!(
                    "take a larger tub, or let the cloth drain first",
                    "pakai bak lebih besar, atau tiriskan dulu"
                )),
            );
        }
        if before.means.folded {
            findings.push(
                Finding::new(
                    "neutralise-folded",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the cloth is scrunched: the tub does not reach its inside",
                        "kain berkerut: bagian dalam tidak terjangkau bak"
                    ),
                )
                .remedy(say!(
                    "open it before this step",
                    "buka dahulu sebelum langkah ini"
                )),
            );
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let tub = Tub::of(lot, shop);
        let metabisulfite = dose(means, lot, shop);
        means.chlorine = 0.0;
        means.chlorine_most = 0.0;
        means.soda *= tub.stays(lot, shop);
        means.water = shop.constants.get(&CARRIED) * 1000.0;
        Takes {
            bath: Some(Bath {
                name: &KIND.term,
                vessel: "tub",
                volume: tub.volume,
                charge: vec![draw_water(tub.volume * 1000.0)],
                lasts_bolts: shop.constants.get(&LASTS).max(tub.bolts) as u32,
                load: tub.load,
                care: Text::new(
                    "Dissolve the dose in the tub before each load. It is for the design's strength: go by what was \
                     titrated before the load, twice as strong, twice the dose. Only rinsed cloth goes in. This sheet is \
                     for cloth: a tank that is emptied has its own sheet.",
                    "Larutkan takaran di bak sebelum tiap muatan. Takaran ini untuk kekuatan menurut desain: ikuti hasil \
                     titrasi sebelum muatan, dua kali kuat berarti dua kali takaran. Hanya kain yang sudah dibilas. \
                     Lembar ini untuk kain: bak yang akan dibuang punya lembar sendiri.",
                ),
            }),
            per_bolt: vec![Dose {
                stuff: Stuff::Material(&store::METABISULFITE),
                amount: Quantity::new(metabisulfite.0, Measure::Mass),
                origin: Some(antichlor_for_cloth_origin(shop)),
            }],
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        Arc::new(NeutraliseHand {
            soda: Tub::of(before.lot, before.shop).stays(before.lot, before.shop) as f32,
            water: (before.shop.constants.get(&CARRIED) * 1000.0) as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Vec<Occupancy> {
        let time = self.values.si("time") / 60.0;
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("tub"), Use::several("helper", 2)],
            // With the rinse before and after: 15-20 min (own estimate).
            work: Work::minutes(time + 5.0, time + 12.0, time + 20.0),
            calendar: "shop",
            may_pause: false,
            batch: Some(Batch {
                vessel: "tub".to_string(),
                capacity: Tub::of(lot, shop).load,
            }),
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, lot: &LotShape, shop: &Workshop) -> Instructions {
        let mass = takes
            .per_bolt
            .first()
            .map_or(Quantity::new(0.0, Measure::Mass), |dose| dose.amount);
        let per_strength = antichlor_for_cloth(lot.mass(), 1.0, shop);
        let strength = |si: f64| Arg::Quantity(Quantity::new(si, Measure::PerVolume));
        Instructions {
            lines: vec![
                say!(
                    "Before the bleach is pulled: dissolve {mass} of sodium metabisulfite a bolt in the tub, if the bleach was titrated at {strength} before this load.",
                    "Sebelum kain diangkat dari pemutih: larutkan {mass} natrium metabisulfit per gulung di bak, bila titrasi pemutih sebelum muatan ini {strength}.",
                    mass = Arg::Quantity(mass),
                    strength = strength(mass.si / per_strength.0)
                ),
                say!(
                    "Titrated otherwise, or strengthened: {mass} a bolt for each {unit} that it held. Never less because it looks weak.",
                    "Bila titrasi lain, atau bak dikuatkan: {mass} per gulung untuk tiap {unit} isinya. Jangan dikurangi karena tampak lemah.",
                    mass = Arg::Quantity(Quantity::new(per_strength.0, Measure::Mass)),
                    unit = strength(1.0)
                ),
                say!(
                    "Rinse the bleached cloth once in clean water, quickly.",
                    "Bilas kain satu kali di air bersih, cepat."
                ),
                say!(
                    "Into the tub for {time}, moving it; then rinse once.",
                    "Masukkan ke bak {time}, gerakkan; lalu bilas satu kali.",
                    time = self.values.arg("time")
                ),
                say!(
                    "Press starch-iodide paper on three places of each bolt.",
                    "Tekan kertas kanji-iodida di tiga tempat tiap gulung."
                ),
            ],
            done_when: say!(
                "the paper stays white on all three places",
                "kertas tetap putih di ketiga tempat"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{antichlor, antichlor_for_dump};
    use crate::Constants;
    use units::Mass;

    /// AWWA field dose 1.47 with a fifth in hand, by paper: 3 x 1.92 kg x 1 L/kg x 1.5 g/L = 8.64 g of chlorine,
    /// 15.24 g of metabisulfite; 115 L x 1.5 g/L = 172.5 g, 304.3 g.
    #[test]
    fn fifteen_grams_for_cloth_and_304_for_the_tank() {
        let constants = Constants::default();
        let cloth = antichlor(Mass(3.0 * 1.92 * 1.0 * 1.5 / 1000.0), &constants);
        assert!((cloth.to_g() - 15.24).abs() < 0.005, "{cloth:?}");
        assert_eq!(antichlor_for_dump(0.115, 1.5, &constants).to_g().round(), 304.0);
    }

    /// The margin covers the equation: Na2S2O5 + 2 Cl2 takes 190.107 / 141.81 = 1.341 g per g (molar masses of IUPAC 2021).
    #[test]
    fn the_dose_is_more_than_the_equation_asks() {
        let dose = antichlor(Mass(1.0), &Constants::default()).0;
        assert!(dose > 190.107 / (2.0 * 70.906));
        assert!((190.107f64 / (2.0 * 70.906) - 1.341).abs() < 0.001);
    }
}
