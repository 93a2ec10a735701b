//! The state of the cloth under one tile.

use crate::Package;
use field::{Grid, Lattice, Need, Plane, Rect, Tile, View};
use std::sync::Arc;

/// Most dyes in one design.
pub const DYES: usize = 8;

/// Cloth under one tile, f32. Seen colour = loose + spent + fast, darkened by water and wax.
///
/// Every plane covers `need` of its lattice (or the tile's core on the sample lattice) after each step.
#[derive(Clone)]
pub struct Patch {
    /// The tile: sample lattice, the two coarser lattices and the core.
    pub tile: Tile,
    /// What planes on the two coarser lattices must cover so that the core can be read.
    pub need: Need,
    /// Where the step that is being done must lay its marks before it spreads them: `need` and its own reach.
    pub before: Need,
    /// Unfixed dye, g/kg.
    pub loose: [Plane; DYES],
    /// Hydrolysed dye still in the cloth, g/kg.
    pub spent: [Plane; DYES],
    /// Bound dye, g/kg.
    pub fast: [Plane; DYES],
    /// Water, kg/kg.
    pub water: Plane,
    /// Soda ash that reaches the cloth, kg/m2.
    pub soda: Plane,
    /// Wax on the cloth, kg/m2 (0 where bare).
    pub wax: Plane,
    /// Signed distance to the wax edge, mm, positive inside; far outside where there is no wax.
    pub rim: Plane,
    /// Share of the fibre under intact wax that a bath reaches all the same: cracks, skips, thin places, back.
    pub leak: Plane,
    /// Chlorine dose taken by the fibre, (mol/L) s.
    pub wear: Plane,
    /// The package, while the cloth is folded. Set by whoever develops the cloth.
    pub package: Option<Arc<Package>>,
    folds: Option<(Arc<Package>, Vec<Arc<Folds>>)>,
}

/// The fold map under a tile, on one lattice.
pub struct Folds {
    /// The lattice of the arrays.
    pub lattice: Lattice,
    /// Where they lie.
    pub rect: Rect,
    /// Package coordinate across, mm.
    pub u: Vec<f32>,
    /// Package coordinate along, mm.
    pub v: Vec<f32>,
    /// Layers above.
    pub depth: Vec<f32>,
    /// 0..1, near the line of a crease.
    pub crest: Vec<f32>,
    /// -1..1, how the facet is tilted.
    pub facet: Vec<f32>,
}

impl Folds {
    fn onto(&self, lattice: Lattice, rect: Rect) -> Self {
        let move_one = |data: &[f32]| {
            let view = View {
                lattice: self.lattice,
                rect: self.rect,
                data,
            };
            view.sample_onto(lattice, rect).data
        };
        Self {
            lattice,
            rect,
            u: move_one(&self.u),
            v: move_one(&self.v),
            depth: move_one(&self.depth),
            crest: move_one(&self.crest),
            facet: move_one(&self.facet),
        }
    }
}

/// Distance that stands for "no wax anywhere near", mm.
pub const FAR_FROM_WAX: f32 = -1000.0;

impl Patch {
    /// White dry cloth.
    pub fn white(tile: Tile, need: Need) -> Self {
        Self {
            tile,
            need,
            before: need,
            loose: std::array::from_fn(|_| Plane::Zero),
            spent: std::array::from_fn(|_| Plane::Zero),
            fast: std::array::from_fn(|_| Plane::Zero),
            water: Plane::Zero,
            soda: Plane::Zero,
            wax: Plane::Zero,
            rim: Plane::Flat(FAR_FROM_WAX),
            leak: Plane::Zero,
            wear: Plane::Zero,
            package: None,
            folds: None,
        }
    }

    /// The rectangle that a plane on the millimetre lattice must cover now.
    pub fn milli(&self) -> (Lattice, Rect) {
        (self.tile.milli, self.need.milli)
    }
    /// The rectangle that a plane on the half-millimetre lattice must cover now.
    pub fn half(&self) -> (Lattice, Rect) {
        (self.tile.half, self.need.half)
    }
    /// The samples of the picture.
    pub fn fine(&self) -> (Lattice, Rect) {
        (self.tile.samples, self.tile.core)
    }

    /// The fold map on a lattice, `None` while the cloth is open. It is worked out once per package, on the
    /// millimetre lattice over everything that any step reads there, and interpolated to a finer lattice: the map is
    /// continuous, so only its kinks are rounded, by half a millimetre.
    pub fn folds(&mut self, (lattice, rect): (Lattice, Rect)) -> Option<Arc<Folds>> {
        let package = self.package.as_ref()?;
        let kept = self
            .folds
            .as_ref()
            .filter(|(of, _)| Arc::ptr_eq(of, package))
            .map(|(_, folds)| folds);
        if let Some(folds) = kept
            .iter()
            .flat_map(|all| all.iter())
            .find(|f| f.lattice == lattice && f.rect == rect)
        {
            return Some(folds.clone());
        }
        let milli = self.tile.milli;
        let wide = Package::whole(self.before.milli.union(self.need.milli));
        let base = kept
            .and_then(|all| {
                all.iter()
                    .find(|f| f.lattice == milli && f.rect.contains(wide))
                    .cloned()
            })
            .unwrap_or_else(|| {
                let known = kept.and_then(|all| all.iter().find(|f| f.lattice == milli));
                Arc::new(package.map(milli, wide, known.map(|known| &**known)))
            });
        let folds = if base.lattice == lattice && base.rect == rect {
            base.clone()
        } else {
            Arc::new(base.onto(lattice, rect))
        };
        let package = package.clone();
        if self
            .folds
            .as_ref()
            .is_none_or(|(of, _)| !Arc::ptr_eq(of, &package))
        {
            self.folds = Some((package, Vec::new()));
        }
        if let Some((_, all)) = &mut self.folds {
            // Of bases the last holds all that the others do; it stands before the parts that were taken of it.
            if !all.iter().any(|kept| Arc::ptr_eq(kept, &base)) {
                all.retain(|kept| kept.lattice != milli);
                all.push(base.clone());
            }
            if !Arc::ptr_eq(&folds, &base) {
                all.push(folds.clone());
            }
        }
        Some(folds)
    }

    /// The fold map under the samples of the picture on the millimetre lattice, with so many places more on each side, so
    /// that slopes and means can be taken; `None` while the cloth is open.
    pub fn creases(&self, beyond: u32) -> Option<Folds> {
        let package = self.package.as_ref()?;
        let rect = self.need.milli.expand(beyond, beyond);
        Some(package.map(self.tile.milli, rect, None))
    }

    /// A copy to go on from later. While the cloth is open the last fold map is left out of it: nothing will ask for it.
    pub fn kept(&self, folded: bool) -> Self {
        let mut copy = self.clone();
        if !folded {
            (copy.package, copy.folds) = (None, None);
        }
        copy
    }

    /// Memory its planes and fold maps take, bytes.
    pub fn bytes(&self) -> usize {
        let dyes = self.loose.iter().chain(&self.spent).chain(&self.fast);
        let rest = [
            &self.water,
            &self.soda,
            &self.wax,
            &self.rim,
            &self.leak,
            &self.wear,
        ];
        // A veil is shared by the planes under it.
        let mut veils: Vec<*const Grid> = Vec::new();
        let mut planes = 0;
        for mut plane in dyes.chain(rest) {
            if let Plane::Veiled(under, veil) = plane {
                if !veils.contains(&Arc::as_ptr(veil)) {
                    veils.push(Arc::as_ptr(veil));
                    planes += veil.data.len();
                }
                plane = under;
            }
            if let Plane::Grid(grid) = plane {
                planes += grid.data.len();
            }
        }
        let folds = self.folds.iter().flat_map(|(_, all)| all);
        let maps: usize = folds.map(|folds| 5 * folds.u.len()).sum();
        size_of::<Self>() + size_of::<f32>() * (planes + maps)
    }

    /// All dye planes of one dye that can be seen.
    pub fn seen(&self, dye: usize) -> [&Plane; 3] {
        [&self.loose[dye], &self.spent[dye], &self.fast[dye]]
    }
}

/// Positions of a row or column of samples, mm.
pub fn positions(lattice: Lattice, from: i32, n: u32) -> Vec<f32> {
    (0..n)
        .map(|i| ((f64::from(from) + f64::from(i) + 0.5) * lattice.pitch) as f32)
        .collect()
}

/// A grid filled by rows: `row(y_mm, xs_mm, out)`.
pub fn fill((lattice, rect): (Lattice, Rect), mut row: impl FnMut(f32, &[f32], &mut [f32])) -> Grid {
    let xs = positions(lattice, rect.x0, rect.nx);
    let ys = positions(lattice, rect.y0, rect.ny);
    let nx = rect.nx as usize;
    let mut data = vec![0.0; nx * rect.ny as usize];
    for (y, out) in ys.iter().zip(data.chunks_exact_mut(nx.max(1))) {
        row(*y, &xs, out);
    }
    Grid { lattice, rect, data }
}
