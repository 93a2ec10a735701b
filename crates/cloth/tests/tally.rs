//! The picture and the books tell the same story: for every operation of a whole route, the means of 64 random patches
//! agree with its tally, in two ways.
//!
//! * The bolt: the mean of the patches lies inside the sampling interval of the tally that has run from white cloth.
//! * The step: each patch is averaged before the step and the tally is run on those averages; what it foretells for the
//!   patch differs from what the patch shows by no more than chance and 2 % (what averaging costs where a law is curved).

mod common;

use cloth::{Bolt, Tiling, develop};
use field::{Plane, Rect, Tile};
use route::{Means, Patch, Zone};

const PATCHES: usize = 64;
const SIDE: u32 = 48;
/// Student's t, 63 degrees of freedom, two-sided 99.9 % (handbook table: 3.447).
const T: f64 = 3.447;
/// What a tally may miss of a curved law.
const CURVED: f64 = 0.02;
const DYES: usize = 3;

const NAMES: [&str; 13] = [
    "loose 0", "spent 0", "fast 0", "loose 1", "spent 1", "fast 1", "loose 2", "spent 2", "fast 2", "water",
    "soda", "wax", "leak",
];

/// Means over the bolt, or over a patch, in the order of [`NAMES`].
fn amounts(means: &Means) -> Vec<f64> {
    let mut list = Vec::new();
    for dye in 0..DYES {
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

/// A patch averaged, ground and motif apart; what a patch does not show is taken from the bolt.
fn averaged(patch: &Patch, core: Rect, bolt: &Means) -> Means {
    let on = |plane: &Plane| plane.at_detail(patch.tile.samples, core).into_owned().data;
    let inside: Vec<bool> = on(&patch.rim).iter().map(|rim| *rim > 0.0).collect();
    let n = inside.len() as f64;
    let count = inside.iter().filter(|i| **i).count() as f64;
    let split = |plane: &Plane| {
        let (mut ground, mut motif) = (0.0, 0.0);
        for (value, inside) in on(plane).iter().zip(&inside) {
            if *inside {
                motif += f64::from(*value)
            } else {
                ground += f64::from(*value)
            }
        }
        (ground / (n - count).max(1.0), motif / count.max(1.0))
    };
    let mut means = bolt.clone();
    let (mut ground, mut motif) = (
        Zone {
            share: 1.0 - count / n,
            ..Zone::default()
        },
        Zone {
            share: count / n,
            ..Zone::default()
        },
    );
    for dye in 0..DYES {
        (ground.loose[dye], motif.loose[dye]) = split(&patch.loose[dye]);
        (ground.spent[dye], motif.spent[dye]) = split(&patch.spent[dye]);
        (ground.fast[dye], motif.fast[dye]) = split(&patch.fast[dye]);
    }
    (ground.wax, motif.wax) = split(&patch.wax);
    means.leak = split(&patch.leak).1;
    means.water = patch.water.at_detail(patch.tile.samples, core).mean();
    means.soda = patch.soda.at_detail(patch.tile.samples, core).mean();
    (means.ground, means.motif) = (ground, motif);
    means
}

/// Mean and half width of its interval.
fn interval(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let n = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / n;
    let variance = values.map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, T * (variance / n).sqrt())
}

/// Patches spread by golden-ratio steps over the bolt, clear of its edges: the cloth before and after each step.
fn patches(bolt: &Bolt) -> Vec<Vec<Means>> {
    (0..PATCHES)
        .map(|k| {
            let x = ((k as f64 * 0.754_877_666) % 1.0 * 850.0) as i32 + 100;
            let y = ((k as f64 * 0.569_840_291) % 1.0 * 13_200.0) as i32 + 200;
            let core = Rect {
                x0: x,
                y0: y,
                nx: SIDE,
                ny: SIDE,
            };
            (0..=bolt.hands.len())
                .map(|steps| {
                    let patch = develop(bolt, Tile::new(1.0, core), steps, &Tiling::default());
                    averaged(&patch, core, &bolt.means[steps])
                })
                .collect()
        })
        .collect()
}

#[test]
fn patches_agree_with_the_tally_of_every_operation() {
    let bolt = common::bolt();
    let shop = common::shop(vec![]);
    let patches = patches(&bolt);
    let mut wrong = Vec::new();
    for (at, step) in bolt.design.steps.iter().enumerate() {
        let key = step.operation.kind().key;
        let shown: Vec<Vec<f64>> = patches.iter().map(|p| amounts(&p[at + 1])).collect();
        let foretold: Vec<Vec<f64>> = patches
            .iter()
            .map(|p| {
                let mut means = p[at].clone();
                step.operation.tally(&mut means, &bolt.design, &bolt.lot, &shop);
                amounts(&means)
            })
            .collect();
        let whole = amounts(&bolt.means[at + 1]);
        for (what, name) in NAMES.iter().enumerate() {
            let (mean, half) = interval(shown.iter().map(|s| s[what]));
            // f32 planes summed: a part in 1e5 of the amount is rounding.
            let rounding = 1e-5 * whole[what].abs() + 1e-7;
            if (mean - whole[what]).abs() > half + rounding {
                wrong.push(format!(
                    "{at} {key}: {name}: bolt {:.5}, patches {mean:.5} +- {half:.5}",
                    whole[what]
                ));
            }
            let missed = shown.iter().zip(&foretold).map(|(s, f)| s[what] - f[what]);
            let (miss, half) = interval(missed);
            if miss.abs() > half + CURVED * mean.abs() + rounding {
                wrong.push(format!(
                    "{at} {key}: {name}: step misses {miss:.5} +- {half:.5} of {mean:.5}"
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
