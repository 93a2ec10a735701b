//! Sponge: dye liquor is dabbed on with sponges, colour by colour.
//!
//! Dabs lie on a jittered lattice over the package (or over the open cloth); edges are ragged, the sponge's
//! holes stay pale, a thin wash of liquor runs between. What reaches layer `l` of the package falls by
//! `exp(-a l)`; crease lines take more. The hand scales the pattern of each colour so that its mean over the
//! bolt is the dye that the issued liquor carries.

use crate::Folded;
use crate::barrier::{reached, reached_share};
use crate::detail::Veil;
use crate::prelude::*;
use crate::water::spread;
use crate::spread::Wick;
use crate::patch::positions;
use field::{clamp01, exp, floor_i32, hash2, noise, noise2, smoothstep, unit};

/// The static side.
pub static KIND: Kind = Kind {
    key: "sponge",
    term: Term {
        key: "sponge",
        text: Text::new("Sponge on dye", "Colet spons"),
        gloss: Text::new("Dab dye liquor on with sponges.", "Tempelkan larutan pewarna dengan spons."),
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
            shape: Shape::Dyes { least: 1, most: 4, depth: Measure::PerVolume, deepest: 120.0 },
            default: None,
            source: "pad liquors 0.5-30 g/L (dyeing manual); sponge liquors are stronger: common practice, no source",
        },
        Setting {
            key: "dab",
            term: Term {
                key: "dab",
                text: Text::new("Size of a dab", "Ukuran colekan"),
                gloss: Text::new("Diameter of one print of the sponge.", "Garis tengah satu jejak spons."),
            },
            shape: Shape::Quantity { measure: Measure::Length, least: 0.015, most: 0.4 },
            default: Some("65 mm"),
            source: "about a tennis ball: common practice, no source",
        },
        Setting {
            key: "cover",
            term: Term {
                key: "cover",
                text: Text::new("Covered", "Tertutup"),
                gloss: Text::new("Share of the top that the sponges touch.", "Bagian atas yang tersentuh spons."),
            },
            shape: Shape::Quantity { measure: Measure::Share, least: 0.05, most: 1.0 },
            default: Some("100 %"),
            source: "no bare place wider than a hand: common practice, no source",
        },
        Setting {
            key: "liquor",
            term: Term {
                key: "liquor",
                text: Text::new("Liquor put on", "Larutan dipakai"),
                gloss: Text::new("Litres per kilogram of cloth, all colours together.", "Liter per kilogram kain, semua warna."),
            },
            shape: Shape::Quantity { measure: Measure::PerMass, least: 0.05e-3, most: 1.5e-3 },
            default: Some("0.6 L/kg"),
            source: "own estimate",
        },
        Setting {
            key: "order",
            term: Term {
                key: "order",
                text: Text::new("Order of colours", "Urutan warna"),
                gloss: Text::new(
                    "How the colours lie beside each other; in clusters, colours named next to each other meet.",
                    "Cara warna berdampingan; bila berkelompok, warna yang disebut berurutan saling bertemu.",
                ),
            },
            shape: Shape::Choice(&[&INTERLEAVED, &CLUSTERED]),
            default: Some("interleaved"),
            source: "common practice, no source",
        },
    ],
    constants: &[LAYER_LOSS, SPREAD, LOOSE_TIME],
    cautions: &[Caution {
        code: "dye-liquor",
        text: Text::new(
            "Dye liquor: gloves and apron; keep it off skin and out of eyes.",
            "Larutan pewarna: pakai sarung tangan dan celemek; jangan kena kulit dan mata.",
        ),
    }],
    asks: &[Ask {
        term: Term {
            key: "liquor-left",
            text: Text::new("Liquor left over", "Sisa larutan"),
            gloss: Text::new("Per colour.", "Per warna."),
        },
        measure: Measure::Volume,
    }],
    timed: None,
    make: |values| Arc::new(Sponge { values }),
};

static INTERLEAVED: Term = Term {
    key: "interleaved",
    text: Text::new("interleaved", "berselang-seling"),
    gloss: Text::new("Each dab has another colour than its neighbours.", "Tiap colekan berbeda warna dari tetangganya."),
};
static CLUSTERED: Term = Term {
    key: "clustered",
    text: Text::new("clustered", "berkelompok"),
    gloss: Text::new("Several dabs of a colour lie together.", "Beberapa colekan satu warna berkumpul."),
};

const LAYER_LOSS: Constant = Constant {
    key: "sponge.layer-loss",
    text: Text::new("Loss of dye per layer of the package", "Pewarna berkurang tiap lapis"),
    measure: Measure::Count,
    value: 0.6,
    factor: 1.6,
    source: "own estimate; set it by opening a package",
};
const SPREAD: Constant = Constant {
    key: "sponge.spread",
    text: Text::new("Spread of loose dye in wet cloth", "Rambatan pewarna di kain basah"),
    measure: Measure::Diffusivity,
    value: 6e-9,
    factor: 3.0,
    source: "dispersion in wet cloth 0.5e-9 to 1e-8 m2/s (own estimate)",
};
const LOOSE_TIME: Constant = Constant {
    key: "sponge.loose-time",
    text: Text::new("Time that dye stays loose and wet", "Lama pewarna lepas dan basah"),
    measure: Measure::Span,
    value: 240.0,
    factor: 2.0,
    source: "1-3 min of wicking, then the sun (own estimate)",
};
/// Weft wicks faster than warp in many cottons; 0.8-1.3 (own estimate after FTEE 2015(2):137).
const WEFT_OVER_WARP: f64 = 0.7;
/// Share of the liquor that runs between the dabs as a thin wash (own estimate).
const WASH: f32 = 0.10;
/// Places of the bolt at which the pattern's mean is taken.
const PROBES: usize = 24_000;

struct Sponge {
    values: Values,
}

/// The dabs of all colours.
#[derive(Clone)]
struct Dabs {
    seed: u32,
    colours: usize,
    radius: f32,
    spacing: f32,
    clustered: bool,
    layer_loss: f32,
}

struct SpongeHand {
    dabs: Dabs,
    dyes: Vec<usize>,
    scale: [f32; 4],
    water: f32,
    wick: Wick,
}

/// Samples worked on at a time: every inner loop runs over them, so that it turns into vector code.
const BLOCK: usize = 64;
/// Samples that are left out together where a dab does not reach them.
const RUN: usize = 16;
/// Distance inside a dab's rim from which it is not met, mm.
const OUTSIDE: f32 = -2.0;

/// A row of points in the package.
struct Points<'a> {
    u: &'a [f32],
    v: &'a [f32],
    depth: &'a [f32],
    crest: &'a [f32],
    facet: &'a [f32],
}

impl Points<'_> {
    fn part(&self, from: usize, to: usize) -> Points<'_> {
        Points {
            u: &self.u[from..to],
            v: &self.v[from..to],
            depth: &self.depth[from..to],
            crest: &self.crest[from..to],
            facet: &self.facet[from..to],
        }
    }
}

impl Dabs {
    /// Pattern of each colour at a point of the package, before scaling.
    fn at(&self, p: Folded) -> [f32; 4] {
        let mut out = [[0.0; BLOCK]; 4];
        let one = Points { u: &[p.u], v: &[p.v], depth: &[p.depth], crest: &[p.crest], facet: &[p.facet] };
        self.block(&one, &mut out);
        out.map(|amounts| amounts[0])
    }

    /// Pattern of each colour at up to [`BLOCK`] points: the same arithmetic for one as for many.
    #[inline(always)]
    fn block(&self, points: &Points, out: &mut [[f32; BLOCK]; 4]) {
        let n = points.u.len().min(BLOCK);
        let (u, v) = (&points.u[..n], &points.v[..n]);
        let (depth, crest, facet) = (&points.depth[..n], &points.crest[..n], &points.facet[..n]);
        let seed = self.seed;
        let wander = self.radius * 0.42;
        let (mut wu, mut wv) = ([0.0f32; BLOCK], [0.0f32; BLOCK]);
        let (mut ragged, mut holes, mut taken) = ([0.0f32; BLOCK], [0.0f32; BLOCK], [0.0f32; BLOCK]);
        for i in 0..n {
            wu[i] = u[i] + wander * noise2(u[i] / 41.0, v[i] / 41.0, seed ^ 21, 0.0);
            wv[i] = v[i] + wander * noise2(u[i] / 41.0, v[i] / 41.0, seed ^ 22, 0.0);
        }
        for i in 0..n {
            let fine = noise(u[i] / 2.6, v[i] / 2.6, seed ^ 24);
            let mid = noise(u[i] / 6.5, v[i] / 6.5, seed ^ 23);
            ragged[i] = 3.2 * mid + 1.6 * fine;
            holes[i] = 0.72 + 0.28 * smoothstep(-0.35, 0.25, fine + 0.5 * mid);
        }
        for amounts in out.iter_mut() {
            amounts[..n].fill(0.0);
        }
        let (tall, colours) = (self.spacing * 0.866, self.colours as f32);
        let (mut columns, mut rows, mut hashes) = ([0i32; BLOCK], [0i32; BLOCK], [0u32; BLOCK]);
        let mut inside = [0.0f32; BLOCK];
        for (dj, di) in (-1..=1).flat_map(|dj| (-1..=1).map(move |di| (dj, di))) {
            for i in 0..n {
                let j = floor_i32(wv[i] / tall) + dj;
                let shift = 0.5 * self.spacing * (j & 1) as f32;
                let k = floor_i32((wu[i] - shift) / self.spacing) + di;
                let h = hash2(k, j, seed ^ 27);
                let (s, t) = (unit(h), unit(h.wrapping_mul(0x9E37_79B1)));
                let cx = (k as f32 + 0.5 + 0.55 * (s - 0.5)) * self.spacing + shift;
                let cy = (j as f32 + 0.5 + 0.55 * (t - 0.5)) * tall;
                let size = self.radius * (0.78 + 0.44 * unit(h ^ 0x5bd1_e995));
                let (dx, dy) = (wu[i] - cx, wv[i] - cy);
                inside[i] = size - (dx * dx + dy * dy).sqrt() + ragged[i];
                (columns[i], rows[i], hashes[i]) = (k, j, h);
            }
            let [a, b, c, d] = &mut *out;
            for from in (0..n).step_by(RUN) {
                let to = (from + RUN).min(n);
                // Most runs lie outside most of the nine dabs around them.
                if inside[from..to].iter().fold(OUTSIDE, |most, v| if *v > most { *v } else { most }) <= OUTSIDE {
                    continue;
                }
                for i in from..to {
                    let h = hashes[i];
                    let body = smoothstep(OUTSIDE, 4.0, inside[i]);
                    // Liquor gathers just inside the rim of a dab.
                    let ring = clamp01(1.0 - (inside[i] - 3.5).abs() * 0.2);
                    let strength = 0.7 + 0.6 * unit(h ^ 0x0dea_dbee);
                    let amount = body * (1.0 + 0.25 * ring * ring) * strength * holes[i] * (1.0 - 0.45 * taken[i]);
                    taken[i] = clamp01(taken[i] + 0.6 * body);
                    let colour = self.colour(columns[i], rows[i], h, colours);
                    a[i] += if colour < 0.5 { amount } else { 0.0 };
                    b[i] += if (colour - 1.0).abs() < 0.5 { amount } else { 0.0 };
                    c[i] += if (colour - 2.0).abs() < 0.5 { amount } else { 0.0 };
                    d[i] += if colour > 2.5 { amount } else { 0.0 };
                }
            }
        }
        for (c, amounts) in out.iter_mut().enumerate() {
            if c >= self.colours {
                break;
            }
            for i in 0..n {
                // A thin wash of liquor runs between the dabs.
                let wash = WASH * (1.0 + noise(u[i] / 80.0, v[i] / 80.0, seed ^ (60 + c as u32)));
                let reach = exp(-self.layer_loss * depth[i]) * (1.0 + 0.5 * crest[i]) * (1.0 + 0.22 * facet[i]);
                amounts[i] = (amounts[i] + wash.max(0.0)) * reach;
            }
        }
    }

    /// Which colour a dab has, 0, 1, 2 or 3. In floats, since whole-number division does not vectorise.
    #[inline(always)]
    fn colour(&self, i: i32, j: i32, h: u32, n: f32) -> f32 {
        let stray = if h & 7 == 0 { 1.0 } else { 0.0 };
        let step = if self.clustered {
            // Patches of some five dabs, with a stray dab here and there.
            let drift = noise(i as f32 * 0.33 + 0.5, j as f32 * 0.33 + 0.5, self.seed ^ 31);
            floor_i32(clamp01(drift * 1.15 + 0.5) * 0.999 * n) as f32 + stray
        } else {
            (i + 2 * j) as f32 + stray
        };
        // The half keeps a whole number of turns from falling to the turn before by rounding.
        step - n * floor_i32((step + 0.5) / n) as f32
    }
}

field::lanes! {
    fn dab_row(dabs: &Dabs, points: &Points, a: &mut [f32], b: &mut [f32], c: &mut [f32], d: &mut [f32]) {
        let mut out = [[0.0f32; BLOCK]; 4];
        for from in (0..points.u.len()).step_by(BLOCK) {
            let to = (from + BLOCK).min(points.u.len());
            dabs.block(&points.part(from, to), &mut out);
            a[from..to].copy_from_slice(&out[0][..to - from]);
            b[from..to].copy_from_slice(&out[1][..to - from]);
            c[from..to].copy_from_slice(&out[2][..to - from]);
            d[from..to].copy_from_slice(&out[3][..to - from]);
        }
    }
}

impl Hand for SpongeHand {
    fn reach(&self, milli: Lattice) -> Reach {
        self.wick.reach(milli)
    }

    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = (patch.tile.milli, patch.before.milli);
        let n = rect.nx as usize * rect.ny as usize;
        let mut planes = [vec![0.0; n], vec![0.0; n], vec![0.0; n], vec![0.0; n]];
        let [a, b, c, d] = &mut planes;
        match patch.folds((lattice, rect)) {
            Some(f) => {
                let points = Points { u: &f.u, v: &f.v, depth: &f.depth, crest: &f.crest, facet: &f.facet };
                dab_row(&self.dabs, &points, a, b, c, d);
            }
            None => {
                // Open cloth: the package is the cloth itself, one layer, no creases.
                let xs = positions(lattice, rect.x0, rect.nx);
                let zero = vec![0.0; xs.len()];
                let nx = rect.nx as usize;
                for (j, y) in positions(lattice, rect.y0, rect.ny).iter().enumerate() {
                    let row = j * nx..(j + 1) * nx;
                    let ys = vec![*y; nx];
                    let points = Points { u: &xs, v: &ys, depth: &zero, crest: &zero, facet: &zero };
                    dab_row(&self.dabs, &points, &mut a[row.clone()], &mut b[row.clone()], &mut c[row.clone()], &mut d[row]);
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

impl Sponge {
    /// Dye put on, g per kg of cloth, for each of the dyes: liquor shared evenly between the colours.
    fn put(&self) -> Vec<(usize, f64)> {
        let doses = self.values.dyes("dyes");
        let liquor = self.values.si("liquor") * 1000.0 / doses.len().max(1) as f64;
        doses.iter().map(|dose| (dose.dye, dose.depth.quantity.si * liquor)).collect()
    }
}

impl Operation for Sponge {
    fn kind(&self) -> &'static Kind {
        &KIND
    }
    fn values(&self) -> &Values {
        &self.values
    }

    fn examine(&self, before: &Before) -> Vec<Finding> {
        let mut findings = Vec::new();
        let water = before.means.water + self.values.si("liquor") * 1000.0;
        if water > 2.2 {
            findings.push(
                Finding::new(
                    "sponge-drips",
                    Weight::Doubtful,
                    here(before, Some("liquor")),
                    say!(
                        "with the liquor the cloth holds {water} kg water per kg, more than it can keep",
                        "dengan larutan kain memuat {water} kg air per kg, lebih dari yang tertahan",
                        water = Arg::Number(water, 1)
                    ),
                )
                .allow(say!("cloth lets water drip above about 1.6 to 2 kg/kg", "kain menetes di atas sekitar 1,6 sampai 2 kg/kg"))
                .remedy(say!("wring drier before, or sponge on less", "peras lebih kering, atau pakai lebih sedikit larutan")),
            );
        }
        if before.means.soda > 0.001 {
            findings.push(Finding::new(
                "sponge-on-soda",
                Weight::Doubtful,
                here(before, None),
                say!("there is soda ash on the cloth: the dye binds where it lands", "sudah ada soda abu di kain: pewarna langsung terikat"),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let issued = self.put();
        let on_motif = reached_share(means);
        let mut put = Vec::new();
        for (dye, amount) in &issued {
            means.ground.loose[*dye] += amount;
            means.motif.loose[*dye] += amount * on_motif;
            put.push((*dye, amount * (means.ground.share + means.motif.share * on_motif)));
        }
        let liquor = self.values.si("liquor") * 1000.0;
        means.water += liquor;
        let kg = lot.mass().0;
        let mut per_bolt: Vec<Dose> = issued
            .iter()
            .map(|(dye, amount)| Dose {
                stuff: Stuff::Dye(*dye),
                amount: Quantity::new(amount / 1000.0 * kg, Measure::Mass),
                origin: None,
            })
            .collect();
        per_bolt.push(draw_water(liquor * kg));
        Takes { per_bolt, put, ..Takes::default() }
    }

    /// The liquor is shared between the colours; each lies on its share of what is covered.
    fn gathers(&self) -> f64 {
        self.values.dyes("dyes").len().max(1) as f64 / self.values.si("cover").clamp(0.05, 1.0)
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let constants = &before.shop.constants;
        let put = self.put();
        let colours = put.len().clamp(1, 4);
        let radius = (self.values.si("dab") * 500.0) as f32;
        let spacing = radius * spacing(self.values.si("cover")) as f32;
        let dabs = Dabs {
            seed: before.seed.child("dabs").low(),
            colours,
            radius,
            spacing,
            clustered: self.values.choice("order") == "clustered",
            layer_loss: constants.get(&LAYER_LOSS) as f32,
        };
        let means = pattern_means(&dabs, before);
        let mut scale = [0.0; 4];
        for ((scale, mean), (_, amount)) in scale.iter_mut().zip(means).zip(&put) {
            *scale = if mean > 1e-9 { (amount / mean) as f32 } else { 0.0 };
        }
        let spread = constants.get(&SPREAD);
        Arc::new(SpongeHand {
            dabs,
            dyes: put.iter().map(|(dye, _)| *dye).collect(),
            scale,
            water: (self.values.si("liquor") * 1000.0) as f32,
            wick: Wick { across: spread, along: spread * WEFT_OVER_WARP, seconds: constants.get(&LOOSE_TIME) },
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        let colours = self.values.dyes("dyes").len().max(1) as u32;
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("floor"), Use::several("sponger", colours)],
            work: Work::minutes(14.0, 20.0, 40.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            // The sun must find the cloth wet.
            then: Lag { least: Span(0.0), most: Some(Span::minutes(10.0)) },
        }]
    }

    fn instructs(&self, takes: &Takes, design: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let doses = self.values.dyes("dyes");
        let litres = self.values.si("liquor") * lot.mass().0 / doses.len().max(1) as f64;
        let mut lines: Vec<_> = doses
            .iter()
            .map(|dose| {
                let name = design.dyes.get(dose.dye).map_or_else(String::new, |d| d.name.clone());
                let grams = takes.per_bolt.iter().find(|d| d.stuff == Stuff::Dye(dose.dye)).map(|d| d.amount);
                say!(
                    "Mix {dye}: {mass} in {volume} of water.",
                    "Campur {dye}: {mass} dalam {volume} air.",
                    dye = Arg::Name(name),
                    mass = Arg::Quantity(grams.unwrap_or(Quantity::new(0.0, Measure::Mass))),
                    volume = Arg::Quantity(Quantity::new(litres, Measure::Volume))
                )
            })
            .collect();
        lines.push(say!(
            "Dab with {dab} sponges, one colour after the other, {order}; leave no bare place wider than a hand.",
            "Colet dengan spons {dab}, warna demi warna, {order}; jangan ada bagian kosong selebar telapak.",
            dab = self.values.arg("dab"),
            order = Arg::Term(if self.values.choice("order") == "clustered" { &CLUSTERED } else { &INTERLEAVED })
        ));
        Instructions {
            lines,
            done_when: say!("all liquor is used and nothing drips", "semua larutan habis dan tidak ada yang menetes"),
        }
    }
}

/// Spacing of dabs over their radius, by the share of the top that they touch. Dabs lie on a staggered lattice, off their
/// places by up to 0.28 of the spacing, with radii that vary by 22 %: they cover more than the `1 - exp(-pi r^2 / (0.866
/// g^2))` of dabs thrown at random. Shares by simulation of such disks; the pattern itself is held against them.
const SPACING: [(f64, f64); 11] = [
    (0.0833, 6.667),
    (0.1487, 5.0),
    (0.3314, 3.333),
    (0.5709, 2.5),
    (0.6884, 2.222),
    (0.7976, 2.0),
    (0.8819, 1.818),
    (0.9389, 1.667),
    (0.9720, 1.538),
    (0.9894, 1.429),
    (1.0, 1.255_186_171_630_516_6),
];

/// Spacing of the dabs over their radius for a share of the top, by straight lines between the rows of [`SPACING`].
fn spacing(cover: f64) -> f64 {
    let right = SPACING.partition_point(|(share, _)| *share < cover).clamp(1, SPACING.len() - 1);
    let ((low, wide), (high, close)) = (SPACING[right - 1], SPACING[right]);
    let part = (cover - low) / (high - low);
    if cover >= 1.0 {
        close
    } else if part < 0.0 {
        // Few dabs do not meet: their number goes as the share, the spacing as its root.
        wide * (low / cover.max(1e-3)).sqrt() } else { wide + part * (close - wide) }
}

/// Mean of each colour's pattern over places spread evenly over the bolt (a lattice of golden-ratio steps).
fn pattern_means(dabs: &Dabs, before: &Before) -> [f64; 4] {
    let (width, length) = (before.lot.cloth.width.to_mm(), before.lot.cloth.length.to_mm());
    let open = |(x, y)| Folded { u: x, v: y, depth: 0.0, crest: 0.0, facet: 0.0 };
    let places = spread(width, length, PROBES);
    let folded = match before.package {
        Some(package) => package.probe(places),
        None => places.map(open).collect(),
    };
    let mut sums = [0.0f64; 4];
    for place in folded {
        let amounts = dabs.at(place);
        for (sum, amount) in sums.iter_mut().zip(amounts) {
            *sum += f64::from(amount);
        }
    }
    sums.map(|sum| sum / PROBES as f64)
}

#[cfg(test)]
mod tests {
    use super::{Dabs, Folded, spacing};

    /// Of 64 places of a package each a third of a metre wide, the mean share that dabs touch lies within its interval of
    /// what was asked: Student's t for 63 degrees of freedom, two-sided 99.9 % (handbook table: 3.447), and 2 % for what
    /// counts as touched at a soft rim of 6 mm.
    #[test]
    fn dabs_cover_what_was_asked() {
        for (dab, cover) in [(65.0, 0.3), (65.0, 0.6), (65.0, 0.9), (90.0, 0.5), (40.0, 0.8), (65.0, 1.0)] {
            let radius = 0.5 * dab;
            let dabs = Dabs {
                seed: 77,
                colours: 1,
                radius,
                spacing: radius * spacing(cover) as f32,
                clustered: false,
                layer_loss: 0.6,
            };
            let touched = |x: f32, y: f32| {
                dabs.at(Folded { u: x, v: y, depth: 0.0, crest: 0.0, facet: 0.0 })[0] > 0.3
            };
            let shares: Vec<f64> = (0..64)
                .map(|k| {
                    let (x, y) = (1000.0 * (k % 8) as f32, 1000.0 * (k / 8) as f32);
                    let hit = (0..2500).filter(|n| touched(x + 6.1 * (n % 50) as f32, y + 6.1 * (n / 50) as f32)).count();
                    hit as f64 / 2500.0
                })
                .collect();
            let mean = shares.iter().sum::<f64>() / 64.0;
            let variance = shares.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / 63.0;
            let half = 3.447 * (variance / 64.0).sqrt() + 0.02;
            assert!((mean - cover).abs() < half, "{dab} mm, {cover}: {mean} +- {half}");
        }
    }
}
