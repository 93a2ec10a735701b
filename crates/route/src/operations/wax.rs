//! Wax: copper stamps print hot wax that keeps later baths from the fibre.
//!
//! Each impression stands where the hand sets it (see `stamp::HandError`). Wax spreads a little along yarns and
//! with pressure; where an impression is weak or the pan was low, wax is thin and leaks. Colder wax sits on the
//! surface: a bath creeps farther under it.

mod print;

use crate::prelude::*;
use print::{Nothing, WaxHand};
use crate::stamped::{Pattern, Prints};
use stamp::{HandError, Part};
use units::Celsius;
use words::Line;

/// The static side.
pub static KIND: Kind = Kind {
    key: "wax",
    term: Term {
        key: "wax",
        text: Text::new("Stamp the wax", "Cap malam"),
        gloss: Text::new("Print hot wax with the copper stamp.", "Cap malam panas dengan cap tembaga."),
    },
    model: 2,
    settings: &[
        Setting {
            key: "stamp",
            term: Term {
                key: "stamp",
                text: Text::new("Stamp", "Cap"),
                gloss: Text::new("Which stamp of the design.", "Cap yang mana."),
            },
            shape: Shape::Stamp,
            default: None,
            source: "the design's own",
        },
        Setting {
            key: "add_on",
            term: Term {
                key: "add_on",
                text: Text::new("Wax on the stamped area", "Malam pada bagian tercap"),
                gloss: Text::new("Mass per area where there is wax.", "Massa per luas di tempat bermalam."),
            },
            shape: Shape::Quantity { measure: Measure::PerArea, least: 0.05, most: 0.5 },
            default: Some("240 g/m2"),
            source: "pore volume of 125 g/m2 cotton filled (179 g/m2) and a skin of 25-100 g/m2: 200-280 (calculated)",
        },
        Setting {
            key: "temperature",
            term: Term {
                key: "temperature",
                text: Text::new("Wax in the pan", "Suhu malam di wajan"),
                gloss: Text::new("Too cold sits on the surface, too hot spreads.", "Terlalu dingin tidak tembus, terlalu panas melebar."),
            },
            shape: Shape::Quantity { measure: Measure::Temperature, least: 60.0, most: 115.0 },
            default: Some("95 C"),
            source: "80-110 C for paraffin-rich mixes, never above 115 C (craft page)",
        },
        Setting {
            key: "dwell",
            term: Term {
                key: "dwell",
                text: Text::new("Stamp on the cloth", "Lama cap di kain"),
                gloss: Text::new("Longer, and lines grow wider.", "Makin lama, garis makin lebar."),
            },
            shape: Shape::Quantity { measure: Measure::Span, least: 0.5, most: 15.0 },
            default: Some("2.5 s"),
            source: "own estimate",
        },
        Setting {
            key: "weak",
            term: Term {
                key: "weak",
                text: Text::new("Weak spots", "Bagian lemah"),
                gloss: Text::new("Share of the waxed area where wax is thin.", "Bagian bermalam yang tipis."),
            },
            shape: Shape::Quantity { measure: Measure::Share, least: 0.0, most: 0.5 },
            default: Some("6 %"),
            source: "own estimate",
        },
    ],
    constants: &[SLIP, TURN, PRESS, TAKE_UP, CREEP, COLDER, WEAK_LEAK, SPREAD, THINNER, PRESSED, FEATHER],
    cautions: &[
        Caution {
            code: "hot-wax",
            text: Text::new(
                "Hot wax burns at once: sleeves, closed shoes, no water near the pan. Never water on burning wax: lid, sand or dry powder.",
                "Malam panas langsung melukai: lengan panjang, sepatu tertutup, jauhkan air dari wajan. Jangan siram malam terbakar: pakai tutup, pasir, serbuk kering.",
            ),
        },
        Caution {
            code: "fumes",
            text: Text::new(
                "Wax and rosin fumes: wax below 110 C, hood or open sides; 120 C is the hard stop.",
                "Asap malam dan gondorukem: jaga di bawah 110 C, pakai cerobong atau ruang terbuka; 120 C wajib berhenti.",
            ),
        },
    ],
    asks: &[Ask {
        term: Term {
            key: "pan",
            text: Text::new("Wax temperature", "Suhu malam"),
            gloss: Text::new("In the pan, every hour.", "Di wajan, tiap jam."),
        },
        measure: Measure::Temperature,
    }],
    timed: None,
    make: |values| Arc::new(Wax { values }),
};

const SLIP: Constant = Constant {
    key: "wax.slip",
    text: Text::new("Slip of an impression", "Geser cap"),
    measure: Measure::Length,
    value: 0.0012,
    factor: 1.6,
    source: "1-2 mm by eye (own estimate)",
};
const TURN: Constant = Constant {
    key: "wax.turn",
    text: Text::new("Turn of an impression", "Putaran cap"),
    measure: Measure::Angle,
    value: 0.007,
    factor: 1.6,
    source: "own estimate",
};
const PRESS: Constant = Constant {
    key: "wax.press",
    text: Text::new("Unevenness of pressure", "Ketidakrataan tekanan"),
    measure: Measure::Share,
    value: 0.10,
    factor: 1.6,
    source: "own estimate",
};
/// Its key is what a weighed bolt teaches.
pub const TAKE_UP: Constant = Constant {
    key: "wax.take-up",
    text: Text::new("Wax that cloth takes, over what is asked", "Malam yang diambil kain dibanding yang diminta"),
    measure: Measure::Count,
    value: 1.0,
    factor: 1.25,
    source: "own estimate; weigh a bolt before and after stamping",
};
/// Its key is what a line wedge teaches.
pub const CREEP: Constant = Constant {
    key: "wax.creep",
    text: Text::new("Creep of a bath under hot-stamped wax", "Rambatan bak di bawah malam panas"),
    measure: Measure::Diffusivity,
    value: 1.0e-10,
    factor: 3.0,
    source: "1e-10 m2/s (good penetration) to 1e-9 (cold wax, thick cloth): own estimate; measure it with a line wedge",
};
const COLDER: Constant = Constant {
    key: "wax.colder",
    text: Text::new("Wax this much colder lets the bath creep ten times as fast", "Malam sedingin ini membuat rambatan sepuluh kali"),
    measure: Measure::TemperatureDifference,
    value: 30.0,
    factor: 1.5,
    source: "own estimate",
};
pub(crate) const WEAK_LEAK: Constant = Constant {
    key: "wax.weak-leak",
    text: Text::new("What a weak spot lets through", "Yang lolos di bagian lemah"),
    measure: Measure::Share,
    value: 0.35,
    factor: 1.7,
    source: "own estimate",
};
const SPREAD: Constant = Constant {
    key: "wax.spread",
    text: Text::new("Spread of wax beside the copper, at 95 C and 2.5 s", "Pelebaran malam di samping tembaga, 95 C dan 2,5 s"),
    measure: Measure::Length,
    value: 0.0003,
    factor: 2.0,
    source: "a 0.6 mm strip prints 1.2-2 mm (common practice, no source)",
};
const THINNER: Constant = Constant {
    key: "wax.thinner",
    text: Text::new("Wax this much hotter flows twice as easily", "Malam sepanas ini lebihnya mengalir dua kali lebih mudah"),
    measure: Measure::TemperatureDifference,
    value: 30.0,
    factor: 1.5,
    source: "own estimate",
};
/// Wax temperature that `wax.creep` and `wax.spread` speak of.
const HOT: Celsius = Celsius(95.0);
/// Time on the cloth that `wax.spread` speaks of, s. Drawings are lines on cloth as they come out then.
const DWELL_S: f64 = 2.5;
/// Times the part of the pressure that is over the mean: a tenth more moves the edge by a tenth of it.
const PRESSED: Constant = Constant {
    key: "wax.pressed",
    text: Text::new("Spread of wax by pressure, for twice the mean", "Pelebaran malam oleh tekanan, bila dua kali rata-rata"),
    measure: Measure::Length,
    value: 0.0016,
    factor: 2.0,
    source: "own estimate: a hand a tenth heavier widens a line by 0.3 mm",
};
const FEATHER: Constant = Constant {
    key: "wax.feather",
    text: Text::new("Feathering of the wax edge along yarns", "Gerigi tepi malam sepanjang benang"),
    measure: Measure::Length,
    value: 0.000_16,
    factor: 2.0,
    source: "own estimate: about a yarn's breadth, of some 30 yarns per cm",
};

/// How exactly the workshop's hands set an impression.
pub fn hand_error(shop: &Workshop) -> HandError {
    let constants = &shop.constants;
    HandError {
        x_mm: constants.get(&SLIP) * 1000.0,
        y_mm: constants.get(&SLIP) * 1000.0,
        angle: constants.get(&TURN),
        pressure: constants.get(&PRESS),
    }
}

/// How fast a bath creeps under wax that was stamped at this temperature, m2/s.
pub fn creep(wax: Celsius, constants: &crate::Constants) -> f64 {
    constants.get(&CREEP) * 10f64.powf((HOT - wax).0 / constants.get(&COLDER))
}

struct Wax {
    values: Values,
}

impl Wax {
    fn used<'a>(&self, design: &'a Design) -> Option<&'a crate::StampUse> {
        design.stamps.get(self.values.stamp("stamp")?)
    }

    /// Waxed share of the cloth and length of wax edge per area, 1/m.
    fn coverage(&self, design: &Design, lot: &LotShape) -> (f64, f64) {
        self.used(design).map_or((0.0, 0.0), |used| used.coverage(&lot.cloth))
    }

    fn creep(&self, shop: &Workshop) -> f64 {
        creep(Celsius(self.values.si("temperature")), &shop.constants)
    }

    /// Wax on the stamped area as this shop's cloth takes it, kg/m2.
    fn add_on(&self, shop: &Workshop) -> f64 {
        self.values.si("add_on") * shop.constants.get(&TAKE_UP)
    }

    /// How much farther than drawn the wax edge lies, m. A liquid goes into pores as the root of time over its
    /// viscosity (Washburn, Physical Review 17, 273, 1921).
    fn wider(&self, constants: &crate::Constants) -> f64 {
        let hotter = (Celsius(self.values.si("temperature")) - HOT).0;
        let flows = (self.values.si("dwell") / DWELL_S * 2f64.powf(hotter / constants.get(&THINNER))).sqrt();
        constants.get(&SPREAD) * (flows - 1.0)
    }
}

impl Operation for Wax {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.wet() {
            findings.push(
                Finding::new(
                    "wax-on-wet",
                    Weight::Wrong,
                    here(before, None),
                    say!(
                        "the cloth holds {water} water: hot wax does not go into wet cloth",
                        "kain masih memuat air {water}: malam tidak masuk ke kain basah",
                        water = Arg::Quantity(Quantity::new(before.means.water, Measure::Share))
                    ),
                )
                .allow(say!("dry cloth, 15 % water or less", "kain kering, air 15 % atau kurang"))
                .remedy(say!("rinse and dry before the wax", "bilas dan keringkan sebelum dicap")),
            );
        }
        if before.means.folded {
            findings.push(
                Finding::new("wax-folded", Weight::Wrong, here(before, None), say!("the cloth is still scrunched", "kain masih dikerut"))
                    .remedy(say!("open it before the wax", "buka dahulu sebelum dicap")),
            );
        }
        let Some(used) = self.used(before.design) else { return findings };
        let [w, h] = used.repeat().repeat_mm;
        if w > before.lot.cloth.width.to_mm() || h > before.lot.cloth.length.to_mm() {
            findings.push(
                Finding::new(
                    "stamp-larger-than-cloth",
                    Weight::Wrong,
                    here(before, Some("stamp")),
                    say!(
                        "the stamp is {w} by {h}",
                        "cap berukuran {w} kali {h}",
                        w = Arg::Quantity(Quantity::new(w / 1000.0, Measure::Length)),
                        h = Arg::Quantity(Quantity::new(h / 1000.0, Measure::Length))
                    ),
                )
                .allow(say!(
                    "at most the cloth's width of {width}",
                    "paling besar selebar kain {width}",
                    width = Arg::Quantity(Quantity::new(before.lot.cloth.width.0, Measure::Length))
                ))
                .remedy(say!("give the stamp a smaller width", "perkecil lebar cap")),
            );
        }
        if let Some(band) = used.band()
            && used.impressions(&before.lot.cloth) == 0
        {
            findings.push(
                Finding::new(
                    "border-does-not-fit",
                    Weight::Wrong,
                    here(before, Some("stamp")),
                    say!(
                        "the border finds no room on the cloth: its band is {band} wide, {inset} from the edge",
                        "pinggiran tidak muat di kain: lebarnya {band}, {inset} dari tepi",
                        band = Arg::Quantity(Quantity::new(band.repeat_mm[1] / 1000.0, Measure::Length)),
                        inset = Arg::Quantity(Quantity::new(band.inset_mm / 1000.0, Measure::Length))
                    ),
                )
                .allow(say!("at least two bands and one step between the edges", "paling sedikit dua pinggiran dan satu langkah di antara tepi"))
                .remedy(say!("make the border narrower, or set it nearer to the edge", "persempit pinggiran, atau dekatkan ke tepi")),
            );
        }
        if self.values.si("temperature") < 80.0 {
            findings.push(
                Finding::new(
                    "wax-cold",
                    Weight::Doubtful,
                    here(before, Some("temperature")),
                    say!(
                        "wax at {temperature} sits on the surface and leaks in the bleach",
                        "malam {temperature} hanya di permukaan dan bocor saat dicabut",
                        temperature = self.values.arg("temperature")
                    ),
                )
                .allow(say!("80 to 110 C", "80 sampai 110 C")),
            );
        }
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let (drawn, edge) = self.coverage(design, lot);
        // Fills are bounded by strips as lines are: every edge moves alike.
        let share = (drawn + edge * self.wider(&shop.constants)).clamp(0.0, 1.0);
        let area = lot.area().0;
        let add_on = self.add_on(shop);
        // A new waxing decides anew which cloth is motif: both zones start from the bolt's average.
        let mut zone = Zone { share: 1.0, ..Zone::default() };
        for dye in 0..DYES {
            zone.loose[dye] = means.mean(|z| z.loose[dye]);
            zone.spent[dye] = means.mean(|z| z.spent[dye]);
            zone.fast[dye] = means.mean(|z| z.fast[dye]);
        }
        let old_wax = means.mean(|z| z.wax);
        means.ground = Zone { share: 1.0 - share, wax: if share < 1.0 { old_wax } else { 0.0 }, ..zone.clone() };
        means.motif = Zone { share, wax: old_wax + add_on, ..zone };
        means.wax_edge = edge;
        means.creep = self.creep(shop);
        means.leak = self.values.si("weak") * shop.constants.get(&WEAK_LEAK) * 0.5;
        let wax = share * add_on * area;
        Takes {
            per_bolt: vec![Dose {
                stuff: Stuff::Material(&store::WAX),
                amount: Quantity::new(wax, Measure::Mass),
                origin: Some(shop.constants.known(&TAKE_UP).origin),
            }],
            wax_put: wax,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let Some(used) = self.used(before.design) else {
            return Arc::new(Nothing);
        };
        let prints = used.prints(&before.lot.cloth).into_iter();
        let constants = &before.shop.constants;
        // The share of a noise of standard deviation 0.36 that lies above t is about the logistic of -t/0.2.
        let weak = self.values.si("weak").clamp(1e-4, 0.5);
        let weak_below = 0.2 * ((1.0 - weak) / weak).ln() - 0.17;
        Arc::new(WaxHand {
            prints: prints.map(|one| (one.stamp.clone(), one.pattern)).collect(),
            error: hand_error(before.shop),
            seed: before.seed.child("impressions").low(),
            add_on: self.add_on(before.shop) as f32,
            weak_below: weak_below as f32,
            weak_leak: constants.get(&WEAK_LEAK) as f32,
            wider: (self.wider(constants) * 1000.0) as f32,
            pressed: (constants.get(&PRESSED) * 1000.0) as f32,
            feather: (constants.get(&FEATHER) * 1000.0) as f32,
        })
    }

    fn occupies(&self, _: &Means, design: &Design, lot: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let used = self.used(design);
        let prints = used.map_or(0.0, |used| f64::from(used.impressions(&lot.cloth)));
        let stamps = used.map_or_else(Vec::new, |used| used.prints(&lot.cloth));
        let tools = [Use::whole("table"), Use::whole("stamper")].into_iter();
        let stamps = stamps.iter().map(|one| Use::whole(&format!("stamp:{}", one.id)));
        // 24 s a print with inking and walking, 16 to 40 (own estimate: 414 prints take 165 min).
        vec![Occupancy {
            term: &KIND.term,
            uses: tools.chain(stamps).collect(),
            work: Work::minutes(prints * 16.0 / 60.0, prints * 23.9 / 60.0, prints * 40.0 / 60.0),
            calendar: "table",
            may_pause: true,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, design: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let Some(used) = self.used(design) else {
            return Instructions { lines: Vec::new(), done_when: say!("no stamp", "tanpa cap") };
        };
        let mut lines = vec![say!(
            "Stamp {stamp}: wax in the pan at {temperature}, stamp hot through (20 to 30 minutes in the pan).",
            "Cap {stamp}: malam di wajan {temperature}, cap panas sampai ke gagang (20 sampai 30 menit di wajan).",
            stamp = Arg::Name(used.id.clone()),
            temperature = self.values.arg("temperature")
        )];
        lines.extend(used.prints(&lot.cloth).iter().map(told));
        if let Some(outline) = &used.register {
            lines.push(say!(
                "Set it to the marks of stamp {outline}: notch to notch at every corner of the repeat.",
                "Paskan pada tanda cap {outline}: takik ke takik di tiap sudut ulangan.",
                outline = Arg::Name(outline.clone())
            ));
        }
        lines.push(say!(
            "Repeat {w} by {h}.",
            "Ulangan {w} kali {h}.",
            w = Arg::Quantity(Quantity::new(used.repeat().repeat_mm[0] / 1000.0, Measure::Length)),
            h = Arg::Quantity(Quantity::new(used.repeat().repeat_mm[1] / 1000.0, Measure::Length))
        ));
        Instructions {
            lines,
            done_when: say!("the back shows the motif as clearly as the face", "motif di balik kain sejelas di muka (tembus)"),
        }
    }
}

/// How often a stamp is set, and where.
fn told(one: &Prints) -> Line {
    let count = |n: u32| Arg::Number(f64::from(n), 0);
    match &one.pattern {
        Pattern::Over(_, p) => say!(
            "{across} across, {along} along, {prints} prints in all; ink before every print, start at the selvedge.",
            "{across} ke lebar, {along} ke panjang, {prints} kali cap; celup malam tiap kali, mulai dari tepi kain.",
            across = count(p.across),
            along = count(p.along),
            prints = count(p.whole)
        ),
        Pattern::Along(_, _, Part::Corner) => say!(
            "Corner stamp {stamp}: {prints} prints, first of all; it is turned by a quarter at every corner.",
            "Cap sudut {stamp}: {prints} kali cap, paling dulu; diputar seperempat di tiap sudut.",
            stamp = Arg::Name(one.id.to_string()),
            prints = count(one.count)
        ),
        Pattern::Along(_, laid, Part::Border) => {
            let of = |quarter: u8| laid.sides.iter().filter(|s| s.quarter % 2 == quarter).map(|s| s.count).max();
            say!(
                "{ends} along each end, {sides} along each selvedge, {prints} prints in all; the same side of the stamp faces out.",
                "{ends} di tiap ujung, {sides} di tiap tepi kain, {prints} kali cap; sisi cap yang sama menghadap keluar.",
                ends = count(of(0).unwrap_or(0)),
                sides = count(of(1).unwrap_or(0)),
                prints = count(one.count)
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Constants, Value};

    /// Wax soaks in as the root of time and fluidity (Washburn, Physical Review 17, 273, 1921). By hand, with 0.3 mm at
    /// 95 C and 2.5 s and twice the fluidity every 30 C: four times the dwell doubles it, 15 C more make it 0.357 mm.
    #[test]
    fn lines_widen_with_the_root_of_dwell_and_fluidity() {
        let wider = |temperature: &str, dwell: &str, spread: f64| {
            let typed = |text, measure| Value::Quantity(units::parse_as(text, measure).unwrap());
            let given = vec![
                ("stamp", Value::Stamp(0)),
                ("temperature", typed(temperature, Measure::Temperature)),
                ("dwell", typed(dwell, Measure::Span)),
            ];
            let wax = Wax {
                values: Values::complete(KIND.settings, given, &|_| words::Place::Request).unwrap(),
            };
            let mut constants = Constants::default();
            constants.set(SPREAD.key, words::Known::yours(spread));
            wax.wider(&constants) * 1e3
        };
        for (temperature, dwell, mm) in [
            ("95 C", "2.5 s", 0.0),
            ("95 C", "10 s", 0.3),
            ("110 C", "2.5 s", 0.3 * (2f64.powf(0.25) - 1.0)),
            ("80 C", "2.5 s", 0.3 * (2f64.powf(-0.25) - 1.0)),
            ("95 C", "0.625 s", -0.15),
        ] {
            let found = wider(temperature, dwell, 0.0003);
            assert!((found - mm).abs() < 1e-9, "{temperature} {dwell}: {found} for {mm}");
        }
        // Twice the spread, twice as far.
        assert!((wider("95 C", "10 s", 0.0006) - 0.6).abs() < 1e-9);
    }
}
