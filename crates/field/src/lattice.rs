//! Lattices of samples over the bolt, and rectangles of them.

/// Samples at a fixed pitch over the whole bolt: sample (i, j) sits at ((i+0.5) pitch, (j+0.5) pitch)
/// from the selvedge corner, x across the width, y along the length.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lattice {
    /// Distance of neighbouring samples, mm; positive and finite.
    pub pitch: f64,
}

/// A rectangle of samples of a lattice: columns `x0..x1()`, rows `y0..y1()`.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Rect {
    /// First column.
    pub x0: i32,
    /// First row.
    pub y0: i32,
    /// Number of columns.
    pub nx: u32,
    /// Number of rows.
    pub ny: u32,
}

impl Rect {
    /// The rectangle of no samples.
    pub const EMPTY: Rect = Rect {
        x0: 0,
        y0: 0,
        nx: 0,
        ny: 0,
    };

    /// From the first column and row up to, not including, `x1` and `y1`; empty if they are not larger.
    pub fn between(x0: i32, y0: i32, x1: i32, y1: i32) -> Rect {
        if x1 <= x0 || y1 <= y0 {
            return Rect::EMPTY;
        }
        Rect {
            x0,
            y0,
            nx: x1.abs_diff(x0),
            ny: y1.abs_diff(y0),
        }
    }

    /// The column after the last.
    pub fn x1(self) -> i32 {
        self.x0.wrapping_add_unsigned(self.nx)
    }

    /// The row after the last.
    pub fn y1(self) -> i32 {
        self.y0.wrapping_add_unsigned(self.ny)
    }

    /// Holds no sample.
    pub fn is_empty(self) -> bool {
        self.nx == 0 || self.ny == 0
    }

    /// Number of samples.
    pub fn area(self) -> usize {
        self.nx as usize * self.ny as usize
    }

    /// `rx` more columns on the left and on the right, `ry` more rows above and below. Empty stays empty.
    pub fn expand(self, rx: u32, ry: u32) -> Rect {
        if self.is_empty() {
            return Rect::EMPTY;
        }
        Rect {
            x0: self.x0.wrapping_sub_unsigned(rx),
            y0: self.y0.wrapping_sub_unsigned(ry),
            nx: self.nx + 2 * rx,
            ny: self.ny + 2 * ry,
        }
    }

    /// Every sample of `other` is one of ours (so the empty rectangle is in all).
    pub fn contains(self, other: Rect) -> bool {
        other.is_empty()
            || (self.x0 <= other.x0
                && self.y0 <= other.y0
                && self.x1() >= other.x1()
                && self.y1() >= other.y1())
    }

    /// The sample in column `x`, row `y` is one of ours.
    pub fn has(self, x: i32, y: i32) -> bool {
        self.x0 <= x && x < self.x1() && self.y0 <= y && y < self.y1()
    }

    /// The smallest rectangle with the samples of both.
    pub fn union(self, other: Rect) -> Rect {
        if self.is_empty() {
            return other;
        }
        if other.is_empty() {
            return self;
        }
        Rect::between(
            self.x0.min(other.x0),
            self.y0.min(other.y0),
            self.x1().max(other.x1()),
            self.y1().max(other.y1()),
        )
    }

    /// The samples of both.
    pub fn intersect(self, other: Rect) -> Rect {
        Rect::between(
            self.x0.max(other.x0),
            self.y0.max(other.y0),
            self.x1().min(other.x1()),
            self.y1().min(other.y1()),
        )
    }
}

impl Lattice {
    /// Where sample `i` of an axis sits, mm.
    pub fn at(self, i: i32) -> f64 {
        (f64::from(i) + 0.5) * self.pitch
    }

    /// Exactly the samples of `self` that are read when `rect` of lattice `from` is interpolated
    /// bilinearly. The same rectangle if the pitches are equal.
    pub fn support(self, rect: Rect, from: Lattice) -> Rect {
        if self.pitch == from.pitch || rect.is_empty() {
            return rect;
        }
        let (x0, _, _) = self.between(rect.x0, from);
        let (_, x1, _) = self.between(rect.x1() - 1, from);
        let (y0, _, _) = self.between(rect.y0, from);
        let (_, y1, _) = self.between(rect.y1() - 1, from);
        Rect::between(x0, y0, x1 + 1, y1 + 1)
    }

    /// The two samples of `self` around sample `i` of `from` and the weight of the second. A weight
    /// that is 0 needs no second sample: then both are the same one.
    pub(crate) fn between(self, i: i32, from: Lattice) -> (i32, i32, f32) {
        let u = from.at(i) / self.pitch - 0.5;
        let floor = u.floor();
        let weight = (u - floor) as f32;
        let lo = floor as i32;
        if weight == 0.0 {
            (lo, lo, 0.0)
        } else if weight >= 1.0 {
            // A fraction within half an f32 step of 1 rounds up to it.
            (lo + 1, lo + 1, 0.0)
        } else {
            (lo, lo + 1, weight)
        }
    }

    /// The samples of `self` that lie in the cells of `rect` of the coarser lattice `of`, each cell
    /// with its left and upper edge: what a mean over those cells reads.
    pub fn members(self, rect: Rect, of: Lattice) -> Rect {
        if self.pitch == of.pitch || rect.is_empty() {
            return rect;
        }
        Rect::between(
            self.first_in(rect.x0, of),
            self.first_in(rect.y0, of),
            self.first_in(rect.x1(), of),
            self.first_in(rect.y1(), of),
        )
    }

    /// The first sample of `self` not left of cell `i` of `of`.
    pub(crate) fn first_in(self, i: i32, of: Lattice) -> i32 {
        (f64::from(i) * of.pitch / self.pitch - 0.5).ceil() as i32
    }
}
