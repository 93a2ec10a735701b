//! From amounts of dye to light: the arithmetic of a tile, without any colour science of its own.

/// What turns amounts into light, band by band. `N` is the number of bands, 31 for 400-700 nm at 10 nm.
#[derive(Clone, Copy, Debug)]
pub struct Bands<'a, const N: usize = 31> {
    /// K/S of each dye per unit of its amount.
    pub unit: &'a [[f32; N]],
    /// The K/S that the sum over dyes saturates at; infinity for none. Positive.
    pub k_max: f32,
    /// K/S of the undyed cloth.
    pub substrate: [f32; N],
    /// Weights that take reflectances to linear red, green and blue.
    pub to_rgb: [[f32; N]; 3],
}

/// The most dyes [`reflect`] takes.
pub const MOST_DYES: usize = 8;

/// A K_max that nothing comes near; a power of two, so that dividing by it rounds nothing.
const NO_MAX: f32 = (1u64 << 60) as f32;

/// Samples worked on at a time: all that is known of them stays in the first cache. Fewer would be unrolled whole, and
/// then the registers run out.
const BLOCK: usize = 256;

/// Bands whose divisions are one: 1/a and 1/b are b/(ab) and a/(ab). More would cost more products than they spare.
const TOGETHER: usize = 2;

/// Values of a block, on a cache line: a vector load across two lines costs twice.
#[derive(Clone, Copy)]
#[repr(align(64))]
struct Lanes([f32; BLOCK]);

impl Lanes {
    const ZERO: Lanes = Lanes([0.0; BLOCK]);
}

/// Linear red, green and blue of samples that hold `planes` of dye.
///
/// Per band: K = sum of amount x `texture` x unit; q = (substrate + K/(1 + K/k_max)) times
/// `darken`; R = 1 + q - sqrt(q^2 + 2q) (Kubelka and Munk 1931, opaque layer), written as
/// D/(D + N + sqrt(N (N + 2D))) with q = N/D, which cancels nothing. A negative amount
/// counts as 0. All slices have the same length.
///
/// # Panics
/// If the lengths differ, or there are more than [`MOST_DYES`] planes, or not one spectrum a plane.
pub fn reflect<const N: usize>(
    planes: &[&[f32]],
    texture: Option<&[f32]>,
    darken: Option<&[f32]>,
    bands: &Bands<'_, N>,
    out_linear_rgb: [&mut [f32]; 3],
) {
    let n = out_linear_rgb[0].len();
    assert!(
        planes.len() <= MOST_DYES && planes.len() == bands.unit.len(),
        "one spectrum a plane"
    );
    let same = |s: Option<&[f32]>| s.is_none_or(|s| s.len() == n);
    assert!(
        planes.iter().all(|p| p.len() == n) && same(texture) && same(darken),
        "one length"
    );
    assert!(out_linear_rgb.iter().all(|o| o.len() == n), "one length");
    let job = Job {
        planes,
        texture,
        darken,
        bands,
    };
    match planes.len() {
        0 => job.run::<0>(out_linear_rgb),
        1 => job.run::<1>(out_linear_rgb),
        2 => job.run::<2>(out_linear_rgb),
        3 => job.run::<3>(out_linear_rgb),
        4 => job.run::<4>(out_linear_rgb),
        5 => job.run::<5>(out_linear_rgb),
        6 => job.run::<6>(out_linear_rgb),
        7 => job.run::<7>(out_linear_rgb),
        _ => job.run::<8>(out_linear_rgb),
    }
}

struct Job<'a, const N: usize> {
    planes: &'a [&'a [f32]],
    texture: Option<&'a [f32]>,
    darken: Option<&'a [f32]>,
    bands: &'a Bands<'a, N>,
}

/// What a band takes: its K/S per amount, the cloth's, and what it gives to red, green and blue.
struct Band<const D: usize> {
    unit: [f32; D],
    cloth: f32,
    /// N = cloth x D + K = cloth + K/K_max x `above`.
    above: f32,
    rgb: [f32; 3],
}

impl<const N: usize> Job<'_, N> {
    fn run<const D: usize>(&self, out: [&mut [f32]; 3]) {
        let [red, green, blue] = out;
        // K/K_max is what is summed; a K_max of infinity has to leave something of it, to the last digit.
        let k_max = self.bands.k_max.min(NO_MAX);
        let bands: [Band<D>; N] = std::array::from_fn(|band| {
            let cloth = self.bands.substrate[band];
            Band {
                unit: std::array::from_fn(|d| self.bands.unit[d][band] / k_max),
                cloth,
                above: k_max + cloth,
                rgb: std::array::from_fn(|c| self.bands.to_rgb[c][band]),
            }
        });
        crate::dispatch(
            #[inline(always)]
            || {
                let mut desk = Desk {
                    n: 0,
                    amounts: [Lanes::ZERO; D],
                    darken: Lanes::ZERO,
                    halves: [const {
                        Parts {
                            above: Lanes::ZERO,
                            below: Lanes::ZERO,
                        }
                    }; TOGETHER],
                    rgb: [Lanes::ZERO; 3],
                };
                for start in (0..red.len()).step_by(BLOCK) {
                    let n = BLOCK.min(red.len() - start);
                    self.lay(start, n, &mut desk);
                    desk.n = n;
                    if self.darken.is_some() {
                        block(
                            &mut desk,
                            #[inline(always)]
                            |a, dark| a * dark,
                            &bands,
                        );
                    } else {
                        block(
                            &mut desk,
                            #[inline(always)]
                            |a, _| a,
                            &bands,
                        );
                    }
                    red[start..start + n].copy_from_slice(&desk.rgb[0].0[..n]);
                    green[start..start + n].copy_from_slice(&desk.rgb[1].0[..n]);
                    blue[start..start + n].copy_from_slice(&desk.rgb[2].0[..n]);
                }
            },
        );
    }

    /// Amounts of a block under its texture.
    #[inline(always)]
    fn lay<const D: usize>(&self, start: usize, n: usize, desk: &mut Desk<D>) {
        for d in 0..D {
            let (to, from) = (&mut desk.amounts[d].0[..n], &self.planes[d][start..start + n]);
            match self.texture {
                Some(texture) => {
                    let texture = &texture[start..start + n];
                    for i in 0..n {
                        to[i] = if from[i] > 0.0 { from[i] } else { 0.0 } * texture[i];
                    }
                }
                None => {
                    for i in 0..n {
                        to[i] = if from[i] > 0.0 { from[i] } else { 0.0 };
                    }
                }
            }
        }
        if let Some(darken) = self.darken {
            desk.darken.0[..n].copy_from_slice(&darken[start..start + n]);
        }
    }
}

/// What a block is worked out on; it stays in the first cache.
struct Desk<const D: usize> {
    /// Samples on it.
    n: usize,
    amounts: [Lanes; D],
    darken: Lanes,
    halves: [Parts; TOGETHER],
    rgb: [Lanes; 3],
}

/// A reflectance of every sample, not yet divided.
struct Parts {
    above: Lanes,
    below: Lanes,
}

/// Light of a block, two bands at a time, each in two passes: roots and divisions wait long, and a processor looks only so
/// far ahead; what one sample waits for in a pass is short.
#[inline(always)]
fn block<const D: usize, const N: usize>(
    desk: &mut Desk<D>,
    darkened: impl Fn(f32, f32) -> f32,
    bands: &[Band<D>; N],
) {
    for sum in &mut desk.rgb {
        for v in &mut sum.0 {
            *v = 0.0;
        }
    }
    let (groups, rest) = bands.as_chunks::<TOGETHER>();
    for group in groups {
        for (band, to) in group.iter().zip(&mut desk.halves) {
            parts(desk.n, &desk.amounts, &desk.darken, &darkened, band, to);
        }
        divided_together(desk.n, &desk.halves, group, &mut desk.rgb);
    }
    for band in rest {
        parts(
            desk.n,
            &desk.amounts,
            &desk.darken,
            &darkened,
            band,
            &mut desk.halves[0],
        );
        divided(desk.n, &desk.halves[0], band, &mut desk.rgb);
    }
}

/// R of q = N/D in one band: D/(D + N + sqrt(N (N + 2D))).
#[inline(always)]
fn parts<const D: usize>(
    n: usize,
    amounts: &[Lanes; D],
    darken: &Lanes,
    darkened: &impl Fn(f32, f32) -> f32,
    band: &Band<D>,
    to: &mut Parts,
) {
    for i in 0..n.min(BLOCK) {
        let mut k = 0.0f32;
        for d in 0..D {
            let part = amounts[d].0[i] * band.unit[d];
            k = if d == 0 { part } else { k + part };
        }
        let b = 1.0 + k;
        let a = darkened(band.cloth + k * band.above, darken.0[i]);
        let sum = a + b;
        to.above.0[i] = b;
        to.below.0[i] = sum + (a * (sum + b)).sqrt();
    }
}

#[inline(always)]
fn divided_together<const D: usize>(
    n: usize,
    [a, b]: &[Parts; TOGETHER],
    [one, two]: &[Band<D>; TOGETHER],
    rgb: &mut [Lanes; 3],
) {
    let [red, green, blue] = rgb;
    for i in 0..n.min(BLOCK) {
        let both = 1.0 / (a.below.0[i] * b.below.0[i]);
        let p = a.above.0[i] * (b.below.0[i] * both);
        let q = b.above.0[i] * (a.below.0[i] * both);
        red.0[i] += one.rgb[0] * p + two.rgb[0] * q;
        green.0[i] += one.rgb[1] * p + two.rgb[1] * q;
        blue.0[i] += one.rgb[2] * p + two.rgb[2] * q;
    }
}

#[inline(always)]
fn divided<const D: usize>(n: usize, part: &Parts, band: &Band<D>, rgb: &mut [Lanes; 3]) {
    for i in 0..n.min(BLOCK) {
        let r = part.above.0[i] / part.below.0[i];
        for (sum, share) in rgb.iter_mut().zip(band.rgb) {
            sum.0[i] += share * r;
        }
    }
}
