//! Fold: the cloth is scrunched across and along into a package that is only partly on top.

use crate::patch::positions;
use crate::prelude::*;
use crate::together::squares;
use crate::water::spread;
use field::{TOGETHER, View, cells, cells_near, clamp01, noise, noise_near, smoothstep};

/// The static side.
pub static KIND: Kind = Kind {
    key: "fold",
    term: Term {
        key: "fold",
        text: Text::new("Scrunch", "Kerutkan"),
        gloss: Text::new(
            "Push the cloth together across and along into short irregular creases.",
            "Dorong kain ke arah lebar dan panjang menjadi kerutan pendek tak beraturan.",
        ),
    },
    model: 3,
    settings: &[
        Setting {
            key: "across",
            term: Term {
                key: "across",
                text: Text::new("Width of the package", "Lebar setelah dikerut"),
                gloss: Text::new("Size across after scrunching.", "Ukuran lebar setelah dikerut."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 0.2, most: 1.5 },
            default: Some("24 in"),
            source: "44 in to 24 in: common practice, no source",
        },
        Setting {
            key: "along",
            term: Term {
                key: "along",
                text: Text::new("Length of the package", "Panjang setelah dikerut"),
                gloss: Text::new("Size along after scrunching.", "Ukuran panjang setelah dikerut."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 1.0, most: 40.0 },
            default: Some("8 yd"),
            source: "15 yd to 8 yd: common practice, no source",
        },
        Setting {
            key: "pleat",
            term: Term {
                key: "pleat",
                text: Text::new("Distance of creases", "Jarak kerutan"),
                gloss: Text::new("Mean distance from crease to crease on the open cloth.", "Jarak rata-rata antar kerutan pada kain terbuka."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 0.03, most: 0.3 },
            default: Some("80 mm"),
            source: "own estimate",
        },
        Setting {
            key: "crackle",
            term: Term {
                key: "crackle",
                text: Text::new("Crackle", "Remukan"),
                gloss: Text::new(
                    "Share of the waxed area that cracks open, if there is wax: little for soft wax, much for paraffin.",
                    "Bagian bermalam yang retak, bila ada malam: sedikit untuk malam lunak, banyak untuk parafin.",
                ),
            },
            shape: Shape::Quantity { measure: Measure::Share, least: 0.0, most: 0.3 },
            default: Some("1.5 %"),
            source: "lines of 50-300 um along the folds (own estimate)",
        },
    ],
    constants: &[],
    cautions: &[],
    asks: &[],
    timed: None,
    make: |values| Arc::new(Scrunch { values }),
};

struct Scrunch {
    values: Values,
}

struct FoldHand {
    package: Arc<Package>,
    cracks: Option<Cracks>,
}

/// Where wax breaks: a net of fine lines, dense along the creases.
struct Cracks {
    seed: u32,
    /// What a line lets through, so that the mean over waxed cloth is the asked share.
    strength: f32,
}

/// Distance of the lines of the net, mm, and their width (own estimates: lines of 50-300 um).
const NET: f32 = 6.5;
const LINE: f32 = 0.22;
/// Wavelength of the bends of the lines and how far they stray, mm (own estimates).
const WARP: f32 = 4.3;
const STRAY: f32 = 1.6;
/// Places of the bolt at which the net's mean is taken.
const PROBES: usize = 6000;

impl Cracks {
    /// How much of a line lies at a point, 0..1, before its strength.
    fn at(&self, x: f32, y: f32, crest: f32) -> f32 {
        let [dx, dy] = self.warps().map(|seed| STRAY * noise(x / WARP, y / WARP, seed));
        let cell = cells((x + dx) / NET, (y + dy) / NET, self.seed ^ 73);
        self.line(cell.f1, cell.f2, crest)
    }

    /// Seeds of what bends the lines across and along.
    #[inline(always)]
    fn warps(&self) -> [u32; 2] {
        [self.seed ^ 71, self.seed ^ 72]
    }

    #[inline(always)]
    fn line(&self, f1: f32, f2: f32, crest: f32) -> f32 {
        let line = clamp01(1.0 - (f2 - f1) * NET / (2.0 * LINE));
        line * (0.08 + smoothstep(0.15, 0.7, crest))
    }
}

field::lanes! {
    /// Rows of samples at `xs`, one for each of `ys`. Square by square: bare cloth has nothing to crack, and few points of
    /// the net are near one.
    fn crack(cracks: &Cracks, xs: &[f32], ys: &[f32], crest: &[f32], wax: &[f32], leak: &mut [f32]) {
        let (mut x, mut y) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        let (mut wx, mut wy) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        let mut warps = [[0.0f32; TOGETHER]; 2];
        let (mut waxed, mut creased) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        let mut leaks = [0.0f32; TOGETHER];
        let (mut f1, mut f2, mut id1) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER], [0u32; TOGETHER]);
        for square in squares(xs.len(), ys.len()) {
            square.take(wax, &mut waxed);
            // No wax is 0 to the bit; what is or is not 0 is quicker told of all together.
            if waxed[..square.len()].iter().fold(0, |any, w| any | w.to_bits()) == 0 {
                continue;
            }
            let n = square.len();
            for (row, together, _) in square.rows() {
                x[together.clone()].copy_from_slice(&xs[square.columns()]);
                y[together].fill(ys[row]);
            }
            for i in 0..n {
                (wx[i], wy[i]) = (x[i] / WARP, y[i] / WARP);
            }
            noise_near(&wx[..n], &wy[..n], cracks.warps(), &mut warps);
            for i in 0..n {
                (wx[i], wy[i]) = ((x[i] + STRAY * warps[0][i]) / NET, (y[i] + STRAY * warps[1][i]) / NET);
            }
            cells_near(&wx[..n], &wy[..n], cracks.seed ^ 73, &mut f1, &mut f2, &mut id1);
            square.take(crest, &mut creased);
            square.take(leak, &mut leaks);
            for i in 0..n {
                let line = cracks.line(f1[i], f2[i], creased[i]);
                let open = clamp01(cracks.strength * line * clamp01(waxed[i] * 1.0e4));
                leaks[i] += (1.0 - leaks[i]) * open;
            }
            square.put(&leaks, leak);
        }
    }
}

impl Hand for FoldHand {
    fn act(&self, patch: &mut Patch) {
        let Some(cracks) = self.cracks.as_ref().filter(|_| !patch.wax.is_zero()) else { return };
        // The creases that crack the wax are those of the package that is being made.
        let earlier = patch.package.replace(self.package.clone());
        let half = patch.half();
        let folds = patch.folds(half);
        patch.package = earlier;
        let Some(folds) = folds else { return };
        let (lattice, core) = patch.fine();
        let crest = View { lattice: half.0, rect: half.1, data: &folds.crest }.sample_onto(lattice, core);
        let wax = patch.wax.at_detail(lattice, core);
        let mut leak = std::mem::take(&mut patch.leak).into_detail(lattice, core);
        let (xs, ys) = (positions(lattice, core.x0, core.nx), positions(lattice, core.y0, core.ny));
        crack(cracks, &xs, &ys, &crest.data, &wax.data, &mut leak.data);
        patch.leak = Plane::Grid(leak);
    }
    fn fold(&self) -> Fold {
        Fold::Packed(self.package.clone())
    }
}

impl Scrunch {
    /// Package size over cloth size, across and along.
    fn contraction(&self, lot: &LotShape) -> (f64, f64) {
        (self.values.si("across") / lot.cloth.width.0, self.values.si("along") / lot.cloth.length.0)
    }
}

impl Operation for Scrunch {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        let (across, along) = self.contraction(before.lot);
        for (share, setting) in [(across, "across"), (along, "along")] {
            if !(0.3..=0.95).contains(&share) {
                findings.push(
                    Finding::new(
                        "fold-contraction",
                        Weight::Wrong,
                        here(before, Some(setting)),
                        say!(
                            "the package is {share} of the cloth's size",
                            "ukuran kerutan {share} dari ukuran kain",
                            share = Arg::Quantity(Quantity::new(share, Measure::Share))
                        ),
                    )
                    .allow(say!("30 to 95 %", "30 sampai 95 %")),
                );
            }
        }
        if before.means.waxed() {
            findings.push(Finding::new(
                "fold-cracks-wax",
                Weight::Note,
                here(before, None),
                say!(
                    "scrunching waxed cloth cracks the wax along the folds",
                    "mengerutkan kain bermalam membuat malam retak di lipatan"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let (across, along) = self.contraction(lot);
        means.folded = true;
        if means.waxed() {
            means.leak += (1.0 - means.leak) * self.values.si("crackle");
        }
        means.layers = 1.0 / (across.clamp(0.3, 1.0) * along.clamp(0.3, 1.0));
        Takes::default()
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let (across, along) = self.contraction(before.lot);
        let pleat = self.values.si("pleat") as f32 * 1000.0;
        let package = Arc::new(Package {
            seed: before.seed.child("package").low(),
            pitch: pleat,
            contraction: (across.clamp(0.3, 1.0) as f32, along.clamp(0.3, 1.0) as f32),
            crumple: pleat * 0.6,
        });
        let cracks = (before.means.waxed() && self.values.si("crackle") > 0.0).then(|| {
            let net = Cracks { seed: before.seed.child("cracks").low(), strength: 1.0 };
            let places = || spread(before.lot.cloth.width.to_mm(), before.lot.cloth.length.to_mm(), PROBES);
            let sum: f64 = package
                .probe(places())
                .iter()
                .zip(places())
                .map(|(folded, (x, y))| f64::from(net.at(x, y, folded.crest)))
                .sum();
            let mean = (sum / PROBES as f64).max(1e-6);
            Cracks { strength: (self.values.si("crackle") / mean) as f32, ..net }
        });
        Arc::new(FoldHand { package, cracks })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("floor"), Use::several("helper", 2)],
            work: Work::minutes(8.0, 12.0, 20.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, _: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        Instructions {
            lines: vec![say!(
                "Scrunch to {across} wide and {along} long: short creases in all directions, none from edge to edge.",
                "Kerutkan sampai lebar {across} dan panjang {along}: kerutan pendek ke segala arah, jangan dari tepi ke tepi.",
                across = self.values.arg("across"),
                along = self.values.arg("along")
            )],
            done_when: say!("about a third of the cloth is on top", "sekitar sepertiga kain ada di atas"),
        }
    }
}
