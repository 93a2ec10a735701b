//! How impressions follow one another on the cloth, and how many there are.

use crate::area::{Area, Bounds, Point};

/// How neighbouring impressions stand to each other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Layout {
    /// Side by side and one below the other.
    #[default]
    Straight,
    /// Every second column stands half a repeat higher.
    HalfDrop,
    /// Every second row stands half a repeat to the left.
    Brick,
    /// Every second column is printed by a second stamp, the mirror image of the first.
    Mirror,
    /// Every second column is printed with the stamp turned by half a turn.
    Rotated,
}

impl Layout {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Straight,
        Self::HalfDrop,
        Self::Brick,
        Self::Mirror,
        Self::Rotated,
    ];
}

/// How the stamp is held for one impression. Only one of the two can be true: no layout asks for both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Pose {
    /// As the drawing stands.
    #[default]
    Upright,
    /// Turned by half a turn about the middle of the repeat.
    Turned,
    /// Left and right exchanged: another stamp.
    Mirrored,
}

impl Pose {
    /// Signs of x and y about the middle of the repeat.
    pub(crate) const fn signs(self) -> [f64; 2] {
        match self {
            Self::Upright => [1.0, 1.0],
            Self::Turned => [-1.0, -1.0],
            Self::Mirrored => [-1.0, 1.0],
        }
    }
    /// Where a point of the stamp comes to lie in its repeat.
    pub fn place(self, p: Point, repeat_mm: [f64; 2]) -> Point {
        let s = self.signs();
        [0, 1].map(|k| if s[k] < 0.0 { repeat_mm[k] - p[k] } else { p[k] })
    }
    /// A rectangle of the stamp as it comes to lie in its repeat.
    pub fn place_bounds(self, b: &Bounds, repeat_mm: [f64; 2]) -> Bounds {
        let (p, q) = (self.place(b.low, repeat_mm), self.place(b.high, repeat_mm));
        Bounds { low: p, high: p }.with(&Bounds { low: q, high: q })
    }
}

/// A layout with its repeat: where each impression ideally goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lattice {
    /// The layout.
    pub layout: Layout,
    /// Distance from one impression to the next, across and along, mm; above zero.
    pub repeat_mm: [f64; 2],
}

/// How many impressions a cloth takes, in whole placements: a piece at the edge costs as much as a whole one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placements {
    /// The layout.
    pub layout: Layout,
    /// Across the cloth, in rows that are not shifted.
    pub across: u32,
    /// Along the cloth, in columns that are not shifted.
    pub along: u32,
    /// In a shifted column (half-drop) or row (brick); for straight as the others.
    pub shifted: u32,
    /// All impressions.
    pub whole: u32,
}

impl Placements {
    /// Whether impression (`i`, `j`) is one of these.
    pub fn holds(&self, i: i32, j: i32) -> bool {
        let odd = |v: i32| v.rem_euclid(2) == 1;
        let (across, along) = match self.layout {
            Layout::HalfDrop if odd(i) => (self.across, self.shifted),
            Layout::Brick if odd(j) => (self.shifted, self.along),
            _ => (self.across, self.along),
        };
        i >= 0 && j >= 0 && (i as u32) < across && (j as u32) < along
    }
}

impl Lattice {
    /// Where the left top corner of impression (`i`, `j`) goes, mm from the cloth's corner.
    pub fn corner(&self, i: i32, j: i32) -> Point {
        let [w, h] = self.repeat_mm;
        let half = |v: i32| if v.rem_euclid(2) == 1 { 0.5 } else { 0.0 };
        let (x, y) = (f64::from(i), f64::from(j));
        match self.layout {
            Layout::Straight | Layout::Mirror | Layout::Rotated => [x * w, y * h],
            Layout::HalfDrop => [x * w, (y - half(i)) * h],
            Layout::Brick => [(x - half(j)) * w, y * h],
        }
    }

    /// How the stamp is held for impression (`i`, `j`).
    pub fn pose(&self, i: i32, _j: i32) -> Pose {
        match self.layout {
            Layout::Mirror if i.rem_euclid(2) == 1 => Pose::Mirrored,
            Layout::Rotated if i.rem_euclid(2) == 1 => Pose::Turned,
            _ => Pose::Upright,
        }
    }

    /// Where a point of the stamp comes to lie on the cloth at impression (`i`, `j`), mm.
    pub fn place(&self, i: i32, j: i32, p: Point) -> Point {
        let (corner, q) = (self.corner(i, j), self.pose(i, j).place(p, self.repeat_mm));
        [corner[0] + q[0], corner[1] + q[1]]
    }

    /// An area of the stamp as impression (`i`, `j`) prints it.
    pub fn printed(&self, i: i32, j: i32, area: &Area) -> Area {
        if self.pose(i, j) == Pose::Mirrored {
            area.mirrored(self.repeat_mm[0]).moved(self.corner(i, j))
        } else {
            area.mapped(|p| self.place(i, j, p))
        }
    }

    /// Whole placements that cover a cloth of this size, mm. Shifted columns start half a repeat above the
    /// edge.
    pub fn placements(&self, width_mm: f64, length_mm: f64) -> Placements {
        let [w, h] = self.repeat_mm;
        // A remainder of a millionth is rounding, not cloth.
        let whole = |n: f64| (n - 1e-6).ceil().clamp(0.0, 1e6) as u32;
        let (across, along) = (whole(width_mm / w), whole(length_mm / h));
        let (shifted, all) = match self.layout {
            Layout::Straight | Layout::Mirror | Layout::Rotated => {
                (along, u64::from(across) * u64::from(along))
            }
            Layout::HalfDrop => {
                let shifted = whole(length_mm / h + 0.5);
                (shifted, rows_of_two(across, along, shifted))
            }
            Layout::Brick => {
                let shifted = whole(width_mm / w + 0.5);
                (shifted, rows_of_two(along, across, shifted))
            }
        };
        Placements {
            layout: self.layout,
            across,
            along,
            shifted,
            whole: u32::try_from(all).unwrap_or(u32::MAX),
        }
    }

    /// The four impressions whose middles stand around a point of the cloth, mm. If the drawing stays inside
    /// its repeat, no other impression's wax can be nearer.
    pub fn nearest(&self, x_mm: f64, y_mm: f64) -> [(i32, i32); 4] {
        let [w, h] = self.repeat_mm;
        let before = |v: f64| (v - 0.5).floor() as i32;
        match self.layout {
            Layout::Straight | Layout::HalfDrop | Layout::Mirror | Layout::Rotated => {
                let i = before(x_mm / w);
                let j = |i: i32| before((y_mm - self.corner(i, 0)[1]) / h);
                let (a, b) = (j(i), j(i + 1));
                [(i, a), (i, a + 1), (i + 1, b), (i + 1, b + 1)]
            }
            Layout::Brick => {
                let j = before(y_mm / h);
                let i = |j: i32| before((x_mm - self.corner(0, j)[0]) / w);
                let (a, b) = (i(j), i(j + 1));
                [(a, j), (a + 1, j), (b, j + 1), (b + 1, j + 1)]
            }
        }
    }

    /// Impressions (`i`, `j`) whose rectangle `reach` (mm, seen from the impression's corner) meets `part` of
    /// the cloth, in the order of rows, not limited to a cloth.
    pub fn meeting(&self, part: &Bounds, reach: &Bounds) -> Vec<(i32, i32)> {
        let [w, h] = self.repeat_mm;
        // However the stamp is held, it reaches no farther than all poses together.
        let stamp = reach;
        let reach = &self.all_poses(reach);
        let first = |k: usize, step: f64| ((part.low[k] - reach.high[k]) / step).floor() as i32 - 1;
        let last = |k: usize, step: f64| ((part.high[k] - reach.low[k]) / step).ceil() as i32 + 1;
        let mut found = Vec::new();
        for j in first(1, h)..=last(1, h) {
            for i in first(0, w)..=last(0, w) {
                let here = self.pose(i, j).place_bounds(stamp, self.repeat_mm);
                if here.moved(self.corner(i, j)).meets(part) {
                    found.push((i, j));
                }
            }
        }
        found
    }

    fn all_poses(&self, reach: &Bounds) -> Bounds {
        match self.layout {
            Layout::Straight | Layout::HalfDrop | Layout::Brick => *reach,
            Layout::Mirror | Layout::Rotated => {
                reach.with(&self.pose(1, 0).place_bounds(reach, self.repeat_mm))
            }
        }
    }

    /// Columns and rows after which the pattern begins again.
    pub const fn period(&self) -> [i32; 2] {
        match self.layout {
            Layout::Straight => [1, 1],
            Layout::HalfDrop | Layout::Mirror | Layout::Rotated => [2, 1],
            Layout::Brick => [1, 2],
        }
    }

    /// Share of an endless cloth that is waxed when `area` (mm, seen from an impression's corner) is printed at
    /// every place: overlaps of neighbours count once. Exact.
    pub fn coverage(&self, area: &Area) -> f64 {
        let [w, h] = self.repeat_mm;
        let cell = Bounds::sized(w, h);
        let Some(reach) = area.bounds() else { return 0.0 };
        let inside = (0..2).all(|k| reach.low[k] >= 0.0 && reach.high[k] <= cell.high[k]);
        if inside {
            return area.mm2() / (w * h);
        }
        let [columns, rows] = self.period().map(f64::from);
        let period = Bounds::sized(columns * w, rows * h);
        let frame = Area::rectangle(&period);
        let printed = |(i, j): &(i32, i32)| self.printed(*i, *j, area).common(&frame);
        let parts: Vec<Area> = self.meeting(&period, &reach).iter().map(printed).collect();
        Area::union_of(&parts).mm2() / (columns * rows * w * h)
    }
}

/// `lines` lines, alternately of `even` and `odd` places.
fn rows_of_two(lines: u32, even: u32, odd: u32) -> u64 {
    u64::from(lines.div_ceil(2)) * u64::from(even) + u64::from(lines / 2) * u64::from(odd)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::area::Rule;

    const YARD: f64 = 914.4;
    const INCH: f64 = 25.4;

    fn lattice(layout: Layout, w: f64, h: f64) -> Lattice {
        Lattice {
            layout,
            repeat_mm: [w, h],
        }
    }

    /// Worked by hand: 44 in = 1117.6 mm = 5.588 repeats of 200 mm, 15 yd = 13716 mm = 68.58 repeats.
    #[test]
    fn a_bolt_takes_six_by_sixty_nine() {
        let p = lattice(Layout::Straight, 200.0, 200.0).placements(44.0 * INCH, 15.0 * YARD);
        assert_eq!((p.across, p.along, p.whole), (6, 69, 414));
        // Half-drop: three columns of 69, three of ceil(69.08) = 70.
        let p = lattice(Layout::HalfDrop, 200.0, 200.0).placements(44.0 * INCH, 15.0 * YARD);
        assert_eq!((p.across, p.along, p.shifted, p.whole), (6, 69, 70, 417));
        // Brick: 35 rows of 6, 34 rows of ceil(6.088) = 7.
        let p = lattice(Layout::Brick, 200.0, 200.0).placements(44.0 * INCH, 15.0 * YARD);
        assert_eq!((p.across, p.along, p.shifted, p.whole), (6, 69, 7, 448));
    }

    #[test]
    fn exactly_filled_is_not_one_more() {
        let p = lattice(Layout::Straight, 0.1, 200.0).placements(0.3, 600.0);
        assert_eq!((p.across, p.along), (3, 3));
        let p = lattice(Layout::Straight, 200.0, 200.0).placements(600.1, 0.0);
        assert_eq!((p.across, p.along, p.whole), (4, 0, 0));
    }

    /// Every count agrees with walking over the places and asking which meet the cloth.
    #[test]
    fn counting_agrees_with_looking() {
        for layout in Layout::ALL {
            for (w, h, width, length) in [
                (200.0, 200.0, 1117.6, 2743.2),
                (83.0, 151.0, 500.0, 900.0),
                (90.0, 60.0, 90.0, 60.0),
            ] {
                let l = lattice(layout, w, h);
                let p = l.placements(width, length);
                let cloth = Bounds::sized(width, length).grown(-1e-3);
                let seen = l.meeting(&cloth, &Bounds::sized(w, h));
                assert_eq!(seen.len(), p.whole as usize, "{layout:?} {w} {h}");
                assert!(seen.iter().all(|(i, j)| p.holds(*i, *j)), "{layout:?} {seen:?}");
            }
        }
    }

    #[test]
    fn the_four_nearest_are_the_nearest() {
        for layout in Layout::ALL {
            let l = lattice(layout, 80.0, 50.0);
            for k in 0..500 {
                let p = [f64::from(k % 25) * 13.7 - 40.0, f64::from(k / 25) * 11.3 - 40.0];
                let four = l.nearest(p[0], p[1]);
                // The cell that holds the point is among them.
                let here = l.meeting(&Bounds { low: p, high: p }, &Bounds::sized(80.0, 50.0));
                assert!(here.iter().any(|c| four.contains(c)), "{layout:?} {p:?}");
            }
        }
    }

    /// A square over the corner of its repeat is printed whole, in quarters, by four neighbours. Where every
    /// second stamp is turned or mirrored, two squares fall on each other: half as many remain.
    #[test]
    fn wax_that_crosses_the_repeat_counts_once() {
        let square = |x: f64, y: f64, s: f64| vec![[x, y], [x + s, y], [x + s, y + s], [x, y + s]];
        let crossing = Area::filled(&[square(-10.0, -10.0, 20.0)], Rule::NonZero);
        for layout in Layout::ALL {
            let share = lattice(layout, 100.0, 100.0).coverage(&crossing);
            let squares = if lattice(layout, 1.0, 1.0).pose(1, 0) == Pose::Upright {
                1.0
            } else {
                0.5
            };
            assert!((share - 0.04 * squares).abs() < 1e-9, "{layout:?} {share}");
        }
        // 120 mm wide on a 100 mm repeat: 20 mm overlap the neighbour, the row is closed: 10 of 100 mm high.
        let bar = Area::filled(
            &[vec![[0.0, 0.0], [120.0, 0.0], [120.0, 10.0], [0.0, 10.0]]],
            Rule::NonZero,
        );
        assert!((lattice(Layout::Straight, 100.0, 100.0).coverage(&bar) - 0.1).abs() < 1e-9);
        // In half-drop the 20 mm fall half a repeat beside the neighbour's bar, and are wax of their own.
        assert!((lattice(Layout::HalfDrop, 100.0, 100.0).coverage(&bar) - 0.12).abs() < 1e-9);
    }
}
