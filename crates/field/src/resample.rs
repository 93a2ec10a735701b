//! From one lattice to another: bilinear up, means down.

use crate::columns::Columns;
use crate::grid::Grid;
use crate::lattice::{Lattice, Rect};

impl Grid {
    /// The field on `rect` of `lattice`, bilinear between our samples; a plain copy on our own lattice.
    ///
    /// Reads exactly `self.lattice.support(rect, lattice)`. Samples of it that are not ours take the
    /// nearest that is; that is a fault of the caller, and a failed assertion in debug builds.
    pub fn sample_onto(&self, lattice: Lattice, rect: Rect) -> Grid {
        if lattice.pitch == self.lattice.pitch {
            return self.crop(rect);
        }
        self.view().sample_through(lattice, rect, |_, _| {})
    }

    /// Its values, lent.
    pub fn view(&self) -> View<'_> {
        View {
            lattice: self.lattice,
            rect: self.rect,
            data: &self.data,
        }
    }

    /// The field where `by` is known, as [`Grid::sample_onto`], times `by`: in one pass, since what a pass over a plane
    /// takes is memory.
    pub fn sample_times(&self, by: &Grid) -> Grid {
        if by.lattice.pitch == self.lattice.pitch {
            let mut product = self.crop(by.rect);
            times_row(&by.data, &mut product.data);
            return product;
        }
        self.view()
            .sample_through(by.lattice, by.rect, |y, row| times_row(by.row(y), row))
    }

    /// The field on `rect` of the coarser `lattice`: the mean of our samples in each of its cells, in
    /// one fixed order of summing; a plain copy on our own lattice.
    ///
    /// Reads exactly `self.lattice.members(rect, lattice)`; samples that are not ours are left out of
    /// the mean, which is a fault of the caller, and a failed assertion in debug builds. A cell
    /// without any sample takes the nearest one.
    pub fn gather_down(&self, lattice: Lattice, rect: Rect) -> Grid {
        if lattice.pitch == self.lattice.pitch {
            return self.crop(rect);
        }
        debug_assert!(
            lattice.pitch > self.lattice.pitch,
            "gather_down goes to coarser lattices"
        );
        debug_assert!(
            self.rect.contains(self.lattice.members(rect, lattice)),
            "cells {rect:?} of {} mm reach outside {:?} at {} mm",
            lattice.pitch,
            self.rect,
            self.lattice.pitch
        );
        let mut out = Grid::flat(lattice, rect, 0.0);
        if self.rect.is_empty() || rect.is_empty() {
            return out;
        }
        let cut = |i: i32, from: i32, to: i32| {
            let first = self.lattice.first_in(i, lattice).clamp(from, to - 1);
            (first, self.lattice.first_in(i + 1, lattice).clamp(first + 1, to))
        };
        let columns: Vec<(usize, usize)> = (rect.x0..rect.x1())
            .map(|i| cut(i, self.rect.x0, self.rect.x1()))
            .map(|(a, b)| {
                (
                    a.abs_diff(self.rect.x0) as usize,
                    b.abs_diff(self.rect.x0) as usize,
                )
            })
            .collect();
        let mut sums = vec![0.0f32; self.rect.nx as usize];
        for (y, to) in out.rows_mut() {
            let (first, end) = cut(y, self.rect.y0, self.rect.y1());
            sums.fill(0.0);
            for j in first..end {
                add_row(&mut sums, self.row(j));
            }
            for (t, &(a, b)) in to.iter_mut().zip(&columns) {
                let count = (b - a) as f32 * end.abs_diff(first) as f32;
                *t = sums[a..b].iter().sum::<f32>() / count;
            }
        }
        out
    }
}

/// Values on a rectangle of a lattice that belong to somebody else.
#[derive(Clone, Copy, Debug)]
pub struct View<'a> {
    /// Their lattice.
    pub lattice: Lattice,
    /// Where they lie.
    pub rect: Rect,
    /// Row by row.
    pub data: &'a [f32],
}

impl<'a> View<'a> {
    /// Row `y` of the lattice.
    ///
    /// # Panics
    /// If `y` is not a row of `rect`.
    fn row(&self, y: i32) -> &'a [f32] {
        let nx = self.rect.nx as usize;
        let start = y.abs_diff(self.rect.y0) as usize * nx;
        &self.data[start..start + nx]
    }

    /// As [`Grid::sample_onto`].
    pub fn sample_onto(self, lattice: Lattice, rect: Rect) -> Grid {
        if lattice.pitch == self.lattice.pitch && self.rect.contains(rect) {
            let first = rect.x0.abs_diff(self.rect.x0) as usize;
            let mut data = Vec::with_capacity(rect.area());
            for y in rect.y0..rect.y1() {
                data.extend_from_slice(&self.row(y)[first..first + rect.nx as usize]);
            }
            return Grid { lattice, rect, data };
        }
        if lattice.pitch == self.lattice.pitch {
            let own = Grid {
                lattice: self.lattice,
                rect: self.rect,
                data: self.data.to_vec(),
            };
            return own.crop(rect);
        }
        self.sample_through(lattice, rect, |_, _| {})
    }

    /// On another lattice; `then` gets each row, with its number, as soon as it is known.
    fn sample_through(self, lattice: Lattice, rect: Rect, mut then: impl FnMut(i32, &mut [f32])) -> Grid {
        debug_assert!(
            self.rect.contains(self.lattice.support(rect, lattice)),
            "{rect:?} at {} mm needs samples outside {:?} at {} mm",
            lattice.pitch,
            self.rect,
            self.lattice.pitch
        );
        let mut out = Grid::flat(lattice, rect, 0.0);
        if self.rect.is_empty() || rect.is_empty() {
            return out;
        }
        let mut rows = RowsOnto::on(self, lattice, rect);
        for (y, to) in out.rows_mut() {
            let (upper, lower, weight) = rows.around(y);
            if weight == 0.0 {
                to.copy_from_slice(upper);
            } else {
                between_rows(upper, lower, weight, to);
            }
            then(y, to);
        }
        out
    }
}

/// The rows of a finer lattice between the rows of a grid, for whoever reads them one by one: no plane is written.
pub struct RowsOnto<'a> {
    source: View<'a>,
    lattice: Lattice,
    columns: Columns,
    upper: Spread,
    lower: Spread,
}

/// One row of the source on the target's columns.
struct Spread {
    y: Option<i32>,
    row: Vec<f32>,
}

impl<'a> RowsOnto<'a> {
    /// Rows of `rect` of `lattice`, which is finer than the grid's own; reads what [`Grid::sample_onto`] reads.
    ///
    /// # Panics
    /// If the grid is empty.
    pub fn new(source: &'a Grid, lattice: Lattice, rect: Rect) -> Self {
        Self::on(source.view(), lattice, rect)
    }

    fn on(source: View<'a>, lattice: Lattice, rect: Rect) -> Self {
        let spread = || Spread {
            y: None,
            row: vec![0.0; rect.nx as usize],
        };
        Self {
            source,
            lattice,
            columns: Columns::between((source.lattice, source.rect), (lattice, rect)),
            upper: spread(),
            lower: spread(),
        }
    }

    /// The two rows around row `y`, on the target's columns, and the weight of the second. Quick for rows in order.
    pub fn around(&mut self, y: i32) -> (&[f32], &[f32], f32) {
        let (lo, hi, weight) = self.source.lattice.between(y, self.lattice);
        let rect = self.source.rect;
        let (lo, hi) = (lo.clamp(rect.y0, rect.y1() - 1), hi.clamp(rect.y0, rect.y1() - 1));
        if self.upper.y != Some(lo) && self.lower.y == Some(lo) {
            std::mem::swap(&mut self.upper, &mut self.lower);
        }
        self.upper.bring(self.source, lo, &mut self.columns);
        if weight == 0.0 || lo == hi {
            return (&self.upper.row, &self.upper.row, 0.0);
        }
        self.lower.bring(self.source, hi, &mut self.columns);
        (&self.upper.row, &self.lower.row, weight)
    }
}

impl Spread {
    fn bring(&mut self, source: View, y: i32, columns: &mut Columns) {
        if self.y != Some(y) {
            self.y = Some(y);
            columns.read(source.row(y), &mut self.row);
        }
    }
}

crate::lanes! {
    fn between_rows(upper: &[f32], lower: &[f32], weight: f32, to: &mut [f32]) {
        for ((t, &a), &b) in to.iter_mut().zip(upper).zip(lower) {
            *t = a + weight * (b - a);
        }
    }

    fn times_row(by: &[f32], row: &mut [f32]) {
        for (v, &b) in row.iter_mut().zip(by) {
            *v *= b;
        }
    }

    fn add_row(sums: &mut [f32], row: &[f32]) {
        for (s, &v) in sums.iter_mut().zip(row) {
            *s += v;
        }
    }
}
