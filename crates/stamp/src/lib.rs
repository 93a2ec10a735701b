//! Artwork to copper stamp: outlines, layouts, the wax mask as distance.

mod area;
mod artwork;
mod outline;
mod paint;
mod scan;
mod tone;

pub use area::{Area, Bounds, Point, Ring, Rule, Shape};
pub use artwork::{Artwork, Ink, Reading, WAX_BELOW};
pub use paint::{Rgb, lightness};
pub use scan::{MOST_BYTES, MOST_ELEMENTS, MOST_NESTING, scan};
