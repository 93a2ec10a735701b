//! The drawing with its faults numbered, as SVG.

use super::{BuildRule, Fault, Report};
use crate::area::{Area, Bounds, Point};
use std::fmt::Write as _;
use words::{Arg, Voice, Weight, say};

/// Marks drawn for one rule; the rest is counted below the picture.
const MARKED: usize = 40;
/// Ink of the page, of wax, of captions.
const INK: &str = "#1a2030";
const WAX: &str = "#d3cdbd";
const QUIET: &str = "#474e5f";

impl BuildRule {
    /// The colour of its marks: lines red, gaps blue, the rest brown, what is only to be known grey.
    const fn colour(self) -> &'static str {
        match self {
            Self::NarrowGap | Self::LongNotch => "#27397f",
            Self::TightBend | Self::ShortPiece | Self::LonePiece | Self::CrowdedJoints => "#8a5410",
            Self::BetweenStrips | Self::WideFill | Self::SmallForHandle | Self::OffBalance => "#5c6170",
            _ => "#a3182f",
        }
    }
}

impl Report {
    /// The drawing with every fault marked by its number, and below it what the numbers mean. Millimetres; as
    /// large as the drawing and its margin.
    pub fn picture(&self, voice: Voice) -> String {
        let frame = Bounds::sized(self.repeat_mm[0], self.repeat_mm[1]);
        let around = self.area.bounds().map_or(frame, |b| b.with(&frame));
        let side = around.width().max(around.height());
        let (room, letter) = (side * 0.04, side / 62.0);
        let rows = self.rows(voice);
        let verdict = if self.buildable() {
            say!(
                "Can copper be bent to this? Yes.",
                "Bisakah dibuat dari tembaga? Bisa."
            )
            .say(voice)
        } else {
            let n = self.faults.iter().filter(|f| f.rule.drawn()).count();
            say!(
                "Can copper be bent to this? Not yet: {n} places.",
                "Bisakah dibuat dari tembaga? Belum: {n} tempat.",
                n = Arg::Number(n as f64, 0)
            )
            .say(voice)
        };
        let page = around.grown(room);
        let line = letter * 1.55;
        let height = page.height() + line * (3.2 * rows.len() as f64 + 2.0) + room;
        let (x0, y0) = (page.low[0], page.low[1]);
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.2}mm\" height=\"{h:.2}mm\" viewBox=\"{x0:.2} {y0:.2} {w:.2} {h:.2}\" font-family=\"Work, Noto Sans, sans-serif\" fill=\"{INK}\">\n\
             <title>{t}</title>\n\
             <rect x=\"{x0:.2}\" y=\"{y0:.2}\" width=\"{w:.2}\" height=\"{h:.2}\" fill=\"#fbfbfa\"/>\n\
             <path fill=\"{WAX}\" fill-rule=\"evenodd\" d=\"{d}\"/>\n\
             <rect width=\"{fw:.2}\" height=\"{fh:.2}\" fill=\"none\" stroke=\"#747a83\" stroke-width=\"{s:.2}\" stroke-dasharray=\"{dash:.2}\"/>\n",
            w = page.width(),
            h = height + letter * 2.2,
            t = words::xml_text(&verdict),
            d = path_data(&self.area, |p| p),
            fw = frame.width(),
            fh = frame.height(),
            s = letter / 16.0,
            dash = letter / 2.0,
        );
        let mut labels = Labels::new(page, letter);
        let marked = self.marked();
        for fault in &marked {
            trace(&mut svg, fault, letter);
        }
        for fault in &marked {
            labels.put(&mut svg, fault.at, fault.number, fault.rule.colour());
        }
        let mut y = page.high[1] + letter * 1.6;
        let x = around.low[0];
        let _ = writeln!(
            svg,
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{:.2}\" font-weight=\"700\">{}</text>",
            letter * 1.5,
            words::xml_text(&verdict)
        );
        y += line * 1.5;
        for (rule, head, [text, remedy]) in rows {
            let _ = writeln!(
                svg,
                "<g font-size=\"{letter:.2}\"><rect x=\"{x:.2}\" y=\"{top:.2}\" width=\"{bar:.2}\" height=\"{tall:.2}\" fill=\"{c}\"/>\
                 <text x=\"{tx:.2}\" y=\"{y:.2}\" font-weight=\"700\">{head}</text><text x=\"{tx:.2}\" y=\"{y2:.2}\" fill=\"{QUIET}\">{text}</text>\
                 <text x=\"{tx:.2}\" y=\"{y3:.2}\" fill=\"{QUIET}\">{remedy}</text></g>",
                top = y - letter,
                bar = letter * 0.45,
                tall = letter * 3.9,
                c = rule.colour(),
                tx = x + letter * 1.2,
                head = words::xml_text(&head),
                y2 = y + line * 0.9,
                text = words::xml_text(&text),
                y3 = y + line * 1.75,
                remedy = words::xml_text(&remedy),
            );
            y += line * 3.1;
        }
        svg.push_str("</svg>\n");
        svg
    }

    fn marked(&self) -> Vec<&Fault> {
        let mut told = (None, 0);
        let few = |f: &&Fault| {
            told = if told.0 == Some(f.rule) {
                (told.0, told.1 + 1)
            } else {
                (Some(f.rule), 1)
            };
            // What is about the whole stamp has no place, and solid parts are seen.
            f.rule < BuildRule::WideFill && told.1 <= MARKED
        };
        self.faults.iter().filter(few).collect()
    }

    /// For each rule that is broken: numbers and name; what was measured, what is allowed, what to do.
    fn rows(&self, voice: Voice) -> Vec<(BuildRule, String, [String; 2])> {
        let mut rows: Vec<(BuildRule, String, [String; 2])> = Vec::new();
        let mut k = 0;
        while let Some(first) = self.faults.get(k) {
            let count = self.count(first.rule);
            let numbers = match count {
                _ if first.rule >= BuildRule::WideFill => String::new(),
                1 => format!("{}  ", first.number),
                _ => format!("{}\u{2013}{}  ", first.number, first.number + count - 1),
            };
            let mut head = format!("{numbers}{}", first.rule.text().raw(voice.language));
            if count > MARKED && first.rule < BuildRule::WideFill {
                let more = say!(
                    "(the worst {n} are marked)",
                    "({n} yang terparah ditandai)",
                    n = Arg::Number(MARKED as f64, 0)
                );
                head = format!("{head} {}", more.say(voice));
            }
            let finding = self.finding(first);
            let measured = finding.found.say(voice);
            let allowed = finding.allowed.map(|l| l.say(voice)).unwrap_or_default();
            let remedy = finding.remedy.map(|l| l.say(voice)).unwrap_or_default();
            rows.push((first.rule, head, [format!("{measured} {allowed}"), remedy]));
            k += count;
        }
        rows
    }
}

/// The outline or axis that a fault is about; for a fault without one, a ring.
fn trace(svg: &mut String, fault: &Fault, letter: f64) {
    let c = fault.rule.colour();
    let weight = if fault.rule.weight() == Weight::Note {
        0.12
    } else {
        0.22
    } * letter;
    if fault.trace.len() < 2 {
        let [x, y] = fault.at;
        let _ = writeln!(
            svg,
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{:.2}\" fill=\"none\" stroke=\"{c}\" stroke-width=\"{weight:.2}\"/>",
            letter * 0.6
        );
        return;
    }
    let mut d = String::new();
    for (k, p) in fault.trace.iter().enumerate() {
        let _ = write!(d, "{}{:.2} {:.2}", if k == 0 { "M" } else { "L" }, p[0], p[1]);
    }
    let _ = writeln!(
        svg,
        "<path d=\"{d}\" fill=\"none\" stroke=\"{c}\" stroke-width=\"{weight:.2}\" stroke-linecap=\"round\" stroke-linejoin=\"round\"/>"
    );
}

/// Numbers in small badges, each beside its place and clear of the others as far as there is room.
pub(crate) struct Labels {
    page: Bounds,
    letter: f64,
    taken: Vec<Bounds>,
}

impl Labels {
    pub fn new(page: Bounds, letter: f64) -> Self {
        Self {
            page,
            letter,
            taken: Vec::new(),
        }
    }

    /// Draws one.
    pub fn put(&mut self, svg: &mut String, at: Point, number: usize, colour: &str) {
        let digits = number.to_string();
        let half = [
            self.letter * (0.35 + 0.3 * digits.len() as f64),
            self.letter * 0.62,
        ];
        let spot = |p: Point| Bounds {
            low: [p[0] - half[0], p[1] - half[1]],
            high: [p[0] + half[0], p[1] + half[1]],
        };
        let inside =
            |b: &Bounds| (0..2).all(|k| b.low[k] >= self.page.low[k] && b.high[k] <= self.page.high[k]);
        let places = (0..6).flat_map(|far| {
            (0..8).map(move |way| {
                (
                    1.5 + 0.9 * f64::from(far),
                    f64::from(way) * std::f64::consts::FRAC_PI_4 - 0.8,
                )
            })
        });
        let mut places = places.map(|(far, way)| {
            let r = far * self.letter;
            [at[0] + r * way.cos(), at[1] + r * way.sin()]
        });
        let free = |p: &Point| {
            let b = spot(*p);
            inside(&b) && !self.taken.iter().any(|t| t.meets(&b))
        };
        let p = places.find(free).unwrap_or([at[0] + 1.5 * self.letter, at[1]]);
        self.taken.push(spot(p));
        let _ = writeln!(
            svg,
            "<path d=\"M{:.2} {:.2}L{:.2} {:.2}\" stroke=\"{colour}\" stroke-width=\"{:.2}\"/>\
             <rect x=\"{:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"{:.2}\" rx=\"{:.2}\" fill=\"{colour}\"/>\
             <text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{:.2}\" font-weight=\"700\" text-anchor=\"middle\" fill=\"#fff\">{digits}</text>",
            at[0],
            at[1],
            p[0],
            p[1],
            self.letter * 0.09,
            p[0] - half[0],
            p[1] - half[1],
            2.0 * half[0],
            2.0 * half[1],
            half[1] * 0.6,
            p[0],
            p[1] + self.letter * 0.34,
            self.letter * 0.95,
        );
    }
}

/// The rings of an area as SVG path data, hundredths of a millimetre.
pub(crate) fn path_data(area: &Area, to_page: impl Fn(Point) -> Point) -> String {
    let mut d = String::new();
    for ring in area.rings() {
        for (k, p) in ring.iter().enumerate() {
            let [x, y] = to_page(*p);
            let _ = write!(d, "{}{x:.2} {y:.2}", if k == 0 { "M" } else { "L" });
        }
        d.push('Z');
    }
    d
}
