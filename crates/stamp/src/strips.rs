//! The copper of a stamp, piece by piece: lines that one strip prints, outlines of wider parts, inner strips
//! that carry the wax across them, and dots.
//!
//! A line no wider than one strip prints takes one strip along its middle; its middle is the medial axis. The
//! outline of a wider part takes a strip whose outer face stands on the outline. Strips are cut where a bend
//! would be too tight for the copper and where they meet others; a part too wide for the wax to bridge is
//! hatched. Lengths are those of the polylines, so they are exact for the polygon.

mod chains;
mod corners;
mod ends;
mod hatch;
mod lines;
mod number;

use crate::area::{Area, Bounds, Point};
use crate::copper::{Build, Copper};
use crate::limits::{Limit, Limits};
use crate::mask::Mask;
use crate::medial::{Medial, Side};
pub(crate) use lines::thinned;
pub use number::{Label, NUMBER_MM};

/// What decides how copper is cut, mm.
#[derive(Clone, Copy, Debug)]
struct Bending {
    /// Thickness of the strip.
    strip_mm: f64,
    /// Widest line that one strip prints.
    single_mm: f64,
    /// Tightest bend, radius.
    bend_mm: f64,
    /// Widest part that wax bridges; inner strips stand this far apart.
    span_mm: f64,
}

/// What a strip is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Use {
    /// Prints a line by itself: it stands along the line's middle.
    Line,
    /// Bounds a wider part: its outer face stands on the outline.
    Outline,
    /// Stands inside a wider part and carries wax across it.
    Fill,
    /// A dot: a pin, or a strip rolled up.
    Dot,
}

/// A strip to be bent and soldered.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Its number on the drawing, from 1. All inner strips of one part share the number of their field.
    pub number: usize,
    /// What it is for.
    pub kind: Use,
    /// Its course, mm in the stamp as it prints. For a dot: its middle, once.
    pub points: Vec<Point>,
    /// Whether the end joins the beginning: a ring with one joint.
    pub closed: bool,
    /// Width of the line it prints, mm, on average; of a dot its diameter.
    pub prints_mm: f64,
}

impl Strip {
    /// Its length, mm. A dot has none.
    pub fn mm(&self) -> f64 {
        let open: f64 = self.points.windows(2).map(|w| distance(w[0], w[1])).sum();
        let close = match (self.points.first(), self.points.last()) {
            (Some(a), Some(b)) if self.closed => distance(*a, *b),
            _ => 0.0,
        };
        open + close
    }
    /// The point half way along it.
    pub fn middle(&self) -> Option<Point> {
        let mut left = self.mm() / 2.0;
        let last = self.closed.then(|| self.points.first()).flatten();
        let next = self.points.iter().skip(1).chain(last);
        for (a, b) in self.points.iter().zip(next) {
            let length = distance(*a, *b);
            if length >= left && length > 0.0 {
                let t = left / length;
                return Some([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
            }
            left -= length;
        }
        self.points.first().copied()
    }
}

/// A part that is hatched, with one number for all its inner strips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// The number on the drawing.
    pub number: usize,
    /// How many inner strips.
    pub strips: usize,
    /// Their length together, mm.
    pub mm: f64,
}

/// Where strips are soldered to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Where, mm.
    pub at: Point,
    /// How many strips meet.
    pub strips: usize,
}

/// All copper of a stamp.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StripPlan {
    /// The strips, by number.
    pub strips: Vec<Strip>,
    /// Hatched parts, by number.
    pub fields: Vec<Field>,
    /// Joints between strips.
    pub joints: Vec<Joint>,
    /// Numbers as they stand on the drawing, clear of each other where there is room.
    pub labels: Vec<Label>,
    /// The rectangle that frame and grid must hold, mm; none for an empty stamp.
    pub frame: Option<Bounds>,
}

/// Farthest that the printed line may leave the drawing in a bend, mm: beyond it the strip is cut and butted.
pub const CORNER_MM: f64 = 0.25;

impl StripPlan {
    /// The strips of an area, mm, with its mask.
    pub fn of(area: &Area, mask: &Mask, limits: &Limits) -> Self {
        let mut plan = Self::without_labels(area, &Medial::on(area, Side::Wax), mask, limits);
        plan.labels = number::labels(&plan.strips);
        plan
    }

    /// The strips as they are counted and weighed; the numbers have no place on the drawing yet.
    pub(crate) fn without_labels(area: &Area, medial: &Medial, mask: &Mask, limits: &Limits) -> Self {
        let bending = Bending {
            strip_mm: limits.mm(Limit::Strip),
            single_mm: limits.single_mm(),
            bend_mm: limits.mm(Limit::Bend),
            span_mm: limits.mm(Limit::Span),
        };
        let mut strips = lines::strips(area, medial, &bending);
        let parts = hatch::fields(area, mask, bending.span_mm);
        strips.sort_by_cached_key(reading_order);
        for (k, strip) in strips.iter_mut().enumerate() {
            strip.number = k + 1;
        }
        let mut fields = Vec::new();
        for part in parts {
            let number = strips.last().map_or(0, |s| s.number) + 1;
            let inner = part.into_iter().map(|ends| Strip {
                number,
                kind: Use::Fill,
                points: ends.to_vec(),
                closed: false,
                prints_mm: bending.strip_mm,
            });
            let from = strips.len();
            strips.extend(inner);
            fields.push(Field {
                number,
                strips: strips.len() - from,
                mm: strips[from..].iter().map(Strip::mm).sum(),
            });
        }
        let joints = ends::joints(&strips, bending.single_mm / 2.0 + bending.strip_mm);
        Self {
            strips,
            fields,
            joints,
            labels: Vec::new(),
            frame: area.bounds(),
        }
    }

    /// What goes into it.
    pub(crate) fn build(&self, area: &Area, limits: &Limits) -> Build {
        let copper = limits.copper();
        let copper_kg = self.copper_kg(&copper);
        Build {
            outline_m: area.outline_mm() / 1e3,
            strip_m: self.metres(Use::Line) + self.metres(Use::Outline),
            fill_m: self.metres(Use::Fill),
            copper_kg,
            weight_kg: copper_kg + copper.frame.value,
        }
    }

    /// Length of the strips of one use, m.
    pub fn metres(&self, kind: Use) -> f64 {
        self.strips
            .iter()
            .filter(|s| s.kind == kind)
            .map(Strip::mm)
            .sum::<f64>()
            / 1e3
    }
    /// Length of all strips, m.
    pub fn all_metres(&self) -> f64 {
        self.strips.iter().map(Strip::mm).sum::<f64>() / 1e3
    }
    /// How many strips of one use.
    pub fn count(&self, kind: Use) -> usize {
        self.strips.iter().filter(|s| s.kind == kind).count()
    }
    /// Length of the frame around the stamp, m.
    pub fn frame_metres(&self) -> f64 {
        self.frame.map_or(0.0, |b| 2.0 * (b.width() + b.height()) / 1e3)
    }
    /// Mass of strips and pins, kg, without frame and handle. A pin is as high as the strip.
    pub fn copper_kg(&self, copper: &Copper) -> f64 {
        let pin = |s: &Strip| std::f64::consts::FRAC_PI_4 * (s.prints_mm / 1e3).powi(2) * copper.height.value;
        let pins: f64 = self.strips.iter().filter(|s| s.kind == Use::Dot).map(pin).sum();
        copper.strip_kg(self.all_metres()) + pins * copper.density.value
    }
}

/// By bands of 20 mm from the top, in each from the left.
fn reading_order(strip: &Strip) -> (i64, i64) {
    let [x, y] = strip.middle().unwrap_or_default();
    ((y / 20.0).floor() as i64, (x * 1e3) as i64)
}

pub(crate) fn distance(a: Point, b: Point) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

/// Distance of a point from a segment.
pub(crate) fn away(p: Point, a: Point, b: Point) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let v = [p[0] - a[0], p[1] - a[1]];
    let len2 = d[0] * d[0] + d[1] * d[1];
    let t = if len2 > 0.0 {
        ((v[0] * d[0] + v[1] * d[1]) / len2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (v[0] - t * d[0]).hypot(v[1] - t * d[1])
}
