//! A bolt made ready: the hands of all its steps.

use crate::develop::{Tiling, develop};
use field::{Grid, Lattice, Plane, Rect, Tile};
use rayon::prelude::*;
use route::{Before, Design, Fold, Hand, Look, LotShape, Means, Package, Takes, Workshop, bolt_keys};
use std::sync::Arc;

/// Everything decided over one bolt, shared read-only by all tiles.
pub struct Bolt {
    /// The design.
    pub design: Arc<Design>,
    /// The lot and the bolt.
    pub lot: LotShape,
    /// One hand per step.
    pub hands: Vec<Arc<dyn Hand>>,
    /// The package in force when a step begins.
    pub packages: Vec<Option<Arc<Package>>>,
    /// The bolt averaged: before the first step, then after each that it is ready for.
    pub means: Vec<Means>,
    /// What each of these steps took.
    pub takes: Vec<Takes>,
    /// Keys of the cloth: white, then after each step ([`bolt_keys`]).
    pub keys: Vec<[u8; 32]>,
}

/// The bolt averaged before the first step and after each, and what each step took. No picture is made.
pub fn averages(design: &Design, lot: &LotShape, shop: &Workshop) -> (Vec<Means>, Vec<Takes>) {
    let mut means = vec![Means::default()];
    let mut takes = Vec::new();
    average_to(design.steps.len(), &mut means, &mut takes, design, lot, shop);
    (means, takes)
}

/// Goes on with the averages up to so many steps.
fn average_to(
    steps: usize,
    means: &mut Vec<Means>,
    takes: &mut Vec<Takes>,
    design: &Design,
    lot: &LotShape,
    shop: &Workshop,
) {
    for at in takes.len()..steps {
        let mut next = means[at].clone();
        takes.push(design.steps[at].operation.tally(&mut next, design, lot, shop));
        means.push(next);
    }
}

impl Bolt {
    /// Makes a bolt ready up to and including step `upto` (all steps if `None`).
    pub fn prepare(design: &Arc<Design>, lot: &LotShape, shop: &Workshop, upto: Option<usize>) -> Self {
        Self::prepare_after(None, design, lot, shop, upto)
    }

    /// As [`Bolt::prepare`]; what another bolt of the same lot knows of its first so many steps, which are alike, is taken
    /// from it.
    pub(crate) fn prepare_after(
        begun: Option<(&Self, usize)>,
        design: &Arc<Design>,
        lot: &LotShape,
        shop: &Workshop,
        upto: Option<usize>,
    ) -> Self {
        let steps = upto.map_or(design.steps.len(), |last| (last + 1).min(design.steps.len()));
        let known = |alike: usize, there: usize| alike.min(there).min(steps);
        let mut bolt = Self {
            design: design.clone(),
            lot: lot.clone(),
            hands: begun.map_or_else(Vec::new, |(b, alike)| {
                b.hands[..known(alike, b.hands.len())].to_vec()
            }),
            packages: Vec::new(),
            means: begun.map_or_else(
                || vec![Means::default()],
                |(b, alike)| b.means[..=known(alike, b.takes.len())].to_vec(),
            ),
            takes: begun.map_or_else(Vec::new, |(b, alike)| {
                b.takes[..known(alike, b.takes.len())].to_vec()
            }),
            keys: bolt_keys(design, lot, shop),
        };
        average_to(steps, &mut bolt.means, &mut bolt.takes, design, lot, shop);
        let mut package: Option<Arc<Package>> = None;
        for (at, step) in design.steps.iter().take(steps).enumerate() {
            let hand = bolt.hands.get(at).cloned().unwrap_or_else(|| {
                step.operation.hand(&Before {
                    design,
                    at,
                    means: &bolt.means[at],
                    lot,
                    shop,
                    seed: lot.seed().child(&step.id),
                    package: package.as_ref(),
                    look: &bolt,
                })
            });
            bolt.packages.push(package.clone());
            match hand.fold() {
                Fold::Same => {}
                Fold::Open => package = None,
                Fold::Packed(made) => package = Some(made),
            }
            if at == bolt.hands.len() {
                bolt.hands.push(hand);
            }
        }
        bolt
    }
}

impl Look for Bolt {
    fn dye(&self, cell_mm: f64) -> Grid {
        /// Samples of a cell, each way: enough to decide where white cloth shows; it is not a picture.
        const FINE: u32 = 3;
        /// Rows of cells developed at once: a strip's halo must not outweigh it.
        const STRIP: u32 = 24;
        let lattice = Lattice { pitch: cell_mm };
        let cells = |length: f64| (length * 1000.0 / cell_mm).ceil().max(1.0) as u32;
        let rect = Rect {
            x0: 0,
            y0: 0,
            nx: cells(self.lot.cloth.width.0),
            ny: cells(self.lot.cloth.length.0),
        };
        let strips: Vec<Vec<f32>> = (0..rect.ny.div_ceil(STRIP))
            .into_par_iter()
            .map(|strip| {
                let (y0, ny) = (strip * STRIP, STRIP.min(rect.ny - strip * STRIP));
                let core = Rect {
                    x0: 0,
                    y0: (FINE * y0) as i32,
                    nx: FINE * rect.nx,
                    ny: FINE * ny,
                };
                let tile = Tile::new(cell_mm / f64::from(FINE), core);
                let patch = develop(self, tile, self.hands.len(), &Tiling::default());
                let mut total = Plane::Zero;
                for dye in 0..route::DYES {
                    patch.seen(dye).into_iter().for_each(|plane| total.add(plane));
                }
                let coarse = Rect {
                    x0: 0,
                    y0: y0 as i32,
                    nx: rect.nx,
                    ny,
                };
                total
                    .into_detail(tile.samples, core)
                    .gather_down(lattice, coarse)
                    .data
            })
            .collect();
        Grid {
            lattice,
            rect,
            data: strips.concat(),
        }
    }
}
