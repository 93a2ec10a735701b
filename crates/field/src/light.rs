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

/// Samples worked on at a time: their amounts stay in the first cache, their sums in registers.
const BLOCK: usize = 64;

/// Values of a block, on a cache line: a vector load across two lines costs twice.
#[derive(Clone, Copy)]
#[repr(align(64))]
struct Lanes([f32; BLOCK]);

impl Lanes {
    const ZERO: Lanes = Lanes([0.0; BLOCK]);

    /// Part of a slice from `start` on, 0 beyond its end.
    #[inline(always)]
    fn of(from: &[f32], start: usize, n: usize) -> Lanes {
        if let Some(whole) = from[start..].first_chunk::<BLOCK>() {
            return Lanes(*whole);
        }
        let mut lanes = Lanes::ZERO;
        lanes.0[..n].copy_from_slice(&from[start..start + n]);
        lanes
    }
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
    /// N = cloth x D + K = cloth + K x `above`.
    above: f32,
    rgb: [f32; 3],
}

impl<const N: usize> Job<'_, N> {
    fn run<const D: usize>(&self, out: [&mut [f32]; 3]) {
        let [red, green, blue] = out;
        let per_max = 1.0 / self.bands.k_max;
        let bands: [Band<D>; N] = std::array::from_fn(|band| {
            let cloth = self.bands.substrate[band];
            Band {
                unit: std::array::from_fn(|d| self.bands.unit[d][band]),
                cloth,
                above: 1.0 + cloth * per_max,
                rgb: std::array::from_fn(|c| self.bands.to_rgb[c][band]),
            }
        });
        crate::dispatch(
            #[inline(always)]
            || {
                let chunks = red
                    .chunks_mut(BLOCK)
                    .zip(green.chunks_mut(BLOCK))
                    .zip(blue.chunks_mut(BLOCK));
                for (b, ((red, green), blue)) in chunks.enumerate() {
                    let (start, n) = (b * BLOCK, red.len());
                    let amounts = self.amounts::<D>(start, n);
                    let darken = self.darken.map(|darken| Lanes::of(darken, start, n));
                    let [r, g, b] = block(&amounts, darken.as_ref(), per_max, &bands);
                    red.copy_from_slice(&r.0[..n]);
                    green.copy_from_slice(&g.0[..n]);
                    blue.copy_from_slice(&b.0[..n]);
                }
            },
        );
    }

    /// Amounts of a block under its texture.
    #[inline(always)]
    fn amounts<const D: usize>(&self, start: usize, n: usize) -> [Lanes; D] {
        let mut amounts: [Lanes; D] = std::array::from_fn(|d| Lanes::of(self.planes[d], start, n));
        let texture = self.texture.map(|texture| Lanes::of(texture, start, n));
        for lanes in &mut amounts {
            for v in &mut lanes.0 {
                *v = if *v > 0.0 { *v } else { 0.0 };
            }
            if let Some(texture) = &texture {
                for (v, t) in lanes.0.iter_mut().zip(&texture.0) {
                    *v *= t;
                }
            }
        }
        amounts
    }
}

/// Light of a block. Three bands are under way at once: roots and divisions wait long, and a processor looks only so
/// far ahead.
#[inline(always)]
fn block<const D: usize, const N: usize>(
    amounts: &[Lanes; D],
    darken: Option<&Lanes>,
    per_max: f32,
    bands: &[Band<D>; N],
) -> [Lanes; 3] {
    let mut rgb = [Lanes::ZERO; 3];
    let mut rooted = root(&sides(amounts, darken, per_max, &bands[0]));
    let mut ready = sides(amounts, darken, per_max, &bands[1.min(N - 1)]);
    for b in 0..N {
        let band = &bands[b];
        for i in 0..BLOCK {
            let r = rooted.above.0[i] / rooted.below.0[i];
            rgb[0].0[i] += band.rgb[0] * r;
            rgb[1].0[i] += band.rgb[1] * r;
            rgb[2].0[i] += band.rgb[2] * r;
        }
        rooted = root(&ready);
        ready = sides(amounts, darken, per_max, &bands[(b + 2).min(N - 1)]);
    }
    rgb
}

/// A quotient of every sample.
struct Sides {
    above: Lanes,
    below: Lanes,
}

/// q in one band.
#[inline(always)]
fn sides<const D: usize>(
    amounts: &[Lanes; D],
    darken: Option<&Lanes>,
    per_max: f32,
    band: &Band<D>,
) -> Sides {
    let mut q = Sides {
        above: Lanes::ZERO,
        below: Lanes::ZERO,
    };
    for i in 0..BLOCK {
        let mut k = 0.0f32;
        for d in 0..D {
            let part = amounts[d].0[i] * band.unit[d];
            k = if d == 0 { part } else { k + part };
        }
        q.below.0[i] = 1.0 + k * per_max;
        q.above.0[i] = band.cloth + k * band.above;
    }
    if let Some(darken) = darken {
        for i in 0..BLOCK {
            q.above.0[i] *= darken.0[i];
        }
    }
    q
}

/// R of q = N/D: D/(D + N + sqrt(N (N + 2D))).
#[inline(always)]
fn root(q: &Sides) -> Sides {
    let mut r = Sides {
        above: Lanes::ZERO,
        below: Lanes::ZERO,
    };
    for i in 0..BLOCK {
        let (a, b) = (q.above.0[i], q.below.0[i]);
        let sum = a + b;
        r.above.0[i] = b;
        r.below.0[i] = sum + (a * (sum + b)).sqrt();
    }
    r
}
