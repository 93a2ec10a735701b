//! Fields at places that lie together: what they have in common is worked out once.

use crate::cells::cells;
use crate::hash::{finish, place};
use crate::maths::{floor_i32, split};
use crate::noise::{GAIN, SECOND, slopes, turned, weights2};

/// Most places that are looked at together.
pub const TOGETHER: usize = 64;

/// Least and greatest of some values; (0, 0) of none.
#[inline(always)]
pub fn range(values: &[f32]) -> (f32, f32) {
    if let Ok(all) = <&[f32; TOGETHER]>::try_from(values) {
        return range_of_all(all);
    }
    let first = values.first().copied().unwrap_or(0.0);
    let (mut low, mut high) = (first, first);
    for v in values {
        low = if *v < low { *v } else { low };
        high = if *v > high { *v } else { high };
    }
    (low, high)
}

/// Half against half, and so on: a plain loop would go through the values one by one.
#[inline(always)]
fn range_of_all(values: &[f32; TOGETHER]) -> (f32, f32) {
    const HALF: usize = TOGETHER / 2;
    let (mut low, mut high) = ([0.0f32; HALF], [0.0f32; HALF]);
    for i in 0..HALF {
        let (a, b) = (values[i], values[i + HALF]);
        (low[i], high[i]) = if b < a { (b, a) } else { (a, b) };
    }
    closer::<16>(&mut low, &mut high);
    closer::<8>(&mut low, &mut high);
    closer::<4>(&mut low, &mut high);
    closer::<2>(&mut low, &mut high);
    closer::<1>(&mut low, &mut high);
    (low[0], high[0])
}

#[inline(always)]
fn closer<const N: usize>(low: &mut [f32; TOGETHER / 2], high: &mut [f32; TOGETHER / 2]) {
    for i in 0..N {
        low[i] = if low[i + N] < low[i] { low[i + N] } else { low[i] };
        high[i] = if high[i + N] > high[i] {
            high[i + N]
        } else {
            high[i]
        };
    }
}

/// A point that may be one of the two nearest of some place.
#[derive(Clone, Copy)]
struct Point {
    /// From the left and upper edge of a place's own cell to where its offset counts from, less the place: for places in
    /// the first column and row of cells, and in the second.
    across: [f32; 2],
    down: [f32; 2],
    offset: [f32; 2],
    hash: u32,
}

/// [`cells`] at up to [`TOGETHER`] places, to the bit: both distances, and who is the nearest. Quick where the places lie
/// within two cells either way, since most of the points around them are too far for all.
///
/// # Panics
/// If there are more places, or the lengths differ.
#[inline(always)]
pub fn cells_near(x: &[f32], y: &[f32], seed: u32, f1: &mut [f32], f2: &mut [f32], id1: &mut [u32]) {
    let n = x.len();
    let (y, f1, f2, id1) = (&y[..n], &mut f1[..n], &mut f2[..n], &mut id1[..n]);
    let (x_range, y_range) = (range(x), range(y));
    let (column, columns) = span(x_range);
    let (row, rows) = span(y_range);
    if columns > 2 || rows > 2 {
        for i in 0..n {
            let found = cells(x[i], y[i], seed);
            (f1[i], f2[i], id1[i]) = (found.f1, found.f2, found.id1);
        }
        return;
    }
    let mut points = [Point {
        across: [0.0; 2],
        down: [0.0; 2],
        offset: [0.0; 2],
        hash: 0,
    }; 16];
    let mut nearest = [0.0f32; 16];
    // The second least of the farthest that a point is from any place: whoever is never nearer is not one of two.
    let (mut first, mut second) = (9.0f32, 9.0f32);
    let mut count = 0;
    for j in 0..rows + 2 {
        for i in 0..columns + 2 {
            let hash = finish(place(column - 1 + i, row - 1 + j), seed);
            let offset = [hash & 0xffff, hash >> 16].map(|o| o as i32 as f32 * (0.8 / 65_536.0));
            let (across, down) = (beside(i, columns), beside(j, rows));
            let (ax, bx) = apart(x_range, column, i, offset[0]);
            let (ay, by) = apart(y_range, row, j, offset[1]);
            nearest[count] = ax * ax + ay * ay;
            points[count] = Point {
                across,
                down,
                offset,
                hash,
            };
            count += 1;
            // Places look at the three cells around them only.
            let seen_by_all = |i: i32, cells: i32| cells == 1 || i == 1 || i == 2;
            let farthest = bx * bx + by * by;
            if seen_by_all(i, columns) && seen_by_all(j, rows) {
                second = if farthest < first {
                    first
                } else if farthest < second {
                    farthest
                } else {
                    second
                };
                first = if farthest < first { farthest } else { first };
            }
        }
    }
    // Amply what rounding may do.
    let limit = second * 1.001 + 1e-4;
    let (mut dx, mut dy) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
    let (mut right, mut below) = ([0u32; TOGETHER], [0u32; TOGETHER]);
    let (dx, dy) = (&mut dx[..n], &mut dy[..n]);
    let (right, below) = (&mut right[..n], &mut below[..n]);
    for i in 0..n {
        let ((ix, ex), (iy, ey)) = (split(x[i]), split(y[i]));
        (dx[i], dy[i]) = (ex, ey);
        right[i] = 0u32.wrapping_sub(u32::from(ix != column));
        below[i] = 0u32.wrapping_sub(u32::from(iy != row));
        (f1[i], f2[i], id1[i]) = (9.0, 9.0, 0);
    }
    for (point, nearest) in points.iter().zip(&nearest).take(count) {
        if *nearest > limit {
            continue;
        }
        let ([near_x, far_x], [near_y, far_y], [ox, oy]) = (point.across, point.down, point.offset);
        for i in 0..n {
            let ax = (dx[i] + pick(right[i], far_x, near_x)) - ox;
            let ay = (dy[i] + pick(below[i], far_y, near_y)) - oy;
            let d = ax * ax + ay * ay;
            let closer = d < f1[i];
            let next = if d < f2[i] { d } else { f2[i] };
            f2[i] = if closer { f1[i] } else { next };
            // Written in any case: to write or not to write takes longer.
            let mask = 0u32.wrapping_sub(u32::from(closer));
            id1[i] = (point.hash & mask) | (id1[i] & !mask);
            f1[i] = if closer { d } else { f1[i] };
        }
    }
    for i in 0..n {
        (f1[i], f2[i]) = (f1[i].sqrt(), f2[i].sqrt());
    }
}

/// Noises of several seeds at up to [`TOGETHER`] places: [`noise`](crate::noise()) but for the order in which the four
/// corners of a place are added. Who else is asked for changes nothing; quick where the places lie in few cells.
///
/// # Panics
/// If there are more places, or the lengths differ.
#[inline(always)]
pub fn noise_near<const N: usize>(x: &[f32], y: &[f32], seeds: [u32; N], out: &mut [[f32; TOGETHER]; N]) {
    for to in out.iter_mut() {
        to[..x.len()].fill(0.0);
    }
    add_noise(x, y, seeds, 1.0, out);
}

/// [`noise2`](crate::noise2) with every octave, as [`noise_near`].
///
/// # Panics
/// If there are more than [`TOGETHER`] places, or the lengths differ.
#[inline(always)]
pub fn noise2_near<const N: usize>(x: &[f32], y: &[f32], seeds: [u32; N], out: &mut [[f32; TOGETHER]; N]) {
    let n = x.len();
    let y = &y[..n];
    for to in out.iter_mut() {
        to[..n].fill(0.0);
    }
    let [broad, fine] = weights2(0.0);
    add_noise(x, y, seeds, broad, out);
    let (mut x2, mut y2) = ([0.0f32; TOGETHER], [0.0f32; TOGETHER]);
    let (x2, y2) = (&mut x2[..n], &mut y2[..n]);
    for i in 0..n {
        (x2[i], y2[i]) = turned(x[i], y[i]);
    }
    add_noise(x2, y2, seeds.map(|seed| seed ^ SECOND), fine, out);
}

/// Adds `weight` times the noises, corner by corner in one order.
#[inline(always)]
fn add_noise<const N: usize>(
    x: &[f32],
    y: &[f32],
    seeds: [u32; N],
    weight: f32,
    out: &mut [[f32; TOGETHER]; N],
) {
    let n = x.len();
    let y = &y[..n];
    let gain = GAIN * weight;
    let ((column, columns), (row, rows)) = (span(range(x)), span(range(y)));
    // Beyond this it is quicker to hash each place's own corners.
    let most = 6 + 2 * N as i32;
    if columns > most || rows > most || (columns + 1) * (rows + 1) > most {
        for i in 0..n {
            let (left, upper) = (floor_i32(x[i]), floor_i32(y[i]));
            for (down, right) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                let (cx, cy) = (left.wrapping_add(right), upper.wrapping_add(down));
                let p = place(cx, cy);
                let (dx, dy) = (x[i] - cx as f32, y[i] - cy as f32);
                let fade = fade(dx, dy);
                for s in 0..N {
                    let (sx, sy) = slopes(p, seeds[s]);
                    out[s][i] += fade * (gain * sx * dx + gain * sy * dy);
                }
            }
        }
        return;
    }
    for j in 0..=rows {
        for i in 0..=columns {
            let (cx, cy) = (column + i, row + j);
            let p = place(cx, cy);
            let own = seeds.map(|seed| {
                let (sx, sy) = slopes(p, seed);
                (gain * sx, gain * sy)
            });
            let (cx, cy) = (cx as f32, cy as f32);
            for i in 0..n {
                let (dx, dy) = (x[i] - cx, y[i] - cy);
                // Nothing for the places of which this is no corner.
                let fade = fade(dx, dy);
                for s in 0..N {
                    out[s][i] += fade * (own[s].0 * dx + own[s].1 * dy);
                }
            }
        }
    }
}

/// How much a corner counts at (`dx`, `dy`) from it.
#[inline(always)]
fn fade(dx: f32, dy: f32) -> f32 {
    let t = 1.0 - (dx * dx + dy * dy);
    let t = if t < 0.0 { 0.0 } else { t };
    t * t * t
}

/// The first cell of an interval, and how many cells it meets.
#[inline(always)]
fn span((low, high): (f32, f32)) -> (i32, i32) {
    let first = floor_i32(low);
    (first, floor_i32(high).wrapping_sub(first).wrapping_add(1))
}

/// What [`cells`] adds to a place's own distance from the edge of its cell for points of column `i` of those looked at,
/// for places in the first cell and in the second: far away where the column is not one of the three around it.
#[inline(always)]
fn beside(i: i32, cells: i32) -> [f32; 2] {
    const OUT: f32 = 1.0e6;
    let seen = |i: i32| {
        if (0..3).contains(&i) { 0.9 - i as f32 } else { OUT }
    };
    [seen(i), if cells > 1 { seen(i - 1) } else { OUT }]
}

/// The least and the greatest that a point of column `i` is from the places of an interval, along one axis.
#[inline(always)]
fn apart((low, high): (f32, f32), cell: i32, i: i32, offset: f32) -> (f32, f32) {
    let at = i as f32 - 0.9 + offset;
    let (left, right) = (low - cell as f32 - at, high - cell as f32 - at);
    let inside = left <= 0.0 && right >= 0.0;
    let (a, b) = (left.abs(), right.abs());
    let (less, more) = if a < b { (a, b) } else { (b, a) };
    (if inside { 0.0 } else { less }, more)
}

#[inline(always)]
fn pick(mask: u32, a: f32, b: f32) -> f32 {
    f32::from_bits((a.to_bits() & mask) | (b.to_bits() & !mask))
}
