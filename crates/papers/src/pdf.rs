//! From marks to a PDF file. The same marks give the same bytes: no clock, no random ids.

use crate::page::{Leaf, Mark, Pen};
use crate::setting::{Ink, Setter};
use crate::{Error, Picture};
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::image::{BitsPerComponent, CustomImage, Image, ImageColorspace};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::{Document, SerializeSettings};
use std::sync::Arc;

/// Light enough that black lines and numbers stand out on it, dark enough for a worn toner.
pub(crate) const TINT: u8 = 0xD9;

pub(crate) fn write(title: &str, setter: &Setter, leaves: &[Leaf<'_>]) -> Result<Vec<u8>, Error> {
    let settings = SerializeSettings {
        enable_tagging: false,
        ..SerializeSettings::default()
    };
    let mut document = Document::new_with(settings);
    document.set_metadata(
        Metadata::new()
            .title(title.to_string())
            .language("id".to_string()),
    );
    for leaf in leaves {
        let page = PageSettings::from_wh(leaf.size.0, leaf.size.1).ok_or(Error::Geometry)?;
        let mut page = document.start_page_with(page);
        let mut surface = page.surface();
        for mark in &leaf.marks {
            paint(&mut surface, setter, mark)?;
        }
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|error| Error::Pdf(error.to_string()))
}

fn paint(surface: &mut Surface<'_>, setter: &Setter, mark: &Mark<'_>) -> Result<(), Error> {
    match mark {
        Mark::Text { x, y, run, style } => {
            let ink = match style.ink {
                Ink::Black => rgb::Color::black(),
                Ink::Grey => rgb::Color::new(0x40, 0x40, 0x40),
            };
            surface.set_stroke(None);
            surface.set_fill(Some(Fill {
                paint: ink.into(),
                ..Fill::default()
            }));
            let start = Point::from_xy(*x, *y);
            surface.draw_glyphs(
                start,
                &run.glyphs,
                setter.font(style.face),
                &run.text,
                style.size,
                false,
            );
        }
        Mark::Stroke { pens, width, dash } => {
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke {
                width: *width,
                dash: dash.map(|length| StrokeDash {
                    array: vec![length, length],
                    offset: 0.0,
                }),
                ..Stroke::default()
            }));
            surface.draw_path(&path(pens)?);
        }
        Mark::Fill { pens } => {
            surface.set_stroke(None);
            surface.set_fill(Some(Fill::default()));
            surface.draw_path(&path(pens)?);
        }
        Mark::Tint { pens } => {
            surface.set_stroke(None);
            surface.set_fill(Some(Fill {
                paint: rgb::Color::new(TINT, TINT, TINT).into(),
                rule: FillRule::EvenOdd,
                ..Fill::default()
            }));
            surface.draw_path(&path(pens)?);
        }
        Mark::Colour {
            pens,
            rgb: [red, green, blue],
        } => {
            surface.set_stroke(None);
            surface.set_fill(Some(Fill {
                paint: rgb::Color::new(*red, *green, *blue).into(),
                ..Fill::default()
            }));
            surface.draw_path(&path(pens)?);
        }
        Mark::Picture { x, y, w, h, picture } => cover(surface, (*x, *y, *w, *h), picture)?,
    }
    Ok(())
}

/// Draws a picture so that it covers the box, keeping its proportions; what stands out is cut off evenly.
fn cover(
    surface: &mut Surface<'_>,
    (x, y, w, h): (f32, f32, f32, f32),
    picture: &Picture,
) -> Result<(), Error> {
    let (wide, high) = (picture.width as f32, picture.height as f32);
    let scale = (w / wide).max(h / high);
    let size = Size::from_wh(wide * scale, high * scale).ok_or(Error::Geometry)?;
    let mut clip = PathBuilder::new();
    clip.push_rect(Rect::from_xywh(x, y, w, h).ok_or(Error::Geometry)?);
    let clip = clip.finish().ok_or(Error::Geometry)?;
    let pixels = Pixels {
        size: (picture.width, picture.height),
        rgb: picture.rgb.clone().into(),
    };
    let image = Image::from_custom(pixels, true).map_err(Error::Pdf)?;
    let (left, top) = (x + (w - size.width()) / 2.0, y + (h - size.height()) / 2.0);
    surface.push_clip_path(&clip, &FillRule::NonZero);
    surface.push_transform(&Transform::from_translate(left, top));
    surface.draw_image(image, size);
    surface.pop();
    surface.pop();
    Ok(())
}

fn path(pens: &[Pen]) -> Result<Path, Error> {
    let mut builder = PathBuilder::new();
    for pen in pens {
        match *pen {
            Pen::To(x, y) => builder.move_to(x, y),
            Pen::Line(x, y) => builder.line_to(x, y),
            Pen::Close => builder.close(),
        }
    }
    builder.finish().ok_or(Error::Geometry)
}

#[derive(Clone, Hash)]
struct Pixels {
    size: (u32, u32),
    rgb: Arc<[u8]>,
}

impl CustomImage for Pixels {
    fn color_channel(&self) -> &[u8] {
        &self.rgb
    }
    fn alpha_channel(&self) -> Option<&[u8]> {
        None
    }
    fn bits_per_component(&self) -> BitsPerComponent {
        BitsPerComponent::Eight
    }
    fn size(&self) -> (u32, u32) {
        self.size
    }
    fn icc_profile(&self) -> Option<&[u8]> {
        None
    }
    fn color_space(&self) -> ImageColorspace {
        ImageColorspace::Rgb
    }
}
