//! What the stamper's hand leaves on a tile: every impression's wax, its edge feathered along yarns, its weak spots.

use crate::patch::positions;
use crate::prelude::*;
use crate::stamped::Pattern;
use field::{NoiseRows, clamp01, hash2, noise, noise2, smoothstep, unit};
use stamp::{Bounds, HandError, Impression, Mask, Stamp, wax_row};

/// One bolt's impressions, and what the wax of this step does beside the copper.
pub(super) struct WaxHand {
    /// Stamps that print together, and where.
    pub prints: Vec<(Arc<Stamp>, Pattern)>,
    pub error: HandError,
    pub seed: u32,
    pub add_on: f32,
    pub weak_below: f32,
    pub weak_leak: f32,
    /// How much farther than drawn the wax edge lies, mm.
    pub wider: f32,
    /// How far the edge moves for twice the mean pressure, and feathers along yarns, mm.
    pub pressed: f32,
    pub feather: f32,
}

/// Wax runs along yarns: the feather of its edge is drawn out along warp and weft.
struct Yarns {
    warp: NoiseRows,
    weft: NoiseRows,
}

impl Yarns {
    fn new(seed: u32, xs: &[f32]) -> Self {
        Self {
            warp: NoiseRows::new(xs.iter().map(|x| x / 0.55), seed ^ 41),
            weft: NoiseRows::new(xs.iter().map(|x| x / 2.3), seed ^ 42),
        }
    }
}

field::lanes! {
    /// The nearest edge of all impressions, and how hard that one was pressed.
    fn print_row(mask: &Mask, set: &[Impression], y: f64, xs: &[f32], rim: &mut [f32], press: &mut [f32]) {
        wax_row(mask, set, y, xs, rim, press);
    }

    #[allow(clippy::too_many_arguments)]
    fn edge_row(hand: &WaxHand, y: f32, xs: &[f32], yarns: &mut Yarns, rim: &mut [f32], press: &[f32], wax: &mut [f32], leak: &mut [f32]) {
        // In short runs: most of the cloth is far from any wax, and needs no feather.
        const RUN: usize = 32;
        for from in (0..xs.len()).step_by(RUN) {
            let to = (from + RUN).min(xs.len());
            let (xs, press, rim) = (&xs[from..to], &press[from..to], &mut rim[from..to]);
            let (wax, leak) = (&mut wax[from..to], &mut leak[from..to]);
            let nearest = rim.iter().fold(-1000.0f32, |a, b| a.max(*b));
            if nearest + hand.wider < -1.5 {
                wax.fill(0.0);
                leak.fill(0.0);
                continue;
            }
            let (mut warp, mut weft) = ([0.0f32; RUN], [0.0f32; RUN]);
            yarns.warp.go(y / 2.3);
            yarns.warp.fill(from, &mut warp[..to - from]);
            yarns.weft.go(y / 0.55);
            yarns.weft.fill(from, &mut weft[..to - from]);
            for i in 0..xs.len() {
                let feather = warp[i] + weft[i];
                let d = rim[i] + hand.wider + hand.feather * feather + hand.pressed * (press[i] - 1.0) * clamp01(press[i] * 4.0);
                rim[i] = d;
                let covered = smoothstep(-0.05, 0.10, d);
                wax[i] = hand.add_on * covered;
            }
            if nearest + hand.wider < 0.0 {
                leak.fill(0.0);
                continue;
            }
            for i in 0..xs.len() {
                let low = noise2(xs[i] / 17.0, y / 17.0, hand.seed ^ 43, 0.0) + 0.35 * noise(xs[i] / 2.1, y / 2.1, hand.seed ^ 44);
                let weak = smoothstep(hand.weak_below, hand.weak_below + 0.35, low + 1.2 * (1.0 - press[i]));
                leak[i] = hand.weak_leak * weak * clamp01(wax[i] * 1.0e4);
            }
        }
    }
}

impl Hand for WaxHand {
    fn act(&self, patch: &mut Patch) {
        let (lattice, core) = patch.fine();
        let xs = positions(lattice, core.x0, core.nx);
        let ys = positions(lattice, core.y0, core.ny);
        let mut rim = Grid::flat(lattice, core, -stamp::REACH);
        let mut wax = Grid::flat(lattice, core, 0.0);
        let mut leak = Grid::flat(lattice, core, 0.0);
        let mut press = vec![0.0f32; xs.len()];
        let mut yarns = Yarns::new(self.seed, &xs);
        let part = Bounds {
            low: [f64::from(xs[0]), f64::from(ys[0])],
            high: [f64::from(xs[xs.len() - 1]), f64::from(ys[ys.len() - 1])],
        };
        let seed = self.seed;
        let numbers = |i: i32, j: i32, n: u32| unit(hash2(i, j, seed ^ (n.wrapping_mul(0x9E37_79B1))));
        let set = |(stamp, pattern): &(Arc<Stamp>, Pattern)| {
            let set = pattern.impressions_on(&part, stamp.mask(), &self.error, numbers);
            (stamp.clone(), set)
        };
        let sets: Vec<_> = self.prints.iter().map(set).collect();
        let (mut beside, mut beside_press) = (vec![0.0f32; xs.len()], vec![0.0f32; xs.len()]);
        for (j, y) in ys.iter().enumerate() {
            let row = core.y0 + j as i32;
            let rim = rim.row_mut(row);
            press.fill(0.0);
            for (k, (stamp, set)) in sets.iter().enumerate() {
                if k == 0 {
                    print_row(stamp.mask(), set, f64::from(*y), &xs, rim, &mut press);
                    continue;
                }
                // Of stamps that print together the nearer edge counts.
                print_row(stamp.mask(), set, f64::from(*y), &xs, &mut beside, &mut beside_press);
                for i in 0..xs.len() {
                    if beside[i] > rim[i] {
                        (rim[i], press[i]) = (beside[i], beside_press[i]);
                    }
                }
            }
            edge_row(self, *y, &xs, &mut yarns, rim, &press, wax.row_mut(row), leak.row_mut(row));
        }
        // A second waxing adds to the first: the nearer edge counts, and wax lies where either put it.
        if patch.wax.is_zero() {
            (patch.rim, patch.wax, patch.leak) = (Plane::Grid(rim), Plane::Grid(wax), Plane::Grid(leak));
        } else {
            let old = patch.wax.at_detail(lattice, core).into_owned();
            let old_rim = patch.rim.at_detail(lattice, core).into_owned();
            let old_leak = patch.leak.at_detail(lattice, core).into_owned();
            for k in 0..wax.data.len() {
                let leaks = if old.data[k] > wax.data[k] { old_leak.data[k] } else { leak.data[k] };
                leak.data[k] = leaks;
                wax.data[k] = wax.data[k].max(old.data[k]);
                rim.data[k] = rim.data[k].max(old_rim.data[k]);
            }
            (patch.rim, patch.wax, patch.leak) = (Plane::Grid(rim), Plane::Grid(wax), Plane::Grid(leak));
        }
    }
}

/// A step without its stamp: nothing is printed. `examine` and the reader of designs both say so before.
pub(super) struct Nothing;

impl Hand for Nothing {
    fn act(&self, _: &mut Patch) {}
}
