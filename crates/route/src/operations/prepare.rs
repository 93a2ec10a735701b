//! Prepare: white cloth is soaked and washed, so that size and dust come out and it wets evenly.

use crate::operations::rinse;
use crate::prelude::*;

/// The static side.
pub static KIND: Kind = Kind {
    key: "prepare",
    term: Term {
        key: "prepare",
        text: Text::new("Prepare the cloth", "Siapkan mori"),
        gloss: Text::new(
            "Soak and wash out size and dust; cloth that wets evenly dyes evenly.",
            "Rendam dan cuci kanji serta debu; kain yang basah rata akan terwarnai rata.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "soap",
            term: Term {
                key: "soap",
                text: Text::new("Soap", "Sabun"),
                gloss: Text::new("Neutral, without bleach.", "Netral, tanpa pemutih."),
            },
            shape: Shape::Quantity {
                measure: Measure::PerVolume,
                least: 0.0,
                most: 10.0,
            },
            default: Some("1 g/L"),
            source: "own estimate",
        },
        Setting {
            key: "soda",
            term: Term {
                key: "soda",
                text: Text::new("Soda ash", "Soda abu"),
                gloss: Text::new("Helps size to let go.", "Membantu kanji lepas."),
            },
            shape: Shape::Quantity {
                measure: Measure::PerVolume,
                least: 0.0,
                most: 20.0,
            },
            default: Some("2 g/L"),
            source: "own estimate",
        },
        Setting {
            key: "soak",
            term: Term {
                key: "soak",
                text: Text::new("Soak", "Lama rendam"),
                gloss: Text::new("In the washing liquor.", "Dalam larutan cuci."),
            },
            shape: Shape::Quantity {
                measure: Measure::Span,
                least: 300.0,
                most: 86_400.0,
            },
            default: Some("1 h"),
            source: "own estimate; starch size may need a night",
        },
    ],
    constants: &[SHRINK_WARP, SHRINK_WEFT],
    cautions: &[Caution {
        code: "alkali",
        text: Text::new(
            "Soda solution stings eyes and skin: goggles and gloves; rinse splashes with water. Local rules go first.",
            "Larutan soda perih di mata dan kulit: pakai kacamata pelindung dan sarung tangan; bilas percikan dengan \
             air. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[Ask {
        term: Term {
            key: "wets-in",
            text: Text::new("A drop sinks in after", "Setetes air meresap setelah"),
            gloss: Text::new(
                "A drop of water on the dry cloth; sized cloth takes more than 5 seconds.",
                "Setetes air di kain kering; kain berkanji lebih dari 5 detik.",
            ),
        },
        measure: Measure::Span,
    }],
    timed: None,
    make: |values| Arc::new(Prepare { values }),
};

const SHRINK_WARP: Constant = Constant {
    key: "prepare.shrink-warp",
    text: Text::new(
        "Shrinkage along in the first water",
        "Susut memanjang pada air pertama",
    ),
    measure: Measure::Share,
    value: 0.01,
    factor: 2.0,
    source: "own estimate: a quarter of the process's 3-6 %; the boil takes the rest",
};
const SHRINK_WEFT: Constant = Constant {
    key: "prepare.shrink-weft",
    text: Text::new(
        "Shrinkage across in the first water",
        "Susut melebar pada air pertama",
    ),
    measure: Measure::Share,
    value: 0.005,
    factor: 2.0,
    source: "own estimate: a small part of the process's 1-4 %; the boil takes the rest",
};
/// Changes of clear water after the soak (own estimate).
const CLEAR: f64 = 2.0;
/// Water of wrung cloth, kg/kg (wrung by hand 80-120 %, from memory, handbook range).
const WRUNG: f64 = 1.0;

struct Prepare {
    values: Values,
}

struct PrepareHand;

impl Hand for PrepareHand {
    fn act(&self, patch: &mut Patch) {
        patch.water = Plane::Flat(WRUNG as f32);
    }
}

impl Operation for Prepare {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let dye: f64 = (0..DYES).map(|dye| before.means.dye(dye)).sum();
        let mut findings = Vec::new();
        if dye > 1e-6 {
            findings.push(Finding::new(
                "prepare-dyed",
                Weight::Doubtful,
                here(before, None),
                say!(
                    "the cloth is dyed already: preparing is for white cloth",
                    "kain sudah diwarnai: penyiapan untuk mori putih"
                ),
            ));
        }
        if before.means.folded {
            findings.push(Finding::new(
                "prepare-folded",
                Weight::Doubtful,
                here(before, None),
                say!(
                    "scrunched cloth does not wash evenly",
                    "kain berkerut tidak tercuci rata"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        means.shrunk.0 *= 1.0 - shop.constants.get(&SHRINK_WEFT);
        means.shrunk.1 *= 1.0 - shop.constants.get(&SHRINK_WARP);
        means.water = WRUNG;
        let litres = rinse::liquor_ratio(lot, shop) * lot.mass().0;
        let dose = |material, key| Dose {
            stuff: Stuff::Material(material),
            amount: Quantity::new(self.values.si(key) * litres / 1000.0, Measure::Mass),
            origin: None,
        };
        Takes {
            per_bolt: vec![
                draw_water(litres * (1.0 + CLEAR)),
                dose(&store::SOAP, "soap"),
                dose(&store::SODA_ASH, "soda"),
            ],
            ..Takes::default()
        }
    }

    fn hand(&self, _: &Before) -> Arc<dyn Hand> {
        Arc::new(PrepareHand)
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let soak = self.values.si("soak") / 60.0;
        let busy = Use {
            to: Some(Span::minutes(10.0)),
            ..Use::whole("helper")
        };
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("trough"), busy],
            work: Work::minutes(soak + 15.0, soak + 20.0, soak + 35.0),
            calendar: "shop",
            // The soak may go on over a break or the night.
            may_pause: true,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let amount = |material: &'static crate::Material| {
            let found = takes
                .per_bolt
                .iter()
                .find(|dose| dose.stuff == Stuff::Material(material));
            Arg::Quantity(found.map_or(Quantity::new(0.0, Measure::Mass), |dose| dose.amount))
        };
        Instructions {
            lines: vec![
                say!(
                    "Dissolve {soap} of soap and {soda} of soda ash in the trough; lay the cloth in loosely.",
                    "Larutkan sabun {soap} dan soda abu {soda} di bak; masukkan kain longgar.",
                    soap = amount(&store::SOAP),
                    soda = amount(&store::SODA_ASH)
                ),
                say!(
                    "Soak for {soak}, turn it twice.",
                    "Rendam {soak}, balik dua kali.",
                    soak = self.values.arg("soak")
                ),
                say!(
                    "Wash it in clear water twice, wring.",
                    "Cuci dengan air bersih dua kali, peras."
                ),
            ],
            done_when: say!(
                "a drop of water sinks in at once, all over",
                "setetes air langsung meresap di semua bagian"
            ),
        }
    }
}
