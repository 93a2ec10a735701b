//! Measurement files of any content: nothing breaks, and what comes out is in range.

#[path = "common/pieces.rs"]
mod pieces;

use colour::measured::{Scale, Stated, read, samples};
use pieces::{FRACTION, WIDE, header, row};
use proptest::prelude::*;
use words::{Voice, show};

fn mutated() -> impl Strategy<Value = String> {
    let csv = format!(
        "{}\n{}\n{}\n",
        header("sample,reading,hex"),
        row("a,1,#aabbcc", 0.5),
        row("a,2,", 0.4)
    );
    let base = prop_oneof![
        Just(WIDE.to_string()),
        Just(csv),
        Just("sample,L,a,b\nx,50,10,10\n".to_string())
    ];
    (
        base,
        prop::collection::vec(
            (
                any::<prop::sample::Index>(),
                any::<prop::sample::Index>(),
                ".{0,6}",
            ),
            1..8,
        ),
    )
        .prop_map(|(mut text, cuts)| {
            for (from, length, insert) in cuts {
                let marks: Vec<usize> = text.char_indices().map(|c| c.0).chain([text.len()]).collect();
                let start = from.index(marks.len());
                let end = (start + length.index(40)).min(marks.len() - 1);
                text.replace_range(marks[start]..marks[end], &insert);
            }
            text
        })
}

/// Whatever comes out is in range, and every finding can be shown.
fn nothing_breaks(text: &str, stated: Stated) {
    let m = read(text, "m.txt", stated);
    for r in &m.readings {
        assert!(r.reflectance.iter().all(|v| (0.0..=1.2).contains(v)), "{r:?}");
    }
    let (samples, more) = samples(&m.readings);
    assert!(samples.iter().all(|s| s.mean.iter().all(|v| v.is_finite())));
    for f in m.findings.iter().chain(&more) {
        show(f, Some(text), Voice::default());
    }
}

proptest! {
    #[test]
    fn any_text_is_answered(text in "\\PC*", percent: bool) {
        nothing_breaks(&text, Stated { scale: percent.then_some(Scale::Percent), viewing: None });
    }

    #[test]
    fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        nothing_breaks(&String::from_utf8_lossy(&bytes), FRACTION);
    }

    #[test]
    fn damaged_files_are_answered(text in mutated()) {
        nothing_breaks(&text, FRACTION);
    }

    /// Sprague's polynomials have degree 5 and are made from polynomials of degree 4: those come back exactly,
    /// away from the ends, which are made from fewer values.
    #[test]
    fn sprague_reproduces_polynomials(c in prop::array::uniform5(-1.0..1.0f64), at in 2.0..8.0f64) {
        let poly = |x: f64| c.iter().rev().fold(0.0, |s, k| s * (x / 10.0) + k);
        let values: Vec<f64> = (0..=10).map(|i| poly(f64::from(i))).collect();
        prop_assert!((colour::measured::sprague(&values, at) - poly(at)).abs() < 1e-12);
    }
}
