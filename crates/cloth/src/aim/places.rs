//! Samples of cloth from many places of the bolt, with what each pot leaves on them.

use crate::places::spread;
use crate::{Appearance, Bolt};
use field::Tile;
use rayon::prelude::*;
use route::{Patch, Reach};

/// Places of the bolt that are looked at.
const PLACES: usize = 48;
/// Side of a place, samples.
const SIDE: u32 = 32;
/// Distance of samples, mm.
const PITCH: f64 = 1.0;

/// Samples, place after place.
#[derive(Clone, Debug, Default)]
pub struct Samples {
    /// For each step that put on wax, in the order of the route: its place in the route, and which samples it covered.
    pub waxed: Vec<(usize, Vec<bool>)>,
    /// Dye of each slot in the end, whatever its state, g/kg.
    pub dye: Vec<Vec<f32>>,
    /// Linear light of the finished cloth, D65, three planes; not clipped.
    pub light: [Vec<f32>; 3],
}

impl Samples {
    /// Number of samples.
    pub fn len(&self) -> usize {
        self.light[0].len()
    }
}

/// Develops all places of a bolt that is ready to its last step.
pub fn samples(bolt: &Bolt) -> Samples {
    let appearance = Appearance::new(&bolt.design);
    let parts: Vec<Samples> = spread(bolt, PLACES, SIDE, PITCH)
        .into_par_iter()
        .map(|core| one(bolt, &appearance, Tile::new(PITCH, core)))
        .collect();
    let mut all = Samples::default();
    for part in parts {
        if all.dye.is_empty() {
            all = part;
            continue;
        }
        for (to, from) in all.waxed.iter_mut().zip(part.waxed) {
            to.1.extend(from.1);
        }
        for (to, from) in all.dye.iter_mut().zip(part.dye) {
            to.extend(from);
        }
        for (to, from) in all.light.iter_mut().zip(part.light) {
            to.extend(from);
        }
    }
    all
}

fn one(bolt: &Bolt, appearance: &Appearance, tile: Tile) -> Samples {
    let need = tile.need();
    let mut patch = Patch::white(tile, need);
    let mut waxed = Vec::new();
    for (at, (hand, package)) in bolt.hands.iter().zip(&bolt.packages).enumerate() {
        patch.before = match hand.reach(tile.milli) {
            Reach::Point => need,
            Reach::Spread { rx, ry } => need.before_spread(rx, ry, &tile),
        };
        patch.package = package.clone();
        hand.act(&mut patch);
        if bolt.takes.get(at).is_some_and(|takes| takes.wax_put > 0.0) {
            let (lattice, core) = patch.fine();
            let rim = patch.rim.at_detail(lattice, core);
            waxed.push((at, rim.data.iter().map(|r| *r > 0.0).collect()));
        }
    }
    let (lattice, core) = patch.fine();
    let dye = (0..bolt.design.dyes.len())
        .map(|dye| {
            let mut total = vec![0.0; core.area()];
            for plane in patch.seen(dye).into_iter().filter(|p| !p.is_zero()) {
                let grid = plane.at_detail(lattice, core);
                total.iter_mut().zip(&grid.data).for_each(|(t, v)| *t += v);
            }
            total
        })
        .collect();
    Samples {
        waxed,
        dye,
        light: appearance.light(&patch),
    }
}
