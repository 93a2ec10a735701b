//! Where on a bolt one looks, when the whole of it would be too much.

use crate::Bolt;
use field::Rect;

/// Cloth left out along the edges of the bolt, mm.
const MARGIN: f64 = 30.0;

/// Squares of `side` samples, `pitch` mm apart, spread over the bolt and clear of its edges; on the lattice of that pitch.
pub(crate) fn spread(bolt: &Bolt, count: usize, side: u32, pitch: f64) -> Vec<Rect> {
    let room = |length: f64| (length * 1000.0 - 2.0 * MARGIN - f64::from(side) * pitch).max(0.0);
    let cloth = &bolt.lot.cloth;
    let (width, length) = (room(cloth.width.0), room(cloth.length.0));
    // Powers of the plastic number: the most even spread of any number of points in a rectangle.
    let place = |k: usize, step: f64, room: f64| (MARGIN + (k as f64 * step + 0.5).fract() * room) / pitch;
    (0..count)
        .map(|k| Rect {
            x0: place(k, 0.754_877_666_246_693, width) as i32,
            y0: place(k, 0.569_840_290_998_053, length) as i32,
            nx: side,
            ny: side,
        })
        .collect()
}
