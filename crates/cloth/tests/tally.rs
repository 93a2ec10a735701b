//! The picture and the books tell the same story: after every operation of a whole route, the means of 64 random
//! patches lie inside the sampling interval of its tally.

mod common;

use cloth::{Tiling, develop};
use field::{Rect, Tile};
use route::{DYES, Means, Patch};

const PATCHES: usize = 64;
const SIDE: u32 = 48;
/// Student's t, 63 degrees of freedom, two-sided 99.9 % (handbook table: 3.447).
const T: f64 = 3.447;

/// Mean amounts of one patch: per dye loose, spent, fast; then water, soda, wax.
fn amounts(patch: &Patch, core: Rect) -> Vec<f64> {
    let mean = |plane: &field::Plane| plane.at_detail(patch.tile.samples, core).mean();
    let mut list = Vec::new();
    for dye in 0..3 {
        list.extend([
            mean(&patch.loose[dye]),
            mean(&patch.spent[dye]),
            mean(&patch.fast[dye]),
        ]);
    }
    list.extend([
        mean(&patch.water),
        mean(&patch.soda),
        mean(&patch.wax),
        mean(&patch.leak),
    ]);
    list
}

fn expected(means: &Means) -> Vec<f64> {
    assert!(3 <= DYES);
    let mut list = Vec::new();
    for dye in 0..3 {
        list.extend([
            means.mean(|z| z.loose[dye]),
            means.mean(|z| z.spent[dye]),
            means.mean(|z| z.fast[dye]),
        ]);
    }
    let leak = if means.waxed() {
        means.leak * means.motif.share
    } else {
        0.0
    };
    list.extend([means.water, means.soda, means.mean(|z| z.wax), leak]);
    list
}

const NAMES: [&str; 13] = [
    "loose 0", "spent 0", "fast 0", "loose 1", "spent 1", "fast 1", "loose 2", "spent 2", "fast 2", "water",
    "soda", "wax", "leak",
];

#[test]
fn patches_agree_with_the_tally_after_every_operation() {
    let bolt = common::bolt();
    let mut wrong = Vec::new();
    let steps = bolt.hands.len();
    let mut sums = vec![vec![(0.0, 0.0); NAMES.len()]; steps];
    for k in 0..PATCHES {
        // Spread by golden-ratio steps over the bolt, clear of its edges by a repeat.
        let x = ((k as f64 * 0.754_877_666) % 1.0 * 850.0) as i32 + 100;
        let y = ((k as f64 * 0.569_840_291) % 1.0 * 13_200.0) as i32 + 200;
        let core = Rect {
            x0: x,
            y0: y,
            nx: SIDE,
            ny: SIDE,
        };
        for (at, sums) in sums.iter_mut().enumerate() {
            let patch = develop(&bolt, Tile::new(1.0, core), at + 1, &Tiling::default());
            for (sum, amount) in sums.iter_mut().zip(amounts(&patch, core)) {
                sum.0 += amount;
                sum.1 += amount * amount;
            }
        }
    }
    for (at, sums) in sums.iter().enumerate() {
        let key = bolt.design.steps[at].operation.kind().key;
        for ((name, (sum, squares)), want) in NAMES.iter().zip(sums).zip(expected(&bolt.means[at + 1])) {
            let n = PATCHES as f64;
            let mean = sum / n;
            let deviation = ((squares / n - mean * mean).max(0.0) * n / (n - 1.0)).sqrt();
            // f32 planes summed: a part in 1e5 of the amount is rounding.
            let half = T * deviation / n.sqrt() + 1e-5 * want.abs() + 1e-7;
            if (mean - want).abs() > half {
                wrong.push(format!(
                    "step {at} {key}: {name} tally {want:.5}, patches {mean:.5} +- {half:.5}"
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
