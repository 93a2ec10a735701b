//! How fast wet cloth dries.
//!
//! While its face is wet, cloth dries at the same rate per area whatever it weighs (Fourt, Sookne, Frishman
//! and Harris, Textile Research Journal 21 (1951) 26-33; abstract). The rate follows from the balance of
//! heat at the wet face: sun and sky bring heat, evaporation takes it, air brings or takes the rest.
//!
//! What is left out: the falling rate of nearly dry cloth (so times to below some 30 % water are too short),
//! heat from the ground, heat stored in the cloth, shadow of folds and trees, damp air over a yard full of
//! wet cloth, the steam of hot cloth fresh from a bath.

use crate::air::bisect;
use crate::{Air, humidity_ratio, latent_heat, saturation_pressure};

const STEFAN_BOLTZMANN: f64 = 5.670_374_4e-8;
/// Heat capacity of moist air, J/(kg K), FAO-56 eq. 8.
const AIR_HEAT: f64 = 1013.0;

/// How the cloth lies in its surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Irradiance on the cloth, W/m2, on the face that sees the sun.
    pub irradiance: f64,
    /// Share of it that the wet cloth takes in, 0..1: 0.3 for white, 0.8 for dark cloth (assumed).
    pub absorptance: f64,
    /// Wind at the cloth, m/s.
    pub wind: f64,
    /// Number of faces in the air: 1 flat on a sheet, 2 on a line.
    pub faces: f64,
    /// Share of the sky that is clouded, 0..1.
    pub cloud: f64,
    /// Share of the Lewis maximum that evaporation reaches: 0.5-1 seen on fabrics, less in wind
    /// (International Journal of Clothing Science and Technology 32 (2020) 356; abstract).
    pub lewis_share: f64,
}

impl Exposure {
    /// Medium-dark cloth (absorptance 0.6) lying on a sheet, or hanging on a line; Lewis share 0.75. All
    /// assumed.
    pub const fn new(irradiance: f64, wind: f64, hanging: bool) -> Self {
        let faces = if hanging { 2.0 } else { 1.0 };
        Self {
            irradiance,
            absorptance: 0.6,
            wind,
            faces,
            cloud: 0.0,
            lewis_share: 0.75,
        }
    }
}

/// What the balance of heat gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drying {
    /// Water leaving, kg/(m2 s) of cloth (one side's area, whatever the number of faces); never negative:
    /// dew is not drying.
    pub rate: f64,
    /// Temperature of the wet cloth, C.
    pub celsius: f64,
}

/// Rate while the face of the cloth is wet (constant period).
///
/// Good to a factor of about 1.5 with measured weather, 2 with guessed weather: the film of air is taken
/// from h = 5.7 + 3.8 v W/(m2 K) (McAdams 1954 after Jürges, for a plate in wind; from memory), whose spread
/// outdoors is of that order. A weighed cloth beats it.
pub fn drying_rate(air: &Air, exposure: &Exposure) -> Drying {
    let film = (5.7 + 3.8 * exposure.wind.max(0.0)) * exposure.faces;
    let outside = humidity_ratio(air);
    let kelvin = air.celsius + 273.15;
    // Emissivity of a clear sky: Brutsaert, Water Resources Research 11 (1975) 742-744, vapour in hPa.
    let clear = (1.24 * (air.vapour_pressure() / 100.0 / kelvin).powf(1.0 / 7.0)).clamp(0.0, 1.0);
    let sky = (1.0 - exposure.cloud) * clear + exposure.cloud;
    let sun = exposure.absorptance * exposure.irradiance.max(0.0);
    let evaporation = |wet: f64| {
        // The vapour pressure of boiling water equals the air's: keep the search below it.
        let saturated = Air {
            celsius: wet,
            humidity: 1.0,
            pressure: air.pressure,
        };
        exposure.lewis_share * film / (AIR_HEAT + 1860.0 * outside) * (humidity_ratio(&saturated) - outside)
    };
    let surplus = |wet: f64| {
        let glow = 0.95 * STEFAN_BOLTZMANN * ((wet + 273.15).powi(4) - sky * kelvin.powi(4));
        film * (wet - air.celsius) + glow + latent_heat(wet) * evaporation(wet) - sun
    };
    let hottest = (air.celsius + 60.0).min(bisect(0.0, 120.0, |t| {
        saturation_pressure(t) - 0.9 * air.pressure
    }));
    let wet = bisect(air.celsius - 50.0, hottest, surplus);
    Drying {
        rate: evaporation(wet).max(0.0),
        celsius: wet,
    }
}

/// Seconds until cloth of `areal` kg/m2 in `layers` layers goes from `from` to `to` kg of water per kg of
/// cloth at `rate` kg/(m2 s). Infinite where nothing leaves; 0 where it is dry enough already.
///
/// One face gives off the water of all layers, so the inside of a package stays wet longer than its top.
pub fn drying_time(from: f64, areal: f64, layers: f64, to: f64, rate: f64) -> f64 {
    let water = (from - to).max(0.0) * areal * layers;
    if water == 0.0 {
        0.0
    } else if rate > 0.0 {
        water / rate
    } else {
        f64::INFINITY
    }
}

/// Evaporation of open water in a day, mm (= kg/m2), the second opinion beside [`drying_rate`]: Penman, Proc.
/// R. Soc. London A 193 (1948) 120-145, as in Shuttleworth's chapter of the Handbook of Hydrology (1993).
/// `net` is net radiation, MJ/m2 a day, `wind` m/s at 2 m.
pub fn penman_open_water(air: &Air, net: f64, wind: f64) -> f64 {
    let t = air.celsius;
    // Tetens' formula and the constants of FAO-56 (eq. 11, 13, 8), kPa.
    let saturated = 0.6108 * (17.27 * t / (t + 237.3)).exp();
    let slope = 4098.0 * saturated / (t + 237.3).powi(2);
    let heat = latent_heat(t) / 1e6;
    let gamma = 0.001_013 * air.pressure / 1000.0 / (0.622 * heat);
    let deficit = saturated * (1.0 - air.humidity);
    (slope * net + gamma * 6.43 * (1.0 + 0.536 * wind) * deficit) / (heat * (slope + gamma))
}

/// Wind at 2 m from wind measured at `height` metres over short grass (FAO-56 eq. 47).
/// `None` below 0.1 m, where the profile has no meaning.
pub fn wind_at_two_metres(wind: f64, height: f64) -> Option<f64> {
    (height >= 0.1).then(|| wind * 4.87 / (67.8 * height - 5.42).ln())
}
