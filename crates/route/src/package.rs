//! Scrunched cloth: the map from the open cloth to the package that the sponges, the soda and the sun meet.
//!
//! Three maps one after the other, each of them keeping area exactly:
//!
//! 1. shears by smooth bounded functions (x by a function of y, then y by a function of x, and again), which
//!    bend the crease lines;
//! 2. four zig-zags, each along its own direction, 45 degrees apart: forward runs and back runs of slope +1 and
//!    -1. The back run of pleat k is `b_k = b + e_k - e_(k-1)` with bounded smooth `e`, so that the cloth
//!    gathered before pleat k is `2 k b + 2 e_(k-1)`: it cannot drift down the bolt, and where `b_k` falls to
//!    nothing a crease ends. Each zig-zag meets cloth that the earlier ones have folded, so creases break at
//!    creases, as they do under the hand: short, branching, in all directions;
//! 3. crumples: a warped cell pattern whose facets tilt to and from the light (no map, only light and dye).
//!
//! A zig-zag along direction n contracts by `s = 1 - 2 b / pitch` along n only; contractions multiply, so the
//! logarithms add up as tensors `ln s n n^T`. 44 in to 24 in and 15 yd to 8 yd (common practice, no source)
//! fix the sum; it is shared out between the four.

mod squares;

use crate::patch::Folds;
use field::{Lattice, Rect, cells, clamp01, floor_i32, hash2, noise, noise1};

/// A folded bolt.
#[derive(Clone, Debug, PartialEq)]
pub struct Package {
    /// Seed of all its random functions.
    pub seed: u32,
    /// Mean distance of creases of one direction, mm.
    pub pitch: f32,
    /// Size of the package over size of the cloth, across and along.
    pub contraction: (f32, f32),
    /// Size of the crumple facets, mm.
    pub crumple: f32,
}

/// A package with its constants worked out.
pub struct Ready {
    seed: u32,
    crumple: f32,
    pleats: [Pleats; 4],
}

/// One zig-zag.
struct Pleats {
    cos: f32,
    sin: f32,
    pitch: f32,
    back: f32,
    seed: u32,
}

/// One point of the cloth in the package.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Folded {
    /// Package coordinate across, mm.
    pub u: f32,
    /// Package coordinate along, mm.
    pub v: f32,
    /// Layers of cloth above.
    pub depth: f32,
    /// 0..1, near the line of a crease.
    pub crest: f32,
    /// -1..1, how the facet is tilted.
    pub facet: f32,
}

/// Amplitudes (mm) and wavelengths (mm) of the shears (own estimate, by the spectrum test); bounded, so that shear
/// does not grow down the bolt.
const SHEAR: [(f32, f32); 3] = [(60.0, 330.0), (60.0, 290.0), (40.0, 190.0)];
/// Wavelength of a shear's second wave over that of its first.
const SECOND_WAVE: f32 = 0.43;
/// Wavelength of a pleat's own wandering and swelling along its line, mm (own estimate).
const WANDER: f32 = 160.0;
const SWELL: f32 = 105.0;
/// Where along its noise a pleat's wandering begins.
const WANDER_STARTS: f32 = 5.3;
/// The most that a pleat strays from its place, over the pitch (own estimate).
const STRAY: f32 = 0.26;
/// Half width of the softer crease of a pleat, mm (own estimate).
const FAR_CREASE: f32 = 2.6;
/// Where [`bump`] ends.
const BUMP_ENDS: f32 = 8.5;
/// Wavelength of the warp of the crumples and its size, mm (own estimate), and the width of their ridges.
const WARP: (f32, f32) = (61.0, 14.0);
const RIDGE: f32 = 3.2;
/// Directions of the four zig-zags, as cosine and sine: 22.5, 112.5, 67.5 and 157.5 degrees, so that none lies along
/// the weave; each with its pitch over the package's.
const DIRECTIONS: [(f32, f32, f32); 4] = [
    (0.923_879_5, 0.382_683_43, 1.0),
    (-0.382_683_43, 0.923_879_5, 1.15),
    (0.382_683_43, 0.923_879_5, 0.85),
    (-0.923_879_5, 0.382_683_43, 0.75),
];

impl Package {
    /// Mean number of layers: one over the product of the contractions.
    pub fn layers(&self) -> f32 {
        1.0 / (self.contraction.0 * self.contraction.1)
    }

    /// Contraction of each zig-zag: with normals at 22.5 + 45 k degrees the four tensors add up to
    /// `sum of (a + b cos 2 t) n n^T` = 2 a I + b diag(1, -1), which gives a and b.
    fn shares(&self) -> [f32; 4] {
        let (across, along) = (
            f64::from(self.contraction.0).ln(),
            f64::from(self.contraction.1).ln(),
        );
        let (a, b) = ((across + along) / 4.0, (across - along) / 2.0);
        DIRECTIONS.map(|(c, s, _)| (a + b * f64::from(c * c - s * s)).exp() as f32)
    }

    /// The package made ready for many points.
    pub fn ready(&self) -> Ready {
        let shares = self.shares();
        Ready {
            seed: self.seed,
            crumple: self.crumple,
            pleats: std::array::from_fn(|k| {
                let (cos, sin, size) = DIRECTIONS[k];
                let pitch = self.pitch * size;
                Pleats {
                    cos,
                    sin,
                    pitch,
                    back: 0.5 * (1.0 - shares[k]) * pitch,
                    seed: self.seed ^ (0x51ed_2701u32.wrapping_mul(k as u32 + 1)),
                }
            }),
        }
    }

    /// One point. Positions in mm on the open cloth.
    pub fn at(&self, x: f32, y: f32) -> Folded {
        self.ready().at(x, y)
    }

    /// Points anywhere, many at once: positions as (x, y), mm.
    pub fn probe(&self, places: impl Iterator<Item = (f32, f32)>) -> Vec<Folded> {
        let (xs, ys): (Vec<f32>, Vec<f32>) = places.unzip();
        let mut arrays: [Vec<f32>; 5] = std::array::from_fn(|_| vec![0.0; xs.len()]);
        let [u, v, depth, crest, facet] = &mut arrays;
        points(&self.ready(), &xs, &ys, u, v, depth, crest, facet);
        let [u, v, depth, crest, facet] = arrays;
        (0..xs.len())
            .map(|i| Folded {
                u: u[i],
                v: v[i],
                depth: depth[i],
                crest: crest[i],
                facet: facet[i],
            })
            .collect()
    }

    /// The map under a rectangle of a lattice; what is `known` of it on that lattice is taken from there.
    ///
    /// It is made in whole squares of the lattice, so that a sample has the same value in every rectangle: one that ends
    /// where squares end ([`Package::whole`]) wastes none.
    pub fn map(&self, lattice: Lattice, rect: Rect, known: Option<&Folds>) -> Folds {
        squares::map(&self.ready(), lattice, rect, known)
    }

    /// The smallest rectangle of whole squares around another.
    pub fn whole(rect: Rect) -> Rect {
        squares::whole(rect)
    }
}

/// Samples worked on at a time: every inner loop runs over them, so that it turns into vector code.
const BLOCK: usize = 64;

field::lanes! {
    #[allow(clippy::too_many_arguments)]
    fn points(package: &Ready, xs: &[f32], ys: &[f32], u: &mut [f32], v: &mut [f32], depth: &mut [f32], crest: &mut [f32], facet: &mut [f32]) {
        for from in (0..xs.len()).step_by(BLOCK) {
            let to = (from + BLOCK).min(xs.len());
            package.block(|i| ys[from..to][i], &xs[from..to], &mut u[from..to], &mut v[from..to], &mut depth[from..to], &mut crest[from..to], &mut facet[from..to]);
        }
    }
}

impl Ready {
    /// One point. Positions in mm on the open cloth.
    pub fn at(&self, x: f32, y: f32) -> Folded {
        let (mut u, mut v, mut depth, mut crest, mut facet) = ([0.0], [0.0], [0.0], [0.0], [0.0]);
        self.block(|_| y, &[x], &mut u, &mut v, &mut depth, &mut crest, &mut facet);
        Folded {
            u: u[0],
            v: v[0],
            depth: depth[0],
            crest: crest[0],
            facet: facet[0],
        }
    }

    /// A few points, all of one row or not: the same arithmetic for one as for many.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    fn block(
        &self,
        y_at: impl Fn(usize) -> f32,
        xs: &[f32],
        u: &mut [f32],
        v: &mut [f32],
        depth: &mut [f32],
        crest: &mut [f32],
        facet: &mut [f32],
    ) {
        let n = xs.len();
        let (u, v, depth, crest, facet) = (
            &mut u[..n],
            &mut v[..n],
            &mut depth[..n],
            &mut crest[..n],
            &mut facet[..n],
        );
        let seed = self.seed;
        for i in 0..n {
            (u[i], v[i]) = shear(xs[i], y_at(i), seed);
            depth[i] = 0.0;
            crest[i] = 0.0;
        }
        for pleats in &self.pleats {
            for i in 0..n {
                let (p, q) = (
                    pleats.cos * u[i] + pleats.sin * v[i],
                    pleats.cos * v[i] - pleats.sin * u[i],
                );
                let folded = pleats.fold(p, q);
                u[i] = pleats.cos * folded.run - pleats.sin * q;
                v[i] = pleats.sin * folded.run + pleats.cos * q;
                depth[i] += folded.above;
                crest[i] += folded.crest;
            }
        }
        let per_mm = 1.0 / self.crumple;
        for i in 0..n {
            let y = y_at(i);
            let (wave, size) = WARP;
            let (nx, ny) = (xs[i] / wave, y / wave);
            let (wx, wy) = (
                xs[i] + size * noise(nx, ny, seed ^ 11),
                y + size * noise(nx, ny, seed ^ 12),
            );
            let cell = cells(wx * per_mm, wy * per_mm, seed ^ 13);
            (facet[i], crest[i]) = self.crumpled(cell.f1, cell.f2, cell.id1, crest[i]);
        }
    }

    /// Tilt of a facet, and its ridge together with the creases there.
    #[inline(always)]
    fn crumpled(&self, f1: f32, f2: f32, id1: u32, crest: f32) -> (f32, f32) {
        let ridge = clamp01(1.0 - (f2 - f1) * self.crumple / RIDGE);
        let facet = (id1 & 0xffff) as i32 as f32 * (2.0 / 65535.0) - 1.0;
        (facet, clamp01(crest + 0.35 * ridge * ridge))
    }
}

/// Area-preserving: each line moves one coordinate by a function of the other.
#[inline(always)]
fn shear(x: f32, y: f32, seed: u32) -> (f32, f32) {
    let x1 = x + bend(y, 0, seed);
    let y1 = y + bend(x1, 1, seed);
    let x2 = x1 + bend(y1, 2, seed);
    (x2, y1)
}

/// How far shear `k` moves what lies at `t`.
#[inline(always)]
fn bend(t: f32, k: usize, seed: u32) -> f32 {
    let [first, second] = [0, 1].map(|wave| noise1(t / bend_wave(k, wave), bend_seed(k, wave, seed)));
    bent(k, first, second)
}

/// Wavelength of the first or second wave of shear `k`, mm.
#[inline(always)]
fn bend_wave(k: usize, wave: usize) -> f32 {
    if wave == 0 {
        SHEAR[k].1
    } else {
        SECOND_WAVE * SHEAR[k].1
    }
}

/// Seed of the first or second wave of shear `k`.
#[inline(always)]
fn bend_seed(k: usize, wave: usize, seed: u32) -> u32 {
    seed ^ (k as u32 * 7 + 1 + wave as u32)
}

/// How far shear `k` moves, by its two waves.
#[inline(always)]
fn bent(k: usize, first: f32, second: f32) -> f32 {
    SHEAR[k].0 * (first + 0.4 * second)
}

struct Pleated {
    run: f32,
    above: f32,
    crest: f32,
}

impl Pleats {
    /// Folds coordinate `p` to and fro; `q` runs along the pleat lines.
    #[inline(always)]
    fn fold(&self, p: f32, q: f32) -> Pleated {
        let at = p / self.pitch;
        let k0 = floor_i32(at);
        // A pleat lies within 0.4 of a pitch of its middle, which strays by 0.26 of it at most: of the two beside this
        // one only the nearer can be met.
        let left = at - (k0 as f32) < 0.5;
        let (ours_before, ours) = (self.swell(k0 - 1, q), self.swell(k0, q));
        let third = self.swell(if left { k0 - 2 } else { k0 + 1 }, q);
        let here = self.pleat(k0, p, q, ours_before, ours);
        let (k1, before, own) = if left {
            (k0 - 1, third, ours_before)
        } else {
            (k0 + 1, ours, third)
        };
        let beside = self.pleat(k1, p, q, before, own);
        Pleated {
            run: here.run,
            above: here.above + beside.above,
            crest: clamp01(here.crest + beside.crest),
        }
    }

    /// How much of the gathering pleat `k` shifts to the next, mm. Steep, so that a pleat is either there or not
    /// along most of its line.
    #[inline(always)]
    fn swell(&self, k: i32, q: f32) -> f32 {
        self.swollen(noise1(q / SWELL + swell_starts(k), self.swell_seed(k)))
    }

    #[inline(always)]
    fn swollen(&self, noise: f32) -> f32 {
        0.5 * self.back * squash(3.4 * noise)
    }

    #[inline(always)]
    fn swell_seed(&self, k: i32) -> u32 {
        self.seed ^ (k as u32).wrapping_mul(0x85EB_CA77)
    }

    /// Seed of what is pleat `k`'s own.
    #[inline(always)]
    fn own(&self, k: i32) -> u32 {
        hash2(k, 3, self.seed)
    }

    /// The middle of pleat `k`, mm, by a noise along it.
    #[inline(always)]
    fn centre(&self, k: i32, noise: f32) -> f32 {
        (k as f32 + 0.5) * self.pitch + STRAY * self.pitch * squash(2.0 * noise)
    }

    #[inline(always)]
    fn pleat(&self, k: i32, p: f32, q: f32, e_before: f32, e: f32) -> Pleated {
        let own = self.own(k);
        let centre = self.centre(k, noise1(q / WANDER + WANDER_STARTS, own));
        self.across(k, own, p, centre, e_before, e)
    }

    /// Across pleat `k`: where a place comes to lie, and what lies on it.
    #[inline(always)]
    fn across(&self, k: i32, own: u32, p: f32, centre: f32, e_before: f32, e: f32) -> Pleated {
        let mean = self.back;
        let b = mean + e - e_before;
        let d = p - centre;
        let half = 0.5 * b;
        let gathered = 2.0 * mean * k as f32 + 2.0 * e_before;
        let ahead = if d < half {
            centre - b - d - gathered
        } else {
            p - 2.0 * b - gathered
        };
        let run = if d < -half { p - gathered } else { ahead };
        // The pleat may lie to either side: what is on top changes with it.
        let side = if own & 1 == 0 { d } else { -d };
        let a = side.abs();
        let under = if a < 3.0 * half && side <= 0.0 { 2.0 } else { 0.0 };
        let above = if a < half { 1.0 } else { under };
        let there = clamp01(b * 0.12 - 0.35);
        let (near, far) = ((side - half) / 1.9, (side + half) / FAR_CREASE);
        Pleated {
            run,
            above,
            crest: there * (bump(near * near) + 0.6 * bump(far * far)),
        }
    }
}

/// Where along its noise pleat `k` begins to swell.
#[inline(always)]
fn swell_starts(k: i32) -> f32 {
    (k & 1023) as f32 * 0.37
}

/// Nearly `exp(-square)` (within 0.02), and nothing where `square` is [`BUMP_ENDS`] or more: what is far from a crease
/// need not be looked at.
#[inline(always)]
fn bump(square: f32) -> f32 {
    let t = 1.0 - square * (1.0 / BUMP_ENDS);
    let t = if t > 0.0 { t } else { 0.0 };
    let t = t * t;
    let t = t * t;
    t * t
}

/// Keeps a noise inside -1..1.
#[inline(always)]
fn squash(t: f32) -> f32 {
    let c = t.clamp(-1.5, 1.5);
    c - c * c * c * (4.0 / 27.0)
}
