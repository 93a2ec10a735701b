//! Captions on contact sheets: pictures of cloth side by side, each with a line of text under it.

use ab_glyph::{Font, FontRef, GlyphId, PxScale, ScaleFont, point};
use cloth::Picture;

/// White between cells, pixels.
const GAP: u32 = 14;
/// Height of a caption, pixels.
const CAPTION: u32 = 30;
/// Size of letters, pixels.
const SIZE: f32 = 17.0;
const PAPER: [u8; 3] = [255, 255, 255];
const INK: [u8; 3] = [24, 26, 32];

/// One sheet of pictures of one size with their captions, `columns` in a row. `None` without pictures, or if the
/// letters cannot be read.
pub fn contact_sheet(cells: &[(Picture, String)], columns: u32) -> Option<Picture> {
    let (first, _) = cells.first()?;
    let font = FontRef::try_from_slice(notosans::REGULAR_TTF).ok()?;
    let (w, h) = (first.width + GAP, first.height + CAPTION + GAP);
    let columns = columns.clamp(1, cells.len() as u32);
    let rows = (cells.len() as u32).div_ceil(columns);
    let mut sheet = Canvas::new(columns * w + GAP, rows * h + GAP);
    for (at, (picture, caption)) in (0..).zip(cells) {
        let (x, y) = (GAP + at % columns * w, GAP + at / columns * h);
        sheet.place(picture, x, y);
        let base = (y + picture.height + CAPTION * 2 / 3) as f32;
        sheet.write(&font, caption, x as f32, base, picture.width as f32);
    }
    Some(sheet.0)
}

struct Canvas(Picture);

impl Canvas {
    fn new(width: u32, height: u32) -> Self {
        Self(Picture {
            width,
            height,
            rgb: PAPER.repeat(width as usize * height as usize),
        })
    }

    /// The row of bytes from a pixel on; empty outside.
    fn from(&mut self, x: u32, y: u32) -> &mut [u8] {
        let start = (y as usize * self.0.width as usize + x as usize) * 3;
        let end = (y as usize + 1) * self.0.width as usize * 3;
        if x < self.0.width {
            self.0.rgb.get_mut(start..end).unwrap_or_default()
        } else {
            &mut []
        }
    }

    fn place(&mut self, picture: &Picture, x: u32, y: u32) {
        for (row, line) in (0..).zip(picture.rgb.chunks_exact(picture.width as usize * 3)) {
            for (to, byte) in self.from(x, y + row).iter_mut().zip(line) {
                *to = *byte;
            }
        }
    }

    /// Writes as much of a text as fits into `room`.
    fn write(&mut self, font: &FontRef, text: &str, x: f32, base: f32, room: f32) {
        let scale = PxScale::from(SIZE);
        let scaled = font.as_scaled(scale);
        let mut at = x;
        let mut before: Option<GlyphId> = None;
        for letter in text.chars() {
            let id = font.glyph_id(letter);
            at += before.map_or(0.0, |b| scaled.kern(b, id));
            before = Some(id);
            let advance = scaled.h_advance(id);
            if at + advance > x + room {
                break;
            }
            if let Some(outline) = font.outline_glyph(id.with_scale_and_position(scale, point(at, base))) {
                let low = outline.px_bounds().min;
                outline.draw(|dx, dy, cover| {
                    let (px, py) = (low.x + dx as f32, low.y + dy as f32);
                    if px >= 0.0 && py >= 0.0 {
                        self.ink(px as u32, py as u32, cover);
                    }
                });
            }
            at += advance;
        }
    }

    fn ink(&mut self, x: u32, y: u32, cover: f32) {
        for (to, ink) in self.from(x, y).iter_mut().take(3).zip(INK) {
            *to = (f32::from(*to) * (1.0 - cover) + f32::from(ink) * cover).round() as u8;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{CAPTION, GAP, contact_sheet};
    use cloth::Picture;

    #[test]
    fn pictures_stand_in_rows_with_ink_under_them() {
        let red = Picture {
            width: 40,
            height: 30,
            rgb: [200, 0, 0].repeat(40 * 30),
        };
        let cells: Vec<(Picture, String)> = ["1 Wet", "2 Wax", "3 Jemur"]
            .iter()
            .map(|caption| (red.clone(), (*caption).to_string()))
            .collect();
        let sheet = contact_sheet(&cells, 2).expect("three cells");
        assert_eq!(
            (sheet.width, sheet.height),
            (2 * (40 + GAP) + GAP, 2 * (30 + CAPTION + GAP) + GAP)
        );
        let pixel = |x: u32, y: u32| {
            let at = ((y * sheet.width + x) * 3) as usize;
            [sheet.rgb[at], sheet.rgb[at + 1], sheet.rgb[at + 2]]
        };
        assert_eq!(pixel(GAP, GAP), [200, 0, 0]);
        assert_eq!(pixel(GAP + 40 + GAP, GAP + 29), [200, 0, 0]);
        assert_eq!(pixel(0, 0), [255, 255, 255]);
        // The fourth place is empty, the third caption is not.
        let dark = |x0: u32, y0: u32| {
            let places = (y0..y0 + CAPTION).flat_map(|y| (x0..x0 + 40).map(move |x| (x, y)));
            places.filter(|(x, y)| pixel(*x, *y)[0] < 120).count()
        };
        let second_row = GAP + (30 + CAPTION + GAP) + 30;
        assert!(dark(GAP, second_row) > 20);
        assert_eq!(dark(GAP + 40 + GAP, second_row), 0);
        assert!(contact_sheet(&[], 3).is_none());
    }
}
