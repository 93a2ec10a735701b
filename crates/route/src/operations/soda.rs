//! Soda: soda ash powder is sprinkled over the wet cloth or the top of the package.
//!
//! Clumps with a soft halo and fine grains lie on a share of the top, in coordinates of the package; what reaches
//! the layers below falls by `exp(-a l)`. The powder makes the place alkaline, so that dye binds there before the
//! jig (the sun's tally and picture), and it holds water and draws liquor towards itself. How much it draws is not
//! known: one constant, set by a witness patch.

use crate::detail::times;
use crate::patch::positions;
use crate::prelude::*;
use crate::water::{laid_by_layers, likely_dye, probe, spread};
use field::{clamp01, exp, noise, noise2, smoothstep};

/// The static side.
pub static KIND: Kind = Kind {
    key: "soda",
    term: Term {
        key: "soda",
        text: Text::new("Sprinkle soda ash", "Taburkan soda abu"),
        gloss: Text::new(
            "Dry soda ash over the wet cloth, in clumps: dye binds early there.",
            "Soda abu kering di atas kain basah, bergumpal: pewarna lebih dulu terikat di situ.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "amount",
            term: Term {
                key: "amount",
                text: Text::new("Soda ash", "Soda abu"),
                gloss: Text::new(
                    "Per area of what lies on top.",
                    "Per luas bagian yang terlihat di atas.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::PerArea,
                least: 0.002,
                most: 0.1,
            },
            default: Some("20 g/m2"),
            source: "10-40 g/m2, own estimate",
        },
        Setting {
            key: "cover",
            term: Term {
                key: "cover",
                text: Text::new("Covered", "Tertutup"),
                gloss: Text::new(
                    "Share of the top that lies under powder.",
                    "Bagian atas yang tertutup serbuk.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Share,
                least: 0.02,
                most: 0.9,
            },
            default: Some("25 %"),
            source: "15-35 %, own estimate",
        },
    ],
    constants: &[DRAWN, LAYER_LOSS],
    cautions: &[Caution {
        code: "soda-dust",
        text: Text::new(
            "Soda ash burns eyes and irritates lungs: goggles, gloves, dust mask; sprinkle low and with the wind at \
             your back. Local rules go first.",
            "Soda abu merusak mata dan mengiritasi paru: pakai kacamata pelindung, sarung tangan, masker debu; tabur \
             rendah, membelakangi angin. Aturan setempat diutamakan.",
        ),
    }],
    asks: &[Ask {
        term: Term {
            key: "soda-used",
            text: Text::new("Soda ash used", "Soda abu terpakai"),
            gloss: Text::new(
                "Weigh the tin before and after.",
                "Timbang kaleng sebelum dan sesudah.",
            ),
        },
        measure: Measure::Mass,
    }],
    timed: None,
    make: |values| Arc::new(Soda { values }),
};

const DRAWN: Constant = Constant {
    key: "soda.drawn",
    text: Text::new(
        "Loose dye drawn to the powder",
        "Pewarna lepas tertarik ke serbuk",
    ),
    measure: Measure::Share,
    value: 0.08,
    factor: 2.5,
    source: "own estimate: that cloth is darker under the powder is trade lore without a published size; set it by a \
             witness patch with and without powder",
};
const LAYER_LOSS: Constant = Constant {
    key: "soda.powder-per-layer",
    text: Text::new(
        "Loss of powder per layer of the package",
        "Serbuk berkurang tiap lapis",
    ),
    measure: Measure::Count,
    value: 1.2,
    factor: 1.6,
    source: "own estimate: what lies on top reaches lower layers dissolved, or through open creases",
};
/// Size of a clump and of a grain with its wet ring, mm (own estimate from the halo of a few mm).
const CLUMP: f32 = 26.0;
const GRAIN: f32 = 2.4;
/// How far below the threshold of the clumps' noise their foot reaches (a halo of some 3 mm).
const FOOT: f32 = 0.08;
/// Samples looked at together.
const RUN: usize = 32;
/// Width of the halo: the alkaline share is `c + HALO sqrt(c) (1 - c)` for powder on a share c (fitted to the pattern).
const HALO: f64 = 0.24;
/// Part of the dye of a package that lies no deeper than powder from above makes alkaline (fitted to the pattern on a
/// package of 3.4 layers; 0.79 to 0.91 for 10 to 40 g/m2).
const DEEP: f64 = 0.86;
/// Places of the top at which the clumps' threshold is set.
const PROBES: usize = 8_000;

struct Soda {
    values: Values,
}

/// Powder on the top, before scaling.
#[derive(Clone, Copy, Debug)]
struct Clumps {
    seed: u32,
    /// The clump noise lies above it on the covered share.
    threshold: f32,
    layer_loss: f32,
}

struct SodaHand {
    clumps: Clumps,
    /// From the pattern to kg/m2.
    scale: f32,
    /// Share of loose dye drawn, over the dye-weighted mean of the pattern.
    pull: f32,
    drawn: f32,
}

impl Clumps {
    /// Height of the clumps' noise: clumps, and the finer unevenness of the hand.
    #[inline(always)]
    fn height(&self, u: f32, v: f32) -> f32 {
        noise2(u / CLUMP, v / CLUMP, self.seed ^ 1, 0.0) + 0.30 * noise(u / 6.5, v / 6.5, self.seed ^ 2)
    }

    /// Clumps that thin out over a halo of a few mm, thicker in their middle, made of grains.
    #[inline(always)]
    fn powder(&self, height: f32, u: f32, v: f32, depth: f32) -> f32 {
        let over = height - self.threshold;
        let uneven =
            noise(u / GRAIN, v / GRAIN, self.seed ^ 3) + 0.6 * noise(u / 5.3, v / 5.3, self.seed ^ 4);
        let body = smoothstep(-FOOT, 0.12, over) * (0.6 + 0.8 * clamp01(over * 2.0));
        body * (0.6 + 0.8 * smoothstep(-0.25, 0.45, uneven)) * exp(-self.layer_loss * depth)
    }

    #[cfg(test)]
    fn at(&self, u: f32, v: f32, depth: f32) -> f32 {
        self.powder(self.height(u, v), u, v, depth)
    }

    /// Sets the threshold so that the share `cover` of the top lies above it.
    fn set(seed: u32, cover: f64, layer_loss: f32) -> Self {
        let mut clumps = Self {
            seed,
            threshold: 0.0,
            layer_loss,
        };
        // Far more clumps than a package holds: the quantile is that of the noise, not of one stretch of it.
        let mut heights: Vec<f32> = spread(20_000.0, 20_000.0, PROBES)
            .map(|(u, v)| clumps.height(u, v))
            .collect();
        heights.sort_by(f32::total_cmp);
        let rank = ((1.0 - cover) * PROBES as f64) as usize;
        clumps.threshold = heights.get(rank.min(PROBES - 1)).copied().unwrap_or(0.0);
        clumps
    }
}

/// Share of the dye that lies where powder, on the share `cover` of the top, makes the cloth alkaline.
fn alkaline_share(cover: f64, layers: f64) -> f64 {
    let top = (cover + HALO * cover.sqrt() * (1.0 - cover)).clamp(0.0, 1.0);
    if layers > 1.0 { DEEP * top } else { top }
}

field::lanes! {
    fn powder_row(clumps: &Clumps, u: &[f32], v: &[f32], depth: &[f32], out: &mut [f32]) {
        let n = out.len();
        let (u, v, depth) = (&u[..n], &v[..n], &depth[..n]);
        for i in 0..n {
            out[i] = clumps.height(u[i], v[i]);
        }
        // In runs: most of them lie between clumps, where the grains need not be known.
        let foot = clumps.threshold - FOOT;
        for (k, run) in out.chunks_mut(RUN).enumerate() {
            let at = k * RUN..k * RUN + run.len();
            let (u, v, depth) = (&u[at.clone()], &v[at.clone()], &depth[at]);
            if run.iter().fold(f32::MIN, |a, b| if *b > a { *b } else { a }) > foot {
                for i in 0..run.len() {
                    run[i] = clumps.powder(run[i], u[i], v[i], depth[i]);
                }
            } else {
                run.fill(0.0);
            }
        }
    }

    /// From the pattern to what becomes of a gram of loose dye.
    fn pull_row(drawn: f32, pull: f32, pattern: &mut [f32]) {
        for p in pattern {
            *p = 1.0 - drawn + pull * *p;
        }
    }
}

impl Hand for SodaHand {
    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = patch.half();
        let mut powder = Grid::flat(lattice, rect, 0.0);
        let nx = rect.nx.max(1) as usize;
        match patch.folds((lattice, rect)) {
            Some(f) => powder_row(&self.clumps, &f.u, &f.v, &f.depth, &mut powder.data),
            None => {
                let (xs, flat) = (positions(lattice, rect.x0, rect.nx), vec![0.0; nx]);
                for (y, row) in positions(lattice, rect.y0, rect.ny)
                    .iter()
                    .zip(powder.data.chunks_exact_mut(nx))
                {
                    powder_row(&self.clumps, &xs, &vec![*y; nx], &flat, row);
                }
            }
        }
        let mut pull = powder.clone();
        pull_row(self.drawn, self.pull, &mut pull.data);
        for plane in &mut patch.loose {
            times(plane, &pull);
        }
        let mut powder = Plane::Grid(powder);
        powder.scale(self.scale);
        patch.soda.add(&powder);
    }
}

impl Soda {
    /// Powder on the bolt's cloth, kg/m2: what lies on top, over all layers.
    fn on_cloth(&self, layers: f64) -> f64 {
        self.values.si("amount") / layers.max(1.0)
    }
}

impl Operation for Soda {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        if before.means.water < crate::kinetics::WET {
            findings.push(
                Finding::new(
                    "soda-on-dry-cloth",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "the cloth holds {water} water: powder on dry cloth does nothing and blows away",
                        "kain hanya memuat {water} air: serbuk di kain kering tidak bekerja dan terbang",
                        water = Arg::Quantity(Quantity::new(before.means.water, Measure::Share))
                    ),
                )
                .allow(say!("more than about 30 %", "di atas sekitar 30 %"))
                .remedy(say!(
                    "sprinkle right after the dye",
                    "taburkan segera setelah pewarna"
                )),
            );
        }
        if before.means.mean(|z| z.loose.iter().sum::<f64>()) < 1e-6 {
            findings.push(Finding::new(
                "soda-without-dye",
                Weight::Note,
                here(before, None),
                say!(
                    "there is no loose dye for the powder to bind",
                    "tidak ada pewarna lepas untuk diikat serbuk"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, shop: &Workshop) -> Takes {
        let added = self.on_cloth(means.layers);
        means.soda += added;
        // Of the dye, what the powder has drawn lies there too.
        let drawn = shop.constants.get(&DRAWN).clamp(0.0, 0.9);
        let alkaline = alkaline_share(self.values.si("cover"), means.layers);
        let alkaline = alkaline + drawn * (1.0 - alkaline);
        means.soda_cover = 1.0 - (1.0 - means.soda_cover) * (1.0 - alkaline);
        let powder = Dose {
            stuff: Stuff::Material(&store::SODA_ASH),
            amount: Quantity::new(added * lot.area().0, Measure::Mass),
            origin: None,
        };
        Takes {
            per_bolt: vec![powder],
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let constants = &before.shop.constants;
        let seed = before.seed.child("powder").low();
        let clumps = Clumps::set(seed, self.values.si("cover"), constants.get(&LAYER_LOSS) as f32);
        // Two means of the pattern over the bolt: per area for the powder, per dye for what it draws.
        let (mut area, mut dye, mut weights, mut places) = (0.0f64, 0.0f64, 0.0f64, 0.0f64);
        let mut count = |u: f32, v: f32, depth: f32, weight: f64| {
            let amount = f64::from(clumps.powder(clumps.height(u, v), u, v, depth));
            area += amount;
            dye += weight * amount;
            weights += weight;
            places += 1.0;
        };
        let layers = match before.package {
            Some(package) => {
                let loss = laid_by_layers(before);
                for place in probe(package, before.lot) {
                    count(place.u, place.v, place.depth, likely_dye(&place, loss));
                }
                f64::from(package.layers())
            }
            None => {
                let (width, length) = (before.lot.cloth.width.to_mm(), before.lot.cloth.length.to_mm());
                spread(width, length, PROBES).for_each(|(x, y)| count(x, y, 0.0, 1.0));
                1.0
            }
        };
        let (area, dye) = (
            area / places.max(1.0),
            if weights > 0.0 { dye / weights } else { 0.0 },
        );
        let drawn = constants.get(&DRAWN).clamp(0.0, 0.9);
        Arc::new(SodaHand {
            clumps,
            scale: if area > 0.0 {
                (self.on_cloth(layers) / area) as f32
            } else {
                0.0
            },
            pull: if dye > 0.0 { (drawn / dye) as f32 } else { 0.0 },
            drawn: if dye > 0.0 { drawn as f32 } else { 0.0 },
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("floor"), Use::whole("helper")],
            work: Work::minutes(2.0, 4.0, 8.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            // The sun must find the cloth wet.
            then: Lag {
                least: Span(0.0),
                most: Some(Span::minutes(10.0)),
            },
        }]
    }

    fn instructs(&self, takes: &Takes, _: &Design, _: &LotShape, _: &Workshop) -> Instructions {
        let mass = takes
            .per_bolt
            .first()
            .map_or(Quantity::new(0.0, Measure::Mass), |dose| dose.amount);
        Instructions {
            lines: vec![
                say!(
                    "Weigh {mass} of dry soda ash for this bolt.",
                    "Timbang {mass} soda abu kering untuk gulung ini.",
                    mass = Arg::Quantity(mass)
                ),
                say!(
                    "Sprinkle it by hand over about {cover} of the top, in clumps, not evenly.",
                    "Taburkan dengan tangan di sekitar {cover} bagian atas, bergumpal, tidak merata.",
                    cover = self.values.arg("cover")
                ),
            ],
            done_when: say!(
                "all powder is down and it has turned damp",
                "semua serbuk tertabur dan sudah lembap"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Clumps, LAYER_LOSS, alkaline_share, spread};
    use crate::Package;
    use crate::kinetics::alkaline;
    use crate::water::likely_dye;

    /// What the tally takes for the alkaline share is what the pattern does, for every cover and amount that is usual.
    #[test]
    fn the_alkaline_share_is_that_of_the_pattern() {
        let package = Package {
            seed: 3,
            pitch: 80.0,
            contraction: (0.545, 0.533),
            crumple: 44.0,
        }
        .ready();
        for (cover, amount) in [
            (0.15, 0.01),
            (0.15, 0.04),
            (0.25, 0.02),
            (0.35, 0.01),
            (0.35, 0.04),
            (0.8, 0.02),
        ] {
            for layers in [1.0, 3.44] {
                let clumps = Clumps::set(5, cover, LAYER_LOSS.value as f32);
                let places: Vec<(f64, f64)> = spread(1117.0, 13_716.0, 20_000)
                    .map(|(x, y)| {
                        if layers > 1.0 {
                            package.at(x, y)
                        } else {
                            open(x, y)
                        }
                    })
                    .map(|p| {
                        (
                            f64::from(clumps.at(p.u, p.v, p.depth)),
                            likely_dye(&p, if layers > 1.0 { 0.6 } else { 0.0 }),
                        )
                    })
                    .collect();
                let mean = places.iter().map(|p| p.0).sum::<f64>() / places.len() as f64;
                let per_pattern = amount / layers / mean;
                let dye: f64 = places.iter().map(|p| p.1).sum();
                let alkaline: f64 = places
                    .iter()
                    .map(|p| p.1 * f64::from(alkaline((per_pattern * p.0) as f32)))
                    .sum();
                let (found, said) = (alkaline / dye, alkaline_share(cover, layers));
                assert!(
                    (found / said - 1.0).abs() < 0.15,
                    "{cover} {amount} {layers}: {found} is not {said}"
                );
            }
        }
    }

    fn open(x: f32, y: f32) -> crate::Folded {
        crate::Folded {
            u: x,
            v: y,
            depth: 0.0,
            crest: 0.0,
            facet: 0.0,
        }
    }

    #[test]
    fn powder_covers_the_share_that_was_asked() {
        for (cover, seed) in [(0.15, 7), (0.25, 8), (0.35, 9)] {
            let clumps = Clumps::set(seed, cover, 1.2);
            let over = |(u, v): (f32, f32)| clumps.height(u + 31_000.0, v) > clumps.threshold;
            let n = 20_000;
            let share = spread(9_000.0, 9_000.0, n).filter(|p| over(*p)).count() as f64 / n as f64;
            assert!(
                (share - cover).abs() < 0.015,
                "seed {seed}: {share} instead of {cover}"
            );
        }
    }
}
