//! Borders: a stamp that runs along the edges of a piece, and the corner stamp that it turns at.
//!
//! The border's drawing is its repeat: as wide as one step along the edge, as high as the band; its upper side is
//! the outer one. Runs go clockwise about the piece, so that the right side of one impression meets the left side of
//! the next at every edge. The corner stamp is a square as wide as the band, drawn for the left upper corner and
//! turned by a quarter for each of the others.

mod close;
mod joins;
mod picture;

pub use close::ClosedBand;
pub use joins::{BandSeam, Meeting};

use crate::area::{Area, Bounds, Point};
use crate::impression::{HandError, Impression};
use crate::mask::Mask;

/// Which edges of the piece a border runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Along {
    /// Across both ends, from selvedge to selvedge.
    Ends,
    /// Along both selvedges, from end to end.
    Selvedges,
    /// All around, with a corner stamp.
    Frame,
}

/// A border: where it runs and how large its stamps print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Its edges.
    pub along: Along,
    /// One step along the edge, and the width of the band, mm.
    pub repeat_mm: [f64; 2],
    /// From the edge of the cloth to the band, mm.
    pub inset_mm: f64,
}

/// Which stamp prints at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The border's.
    Border,
    /// The corner's.
    Corner,
}

/// Where one impression ideally goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Which stamp.
    pub part: Part,
    /// Quarters of a turn, clockwise as seen: 0 along the upper edge and in the left upper corner.
    pub quarter: u8,
    /// Where the middle of its repeat lies on the cloth, mm.
    pub middle_mm: Point,
}

/// One run of impressions along an edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Quarters of a turn: 0 the upper edge, 1 the right selvedge, 2 the lower edge, 3 the left selvedge.
    pub quarter: u8,
    /// From where to where it runs, mm.
    pub long_mm: f64,
    /// Impressions in it, all whole.
    pub count: u32,
    /// What each join is pulled apart, mm, so that they fill the run; below zero they overlap.
    pub spread_mm: f64,
}

/// A border on a cloth of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid {
    /// Its runs.
    pub sides: Vec<Run>,
    /// Every impression, run by run, then the corners.
    pub spots: Vec<Spot>,
}

impl Laid {
    /// Impressions of one of the stamps.
    pub fn count(&self, part: Part) -> u32 {
        self.spots.iter().filter(|spot| spot.part == part).count() as u32
    }
    /// All impressions.
    pub fn all(&self) -> u32 {
        self.spots.len() as u32
    }
}

impl Band {
    /// Lays it on a cloth of this width and length, mm: in each run the whole number of impressions that needs the
    /// least pull at each join. Nothing where the cloth is too small for it.
    pub fn on(&self, [width, length]: [f64; 2]) -> Laid {
        let [step, band] = self.repeat_mm;
        let free = [width, length].map(|v| v - 2.0 * self.inset_mm);
        let taken = if self.along == Along::Frame {
            2.0 * band
        } else {
            0.0
        };
        let mut laid = Laid {
            sides: Vec::new(),
            spots: Vec::new(),
        };
        if free.iter().any(|v| *v < 2.0 * band) {
            return laid;
        }
        let quarters: &[u8] = match self.along {
            Along::Ends => &[0, 2],
            Along::Selvedges => &[1, 3],
            Along::Frame => &[0, 1, 2, 3],
        };
        let turned = |quarter: u8, p: Point| about([width / 2.0, length / 2.0], quarter, p, [width, length]);
        for quarter in quarters {
            let across = usize::from(quarter % 2 == 1);
            let long_mm = free[across] - taken;
            let Some((count, spread_mm)) = whole(long_mm, step) else {
                continue;
            };
            laid.sides.push(Run {
                quarter: *quarter,
                long_mm,
                count,
                spread_mm,
            });
            let from = self.inset_mm + taken / 2.0;
            let spots = (0..count).map(|k| Spot {
                part: Part::Border,
                quarter: *quarter,
                middle_mm: turned(
                    *quarter,
                    [
                        from + (f64::from(k) + 0.5) * (step + spread_mm),
                        self.inset_mm + band / 2.0,
                    ],
                ),
            });
            laid.spots.extend(spots);
        }
        if self.along == Along::Frame {
            let corner = self.inset_mm + band / 2.0;
            laid.spots.extend((0..4).map(|quarter| Spot {
                part: Part::Corner,
                quarter,
                middle_mm: turned(quarter, [corner, corner]),
            }));
        }
        laid
    }

    /// Width and height of the repeat of one of its stamps, mm.
    pub const fn size_mm(&self, part: Part) -> [f64; 2] {
        match part {
            Part::Border => self.repeat_mm,
            Part::Corner => [self.repeat_mm[1], self.repeat_mm[1]],
        }
    }

    /// Where a point of a stamp comes to lie on the cloth, mm.
    pub fn place(&self, spot: &Spot, p: Point) -> Point {
        let half = self.size_mm(spot.part).map(|v| v / 2.0);
        let [c, s] = turn(spot.quarter);
        let d = [p[0] - half[0], p[1] - half[1]];
        [
            spot.middle_mm[0] + c * d[0] - s * d[1],
            spot.middle_mm[1] + s * d[0] + c * d[1],
        ]
    }

    /// What a stamp prints at a place.
    pub fn printed(&self, spot: &Spot, area: &Area) -> Area {
        area.mapped(|p| self.place(spot, p))
    }

    /// The impressions of one of its stamps that can meet `part` of the cloth (mm), as [`crate::impressions_on`] gives
    /// those of a lattice.
    pub fn impressions_on(
        &self,
        laid: &Laid,
        which: Part,
        part: &Bounds,
        mask: &Mask,
        error: &HandError,
        unit: impl Fn(i32, i32, u32) -> f32,
    ) -> Vec<Impression> {
        let grid = mask.covers();
        let half = self.size_mm(which).map(|v| v / 2.0);
        let spots = laid.spots.iter().enumerate();
        spots
            .filter(|(_, spot)| spot.part == which)
            .map(|(k, spot)| Impression::at(k as i32, spot.middle_mm, turn(spot.quarter), half, error, &unit))
            .filter(|impression| impression.reaches(&grid).meets(part))
            .collect()
    }
}

/// Cosine and sine of quarters of a turn, exactly; from x towards y, which on cloth seen from above is clockwise.
pub(crate) const fn turn(quarter: u8) -> [f64; 2] {
    match quarter % 4 {
        0 => [1.0, 0.0],
        1 => [0.0, 1.0],
        2 => [-1.0, 0.0],
        _ => [0.0, -1.0],
    }
}

/// A point laid out for the upper edge of a cloth whose upper edge is `quarter`'s edge, as it lies on the cloth.
fn about(middle: Point, quarter: u8, p: Point, [width, length]: [f64; 2]) -> Point {
    // Turned, the cloth is as wide as the edge is long.
    let own = if quarter.is_multiple_of(2) {
        [width / 2.0, length / 2.0]
    } else {
        [length / 2.0, width / 2.0]
    };
    let ([c, s], d) = (turn(quarter), [p[0] - own[0], p[1] - own[1]]);
    [middle[0] + c * d[0] - s * d[1], middle[1] + s * d[0] + c * d[1]]
}

/// How many whole steps fill a run, and what each join must give, mm: of the two nearest numbers the one that asks
/// less.
fn whole(long_mm: f64, step: f64) -> Option<(u32, f64)> {
    let exact = long_mm / step;
    let spread = |n: f64| long_mm / n - step;
    // A remainder of a millionth is rounding, not cloth.
    let counts = [(exact + 1e-6).floor(), (exact - 1e-6).ceil()];
    let counts = counts.into_iter().filter(|n| *n >= 1.0 && *n < 1e6);
    let best = counts.min_by(|a, b| spread(*a).abs().total_cmp(&spread(*b).abs()))?;
    Some((best as u32, spread(best)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 1117.6 mm less two bands of 80 are 957.6 mm, 8 steps of 120 leave -0.3 mm a join; 13716 less 160 are
    /// 13556 mm, 113 steps leave -0.035 mm.
    #[test]
    fn a_frame_takes_whole_steps_on_every_side() {
        let border = Band {
            along: Along::Frame,
            repeat_mm: [120.0, 80.0],
            inset_mm: 0.0,
        };
        let laid = border.on([1117.6, 13716.0]);
        let counts: Vec<u32> = laid.sides.iter().map(|s| s.count).collect();
        assert_eq!(counts, [8, 113, 8, 113]);
        assert!((laid.sides[0].spread_mm + 0.3).abs() < 1e-9);
        assert!((laid.sides[1].spread_mm + 4.0 / 113.0).abs() < 1e-9);
        assert_eq!(
            (laid.count(Part::Border), laid.count(Part::Corner), laid.all()),
            (242, 4, 246)
        );
    }

    /// Every run fills its edge from corner to corner, and every impression keeps its upper side outwards.
    #[test]
    fn runs_fill_their_edges_with_the_upper_side_out() {
        let border = Band {
            along: Along::Frame,
            repeat_mm: [70.0, 40.0],
            inset_mm: 5.0,
        };
        let (width, length) = (500.0, 800.0);
        for spot in border.on([width, length]).spots {
            let [x, y] = border.place(&spot, [border.size_mm(spot.part)[0] / 2.0, 0.0]);
            let edge = [y, width - x, length - y, x][usize::from(spot.quarter)];
            assert!((edge - 5.0).abs() < 1e-9, "{spot:?}: {edge}");
        }
        let corners = [[5.0, 5.0], [495.0, 5.0], [495.0, 795.0], [5.0, 795.0]];
        let laid = border.on([width, length]);
        for spot in laid.spots.iter().filter(|s| s.part == Part::Corner) {
            let [x, y] = border.place(spot, [0.0, 0.0]);
            let [u, v] = corners[usize::from(spot.quarter)];
            assert!((x - u).abs() < 1e-9 && (y - v).abs() < 1e-9, "{spot:?}");
        }
        for side in &laid.sides {
            let step = 70.0 + side.spread_mm;
            assert!((step * f64::from(side.count) - side.long_mm).abs() < 1e-9);
        }
    }

    #[test]
    fn a_cloth_too_small_takes_nothing() {
        let border = Band {
            along: Along::Ends,
            repeat_mm: [70.0, 40.0],
            inset_mm: 5.0,
        };
        assert_eq!(border.on([300.0, 80.0]).all(), 0);
        assert_eq!(border.on([300.0, 400.0]).sides.len(), 2);
    }
}
