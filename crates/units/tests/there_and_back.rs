//! Laws of printing and parsing, over random quantities and random text.

use proptest::prelude::*;
use units::{Decimal, MEASURES, Measure, Quantity, System, parse, parse_as, print, print_with};

fn any_unit() -> impl Strategy<Value = &'static units::Unit> {
    (0..MEASURES.len()).prop_map(|at| &MEASURES[at])
}

fn any_number() -> impl Strategy<Value = f64> {
    (-9.999_f64..9.999, -12..12_i32).prop_map(|(digits, power)| digits * 10_f64.powi(power))
}

fn any_system() -> impl Strategy<Value = System> {
    prop_oneof![Just(System::Metric), Just(System::Imperial)]
}

/// Half of the third significant digit is 0.5 % at worst (1.005). Temperatures round in the unit printed, whose
/// zero may be 32 F = 17.8 K away, and have two decimals at most.
fn within_print(measure: Measure, exact: f64, read: f64) -> bool {
    let (zero, slack) = if measure == Measure::Temperature {
        (17.8, 0.005)
    } else {
        (0.0, f64::MIN_POSITIVE)
    };
    (read - exact).abs() <= 0.005_000_001 * (exact.abs() + zero) + slack
}

proptest! {
    #[test]
    fn parse_undoes_print(unit in any_unit(), number in any_number(), system in any_system()) {
        let quantity = Quantity::new(unit.to_base(number), unit.measure);
        let printed = print(quantity, system, Decimal::Point);
        let read = parse_as(&printed, unit.measure);
        prop_assert!(read.is_ok(), "{printed:?}: {read:?}");
        let read = read.unwrap();
        prop_assert!(within_print(unit.measure, quantity.si, read.quantity.si), "{} -> {printed} -> {}", quantity.si, read.quantity.si);
        prop_assert_eq!(&read.spelled, &printed);
        if unit.measure != Measure::Count {
            prop_assert_eq!(parse(&printed), Some(read), "the unit alone tells the measure");
        }
    }

    /// Seventeen digits give back the number in its own unit, but for the last bits of one multiplication.
    #[test]
    fn every_unit_there_and_back(unit in any_unit(), number in any_number()) {
        let quantity = Quantity::new(unit.to_base(number), unit.measure);
        let printed = print_with(quantity, unit, 17, Decimal::Point);
        let read = parse_as(&printed, unit.measure).unwrap().quantity.si;
        let slack = if unit.measure == Measure::Temperature { 0.005 } else { 1e-14 * quantity.si.abs() };
        prop_assert!((read - quantity.si).abs() <= slack, "{number} {} -> {printed} -> {read}", unit.symbol);
    }

    #[test]
    fn printing_twice_changes_nothing(unit in any_unit(), number in any_number(), system in any_system()) {
        let once = print(Quantity::new(unit.to_base(number), unit.measure), system, Decimal::Point);
        let read = parse_as(&once, unit.measure).unwrap().quantity;
        let twice = parse_as(&print(read, system, Decimal::Point), unit.measure).unwrap().quantity;
        prop_assert!((twice.si - read.si).abs() <= 1e-9 * read.si.abs() + 0.006 * f64::from(unit.measure == Measure::Temperature));
    }

    /// 1.250 is 1250 to an Indonesian reader: with a comma no point is left, and never a group of thousands.
    #[test]
    fn a_comma_voice_prints_no_point(unit in any_unit(), number in any_number(), system in any_system()) {
        let printed = print(Quantity::new(unit.to_base(number), unit.measure), system, Decimal::Comma);
        prop_assert!(!printed.contains('.'), "{printed}");
        prop_assert!(printed.matches(',').count() <= 1, "{printed}");
    }

    #[test]
    fn parsing_never_panics(text in any::<String>(), unit in any_unit()) {
        let _ = (parse(&text), parse_as(&text, unit.measure));
    }

    /// Strings made of the pieces that parsing looks at, which random text hardly ever hits.
    #[test]
    fn parsing_near_misses_never_panics(
        pieces in prop::collection::vec(
            prop::sample::select(vec![
                "1", "0", ".", ",", "e", "E", "-", "+", "\u{2212}", "/", " ", "m", "pH", "%", "°", "é", "\"", "_", "inf", "nan", "9".repeat(400).leak() as &str,
            ]),
            0..12,
        ),
        unit in any_unit(),
    ) {
        let text: String = pieces.concat();
        for read in [parse(&text), parse_as(&text, unit.measure).ok()].into_iter().flatten() {
            prop_assert!(read.quantity.si.is_finite(), "{text:?}");
        }
    }
}

#[test]
fn zero_and_rounding_up_a_digit() {
    let metric = |text: &str, measure| {
        print(
            parse_as(text, measure).unwrap().quantity,
            System::Metric,
            Decimal::Point,
        )
    };
    assert_eq!(metric("0 m", Measure::Length), "0 mm");
    assert_eq!(metric("-0 m", Measure::Length), "0 mm");
    assert_eq!(metric("99.96 m", Measure::Length), "100 m");
    assert_eq!(metric("1250 kg", Measure::Mass), "1250 kg");
    assert_eq!(metric("0.003 C", Measure::Temperature), "0 C");
    assert_eq!(metric("-0.003 C", Measure::Temperature), "0 C");
    assert_eq!(metric("32 F", Measure::Temperature), "0 C");
    assert_eq!(metric("80 F", Measure::Temperature), "26.7 C");
    assert_eq!(metric("1e-10 m2/s", Measure::Diffusivity), "1.00e-10 m2/s");
    let imperial = |text: &str, measure| {
        print(
            parse_as(text, measure).unwrap().quantity,
            System::Imperial,
            Decimal::Point,
        )
    };
    assert_eq!(imperial("44 in", Measure::Length), "44 in");
    assert_eq!(imperial("15 yd", Measure::Length), "15 yd");
    assert_eq!(imperial("0 C", Measure::Temperature), "32 F");
    assert_eq!(imperial("5.5 s/yd", Measure::Pace), "5.5 s/yd");
    assert_eq!(imperial("35 gal", Measure::Volume), "35 gal");
}

#[test]
fn every_measure_has_a_unit() {
    // One of each; the compiler does not let `Measure::name` forget one, and this list is checked against it.
    let measures: std::collections::BTreeSet<Measure> = MEASURES.iter().map(|u| u.measure).collect();
    let names: std::collections::BTreeSet<&str> = measures.iter().map(|m| m.name()).collect();
    assert_eq!(measures.len(), names.len(), "two measures share a name");
    assert_eq!(
        measures.len(),
        21,
        "a measure without a unit, or a new one: count it here"
    );
    for measure in measures {
        let quantity = Quantity::new(1.0, measure);
        for system in [System::Metric, System::Imperial] {
            let printed = print(quantity, system, Decimal::Point);
            assert_eq!(
                parse_as(&printed, measure).unwrap().quantity.measure,
                measure,
                "{printed}"
            );
        }
    }
}
