//! What the cloth shows, in numbers: colours of the regions of a tile.

use crate::{Appearance, Bolt, Region, Tiling, develop};
use field::{Rect, Tile};

/// Mean light of one region over some places of the bolt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Which region.
    pub region: Region,
    /// Share of the cloth looked at.
    pub share: f64,
    /// Mean linear sRGB.
    pub rgb: [f64; 3],
}

/// Looks at square places of `side_mm` spread over the bolt and reads ground and motif apart, after `steps`
/// steps. `places` are upper left corners, mm. Pooled: one repeat is not a sample.
pub fn read_regions(bolt: &Bolt, steps: usize, places: &[(f64, f64)], side_mm: f64) -> Vec<Reading> {
    let appearance = Appearance::new(&bolt.design);
    let pitch = 1.0;
    let n = (side_mm / pitch).max(1.0) as u32;
    let mut sums = [[0.0f64; 4]; 2];
    for (x, y) in places {
        let core = Rect {
            x0: (x / pitch) as i32,
            y0: (y / pitch) as i32,
            nx: n,
            ny: n,
        };
        let tile = Tile::new(pitch, core);
        let patch = develop(bolt, tile, steps, &Tiling::default());
        let light = appearance.light(&patch);
        let rim = patch.rim.at_detail(patch.tile.samples, core);
        for (i, rim) in rim.data.iter().enumerate() {
            let sum = &mut sums[usize::from(*rim > 0.0)];
            for c in 0..3 {
                sum[c] += f64::from(light[c][i]);
            }
            sum[3] += 1.0;
        }
    }
    let all = sums[0][3] + sums[1][3];
    [Region::Ground, Region::Motif]
        .into_iter()
        .zip(sums)
        .filter(|(_, sum)| sum[3] > 0.0)
        .map(|(region, sum)| Reading {
            region,
            share: sum[3] / all,
            rgb: [sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3]],
        })
        .collect()
}
