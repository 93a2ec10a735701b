//! A drawing as painted: which parts of it are wax.

mod kept;
mod read;
mod remarks;

pub use kept::MADE_BY;

use crate::area::{Area, Bounds};
use crate::paint::Rgb;
use std::ops::Range;
use words::{Finding, Place};

/// Paint darker than this is wax, CIE L*. Red, green and blue of a drawing program are darker, yellow, pink
/// and light grey are lighter. Common practice, no source: the artwork may say otherwise.
pub const WAX_BELOW: f64 = 70.0;

/// How a drawing is to be read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reading {
    /// Paint darker than this L* (0..100) is wax. Unless given: [`WAX_BELOW`], or, in a drawing without paint
    /// that dark, half way from its darkest paint to white.
    pub wax_below: Option<f64>,
}

/// A colour met in the drawing and what it was taken for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ink {
    /// The colour over paper.
    pub colour: Rgb,
    /// Its L*, 0..100.
    pub lightness: f64,
    /// Whether it is wax.
    pub wax: bool,
}

/// A drawing read as wax and bare cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Artwork {
    area: Area,
    size_mm: [f64; 2],
    wax_below: f64,
    inks: Vec<Ink>,
    tones: Vec<Tones>,
    notes: Vec<Finding>,
}

/// Shapes with a gradient across the limit between wax and bare cloth that were taken for the one or the other.
#[derive(Clone, Debug, PartialEq)]
struct Tones {
    wax: bool,
    /// Where the first of them that has a name, or the first of all, stands in the file.
    span: Range<usize>,
    /// Names, empty for those without, and lightness.
    shapes: Vec<(String, f64)>,
}

/// Whether an SVG says how wide it is in a physical unit. Pixels and bare numbers are none: 1/96 inch is what a
/// screen makes of them, not what the designer meant.
pub fn states_size(xml: &str) -> bool {
    const UNITS: [&str; 6] = ["mm", "cm", "in", "pt", "pc", "Q"];
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..Default::default()
    };
    roxmltree::Document::parse_with_options(xml, options).is_ok_and(|document| {
        let width = document
            .root_element()
            .attribute("width")
            .unwrap_or_default()
            .trim();
        UNITS.iter().any(|unit| width.ends_with(unit))
    })
}

impl Artwork {
    /// Reads an SVG drawing. `path` is its name as the user knows it, for findings.
    ///
    /// Dark paint is wax; later light paint cuts wax away; see-through paint is mixed with what lies under
    /// it. Strokes are widened, fill rules, transforms, clipping paths and units are the SVG's. Curves become
    /// edges no farther than 1/20 000 of the drawing's greater side from them (0.01 mm on a 200 mm stamp).
    ///
    /// # Errors
    /// What [`crate::scan`] refuses; a drawing that is too intricate, far outside its page, or without wax.
    pub fn read(xml: &str, path: &str) -> Result<Self, Vec<Finding>> {
        Self::read_as(xml, path, &Reading::default())
    }

    /// [`Artwork::read`] with the limit between wax and bare cloth given.
    ///
    /// # Errors
    /// As [`Artwork::read`].
    pub fn read_as(xml: &str, path: &str, reading: &Reading) -> Result<Self, Vec<Finding>> {
        read::read(xml, path, reading)
    }

    /// A drawing made of shapes that are known already, mm; its page is (0, 0) to `size_mm`.
    pub fn from_area(area: Area, size_mm: [f64; 2]) -> Self {
        Self {
            area,
            size_mm,
            wax_below: WAX_BELOW,
            inks: Vec::new(),
            tones: Vec::new(),
            notes: Vec::new(),
        }
    }

    /// What was read of a file; what there is to say about it follows.
    fn new(
        area: Area,
        size_mm: [f64; 2],
        wax_below: f64,
        inks: Vec<Ink>,
        tones: Vec<Tones>,
        path: &str,
    ) -> Self {
        let place = |span: &Range<usize>| Place::File {
            path: path.to_string(),
            span: span.clone(),
        };
        let tone = |t: &Tones| remarks::tone_is_one(place(&t.span), &t.shapes, t.wax, wax_below);
        let run_together = remarks::inks_run_together(&inks, path);
        let notes = run_together.into_iter().chain(tones.iter().map(tone)).collect();
        Self {
            area,
            size_mm,
            wax_below,
            inks,
            tones,
            notes,
        }
    }

    /// The same drawing on a page cut to its shapes, with this much room on every side, mm.
    #[must_use]
    pub fn cut_to_shapes(&self, room_mm: f64) -> Self {
        let Some(around) = self.area.bounds().map(|b| b.grown(room_mm)) else {
            return self.clone();
        };
        let area = self.area.moved([-around.low[0], -around.low[1]]);
        Self {
            area,
            size_mm: [around.width(), around.height()],
            ..self.clone()
        }
    }

    /// Where the wax is, mm at the drawing's own size, y down, origin at the page's top left corner. It may
    /// reach beyond the page.
    pub const fn area(&self) -> &Area {
        &self.area
    }
    /// Width and height of the page, mm.
    pub const fn size_mm(&self) -> [f64; 2] {
        self.size_mm
    }
    /// The page.
    pub const fn page(&self) -> Bounds {
        Bounds::sized(self.size_mm[0], self.size_mm[1])
    }
    /// The L* below which paint was taken for wax.
    pub const fn wax_below(&self) -> f64 {
        self.wax_below
    }
    /// The flat colours of the drawing, darkest first.
    pub fn inks(&self) -> &[Ink] {
        &self.inks
    }
    /// What the designer should know about how the drawing was read.
    pub fn notes(&self) -> &[Finding] {
        &self.notes
    }
}
