//! Rules of every text and number, in both languages.

use proptest::prelude::*;
use units::{MEASURES, Quantity, System};
use words::{Arg, Language, Line, Text, Voice, check_text, named_placeholders, say, show};

#[test]
fn faults_of_texts() {
    let fault = |en, id| check_text(&Text { en, id });
    assert_eq!(
        fault("{a} of {b}", "{b} dari {a}"),
        None,
        "order is the language's own"
    );
    assert_eq!(fault("{a} and {a}", "dua kali {a}"), None, "so is repetition");
    assert_eq!(fault("pH 10.5", "pH 10,5"), None);
    for (en, id, said) in [
        ("wax", "  ", "a language is empty"),
        ("", "malam", "a language is empty"),
        ("{n bolts", "{n gulung", "a brace is not closed"),
        ("n} bolts", "n} gulung", "a brace is not closed"),
        ("{n {m}}", "{n {m}}", "a brace is not closed"),
        ("{n} bolts", "{m} gulung", "placeholders differ"),
        ("{n} bolts", "gulung", "placeholders differ"),
        ("bolts", "{n} gulung", "placeholders differ"),
        ("1,250 g", "1250 g", "a thousands mark"),
        ("2.5 g", "2.5 g", "a point between digits"),
    ] {
        let found = fault(en, id);
        assert!(
            found.as_deref().is_some_and(|f| f.starts_with(said)),
            "{en:?} {id:?}: {found:?}"
        );
    }
    assert_eq!(named_placeholders("{b} {a} {b}"), ["a", "b"]);
}

/// A line built by hand may lack an argument; the reader then sees the placeholder, and nothing is said twice.
#[test]
fn what_is_missing_stays_visible() {
    static TEXT: Text = Text {
        en: "{n} of {m",
        id: "{n}",
    };
    assert_eq!(Line::plain(&TEXT).say(Voice::default()), "{n} of {m");
}

#[test]
fn numbers_in_both_languages() {
    let (en, id) = (voice(Language::En), voice(Language::Id));
    for (number, decimals, english, indonesian) in [
        (1250.0, 0, "1250", "1250"),
        (1250.5, 1, "1250.5", "1250,5"),
        (1_234_567.0, 0, "1234567", "1234567"),
        (-0.3, 0, "0", "0"),
        (-0.04, 1, "0.0", "0,0"),
        (-0.06, 1, "-0.1", "-0,1"),
        (f64::NEG_INFINITY, 1, "-inf", "-inf"),
    ] {
        assert_eq!(en.number(number, decimals), english);
        assert_eq!(id.number(number, decimals), indonesian);
    }
    let pace = say!("{p}", "{p}", p = Arg::Spelled("5.5 s/yd".to_string()));
    assert_eq!((&*pace.say(en), &*pace.say(id)), ("5.5 s/yd", "5,5 s/yd"));
}

const fn voice(language: Language) -> Voice {
    Voice {
        language,
        system: System::Metric,
    }
}

fn point_between_digits(text: &str) -> bool {
    text.as_bytes()
        .windows(3)
        .any(|w| w[1] == b'.' && w[0].is_ascii_digit() && w[2].is_ascii_digit())
}

proptest! {
    /// 1.250 means 1250 on an Indonesian sheet.
    #[test]
    fn no_point_between_digits_in_indonesian(
        number in -1e9_f64..1e9,
        power in -9_i32..9,
        decimals in 0_usize..6,
        unit in 0..MEASURES.len(),
        spelled in "[0-9.,]{0,8} ?[a-z]{0,2}",
        imperial: bool,
    ) {
        let system = if imperial { System::Imperial } else { System::Metric };
        let voice = Voice { language: Language::Id, system };
        let quantity = Quantity::new(number * 10_f64.powi(power), MEASURES[unit].measure);
        let said = say!(
            "{q} {n} {s}", "{q} {n} {s}",
            q = Arg::Quantity(quantity), n = Arg::Number(number, decimals), s = Arg::Spelled(spelled),
        ).say(voice);
        prop_assert!(!point_between_digits(&said), "{said}");
    }

    /// Any file, any span: a finding is shown, never a panic; every line of it fits a terminal's habits.
    #[test]
    fn showing_never_panics(source in any::<String>(), start: u16, length: u16) {
        let span = usize::from(start) % 80..usize::from(start) % 80 + usize::from(length) % 80;
        let place = words::Place::File { path: "a.toml".to_string(), span };
        let problem = units::parse_as(&source, units::Measure::Acidity).err()
            .unwrap_or(units::Problem::NoNumber { found: source.clone(), wanted: units::Measure::Acidity });
        let shown = show(&words::finding_of(&problem, place), Some(&source), Voice::default());
        prop_assert!(shown.lines().count() >= 6 && shown.contains('^'), "{shown}");
        prop_assert!(shown.chars().all(|c| c == '\n' || !c.is_control()));
    }
}
