//! Wax repair: someone looks the waxed cloth over and brushes hot wax on weak places.
//!
//! A place is weak where the stamp's wax is thin, and it is seen or missed by eye: a soft pattern over the bolt is
//! "seen" on the share that was asked. Where it is seen, wax goes on in proportion to how much the place leaks, and
//! a small part of the leak stays. What is left out: a brush also closes places outside the motif; a careful hand
//! does not, and the bench sends back a bolt on which it did.

use crate::operations::wax::WEAK_LEAK;
use crate::patch::positions;
use crate::prelude::*;
use crate::water::spread;
use field::{noise2, smoothstep};

/// The static side.
pub static KIND: Kind = Kind {
    key: "wax_repair",
    term: Term {
        key: "wax_repair",
        text: Text::new("Repair the wax", "Tambal malam"),
        gloss: Text::new(
            "Brush hot wax on thin places and skips, or draw it with a canting.",
            "Kuaskan malam panas pada bagian tipis atau bolong, atau pakai canting.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "found",
            term: Term {
                key: "found",
                text: Text::new("Weak places found", "Bagian lemah ditemukan"),
                gloss: Text::new(
                    "Share of the weak places that are seen and closed.",
                    "Bagian lemah yang terlihat dan ditutup.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Share,
                least: 0.05,
                most: 0.98,
            },
            default: Some("80 %"),
            source: "own estimate, cloth held against the light",
        },
        Setting {
            key: "add_on",
            term: Term {
                key: "add_on",
                text: Text::new("Wax brushed on", "Malam dikuaskan"),
                gloss: Text::new(
                    "Mass per area of a wholly bare place.",
                    "Massa per luas pada bagian yang kosong sama sekali.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::PerArea,
                least: 0.05,
                most: 0.6,
            },
            default: Some("280 g/m2"),
            source: "a filled 125 g/m2 cotton with a thick skin, 200-280 g/m2 (calculated); a brush leaves more than a stamp",
        },
    ],
    constants: &[LEFT],
    cautions: &[
        Caution {
            code: "hot-wax",
            text: Text::new(
                "Hot wax burns at once: sleeves, closed shoes, no water near the pan. Never water on burning wax: lid, \
                 sand or dry powder. Local rules go first.",
                "Malam panas langsung melukai: lengan panjang, sepatu tertutup, jauhkan air dari wajan. Jangan siram \
                 malam terbakar: pakai tutup, pasir, serbuk kering. Aturan setempat diutamakan.",
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
    asks: &[
        Ask {
            term: Term {
                key: "places-closed",
                text: Text::new("Places closed", "Tempat ditambal"),
                gloss: Text::new(
                    "Count per bolt; many mean a stamp to be refiled.",
                    "Jumlah per gulung; bila banyak, cap perlu dikikir.",
                ),
            },
            measure: Measure::Count,
        },
        Ask {
            term: Term {
                key: "pan",
                text: Text::new("Wax temperature", "Suhu malam"),
                gloss: Text::new("In the pan, every hour.", "Di wajan, tiap jam."),
            },
            measure: Measure::Temperature,
        },
    ],
    timed: None,
    make: |values| Arc::new(WaxRepair { values }),
};

const LEFT: Constant = Constant {
    key: "wax_repair.left",
    text: Text::new(
        "What a repaired place still lets through",
        "Yang masih lolos setelah ditambal",
    ),
    measure: Measure::Share,
    value: 0.10,
    factor: 2.0,
    source: "own estimate: brushed wax lies on wax that did not strike through",
};
/// Size of what is seen or missed in one look, mm, and how softly it ends (own estimates).
const GLANCE: f32 = 60.0;
const SOFT: f32 = 0.10;
/// Places at which the share seen is set.
const PROBES: usize = 8_000;

struct WaxRepair {
    values: Values,
}

/// Where weak places are seen.
#[derive(Clone, Copy)]
struct Seen {
    seed: u32,
    above: f32,
}

struct RepairHand {
    seen: Seen,
    /// Share of a leak that is closed.
    closed: f32,
    /// Wax per leak, kg/m2.
    wax: f32,
}

impl Seen {
    #[inline(always)]
    fn at(&self, x: f32, y: f32) -> f32 {
        smoothstep(
            self.above - SOFT,
            self.above + SOFT,
            noise2(x / GLANCE, y / GLANCE, self.seed, 0.0),
        )
    }

    /// Sets the threshold so that the mean is `found`.
    fn set(seed: u32, found: f64) -> Self {
        // Far more glances than a bolt holds: the threshold is that of the noise, not of one stretch of it.
        let places: Vec<(f32, f32)> = spread(30_000.0, 30_000.0, PROBES).collect();
        let (mut low, mut high) = (-1.5f32, 1.5f32);
        for _ in 0..30 {
            let seen = Self {
                seed,
                above: 0.5 * (low + high),
            };
            let mean = places
                .iter()
                .map(|(x, y)| f64::from(seen.at(*x, *y)))
                .sum::<f64>()
                / PROBES as f64;
            if mean > found {
                low = seen.above
            } else {
                high = seen.above
            }
        }
        Self {
            seed,
            above: 0.5 * (low + high),
        }
    }
}

field::lanes! {
    fn close_row(hand: &RepairHand, y: f32, xs: &[f32], leak: &mut [f32], wax: &mut [f32]) {
        // In short runs: where nothing leaks there is nothing to see.
        const RUN: usize = 32;
        for from in (0..leak.len()).step_by(RUN) {
            let to = (from + RUN).min(leak.len());
            let (xs, wax, leak) = (&xs[from..to], &mut wax[from..to], &mut leak[from..to]);
            if leak.iter().fold(0, |any, leak| any | leak.to_bits()) == 0 {
                continue;
            }
            for i in 0..xs.len() {
                let seen = hand.seen.at(xs[i], y);
                wax[i] += hand.wax * leak[i] * seen;
                leak[i] *= 1.0 - hand.closed * seen;
            }
        }
    }
}

impl Hand for RepairHand {
    fn act(&self, patch: &mut Patch) {
        if patch.leak.is_zero() {
            return;
        }
        let (lattice, rect) = patch.fine();
        let mut leak = std::mem::take(&mut patch.leak).into_detail(lattice, rect);
        let mut wax = std::mem::take(&mut patch.wax).into_detail(lattice, rect);
        let xs = positions(lattice, rect.x0, rect.nx);
        for ((y, leak), (_, wax)) in leak.rows_mut().zip(wax.rows_mut()) {
            close_row(self, lattice.at(y) as f32, &xs, leak, wax);
        }
        (patch.leak, patch.wax) = (Plane::Grid(leak), Plane::Grid(wax));
    }
}

impl WaxRepair {
    /// Share of a leak that is closed where the place is seen.
    fn closed(shop: &Workshop) -> f64 {
        1.0 - shop.constants.get(&LEFT).clamp(0.0, 1.0)
    }

    /// Wax put on a place per leak, kg/m2: a place that leaks like a bare one gets all of `add_on`.
    fn wax_per_leak(&self, shop: &Workshop) -> f64 {
        self.values.si("add_on") / shop.constants.get(&WEAK_LEAK).max(0.01)
    }
}

impl Operation for WaxRepair {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if !before.means.waxed() {
            findings.push(
                Finding::new(
                    "repair-no-wax",
                    Weight::Wrong,
                    here(before, None),
                    say!(
                        "there is no wax on the cloth to repair",
                        "tidak ada malam di kain untuk ditambal"
                    ),
                )
                .remedy(say!(
                    "put this step right after the wax",
                    "letakkan langkah ini tepat setelah cap malam"
                )),
            );
        }
        if before.means.wet() {
            findings.push(
                Finding::new(
                    "repair-on-wet",
                    Weight::Wrong,
                    here(before, None),
                    say!(
                        "the cloth holds {water} water: brushed wax does not go into wet cloth",
                        "kain masih memuat air {water}: malam kuas tidak masuk ke kain basah",
                        water = Arg::Quantity(Quantity::new(before.means.water, Measure::Share))
                    ),
                )
                .allow(say!(
                    "dry cloth, 15 % water or less",
                    "kain kering, air 15 % atau kurang"
                ))
                .remedy(say!(
                    "repair the wax before the bath",
                    "tambal malam sebelum masuk bak"
                )),
            );
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        if !means.waxed() {
            return Takes::default();
        }
        let found = self.values.si("found");
        let added = self.wax_per_leak(shop) * means.leak * found;
        means.leak *= 1.0 - Self::closed(shop) * found;
        means.motif.wax += added;
        let wax = added * means.motif.share * lot.area().0;
        Takes {
            per_bolt: vec![Dose {
                stuff: Stuff::Material(&store::WAX),
                amount: Quantity::new(wax, Measure::Mass),
                origin: Some(shop.constants.known(&WEAK_LEAK).origin),
            }],
            wax_put: wax,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        Arc::new(RepairHand {
            seen: Seen::set(before.seed.child("seen").low(), self.values.si("found")),
            closed: Self::closed(before.shop) as f32,
            wax: self.wax_per_leak(before.shop) as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        // Looking over a bolt from both sides takes a quarter of an hour, closing what is found as long (own estimate).
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("bench"), Use::whole("stamper")],
            work: Work::minutes(15.0, 30.0, 60.0),
            calendar: "shop",
            may_pause: true,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let wax = takes
            .per_bolt
            .first()
            .map_or(Quantity::new(0.0, Measure::Mass), |dose| dose.amount);
        Instructions {
            lines: vec![
                say!(
                    "Hold the cloth against the light, yard by yard, then look at the back: where it is pale, wax is thin.",
                    "Terawang kain yard demi yard, lalu lihat baliknya: yang pucat berarti malamnya tipis."
                ),
                say!(
                    "Close thin places with brush or canting, hot enough to strike through; stay inside the line. About {wax} of wax.",
                    "Tutup bagian tipis dengan kuas atau canting, cukup panas sampai tembus; jangan keluar garis. Sekitar {wax} malam.",
                    wax = Arg::Quantity(wax)
                ),
            ],
            done_when: say!(
                "no light comes through inside the motif",
                "tidak ada cahaya tembus di dalam motif"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{PROBES, RepairHand, Seen, spread};
    use crate::{Hand, Patch};
    use field::{Plane, Rect, Tile};

    #[test]
    fn as_many_places_are_seen_as_were_asked() {
        for (found, seed) in [(0.3, 1), (0.8, 2), (0.95, 3)] {
            let seen = Seen::set(seed, found);
            // Other places than those at which the threshold was set.
            let mean = spread(41_000.0, 37_000.0, PROBES)
                .map(|(x, y)| f64::from(seen.at(x + 50_000.0, y)))
                .sum::<f64>();
            assert!(
                (mean / PROBES as f64 - found).abs() < 0.02,
                "seed {seed}: {} instead of {found}",
                mean / PROBES as f64
            );
        }
    }

    /// What pictures lose of a leak, and gain of wax, is what the tally says: closed x found, wax x leak x found.
    #[test]
    fn the_picture_agrees_with_the_tally() {
        let (closed, found, wax) = (0.9f32, 0.8, 0.7f32);
        let hand = RepairHand {
            seen: Seen::set(5, found),
            closed,
            wax,
        };
        let mut patch = {
            let tile = Tile::new(
                20.0,
                Rect {
                    x0: 0,
                    y0: 0,
                    nx: 500,
                    ny: 500,
                },
            );
            Patch::white(tile, tile.need())
        };
        patch.leak = Plane::Flat(0.2);
        patch.wax = Plane::Flat(0.24);
        hand.act(&mut patch);
        let (leak, on) = (patch.leak.mean(), patch.wax.mean());
        assert!((leak - 0.2 * (1.0 - 0.9 * found)).abs() < 0.004, "{leak}");
        assert!((on - (0.24 + 0.7 * 0.2 * found)).abs() < 0.004, "{on}");
    }
}
