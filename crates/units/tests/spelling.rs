//! What people write, and what they are told when it cannot be read.

use units::{MEASURES, Measure, NumberFault, Problem, parse, parse_as};

fn si(text: &str, wanted: Measure) -> f64 {
    parse_as(text, wanted)
        .unwrap_or_else(|problem| panic!("{text:?}: {problem:?}"))
        .quantity
        .si
}

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-12 * expected.abs().max(1e-9),
        "{found} is not {expected}"
    );
}

/// The right-hand column is computed by hand from the exact definitions of 1959 (1 in = 25.4 mm,
/// 1 lb = 453.59237 g) and NIST Handbook 44, Appendix C (1 gal = 231 in3 = 3.785411784 L exactly,
/// 1 oz = 28.349523125 g exactly).
#[test]
fn spellings_of_the_trade() {
    for (text, measure, expected) in [
        ("44 in", Measure::Length, 1.1176),
        ("44in", Measure::Length, 1.1176),
        ("44\"", Measure::Length, 1.1176),
        ("44\u{2033}", Measure::Length, 1.1176),
        ("15 yd", Measure::Length, 13.716),
        ("1 ft", Measure::Length, 0.3048),
        (".5 m", Measure::Length, 0.5),
        ("1.12 m", Measure::Length, 1.12),
        ("50 µm", Measure::Length, 50e-6),
        ("145 g/m2", Measure::PerArea, 0.145),
        ("145 gsm", Measure::PerArea, 0.145),
        (
            "4.3 oz/yd2",
            Measure::PerArea,
            4.3 * 0.028_349_523_125 / 0.836_127_36,
        ),
        ("35 gal", Measure::Volume, 0.132_489_412_44),
        ("1 oz/gal", Measure::PerVolume, 28.349_523_125 / 3.785_411_784),
        ("38 degBe", Measure::Baume, 38.0),
        ("38 °Bé", Measure::Baume, 38.0),
        ("5.5 s/yd", Measure::Pace, 5.5 / 0.9144),
        ("32 F", Measure::Temperature, 0.0),
        ("212 F", Measure::Temperature, 100.0),
        ("80 F", Measure::Temperature, 80.0 / 3.0),
        ("-40 °F", Measure::Temperature, -40.0),
        ("-3 C", Measure::Temperature, -3.0),
        ("\u{2212}3 C", Measure::Temperature, -3.0),
        ("1e-10 m2/s", Measure::Diffusivity, 1e-10),
        ("2 % owf", Measure::Share, 0.02),
        ("0.008/min", Measure::Rate, 0.008 / 60.0),
        ("0.008 1/min", Measure::Rate, 0.008 / 60.0),
        ("5 L/kg", Measure::PerMass, 0.005),
        ("0.5 kg/m2/h", Measure::Flux, 0.5 / 3600.0),
        ("3", Measure::Count, 3.0),
        ("3 x", Measure::Count, 3.0),
        ("10.5", Measure::Acidity, 10.5),
        ("pH 10.5", Measure::Acidity, 10.5),
        ("10.5 pH", Measure::Acidity, 10.5),
        ("2 h", Measure::Span, 7200.0),
    ] {
        close(si(text, measure), expected);
        assert_eq!(
            parse_as(&format!("  {text} "), measure).unwrap().spelled,
            text,
            "the spelling is kept"
        );
    }
    assert_eq!(si("32 F", Measure::Temperature), 0.0, "freezing is exact");
}

/// One of each unit in its base, worked by hand; customary units are the published exact values of NIST Handbook
/// 44, Appendix C, General Tables of Units of Measurement (from memory), not derived as in the code.
#[test]
fn every_factor_by_hand() {
    const OUNCE: f64 = 0.028_349_523_125;
    const SQUARE_YARD: f64 = 0.836_127_36;
    let one_of_each = [
        ("m", 1.0),
        ("mm", 0.001),
        ("cm", 0.01),
        ("um", 0.000_001),
        ("in", 0.0254),
        ("ft", 0.3048),
        ("yd", 0.9144),
        ("m2", 1.0),
        ("cm2", 0.0001),
        ("yd2", SQUARE_YARD),
        ("kg", 1.0),
        ("g", 0.001),
        ("mg", 0.000_001),
        ("lb", 0.453_592_37),
        ("oz", OUNCE),
        ("s", 1.0),
        ("min", 60.0),
        ("h", 3600.0),
        ("d", 86_400.0),
        ("C", 1.0),
        ("F", -31.0 * 5.0 / 9.0),
        ("K", 1.0),
        ("%", 0.01),
        ("of 1", 1.0),
        ("g/m2", 0.001),
        ("kg/m2", 1.0),
        ("oz/yd2", OUNCE / SQUARE_YARD),
        ("g/L", 1.0),
        ("oz/gal", OUNCE / 0.003_785_411_784),
        ("L", 0.001),
        ("mL", 0.000_001),
        ("m3", 1.0),
        ("gal", 0.003_785_411_784),
        ("L/kg", 0.001),
        ("degBe", 1.0),
        ("s/m", 1.0),
        ("s/yd", 1.093_613_298_337_707_8),
        ("pcs", 1.0),
        ("pH", 1.0),
        ("rad", 1.0),
        ("deg", 0.017_453_292_519_943_295),
        ("m2/s", 1.0),
        ("mm2/s", 0.000_001),
        ("/s", 1.0),
        ("/min", 1.0 / 60.0),
        ("/h", 1.0 / 3600.0),
        ("/M/s", 1.0),
        ("kJ/mol", 1000.0),
        ("kg/m2/h", 1.0 / 3600.0),
    ];
    let ours: Vec<&str> = MEASURES.iter().map(|u| u.symbol).collect();
    let here: Vec<&str> = one_of_each.iter().map(|(symbol, _)| *symbol).collect();
    assert_eq!(
        ours, here,
        "a unit without its factor in this table, or in another order"
    );
    for (unit, (symbol, expected)) in MEASURES.iter().zip(one_of_each) {
        let found = unit.to_base(1.0);
        assert!(
            (found / expected - 1.0).abs() < 4.0 * f64::EPSILON,
            "1 {symbol} is {found}, not {expected}"
        );
    }
}

#[test]
fn refusals_say_what_was_found_and_what_was_wanted() {
    let bad = |text: &str, fault| {
        let expected = Problem::BadNumber {
            found: text.to_string(),
            wanted: Measure::Length,
            fault,
        };
        assert_eq!(parse_as(text, Measure::Length), Err(expected));
        assert_eq!(parse(text), None);
    };
    bad("1,5 m", NumberFault::Comma);
    bad("1,250 m", NumberFault::Comma);
    bad("1/2 in", NumberFault::Fraction);
    bad("3 1/2 yd", NumberFault::Fraction);
    bad("1 000 m", NumberFault::Groups);
    bad("1'000 m", NumberFault::Groups);
    bad("1_000 m", NumberFault::Groups);
    bad("1.2.3 m", NumberFault::Points);
    bad("nan m", NumberFault::NotFinite);
    bad("-inf m", NumberFault::NotFinite);
    bad("1e999 m", NumberFault::NotFinite);

    let wanted = Measure::Length;
    let found = |text: &str| text.to_string();
    for (text, expected) in [
        (
            "",
            Problem::NoNumber {
                found: found(""),
                wanted,
            },
        ),
        (
            "wide",
            Problem::NoNumber {
                found: found("wide"),
                wanted,
            },
        ),
        (
            "- m",
            Problem::NoNumber {
                found: found("- m"),
                wanted,
            },
        ),
        (
            "44",
            Problem::NoUnit {
                found: found("44"),
                wanted,
            },
        ),
        (
            "44 kg",
            Problem::WrongMeasure {
                found: found("44 kg"),
                is: Measure::Mass,
                wanted,
            },
        ),
        (
            "44 furlong",
            Problem::UnknownUnit {
                found: found("44 furlong"),
                unit: found("furlong"),
                wanted,
            },
        ),
        (
            "44 in wide",
            Problem::UnknownUnit {
                found: found("44 in wide"),
                unit: found("in wide"),
                wanted,
            },
        ),
    ] {
        assert_eq!(parse_as(text, wanted), Err(expected), "{text:?}");
    }
    // A finite number that its unit carries out of range; one step less is fine.
    assert!(matches!(
        parse_as("1e304 d", Measure::Span),
        Err(Problem::BadNumber {
            fault: NumberFault::NotFinite,
            ..
        })
    ));
    assert!(parse_as("1e303 d", Measure::Span).is_ok());
}

#[test]
fn a_reading_is_not_a_difference() {
    let found = parse_as("4 C", Measure::TemperatureDifference);
    assert!(
        matches!(
            found,
            Err(Problem::WrongMeasure {
                is: Measure::Temperature,
                ..
            })
        ),
        "{found:?}"
    );
    assert!(matches!(
        parse_as("4 K", Measure::Temperature),
        Err(Problem::WrongMeasure { .. })
    ));
}

/// One spelling, one meaning: otherwise `parse` would answer by the order of the table.
#[test]
fn no_spelling_is_given_twice() {
    let mut seen = std::collections::HashMap::new();
    for unit in MEASURES {
        for spelling in std::iter::once(&unit.symbol).chain(unit.aliases) {
            if let Some(other) = seen.insert(*spelling, unit) {
                panic!("{spelling:?} is both {:?} and {:?}", unit.measure, other.measure);
            }
            assert_eq!(*spelling, spelling.trim(), "parsing trims");
            assert!(!spelling.starts_with(['.', ',']), "reads as more of the number");
        }
        assert!(unit.factor.is_finite() && unit.factor > 0.0);
    }
}

/// SG = 145/(145 - Be), from the definition by hand: 145/110, 145/109, 145/105.
#[test]
fn baume_on_the_american_scale() {
    for (degrees, gravity) in [(0.0, 1.0), (35.0, 1.3182), (36.0, 1.3303), (40.0, 1.3810)] {
        let found = units::specific_gravity(degrees).unwrap();
        assert!(
            (found - gravity).abs() <= 5e-5,
            "{degrees} degBe is {found}, not {gravity}"
        );
        assert!((units::degrees_baume(found).unwrap() - degrees).abs() < 1e-9);
    }
    for outside in [-0.1, 145.0, 200.0, f64::NAN, f64::INFINITY] {
        assert_eq!(units::specific_gravity(outside), None, "{outside}");
    }
    for outside in [0.999, f64::NAN, f64::INFINITY] {
        assert_eq!(units::degrees_baume(outside), None, "{outside}");
    }
}
