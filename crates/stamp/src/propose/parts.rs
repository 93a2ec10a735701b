//! A drawing in parts, so that what is done at one place costs what stands there.

use crate::area::{Area, Bounds};
use std::sync::OnceLock;

/// Side of a part, mm.
const SIDE: f64 = 20.0;
/// How far a part holds what stands around it, mm.
const BESIDE: f64 = 16.0;

/// An area and, made when first asked for, its overlapping parts.
pub(super) struct Parts<'a> {
    area: &'a Area,
    low: [f64; 2],
    columns: usize,
    parts: Vec<OnceLock<Area>>,
}

impl<'a> Parts<'a> {
    pub fn of(area: &'a Area) -> Self {
        let around = area.bounds().unwrap_or(Bounds::sized(0.0, 0.0));
        let count = |mm: f64| (mm / SIDE) as usize + 1;
        let (columns, rows) = (count(around.width()), count(around.height()));
        Self {
            area,
            low: around.low,
            columns,
            parts: (0..columns * rows).map(|_| OnceLock::new()).collect(),
        }
    }

    /// The part of the area inside a rectangle.
    pub fn clipped(&self, b: &Bounds) -> Area {
        let rows = self.parts.len() / self.columns;
        let cell = |k: usize, count: usize| {
            let middle = (b.low[k] + b.high[k]) / 2.0;
            (((middle - self.low[k]) / SIDE).max(0.0) as usize).min(count - 1)
        };
        let (column, row) = (cell(0, self.columns), cell(1, rows));
        let low = [
            self.low[0] + column as f64 * SIDE,
            self.low[1] + row as f64 * SIDE,
        ];
        let whole = Bounds {
            low,
            high: low.map(|v| v + SIDE),
        }
        .grown(BESIDE);
        if (0..2).any(|k| b.low[k] < whole.low[k] || b.high[k] > whole.high[k]) {
            return self.area.clipped(b);
        }
        self.parts[row * self.columns + column]
            .get_or_init(|| self.area.clipped(&whole))
            .clipped(b)
    }
}
