//! What a stamp of a design prints on a cloth: all over it, or along its edges.

use crate::{Cloth, StampUse};
use stamp::{Band, Laid, Lattice, Mask, Part, Placements};
use units::Length;

/// Where one stamp's impressions go on a cloth.
#[derive(Clone, Debug)]
pub enum Pattern {
    /// All over it.
    Over(Lattice, Placements),
    /// Along its edges: which of a border's stamps.
    Along(Band, Laid, Part),
}

/// One stamp of those that print together.
#[derive(Clone, Debug)]
pub struct Prints<'a> {
    /// Its id inside the design.
    pub id: &'a str,
    /// The stamp.
    pub stamp: &'a std::sync::Arc<stamp::Stamp>,
    /// Where it prints.
    pub pattern: Pattern,
    /// How often, in whole placements.
    pub count: u32,
}

impl Pattern {
    /// The impressions whose wax can meet `part` of the cloth, mm, as the hand sets them.
    pub fn impressions_on(
        &self,
        part: &stamp::Bounds,
        mask: &Mask,
        error: &stamp::HandError,
        unit: impl Fn(i32, i32, u32) -> f32,
    ) -> Vec<stamp::Impression> {
        match self {
            Self::Over(lattice, places) => stamp::impressions_on(part, mask, lattice, places, error, unit),
            Self::Along(band, laid, which) => band.impressions_on(laid, *which, part, mask, error, unit),
        }
    }
}

impl StampUse {
    /// Where impressions go, if they go all over the cloth.
    pub fn repeat(&self) -> Lattice {
        self.stamp.lattice(self.layout)
    }
    /// Width of the repeat.
    pub fn width(&self) -> Length {
        Length::mm(self.stamp.repeat_mm()[0])
    }
    /// The band that it prints, if it is a border.
    pub fn band(&self) -> Option<Band> {
        self.border.as_ref().map(|border| Band {
            along: border.along,
            repeat_mm: self.stamp.repeat_mm(),
            inset_mm: border.inset.to_mm(),
        })
    }

    /// Everything that is printed on a cloth: this stamp, and the corner's if it turns at one.
    pub fn prints(&self, cloth: &Cloth) -> Vec<Prints<'_>> {
        let size = [cloth.width.to_mm(), cloth.length.to_mm()];
        let Some((border, band)) = self.border.as_ref().zip(self.band()) else {
            let places = self.repeat().placements(size[0], size[1]);
            return vec![Prints {
                id: &self.id,
                stamp: &self.stamp,
                pattern: Pattern::Over(self.repeat(), places),
                count: places.whole,
            }];
        };
        let laid = band.on(size);
        let part = |id, stamp, part| Prints {
            id,
            stamp,
            count: laid.count(part),
            pattern: Pattern::Along(band, laid.clone(), part),
        };
        let corner = border.corner.as_ref();
        let corner = corner.map(|(id, stamp, _)| part(id.as_str(), stamp, Part::Corner));
        std::iter::once(part(self.id.as_str(), &self.stamp, Part::Border))
            .chain(corner)
            .collect()
    }

    /// Impressions on a cloth, of all its stamps.
    pub fn impressions(&self, cloth: &Cloth) -> u32 {
        self.prints(cloth).iter().map(|one| one.count).sum()
    }

    /// Waxed share of a cloth, and length of wax edge per area, 1/m. Where a border's impressions overlap to fill
    /// their run, that little counts twice.
    pub fn coverage(&self, cloth: &Cloth) -> (f64, f64) {
        if self.border.is_none() {
            let repeat = self.repeat();
            let cell = repeat.repeat_mm[0] * repeat.repeat_mm[1] / 1e6;
            let edge = self.stamp.area().outline_mm() / 1000.0 / cell;
            return (repeat.coverage(self.stamp.area()), edge);
        }
        let m2 = cloth.width.0 * cloth.length.0;
        let all = self.prints(cloth);
        let sum = |of: &dyn Fn(&stamp::Area) -> f64| -> f64 {
            all.iter()
                .map(|one| f64::from(one.count) * of(one.stamp.area()))
                .sum()
        };
        let share = sum(&|area| area.mm2() / 1e6) / m2;
        (share.min(1.0), sum(&|area| area.outline_mm() / 1e3) / m2)
    }
}
