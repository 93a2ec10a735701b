//! Fading in light.

/// Dose to a just noticeable fade of the blue wool references 1 to 8 in light rich in ultraviolet, Mlx h
/// (CIE 157:2004, from memory).
const JUST_NOTICEABLE: [f64; 8] = [0.22, 0.6, 1.5, 3.5, 8.0, 20.0, 50.0, 120.0];

/// K/S lost at a just noticeable fade, as exponent: a tenth of a pale dyeing's K/S is about one grey-scale step
/// (assumed, x or / 1.5).
const EXPONENT: f64 = 0.083;

/// Dose to a just noticeable fade of a blue wool class, Mlx h. Between classes by the ratio of their neighbours;
/// below 1 and above 8 the end classes' ratio goes on.
pub fn just_noticeable_dose(class: f64) -> f64 {
    let at = (class - 1.0).floor().clamp(0.0, 6.0);
    let low = at as usize;
    JUST_NOTICEABLE[low] * (JUST_NOTICEABLE[low + 1] / JUST_NOTICEABLE[low]).powf(class - 1.0 - at)
}

/// Share of its K/S that a dye of a blue wool class keeps after a dose of light, Mlx h.
pub fn light_left(dose: f64, class: f64) -> f64 {
    (-EXPONENT * dose / just_noticeable_dose(class)).exp()
}
