//! Scans traced: shapes drawn pixel by pixel with known edges, under light as uneven as a phone's.
#![allow(missing_docs, clippy::unwrap_used)]

use proptest::prelude::*;
use stamp::{Traced, Tracing, trace};
use std::f64::consts::PI;

const SIDE: usize = 400;

/// A PNG of ink of this cover (0..1, by place in pixels) on paper lit by `light` (0..1).
fn png(
    side: usize,
    dpi: Option<f64>,
    light: impl Fn(f64, f64) -> f64,
    cover: impl Fn(f64, f64) -> f64,
) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, side as u32, side as u32);
    encoder.set_color(png::ColorType::Grayscale);
    if let Some(dpi) = dpi {
        let per_metre = (dpi / 0.0254).round() as u32;
        encoder.set_pixel_dims(Some(png::PixelDimensions {
            xppu: per_metre,
            yppu: per_metre,
            unit: png::Unit::Meter,
        }));
    }
    let values: Vec<u8> = (0..side * side)
        .map(|k| {
            let (x, y) = ((k % side) as f64 + 0.5, (k / side) as f64 + 0.5);
            // Ink is a tenth as bright as paper.
            (250.0 * light(x, y) * (1.0 - 0.9 * cover(x, y))).round() as u8
        })
        .collect();
    encoder.write_header().unwrap().write_image_data(&values).unwrap();
    bytes
}

/// Cover of a pixel by what lies inside a signed distance.
fn edge(inside: f64) -> f64 {
    (inside + 0.5).clamp(0.0, 1.0)
}

/// A ring of radii 60 and 90 round (130, 150), and a square from (230, 230) to (330, 330).
fn ring_and_square(x: f64, y: f64) -> f64 {
    let r = (x - 130.0).hypot(y - 150.0);
    let ring = edge((90.0 - r).min(r - 60.0));
    let square = edge((x - 230.0).min(330.0 - x).min(y - 230.0).min(330.0 - y));
    ring.max(square)
}

fn traced(bytes: &[u8]) -> Traced {
    trace(bytes, "scan.png", &Tracing::default()).unwrap()
}

/// Areas to half a percent, circles to half a pixel, corners to one pixel, whatever the light.
#[test]
fn edges_are_found_between_pixels_under_uneven_light() {
    let lights: [fn(f64, f64) -> f64; 3] = [
        |_, _| 1.0,
        |x, _| 1.0 - 0.5 * x / SIDE as f64,
        |x, y| 1.0 - 0.45 * ((x - 100.0).hypot(y - 350.0) / 450.0).min(1.0),
    ];
    for light in lights {
        let got = traced(&png(SIDE, Some(254.0), light, ring_and_square));
        assert!(got.sized && got.pixels == [SIDE; 2]);
        let mm = 0.1;
        let area = got.artwork.area();
        let exact = (PI * (90.0 * 90.0 - 60.0 * 60.0) + 100.0 * 100.0) * mm * mm;
        assert!((area.mm2() / exact - 1.0).abs() < 0.006, "{} {exact}", area.mm2());
        assert_eq!(area.shapes().len(), 2);
        let square = area.shapes().iter().find(|s| s.len() == 1).unwrap();
        for corner in [[23.0, 23.0], [33.0, 23.0], [33.0, 33.0], [23.0, 33.0]] {
            let off = square[0]
                .iter()
                .map(|p| (p[0] - corner[0]).hypot(p[1] - corner[1]))
                .fold(9.0, f64::min);
            assert!(off < 1.0 * mm, "{corner:?}: {off} mm");
        }
        let ring = area.shapes().iter().find(|s| s.len() == 2).unwrap();
        for (points, radius) in ring.iter().zip([9.0, 6.0]) {
            for p in points {
                let off = (p[0] - 13.0).hypot(p[1] - 15.0) - radius;
                // The tolerance of 0.4 pixels, and a tenth for chords.
                assert!(off.abs() < 0.05, "{p:?}: {off} mm");
            }
        }
    }
}

#[test]
fn a_picture_without_a_size_says_so() {
    assert!(!traced(&png(SIDE, None, |_, _| 1.0, ring_and_square)).sized);
}

/// A higher threshold takes more of a soft edge.
#[test]
fn the_threshold_moves_the_edge() {
    let soft = |x: f64, y: f64| ((100.0 - (x - 200.0).hypot(y - 200.0)) / 20.0 + 0.5).clamp(0.0, 1.0);
    let bytes = png(SIDE, Some(254.0), |_, _| 1.0, soft);
    let mm2 = |threshold| {
        let tracing = Tracing {
            threshold,
            ..Tracing::default()
        };
        trace(&bytes, "scan.png", &tracing).unwrap().artwork.area().mm2()
    };
    // Half way the radius is 100 pixels; 0.1 more or less moves it by 2.
    for (threshold, radius) in [(0.4, 9.8), (0.5, 10.0), (0.6, 10.2)] {
        let exact = PI * radius * radius;
        assert!(
            (mm2(threshold) / exact - 1.0).abs() < 0.006,
            "{threshold}: {}",
            mm2(threshold)
        );
    }
}

#[test]
fn what_is_no_drawing_is_refused_with_a_reason() {
    let code = |bytes: &[u8]| trace(bytes, "x", &Tracing::default()).unwrap_err()[0].code;
    assert_eq!(code(b"GIF89a"), "scan-refused");
    assert_eq!(code(b"\x89PNG\r\n\x1a\nnothing"), "scan-refused");
    assert_eq!(code(b"\xff\xd8\xff\xe0 nothing"), "scan-refused");
    assert_eq!(code(&png(64, None, |_, _| 1.0, |_, _| 0.0)), "scan-without-ink");
    // A header that claims a picture of 100,000 by 100,000 pixels, and no data.
    let mut huge = png(8, None, |_, _| 1.0, |_, _| 0.0);
    huge[16..24].copy_from_slice(&[0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0]);
    assert_eq!(code(&huge), "scan-refused");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn damaged_pictures_never_panic(edits in prop::collection::vec((0usize..4000, any::<u8>()), 0..12), cut in 0usize..4000) {
        let mut bytes = png(48, Some(300.0), |_, _| 1.0, |x, y| edge(15.0 - (x - 24.0).hypot(y - 20.0)));
        bytes.truncate(bytes.len().saturating_sub(cut % 300));
        for (at, v) in edits {
            let n = bytes.len();
            if n > 0 {
                bytes[at % n] = v;
            }
        }
        let _ = trace(&bytes, "x.png", &Tracing::default());
    }

    #[test]
    fn bytes_called_jpeg_never_panic(mut bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        bytes.splice(0..0, [0xff, 0xd8, 0xff, 0xe0, 0, 16, b'J', b'F', b'I', b'F', 0]);
        let _ = trace(&bytes, "x.jpg", &Tracing::default());
    }

    #[test]
    fn noise_is_traced_or_refused(seed in any::<u64>(), threshold in 0.0..1.0f64, smoothing in 0.0..3.0f64) {
        let noise = |x: f64, y: f64| {
            let h = (seed ^ ((x as u64) << 20) ^ (y as u64)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
            (h >> 40) as f64 / (1u64 << 24) as f64
        };
        let bytes = png(40, None, |_, _| 1.0, noise);
        let tracing = Tracing { threshold, smoothing, dust: 0.0, ..Tracing::default() };
        if let Ok(got) = trace(&bytes, "x.png", &tracing) {
            prop_assert!(got.artwork.area().mm2() > 0.0);
        }
    }
}

/// A small drawing on a large sheet covers less than a hundredth of it: grain of the paper, an eighth darker in cells of
/// four pixels, is no ink. The ring's area is known.
#[test]
fn a_small_drawing_on_grainy_paper_is_all_that_is_traced() {
    let grain = |x: f64, y: f64| {
        let cell = [(x / 4.0).floor() as u64, (y / 4.0).floor() as u64];
        let mixed = (cell[0] * 0x9E37_79B9 + cell[1] * 0x85EB_CA6B) % 1_000_003;
        1.0 - 0.125 * (mixed as f64 / 1_000_003.0)
    };
    let ring = |x: f64, y: f64| {
        let r = (x - 120.0).hypot(y - 140.0);
        edge((20.0 - r).min(r - 14.0))
    };
    let got = traced(&png(SIDE, Some(254.0), grain, ring));
    let area = got.artwork.area();
    assert_eq!(area.shapes().len(), 1);
    let exact = PI * (20.0 * 20.0 - 14.0 * 14.0) * 0.01;
    // Grain moves an edge by a fraction of a pixel, of six across.
    assert!((area.mm2() / exact - 1.0).abs() < 0.05, "{} {exact}", area.mm2());
}
