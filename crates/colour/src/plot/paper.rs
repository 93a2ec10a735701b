//! A sheet to draw on.

use crate::screen;
use crate::spaces::{Lab, lab};
use crate::spectrum::Spectrum;
use crate::viewing::{Viewing, xyz};
use std::fmt::Write;
use words::{Line, Voice};

/// Ink, its second voice, edges, paper and the colour of an answer; inks reach a contrast of 6 on paper.
pub const INK: &str = "#1a2030";
pub const EDGE: &str = "#747a83";
pub const HAIR: &str = "#c9cbcc";
pub const PAPER: &str = "#fbfbfa";
pub const ANSWER: &str = "#27397f";
pub const WASH: &str = "#dfe3f1";

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
    Title,
    Answer,
    Strong,
    Plain,
    Small,
}

impl Style {
    /// Class, and the mean width of a letter in px, rather too wide than too narrow.
    const fn class(self) -> (&'static str, f64) {
        match self {
            Self::Title => ("t", 13.0),
            Self::Answer => ("a", 8.0),
            Self::Strong => ("h", 7.6),
            Self::Plain => ("p", 7.2),
            Self::Small => ("c", 6.8),
        }
    }

    /// Width of a text, px, about.
    pub fn width(self, text: &str) -> f64 {
        text.chars().count() as f64 * self.class().1
    }
}

/// A drawing being written.
pub struct Paper {
    out: String,
    pub voice: Voice,
}

impl Paper {
    /// A sheet with a description for those who do not see it.
    pub fn new(width: f64, height: f64, title: &Line, voice: Voice) -> Self {
        let label = words::xml_text(&title.say(voice));
        let mut out = String::new();
        let _ = write!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" \
             height=\"{height:.0}\" role=\"img\" aria-label=\"{label}\"><title>{label}</title><style>text{{font:14px \
             system-ui,'Noto Sans',sans-serif;fill:{INK};font-variant-numeric:tabular-nums}}.t{{font:500 27px \
             Georgia,'Book Antiqua',serif}}.a{{font:18px Georgia,'Book Antiqua',serif}}.h{{font-weight:650}}\
             .c{{font-size:12.5px;fill:#474e5f}}</style><defs><pattern id=\"unknown\" width=\"9\" height=\"9\" \
             patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path d=\"M0 0V9\" stroke=\"{EDGE}\" \
             stroke-width=\"1.1\"/></pattern></defs><rect width=\"{width:.0}\" height=\"{height:.0}\" \
             fill=\"{PAPER}\"/>"
        );
        Self { out, voice }
    }

    pub fn finish(mut self) -> String {
        self.out.push_str("</svg>\n");
        self.out
    }

    pub fn text(&mut self, (x, y): (f64, f64), hold: Hold, style: Style, text: &str) {
        let anchor = match hold {
            Hold::Start => "start",
            Hold::Middle => "middle",
            Hold::End => "end",
        };
        let (class, text) = (style.class().0, words::xml_text(text));
        let _ = write!(
            self.out,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" class=\"{class}\">{text}</text>"
        );
    }

    /// A text that stays readable on lines.
    pub fn haloed(&mut self, (x, y): (f64, f64), hold: Hold, style: Style, text: &str) {
        let _ = write!(
            self.out,
            "<g stroke=\"{PAPER}\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\">"
        );
        self.text((x, y), hold, style, text);
        self.out.push_str("</g>");
    }

    pub fn say(&mut self, at: (f64, f64), hold: Hold, style: Style, line: &Line) {
        let text = line.say(self.voice);
        self.text(at, hold, style, &text);
    }

    /// A text broken into lines no wider than `width`, `leading` apart; the y of the last.
    pub fn paragraph(
        &mut self,
        (x, y): (f64, f64),
        width: f64,
        style: Style,
        leading: f64,
        text: &str,
    ) -> f64 {
        let most = (width / style.class().1).max(8.0) as usize;
        let mut lines = vec![String::new()];
        for word in text.split_whitespace() {
            let last = lines.len() - 1;
            if !lines[last].is_empty() && lines[last].chars().count() + 1 + word.chars().count() > most {
                lines.push(word.to_string());
            } else {
                let gap = if lines[last].is_empty() { "" } else { " " };
                lines[last] += &format!("{gap}{word}");
            }
        }
        let mut at = y;
        for (n, line) in lines.iter().enumerate() {
            at = y + n as f64 * leading;
            self.text((x, at), Hold::Start, style, line);
        }
        at
    }

    pub fn rect(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), fill: &str) {
        let (w, h) = (w.max(0.0), h.max(0.0));
        let _ = write!(
            self.out,
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"{fill}\"/>"
        );
    }

    /// `more` are further attributes of ours.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: &str, width: f64, more: &str) {
        let _ = write!(
            self.out,
            "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{stroke}\" stroke-width=\"{width}\" {more}/>",
            from.0, from.1, to.0, to.1
        );
    }

    /// A run of points; closed if it is filled.
    pub fn run(&mut self, points: &[(f64, f64)], fill: &str, stroke: &str, width: f64, more: &str) {
        self.out.push_str("<path d=\"");
        for (n, (x, y)) in points.iter().enumerate() {
            let _ = write!(self.out, "{}{x:.1} {y:.1}", if n == 0 { "M" } else { "L" });
        }
        let close = if fill == "none" { "" } else { "Z" };
        let _ = write!(
            self.out,
            "{close}\" fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"{width}\" stroke-linejoin=\"round\" {more}/>"
        );
    }

    /// A ribbon that hangs from one level to another, its sides upright at both ends.
    pub fn ribbon(
        &mut self,
        ((a, top), (b, foot)): ((f64, f64), (f64, f64)),
        wide: f64,
        fill: &str,
        edge: &str,
    ) {
        let middle = f64::midpoint(top, foot);
        let (a2, b2) = (a + wide, b + wide);
        let _ = write!(
            self.out,
            "<path d=\"M{a:.1} {top:.1}C{a:.1} {middle:.1} {b:.1} {middle:.1} {b:.1} {foot:.1}H{b2:.1}C{b2:.1} {middle:.1} \
             {a2:.1} {middle:.1} {a2:.1} {top:.1}Z\" fill=\"{fill}\" fill-opacity=\"0.62\" stroke=\"{edge}\" \
             stroke-opacity=\"0.5\" stroke-width=\"0.6\"/>"
        );
    }

    pub fn dot(&mut self, (x, y): (f64, f64), radius: f64, fill: &str, stroke: &str, width: f64) {
        let _ = write!(
            self.out,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"{fill}\" stroke=\"{stroke}\" \
             stroke-width=\"{width}\"/>"
        );
    }
}

/// A reflectance as a screen shows it, `#rrggbb`.
pub fn hex(reflectance: &Spectrum) -> String {
    let linear = screen::linear_under(xyz(reflectance, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white());
    let [r, g, b] = screen::bytes(screen::clip(linear).0);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A colour as a screen shows it, `#rrggbb`: adapted from the white that its L*a*b* is over.
pub fn seen_hex(lab: Lab) -> String {
    let white = Viewing::DAYLIGHT.white();
    let linear = screen::linear_under(lab.xyz(white), white);
    let [r, g, b] = screen::bytes(screen::clip(linear).0);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// L* of a reflectance in daylight.
pub fn lightness(reflectance: &Spectrum) -> f64 {
    lab(xyz(reflectance, Viewing::DAYLIGHT), Viewing::DAYLIGHT.white()).l
}

/// Round numbers from 0 to `most`: four or so steps of 1, 2 or 5 times a power of ten, and the decimals they need.
pub fn ticks(most: f64) -> (Vec<f64>, usize) {
    if !(most > 0.0 && most.is_finite()) {
        return (vec![0.0], 0);
    }
    let rough = most / 4.0;
    let power = 10_f64.powi(rough.log10().floor() as i32);
    let step = [1.0, 2.0, 5.0, 10.0]
        .map(|m| m * power)
        .into_iter()
        .find(|s| *s >= rough * 0.99)
        .unwrap_or(rough);
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    let count = (most / step * (1.0 + 1e-9)).floor() as usize;
    ((0..=count).map(|i| i as f64 * step).collect(), decimals)
}

/// A depth with the decimals it needs: 0, 0.1, 0.25.
pub fn spelled(voice: Voice, depth: f64) -> String {
    let whole = |by: f64| ((depth * by).round() - depth * by).abs() < 1e-6;
    let decimals = if whole(1.0) {
        0
    } else if whole(10.0) {
        1
    } else {
        2
    };
    voice.number(depth, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn round_ticks() {
        assert_eq!(ticks(3.0), (vec![0.0, 1.0, 2.0, 3.0], 0));
        assert_eq!(ticks(0.7), (vec![0.0, 0.2, 0.4, 0.6000000000000001], 1));
        assert_eq!(ticks(17.0).0, [0.0, 5.0, 10.0, 15.0]);
        assert_eq!(ticks(0.0).0, [0.0]);
        assert_eq!(ticks(f64::NAN).0, [0.0]);
    }
}
