//! Fewer bands for pictures: those of the 31 that tell most of what the dyes of one design can show, with weights fitted
//! to it.
//!
//! Numbers (palettes, recipes, windows) always take all bands. A picture may take these: half of the roots and
//! divisions are spared, and how far the worst of [`HELD`] mixtures is off is known before the first pixel.

use crate::bands::BandTables;
use crate::difference::de2000;
use crate::kubelka_munk::{reflectance, saturated};
use crate::screen::to_linear;
use crate::spaces::{Xyz, lab};
use crate::spectrum::BANDS;
use crate::viewing::{Illuminant, Observer, Viewing};

/// Bands of a picture.
pub const FEW: usize = 16;
/// Mixtures that the weights are fitted to, and others that they are held against.
const FITTED: usize = 1500;
const HELD: usize = 10_000;
/// Fits one after the other; each minds more what the one before had furthest off.
const ROUNDS: usize = 4;
/// Pull towards the weights of straight lines between bands, so that a design of one dye has an answer as well.
const PULL: f64 = 1e-2;
/// What the worst mixture may be off, dE00, for a picture to take fewer bands: below the 0.2 that is asked, since other
/// mixtures may hold a worse one.
const BOUND: f64 = 0.15;
/// K/S of one dye in a mixture at most: deeper than K_max leaves anything to see.
const DEEPEST: f64 = 40.0;
/// K/S of wet waxed cloth over dry bare cloth, at most.
const DARKEST: f64 = 2.6;
/// How often each dye is in a mixture.
const THERE: f64 = 0.6;

/// What [`BandTables`] holds, for fewer bands.
#[derive(Clone, Debug, PartialEq)]
pub struct FewBands {
    /// Which of the 31 they are, in order.
    pub chosen: [usize; FEW],
    /// K/S of the undyed cloth.
    pub substrate: [f32; FEW],
    /// K/S per g of dye per kg of cloth, one row a dye.
    pub unit: Vec<[f32; FEW]>,
    /// K_max of this set of dyes.
    pub k_max: f32,
    /// Reflectance to linear sRGB.
    pub to_rgb: [[f32; FEW]; 3],
    /// Colour difference CIEDE2000 between both sets of bands, the worst of 10,000 random mixtures that the weights
    /// were not fitted to.
    pub worst: f64,
}

impl FewBands {
    /// For the cloth and dyes of `tables`, which are those under `illuminant`: every other band, or where that is not
    /// good (a lamp with lines in its light), those that are missed most.
    pub fn of(tables: &BandTables, illuminant: Illuminant) -> Self {
        let viewing = Viewing {
            illuminant,
            observer: Observer::TenDegrees,
        };
        let fitted = fitted_to(tables, viewing.white().to_array());
        let even = Self::with(std::array::from_fn(|n| 2 * n), tables, viewing, &fitted);
        if even.good() {
            return even;
        }
        let missed = Self::with(choose(&fitted.0, &fitted.1), tables, viewing, &fitted);
        if missed.worst < even.worst { missed } else { even }
    }

    /// With these bands.
    fn with(
        chosen: [usize; FEW],
        tables: &BandTables,
        viewing: Viewing,
        (spectra, all): &(Vec<Reflectance>, Vec<[f64; 3]>),
    ) -> Self {
        let few: Vec<[f64; FEW]> = spectra.iter().map(|spectrum| of(spectrum, &chosen)).collect();
        let weights = fit(&few, all, viewing.white().to_array(), tables, &chosen);
        let matrix = to_linear(viewing.white());
        let rgb = |channel: usize, band: usize| -> f64 {
            (0..3)
                .map(|axis| matrix[channel][axis] * weights[axis][band])
                .sum()
        };
        Self {
            chosen,
            substrate: of(&tables.substrate, &chosen),
            unit: tables.unit.iter().map(|unit| of(unit, &chosen)).collect(),
            k_max: tables.k_max,
            to_rgb: std::array::from_fn(|channel| std::array::from_fn(|band| rgb(channel, band) as f32)),
            worst: worst(tables, &weights, viewing.white(), &chosen),
        }
    }

    /// Nobody can tell a picture made of these bands from one made of all: no mixture is off by 0.2 dE00.
    pub fn good(&self) -> bool {
        self.worst < BOUND
    }
}

type Reflectance = [f64; BANDS];

fn of<T: Copy>(all: &[T; BANDS], chosen: &[usize; FEW]) -> [T; FEW] {
    chosen.map(|band| all[band])
}

/// XYZ of a reflectance by all bands.
fn by_all(tables: &BandTables, reflectance: &[f64; BANDS]) -> [f64; 3] {
    std::array::from_fn(|axis| {
        let bands = tables.to_xyz[axis].iter().zip(reflectance);
        bands.map(|(weight, r)| f64::from(*weight) * r).sum()
    })
}

/// XYZ of a reflectance in few bands.
fn by_few(weights: &[[f64; FEW]; 3], reflectance: &[f64; FEW]) -> [f64; 3] {
    weights.map(|axis| axis.iter().zip(reflectance).map(|(weight, r)| weight * r).sum())
}

/// Numbers in [0, 1), the same everywhere (splitmix64; S. Vigna, public domain, from memory).
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Reflectance of cloth with some of the dyes at any depth, dry or wet.
    fn mixture(&mut self, tables: &BandTables) -> [f64; BANDS] {
        let mut k = [0.0f64; BANDS];
        for unit in &tables.unit {
            let (there, depth) = (self.next() < THERE, self.next());
            let most = f64::from(unit.iter().fold(0.0f32, |a, b| a.max(*b)));
            if there && most > 0.0 {
                // Cubed: light and middle shades are most of what there is.
                let amount = DEEPEST * depth * depth * depth / most;
                k.iter_mut()
                    .zip(unit)
                    .for_each(|(k, unit)| *k += amount * f64::from(*unit));
            }
        }
        let (dry, wet) = (self.next() < 0.5, self.next());
        let darken = if dry { 1.0 } else { 1.0 + (DARKEST - 1.0) * wet };
        std::array::from_fn(|band| {
            let k = saturated(k[band], f64::from(tables.k_max)) + f64::from(tables.substrate[band]);
            reflectance(k * darken)
        })
    }
}

/// Reflectances and XYZ over white: mixtures, and white cloth so often that it stays white.
fn fitted_to(tables: &BandTables, white: [f64; 3]) -> (Vec<Reflectance>, Vec<[f64; 3]>) {
    let mut draws = Draws(1);
    let bare: [f64; BANDS] = std::array::from_fn(|band| reflectance(f64::from(tables.substrate[band])));
    (0..FITTED)
        .map(|n| if n % 50 == 0 { bare } else { draws.mixture(tables) })
        .map(|all| {
            let xyz = by_all(tables, &all);
            (all, std::array::from_fn(|axis| xyz[axis] / white[axis]))
        })
        .unzip()
}

/// The cube root of CIELAB, by arithmetic that is the same on every machine.
fn bent(v: f64) -> f64 {
    f64::from(field::cbrt(v.max(0.008) as f32))
}

/// How much of a band's own a fit must miss before it is minded, so that bands that say the same can be told apart.
const RIDGE: f64 = 1e-7;
/// How X, Y and Z over white count in CIELAB, squared: 500 for a*, 116, 500 and 200 for L*, a* and b*, 200 for b*.
const COUNT: [f64; 3] = [
    500.0 * 500.0,
    116.0 * 116.0 + 500.0 * 500.0 + 200.0 * 200.0,
    200.0 * 200.0,
];

/// The bands that are missed most: from all of them, the one whose loss a fit of the others makes up for best is left out,
/// again and again.
fn choose(spectra: &[Reflectance], all: &[[f64; 3]]) -> [usize; FEW] {
    // Per axis: the inverse of the normal equations, and the weights.
    let mut fits: [([[f64; BANDS]; BANDS], [f64; BANDS]); 3] = std::array::from_fn(|axis| {
        let mut square = [[0.0; BANDS]; BANDS];
        let mut right = [0.0; BANDS];
        for (bands, xyz) in spectra.iter().zip(all) {
            let root = bent(xyz[axis]);
            let weight = 1.0 / (root * root);
            let weight = weight * weight;
            for a in 0..BANDS {
                let own = weight * bands[a];
                right[a] += own * xyz[axis];
                for b in 0..BANDS {
                    square[a][b] += own * bands[b];
                }
            }
        }
        let ridge = RIDGE * (0..BANDS).map(|b| square[b][b]).sum::<f64>() / BANDS as f64;
        (0..BANDS).for_each(|b| square[b][b] += ridge);
        let inverse = inverse(square);
        let weights = std::array::from_fn(|a| (0..BANDS).map(|b| inverse[a][b] * right[b]).sum());
        (inverse, weights)
    });
    let mut left: Vec<usize> = (0..BANDS).collect();
    while left.len() > FEW {
        let loss = |band: usize| -> f64 {
            let of = |((inverse, weights), count): (&([[f64; BANDS]; BANDS], [f64; BANDS]), f64)| {
                count * weights[band] * weights[band] / inverse[band][band]
            };
            fits.iter().zip(COUNT).map(of).sum()
        };
        let least = (0..left.len())
            .min_by(|a, b| loss(left[*a]).total_cmp(&loss(left[*b])))
            .unwrap_or(0);
        let gone = left.remove(least);
        for (inverse, weights) in &mut fits {
            let per = 1.0 / inverse[gone][gone];
            let column: [f64; BANDS] = std::array::from_fn(|b| inverse[b][gone]);
            let own = weights[gone];
            for &a in &left {
                weights[a] -= column[a] * per * own;
                for &b in &left {
                    inverse[a][b] -= column[a] * per * column[b];
                }
            }
        }
    }
    std::array::from_fn(|n| left[n])
}

/// The inverse of a positive definite matrix (Gauss and Jordan).
fn inverse(mut square: [[f64; BANDS]; BANDS]) -> [[f64; BANDS]; BANDS] {
    let mut inverse: [[f64; BANDS]; BANDS] =
        std::array::from_fn(|a| std::array::from_fn(|b| f64::from(u8::from(a == b))));
    for pivot in 0..BANDS {
        let per = 1.0 / square[pivot][pivot].max(1e-300);
        for b in 0..BANDS {
            square[pivot][b] *= per;
            inverse[pivot][b] *= per;
        }
        for a in (0..BANDS).filter(|a| *a != pivot) {
            let factor = square[a][pivot];
            for b in 0..BANDS {
                square[a][b] -= factor * square[pivot][b];
                inverse[a][b] -= factor * inverse[pivot][b];
            }
        }
    }
    inverse
}

/// Weights to X, Y and Z: least squares of what differs in CIELAB, in rounds.
fn fit(
    few: &[[f64; FEW]],
    all: &[[f64; 3]],
    white: [f64; 3],
    tables: &BandTables,
    chosen: &[usize; FEW],
) -> [[f64; FEW]; 3] {
    let straight: [[f64; FEW]; 3] = std::array::from_fn(|axis| {
        let mut weights = [0.0; FEW];
        for band in 0..BANDS {
            let own = f64::from(tables.to_xyz[axis][band]) / white[axis];
            let right = chosen.partition_point(|c| *c < band);
            if right == 0 || right == FEW {
                weights[right.min(FEW - 1)] += own;
                continue;
            }
            let (from, to) = (chosen[right - 1], chosen[right]);
            let share = (band - from) as f64 / (to - from) as f64;
            weights[right - 1] += own * (1.0 - share);
            weights[right] += own * share;
        }
        weights
    });
    let mut minds = vec![1.0f64; few.len()];
    let mut weights = straight;
    for _ in 0..ROUNDS {
        weights = std::array::from_fn(|axis| {
            let pull = PULL * PULL * few.len() as f64;
            let mut square = [[0.0; FEW]; FEW];
            let mut right: [f64; FEW] = std::array::from_fn(|b| pull * straight[axis][b]);
            for ((bands, xyz), mind) in few.iter().zip(all).zip(&minds) {
                let root = bent(xyz[axis]);
                let weight = mind / (root * root);
                let weight = weight * weight;
                for a in 0..FEW {
                    let own = weight * bands[a];
                    right[a] += own * xyz[axis];
                    for b in 0..=a {
                        square[a][b] += own * bands[b];
                    }
                }
            }
            (0..FEW).for_each(|b| square[b][b] += pull);
            solve(square, right)
        });
        let off: Vec<f64> = few
            .iter()
            .zip(all)
            .map(|(bands, xyz)| {
                let found = by_few(&weights, bands);
                let [x, y, z] = std::array::from_fn(|axis| bent(xyz[axis]) - bent(found[axis]));
                let (l, a, b) = (116.0 * y, 500.0 * (x - y), 200.0 * (y - z));
                (l * l + a * a + b * b).sqrt()
            })
            .collect();
        let mean = off.iter().sum::<f64>() / off.len() as f64 + 1e-12;
        for (mind, off) in minds.iter_mut().zip(&off) {
            *mind *= (0.3 + off / mean).sqrt();
        }
        let size = (minds.iter().map(|m| m * m).sum::<f64>() / minds.len() as f64).sqrt();
        minds.iter_mut().for_each(|mind| *mind /= size);
    }
    std::array::from_fn(|axis| weights[axis].map(|weight| weight * white[axis]))
}

/// Solves a positive definite system, of which the lower half is given (Cholesky).
fn solve(mut l: [[f64; FEW]; FEW], mut x: [f64; FEW]) -> [f64; FEW] {
    for j in 0..FEW {
        for i in j..FEW {
            let known: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            let left = l[i][j] - known;
            l[i][j] = if i == j {
                left.max(1e-300).sqrt()
            } else {
                left / l[j][j]
            };
        }
    }
    for i in 0..FEW {
        let known: f64 = (0..i).map(|k| l[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / l[i][i];
    }
    for i in (0..FEW).rev() {
        let known: f64 = (i + 1..FEW).map(|k| l[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / l[i][i];
    }
    x
}

fn worst(tables: &BandTables, weights: &[[f64; FEW]; 3], white: Xyz, chosen: &[usize; FEW]) -> f64 {
    let mut draws = Draws(2);
    let seen = |xyz: [f64; 3]| lab(Xyz::from_array(xyz), white);
    (0..HELD)
        .map(|_| {
            let all = draws.mixture(tables);
            let few = of(&all, chosen);
            de2000(seen(by_all(tables, &all)), seen(by_few(weights, &few)))
        })
        .fold(0.0, f64::max)
}
