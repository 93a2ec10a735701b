//! Cutting a stamp into pages: equal tiles, and the part of the drawing that each shows.

use crate::head::FOOT;
use crate::page::{Block, MARGIN, Mark, Pen};
use crate::{Sheet, StampSheet};

/// How far the drawing goes on beyond the edge of a tile, mm.
pub(crate) const OVERLAP: f32 = 4.0;
/// Room beside a tile for that, mm; the rest is for the thickness of the copper.
pub(crate) const BESIDE: f32 = 5.5;
/// Height kept for the head of a tile's page, and for its scale bar.
pub(crate) const HEAD: f32 = 62.0;
pub(crate) const BAR: f32 = 36.0;
/// Points in a millimetre.
pub(crate) const POINT: f64 = 72.0 / 25.4;

/// How the stamp is cut into equal tiles.
pub(crate) struct Tiles {
    pub columns: usize,
    pub rows: usize,
    /// Size of one tile, mm.
    pub width: f64,
    pub height: f64,
}

impl Tiles {
    pub fn of(stamp: &StampSheet, sheet: Sheet) -> Self {
        let (w, h) = sheet.points();
        let room = |points: f32| f64::from(points * 25.4 / 72.0 - 2.0 * BESIDE);
        let widest = room(w - 2.0 * MARGIN);
        let tallest = room(h - 2.0 * MARGIN - HEAD - BAR - FOOT);
        let columns = (stamp.width_mm / widest).ceil().max(1.0);
        let rows = (stamp.height_mm / tallest).ceil().max(1.0);
        Self {
            columns: columns as usize,
            rows: rows as usize,
            width: stamp.width_mm / columns,
            height: stamp.height_mm / rows,
        }
    }

    /// Width and height, whole mm, of the sheet that holds the stamp on one page.
    pub fn one(stamp: &StampSheet) -> (u16, u16) {
        let margins = |points: f32| f64::from(points * 25.4 / 72.0 + 2.0 * BESIDE);
        // The bar and its text need 150 mm.
        let width = (stamp.width_mm + margins(2.0 * MARGIN)).max(180.0).ceil() + 1.0;
        let height = (stamp.height_mm + margins(2.0 * MARGIN + HEAD + BAR + FOOT))
            .max(250.0)
            .ceil()
            + 1.0;
        (width as u16, height as u16)
    }

    /// "A1" is the top left tile; letters go across, numbers down.
    pub fn name(column: usize, row: usize) -> String {
        let letter = char::from(b'A' + (column % 26) as u8);
        format!("{letter}{}", row + 1)
    }
}

/// A rectangle of the stamp, mm.
pub(crate) struct Window {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Window {
    /// Whether a point is inside.
    pub fn holds(&self, x: f64, y: f64) -> bool {
        x >= self.left && x <= self.right && y >= self.top && y <= self.bottom
    }

    /// The part of a ring inside the window (Sutherland and Hodgman 1974). Where it is in several pieces, they
    /// hang together along the window's edges, where a fill does not show.
    fn clip(&self, ring: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let mut ring = ring.to_vec();
        for side in 0..4 {
            let inside = |p: (f64, f64)| match side {
                0 => p.0 - self.left,
                1 => self.right - p.0,
                2 => p.1 - self.top,
                _ => self.bottom - p.1,
            };
            let mut kept = Vec::with_capacity(ring.len());
            for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let (da, db) = (inside(*a), inside(*b));
                if da >= 0.0 {
                    kept.push(*a);
                }
                if (da < 0.0) != (db < 0.0) {
                    let t = da / (da - db);
                    kept.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
                }
            }
            ring = kept;
        }
        ring
    }

    /// The part of a segment inside the window (Liang and Barsky 1984), or `None`.
    fn cut(&self, from: (f64, f64), to: (f64, f64)) -> Option<[(f64, f64); 2]> {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (run, gap) in [
            (-dx, from.0 - self.left),
            (dx, self.right - from.0),
            (-dy, from.1 - self.top),
            (dy, self.bottom - from.1),
        ] {
            if run == 0.0 {
                if gap < 0.0 {
                    return None;
                }
            } else if run < 0.0 {
                enter = enter.max(gap / run);
            } else {
                leave = leave.min(gap / run);
            }
        }
        let at = |t: f64| (from.0 + t * dx, from.1 + t * dy);
        (enter <= leave).then(|| {
            [
                if enter > 0.0 { at(enter) } else { from },
                if leave < 1.0 { at(leave) } else { to },
            ]
        })
    }
}

/// Tints the wax that a window shows; arguments as for [`draw`].
pub(crate) fn tint(
    block: &mut Block<'_>,
    stamp: &StampSheet,
    window: &Window,
    corner: (f32, f32),
    scale: f64,
) {
    let put = |(x, y): (f64, f64)| (corner.0 + (x * scale) as f32, corner.1 + (y * scale) as f32);
    let mut pens = Vec::new();
    for ring in &stamp.wax {
        let ring = window.clip(ring);
        for (k, p) in ring.iter().enumerate() {
            let (x, y) = put(*p);
            pens.push(if k == 0 { Pen::To(x, y) } else { Pen::Line(x, y) });
        }
        if !ring.is_empty() {
            pens.push(Pen::Close);
        }
    }
    if !pens.is_empty() {
        block.marks.push(Mark::Tint { pens });
    }
}

/// Draws what a window shows of the stamp; `corner` is where the stamp's own corner lies, `scale` points a mm.
pub(crate) fn draw(
    block: &mut Block<'_>,
    stamp: &StampSheet,
    window: &Window,
    corner: (f32, f32),
    scale: f64,
) {
    let put = |(x, y): (f64, f64)| (corner.0 + (x * scale) as f32, corner.1 + (y * scale) as f32);
    for line in &stamp.lines {
        let close = line
            .closed
            .then(|| Some((*line.points.last()?, *line.points.first()?)))
            .flatten();
        let sides = line
            .points
            .iter()
            .zip(line.points.iter().skip(1))
            .map(|(a, b)| (*a, *b))
            .chain(close);
        let mut pens = Vec::new();
        let mut last = None;
        for [from, to] in sides.filter_map(|(a, b)| window.cut(a, b)) {
            if last != Some(from) {
                let (x, y) = put(from);
                pens.push(Pen::To(x, y));
            }
            let (x, y) = put(to);
            pens.push(Pen::Line(x, y));
            last = Some(to);
        }
        if !pens.is_empty() {
            // Thinner than a printer's dot cannot be seen.
            let width = ((line.width_mm * scale) as f32).max(0.25);
            block.marks.push(Mark::Stroke {
                pens,
                width,
                dash: line.dashed.then_some(3.0),
            });
        }
    }
}
