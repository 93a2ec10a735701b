//! From the state of the cloth to light.

use field::{Bands, NoiseRows, Plane, clamp01, reflect};
use route::{DYES, Design, Patch, positions};

/// Which part of the cloth a number speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Region {
    /// Bare cloth.
    Ground,
    /// Waxed cloth, or cloth that was waxed last.
    Motif,
}

/// What turns dye into light for one design: spectra of its dyes, the white cloth, the screen.
pub struct Appearance {
    tables: colour::BandTables,
}

/// K/S of wet cloth over dry at full wetness: 1.5-2.5 at 70-120 % water (direction published for direct dyes,
/// Coloration Technology 2011; size own estimate).
const WET: f32 = 0.9;
/// Water up to which cloth looks dry, kg/kg (own estimate).
const DAMP: f32 = 0.12;
/// K/S of waxed cloth over bare: wax fills the pores and scatters less (own estimate).
const WAXED: f32 = 0.35;
/// Depth of the weave's light and dark, relative, at full resolution (own estimate, by eye).
const WEAVE: f32 = 0.16;
/// Distance of threads, mm: 70 to the inch (common practice for quilting cotton, no source).
const THREAD: f32 = 25.4 / 70.0;

impl Appearance {
    /// For a design under D65, 10 degrees.
    pub fn new(design: &Design) -> Self {
        let cards: Vec<&colour::DyeCard> = design.dyes.iter().map(|dye| &**dye).collect();
        Self {
            tables: colour::BandTables::of(colour::white_cotton(), &cards),
        }
    }

    /// Linear sRGB (not clipped) of every sample of the tile's core, three planes.
    pub fn light(&self, patch: &Patch) -> [Vec<f32>; 3] {
        let (_, core) = patch.fine();
        let n = core.nx as usize * core.ny as usize;
        let mut planes: Vec<Vec<f32>> = Vec::new();
        let mut units: Vec<[f32; 31]> = Vec::new();
        for dye in 0..self.tables.unit.len().min(DYES) {
            let mut total = vec![0.0f32; n];
            let mut any = false;
            for plane in patch.seen(dye) {
                any |= add_onto(&mut total, plane, patch);
            }
            if any {
                planes.push(total);
                units.push(self.tables.unit[dye]);
            }
        }
        let texture = weave(patch);
        let darken = darkening(patch);
        let bands = Bands {
            unit: &units,
            k_max: self.tables.k_max,
            substrate: self.tables.substrate,
            to_rgb: self.tables.to_rgb,
        };
        let mut out = [vec![0.0f32; n], vec![0.0f32; n], vec![0.0f32; n]];
        let [r, g, b] = &mut out;
        let slices: Vec<&[f32]> = planes.iter().map(Vec::as_slice).collect();
        reflect(&slices, texture.as_deref(), darken.as_deref(), &bands, [r, g, b]);
        out
    }
}

/// Adds a plane, seen on the samples of the core. Answers whether there was anything to add.
fn add_onto(total: &mut [f32], plane: &Plane, patch: &Patch) -> bool {
    match plane {
        Plane::Zero => false,
        Plane::Flat(v) => {
            total.iter_mut().for_each(|t| *t += v);
            *v != 0.0
        }
        Plane::Grid(_) => {
            let (lattice, core) = patch.fine();
            let grid = plane.at_detail(lattice, core);
            total.iter_mut().zip(&grid.data).for_each(|(t, v)| *t += v);
            true
        }
    }
}

/// K/S factor of water and wax, where there is any.
fn darkening(patch: &Patch) -> Option<Vec<f32>> {
    let dry = |water: f32| water <= DAMP;
    let none = match &patch.water {
        Plane::Zero => true,
        Plane::Flat(water) => dry(*water),
        Plane::Grid(grid) => grid.data.iter().all(|water| dry(*water)),
    };
    if none && patch.wax.is_zero() {
        return None;
    }
    let (lattice, core) = patch.fine();
    let water = patch.water.at_detail(lattice, core);
    let wax = patch.wax.at_detail(lattice, core);
    Some(
        water
            .data
            .iter()
            .zip(&wax.data)
            .map(|(water, wax)| {
                let wet = clamp01((water - DAMP) / 0.7);
                let waxed = clamp01(wax / 0.15);
                (1.0 + WET * wet) * (1.0 + WAXED * waxed)
            })
            .collect(),
    )
}

/// Threads: long slubs along warp and weft, as light and dark of the dye. Nothing where a sample is wider than
/// a thread (it would only beat with the pixels).
fn weave(patch: &Patch) -> Option<Vec<f32>> {
    let (lattice, core) = patch.fine();
    let pitch = lattice.pitch as f32;
    let strength = WEAVE * clamp01((0.62 - pitch) / 0.4);
    if strength <= 0.0 {
        return None;
    }
    let nx = core.nx as usize;
    let xs = positions(lattice, core.x0, core.nx);
    let mut out = vec![0.0; nx * core.ny as usize];
    // Threads are drawn no finer than two samples, so that they do not beat with the pixels.
    let per_mm = 1.0 / THREAD.max(2.0 * pitch);
    let mut warp = NoiseRows::new(xs.iter().map(|x| x * per_mm), 0x77a1);
    let mut weft = NoiseRows::new(xs.iter().map(|x| x * (1.0 / 9.0)), 0x3c19);
    let mut across = vec![0.0; nx];
    for (y, row) in positions(lattice, core.y0, core.ny)
        .iter()
        .zip(out.chunks_exact_mut(nx.max(1)))
    {
        warp.go(y * (1.0 / 11.0));
        warp.fill(0, row);
        weft.go(y * per_mm);
        weft.fill(0, &mut across);
        weave_row(&across, strength, row);
    }
    Some(out)
}

field::lanes! {
    /// From the warp's noise and the weft's to light and dark.
    fn weave_row(weft: &[f32], strength: f32, warp: &mut [f32]) {
        for (to, weft) in warp.iter_mut().zip(weft) {
            *to = 1.0 + strength * (*to + weft);
        }
    }
}
