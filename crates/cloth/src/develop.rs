//! Runs steps on one tile.

use crate::Bolt;
use field::Tile;
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
    let need = tile.need();
    let mut patch = Patch::white(tile, need);
    for (hand, package) in bolt.hands.iter().zip(&bolt.packages).take(steps) {
        patch.before = match hand.reach(tile.milli) {
            Reach::Point => need,
            Reach::Spread { rx, ry } => need.before_spread(
                rx.saturating_sub(tiling.starve),
                ry.saturating_sub(tiling.starve),
                &tile,
            ),
        };
        patch.package = package.clone();
        hand.act(&mut patch);
    }
    patch
}
