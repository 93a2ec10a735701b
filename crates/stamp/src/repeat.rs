//! Whether a repeat joins: what crosses the border between two impressions must go on at the other side, in
//! position and in direction.
//!
//! Both sides are looked at on lines just inside and just outside the border, with all impressions that print
//! there; so a shape that reaches over its own repeat goes on by itself, whatever its neighbour. Where a neighbour
//! prints the same place, the two must fall on each other: that is a join too.

mod close;
mod crossing;
mod picture;

use crate::area::{Area, Bounds, Point};
use crate::layout::Lattice;
pub use close::Closed;
pub(crate) use close::{Anchor, DEEP, Met, ROUNDS, SHORT, bend, wishes};
pub(crate) use crossing::{Cut, cuts};
pub use picture::Census;

/// How far from the border both sides are looked at, mm.
pub(crate) const BESIDE: f64 = 0.05;
/// Farthest that two cuts may lie apart and still be meant for each other, mm.
const MEANT: f64 = 5.0;

/// How exactly a repeat must join.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Farthest that an edge of a line may leap at the border, mm.
    pub leap_mm: f64,
    /// Farthest that its direction may turn, rad.
    pub turn: f64,
}

impl Default for Tolerance {
    /// A leap of 0.3 mm is under the feather of hot wax on yarns, a turn of 12 degrees under what the eye follows
    /// (own estimate).
    fn default() -> Self {
        Self {
            leap_mm: 0.3,
            turn: 0.21,
        }
    }
}

/// Which border of the repeat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Border {
    /// Upright, between two columns.
    Columns,
    /// Level, between two rows.
    Rows,
}

/// What is wrong at one place of a border.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wrong {
    /// The line ends at the border; nothing is meant to go on at the other side.
    Ends,
    /// Its edge leaps along the border, mm.
    Leaps(f64),
    /// Its edge turns, rad.
    Turns(f64),
}

/// A place where the repeat does not join.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Break {
    /// The border.
    pub border: Border,
    /// Where on the cloth, mm from the left top corner of impression (0, 0).
    pub at: Point,
    /// Width of the line that breaks, along the border, mm.
    pub wide_mm: f64,
    /// What is wrong.
    pub wrong: Wrong,
}

/// A line that crosses a border and goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Join {
    /// The border.
    pub border: Border,
    /// Its middle on the border, mm from the left top corner of impression (0, 0).
    pub at: Point,
    /// Its width along the border, mm.
    pub wide_mm: f64,
    /// The impressions on both sides.
    pub between: [(i32, i32); 2],
}

/// What crosses the borders of a repeat.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seams {
    /// Lines that go on from one impression to the next.
    pub joins: Vec<Join>,
    /// How many shapes reach over the border by themselves, each counted on each border.
    pub over: usize,
    /// What does not.
    pub breaks: Vec<Break>,
}

/// One border with the impressions on both sides of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    pub border: Border,
    /// Where it lies, mm.
    pub at: f64,
    /// From where to where it runs, mm.
    pub span: [f64; 2],
}

impl Lattice {
    /// Whether `area` (mm, seen from an impression's corner) joins its neighbours all around, once for each
    /// different border of the pattern.
    pub fn seams(&self, area: &Area, tolerance: &Tolerance) -> Seams {
        let mut seams = Seams::default();
        for line in self.borders() {
            let [before, after] = [-BESIDE, BESIDE].map(|off| self.cuts_on(area, &line, line.at + off));
            match_cuts(&line, &before, &after, tolerance, &mut seams);
        }
        seams
    }

    /// Each border of the pattern that differs from the others.
    fn borders(&self) -> Vec<Line> {
        let [w, h] = self.repeat_mm;
        let [columns, rows] = self.period();
        let mut lines = Vec::new();
        for j in 0..rows {
            for i in 0..columns {
                let [x, y] = self.corner(i, j);
                lines.push(Line {
                    border: Border::Columns,
                    at: x + w,
                    span: [y, y + h],
                });
                lines.push(Line {
                    border: Border::Rows,
                    at: y + h,
                    span: [x, x + w],
                });
            }
        }
        lines
    }

    /// Where wax lies on a line beside a border, all impressions together.
    fn cuts_on(&self, area: &Area, line: &Line, at: f64) -> Vec<Cut> {
        let Some(reach) = area.bounds() else {
            return Vec::new();
        };
        let upright = line.border == Border::Columns;
        let point = |along: f64| if upright { [at, along] } else { [along, at] };
        let part = Bounds {
            low: point(line.span[0]),
            high: point(line.span[1]),
        };
        let printed = self.meeting(&part, &reach);
        let edges = printed.iter().flat_map(|(i, j)| {
            area.edges()
                .map(move |(a, b)| (self.place(*i, *j, a), self.place(*i, *j, b), (*i, *j)))
        });
        cuts(edges, upright, at, line.span)
    }
}

/// Pairs cuts on both sides of a border, nearest first.
pub(crate) fn match_cuts(
    line: &Line,
    before: &[Cut],
    after: &[Cut],
    tolerance: &Tolerance,
    seams: &mut Seams,
) {
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (m, a) in before.iter().enumerate() {
        for (n, b) in after.iter().enumerate() {
            let apart = (a.middle() - b.middle()).abs();
            let overlap = a.to.min(b.to) - a.from.max(b.from);
            if apart <= MEANT || overlap > 0.0 {
                pairs.push((apart + (a.wide() - b.wide()).abs(), m, n));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut used_a, mut used_b) = (vec![false; before.len()], vec![false; after.len()]);
    let spot = |along: f64| match line.border {
        Border::Columns => [line.at, along],
        Border::Rows => [along, line.at],
    };
    for (_, m, n) in pairs {
        if used_a[m] || used_b[n] {
            continue;
        }
        (used_a[m], used_b[n]) = (true, true);
        let (a, b) = (&before[m], &after[n]);
        let middle = (a.middle() + b.middle()) / 2.0;
        let wide_mm = a.wide().min(b.wide());
        let leap = a.leap(b);
        let turn = a.turn(b);
        let wrong = if leap > tolerance.leap_mm {
            Some(Wrong::Leaps(leap))
        } else if turn > tolerance.turn && wide_mm < 0.9 * (line.span[1] - line.span[0]) {
            Some(Wrong::Turns(turn))
        } else {
            None
        };
        match wrong {
            Some(wrong) => seams.breaks.push(Break {
                border: line.border,
                at: spot(middle),
                wide_mm,
                wrong,
            }),
            None => match a.two(b) {
                Some(between) => seams.joins.push(Join {
                    border: line.border,
                    at: spot(middle),
                    wide_mm,
                    between,
                }),
                None => seams.over += 1,
            },
        }
    }
    let before = before.iter().zip(&used_a).map(|(cut, used)| (cut, used, 1.0));
    let after = after.iter().zip(&used_b).map(|(cut, used)| (cut, used, -1.0));
    for (cut, _, ahead) in before.chain(after).filter(|(_, used, _)| !**used) {
        // What only grazes the border is no line.
        if cut.wide() > tolerance.leap_mm && !cut.is_tip(ahead) {
            seams.breaks.push(Break {
                border: line.border,
                at: spot(cut.middle()),
                wide_mm: cut.wide(),
                wrong: Wrong::Ends,
            });
        }
    }
}
