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
    #[inline(always)]
    fn of(value: f32, from: Option<&[f32]>, start: usize, n: usize) -> Lanes {
        let mut lanes = Lanes([value; BLOCK]);
        if let Some(from) = from {
            lanes.0[..n].copy_from_slice(&from[start..start + n]);
        }
        lanes
    }
}

/// Linear red, green and blue of samples that hold `planes` of dye.
///
/// Per band: K = sum of amount x unit, times `texture`; q = (substrate + K/(1 + K/k_max)) times
/// `darken`; R = 1 + q - sqrt(q^2 + 2q) (Kubelka and Munk 1931, opaque layer), written as
/// D/(D + N + sqrt(N (N + 2D))) with q = N/D, which cancels nothing and divides once. A negative K
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

impl<const N: usize> Job<'_, N> {
    fn run<const D: usize>(&self, out: [&mut [f32]; 3]) {
        let [red, green, blue] = out;
        // Band by band, as the inner loop reads them.
        let mut unit = [[0.0f32; D]; N];
        for (band, u) in unit.iter_mut().enumerate() {
            *u = std::array::from_fn(|d| self.bands.unit[d][band]);
        }
        crate::dispatch(
            #[inline(always)]
            || {
                let chunks = red
                    .chunks_mut(BLOCK)
                    .zip(green.chunks_mut(BLOCK))
                    .zip(blue.chunks_mut(BLOCK));
                for (b, ((red, green), blue)) in chunks.enumerate() {
                    let (start, n) = (b * BLOCK, red.len());
                    let amounts: [Lanes; D] =
                        std::array::from_fn(|d| Lanes::of(0.0, Some(self.planes[d]), start, n));
                    let texture = Lanes::of(1.0, self.texture, start, n);
                    let darken = Lanes::of(1.0, self.darken, start, n);
                    let [r, g, b] = block(&amounts, &texture, &darken, &unit, self.bands);
                    red.copy_from_slice(&r.0[..n]);
                    green.copy_from_slice(&g.0[..n]);
                    blue.copy_from_slice(&b.0[..n]);
                }
            },
        );
    }
}

#[inline(always)]
fn block<const D: usize, const N: usize>(
    amounts: &[Lanes; D],
    texture: &Lanes,
    darken: &Lanes,
    unit: &[[f32; D]; N],
    bands: &Bands<'_, N>,
) -> [Lanes; 3] {
    let mut rgb = [Lanes([0.0f32; BLOCK]); 3];
    let (mut below, mut above) = (Lanes([0.0; BLOCK]), Lanes([0.0; BLOCK]));
    let per_max = 1.0 / bands.k_max;
    for (band, unit) in unit.iter().enumerate() {
        let cloth = bands.substrate[band];
        let [wr, wg, wb] = [
            bands.to_rgb[0][band],
            bands.to_rgb[1][band],
            bands.to_rgb[2][band],
        ];
        // Two loops: root and division wait long, and a processor looks only so far ahead. In one
        // loop they took a fifth longer at the two lower levels.
        for i in 0..BLOCK {
            let mut k = 0.0f32;
            for d in 0..D {
                k += amounts[d].0[i] * unit[d];
            }
            let k = k * texture.0[i];
            let k = if k < 0.0 { 0.0 } else { k };
            let b = 1.0 + k * per_max;
            below.0[i] = b;
            above.0[i] = (cloth * b + k) * darken.0[i];
        }
        for i in 0..BLOCK {
            let (a, b) = (above.0[i], below.0[i]);
            let r = b / (b + a + (a * (a + (b + b))).sqrt());
            rgb[0].0[i] += wr * r;
            rgb[1].0[i] += wg * r;
            rgb[2].0[i] += wb * r;
        }
    }
    rgb
}
