//! Fix: the open cloth goes through water glass (sodium silicate) in the jig and rests, wet and alkaline.
//!
//! Loose dye binds to the cotton or is lost to water, two first-order reactions that compete; how fast depends on
//! the dye and on how warm the cloth rests. A part of the unbound dye stays in the jig's bath. The jig wets the whole
//! cloth again, so all of it reacts alike. Under wax there is no loose dye that the bath would not reach: it came
//! through the same cracks.

use crate::kinetics::{Rested, UNBOUND_LIMIT, rested, rinses_needed};
use crate::operations::rinse;
use crate::prelude::*;
use colour::DyeCard;
use units::{Celsius, Kelvins, specific_gravity};

/// The static side.
pub static KIND: Kind = Kind {
    key: "fix",
    term: Term {
        key: "fix",
        text: Text::new("Fix in water glass", "Kunci warna dengan waterglass"),
        gloss: Text::new(
            "Run the cloth through sodium silicate, then let it rest wet so that the dye binds.",
            "Lewatkan kain dalam natrium silikat, lalu diamkan basah supaya pewarna terikat.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "strength",
            term: Term {
                key: "strength",
                text: Text::new("Strength of the bath", "Kekuatan bak"),
                gloss: Text::new(
                    "By hydrometer, at room temperature.",
                    "Dengan hidrometer, pada suhu ruang.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Baume,
                least: 10.0,
                most: 45.0,
            },
            default: Some("30 degBe"),
            source: "20-40 degBe; thick silicate is picked up unevenly (own estimate)",
        },
        Setting {
            key: "pick-up",
            term: Term {
                key: "pick-up",
                text: Text::new("Pick-up", "Larutan terbawa"),
                gloss: Text::new(
                    "Mass of liquor in the cloth per mass of dry cloth.",
                    "Massa larutan di kain per massa kain kering.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Share,
                least: 0.4,
                most: 1.6,
            },
            default: Some("90 %"),
            source: "70-130 % in a simple jig with a squeeze rod (own estimate)",
        },
        Setting {
            key: "pace",
            term: Term {
                key: "pace",
                text: Text::new("Pace of the jig", "Laju jigger"),
                gloss: Text::new("Time per length of cloth.", "Waktu per panjang kain."),
            },
            shape: Shape::Quantity {
                measure: Measure::Pace,
                least: 1.0,
                most: 60.0,
            },
            default: Some("5.5 s/yd"),
            source: "5-6 s a yard: common practice, no source",
        },
        Setting {
            key: "rest",
            term: Term {
                key: "rest",
                text: Text::new("Rest", "Lama didiamkan"),
                gloss: Text::new(
                    "Wet, covered, out of the sun.",
                    "Basah, tertutup, tidak kena matahari.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Span,
                least: 600.0,
                most: 172_800.0,
            },
            default: Some("2 h"),
            source: "2 h: common practice, no source; published cold batches rest 6-24 h",
        },
        Setting {
            key: "warmer",
            term: Term {
                key: "warmer",
                text: Text::new("Warmer than the air", "Lebih hangat dari udara"),
                gloss: Text::new(
                    "How much warmer (or colder: a night) than the workshop's air the cloth rests.",
                    "Selisih suhu kain saat didiamkan terhadap udara bengkel (malam: lebih dingin).",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::TemperatureDifference,
                least: -15.0,
                most: 30.0,
            },
            default: Some("0 K"),
            source: "cloth rests at the temperature of the workshop's air unless told otherwise",
        },
    ],
    constants: &[BATH_LOSS, DELIVERED, LASTS],
    cautions: &[Caution {
        code: "alkali",
        text: Text::new(
            "Water glass is strong alkali (pH 11-12): goggles, gloves, apron; rinse splashes at once with plenty of \
             water. Dried drops are sharp as glass. Local rules go first.",
            "Waterglass bersifat basa kuat (pH 11-12): pakai kacamata pelindung, sarung tangan, celemek; percikan \
             segera dibilas banyak air. Tetes kering tajam seperti kaca. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[
        Ask {
            term: Term {
                key: "bath-strength",
                text: Text::new("Strength of the bath", "Kekuatan bak"),
                gloss: Text::new(
                    "By hydrometer, before the bolt.",
                    "Dengan hidrometer, sebelum gulung masuk.",
                ),
            },
            measure: Measure::Baume,
        },
        Ask {
            term: Term {
                key: "rest-temperature",
                text: Text::new("Temperature of the resting cloth", "Suhu kain saat didiamkan"),
                gloss: Text::new("Thermometer between the layers.", "Termometer di antara lapisan."),
            },
            measure: Measure::Temperature,
        },
    ],
    timed: Some("rest"),
    make: |values| Arc::new(Fix { values }),
};

const BATH_LOSS: Constant = Constant {
    key: "fix.bath-loss",
    text: Text::new(
        "Unbound dye that stays in the jig's bath",
        "Pewarna lepas yang tertinggal di bak jigger",
    ),
    measure: Measure::Share,
    value: 0.10,
    factor: 1.5,
    source: "5-15 % a pass (own estimate; handbooks ask for a high second pick-up to keep it low)",
};
pub(crate) const DELIVERED: Constant = Constant {
    key: "fix.silicate-delivered",
    text: Text::new(
        "Strength of the silicate as delivered",
        "Kekuatan silikat saat diterima",
    ),
    measure: Measure::Baume,
    value: 40.0,
    factor: 1.05,
    source: "trade grades 37-40 and 40-42 degBe; measure each drum",
};
const LASTS: Constant = Constant {
    key: "fix.bath-lasts",
    text: Text::new(
        "Bolts until the bath is made anew",
        "Jumlah gulung sampai bak diganti",
    ),
    measure: Measure::Count,
    value: 15.0,
    factor: 2.0,
    source: "own estimate; a test strip each 5 bolts and the pH decide",
};
/// Density of water at 60 F, to which degrees Baume refer, kg/m3 (999.0, handbook).
pub(crate) const WATER_60F: f64 = 999.0;
/// A night's rest.
const NIGHT: Span = Span(16.0 * 3600.0);
/// Longest wait between jig and rinse: silicate that dries in is hard to wash out (18 h, common practice, no source).
const LONGEST: Span = Span(18.0 * 3600.0);
/// Rest that binds less than this share of the final amount is called short.
const SHORT: f64 = 0.9;
/// Bath of a small jig, m3, where the workshop has named none (own estimate).
const JIG: f64 = 0.06;

struct Fix {
    values: Values,
}

struct FixHand {
    /// What the bath leaves on the cloth of unbound dye.
    kept: f32,
    /// Bound, spent, loose of each dye.
    shares: [[f32; 3]; DYES],
    water: f32,
}

impl Hand for FixHand {
    fn act(&self, patch: &mut Patch) {
        patch.react(self.kept, &self.shares);
        patch.water = Plane::Flat(self.water);
    }
}

/// Volume of delivered silicate in a volume of bath, by mass balance without contraction. 1 where the bath is as
/// strong as what is delivered or stronger.
pub fn silicate_share(strength: f64, delivered: f64) -> f64 {
    match (specific_gravity(strength), specific_gravity(delivered)) {
        (Some(bath), Some(drum)) if drum > 1.0 => ((bath - 1.0) / (drum - 1.0)).clamp(0.0, 1.0),
        _ => 1.0,
    }
}

impl Fix {
    fn cloth(&self, shop: &Workshop) -> Celsius {
        shop.climate.air + Kelvins(self.values.si("warmer"))
    }

    fn rest(&self) -> Span {
        Span(self.values.si("rest"))
    }

    /// Liquor that a bolt carries off, m3.
    fn drawn(&self, lot: &LotShape) -> f64 {
        let gravity = specific_gravity(self.values.si("strength")).unwrap_or(1.0);
        self.values.si("pick-up") * lot.mass().0 / (gravity * WATER_60F)
    }

    /// Silicate and water in a volume of bath.
    fn mixed(&self, volume: f64, shop: &Workshop) -> Vec<Dose> {
        let delivered = shop.constants.known(&DELIVERED);
        let share = silicate_share(self.values.si("strength"), delivered.value);
        let silicate = Dose {
            stuff: Stuff::Material(&store::SILICATE),
            amount: Quantity::new(share * volume, Measure::Volume),
            origin: Some(delivered.origin),
        };
        vec![silicate, draw_water((1.0 - share) * volume * 1000.0)]
    }
}

impl Operation for Fix {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.folded {
            findings.push(
                Finding::new(
                    "fix-folded",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the cloth is still scrunched: the jig needs it open",
                        "kain masih berkerut: jigger perlu kain terbuka"
                    ),
                )
                .remedy(say!("open it first", "buka dahulu")),
            );
        }
        let kept = 1.0 - before.shop.constants.get(&BATH_LOSS);
        let mut any = false;
        for (dye, card) in before.design.dyes.iter().enumerate().take(DYES) {
            let loose = before.means.mean(|z| z.loose[dye]) * kept;
            if loose > UNBOUND_LIMIT {
                any = true;
                findings.push(self.expected(before, card, loose));
            }
        }
        if !any {
            findings.push(Finding::new(
                "fix-without-dye",
                Weight::Note,
                here(before, None),
                say!(
                    "there is no loose dye to bind",
                    "tidak ada pewarna lepas untuk diikat"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let (loss, cloth) = (shop.constants.get(&BATH_LOSS), self.cloth(shop));
        let mut lost = Vec::new();
        for (dye, card) in design.dyes.iter().enumerate().take(DYES) {
            let shares = card.fixation.shares(self.rest(), cloth);
            let gone = means.mean(|z| z.loose[dye] + z.spent[dye]) * loss;
            for zone in means.zones_mut() {
                zone.loose[dye] *= 1.0 - loss;
                zone.spent[dye] *= 1.0 - loss;
                zone.react(dye, &shares);
            }
            if gone > 0.0 {
                lost.push((dye, Fate::Drain, gone));
            }
        }
        means.water = self.values.si("pick-up");
        let volume = shop.volume("jig", JIG);
        Takes {
            bath: Some(Bath {
                name: &KIND.term,
                vessel: "jig",
                volume,
                charge: self.mixed(volume, shop),
                lasts_bolts: shop.constants.get(&LASTS).max(1.0) as u32,
                load: lot.cloth.length,
                care: Text::new(
                    "Lid on between bolts: air makes a skin. Test strip each 5 bolts: the bath takes up dye. Discard \
                     when it gels, turns cloudy or falls below pH 11; it is strong alkali, local rules say where to.",
                    "Tutup bak di antara gulung: udara membuat kulit. Uji carik kain tiap 5 gulung: bak ikut \
                     berwarna. Buang bila mengental, keruh, atau di bawah pH 11; basa kuat, ikuti aturan setempat.",
                ),
            }),
            per_bolt: self.mixed(self.drawn(lot), shop),
            lost,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let cloth = self.cloth(before.shop);
        let shares = std::array::from_fn(|dye| {
            before.design.dyes.get(dye).map_or([0.0, 0.0, 1.0], |card| {
                let s = card.fixation.shares(self.rest(), cloth);
                [s.bound as f32, s.spent as f32, s.loose as f32]
            })
        });
        Arc::new(FixHand {
            kept: (1.0 - before.shop.constants.get(&BATH_LOSS)) as f32,
            shares,
            water: self.values.si("pick-up") as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, lot: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let pass = self.values.si("pace") * lot.cloth.length.0 / 60.0;
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("jig"), Use::whole("helper")],
            // Threading, the pass, and stacking under a cover.
            work: Work::minutes(pass + 1.5, pass + 3.0, pass + 6.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag {
                least: self.rest(),
                most: Some(if self.rest() > LONGEST {
                    self.rest() + Span::minutes(30.0)
                } else {
                    LONGEST
                }),
            },
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let drawn = |material: &'static crate::Material| {
            let found = takes
                .per_bolt
                .iter()
                .find(|dose| dose.stuff == Stuff::Material(material));
            Arg::Quantity(found.map_or(Quantity::new(0.0, Measure::Volume), |dose| dose.amount))
        };
        Instructions {
            lines: vec![
                say!(
                    "Stir the bath and bring it to {strength}: for each bolt top up {silicate} of silicate and {water} of water.",
                    "Aduk bak sampai {strength}: tiap gulung tambah silikat {silicate} dan air {water}.",
                    strength = self.values.arg("strength"),
                    silicate = drawn(&store::SILICATE),
                    water = drawn(&store::WATER)
                ),
                say!(
                    "Run the open cloth through at {pace}, squeezed to {pickup}.",
                    "Jalankan kain terbuka dengan laju {pace}, peras sampai {pickup}.",
                    pace = self.values.arg("pace"),
                    pickup = self.values.arg("pick-up")
                ),
                say!(
                    "Stack it wet, cover it, let it rest {rest}; write down when the rest began.",
                    "Tumpuk basah, tutup, diamkan {rest}; catat jam mulai.",
                    rest = self.values.arg("rest")
                ),
                say!(
                    "Rinse before any edge dries: dried silicate does not wash out.",
                    "Bilas sebelum ada tepi kering: silikat kering tidak bisa dibilas."
                ),
            ],
            done_when: say!(
                "{rest} are over and the cloth is still wet",
                "{rest} sudah lewat dan kain masih basah",
                rest = self.values.arg("rest")
            ),
        }
    }
}

impl Fix {
    /// What the rest will do to `depth` g/kg of a dye, and what a night would.
    fn expected(&self, before: &Before, card: &DyeCard, depth: f64) -> Finding {
        let cloth = self.cloth(before.shop);
        let ratio = rinse::liquor_ratio(before.lot, before.shop);
        let left = rinse::left_once(card, ratio, before.shop);
        let now = rested(card, depth, self.rest(), cloth);
        let night = rested(card, depth, NIGHT, cloth);
        let percent = |share: f64| Arg::Number(share * 100.0, 0);
        let owf = |rested: &Rested| Arg::Number(rested.unbound / 10.0, 2);
        let rinses = |rested: &Rested| {
            rinses_needed(rested.unbound, left, UNBOUND_LIMIT)
                .map_or(Arg::Text(words::text!("endless", "tak terhingga")), |n| {
                    Arg::Number(f64::from(n), 0)
                })
        };
        let short = now.of_final < SHORT;
        let finding = Finding::new(
            if short { "fix-rest-short" } else { "fix-expected" },
            if short { Weight::Doubtful } else { Weight::Note },
            here(before, Some("rest")),
            say!(
                "{dye}: after {rest} at {cloth} {bound} % of the final amount is bound; {unbound} % owf is loose and \
                 needs {rinses} rinses",
                "{dye}: setelah {rest} pada {cloth} terikat {bound} % dari jumlah akhir; {unbound} % owf masih lepas dan \
                 perlu {rinses} kali bilas",
                dye = Arg::Name(card.name.clone()),
                rest = self.values.arg("rest"),
                cloth = Arg::Quantity(Quantity::new(cloth.0, Measure::Temperature)),
                bound = percent(now.of_final),
                unbound = owf(&now),
                rinses = rinses(&now)
            ),
        );
        if !short {
            return finding;
        }
        let finding = finding.allow(say!(
            "after a night of 16 h: {bound} %, {unbound} % owf, {rinses} rinses",
            "setelah semalam 16 jam: {bound} %, {unbound} % owf, {rinses} kali bilas",
            bound = percent(night.of_final),
            unbound = owf(&night),
            rinses = rinses(&night)
        ));
        if night.of_final > now.of_final + 0.03 && self.rest() < NIGHT {
            finding.remedy(say!("rest overnight", "diamkan semalam"))
        } else {
            finding.remedy(say!(
                "rest warmer, or choose a dye that binds in the cold",
                "diamkan lebih hangat, atau pilih pewarna yang terikat tanpa panas"
            ))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::silicate_share;
    use units::{degrees_baume, specific_gravity};

    /// 1 L at 40 degBe and 1 L of water are 2 L of specific gravity 1.19, 23.2 degBe (by mass balance).
    #[test]
    fn half_and_half_is_23_degrees() {
        let gravity = (specific_gravity(40.0).unwrap_or(0.0) + 1.0) / 2.0;
        let strength = degrees_baume(gravity).unwrap_or(0.0);
        assert!((strength - 23.2).abs() < 0.05, "{strength}");
        assert!((silicate_share(strength, 40.0) - 0.5).abs() < 1e-12);
        assert_eq!(silicate_share(42.0, 40.0), 1.0);
    }
}
