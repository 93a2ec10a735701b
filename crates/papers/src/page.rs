//! Marks on paper, blocks of marks, and the flow of blocks over pages. Points, y down.

use crate::Picture;
use crate::setting::{Paragraph, Run, Setter, Span, Style};

/// Size of paper; sheets stand upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Sheet {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 297 x 420 mm (ISO 216).
    A3,
    /// 8.5 x 11 in.
    UsLetter,
    /// Cut from a roll: width and height, whole mm.
    Roll(u16, u16),
}

impl Sheet {
    /// Width and height, points.
    pub fn points(self) -> (f32, f32) {
        match self {
            Self::A4 => (mm(210.0), mm(297.0)),
            Self::A3 => (mm(297.0), mm(420.0)),
            Self::UsLetter => (612.0, 792.0),
            Self::Roll(width, height) => (mm(f32::from(width)), mm(f32::from(height))),
        }
    }
}

/// Free border of every page; office printers leave 5 mm or so unprinted.
pub(crate) const MARGIN: f32 = 34.0;

/// Millimetres in points.
pub(crate) const fn mm(mm: f32) -> f32 {
    mm * 72.0 / 25.4
}

/// A step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Pen {
    To(f32, f32),
    Line(f32, f32),
    Close,
}

/// Something printed.
#[derive(Clone, Debug)]
pub(crate) enum Mark<'a> {
    /// Text with its left end and baseline.
    Text { x: f32, y: f32, run: Run, style: Style },
    /// A stroked path.
    Stroke {
        pens: Vec<Pen>,
        width: f32,
        dash: Option<f32>,
    },
    /// A filled path.
    Fill { pens: Vec<Pen> },
    /// A path filled light grey, by the even-odd rule.
    Tint { pens: Vec<Pen> },
    /// A path filled with a colour of the cloth.
    Colour { pens: Vec<Pen>, rgb: [u8; 3] },
    /// A picture that covers the box, cut at its edges.
    Picture {
        x: f32,
        y: f32,
        w: f32,
        h: f32,
        picture: &'a Picture,
    },
}

/// A closed rectangle.
pub(crate) fn rectangle(x: f32, y: f32, w: f32, h: f32) -> Vec<Pen> {
    vec![
        Pen::To(x, y),
        Pen::Line(x + w, y),
        Pen::Line(x + w, y + h),
        Pen::Line(x, y + h),
        Pen::Close,
    ]
}

fn shift_pens(pens: &mut [Pen], dx: f32, dy: f32) {
    for pen in pens {
        if let Pen::To(x, y) | Pen::Line(x, y) = pen {
            *x += dx;
            *y += dy;
        }
    }
}

impl Mark<'_> {
    fn shift(&mut self, dx: f32, dy: f32) {
        match self {
            Self::Text { x, y, .. } | Self::Picture { x, y, .. } => {
                *x += dx;
                *y += dy;
            }
            Self::Stroke { pens, .. }
            | Self::Fill { pens }
            | Self::Tint { pens }
            | Self::Colour { pens, .. } => {
                shift_pens(pens, dx, dy);
            }
        }
    }

    /// Left, top, right, bottom of what is printed.
    #[cfg(test)]
    pub fn bounds(&self) -> [f32; 4] {
        match self {
            Self::Text { x, y, run, style } => {
                // Noto Sans: no Latin letter without stacked accents rises above 1 em or falls below 0.3.
                [*x, y - style.size, x + run.ems * style.size, y + 0.3 * style.size]
            }
            Self::Picture { x, y, w, h, .. } => [*x, *y, x + w, y + h],
            Self::Stroke { pens, width, .. } => grown(pens, width / 2.0),
            Self::Fill { pens } | Self::Tint { pens } | Self::Colour { pens, .. } => grown(pens, 0.0),
        }
    }
}

#[cfg(test)]
fn grown(pens: &[Pen], by: f32) -> [f32; 4] {
    let mut bounds = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
    for pen in pens {
        if let Pen::To(x, y) | Pen::Line(x, y) = pen {
            bounds = [
                bounds[0].min(*x),
                bounds[1].min(*y),
                bounds[2].max(*x),
                bounds[3].max(*y),
            ];
        }
    }
    // A straight line ends where its points end: it is thick across its length only.
    let (flat, upright) = (bounds[1] == bounds[3], bounds[0] == bounds[2]);
    let (dx, dy) = (if flat { 0.0 } else { by }, if upright { 0.0 } else { by });
    [bounds[0] - dx, bounds[1] - dy, bounds[2] + dx, bounds[3] + dy]
}

/// Marks relative to the block's own top left corner, and the height they take.
#[derive(Clone, Debug, Default)]
pub(crate) struct Block<'a> {
    pub marks: Vec<Mark<'a>>,
    pub height: f32,
}

impl<'a> Block<'a> {
    /// White space.
    pub fn space(height: f32) -> Self {
        Self {
            marks: Vec::new(),
            height,
        }
    }

    /// Puts another block at a place of this one; the height is left alone.
    pub fn place(&mut self, x: f32, y: f32, other: Self) {
        self.marks.extend(other.marks.into_iter().map(|mut mark| {
            mark.shift(x, y);
            mark
        }));
    }

    /// Puts another block under what is there.
    pub fn under(&mut self, x: f32, other: Self) {
        let height = other.height;
        self.place(x, self.height, other);
        self.height += height;
    }

    /// A straight line.
    pub fn line(&mut self, from: (f32, f32), to: (f32, f32), width: f32) {
        let pens = vec![Pen::To(from.0, from.1), Pen::Line(to.0, to.1)];
        self.marks.push(Mark::Stroke {
            pens,
            width,
            dash: None,
        });
    }

    /// The outline of a box.
    pub fn frame(&mut self, x: f32, y: f32, w: f32, h: f32, width: f32) {
        self.marks.push(Mark::Stroke {
            pens: rectangle(x, y, w, h),
            width,
            dash: None,
        });
    }
}

/// Where text stands in its column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Left,
    Right,
    Middle,
}

/// Wrapped text as a block.
pub(crate) fn set<'a>(setter: &Setter, spans: &[Span<'_>], width: f32, side: Side) -> Block<'a> {
    let Paragraph { rows, height } = setter.wrap(spans, width);
    let mut block = Block {
        marks: Vec::new(),
        height,
    };
    let mut top = 0.0;
    for row in rows {
        let left = match side {
            Side::Left => 0.0,
            Side::Right => width - row.width,
            Side::Middle => (width - row.width) / 2.0,
        };
        for (x, run, style) in row.pieces {
            block.marks.push(Mark::Text {
                x: left + x,
                y: top + row.size,
                run,
                style,
            });
        }
        top += row.height;
    }
    block
}

/// As much of a text as fits on one row; for running feet, where what comes first says what it is.
pub(crate) fn one_row<'a>(setter: &Setter, span: Span<'_>, width: f32) -> Block<'a> {
    let mut block = set(setter, &[span], width, Side::Left);
    let first = span.1.size;
    block
        .marks
        .retain(|mark| matches!(mark, Mark::Text { y, .. } if *y <= first));
    block
}

/// Blocks that belong together. A block never splits; the head is printed again on every page on which the
/// section goes on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Section<'a> {
    pub head: Block<'a>,
    pub blocks: Vec<Block<'a>>,
}

/// One page.
#[derive(Clone, Debug)]
pub(crate) struct Leaf<'a> {
    pub size: (f32, f32),
    pub marks: Vec<Mark<'a>>,
    /// For each whole block on this page: section, block, top, bottom.
    pub laid: Vec<(usize, usize, f32, f32)>,
}

/// The frame of all pages of one paper.
pub(crate) struct Frame<'a> {
    pub sheet: Sheet,
    /// Head of the first page.
    pub first: Block<'a>,
    /// Head of the pages after it.
    pub later: Block<'a>,
    /// Height kept free for the foot.
    pub foot: f32,
}

/// A block that no page can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct TooTall {
    pub section: usize,
    pub block: usize,
}

/// Width between the margins.
pub(crate) fn measure(sheet: Sheet) -> f32 {
    sheet.points().0 - 2.0 * MARGIN
}

/// Whether a last page holds nothing but blocks of the last section.
pub(crate) fn spills(leaves: &[Leaf<'_>], last: usize) -> bool {
    let of_last = |leaf: &Leaf<'_>| leaf.laid.iter().all(|(section, ..)| *section == last);
    leaves.len() > 1 && leaves.last().is_some_and(of_last)
}

/// Lays sections over as many pages as they need.
pub(crate) fn flow<'a>(frame: &Frame<'a>, sections: Vec<Section<'a>>) -> Result<Vec<Leaf<'a>>, TooTall> {
    let size = frame.sheet.points();
    let bottom = size.1 - MARGIN - frame.foot;
    let start = |head: &Block<'a>| {
        let mut page = Block::default();
        page.place(MARGIN, MARGIN, head.clone());
        (
            Leaf {
                size,
                marks: page.marks,
                laid: Vec::new(),
            },
            MARGIN + head.height,
        )
    };
    let (mut leaf, mut y) = start(&frame.first);
    let mut leaves = Vec::new();
    for (section_at, section) in sections.into_iter().enumerate() {
        let mut headless = true;
        for (at, block) in section.blocks.into_iter().enumerate() {
            let need = block.height + if headless { section.head.height } else { 0.0 };
            if y + need > bottom {
                leaves.push(leaf);
                (leaf, y) = start(&frame.later);
                headless = true;
                if y + section.head.height + block.height > bottom {
                    return Err(TooTall {
                        section: section_at,
                        block: at,
                    });
                }
            }
            let mut page = Block::default();
            if headless {
                page.place(MARGIN, y, section.head.clone());
                y += section.head.height;
                headless = false;
            }
            leaf.laid.push((section_at, at, y, y + block.height));
            let height = block.height;
            page.place(MARGIN, y, block);
            leaf.marks.extend(page.marks);
            y += height;
        }
    }
    leaves.push(leaf);
    Ok(leaves)
}
