//! Types for the quantities that meet in arithmetic, so that an area times an area does not compile.
//!
//! ```
//! use units::{Celsius, Kelvins, Length, Mass};
//! let cloth = Length::mm(1120.0) * Length(13.72);
//! assert_eq!(cloth.at(0.125), Mass(1.12 * 13.72 * 0.125));
//! assert_eq!(Celsius(30.0) - Celsius(26.0), Kelvins(4.0));
//! assert_eq!(Celsius(26.0) + Kelvins(4.0), Celsius(30.0));
//! ```
//! An area has no area:
//! ```compile_fail,E0308
//! let _ = (units::Length(1.0) * units::Length(1.0)) * (units::Length(1.0) * units::Length(1.0));
//! ```
//! Two readings of a thermometer do not add, and a reading is not a difference:
//! ```compile_fail,E0308
//! let _ = units::Celsius(26.0) + units::Celsius(4.0);
//! ```
//! ```compile_fail,E0308
//! let _ = units::Celsius(4.0) == units::Kelvins(4.0);
//! ```

use std::ops::{Add, Div, Mul, Sub};

macro_rules! scalar {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, by: f64) -> Self {
                Self(self.0 * by)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, by: Self) -> f64 {
                self.0 / by.0
            }
        }
    };
}

scalar!(
    /// A distance, m.
    Length
);
scalar!(
    /// A surface, m2.
    Area
);
scalar!(
    /// A mass, kg.
    Mass
);
scalar!(
    /// A duration, s.
    Span
);
scalar!(
    /// A difference of temperatures, K. Not a temperature: see [`Celsius`].
    Kelvins
);

/// A temperature on a thermometer, degrees Celsius. Two of them differ by [`Kelvins`]; they do not add.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Celsius(pub f64);

impl Sub for Celsius {
    type Output = Kelvins;
    fn sub(self, other: Self) -> Kelvins {
        Kelvins(self.0 - other.0)
    }
}
impl Add<Kelvins> for Celsius {
    type Output = Self;
    fn add(self, by: Kelvins) -> Self {
        Self(self.0 + by.0)
    }
}
impl Celsius {
    /// Absolute temperature, K.
    pub const fn absolute(self) -> f64 {
        self.0 + 273.15
    }
}

impl Length {
    /// From millimetres.
    pub const fn mm(number: f64) -> Self {
        Self(number / 1000.0)
    }
    /// In millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0 * 1000.0
    }
    /// In yards (0.9144 m, 1959 agreement).
    pub const fn to_yd(self) -> f64 {
        self.0 / 0.9144
    }
}
impl Mul for Length {
    type Output = Area;
    fn mul(self, across: Self) -> Area {
        Area(self.0 * across.0)
    }
}
impl Area {
    /// Mass of something spread at `per_area` kg/m2.
    pub fn at(self, per_area: f64) -> Mass {
        Mass(self.0 * per_area)
    }
}
impl Mass {
    /// In grams.
    pub const fn to_g(self) -> f64 {
        self.0 * 1000.0
    }
}
impl Span {
    /// From minutes.
    pub const fn minutes(number: f64) -> Self {
        Self(number * 60.0)
    }
    /// In minutes.
    pub const fn to_min(self) -> f64 {
        self.0 / 60.0
    }
}
