//! Whatever bytes come: an answer, in bounded time, never a panic.
#![allow(missing_docs)]

use proptest::prelude::*;
use stamp::{Artwork, Layout, Limits, Stamp};

const SEED: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="90mm" height="60mm" viewBox="0 0 90 60"><defs><linearGradient id="g" x1="0" x2="1"><stop offset="0" stop-color="#000"/><stop offset="1" stop-color="#fff" stop-opacity=".5"/></linearGradient><clipPath id="c"><circle cx="30" cy="30" r="20"/></clipPath><g id="u"><path d="M1 2C3 4 5 60 7 8S9 10 11 12Q3 4 5 6T7 8A9 9 30 1 0 22 11Z" fill-rule="evenodd"/></g><marker id="m"><path d="M0 0L3 1z"/></marker></defs><style>.a{fill:#333;stroke:#eee}</style><rect class="a" x="3" y="4" width="30" height="20" rx="3" stroke-width="2" stroke-dasharray="3 1 2" transform="rotate(20) skewX(7)"/><g clip-path="url(#c)" opacity=".7"><use xlink:href="#u" transform="matrix(1 .2 -.3 2 5 6)"/><ellipse cx="40" cy="30" rx="20" ry="9" fill="url(#g)"/></g><polyline points="1,1 20,50 80,3" fill="none" stroke="#000" stroke-linejoin="round" stroke-linecap="round" marker-mid="url(#m)"/><polygon points="1 1 4 5 9 2" fill="rgb(10%,20%,30%)"/></svg>"##;

/// Reads and, if it is a stamp, uses everything a stamp is used for.
fn exercise(xml: &str) {
    let Ok(art) = Artwork::read(xml, "fuzz.svg") else {
        return;
    };
    assert!(art.area().mm2() > 0.0);
    let Ok(stamp) = Stamp::new(&art, 40.0, None) else {
        return;
    };
    for layout in [Layout::Straight, Layout::HalfDrop, Layout::Brick] {
        let share = stamp.coverage(layout);
        assert!((0.0..=1.0 + 1e-6).contains(&share), "{share}");
    }
    let report = stamp.report(&Limits::default(), 1000.0);
    assert!(report.picture(words::Voice::default()).len() > 100);
}

#[derive(Clone, Debug)]
enum Edit {
    Delete(usize, usize),
    Insert(usize, &'static str),
    Digit(usize, char),
    Copy(usize, usize, usize),
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let place = 0..SEED.len();
    let scraps = prop::sample::select(vec![
        "<g>",
        "</g>",
        "0",
        "-",
        "1e30",
        "1e-30",
        "nan",
        "%",
        "mm",
        "in",
        "#u",
        "url(#g)",
        "url(#c)",
        "#fff",
        "scale(0)",
        "M",
        "Z",
        "h1e9",
        "&",
        "\"",
        "<text>",
        "<use xlink:href='#u'/>",
        "opacity='.3'",
        " ",
        "é",
        "A0 0 0 0 0 1 1",
        "stroke-width='1e6'",
        "stroke-dasharray='1e-7'",
        "fill='none'",
    ]);
    prop::collection::vec(
        prop_oneof![
            (place.clone(), 1..30usize).prop_map(|(a, n)| Edit::Delete(a, n)),
            (place.clone(), scraps).prop_map(|(a, s)| Edit::Insert(a, s)),
            (place.clone(), prop::char::range('0', '9')).prop_map(|(a, c)| Edit::Digit(a, c)),
            (place.clone(), 1..80usize, place).prop_map(|(a, n, b)| Edit::Copy(a, n, b)),
        ],
        1..8,
    )
}

fn edited(edits: &[Edit]) -> String {
    let mut bytes = SEED.as_bytes().to_vec();
    for edit in edits {
        let len = bytes.len();
        match edit {
            Edit::Delete(a, n) => drop(bytes.drain((*a).min(len)..(*a + *n).min(len))),
            Edit::Insert(a, s) => drop(bytes.splice((*a).min(len)..(*a).min(len), s.bytes())),
            // The next digit is replaced: most digit edits keep the file well-formed.
            Edit::Digit(a, c) => {
                if let Some(k) = (*a..len).find(|k| bytes[*k].is_ascii_digit()) {
                    bytes[k] = *c as u8;
                }
            }
            Edit::Copy(a, n, b) => {
                let piece = bytes[(*a).min(len)..(*a + *n).min(len)].to_vec();
                bytes.splice((*b).min(len)..(*b).min(len), piece);
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[test]
fn the_seed_is_a_stamp() {
    assert!(Artwork::read(SEED, "seed.svg").is_ok());
    exercise(SEED);
}

/// Found by the tests below once, each of them a panic, or memory without end.
#[test]
fn drawings_that_once_went_wrong() {
    let with = |body: &str| {
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">{body}</svg>"#
        )
    };
    for body in [
        "<linearGradient id='g' x1='1e300'><stop/><stop offset='1' stop-color='#fff'/></linearGradient><ellipse cx='40' cy='30' rx='20' ry='9' fill='url(#g)'/>",
        "<linearGradient id='g' gradientUnits='userSpaceOnUse' x1='1e38'><stop/><stop offset='1' stop-color='#fff'/></linearGradient><ellipse cx='40' cy='30' rx='20' ry='9' fill='url(#g)'/>",
        "<radialGradient id='g' r='1e30'><stop/><stop offset='1e-9' stop-color='#fff'/></radialGradient><ellipse cx='40' cy='30' rx='20' ry='9' fill='url(#g)'/>",
        "<clipPath id='c'><circle r='1e30'/></clipPath><rect width='9' height='9' clip-path='url(#c)'/>",
        "<rect width='9' height='9' stroke='#000' stroke-width='1e30'/>",
        "<rect width='9' height='9' stroke='#000' stroke-dasharray='1' stroke-dashoffset='1e30'/>",
        "<rect width='9' height='9' stroke='#000' stroke-dasharray='1e-30'/>",
        "<path d='M1 1C1e30 0 -1e30 0 9 9' stroke='#000' transform='scale(1e-28)'/>",
        "<path d='M1 1A9 9 0 0 1 9 1e20' stroke='#000' stroke-width='1e-12' transform='scale(1 1e-19)'/>",
    ] {
        exercise(&with(body));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn edited_drawings_never_panic(edits in edits()) {
        exercise(&edited(&edits));
    }

    #[test]
    fn any_text_is_answered(text in "\\PC{0,200}") {
        exercise(&text);
    }

    #[test]
    fn any_path_is_answered(d in "([MLHVCSQTAZmlhvcsqtaz][ ,.0-9e-]{0,12}){1,20}", width in 0.0..20.0f64) {
        exercise(&format!(r#"<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm"><path d="M5 5{d}" stroke="black" stroke-width="{width}"/></svg>"#));
    }
}
