//! Inner strips: what carries wax across a part too wide for it to bridge.

use crate::area::{Area, Point, Shape};
use crate::mask::Mask;

/// Directions tried, half turns.
const DIRECTIONS: [f64; 4] = [0.0, 0.25, 0.5, 0.75];
/// Distance of points looked at along an inner strip, mm.
const LOOK: f64 = 0.25;
/// Least distance of an inner strip from an outline beside it, mm.
const CLEAR: f64 = 0.8;
/// Shortest inner strip, mm.
const LEAST: f64 = 2.0;

/// The inner strips of each part that is wider than `span_mm` somewhere: straight, from outline to outline,
/// `span_mm` apart or less, in the direction of four that takes fewest. What lies deeper than half the span has
/// copper within half the span.
pub(super) fn fields(area: &Area, mask: &Mask, span_mm: f64) -> Vec<Vec<[Point; 2]>> {
    let hatched = |shape: &Shape| {
        DIRECTIONS
            .iter()
            .map(|turn| across(shape, mask, span_mm, turn * std::f64::consts::PI))
            .min_by_key(Vec::len)
            .unwrap_or_default()
    };
    let mut all: Vec<_> = area.shapes().iter().map(hatched).collect();
    all.retain(|field| !field.is_empty());
    all
}

fn across(shape: &Shape, mask: &Mask, span: f64, angle: f64) -> Vec<[Point; 2]> {
    let (c, s) = (angle.cos(), angle.sin());
    let turned = |p: &Point| [c * p[0] + s * p[1], c * p[1] - s * p[0]];
    let back = |p: Point| [c * p[0] - s * p[1], s * p[0] + c * p[1]];
    let rings: Vec<Vec<Point>> = shape.iter().map(|r| r.iter().map(turned).collect()).collect();
    let edges = || rings.iter().flat_map(|r| r.iter().zip(r.iter().cycle().skip(1)));
    let ys = || rings.iter().flatten().map(|p| p[1]);
    let (low, high) = (ys().fold(f64::MAX, f64::min), ys().fold(f64::MIN, f64::max));
    // Between equal bands none wider than the span.
    let bands = ((high - low) / span).ceil().max(1.0);
    let (band, lines) = ((high - low) / bands, bands as usize - 1);
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); lines];
    for (a, b) in edges() {
        let rank = |y: f64| ((y - low) / band - 1.0).ceil();
        let (from, to) = (rank(a[1].min(b[1])).max(0.0), rank(a[1].max(b[1])));
        for k in from as usize..(to as usize).min(lines) {
            let y = low + (k as f64 + 1.0) * band;
            crossings[k].push(a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
        }
    }
    let mut found = Vec::new();
    for (k, row) in crossings.iter_mut().enumerate() {
        row.sort_by(f64::total_cmp);
        let y = low + (k as f64 + 1.0) * band;
        for pair in row.chunks_exact(2) {
            let beside = [0.0, -0.25, 0.25, -0.5, 0.5].map(|part| part * band);
            let deep = |x: f64| {
                let deep = |off: &f64| depth(mask, back([x, y + off])) > span / 2.0;
                depth(mask, back([x, y])) > CLEAR && beside.iter().any(deep)
            };
            for [from, to] in needed(pair[0], pair[1], span, deep) {
                found.push([back([from, y]), back([to, y])]);
            }
        }
    }
    found
}

fn depth(mask: &Mask, p: Point) -> f64 {
    f64::from(mask.distance(p[0] as f32, p[1] as f32))
}

/// The parts of a chord beside wax too far from an outline, drawn on to the outline where it is near.
fn needed(from: f64, to: f64, span: f64, deep: impl Fn(f64) -> bool) -> Vec<[f64; 2]> {
    let steps = ((to - from) / LOOK).ceil().max(1.0) as usize;
    let at = |k: usize| from + (to - from) * k as f64 / steps as f64;
    let mut all: Vec<[f64; 2]> = Vec::new();
    let mut open: Option<f64> = None;
    for k in 0..=steps {
        match (deep(at(k)), open) {
            (true, None) => open = Some(at(k)),
            (false, Some(start)) => {
                all.push([start, at(k)]);
                open = None;
            }
            _ => {}
        }
    }
    all.extend(open.map(|start| [start, to]));
    let mut drawn: Vec<[f64; 2]> = Vec::new();
    for [a, b] in all {
        let a = if a - from <= 1.5 * span { from } else { a };
        let b = if to - b <= 1.5 * span { to } else { b };
        match drawn.last_mut() {
            Some(last) if a - last[1] < span => last[1] = b,
            _ => drawn.push([a, b]),
        }
    }
    drawn.retain(|[a, b]| b - a >= LEAST);
    drawn
}
