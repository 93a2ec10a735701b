//! A spray covers what it was asked to, and two cover what independent ones do, within a stated interval. The sponge's
//! own test stands beside its pattern.

mod common;

use common::{Checked, before, cloth, design, dyes, operation, quantity, shop};
use field::{Rect, Tile};
use route::{LotShape, Means, Patch};
use words::Known;

const PATCHES: usize = 96;
const SIDE: u32 = 240;
/// Student's t, 95 degrees of freedom, two-sided 99.9 % (handbook table: 3.40).
const T: f64 = 3.40;

/// Shares of patches, spread over an open bolt by golden-ratio steps, that the first colour hits, the second, either.
fn hit(cover: f64) -> Vec<[f64; 3]> {
    let (mut shop, lot) = (shop(vec![]), LotShape::new("lot", 1, 0, cloth()));
    // Nothing wicks: what is measured is where dye was put.
    shop.constants.set("spray.spread", Known::yours(1e-16));
    let two = dyes(&[(0, "20 g/L"), (1, "20 g/L")]);
    let share = quantity(&format!("{} %", 100.0 * cover));
    let (design, means) = (design(), Means::default());
    let hand = operation("spray", vec![("dyes", two), ("cover", share)])
        .hand(&before(&design, 0, &means, &lot, &shop, &Checked));
    (0..PATCHES)
        .map(|k| {
            let core = Rect {
                x0: ((k as f64 * 0.754_877_666).fract() * 850.0) as i32,
                y0: ((k as f64 * 0.569_840_291).fract() * 13_400.0) as i32,
                nx: SIDE,
                ny: SIDE,
            };
            let tile = Tile::new(1.0, core);
            let mut patch = Patch::white(tile, tile.need());
            hand.act(&mut patch);
            let on = |dye: usize| patch.loose[dye].at_detail(tile.samples, core).into_owned().data;
            let (one, other) = (on(0), on(1));
            // A tenth of a gram per kg is a hundredth of what lies in the middle of a stroke.
            let is = |v: f32| v > 0.1;
            let share = |of: &dyn Fn(f32, f32) -> bool| {
                let count = one.iter().zip(&other).filter(|(a, b)| of(**a, **b)).count();
                count as f64 / one.len() as f64
            };
            [
                share(&|a, _| is(a)),
                share(&|_, b| is(b)),
                share(&|a, b| is(a) || is(b)),
            ]
        })
        .collect()
}

fn interval(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let n = PATCHES as f64;
    let mean = values.clone().sum::<f64>() / n;
    let variance = values.map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, T * (variance / n).sqrt())
}

/// Each colour hits what was asked, and 5 % of the bolt beside: drops that fly beyond the edge of a stroke, and its soft
/// rim. Both together hit `1 - (1 - a)(1 - b)`: two sprays of 30 % cover 51 % of the cloth, without the drops.
#[test]
fn sprays_cover_what_was_asked() {
    for cover in [0.15, 0.3, 0.6] {
        let shares = hit(cover);
        let [one, other, both] = [0, 1, 2].map(|what| interval(shares.iter().map(|s| s[what])));
        for (mean, half) in [one, other] {
            assert!(
                mean > cover - half && mean < cover + 0.05 + half,
                "{cover}: {mean} +- {half}"
            );
        }
        let independent = 1.0 - (1.0 - one.0) * (1.0 - other.0);
        assert!(
            (both.0 - independent).abs() < both.1,
            "{cover}: both {both:?}, independent {independent}"
        );
        assert!(both.1 < 0.08, "an interval that says something: {both:?}");
    }
}
