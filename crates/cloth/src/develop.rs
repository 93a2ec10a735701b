//! Runs steps on one tile.

use crate::Bolt;
use field::Tile;
use route::{Fold, Patch, Reach};

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
    let mut patch = Patch::white(tile, tile.need());
    for at in 0..steps.min(bolt.hands.len()) {
        act(bolt, at, &mut patch, tiling);
    }
    patch
}

/// Does step `at` on a tile on which all steps before it are done.
pub(crate) fn act(bolt: &Bolt, at: usize, patch: &mut Patch, tiling: &Tiling) {
    let (hand, tile, need) = (&bolt.hands[at], patch.tile, patch.need);
    patch.before = match hand.reach(tile.milli) {
        Reach::Point => need,
        Reach::Spread { rx, ry } => need.before_spread(
            rx.saturating_sub(tiling.starve),
            ry.saturating_sub(tiling.starve),
            &tile,
        ),
    };
    patch.package = bolt.packages[at].clone();
    hand.act(patch);
    // A picture shows the cloth as the step leaves it: folded, or open.
    match hand.fold() {
        Fold::Same => {}
        Fold::Open => patch.package = None,
        Fold::Packed(made) => patch.package = Some(made),
    }
}
