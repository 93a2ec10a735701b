//! The cloth averaged over a bolt, f64: what baths, cost, chlorine and `examine` fold over.

use crate::DYES;

/// One population of the bolt: the bare cloth (ground) or the waxed cloth (motif).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Zone {
    /// Part of the bolt's area, 0..1.
    pub share: f64,
    /// Unfixed dye, g/kg of cloth.
    pub loose: [f64; DYES],
    /// Hydrolysed dye still in the cloth, g/kg.
    pub spent: [f64; DYES],
    /// Bound dye, g/kg.
    pub fast: [f64; DYES],
    /// Wax now on it, kg/m2.
    pub wax: f64,
}

/// A bolt, averaged.
#[derive(Clone, Debug, PartialEq)]
pub struct Means {
    /// Never waxed, or not waxed in the last waxing.
    pub ground: Zone,
    /// Waxed in the last waxing (still so called after the wax is off).
    pub motif: Zone,
    /// Water, kg/kg.
    pub water: f64,
    /// Soda ash, kg/m2.
    pub soda: f64,
    /// Share of the dye that lies where that soda makes the cloth alkaline, 0..1.
    pub soda_cover: f64,
    /// Chlorine dose taken by bare fibre, (mol/L) s.
    pub wear: f64,
    /// Chlorine carried in the cloth, g/kg; must be zero before a dye bath.
    pub chlorine: f64,
    /// The most chlorine that it can carry, g/kg: as if its load had used none of the bath's. Antichlor is dosed for this:
    /// what is titrated is the bath before the load.
    pub chlorine_most: f64,
    /// Is the cloth a scrunched package?
    pub folded: bool,
    /// Mean number of layers of the package; 1 while the cloth is open.
    pub layers: f64,
    /// Length of wax edge per area of cloth, 1/m: what creep eats from.
    pub wax_edge: f64,
    /// Mean share of the waxed fibre that a bath reaches through faults of the wax.
    pub leak: f64,
    /// How fast a bath creeps under the wax edge, m2/s; depends on how hot the wax was.
    pub creep: f64,
    /// Finished size over issued size, across and along.
    pub shrunk: (f64, f64),
}

impl Default for Means {
    fn default() -> Self {
        Self {
            ground: Zone {
                share: 1.0,
                ..Zone::default()
            },
            motif: Zone::default(),
            water: 0.0,
            soda: 0.0,
            soda_cover: 0.0,
            wear: 0.0,
            chlorine: 0.0,
            chlorine_most: 0.0,
            folded: false,
            layers: 1.0,
            wax_edge: 0.0,
            leak: 0.0,
            creep: 0.0,
            shrunk: (1.0, 1.0),
        }
    }
}

impl Means {
    /// Both zones.
    pub fn zones(&self) -> [&Zone; 2] {
        [&self.ground, &self.motif]
    }
    /// Both zones, to change.
    pub fn zones_mut(&mut self) -> [&mut Zone; 2] {
        [&mut self.ground, &mut self.motif]
    }
    /// Average over the bolt of something of a zone.
    pub fn mean(&self, of: impl Fn(&Zone) -> f64) -> f64 {
        self.zones().into_iter().map(|zone| zone.share * of(zone)).sum()
    }
    /// Dye on the bolt whatever its state, g/kg.
    pub fn dye(&self, dye: usize) -> f64 {
        self.mean(|z| z.loose[dye] + z.spent[dye] + z.fast[dye])
    }
    /// Is there wax on the cloth?
    pub fn waxed(&self) -> bool {
        self.mean(|z| z.wax) > 1e-6
    }
    /// Is the cloth wet to the touch (above the moisture that cotton takes from humid air)?
    pub fn wet(&self) -> bool {
        self.water > 0.15
    }
}
