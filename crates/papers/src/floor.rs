//! How a number is said on the workshop floor, where 1.250 is read as one thousand two hundred and fifty.
//!
//! Whole grams and millilitres without thousands marks, a comma where a decimal is needed, the unit in
//! words. Always metric: scales, cups and thermometers of the floor are.

use units::{Measure, Quantity, System};
use words::{Arg, Language, Line, Voice};

/// A no-break space: a number and its unit stay on one line of paper.
const TIED: &str = "\u{a0}";

/// A quantity as the floor reads it, in Bahasa Indonesia: `1250 gram`, `1,2 liter`, `20 menit`,
/// `38 derajat Be`. A number that is not finite is said to be unreadable, never printed.
///
/// Rounded to what is weighed and poured: mass and volume to within 1 %, time to the second below two
/// hours and to the minute above.
pub fn floor_quantity(quantity: Quantity) -> String {
    Said::of(quantity).id
}

/// The same number in both languages: what the designer reads is what the floor weighs.
struct Said {
    id: String,
    en: String,
}

impl Said {
    /// `places` decimals at most, and the unit in Indonesian and in English.
    fn number(number: f64, places: usize, unit: (&str, &str)) -> Self {
        let (id, en) = (decimal(number, places).replace('.', ","), decimal(number, places));
        Self {
            id: format!("{id} {}", unit.0),
            en: format!("{en} {}", unit.1),
        }
    }

    fn of(quantity: Quantity) -> Self {
        let si = quantity.si;
        let number = Self::number;
        let keeping = |value: f64, unit| Self::number(value, fine(value), unit);
        if !si.is_finite() {
            return Self {
                id: "tidak terbaca".to_string(),
                en: "unreadable".to_string(),
            };
        }
        match quantity.measure {
            Measure::Mass => mass(si),
            Measure::Volume => volume(si),
            Measure::Span => span(si),
            Measure::Length => length(si),
            Measure::Area => number(si, 2, ("meter persegi", "m²")),
            Measure::Temperature => number(si, usize::from(si.abs() < 10.0), ("derajat C", "°C")),
            Measure::TemperatureDifference => number(si, 1, ("derajat C", "K")),
            Measure::Share => keeping(si * 100.0, ("persen", "%")),
            Measure::PerArea => keeping(si * 1000.0, ("gram per meter persegi", "g/m²")),
            Measure::PerVolume => keeping(si, ("gram per liter", "g/L")),
            Measure::PerMass => keeping(si * 1000.0, ("liter per kilogram", "L/kg")),
            Measure::Baume => number(si, 1, ("derajat Be", "°Bé")),
            Measure::Pace => number(si, 1, ("detik per meter", "s/m")),
            Measure::Count => Self {
                id: decimal(si, 2).replace('.', ","),
                en: decimal(si, 2),
            },
            Measure::Acidity => {
                let ph = decimal(si, 1);
                Self {
                    id: format!("pH {}", ph.replace('.', ",")),
                    en: format!("pH {ph}"),
                }
            }
            Measure::Angle => number(si.to_degrees(), 1, ("derajat", "degrees")),
            Measure::Rate => keeping(si * 60.0, ("per menit", "/min")),
            Measure::Flux => keeping(si * 3600.0, ("kilogram per meter persegi per jam", "kg/m² h")),
            // Constants of the chemistry; they reach paper only as a footnote to a number.
            Measure::Diffusivity => keeping(si * 1e6, ("mm² per detik", "mm²/s")),
            Measure::SecondOrderRate => keeping(si, ("per M per detik", "/M s")),
            Measure::MolarEnergy => number(si / 1000.0, 1, ("kJ per mol", "kJ/mol")),
        }
    }
}

/// A line as the floor reads it: Bahasa Indonesia, every quantity as [`floor_quantity`] says it.
pub fn floor_line(line: &Line) -> String {
    let args = line
        .args
        .iter()
        .map(|(name, arg)| match arg {
            Arg::Quantity(q) => (*name, Arg::Name(floor_quantity(*q).replace(' ', TIED))),
            other => (*name, other.clone()),
        })
        .collect();
    Line::new(line.text, args).say(Voice {
        language: Language::Id,
        ..Voice::default()
    })
}

/// A line in English, quantities tied to their units so that no line of paper ends between them. In metric
/// units the numbers are those of the floor.
pub(crate) fn english_line(line: &Line, voice: Voice) -> String {
    let voice = Voice {
        language: Language::En,
        ..voice
    };
    let say = |quantity: Quantity| match voice.system {
        System::Imperial if in_imperial(quantity.measure) => voice.quantity(quantity),
        _ => Said::of(quantity).en,
    };
    let args = line
        .args
        .iter()
        .map(|(name, arg)| match arg {
            Arg::Quantity(q) => (*name, Arg::Name(say(*q).replace(' ', TIED))),
            other => (*name, other.clone()),
        })
        .collect();
    Line::new(line.text, args).say(voice)
}

/// Measures that have units of their own in the imperial family.
const fn in_imperial(measure: Measure) -> bool {
    matches!(
        measure,
        Measure::Length
            | Measure::Area
            | Measure::Mass
            | Measure::Volume
            | Measure::Temperature
            | Measure::PerArea
            | Measure::PerVolume
            | Measure::Pace
    )
}

const GRAM: (&str, &str) = ("gram", "g");
const KILOGRAM: (&str, &str) = ("kilogram", "kg");
const MILLILITRE: (&str, &str) = ("mililiter", "mL");
const LITRE: (&str, &str) = ("liter", "L");

fn mass(kg: f64) -> Said {
    let g = kg * 1000.0;
    match g.abs() {
        size if size < 1.0 => Said::number(g, fine(g), GRAM),
        size if size < 9.995 => Said::number(g, 2, GRAM),
        size if size < 99.95 => Said::number(g, 1, GRAM),
        size if size < 9_999.5 => Said::number(g, 0, GRAM),
        size if size < 99_995.0 => Said::number(kg, 2, KILOGRAM),
        _ => Said::number(kg, 1, KILOGRAM),
    }
}

fn volume(m3: f64) -> Said {
    let ml = m3 * 1e6;
    match ml.abs() {
        size if size < 9.995 => Said::number(ml, fine(ml), MILLILITRE),
        size if size < 99.95 => Said::number(ml, 1, MILLILITRE),
        size if size < 999.5 => Said::number(ml, 0, MILLILITRE),
        size if size < 9_995.0 => Said::number(ml / 1000.0, 2, LITRE),
        size if size < 99_950.0 => Said::number(ml / 1000.0, 1, LITRE),
        _ => Said::number(ml / 1000.0, 0, LITRE),
    }
}

fn length(m: f64) -> Said {
    match m.abs() {
        size if size < 0.001 => Said::number(m * 1000.0, fine(m * 1000.0), ("milimeter", "mm")),
        size if size < 0.0995 => Said::number(m * 1000.0, 1, ("milimeter", "mm")),
        size if size < 0.9995 => Said::number(m * 100.0, 1, ("sentimeter", "cm")),
        _ => Said::number(m, 2, ("meter", "m")),
    }
}

/// Minutes and seconds, or hours and minutes: a duration is never written like a clock time.
fn span(s: f64) -> Said {
    const SECOND: (&str, &str) = ("detik", "s");
    const MINUTE: (&str, &str) = ("menit", "min");
    const HOUR: (&str, &str) = ("jam", "h");
    const DAY: (&str, &str) = ("hari", "d");
    if s.abs() < 59.5 {
        return Said::number(s, usize::from(s.abs() < 10.0), SECOND);
    }
    let (unit, size, small_unit, small) = match s.abs() {
        size if size < 7199.5 => (MINUTE, 60.0, SECOND, 1.0),
        size if size < 259_170.0 => (HOUR, 3600.0, MINUTE, 60.0),
        _ => (DAY, 86_400.0, HOUR, 3600.0),
    };
    let smalls = (s.abs() / small).round();
    let per_big = size / small;
    let big = Said::number((smalls / per_big).floor().copysign(s), 0, unit);
    let rest = smalls % per_big;
    if rest < 0.5 {
        return big;
    }
    let rest = Said::number(rest, 0, small_unit);
    Said {
        id: format!("{} {}", big.id, rest.id),
        en: format!("{} {}", big.en, rest.en),
    }
}

/// Decimals that keep a number of any size within about 1 %.
fn fine(number: f64) -> usize {
    match number.abs() {
        size if size < 1e-9 => 0,
        size if size < 100.0 => (2 - size.log10().floor() as i32).clamp(1, 11) as usize,
        _ => 0,
    }
}

/// Up to `places` decimals; zeros at the end are not written.
fn decimal(number: f64, places: usize) -> String {
    let text = format!("{number:.places$}");
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

#[cfg(test)]
mod tests {
    use super::{floor_line, floor_quantity};
    use proptest::prelude::*;
    use units::{MEASURES, Measure, Quantity};
    use words::{Arg, say};

    #[test]
    fn floor_numbers_read_as_the_floor_says_them() {
        let said = |si, measure| floor_quantity(Quantity::new(si, measure));
        assert_eq!(said(1.25, Measure::Mass), "1250 gram");
        assert_eq!(said(0.0462, Measure::Mass), "46,2 gram");
        assert_eq!(said(12.5, Measure::Mass), "12,5 kilogram");
        assert_eq!(said(0.00035, Measure::Mass), "0,35 gram");
        assert_eq!(said(0.0012, Measure::Volume), "1,2 liter");
        assert_eq!(said(0.00045, Measure::Volume), "450 mililiter");
        assert_eq!(said(1200.0, Measure::Span), "20 menit");
        assert_eq!(said(820.0, Measure::Span), "13 menit 40 detik");
        assert_eq!(said(7199.8, Measure::Span), "2 jam");
        assert_eq!(said(29_700.0, Measure::Span), "8 jam 15 menit");
        assert_eq!(said(259_199.0, Measure::Span), "3 hari");
        assert_eq!(said(38.0, Measure::Baume), "38 derajat Be");
        assert_eq!(said(10.24, Measure::Acidity), "pH 10,2");
        assert_eq!(said(0.035, Measure::Share), "3,5 persen");
        assert_eq!(said(f64::NAN, Measure::Mass), "tidak terbaca");
        let line = say!(
            "{q} of {n}",
            "{q} dari {n}",
            q = Arg::Quantity(Quantity::new(1.25, Measure::Mass)),
            n = Arg::Spelled("5.5 s/yd".to_string())
        );
        assert_eq!(
            floor_line(&line).replace('\u{a0}', " "),
            "1250 gram dari 5,5 s/yd"
        );
    }

    fn any_quantity() -> impl Strategy<Value = Quantity> {
        let si = prop_oneof![
            -1e9..1e9f64,
            (-12.0..12.0f64).prop_map(|power| 10f64.powf(power)),
            any::<f64>()
        ];
        (si, 0..MEASURES.len()).prop_map(|(si, unit)| Quantity::new(si, MEASURES[unit].measure))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(20_000))]

        /// 1.250 is one thousand two hundred and fifty there: no floor number has a point between digits.
        #[test]
        fn no_floor_number_has_a_point_between_digits(quantity in any_quantity()) {
            let said = floor_quantity(quantity);
            let bytes = said.as_bytes();
            let pointed = bytes.windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b'.' && w[2].is_ascii_digit());
            prop_assert!(!pointed, "{said}");
        }

        /// What is printed is within 1 % of what was meant, for every amount that can be weighed or poured.
        #[test]
        fn a_floor_amount_is_within_a_hundredth(power in -7.0..3.0f64, volume in any::<bool>()) {
            let si = 10f64.powf(power);
            let measure = if volume { Measure::Volume } else { Measure::Mass };
            let said = floor_quantity(Quantity::new(si, measure));
            let (number, unit) = said.split_once(' ').unwrap_or_default();
            let factor = match unit {
                "gram" | "liter" => 1e-3,
                "kilogram" => 1.0,
                "mililiter" => 1e-6,
                other => panic!("{other}"),
            };
            let back = number.replace(',', ".").parse::<f64>().unwrap_or(f64::NAN) * factor;
            prop_assert!((back / si - 1.0).abs() < 0.01, "{said} for {si}");
        }
    }
}
