//! Values on a rectangle of a lattice.

use crate::lattice::{Lattice, Rect};

/// f32 values on a rectangle of samples, row by row.
#[derive(Clone, PartialEq, Debug)]
pub struct Grid {
    /// The lattice of the samples.
    pub lattice: Lattice,
    /// Which samples.
    pub rect: Rect,
    /// `rect.area()` values; row `y` begins at `(y - rect.y0) * nx`.
    pub data: Vec<f32>,
}

impl Grid {
    /// A grid with one value everywhere.
    pub fn flat(lattice: Lattice, rect: Rect, value: f32) -> Grid {
        Grid {
            lattice,
            rect,
            data: vec![value; rect.area()],
        }
    }

    /// A grid filled row by row: `fill(y, row)` gets the row's number on the lattice and its values.
    pub fn by_rows(lattice: Lattice, rect: Rect, mut fill: impl FnMut(i32, &mut [f32])) -> Grid {
        let mut grid = Grid::flat(lattice, rect, 0.0);
        for (y, row) in grid.rows_mut() {
            fill(y, row);
        }
        grid
    }

    /// Row `y` of the lattice.
    ///
    /// # Panics
    /// If `y` is not a row of `rect`.
    pub fn row(&self, y: i32) -> &[f32] {
        let nx = self.rect.nx as usize;
        let start = self.row_index(y) * nx;
        &self.data[start..start + nx]
    }

    /// Row `y` of the lattice, to write.
    ///
    /// # Panics
    /// If `y` is not a row of `rect`.
    pub fn row_mut(&mut self, y: i32) -> &mut [f32] {
        let nx = self.rect.nx as usize;
        let start = self.row_index(y) * nx;
        &mut self.data[start..start + nx]
    }

    /// All rows with their numbers on the lattice, first to last.
    pub fn rows(&self) -> impl Iterator<Item = (i32, &[f32])> {
        (self.rect.y0..).zip(self.data.chunks_exact(self.rect.nx.max(1) as usize))
    }

    /// All rows with their numbers on the lattice, to write.
    pub fn rows_mut(&mut self) -> impl Iterator<Item = (i32, &mut [f32])> {
        (self.rect.y0..).zip(self.data.chunks_exact_mut(self.rect.nx.max(1) as usize))
    }

    /// The value in column `x`, row `y`, if it is one of ours.
    pub fn get(&self, x: i32, y: i32) -> Option<f32> {
        self.rect
            .has(x, y)
            .then(|| self.row(y)[x.abs_diff(self.rect.x0) as usize])
    }

    /// The part on `rect`. Samples that are not ours take the nearest that is; asking for one is a
    /// fault of the caller, and a failed assertion in debug builds.
    pub fn crop(&self, rect: Rect) -> Grid {
        debug_assert!(
            self.rect.contains(rect),
            "crop {rect:?} reaches outside {:?}",
            self.rect
        );
        let mut data = Vec::with_capacity(rect.area());
        for y in rect.y0..rect.y1() {
            let row = self.row(self.held_y(y));
            let (a, b) = (self.held_x(rect.x0), self.held_x(rect.x1() - 1));
            if self.rect.contains(rect) {
                let first = a.abs_diff(self.rect.x0) as usize;
                data.extend_from_slice(&row[first..first + rect.nx as usize]);
            } else {
                data.extend((rect.x0..rect.x1()).map(|x| row[x.clamp(a, b).abs_diff(self.rect.x0) as usize]));
            }
        }
        Grid {
            lattice: self.lattice,
            rect,
            data,
        }
    }

    /// The mean in f64, rows summed first to last; 0 of nothing.
    pub fn mean(&self) -> f64 {
        if self.data.is_empty() {
            return 0.0;
        }
        let sum: f64 = self
            .rows()
            .map(|(_, row)| row.iter().map(|&v| f64::from(v)).sum::<f64>())
            .sum();
        sum / self.data.len() as f64
    }

    /// The column of ours nearest to `x`.
    pub(crate) fn held_x(&self, x: i32) -> i32 {
        x.clamp(self.rect.x0, self.rect.x1() - 1)
    }

    /// The row of ours nearest to `y`.
    pub(crate) fn held_y(&self, y: i32) -> i32 {
        y.clamp(self.rect.y0, self.rect.y1() - 1)
    }

    fn row_index(&self, y: i32) -> usize {
        assert!(
            self.rect.y0 <= y && y < self.rect.y1(),
            "row {y} is not in {:?}",
            self.rect
        );
        y.abs_diff(self.rect.y0) as usize
    }
}
