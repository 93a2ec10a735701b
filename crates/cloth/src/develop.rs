//! Runs steps on one tile.

use crate::Bolt;
use field::{Need, Tile};
use route::{Patch, Reach};

/// How a picture is cut into tiles. Nothing of it may change a bit of the result; a test holds that.
#[derive(Clone, Debug)]
pub struct Tiling {
    /// Side of a tile in samples.
    pub side: u32,
    /// Samples by which every halo is cut short. Anything but 0 is wrong on purpose: it lets a test show
    /// that the halos are no larger than they must be and that the tests would notice a short one.
    pub starve: u32,
}

impl Default for Tiling {
    fn default() -> Self {
        Self { side: 384, starve: 0 }
    }
}

/// The cloth under a tile after the first `steps` steps.
pub fn develop(bolt: &Bolt, tile: Tile, steps: usize, tiling: &Tiling) -> Patch {
    let hands = &bolt.hands[..steps.min(bolt.hands.len())];
    // Backwards: what must be known after each step, and what the step itself may read.
    let mut bounds: Vec<(Need, Need)> = Vec::with_capacity(hands.len());
    let mut need = tile.need();
    for hand in hands.iter().rev() {
        let after = need;
        let mut reads = need;
        if let Reach::Spread { rx, ry } = hand.reach(tile.milli) {
            let (rx, ry) = (rx.saturating_sub(tiling.starve), ry.saturating_sub(tiling.starve));
            reads = need.before_spread(rx, ry, &tile);
            need = reads.with_support(&tile);
        }
        bounds.push((after, reads));
    }
    let mut patch = Patch::white(tile, need);
    for ((hand, package), (after, reads)) in hands.iter().zip(&bolt.packages).zip(bounds.into_iter().rev()) {
        patch.need = after;
        patch.before = reads;
        patch.package = package.clone();
        hand.act(&mut patch);
    }
    patch
}
