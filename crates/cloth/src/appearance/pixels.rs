//! The light of pixels that are means over squares of samples, without making light of every sample.
//!
//! Where dye changes evenly over a pixel, four samples that stand for its rows and columns alike have the mean light of all
//! sixteen: places 1, 3, 0 and 2 of the first to the fourth row have the same mean, variances and covariance as the whole
//! square, so what is left is of the third order. Where an edge of wax goes through a pixel they have not. Which pixels
//! those are is found from K/S itself: sixteen samples are asked wherever four are not as deep as they are.

use super::Dyed;
use field::reflect;

/// Samples along a pixel.
pub const SIDE: usize = 4;
const ALL: usize = SIDE * SIDE;
/// Which sample of each row is one of the four.
const FEW: [usize; SIDE] = [1, 3, 0, 2];
/// How much less or more deep four samples may be than sixteen, of the depth. One part in a hundred of K/S is 0.1 to 0.2
/// dE00.
const OFF: f32 = 0.01;
/// Bands at which depth is asked, evenly over those there are.
const ASKED: usize = 3;

/// Linear sRGB of pixels, three planes; `darken` lies on the samples of the core.
pub fn pixels<const N: usize>(dyed: &Dyed<N>, darken: Option<&[f32]>) -> [Vec<f32>; 3] {
    let (nx, ny) = (dyed.core.nx as usize, dyed.core.ny as usize);
    let (across, down) = (nx / SIDE, ny / SIDE);
    let mut dyes = dyed.rows();
    let planes = dyes.len();
    let mut amounts = vec![vec![0.0f32; SIDE * nx]; planes];
    let mut depth = vec![0.0f32; SIDE * nx];
    let mut rough = vec![false; across];
    let mut there: Vec<usize> = Vec::with_capacity(across);
    let room = (SIDE + ALL) * across;
    let mut taken = vec![vec![0.0f32; room]; planes];
    let mut darkened = vec![0.0f32; if darken.is_some() { room } else { 0 }];
    let mut light = [vec![0.0f32; room], vec![0.0f32; room], vec![0.0f32; room]];
    let mut out = [(); 3].map(|()| Vec::with_capacity(across * down));
    for row in 0..down {
        let part = row * SIDE * nx..(row + 1) * SIDE * nx;
        for (amounts, dye) in amounts.iter_mut().zip(&mut dyes) {
            dye.sum(row * SIDE, amounts);
        }
        let darken = darken.map(|darken| &darken[part]);
        rough.fill(false);
        for asked in 0..ASKED {
            let band = (2 * asked + 1) * N / (2 * ASKED);
            depth.fill(dyed.bands.substrate[band]);
            for (amounts, unit) in amounts.iter().zip(dyed.bands.unit) {
                deepen(unit[band], amounts, &mut depth);
            }
            if let Some(darken) = darken {
                times(darken, &mut depth);
            }
            judge(&depth, nx, &mut rough);
        }
        there.clear();
        there.extend((0..across).filter(|at| rough[*at]));
        let n = SIDE * across + ALL * there.len();
        for (amounts, taken) in amounts.iter().zip(&mut taken) {
            take(amounts, nx, &there, taken);
        }
        if let Some(darken) = darken {
            take(darken, nx, &there, &mut darkened);
        }
        let slices: Vec<&[f32]> = taken.iter().map(|taken| &taken[..n]).collect();
        reflect(
            &slices,
            None,
            darken.is_some().then(|| &darkened[..n]),
            &dyed.bands,
            light.each_mut().map(|light| &mut light[..n]),
        );
        for (out, light) in out.iter_mut().zip(&light) {
            mean(&light[..n], across, &there, out);
        }
    }
    out
}

/// Four samples of every pixel, row by row, then all sixteen of those pixels that need them.
fn take(from: &[f32], nx: usize, there: &[usize], to: &mut [f32]) {
    let across = nx / SIDE;
    let (few, all) = to.split_at_mut(SIDE * across);
    for ((row, first), to) in from.chunks_exact(nx).zip(FEW).zip(few.chunks_exact_mut(across)) {
        pick(&row[first..], to);
    }
    for (at, to) in there.iter().zip(all.chunks_exact_mut(ALL)) {
        for (row, to) in from.chunks_exact(nx).zip(to.chunks_exact_mut(SIDE)) {
            to.copy_from_slice(&row[at * SIDE..(at + 1) * SIDE]);
        }
    }
}

/// Appends the mean light of every pixel.
fn mean(light: &[f32], across: usize, there: &[usize], out: &mut Vec<f32>) {
    let (few, all) = light.split_at(SIDE * across);
    let start = out.len();
    out.resize(start + across, 0.0);
    let out = &mut out[start..];
    mean_of_four(few, out);
    for (at, all) in there.iter().zip(all.chunks_exact(ALL)) {
        out[*at] = all.iter().sum::<f32>() * (1.0 / ALL as f32);
    }
}

field::lanes! {
    fn deepen(unit: f32, amounts: &[f32], depth: &mut [f32]) {
        for (k, amount) in depth.iter_mut().zip(amounts) {
            *k += unit * *amount;
        }
    }

    fn times(by: &[f32], depth: &mut [f32]) {
        for (k, by) in depth.iter_mut().zip(by) {
            *k *= *by;
        }
    }

    /// Marks pixels of four rows of samples where four samples do not tell sixteen.
    fn judge(depth: &[f32], nx: usize, rough: &mut [bool]) {
        /// Four samples count three times against them, so that the sum is nothing where the means are one.
        const COUNT: [[f32; SIDE]; SIDE] = {
            let mut count = [[1.0; SIDE]; SIDE];
            let mut row = 0;
            while row < SIDE {
                count[row][FEW[row]] = -3.0;
                row += 1;
            }
            count
        };
        let (a, rest) = depth.split_at(nx);
        let (b, rest) = rest.split_at(nx);
        let (c, d) = rest.split_at(nx);
        let fours = |row| <[f32]>::as_chunks::<SIDE>(row).0.iter();
        for ((((a, b), c), d), rough) in fours(a).zip(fours(b)).zip(fours(c)).zip(fours(d)).zip(rough) {
            let (mut off, mut all) = ([0.0f32; SIDE], [0.0f32; SIDE]);
            for i in 0..SIDE {
                off[i] = (COUNT[0][i] * a[i] + COUNT[1][i] * b[i]) + (COUNT[2][i] * c[i] + COUNT[3][i] * d[i]);
                all[i] = (a[i] + b[i]) + (c[i] + d[i]);
            }
            let off = (off[0] + off[1]) + (off[2] + off[3]);
            let all = (all[0] + all[1]) + (all[2] + all[3]);
            *rough |= off.abs() > OFF * all;
        }
    }

    /// Every fourth sample.
    fn pick(from: &[f32], to: &mut [f32]) {
        for (i, to) in to.iter_mut().enumerate() {
            *to = from[i * SIDE];
        }
    }

    fn mean_of_four(few: &[f32], out: &mut [f32]) {
        let n = out.len();
        let [a, b, c, d] = [0, 1, 2, 3].map(|row| &few[row * n..(row + 1) * n]);
        for i in 0..n {
            out[i] = ((a[i] + b[i]) + (c[i] + d[i])) * 0.25;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{FEW, SIDE, judge};

    /// The four have the mean, the variances and the covariance of the sixteen, and no third moment.
    #[test]
    fn four_stand_for_sixteen() {
        let few: Vec<(f64, f64)> = FEW
            .iter()
            .enumerate()
            .map(|(y, x)| (*x as f64 - 1.5, y as f64 - 1.5))
            .collect();
        let all: Vec<(f64, f64)> = (0..16)
            .map(|n| (f64::from(n % 4) - 1.5, f64::from(n / 4) - 1.5))
            .collect();
        for (p, q) in [
            (0, 1),
            (1, 0),
            (1, 1),
            (0, 2),
            (2, 0),
            (0, 3),
            (3, 0),
            (1, 2),
            (2, 1),
        ] {
            let moment = |of: &[(f64, f64)]| {
                of.iter().map(|(x, y)| x.powi(p) * y.powi(q)).sum::<f64>() / of.len() as f64
            };
            assert!((moment(&few) - moment(&all)).abs() < 1e-12, "{p} {q}");
        }
    }

    /// A slope is even, an edge anywhere in a pixel is not: unless as many of the four as of the sixteen lie beyond it.
    #[test]
    fn an_edge_is_found() {
        let slope: Vec<f32> = (0..64)
            .map(|i| 1.0 + 0.1 * (i % 16) as f32 + 0.2 * (i / 16) as f32)
            .collect();
        let mut rough = [false; 4];
        judge(&slope, 16, &mut rough);
        assert_eq!(rough, [false; 4]);
        for beyond in 1..16usize {
            // Row by row: the first `beyond` samples of a pixel are bare.
            let mut pixel = [3.0f32; 16];
            pixel[..beyond].fill(0.02);
            let of_four = (0..SIDE).filter(|row| row * SIDE + FEW[*row] < beyond).count();
            let mut rough = [false];
            judge(&pixel, 4, &mut rough);
            assert_eq!(rough[0], of_four * 4 != beyond, "{beyond} bare samples");
        }
    }
}
