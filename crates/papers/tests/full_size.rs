//! The drawings of a stamp read back by readers that know nothing of how they were written: a small one of PDF
//! content streams (ISO 32000-1, 8.5: m, l, re, cm, q, Q), and an XML parser for SVG (SVG 2: width in mm, viewBox).

use papers::{
    Sheet, StampLine, StampNumber, StampSheet, StampSide, stamp_drawing, stamp_drawings, stamp_sheet,
};
use std::io::Read;
use words::{Language, Voice, say};

const MM: f64 = 25.4 / 72.0;
/// A ruler on the stamp whose ends the readers look for, mm.
const RULER: [(f64, f64); 2] = [(10.0, 12.5), (157.5, 12.5)];

fn stamp() -> StampSheet {
    let line = |points: &[(f64, f64)], width_mm| StampLine {
        points: points.to_vec(),
        closed: false,
        width_mm,
        dashed: false,
    };
    StampSheet {
        workshop: "Sirih Works".to_string(),
        name: "Sea Fan & <fan>".to_string(),
        width_mm: 165.0,
        height_mm: 160.0,
        side: StampSide::Face,
        wax: vec![vec![(20.0, 20.0), (60.0, 20.0), (60.0, 50.0)]],
        lines: vec![line(&RULER, 0.77), line(&[(12.0, 20.0), (12.0, 150.0)], 0.77)],
        numbers: vec![StampNumber {
            text: "417".to_string(),
            at: (80.0, 80.0),
        }],
        facts: vec![(say!("Strip", "Bilah"), say!("0.6 mm", "0,6 milimeter"))],
        cautions: Vec::new(),
    }
}

fn voice() -> Voice {
    Voice {
        language: Language::En,
        ..Voice::default()
    }
}

/// Straight strokes of a page: ends and pen width, mm.
type Strokes = Vec<([(f64, f64); 2], f64)>;

/// Every content stream of a PDF, as strokes.
fn pages_of_pdf(pdf: &[u8]) -> Vec<Strokes> {
    let find = |from: usize, what: &[u8]| {
        pdf[from..]
            .windows(what.len())
            .position(|w| w == what)
            .map(|at| from + at)
    };
    let (mut pages, mut at) = (Vec::new(), 0);
    while let Some(start) = find(at, b"stream\n") {
        let body = start + b"stream\n".len();
        let end = find(body, b"endstream").expect("an end");
        let mut text = Vec::new();
        let inflated = flate2::read::ZlibDecoder::new(&pdf[body..end]).read_to_end(&mut text);
        if inflated.is_ok()
            && let Ok(text) = String::from_utf8(text)
            && text.contains(" l\n")
        {
            pages.push(strokes(&text));
        }
        at = end + b"endstream".len();
    }
    pages
}

fn strokes(content: &str) -> Strokes {
    type Matrix = [f64; 6];
    let times = |m: Matrix, n: Matrix| {
        [
            m[0] * n[0] + m[1] * n[2],
            m[0] * n[1] + m[1] * n[3],
            m[2] * n[0] + m[3] * n[2],
            m[2] * n[1] + m[3] * n[3],
            m[4] * n[0] + m[5] * n[2] + n[4],
            m[4] * n[1] + m[5] * n[3] + n[5],
        ]
    };
    let mut state = ([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], 1.0);
    let (mut kept, mut stack) = (Vec::new(), Vec::<f64>::new());
    let (mut path, mut from): (Vec<[(f64, f64); 2]>, _) = (Vec::new(), (0.0, 0.0));
    let mut found = Vec::new();
    for word in content.split_ascii_whitespace() {
        if let Ok(number) = word.parse() {
            stack.push(number);
            continue;
        }
        let point = |m: Matrix, x: f64, y: f64| {
            (
                (m[0] * x + m[2] * y + m[4]) * MM,
                (m[1] * x + m[3] * y + m[5]) * MM,
            )
        };
        match (word, stack.as_slice()) {
            ("q", _) => kept.push(state),
            ("Q", _) => state = kept.pop().expect("balanced"),
            ("cm", [a, b, c, d, e, f]) => state.0 = times([*a, *b, *c, *d, *e, *f], state.0),
            ("w", [w]) => state.1 = *w,
            ("m", [x, y]) => from = point(state.0, *x, *y),
            ("l", [x, y]) => {
                let to = point(state.0, *x, *y);
                path.push([from, to]);
                from = to;
            }
            ("S", _) => found.extend(path.drain(..).map(|ends| (ends, state.1 * MM))),
            ("f" | "f*" | "n", _) => path.clear(),
            _ => {}
        }
        stack.clear();
    }
    found
}

/// The same of an SVG page.
fn page_of_svg(svg: &str) -> (Strokes, [f64; 2]) {
    let document = roxmltree::Document::parse(svg).expect("well-formed");
    let root = document.root_element();
    let mm = |name| {
        let text = root.attribute(name).expect("a size");
        text.strip_suffix("mm")
            .expect("in mm")
            .parse::<f64>()
            .expect("a number")
    };
    let size = [mm("width"), mm("height")];
    let view: Vec<f64> = root
        .attribute("viewBox")
        .expect("a view box")
        .split(' ')
        .map(|n| n.parse().expect("a number"))
        .collect();
    let scale = [size[0] / view[2], size[1] / view[3]];
    let mut found = Vec::new();
    for path in document.descendants().filter(|n| n.attribute("stroke").is_some()) {
        let width: f64 = path
            .attribute("stroke-width")
            .expect("a width")
            .parse()
            .expect("a number");
        let mut from = (0.0, 0.0);
        let data = path.attribute("d").expect("a path");
        let letters = data.match_indices(char::is_alphabetic).map(|(at, _)| at);
        for at in letters {
            let (letter, rest) = (&data[at..=at], &data[at + 1..]);
            let part = rest.split(char::is_alphabetic).next().unwrap_or_default();
            let xy: Vec<f64> = part.split(' ').filter_map(|n| n.parse().ok()).collect();
            let [x, y] = xy[..] else { continue };
            let to = (x * scale[0], y * scale[1]);
            if letter == "L" {
                found.push(([from, to], width * scale[0]));
            }
            from = to;
        }
    }
    (found, size)
}

fn length([a, b]: [(f64, f64); 2]) -> f64 {
    (b.0 - a.0).hypot(b.1 - a.1)
}

fn longest(strokes: &Strokes, wide: f64) -> f64 {
    let own = strokes.iter().filter(|(_, w)| (w - wide).abs() < 0.01);
    own.map(|(ends, _)| length(*ends)).fold(0.0, f64::max)
}

/// The bar's pen is 1.2 points.
const BAR_PEN: f64 = 1.2 * MM;

#[test]
fn a_pdf_is_at_full_size() {
    for sheet in [Sheet::A4, Sheet::A3, Sheet::UsLetter] {
        let pages = pages_of_pdf(&stamp_sheet(&stamp(), sheet, voice()).expect("printed"));
        let drawn: Vec<&Strokes> = pages.iter().filter(|p| longest(p, 0.77) > 120.0).collect();
        assert_eq!(drawn.len(), 1, "{sheet:?}");
        assert!((longest(drawn[0], 0.77) - 147.5).abs() < 0.05, "{sheet:?}");
        assert!((longest(drawn[0], BAR_PEN) - 100.0).abs() < 0.05, "{sheet:?}");
    }
}

#[test]
fn an_svg_is_at_full_size() {
    let (one, size) = page_of_svg(&stamp_drawing(&stamp(), voice()).expect("drawn"));
    assert!((longest(&one, 0.77) - 147.5).abs() < 0.05);
    assert!((longest(&one, BAR_PEN) - 100.0).abs() < 0.05);
    assert!(size[0] >= 165.0 && size[1] >= 160.0);
    let pages = stamp_drawings(&stamp(), Sheet::A3, voice()).expect("drawn");
    let names: Vec<&str> = pages.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["0", "A1"]);
    let (tile, size) = page_of_svg(&pages[1].1);
    assert!((size[0] - 297.0).abs() < 0.05 && (size[1] - 420.0).abs() < 0.05);
    assert!((longest(&tile, 0.77) - 147.5).abs() < 0.05);
}

/// A ruler over two tiles: laid with their crosses on each other, its two parts are one of the right length.
#[test]
fn tiles_meet_at_their_crosses() {
    let mut wide = stamp();
    wide.width_mm = 300.0;
    wide.lines[0].points = vec![(10.0, 12.5), (290.0, 12.5)];
    let pages = stamp_drawings(&wide, Sheet::A4, voice()).expect("drawn");
    let tiles: Vec<Strokes> = pages[1..].iter().map(|(_, svg)| page_of_svg(svg).0).collect();
    assert_eq!(tiles.len(), 2);
    // The crosses are 0.4 points thick and 8 mm long; level ones give the frame's corners.
    let corners = |page: &Strokes| {
        let mut xs: Vec<f64> = page
            .iter()
            .filter(|([a, b], w)| {
                (w - 0.4 * MM).abs() < 0.005 && a.1 == b.1 && (length([*a, *b]) - 8.0).abs() < 0.01
            })
            .map(|([a, b], _)| (a.0 + b.0) / 2.0)
            .collect();
        xs.sort_by(f64::total_cmp);
        (xs[0], xs[xs.len() - 1])
    };
    let ruler = |page: &Strokes| {
        let own = page
            .iter()
            .filter(|([a, b], w)| (w - 0.77).abs() < 0.01 && a.1 == b.1);
        own.map(|([a, b], _)| (a.0.min(b.0), a.0.max(b.0)))
            .next()
            .expect("a ruler")
    };
    let (left, right) = (&tiles[0], &tiles[1]);
    let ahead = corners(left).1 - ruler(left).0;
    let behind = ruler(right).1 - corners(right).0;
    assert!((ahead + behind - 280.0).abs() < 0.05, "{ahead} {behind}");
}

#[test]
fn names_are_written_as_they_are() {
    let svg = stamp_drawing(&stamp(), voice()).expect("drawn");
    let document = roxmltree::Document::parse(&svg).expect("well-formed");
    let texts: Vec<&str> = document.descendants().filter_map(|n| n.text()).collect();
    for wanted in ["Sea Fan & <fan>", "417"] {
        assert!(texts.iter().any(|t| t.contains(wanted)), "{wanted}");
    }
    assert!(texts.iter().any(|t| t.contains("mirrored")) && texts.iter().any(|t| t.contains("terbalik")));
}
