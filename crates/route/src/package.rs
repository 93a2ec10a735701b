//! Scrunched cloth: the map from the open cloth to the package that the sponges, the soda and the sun meet.
//!
//! Three maps one after the other, each of them keeping area exactly:
//!
//! 1. two shears by smooth bounded functions (x by a function of y, then y by a function of x, twice), which
//!    turn the crease lines by up to some 35 degrees to either side, so that no direction of the weave stands
//!    out from a metre away;
//! 2. a zig-zag across, then one along: forward runs and back runs of slope +1 and -1. The back run of pleat
//!    k is `b_k = b + e_k - e_(k-1)` with bounded smooth `e`, so that the cloth gathered before pleat k is
//!    `2 k b + 2 e_(k-1)`: it cannot drift down the bolt, and where `b_k` falls to nothing a crease ends;
//! 3. crumples: a warped cell pattern whose facets tilt to and from the light (no map, only light and dye).
//!
//! Contraction is `1 - 2 b / pitch` per axis: 44 in to 24 in, 15 yd to 8 yd (common practice, no source).

use crate::patch::{Folds, positions};
use field::{Lattice, Rect, cells, clamp01, exp, floor_i32, hash2, noise, noise1};

/// A folded bolt.
#[derive(Clone, Debug, PartialEq)]
pub struct Package {
    /// Seed of all its random functions.
    pub seed: u32,
    /// Mean distance of pleats across and along, mm.
    pub pitch: (f32, f32),
    /// Size of the package over size of the cloth, across and along.
    pub contraction: (f32, f32),
    /// Size of the crumple facets, mm.
    pub crumple: f32,
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

/// Amplitudes (mm) and wavelengths (mm) of the shears: chosen so that crease directions spread evenly enough
/// for the spectrum test (own measure, see the plaid test); bounded, so that shear does not grow down the bolt.
const SHEAR: [(f32, f32); 3] = [(95.0, 330.0), (95.0, 300.0), (60.0, 210.0)];
/// Wavelength of a pleat's own wandering and swelling along its line, mm (own estimate).
const WANDER: f32 = 190.0;
const SWELL: f32 = 150.0;

impl Package {
    /// Mean number of layers: one over the product of the contractions.
    pub fn layers(&self) -> f32 {
        1.0 / (self.contraction.0 * self.contraction.1)
    }

    /// One point. Positions in mm on the open cloth.
    #[inline(always)]
    pub fn at(&self, x: f32, y: f32) -> Folded {
        let seed = self.seed;
        let (x1, y1) = shear(x, y, seed);
        let back =
            (0.5 * (1.0 - self.contraction.0) * self.pitch.0, 0.5 * (1.0 - self.contraction.1) * self.pitch.1);
        let across = zigzag(x1, y1, self.pitch.0, back.0, seed ^ 0x51ed_2701);
        let along = zigzag(y1, x1, self.pitch.1, back.1, seed ^ 0x2c1b_3c6d);

        let (wx, wy) = (x + 14.0 * noise(x / 61.0, y / 61.0, seed ^ 11), y + 14.0 * noise(x / 61.0, y / 61.0, seed ^ 12));
        let cell = cells(wx / self.crumple, wy / self.crumple, seed ^ 13);
        let ridge = clamp01(1.0 - (cell.f2 - cell.f1) * self.crumple / 3.2);
        let tilt = (cell.id1 & 0xffff) as i32 as f32 * (2.0 / 65535.0) - 1.0;
        let crest = across.crest + along.crest;
        Folded {
            u: across.run,
            v: along.run,
            depth: across.above + along.above,
            crest: clamp01(crest + 0.35 * ridge * ridge),
            facet: tilt,
        }
    }

    /// The map under a rectangle of a lattice.
    pub fn map(&self, lattice: Lattice, rect: Rect) -> Folds {
        let n = rect.nx as usize * rect.ny as usize;
        let mut folds =
            Folds { rect, u: vec![0.0; n], v: vec![0.0; n], depth: vec![0.0; n], crest: vec![0.0; n], facet: vec![0.0; n] };
        let xs = positions(lattice, rect.x0, rect.nx);
        let ys = positions(lattice, rect.y0, rect.ny);
        let nx = rect.nx as usize;
        for (j, y) in ys.iter().enumerate() {
            let row = j * nx..(j + 1) * nx;
            map_row(
                self,
                *y,
                &xs,
                &mut folds.u[row.clone()],
                &mut folds.v[row.clone()],
                &mut folds.depth[row.clone()],
                &mut folds.crest[row.clone()],
                &mut folds.facet[row],
            );
        }
        folds
    }
}

field::lanes! {
    #[allow(clippy::too_many_arguments)]
    fn map_row(package: &Package, y: f32, xs: &[f32], u: &mut [f32], v: &mut [f32], depth: &mut [f32], crest: &mut [f32], facet: &mut [f32]) {
        let n = xs.len();
        let (u, v, depth, crest, facet) = (&mut u[..n], &mut v[..n], &mut depth[..n], &mut crest[..n], &mut facet[..n]);
        for i in 0..n {
            let p = package.at(xs[i], y);
            u[i] = p.u;
            v[i] = p.v;
            depth[i] = p.depth;
            crest[i] = p.crest;
            facet[i] = p.facet;
        }
    }
}

/// Area-preserving: each line moves one coordinate by a function of the other.
#[inline(always)]
fn shear(x: f32, y: f32, seed: u32) -> (f32, f32) {
    let bend = |t: f32, k: usize| {
        let (size, wave) = SHEAR[k];
        size * (noise1(t / wave, seed ^ (k as u32 * 7 + 1)) + 0.4 * noise1(t / (0.43 * wave), seed ^ (k as u32 * 7 + 2)))
    };
    let x1 = x + bend(y, 0);
    let y1 = y + bend(x1, 1);
    let x2 = x1 + bend(y1, 2);
    (x2, y1)
}

struct Pleated {
    run: f32,
    above: f32,
    crest: f32,
}

/// Folds coordinate `p` to and fro; `q` runs along the pleat lines.
#[inline(always)]
fn zigzag(p: f32, q: f32, pitch: f32, mean: f32, seed: u32) -> Pleated {
    let k0 = floor_i32(p / pitch);
    let own = |k: i32, what: i32| hash2(k, what, seed);
    let swell = |k: i32| 0.5 * mean * squash(1.7 * noise1(q / SWELL + (k & 1023) as f32 * 0.37, own(k, 1)));
    let e = [swell(k0 - 2), swell(k0 - 1), swell(k0), swell(k0 + 1)];
    let mut above = 0.0;
    let mut crest = 0.0;
    let mut run = 0.0;
    for m in 0..3usize {
        let k = k0 - 1 + m as i32;
        let b = mean + e[m + 1] - e[m];
        let centre = (k as f32 + 0.5) * pitch + 0.20 * pitch * squash(1.7 * noise1(q / WANDER + 5.3, own(k, 2)));
        let d = p - centre;
        let half = 0.5 * b;
        if m == 1 {
            let gathered = 2.0 * mean * k as f32 + 2.0 * e[1];
            run = if d < -half {
                p - gathered
            } else if d < half {
                centre - b - d - gathered
            } else {
                p - 2.0 * b - gathered
            };
        }
        // The pleat may lie to either side: what is on top changes with it.
        let side = if own(k, 3) & 1 == 0 { d } else { -d };
        let a = side.abs();
        let layer = if a < half {
            1.0
        } else if a < 3.0 * half {
            if side > 0.0 { 0.0 } else { 2.0 }
        } else {
            0.0
        };
        above += layer;
        let there = clamp01(b * 0.12 - 0.35);
        let (near, far) = ((side - half) / 1.9, (side + half) / 2.6);
        crest += there * (exp(-near * near) + 0.6 * exp(-far * far));
    }
    Pleated { run, above, crest: clamp01(crest) }
}

/// Keeps a noise inside -1..1.
#[inline(always)]
fn squash(t: f32) -> f32 {
    let c = t.clamp(-1.5, 1.5);
    c - c * c * c * (4.0 / 27.0)
}
