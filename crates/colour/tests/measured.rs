//! Measurement files: what is read from them, and what is said about bad ones.

mod common;
#[path = "common/pieces.rs"]
mod pieces;

use colour::measured::{Basis, Measured, Scale, Stated, geometries, read, samples};
use colour::{Illuminant, Observer, Viewing, de2000, lab, xyz};
use common::near;
use pieces::{FRACTION, WIDE, header, row};
use words::{Language, Place, Voice, Weight, line_and_column, show};

/// "line code" of every finding.
fn told(text: &str, measured: &Measured) -> Vec<String> {
    measured
        .findings
        .iter()
        .map(|f| {
            let Place::File { span, path } = &f.place else {
                panic!("no place: {f:?}")
            };
            assert_eq!(path, "m.txt");
            assert!(span.end <= text.len(), "{f:?}");
            format!("{} {}", line_and_column(text, span.start).0, f.code)
        })
        .collect()
}

#[track_caller]
fn check(text: &str, stated: Stated, expected: &[&str]) -> Measured {
    let measured = read(text, "m.txt", stated);
    assert_eq!(told(text, &measured), expected);
    measured
}

/// The file states Lab for D65, 10 degrees, computed by ASTM E308 with colour-science 0.4.7: the readings must
/// give it, so columns, scale, light and weights are all as they should be. 0.02 is the difference between the
/// 31 folded weights and the wider table.
#[test]
fn a_whole_file_against_its_own_lab() {
    let m = check(WIDE, FRACTION, &[]);
    assert_eq!(m.readings.len(), 24);
    assert_eq!(m.header("created"), Some("2026-11-25"));
    assert_eq!(m.readings[0].sample, "dark skin");
    assert_eq!(m.readings[0].reflectance[30], 0.182);
    for r in &m.readings {
        let found = lab(xyz(&r.reflectance, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
        let off = de2000(found, r.stated_lab.unwrap());
        assert!(off < 0.02, "{}: {off}", r.sample);
        assert_eq!(r.basis, Basis::Measured);
    }
}

/// The same patches as pairs of wavelength and value, in percent, with lines broken anywhere, read the same.
#[test]
fn pairs_percent_and_white_space() {
    let wide = read(WIDE, "m.txt", FRACTION).readings;
    let mut text = String::from("CGATS.17\r\nNUMBER_OF_FIELDS 63\r\nBEGIN_DATA_FORMAT\r\nSAMPLE_ID");
    text += &" SPECTRAL_NM SPECTRAL_PCT".repeat(31);
    text += "\r\nEND_DATA_FORMAT\r\nNUMBER_OF_SETS 24\r\nBEGIN_DATA\r\n";
    for r in &wide {
        text += &format!("\"{} # 1\"", r.sample);
        for (band, v) in r.reflectance.iter().enumerate() {
            let gap = if band % 7 == 3 { "\r\n" } else { "\t" };
            text += &format!("{gap}{}\t{:.4}", 400 + 10 * band, v * 100.0);
        }
        text += "\r\n";
    }
    text += "END_DATA\r\n";
    let pairs = check(&text, Stated::default(), &[]).readings;
    assert_eq!(pairs.len(), 24);
    for (p, w) in pairs.iter().zip(&wide) {
        assert_eq!(p.sample, format!("{} # 1", w.sample));
        for band in 0..31 {
            near(p.reflectance[band], w.reflectance[band], 1e-6, &w.sample);
        }
    }
}

/// Five reflectances, each at four spacings: Sprague and spline against colour-science 0.4.7 and scipy 1.17.1.
#[test]
fn resampling_meets_the_reference() {
    let rows = |text: &'static str| {
        let mut cases: Vec<(&str, Vec<(f64, f64)>)> = Vec::new();
        for r in common::rows(text) {
            if cases.last().is_none_or(|c| c.0 != r[0]) {
                cases.push((r[0], Vec::new()));
            }
            cases
                .last_mut()
                .unwrap()
                .1
                .push((r[1].parse().unwrap(), r[2].parse().unwrap()));
        }
        cases
    };
    let (given, wanted) = (
        rows(include_str!("data/resampling_in.csv")),
        rows(include_str!("data/resampling_out.csv")),
    );
    assert_eq!((given.len(), wanted.len()), (20, 20));
    for ((name, readings), (_, expected)) in given.iter().zip(&wanted) {
        let found = colour::measured::resample(readings).unwrap();
        assert!(!found.as_read && found.filled == 0, "{name}");
        for (band, (_, e)) in expected.iter().enumerate() {
            near(found.spectrum[band], *e, 2e-9, name);
        }
    }
}

#[test]
fn csv_of_any_shape() {
    // A sample a row, semicolons and decimal commas.
    let one = "# strip\nname;400 nm (%);420 nm (%);440;460;480;500;520;540;560;580;600;620;640;660;680;700\n\
               cloth;80,5;81;82;83;84;85;86;86;86;86;86;86;86;86;86;86\n";
    let m = check(one, Stated::default(), &[]);
    near(m.readings[0].reflectance[0], 0.805, 1e-12, "decimal comma");
    assert_eq!(m.readings[0].basis, Basis::Resampled { filled: 0 });
    assert_eq!(m.readings[0].sample, "cloth");
    // A sample a column, a range that is short by 10 nm at both ends.
    let mut turned = String::from("nm,cloth,tan\n");
    for nm in (410..=690).step_by(10) {
        turned += &format!("{nm},0.8,0.{}\n", nm);
    }
    let m = check(&turned, FRACTION, &[]);
    assert_eq!(m.readings[1].sample, "tan");
    assert_eq!(m.readings[1].basis, Basis::Resampled { filled: 2 });
    near(m.readings[1].reflectance[0], 0.41, 1e-12, "the nearest reading");
    near(m.readings[1].reflectance[15], 0.55, 1e-12, "as read");
}

#[test]
fn colours_without_spectra() {
    let lab_only = "sample,L*,a*,b*\nrose,50,40,5\n";
    let stated = Stated {
        scale: None,
        viewing: Some(Viewing {
            illuminant: Illuminant::A,
            observer: Observer::TwoDegrees,
        }),
    };
    let m = check(lab_only, stated, &[]);
    let r = &m.readings[0];
    assert!(
        matches!(r.basis, Basis::Recovered { off } if off < 1e-4),
        "{:?}",
        r.basis
    );
    assert!(!r.basis.knows_metamerism());
    assert_eq!(r.basis.mark().en, "recovered, no metamerism statement");
    let viewing = stated.viewing.unwrap();
    let back = lab(xyz(&r.reflectance, viewing), viewing.white());
    assert!(de2000(back, r.stated_lab.unwrap()) < 1e-4);
    // Without a light: taken, and told.
    check(lab_only, Stated::default(), &["1 measured-viewing-assumed"]);
    let d50 = "CGATS.17\nWEIGHTING_FUNCTION \"ILLUMINANT, D50\"\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\n\
               END_DATA_FORMAT\nBEGIN_DATA\n1 50 0 0\nEND_DATA\n";
    assert!(check(d50, stated, &["2 measured-light"]).readings.is_empty());
    let hex = "sample,hex\nsky,#7AA5D2\nbad,#7AA5D\nworse,#7AAéD\n";
    let m = check(hex, Stated::default(), &["3 measured-hex", "4 measured-hex"]);
    assert_eq!(m.readings.len(), 1);
}

#[test]
fn percent_or_fraction_is_asked() {
    let text = format!("{}\n{}\n", header("sample"), row("white", 84.0));
    let m = check(&text, Stated::default(), &["1 measured-scale-unstated"]);
    assert!(m.readings.is_empty() && m.is_wrong());
    let said = show(&m.findings[0], Some(&text), Voice::default());
    assert!(said.contains("it looks like percent"), "{said}");
    let percent = Stated {
        scale: Some(Scale::Percent),
        viewing: None,
    };
    near(
        check(&text, percent, &[]).readings[0].reflectance[3],
        0.84,
        1e-12,
        "percent",
    );
    check(&text, FRACTION, &["1 measured-scale-contradicted"]);
    let text = format!("{}\n{}\n", header("sample"), row("white", 0.84));
    let m = check(&text, Stated::default(), &["1 measured-scale-unstated"]);
    assert!(m.findings[0].say(Voice::default())[0].contains("fractions of 1"));
    let m = check(&text, percent, &["1 measured-scale-contradicted"]);
    assert_eq!(m.findings[0].weight, Weight::Doubtful);
    // The file's own word goes first.
    let named = WIDE.replace(
        "PRINT_CONDITIONS",
        "REFLECTANCE_SCALE \"fraction\"\nPRINT_CONDITIONS",
    );
    assert_eq!(read(&named, "m.txt", percent), read(&named, "m.txt", FRACTION));
}

#[test]
fn bad_rows_are_named_and_left_out() {
    let good = row("a", 0.5);
    let cases = [
        (good.replace("a,", ",,"), "2 measured-column-count"),
        (good.replacen("0.5", "", 1), "2 measured-number"),
        (good.replacen("0.5", "half", 1), "2 measured-number"),
        (good.replacen("0.5", "NaN", 1), "2 measured-number"),
        (good.replacen("0.5", "-0.001", 1), "2 measured-range"),
        (good.replacen("0.5", "1.21", 1), "2 measured-range"),
    ];
    for (line, expected) in cases {
        let text = format!("{}\n{line}\n{}\n", header("sample"), row("b", 0.4));
        let m = check(&text, FRACTION, &[expected]);
        assert_eq!(m.readings.len(), 1, "{line}");
        assert_eq!(m.readings[0].sample, "b");
    }
    // Exactly allowed.
    for edge in ["0", "1.2"] {
        let text = format!("{}\n{}\n", header("sample"), good.replacen("0.5", edge, 1));
        check(&text, FRACTION, &[]);
    }
}

#[test]
fn wavelengths_that_do_not_serve() {
    let table = |nm: &[u32]| {
        let names: Vec<String> = nm.iter().map(u32::to_string).collect();
        format!(
            "sample,{}\na{}\nb{}\n",
            names.join(","),
            ",0.5".repeat(nm.len()),
            ",0.5".repeat(nm.len())
        )
    };
    let all: Vec<u32> = (400..=700).step_by(10).collect();
    let without = |cut: &[u32]| -> Vec<u32> { all.iter().copied().filter(|n| !cut.contains(n)).collect() };
    let cases: [(Vec<u32>, &[&str]); 7] = [
        (without(&[]), &[]),
        (without(&[550]), &["1 measured-wavelength-missing"]),
        (without(&[400, 410, 690, 700]), &[]),
        (without(&[400, 410, 420]), &["1 measured-wavelength-range"]),
        (without(&[680, 690, 700]), &["1 measured-wavelength-range"]),
        ((400..=700).step_by(25).collect(), &["1 measured-wavelength-gap"]),
        ([vec![550], all.clone()].concat(), &["1 measured-column-twice"]),
    ];
    for (nm, expected) in cases {
        check(&table(&nm), FRACTION, expected);
    }
    check("sample,colour\na,red\n", FRACTION, &["1 measured-no-colour"]);
    check("", FRACTION, &["1 measured-empty"]);
    check("# nothing\n", FRACTION, &["2 measured-empty"]);
}

#[test]
fn ids_and_readings() {
    let head = header("sample");
    let (a, b) = (row("a", 0.5), row("a", 0.4));
    let m = check(&format!("{head}\n{a}\n{b}\n"), FRACTION, &["3 measured-id-twice"]);
    assert_eq!(m.readings.len(), 1);
    let head = header("sample,reading");
    let line = |n: u32, r: f64| row(&format!("a,{n}"), r);
    let text = format!("{head}\n{}\n{}\n{}\n", line(1, 0.5), line(2, 0.51), line(2, 0.52));
    let m = check(&text, FRACTION, &["4 measured-id-twice"]);
    assert_eq!(
        (m.readings[1].sample.as_str(), m.readings[1].number.as_str()),
        ("a", "2")
    );
}

#[test]
fn geometries_do_not_mix() {
    let head = header("sample,geometry");
    let line = |id: &str, g: &str| row(&format!("{id},{g}"), 0.5);
    let text = |g: &str| format!("{head}\n{}\n{}\n", line("a", "45/0"), line("b", g));
    let same = check(&text("0°:45°"), FRACTION, &[]);
    check(&text("di:8"), FRACTION, &["3 measured-geometries"]);
    let sphere = read(
        &format!("{head}\n{}\n", line("c", "d/8 SPIN")),
        "other.txt",
        FRACTION,
    );
    assert!(geometries(&[&same]).is_none());
    assert_eq!(geometries(&[&same, &sphere]).unwrap().code, "measured-geometries");
}

#[test]
fn broken_cgats() {
    let cases = [
        (
            "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L",
            "3 cgats-mark-missing",
        ),
        (
            "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\n",
            "5 cgats-mark-missing",
        ),
        (
            "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\n1\n",
            "7 cgats-mark-missing",
        ),
    ];
    for (text, expected) in cases {
        check(text, FRACTION, &[expected]);
    }
    let cut = WIDE.replace("NUMBER_OF_SETS 24", "NUMBER_OF_SETS 25");
    assert_eq!(check(&cut, FRACTION, &["45 cgats-set-count"]).readings.len(), 24);
    let fields = WIDE.replace("NUMBER_OF_FIELDS 36", "NUMBER_OF_FIELDS 35");
    check(&fields, FRACTION, &["41 cgats-field-count"]);
    let short = WIDE.replace("3\t\"blue sky\"\t0.251000", "3\t\"blue sky\"");
    let m = read(&short, "m.txt", FRACTION);
    assert_eq!(told(&short, &m), ["49 measured-column-count"]);
    assert_eq!(m.readings.len(), 23);
    // A wrong light shows in the Lab that the file states.
    let lamp = WIDE.replace("Illumination=D65", "Illumination=A");
    assert_eq!(
        read(&lamp, "m.txt", FRACTION).findings[0].code,
        "measured-lab-disagrees"
    );
}

#[test]
fn mean_spread_and_a_reading_apart() {
    let head = header("sample,reading");
    let lines: Vec<String> = [0.500, 0.502, 0.498, 0.500, 0.560]
        .iter()
        .enumerate()
        .map(|(n, r)| row(&format!("a,{n}"), *r))
        .collect();
    let m = check(&format!("{head}\n{}\n", lines.join("\n")), FRACTION, &[]);
    let (found, findings) = samples(&m.readings);
    assert_eq!((found.len(), found[0].n), (1, 4));
    near(found[0].mean[7], 0.5, 1e-12, "mean of the four that agree");
    // By hand: squares of 0, 0.002, -0.002, 0 sum to 8e-6; over 3, the root; a share of 0.5 for the placing.
    near(found[0].deviation[7], 0.001_632_99, 1e-8, "deviation");
    near(found[0].placing, 0.003_265_99, 1e-8, "placing");
    near(found[0].band, 0.0, 1e-12, "all bands alike");
    assert_eq!(found[0].apart, [4]);
    assert_eq!(findings[0].code, "measured-reading-apart");
    assert!(
        findings[0].say(Voice {
            language: Language::Id,
            ..Voice::default()
        })[0]
            .contains("menyimpang")
    );
    let (quiet, findings) = samples(&m.readings[..4]);
    assert!(findings.is_empty() && quiet[0].apart.is_empty());
    assert!(
        quiet[0].spread > 0.0 && quiet[0].spread < 0.2,
        "{}",
        quiet[0].spread
    );
    assert_eq!(samples(&m.readings[..1]).0[0].spread, 0.0);
}
