//! Kubelka-Munk for cloth that is opaque, and how dye on it adds up.

use crate::spectrum::{BANDS, Spectrum};

/// K/S of a reflectance in 0 < R <= 1: (1-R)^2 / 2R (Kubelka 1948). 0 gives infinity.
pub fn ks(reflectance: f64) -> f64 {
    (1.0 - reflectance) * (1.0 - reflectance) / (2.0 * reflectance)
}

/// Reflectance of K/S >= 0: 1 + K/S - sqrt((K/S)^2 + 2 K/S), written as a quotient so that dark cloth keeps its
/// digits (the difference cancels them all from K/S = 1e8 on).
pub fn reflectance(ks: f64) -> f64 {
    1.0 / (1.0 + ks + (ks * (ks + 2.0)).sqrt())
}

/// How much of an added K/S is seen: K/(1 + K/K_max). Measured K/S of deep dyeings levels off, because the
/// surface of the fibre reflects some light whatever is inside (Safi, Ameri, Ansari, Physica Scripta 96 (2021)
/// 125832: not linear above about 17). K_max = 41 agrees at K = 10 with the exponential law that saturates
/// at 22, and costs no exponential.
pub fn saturated(k: f64, k_max: f64) -> f64 {
    k / (1.0 + k / k_max)
}

/// Reflectance of dyed cloth: the dyes' K/S added band by band, levelled off, on top of the cloth's own K/S.
///
/// `dyes` are pairs of (amount in g of dye per kg of cloth, K/S per such gram); `cloth_ks` is the undyed cloth's
/// K/S. Amounts below 0 count as 0, so a dye can only darken.
pub fn dyed_reflectance(dyes: &[(f64, &Spectrum)], k_max: f64, cloth_ks: &Spectrum) -> Spectrum {
    std::array::from_fn(|band| {
        let k: f64 = dyes
            .iter()
            .map(|(amount, unit)| amount.max(0.0) * unit[band])
            .sum();
        reflectance(saturated(k, k_max) + cloth_ks[band])
    })
}

/// K/S of every band of a reflectance.
pub fn ks_spectrum(reflectance: &Spectrum) -> Spectrum {
    let mut out = [0.0; BANDS];
    for (k, r) in out.iter_mut().zip(reflectance) {
        *k = ks(*r);
    }
    out
}
