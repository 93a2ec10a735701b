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
use crate::together::squares;
use field::{TOGETHER, cells_near, clamp01, exp, noise_near, noise2_near, range, smoothstep};

/// The static side.
pub static KIND: Kind = Kind {
    key: "spray",
    term: Term {
        key: "spray",
        text: Text::new("Spray tints", "Semprot warna"),
        gloss: Text::new("Streaks and drops of thin dye over part of the cloth.", "Sapuan dan percikan warna tipis pada sebagian kain."),
    },
    model: 2,
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

/// Height over the level of a stroke below which nothing lands, not even a drop.
const NOTHING: f32 = -0.2886;

/// Points in the package, up to [`TOGETHER`] of them.
struct Points<'a> {
    u: &'a [f32],
    v: &'a [f32],
    depth: &'a [f32],
    crest: &'a [f32],
}

impl Strokes {
    /// Seed of what is a colour's own.
    #[inline(always)]
    fn own(&self, colour: usize) -> u32 {
        self.seed ^ (colour as u32).wrapping_mul(0x9E37_79B1)
    }

    /// The fields whose upper parts are hit, of each colour: a place on a sweep of the arm, long one way and wavering, and
    /// the roughness of an edge. Quick for points that lie together.
    #[inline(always)]
    fn heights<const N: usize>(&self, u: &[f32], v: &[f32], out: &mut [[f32; TOGETHER]; N]) {
        let n = u.len().min(TOGETHER);
        let (u, v) = (&u[..n], &v[..n]);
        let s = self.size;
        let (mut x, mut y) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        for i in 0..n {
            (x[i], y[i]) = (u[i] / (0.8 * s), v[i] / (0.8 * s));
        }
        let mut strays = [[0.0f32; TOGETHER]; 2];
        noise2_near(&x[..n], &y[..n], [self.seed ^ 51, self.seed ^ 52], &mut strays);
        for i in 0..n {
            let (wu, wv) = (u[i] + 0.30 * s * strays[0][i], v[i] + 0.30 * s * strays[1][i]);
            (x[i], y[i]) = ((0.82 * wu + 0.57 * wv) / (0.75 * s), (0.82 * wv - 0.57 * wu) / (0.36 * s));
        }
        noise2_near(&x[..n], &y[..n], std::array::from_fn(|c| self.own(c) ^ 53), out);
        for i in 0..n {
            (x[i], y[i]) = (u[i] / 9.0, v[i] / 9.0);
        }
        let mut rough = [[0.0f32; TOGETHER]; N];
        noise_near(&x[..n], &y[..n], std::array::from_fn(|c| self.own(c) ^ 54), &mut rough);
        for (out, rough) in out.iter_mut().zip(&rough) {
            for i in 0..n {
                out[i] += 0.22 * rough[i];
            }
        }
    }

    /// How much of each colour lands, before scaling.
    #[inline(always)]
    fn block<const N: usize>(&self, points: &Points, out: &mut [[f32; TOGETHER]; N]) {
        let n = points.u.len().min(TOGETHER);
        let (u, v) = (&points.u[..n], &points.v[..n]);
        let (depth, crest) = (&points.depth[..n], &points.crest[..n]);
        self.heights(u, v, out);
        let (mut x, mut y) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        let mut reach = [0.0f32; TOGETHER];
        for i in 0..n {
            (x[i], y[i]) = (u[i] / 5.2, v[i] / 5.2);
            reach[i] = exp(-self.layer_loss * depth[i]) * (1.0 + 0.4 * crest[i]);
        }
        let (mut f1, mut f2, mut id1) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER], [0u32; TOGETHER]);
        for (colour, amounts) in out.iter_mut().enumerate() {
            let level = self.level[colour];
            let amounts = &mut amounts[..n];
            if range(amounts).1 - level < NOTHING {
                amounts.fill(0.0);
                continue;
            }
            // Drops fly beyond the edge of a stroke; they thin out with distance.
            cells_near(&x[..n], &y[..n], self.seed ^ (900 + colour as u32), &mut f1, &mut f2, &mut id1);
            for i in 0..n {
                let over = amounts[i] - level;
                let body = smoothstep(-0.02, 0.20, over) * (0.75 + 0.25 * smoothstep(0.0, 0.5, over));
                let size = 0.10 + 0.26 * ((id1[i] >> 8) & 0xff) as i32 as f32 * (1.0 / 255.0);
                let near = clamp01(1.0 + over * 2.6);
                let chance = (id1[i] & 0xff) as i32 as f32 * (1.0 / 255.0);
                let flown = smoothstep(size, 0.55 * size, f1[i]) * smoothstep(0.25, 0.9, near * chance);
                amounts[i] = (body + 0.8 * flown * (1.0 - body)) * reach[i];
            }
        }
    }
}

field::lanes! {
    /// Heights of the colours at any places.
    fn height_row(strokes: &Strokes, u: &[f32], v: &[f32], out: &mut [Vec<f32>; 3]) {
        let mut heights = [[0.0f32; TOGETHER]; 3];
        for from in (0..u.len()).step_by(TOGETHER) {
            let to = (from + TOGETHER).min(u.len());
            strokes.heights(&u[from..to], &v[from..to], &mut heights);
            for (out, heights) in out.iter_mut().zip(&heights) {
                out[from..to].copy_from_slice(&heights[..to - from]);
            }
        }
    }

    /// Points row by row, `nx` in a row.
    fn stroke_squares(strokes: &Strokes, points: &Points, nx: usize, planes: &mut [Vec<f32>; 3]) {
        match strokes.colours {
            1 => in_squares::<1>(strokes, points, nx, planes),
            2 => in_squares::<2>(strokes, points, nx, planes),
            _ => in_squares::<3>(strokes, points, nx, planes),
        }
    }
}

#[inline(always)]
fn in_squares<const N: usize>(strokes: &Strokes, points: &Points, nx: usize, planes: &mut [Vec<f32>; 3]) {
    let mut out = [[0.0f32; TOGETHER]; N];
    let mut together = [[0.0f32; TOGETHER]; 4];
    for square in squares(nx, points.u.len() / nx.max(1)) {
        let n = square.len();
        for (to, from) in together.iter_mut().zip([points.u, points.v, points.depth, points.crest]) {
            square.take(from, to);
        }
        let [u, v, depth, crest] = &together;
        let some = Points { u: &u[..n], v: &v[..n], depth: &depth[..n], crest: &crest[..n] };
        strokes.block(&some, &mut out);
        for (to, from) in planes.iter_mut().zip(&out) {
            square.put(from, to);
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
            Some(f) => {
                let points = Points { u: &f.u, v: &f.v, depth: &f.depth, crest: &f.crest };
                stroke_squares(&self.strokes, &points, rect.nx as usize, &mut planes);
            }
            None => {
                let nx = rect.nx as usize;
                let xs = positions(lattice, rect.x0, rect.nx).repeat(rect.ny as usize);
                let ys: Vec<f32> = positions(lattice, rect.y0, rect.ny).into_iter().flat_map(|y| vec![y; nx]).collect();
                let zero = vec![0.0; n];
                let points = Points { u: &xs, v: &ys, depth: &zero, crest: &zero };
                stroke_squares(&self.strokes, &points, nx, &mut planes);
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
        let points = Points { u: &u, v: &v, depth: &depth, crest: &crest };
        // They lie anywhere: eight a row makes full squares of them.
        stroke_squares(&strokes, &points, 8, &mut planes);
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
