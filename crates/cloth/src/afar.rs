//! From two metres: the picture as far as the eye resolves it there, and whether motif and ground are still two.
//!
//! The eye blurs light and dark little, red and green more, yellow and blue most: Zhang and Wandell's spatial filter
//! (Proc. SID 27 (1996) 731-734; weights and widths from memory), opponent channel by opponent channel, in degrees of
//! vision. Sprays and mottle that drown a motif at hand's distance may let it read from afar, and the other way round.

use crate::sight::{Reading, owned, regions};
use crate::window::ToLab;
use crate::{Appearance, Bolt};
use colour::{Ground, Lab};
use field::{Rect, Tile};

/// Distance of the eye, mm.
pub const AFAR: f64 = 2000.0;
/// Side of the piece that is looked at, samples of 1 mm: two repeats and more.
const SIDE: u32 = 420;
/// Rim of the piece that is blurred but not judged, samples.
const RIM: usize = 30;

/// Per opponent channel (light-dark, red-green, yellow-blue): weights and widths in degrees. The wide negative weight of
/// the first evens out slow changes of light and is left out: cloth is judged beside cloth.
const FILTER: [&[(f64, f64)]; 3] = [
    &[(0.921, 0.0283), (0.105, 0.133)],
    &[(0.531, 0.0392), (0.330, 0.494)],
    &[(0.488, 0.0536), (0.371, 0.386)],
];
/// XYZ to opponent channels, by rows.
const OPPONENT: [[f64; 3]; 3] = [
    [0.279, 0.72, -0.107],
    [-0.449, 0.29, -0.077],
    [0.086, -0.59, 0.501],
];
/// Linear sRGB to XYZ (IEC 61966-2-1).
const TO_XYZ: [[f64; 3]; 3] = [
    [0.4124, 0.3576, 0.1805],
    [0.2126, 0.7152, 0.0722],
    [0.0193, 0.1192, 0.9505],
];

/// How a motif stands out from its ground, dE00 between palettes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandsOut {
    /// Place in the route of the waxing that made the motif.
    pub waxing: usize,
    /// At hand's distance.
    pub at_hand: f64,
    /// From two metres.
    pub afar: f64,
}

/// How a motif reads from two metres (own estimates: 4.8 and 9.6 dE are grades 2-3 and 1-2 of ISO 105-A02).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reads {
    /// A motif.
    Clearly,
    /// A shimmer.
    Softly,
    /// Not at all.
    Drowned,
}

impl StandsOut {
    /// In a word.
    pub fn reads(&self) -> Reads {
        match self.afar {
            d if d >= 9.6 => Reads::Clearly,
            d if d >= 4.8 => Reads::Softly,
            _ => Reads::Drowned,
        }
    }
}

/// Looks at a piece from the middle of the bolt after `steps` steps. Empty without a motif or without ground.
pub fn stands_out(bolt: &Bolt, steps: usize) -> Vec<StandsOut> {
    let cloth = bolt.lot.cloth;
    let side = |length: f64| SIDE.min((length * 1000.0) as u32).max(1);
    let core = Rect {
        x0: (0.3 * (cloth.width.0 * 1000.0 - f64::from(SIDE)).max(0.0)) as i32,
        y0: (0.4 * (cloth.length.0 * 1000.0 - f64::from(SIDE)).max(0.0)) as i32,
        nx: side(cloth.width.0),
        ny: side(cloth.length.0),
    };
    let (patch, owner) = owned(bolt, Tile::new(1.0, core), steps);
    let light = Appearance::new(&bolt.design).light(&patch);
    let (width, height) = (core.nx as usize, core.ny as usize);
    let near = seen(&light, &owner, width, height);
    let far = seen(&from_afar(&light, width, AFAR), &owner, width, height);
    let (Some(ground), Some(far_ground)) = (ground(&near), ground(&far)) else {
        return Vec::new();
    };
    near.iter()
        .zip(&far)
        .filter_map(|(near, far)| {
            Some(StandsOut {
                waxing: near.waxing?,
                at_hand: near.palette.distance(&ground.palette, Ground::Ciede2000),
                afar: far.palette.distance(&far_ground.palette, Ground::Ciede2000),
            })
        })
        .collect()
}

fn ground(all: &[Reading]) -> Option<&Reading> {
    all.iter().find(|reading| reading.waxing.is_none())
}

fn seen(light: &[Vec<f32>; 3], owner: &[Option<usize>], width: usize, height: usize) -> Vec<Reading> {
    let [l, a, b] = ToLab::new().colours(light);
    let inside = |at: usize| {
        let (x, y) = (at % width, at / width);
        let rim = RIM.min(width / 3).min(height / 3);
        (rim..width - rim).contains(&x) && (rim..height - rim).contains(&y)
    };
    let all: Vec<(Option<usize>, Lab)> = (0..owner.len())
        .filter(|at| inside(*at))
        .map(|at| {
            let lab = Lab::new(f64::from(l[at]), f64::from(a[at]), f64::from(b[at]));
            (owner[at], lab)
        })
        .collect();
    regions(&all)
}

/// Linear light as an eye at `distance` mm resolves it; samples of 1 mm, rows of `width`.
pub fn from_afar(light: &[Vec<f32>; 3], width: usize, distance: f64) -> [Vec<f32>; 3] {
    let forth = product(&OPPONENT, &TO_XYZ);
    let back = inverted(&forth);
    let n = light[0].len();
    let mut channels: [Vec<f64>; 3] = std::array::from_fn(|c| {
        (0..n)
            .map(|at| (0..3).map(|i| forth[c][i] * f64::from(light[i][at])).sum())
            .collect()
    });
    let degree = distance * 1f64.to_radians().tan();
    for (channel, parts) in channels.iter_mut().zip(FILTER) {
        let whole: f64 = parts.iter().map(|(weight, _)| weight).sum();
        let mut sum = vec![0.0; n];
        for (weight, wide) in parts {
            // Their Gaussians are exp(-(r / w)^2): the standard deviation is w over the root of two.
            let blurred = blurred(channel, width, wide * degree / 2f64.sqrt());
            sum.iter_mut()
                .zip(&blurred)
                .for_each(|(s, b)| *s += weight / whole * b);
        }
        *channel = sum;
    }
    std::array::from_fn(|c| {
        (0..n)
            .map(|at| (0..3).map(|i| back[c][i] * channels[i][at]).sum::<f64>() as f32)
            .collect()
    })
}

/// A Gaussian blur of standard deviation `sigma` samples; at the edges what is not there does not count.
fn blurred(plane: &[f64], width: usize, sigma: f64) -> Vec<f64> {
    let reach = (3.5 * sigma).ceil() as usize;
    let taps: Vec<f64> = (0..=reach)
        .map(|i| (-0.5 * (i as f64 / sigma.max(1e-9)).powi(2)).exp())
        .collect();
    let height = plane.len() / width.max(1);
    let line = |count: usize, read: &dyn Fn(usize) -> f64, write: &mut dyn FnMut(usize, f64)| {
        for at in 0..count {
            let (mut sum, mut weight) = (0.0, 0.0);
            for to in at.saturating_sub(reach)..(at + reach + 1).min(count) {
                let tap = taps[at.abs_diff(to)];
                sum += tap * read(to);
                weight += tap;
            }
            write(at, sum / weight);
        }
    };
    let mut across = vec![0.0; plane.len()];
    for y in 0..height {
        line(width, &|x| plane[y * width + x], &mut |x, v| {
            across[y * width + x] = v
        });
    }
    let mut both = vec![0.0; plane.len()];
    for x in 0..width {
        line(height, &|y| across[y * width + x], &mut |y, v| {
            both[y * width + x] = v
        });
    }
    both
}

fn product(a: &[[f64; 3]; 3], b: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// By cofactors; both matrices that come here are far from singular.
fn inverted(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let minor = |i: usize, j: usize| {
        let (r, c) = ([(i + 1) % 3, (i + 2) % 3], [(j + 1) % 3, (j + 2) % 3]);
        m[r[0]][c[0]] * m[r[1]][c[1]] - m[r[0]][c[1]] * m[r[1]][c[0]]
    };
    let whole: f64 = (0..3).map(|j| m[0][j] * minor(0, j)).sum();
    std::array::from_fn(|i| std::array::from_fn(|j| minor(j, i) / whole))
}

#[cfg(test)]
mod tests {
    use super::{blurred, from_afar, inverted, product};

    /// A flat colour has nothing to blur; a step's blur is the normal distribution function.
    #[test]
    fn flat_light_stays_and_a_step_becomes_its_integral() {
        let flat = [vec![0.2f32; 900], vec![0.5; 900], vec![0.1; 900]];
        for (was, is) in flat.iter().zip(from_afar(&flat, 30, 2000.0)) {
            assert!(was.iter().zip(&is).all(|(a, b)| (a - b).abs() < 1e-6));
        }
        let step: Vec<f64> = (0..101 * 101)
            .map(|at| f64::from(u8::from(at % 101 > 50)))
            .collect();
        let soft = blurred(&step, 101, 4.0);
        // At 4 samples, one standard deviation, past the edge between samples 50 and 51: 0.8413 (table) at 4.5 - 0.5.
        let at = |x: usize| soft[50 * 101 + x];
        assert!(
            (at(54) + at(55) - 2.0 * 0.8413).abs() < 0.012,
            "{} {}",
            at(54),
            at(55)
        );
        assert!((at(50) + at(51) - 1.0).abs() < 1e-9);
    }

    /// Colour blurs wider than light: fine stripes of one lightness go first.
    #[test]
    fn fine_stripes_of_hue_melt_before_stripes_of_light() {
        let stripes = |one: [f32; 3], other: [f32; 3]| -> [Vec<f32>; 3] {
            std::array::from_fn(|c| {
                (0..120 * 120)
                    .map(|at| if (at % 120) / 3 % 2 == 0 { one[c] } else { other[c] })
                    .collect()
            })
        };
        let left = |light: &[Vec<f32>; 3], c: usize| {
            let far = from_afar(light, 120, 2000.0);
            let range = |v: &[f32]| {
                let row = &v[60 * 120 + 40..60 * 120 + 80];
                row.iter().fold(f32::MIN, |a, b| a.max(*b)) - row.iter().fold(f32::MAX, |a, b| a.min(*b))
            };
            range(&far[c]) / range(&light[c])
        };
        let light = left(&stripes([0.2; 3], [0.5; 3]), 1);
        // Equal luminance: 0.2126 R + 0.7152 G.
        let hue = left(&stripes([0.5, 0.2, 0.2], [0.2, 0.2892, 0.2]), 0);
        assert!(light > 1.4 * hue, "{light} {hue}");
    }

    #[test]
    fn an_inverse_is_one() {
        let m = [[2.0, 1.0, 0.5], [0.1, 3.0, 0.2], [0.4, 0.3, 1.5]];
        let one = product(&m, &inverted(&m));
        for (i, row) in one.iter().enumerate() {
            for (j, v) in row.iter().enumerate() {
                assert!((v - f64::from(u8::from(i == j))).abs() < 1e-12);
            }
        }
    }
}
