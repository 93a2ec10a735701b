//! The lattices of a tile and how far its neighbourhood reaches.

use crate::lattice::{Lattice, Rect};

/// A rectangle of a picture to be computed, with the lattices its operations work on.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tile {
    /// Lattice of the picture's samples.
    pub samples: Lattice,
    /// Lattice of grains of soda, of sun and fixing: 0.5 mm, or two thirds of a pixel or the samples' own if that is
    /// coarser.
    pub half: Lattice,
    /// Lattice of creases and spreading: 1 mm, or the half lattice's own if that is coarser.
    pub milli: Lattice,
    /// The samples wanted.
    pub core: Rect,
}

/// What must be known on the two coarse lattices of a [`Tile`].
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Need {
    /// Samples of the 1 mm lattice.
    pub milli: Rect,
    /// Samples of the 0.5 mm lattice.
    pub half: Rect,
}

impl Tile {
    /// A tile of samples at `samples_pitch_mm`, each a pixel of its own.
    pub fn new(samples_pitch_mm: f64, core: Rect) -> Tile {
        Tile::averaging(samples_pitch_mm, 1, core)
    }

    /// A tile whose pixels are means over `samples` by `samples` samples. The coarser lattices are no finer than
    /// two thirds of a pixel: what is smooth need not be known between samples that are averaged (what that costs:
    /// the example `coarse` of the crate `cloth`).
    pub fn averaging(samples_pitch_mm: f64, samples: u32, core: Rect) -> Tile {
        let half = samples_pitch_mm
            .max(2.0 / 3.0 * samples_pitch_mm * f64::from(samples))
            .max(0.5);
        let at = |pitch| Lattice { pitch };
        Tile {
            samples: at(samples_pitch_mm),
            half: at(half),
            milli: at(half.max(1.0)),
            core,
        }
    }

    /// Exactly what the core reads: the half lattice under the core, and the milli lattice under both.
    pub fn need(&self) -> Need {
        let half = self.half.support(self.core, self.samples);
        let milli = self
            .milli
            .support(self.core, self.samples)
            .union(self.milli.support(half, self.half));
        Need { milli, half }
    }
}

impl Need {
    /// What must be known before a spread over `rx` by `ry` milli samples so that this need is met
    /// after it: the milli lattice wider by the reach, and the half lattice under all of it, since the
    /// spread takes its milli values as means over half samples.
    pub fn before_spread(self, rx: u32, ry: u32, tile: &Tile) -> Need {
        let milli = self.milli.expand(rx, ry);
        Need {
            milli,
            half: self.half.union(tile.half.members(milli, tile.milli)),
        }
    }

    /// This need with the milli lattice widened to what the half lattice reads of it: for a step that
    /// interpolates milli planes onto the half lattice before the spread.
    pub fn with_support(self, tile: &Tile) -> Need {
        Need {
            milli: self.milli.union(tile.milli.support(self.half, tile.half)),
            ..self
        }
    }
}
