//! Air with water in it: ASHRAE Handbook Fundamentals (2017), ch. 1.

/// Standard pressure at sea level, Pa.
pub const SEA_LEVEL_PA: f64 = 101_325.0;

/// Mass of a mole of water over a mole of dry air.
const RATIO: f64 = 0.621_945;

/// The air around a cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature, C.
    pub celsius: f64,
    /// Relative humidity, 0..1.
    pub humidity: f64,
    /// Pressure, Pa.
    pub pressure: f64,
}

impl Air {
    /// Air at sea level.
    pub const fn at_sea_level(celsius: f64, humidity: f64) -> Self {
        Self {
            celsius,
            humidity,
            pressure: SEA_LEVEL_PA,
        }
    }
    /// Pressure of the vapour in it, Pa.
    pub fn vapour_pressure(&self) -> f64 {
        self.humidity * saturation_pressure(self.celsius)
    }
}

/// Saturation pressure of water vapour, Pa, over ice below the triple point and over liquid water above it
/// (Hyland and Wexler, ASHRAE Transactions 89 (1983) 500-519). Valid from -100 to 200 C.
pub fn saturation_pressure(celsius: f64) -> f64 {
    let t = celsius + 273.15;
    let ln = if celsius <= 0.01 {
        -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843e-3 * t
            + 6.221_570_1e-7 * t * t
            + 2.074_782_5e-9 * t.powi(3)
            - 9.484_024e-13 * t.powi(4)
            + 4.163_501_9 * t.ln()
    } else {
        -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t * t
            - 1.445_209_3e-8 * t.powi(3)
            + 6.545_967_3 * t.ln()
    };
    ln.exp()
}

/// Water per dry air, kg/kg.
pub fn humidity_ratio(air: &Air) -> f64 {
    ratio_of(air.vapour_pressure(), air.pressure)
}

/// Temperature, C, at which the air would be saturated. Below 0 C: the frost point. `None` for dry air.
pub fn dew_point(air: &Air) -> Option<f64> {
    let vapour = air.vapour_pressure();
    (vapour > saturation_pressure(-100.0)).then(|| {
        bisect(-100.0, air.celsius.max(-100.0) + 1.0, |t| {
            saturation_pressure(t) - vapour
        })
    })
}

/// Thermodynamic wet-bulb temperature, C (ASHRAE ch. 1, eq. 33 and 35).
pub fn wet_bulb(air: &Air) -> f64 {
    let w = humidity_ratio(air);
    let t = air.celsius;
    let ratio_for = |wet: f64| {
        let saturated = ratio_of(saturation_pressure(wet), air.pressure);
        if wet >= 0.0 {
            ((2501.0 - 2.326 * wet) * saturated - 1.006 * (t - wet)) / (2501.0 + 1.86 * t - 4.186 * wet)
        } else {
            ((2830.0 - 0.24 * wet) * saturated - 1.006 * (t - wet)) / (2830.0 + 1.86 * t - 2.1 * wet)
        }
    };
    bisect(t - 60.0, t, |wet| ratio_for(wet) - w)
}

/// Heat of evaporation of water, J/kg (FAO Irrigation and Drainage Paper 56, annex 3, eq. 3-1).
pub fn latent_heat(celsius: f64) -> f64 {
    2.501e6 - 2361.0 * celsius
}

/// Pressure of the standard atmosphere at an altitude in metres, Pa (ASHRAE ch. 1, eq. 3).
pub fn pressure_at(altitude: f64) -> f64 {
    SEA_LEVEL_PA * (1.0 - 2.255_77e-5 * altitude).powf(5.2559)
}

fn ratio_of(vapour: f64, pressure: f64) -> f64 {
    RATIO * vapour / (pressure - vapour)
}

/// Root of a rising function between two bounds.
pub(crate) fn bisect(mut low: f64, mut high: f64, rising: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if rising(middle) < 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    f64::midpoint(low, high)
}
