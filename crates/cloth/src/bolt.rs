//! A bolt made ready: the hands of all its steps.

use crate::develop::{Tiling, develop};
use field::{Grid, Lattice, Rect, Tile};
use route::{Before, Design, Fold, Hand, Look, LotShape, Means, Package, Takes, Workshop};
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
    /// The bolt averaged: before the first step, then after each.
    pub means: Vec<Means>,
    /// What each step took.
    pub takes: Vec<Takes>,
}

/// The bolt averaged before the first step and after each, and what each step took. No picture is made.
pub fn averages(design: &Design, lot: &LotShape, shop: &Workshop) -> (Vec<Means>, Vec<Takes>) {
    let mut means = vec![Means::default()];
    let mut takes = Vec::new();
    for step in &design.steps {
        let mut next = means[means.len() - 1].clone();
        takes.push(step.operation.tally(&mut next, design, lot, shop));
        means.push(next);
    }
    (means, takes)
}

impl Bolt {
    /// Makes a bolt ready up to and including step `upto` (all steps if `None`).
    pub fn prepare(design: &Arc<Design>, lot: &LotShape, shop: &Workshop, upto: Option<usize>) -> Self {
        let (means, takes) = averages(design, lot, shop);
        let mut bolt = Self {
            design: design.clone(),
            lot: lot.clone(),
            hands: Vec::new(),
            packages: Vec::new(),
            means,
            takes,
        };
        let mut package: Option<Arc<Package>> = None;
        let steps = upto.map_or(design.steps.len(), |last| (last + 1).min(design.steps.len()));
        for (at, step) in design.steps.iter().take(steps).enumerate() {
            let hand = step.operation.hand(&Before {
                design,
                at,
                means: &bolt.means[at],
                lot,
                shop,
                seed: lot.seed().child(&step.id),
                package: package.as_ref(),
                look: &bolt,
            });
            bolt.packages.push(package.clone());
            match hand.fold() {
                Fold::Same => {}
                Fold::Open => package = None,
                Fold::Packed(made) => package = Some(made),
            }
            bolt.hands.push(hand);
        }
        bolt
    }
}

impl Look for Bolt {
    fn dye(&self, cell_mm: f64) -> Grid {
        let lattice = Lattice { pitch: cell_mm };
        let cells = |length: f64| (length * 1000.0 / cell_mm).ceil().max(1.0) as u32;
        let (nx, ny) = (cells(self.lot.cloth.width.0), cells(self.lot.cloth.length.0));
        // A handful of samples a cell is enough to decide where white cloth shows; it is not a picture.
        let fine = Lattice { pitch: cell_mm / 3.0 };
        let rect = Rect { x0: 0, y0: 0, nx, ny };
        let mut data = Vec::with_capacity((nx * ny) as usize);
        for y in 0..ny as i32 {
            let core = Rect {
                x0: 0,
                y0: 3 * y,
                nx: 3 * nx,
                ny: 3,
            };
            let patch = develop(
                self,
                Tile::new(fine.pitch, core),
                self.hands.len(),
                &Tiling::default(),
            );
            let mut sums = vec![0.0f32; (3 * nx * 3) as usize];
            for dye in 0..route::DYES {
                for plane in patch.seen(dye) {
                    if !plane.is_zero() {
                        let grid = plane.at_detail(patch.tile.samples, core);
                        for (sum, value) in sums.iter_mut().zip(&grid.data) {
                            *sum += value;
                        }
                    }
                }
            }
            for i in 0..nx as usize {
                let cell: f32 = (0..3)
                    .flat_map(|j| (0..3).map(move |k| j * 3 * nx as usize + 3 * i + k))
                    .map(|at| sums[at])
                    .sum();
                data.push(cell / 9.0);
            }
        }
        Grid { lattice, rect, data }
    }
}
