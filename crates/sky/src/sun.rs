//! Where the sun stands.
//!
//! The short solar theory of J. Meeus, *Astronomical Algorithms*, 2nd ed. 1998, ch. 25 (sun), 22 (nutation,
//! abbreviated), 12 (sidereal time): longitude within 0.01 degrees for 1900-2100. Against the full SPA
//! algorithm (Reda and Andreas 2004) the tests find elevation within 0.005 degrees and rise and set within
//! 5 s (10 s at 66 degrees of latitude).

use crate::Date;

/// A place on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
}

/// The sun as seen from a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sun {
    /// Height of the disc's centre above the horizon without refraction, degrees.
    pub elevation: f64,
    /// The same with refraction for 1010 hPa and 10 C: where the sun is seen.
    pub apparent: f64,
    /// Degrees from north through east.
    pub azimuth: f64,
    /// Hour angle, degrees, 0 at transit, positive in the afternoon.
    pub hour_angle: f64,
}

/// One day of sun at a place. Minutes after local midnight; outside 0..1440 where the event falls on the
/// neighbouring date.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunDay {
    /// The sun crosses the meridian.
    pub transit: f64,
    /// First and last minute above the asked elevation; `None` when the sun never crosses it on this day.
    pub above: Option<(f64, f64)>,
    /// Elevation at transit, degrees: says which way a `None` is meant (always above, or never).
    pub highest: f64,
}

/// The sun at `minutes` after local midnight of `date`, where local time is UTC + `utc_offset` minutes.
pub fn sun(place: Place, date: Date, minutes: f64, utc_offset: f64) -> Sun {
    let utc_days = f64::from(date.days) + (minutes - utc_offset) / 1440.0;
    let (right_ascension, declination, sidereal) = equatorial(utc_days);
    let hour_angle = turn(sidereal + place.longitude - right_ascension);
    let (h, d, l) = (
        hour_angle.to_radians(),
        declination.to_radians(),
        place.latitude.to_radians(),
    );
    // Rounding may carry the sine a hair beyond 1 with the sun in the zenith.
    let sine = (l.sin() * d.sin() + l.cos() * d.cos() * h.cos()).clamp(-1.0, 1.0);
    // The observer stands on the surface, not in the centre: parallax 8.794 arc seconds.
    let elevation = sine.asin().to_degrees() - 8.794 / 3600.0 * (1.0 - sine * sine).sqrt();
    let azimuth = (h.sin())
        .atan2(h.cos() * l.sin() - d.tan() * l.cos())
        .to_degrees()
        + 180.0;
    Sun {
        elevation,
        apparent: elevation + refraction(elevation),
        azimuth: azimuth.rem_euclid(360.0),
        hour_angle,
    }
}

/// How much refraction lifts the sun at a true elevation, degrees, at 1010 hPa and 10 C
/// (Sæmundsson 1986 as in Meeus ch. 16); 0 once the disc is below the horizon.
pub fn refraction(elevation: f64) -> f64 {
    if elevation < -0.833_33 {
        return 0.0;
    }
    1.02 / (60.0 * (elevation + 10.3 / (elevation + 5.11)).to_radians().tan())
}

/// Transit, and the time the sun's centre spends above `elevation` (true, degrees), on one local date.
///
/// Sunrise and sunset as printed in almanacs are `elevation = -0.8333` (refraction and half a disc).
/// Around the rise itself mountains, trees and roofs decide, which no formula knows.
pub fn sun_day(place: Place, date: Date, utc_offset: f64, elevation: f64) -> SunDay {
    // From the hour angle at clock noon to the transit: two steps leave less than 0.01 s.
    let mut transit = 720.0;
    for _ in 0..3 {
        transit -= sun(place, date, transit, utc_offset).hour_angle * 4.0;
    }
    let height = |minutes: f64| sun(place, date, minutes, utc_offset).elevation;
    let highest = height(transit);
    let crossing = |side: f64| {
        let (mut low, mut high) = (transit + side * 720.0, transit);
        if height(low) >= elevation || highest <= elevation {
            return None;
        }
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if height(middle) < elevation {
                low = middle
            } else {
                high = middle
            }
        }
        Some(high)
    };
    SunDay {
        transit,
        above: crossing(-1.0).zip(crossing(1.0)),
        highest,
    }
}

/// Apparent right ascension and declination of the sun, and apparent sidereal time at Greenwich, degrees.
fn equatorial(utc_days: f64) -> (f64, f64, f64) {
    let julian = utc_days + 2_440_587.5;
    // Terrestrial time runs ahead of UTC by about 70 s in these decades; the sun moves 0.0008 degrees in it.
    let t = (julian + 70.0 / 86_400.0 - 2_451_545.0) / 36_525.0;
    let mean_longitude = 280.466_46 + t * (36_000.769_83 + t * 0.000_303_2);
    let anomaly = (357.529_11 + t * (35_999.050_29 - t * 0.000_153_7)).to_radians();
    let centre = (1.914_602 - t * (0.004_817 + t * 0.000_014)) * anomaly.sin()
        + (0.019_993 - t * 0.000_101) * (2.0 * anomaly).sin()
        + 0.000_289 * (3.0 * anomaly).sin();
    let node = (125.04 - 1_934.136 * t).to_radians();
    let nutation = -0.004_78 * node.sin();
    let longitude = (mean_longitude + centre - 0.005_69 + nutation).to_radians();
    let mean_obliquity = 23.439_291_11 - t * (46.815 + t * (0.000_59 - t * 0.001_813)) / 3600.0;
    let obliquity = (mean_obliquity + 0.002_56 * node.cos()).to_radians();
    let right_ascension = (obliquity.cos() * longitude.sin())
        .atan2(longitude.cos())
        .to_degrees();
    let declination = (obliquity.sin() * longitude.sin()).asin().to_degrees();
    let u = (julian - 2_451_545.0) / 36_525.0;
    let sidereal = 280.460_618_37
        + 360.985_647_366_29 * (julian - 2_451_545.0)
        + 0.000_387_933 * u * u
        + nutation * obliquity.cos();
    (right_ascension, declination, sidereal)
}

/// Into -180..180.
fn turn(degrees: f64) -> f64 {
    (degrees + 180.0).rem_euclid(360.0) - 180.0
}
