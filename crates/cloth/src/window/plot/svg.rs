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

    /// Mean width of a letter, px: for breaking lines and keeping labels apart; a little too wide rather than too narrow.
    pub const fn letter(self) -> f64 {
        match self {
            Self::Title => 13.5,
            Self::Answer => 9.1,
            Self::Strong => 7.6,
            Self::Plain => 7.2,
            Self::Small => 6.4,
        }
    }
}

impl Svg {
    /// Begins a drawing with a description for those who do not see it.
    pub fn new(width: f64, height: f64, label: &str, voice: Voice) -> Self {
        let label = escaped(label);
        let mut out = String::new();
        let _ = write!(
            out,
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0} {height:.0}" width="{width:.0}" height="{height:.0}" role="img" aria-label="{label}"><title>{label}</title><style>text{{font:14px system-ui,sans-serif;fill:{INK};font-variant-numeric:tabular-nums}}.t{{font:500 27px Georgia,serif}}.a{{font:18px Georgia,serif}}.h{{font-weight:650}}.c{{font-size:12.5px;fill:{INK2}}}</style><defs><pattern id="short" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V9" stroke="{EDGE}" stroke-width="1.3"/></pattern><pattern id="long" width="7" height="7" patternUnits="userSpaceOnUse"><circle cx="3" cy="3" r="1.2" fill="{EDGE}"/></pattern></defs><rect width="{width:.0}" height="{height:.0}" fill="{PAPER}"/>"#
        );
        Self { out, voice }
    }

    pub fn finish(mut self) -> String {
        self.out.push_str("</svg>\n");
        self.out
    }

    pub fn text(&mut self, x: f64, y: f64, hold: Hold, style: Style, text: &str) {
        let anchor = match hold {
            Hold::Start => "start",
            Hold::Middle => "middle",
            Hold::End => "end",
        };
        let (class, text) = (style.class(), escaped(text));
        let _ = write!(
            self.out,
            r#"<text x="{x:.1}" y="{y:.1}" text-anchor="{anchor}" class="{class}">{text}</text>"#
        );
    }

    /// A text broken into lines no wider than `width`; answers the y of the last line.
    pub fn paragraph(&mut self, x: f64, y: f64, width: f64, style: Style, leading: f64, text: &str) -> f64 {
        let most = (width / style.letter()).max(8.0) as usize;
        let mut y = y;
        let lines = broken(text, most);
        for (n, line) in lines.iter().enumerate() {
            if n > 0 {
                y += leading;
            }
            self.text(x, y, Hold::Start, style, line);
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

    /// A label on a piece of paper, so that it reads on hatching: strong first line, plain second.
    pub fn label(&mut self, x: f64, y: f64, strong: &str, plain: &str) {
        let wide = |s: &str, style: Style| s.chars().count() as f64 * style.letter();
        let width = wide(strong, Style::Strong).max(wide(plain, Style::Small)) + 16.0;
        let left = x - width / 2.0;
        self.rect((left, y), (width, 42.0), PAPER, "");
        self.text(left + 8.0, y + 17.0, Hold::Start, Style::Strong, strong);
        self.text(left + 8.0, y + 34.0, Hold::Start, Style::Small, plain);
    }
}

/// Words in lines of at most `most` letters.
fn broken(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
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
    use super::{broken, escaped};

    #[test]
    fn lines_break_between_words_and_marks_are_escaped() {
        assert_eq!(broken("one two three", 7), ["one two", "three"]);
        assert_eq!(broken("incomprehensible", 4), ["incomprehensible"]);
        assert_eq!(escaped("a<b & \"c\""), "a&lt;b &amp; &quot;c&quot;");
    }
}
