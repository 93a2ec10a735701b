//! From a scanned or photographed pen drawing to wax: decode, find the ink under uneven light, follow its edge
//! between pixels, and draw smooth curves through it that keep their corners.

mod contour;
mod decode;
mod fit;
mod ink;

use crate::area::{Area, Ring, Rule, ring_mm2};
use crate::artwork::Artwork;
use words::{Arg, Finding, Place, Weight, say};

pub use decode::{MOST_PIXELS, MOST_SIDE};

/// How a scan is traced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tracing {
    /// Where ink begins, as a share of the way from ink to the paper around it, 0.05..=0.95. Higher takes paler
    /// strokes.
    pub threshold: f64,
    /// How much roughness is smoothed away, pixels, 0..=10: the spread of the blur before the edge is followed.
    pub smoothing: f64,
    /// How far a curve may leave the edge, pixels, 0.1..=5.
    pub tolerance: f64,
    /// Spots of fewer pixels than this are dust.
    pub dust: f64,
}

impl Default for Tracing {
    fn default() -> Self {
        Self {
            threshold: 0.5,
            smoothing: 0.8,
            tolerance: 0.4,
            dust: 12.0,
        }
    }
}

impl Tracing {
    /// Settings as given, none beyond what it allows; not a number is the usual value.
    #[must_use]
    pub fn bounded(self) -> Self {
        let usual = Self::default();
        let within =
            |v: f64, low: f64, high: f64, usual: f64| if v.is_nan() { usual } else { v.clamp(low, high) };
        Self {
            threshold: within(self.threshold, 0.05, 0.95, usual.threshold),
            smoothing: within(self.smoothing, 0.0, 10.0, usual.smoothing),
            tolerance: within(self.tolerance, 0.1, 5.0, usual.tolerance),
            dust: within(self.dust, 0.0, 1e6, usual.dust),
        }
    }
}

/// A traced drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Traced {
    /// The drawing; its page is the whole picture.
    pub artwork: Artwork,
    /// Whether the file says how large it is. If not, the page counts a pixel as 1/96 inch, and the size must be
    /// asked for.
    pub sized: bool,
    /// Pixels across and down.
    pub pixels: [usize; 2],
}

/// Whether bytes begin like a PNG or a JPEG.
pub fn is_picture(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x89PNG\r\n\x1a\n") || bytes.starts_with(b"\xff\xd8\xff")
}

/// Traces a PNG or JPEG. `path` is its name as the user knows it.
///
/// # Errors
/// A file that is no such picture, is damaged, or has more than [`MOST_PIXELS`] pixels; a picture without ink.
pub fn trace(bytes: &[u8], path: &str, tracing: &Tracing) -> Result<Traced, Vec<Finding>> {
    let tracing = tracing.bounded();
    let grey = decode::grey(bytes).map_err(|trouble| vec![decode::refused(trouble, path)])?;
    let pixels = [grey.width, grey.height];
    let mm = grey.mm_per_pixel.unwrap_or(25.4 / 96.0);
    let sized = grey.mm_per_pixel.is_some();
    let ink = ink::ink(grey, tracing.threshold, tracing.smoothing);
    let mut rings = Vec::new();
    let mut edge = 0;
    for line in contour::contours(&ink) {
        edge += line.len();
        if edge > MOST_EDGE {
            return Err(vec![too_busy(path)]);
        }
        if ring_mm2(&line).abs() >= tracing.dust {
            let ring: Ring = fit::smooth(&line, tracing.tolerance);
            rings.push(ring.into_iter().map(|p| [p[0] * mm, p[1] * mm]).collect());
        }
    }
    let area = Area::filled_if_simple(&rings, Rule::EvenOdd).map_err(|_| vec![too_busy(path)])?;
    if area.is_empty() {
        return Err(vec![no_ink(path)]);
    }
    let size_mm = pixels.map(|n| n as f64 * mm);
    Ok(Traced {
        artwork: Artwork::from_area(area, size_mm),
        sized,
        pixels,
    })
}

/// Most points of all edges together, a bound on time and memory: a page of noise has more, a drawing never.
const MOST_EDGE: usize = 6_000_000;

fn here(path: &str) -> Place {
    Place::File {
        path: path.to_string(),
        span: 0..0,
    }
}

fn too_busy(path: &str) -> Finding {
    Finding::new(
        "scan-busy",
        Weight::Wrong,
        here(path),
        say!(
            "The picture is so full of small edges that it cannot be traced.",
            "Gambar terlalu penuh tepi kecil sehingga tidak bisa dijiplak."
        ),
    )
    .remedy(say!(
        "Raise the smoothing, or scan pen on plain paper.",
        "Naikkan penghalusan, atau pindai tinta di kertas polos."
    ))
}

fn no_ink(path: &str) -> Finding {
    Finding::new(
        "scan-without-ink",
        Weight::Wrong,
        here(path),
        say!("There is no ink on the paper.", "Tidak ada tinta di kertas."),
    )
    .allow(say!(
        "Strokes that are clearly darker than the paper around them.",
        "Goresan yang jelas lebih gelap dari kertas di sekitarnya."
    ))
    .remedy(say!(
        "Raise the threshold, or ink the drawing darker.",
        "Naikkan ambang, atau tebalkan tinta gambar."
    ))
}

pub(crate) fn number(n: usize) -> Arg {
    Arg::Number(n as f64, 0)
}
