//! Drawings no stamp can be made from: each is refused by element and line, in both languages.
#![allow(missing_docs, clippy::unwrap_used)]

use stamp::{Artwork, Limits, Stamp, scan};
use words::{Finding, Language, Place, Voice};

const HEAD: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100mm" height="100mm" viewBox="0 0 100 100">"#;

/// Every finding says what was found, what is allowed and what to do, differently in both languages.
fn well_said(findings: &[Finding]) {
    for f in findings {
        let say = |language| {
            f.say(Voice {
                language,
                ..Voice::default()
            })
        };
        let (en, id) = (say(Language::En), say(Language::Id));
        assert_eq!(en.len(), 3, "{en:?}");
        assert!(en.iter().zip(&id).all(|(a, b)| a != b), "{en:?} {id:?}");
        assert!(
            en.iter().chain(&id).all(|l| !l.contains(['{', '}'])),
            "{en:?} {id:?}"
        );
    }
}

/// The drawing has `body` on its second line.
fn refused(body: &str, code: &str) -> Vec<Finding> {
    let svg = format!("{HEAD}\n{body}</svg>");
    let findings = scan(&svg, "a.svg").expect_err(body);
    well_said(&findings);
    assert_eq!(findings[0].code, code, "{body}: {findings:?}");
    assert!(
        findings[0].say(Voice::default())[0].starts_with("Line 2"),
        "{:?}",
        findings[0].say(Voice::default())
    );
    let Place::File { span, path } = &findings[0].place else {
        panic!("{findings:?}")
    };
    assert_eq!(path, "a.svg");
    assert_eq!(svg[..span.start].matches('\n').count(), 1);
    assert!(svg[span.clone()].starts_with('<'), "{}", &svg[span.clone()]);
    findings
}

#[test]
fn what_is_not_a_shape_is_refused_by_line() {
    for (body, code) in [
        ("<text x='3' y='9'>fan</text>", "artwork-text"),
        ("<g><g><text>fan</text></g></g>", "artwork-text"),
        (
            "<image width='5' height='5' xlink:href='data:image/png;base64,AAAA'/>",
            "artwork-image",
        ),
        (
            "<image width='5' height='5' href='/etc/passwd'/>",
            "artwork-image",
        ),
        (
            "<filter id='f'><feGaussianBlur stdDeviation='2'/></filter><rect width='9' height='9' filter='url(#f)'/>",
            "artwork-filter",
        ),
        (
            "<mask id='m'><rect width='5' height='5'/></mask><rect width='9' height='9' mask='url(#m)'/>",
            "artwork-mask",
        ),
        (
            "<pattern id='p' width='5' height='5'/><rect width='9' height='9' style='fill:url(#p)'/>",
            "artwork-pattern",
        ),
        ("<foreignObject width='5' height='5'/>", "artwork-foreign"),
        ("<script>alert(1)</script>", "artwork-script"),
        (
            "<rect width='9' height='9'><animate attributeName='x'/></rect>",
            "artwork-animation",
        ),
        ("<use href='other.svg#leaf'/>", "artwork-link"),
        (
            "<use xlink:href='https://example.org/a.svg#leaf'/>",
            "artwork-link",
        ),
        (
            "<rect width='9' height='9' fill='url(http://example.org/a.svg#g)'/>",
            "artwork-link",
        ),
        (
            "<rect width='9' height='9' style='clip-path: URL( \"file:///a.svg#g\" )'/>",
            "artwork-link",
        ),
        ("<style>@import 'a.css';</style>", "artwork-link"),
        ("<style>rect{fill:url('a.svg#b')}</style>", "artwork-link"),
    ] {
        assert_eq!(refused(body, code).len(), 1, "{body}");
    }
}

#[test]
fn everything_is_said_at_once() {
    let findings = scan(
        &format!("{HEAD}\n<text>a</text>\n<image/>\n<use href='b.svg'/>\n</svg>"),
        "a.svg",
    )
    .unwrap_err();
    assert_eq!(
        findings.iter().map(|f| f.code).collect::<Vec<_>>(),
        ["artwork-text", "artwork-image", "artwork-link"]
    );
    let lines: Vec<_> = findings
        .iter()
        .map(|f| f.say(Voice::default())[0][..6].to_string())
        .collect();
    assert_eq!(lines, ["Line 2", "Line 3", "Line 4"]);
}

#[test]
fn what_is_never_painted_is_let_pass() {
    for body in [
        "<defs><filter id='f'/><pattern id='p'/><mask id='m'/></defs><rect width='9' height='9'/>",
        "<g display='none'><image id='photo' href='photo.jpg'/></g><rect width='9' height='9'/>",
        "<switch><foreignObject requiredExtensions='http://example.org/x'/><rect width='9' height='9'/></switch>",
        "<x:notes xmlns:x='http://example.org/x'><x:text href='a.png'/></x:notes><rect width='9' height='9'/>",
        "<metadata><text>by hand</text></metadata><rect width='9' height='9'/>",
        "<defs><linearGradient id='g'/></defs><rect width='9' height='9'/><use href='#missing'/>",
    ] {
        let svg = format!("{HEAD}{body}</svg>");
        let art = Artwork::read(&svg, "a.svg").unwrap_or_else(|f| panic!("{body}: {f:?}"));
        assert!((art.area().mm2() - 81.0).abs() < 0.01, "{body}");
    }
    // A hidden picture that a copy brings back is not hidden.
    let back = format!(
        "{HEAD}<g style='display: none'><image id='photo' href='photo.jpg'/></g><use href='#photo'/></svg>"
    );
    assert!(scan(&back, "a.svg").is_err());
}

#[test]
fn external_entities_are_refused_before_parsing() {
    let svg = "<?xml version='1.0'?>\n<!DOCTYPE svg [\n<!ENTITY secret SYSTEM 'file:///etc/passwd'>\n]>\n<svg xmlns='http://www.w3.org/2000/svg'><title>&secret;</title></svg>";
    let findings = scan(svg, "a.svg").unwrap_err();
    well_said(&findings);
    assert_eq!(findings[0].code, "artwork-entity");
    assert!(findings[0].say(Voice::default())[0].starts_with("Line 3"));
    // Names for namespaces, which drawing programs write, stay inside the file.
    let svg = "<!DOCTYPE svg [<!ENTITY ns 'http://www.w3.org/2000/svg'>]><svg xmlns='&ns;' width='9' height='9'><rect width='9' height='9'/></svg>";
    assert!(scan(svg, "a.svg").is_ok());
}

#[test]
fn damaged_files_are_refused_where_they_break() {
    for (svg, code, line) in [
        ("", "artwork-not-xml", "Line 1"),
        ("not a drawing", "artwork-not-xml", "Line 1"),
        (
            "<svg xmlns='http://www.w3.org/2000/svg'>\n<g>\n</svg>",
            "artwork-not-xml",
            "Line 3",
        ),
        ("\n<html/>", "artwork-not-svg", "Line 2"),
        ("<svg/>", "artwork-not-svg", "Line 1"),
    ] {
        let findings = scan(svg, "a.svg").unwrap_err();
        well_said(&findings);
        assert_eq!(findings[0].code, code, "{svg}");
        assert!(
            findings[0].say(Voice::default())[0].starts_with(line),
            "{svg}: {findings:?}"
        );
    }
}

#[test]
fn sizes_are_bounded() {
    let refused = |svg: String| {
        let findings = Artwork::read(&svg, "a.svg").unwrap_err();
        well_said(&findings);
        assert_eq!(findings[0].code, "artwork-too-large", "{findings:?}");
    };
    // One level inside the page is the 2nd: 99 groups and a shape are 101.
    let nest = |n: usize| {
        format!(
            "{HEAD}{}<rect width='9' height='9'/>{}</svg>",
            "<g>".repeat(n),
            "</g>".repeat(n)
        )
    };
    assert!(Artwork::read(&nest(98), "a.svg").is_ok());
    refused(nest(99));
    refused(nest(40_000));
    // Copies of copies: ten levels of ten.
    let mut bomb = format!("{HEAD}<defs><rect id='l0' width='1' height='1'/>");
    for k in 1..10 {
        let copies = format!("<use href='#l{}'/>", k - 1).repeat(10);
        bomb.push_str(&format!("<g id='l{k}'>{copies}</g>"));
    }
    refused(bomb + "</defs><use href='#l9'/></svg>");
    // A chain of clipping paths.
    let mut chain = format!("{HEAD}<clipPath id='c0'><rect width='9' height='9'/></clipPath>");
    for k in 1..3000 {
        chain.push_str(&format!(
            "<clipPath id='c{k}' clip-path='url(#c{})'><rect width='9' height='9'/></clipPath>",
            k - 1
        ));
    }
    refused(chain + "<rect width='9' height='9' clip-path='url(#c2999)'/></svg>");
    refused(format!(
        "{HEAD}{}</svg>",
        "<rect width='1' height='1'/>".repeat(20_001)
    ));
    refused(format!("{HEAD}<!--{}--></svg>", "x".repeat(8_000_000)));
    // A circle of references is broken, not followed.
    let circle = format!(
        "{HEAD}<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/><rect width='9' height='9'/></g></svg>"
    );
    let _ = Artwork::read(&circle, "a.svg");
}

#[test]
fn too_much_work_is_refused() {
    for body in [
        "<path d='M0 0H100' stroke='black' stroke-dasharray='.001'/>".to_string(),
        format!("<path d='M0 0{}'/>", "l.0002 1 .0002-1".repeat(160_000)),
    ] {
        let findings = Artwork::read(&format!("{HEAD}{body}</svg>"), "a.svg").unwrap_err();
        well_said(&findings);
        assert_eq!(findings[0].code, "artwork-too-intricate", "{findings:?}");
    }
    let far = format!("{HEAD}<rect id='lost' x='1e7' width='5' height='5'/></svg>");
    assert_eq!(
        Artwork::read(&far, "a.svg").unwrap_err()[0].code,
        "artwork-far-away"
    );
}

#[test]
fn a_drawing_without_wax_says_how_light_it_is() {
    for body in [
        "",
        "<rect width='9' height='9' fill='none'/>",
        "<rect width='9' height='9' fill='#fff'/>",
        "<rect width='9' height='9'/><rect width='10' height='10' fill='#fff'/>",
    ] {
        let findings = Artwork::read(&format!("{HEAD}{body}</svg>"), "a.svg").unwrap_err();
        well_said(&findings);
        assert_eq!(findings[0].code, "artwork-empty", "{body}");
    }
}

fn stamp(body: &str) -> Stamp {
    let art = Artwork::read(&format!("{HEAD}{body}</svg>"), "a.svg").unwrap();
    Stamp::new(&art, 100.0, None).unwrap()
}

#[test]
fn copper_limits_are_checked_with_the_place() {
    let codes = |body: &str, cloth: f64| -> Vec<&str> {
        stamp(body)
            .report(&Limits::default(), cloth)
            .findings()
            .iter()
            .map(|f| f.code)
            .collect()
    };
    let frame = |w: f64| {
        format!("<rect x='10' y='10' width='70' height='70' fill='none' stroke='#000' stroke-width='{w}'/>")
    };
    assert_eq!(codes(&frame(1.2), 1000.0), [] as [&str; 0]);
    let all = |width, code| {
        let codes = codes(&frame(width), 1000.0);
        assert!(
            !codes.is_empty() && codes.iter().all(|c| *c == code),
            "{width}: {codes:?}"
        );
    };
    all(1.05, "stamp-lost-line");
    all(0.85, "stamp-thin-line");
    assert_eq!(
        codes("<rect x='10' y='10' width='.85' height='70'/>", 1000.0),
        ["stamp-thin-line", "stamp-small-for-handle"]
    );
    let two = |gap: f64| {
        format!(
            "<rect width='20' height='20'/><rect x='{}' y='8' width='20' height='3'/>",
            20.0 + gap
        )
    };
    assert_eq!(codes(&two(1.55), 1000.0), ["stamp-fill", "stamp-pieces"]);
    assert_eq!(
        codes(&two(1.45), 1000.0),
        ["stamp-narrow-gap", "stamp-fill", "stamp-pieces"]
    );
    assert_eq!(
        codes("<rect width='90' height='90'/>", 89.0),
        ["stamp-wider-than-cloth", "stamp-fill"]
    );
    assert_eq!(
        codes(
            "<rect width='90' height='90'/><rect x='95' width='.5' height='.5'/>",
            91.0
        ),
        [
            "stamp-wider-than-cloth",
            "stamp-specks",
            "stamp-fill",
            "stamp-pieces"
        ]
    );
    let found = stamp(&two(1.0)).report(&Limits::default(), 1000.0).findings();
    let Place::Drawing { x_um, y_um } = found[0].place else {
        panic!("{found:?}")
    };
    assert!(
        (x_um - 20_500).abs() < 10 && (8_000..=11_000).contains(&y_um),
        "{x_um} {y_um}"
    );
}
