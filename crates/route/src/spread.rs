//! Dye that has just been put on spreads while the cloth is wet.

use crate::{Patch, Reach};
use field::{Grid, Lattice, fir, gaussian_taps};

/// Diffusion: `sigma^2 = 2 D t` per axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wick {
    /// Spread across, m2/s.
    pub across: f64,
    /// Spread along, m2/s.
    pub along: f64,
    /// How long the dye stays loose and the cloth wet, s.
    pub seconds: f64,
}

impl Wick {
    /// Standard deviations across and along, mm.
    pub fn sigma_mm(&self) -> (f64, f64) {
        let sigma = |d: f64| (2.0 * d * self.seconds).sqrt() * 1000.0;
        (sigma(self.across), sigma(self.along))
    }

    fn taps(&self, lattice: Lattice) -> (Vec<f32>, Vec<f32>) {
        let (x, y) = self.sigma_mm();
        (gaussian_taps(x / lattice.pitch), gaussian_taps(y / lattice.pitch))
    }

    /// How far it looks on a lattice.
    pub fn reach(&self, lattice: Lattice) -> Reach {
        let (x, y) = self.taps(lattice);
        Reach::Spread {
            rx: (x.len() / 2) as u32,
            ry: (y.len() / 2) as u32,
        }
    }

    /// Spreads what an operation has just put on: `marks` on the millimetre lattice over `patch.before`, wide enough
    /// for [`Wick::reach`]; the answer covers `patch.need`.
    ///
    /// Dye from earlier operations is taken to have spread already: it has dried or been fixed since.
    pub fn spread(&self, marks: &Grid, patch: &Patch) -> Grid {
        let (wx, wy) = self.taps(marks.lattice);
        fir(marks, &wx, &wy, patch.need.milli)
    }
}
