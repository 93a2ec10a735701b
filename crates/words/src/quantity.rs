//! What is said when a quantity cannot be read.

use crate::{Arg, Finding, Line, Place, Text, Weight, say, text};
use units::{Measure, NumberFault, Problem};

/// The finding for a quantity that could not be read at `place`: what was written, which units are allowed, and
/// what to write instead.
///
/// ```
/// use words::{Place, Voice, finding_of};
/// let problem = units::parse_as("44 kg", units::Measure::Length).unwrap_err();
/// let said = finding_of(&problem, Place::Request).say(Voice::default());
/// assert_eq!(said[0], "\"44 kg\" is a mass; a length was wanted");
/// ```
pub fn finding_of(problem: &Problem, place: Place) -> Finding {
    let (code, found, wanted, remedy) = match problem {
        Problem::NoNumber { found, wanted } => (
            "quantity-without-number",
            say!(
                "\"{found}\" does not begin with a number; {wanted} was wanted",
                "\"{found}\" tidak diawali angka; yang diminta {wanted}",
                found = quoted(found),
                wanted = Arg::Text(measure(*wanted)),
            ),
            *wanted,
            None,
        ),
        Problem::BadNumber { found, wanted, fault } => {
            let (line, remedy) = bad_number(found, *fault);
            ("number-not-clear", line, *wanted, remedy)
        }
        Problem::NoUnit { found, wanted } => (
            "quantity-without-unit",
            say!(
                "\"{found}\" has no unit; {wanted} was wanted",
                "\"{found}\" tanpa satuan; yang diminta {wanted}",
                found = quoted(found),
                wanted = Arg::Text(measure(*wanted)),
            ),
            *wanted,
            None,
        ),
        Problem::UnknownUnit { found, unit, wanted } => (
            "unit-not-known",
            say!(
                "\"{unit}\" in \"{found}\" is not a unit known here; {wanted} was wanted",
                "\"{unit}\" dalam \"{found}\" bukan satuan yang dikenal; yang diminta {wanted}",
                unit = quoted(unit),
                found = quoted(found),
                wanted = Arg::Text(measure(*wanted)),
            ),
            *wanted,
            None,
        ),
        Problem::WrongMeasure { found, is, wanted } => (
            "quantity-of-other-kind",
            say!(
                "\"{found}\" is {is}; {wanted} was wanted",
                "\"{found}\" adalah {is}; yang diminta {wanted}",
                found = quoted(found),
                is = Arg::Text(measure(*is)),
                wanted = Arg::Text(measure(*wanted)),
            ),
            *wanted,
            None,
        ),
    };
    Finding::new(code, Weight::Wrong, place, found)
        .allow(allowed(wanted))
        .remedy(remedy.unwrap_or_else(|| for_example(wanted)))
}

/// What is wrong with the number, and what to write if that differs from an example of the measure. The digits
/// to type stand in arguments: files take a point whatever the language of the message.
fn bad_number(found: &str, fault: NumberFault) -> (Line, Option<Line>) {
    let found = quoted(found);
    let type_this = |digits: &str| Arg::Name(digits.to_string());
    match fault {
        NumberFault::Comma => (
            say!(
                "the comma in \"{found}\" can be read in two ways",
                "koma dalam \"{found}\" bisa dibaca dengan dua cara",
                found = found
            ),
            Some(say!(
                "write a point for decimals and nothing between thousands: {decimal} or {whole}",
                "tulis titik untuk desimal dan jangan beri tanda ribuan: {decimal} atau {whole}",
                decimal = type_this("1.5"),
                whole = type_this("1500"),
            )),
        ),
        NumberFault::Fraction => (
            say!(
                "the fraction in \"{found}\" is not read",
                "pecahan dalam \"{found}\" tidak terbaca",
                found = found
            ),
            Some(say!(
                "write {decimal} instead of {fraction}",
                "tulis {decimal}, bukan {fraction}",
                decimal = type_this("3.5"),
                fraction = type_this("3 1/2"),
            )),
        ),
        NumberFault::Groups => (
            say!(
                "the digits of \"{found}\" stand in groups",
                "angka dalam \"{found}\" terpisah-pisah",
                found = found
            ),
            Some(say!(
                "write the digits together: {whole}",
                "tulis angkanya menyatu: {whole}",
                whole = type_this("1500")
            )),
        ),
        NumberFault::Points => (
            say!(
                "\"{found}\" has more than one point",
                "\"{found}\" memuat lebih dari satu titik",
                found = found
            ),
            Some(say!(
                "write one point, before the decimals: {decimal}",
                "tulis satu titik saja, sebelum desimal: {decimal}",
                decimal = type_this("1.5")
            )),
        ),
        NumberFault::NotFinite => (
            say!(
                "\"{found}\" is not a number that can be computed with",
                "\"{found}\" bukan bilangan yang bisa dihitung",
                found = found
            ),
            None,
        ),
    }
}

fn allowed(wanted: Measure) -> Line {
    let symbols: Vec<&str> = wanted.units().map(|u| u.symbol).collect();
    let units = Arg::Name(symbols.join(", "));
    if matches!(wanted, Measure::Count | Measure::Acidity) {
        return say!(
            "a number, with or without {units}",
            "sebuah angka, dengan atau tanpa {units}",
            units = units
        );
    }
    say!(
        "a number and one of: {units}",
        "sebuah angka dan salah satu dari: {units}",
        units = units
    )
}

fn for_example(wanted: Measure) -> Line {
    match examples(wanted) {
        (one, None) => {
            say!(
                "write for example {one}",
                "tulis misalnya {one}",
                one = Arg::Name(one.to_string())
            )
        }
        (one, Some(other)) => say!(
            "write for example {one} or {other}",
            "tulis misalnya {one} atau {other}",
            one = Arg::Name(one.to_string()),
            other = Arg::Name(other.to_string()),
        ),
    }
}

/// A user's words, kept short enough for a line.
fn quoted(text: &str) -> Arg {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return Arg::Name(text.to_string());
    }
    Arg::Name(text.chars().take(MOST - 1).chain(['…']).collect())
}

/// The name of a measure as it stands in a sentence, with the article where the language has one.
pub const fn measure(measure: Measure) -> &'static Text {
    match measure {
        Measure::Length => text!("a length", "panjang"),
        Measure::Area => text!("an area", "luas"),
        Measure::Mass => text!("a mass", "massa"),
        Measure::Span => text!("a duration", "lama waktu"),
        Measure::Temperature => text!("a temperature", "suhu"),
        Measure::TemperatureDifference => text!("a temperature difference", "selisih suhu"),
        Measure::Share => text!("a share", "bagian (persen)"),
        Measure::PerArea => text!("a mass per area", "massa per luas"),
        Measure::PerVolume => text!("a concentration", "kadar"),
        Measure::Volume => text!("a volume", "volume"),
        Measure::PerMass => text!("a volume per mass", "volume per massa"),
        Measure::Baume => text!("a density in degrees Baume", "kerapatan dalam derajat Baume"),
        Measure::Pace => text!("a time per length", "waktu per panjang"),
        Measure::Count => text!("a count", "jumlah"),
        Measure::Acidity => text!("a pH", "pH"),
        Measure::Angle => text!("an angle", "sudut"),
        Measure::Diffusivity => text!("a diffusivity", "difusivitas"),
        Measure::Rate => text!("a rate", "laju"),
        Measure::SecondOrderRate => text!("a second-order rate", "laju orde dua"),
        Measure::MolarEnergy => text!("a molar energy", "energi molar"),
        Measure::Flux => text!("a drying rate", "laju pengeringan"),
    }
}

/// One or two spellings to imitate. Without decimals, so that they read the same in both languages.
const fn examples(measure: Measure) -> (&'static str, Option<&'static str>) {
    match measure {
        Measure::Length => ("44 in", Some("112 cm")),
        Measure::Area => ("15 m2", Some("18 yd2")),
        Measure::Mass => ("500 g", Some("2 lb")),
        Measure::Span => ("20 min", Some("2 h")),
        Measure::Temperature => ("27 C", Some("80 F")),
        Measure::TemperatureDifference => ("4 K", None),
        Measure::Share => ("2 %", None),
        Measure::PerArea => ("145 g/m2", Some("4 oz/yd2")),
        Measure::PerVolume => ("20 g/L", Some("3 oz/gal")),
        Measure::Volume => ("130 L", Some("35 gal")),
        Measure::PerMass => ("5 L/kg", None),
        Measure::Baume => ("38 degBe", None),
        Measure::Pace => ("5 s/m", Some("5 s/yd")),
        Measure::Count => ("3", None),
        Measure::Acidity => ("pH 10", Some("10")),
        Measure::Angle => ("45 deg", None),
        Measure::Diffusivity => ("1e-10 m2/s", None),
        Measure::Rate => ("1 /min", Some("20 /h")),
        Measure::SecondOrderRate => ("2 /M/s", None),
        Measure::MolarEnergy => ("80 kJ/mol", None),
        Measure::Flux => ("1 kg/m2/h", None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_we_tell_people_to_write_can_be_read() {
        for measure in units::MEASURES.iter().map(|u| u.measure) {
            let (one, other) = examples(measure);
            for example in std::iter::once(one).chain(other) {
                let read = units::parse_as(example, measure);
                assert!(read.is_ok(), "{measure:?}: {example:?} {read:?}");
            }
        }
        for typed in ["1.5 m", "1500 m", "3.5 yd"] {
            assert!(units::parse_as(typed, Measure::Length).is_ok(), "{typed}");
        }
    }
}
