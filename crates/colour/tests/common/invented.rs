//! Invented ladders with realistic noise, the same on every machine.
#![allow(dead_code)]

use colour::fit::ladder::Rung;
use colour::kubelka_munk::{dyed_reflectance, ks_spectrum};
use colour::{DyeCard, Spectrum, white_cotton};
use words::Place;

/// Rungs of a demonstration ladder, % owf put on.
pub const DEPTHS: [f64; 7] = [0.0, 0.1, 0.25, 0.5, 1.0, 2.0, 3.0];
/// Readings of each.
pub const READINGS: usize = 3;
/// A rung is dyed this far off its depth, a share, one standard deviation.
pub const DYEING: f64 = 0.025;
/// A reading as a whole is this far off (placing, hairs, evenness), a share, one standard deviation.
pub const PLACING: f64 = 0.004;
/// One band of a reading beside the others, a share.
pub const BAND: f64 = 0.0015;
/// The zero of the instrument, reflectance.
pub const ZERO: f64 = 0.0003;

/// A stream of numbers from a seed (splitmix64; Steele, Lea, Flood, OOPSLA 2014).
pub struct Chance(pub u64);

impl Chance {
    /// Named streams, so that one dye's noise does not depend on the others (FNV-1a).
    pub fn named(name: &str) -> Self {
        Self(name.bytes().fold(0xcbf2_9ce4_8422_2325, |h, b| {
            (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        }))
    }

    /// 0 to 1, neither of them.
    pub fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64 + 0.5 / (1_u64 << 53) as f64
    }

    /// Normal, mean 0, deviation 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.even(), self.even());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// Readings of a rung: `depth` in % owf put on, of which `share` stays bound.
pub fn readings(card: &DyeCard, depth: f64, share: f64, chance: &mut Chance) -> Vec<Spectrum> {
    let dyed = depth * 10.0 * share * (1.0 + DYEING * chance.normal());
    let cloth = ks_spectrum(white_cotton());
    let clean = dyed_reflectance(&[(dyed, &card.unit_ks)], card.k_max.value, &cloth);
    (0..READINGS)
        .map(|_| {
            let (gain, zero) = (1.0 + PLACING * chance.normal(), ZERO * chance.normal());
            std::array::from_fn(|band| clean[band] * (gain + BAND * chance.normal()) + zero)
        })
        .collect()
}

/// A whole ladder, readings averaged.
pub fn ladder(card: &DyeCard, depths: &[f64], share: f64, chance: &mut Chance) -> Vec<Rung> {
    depths
        .iter()
        .map(|depth| {
            let all = readings(card, *depth, share, chance);
            let mean = |band: usize| all.iter().map(|r| r[band]).sum::<f64>() / all.len() as f64;
            Rung {
                depth: *depth,
                reflectance: std::array::from_fn(mean),
                readings: all.len(),
                recovered: false,
                place: Place::Request,
            }
        })
        .collect::<Vec<_>>()
}
