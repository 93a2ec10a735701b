//! Develops cloth through a route: any rectangle of any bolt, at any resolution, after any operation.
//!
//! A [`Bolt`] holds what every operation decided over the whole bolt ([`route::Hand`]); [`develop`] runs the
//! steps on one tile; a [`Shot`] says which rectangle a picture shows, and [`Shot::take`] makes it in
//! parallel tiles. A [`Film`] shows cloth while its route is being changed: what comes before the change is not done
//! again. The same bits come out for any tile size, thread count and SIMD width.
//!
//! [`Shot::write`] writes pictures of any size strip by strip, [`Pyramid`] the same cloth at many resolutions.
//!
//! This crate knows no files and no pages: pictures leave it as bytes.

mod afar;
pub mod aim;
mod appearance;
mod bolt;
mod develop;
mod film;
pub mod lot;
pub mod photo;
mod places;
mod png_out;
mod pyramid;
mod sheet;
mod shot;
mod sight;
pub mod window;

pub use afar::{AFAR, Reads, StandsOut, from_afar, stands_out};
pub use appearance::{Appearance, Region};
pub use bolt::{Bolt, averages};
pub use develop::{Tiling, develop};
pub use film::{Film, Scene};
pub use png_out::{png, png_plain};
pub use pyramid::{Level, Place, Pyramid, TILE};
pub use sheet::{Disk, Format};
pub use shot::{NotWritten, Picture, Refused, Shot, WIDEST_SAMPLE};
pub use sight::{Reading, read_halves, read_regions};
