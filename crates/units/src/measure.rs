//! The kinds of quantity and the units each may be spelled in.

/// A kind of quantity. Two quantities of different measure are never compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measure {
    /// Distance; base m.
    Length,
    /// Surface; base m2.
    Area,
    /// Base kg.
    Mass,
    /// Duration; base s.
    Span,
    /// Temperature as read off a thermometer; base degrees Celsius.
    Temperature,
    /// A difference of two temperatures; base K.
    TemperatureDifference,
    /// A part of a whole or an on-weight-of-fabric depth; base 1 ("2 %" is 0.02).
    Share,
    /// Mass on cloth; base kg/m2 ("145 g/m2", "4.3 oz/yd2").
    PerArea,
    /// Concentration in a liquor; base kg/m3, which is g/L.
    PerVolume,
    /// Liquid volume; base m3.
    Volume,
    /// Volume of liquor per mass of cloth; base m3/kg (5 L/kg is 0.005).
    PerMass,
    /// Degrees Baume, heavier than water, American scale (modulus 145 at 60 F); base degBe.
    Baume,
    /// Time per length; base s/m ("5.5 s/yd").
    Pace,
    /// Whole things; base 1.
    Count,
    /// Acidity; base pH.
    Acidity,
    /// Plane angle; base radian.
    Angle,
    /// Diffusion coefficient; base m2/s.
    Diffusivity,
    /// First-order rate; base 1/s.
    Rate,
    /// Second-order rate; base 1/(M s).
    SecondOrderRate,
    /// Molar energy; base J/mol.
    MolarEnergy,
    /// Evaporation flux; base kg/(m2 s).
    Flux,
}

/// One way to spell a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// What it measures.
    pub measure: Measure,
    /// The spelling that is printed.
    pub symbol: &'static str,
    /// Other accepted spellings.
    pub aliases: &'static [&'static str],
    /// base = (number + offset) * factor
    pub factor: f64,
    /// See `factor`; zero except for Fahrenheit. Added first, so that 32 F is 0 C to the last bit.
    pub offset: f64,
}

impl Unit {
    /// From a number in this unit to the base of its measure.
    pub const fn to_base(&self, number: f64) -> f64 {
        (number + self.offset) * self.factor
    }
    /// From the base of the measure to a number in this unit.
    pub const fn from_base(&self, si: f64) -> f64 {
        si / self.factor - self.offset
    }
}

const fn unit(measure: Measure, symbol: &'static str, aliases: &'static [&'static str], factor: f64) -> Unit {
    Unit {
        measure,
        symbol,
        aliases,
        factor,
        offset: 0.0,
    }
}

// International yard and pound agreement (1959), exact: 1 in = 25.4 mm, 1 lb = 0.45359237 kg.
// The US liquid gallon is 231 cubic inches (NIST Handbook 44, Appendix C).
const INCH: f64 = 0.0254;
const YARD: f64 = 0.9144;
const POUND: f64 = 0.453_592_37;
const GALLON: f64 = 231.0 * INCH * INCH * INCH;

/// Every unit, per measure; the first of a measure is its plain metric spelling.
pub static MEASURES: &[Unit] = &[
    unit(Measure::Length, "m", &["metre", "meter"], 1.0),
    unit(Measure::Length, "mm", &[], 1e-3),
    unit(Measure::Length, "cm", &[], 1e-2),
    unit(Measure::Length, "um", &["µm", "\u{3bc}m"], 1e-6),
    unit(Measure::Length, "in", &["inch", "inches", "\"", "\u{2033}"], INCH),
    unit(Measure::Length, "ft", &["foot", "feet"], 12.0 * INCH),
    unit(Measure::Length, "yd", &["yard", "yards"], YARD),
    unit(Measure::Area, "m2", &["m²"], 1.0),
    unit(Measure::Area, "cm2", &["cm²"], 1e-4),
    unit(Measure::Area, "yd2", &["yd²"], YARD * YARD),
    unit(Measure::Mass, "kg", &[], 1.0),
    unit(Measure::Mass, "g", &["gram", "grams"], 1e-3),
    unit(Measure::Mass, "mg", &[], 1e-6),
    unit(Measure::Mass, "lb", &["lbs"], POUND),
    unit(Measure::Mass, "oz", &[], POUND / 16.0),
    unit(Measure::Span, "s", &["sec"], 1.0),
    unit(Measure::Span, "min", &["mins", "minute", "minutes"], 60.0),
    unit(Measure::Span, "h", &["hr", "hour", "hours"], 3600.0),
    unit(Measure::Span, "d", &["day", "days"], 86400.0),
    unit(Measure::Temperature, "C", &["degC", "°C"], 1.0),
    Unit {
        measure: Measure::Temperature,
        symbol: "F",
        aliases: &["degF", "°F"],
        factor: 5.0 / 9.0,
        offset: -32.0,
    },
    unit(Measure::TemperatureDifference, "K", &[], 1.0),
    unit(Measure::Share, "%", &["% owf", "percent"], 0.01),
    unit(Measure::Share, "of 1", &["share"], 1.0),
    unit(Measure::PerArea, "g/m2", &["g/m²", "gsm"], 1e-3),
    unit(Measure::PerArea, "kg/m2", &["kg/m²"], 1.0),
    unit(
        Measure::PerArea,
        "oz/yd2",
        &["oz/yd²"],
        POUND / 16.0 / (YARD * YARD),
    ),
    unit(Measure::PerVolume, "g/L", &["g/l", "kg/m3"], 1.0),
    unit(Measure::PerVolume, "oz/gal", &[], POUND / 16.0 / GALLON),
    unit(
        Measure::Volume,
        "L",
        &["l", "litre", "liter", "litres", "liters"],
        1e-3,
    ),
    unit(Measure::Volume, "mL", &["ml"], 1e-6),
    unit(Measure::Volume, "m3", &["m³"], 1.0),
    unit(Measure::Volume, "gal", &["gallon", "gallons"], GALLON),
    unit(Measure::PerMass, "L/kg", &["l/kg", "mL/g"], 1e-3),
    unit(Measure::Baume, "degBe", &["Be", "°Be", "Bé", "°Bé"], 1.0),
    unit(Measure::Pace, "s/m", &[], 1.0),
    unit(Measure::Pace, "s/yd", &[], 1.0 / YARD),
    unit(Measure::Count, "pcs", &["x", "times"], 1.0),
    unit(Measure::Acidity, "pH", &[], 1.0),
    unit(Measure::Angle, "rad", &[], 1.0),
    unit(Measure::Angle, "deg", &["°"], std::f64::consts::PI / 180.0),
    unit(Measure::Diffusivity, "m2/s", &["m²/s"], 1.0),
    unit(Measure::Diffusivity, "mm2/s", &["mm²/s"], 1e-6),
    unit(Measure::Rate, "/s", &["1/s"], 1.0),
    unit(Measure::Rate, "/min", &["1/min"], 1.0 / 60.0),
    unit(Measure::Rate, "/h", &["1/h"], 1.0 / 3600.0),
    unit(Measure::SecondOrderRate, "/M/s", &["1/(M s)"], 1.0),
    unit(Measure::MolarEnergy, "kJ/mol", &[], 1e3),
    unit(Measure::Flux, "kg/m2/h", &["kg/m²/h"], 1.0 / 3600.0),
];

impl Measure {
    /// The units this measure may be spelled in.
    pub fn units(self) -> impl Iterator<Item = &'static Unit> {
        MEASURES.iter().filter(move |u| u.measure == self)
    }

    /// English name, as used in messages ("a length").
    pub const fn name(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Area => "area",
            Self::Mass => "mass",
            Self::Span => "duration",
            Self::Temperature => "temperature",
            Self::TemperatureDifference => "temperature difference",
            Self::Share => "share",
            Self::PerArea => "mass per area",
            Self::PerVolume => "concentration",
            Self::Volume => "volume",
            Self::PerMass => "volume per mass",
            Self::Baume => "density in degrees Baume",
            Self::Pace => "pace",
            Self::Count => "count",
            Self::Acidity => "pH",
            Self::Angle => "angle",
            Self::Diffusivity => "diffusivity",
            Self::Rate => "rate",
            Self::SecondOrderRate => "second-order rate",
            Self::MolarEnergy => "molar energy",
            Self::Flux => "drying rate",
        }
    }
}
