//! Numbers of strips that would lie on each other stand beside each other.

use crate::StampNumber;
use crate::page::mm;
use crate::setting::{LEADING, Setter, Style};

/// Ways out, tried in this order: down and up first, where rows of figures lie closest.
const WAYS: [(f32, f32); 8] = [
    (0.0, 1.0),
    (0.0, -1.0),
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.7, 0.7),
    (-0.7, 0.7),
    (0.7, -0.7),
    (-0.7, -0.7),
];
/// How far a number goes at most, in its own heights; farther it would be read of another strip.
const FARTHEST: u8 = 6;
/// Room between two numbers, points.
const BETWEEN: f32 = 0.6;

/// The same numbers, each where it stands clear of those before it, as near to its place as that goes. Where there is no
/// such place it stays.
pub(crate) fn spread(setter: &Setter, numbers: &[StampNumber], style: Style) -> Vec<StampNumber> {
    let high = style.size * LEADING + BETWEEN;
    let mut boxes: Vec<[f32; 4]> = Vec::new();
    let mut spread = Vec::new();
    for number in numbers {
        let rows = setter.wrap(&[(&number.text, style)], mm(30.0)).rows;
        let wide = rows.iter().map(|row| row.width).fold(0.0, f32::max) + BETWEEN;
        let at = (mm(number.at.0 as f32), mm(number.at.1 as f32));
        let around = |(x, y): (f32, f32)| [x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0];
        let free = |place: &(f32, f32)| {
            let [l, t, r, b] = around(*place);
            boxes
                .iter()
                .all(|o| r <= o[0] || o[2] <= l || b <= o[1] || o[3] <= t)
        };
        // Half a height at a time.
        let rings = (1..=2 * FARTHEST).map(|ring| f32::from(ring) * high / 2.0);
        let mut ways = rings.flat_map(|far| WAYS.map(|(x, y)| (at.0 + x * far, at.1 + y * far)));
        let place = if free(&at) {
            at
        } else {
            ways.find(free).unwrap_or(at)
        };
        boxes.push(around(place));
        let moved = (f64::from(place.0 - at.0), f64::from(place.1 - at.1));
        let point = f64::from(mm(1.0));
        spread.push(StampNumber {
            text: number.text.clone(),
            at: (number.at.0 + moved.0 / point, number.at.1 + moved.1 / point),
        });
    }
    spread
}

#[cfg(test)]
mod tests {
    use super::spread;
    use crate::StampNumber;
    use crate::setting::{Setter, bold};

    #[test]
    fn numbers_that_crowd_stand_beside_each_other() {
        let setter = Setter::new().expect("fonts");
        let number = |n: usize, at: (f64, f64)| StampNumber {
            text: n.to_string(),
            at,
        };
        let mut numbers: Vec<StampNumber> = (0..12).map(|n| number(100 + n, (50.0, 50.0))).collect();
        numbers.push(number(7, (90.0, 50.0)));
        let placed = spread(&setter, &numbers, bold(7.0));
        // One that had room stays, and none goes farther than six rows.
        assert_eq!((placed[0].at, placed[12].at), ((50.0, 50.0), (90.0, 50.0)));
        for (at, one) in placed[..12].iter().enumerate() {
            let far = (one.at.0 - 50.0).hypot(one.at.1 - 50.0);
            assert!(far < 21.0, "{at} went {far} mm");
            for other in &placed[..at] {
                // Three figures of 7 points are at least 3.5 mm wide, and a row is 3.1 mm high.
                let apart = (one.at.0 - other.at.0).abs() > 3.5 || (one.at.1 - other.at.1).abs() > 3.1;
                assert!(apart, "{} lies on {}", one.text, other.text);
            }
        }
    }
}
