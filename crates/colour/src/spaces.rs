//! XYZ, CIELAB and its polar form.

/// Tristimulus values; the perfect white has Y = 100.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, luminance.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// CIELAB (CIE 15:2004, 8.2.1).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lab {
    /// Lightness L*, 0 to 100.
    pub l: f64,
    /// a*, green to red.
    pub a: f64,
    /// b*, blue to yellow.
    pub b: f64,
}

/// CIELAB in polar form.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lch {
    /// Lightness L*.
    pub l: f64,
    /// Chroma C*ab.
    pub c: f64,
    /// Hue angle, degrees, 0 to 360; 0 for greys.
    pub h: f64,
}

/// CIELAB of a colour under a white (both on the same scale).
pub fn lab(colour: Xyz, white: Xyz) -> Lab {
    let (x, y, z) = (
        bend(colour.x / white.x),
        bend(colour.y / white.y),
        bend(colour.z / white.z),
    );
    Lab {
        l: 116.0 * y - 16.0,
        a: 500.0 * (x - y),
        b: 200.0 * (y - z),
    }
}

/// Polar form of a CIELAB colour.
pub fn lch(lab: Lab) -> Lch {
    Lch {
        l: lab.l,
        c: lab.chroma(),
        h: hue_degrees(lab.a, lab.b),
    }
}

impl Xyz {
    /// As an array, for matrices.
    pub const fn to_array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
    /// From an array.
    pub const fn from_array([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }
    /// Chromaticity (x, y).
    pub fn chromaticity(self) -> (f64, f64) {
        let sum = self.x + self.y + self.z;
        (self.x / sum, self.y / sum)
    }
}

impl Lab {
    /// A colour from its three numbers.
    pub const fn new(l: f64, a: f64, b: f64) -> Self {
        Self { l, a, b }
    }
    /// Chroma C*ab.
    pub fn chroma(self) -> f64 {
        self.a.hypot(self.b)
    }
    /// Back to tristimulus values under a white.
    pub fn xyz(self, white: Xyz) -> Xyz {
        let y = (self.l + 16.0) / 116.0;
        Xyz {
            x: white.x * unbend(y + self.a / 500.0),
            y: white.y * unbend(y),
            z: white.z * unbend(y - self.b / 200.0),
        }
    }
}

/// Hue angle of (a, b), degrees, 0 to 360; 0 for the grey point.
pub(crate) fn hue_degrees(a: f64, b: f64) -> f64 {
    if a == 0.0 && b == 0.0 {
        return 0.0;
    }
    let h = b.atan2(a).to_degrees();
    if h < 0.0 { h + 360.0 } else { h }
}

/// The exact constants of CIE 15:2004 (24/116 cubed and its slope), not their rounded decimals.
const KNEE: f64 = 24.0 / 116.0;

fn bend(t: f64) -> f64 {
    if t > KNEE.powi(3) {
        t.cbrt()
    } else {
        t * (841.0 / 108.0) + 16.0 / 116.0
    }
}

fn unbend(f: f64) -> f64 {
    if f > KNEE {
        f.powi(3)
    } else {
        (f - 16.0 / 116.0) * (108.0 / 841.0)
    }
}
