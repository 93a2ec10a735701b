//! Bleach: hypochlorite clears the dye where wax does not keep it away.
//!
//! Bound, spent and loose dye decay alike: `d c / dt = -k C w c`, k second order per dye card, C available
//! chlorine (M), w the share of the fibre that the bath reaches. Exposure is the dose `integral C dt` of the
//! bath time plus the lag until antichlor, during which the bleach in the cloth works on. The bath weakens
//! while it works ([`crate::chlorine`]): cloth and air take their share of it, and the dye that it clears takes its
//! own, so that a deeply dyed load leaves less. It is titrated and strengthened between loads.

use crate::barrier::{access, creep_depth, crept_share};
use crate::detail::{Veil, times_on};
use crate::patch::positions;
use crate::prelude::*;
use field::{NoiseRows, exp};
use tank::{CARRIED, DYE, STARVED, TANK, USED, bolts_in_load};
use units::Celsius;

mod tank;

pub use tank::{carried, carried_origin, used_by_dye, used_by_load};

/// g of available chlorine (as Cl2) per mole.
pub const CHLORINE: f64 = 70.906;

/// The static side.
pub static KIND: Kind = Kind {
    key: "bleach",
    term: Term {
        key: "bleach",
        text: Text::new("Bleach", "Cabut warna"),
        gloss: Text::new("Clear the dye that wax does not cover.", "Hilangkan warna yang tidak tertutup malam."),
    },
    model: 2,
    settings: &[
        Setting {
            key: "time",
            term: Term {
                key: "time",
                text: Text::new("Time in the bath", "Lama di bak"),
                gloss: Text::new("From the first wetting to lifting out.", "Dari masuk bak sampai diangkat."),
            },
            shape: Shape::Quantity { measure: Measure::Span, least: 30.0, most: 7200.0 },
            default: Some("12 min"),
            source: "15-40 min per bolt with handling (own estimate); set it by a strip test",
        },
        Setting {
            key: "chlorine",
            term: Term {
                key: "chlorine",
                text: Text::new("Available chlorine", "Klorin aktif"),
                gloss: Text::new("By titration, grams per litre.", "Hasil titrasi, gram per liter."),
            },
            shape: Shape::Quantity { measure: Measure::PerVolume, least: 0.1, most: 10.0 },
            default: Some("3 g/L"),
            source: "1-3 g/L at 20-25 C for cotton (from memory, handbook range); up to 5 g/L in strip baths (own estimate)",
        },
        Setting {
            key: "ph",
            term: Term {
                key: "ph",
                text: Text::new("pH of the bath", "pH bak"),
                gloss: Text::new("Held alkaline with soda ash.", "Dijaga basa dengan soda abu."),
            },
            shape: Shape::Quantity { measure: Measure::Acidity, least: 9.0, most: 12.0 },
            default: Some("pH 10.2"),
            source: "above pH 9 to spare the cotton: Broadbent, Basic Principles of Textile Coloration (SDC 2001) p. 83",
        },
        Setting {
            key: "temperature",
            term: Term {
                key: "temperature",
                text: Text::new("Temperature of the bath", "Suhu bak"),
                gloss: Text::new("Wax and cotton suffer when it is warm.", "Malam dan kain rusak bila hangat."),
            },
            shape: Shape::Quantity { measure: Measure::Temperature, least: 10.0, most: 38.0 },
            default: Some("28 C"),
            source: "below 40 C (web manual); below the softening of wax",
        },
        Setting {
            key: "lag",
            term: Term {
                key: "lag",
                text: Text::new("From lifting to antichlor", "Dari diangkat sampai penetral"),
                gloss: Text::new("Bleach in the cloth works on in this time.", "Pemutih di kain masih bekerja selama ini."),
            },
            shape: Shape::Quantity { measure: Measure::Span, least: 0.0, most: 1800.0 },
            default: Some("60 s"),
            source: "common practice, no source",
        },
    ],
    constants: &[USED, DYE, CARRIED, SWIRL],
    cautions: &[
        Caution {
            code: "chlorine",
            text: Text::new(
                "NEVER mix bleach with acid, ammonia or urine: poisonous gas. Work in open air, goggles and gloves. \
                 Copper stays out of this bath. Local rules and a licensed person come first.",
                "JANGAN campur pemutih dengan asam, amonia, atau urin. Gas beracun. Kerja di udara terbuka, pakai \
                 kacamata dan sarung tangan. Tembaga jangan masuk bak. Ikuti aturan setempat dan petugas berizin.",
            ),
        },
        Caution {
            code: "alkali",
            text: Text::new(
                "The bath is alkaline: rinse skin at once, eyes 15 minutes, then see a doctor.",
                "Bak bersifat basa: kulit segera dibilas, mata 15 menit, lalu ke dokter.",
            ),
        },
    ],
    asks: &[
        Ask {
            term: Term {
                key: "titrated",
                text: Text::new("Titrated chlorine", "Klorin hasil titrasi"),
                gloss: Text::new("Before the load goes in.", "Sebelum kain masuk."),
            },
            measure: Measure::PerVolume,
        },
        Ask {
            term: Term {
                key: "pulled-after",
                text: Text::new("Pulled after", "Diangkat setelah"),
                gloss: Text::new("By the clock.", "Menurut jam."),
            },
            measure: Measure::Span,
        },
    ],
    timed: Some("time"),
    make: |values| Arc::new(Bleach { values }),
};

const SWIRL: Constant = Constant {
    key: "bleach.swirl",
    text: Text::new("Unevenness of the bath's movement", "Ketidakrataan gerak bak"),
    measure: Measure::Share,
    value: 0.10,
    factor: 2.0,
    source: "own estimate",
};
/// How much slower creep is in a shop that has measured nothing is unknown: this is only used if no wax step
/// said how hot the wax was.
const CREEP_UNKNOWN: f64 = 2.0e-10;

struct Bleach {
    values: Values,
}

struct BleachHand {
    /// (dye, rate times dose, residue) for dyes that chlorine touches.
    dyes: Vec<(usize, f32, f32)>,
    dose: f32,
    depth_mm: f32,
    swirl: f32,
    seed: u32,
    water: f32,
}

field::lanes! {
    /// From the swirl of the bath to the share of the dose that each sample gets.
    fn exposure_row(hand: &BleachHand, rim: &[f32], leak: &[f32], wax: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (rim, leak, wax) = (&rim[..n], &leak[..n], &wax[..n]);
        for i in 0..n {
            let swirl = 1.0 + hand.swirl * out[i];
            out[i] = swirl * access(rim[i], hand.depth_mm, leak[i], wax[i]);
        }
    }
    fn left_row(exposure: &[f32], rate: f32, residue: f32, out: &mut [f32]) {
        for (left, w) in out.iter_mut().zip(exposure) {
            *left = residue + (1.0 - residue) * exp(-rate * *w);
        }
    }
}

impl Hand for BleachHand {
    fn act(&self, patch: &mut Patch) {
        // Bare cloth needs no more detail than the dye has; wax edges need the samples.
        let waxed = !patch.wax.is_zero();
        let (lattice, rect) = if waxed { patch.fine() } else { patch.half() };
        let rim = patch.rim.at_detail(lattice, rect);
        let leak = patch.leak.at_detail(lattice, rect);
        let wax = patch.wax.at_detail(lattice, rect);
        let xs = positions(lattice, rect.x0, rect.nx);
        let mut exposure = Grid::flat(lattice, rect, 0.0);
        let mut swirl = NoiseRows::new(xs.iter().map(|x| x / 170.0), self.seed);
        for (j, y) in positions(lattice, rect.y0, rect.ny).iter().enumerate() {
            let row = rect.y0 + j as i32;
            let out = exposure.row_mut(row);
            swirl.go(y / 170.0);
            swirl.fill(0, out);
            exposure_row(self, rim.row(row), leak.row(row), wax.row(row), out);
        }
        for (dye, rate, residue) in &self.dyes {
            let planes = [&mut patch.loose[*dye], &mut patch.spent[*dye], &mut patch.fast[*dye]];
            if planes.iter().all(|plane| plane.is_zero()) {
                continue;
            }
            let mut left = Grid::flat(lattice, rect, 0.0);
            left_row(&exposure.data, *rate, *residue, &mut left.data);
            if waxed {
                let mut left = Veil::new(left);
                planes.into_iter().for_each(|plane| left.lay(plane));
            } else {
                planes.into_iter().for_each(|plane| times_on(plane, &left));
            }
        }
        let mut wear = Plane::Grid(exposure);
        wear.scale(self.dose);
        if patch.wear.is_zero() {
            patch.wear = wear;
        } else {
            patch.wear.add(&wear);
        }
        patch.water = Plane::Flat(self.water);
    }
}

impl Bleach {
    fn bath(&self) -> Celsius {
        Celsius(self.values.si("temperature"))
    }

    /// Share of the motif that creep has opened at the end.
    fn crept(&self, means: &Means) -> f64 {
        if means.waxed() { crept_share(means.wax_edge, self.depth(means), means.motif.share) } else { 1.0 }
    }

    /// Per dye: place, rate in 1/(M s), residue. A pH outside a card's range is a finding of `examine`; the
    /// picture then shows the dye untouched, because nothing is known.
    fn rates(&self, design: &Design) -> Vec<(usize, f64, f64)> {
        design
            .dyes
            .iter()
            .enumerate()
            .filter_map(|(at, dye)| {
                let rate = dye.bleach_rate(self.bath(), self.values.si("ph")).ok()?;
                Some((at, rate, dye.bleaching.residue.value))
            })
            .collect()
    }

    fn depth(&self, means: &Means) -> f64 {
        let creep = if means.creep > 0.0 { means.creep } else { CREEP_UNKNOWN };
        creep_depth(creep, self.values.si("time") + self.values.si("lag"))
    }
}

impl Operation for Bleach {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        for (at, dye) in before.design.dyes.iter().enumerate() {
            if before.means.dye(at) < 0.05 {
                continue;
            }
            if let Err(mut finding) = dye.bleach_rate(self.bath(), self.values.si("ph")) {
                finding.place = here(before, Some("ph"));
                findings.push(finding);
            }
        }
        if before.means.waxed() {
            let eaten = 2.0 * self.depth(before.means);
            findings.push(Finding::new(
                "bleach-creep",
                Weight::Note,
                here(before, Some("time")),
                say!(
                    "the bath creeps under the wax from both sides: lines of {gone} close up and go, a 1.5 mm line keeps {left}",
                    "bak merambat di bawah malam dari dua sisi: garis {gone} habis, garis 1,5 mm tersisa {left}",
                    gone = Arg::Quantity(Quantity::new(eaten, Measure::Length)),
                    left = Arg::Quantity(Quantity::new((0.0015 - eaten).max(0.0), Measure::Length))
                ),
            ));
        } else {
            findings.push(Finding::new(
                "bleach-no-wax",
                Weight::Note,
                here(before, None),
                say!("there is no wax on the cloth: the bleach lightens all of it", "tidak ada malam di kain: pemutih mencerahkan semuanya"),
            ));
        }
        let start = self.values.si("chlorine") / CHLORINE;
        let (_, end) = self.dose(before.means, before.design, before.lot, before.shop);
        if end < (1.0 - STARVED) * start {
            findings.push(
                Finding::new(
                    "bleach-starved",
                    Weight::Doubtful,
                    here(before, Some("chlorine")),
                    say!(
                        "one load uses up {share} of the bath: cloth and dye ask for more chlorine than there is",
                        "satu muatan menghabiskan {share} isi bak: kain dan pewarna butuh klorin lebih banyak daripada yang ada",
                        share = Arg::Quantity(Quantity::new(1.0 - end / start, Measure::Share))
                    ),
                )
                .remedy(say!("fewer bolts in a load, or a fuller tank", "kurangi gulung per muatan, atau isi bak lebih banyak")),
            );
        }
        let assumed = before.design.dyes.iter().enumerate().filter(|(at, dye)| {
            before.means.dye(*at) >= 0.05 && matches!(dye.bleaching.origin(self.bath()), words::Origin::Assumed { .. })
        });
        let names: Vec<String> = assumed.map(|(_, dye)| dye.name.clone()).collect();
        if !names.is_empty() {
            findings.push(
                Finding::new(
                    "bleach-assumed",
                    Weight::Doubtful,
                    here(before, Some("time")),
                    say!(
                        "how fast {dyes} clears is assumed, good only to a factor of 2.5",
                        "kecepatan cabut {dyes} masih perkiraan, bisa meleset 2,5 kali",
                        dyes = Arg::Name(names.join(", "))
                    ),
                )
                .remedy(say!(
                    "bleach a strip in this bath and write down when it reached the 10 % tint: that time x 1.7 clears to 2 %",
                    "cabut satu potong uji di bak ini dan catat saat mencapai warna 10 %: waktu itu x 1,7 mencabut sampai 2 %"
                )),
            );
        }
        findings
    }

    fn tally(&self, means: &mut Means, design: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let (dose, end) = self.dose(means, design, lot, shop);
        let crept = self.crept(means);
        let leak = means.leak;
        let mut lost = Vec::new();
        for (dye, rate, residue) in self.rates(design) {
            let left = |w: f64| residue + (1.0 - residue) * (-rate * dose * w).exp();
            let motif = crept * left(1.0) + (1.0 - crept) * left(leak);
            let mut gone = 0.0;
            for (zone, factor) in [(&mut means.ground, left(1.0)), (&mut means.motif, motif)] {
                let before = zone.loose[dye] + zone.spent[dye] + zone.fast[dye];
                zone.loose[dye] *= factor;
                zone.spent[dye] *= factor;
                zone.fast[dye] *= factor;
                gone += zone.share * (before - (zone.loose[dye] + zone.spent[dye] + zone.fast[dye]));
            }
            lost.push((dye, Fate::Bleached, gone));
        }
        means.wear += dose;
        let (chlorine, end) = (self.values.si("chlorine"), end * CHLORINE);
        let carried = carried(shop);
        means.chlorine = carried * end;
        means.chlorine_most = carried * chlorine;
        means.water = carried;
        let volume = shop.volume("tank", TANK);
        let load = shop.load("tank", lot.cloth.length);
        let bolts = bolts_in_load(&lot.cloth, shop);
        // Per bolt: what the load used and what left in the cloth, brought back to strength.
        let used_kg = (chlorine - end) * volume / bolts + carried / 1000.0 * lot.mass().0 * end;
        let origin = Some(shop.constants.known(&USED).origin);
        let chlorine_dose = |kg: f64| Dose {
            stuff: Stuff::Material(&store::HYPOCHLORITE),
            amount: Quantity::new(kg, Measure::Mass),
            origin: origin.clone(),
        };
        Takes {
            bath: Some(Bath {
                name: &KIND.term,
                vessel: "tank",
                volume,
                charge: vec![
                    draw_water(volume * 1000.0),
                    Dose {
                        stuff: Stuff::Material(&store::SODA_ASH),
                        amount: Quantity::new(2.0 * volume, Measure::Mass),
                        origin: None,
                    },
                    chlorine_dose(chlorine * volume),
                ],
                lasts_bolts: (4.0 * bolts) as u32,
                load,
                care: Text::new(
                    "Doses are available chlorine; divide by the strength titrated today. Dump only after antichlor.",
                    "Takaran adalah klorin aktif; bagi dengan kekuatan hasil titrasi hari ini. Buang hanya setelah dinetralkan.",
                ),
            }),
            per_bolt: vec![chlorine_dose(used_kg)],
            lost,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let (dose, _) = self.dose(before.means, before.design, before.lot, before.shop);
        Arc::new(BleachHand {
            dyes: self
                .rates(before.design)
                .into_iter()
                .map(|(dye, rate, residue)| (dye, (rate * dose) as f32, residue as f32))
                .collect(),
            dose: dose as f32,
            depth_mm: (self.depth(before.means) * 1000.0) as f32,
            swirl: before.shop.constants.get(&SWIRL) as f32,
            seed: before.seed.child("swirl").low(),
            water: carried(before.shop) as f32,
        })
    }

    fn occupies(&self, _: &Means, design: &Design, _: &LotShape, shop: &Workshop) -> Vec<Occupancy> {
        let time = self.values.si("time") / 60.0;
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("tank"), Use::several("helper", 2)],
            work: Work::minutes(time + 3.0, time + 6.0, time + 12.0),
            calendar: "shop",
            may_pause: false,
            batch: Some(Batch { vessel: "tank".to_string(), capacity: shop.load("tank", design.cloth.length) }),
            darkness: None,
            // Antichlor must follow at once.
            then: Lag { least: Span(0.0), most: Some(Span::minutes(3.0)) },
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        Instructions {
            lines: vec![
                say!(
                    "Titrate. Bring the bath to {chlorine} available chlorine, {ph}, {temperature}.",
                    "Titrasi. Atur bak ke klorin aktif {chlorine}, {ph}, {temperature}.",
                    chlorine = self.values.arg("chlorine"),
                    ph = self.values.arg("ph"),
                    temperature = self.values.arg("temperature")
                ),
                say!(
                    "First hang in an unwaxed strip of this dyeing: note when it reaches the 10 % tint.",
                    "Masukkan dulu satu potong uji tanpa malam: catat saat mencapai warna 10 %."
                ),
                say!(
                    "Cloth in, move it every minute. Lift after {time} or as the strip says; the end that went in first comes out first.",
                    "Masukkan kain, gerakkan tiap menit. Angkat setelah {time} atau menurut potong uji; ujung yang masuk dulu keluar dulu.",
                    time = self.values.arg("time")
                ),
                say!(
                    "Into antichlor within {lag}.",
                    "Ke penetral klorin dalam {lag}.",
                    lag = self.values.arg("lag")
                ),
            ],
            done_when: say!(
                "the bare cloth is as pale as the strike-off and thin lines still stand",
                "kain terbuka sepucat contoh dan garis tipis masih utuh"
            ),
        }
    }
}
