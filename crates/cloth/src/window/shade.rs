//! What a region of the cloth looks like, pooled over places: its mean colour and how widely it varies. Hand-dyed
//! cloth has no single colour, so a shade is a distribution, and two shades are as far apart as their distributions.

use colour::{Lab, de2000};
use field::{cbrt, lanes};

/// Colours of a region: mean and standard deviation in CIELAB (D65, 10 degrees), over samples of cloth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shade {
    /// Mean.
    pub mean: Lab,
    /// Standard deviations of L*, a*, b*: the mottle.
    pub spread: [f64; 3],
}

/// Numbers that describe a [`Shade`] on a response surface.
pub(crate) const SHADE: usize = 6;

impl Shade {
    /// Of colours with weights: shares of area, or counts. `None` if nothing has a weight.
    pub fn of(colours: impl IntoIterator<Item = (Lab, f64)>) -> Option<Self> {
        let mut sums = Sums::default();
        for (colour, weight) in colours {
            sums.n += weight;
            for (i, v) in [colour.l, colour.a, colour.b].into_iter().enumerate() {
                sums.sum[i] += weight * v;
                sums.square[i] += weight * v * v;
            }
        }
        sums.shade()
    }

    pub(crate) fn to_array(self) -> [f64; SHADE] {
        let [l, a, b] = self.spread;
        [self.mean.l, self.mean.a, self.mean.b, l, a, b]
    }

    pub(crate) fn from_slice(v: &[f64]) -> Self {
        let at = |i: usize| v.get(i).copied().unwrap_or(f64::NAN);
        Self {
            mean: Lab::new(at(0), at(1), at(2)),
            spread: [at(3), at(4), at(5)].map(|s: f64| s.max(0.0)),
        }
    }

    /// How far two shades are apart, dE00. Means by CIEDE2000; the difference of the spreads joins in quadrature, as in
    /// the distance of two normal distributions (Dowson and Landau, J. Multivariate Anal. 12 (1982) 450-455, from
    /// memory), weighed down with chroma as CIEDE2000 weighs chroma (1 + 0.045 C). On finished cloth it is within 1 dE00
    /// of the earth mover's distance of large palettes (a test shows it), and it is smooth, as a surface must be.
    pub fn distance(self, other: Self) -> f64 {
        let chroma = f64::midpoint(self.mean.chroma(), other.mean.chroma());
        let weights = [1.0, 1.0 + 0.045 * chroma, 1.0 + 0.045 * chroma];
        let spread: f64 = (0..3)
            .map(|i| ((self.spread[i] - other.spread[i]) / weights[i]).powi(2))
            .sum();
        (de2000(self.mean, other.mean).powi(2) + spread).sqrt()
    }
}

/// Sums over samples of one region; they add up over places.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Sums {
    pub n: f64,
    sum: [f64; 3],
    square: [f64; 3],
}

impl Sums {
    pub fn add(&mut self, other: &Self) {
        self.n += other.n;
        for i in 0..3 {
            self.sum[i] += other.sum[i];
            self.square[i] += other.square[i];
        }
    }

    /// The shade; `None` without samples.
    pub fn shade(&self) -> Option<Shade> {
        if self.n <= 0.0 {
            return None;
        }
        let mean = self.sum.map(|s| s / self.n);
        let spread = [0, 1, 2].map(|i| (self.square[i] / self.n - mean[i] * mean[i]).max(0.0).sqrt());
        Some(Shade {
            mean: Lab::new(mean[0], mean[1], mean[2]),
            spread,
        })
    }
}

/// Takes linear screen light back to CIELAB.
pub(crate) struct ToLab {
    /// Linear sRGB to XYZ over the white.
    matrix: [[f32; 3]; 3],
}

impl ToLab {
    pub fn new() -> Self {
        let white = colour::Viewing::DAYLIGHT.white();
        let to_rgb = colour::screen::to_linear(white);
        let inverse = inverted(&to_rgb);
        let over = white.to_array();
        Self {
            matrix: std::array::from_fn(|i| std::array::from_fn(|j| (inverse[i][j] / over[i]) as f32)),
        }
    }

    /// L*, a*, b* of every sample.
    pub fn colours(&self, light: &[Vec<f32>; 3]) -> [Vec<f32>; 3] {
        let mut lab = [0, 1, 2].map(|c: usize| light[c].clone());
        let [l, a, b] = &mut lab;
        lab_row(&self.matrix, l, a, b);
        lab
    }

    /// Sums over the samples of ground and motif. All slices have one length.
    pub fn sums(&self, light: &[Vec<f32>; 3], motif: &[bool]) -> [Sums; 2] {
        let lab = self.colours(light);
        let mut out = [Sums::default(); 2];
        for (i, inside) in motif.iter().enumerate() {
            let to = &mut out[usize::from(*inside)];
            to.n += 1.0;
            for (c, plane) in lab.iter().enumerate() {
                let v = f64::from(plane[i]);
                to.sum[c] += v;
                to.square[c] += v * v;
            }
        }
        out
    }
}

/// CIE 15:2004, 8.2.1, for one ratio of XYZ to white.
#[inline(always)]
fn bend(t: f32) -> f32 {
    let straight = t * (841.0 / 108.0) + 16.0 / 116.0;
    let root = cbrt(t);
    if t > 0.008_856_452 { root } else { straight }
}

lanes! {
    fn lab_row(m: &[[f32; 3]; 3], r: &mut [f32], g: &mut [f32], b: &mut [f32]) {
        let n = r.len().min(g.len()).min(b.len());
        let (r, g, b) = (&mut r[..n], &mut g[..n], &mut b[..n]);
        for i in 0..n {
            let x = bend(m[0][0] * r[i] + m[0][1] * g[i] + m[0][2] * b[i]);
            let y = bend(m[1][0] * r[i] + m[1][1] * g[i] + m[1][2] * b[i]);
            let z = bend(m[2][0] * r[i] + m[2][1] * g[i] + m[2][2] * b[i]);
            r[i] = 116.0 * y - 16.0;
            g[i] = 500.0 * (x - y);
            b[i] = 200.0 * (y - z);
        }
    }
}

/// The inverse of a 3 x 3 matrix, by cofactors.
fn inverted(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let cofactor = |i: usize, j: usize| {
        let (a, b) = ((i + 1) % 3, (i + 2) % 3);
        let (c, d) = ((j + 1) % 3, (j + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let determinant: f64 = (0..3).map(|j| m[0][j] * cofactor(0, j)).sum();
    std::array::from_fn(|i| std::array::from_fn(|j| cofactor(j, i) / determinant))
}

#[cfg(test)]
mod tests {
    use super::{Shade, ToLab};
    use colour::{Lab, Viewing, lab, xyz};

    /// Light of a grey and of a coloured reflectance, through the screen and back, is its CIELAB under D65/10.
    #[test]
    fn screen_light_goes_back_to_the_numbers_of_the_cloth() {
        let tables = colour::BandTables::new();
        let reflectance: colour::Spectrum =
            std::array::from_fn(|band| 0.15 + 0.6 * (band as f64 / 30.0).powi(2));
        let rgb = [0, 1, 2].map(|c: usize| {
            let sum: f32 = (0..31).map(|b| tables.to_rgb[c][b] * reflectance[b] as f32).sum();
            vec![sum; 5]
        });
        let [ground, motif] = ToLab::new().sums(&rgb, &[false, false, false, true, true]);
        let wanted = lab(xyz(&reflectance, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
        for sums in [ground, motif] {
            let got = sums.shade().expect("samples");
            assert!(colour::de76(got.mean, wanted) < 1e-3, "{got:?} {wanted:?}");
            assert!(got.spread.iter().all(|s| *s < 0.05));
        }
    }

    #[test]
    fn mottle_counts_in_the_distance() {
        let plain = Shade {
            mean: Lab::new(60.0, 0.0, 0.0),
            spread: [0.0; 3],
        };
        let mottled = Shade {
            spread: [4.0, 0.0, 0.0],
            ..plain
        };
        assert_eq!(plain.distance(plain), 0.0);
        // Two normal distributions of one mean differ by the difference of their deviations.
        assert!((plain.distance(mottled) - 4.0).abs() < 1e-12);
    }
}
