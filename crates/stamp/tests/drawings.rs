//! Drawings read as painted: order, rules, transforms, clipping, units, tones.
#![allow(missing_docs, clippy::unwrap_used)]

use stamp::{Artwork, Layout, Reading, Stamp};

const HEAD: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100mm" height="100mm" viewBox="0 0 100 100">"#;

fn read(body: &str) -> Artwork {
    Artwork::read(&format!("{HEAD}{body}</svg>"), "a.svg").unwrap_or_else(|f| panic!("{body}: {f:?}"))
}

fn mm2(body: &str) -> f64 {
    read(body).area().mm2()
}

/// Checks an area worked by hand. The library stores coordinates as f32: 1e-5 of a length.
fn check(body: &str, expected: f64) {
    let got = mm2(body);
    assert!(
        (got - expected).abs() < 1e-3 + 1e-4 * expected,
        "{got} mm2, expected {expected}: {body}"
    );
}

#[test]
fn later_light_shapes_cut_and_later_dark_ones_add() {
    check(
        r##"<rect width="50" height="50"/><rect width="20" height="20" fill="#fff"/>"##,
        2100.0,
    );
    check(
        r##"<rect width="20" height="20" fill="#fff"/><rect width="50" height="50"/>"##,
        2500.0,
    );
    check(
        r##"<rect width="50" height="50"/><rect width="30" height="30" fill="#ffd"/><rect width="10" height="10" fill="#800"/>"##,
        2500.0 - 900.0 + 100.0,
    );
}

#[test]
fn fill_rules_are_kept() {
    let star = "M0 0H40V40H0Z M10 10H30V30H10Z";
    check(&format!(r#"<path d="{star}"/>"#), 1600.0);
    check(&format!(r#"<path fill-rule="evenodd" d="{star}"/>"#), 1200.0);
    check(r#"<path d="M0 0H40V40H0Z M10 10V30H30V10Z"/>"#, 1200.0);
}

#[test]
fn nested_transforms_multiply() {
    let nested = r#"<g transform="translate(30 20)"><g transform="rotate(30)"><g transform="scale(2 .5)"><rect x="1" y="2" width="10" height="8"/></g></g></g>"#;
    check(nested, 80.0);
    let bounds = read(nested).area().bounds().unwrap();
    // By hand: corners (2,1), (22,1), (22,5), (2,5) turned by 30 degrees and moved.
    let (c, s) = (30.0_f64.to_radians().cos(), 0.5);
    let expected = [
        30.0 + 2.0 * c - 5.0 * s,
        20.0 + 2.0 * s + 1.0 * c,
        30.0 + 22.0 * c - 1.0 * s,
        20.0 + 22.0 * s + 5.0 * c,
    ];
    for (got, want) in [bounds.low[0], bounds.low[1], bounds.high[0], bounds.high[1]]
        .iter()
        .zip(expected)
    {
        assert!((got - want).abs() < 1e-3, "{bounds:?} {expected:?}");
    }
    // skewX keeps areas; a mirror image stays filled.
    check(
        r#"<g transform="skewX(40)"><rect width="10" height="10"/></g>"#,
        100.0,
    );
    check(
        r#"<g transform="scale(-1 1) translate(-50 0)"><rect width="10" height="10"/></g>"#,
        100.0,
    );
}

#[test]
fn a_stretched_pen_draws_a_stretched_line() {
    // A vertical line 20 long, pen 2: stretched 3 times across it is 6 wide.
    check(
        r#"<path transform="scale(3 1)" d="M10 10V30" stroke="black" stroke-width="2"/>"#,
        120.0,
    );
    check(
        r#"<path transform="scale(1 3)" d="M10 10V30" stroke="black" stroke-width="2"/>"#,
        120.0,
    );
}

#[test]
fn strokes_have_caps_joins_and_dashes() {
    let line =
        |more: &str| format!(r#"<path d="M20 20H60" fill="none" stroke="black" stroke-width="4" {more}/>"#);
    let disc = std::f64::consts::PI * 4.0;
    check(&line(""), 160.0);
    check(&line(r#"stroke-linecap="square""#), 176.0);
    let round = mm2(&line(r#"stroke-linecap="round""#));
    assert!((round - 160.0 - disc).abs() < 0.1, "{round}");
    // 40 = 5+5 five times less the last gap: dashes at 0, 10, 20, 30: 20 of 40.
    check(&line(r#"stroke-dasharray="5""#), 80.0);
    // A corner: two arms of 20 from the outer corner on.
    let corner = |join: &str| {
        mm2(&format!(
            r#"<path d="M20 40V20H40" fill="none" stroke="black" stroke-width="4" stroke-linejoin="{join}"/>"#
        ))
    };
    // The centre lines overlap in the inner quarter (4); the outer square (4) is whole, halved or a quarter disc.
    assert!((corner("miter") - 160.0).abs() < 0.01, "{}", corner("miter"));
    assert!((corner("bevel") - 158.0).abs() < 0.01, "{}", corner("bevel"));
    assert!(
        (corner("round") - (156.0 + std::f64::consts::PI)).abs() < 0.05,
        "{}",
        corner("round")
    );
}

#[test]
fn clipping_paths_cut() {
    let clip = r#"<defs><clipPath id="c"><rect x="10" y="10" width="20" height="20"/></clipPath>
        <clipPath id="d" clip-path="url(#c)"><rect width="20" height="100"/></clipPath></defs>"#;
    check(
        &format!(r#"{clip}<rect width="50" height="50" clip-path="url(#c)"/>"#),
        400.0,
    );
    check(
        &format!(
            r#"{clip}<g transform="translate(40 0)" clip-path="url(#c)"><rect width="15" height="50"/></g>"#
        ),
        100.0,
    );
    check(
        &format!(
            r#"{clip}<g clip-path="url(#c)"><g clip-path="url(#d)"><rect width="50" height="50"/></g></g>"#
        ),
        200.0,
    );
}

#[test]
fn copies_and_style_sheets_are_followed() {
    check(
        r##"<defs><rect id="r" width="10" height="10"/></defs><use href="#r"/><use xlink:href="#r" x="30" y="5" transform="scale(2)"/>"##,
        500.0,
    );
    check(
        r#"<style>.a{fill:#fff} rect.b{fill:black}</style><rect class="b" width="20" height="20"/><rect class="a" width="5" height="5"/>"#,
        375.0,
    );
}

#[test]
fn units_give_millimetres() {
    for (size, viewbox, expected) in [
        (r#"width="100mm" height="50mm""#, "", [100.0, 50.0]),
        (
            r#"width="10cm" height="5cm""#,
            r#"viewBox="0 0 7 3.5""#,
            [100.0, 50.0],
        ),
        (
            r#"width="4in" height="2in""#,
            r#"viewBox="0 0 10 5""#,
            [101.6, 50.8],
        ),
        (r#"width="96px" height="48""#, "", [25.4, 12.7]),
        (r#"width="72pt" height="6pc""#, "", [25.4, 25.4]),
        ("", r#"viewBox="0 0 192 96""#, [50.8, 25.4]),
    ] {
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" {size} {viewbox}><rect width="1" height="1"/></svg>"#
        );
        let got = Artwork::read(&svg, "a.svg").unwrap().size_mm();
        assert!(
            (got[0] - expected[0]).abs() < 1e-4 && (got[1] - expected[1]).abs() < 1e-4,
            "{size}: {got:?}"
        );
    }
    // A view box that does not start at zero and has its own scale: 10 of 50 units on 100 mm are 20 mm.
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="-25 -25 50 50"><rect x="-5" y="0" width="10" height="10"/></svg>"#;
    let bounds = Artwork::read(svg, "a.svg").unwrap().area().bounds().unwrap();
    assert!(
        (bounds.low[0] - 40.0).abs() < 1e-3 && (bounds.low[1] - 50.0).abs() < 1e-3,
        "{bounds:?}"
    );
    assert!((bounds.width() - 20.0).abs() < 1e-3, "{bounds:?}");
}

/// Luminance of an sRGB grey, IEC 61966-2-1.
fn light(c: f64) -> f64 {
    if c <= 0.04045 {
        c / 12.92
    } else {
        ((c + 0.055) / 1.055).powf(2.4)
    }
}

/// L* of a luminance above the straight part, CIE 15.
fn l_star(y: f64) -> f64 {
    116.0 * y.cbrt() - 16.0
}

/// A shape from black to white is all wax, or all bare, by its mean luminance; and that is said of it by name.
#[test]
fn a_tone_counts_as_a_whole_by_its_mean() {
    let stops = r##"<stop stop-color="#000"/><stop offset="1" stop-color="#fff"/>"##;
    let mean = |weight: &dyn Fn(f64) -> f64| {
        let (n, mut sum) = (10_000, 0.0);
        for k in 0..n {
            let u = (f64::from(k) + 0.5) / f64::from(n);
            sum += weight(u) * light(u) / f64::from(n);
        }
        l_star(sum)
    };
    let across = r#"linearGradient id="g" gradientUnits="userSpaceOnUse" x1="10" x2="60" y1="0" y2="0""#;
    let mirrored = r#"linearGradient id="g" gradientUnits="userSpaceOnUse" spreadMethod="reflect" x1="10" x2="35" y1="0" y2="0""#;
    let round = r#"radialGradient id="g" gradientUnits="userSpaceOnUse" cx="35" cy="50" r="25""#;
    let bar = r#"<rect id="petal" x="10" y="5" width="50" height="10" fill="url(#g)"/>"#;
    let disc = r#"<circle id="petal" cx="35" cy="50" r="25" fill="url(#g)"/>"#;
    let disc_mm2 = std::f64::consts::PI * 625.0;
    for (kind, shape, mm2, l) in [
        (across, bar, 500.0, mean(&|_| 1.0)),
        (mirrored, bar, 500.0, mean(&|_| 1.0)),
        (round, disc, disc_mm2, mean(&|u| 2.0 * u)),
    ] {
        let end = &kind[..14];
        let svg = format!(
            r#"{HEAD}<defs><{kind}>{stops}</{end}></defs><rect x="80" width="10" height="10"/>{shape}</svg>"#
        );
        for (wax_below, expected) in [(l + 1.5, mm2 + 100.0), (l - 1.5, 100.0)] {
            let reading = Reading {
                wax_below: Some(wax_below),
            };
            let art = Artwork::read_as(&svg, "a.svg", &reading).unwrap();
            let got = art.area().mm2();
            assert!((got - expected).abs() < 1.0, "{kind} {l} {wax_below}: {got}");
            let note = art.notes().iter().find(|n| n.code == "artwork-tone").unwrap();
            assert_eq!(note.weight, words::Weight::Note);
            let said = note.say(words::Voice::default()).concat();
            assert!(said.contains("petal"));
            // The limit that it names turns the shape round.
            let named = said.split("wax_below to ").nth(1).unwrap().trim_end_matches('.');
            let reading = Reading {
                wax_below: Some(named.parse().unwrap()),
            };
            let other = Artwork::read_as(&svg, "a.svg", &reading).unwrap().area().mm2();
            assert!((other + expected - mm2 - 200.0).abs() < 1.0, "{said}: {other}");
        }
    }
    // Dark all along: no note.
    let art = read(
        r##"<defs><linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#620"/></linearGradient></defs><rect width="80" height="10" fill="url(#g)"/>"##,
    );
    assert!((art.area().mm2() - 800.0).abs() < 0.01 && art.notes().is_empty());
}

#[test]
fn the_limit_between_wax_and_cloth_can_be_set() {
    let svg = format!(
        r##"{HEAD}<rect width="50" height="50" fill="#c33"/><rect x="50" width="10" height="50" fill="#222"/></svg>"##
    );
    let area = |wax_below| {
        Artwork::read_as(&svg, "a.svg", &Reading { wax_below })
            .unwrap()
            .area()
            .mm2()
    };
    assert!((area(None) - 3000.0).abs() < 0.5);
    assert!((area(Some(30.0)) - 500.0).abs() < 0.5);
    // Pale ink alone on the page is what is meant to be waxed.
    check(r##"<rect width="10" height="10" fill="#9cf"/>"##, 100.0);
}

#[test]
fn hidden_and_unused_parts_do_not_count() {
    check(
        r#"<rect width="10" height="10"/><g display="none"><rect width="90" height="90"/></g><g style="visibility:hidden"><rect width="90" height="90"/></g>"#,
        100.0,
    );
}

#[test]
fn a_stamp_scales_to_its_repeat_and_keeps_what_crosses_it() {
    let art = read(r#"<rect x="90" y="40" width="30" height="20"/>"#);
    let stamp = Stamp::new(&art, 200.0, None).unwrap();
    assert_eq!(stamp.repeat_mm().map(f64::round), [200.0, 200.0]);
    assert!(
        (stamp.share_of_repeat() - 0.06).abs() < 1e-5,
        "{}",
        stamp.share_of_repeat()
    );
    assert!((stamp.coverage(Layout::Straight) - 0.06).abs() < 1e-5);
    assert!(stamp.mask().distance(230.0, 100.0) > 5.0);
    // A taller repeat spaces the page out; it is not distorted.
    let tall = Stamp::new(&art, 200.0, Some(300.0)).unwrap();
    assert!((tall.share_of_repeat() - 0.04).abs() < 1e-5);
    let b = tall.area().bounds().unwrap();
    assert!(
        (b.low[1] - 130.0).abs() < 1e-3 && (b.height() - 40.0).abs() < 1e-3,
        "{b:?}"
    );
    for width in [19.0, 601.0, f64::NAN, -200.0] {
        assert_eq!(Stamp::new(&art, width, None).unwrap_err()[0].code, "stamp-size");
    }
}
