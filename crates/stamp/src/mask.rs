//! The wax mask: how far inside or outside the wax a point is.

use crate::area::{Area, Bounds};
use crate::edges::{Edges, Seen};

/// Distances are kept up to this far from an edge, mm; farther they read as this.
pub const REACH: f32 = 6.0;
/// Distance of neighbouring grid points, mm.
pub const PITCH: f64 = 0.2;
/// Nodes of a block on each side; all nodes of a block share one search for the edges near it.
const BLOCK: usize = 8;

/// Signed distance to the wax edge on a grid, mm, positive inside the wax, within plus or minus [`REACH`].
///
/// Every grid value is the exact distance to the polygon's edges (rounded to f32); between grid points it is
/// interpolated, which is exact beside straight edges and short by at most half a pitch on the ridge in the
/// middle of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Mask {
    low: [f32; 2],
    per_mm: f32,
    last: [f32; 2],
    stride: usize,
    /// Row by row; one column and one row more than the grid has, copies of the last, so that the right and
    /// lower neighbours of every grid point exist.
    values: Vec<f32>,
}

impl Mask {
    /// The mask of an area, with room of [`REACH`] around it.
    pub fn new(area: &Area) -> Self {
        let around = area
            .bounds()
            .unwrap_or(Bounds::sized(0.0, 0.0))
            .grown(f64::from(REACH) + PITCH);
        let low = around.low.map(|v| (v / PITCH).floor() * PITCH);
        let count = |k: usize| ((around.high[k] - low[k]) / PITCH).ceil() as usize + 1;
        let (columns, rows) = (count(0), count(1));
        let stride = columns + 1;
        let mut values = vec![-REACH; stride * (rows + 1)];
        if let Some(edges) = Edges::of(area) {
            distances(&edges, low, columns, rows, stride, &mut values);
            signs(area, low, columns, rows, stride, &mut values);
        }
        for row in values.chunks_exact_mut(stride) {
            row[columns] = row[columns - 1];
        }
        let (body, extra) = values.split_at_mut(stride * rows);
        extra.copy_from_slice(&body[stride * (rows - 1)..]);
        Self {
            low: low.map(|v| v as f32),
            per_mm: (1.0 / PITCH) as f32,
            last: [(columns - 1) as f32, (rows - 1) as f32],
            stride,
            values,
        }
    }

    /// Signed distance at a point of the stamp, mm. Outside the grid it is what it is at the grid's edge:
    /// minus [`REACH`]. Not a number reads as the grid's first column or row.
    #[inline(always)]
    pub fn distance(&self, x_mm: f32, y_mm: f32) -> f32 {
        self.distances(&[x_mm], &[y_mm])[0]
    }

    /// [`Mask::distance`] at `N` points, in three plain loops: where, load, blend. Only the loads are left
    /// scalar when the compiler sees no gather; the arithmetic becomes vectors of any width with the same
    /// bits.
    #[inline(always)]
    pub fn distances<const N: usize>(&self, x_mm: &[f32; N], y_mm: &[f32; N]) -> [f32; N] {
        let (mut at, mut fu, mut fv) = ([0i32; N], [0f32; N], [0f32; N]);
        let stride = self.stride as i32;
        for k in 0..N {
            let u = clamp((x_mm[k] - self.low[0]) * self.per_mm, self.last[0]);
            let v = clamp((y_mm[k] - self.low[1]) * self.per_mm, self.last[1]);
            // SAFETY: `clamp` maps NaN to 0 and leaves 0..=last, far below i32::MAX.
            let (column, row) = unsafe { (u.to_int_unchecked::<i32>(), v.to_int_unchecked::<i32>()) };
            fu[k] = u - column as f32;
            fv[k] = v - row as f32;
            at[k] = row * stride + column;
        }
        let mut corners = [[0f32; N]; 4];
        for k in 0..N {
            let at = at[k] as usize;
            // SAFETY: row <= rows-1 and column <= columns-1 as above; `values` has rows+1 rows of stride
            // columns+1, so at + stride + 1 is inside.
            unsafe {
                corners[0][k] = *self.values.get_unchecked(at);
                corners[1][k] = *self.values.get_unchecked(at + 1);
                corners[2][k] = *self.values.get_unchecked(at + self.stride);
                corners[3][k] = *self.values.get_unchecked(at + self.stride + 1);
            }
        }
        let [a, b, c, d] = corners;
        let mut out = [0f32; N];
        for k in 0..N {
            let top = a[k] + (b[k] - a[k]) * fu[k];
            let bottom = c[k] + (d[k] - c[k]) * fu[k];
            out[k] = top + (bottom - top) * fv[k];
        }
        out
    }

    /// The rectangle that the grid covers; beyond it every distance is minus [`REACH`].
    pub fn covers(&self) -> Bounds {
        let low = self.low.map(f64::from);
        let high = [0, 1].map(|k| low[k] + f64::from(self.last[k]) * PITCH);
        Bounds { low, high }
    }
}

/// Into 0..=high without branches; NaN becomes 0.
#[inline(always)]
fn clamp(v: f32, high: f32) -> f32 {
    let v = if v > 0.0 { v } else { 0.0 };
    if v < high { v } else { high }
}

fn distances(edges: &Edges, low: [f64; 2], columns: usize, rows: usize, stride: usize, values: &mut [f32]) {
    let reach = f64::from(REACH);
    // From a block's centre to its farthest node.
    let half = (BLOCK - 1) as f64 / 2.0 * PITCH;
    let corner = half * std::f64::consts::SQRT_2;
    let (mut seen, mut near) = (Seen::default(), Vec::new());
    for j0 in (0..rows).step_by(BLOCK) {
        for i0 in (0..columns).step_by(BLOCK) {
            let centre = [
                low[0] + i0 as f64 * PITCH + half,
                low[1] + j0 as f64 * PITCH + half,
            ];
            // The nearest edge of a node is at most `corner` farther from the centre than from the node, and
            // the centre's nearest edge is at most `corner` farther from the node: hence twice.
            edges.nearest(centre, 2.0 * corner, reach + corner, &mut seen, &mut near);
            for j in j0..(j0 + BLOCK).min(rows) {
                for i in i0..(i0 + BLOCK).min(columns) {
                    let p = [low[0] + i as f64 * PITCH, low[1] + j as f64 * PITCH];
                    let best = near
                        .iter()
                        .map(|e| edges.all[*e].away(p).0)
                        .fold(reach * reach, f64::min);
                    values[j * stride + i] = -(best.sqrt() as f32);
                }
            }
        }
    }
}

/// Turns the distances of points inside positive, row by row, by counting edges from the left.
fn signs(area: &Area, low: [f64; 2], columns: usize, rows: usize, stride: usize, values: &mut [f32]) {
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); rows];
    for (a, b) in area.edges() {
        let (top, bottom) = if a[1] <= b[1] { (a, b) } else { (b, a) };
        // Rows y with top <= y < bottom: each corner belongs to one of its two edges.
        let first = ((top[1] - low[1]) / PITCH).ceil().max(0.0) as usize;
        for (j, row) in crossings.iter_mut().enumerate().skip(first) {
            let y = low[1] + j as f64 * PITCH;
            if y >= bottom[1] {
                break;
            }
            if y >= top[1] {
                row.push(top[0] + (y - top[1]) / (bottom[1] - top[1]) * (bottom[0] - top[0]));
            }
        }
    }
    for (j, row) in crossings.iter_mut().enumerate() {
        row.sort_by(f64::total_cmp);
        for pair in row.chunks_exact(2) {
            let node = |x: f64| (((x - low[0]) / PITCH).ceil().max(0.0) as usize).min(columns);
            let (from, to) = (node(pair[0]), node(pair[1]));
            for value in &mut values[j * stride + from..j * stride + to.max(from)] {
                *value = -*value;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::area::Rule;

    fn circle(r: f64, n: u32) -> Vec<[f64; 2]> {
        (0..n)
            .map(|k| f64::from(k) * std::f64::consts::TAU / f64::from(n))
            .map(|t| [r * t.cos(), r * t.sin()])
            .collect()
    }

    /// Distance to a ring of radii 4 and 7 mm: 1.5 - |r - 5.5|, clamped.
    #[test]
    fn an_annulus_has_its_analytic_distance() {
        let area = Area::filled(&[circle(7.0, 2000), circle(4.0, 2000)], Rule::EvenOdd);
        let mask = Mask::new(&area);
        for k in 0..4000 {
            let (x, y) = ((k % 63) as f32 * 0.41 - 12.9, (k / 63) as f32 * 0.39 - 12.2);
            let r = x.hypot(y);
            let exact = (1.5 - (r - 5.5).abs()).clamp(-REACH, REACH);
            let got = mask.distance(x, y);
            // The ridge (r 5.5) and the centre are kinks that interpolation rounds off; elsewhere the distance
            // bends as 1/r, and linear interpolation errs by pitch^2 / 8 of that.
            let kink = (r - 5.5).abs() < 0.3 || r < 0.3 || (exact + REACH).abs() < 0.3;
            let bend = (PITCH * PITCH / 8.0) as f32 / r;
            let tolerance = if kink { 0.15 } else { 0.001 + 1.2 * bend };
            assert!(
                (got - exact).abs() < tolerance,
                "at ({x}, {y}): {got}, exact {exact}"
            );
        }
    }

    #[test]
    fn far_away_and_not_a_number_are_bare() {
        let mask = Mask::new(&Area::filled(&[circle(3.0, 100)], Rule::NonZero));
        for v in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 1e30, -500.0] {
            assert_eq!(mask.distance(v, 0.0), -REACH);
            assert_eq!(mask.distance(0.0, v), -REACH);
        }
        assert_eq!(Mask::new(&Area::empty()).distance(0.0, 0.0), -REACH);
    }
}
