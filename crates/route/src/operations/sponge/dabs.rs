//! The sponges' dabs: where they lie, and what of them a place gets.

use crate::Folded;
use crate::together::squares;
use field::{TOGETHER, clamp01, exp, floor_i32, hash2, noise, noise_near, noise2_near, range, smoothstep, unit};

/// Share of the liquor that runs between the dabs as a thin wash (own estimate).
const WASH: f32 = 0.10;
/// The dabs of all colours.
#[derive(Clone)]
pub(super) struct Dabs {
    pub(super) seed: u32,
    pub(super) colours: usize,
    pub(super) radius: f32,
    pub(super) spacing: f32,
    pub(super) clustered: bool,
    pub(super) layer_loss: f32,
}

/// Distance inside a dab's rim from which it is not met, mm.
const OUTSIDE: f32 = -2.0;
/// What rounding may do to a distance, mm, amply: a dab left out must be one that adds nothing, not one that adds a
/// trace.
const SLACK: f32 = 0.05;

/// Points in the package.
pub(super) struct Points<'a> {
    pub(super) u: &'a [f32],
    pub(super) v: &'a [f32],
    pub(super) depth: &'a [f32],
    pub(super) crest: &'a [f32],
    pub(super) facet: &'a [f32],
}

/// One dab.
struct Dab {
    x: f32,
    y: f32,
    size: f32,
    strength: f32,
    colour: usize,
}

impl Dabs {
    /// Pattern of each colour at a point of the package, before scaling.
    pub(super) fn at(&self, p: Folded) -> [f32; 4] {
        let mut out = [[0.0; TOGETHER]; 4];
        let one = Points { u: &[p.u], v: &[p.v], depth: &[p.depth], crest: &[p.crest], facet: &[p.facet] };
        self.block(&one, &mut out);
        out.map(|amounts| amounts[0])
    }

    /// Pattern of each colour at up to [`TOGETHER`] points: the same for one as for many, since dabs are met one by one in
    /// an order of their own, and those that are left out add nothing. Quick for points that lie together.
    #[inline(always)]
    fn block(&self, points: &Points, out: &mut [[f32; TOGETHER]; 4]) {
        let n = points.u.len().min(TOGETHER);
        let (u, v) = (&points.u[..n], &points.v[..n]);
        let seed = self.seed;
        let wander = self.radius * 0.42;
        let (mut wu, mut wv) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        let (mut ragged, mut holes, mut taken) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER], [0.0f32; TOGETHER]);
        let (x, y) = scaled(points, 41.0);
        let mut strays = [[0.0f32; TOGETHER]; 2];
        noise2_near(&x[..n], &y[..n], [seed ^ 21, seed ^ 22], &mut strays);
        for i in 0..n {
            wu[i] = u[i] + wander * strays[0][i];
            wv[i] = v[i] + wander * strays[1][i];
        }
        for i in 0..n {
            let fine = noise(u[i] / 2.6, v[i] / 2.6, seed ^ 24);
            let mid = noise(u[i] / 6.5, v[i] / 6.5, seed ^ 23);
            ragged[i] = 3.2 * mid + 1.6 * fine;
            holes[i] = 0.72 + 0.28 * smoothstep(-0.35, 0.25, fine + 0.5 * mid);
        }
        for amounts in out.iter_mut() {
            amounts[..n].fill(0.0);
        }
        let ((left, right), (top, bottom)) = (range(&wu[..n]), range(&wv[..n]));
        // How far outside the rim of a bare disk somebody may still meet it.
        let rim = range(&ragged[..n]).1 - OUTSIDE + SLACK;
        let (tall, reach) = (self.spacing * 0.866, self.radius * LARGEST + rim);
        for j in floor_i32((top - reach) / tall - 0.775)..=floor_i32((bottom + reach) / tall - 0.225) {
            let shift = 0.5 * self.spacing * (j & 1) as f32;
            let column = |x: f32, stray: f32| floor_i32((x - shift) / self.spacing - stray);
            for k in column(left - reach, 0.775)..=column(right + reach, 0.225) {
                let dab = self.dab(k, j, shift, tall);
                let (ex, ey) = (beyond(left, right, dab.x), beyond(top, bottom, dab.y));
                let near = dab.size + rim;
                if ex * ex + ey * ey > near * near {
                    continue;
                }
                let amounts = &mut out[dab.colour][..n];
                for i in 0..n {
                    let (dx, dy) = (wu[i] - dab.x, wv[i] - dab.y);
                    let inside = dab.size - (dx * dx + dy * dy).sqrt() + ragged[i];
                    let body = smoothstep(OUTSIDE, 4.0, inside);
                    // Liquor gathers just inside the rim of a dab.
                    let ring = clamp01(1.0 - (inside - 3.5).abs() * 0.2);
                    amounts[i] +=
                        body * (1.0 + 0.25 * ring * ring) * dab.strength * holes[i] * (1.0 - 0.45 * taken[i]);
                    taken[i] = clamp01(taken[i] + 0.6 * body);
                }
            }
        }
        match self.colours {
            1 => self.wash::<1>(points, out),
            2 => self.wash::<2>(points, out),
            3 => self.wash::<3>(points, out),
            _ => self.wash::<4>(points, out),
        }
    }

    /// Dab `k` of row `j`.
    #[inline(always)]
    fn dab(&self, k: i32, j: i32, shift: f32, tall: f32) -> Dab {
        let h = hash2(k, j, self.seed ^ 27);
        let (s, t) = (unit(h), unit(h.wrapping_mul(0x9E37_79B1)));
        Dab {
            x: (k as f32 + 0.5 + 0.55 * (s - 0.5)) * self.spacing + shift,
            y: (j as f32 + 0.5 + 0.55 * (t - 0.5)) * tall,
            size: self.radius * (0.78 + (LARGEST - 0.78) * unit(h ^ 0x5bd1_e995)),
            strength: 0.7 + 0.6 * unit(h ^ 0x0dea_dbee),
            colour: self.colour(k, j, h),
        }
    }

    /// A thin wash of liquor runs between the dabs; what lies above and creases decide what of all gets through.
    #[inline(always)]
    fn wash<const N: usize>(&self, points: &Points, out: &mut [[f32; TOGETHER]; 4]) {
        let n = points.u.len().min(TOGETHER);
        let (depth, crest, facet) = (&points.depth[..n], &points.crest[..n], &points.facet[..n]);
        let (x, y) = scaled(points, 80.0);
        let mut uneven = [[0.0f32; TOGETHER]; N];
        let seeds = std::array::from_fn(|c| self.seed ^ (60 + c as u32));
        noise_near(&x[..n], &y[..n], seeds, &mut uneven);
        for i in 0..n {
            let reach = exp(-self.layer_loss * depth[i]) * (1.0 + 0.5 * crest[i]) * (1.0 + 0.22 * facet[i]);
            for c in 0..N {
                let wash = WASH * (1.0 + uneven[c][i]);
                out[c][i] = (out[c][i] + if wash > 0.0 { wash } else { 0.0 }) * reach;
            }
        }
    }

    /// Which colour a dab has, 0, 1, 2 or 3.
    #[inline(always)]
    fn colour(&self, i: i32, j: i32, h: u32) -> usize {
        let stray = i32::from(h & 7 == 0);
        let n = self.colours.clamp(1, 4) as i32;
        let step = if self.clustered {
            // Patches of some five dabs, with a stray dab here and there.
            let drift = noise(i as f32 * 0.33 + 0.5, j as f32 * 0.33 + 0.5, self.seed ^ 31);
            floor_i32(clamp01(drift * 1.15 + 0.5) * 0.999 * n as f32)
        } else {
            i.wrapping_add(2 * j)
        };
        step.wrapping_add(stray).rem_euclid(n) as usize
    }
}

/// The largest dab over the mean one.
const LARGEST: f32 = 1.22;

/// Points in units of `size` mm.
#[inline(always)]
fn scaled(points: &Points, size: f32) -> ([f32; TOGETHER], [f32; TOGETHER]) {
    let (mut x, mut y) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
    for ((x, y), (u, v)) in x.iter_mut().zip(&mut y).zip(points.u.iter().zip(points.v)) {
        (*x, *y) = (u / size, v / size);
    }
    (x, y)
}

/// How far `at` lies outside an interval.
#[inline(always)]
fn beyond(low: f32, high: f32, at: f32) -> f32 {
    (low - at).max(at - high).max(0.0)
}

field::lanes! {
    /// Points row by row, `nx` in a row.
    pub(super) fn dab_squares(dabs: &Dabs, points: &Points, nx: usize, planes: &mut [Vec<f32>; 4]) {
        let mut out = [[0.0f32; TOGETHER]; 4];
        let mut together = [[0.0f32; TOGETHER]; 5];
        for square in squares(nx, points.u.len() / nx.max(1)) {
            let n = square.len();
            let all = [points.u, points.v, points.depth, points.crest, points.facet];
            for (to, from) in together.iter_mut().zip(all) {
                square.take(from, to);
            }
            let [u, v, depth, crest, facet] = &together;
            let some = Points { u: &u[..n], v: &v[..n], depth: &depth[..n], crest: &crest[..n], facet: &facet[..n] };
            dabs.block(&some, &mut out);
            for (to, from) in planes.iter_mut().zip(&out).take(dabs.colours) {
                square.put(from, to);
            }
        }
    }
}

/// Spacing of dabs over their radius, by the share of the top that they touch. Dabs lie on a staggered lattice, off their
/// places by up to 0.28 of the spacing, with radii that vary by 22 %: they cover more than the `1 - exp(-pi r^2 / (0.866
/// g^2))` of dabs thrown at random. Shares by simulation of such disks; the pattern itself is held against them.
const SPACING: [(f64, f64); 11] = [
    (0.0833, 6.667),
    (0.1487, 5.0),
    (0.3314, 3.333),
    (0.5709, 2.5),
    (0.6884, 2.222),
    (0.7976, 2.0),
    (0.8819, 1.818),
    (0.9389, 1.667),
    (0.9720, 1.538),
    (0.9894, 1.429),
    (1.0, 1.255_186_171_630_516_6),
];

/// Spacing of the dabs over their radius for a share of the top, by straight lines between the rows of [`SPACING`].
pub(super) fn spacing(cover: f64) -> f64 {
    let right = SPACING.partition_point(|(share, _)| *share < cover).clamp(1, SPACING.len() - 1);
    let ((low, wide), (high, close)) = (SPACING[right - 1], SPACING[right]);
    let part = (cover - low) / (high - low);
    if cover >= 1.0 {
        close
    } else if part < 0.0 {
        // Few dabs do not meet: their number goes as the share, the spacing as its root.
        wide * (low / cover.max(1e-3)).sqrt() } else { wide + part * (close - wide) }
}

#[cfg(test)]
mod tests {
    use super::{Dabs, Folded, spacing};

    /// Of 64 places of a package each a third of a metre wide, the mean share that dabs touch lies within its interval of
    /// what was asked: Student's t for 63 degrees of freedom, two-sided 99.9 % (handbook table: 3.447), and 2 % for what
    /// counts as touched at a soft rim of 6 mm.
    #[test]
    fn dabs_cover_what_was_asked() {
        for (dab, cover) in [(65.0, 0.3), (65.0, 0.6), (65.0, 0.9), (90.0, 0.5), (40.0, 0.8), (65.0, 1.0)] {
            let radius = 0.5 * dab;
            let dabs = Dabs {
                seed: 77,
                colours: 1,
                radius,
                spacing: radius * spacing(cover) as f32,
                clustered: false,
                layer_loss: 0.6,
            };
            let touched = |x: f32, y: f32| {
                dabs.at(Folded { u: x, v: y, depth: 0.0, crest: 0.0, facet: 0.0 })[0] > 0.3
            };
            let shares: Vec<f64> = (0..64)
                .map(|k| {
                    let (x, y) = (1000.0 * (k % 8) as f32, 1000.0 * (k / 8) as f32);
                    let hit = (0..2500).filter(|n| touched(x + 6.1 * (n % 50) as f32, y + 6.1 * (n / 50) as f32)).count();
                    hit as f64 / 2500.0
                })
                .collect();
            let mean = shares.iter().sum::<f64>() / 64.0;
            let variance = shares.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / 63.0;
            let half = 3.447 * (variance / 64.0).sqrt() + 0.02;
            assert!((mean - cover).abs() < half, "{dab} mm, {cover}: {mean} +- {half}");
        }
    }
}
