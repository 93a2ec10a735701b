//! Repeats to look at: where they break, what a slip does, and the impressions on a whole bolt. SVG, millimetres.

use super::{Seams, Wrong};
use crate::area::{Area, Bounds, Point};
use crate::check::picture::{Labels, path_data};
use crate::layout::{Lattice, Placements, Pose};
use crate::slip::{Slip, Visible};
use std::fmt::Write as _;
use words::{Arg, Line, Voice, say};

const PAPER: &str = "#fbfbfa";
const INK: &str = "#1a2030";
const WAX: &str = "#b9b2a0";
const RULE: &str = "#747a83";
const BREAK: &str = "#a3182f";
const MOVED: &str = "#27397f";

/// How many impressions a cloth takes whole, and how many are cut by its edges.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Census {
    /// All that are set.
    pub all: u32,
    /// Those wholly on the cloth.
    pub whole: u32,
    /// Those that a selvedge cuts.
    pub at_selvedges: u32,
    /// Those that only an end of the bolt cuts.
    pub at_ends: u32,
}

impl Lattice {
    /// Counts the impressions of a cloth of this size, mm.
    pub fn census(&self, width_mm: f64, length_mm: f64) -> Census {
        let places = self.placements(width_mm, length_mm);
        let mut census = Census {
            all: 0,
            whole: 0,
            at_selvedges: 0,
            at_ends: 0,
        };
        for (_, _, cell) in self.cells(&places) {
            // A remainder of a millionth is rounding, not cloth.
            let over = |k: usize, most: f64| cell.low[k] < -1e-6 || cell.high[k] > most + 1e-6;
            census.all += 1;
            if over(0, width_mm) {
                census.at_selvedges += 1;
            } else if over(1, length_mm) {
                census.at_ends += 1;
            } else {
                census.whole += 1;
            }
        }
        census
    }

    /// Every impression of a cloth with the rectangle of its repeat.
    fn cells<'p>(&'p self, places: &'p Placements) -> impl Iterator<Item = (i32, i32, Bounds)> + 'p {
        let columns = places.across.max(places.shifted) as i32;
        let rows = places.along.max(places.shifted) as i32;
        (0..rows)
            .flat_map(move |j| (0..columns).map(move |i| (i, j)))
            .filter(|(i, j)| places.holds(*i, *j))
            .map(|(i, j)| {
                let cell = Bounds::sized(self.repeat_mm[0], self.repeat_mm[1]).moved(self.corner(i, j));
                (i, j, cell)
            })
    }

    /// Two by two impressions and parts of their neighbours, every break numbered.
    pub fn picture_of_seams(&self, area: &Area, seams: &Seams, voice: Voice) -> String {
        let title = if seams.breaks.is_empty() {
            say!(
                "Does the repeat join? Yes, at all {n} places.",
                "Apakah ulangan menyambung? Ya, di semua {n} tempat.",
                n = Arg::Number(seams.joins.len() as f64, 0)
            )
        } else {
            say!(
                "Does the repeat join? Not at {n} of {all} places.",
                "Apakah ulangan menyambung? Tidak di {n} dari {all} tempat.",
                n = Arg::Number(seams.breaks.len() as f64, 0),
                all = Arg::Number((seams.breaks.len() + seams.joins.len()) as f64, 0)
            )
        };
        let mut page = Page::new(self, area, &title.say(voice), &[]);
        // Some borders begin left of the picture or above it; the pattern is the same a period on.
        let period = [0, 1].map(|k| f64::from(self.period()[k]) * self.repeat_mm[k]);
        for (k, one) in seams.breaks.iter().enumerate() {
            let at = [0, 1].map(|k| {
                if one.at[k] < 0.0 {
                    one.at[k] + period[k]
                } else {
                    one.at[k]
                }
            });
            page.ring(at, one.wide_mm.max(2.0), BREAK);
            page.labels.put(&mut page.svg, at, k + 1, BREAK);
        }
        let rows: Vec<String> = seams
            .breaks
            .iter()
            .enumerate()
            .map(|(k, one)| format!("{}  {}", k + 1, one.wrong.line().say(voice)))
            .collect();
        page.end(&rows)
    }

    /// Three by three impressions of which the middle one has slipped: the joins that are seen to open are marked.
    pub fn picture_of_slip(
        &self,
        area: &Area,
        seams: &Seams,
        slip: &Slip,
        visible: &Visible,
        voice: Voice,
    ) -> String {
        let opened = self.slipped(seams, (1, 1), slip);
        let seen: Vec<_> = opened.iter().filter(|o| o.seen(visible)).collect();
        let degrees = slip.angle.to_degrees();
        let title = say!(
            "What do {x} mm across, {y} mm along and {a} degrees do? {n} of {all} joins are seen to open.",
            "Apa akibat geser {x} milimeter lebar, {y} milimeter panjang, putar {a} derajat? {n} dari {all} sambungan tampak terbuka.",
            x = Arg::Number(slip.x_mm, 1),
            y = Arg::Number(slip.y_mm, 1),
            a = Arg::Number(degrees, 1),
            n = Arg::Number(seen.len() as f64, 0),
            all = Arg::Number(opened.len() as f64, 0)
        );
        let mut page = Page::new(self, area, &title.say(voice), &[((1, 1), *slip)]);
        for one in seen {
            page.ring(one.join.at, one.join.wide_mm.max(3.0), BREAK);
        }
        page.end(&[])
    }

    /// The whole bolt lying on its side, every impression in its repeat; those that an edge cuts are tinted.
    pub fn picture_of_bolt(&self, area: &Area, width_mm: f64, length_mm: f64, voice: Voice) -> String {
        let places = self.placements(width_mm, length_mm);
        let census = self.census(width_mm, length_mm);
        let title = say!(
            "How many impressions does the bolt take? {all}: {whole} whole, {side} cut by a selvedge, {end} by an end.",
            "Berapa kali cap untuk satu gulung? {all}: {whole} utuh, {side} terpotong tepi kain, {end} terpotong ujung.",
            all = Arg::Number(f64::from(census.all), 0),
            whole = Arg::Number(f64::from(census.whole), 0),
            side = Arg::Number(f64::from(census.at_selvedges), 0),
            end = Arg::Number(f64::from(census.at_ends), 0)
        );
        let title = words::xml_text(&title.say(voice));
        let room = self.repeat_mm[0].max(self.repeat_mm[1]) * 1.05;
        let letter = length_mm / 110.0;
        let (w, h) = (length_mm + 2.0 * room, width_mm + 2.0 * room + 2.0 * letter);
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{:.1} {:.1} {w:.1} {h:.1}\" width=\"1600\" height=\"{:.0}\" \
             font-family=\"Work, Noto Sans, sans-serif\" fill=\"{INK}\"><title>{title}</title>\
             <rect x=\"{0:.1}\" y=\"{1:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"{PAPER}\"/>\
             <text x=\"0\" y=\"{:.1}\" font-size=\"{letter:.1}\" font-weight=\"700\">{title}</text>\
             <defs><path id=\"m\" fill-rule=\"evenodd\" fill=\"{WAX}\" d=\"{}\"/>\
             <clipPath id=\"c\"><rect width=\"{width_mm:.1}\" height=\"{length_mm:.1}\"/></clipPath></defs>\n\
             <g transform=\"rotate(-90) translate({:.1} 0)\">\n",
            -room,
            -room - 2.0 * letter,
            1600.0 * h / w,
            -room - letter * 0.4,
            path_data(area, |p| p),
            -width_mm,
        );
        // Turned about its corner: across becomes up, along becomes to the right.
        let _ = writeln!(
            svg,
            "<rect width=\"{width_mm:.1}\" height=\"{length_mm:.1}\" fill=\"#fff\"/><g clip-path=\"url(#c)\">"
        );
        for (i, j, _) in self.cells(&places) {
            let _ = writeln!(
                svg,
                "<use href=\"#m\" transform=\"{}\"/>",
                self.transform(i, j, None)
            );
        }
        svg.push_str("</g>\n");
        for (_, _, cell) in self.cells(&places) {
            let cut = cell.low[0] < -1e-6
                || cell.low[1] < -1e-6
                || cell.high[0] > width_mm + 1e-6
                || cell.high[1] > length_mm + 1e-6;
            let fill = if cut {
                "fill=\"#a3182f\" fill-opacity=\".16\""
            } else {
                "fill=\"none\""
            };
            let _ = writeln!(
                svg,
                "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" {fill} stroke=\"{RULE}\" stroke-width=\"3\"/>",
                cell.low[0],
                cell.low[1],
                cell.width(),
                cell.height()
            );
        }
        let _ = writeln!(
            svg,
            "<rect width=\"{width_mm:.1}\" height=\"{length_mm:.1}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"7\"/></g></svg>"
        );
        svg
    }

    /// The SVG transform of an impression, slipped or not.
    fn transform(&self, i: i32, j: i32, slip: Option<&Slip>) -> String {
        let [x, y] = self.corner(i, j);
        let [w, h] = self.repeat_mm;
        let mut all = String::new();
        if let Some(slip) = slip {
            let _ = write!(
                all,
                "translate({:.3} {:.3}) rotate({:.4} {:.3} {:.3}) ",
                slip.x_mm,
                slip.y_mm,
                slip.angle.to_degrees(),
                x + w / 2.0,
                y + h / 2.0
            );
        }
        let _ = write!(all, "translate({x:.3} {y:.3})");
        match self.pose(i, j) {
            Pose::Upright => {}
            Pose::Turned => {
                let _ = write!(all, " translate({w:.3} {h:.3}) scale(-1 -1)");
            }
            Pose::Mirrored => {
                let _ = write!(all, " translate({w:.3} 0) scale(-1 1)");
            }
        }
        all
    }
}

impl Wrong {
    /// What is wrong, in words.
    pub fn line(&self) -> Line {
        match self {
            Self::Ends => say!(
                "a line ends at the border and nothing goes on",
                "garis berhenti di tepi dan tidak berlanjut"
            ),
            Self::Leaps(mm) => say!(
                "a line leaps by {mm} mm",
                "garis meloncat {mm} milimeter",
                mm = Arg::Number(*mm, 2)
            ),
            Self::Turns(angle) => say!(
                "a line turns by {a} degrees",
                "garis membelok {a} derajat",
                a = Arg::Number(angle.to_degrees(), 0)
            ),
        }
    }
}

/// Three by three impressions with a title.
struct Page {
    svg: String,
    labels: Labels,
    around: Bounds,
    letter: f64,
}

impl Page {
    fn new(lattice: &Lattice, area: &Area, title: &str, slips: &[((i32, i32), Slip)]) -> Self {
        let [w, h] = lattice.repeat_mm;
        let around = Bounds::sized(2.6 * w, 2.6 * h).moved([-0.05 * w, -0.05 * h]);
        let letter = around.width() / 58.0;
        let title = words::xml_text(title);
        let mut svg = format!(
            "<title>{title}</title>\
             <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"{:.2}\" font-weight=\"700\">{title}</text>\
             <defs><path id=\"m\" fill-rule=\"evenodd\" d=\"{}\"/><clipPath id=\"c\"><rect x=\"{0:.2}\" y=\"{:.2}\" width=\"{:.2}\" \
             height=\"{:.2}\"/></clipPath></defs>\n<g clip-path=\"url(#c)\">\n",
            around.low[0],
            around.low[1] - letter,
            letter * 1.15,
            path_data(area, |p| p),
            around.low[1],
            around.width(),
            around.height(),
        );
        for j in -1..4 {
            for i in -1..4 {
                let slip = slips.iter().find(|(at, _)| *at == (i, j)).map(|(_, slip)| slip);
                let fill = if slip.is_some() { MOVED } else { WAX };
                let _ = writeln!(
                    svg,
                    "<use href=\"#m\" fill=\"{fill}\" transform=\"{}\"/>",
                    lattice.transform(i, j, slip)
                );
            }
        }
        for j in -1..4 {
            for i in -1..4 {
                let [x, y] = lattice.corner(i, j);
                let _ = writeln!(
                    svg,
                    "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{w:.2}\" height=\"{h:.2}\" fill=\"none\" stroke=\"{RULE}\" \
                     stroke-width=\"{:.2}\" stroke-dasharray=\"{:.2}\"/>",
                    letter / 14.0,
                    letter / 2.0
                );
            }
        }
        svg.push_str("</g>\n");
        Self {
            svg,
            labels: Labels::new(around, letter),
            around,
            letter,
        }
    }

    fn ring(&mut self, at: Point, wide: f64, colour: &str) {
        let _ = writeln!(
            self.svg,
            "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{:.2}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{:.2}\"/>",
            at[0],
            at[1],
            wide * 0.75 + self.letter * 0.4,
            self.letter / 5.0
        );
    }

    fn end(self, rows: &[String]) -> String {
        let line = self.letter * 1.5;
        let mut svg = self.svg;
        for (k, row) in rows.iter().enumerate() {
            let _ = writeln!(
                svg,
                "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"{:.2}\">{}</text>",
                self.around.low[0],
                self.around.high[1] + line * (k as f64 + 1.2),
                self.letter,
                words::xml_text(row)
            );
        }
        let page = self.around.grown(3.0 * self.letter);
        let (w, h) = (page.width(), page.height() + line * rows.len() as f64);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.1}mm\" height=\"{h:.1}mm\" viewBox=\"{:.1} {:.1} {w:.1} {h:.1}\" \
             font-family=\"Work, Noto Sans, sans-serif\" fill=\"{INK}\">\
             <rect x=\"{0:.1}\" y=\"{1:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"{PAPER}\"/>{svg}</svg>\n",
            page.low[0], page.low[1],
        )
    }
}
