//! From "44 in" to a quantity.

use crate::{MEASURES, Measure, Quantity, Typed, Unit};

/// Why a spelling is not the quantity that was wanted. Facts, not sentences: `words` says them.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// No number at the front.
    NoNumber {
        /// The text as given.
        found: String,
    },
    /// A number, but nothing after it.
    NoUnit {
        /// The text as given.
        found: String,
        /// What was wanted.
        wanted: Measure,
    },
    /// The unit is not known at all.
    UnknownUnit {
        /// The unit as given.
        found: String,
        /// What was wanted.
        wanted: Measure,
    },
    /// The unit is known but measures something else.
    WrongMeasure {
        /// The unit as given.
        found: String,
        /// What it measures.
        is: Measure,
        /// What was wanted.
        wanted: Measure,
    },
}

/// Reads a number and a unit of any measure. `None` if it is not one.
pub fn parse(text: &str) -> Option<Typed> {
    let (number, rest) = split(text)?;
    let unit = MEASURES.iter().find(|u| spells(u, rest))?;
    Some(typed(text, number, unit))
}

/// Reads a number and a unit of the `wanted` measure. Counts and pH may stand without a unit.
///
/// # Errors
/// [`Problem`] says what was found and what was wanted.
pub fn parse_as(text: &str, wanted: Measure) -> Result<Typed, Problem> {
    let Some((number, rest)) = split(text) else {
        return Err(Problem::NoNumber { found: text.trim().to_string() });
    };
    if rest.is_empty() {
        if matches!(wanted, Measure::Count | Measure::Acidity) {
            return Ok(Typed {
                quantity: Quantity::new(number, wanted),
                spelled: text.trim().to_string(),
            });
        }
        return Err(Problem::NoUnit { found: text.trim().to_string(), wanted });
    }
    if let Some(unit) = wanted.units().find(|u| spells(u, rest)) {
        return Ok(typed(text, number, unit));
    }
    match MEASURES.iter().find(|u| spells(u, rest)) {
        Some(unit) => Err(Problem::WrongMeasure { found: rest.to_string(), is: unit.measure, wanted }),
        None => Err(Problem::UnknownUnit { found: rest.to_string(), wanted }),
    }
}

fn typed(text: &str, number: f64, unit: &Unit) -> Typed {
    Typed {
        quantity: Quantity::new(number * unit.factor + unit.offset, unit.measure),
        spelled: text.trim().to_string(),
    }
}

fn spells(unit: &Unit, text: &str) -> bool {
    unit.symbol == text || unit.aliases.contains(&text)
}

/// The number at the front and what follows it, trimmed. Only finite numbers count.
fn split(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let exponent = matches!(c, 'e' | 'E')
            && at > 0
            && text[at + 1..].trim_start_matches(['-', '+']).starts_with(|d: char| d.is_ascii_digit());
        let sign = matches!(c, '-' | '+') && (at == 0 || text[..at].ends_with(['e', 'E']));
        if c.is_ascii_digit() || c == '.' || exponent || sign {
            end = at + c.len_utf8();
        } else {
            break;
        }
    }
    let number: f64 = text[..end].parse().ok()?;
    number.is_finite().then(|| (number, text[end..].trim()))
}
