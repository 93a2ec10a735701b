//! Layout is checked on the marks that are printed, the file on its bytes.

mod pack;
mod stamp;

use crate::page::{Leaf, MARGIN, Mark};
use crate::parts::Bench;
use crate::setting::Setter;
use crate::*;
use units::{Measure, Quantity};
use words::{Arg, Language, Line, Origin, Weight, say};

const INDONESIAN: Voice = Voice {
    language: Language::Id,
    system: units::System::Metric,
};

fn named(text: &str) -> Line {
    say!("{name}", "{name}", name = Arg::Name(text.to_string()))
}

fn card(steps: Vec<CardStep>) -> JobCard {
    JobCard {
        workshop: "Sirih Works".to_string(),
        collection: None,
        lot: "L31".to_string(),
        design: "Sea Fan".to_string(),
        part: None,
        bolts: 3,
        revision: Some("14".to_string()),
        starts: Day::new(2026, 12, 1).and_then(|day| Moment::new(day, 10, 30)),
        promise: Day::new(2026, 12, 12),
        pictures: Pictures {
            before: Some(grey_picture()),
            after: None,
            finished: Some(grey_picture()),
        },
        steps,
        cautions: vec![say!(
            "NEVER mix bleach with acid.",
            "JANGAN campur pemutih dengan asam."
        )],
        asks: vec![
            Ask::new(say!("Name", "Nama"), Blank::Words),
            Ask::new(say!("In", "Masuk"), Blank::Clock),
            Ask::new(
                say!("Strength", "Kadar"),
                Blank::Number(say!("g/L", "gram per liter")),
            ),
        ],
        qr: "lorod:lot/L31".to_string(),
    }
}

fn grey_picture() -> Picture {
    Picture {
        width: 7,
        height: 5,
        rgb: vec![128; 105],
    }
}

fn step(number: u32, words: usize) -> CardStep {
    let long = vec!["panjangsekali"; words].join(" ");
    let mut step = CardStep::new(&format!("s{number}"), number, named(&format!("Celup {long}")));
    step.lines = vec![named(&long), named("pendek")];
    step.done_when = Some(named(&long));
    step.takes = Some(820.0);
    step.when = Day::new(2026, 12, 1).and_then(|day| Moment::new(day, 14, 20));
    step.cautions = vec![named(&long)];
    let assumed = Origin::Assumed {
        factor: 2.5,
        source: "common practice, no source".to_string(),
    };
    step.quantities = vec![
        QuantityCell::new(named(&long), Quantity::new(1.25, Measure::Mass)).from(assumed.clone()),
        QuantityCell::new(named("air"), Quantity::new(0.0012, Measure::Volume)).from(Origin::Yours),
    ];
    step.quantities.truncate(1 + number as usize % 2);
    step.asks = vec![Ask::new(named(&long), Blank::Number(named("gram")))];
    step
}

fn sheet(bolts: u32) -> BatchSheet {
    let soda = || QuantityCell::new(say!("soda ash", "soda abu"), Quantity::new(0.096, Measure::Mass));
    BatchSheet {
        workshop: "Sirih Works".to_string(),
        bath: say!("Bleach bath", "Bak pemutih"),
        lots: vec!["L31".to_string(), "L32".to_string()],
        bolts,
        starts: None,
        fill: vec![soda()],
        rows: (1..=bolts)
            .map(|n| BatchRow {
                bolt: format!("31-{n}"),
                when: None,
                materials: vec![soda(), soda()],
                top_ups: vec![soda().from(Origin::Yours)],
            })
            .collect(),
        totals: vec![soda()],
        cautions: vec![say!("Gloves.", "Sarung tangan.")],
        hazards: vec![say!("Soda ash is alkaline.", "Soda abu bersifat basa.")],
        asks: vec![Ask::new(say!("Name", "Nama"), Blank::Words)],
        qr: "lorod:bath/1".to_string(),
    }
}

/// Lays out with one call's own setter and hands the pages to `check`.
fn with_leaves(cards: &[JobCard], sheets: &[BatchSheet], paper: Sheet, check: impl FnOnce(&[Leaf<'_>])) {
    let setter = Setter::new().expect("fonts");
    let bench = Bench {
        tight: false,
        setter: &setter,
        voice: INDONESIAN,
        sheet: paper,
    };
    check(&lay_out(&bench, cards, sheets).expect("laid out"));
}

fn texts(leaf: &Leaf<'_>) -> String {
    let runs = leaf.marks.iter().filter_map(|mark| match mark {
        Mark::Text { run, .. } => Some(run.text.as_str()),
        _ => None,
    });
    let said = runs.collect::<Vec<_>>().join(" ");
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Everything is inside the margins, and no two runs of text lie on each other.
fn must_be_clear(leaves: &[Leaf<'_>]) {
    for (page, leaf) in leaves.iter().enumerate() {
        let (w, h) = leaf.size;
        let mut seen: Vec<([f32; 4], &str)> = Vec::new();
        for mark in &leaf.marks {
            let [left, top, right, bottom] = mark.bounds();
            let inside = left > MARGIN - 0.5 && right < w - MARGIN + 0.5;
            assert!(
                inside && top > MARGIN - 0.5 && bottom < h - MARGIN + 0.5,
                "page {page}: {mark:?}"
            );
            if let Mark::Text { y, run, style, .. } = mark {
                // The body of the letters, without the room for accents and tails.
                let body = [left, y - style.size * 0.7, right, *y];
                for (other, text) in &seen {
                    let apart = body[0] >= other[2] - 0.1
                        || body[2] <= other[0] + 0.1
                        || body[1] >= other[3]
                        || body[3] <= other[1];
                    assert!(apart, "page {page}: {:?} lies on {text:?}", run.text);
                }
                seen.push((body, &run.text));
            }
        }
    }
}

#[test]
fn the_same_card_gives_the_same_bytes() {
    let print = || cards(&[card(vec![step(1, 3)])], &[sheet(3)], Sheet::A4, INDONESIAN).expect("printed");
    let first = print();
    assert!(first.starts_with(b"%PDF-"));
    assert_eq!(first, print());
    let other = cards(&[card(vec![step(2, 3)])], &[sheet(3)], Sheet::A4, INDONESIAN).expect("printed");
    assert_ne!(first, other);
}

#[test]
fn pages_have_the_size_of_the_paper() {
    // ISO 216: A4 is 210 x 297 mm; US letter is 8.5 x 11 in.
    for (paper, width, height) in [(Sheet::A4, 595.276, 841.890), (Sheet::UsLetter, 612.0, 792.0)] {
        let pdf = cards(&[card(vec![step(1, 1)])], &[], paper, INDONESIAN).expect("printed");
        let text = String::from_utf8_lossy(&pdf);
        let boxes: Vec<Vec<f32>> = text
            .split("/MediaBox")
            .skip(1)
            .filter_map(|part| part.split(['[', ']']).nth(1))
            .map(|numbers| {
                numbers
                    .split_whitespace()
                    .filter_map(|n| n.parse().ok())
                    .collect()
            })
            .collect();
        assert!(!boxes.is_empty());
        for found in boxes {
            assert!(
                (found[2] - width).abs() < 0.01 && (found[3] - height).abs() < 0.01,
                "{found:?}"
            );
        }
    }
}

#[test]
fn the_code_says_what_it_was_given() {
    let rows = parts::modules("lorod:lot/L31").expect("modules");
    let (scale, quiet) = (4, 4);
    let side = (rows.len() + 2 * quiet) * scale;
    let mut picture = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
        let at = |v: usize| (v / scale).checked_sub(quiet);
        let dark = at(x).zip(at(y)).and_then(|(x, y)| rows.get(y)?.get(x).copied());
        if dark == Some(true) { 0 } else { 255 }
    });
    let grids = picture.detect_grids();
    let (_, content) = grids.first().expect("a code").decode().expect("decoded");
    assert_eq!(content, "lorod:lot/L31");
}

#[test]
fn nothing_leaves_the_page_or_lies_on_other_text() {
    for paper in [Sheet::A4, Sheet::UsLetter] {
        for words in [1, 4, 12] {
            let steps = (1..6).map(|n| step(n, words)).collect();
            let mut card = card(steps);
            card.design = "Sea Fan ".repeat(words);
            card.collection = Some("x".repeat(30 * words));
            with_leaves(&[card], &[sheet(4)], paper, must_be_clear);
        }
    }
}

#[test]
fn forty_steps_go_over_several_pages_and_none_is_split() {
    let card = card((1..=40).map(|n| step(n, 2)).collect());
    with_leaves(std::slice::from_ref(&card), &[], Sheet::A4, |leaves| {
        assert!(leaves.len() > 5);
        let mut steps = Vec::new();
        for (at, leaf) in leaves.iter().enumerate() {
            let said = texts(leaf);
            assert!(said.contains("L31"), "page {at} does not name its lot: {said}");
            assert!(said.contains(&format!("halaman {} dari {}", at + 1, leaves.len())));
            assert!(at == 0 || said.contains("Peringatan: lihat halaman 1."));
            let mut last = 0.0;
            for (section, block, top, bottom) in &leaf.laid {
                assert!(*top >= last && *bottom <= leaf.size.1 - MARGIN);
                last = *bottom;
                if *section == 1 {
                    steps.push(*block);
                }
            }
            if leaf.laid.iter().any(|laid| laid.0 == 1) {
                assert!(said.contains("Langkah"), "page {at} has no head over its steps");
            }
        }
        assert_eq!(steps, (0..40).collect::<Vec<_>>());
    });
}

#[test]
fn an_assumed_number_says_so_beside_it() {
    with_leaves(&[card(vec![step(1, 1)])], &[], Sheet::A4, |leaves| {
        let said: String = leaves.iter().map(texts).collect();
        assert!(said.contains("perkiraan / assumed ×/÷ 2,5"), "{said}");
        assert!(said.contains("dari Anda / yours"));
        assert!(
            said.contains("1250 gram") && said.contains("1,2 liter") && said.contains("13 menit 40 detik")
        );
    });
}

/// Three places to write in have a page to themselves only where setting the sheet closer leaves them one as well; set
/// closer, everything is still clear of everything.
#[test]
fn what_is_written_down_gets_a_page_only_where_it_must() {
    let setter = Setter::new().expect("fonts");
    let bench = Bench {
        tight: false,
        setter: &setter,
        voice: INDONESIAN,
        sheet: Sheet::A4,
    };
    let mut closer = 0;
    for lines in 0..24 {
        let mut sheet = sheet(1);
        sheet.cautions = (0..lines).map(|n| named(&format!("Awas {n}."))).collect();
        let set = |bench: &Bench<'_>| -> Vec<String> {
            let leaves = crate::batch_sheet::set_sheet(bench, &sheet).expect("codes");
            let leaves = leaves.expect("laid out");
            must_be_clear(&leaves);
            leaves.iter().map(texts).collect()
        };
        let alone =
            |pages: &[String]| pages.len() > 1 && !pages.last().is_some_and(|page| page.contains("soda"));
        let (usual, close) = (set(&bench), set(&bench.closer()));
        assert!(!alone(&usual) || alone(&close), "{lines}: {usual:?}");
        closer += usize::from(!usual.iter().any(|page| page.contains(wording::WRITE_DOWN.id)));
    }
    assert!(closer > 0, "none of them was near the end of a page");
}

#[test]
fn english_first_turns_the_card_round() {
    let setter = Setter::new().expect("fonts");
    let voice = Voice {
        language: Language::En,
        ..INDONESIAN
    };
    let bench = Bench {
        tight: false,
        setter: &setter,
        voice,
        sheet: Sheet::A4,
    };
    let cards = [card(vec![step(1, 1)])];
    let leaves = lay_out(&bench, &cards, &[]).expect("laid out");
    let said: String = leaves.iter().map(texts).collect();
    assert!(
        said.contains("Tuesday 14:20 · 13 min 40 s / Selasa 14:20 · 13 menit 40 detik"),
        "{said}"
    );
    must_be_clear(&leaves);
}

fn refused(result: Result<Vec<u8>, Error>) -> Vec<&'static str> {
    match result {
        Err(Error::Refused(findings)) => findings.iter().map(|finding| finding.code).collect(),
        other => panic!("not refused: {other:?}"),
    }
}

#[test]
fn a_step_longer_than_a_page_is_refused_by_name() {
    let result = cards(
        &[card(vec![step(1, 1), step(2, 400)])],
        &[],
        Sheet::A4,
        INDONESIAN,
    );
    let Err(Error::Refused(findings)) = result else {
        panic!("printed")
    };
    assert_eq!(findings[0].code, "longer-than-a-page");
    assert_eq!(
        findings[0].place,
        words::Place::Step {
            id: "s2".to_string(),
            setting: None
        }
    );
}

#[test]
fn antichlor_for_cloth_and_for_the_tank_never_share_a_paper() {
    // 1.92 kg a bolt, 1 L/kg carried, 1.5 g/L: 15 g for three bolts; 304 g to empty 115 L.
    let dose = |g: f64, dose| {
        QuantityCell::new(
            say!("sodium metabisulfite", "natrium metabisulfit"),
            Quantity::new(g / 1000.0, Measure::Mass),
        )
        .dose(dose)
    };
    let (mut cloth, mut tank) = (step(1, 1), step(2, 1));
    cloth.quantities = vec![dose(15.0, Dose::AntichlorForCloth)];
    tank.quantities = vec![dose(304.0, Dose::AntichlorForTank)];
    let both = card(vec![cloth.clone(), tank.clone()]);
    assert_eq!(
        refused(cards(&[both], &[], Sheet::A4, INDONESIAN)),
        ["antichlor-doses-together"]
    );
    // Apart, each starts a page of its own.
    let apart = [card(vec![cloth]), card(vec![tank])];
    assert!(cards(&apart, &[], Sheet::A4, INDONESIAN).is_ok());
    with_leaves(&apart, &[], Sheet::A4, |leaves| {
        for leaf in leaves {
            let said = texts(leaf);
            assert!(!(said.contains("15 gram") && said.contains("304 gram")));
        }
    });
    let mut mixed = sheet(2);
    mixed.fill = vec![dose(15.0, Dose::AntichlorForCloth)];
    mixed.totals = vec![dose(304.0, Dose::AntichlorForTank)];
    assert_eq!(
        refused(cards(&[], &[mixed], Sheet::A4, INDONESIAN)),
        ["antichlor-doses-together"]
    );
}

#[test]
fn what_cannot_be_printed_is_a_finding() {
    assert_eq!(
        refused(cards(&[], &[], Sheet::A4, INDONESIAN)),
        ["nothing-to-print"]
    );
    let mut bad = card(Vec::new());
    bad.qr = "x".repeat(2000);
    bad.pictures.after = Some(Picture {
        width: 3,
        height: 3,
        rgb: vec![0; 26],
    });
    bad.lot = " ".to_string();
    assert_eq!(
        refused(cards(&[bad], &[], Sheet::A4, INDONESIAN)),
        ["paper-without-lot", "code-content", "picture-bytes"]
    );
    let mut strange = card(Vec::new());
    strange.design = "海扇 Fan\u{7}".to_string();
    let findings = examine(std::slice::from_ref(&strange), &[]).expect("fonts");
    assert_eq!(findings.len(), 1);
    assert_eq!(
        (findings[0].code, findings[0].weight),
        ("letters-not-printable", Weight::Doubtful)
    );
    assert!(cards(&[strange], &[], Sheet::A4, INDONESIAN).is_ok());
}

#[test]
fn the_code_limit_in_the_finding_is_the_true_one() {
    // ISO/IEC 18004, table 7: version 40, level Q, 1663 bytes.
    assert!(parts::modules(&"x".repeat(1663)).is_some());
    assert!(parts::modules(&"x".repeat(1664)).is_none());
}
