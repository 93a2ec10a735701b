//! How strong a cloudless sky is.

use crate::{Date, SEA_LEVEL_PA, pressure_at};

/// Irradiance of a clear sky, W/m2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clear {
    /// Global, on the level.
    pub global: f64,
    /// Of the sun itself, on a surface facing it.
    pub beam: f64,
    /// Of the sky, on the level.
    pub diffuse: f64,
}

/// Lumens per watt of global daylight, for [`illuminance_klx`]: 110 within a factor 1.1 between a clear and
/// an overcast sky (Littlefair, Lighting Research and Technology 17 (1985) 162-182; from memory).
pub const LUMENS_PER_WATT: f64 = 110.0;

/// Global irradiance under a clear sky from the apparent elevation alone, W/m2
/// (Haurwitz, Journal of Meteorology 2 (1945) 154-166). Knows neither haze nor altitude.
pub fn haurwitz(apparent_elevation: f64) -> f64 {
    let up = apparent_elevation.to_radians().sin();
    if up <= 0.0 {
        0.0
    } else {
        1098.0 * up * (-0.059 / up).exp()
    }
}

/// Clear-sky irradiance from apparent elevation, Linke turbidity (3 clear to 5 hazy; the tropics near the
/// coast about 4) and altitude in metres (Ineichen and Perez, Solar Energy 73 (2002) 151-157).
pub fn ineichen(apparent_elevation: f64, turbidity: f64, altitude: f64, date: Date) -> Clear {
    let up = apparent_elevation.to_radians().sin();
    if up <= 0.0 {
        return Clear {
            global: 0.0,
            beam: 0.0,
            diffuse: 0.0,
        };
    }
    let mass = air_mass(apparent_elevation) * pressure_at(altitude) / SEA_LEVEL_PA;
    let (fh1, fh2) = ((-altitude / 8000.0).exp(), (-altitude / 1250.0).exp());
    let (cg1, cg2) = (5.09e-5 * altitude + 0.868, 3.92e-5 * altitude + 0.0387);
    let above = extraterrestrial(date);
    let global = cg1 * above * up * (-cg2 * mass * (fh1 + fh2 * (turbidity - 1.0))).exp();
    let direct = above * (0.664 + 0.163 / fh1) * (-0.09 * mass * (turbidity - 1.0)).exp();
    // The second form keeps the diffuse part from vanishing when the sun is low.
    let share = 1.0 - (0.1 - 0.2 * (-turbidity).exp()) / (0.1 + 0.882 / fh1);
    let beam = direct.min(global * share.max(0.0) / up);
    Clear {
        global,
        beam,
        diffuse: global - beam * up,
    }
}

/// Relative air mass of an apparent elevation (Kasten and Young, Applied Optics 28 (1989) 4735-4738).
/// At and below the horizon the horizon's value, about 38.
pub fn air_mass(apparent_elevation: f64) -> f64 {
    let h = apparent_elevation.max(0.0);
    1.0 / (h.to_radians().sin() + 0.505_72 * (h + 6.079_95).powf(-1.6364))
}

/// Irradiance above the air on a surface facing the sun, W/m2 (Spencer, Search 2 (1971) 172, with a solar
/// constant of 1366.1 W/m2, ASTM E490).
pub fn extraterrestrial(date: Date) -> f64 {
    let day = std::f64::consts::TAU / 365.0 * (f64::from(date.day_of_year()) - 1.0);
    1366.1
        * (1.000_11
            + 0.034_221 * day.cos()
            + 0.001_28 * day.sin()
            + 0.000_719 * (2.0 * day).cos()
            + 0.000_077 * (2.0 * day).sin())
}

/// Illuminance of daylight, klx, from global irradiance, W/m2. An estimate within a tenth or so.
pub fn illuminance_klx(global: f64) -> f64 {
    global * LUMENS_PER_WATT / 1000.0
}
