//! Numbers that may carry their own slopes: one formula serves a value and its exact derivatives.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// What the colour difference formulas are written in.
pub(crate) trait Scalar:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
{
    /// The number alone.
    fn value(self) -> f64;
    fn constant(value: f64) -> Self;
    fn sqrt(self) -> Self;
    fn exp(self) -> Self;
    fn sin_cos(self) -> (Self, Self);
    /// Angle of (x, self), radians.
    fn atan2(self, x: Self) -> Self;
    fn square(self) -> Self {
        self * self
    }
}

impl Scalar for f64 {
    fn value(self) -> f64 {
        self
    }
    fn constant(value: f64) -> Self {
        value
    }
    fn sqrt(self) -> Self {
        self.sqrt()
    }
    fn exp(self) -> Self {
        self.exp()
    }
    fn sin_cos(self) -> (Self, Self) {
        self.sin_cos()
    }
    fn atan2(self, x: Self) -> Self {
        self.atan2(x)
    }
}

/// A number and its slopes along three unknowns (forward differentiation).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dual {
    pub value: f64,
    pub slope: [f64; 3],
}

impl Dual {
    /// The unknown number `axis`.
    pub fn unknown(value: f64, axis: usize) -> Self {
        Self {
            value,
            slope: std::array::from_fn(|i| if i == axis { 1.0 } else { 0.0 }),
        }
    }

    /// A function of this number whose value and derivative are known.
    fn through(self, value: f64, derivative: f64) -> Self {
        Self {
            value,
            slope: self.slope.map(|s| s * derivative),
        }
    }

    /// `value`, with the slopes of both numbers weighted.
    fn mixed(self, other: Self, value: f64, mine: f64, theirs: f64) -> Self {
        Self {
            value,
            slope: std::array::from_fn(|i| mine * self.slope[i] + theirs * other.slope[i]),
        }
    }
}

impl Scalar for Dual {
    fn value(self) -> f64 {
        self.value
    }
    fn constant(value: f64) -> Self {
        Self {
            value,
            slope: [0.0; 3],
        }
    }
    /// At 0 the slope is infinite; there it is taken as 0, as it is for the length of a vector of length 0.
    fn sqrt(self) -> Self {
        let root = self.value.sqrt();
        self.through(root, if root > 0.0 { 0.5 / root } else { 0.0 })
    }
    fn exp(self) -> Self {
        let value = self.value.exp();
        self.through(value, value)
    }
    fn sin_cos(self) -> (Self, Self) {
        let (sin, cos) = self.value.sin_cos();
        (self.through(sin, cos), self.through(cos, -sin))
    }
    fn atan2(self, x: Self) -> Self {
        let square = (self.value * self.value + x.value * x.value).max(1e-300);
        self.mixed(
            x,
            self.value.atan2(x.value),
            x.value / square,
            -self.value / square,
        )
    }
}

impl Add for Dual {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.mixed(other, self.value + other.value, 1.0, 1.0)
    }
}

impl Sub for Dual {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.mixed(other, self.value - other.value, 1.0, -1.0)
    }
}

impl Mul for Dual {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.mixed(other, self.value * other.value, other.value, self.value)
    }
}

impl Div for Dual {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let quotient = self.value / other.value;
        self.mixed(other, quotient, 1.0 / other.value, -quotient / other.value)
    }
}

impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        self.through(-self.value, -1.0)
    }
}

impl Add<f64> for Dual {
    type Output = Self;
    fn add(self, other: f64) -> Self {
        self.through(self.value + other, 1.0)
    }
}

impl Sub<f64> for Dual {
    type Output = Self;
    fn sub(self, other: f64) -> Self {
        self.through(self.value - other, 1.0)
    }
}

impl Mul<f64> for Dual {
    type Output = Self;
    fn mul(self, other: f64) -> Self {
        self.through(self.value * other, other)
    }
}

impl Div<f64> for Dual {
    type Output = Self;
    fn div(self, other: f64) -> Self {
        self.through(self.value / other, 1.0 / other)
    }
}
