//! The words of findings, exactly as a person reads them.

use units::{Measure, parse_as};
use words::{Arg, Finding, Language, Place, Voice, Weight, finding_of, line_and_column, say, show};

const ID: Voice = Voice {
    language: Language::Id,
    system: units::System::Metric,
};
const EN: Voice = Voice {
    language: Language::En,
    system: units::System::Metric,
};

fn finding(text: &str, wanted: Measure) -> Finding {
    finding_of(&parse_as(text, wanted).unwrap_err(), Place::Request)
}

#[track_caller]
fn says(text: &str, wanted: Measure, en: [&str; 3], id: [&str; 3]) {
    let finding = finding(text, wanted);
    assert_eq!(finding.weight, Weight::Wrong);
    assert_eq!(finding.say(EN), en);
    assert_eq!(finding.say(ID), id);
}

#[test]
fn another_measure() {
    says(
        "44 kg",
        Measure::Length,
        [
            "\"44 kg\" is a mass; a length was wanted",
            "a number and one of: m, mm, cm, um, in, ft, yd",
            "write for example 44 in or 112 cm",
        ],
        [
            "\"44 kg\" adalah massa; yang diminta panjang",
            "sebuah angka dan salah satu dari: m, mm, cm, um, in, ft, yd",
            "tulis misalnya 44 in atau 112 cm",
        ],
    );
    assert_eq!(
        finding("27 C", Measure::TemperatureDifference).say(EN)[0],
        "\"27 C\" is a temperature; a temperature difference was wanted"
    );
}

#[test]
fn no_number_no_unit_no_such_unit() {
    says(
        "wide",
        Measure::Span,
        [
            "\"wide\" does not begin with a number; a duration was wanted",
            "a number and one of: s, min, h, d",
            "write for example 20 min or 2 h",
        ],
        [
            "\"wide\" tidak diawali angka; yang diminta lama waktu",
            "sebuah angka dan salah satu dari: s, min, h, d",
            "tulis misalnya 20 min atau 2 h",
        ],
    );
    says(
        "0.02",
        Measure::Share,
        [
            "\"0.02\" has no unit; a share was wanted",
            "a number and one of: %, of 1",
            "write for example 2 %",
        ],
        [
            "\"0.02\" tanpa satuan; yang diminta bagian (persen)",
            "sebuah angka dan salah satu dari: %, of 1",
            "tulis misalnya 2 %",
        ],
    );
    says(
        "3 dozen",
        Measure::Count,
        [
            "\"dozen\" in \"3 dozen\" is not a unit known here; a count was wanted",
            "a number, with or without pcs",
            "write for example 3",
        ],
        [
            "\"dozen\" dalam \"3 dozen\" bukan satuan yang dikenal; yang diminta jumlah",
            "sebuah angka, dengan atau tanpa pcs",
            "tulis misalnya 3",
        ],
    );
}

/// What a person must type keeps its point in both languages: the file takes nothing else.
#[test]
fn numbers_that_can_be_read_in_two_ways() {
    says(
        "1,5 m",
        Measure::Length,
        [
            "the comma in \"1,5 m\" can be read in two ways",
            "a number and one of: m, mm, cm, um, in, ft, yd",
            "write a point for decimals and nothing between thousands: 1.5 or 1500",
        ],
        [
            "koma dalam \"1,5 m\" bisa dibaca dengan dua cara",
            "sebuah angka dan salah satu dari: m, mm, cm, um, in, ft, yd",
            "tulis titik untuk desimal dan jangan beri tanda ribuan: 1.5 atau 1500",
        ],
    );
    for (text, en, id) in [
        ("3 1/2 yd", "write 3.5 instead of 3 1/2", "tulis 3.5, bukan 3 1/2"),
        (
            "1 500 m",
            "write the digits together: 1500",
            "tulis angkanya menyatu: 1500",
        ),
        (
            "1.5.0 m",
            "write one point, before the decimals: 1.5",
            "tulis satu titik saja, sebelum desimal: 1.5",
        ),
        (
            "nan m",
            "write for example 44 in or 112 cm",
            "tulis misalnya 44 in atau 112 cm",
        ),
    ] {
        let finding = finding(text, Measure::Length);
        assert_eq!((&*finding.say(EN)[2], &*finding.say(ID)[2]), (en, id));
    }
}

#[test]
fn long_input_is_quoted_in_part() {
    let said = finding(&"wide".repeat(50), Measure::Length).say(EN);
    assert_eq!(
        said[0].chars().count(),
        60 + "\"\" does not begin with a number; a length was wanted".len()
    );
    assert!(said[0].contains("wid…\""), "{}", said[0]);
}

const SOURCE: &str = "[cloth]\nname = \"é\"\nwidth = \"44 kg\"\r\nlength = \"15 yd\"\n";

fn at(span: std::ops::Range<usize>) -> Finding {
    let place = Place::File {
        path: "designs/sea-fan.toml".to_string(),
        span,
    };
    finding_of(&parse_as("44 kg", Measure::Length).unwrap_err(), place)
}

#[test]
fn shown_with_a_caret_under_the_span() {
    let start = SOURCE.find("\"44").unwrap();
    assert_eq!(
        show(&at(start..start + 7), Some(SOURCE), EN),
        "\
wrong: \"44 kg\" is a mass; a length was wanted [quantity-of-other-kind]
  at designs/sea-fan.toml, line 3, column 9
  3 | width = \"44 kg\"
    |         ^^^^^^^
  allowed: a number and one of: m, mm, cm, um, in, ft, yd
  to do: write for example 44 in or 112 cm
"
    );
    assert_eq!(
        show(&at(start..start + 7), Some(SOURCE), ID),
        "\
salah: \"44 kg\" adalah massa; yang diminta panjang [quantity-of-other-kind]
  di designs/sea-fan.toml, baris 3, kolom 9
  3 | width = \"44 kg\"
    |         ^^^^^^^
  boleh: sebuah angka dan salah satu dari: m, mm, cm, um, in, ft, yd
  tindakan: tulis misalnya 44 in atau 112 cm
"
    );
}

#[test]
fn columns_count_characters_and_spans_are_forgiven() {
    let after_accent = SOURCE.find("é").unwrap() + "é".len();
    assert_eq!(line_and_column(SOURCE, after_accent), (2, 10));
    assert_eq!(
        line_and_column(SOURCE, after_accent - 1),
        (2, 9),
        "inside a character: taken back"
    );
    assert_eq!(line_and_column(SOURCE, 0), (1, 1));
    assert_eq!(line_and_column(SOURCE, 7), (1, 8), "on the newline itself");
    assert_eq!(line_and_column(SOURCE, 8), (2, 1));
    assert_eq!(line_and_column(SOURCE, 9999), (5, 1));

    let caret_line = |span| {
        show(&at(span), Some(SOURCE), EN)
            .lines()
            .nth(3)
            .unwrap()
            .to_string()
    };
    assert_eq!(
        caret_line(0..SOURCE.len()),
        "    | ^^^^^^^",
        "a span of many lines is marked on its first"
    );
    assert_eq!(
        caret_line(4..4),
        "    |     ^",
        "an empty span still gets a caret"
    );
    assert_eq!(caret_line(9999..99999), "    | ^");
    #[expect(clippy::reversed_empty_ranges)]
    let reversed = 6..2;
    assert_eq!(caret_line(reversed), "    |       ^");
}

#[test]
fn a_long_line_is_shown_around_the_span() {
    let source = format!("{}X{}", "a".repeat(500), "b".repeat(500));
    let shown = show(&at(500..501), Some(&source), EN);
    let lines: Vec<&str> = shown.lines().collect();
    let (text, carets) = (lines[2], lines[3]);
    let column = |line: &str, c| line.chars().position(|x| x == c).unwrap();
    assert_eq!(column(text, 'X'), column(carets, '^'), "{shown}");
    assert!(
        text.chars().count() < 112 && text.ends_with("b…") && text.contains("| …a"),
        "{shown}"
    );
}

#[test]
fn a_file_cannot_steer_the_terminal() {
    let source = "a\t= \"\u{1b}[2J\u{202e}\"";
    let shown = show(&at(4..9), Some(source), EN);
    assert!(shown.contains("1 | a = \"\u{fffd}[2J\u{fffd}\""), "{shown:?}");
    let quoted = finding("\u{1b}[2J", Measure::Length);
    assert!(!show(&quoted, None, EN).contains('\u{1b}'));
}

#[test]
fn places_without_a_source() {
    let show = |place, voice| {
        let fact = say!("too narrow", "terlalu sempit");
        show(&Finding::new("gap", Weight::Doubtful, place, fact), None, voice)
    };
    assert_eq!(
        show(
            Place::Drawing {
                x_um: 12_340,
                y_um: -50
            },
            ID
        ),
        "meragukan: terlalu sempit [gap]\n  pada gambar, 12,3 mm dari kiri dan -0,1 mm dari atas\n"
    );
    let step = |setting| Place::Step {
        id: "k7".to_string(),
        setting,
    };
    assert_eq!(show(step(None), EN), "doubtful: too narrow [gap]\n  at step k7\n");
    assert_eq!(
        show(step(Some("strength")), EN),
        "doubtful: too narrow [gap]\n  at step k7, setting strength\n"
    );
    let file = Place::File {
        path: "a.toml".to_string(),
        span: 1..2,
    };
    assert_eq!(show(file, EN), "doubtful: too narrow [gap]\n  in a.toml\n");
    assert_eq!(show(Place::Request, EN), "doubtful: too narrow [gap]\n");
}

#[test]
fn arguments_never_become_text() {
    let name = Arg::Name("{other} {".to_string());
    let said = say!(
        "{name} and {other}",
        "{name} dan {other}",
        name = name,
        other = Arg::Number(1.0, 0)
    );
    assert_eq!(said.say(EN), "{other} { and 1");
}
