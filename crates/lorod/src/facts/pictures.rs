//! Small pictures of cloth for paper and contact sheets.

use cloth::{Bolt, Picture, Refused, Shot, Tiling};
use route::{Design, LotShape, Workshop};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use units::Length;

/// The part of the bolt that small pictures show, mm across: some 40 % more than a stamp, to see it among its neighbours.
const ACROSS: f64 = 290.0;

/// A bolt with everything decided, of which many pictures are taken.
pub struct Roll {
    bolt: Bolt,
}

impl Roll {
    /// The first bolt of a lot that is named like the design: the same cloth as on every other picture.
    pub fn of(design: &Arc<Design>, shop: &Workshop) -> Self {
        let lot = LotShape::new(&design.id, 1, 0, design.cloth);
        Self {
            bolt: Bolt::prepare(design, &lot, shop, None),
        }
    }

    /// The bolt.
    pub const fn bolt(&self) -> &Bolt {
        &self.bolt
    }

    /// A piece from the inside of the bolt, after so many steps.
    ///
    /// # Errors
    /// If the picture is stopped, or has no pixels.
    pub fn piece(&self, steps: usize, pixels: (u32, u32), stop: &AtomicBool) -> Result<Picture, Refused> {
        let cloth = self.bolt.lot.cloth;
        let width = Length::mm(ACROSS.min(cloth.width.to_mm()));
        let height = width * (f64::from(pixels.1) / f64::from(pixels.0.max(1)));
        let inside = |whole: Length, part: Length| Length(((whole.0 - part.0) / 2.0).clamp(0.0, 0.4));
        let shot = Shot {
            x: inside(cloth.width, width),
            y: inside(cloth.length, height),
            width,
            height: if height.0 < cloth.length.0 {
                height
            } else {
                cloth.length
            },
            dpi: f64::from(pixels.0) / (width.to_mm() / 25.4),
            steps,
        };
        shot.take(&self.bolt, &Tiling::default(), &|_| {}, stop)
    }
}
