//! Sun position, clear sky, moist air, drying.
//!
//! Closed formulas of published standing, each with its source and its error where it stands. Times and
//! places are handed in: this crate has no clock, no weather service and no files, and it knows nothing of
//! dye or workshops. Angles are degrees, temperatures degrees Celsius, pressures pascal, humidities 0..1.

mod air;
mod clear;
mod date;
mod drying;
mod sun;

pub use air::{
    Air, SEA_LEVEL_PA, dew_point, humidity_ratio, latent_heat, pressure_at, saturation_pressure, wet_bulb,
};
pub use clear::{Clear, LUMENS_PER_WATT, air_mass, extraterrestrial, haurwitz, illuminance_klx, ineichen};
pub use date::{Date, Weekday};
pub use drying::{Drying, Exposure, drying_rate, drying_time, penman_open_water, wind_at_two_metres};
pub use sun::{Place, Sun, SunDay, refraction, sun, sun_day};
