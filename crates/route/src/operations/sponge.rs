//! Sponge: dye liquor is dabbed on with sponges, colour by colour.
//!
//! Dabs lie on a jittered lattice over the package (or over the open cloth); edges are ragged, the sponge's
//! holes stay pale, a thin wash of liquor runs between. What reaches layer `l` of the package falls by
//! `exp(-a l)`; crease lines take more. The hand scales the pattern of each colour so that its mean over the
//! bolt is the dye that the issued liquor carries.

mod dabs;

use crate::Folded;
use crate::barrier::{reached, reached_share};
use crate::detail::Veil;
use crate::prelude::*;
use crate::water::spread;
use crate::spread::Wick;
use crate::patch::positions;
use dabs::{Dabs, Points, dab_squares, spacing};

/// The static side.
pub static KIND: Kind = Kind {
    key: "sponge",
    term: Term {
        key: "sponge",
        text: Text::new("Sponge on dye", "Colet spons"),
        gloss: Text::new("Dab dye liquor on with sponges.", "Tempelkan larutan pewarna dengan spons."),
    },
    model: 3,
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
/// Places of the bolt at which the pattern's mean is taken.
const PROBES: usize = 24_000;

struct Sponge {
    values: Values,
}

struct SpongeHand {
    dabs: Dabs,
    dyes: Vec<usize>,
    scale: [f32; 4],
    water: f32,
    wick: Wick,
}

impl Hand for SpongeHand {
    fn reach(&self, milli: Lattice) -> Reach {
        self.wick.reach(milli)
    }

    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = (patch.tile.milli, patch.before.milli);
        let n = rect.nx as usize * rect.ny as usize;
        let mut planes = [vec![0.0; n], vec![0.0; n], vec![0.0; n], vec![0.0; n]];
        let nx = rect.nx as usize;
        match patch.folds((lattice, rect)) {
            Some(f) => {
                let points = Points { u: &f.u, v: &f.v, depth: &f.depth, crest: &f.crest, facet: &f.facet };
                dab_squares(&self.dabs, &points, nx, &mut planes);
            }
            None => {
                // Open cloth: the package is the cloth itself, one layer, no creases.
                let xs = positions(lattice, rect.x0, rect.nx).repeat(rect.ny as usize);
                let ys: Vec<f32> = positions(lattice, rect.y0, rect.ny).into_iter().flat_map(|y| vec![y; nx]).collect();
                let zero = vec![0.0; n];
                let points = Points { u: &xs, v: &ys, depth: &zero, crest: &zero, facet: &zero };
                dab_squares(&self.dabs, &points, nx, &mut planes);
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
