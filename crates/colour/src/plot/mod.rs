//! Plots that stand on a sheet by themselves: the title is a question, the first line its answer, the small print says
//! what it rests on. Plain series for whoever draws otherwise; SVG as text for everyone else.
//!
//! Only cloth has colour: dyes are shown as they look, everything else is ink.

mod gamut;
mod ladder;
mod names;
mod palettes;
mod paper;
mod shades;
mod spectra;
mod store;

pub use gamut::{GamutTarget, gamut_svg, gamut_svg_narrow};
pub use ladder::{LadderSeries, ladder_series, ladder_svg};
pub use palettes::palettes_svg;
pub use shades::shades_svg;
pub use spectra::{Group, Shown, lab_note, spectra_svg};
pub use store::{Store, StorePoint, store_points, store_svg};

/// A colour of cloth as a screen shows it, `#rrggbb`.
pub fn hex_of(lab: crate::Lab) -> String {
    paper::seen_hex(lab)
}
