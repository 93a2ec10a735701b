//! The parts that cards and sheets are put together from.

use crate::floor::{english_line, floor_line};
use crate::page::{Block, Mark, Pen, Side, measure, mm, set};
use crate::setting::{LEADING, Setter, Style, bold, grey, plain};
use crate::{Ask, Blank, Error, QuantityCell, Sheet, wording};
use fast_qr::{ECL, QRBuilder};
use words::{Language, Line, Origin, Text, Voice};

/// Sizes of type, points. Floor text is read at arm's length, so nothing that the floor needs is under 11.5.
pub(crate) const BODY: f32 = 12.0;
/// The second language.
pub(crate) const SECOND: f32 = 10.0;
/// Side of a box to tick: 7 mm, ticked with a wet pencil.
pub(crate) const TICK: f32 = mm(7.0);
/// A material's box beside a step's: 5 mm.
const SMALL_TICK: f32 = 5.0 / 7.0;
/// Height of a place to write in.
const WRITING: f32 = mm(9.0);

/// Everything that setting a part needs to know.
pub(crate) struct Bench<'s> {
    pub setter: &'s Setter,
    pub voice: Voice,
    pub sheet: Sheet,
    /// Whether it is set closer, so that a few lines need no page of their own.
    pub tight: bool,
}

impl Bench<'_> {
    /// The same, set closer.
    pub const fn closer(&self) -> Self {
        Bench {
            setter: self.setter,
            voice: self.voice,
            sheet: self.sheet,
            tight: true,
        }
    }

    /// Space between things: as usual, or as it is where it is set closer.
    pub const fn room(&self, usual: f32, close: f32) -> f32 {
        if self.tight { close } else { usual }
    }

    /// The full measure.
    pub fn width(&self) -> f32 {
        measure(self.sheet)
    }

    /// A line in the first language and, if it reads differently, in the second.
    pub fn both(&self, line: &Line) -> (String, Option<String>) {
        let (id, en) = (floor_line(line), english_line(line, self.voice));
        let (first, second) = self.order(id, en);
        let second = (second != first).then_some(second);
        (first, second)
    }

    /// Puts an Indonesian and an English text in the reader's order.
    pub fn order<T>(&self, id: T, en: T) -> (T, T) {
        match self.voice.language {
            Language::Id => (id, en),
            Language::En => (en, id),
        }
    }

    /// First language, then ` / second` in grey on the same line.
    pub fn inline<'a>(&self, line: &Line, style: Style, width: f32, side: Side) -> Block<'a> {
        let (first, second) = self.both(line);
        let second = second.map(|s| format!(" /\u{a0}{s}")).unwrap_or_default();
        set(
            self.setter,
            &[(&first, style), (&second, grey(second_size(style)))],
            width,
            side,
        )
    }

    /// [`Bench::inline`] if both languages fit on one row, else [`Bench::stacked`].
    pub fn fitting<'a>(&self, line: &Line, style: Style, width: f32, side: Side) -> Block<'a> {
        let inline = self.inline(line, style, width, side);
        if inline.height <= style.size * LEADING + 0.01 {
            inline
        } else {
            self.stacked(line, style, width, side)
        }
    }

    /// [`Bench::inline`] for a text without arguments.
    pub fn label<'a>(&self, text: &'static Text, style: Style, width: f32, side: Side) -> Block<'a> {
        self.inline(&Line::plain(text), style, width, side)
    }

    /// First language, and the second under it in grey.
    pub fn stacked<'a>(&self, line: &Line, style: Style, width: f32, side: Side) -> Block<'a> {
        let (first, second) = self.both(line);
        let mut block = set(self.setter, &[(&first, style)], width, side);
        if let Some(second) = second {
            block.under(
                0.0,
                set(self.setter, &[(&second, grey(second_size(style)))], width, side),
            );
        }
        block
    }

    /// Caution boxes of a whole card or sheet: of a few cautions each, so that a long list goes on over the page.
    pub fn caution_boxes<'a>(
        &self,
        cautions: &[Line],
        hazards: &[Line],
        width: f32,
        sign: f32,
    ) -> Vec<Block<'a>> {
        /// Cautions of one box: with both languages some 5 cm of paper.
        const TOGETHER: usize = 4;
        let boxes = cautions.chunks(TOGETHER).map(|some| (some, &[] as &[Line]));
        let boxes: Vec<_> = boxes
            .chain(hazards.chunks(TOGETHER).map(|some| (&[] as &[Line], some)))
            .collect();
        let last = boxes.len().saturating_sub(1);
        let set = |(at, (cautions, hazards)): (usize, (&[Line], &[Line]))| {
            self.cautions(cautions, hazards, width, sign, at == last)
        };
        boxes.into_iter().enumerate().map(set).collect()
    }

    /// A caution box: thick border, warning sign, one caution a paragraph, and if `rules` that local rules come
    /// first. Empty without cautions.
    pub fn cautions<'a>(
        &self,
        cautions: &[Line],
        hazards: &[Line],
        width: f32,
        sign: f32,
        rules: bool,
    ) -> Block<'a> {
        if cautions.is_empty() && hazards.is_empty() {
            return Block::default();
        }
        let (border, pad) = (2.4, self.room(8.0, 6.0));
        let left = pad + sign + 10.0;
        let inside = width - left - pad;
        let mut text = Block::default();
        for caution in cautions {
            let (first, second) = self.both(caution);
            let second = second.map(|s| format!(" {s}")).unwrap_or_default();
            text.under(
                0.0,
                set(
                    self.setter,
                    &[(&first, bold(BODY)), (&second, grey(SECOND))],
                    inside,
                    Side::Left,
                ),
            );
            text.height += self.room(2.0, 1.0);
        }
        for hazard in hazards {
            let (first, second) = self.both(hazard);
            let second = second.map(|s| format!(" {s}")).unwrap_or_default();
            text.under(
                0.0,
                set(
                    self.setter,
                    &[(&first, plain(BODY)), (&second, grey(SECOND))],
                    inside,
                    Side::Left,
                ),
            );
            text.height += 2.0;
        }
        if rules {
            text.under(
                0.0,
                self.label(wording::LOCAL_RULES, plain(SECOND), inside, Side::Left),
            );
        }
        let height = (text.height + 2.0 * pad).max(sign + 2.0 * pad);
        let mut block = Block {
            marks: Vec::new(),
            height,
        };
        block.frame(
            border / 2.0,
            border / 2.0,
            width - border,
            height - border,
            border,
        );
        block.place(pad, pad, warning_sign(sign));
        block.place(left, (height - text.height) / 2.0, text);
        block
    }

    /// A named amount, set to the right: name, amount, second language, origin.
    pub fn quantity<'a>(&self, cell: &QuantityCell, width: f32) -> Block<'a> {
        let mut block = self.fitting(&cell.name, plain(11.5), width, Side::Right);
        block.under(0.0, self.amount(cell, width));
        block
    }

    /// The amount alone, set to the right.
    pub fn amount<'a>(&self, cell: &QuantityCell, width: f32) -> Block<'a> {
        let mut block = self.stacked(&cell.text, bold(14.0), width, Side::Right);
        if let Some(origin) = &cell.origin {
            block.height += 1.0;
            let mark = self.origin(origin, width);
            block.under(0.0, mark);
        }
        block
    }

    /// Amounts one under the other over the whole width, each with a box to tick when it is weighed out.
    pub fn ledger<'a>(&self, cells: &[QuantityCell], width: f32, ticked: bool) -> Vec<Block<'a>> {
        let (amount, origin, gap) = (114.0, 132.0, 8.0);
        let tick_width = if ticked { TICK * SMALL_TICK + gap } else { 0.0 };
        let amount_x = width - tick_width - amount;
        let origin_x = amount_x - gap - origin;
        cells
            .iter()
            .map(|cell| {
                let mut row = Block::default();
                let with_origin = cell.origin.is_some();
                let name_width = if with_origin {
                    origin_x - gap
                } else {
                    amount_x - gap
                };
                let name = self.fitting(&cell.name, plain(BODY), name_width, Side::Left);
                let text = self.fitting(&cell.text, bold(13.0), amount, Side::Right);
                row.height = name.height.max(text.height).max(tick_width - gap);
                row.place(0.0, 1.0, name);
                row.place(amount_x, 0.0, text);
                if let Some(mark) = &cell.origin {
                    let mark = self.origin(mark, origin);
                    row.height = row.height.max(mark.height);
                    row.place(origin_x, 1.5, mark);
                }
                if ticked {
                    row.place(width - TICK * SMALL_TICK, 0.0, tick(TICK * SMALL_TICK));
                }
                row.height += 4.0;
                row
            })
            .collect()
    }

    /// The origin of a number. An assumed one stands in a frame: it is the one to doubt.
    fn origin<'a>(&self, origin: &Origin, width: f32) -> Block<'a> {
        let mark = origin.mark();
        let (first, second) = self.order(mark.id, mark.en);
        let (detail, framed) = match origin {
            Origin::Assumed { factor, .. } if *factor > 1.0 => {
                let (id, en) = (Language::Id, Language::En);
                let say = |language| {
                    Voice {
                        language,
                        ..self.voice
                    }
                    .number(*factor, 1)
                };
                let (first, _) = self.order(say(id), say(en));
                (format!(" ×/÷\u{a0}{first}"), true)
            }
            Origin::Assumed { .. } => (String::new(), true),
            Origin::Yours => (String::new(), false),
            Origin::Measured { .. } => (String::new(), false),
        };
        let style = plain(9.0);
        let inset = if framed { 3.5 } else { 0.0 };
        let spans = [
            (first, style),
            (" / ", grey(9.0)),
            (second, grey(9.0)),
            (detail.as_str(), style),
        ];
        let text = set(self.setter, &spans, width - 2.0 * inset, Side::Right);
        if !framed {
            return text;
        }
        let wide = text
            .marks
            .iter()
            .map(|mark| left_edge(mark))
            .fold(width, f32::min);
        let mut block = Block {
            marks: Vec::new(),
            height: text.height + 4.0,
        };
        let high = text.height + 1.6;
        block.frame(wide - 0.4, 0.8, width - wide, high, 0.8);
        block.place(inset, 1.2, text);
        block
    }

    /// Places to write in, as many side by side as fit.
    pub fn asks<'a>(&self, asks: &[Ask], width: f32, columns: usize) -> Vec<Block<'a>> {
        let gap = 14.0;
        let columns = columns.max(1);
        let wide = (width - gap * (columns as f32 - 1.0)) / columns as f32;
        asks.chunks(columns)
            .map(|row| {
                let mut block = Block::default();
                let mut height: f32 = 0.0;
                for (at, ask) in row.iter().enumerate() {
                    let cell = self.ask(ask, wide);
                    height = height.max(cell.height);
                    block.place(at as f32 * (wide + gap), 0.0, cell);
                }
                block.height = height + self.room(6.0, 3.0);
                block
            })
            .collect()
    }

    /// A ruled place with its name under it.
    fn ask<'a>(&self, ask: &Ask, width: f32) -> Block<'a> {
        let mut block = Block::space(WRITING);
        let baseline = WRITING - 5.0;
        match &ask.blank {
            Blank::Words => {}
            Blank::Clock => {
                let colon = set(self.setter, &[(":", bold(16.0))], width, Side::Middle);
                block.place(0.0, baseline - 16.0, colon);
            }
            Blank::Number(unit) => {
                let unit = self.inline(unit, plain(11.5), width, Side::Right);
                let top = (WRITING - unit.height - 1.0).max(0.0);
                block.place(0.0, top, unit);
            }
        }
        block.line((0.0, WRITING), (width, WRITING), 0.9);
        block.height += 2.0;
        block.under(0.0, self.fitting(&ask.what, plain(11.5), width, Side::Left));
        block
    }

    /// A QR code with a caption, `side` wide without its quiet zone.
    pub fn code<'a>(&self, content: &str, caption: &str, side: f32) -> Result<Block<'a>, Error> {
        let mut block = Block::space(side);
        let pens = code_pens(content, side).ok_or(Error::Code)?;
        block.marks.push(Mark::Fill { pens });
        block.height += 2.0;
        block.under(
            0.0,
            set(self.setter, &[(caption, bold(11.5))], side, Side::Middle),
        );
        Ok(block)
    }
}

/// A second language is never larger than its own size, nor as large as the first.
fn second_size(style: Style) -> f32 {
    (style.size * 0.72).clamp(SECOND.min(style.size), 14.0)
}

fn left_edge(mark: &Mark<'_>) -> f32 {
    match mark {
        Mark::Text { x, .. } | Mark::Picture { x, .. } => *x,
        Mark::Stroke { .. } | Mark::Fill { .. } | Mark::Tint { .. } | Mark::Colour { .. } => f32::MAX,
    }
}

/// The triangle with an exclamation mark, `side` wide.
pub(crate) fn warning_sign<'a>(side: f32) -> Block<'a> {
    let s = side / 60.0;
    let mut block = Block::space(side * 0.92);
    let triangle = vec![
        Pen::To(30.0 * s, 4.0 * s),
        Pen::Line(57.0 * s, 52.0 * s),
        Pen::Line(3.0 * s, 52.0 * s),
        Pen::Close,
    ];
    block.marks.push(Mark::Stroke {
        pens: triangle,
        width: 5.0 * s,
        dash: None,
    });
    let bar = vec![
        Pen::To(26.6 * s, 19.0 * s),
        Pen::Line(33.4 * s, 19.0 * s),
        Pen::Line(32.0 * s, 36.0 * s),
        Pen::Line(28.0 * s, 36.0 * s),
        Pen::Close,
    ];
    block.marks.push(Mark::Fill { pens: bar });
    block.marks.push(Mark::Fill {
        pens: crate::page::rectangle(27.3 * s, 39.5 * s, 5.4 * s, 5.4 * s),
    });
    block
}

/// A box to tick.
pub(crate) fn tick<'a>(side: f32) -> Block<'a> {
    let mut block = Block::space(side);
    let line = side * 0.07;
    block.frame(line / 2.0, line / 2.0, side - line, side - line, line);
    block
}

/// The dark modules of a code, or `None` if the content does not fit one. A quarter of it may be soiled.
pub(crate) fn modules(content: &str) -> Option<Vec<Vec<bool>>> {
    let code = QRBuilder::new(content).ecl(ECL::Q).build().ok()?;
    let side = code.size;
    Some(
        (0..side)
            .map(|y| (0..side).map(|x| code[y][x].value()).collect())
            .collect(),
    )
}

/// The code as a path: dark modules side by side are one rectangle, so that no hairlines show between them.
fn code_pens(content: &str, side: f32) -> Option<Vec<Pen>> {
    let rows = modules(content)?;
    let pitch = side / rows.len() as f32;
    let mut pens = Vec::new();
    for (y, row) in rows.iter().enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if run.first() == Some(&true) {
                let (left, top) = (x as f32 * pitch, y as f32 * pitch);
                pens.extend(crate::page::rectangle(left, top, run.len() as f32 * pitch, pitch));
            }
            x += run.len();
        }
    }
    Some(pens)
}
