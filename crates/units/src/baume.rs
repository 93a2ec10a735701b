//! Degrees Baume to specific gravity and back, for liquids heavier than water.
//!
//! American scale, modulus 145, both densities at 60 F (15.6 C): SG = 145 / (145 - Be). The scale was fixed by
//! the US Bureau of Standards (Circular 59, 1916; from memory). Other scales with other moduli exist (144.3
//! rational, 144 old Dutch): a figure read at another temperature or scale is not this one.

/// Modulus of the American scale for liquids heavier than water.
const MODULUS: f64 = 145.0;

/// Specific gravity 60 F / 60 F of a liquid of `degrees` Baume. `None` outside 0 <= degrees < 145, where the
/// scale does not exist, and for NaN.
///
/// ```
/// assert!((units::specific_gravity(35.0).unwrap() - 1.3182).abs() < 5e-5);
/// assert_eq!(units::specific_gravity(145.0), None);
/// ```
pub fn specific_gravity(degrees: f64) -> Option<f64> {
    (0.0..MODULUS)
        .contains(&degrees)
        .then(|| MODULUS / (MODULUS - degrees))
}

/// Degrees Baume of a liquid of specific gravity `gravity` (60 F / 60 F). `None` below 1, where the scale for
/// lighter liquids begins, and for NaN or infinity.
pub fn degrees_baume(gravity: f64) -> Option<f64> {
    (gravity >= 1.0 && gravity.is_finite()).then(|| MODULUS - MODULUS / gravity)
}
