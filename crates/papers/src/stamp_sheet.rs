//! The stamp at full size: the pattern that the stamp maker bends copper over.
//!
//! A first page says what it is; then come the tiles of the drawing, 1:1, with a bar to measure. Tiles meet
//! at their dashed edges; the drawing goes on a little beyond them, to lay one over the other.

use crate::floor::english_line;
use crate::head::{FOOT, kind, number};
use crate::numbers::spread;
use crate::page::{
    Block, Frame, Leaf, MARGIN, Mark, Pen, Section, Sheet, Side, TooTall, flow, mm, rectangle, set,
};
use crate::parts::{BODY, Bench, SECOND};
use crate::setting::{Setter, bold, grey, plain};
use crate::tiles::{BAR, BESIDE, HEAD, OVERLAP, POINT, Tiles, Window, draw, tint};
use crate::{Error, pdf, svg, wording};
use words::{Arg, Finding, Line, Place, Voice, Weight, say};

/// Size of a strip's number: figures 2.2 mm high.
const NUMBER: f32 = 7.0;

/// The longest side that is printed, mm; a stamp is held in one hand.
const LONGEST: f64 = 2000.0;

/// A strip or outline, as a polyline.
#[derive(Clone, Debug, PartialEq)]
pub struct StampLine {
    /// Corners, mm from the top left corner of the stamp, y down.
    pub points: Vec<(f64, f64)>,
    /// Whether the last corner joins the first.
    pub closed: bool,
    /// Thickness of the copper, mm; drawn at its true width.
    pub width_mm: f64,
    /// Whether it is dashed: a guide, no copper.
    pub dashed: bool,
}

/// A number beside a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct StampNumber {
    /// What is printed.
    pub text: String,
    /// Its middle, mm from the top left corner of the stamp, y down.
    pub at: (f64, f64),
}

/// Which side of the stamp is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StampSide {
    /// As it prints on the cloth.
    Print,
    /// As one looks at the copper: the mirror image, over which the stamp is built.
    Face,
}

/// What is printed of a stamp.
#[derive(Clone, Debug, PartialEq)]
pub struct StampSheet {
    /// Name of the workshop.
    pub workshop: String,
    /// Name of the stamp.
    pub name: String,
    /// Across, mm.
    pub width_mm: f64,
    /// Down, mm.
    pub height_mm: f64,
    /// Which side is drawn; the points are those of that side.
    pub side: StampSide,
    /// Outlines of the wax, tinted; what lies inside an even number of them is bare.
    pub wax: Vec<Vec<(f64, f64)>>,
    /// The copper.
    pub lines: Vec<StampLine>,
    /// Numbers of the strips.
    pub numbers: Vec<StampNumber>,
    /// Name and value: metres of strip, weight, hours.
    pub facts: Vec<(Line, Line)>,
    /// What to take care of.
    pub cautions: Vec<Line>,
}

/// Prints a stamp at full size, over as many tiles as it needs.
///
/// # Errors
/// [`Error::Refused`] if the stamp has no size, is longer than 2 m, or a point is not a number.
pub fn stamp_sheet(stamp: &StampSheet, sheet: Sheet, voice: Voice) -> Result<Vec<u8>, Error> {
    let setter = Setter::new()?;
    let leaves = lay_out_stamp(
        &Bench {
            tight: false,
            setter: &setter,
            voice,
            sheet,
        },
        stamp,
    )?;
    pdf::write(&stamp.name, &setter, &leaves)
}

/// The pages of [`stamp_sheet`] as SVG files at full size, each with its name: "0" is the cover, then come the
/// tiles by their names ("A1").
///
/// # Errors
/// As [`stamp_sheet`].
pub fn stamp_drawings(
    stamp: &StampSheet,
    sheet: Sheet,
    voice: Voice,
) -> Result<Vec<(String, String)>, Error> {
    let setter = Setter::new()?;
    let bench = Bench {
        tight: false,
        setter: &setter,
        voice,
        sheet,
    };
    let leaves = lay_out_stamp(&bench, stamp)?;
    let tiles = Tiles::of(stamp, sheet);
    let covers = leaves.len() - tiles.columns * tiles.rows;
    let names = (0..covers)
        .map(|n| "0".repeat(n + 1))
        .chain((0..tiles.rows).flat_map(|r| (0..tiles.columns).map(move |c| Tiles::name(c, r))));
    names
        .zip(&leaves)
        .map(|(name, leaf)| Ok((name, svg::write(&stamp.name, leaf)?)))
        .collect()
}

/// The whole stamp on one sheet from a roll, as SVG at full size.
///
/// # Errors
/// As [`stamp_sheet`].
pub fn stamp_drawing(stamp: &StampSheet, voice: Voice) -> Result<String, Error> {
    if let Some(finding) = examine(stamp) {
        return Err(Error::Refused(vec![finding]));
    }
    let (width, height) = Tiles::one(stamp);
    let pages = stamp_drawings(stamp, Sheet::Roll(width, height), voice)?;
    let last = pages.into_iter().last();
    last.map(|(_, svg)| svg).ok_or(Error::Geometry)
}

pub(crate) fn lay_out_stamp<'a>(bench: &Bench<'_>, stamp: &StampSheet) -> Result<Vec<Leaf<'a>>, Error> {
    if let Some(finding) = examine(stamp) {
        return Err(Error::Refused(vec![finding]));
    }
    let stamp = &StampSheet {
        numbers: spread(bench.setter, &stamp.numbers, bold(NUMBER)),
        ..stamp.clone()
    };
    let tiles = Tiles::of(stamp, bench.sheet);
    let mut leaves = cover(bench, stamp, &tiles).map_err(|_| Error::Refused(vec![too_many_facts()]))?;
    for row in 0..tiles.rows {
        for column in 0..tiles.columns {
            leaves.push(tile(bench, stamp, &tiles, column, row));
        }
    }
    Ok(number(
        bench,
        leaves,
        &format!("{} · {}", stamp.name, stamp.workshop),
    ))
}

fn examine(stamp: &StampSheet) -> Option<Finding> {
    let sides = [stamp.width_mm, stamp.height_mm];
    if !sides
        .iter()
        .all(|side| side.is_finite() && *side > 0.0 && *side <= LONGEST)
    {
        let found = say!(
            "The stamp is {w} x {h} mm.",
            "Ukuran cap {w} x {h} milimeter.",
            w = Arg::Number(stamp.width_mm, 1),
            h = Arg::Number(stamp.height_mm, 1)
        );
        let allowed = say!(
            "Above 0 and up to {n} mm a side.",
            "Di atas 0 sampai {n} milimeter per sisi.",
            n = Arg::Number(LONGEST, 0)
        );
        return Some(Finding::new("stamp-size", Weight::Wrong, Place::Request, found).allow(allowed));
    }
    let sound = |line: &StampLine| {
        let near = |v: f64| v.is_finite() && v.abs() <= 2.0 * LONGEST;
        line.width_mm >= 0.0 && near(line.width_mm) && line.points.iter().all(|(x, y)| near(*x) && near(*y))
    };
    let place = |(x, y): &(f64, f64)| x.abs() <= 2.0 * LONGEST && y.abs() <= 2.0 * LONGEST;
    let rest = stamp
        .wax
        .iter()
        .flatten()
        .chain(stamp.numbers.iter().map(|n| &n.at));
    if let Some(bad) = rest.into_iter().position(|p| !place(p)) {
        let found = say!(
            "Point {n} of the wax or the numbers is not near the stamp.",
            "Titik {n} dari malam atau nomor tidak di dekat cap.",
            n = Arg::Number(bad as f64 + 1.0, 0)
        );
        return Some(Finding::new("stamp-points", Weight::Wrong, Place::Request, found));
    }
    let bad = stamp.lines.iter().position(|line| !sound(line))?;
    let found = say!(
        "Line {n} has a point or a width that is not a length near the stamp.",
        "Garis {n} mempunyai titik atau lebar yang bukan ukuran di dekat cap.",
        n = Arg::Number(bad as f64 + 1.0, 0)
    );
    Some(Finding::new("stamp-points", Weight::Wrong, Place::Request, found))
}

fn too_many_facts() -> Finding {
    let found = say!(
        "What is to be said of the stamp is longer than a page.",
        "Keterangan cap lebih panjang dari satu halaman."
    );
    Finding::new("longer-than-a-page", Weight::Wrong, Place::Request, found)
}

fn size_line(width: f64, height: f64) -> Line {
    // Whole millimetres without a decimal; tiles may end in a fraction.
    let side = |mm: f64| Arg::Number(mm, usize::from((mm * 10.0).round() % 10.0 != 0.0));
    say!(
        "{w} × {h} mm",
        "{w} × {h} milimeter",
        w = side(width),
        h = side(height)
    )
}

fn cover<'a>(bench: &Bench<'_>, stamp: &StampSheet, tiles: &Tiles) -> Result<Vec<Leaf<'a>>, TooTall> {
    let width = bench.width();
    let mut first = kind(bench, wording::STAMP_SHEET, &stamp.workshop, width);
    first.under(
        0.0,
        set(bench.setter, &[(&stamp.name, bold(25.0))], width, Side::Left),
    );
    let size = size_line(stamp.width_mm, stamp.height_mm);
    first.under(0.0, bench.inline(&size, bold(16.0), width, Side::Left));
    first.under(
        0.0,
        bench.label(side_text(stamp.side), bold(BODY), width, Side::Left),
    );
    first.height += 6.0;
    first.line((0.0, first.height), (width, first.height), 2.8);
    first.height += 10.0;
    let mut later = set(bench.setter, &[(&stamp.name, bold(16.0))], width, Side::Left);
    later.height += 10.0;
    let mut front = Section::default();
    front
        .blocks
        .push(bench.label(wording::PRINT_FULL, bold(14.0), width, Side::Left));
    front.blocks.push(Block::space(8.0));
    let cautions = bench.cautions(&stamp.cautions, &[], width, mm(13.0), true);
    if cautions.height > 0.0 {
        front.blocks.push(cautions);
        front.blocks.push(Block::space(6.0));
    }
    front
        .blocks
        .extend(stamp.facts.iter().map(|fact| fact_row(bench, fact)));
    front.blocks.push(Block::space(12.0));
    let taken: f32 = front.blocks.iter().map(|block| block.height).sum();
    let left = bench.sheet.points().1 - 2.0 * MARGIN - FOOT - first.height - taken;
    // Smaller rather than alone on a page, while the names of its tiles can be read.
    let room = if left >= LEAST { MOST.min(left) } else { MOST };
    front.blocks.push(overview(bench, stamp, tiles, room));
    flow(
        &Frame {
            sheet: bench.sheet,
            first,
            later,
            foot: FOOT,
        },
        vec![front],
    )
}

/// Height of the whole stamp on its cover: the room below the facts of most stamps, and the least that is of use.
const MOST: f32 = mm(60.0);
const LEAST: f32 = mm(28.0);

const fn side_text(side: StampSide) -> &'static words::Text {
    match side {
        StampSide::Print => wording::AS_PRINTED,
        StampSide::Face => wording::MIRRORED,
    }
}

fn fact_row<'a>(bench: &Bench<'_>, (name, value): &(Line, Line)) -> Block<'a> {
    let width = bench.width();
    let half = width / 2.0 - 6.0;
    let name = bench.fitting(name, plain(BODY), half, Side::Left);
    let value = bench.fitting(value, bold(BODY), half, Side::Right);
    let mut row = Block::space(name.height.max(value.height) + 8.0);
    row.place(0.0, 4.0, name);
    row.place(width - half, 4.0, value);
    row.line((0.0, row.height), (width, row.height), 0.5);
    row
}

/// The whole stamp, small, with the edges and names of its tiles.
fn overview<'a>(bench: &Bench<'_>, stamp: &StampSheet, tiles: &Tiles, room: f32) -> Block<'a> {
    let scale = (bench.width() / stamp.width_mm as f32).min(room / stamp.height_mm as f32);
    let (w, h) = (stamp.width_mm as f32 * scale, stamp.height_mm as f32 * scale);
    let mut block = Block::space(h);
    let whole = Window {
        left: 0.0,
        top: 0.0,
        right: stamp.width_mm,
        bottom: stamp.height_mm,
    };
    tint(&mut block, stamp, &whole, (0.0, 0.0), f64::from(scale));
    draw(&mut block, stamp, &whole, (0.0, 0.0), f64::from(scale));
    block.frame(0.0, 0.0, w, h, 0.8);
    let (step_x, step_y) = (tiles.width as f32 * scale, tiles.height as f32 * scale);
    for column in 1..tiles.columns {
        let x = column as f32 * step_x;
        dashed(&mut block, vec![Pen::To(x, 0.0), Pen::Line(x, h)]);
    }
    for row in 1..tiles.rows {
        let y = row as f32 * step_y;
        dashed(&mut block, vec![Pen::To(0.0, y), Pen::Line(w, y)]);
    }
    for row in 0..tiles.rows {
        for column in 0..tiles.columns {
            let name = set(
                bench.setter,
                &[(&Tiles::name(column, row), bold(11.5))],
                step_x.max(20.0),
                Side::Left,
            );
            block.place(column as f32 * step_x + 4.0, row as f32 * step_y + 2.0, name);
        }
    }
    block
}

fn dashed(block: &mut Block<'_>, pens: Vec<Pen>) {
    block.marks.push(Mark::Stroke {
        pens,
        width: 0.6,
        dash: Some(4.0),
    });
}

fn tile<'a>(bench: &Bench<'_>, stamp: &StampSheet, tiles: &Tiles, column: usize, row: usize) -> Leaf<'a> {
    let width = bench.width();
    let mut page = Block::default();
    page.place(0.0, 0.0, tile_head(bench, stamp, tiles, column, row));
    let (overlap, origin) = (f64::from(OVERLAP), (mm(BESIDE), HEAD + mm(BESIDE)));
    let (left, top) = (column as f64 * tiles.width, row as f64 * tiles.height);
    let window = Window {
        left: left - overlap,
        top: top - overlap,
        right: left + tiles.width + overlap,
        bottom: top + tiles.height + overlap,
    };
    let corner = (
        f64::from(origin.0) - left * POINT,
        f64::from(origin.1) - top * POINT,
    );
    let corner = (corner.0 as f32, corner.1 as f32);
    let (w, h) = ((tiles.width * POINT) as f32, (tiles.height * POINT) as f32);
    tint(&mut page, stamp, &window, corner, POINT);
    dashed(&mut page, rectangle(origin.0, origin.1, w, h));
    draw(&mut page, stamp, &window, corner, POINT);
    for x in [origin.0, origin.0 + w] {
        for y in [origin.1, origin.1 + h] {
            cross(&mut page, x, y);
        }
    }
    for number in &stamp.numbers {
        let (x, y) = number.at;
        if window.holds(x, y) {
            let style = bold(NUMBER);
            let text = set(bench.setter, &[(&number.text, style)], mm(30.0), Side::Middle);
            page.place(
                corner.0 + (x * POINT) as f32 - mm(15.0),
                corner.1 + (y * POINT) as f32 - text.height / 2.0,
                text,
            );
        }
    }
    let size = bench.sheet.points();
    page.place(0.0, size.1 - 2.0 * MARGIN - FOOT - BAR, scale_bar(bench, width));
    let mut placed = Block::default();
    placed.place(MARGIN, MARGIN, page);
    Leaf {
        size,
        marks: placed.marks,
        laid: Vec::new(),
    }
}

/// An overlap mark: crosses of neighbouring pages lie on each other.
fn cross(page: &mut Block<'_>, x: f32, y: f32) {
    let arm = mm(OVERLAP);
    page.line((x - arm, y), (x + arm, y), 0.4);
    page.line((x, y - arm), (x, y + arm), 0.4);
}

fn tile_head<'a>(
    bench: &Bench<'_>,
    stamp: &StampSheet,
    tiles: &Tiles,
    column: usize,
    row: usize,
) -> Block<'a> {
    let width = bench.width();
    let name = format!("{} · {}", stamp.name, Tiles::name(column, row));
    let mut head = Block::default();
    head.under(
        0.0,
        crate::page::one_row(bench.setter, (&name, bold(16.0)), width),
    );
    head.height = 20.5;
    head.under(
        0.0,
        bench.label(side_text(stamp.side), bold(BODY), width, Side::Left),
    );
    let frame = size_line(tiles.width, tiles.height);
    let mut id = format!("{} {}", wording::FRAME.id, crate::floor_line(&frame));
    let mut en = format!("{} {}", wording::FRAME.en, english_line(&frame, bench.voice));
    let right = (column + 1 < tiles.columns).then(|| (wording::RIGHT, Tiles::name(column + 1, row)));
    let below = (row + 1 < tiles.rows).then(|| (wording::BELOW, Tiles::name(column, row + 1)));
    for (word, name) in right.into_iter().chain(below) {
        id.push_str(&format!(" · {} {name}", word.id));
        en.push_str(&format!(" · {} {name}", word.en));
    }
    let (first, second) = bench.order(id, en);
    let second = format!(" /\u{a0}{second}");
    head.under(
        0.0,
        set(
            bench.setter,
            &[(&first, plain(BODY)), (&second, grey(SECOND))],
            width,
            Side::Left,
        ),
    );
    head
}

/// A bar of 100 mm with a tick every 10 mm, and what to do with it.
fn scale_bar<'a>(bench: &Bench<'_>, width: f32) -> Block<'a> {
    let mut block = Block::default();
    let (long, y) = (mm(100.0), 22.0);
    block.line((0.0, y), (long, y), 1.2);
    for tick in 0..=10_u8 {
        let x = mm(f32::from(tick) * 10.0).clamp(0.4, long - 0.4);
        let high = if tick % 5 == 0 { 9.0 } else { 5.0 };
        block.line((x, y - high), (x, y), 0.8);
    }
    let text = Line::plain(wording::BAR);
    block.place(
        long + 12.0,
        2.0,
        bench.stacked(&text, plain(11.5), width - long - 12.0, Side::Left),
    );
    block.height = BAR;
    block
}
