//! Setting type: text is shaped once, measured and drawn from the same glyphs, so what was measured is
//! what is printed. Lengths are PostScript points (1/72 in).

use crate::Error;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::UnicodeBuffer;

/// A weight of the one family that papers are set in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Face {
    Regular,
    Bold,
}

/// Black, or the grey of the second language; both are safe on a worn-out toner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    Black,
    Grey,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Style {
    pub face: Face,
    pub size: f32,
    pub ink: Ink,
}

pub(crate) const fn bold(size: f32) -> Style {
    Style {
        face: Face::Bold,
        size,
        ink: Ink::Black,
    }
}
pub(crate) const fn plain(size: f32) -> Style {
    Style {
        face: Face::Regular,
        size,
        ink: Ink::Black,
    }
}
pub(crate) const fn grey(size: f32) -> Style {
    Style {
        face: Face::Regular,
        size,
        ink: Ink::Grey,
    }
}

/// Shaped text: advances in em.
#[derive(Clone, Debug, Default)]
pub(crate) struct Run {
    pub text: String,
    pub glyphs: Vec<KrillaGlyph>,
    pub ems: f32,
}

impl Run {
    fn append(&mut self, other: &Self) {
        let by = self.text.len();
        self.text.push_str(&other.text);
        self.ems += other.ems;
        self.glyphs.extend(other.glyphs.iter().map(|glyph| {
            let range = glyph.text_range.start + by..glyph.text_range.end + by;
            KrillaGlyph {
                text_range: range,
                ..glyph.clone()
            }
        }));
    }
}

/// A stretch of text in one style.
pub(crate) type Span<'t> = (&'t str, Style);

/// One line of a paragraph: pieces from left to right.
#[derive(Clone, Debug, Default)]
pub(crate) struct Row {
    pub pieces: Vec<(f32, Run, Style)>,
    pub width: f32,
    /// Height of the row; its baseline is `size` below its top.
    pub height: f32,
    pub size: f32,
}

/// Wrapped text.
#[derive(Clone, Debug, Default)]
pub(crate) struct Paragraph {
    pub rows: Vec<Row>,
    pub height: f32,
}

/// Row height over type size.
pub(crate) const LEADING: f32 = 1.28;

/// The faces, ready to shape and to print.
pub(crate) struct Setter {
    regular: (rustybuzz::Face<'static>, Font),
    bold: (rustybuzz::Face<'static>, Font),
}

impl Setter {
    pub fn new() -> Result<Self, Error> {
        Ok(Self {
            regular: open(notosans::REGULAR_TTF)?,
            bold: open(notosans::BOLD_TTF)?,
        })
    }

    pub fn font(&self, face: Face) -> Font {
        self.face(face).1.clone()
    }

    /// Whether the family can print this character.
    pub fn prints(&self, c: char) -> bool {
        c.is_whitespace() || c.is_control() || self.regular.0.glyph_index(c).is_some()
    }

    fn face(&self, face: Face) -> &(rustybuzz::Face<'static>, Font) {
        match face {
            Face::Regular => &self.regular,
            Face::Bold => &self.bold,
        }
    }

    fn shape(&self, text: &str, face: Face) -> Run {
        let (shaper, font) = self.face(face);
        let em = font.units_per_em();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        // The family has Latin, Greek and Cyrillic only.
        buffer.set_direction(rustybuzz::Direction::LeftToRight);
        let shaped = rustybuzz::shape(shaper, &[], buffer);
        let starts: Vec<usize> = shaped
            .glyph_infos()
            .iter()
            .map(|info| info.cluster as usize)
            .collect();
        let mut run = Run {
            text: text.to_string(),
            ..Run::default()
        };
        for (i, (info, place)) in shaped
            .glyph_infos()
            .iter()
            .zip(shaped.glyph_positions())
            .enumerate()
        {
            let start = info.cluster as usize;
            let end = starts
                .iter()
                .skip(i + 1)
                .copied()
                .find(|next| *next > start)
                .unwrap_or(text.len());
            let advance = place.x_advance as f32 / em;
            run.ems += advance;
            run.glyphs.push(KrillaGlyph::new(
                GlyphId::new(info.glyph_id),
                advance,
                place.x_offset as f32 / em,
                place.y_offset as f32 / em,
                0.0,
                start..end,
                None,
            ));
        }
        run
    }

    /// Wraps spans to a width. Breaks at spaces; a word wider than a line is broken where it must be.
    pub fn wrap(&self, spans: &[Span<'_>], width: f32) -> Paragraph {
        let mut breaker = Breaker {
            width,
            row: Row::default(),
            space: None,
            out: Paragraph::default(),
        };
        for (text, style) in spans {
            let text = clean(text);
            let mut rest = text.as_str();
            while !rest.is_empty() {
                let spaces = rest.len() - rest.trim_start_matches(' ').len();
                if spaces > 0 {
                    breaker.space = Some((self.shape(" ", style.face), *style));
                    rest = &rest[spaces..];
                    continue;
                }
                let end = rest.find(' ').unwrap_or(rest.len());
                self.word(&mut breaker, &rest[..end], *style);
                rest = &rest[end..];
            }
        }
        breaker.end_row();
        breaker.out
    }

    fn word(&self, breaker: &mut Breaker, word: &str, style: Style) {
        let run = self.shape(word, style.face);
        if run.ems * style.size <= breaker.width {
            breaker.place(run, style);
            return;
        }
        let mut part = String::new();
        for c in word.chars() {
            let longer = format!("{part}{c}");
            if !part.is_empty() && self.shape(&longer, style.face).ems * style.size > breaker.width {
                breaker.place(self.shape(&part, style.face), style);
                part.clear();
            }
            part.push(c);
        }
        breaker.place(self.shape(&part, style.face), style);
    }
}

/// Fills rows.
struct Breaker {
    width: f32,
    row: Row,
    space: Option<(Run, Style)>,
    out: Paragraph,
}

impl Breaker {
    fn place(&mut self, run: Run, style: Style) {
        let gap = self
            .space
            .as_ref()
            .map_or(0.0, |(space, style)| space.ems * style.size);
        let wide = run.ems * style.size;
        if !self.row.pieces.is_empty() && self.row.width + gap + wide > self.width + 0.01 {
            self.end_row();
        }
        if let Some((space, space_style)) = self.space.take()
            && !self.row.pieces.is_empty()
        {
            self.push(space, space_style);
        }
        self.push(run, style);
    }

    fn push(&mut self, run: Run, style: Style) {
        let wide = run.ems * style.size;
        match self.row.pieces.last_mut() {
            Some((_, last, last_style)) if *last_style == style => last.append(&run),
            _ => self.row.pieces.push((self.row.width, run, style)),
        }
        self.row.width += wide;
        self.row.size = self.row.size.max(style.size);
    }

    fn end_row(&mut self) {
        self.space = None;
        if self.row.pieces.is_empty() {
            return;
        }
        let mut row = std::mem::take(&mut self.row);
        row.height = row.size * LEADING;
        self.out.height += row.height;
        self.out.rows.push(row);
    }
}

fn open(bytes: &'static [u8]) -> Result<(rustybuzz::Face<'static>, Font), Error> {
    let face = rustybuzz::Face::from_slice(bytes, 0).ok_or(Error::Font)?;
    let font = Font::new(krilla::Data::from(bytes), 0).ok_or(Error::Font)?;
    Ok((face, font))
}

/// Line ends, tabs and other control characters become spaces.
fn clean(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() || c == '\u{2028}' || c == '\u{2029}' {
                ' '
            } else {
                c
            }
        })
        .collect()
}
