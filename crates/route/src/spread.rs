//! Dye that is not bound spreads while the cloth is wet.

use crate::{DYES, Patch, Reach};
use field::{Lattice, Plane, fir, gaussian_taps};

/// Diffusion of loose dye: `sigma^2 = 2 D t` per axis.
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
        Reach::Spread { rx: (x.len() / 2) as u32, ry: (y.len() / 2) as u32 }
    }

    /// Spreads all loose dye. On entry planes cover `patch.before`, afterwards `patch.need`.
    pub fn act(&self, patch: &mut Patch) {
        let (wx, wy) = self.taps(patch.tile.milli);
        let (lattice, from, to) = (patch.tile.milli, patch.before.milli, patch.need.milli);
        for dye in 0..DYES {
            if let Plane::Grid(_) = patch.loose[dye] {
                let plane = std::mem::take(&mut patch.loose[dye]);
                let wide = plane.into_detail(lattice, from);
                patch.loose[dye] = Plane::Grid(fir(&wide, &wx, &wy, to));
            }
        }
    }
}
