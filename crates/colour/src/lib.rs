//! Reflectance to appearance: observers, illuminants, CIELAB, colour differences, Kubelka-Munk, dye cards.
//!
//! A colour starts as a [`Spectrum`] (31 reflectances), becomes [`Xyz`] under a [`Viewing`], and from there
//! [`Lab`] for numbers and [`screen`] colours for pictures. Dyes are [`DyeCard`]s: a K/S spectrum per gram,
//! and the constants of binding, bleaching, washing and fading, each with its origin.
//!
//! Everything here is the f64 reference. Picture kernels live elsewhere and take their tables from
//! [`BandTables`]. This crate knows nothing of cloth, routes, files or time.

// A finding is a whole answer to a person; these errors are met once per card, never in a loop.
#![allow(clippy::result_large_err)]

pub mod difference;
pub mod dye;
pub mod fit;
pub mod gamut;
pub mod grey_scale;
pub mod kubelka_munk;
pub mod measured;
pub mod metamerism;
pub mod palette;
pub mod plot;
pub mod recipe;
pub mod screen;
pub mod sorting;
pub mod transport;

mod bands;
mod few_bands;
mod many;
mod scalar;
mod spaces;
mod spectrum;
mod table;
mod viewing;
mod weights;

pub use bands::BandTables;
pub use difference::{cmc, de76, de2000};
pub use dye::DyeCard;
pub use few_bands::{FEW, FewBands};
pub use many::{Spectrum32, labs, labs_into};
pub use palette::{Ground, Palette};
pub use spaces::{Lab, Lch, Xyz, lab, lch};
pub use spectrum::{BANDS, FIRST_NM, STEP_NM, Spectrum, nanometres, spectrum_from, white_cotton};
pub use viewing::{Illuminant, Observer, Viewing, xyz};
