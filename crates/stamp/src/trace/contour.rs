//! The edge of the ink, followed between pixels where the ink's field is zero.

use super::ink::Ink;
use crate::area::Point;
use std::collections::HashMap;

/// Closed lines around ink, pixels; ink to one side throughout. A pixel's value stands at its middle.
///
/// Squares between four pixel middles are looked at one by one. Where ink meets ink across a corner only, the two
/// are joined if the middle of the square is ink.
pub(super) fn contours(ink: &Ink) -> Vec<Vec<Point>> {
    // From each crossed side of a square to the next along the edge. A side is (x, y, 0) from pixel (x, y) to the
    // right, (x, y, 1) from it downwards.
    let mut next: HashMap<(i32, i32, u8), (i32, i32, u8)> = HashMap::new();
    let (w, h) = (ink.width as i64, ink.height as i64);
    for y in -1..h {
        for x in -1..w {
            let corner = [
                ink.at(x, y),
                ink.at(x + 1, y),
                ink.at(x + 1, y + 1),
                ink.at(x, y + 1),
            ];
            let inside = corner.map(|v| v > 0.0);
            if inside == [false; 4] || inside == [true; 4] {
                continue;
            }
            let (i, j) = (x as i32, y as i32);
            // Top, right, bottom, left.
            let sides = [(i, j, 0), (i + 1, j, 1), (i, j + 1, 0), (i, j, 1)];
            let middle = corner.iter().sum::<f32>() > 0.0;
            // Going round the square, the edge enters where ink ends and leaves where it begins.
            let leaves: Vec<usize> = (0..4).filter(|k| !inside[*k] && inside[(k + 1) % 4]).collect();
            let enters: Vec<usize> = (0..4).filter(|k| inside[*k] && !inside[(k + 1) % 4]).collect();
            for from in &enters {
                // With ink across the middle the edge turns away from it, else around the nearest ink.
                let to = if middle && leaves.len() == 2 {
                    leaves.iter().find(|to| **to == (from + 1) % 4)
                } else {
                    leaves
                        .iter()
                        .find(|to| leaves.len() == 1 || **to == (from + 3) % 4)
                };
                if let Some(to) = to {
                    next.insert(sides[*from], sides[*to]);
                }
            }
        }
    }
    let crossing = |(x, y, down): (i32, i32, u8)| -> Point {
        let (x, y) = (i64::from(x), i64::from(y));
        let (a, b) = (
            ink.at(x, y),
            if down == 1 {
                ink.at(x, y + 1)
            } else {
                ink.at(x + 1, y)
            },
        );
        let t = (f64::from(a) / f64::from(a - b)).clamp(0.02, 0.98);
        let (x, y) = (x as f64 + 0.5, y as f64 + 0.5);
        if down == 1 { [x, y + t] } else { [x + t, y] }
    };
    let mut starts: Vec<_> = next.keys().copied().collect();
    starts.sort_unstable();
    let mut lines = Vec::new();
    for start in starts {
        let mut line = Vec::new();
        let mut at = start;
        while let Some(to) = next.remove(&at) {
            line.push(crossing(at));
            at = to;
        }
        if line.len() >= 3 {
            lines.push(line);
        }
    }
    lines
}
