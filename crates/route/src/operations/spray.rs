//! Spray: tints are flicked or sprayed in streaks and drops over part of the cloth.
//!
//! Where a warped noise lies above a level, cloth is hit; the level is found so that the asked share of the top
//! is hit. Independent colours overlap by chance: `1 - (1 - a)(1 - b)`, so two of 30 % leave 49 % bare. Wax and
//! what lies above in the package keep the spray off.

use crate::barrier::{reached, reached_share};
use crate::detail::Veil;
use crate::prelude::*;
use crate::water::spread;
use crate::spread::Wick;
use crate::package::Folded;
use crate::patch::positions;
use field::{cells, clamp01, exp, noise, noise2, smoothstep};

/// The static side.
pub static KIND: Kind = Kind {
    key: "spray",
    term: Term {
        key: "spray",
        text: Text::new("Spray tints", "Semprot warna"),
        gloss: Text::new("Streaks and drops of thin dye over part of the cloth.", "Sapuan dan percikan warna tipis pada sebagian kain."),
    },
    model: 1,
    settings: &[
        Setting {
            key: "dyes",
            term: Term {
                key: "dyes",
                text: Text::new("Dye liquors", "Larutan pewarna"),
                gloss: Text::new("Each dye with its strength in the liquor.", "Tiap pewarna dengan kekuatannya dalam larutan."),
            },
            shape: Shape::Dyes { least: 1, most: 3, depth: Measure::PerVolume, deepest: 60.0 },
            default: None,
            source: "own estimate",
        },
        Setting {
            key: "cover",
            term: Term {
                key: "cover",
                text: Text::new("Covered by each colour", "Tertutup tiap warna"),
                gloss: Text::new("Share of the top that one colour hits.", "Bagian atas yang terkena satu warna."),
            },
            shape: Shape::Quantity { measure: Measure::Share, least: 0.02, most: 0.95 },
            default: Some("30 %"),
            source: "two sprays of 30 % each: common practice, no source",
        },
        Setting {
            key: "liquor",
            term: Term {
                key: "liquor",
                text: Text::new("Liquor put on", "Larutan dipakai"),
                gloss: Text::new("Litres per kilogram of cloth, all colours together.", "Liter per kilogram kain, semua warna."),
            },
            shape: Shape::Quantity { measure: Measure::PerMass, least: 0.01e-3, most: 1.0e-3 },
            default: Some("0.15 L/kg"),
            source: "own estimate",
        },
        Setting {
            key: "stroke",
            term: Term {
                key: "stroke",
                text: Text::new("Size of a stroke", "Ukuran sapuan"),
                gloss: Text::new("How far one sweep reaches.", "Panjang satu sapuan."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 0.02, most: 0.6 },
            default: Some("120 mm"),
            source: "own estimate",
        },
    ],
    constants: &[LAYER_LOSS, SPREAD, LOOSE_TIME],
    cautions: &[Caution {
        code: "dye-spray",
        text: Text::new(
            "Dye mist: some reactive dyes sensitise the lungs for life. Mask for mist, goggles, stand upwind.",
            "Kabut pewarna: sebagian membuat paru-paru alergi seumur hidup. Pakai masker kabut dan kacamata, berdiri di arah angin.",
        ),
    }],
    asks: &[],
    timed: None,
    make: |values| Arc::new(Spray { values }),
};

const LAYER_LOSS: Constant = Constant {
    key: "spray.layer-loss",
    text: Text::new("Loss of dye per layer of the package", "Pewarna berkurang tiap lapis"),
    measure: Measure::Count,
    value: 0.75,
    factor: 1.6,
    source: "less liquor than a sponge gives, so less strikes through (own estimate)",
};
const SPREAD: Constant = Constant {
    key: "spray.spread",
    text: Text::new("Spread of a spray in damp cloth", "Rambatan semprotan di kain lembap"),
    measure: Measure::Diffusivity,
    value: 3e-9,
    factor: 3.0,
    source: "dispersion in wet cloth 0.5e-9 to 1e-8 m2/s (own estimate)",
};
const LOOSE_TIME: Constant = Constant {
    key: "spray.loose-time",
    text: Text::new("Time that a spray stays loose and wet", "Lama semprotan lepas dan basah"),
    measure: Measure::Span,
    value: 150.0,
    factor: 2.0,
    source: "own estimate",
};
/// Warp over weft spread, as in the sponge.
const WARP_OVER_WEFT: f64 = 0.7;
/// Places of the bolt at which the pattern is sampled.
const PROBES: usize = 16_000;

struct Spray {
    values: Values,
}

/// Strokes and drops of all colours.
#[derive(Clone)]
struct Strokes {
    seed: u32,
    colours: usize,
    size: f32,
    level: [f32; 3],
    layer_loss: f32,
}

struct SprayHand {
    strokes: Strokes,
    dyes: Vec<usize>,
    scale: [f32; 3],
    water: f32,
    wick: Wick,
}

impl Strokes {
    /// Place on a sweep of the arm: long one way, wavering.
    #[inline(always)]
    fn sweep(&self, u: f32, v: f32) -> (f32, f32) {
        let s = self.size;
        let wu = u + 0.30 * s * noise2(u / (0.8 * s), v / (0.8 * s), self.seed ^ 51, 0.0);
        let wv = v + 0.30 * s * noise2(u / (0.8 * s), v / (0.8 * s), self.seed ^ 52, 0.0);
        ((0.82 * wu + 0.57 * wv) / (0.75 * s), (0.82 * wv - 0.57 * wu) / (0.36 * s))
    }

    /// The field whose upper part is hit, for one colour.
    #[inline(always)]
    fn height(&self, (p, q): (f32, f32), u: f32, v: f32, colour: u32) -> f32 {
        let seed = self.seed ^ (colour.wrapping_mul(0x9E37_79B1));
        noise2(p, q, seed ^ 53, 0.0) + 0.22 * noise(u / 9.0, v / 9.0, seed ^ 54)
    }

    /// How much of a colour lands at a point of the package, before scaling.
    #[inline(always)]
    fn at(&self, sweep: (f32, f32), u: f32, v: f32, reach: f32, colour: u32) -> f32 {
        let over = self.height(sweep, u, v, colour) - self.level[colour as usize];
        let body = smoothstep(-0.02, 0.20, over) * (0.75 + 0.25 * smoothstep(0.0, 0.5, over));
        // Drops fly beyond the edge of a stroke; they thin out with distance.
        let drop = cells(u / 5.2, v / 5.2, self.seed ^ (900 + colour));
        let size = 0.10 + 0.26 * ((drop.id1 >> 8) & 0xff) as i32 as f32 * (1.0 / 255.0);
        let near = clamp01(1.0 + over * 2.6);
        let chance = (drop.id1 & 0xff) as i32 as f32 * (1.0 / 255.0);
        let flown = smoothstep(size, 0.55 * size, drop.f1) * smoothstep(0.25, 0.9, near * chance);
        (body + 0.8 * flown * (1.0 - body)) * reach
    }

    #[inline(always)]
    fn reach(&self, depth: f32, crest: f32) -> f32 {
        exp(-self.layer_loss * depth) * (1.0 + 0.4 * crest)
    }
}

field::lanes! {
    fn height_row(strokes: &Strokes, u: &[f32], v: &[f32], out: &mut [Vec<f32>; 3]) {
        for (colour, heights) in out.iter_mut().enumerate().take(strokes.colours) {
            for ((height, u), v) in heights.iter_mut().zip(u).zip(v) {
                *height = strokes.height(strokes.sweep(*u, *v), *u, *v, colour as u32);
            }
        }
    }

    fn stroke_row(strokes: &Strokes, u: &[f32], v: &[f32], depth: &[f32], crest: &[f32], out: &mut [Vec<f32>; 3], start: usize) {
        let n = u.len();
        let (v, depth, crest) = (&v[..n], &depth[..n], &crest[..n]);
        // Block by block, so that the sweep, which all colours share, stays near.
        const BLOCK: usize = 64;
        let (mut p, mut q) = ([0.0f32; BLOCK], [0.0f32; BLOCK]);
        for from in (0..n).step_by(BLOCK) {
            let m = BLOCK.min(n - from);
            let (u, v) = (&u[from..from + m], &v[from..from + m]);
            let (depth, crest) = (&depth[from..from + m], &crest[from..from + m]);
            for i in 0..m {
                (p[i], q[i]) = strokes.sweep(u[i], v[i]);
            }
            for (colour, amounts) in out.iter_mut().enumerate().take(strokes.colours) {
                let amounts = &mut amounts[start + from..start + from + m];
                for i in 0..m {
                    amounts[i] = strokes.at((p[i], q[i]), u[i], v[i], strokes.reach(depth[i], crest[i]), colour as u32);
                }
            }
        }
    }
}

impl Hand for SprayHand {
    fn reach(&self, milli: Lattice) -> Reach {
        self.wick.reach(milli)
    }

    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = (patch.tile.milli, patch.before.milli);
        let n = rect.nx as usize * rect.ny as usize;
        let mut planes = [vec![0.0; n], vec![0.0; n], vec![0.0; n]];
        match patch.folds((lattice, rect)) {
            Some(f) => stroke_row(&self.strokes, &f.u, &f.v, &f.depth, &f.crest, &mut planes, 0),
            None => {
                let xs = positions(lattice, rect.x0, rect.nx);
                let zero = vec![0.0; xs.len()];
                for (j, y) in positions(lattice, rect.y0, rect.ny).iter().enumerate() {
                    let ys = vec![*y; xs.len()];
                    stroke_row(&self.strokes, &xs, &ys, &zero, &zero, &mut planes, j * xs.len());
                }
            }
        }
        let mut reached = reached(patch).map(Veil::new);
        for (plane, (dye, scale)) in planes.into_iter().zip(self.dyes.iter().zip(self.scale)) {
            let mut plane = Plane::Grid(self.wick.spread(&Grid { lattice, rect, data: plane }, patch));
            plane.scale(scale);
            if let Some(reached) = &mut reached {
                reached.lay(&mut plane);
            }
            patch.loose[*dye].add(&plane);
        }
        patch.water.map(|w| w + self.water);
    }
}

impl Spray {
    /// Dye that leaves the nozzle, g per kg of cloth, for each of the dyes.
    fn sprayed(&self) -> Vec<(usize, f64)> {
        let doses = self.values.dyes("dyes");
        let liquor = self.values.si("liquor") * 1000.0 / doses.len().max(1) as f64;
        doses.iter().map(|dose| (dose.dye, dose.depth.quantity.si * liquor)).collect()
    }
}

impl Operation for Spray {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let n = self.values.dyes("dyes").len() as i32;
        let hit = 1.0 - (1.0 - self.values.si("cover")).powi(n);
        (hit > 0.8)
            .then(|| {
                Finding::new(
                    "spray-drowns",
                    Weight::Doubtful,
                    here(before, Some("cover")),
                    say!(
                        "together the sprays hit {hit} of the top: the ground will hardly show",
                        "semua semprotan mengenai {hit} bagian atas: latar hampir tak tampak",
                        hit = Arg::Quantity(Quantity::new(hit, Measure::Share))
                    ),
                )
            })
            .into_iter()
            .collect()
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let on_motif = reached_share(means);
        let mut put = Vec::new();
        for (dye, amount) in self.sprayed() {
            means.ground.loose[dye] += amount;
            means.motif.loose[dye] += amount * on_motif;
            put.push((dye, amount * (means.ground.share + means.motif.share * on_motif)));
        }
        let liquor = self.values.si("liquor") * 1000.0;
        means.water += liquor;
        let kg = lot.mass().0;
        let mut per_bolt: Vec<Dose> = self
            .sprayed()
            .into_iter()
            .map(|(dye, amount)| Dose {
                stuff: Stuff::Dye(dye),
                amount: Quantity::new(amount / 1000.0 * kg, Measure::Mass),
                origin: None,
            })
            .collect();
        per_bolt.push(draw_water(liquor * kg));
        Takes { per_bolt, put, ..Takes::default() }
    }

    /// Each colour hits its own share of the top.
    fn gathers(&self) -> f64 {
        1.0 / self.values.si("cover").clamp(0.05, 1.0)
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let constants = &before.shop.constants;
        let sprayed = self.sprayed();
        let mut strokes = Strokes {
            seed: before.seed.child("strokes").low(),
            colours: sprayed.len().clamp(1, 3),
            size: (self.values.si("stroke") * 1000.0) as f32,
            level: [0.0; 3],
            layer_loss: constants.get(&LAYER_LOSS) as f32,
        };
        // The rows that pictures are made of: the same bits, many places at a time.
        let [u, v, depth, crest] = probes(before);
        let mut planes: [Vec<f32>; 3] = std::array::from_fn(|_| vec![0.0; u.len()]);
        height_row(&strokes, &u, &v, &mut planes);
        for (level, heights) in strokes.level.iter_mut().zip(&mut planes).take(strokes.colours) {
            let bare = 1.0 - self.values.si("cover").clamp(0.0, 1.0);
            let at = (bare * heights.len() as f64) as usize;
            let at = at.min(heights.len() - 1);
            *level = *heights.select_nth_unstable_by(at, f32::total_cmp).1;
        }
        stroke_row(&strokes, &u, &v, &depth, &crest, &mut planes, 0);
        let mut scale = [0.0; 3];
        for ((scale, plane), (_, amount)) in scale.iter_mut().zip(&planes).zip(&sprayed) {
            let mean = plane.iter().map(|hit| f64::from(*hit)).sum::<f64>() / plane.len() as f64;
            *scale = if mean > 1e-9 { (amount / mean) as f32 } else { 0.0 };
        }
        let spread = constants.get(&SPREAD);
        Arc::new(SprayHand {
            strokes,
            dyes: sprayed.iter().map(|(dye, _)| *dye).collect(),
            scale,
            water: (self.values.si("liquor") * 1000.0) as f32,
            wick: Wick { across: spread, along: spread * WARP_OVER_WEFT, seconds: constants.get(&LOOSE_TIME) },
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("spray"), Use::whole("sponger")],
            work: Work::minutes(8.0, 12.0, 20.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag { least: Span(0.0), most: Some(Span::minutes(10.0)) },
        }]
    }

    fn instructs(&self, takes: &Takes, design: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let doses = self.values.dyes("dyes");
        let litres = self.values.si("liquor") * lot.mass().0 / doses.len().max(1) as f64;
        let mut lines: Vec<_> = doses
            .iter()
            .map(|dose| {
                let grams = takes.per_bolt.iter().find(|d| d.stuff == Stuff::Dye(dose.dye)).map(|d| d.amount);
                say!(
                    "Mix {dye}: {mass} in {volume} of water; strain it.",
                    "Campur {dye}: {mass} dalam {volume} air; saring.",
                    dye = Arg::Name(design.dyes.get(dose.dye).map_or_else(String::new, |d| d.name.clone())),
                    mass = Arg::Quantity(grams.unwrap_or(Quantity::new(0.0, Measure::Mass))),
                    volume = Arg::Quantity(Quantity::new(litres, Measure::Volume))
                )
            })
            .collect();
        lines.push(say!(
            "Sweep each colour over about {cover} of the top; let drops fly at the edges; leave calm places.",
            "Sapukan tiap warna pada sekitar {cover} bagian atas; biarkan percikan di tepi; sisakan bagian tenang.",
            cover = self.values.arg("cover")
        ));
        Instructions {
            lines,
            done_when: say!("the liquor is used and the ground still shows between", "larutan habis dan latar masih tampak di sela"),
        }
    }
}

/// Places spread evenly over the bolt: package coordinates, layers above, and crest.
fn probes(before: &Before) -> [Vec<f32>; 4] {
    let (width, length) = (before.lot.cloth.width.to_mm(), before.lot.cloth.length.to_mm());
    let places = spread(width, length, PROBES);
    match before.package {
        Some(package) => {
            let found = package.probe(places);
            [|p: &Folded| p.u, |p: &Folded| p.v, |p: &Folded| p.depth, |p: &Folded| p.crest].map(|of| found.iter().map(of).collect())
        }
        None => {
            let (u, v): (Vec<f32>, Vec<f32>) = places.unzip();
            let flat = vec![0.0; u.len()];
            [u, v, flat.clone(), flat]
        }
    }
}
