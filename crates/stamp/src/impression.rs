//! Single impressions as the hand sets them, and the wax distance along a row of cloth.

use crate::area::Bounds;
use crate::layout::{Lattice, Placements};
use crate::mask::{Mask, REACH};

/// Spread of the hand about the ideal place (standard deviations). Stamping by eye: 1 to 2 mm (common
/// practice, no source); the values are the caller's.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HandError {
    /// Across, mm.
    pub x_mm: f64,
    /// Along, mm.
    pub y_mm: f64,
    /// Turn, rad.
    pub angle: f64,
    /// Pressure, as a share of the usual.
    pub pressure: f64,
}

/// One impression: a turn about the middle of the repeat, then a move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Impression {
    /// Column of the lattice.
    pub i: i32,
    /// Row of the lattice.
    pub j: i32,
    /// Where the middle of the repeat comes to lie on the cloth, mm.
    pub middle_mm: [f64; 2],
    /// Cosine and sine of the turn (x towards y).
    pub turn: [f64; 2],
    /// Pressure relative to the usual, 1 on average. It is not part of the distance: what it does to the wax
    /// is the cloth's business.
    pub pressure: f32,
    half_mm: [f64; 2],
    /// How the stamp is held: signs of x and y about the middle of the repeat.
    signs: [f64; 2],
}

impl Impression {
    /// Impression (`i`, `j`) of a lattice. `unit(i, j, n)` gives uniform numbers in 0..1 that depend only on
    /// their arguments (and the caller's seed); n is 0..16.
    pub fn new(
        lattice: &Lattice,
        i: i32,
        j: i32,
        error: &HandError,
        unit: &impl Fn(i32, i32, u32) -> f32,
    ) -> Self {
        let (corner, half_mm) = (lattice.corner(i, j), lattice.repeat_mm.map(|r| r / 2.0));
        let middle = [corner[0] + half_mm[0], corner[1] + half_mm[1]];
        let pose = (lattice.pose(i, j).signs(), [1.0, 0.0]);
        Self::set((i, j), middle, pose, half_mm, error, unit)
    }

    /// Impression number `k` of those that follow no lattice: the middle of a repeat of twice `half_mm` is meant for
    /// `middle`, turned by an angle of this cosine and sine.
    pub(crate) fn at(
        k: i32,
        middle: [f64; 2],
        turn: [f64; 2],
        half_mm: [f64; 2],
        error: &HandError,
        unit: &impl Fn(i32, i32, u32) -> f32,
    ) -> Self {
        Self::set((k, 0), middle, ([1.0, 1.0], turn), half_mm, error, unit)
    }

    /// What the hand makes of a place; `pose` is signs of the stamp's axes, then the turn that is meant.
    fn set(
        (i, j): (i32, i32),
        middle: [f64; 2],
        (signs, [cos, sin]): ([f64; 2], [f64; 2]),
        half_mm: [f64; 2],
        error: &HandError,
        unit: &impl Fn(i32, i32, u32) -> f32,
    ) -> Self {
        // Sum of four uniforms: bell-shaped, standard deviation 1, never beyond 3.5. A stamper does not miss by
        // five deviations, and no logarithm differs between machines.
        let bell = |n: u32| {
            let sum: f64 = (0..4).map(|k| f64::from(unit(i, j, 4 * n + k))).sum();
            (sum - 2.0) * 3.0_f64.sqrt()
        };
        // Rational form of a rotation: exact for its own angle, which differs from the wanted one by its fifth
        // power; sin and cos of the standard library differ between platforms.
        let t = error.angle * bell(2) / 2.0;
        let t = t + t * t * t / 3.0;
        let n = 1.0 + t * t;
        let (c, s) = ((1.0 - t * t) / n, 2.0 * t / n);
        Self {
            i,
            j,
            middle_mm: [middle[0] + error.x_mm * bell(0), middle[1] + error.y_mm * bell(1)],
            turn: [cos * c - sin * s, sin * c + cos * s],
            pressure: (1.0 + error.pressure * bell(3)).max(0.05) as f32,
            half_mm,
            signs,
        }
    }

    /// The rectangle on the cloth that a rectangle of the stamp can reach.
    pub fn reaches(&self, part: &Bounds) -> Bounds {
        let [c, s] = self.turn;
        let corners = [
            part.low,
            [part.high[0], part.low[1]],
            part.high,
            [part.low[0], part.high[1]],
        ];
        let place = |p: [f64; 2]| {
            let d = [0, 1].map(|k| self.signs[k] * (p[k] - self.half_mm[k]));
            let q = [
                self.middle_mm[0] + c * d[0] - s * d[1],
                self.middle_mm[1] + s * d[0] + c * d[1],
            ];
            Bounds { low: q, high: q }
        };
        let [a, b, c, d] = corners.map(place);
        a.with(&b).with(&c).with(&d)
    }
}

/// The impressions of a cloth whose mask can meet `part` of it (mm), by rows. What a stamper does not set
/// (columns and rows outside `placements`) is not there.
pub fn impressions_on(
    part: &Bounds,
    mask: &Mask,
    lattice: &Lattice,
    placements: &Placements,
    error: &HandError,
    unit: impl Fn(i32, i32, u32) -> f32,
) -> Vec<Impression> {
    let grid = mask.covers();
    // How far the hand can move a corner of the grid: 3.5 deviations, and the turn at the far corner.
    let arm = grid.width().hypot(grid.height()) + lattice.repeat_mm[0].hypot(lattice.repeat_mm[1]);
    let slip = 3.5 * (error.x_mm.abs().max(error.y_mm.abs()) + error.angle.abs() * arm);
    lattice
        .meeting(part, &grid.grown(slip))
        .into_iter()
        .filter(|(i, j)| placements.holds(*i, *j))
        .map(|(i, j)| Impression::new(lattice, i, j, error, &unit))
        .filter(|impression| impression.reaches(&grid).meets(part))
        .collect()
}

/// Signed wax distance (mm, positive inside) along a row of the cloth, and the pressure of the impression
/// that gave it (0 where the wax is [`REACH`] or more away).
///
/// `x_mm` ascends; all three slices have one length (the shortest counts). The result at a point depends only
/// on the point and the impressions near it, not on how the cloth is cut into rows or tiles.
#[inline(always)]
pub fn wax_row(
    mask: &Mask,
    impressions: &[Impression],
    y_mm: f64,
    x_mm: &[f32],
    distance: &mut [f32],
    pressure: &mut [f32],
) {
    let n = x_mm.len().min(distance.len()).min(pressure.len());
    let (x_mm, distance, pressure) = (&x_mm[..n], &mut distance[..n], &mut pressure[..n]);
    distance.fill(-REACH);
    pressure.fill(0.0);
    let grid = mask.covers();
    for impression in impressions {
        let reach = impression.reaches(&grid);
        if y_mm < reach.low[1] || y_mm > reach.high[1] {
            continue;
        }
        let from = x_mm.partition_point(|x| f64::from(*x) < reach.low[0]);
        let to = x_mm.partition_point(|x| f64::from(*x) <= reach.high[0]).max(from);
        let [c, s] = impression.turn.map(|v| v as f32);
        let dy = (y_mm - impression.middle_mm[1]) as f32;
        let mid = impression.middle_mm[0] as f32;
        let [flip_x, flip_y] = impression.signs.map(|v| v as f32);
        let (u0, v0) = (
            flip_x * s * dy + impression.half_mm[0] as f32,
            flip_y * c * dy + impression.half_mm[1] as f32,
        );
        let (c, s) = (flip_x * c, flip_y * s);
        let p = impression.pressure;
        for start in (from..to).step_by(LANES) {
            let end = (start + LANES).min(to);
            let n = end - start;
            // A last, short piece is filled up; what its spare lanes say is not used.
            let (mut u, mut v) = ([0f32; LANES], [0f32; LANES]);
            let mut xs = [0f32; LANES];
            xs[..n].copy_from_slice(&x_mm[start..end]);
            for k in 0..LANES {
                let dx = xs[k] - mid;
                u[k] = c * dx + u0;
                v[k] = v0 - s * dx;
            }
            let d = mask.distances(&u, &v);
            let (best, pressed) = (&mut distance[start..end], &mut pressure[start..end]);
            for k in 0..n {
                let nearer = d[k] > best[k];
                best[k] = if nearer { d[k] } else { best[k] };
                pressed[k] = if nearer { p } else { pressed[k] };
            }
        }
    }
}

/// Points handled together.
const LANES: usize = 32;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::area::{Area, Rule};
    use crate::layout::Layout;

    /// A small hash to uniform numbers (the cloth brings its own).
    fn unit(i: i32, j: i32, n: u32) -> f32 {
        let mut h = (i as u32).wrapping_mul(0x9E37_79B1)
            ^ (j as u32).wrapping_mul(0x85EB_CA77)
            ^ n.wrapping_mul(0xC2B2_AE3D);
        for _ in 0..2 {
            h ^= h >> 15;
            h = h.wrapping_mul(0x2C1B_3C6D);
            h ^= h >> 13;
        }
        (h >> 8) as f32 / 16_777_216.0
    }

    const NONE: HandError = HandError {
        x_mm: 0.0,
        y_mm: 0.0,
        angle: 0.0,
        pressure: 0.0,
    };

    fn disc(x: f64, y: f64, r: f64) -> Mask {
        let corner = |k: u32| f64::from(k) * std::f64::consts::TAU / 400.0;
        let ring = (0..400)
            .map(corner)
            .map(|t| [x + r * t.cos(), y + r * t.sin()])
            .collect();
        Mask::new(&Area::filled(&[ring], Rule::NonZero))
    }

    #[test]
    fn a_row_shows_discs_where_they_were_set() {
        let lattice = Lattice {
            layout: Layout::HalfDrop,
            repeat_mm: [40.0, 30.0],
        };
        let (mask, places) = (disc(20.0, 15.0, 8.0), lattice.placements(200.0, 300.0));
        let xs: Vec<f32> = (0..400).map(|k| k as f32 * 0.5 + 0.25).collect();
        let (mut d, mut p) = (vec![0.0; 400], vec![0.0; 400]);
        for y in [3.0, 15.0, 22.5, 131.0] {
            let part = Bounds {
                low: [0.0, y],
                high: [200.0, y],
            };
            let set = impressions_on(&part, &mask, &lattice, &places, &NONE, unit);
            wax_row(&mask, &set, y, &xs, &mut d, &mut p);
            for (x, got) in xs.iter().zip(&d) {
                let exact = (0..5)
                    .flat_map(|i| (0..11).map(move |j| (i, j)))
                    .map(|(i, j)| lattice.corner(i, j))
                    .map(|c| 8.0 - (f64::from(*x) - c[0] - 20.0).hypot(y - c[1] - 15.0))
                    .fold(-6.0, f64::max)
                    .min(6.0);
                assert!((f64::from(*got) - exact).abs() < 0.1, "({x}, {y}): {got} {exact}");
            }
        }
    }

    #[test]
    fn a_part_of_a_row_has_the_same_bits() {
        let lattice = Lattice {
            layout: Layout::Brick,
            repeat_mm: [40.0, 30.0],
        };
        let error = HandError {
            x_mm: 1.5,
            y_mm: 1.5,
            angle: 0.02,
            pressure: 0.1,
        };
        // The disc crosses the repeat's corner.
        let (mask, places) = (disc(2.0, 3.0, 9.0), lattice.placements(200.0, 300.0));
        let xs: Vec<f32> = (0..500).map(|k| k as f32 * 0.4).collect();
        let row = |y: f64, from: usize, to: usize| {
            let part = Bounds {
                low: [f64::from(xs[from]), y],
                high: [f64::from(xs[to - 1]), y],
            };
            let set = impressions_on(&part, &mask, &lattice, &places, &error, unit);
            let (mut d, mut p) = (vec![0.0; to - from], vec![0.0; to - from]);
            wax_row(&mask, &set, y, &xs[from..to], &mut d, &mut p);
            d.iter().chain(&p).map(|v| v.to_bits()).collect::<Vec<_>>()
        };
        for y in [0.0, 14.3, 77.7] {
            let all = row(y, 0, 500);
            let part = row(y, 211, 300);
            assert_eq!(part[..89], all[211..300]);
            assert_eq!(part[89..], all[711..800]);
        }
    }

    #[test]
    fn the_hand_spreads_as_stated() {
        let lattice = Lattice {
            layout: Layout::Straight,
            repeat_mm: [100.0, 100.0],
        };
        let error = HandError {
            x_mm: 1.5,
            y_mm: 0.8,
            angle: 0.01,
            pressure: 0.1,
        };
        let set: Vec<Impression> = (0..60)
            .flat_map(|i| (0..60).map(move |j| (i, j)))
            .map(|(i, j)| Impression::new(&lattice, i, j, &error, &unit))
            .collect();
        let n = set.len() as f64;
        let spread = |f: &dyn Fn(&Impression) -> f64| {
            let mean = set.iter().map(f).sum::<f64>() / n;
            (
                mean,
                (set.iter().map(|s| (f(s) - mean).powi(2)).sum::<f64>() / n).sqrt(),
            )
        };
        let slip = |k: usize| {
            move |s: &Impression| s.middle_mm[k] - 50.0 - 100.0 * f64::from(if k == 0 { s.i } else { s.j })
        };
        // 3600 draws: the standard error of a deviation is 1.2 %, of a mean 1.7 % of the deviation.
        for (f, sigma) in [
            (&slip(0) as &dyn Fn(&Impression) -> f64, 1.5),
            (&slip(1), 0.8),
            (&|s: &Impression| s.turn[1].atan2(s.turn[0]), 0.01),
            (&|s: &Impression| f64::from(s.pressure) - 1.0, 0.1),
        ] {
            let (mean, deviation) = spread(f);
            assert!(
                mean.abs() < 0.07 * sigma && (deviation / sigma - 1.0).abs() < 0.05,
                "{mean} {deviation} {sigma}"
            );
        }
        for s in &set {
            assert!((s.turn[0].hypot(s.turn[1]) - 1.0).abs() < 1e-12);
        }
    }
}
