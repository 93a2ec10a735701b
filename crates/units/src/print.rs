//! From a quantity to text.

use crate::{Measure, Quantity, Unit};

/// Which family of units a reader wants.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// Metres, grams, litres.
    #[default]
    Metric,
    /// Inches, yards, ounces, US gallons, Fahrenheit.
    Imperial,
}

/// How a decimal mark is written. No thousands marks are ever printed: on an Indonesian sheet 1.250 would
/// be read as one thousand two hundred and fifty.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Decimal {
    /// 1.5
    #[default]
    Point,
    /// 1,5
    Comma,
}

/// Prints with three significant digits in the unit a person would choose.
pub fn print(quantity: Quantity, system: System, decimal: Decimal) -> String {
    let unit = choose(quantity, system);
    print_with(quantity, unit, 3, decimal)
}

/// Prints in a given unit with `digits` significant digits; whole numbers stay whole, and temperatures, whose
/// zero is only a convention, get two decimals at most. A value that is not finite prints as it is ("NaN m"):
/// parsing never makes one, so it is a fault of ours that must be seen.
pub fn print_with(quantity: Quantity, unit: &Unit, digits: usize, decimal: Decimal) -> String {
    let number = unit.from_base(quantity.si);
    let most = if quantity.measure == Measure::Temperature {
        2
    } else {
        usize::MAX
    };
    let text = significant(number, digits, most);
    let text = match decimal {
        Decimal::Point => text,
        Decimal::Comma => text.replace('.', ","),
    };
    match quantity.measure {
        Measure::Count => text,
        Measure::Acidity => format!("pH {text}"),
        _ => format!("{text} {}", unit.symbol),
    }
}

/// `number` with `digits` significant digits but no more than `most` decimals.
fn significant(number: f64, digits: usize, most: usize) -> String {
    if !number.is_finite() {
        return number.to_string();
    }
    if number == 0.0 {
        return "0".to_string();
    }
    let magnitude = number.abs().log10().floor() as i32;
    if magnitude >= 15 || magnitude < -5 && most == usize::MAX {
        return format!("{number:.*e}", digits.saturating_sub(1));
    }
    let places = (digits as i32 - 1 - magnitude).max(0) as usize;
    let text = format!("{number:.*}", places.min(most));
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_string()
    } else {
        text.to_string()
    }
}

fn choose(quantity: Quantity, system: System) -> &'static Unit {
    let size = quantity.si.abs();
    let metric = system == System::Metric;
    let symbol = match quantity.measure {
        Measure::Length if metric => match size {
            s if s < 1e-3 && s > 0.0 => "um",
            s if s < 1.0 => "mm",
            _ => "m",
        },
        Measure::Length => {
            if size < 0.9144 * 1.5 {
                "in"
            } else {
                "yd"
            }
        }
        Measure::Area if !metric => "yd2",
        Measure::Mass if metric => match size {
            s if s < 1e-3 && s > 0.0 => "mg",
            s if s < 1.0 => "g",
            _ => "kg",
        },
        Measure::Mass => {
            if size < 0.453 {
                "oz"
            } else {
                "lb"
            }
        }
        Measure::Volume if metric => {
            if size < 1e-3 {
                "mL"
            } else {
                "L"
            }
        }
        Measure::Volume => "gal",
        Measure::Span => match size {
            s if s < 120.0 => "s",
            s if s < 3.0 * 3600.0 => "min",
            s if s < 72.0 * 3600.0 => "h",
            _ => "d",
        },
        Measure::Temperature if !metric => "F",
        Measure::PerArea if !metric => "oz/yd2",
        Measure::PerVolume if !metric => "oz/gal",
        Measure::Pace if !metric => "s/yd",
        Measure::Angle => "deg",
        Measure::Rate => "/min",
        _ => "",
    };
    let mut units = quantity.measure.units();
    let first = units.next();
    let found = quantity.measure.units().find(|u| u.symbol == symbol).or(first);
    // Every measure has at least one unit; a test holds that.
    found.unwrap_or(&crate::MEASURES[0])
}
