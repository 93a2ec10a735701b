//! Palettes of pictures: area-weighted CIELAB under the screen's white (D65, 2 degrees).

use cloth::Picture;
use colour::{Lab, Palette, lab, screen};
use std::collections::HashMap;
use words::Finding;

/// The palette of a picture, of `size` colours at most.
///
/// # Errors
/// A finding if the picture is empty.
pub fn palette(picture: &Picture, size: usize) -> Result<Palette, Finding> {
    // A picture of millions of pixels has some thousand colours: each is turned once.
    let mut counts: HashMap<[u8; 3], u32> = HashMap::new();
    for pixel in picture.rgb.chunks_exact(3) {
        *counts.entry([pixel[0], pixel[1], pixel[2]]).or_default() += 1;
    }
    // In an order of their own: sums in another order end in other last digits.
    let mut counts: Vec<([u8; 3], u32)> = counts.into_iter().collect();
    counts.sort_unstable();
    let colours = counts.into_iter().map(|(rgb, count)| {
        let colour = screen::xyz_from_linear(screen::from_bytes(rgb));
        (lab(colour, screen::WHITE), f64::from(count))
    });
    Palette::of(colours, size)
}

/// A colour as a screen shows it, `#rrggbb`.
pub fn hex(lab: Lab) -> String {
    let linear = screen::linear_from_xyz(lab.xyz(screen::WHITE));
    let [r, g, b] = screen::bytes(screen::clip(linear).0);
    format!("#{r:02x}{g:02x}{b:02x}")
}
