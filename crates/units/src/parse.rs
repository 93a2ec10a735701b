//! From "44 in" to a quantity.
//!
//! A number is written as in a program: an optional sign, digits with at most one point, perhaps an exponent.
//! Commas, fractions and digit groups are refused rather than guessed at: "1,250 kg" is 1.25 kg to one reader
//! and 1250 kg to another, and these files are mailed between both.

use crate::{MEASURES, Measure, Quantity, Typed, Unit};

/// Why a spelling is not the quantity that was wanted. Facts, not sentences: `words` says them.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// No number at the front.
    NoNumber {
        /// The text as given.
        found: String,
        /// What was wanted.
        wanted: Measure,
    },
    /// There is a number, but it cannot be read in exactly one way.
    BadNumber {
        /// The text as given.
        found: String,
        /// What was wanted.
        wanted: Measure,
        /// What is wrong with the number.
        fault: NumberFault,
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
        /// The text as given.
        found: String,
        /// The part of it that should be a unit.
        unit: String,
        /// What was wanted.
        wanted: Measure,
    },
    /// The unit is known but measures something else.
    WrongMeasure {
        /// The text as given.
        found: String,
        /// What it measures.
        is: Measure,
        /// What was wanted.
        wanted: Measure,
    },
}

/// What can be wrong with a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NumberFault {
    /// "1,5 m": a decimal mark to some readers, a thousands mark to others.
    Comma,
    /// "1/2 in" or "3 1/2 yd".
    Fraction,
    /// "1 000 m", "1'000 m", "1_000 m": digits in groups.
    Groups,
    /// "1.2.3 m": more than one point.
    Points,
    /// Not a number, infinite, or too large to compute with.
    NotFinite,
}

/// Reads a number and a unit of any measure. `None` if it is not one.
pub fn parse(text: &str) -> Option<Typed> {
    if let Some(number) = text.trim().strip_prefix("pH") {
        return parse_as(number, Measure::Acidity).ok().map(|ph| Typed {
            spelled: spelled(text),
            ..ph
        });
    }
    let (number, rest) = split(text.trim())?;
    let unit = MEASURES.iter().find(|u| spells(u, rest))?;
    typed(text, number, unit)
}

/// Reads a number and a unit of the `wanted` measure. Counts and pH may stand without a unit; pH may also go
/// before its number ("pH 10.5").
///
/// # Errors
/// [`Problem`] says what was found and what was wanted.
///
/// ```
/// use units::{Measure, Problem, parse_as};
/// let width = parse_as("44 in", Measure::Length).unwrap();
/// assert_eq!(width.spelled, "44 in");
/// assert!((width.quantity.si - 1.1176).abs() < 1e-12);
/// assert!(matches!(parse_as("44 kg", Measure::Length), Err(Problem::WrongMeasure { is: Measure::Mass, .. })));
/// ```
pub fn parse_as(text: &str, wanted: Measure) -> Result<Typed, Problem> {
    let found = spelled(text);
    let bad = |fault| Problem::BadNumber {
        found: spelled(text),
        wanted,
        fault,
    };
    let mut body = text.trim();
    if wanted == Measure::Acidity {
        body = body.strip_prefix("pH").unwrap_or(body).trim_start();
    }
    let Some((number, rest)) = split(body) else {
        return Err(if says_not_finite(body) {
            bad(NumberFault::NotFinite)
        } else {
            Problem::NoNumber { found, wanted }
        });
    };
    let bare = matches!(wanted, Measure::Count | Measure::Acidity);
    let unit = wanted
        .units()
        .find(|u| spells(u, rest) || bare && rest.is_empty());
    if let Some(unit) = unit {
        return typed(text, number, unit).ok_or_else(|| bad(NumberFault::NotFinite));
    }
    if rest.is_empty() {
        return Err(Problem::NoUnit { found, wanted });
    }
    if let Some(unit) = MEASURES.iter().find(|u| spells(u, rest)) {
        return Err(Problem::WrongMeasure {
            found,
            is: unit.measure,
            wanted,
        });
    }
    match number_goes_on(rest) {
        Some(fault) => Err(bad(fault)),
        None => Err(Problem::UnknownUnit {
            found,
            unit: rest.to_string(),
            wanted,
        }),
    }
}

fn spelled(text: &str) -> String {
    text.trim().to_string()
}

fn typed(text: &str, number: f64, unit: &Unit) -> Option<Typed> {
    let si = unit.to_base(number);
    si.is_finite().then(|| Typed {
        quantity: Quantity::new(si, unit.measure),
        spelled: spelled(text),
    })
}

fn spells(unit: &Unit, text: &str) -> bool {
    unit.symbol == text || unit.aliases.contains(&text)
}

fn says_not_finite(text: &str) -> bool {
    let text = text
        .trim_start_matches(['-', '+', '\u{2212}'])
        .to_ascii_lowercase();
    ["nan", "inf", "\u{221e}"]
        .iter()
        .any(|word| text.starts_with(word))
}

/// What follows the first number looks like more of a number: which mistake is that?
fn number_goes_on(rest: &str) -> Option<NumberFault> {
    let digit_after = |mark: char| {
        rest.strip_prefix(mark)
            .is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit()))
    };
    let is_digit = |c: char| c.is_ascii_digit();
    if digit_after(',') {
        Some(NumberFault::Comma)
    } else if rest.starts_with('.') {
        Some(NumberFault::Points)
    } else if digit_after('/')
        || rest.starts_with(is_digit) && rest.trim_start_matches(is_digit).starts_with('/')
    {
        Some(NumberFault::Fraction)
    } else if rest.starts_with(is_digit) || digit_after('\'') || digit_after('_') || digit_after('\u{2019}') {
        Some(NumberFault::Groups)
    } else {
        None
    }
}

/// The number at the front and what follows it, both trimmed. `None` without a digit. An overlong number comes
/// back as infinity, which [`typed`] refuses. The typographic minus is read as a minus.
fn split(text: &str) -> Option<(f64, &str)> {
    let (sign, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(body) => (-1.0, body),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let whole = digits(body);
    let mut end = whole;
    let mut any = whole > 0;
    if let Some(fraction) = body[end..].strip_prefix('.') {
        let places = digits(fraction);
        any |= places > 0;
        end += 1 + places;
    }
    if !any {
        return None;
    }
    if let Some(exponent) = body[end..].strip_prefix(['e', 'E']) {
        let signed = exponent.strip_prefix(['-', '+']).unwrap_or(exponent);
        let places = digits(signed);
        if places > 0 {
            end += 1 + (exponent.len() - signed.len()) + places;
        }
    }
    let number: f64 = body[..end].parse().ok()?;
    Some((sign * number, body[end..].trim()))
}

/// How many ASCII digits stand at the front.
fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}
