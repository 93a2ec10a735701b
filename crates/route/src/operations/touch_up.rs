//! Touch up: white places that a hand would see get a dab of colour before the cloth is fixed.
//!
//! The hand looks at the whole bolt in cells of a good half of a dab. A cell with less than the threshold share of
//! the mean dye gets a dab near its middle; neighbours tend to share a colour. On the cloth a dab colours what lacks
//! dye and hardly what has it, so it takes the ragged outline of the white place itself. The issued liquor is
//! shared by all dabs; where there is too little for all white places, the whitest come first; what is too much for
//! them is left over.

use crate::patch::positions;
use crate::prelude::*;
use crate::spread::Wick;
use field::{Blot, Join, blots, clamp01, floor_i32, hash2, noise, smoothstep, unit};

/// The static side.
pub static KIND: Kind = Kind {
    key: "touch_up",
    term: Term {
        key: "touch_up",
        text: Text::new("Touch up", "Tutup bagian putih"),
        gloss: Text::new(
            "Dab colour on the white places of the open cloth.",
            "Colet warna pada bagian putih kain terbuka.",
        ),
    },
    model: 1,
    settings: &[
        Setting {
            key: "dyes",
            term: Term {
                key: "dyes",
                text: Text::new("Dye liquors", "Larutan pewarna"),
                gloss: Text::new(
                    "Each dye with its strength in the liquor.",
                    "Tiap pewarna dengan kekuatannya dalam larutan.",
                ),
            },
            shape: Shape::Dyes {
                least: 1,
                most: 4,
                depth: Measure::PerVolume,
                deepest: 120.0,
            },
            default: None,
            source: "the liquors of the sponges, as they are or thinner: common practice, no source",
        },
        Setting {
            key: "dab",
            term: Term {
                key: "dab",
                text: Text::new("Size of a dab", "Ukuran colekan"),
                gloss: Text::new(
                    "Diameter of one print of the small sponge.",
                    "Garis tengah satu jejak spons kecil.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Length,
                least: 0.010,
                most: 0.15,
            },
            default: Some("40 mm"),
            source: "own estimate: closes white places of 15-40 mm",
        },
        Setting {
            key: "below",
            term: Term {
                key: "below",
                text: Text::new("Called white below", "Dianggap putih di bawah"),
                gloss: Text::new(
                    "Share of the bolt's mean dye.",
                    "Bagian dari rata-rata pewarna satu gulung.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::Share,
                least: 0.05,
                most: 0.95,
            },
            default: Some("35 %"),
            source: "own estimate",
        },
        Setting {
            key: "liquor",
            term: Term {
                key: "liquor",
                text: Text::new("Liquor issued", "Larutan dibagikan"),
                gloss: Text::new(
                    "Litres per kilogram of the whole cloth, all colours.",
                    "Liter per kilogram seluruh kain, semua warna.",
                ),
            },
            shape: Shape::Quantity {
                measure: Measure::PerMass,
                least: 0.002e-3,
                most: 0.5e-3,
            },
            default: Some("0.03 L/kg"),
            source: "own estimate",
        },
    ],
    constants: &[SPREAD, LOOSE_TIME],
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
    make: |values| Arc::new(TouchUp { values }),
};

const SPREAD: Constant = Constant {
    key: "touch_up.spread",
    text: Text::new(
        "Spread of loose dye in wet cloth",
        "Rambatan pewarna di kain basah",
    ),
    measure: Measure::Diffusivity,
    value: 6e-9,
    factor: 3.0,
    source: "dispersion in wet cloth 0.5e-9 to 1e-8 m2/s (own estimate)",
};
const LOOSE_TIME: Constant = Constant {
    key: "touch_up.loose-time",
    text: Text::new(
        "Time that a dab stays loose and wet",
        "Lama colekan lepas dan basah",
    ),
    measure: Measure::Span,
    value: 300.0,
    factor: 2.0,
    source: "until the jig (own estimate)",
};
/// Liquor that a dab leaves in its place, L/kg of cloth: less does not wet through, more runs (own estimate).
const DAB_LIQUOR: (f64, f64) = (0.35, 0.9);
/// A cell of the look over a dab's diameter.
const CELL: f64 = 0.42;
/// Lattice on which the mean of the dabs is taken, mm.
const COARSE: f64 = 3.0;
/// What a dab leaves on places that have their dye: the sponge touches them too (own estimate).
const TOUCHED: f32 = 0.08;

struct TouchUp {
    values: Values,
}

struct TouchUpHand {
    /// Dabs of each colour, sorted along the bolt.
    dabs: Vec<Vec<Blot>>,
    dyes: Vec<usize>,
    /// Dye of a full dab, g/kg.
    full: Vec<f32>,
    /// Dye below which a place is white and above which it is not, g/kg.
    lack: (f32, f32),
    seed: u32,
    water: f32,
}

/// How much a place lacks dye, 0..1.
#[inline(always)]
fn lacking(local: f32, (white, full): (f32, f32)) -> f32 {
    TOUCHED + (1.0 - TOUCHED) * (1.0 - smoothstep(white, full, local))
}

/// The dab's print: a small sponge leaves paler spots.
#[inline(always)]
fn print(x: f32, y: f32, seed: u32) -> f32 {
    0.68 + 0.44
        * clamp01(0.5 + 0.9 * noise(x / 3.4, y / 3.4, seed) + 1.1 * noise(x / 13.0, y / 13.0, seed ^ 5))
}

field::lanes! {
    /// From the dye that lies there to what a full dab of any colour leaves; `sum` is the coverage of all colours.
    fn gate_row(lack: (f32, f32), seed: u32, y: f32, xs: &[f32], sum: &[f32], local: &mut [f32]) {
        let n = local.len();
        let (xs, sum) = (&xs[..n], &sum[..n]);
        for i in 0..n {
            // Where dabs of two colours meet they share the place.
            let over = if sum[i] > 1.0 { sum[i] } else { 1.0 };
            local[i] = lacking(local[i], lack) * print(xs[i], y, seed) / over;
        }
    }

    fn dab_row(full: f32, gate: &[f32], cover: &mut [f32]) {
        for (c, g) in cover.iter_mut().zip(gate) {
            *c *= full * *g;
        }
    }

    fn add_row(from: &[f32], to: &mut [f32]) {
        for (t, f) in to.iter_mut().zip(from) {
            *t += *f;
        }
    }
}

/// Dabs that can touch a rectangle. They are sorted by y.
fn near(dabs: &[Blot], lattice: Lattice, rect: Rect) -> Vec<Blot> {
    let reach = dabs
        .iter()
        .map(|dab| f64::from(dab.radius + dab.edge + 1.6 * dab.rag))
        .fold(0.0, f64::max);
    let first = dabs.partition_point(|dab| dab.y < lattice.at(rect.y0) - reach);
    let end = dabs.partition_point(|dab| dab.y <= lattice.at(rect.y1()) + reach);
    dabs.get(first..end.max(first))
        .unwrap_or(&[])
        .iter()
        .filter(|dab| !dab.bounds(lattice).intersect(rect).is_empty())
        .copied()
        .collect()
}

/// Coverage of each colour on a rectangle, and their sum. `None` where no dab lies.
fn covers(dabs: &[Vec<Blot>], lattice: Lattice, rect: Rect) -> Option<(Vec<Option<Grid>>, Grid)> {
    let mut sum = Grid::flat(lattice, rect, 0.0);
    let grids: Vec<Option<Grid>> = dabs
        .iter()
        .map(|dabs| {
            let there = near(dabs, lattice, rect);
            (!there.is_empty()).then(|| {
                let mut grid = Grid::flat(lattice, rect, 0.0);
                blots(&mut grid, &there, Join::Max);
                add_row(&grid.data, &mut sum.data);
                grid
            })
        })
        .collect();
    grids.iter().any(Option::is_some).then_some((grids, sum))
}

/// The detail on which all dye can be seen at once: the half-millimetre lattice, or the picture's own where some dye
/// is known on that.
fn sight(patch: &Patch) -> (Lattice, Rect) {
    let half = patch.half();
    let fine = (0..DYES)
        .flat_map(|dye| patch.seen(dye))
        .any(|plane| match plane {
            Plane::Grid(grid) => grid.lattice.pitch < half.0.pitch,
            _ => false,
        });
    if fine { patch.fine() } else { half }
}

impl Hand for TouchUpHand {
    fn act(&self, patch: &mut Patch) {
        let (lattice, rect) = sight(patch);
        if let Some((grids, sum)) = covers(&self.dabs, lattice, rect) {
            let mut local = Grid::flat(lattice, rect, 0.0);
            for dye in 0..DYES {
                for plane in patch.seen(dye) {
                    if !plane.is_zero() {
                        add_row(&plane.at_detail(lattice, rect).data, &mut local.data);
                    }
                }
            }
            let xs = positions(lattice, rect.x0, rect.nx);
            for ((y, local), (_, sum)) in local.rows_mut().zip(sum.rows()) {
                // Most of a row is free of dabs, and many rows are.
                let first = sum.iter().position(|c| *c > 0.0).unwrap_or(sum.len());
                let end = sum.iter().rposition(|c| *c > 0.0).map_or(first, |last| last + 1);
                let y = lattice.at(y) as f32;
                gate_row(
                    self.lack,
                    self.seed,
                    y,
                    &xs[first..end],
                    &sum[first..end],
                    &mut local[first..end],
                );
            }
            for (colour, grid) in grids.into_iter().enumerate() {
                let Some(mut grid) = grid else { continue };
                dab_row(self.full[colour], &local.data, &mut grid.data);
                patch.loose[self.dyes[colour]].add(&Plane::Grid(grid));
            }
        }
        patch.water.map(|w| w + self.water);
    }
}

impl TouchUp {
    fn liquor(&self) -> f64 {
        self.values.si("liquor") * 1000.0
    }

    /// Dye put on, g per kg of the whole cloth, for each of the dyes: liquor shared evenly between the colours.
    fn put(&self) -> Vec<(usize, f64)> {
        let doses = self.values.dyes("dyes");
        let liquor = self.liquor() / doses.len().max(1) as f64;
        doses
            .iter()
            .map(|dose| (dose.dye, dose.depth.quantity.si * liquor))
            .collect()
    }

    /// A dab for every white cell.
    fn dabs(&self, before: &Before, cells: &Grid, white: f32, colours: usize) -> Vec<Vec<Blot>> {
        let constants = &before.shop.constants;
        let wick = Wick {
            across: constants.get(&SPREAD),
            along: constants.get(&SPREAD),
            seconds: constants.get(&LOOSE_TIME),
        };
        // A sharp edge that has spread by sigma rises over some 3 sigma.
        let edge = (3.0 * wick.sigma_mm().0).max(0.5) as f32;
        let radius = (self.values.si("dab") * 500.0) as f32;
        let seed = before.seed.child("dabs").low();
        let mut dabs = vec![Vec::new(); colours];
        for (j, row) in cells.rows() {
            for (i, value) in (cells.rect.x0..).zip(row) {
                if *value >= white {
                    continue;
                }
                let h = hash2(i, j, seed);
                let shift =
                    |bits: u32| f64::from(unit(h.wrapping_mul(bits)) - 0.5) * 0.7 * cells.lattice.pitch;
                let (x, y) = (
                    cells.lattice.at(i) + shift(0x9e37_79b1),
                    cells.lattice.at(j) + shift(0x85eb_ca77),
                );
                // Colour drifts over a decimetre or two; now and then a stray dab.
                let (cx, cy) = (x as f32 / 130.0, y as f32 / 130.0);
                let drift = clamp01(0.5 + 1.3 * noise(cx, cy, seed ^ 41)) * 0.999 * colours as f32;
                let colour = (floor_i32(drift).max(0) as usize + usize::from(h & 7 == 0)) % colours;
                dabs[colour].push(Blot {
                    x,
                    y,
                    half: [0.0, 0.0],
                    radius: radius * (0.8 + 0.35 * unit(h ^ 0x5bd1_e995)),
                    edge,
                    rag: 0.22 * radius,
                    grain: 0.5 * radius,
                    amount: 0.85 + 0.15 * unit(h ^ 0x0dea_dbee),
                    seed: h,
                });
            }
        }
        for dabs in &mut dabs {
            dabs.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)));
        }
        dabs
    }
}

/// Mean over the bolt of what full dabs of each colour would leave, as a share of a full dab.
fn means(dabs: &[Vec<Blot>], cells: &Grid, lack: (f32, f32), bolt: Rect) -> Vec<f64> {
    let lattice = Lattice { pitch: COARSE };
    let mut sums = vec![0.0f64; dabs.len()];
    // In strips: a whole bolt at once would be a picture.
    for y0 in (bolt.y0..bolt.y1()).step_by(128) {
        let rect = Rect::between(bolt.x0, y0, bolt.x1(), bolt.y1().min(y0 + 128));
        let Some((grids, sum)) = covers(dabs, lattice, rect) else {
            continue;
        };
        let cell = |at: i32| (lattice.at(at) / cells.lattice.pitch) as i32;
        for (colour, grid) in grids.iter().enumerate() {
            let Some(grid) = grid else { continue };
            for ((y, row), (_, others)) in grid.rows().zip(sum.rows()) {
                for ((x, cover), other) in (rect.x0..).zip(row).zip(others) {
                    if *cover > 0.0 {
                        let local = cells.get(cell(x), cell(y)).unwrap_or(0.0);
                        // Mean of the print: 0.9.
                        sums[colour] += f64::from(*cover / other.max(1.0) * lacking(local, lack) * 0.9);
                    }
                }
            }
        }
    }
    sums.into_iter()
        .map(|sum| sum / bolt.area().max(1) as f64)
        .collect()
}

impl Operation for TouchUp {
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
                    "touch-up-folded",
                    Weight::Doubtful,
                    here(before, None),
                    say!(
                        "white places cannot be seen while the cloth is scrunched",
                        "bagian putih tidak terlihat selama kain berkerut"
                    ),
                )
                .remedy(say!("open it first", "buka dahulu")),
            );
        }
        if before.means.waxed() {
            findings.push(Finding::new(
                "touch-up-waxed",
                Weight::Doubtful,
                here(before, None),
                say!(
                    "wax keeps the dabs off the motif",
                    "malam menahan colekan di motif"
                ),
            ));
        }
        let dye: f64 = (0..DYES).map(|dye| before.means.dye(dye)).sum();
        if dye < 1e-6 {
            findings.push(Finding::new(
                "touch-up-white-cloth",
                Weight::Doubtful,
                here(before, None),
                say!(
                    "all of the cloth is white: there is nothing to touch up",
                    "seluruh kain masih putih: tidak ada yang perlu ditutup"
                ),
            ));
        }
        findings
    }

    fn tally(&self, means: &mut Means, _: &Design, lot: &LotShape, _: &Workshop) -> Takes {
        let put = self.put();
        for (dye, amount) in &put {
            for zone in means.zones_mut() {
                zone.loose[*dye] += amount;
            }
        }
        means.water += self.liquor();
        let kg = lot.mass().0;
        let mut per_bolt: Vec<Dose> = put
            .iter()
            .map(|(dye, amount)| Dose {
                stuff: Stuff::Dye(*dye),
                amount: Quantity::new(amount / 1000.0 * kg, Measure::Mass),
                origin: None,
            })
            .collect();
        per_bolt.push(draw_water(self.liquor() * kg));
        Takes {
            per_bolt,
            put,
            ..Takes::default()
        }
    }

    fn hand(&self, before: &Before) -> Arc<dyn Hand> {
        let doses = self.values.dyes("dyes");
        let cells = before.look.dye(self.values.si("dab") * 1000.0 * CELL);
        let mean = cells.mean() as f32;
        let at = |metres: f64| (metres * 1000.0 / COARSE).round() as i32;
        let bolt = Rect::between(0, 0, at(before.lot.cloth.width.0), at(before.lot.cloth.length.0));
        let colours = doses.len().max(1);
        let mut white = self.values.si("below") as f32 * mean;
        let lack = (0.35 * white, 1.7 * white + 1e-6);
        let mut dabs = self.dabs(before, &cells, white, colours);
        let mut shares = means(&dabs, &cells, lack, bolt);
        let touched: f64 = shares.iter().sum();
        if touched * DAB_LIQUOR.0 > self.liquor() {
            // Too little for all of them: the whitest, as many as the liquor wets through.
            let mut whitest: Vec<f32> = cells
                .data
                .iter()
                .copied()
                .filter(|value| *value < white)
                .collect();
            whitest.sort_by(f32::total_cmp);
            let enough = (self.liquor() / (touched * DAB_LIQUOR.0) * whitest.len() as f64) as usize;
            white = whitest.get(enough).copied().unwrap_or(white);
            dabs = self.dabs(before, &cells, white, colours);
            shares = means(&dabs, &cells, lack, bolt);
        }
        let liquor = self.liquor() / colours as f64;
        let full = shares
            .into_iter()
            .zip(doses)
            .map(|(share, dose)| {
                let there = if share > 0.0 {
                    (liquor / share).min(DAB_LIQUOR.1)
                } else {
                    0.0
                };
                (dose.depth.quantity.si * there) as f32
            })
            .collect();
        Arc::new(TouchUpHand {
            dabs,
            dyes: doses.iter().map(|dose| dose.dye).collect(),
            full,
            lack,
            seed: before.seed.child("print").low(),
            water: self.liquor() as f32,
        })
    }

    fn occupies(&self, _: &Means, _: &Design, _: &LotShape, _: &Workshop) -> Vec<Occupancy> {
        vec![Occupancy {
            term: &KIND.term,
            uses: vec![Use::whole("bench"), Use::whole("sponger")],
            work: Work::minutes(5.0, 9.0, 15.0),
            calendar: "shop",
            may_pause: false,
            batch: None,
            darkness: None,
            then: Lag::FREE,
        }]
    }

    fn instructs(&self, takes: &Takes, design: &Design, lot: &LotShape, _: &Workshop) -> Instructions {
        let doses = self.values.dyes("dyes");
        let each = self.liquor() / 1000.0 * lot.mass().0 / doses.len().max(1) as f64;
        let mut lines: Vec<_> = doses
            .iter()
            .map(|dose| {
                let grams = takes
                    .per_bolt
                    .iter()
                    .find(|d| d.stuff == Stuff::Dye(dose.dye))
                    .map(|d| d.amount);
                say!(
                    "Set aside {volume} of liquor of {dye}, with {mass} of dye in it.",
                    "Sisihkan {volume} larutan {dye}, berisi {mass} pewarna.",
                    dye = Arg::Name(
                        design
                            .dyes
                            .get(dose.dye)
                            .map_or_else(String::new, |d| d.name.clone())
                    ),
                    mass = Arg::Quantity(grams.unwrap_or(Quantity::new(0.0, Measure::Mass))),
                    volume = Arg::Quantity(Quantity::new(each, Measure::Volume))
                )
            })
            .collect();
        lines.push(say!(
            "Dab every white place wider than two fingers with a {dab} sponge, in the colour of its neighbours; leave the small ones.",
            "Colet setiap bagian putih yang lebih lebar dari dua jari dengan spons {dab}, sewarna sekitarnya; biarkan yang kecil.",
            dab = self.values.arg("dab")
        ));
        Instructions {
            lines,
            done_when: say!(
                "no white place wider than two fingers is left",
                "tidak ada lagi bagian putih lebih lebar dari dua jari"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{TOUCHED, covers, lacking, near};
    use field::{Blot, Lattice, Rect};

    #[test]
    fn a_dab_colours_what_lacks_dye() {
        let lack = (1.0, 5.0);
        assert_eq!(lacking(0.0, lack), 1.0);
        assert_eq!(lacking(5.0, lack), TOUCHED);
        assert!(lacking(2.0, lack) > lacking(3.0, lack));
    }

    fn dab(x: f64, y: f64) -> Blot {
        Blot {
            x,
            y,
            half: [0.0, 0.0],
            radius: 20.0,
            edge: 4.0,
            rag: 4.0,
            grain: 10.0,
            amount: 1.0,
            seed: 7,
        }
    }

    #[test]
    fn a_tile_finds_every_dab_that_touches_it_and_no_other() {
        let lattice = Lattice { pitch: 1.0 };
        let dabs: Vec<Blot> = (0..40).map(|k| dab(50.0, f64::from(k) * 25.0)).collect();
        let rect = Rect::between(0, 300, 100, 400);
        let found: Vec<f64> = near(&dabs, lattice, rect).iter().map(|d| d.y).collect();
        let wanted: Vec<f64> = dabs
            .iter()
            .filter(|d| !d.bounds(lattice).intersect(rect).is_empty())
            .map(|d| d.y)
            .collect();
        assert_eq!(found, wanted);
        assert!(covers(&[dabs], lattice, Rect::between(500, 300, 600, 400)).is_none());
    }
}
