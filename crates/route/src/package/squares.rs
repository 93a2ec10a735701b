//! The fold map in small squares of cloth: what is smooth along one is a short polynomial there, what is the same all over
//! it is hashed once, and pleats that end before it are left out.
//!
//! A pleat's stray and swell change over 100 mm and more, so along a square's few millimetres a cubic through four places
//! is the noise to a thousandth of itself; the zig-zag across is exact. A square where that cannot be said, since its
//! lattice is coarse or the cloth is drawn out, is made point by point. Squares lie at whole places of their lattice, so
//! what is asked for around one changes nothing in it.

use super::{
    BUMP_ENDS, FAR_CREASE, Folds, Pleats, Ready, SECOND_WAVE, SHEAR, SWELL, WANDER, WANDER_STARTS, WARP,
    bend_seed, bend_wave, bent, swell_starts,
};
use field::{Lattice, Rect, cells_near, clamp01, floor_i32, noise, noise1, range};

/// Samples along a square.
const SIDE: usize = 8;
const ALL: usize = SIDE * SIDE;
/// The coarsest lattice of squares, mm.
const COARSEST: f64 = 2.5;
/// The longest stretch of a noise, in its cells, that a cubic is put through.
const STRETCH: f32 = 0.3;
/// Where a cubic is put through, on -1..1 (Chebyshev's places for four).
const INNER: f32 = 0.382_683_43;
const OUTER: f32 = 0.923_879_5;
const PLACES: [f32; 4] = [-OUTER, -INNER, INNER, OUTER];
/// A cubic strays no farther beyond the values at its four places than this times their range (its Lebesgue constant is
/// 1.85).
const BEYOND: f32 = 0.43;
/// Pleats that may be met in a square that lies in two of their fields at most, and the swells they rest on.
const PLEATS: usize = 4;
const SWELLS: usize = PLEATS + 1;
const NOISES: usize = SWELLS + PLEATS;
/// Values of them at four places, and as many more as fill the last vector.
const PLACED: usize = (4 * NOISES).next_multiple_of(8);
/// As many of them as fill vectors of four; what is beyond the last one means nothing.
const PADDED: usize = NOISES.next_multiple_of(4);
const _: () = assert!(3 * NOISES + PADDED <= PLACED);

/// The map on one square: u, v, depth, crest, facet.
type Square = [[f32; ALL]; 5];

/// The smallest rectangle of whole squares around another.
pub(super) fn whole(rect: Rect) -> Rect {
    if rect.is_empty() {
        return rect;
    }
    let side = SIDE as i32;
    let down = |v: i32| v.div_euclid(side).saturating_mul(side);
    let up = |v: i32| down(v.saturating_add(side - 1));
    Rect::between(down(rect.x0), down(rect.y0), up(rect.x1()), up(rect.y1()))
}

/// The map under a rectangle; squares that are `known` are taken from there.
pub(super) fn map(package: &Ready, lattice: Lattice, rect: Rect, known: Option<&Folds>) -> Folds {
    let mut out: [Vec<f32>; 5] = std::array::from_fn(|_| vec![0.0; rect.area()]);
    let known = known.filter(|known| known.lattice == lattice);
    let inside = known.map_or(Rect::EMPTY, |known| known.rect.intersect(rect));
    if let Some(known) = known {
        let old = [&known.u, &known.v, &known.depth, &known.crest, &known.facet];
        for (to, from) in out.iter_mut().zip(old) {
            for y in inside.y0..inside.y1() {
                let (to_at, from_at) = (place(rect, inside.x0, y), place(known.rect, inside.x0, y));
                let n = inside.nx as usize;
                to[to_at..to_at + n].copy_from_slice(&from[from_at..from_at + n]);
            }
        }
    }
    make(package, lattice, rect, inside, &mut out);
    let [u, v, depth, crest, facet] = out;
    Folds {
        lattice,
        rect,
        u,
        v,
        depth,
        crest,
        facet,
    }
}

/// Where a sample lies in a rectangle's values.
fn place(rect: Rect, x: i32, y: i32) -> usize {
    y.abs_diff(rect.y0) as usize * rect.nx as usize + x.abs_diff(rect.x0) as usize
}

field::lanes! {
    /// Makes all squares of a rectangle that are not in the part that is there.
    fn make(package: &Ready, lattice: Lattice, rect: Rect, there: Rect, out: &mut [Vec<f32>; 5]) {
        let squares = whole(rect);
        let mut square: Square = [[0.0; ALL]; 5];
        for y0 in (squares.y0..squares.y1()).step_by(SIDE) {
            for x0 in (squares.x0..squares.x1()).step_by(SIDE) {
                let part = Rect { x0, y0, nx: SIDE as u32, ny: SIDE as u32 }.intersect(rect);
                if there.contains(part) {
                    continue;
                }
                package.square(lattice, x0, y0, &mut square);
                for (to, from) in out.iter_mut().zip(&square) {
                    for y in part.y0..part.y1() {
                        let from = &from[y.abs_diff(y0) as usize * SIDE + part.x0.abs_diff(x0) as usize..];
                        let n = part.nx as usize;
                        let at = place(rect, part.x0, y);
                        to[at..at + n].copy_from_slice(&from[..n]);
                    }
                }
            }
        }
    }
}

/// A stretch along which noises are cubics of -1..1.
#[derive(Clone, Copy)]
struct Stretch {
    middle: f32,
    per_half: f32,
    places: [f32; 4],
}

impl Stretch {
    /// `None` if a noise with cells of `wave` changes too much over it.
    #[inline(always)]
    fn over((low, high): (f32, f32), wave: f32) -> Option<Self> {
        let long = high - low;
        // What is not a number is no stretch either.
        if !(long <= STRETCH * wave) {
            return None;
        }
        let (middle, half) = (0.5 * (low + high), 0.5 * long);
        Some(Self {
            middle,
            per_half: if half > 0.0 { 1.0 / half } else { 0.0 },
            places: PLACES.map(|t| middle + t * half),
        })
    }

    /// On -1..1.
    #[inline(always)]
    fn at(&self, x: f32) -> f32 {
        (x - self.middle) * self.per_half
    }
}

/// The cubic through values at [`PLACES`].
#[inline(always)]
fn cubic([a, b, c, d]: [f32; 4]) -> [f32; 4] {
    const I2: f32 = INNER * INNER;
    const PER: f32 = 1.0 / (OUTER * OUTER - I2);
    let (inner, outer) = (0.5 * (b + c), 0.5 * (a + d));
    let (inner_odd, outer_odd) = ((c - b) * (0.5 / INNER), (d - a) * (0.5 / OUTER));
    let (two, three) = ((outer - inner) * PER, (outer_odd - inner_odd) * PER);
    [inner - two * I2, inner_odd - three * I2, two, three]
}

/// Cubics through values of `N` noises, whose places lie `stride` apart in the list: coefficient by coefficient, so that
/// they are vectors.
#[inline(always)]
fn cubics<const N: usize, const M: usize>(values: &[f32; M], stride: usize) -> [[f32; N]; 4] {
    let mut out = [[0.0f32; N]; 4];
    let [a, b, c, d] = [0, 1, 2, 3].map(|place| &values[place * stride..place * stride + N]);
    for n in 0..N {
        let own = cubic([a[n], b[n], c[n], d[n]]);
        (out[0][n], out[1][n], out[2][n], out[3][n]) = (own[0], own[1], own[2], own[3]);
    }
    out
}

#[inline(always)]
fn along([a0, a1, a2, a3]: [f32; 4], t: f32) -> f32 {
    ((a3 * t + a2) * t + a1) * t + a0
}

/// Shear `k` at `N` places: both waves of all of them in one loop, enough to be vectors.
#[inline(always)]
fn bends<const N: usize, const TWICE: usize>(t: [f32; N], k: usize, seed: u32) -> [f32; N] {
    let (mut at, mut seeds) = ([0.0f32; TWICE], [0u32; TWICE]);
    for i in 0..TWICE {
        at[i] = t[i % N] / bend_wave(k, i / N);
        seeds[i] = bend_seed(k, i / N, seed);
    }
    let mut values = [0.0f32; TWICE];
    for i in 0..TWICE {
        values[i] = noise1(at[i], seeds[i]);
    }
    std::array::from_fn(|i| bent(k, values[i], values[N + i]))
}

impl Ready {
    /// The square whose first sample is in column `x0`, row `y0`.
    #[inline(always)]
    fn square(&self, lattice: Lattice, x0: i32, y0: i32, out: &mut Square) {
        let at = |from: i32| -> [f32; SIDE] {
            std::array::from_fn(|i| ((f64::from(from) + i as f64 + 0.5) * lattice.pitch) as f32)
        };
        let (xs, ys) = (at(x0), at(y0));
        if lattice.pitch <= COARSEST && self.smooth(lattice.pitch as f32, &xs, &ys, out) {
            return;
        }
        let x: [f32; ALL] = std::array::from_fn(|i| xs[i % SIDE]);
        let [u, v, depth, crest, facet] = out;
        self.block(|i| ys[i / SIDE], &x, u, v, depth, crest, facet);
    }

    /// The same by polynomials; false if they would not do.
    #[inline(always)]
    fn smooth(&self, pitch: f32, xs: &[f32; SIDE], ys: &[f32; SIDE], out: &mut Square) -> bool {
        let [u, v, depth, crest, facet] = out;
        let first: [f32; SIDE] = bends::<SIDE, { 2 * SIDE }>(*ys, 0, self.seed);
        for i in 0..ALL {
            u[i] = xs[i % SIDE] + first[i / SIDE];
        }
        let Some(stretch) = Stretch::over(range(u), SECOND_WAVE * SHEAR[1].1) else {
            return false;
        };
        let second = cubic(bends::<4, 8>(stretch.places, 1, self.seed));
        for i in 0..ALL {
            v[i] = ys[i / SIDE] + along(second, stretch.at(u[i]));
        }
        let Some(stretch) = Stretch::over(range(v), SECOND_WAVE * SHEAR[2].1) else {
            return false;
        };
        let third = cubic(bends::<4, 8>(stretch.places, 2, self.seed));
        for i in 0..ALL {
            u[i] += along(third, stretch.at(v[i]));
            depth[i] = 0.0;
            crest[i] = 0.0;
        }
        for pleats in &self.pleats {
            if !pleats.square(u, v, depth, crest) {
                return false;
            }
        }
        self.crumples(pitch, xs, ys, crest, facet);
        true
    }

    /// Facets and their ridges. The warp is a cubic each way.
    #[inline(always)]
    fn crumples(
        &self,
        pitch: f32,
        xs: &[f32; SIDE],
        ys: &[f32; SIDE],
        crest: &mut [f32; ALL],
        facet: &mut [f32; ALL],
    ) {
        let half = 0.5 * pitch * SIDE as f32;
        let (wave, size) = WARP;
        let middle = |at: &[f32; SIDE]| 0.5 * (at[0] + at[SIDE - 1]);
        let (mx, my) = (middle(xs), middle(ys));
        // Both warps at all places: enough of them to be vectors.
        const SPREAD: usize = 2 * PLACES.len();
        const BOTH: usize = SPREAD * PLACES.len();
        let (mut x, mut y, mut seed) = ([0.0f32; BOTH], [0.0f32; BOTH], [0u32; BOTH]);
        for i in 0..BOTH {
            (x[i], y[i]) = (mx + PLACES[i % 4] * half, my + PLACES[i / SPREAD] * half);
            seed[i] = self.seed ^ if i % SPREAD < 4 { 11 } else { 12 };
        }
        let mut warps = [0.0f32; BOTH];
        for i in 0..BOTH {
            warps[i] = size * noise(x[i] / wave, y[i] / wave, seed[i]);
        }
        // First along y, for each of the places of x.
        let columns = cubics::<SPREAD, BOTH>(&warps, SPREAD);
        let (per_mm, per_half) = (1.0 / self.crumple, 1.0 / half);
        let (mut wx, mut wy) = ([0.0f32; ALL], [0.0f32; ALL]);
        for row in 0..SIDE {
            let t = (ys[row] - my) * per_half;
            let mut there = [0.0f32; SPREAD];
            for i in 0..SPREAD {
                there[i] = along(std::array::from_fn(|k| columns[k][i]), t);
            }
            let [x0, x1, x2, x3, y0, y1, y2, y3] = there;
            let (x, y) = (cubic([x0, x1, x2, x3]), cubic([y0, y1, y2, y3]));
            for i in 0..SIDE {
                let t = (xs[i] - mx) * per_half;
                wx[row * SIDE + i] = (xs[i] + along(x, t)) * per_mm;
                wy[row * SIDE + i] = (ys[row] + along(y, t)) * per_mm;
            }
        }
        let (mut f1, mut f2, mut id1) = ([0.0f32; ALL], [0.0f32; ALL], [0u32; ALL]);
        cells_near(&wx, &wy, self.seed ^ 13, &mut f1, &mut f2, &mut id1);
        for i in 0..ALL {
            (facet[i], crest[i]) = self.crumpled(f1[i], f2[i], id1[i], crest[i]);
        }
    }
}

impl Pleats {
    /// Folds a square of points; adds what lies above and the creases. False if polynomials would not do.
    #[inline(always)]
    fn square(
        &self,
        u: &mut [f32; ALL],
        v: &mut [f32; ALL],
        depth: &mut [f32; ALL],
        crest: &mut [f32; ALL],
    ) -> bool {
        let (mut p, mut q, mut t) = ([0.0f32; ALL], [0.0f32; ALL], [0.0f32; ALL]);
        let (mut own_field, mut next_field) = ([0i32; ALL], [0i32; ALL]);
        for i in 0..ALL {
            p[i] = self.cos * u[i] + self.sin * v[i];
            q[i] = self.cos * v[i] - self.sin * u[i];
            let at = p[i] / self.pitch;
            let k = floor_i32(at);
            // As point by point: of the two beside its own pleat a place can meet the nearer only.
            own_field[i] = k;
            next_field[i] = if at - (k as f32) < 0.5 { k - 1 } else { k + 1 };
        }
        let across = range(&p);
        let (first, last) = (floor_i32(across.0 / self.pitch), floor_i32(across.1 / self.pitch));
        if last.wrapping_sub(first) > 1 {
            return false;
        }
        let Some(stretch) = Stretch::over(range(&q), SWELL) else {
            return false;
        };
        for i in 0..ALL {
            t[i] = stretch.at(q[i]);
        }
        let noises = self.noises(first, &stretch);
        let (mut run, mut creases) = ([0.0f32; ALL], [0.0f32; ALL]);
        let mut new = [[0.0f32; ALL]; 3];
        for j in 0..PLEATS {
            let k = first - 1 + j as i32;
            let (before, after, strays) = (&noises[j], &noises[j + 1], &noises[SWELLS + j]);
            if k != first && k != last && self.ends_before(k, [before, after, strays], across) {
                continue;
            }
            let own = self.own(k);
            for i in 0..ALL {
                let e_before = self.swollen(along(before.cubic, t[i]));
                let e = self.swollen(along(after.cubic, t[i]));
                let centre = self.centre(k, along(strays.cubic, t[i]));
                let there = self.across(k, own, p[i], centre, e_before, e);
                (new[0][i], new[1][i], new[2][i]) = (there.run, there.above, there.crest);
            }
            // Sums of what is or is not nothing, in a loop of their own: to write or not to write would take longer.
            for i in 0..ALL {
                let here = mask(own_field[i] == k);
                let met = here | mask(next_field[i] == k);
                run[i] += masked(here, new[0][i]);
                depth[i] += masked(met, new[1][i]);
                creases[i] += masked(met, new[2][i]);
            }
        }
        for i in 0..ALL {
            u[i] = self.cos * run[i] - self.sin * q[i];
            v[i] = self.sin * run[i] + self.cos * q[i];
            crest[i] += clamp01(creases[i]);
        }
        true
    }

    /// Noises of the pleats from `first - 1` on: their swells, from that of the pleat before, then their strays.
    #[inline(always)]
    fn noises(&self, first: i32, stretch: &Stretch) -> [Noise; NOISES] {
        let (mut seeds, mut starts, mut per_mm) = ([0u32; NOISES], [0.0f32; NOISES], [0.0f32; NOISES]);
        for j in 0..SWELLS {
            let k = first - 2 + j as i32;
            (seeds[j], starts[j], per_mm[j]) = (self.swell_seed(k), swell_starts(k), 1.0 / SWELL);
        }
        for j in 0..PLEATS {
            let at = SWELLS + j;
            (seeds[at], starts[at], per_mm[at]) =
                (self.own(first - 1 + j as i32), WANDER_STARTS, 1.0 / WANDER);
        }
        // All of them at all places in one loop: enough to be vectors.
        let (mut at, mut seed) = ([0.0f32; PLACED], [0u32; PLACED]);
        for i in 0..4 * NOISES {
            let n = i % NOISES;
            (at[i], seed[i]) = (stretch.places[i / NOISES] * per_mm[n] + starts[n], seeds[n]);
        }
        let mut values = [0.0f32; PLACED];
        for i in 0..PLACED {
            values[i] = noise1(at[i], seed[i]);
        }
        let cubics = cubics::<PADDED, PLACED>(&values, NOISES);
        let [a, b, c, d] = [0, 1, 2, 3].map(|place| &values[place * NOISES..place * NOISES + PADDED]);
        let (mut low, mut high) = ([0.0f32; PADDED], [0.0f32; PADDED]);
        for n in 0..PADDED {
            let least = less(less(a[n], b[n]), less(c[n], d[n]));
            let most = more(more(a[n], b[n]), more(c[n], d[n]));
            let beyond = BEYOND * (most - least);
            (low[n], high[n]) = (least - beyond, most + beyond);
        }
        std::array::from_fn(|n| Noise {
            cubic: [cubics[0][n], cubics[1][n], cubics[2][n], cubics[3][n]],
            low: low[n],
            high: high[n],
        })
    }

    /// Pleat `k`, which is not the own one of any place of an interval, does not reach one either.
    #[inline(always)]
    fn ends_before(&self, k: i32, [before, after, strays]: [&Noise; 3], (from, to): (f32, f32)) -> bool {
        let widest = self.back + self.swollen(after.high) - self.swollen(before.low);
        let half = 0.5 * widest.max(0.0);
        let reach = (3.0 * half).max(half + FAR_CREASE * BUMP_ENDS.sqrt()) + 0.01;
        to < self.centre(k, strays.low) - reach || from > self.centre(k, strays.high) + reach
    }
}

#[inline(always)]
fn less(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

#[inline(always)]
fn more(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

#[inline(always)]
fn mask(yes: bool) -> u32 {
    0u32.wrapping_sub(u32::from(yes))
}

/// The value, or 0.
#[inline(always)]
fn masked(mask: u32, value: f32) -> f32 {
    f32::from_bits(value.to_bits() & mask)
}

/// A noise along a stretch, and what it stays between there.
struct Noise {
    cubic: [f32; 4],
    low: f32,
    high: f32,
}
