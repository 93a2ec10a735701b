//! What a stamp is made of: strips of copper bent on edge, a frame, a handle.

use crate::limits::Limits;
use words::Known;

/// The copper a stamp is built from, and what can be built of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Copper {
    /// Thickness of the strip, m.
    pub strip: Known,
    /// Height of the strip, m.
    pub height: Known,
    /// Density, kg/m3.
    pub density: Known,
    /// Frame and handle, kg.
    pub frame: Known,
    /// Narrowest clear gap between strips that can be bent, soldered and filed, m.
    pub gap: Known,
    /// Least width of a line on the cloth, in strip thicknesses: wax spreads beside the copper.
    pub line_least: Known,
    /// Greatest width of a line that one strip prints, in strip thicknesses; wider ones take two outlines.
    pub line_most: Known,
}

impl Default for Copper {
    /// That of the usual [`Limits`].
    fn default() -> Self {
        Limits::default().copper()
    }
}

/// Density of copper, kg/m3.
pub(crate) fn density() -> Known {
    Known::assumed(
        8960.0,
        1.0,
        "CRC Handbook of Chemistry and Physics, copper at 20 C (from memory)",
    )
}

/// What goes into a stamp, summed over its [`crate::StripPlan`]. It rests on the assumptions of the [`Limits`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Build {
    /// Length of all outlines of the drawing, m, exactly.
    pub outline_m: f64,
    /// Strip bent along lines and outlines, m.
    pub strip_m: f64,
    /// Inner strip of solid parts, m.
    pub fill_m: f64,
    /// Weight of strips and pins, kg.
    pub copper_kg: f64,
    /// Weight of the whole stamp with frame and handle, kg.
    pub weight_kg: f64,
}

impl Copper {
    /// Least width of a line on the cloth, mm.
    pub fn thinnest_line_mm(&self) -> f64 {
        self.strip.value * self.line_least.value * 1e3
    }
    /// Widest line that one strip prints, mm.
    pub fn single_strip_mm(&self) -> f64 {
        self.strip.value * self.line_most.value * 1e3
    }
    /// Mass of a length of strip (m), kg.
    pub fn strip_kg(&self, length_m: f64) -> f64 {
        length_m * self.strip.value * self.height.value * self.density.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 8 m x 0.6 mm x 20 mm = 96 cm3, at 8.96 g/cm3 860 g.
    #[test]
    fn eight_metres_of_strip_weigh_860_g() {
        assert!((Copper::default().strip_kg(8.0) - 0.860).abs() < 0.001);
    }
}
