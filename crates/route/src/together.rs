//! Rows of samples in small squares: places that lie together share most of what is hashed for them.

use field::TOGETHER;

/// Side of a square, in samples.
const SIDE: usize = 8;
const _: () = assert!(SIDE * SIDE <= TOGETHER);

/// A square of samples, or what the edge leaves of one.
#[derive(Clone, Copy)]
pub struct Square {
    nx: usize,
    top: usize,
    left: usize,
    wide: usize,
    high: usize,
}

/// All squares of rows of `nx` samples.
#[inline(always)]
pub fn squares(nx: usize, ny: usize) -> impl Iterator<Item = Square> {
    (0..ny).step_by(SIDE).flat_map(move |top| {
        (0..nx).step_by(SIDE).map(move |left| Square {
            nx,
            top,
            left,
            wide: SIDE.min(nx - left),
            high: SIDE.min(ny - top),
        })
    })
}

impl Square {
    /// Number of samples.
    #[inline(always)]
    pub fn len(&self) -> usize {
        self.wide * self.high
    }

    /// Columns of its samples, in every row.
    #[inline(always)]
    pub fn columns(&self) -> std::ops::Range<usize> {
        self.left..self.left + self.wide
    }

    /// Its rows: the row's number, where the row begins among the square's samples, and where among all.
    #[inline(always)]
    pub fn rows(&self) -> impl Iterator<Item = (usize, std::ops::Range<usize>, std::ops::Range<usize>)> {
        let Self {
            nx,
            top,
            left,
            wide,
            high,
        } = *self;
        (0..high).map(move |row| {
            let at = (top + row) * nx + left;
            (top + row, row * wide..(row + 1) * wide, at..at + wide)
        })
    }

    /// Brings its samples together.
    #[inline(always)]
    pub fn take(&self, from: &[f32], to: &mut [f32; TOGETHER]) {
        for (_, square, all) in self.rows() {
            to[square].copy_from_slice(&from[all]);
        }
    }

    /// Puts its samples where they belong.
    #[inline(always)]
    pub fn put(&self, from: &[f32; TOGETHER], to: &mut [f32]) {
        for (_, square, all) in self.rows() {
            to[all].copy_from_slice(&from[square]);
        }
    }
}
