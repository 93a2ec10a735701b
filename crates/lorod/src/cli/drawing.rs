//! Drawings of ours as files: SVG as it is, PNG for whoever gets it by telephone.

use super::{End, out};
use crate::facts::raster::paint;
use clap::Args;
use std::path::{Path, PathBuf};
use words::{Arg, Finding, Place, Weight, say};

/// How a question that has a plot is answered.
#[derive(Debug, Args)]
pub struct Answer {
    /// Plot to write: .svg or .png
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// One JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// Pixels to one of a drawing's own: sharp on a telephone.
const SCALE: f32 = 2.0;

/// Writes an SVG of ours under a name that ends in `.svg` or `.png`.
///
/// # Errors
/// If the name ends otherwise, or the file cannot be written.
pub fn write(path: &Path, svg: &str) -> Result<(), End> {
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("svg") => out::write(path, svg.as_bytes()),
        Some("png") => {
            let picture = paint(svg, SCALE).map_err(|finding| End::refused(vec![finding]))?;
            let png = cloth::png(&picture, 96.0 * f64::from(SCALE));
            out::write(path, &png.map_err(|error| End::disk(path, &error.into()))?)
        }
        _ => Err(End::usage(
            Finding::new(
                "picture-ending",
                Weight::Wrong,
                Place::Request,
                say!(
                    "the name {file} does not say what kind of picture it is",
                    "nama {file} tidak menyebut jenis gambarnya",
                    file = Arg::Name(path.display().to_string())
                ),
            )
            .allow(say!(
                "names that end in .svg or .png",
                "nama yang berakhir .svg atau .png"
            )),
        )),
    }
}
