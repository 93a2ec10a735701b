//! Artwork to copper stamp: what of a drawing is wax, whether it can be bent from copper strip, how
//! impressions follow one another on the cloth, and how far any point of the cloth is from the wax.
//!
//! - [`scan`] judges the XML of a drawing; [`Artwork::read`] reads it as painted.
//! - [`Stamp::new`] puts it to size and measures it: [`Stamp::report`], [`Stamp::strips`].
//! - [`Lattice`] places and counts impressions; [`impressions_on`] lets the hand err; [`wax_row`] gives the
//!   wax distance along a row of cloth.
//!
//! Lengths are millimetres (f64 for geometry, f32 in the mask), x across the cloth, y along it. This crate
//! knows nothing of bolts, dyes, files or random numbers: seeds come in as a function.

mod area;
mod artwork;
mod band;
mod check;
mod copper;
mod drawing;
mod edges;
mod impression;
mod layout;
mod limits;
mod mask;
mod medial;
mod norm;
mod outline;
mod paint;
mod propose;
mod register;
mod repeat;
mod scan;
mod slip;
mod stamp;
mod strips;
mod tone;
mod trace;
mod width;

pub use area::{Area, Bounds, FARTHEST, Point, Ring, Rule, Shape};
pub use artwork::{Artwork, Ink, MADE_BY, Reading, WAX_BELOW, states_size};
pub use band::{Along, Band, BandSeam, ClosedBand, Laid, Meeting, Part, Run, Spot};
pub use check::{BuildRule, Fault, Report};
pub use copper::{Build, Copper};
pub use drawing::drawing;
pub use impression::{HandError, Impression, impressions_on, wax_row};
pub use layout::{Lattice, Layout, Placements, Pose};
pub use limits::{Limit, Limits};
pub use mask::{Mask, PITCH, REACH};
pub use medial::{Disc, Medial, Side, Stretch, WIDEST_DISC};
pub use norm::{Hours, Norm};
pub use paint::{Rgb, lightness};
pub use propose::{Change, Cure, Proposal};
pub use register::{
    MARK_MM, Meets, Misfit, Misfits, Register, SEEN_ALONG_MM, Tight, register_marks, room_for,
};
pub use repeat::{Border, Break, Census, Closed, Join, Seams, Tolerance, Wrong};
pub use scan::{MOST_BYTES, MOST_ELEMENTS, MOST_NESTING, scan};
pub use slip::{Opened, Slip, Slips, Visible};
pub use stamp::{LEAST_MM, MOST_MM, Stamp};
pub use strips::{CORNER_MM, Field, Joint, Label, NUMBER_MM, Strip, StripPlan, Use};
pub use trace::{MOST_PIXELS, MOST_SIDE, Traced, Tracing, is_picture, trace};
pub use width::{WIDEST, Width, Widths};
