//! From the state of the cloth to light.

use crate::shot::average;
use colour::{BANDS, BandTables, FEW, FewBands, Illuminant};
use field::{Bands, Grid, Lattice, Plane, Rect, Streaks, clamp01, fir, gaussian_taps, reflect};
use route::{DYES, Design, Patch};
use seen::{Seen, SeenRows};
use std::sync::OnceLock;

mod pixels;
mod seen;

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
    illuminant: Illuminant,
    tables: BandTables,
    /// For pictures, if they are good enough: worked out when the first picture is made.
    few: OnceLock<Option<FewBands>>,
}

/// K/S of wet cloth over dry at full wetness: 1.5-2.5 at 70-120 % water (direction published for direct dyes,
/// Coloration Technology 2011; size own estimate).
const WET: f32 = 0.9;
/// Water up to which cloth looks dry, kg/kg (own estimate).
const DAMP: f32 = 0.12;
/// K/S of waxed cloth over bare, added to 1: wax (index 1.44) fills the pores and is nearer to the fibre (1.55) than water is
/// (1.33), so that waxed cloth scatters no more than wet cloth does (indices: handbooks, from memory; size own estimate).
const WAXED: f32 = 1.0;
/// Light that the smooth face of wax throws back itself, of what falls on it: (0.44 / 2.44)^2 = 3.3 % for an index of 1.44
/// (Fresnel at a right angle), of which a room or a clouded sky sends some two thirds to the eye (own estimate).
const SHEEN: f32 = 0.022;
/// Depth of the weave's light and dark, relative, at full resolution (own estimate, by eye).
const WEAVE: f32 = 0.16;
/// Light on a facet of scrunched cloth that is tilted all the way, relative; and on a crease by how fast it rises over two
/// places of the lattice along the light (own estimates, by eye).
const FACET: f32 = 0.09;
const RIDGE: f32 = 0.55;
/// How softly one facet goes over into the next, mm: wet cotton has no sharp folds like paper (standard deviation of the
/// mean that is taken; own estimate, by eye).
const SOFT: f64 = 3.0;
/// Distance of threads, mm: 70 to the inch (common practice for quilting cotton, no source).
const THREAD: f64 = 25.4 / 70.0;

impl Appearance {
    /// For a design under D65, 10 degrees.
    pub fn new(design: &Design) -> Self {
        Self::under(design, Illuminant::D65)
    }

    /// For a design under a lamp, as an eye sees it that is used to the lamp: white cloth stays white.
    pub fn under(design: &Design, illuminant: Illuminant) -> Self {
        let cards: Vec<&colour::DyeCard> = design.dyes.iter().map(|dye| &**dye).collect();
        Self {
            illuminant,
            tables: BandTables::under(colour::white_cotton(), &cards, illuminant),
            few: OnceLock::new(),
        }
    }

    /// As [`Appearance::light`], for a picture: of fewer bands where the worst mixture of the design's dyes is off by
    /// less than 0.2 dE00 (see [`FewBands`]). Numbers are not taken from it.
    pub fn picture(&self, patch: &Patch) -> [Vec<f32>; 3] {
        match self.few() {
            Some(few) => lit(patch, few),
            None => self.light(patch),
        }
    }

    /// As [`Appearance::picture`], of pixels that are means over squares of `samples` by `samples` samples of light: light,
    /// never dye.
    pub fn pixels(&self, patch: &Patch, samples: usize) -> [Vec<f32>; 3] {
        // Threads, standing creases and the shine of wax are drawn on every sample.
        let on_every_sample = patch.package.is_some() || !patch.wax.is_zero() || Weave::strength(patch) > 0.0;
        if samples != pixels::SIDE || on_every_sample {
            let nx = patch.tile.core.nx as usize;
            return self.picture(patch).map(|plane| average(plane, nx, samples));
        }
        let darken = darkening(patch);
        match self.few() {
            Some(few) => pixels::pixels(&Dyed::of(patch, few, &mut Vec::new()), darken.as_deref()),
            None => pixels::pixels(&Dyed::of(patch, self.all(), &mut Vec::new()), darken.as_deref()),
        }
    }

    /// The bands of pictures, if fewer than all will do.
    fn few(&self) -> Option<Lamp<'_, FEW>> {
        let few = self
            .few
            .get_or_init(|| Some(FewBands::of(&self.tables, self.illuminant)).filter(FewBands::good));
        let few = few.as_ref()?;
        Some((&few.unit, (few.k_max, few.substrate, few.to_rgb)))
    }

    fn all(&self) -> Lamp<'_, BANDS> {
        let tables = &self.tables;
        (&tables.unit, (tables.k_max, tables.substrate, tables.to_rgb))
    }

    /// Linear sRGB (not clipped) of every sample of the tile's core, three planes.
    pub fn light(&self, patch: &Patch) -> [Vec<f32>; 3] {
        lit(patch, self.all())
    }
}

/// What a patch shows of its dyes, and what makes light of it.
struct Dyed<'a, const N: usize> {
    seen: Vec<Seen<'a>>,
    bands: Bands<'a, N>,
    samples: Lattice,
    core: Rect,
}

/// K/S of each dye, K_max, K/S of the cloth, and what each band gives to red, green and blue.
type Lamp<'a, const N: usize> = (&'a [[f32; N]], (f32, [f32; N], [[f32; N]; 3]));

impl<'a, const N: usize> Dyed<'a, N> {
    /// The units of dyes that are there go to `units`, which must outlive this.
    fn of(
        patch: &'a Patch,
        (unit, (k_max, substrate, to_rgb)): Lamp<N>,
        units: &'a mut Vec<[f32; N]>,
    ) -> Self {
        let (samples, core) = patch.fine();
        let mut seen = Vec::new();
        for (dye, unit) in unit.iter().take(DYES).enumerate() {
            if let Some(there) = Seen::of(dye, patch) {
                seen.push(there);
                units.push(*unit);
            }
        }
        Self {
            seen,
            bands: Bands {
                unit: units,
                k_max,
                substrate,
                to_rgb,
            },
            samples,
            core,
        }
    }

    fn rows(&self) -> Vec<SeenRows<'_>> {
        let whole = (self.samples, self.core);
        self.seen.iter().map(|seen| seen.rows(whole)).collect()
    }
}

/// Light of the samples of a patch by bands.
fn lit<const N: usize>(patch: &Patch, lamp: Lamp<N>) -> [Vec<f32>; 3] {
    /// Samples whose dyes are summed at a time: they stay in the first caches until they are light.
    const NEAR: usize = 1536;
    let mut units = Vec::new();
    let dyed = Dyed::of(patch, lamp, &mut units);
    let (nx, ny, n) = (dyed.core.nx as usize, dyed.core.ny as usize, dyed.core.area());
    let mut dyes = dyed.rows();
    let mut weave = Weave::of(patch);
    let darken = darkening(patch);
    let mut out = [vec![0.0f32; n], vec![0.0f32; n], vec![0.0f32; n]];
    let rows = (NEAR / nx.max(1)).max(1);
    let mut amounts = vec![vec![0.0f32; rows * nx]; dyes.len()];
    let mut texture = vec![0.0f32; rows * nx];
    for first in (0..ny).step_by(rows) {
        let part = first * nx..(first + rows).min(ny) * nx;
        for (amounts, dye) in amounts.iter_mut().zip(&mut dyes) {
            dye.sum(first, &mut amounts[..part.len()]);
        }
        if let Some(weave) = &mut weave {
            for (row, to) in (first..).zip(texture[..part.len()].chunks_exact_mut(nx)) {
                weave.row(row, to);
            }
        }
        let slices: Vec<&[f32]> = amounts.iter().map(|amounts| &amounts[..part.len()]).collect();
        reflect(
            &slices,
            weave.is_some().then_some(&texture[..part.len()]),
            darken.as_ref().map(|darken| &darken[part.clone()]),
            &dyed.bands,
            out.each_mut().map(|plane| &mut plane[part.clone()]),
        );
    }
    if let Some(relief) = relief(patch) {
        for plane in &mut out {
            plane
                .iter_mut()
                .zip(&relief)
                .for_each(|(light, lit)| *light *= lit);
        }
    }
    if !patch.wax.is_zero() {
        let (lattice, core) = patch.fine();
        let wax = patch.wax.at_detail(lattice, core);
        for plane in &mut out {
            for (light, wax) in plane.iter_mut().zip(&wax.data) {
                *light += SHEEN * covered(*wax) * (1.0 - *light);
            }
        }
    }
    out
}

/// Light on scrunched cloth over light on flat cloth, with its creases standing as they do when a hand spreads it: facets
/// to and from the light, ridges lit from the left top. `None` while the cloth is open.
fn relief(patch: &Patch) -> Option<Vec<f32>> {
    let taps = gaussian_taps(SOFT / patch.tile.milli.pitch);
    let folds = patch.creases((taps.len() / 2).max(1) as u32)?;
    let (lattice, core) = patch.fine();
    let around = folds.rect;
    let inner = patch.need.milli;
    let facets = Grid {
        lattice: folds.lattice,
        rect: around,
        data: folds.facet,
    };
    let mut lit = fir(&facets, &taps, &taps, inner);
    let (nx, wide) = (inner.nx as usize, around.nx as usize);
    let left = (inner.x0 - around.x0) as usize;
    for (j, row) in lit.data.chunks_exact_mut(nx.max(1)).enumerate() {
        let at = (j + (inner.y0 - around.y0) as usize) * wide + left;
        for (i, lit) in row.iter_mut().enumerate() {
            let rise = folds.crest[at + i + wide + 1] - folds.crest[at + i - wide - 1];
            *lit = 1.0 + FACET * *lit + RIDGE * rise;
        }
    }
    Some(lit.sample_onto(lattice, core).data)
}

/// Share of a place that wax covers, of the kg/m2 that lies there.
fn covered(wax: f32) -> f32 {
    clamp01(wax / 0.15)
}

/// K/S factor of water and wax, where there is any.
fn darkening(patch: &Patch) -> Option<Vec<f32>> {
    let dry = |water: f32| water <= DAMP;
    let none = match &patch.water {
        Plane::Zero => true,
        Plane::Flat(water) => dry(*water),
        Plane::Grid(grid) => grid.data.iter().all(|water| dry(*water)),
        Plane::Veiled(..) => false,
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
                let waxed = covered(*wax);
                (1.0 + WET * wet) * (1.0 + WAXED * waxed)
            })
            .collect(),
    )
}

/// Threads: long slubs along warp and weft, as light and dark of the dye.
struct Weave {
    slubs: Streaks,
    /// First row of the core.
    y0: i32,
    strength: f32,
}

impl Weave {
    fn strength(patch: &Patch) -> f32 {
        WEAVE * clamp01((0.62 - patch.tile.samples.pitch as f32) / 0.4)
    }

    /// `None` where a sample is wider than a thread (it would only beat with the pixels).
    fn of(patch: &Patch) -> Option<Self> {
        let (lattice, core) = patch.fine();
        let strength = Self::strength(patch);
        if strength <= 0.0 || core.is_empty() {
            return None;
        }
        // Threads are drawn no finer than two samples, so that they do not beat with the pixels.
        let width = THREAD.max(2.0 * lattice.pitch);
        Some(Self {
            slubs: Streaks::new(patch.fine(), width, [(9.0, 0x3c19), (11.0, 0x77a1)]),
            y0: core.y0,
            strength,
        })
    }

    /// Factor of every sample of a row of the core.
    fn row(&mut self, row: usize, out: &mut [f32]) {
        self.slubs.row(self.y0 + row as i32, self.strength, out);
    }
}
