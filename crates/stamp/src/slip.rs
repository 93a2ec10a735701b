//! What a slip of the hand does to a repeat: which joins open, and in how many impressions one is seen to.

use crate::impression::{HandError, Impression};
use crate::layout::Lattice;
use crate::repeat::{Border, Join, Seams};

/// From when on an opened join is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Visible {
    /// Leap of a line along the border, mm.
    pub leap_mm: f64,
    /// Bare cloth between the two sides, mm; wax that overlaps is not seen.
    pub gap_mm: f64,
}

impl Default for Visible {
    /// A leap of half the thinnest usual line, and a gap that wax running from both ends no longer closes (own
    /// estimate).
    fn default() -> Self {
        Self {
            leap_mm: 0.7,
            gap_mm: 0.8,
        }
    }
}

/// A join after a slip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// The join.
    pub join: Join,
    /// How far the line leaps along the border, mm.
    pub leap_mm: f64,
    /// How far the two sides part, mm; below zero they overlap.
    pub gap_mm: f64,
}

impl Opened {
    /// Whether it is seen.
    pub fn seen(&self, visible: &Visible) -> bool {
        self.leap_mm.abs() > visible.leap_mm || self.gap_mm > visible.gap_mm
    }
}

/// How many of the impressions tried show a break.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slips {
    /// Impressions tried.
    pub tried: u32,
    /// Those with a visible break on one of their borders.
    pub broken: u32,
}

impl Slips {
    /// Share of impressions with a visible break.
    pub fn share(&self) -> f64 {
        f64::from(self.broken) / f64::from(self.tried.max(1))
    }
    /// Standard error of that share.
    pub fn error(&self) -> f64 {
        let p = self.share();
        (p * (1.0 - p) / f64::from(self.tried.max(1))).sqrt()
    }
}

/// A slip of one impression: mm across and along, rad about its middle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Slip {
    /// Across, mm.
    pub x_mm: f64,
    /// Along, mm.
    pub y_mm: f64,
    /// Turn, rad.
    pub angle: f64,
}

impl Lattice {
    /// The joins of impression (`i`, `j`), each with the impression on the other side.
    fn joins_of(&self, seams: &Seams, i: i32, j: i32) -> Vec<(Join, (i32, i32))> {
        let [columns, rows] = self.period();
        let mut all = Vec::new();
        for join in &seams.joins {
            for own in 0..2 {
                let ((a, b), (c, d)) = (join.between[own], join.between[1 - own]);
                if (i - a).rem_euclid(columns) != 0 || (j - b).rem_euclid(rows) != 0 || (a, b) == (c, d) {
                    continue;
                }
                let (from, to) = (self.corner(a, b), self.corner(i, j));
                let at = [0, 1].map(|k| join.at[k] + to[k] - from[k]);
                let between = [(i, j), (c + i - a, d + j - b)];
                all.push((Join { at, between, ..*join }, between[1]));
            }
        }
        all
    }

    /// What a slip of impression (`i`, `j`) does to its joins, the others standing where they should.
    pub fn slipped(&self, seams: &Seams, (i, j): (i32, i32), slip: &Slip) -> Vec<Opened> {
        let middle = self.middle(i, j);
        let moved = |p: [f64; 2]| {
            let (c, s) = (slip.angle.cos(), slip.angle.sin());
            let d = [p[0] - middle[0], p[1] - middle[1]];
            [
                c * d[0] - s * d[1] - d[0] + slip.x_mm,
                s * d[0] + c * d[1] - d[1] + slip.y_mm,
            ]
        };
        self.joins_of(seams, i, j)
            .into_iter()
            .map(|(join, _)| opened(&join, middle, moved(join.at)))
            .collect()
    }

    /// Sets `tried` impressions by hand, each with neighbours set by hand, and counts those with a visible break.
    /// `unit` is as for [`crate::impressions_on`]. A repeat that nothing crosses has no breaks.
    pub fn slips(
        &self,
        seams: &Seams,
        error: &HandError,
        visible: &Visible,
        tried: u32,
        unit: impl Fn(i32, i32, u32) -> f32,
    ) -> Slips {
        // Far enough apart that no two share a neighbour.
        const APART: i32 = 6;
        let [columns, rows] = self.period();
        let broken = (0..tried).filter(|k| {
            let k = i32::try_from(*k).unwrap_or(i32::MAX / APART / 2);
            let (i, j) = (k % columns + APART * k, k / columns % rows);
            let moved = |i: i32, j: i32, p: [f64; 2]| {
                let set = Impression::new(self, i, j, error, &unit);
                let (ideal, [c, s]) = (self.middle(i, j), set.turn);
                let d = [p[0] - ideal[0], p[1] - ideal[1]];
                [
                    set.middle_mm[0] + c * d[0] - s * d[1] - p[0],
                    set.middle_mm[1] + s * d[0] + c * d[1] - p[1],
                ]
            };
            self.joins_of(seams, i, j).iter().any(|(join, (m, n))| {
                let (own, other) = (moved(i, j, join.at), moved(*m, *n, join.at));
                let apart = [own[0] - other[0], own[1] - other[1]];
                opened(join, self.middle(i, j), apart).seen(visible)
            })
        });
        Slips {
            broken: broken.count() as u32,
            tried,
        }
    }

    fn middle(&self, i: i32, j: i32) -> [f64; 2] {
        let corner = self.corner(i, j);
        [0, 1].map(|k| corner[k] + self.repeat_mm[k] / 2.0)
    }
}

/// A join whose own side has moved by `by` against the other; `middle` is that of the own impression.
fn opened(join: &Join, middle: [f64; 2], by: [f64; 2]) -> Opened {
    let (across, along) = match join.border {
        Border::Columns => (0, 1),
        Border::Rows => (1, 0),
    };
    // Away from the border, towards its own middle, is apart.
    let away = (middle[across] - join.at[across]).signum();
    Opened {
        join: *join,
        leap_mm: by[along],
        gap_mm: by[across] * away,
    }
}
