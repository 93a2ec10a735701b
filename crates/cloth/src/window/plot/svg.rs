//! Small pieces of SVG.

use colour::{Lab, Viewing, screen};
use std::fmt::Write;
use words::Voice;

/// Ink, second ink, hairlines and edges, paper, the colour of the answer and its wash, rope: neutral greys but for the
/// answer, so that cloth is the only thing with colour. Contrast of the inks on paper is above 6.
pub const INK: &str = "#1a2030";
pub const INK2: &str = "#474e5f";
pub const EDGE: &str = "#747a83";
pub const PAPER: &str = "#fbfbfa";
pub const ANSWER: &str = "#27397f";
pub const WASH: &str = "#dfe3f1";
pub const ROPE: &str = "#7b7160";
pub const LEAF: &str = "#1d5a43";

/// A drawing being written.
pub struct Svg {
    out: String,
    width: f64,
    label: String,
    pub voice: Voice,
}

/// Where a text is held.
#[derive(Clone, Copy)]
pub enum Hold {
    Start,
    Middle,
    End,
}

/// How a text looks.
#[derive(Clone, Copy)]
pub enum Style {
    /// The question.
    Title,
    /// The answer.
    Answer,
    /// A label that counts.
    Strong,
    /// A label.
    Plain,
    /// Small print.
    Small,
}

impl Style {
    const fn class(self) -> &'static str {
        match self {
            Self::Title => "t",
            Self::Answer => "a",
            Self::Strong => "h",
            Self::Plain => "p",
            Self::Small => "c",
        }
    }

    /// Width of a text, px, as far as can be said without its font.
    pub fn width(self, text: &str) -> f64 {
        text.chars().count() as f64 * self.letter()
    }

    /// Mean width of a letter, px: for breaking lines and keeping labels apart; a little too wide rather than too narrow.
    pub const fn letter(self) -> f64 {
        match self {
            Self::Title => 13.8,
            // As wide as the widest serif that browsers fall back on.
            Self::Answer => 9.9,
            Self::Strong => 7.6,
            Self::Plain => 7.2,
            Self::Small => 6.4,
        }
    }
}

impl Svg {
    /// Begins a drawing with a description for those who do not see it.
    pub fn new(width: f64, label: &str, voice: Voice) -> Self {
        Self {
            out: String::new(),
            width,
            label: words::xml_text(label),
            voice,
        }
    }

    /// The drawing, so high.
    pub fn finish(self, height: f64) -> String {
        let (width, label, body) = (self.width, self.label, self.out);
        let head = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0} {height:.0}" width="{width:.0}" height="{height:.0}" role="img" aria-label="{label}"><title>{label}</title><style>text{{font:14px system-ui,sans-serif;fill:{INK};font-variant-numeric:tabular-nums}}.t{{font:500 27px Georgia,serif}}.a{{font:18px Georgia,serif}}.h{{font-weight:650}}.c{{font-size:12.5px;fill:{INK2}}}</style><defs><pattern id="short" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V9" stroke="{EDGE}" stroke-width="1.3"/></pattern><pattern id="long" width="7" height="7" patternUnits="userSpaceOnUse"><circle cx="3" cy="3" r="1.2" fill="{EDGE}"/></pattern></defs><rect width="{width:.0}" height="{height:.0}" fill="{PAPER}"/>"#
        );
        format!("{head}{body}</svg>\n")
    }

    pub fn text(&mut self, x: f64, y: f64, hold: Hold, style: Style, text: &str) {
        let anchor = match hold {
            Hold::Start => "start",
            Hold::Middle => "middle",
            Hold::End => "end",
        };
        let (class, text) = (style.class(), words::xml_text(text));
        let _ = write!(
            self.out,
            r#"<text x="{x:.1}" y="{y:.1}" text-anchor="{anchor}" class="{class}">{text}</text>"#
        );
    }

    /// A text broken into lines no wider than `width`; answers the y of the last line.
    pub fn paragraph(&mut self, x: f64, y: f64, width: f64, style: Style, leading: f64, text: &str) -> f64 {
        self.lines((x, y), width, Hold::Start, style, leading, text)
    }

    /// The same, held otherwise.
    pub fn lines(
        &mut self,
        (x, mut y): (f64, f64),
        width: f64,
        hold: Hold,
        style: Style,
        leading: f64,
        text: &str,
    ) -> f64 {
        let most = (width / style.letter()).max(6.0) as usize;
        for (n, line) in broken(text, most).iter().enumerate() {
            if n > 0 {
                y += leading;
            }
            self.text(x, y, hold, style, line);
        }
        y
    }

    pub fn rect(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), fill: &str, more: &str) {
        let (w, h) = (w.max(0.0), h.max(0.0));
        let _ = write!(
            self.out,
            r#"<rect x="{x:.1}" y="{y:.1}" width="{w:.1}" height="{h:.1}" fill="{fill}" {more}/>"#
        );
    }

    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: &str, width: f64, more: &str) {
        let _ = write!(
            self.out,
            r#"<path d="M{:.1} {:.1}L{:.1} {:.1}" stroke="{stroke}" stroke-width="{width}" {more}/>"#,
            from.0, from.1, to.0, to.1
        );
    }

    /// An open or closed run of points.
    pub fn path(&mut self, points: &[(f64, f64)], fill: &str, stroke: &str, width: f64) {
        self.out.push_str("<path d=\"");
        for (n, (x, y)) in points.iter().enumerate() {
            let _ = write!(self.out, "{}{x:.1} {y:.1}", if n == 0 { "M" } else { "L" });
        }
        let _ = write!(
            self.out,
            r#"" fill="{fill}" stroke="{stroke}" stroke-width="{width}" stroke-linejoin="round"/>"#
        );
    }

    pub fn raw(&mut self, svg: &str) {
        self.out.push_str(svg);
    }

    /// A label on a piece of paper no wider than `most`, so that it reads on hatching: strong first, then plain.
    pub fn label(&mut self, x: f64, y: f64, most: f64, strong: &str, plain: &str) {
        let fit = |text: &str, style: Style| broken(text, ((most - 12.0) / style.letter()).max(6.0) as usize);
        let lines: Vec<(String, Style)> = fit(strong, Style::Strong)
            .into_iter()
            .map(|line| (line, Style::Strong))
            .chain(
                fit(plain, Style::Small)
                    .into_iter()
                    .map(|line| (line, Style::Small)),
            )
            .collect();
        let wide = lines
            .iter()
            .map(|(line, style)| style.width(line))
            .fold(0.0, f64::max)
            + 12.0;
        let left = x - wide / 2.0;
        self.rect((left, y), (wide, 17.0 * lines.len() as f64 + 8.0), PAPER, "");
        for (n, (line, style)) in lines.iter().enumerate() {
            self.text(left + 6.0, y + 17.0 * (n + 1) as f64, Hold::Start, *style, line);
        }
    }
}

/// Words in lines of at most `most` letters. A number stays with the word that it counts: "20 s" is never parted.
fn broken(text: &str, most: usize) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    let mut counts = false;
    for word in text.split_whitespace() {
        match pieces.last_mut() {
            Some(piece) if counts => {
                piece.push(' ');
                piece.push_str(word);
            }
            _ => pieces.push(word.to_string()),
        }
        counts =
            word.chars().all(|c| c.is_ascii_digit() || c == ',' || c == '.') && !word.ends_with(['.', ',']);
    }
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + piece.chars().count() <= most => {
                line.push(' ');
                line.push_str(&piece);
            }
            _ => lines.push(piece),
        }
    }
    lines
}

/// A colour of cloth on the screen.
pub fn hex(lab: Lab) -> String {
    let white = Viewing::DAYLIGHT.white();
    let (linear, _) = screen::clip(screen::linear_under(lab.xyz(white), white));
    let [r, g, b] = screen::bytes(linear);
    format!("#{r:02x}{g:02x}{b:02x}")
}

#[cfg(test)]
mod tests {
    use super::broken;

    #[test]
    fn lines_break_between_words() {
        assert_eq!(broken("one two three", 7), ["one two", "three"]);
        assert_eq!(broken("incomprehensible", 4), ["incomprehensible"]);
        assert_eq!(broken("not after 9 min 20 s.", 15), ["not after 9 min", "20 s."]);
        assert_eq!(broken("not after 9 min 20 s.", 17), ["not after 9 min", "20 s."]);
        assert_eq!(broken("in 2026. Not 7,5 jam", 8), ["in 2026.", "Not", "7,5 jam"]);
    }
}
