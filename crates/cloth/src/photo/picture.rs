//! A picture as a camera wrote it.

use colour::screen::decode;
use words::{Arg, Finding, Place, Weight, say};

/// A photograph with the camera's sRGB curve undone when it is read.
///
/// Cameras bend the curve to please; a target with greys shows by how much (its residuals), a grey card does not.
#[derive(Clone, Debug)]
pub struct Photo {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
    linear: [f32; 256],
}

/// From this byte on a channel is taken to be clipped.
const CLIPPED: u8 = 252;

impl Photo {
    /// From sRGB bytes, three a pixel, rows from the top.
    ///
    /// # Errors
    /// A finding if there are not width x height x 3 of them, or none.
    pub fn new(width: u32, height: u32, rgb: Vec<u8>, place: &Place) -> Result<Self, Finding> {
        let (width, height) = (width as usize, height as usize);
        if rgb.is_empty() || width.checked_mul(height).and_then(|n| n.checked_mul(3)) != Some(rgb.len()) {
            return Err(Finding::new(
                "photo-size",
                Weight::Wrong,
                place.clone(),
                say!(
                    "A picture of {w} x {h} pixels does not have {n} bytes.",
                    "Gambar {w} x {h} piksel tidak berisi {n} bita.",
                    w = Arg::Number(width as f64, 0),
                    h = Arg::Number(height as f64, 0),
                    n = Arg::Number(rgb.len() as f64, 0)
                ),
            ));
        }
        Ok(Self {
            width,
            height,
            rgb,
            linear: std::array::from_fn(|byte| decode(byte as f64 / 255.0) as f32),
        })
    }

    /// Pixels across and down.
    pub const fn pixels(&self) -> [usize; 2] {
        [self.width, self.height]
    }

    /// Linear light at a point of the picture, pixels, blended from the four pixels around it; nothing outside.
    pub fn at(&self, [x, y]: [f64; 2]) -> Option<[f64; 3]> {
        let (x, y) = (x - 0.5, y - 0.5);
        if !(x >= -0.5 && y >= -0.5 && x <= self.width as f64 - 0.5 && y <= self.height as f64 - 0.5) {
            return None;
        }
        let inside = |v: f64, most: usize| v.clamp(0.0, (most - 1) as f64);
        let (x, y) = (inside(x, self.width), inside(y, self.height));
        let (i, j) = (x as usize, y as usize);
        let (fx, fy) = (x - i as f64, y - j as f64);
        let (i1, j1) = ((i + 1).min(self.width - 1), (j + 1).min(self.height - 1));
        Some(std::array::from_fn(|channel| {
            let v = |i: usize, j: usize| {
                f64::from(self.linear[usize::from(self.rgb[3 * (j * self.width + i) + channel])])
            };
            (v(i, j) * (1.0 - fx) + v(i1, j) * fx) * (1.0 - fy)
                + (v(i, j1) * (1.0 - fx) + v(i1, j1) * fx) * fy
        }))
    }

    /// Whether the pixel at a point has a channel at the sensor's end.
    pub fn clipped(&self, [x, y]: [f64; 2]) -> bool {
        let (i, j) = (
            (x.max(0.0) as usize).min(self.width - 1),
            (y.max(0.0) as usize).min(self.height - 1),
        );
        let at = 3 * (j * self.width + i);
        self.rgb[at..at + 3].iter().any(|v| *v >= CLIPPED)
    }
}
