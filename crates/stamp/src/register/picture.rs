//! A set of two stamps to look at: as drawn with what is tight, and what a slip between the two does. SVG, millimetres.

use super::{MARK_MM, Register, Tight, register_marks};
use crate::area::{Area, Bounds, Point};
use crate::check::picture::{Labels, path_data};
use crate::slip::{Slip, Visible};
use std::fmt::Write as _;
use words::{Arg, Voice, say, text};

const PAPER: &str = "#fbfbfa";
const INK: &str = "#1a2030";
const OUTLINE: &str = "#b9b2a0";
const FILL: &str = "#27397f";
const RULE: &str = "#747a83";
const MISFIT: &str = "#a3182f";
/// Places that get a number; the others a ring.
const NUMBERED: usize = 20;

impl Register {
    /// Both stamps as drawn, with every place that leaves less than `least_mm`, and beside it the same with the fill
    /// slipped, with every misfit that is seen.
    pub fn picture(&self, slip: &Slip, least_mm: f64, visible: &Visible, voice: Voice) -> String {
        let (tight, seen) = (self.tight(least_mm, visible), self.slipped(slip, visible));
        let title = say!(
            "What does a slip of {x} mm, {y} mm and {a} degrees between the two stamps do?",
            "Apa akibat geser {x} milimeter, {y} milimeter dan putar {a} derajat antara kedua cap?",
            x = Arg::Number(slip.x_mm, 1),
            y = Arg::Number(slip.y_mm, 1),
            a = Arg::Number(slip.angle.to_degrees(), 1)
        )
        .say(voice);
        let [w, h] = self.lattice.repeat_mm;
        let cell = Bounds::sized(w, h).grown(0.06 * w.max(h));
        let letter = (2.1 * cell.width() / 74.0).max(1.0);
        let apart = cell.width() + 2.0 * letter;
        let heads = [
            say!(
                "As drawn: {n} places leave less than {mm} mm",
                "Seperti digambar: {n} tempat kurang dari {mm} milimeter",
                n = Arg::Number(tight.len() as f64, 0),
                mm = Arg::Number(least_mm, 1)
            ),
            say!(
                "Slipped: {n} places are seen",
                "Bergeser: {n} tempat tampak",
                n = Arg::Number(seen.len() as f64, 0)
            ),
        ];
        let mut svg = String::new();
        let _ = writeln!(
            svg,
            "<title>{0}</title><text x=\"{1:.2}\" y=\"{2:.2}\" font-size=\"{3:.2}\" font-weight=\"700\">{0}</text>\
             <defs><path id=\"o\" fill-rule=\"evenodd\" fill=\"{OUTLINE}\" d=\"{4}\"/>\
             <path id=\"f\" fill-rule=\"evenodd\" fill=\"{FILL}\" fill-opacity=\".55\" d=\"{5}\"/>\
             <clipPath id=\"c\"><rect x=\"{1:.2}\" y=\"{6:.2}\" width=\"{7:.2}\" height=\"{8:.2}\"/></clipPath></defs>",
            words::xml_text(&title),
            cell.low[0],
            cell.low[1] - 3.4 * letter,
            letter * 1.3,
            path_data(&self.around(&self.outline, &cell), |p| p),
            path_data(&self.around(&self.fill, &cell), |p| p),
            cell.low[1],
            cell.width(),
            cell.height(),
        );
        let still = Slip::default();
        for (k, (slip, places)) in [(&still, &tight), (slip, &seen)].into_iter().enumerate() {
            let by = apart * k as f64;
            let _ = write!(
                svg,
                "<g transform=\"translate({by:.2} 0)\"><text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{letter:.2}\">{}</text>\
                 <g clip-path=\"url(#c)\"><use href=\"#o\"/><use href=\"#f\" transform=\"translate({:.3} {:.3}) rotate({:.4} {:.2} {:.2})\"/>",
                cell.low[0],
                cell.low[1] - 1.2 * letter,
                words::xml_text(&heads[k].say(voice)),
                slip.x_mm,
                slip.y_mm,
                slip.angle.to_degrees(),
                w / 2.0,
                h / 2.0,
            );
            let _ = write!(
                svg,
                "<rect width=\"{w:.2}\" height=\"{h:.2}\" fill=\"none\" stroke=\"{RULE}\" stroke-width=\"{:.2}\" stroke-dasharray=\"{:.2}\"/></g>",
                letter / 14.0,
                letter / 2.0
            );
            for mark in register_marks([w, h]) {
                cross(&mut svg, mark, letter / 10.0);
            }
            rings(&mut svg, places, &cell, letter);
            svg.push_str("</g>\n");
        }
        self.legend(&mut svg, &cell, letter, voice);
        let page = Bounds {
            low: [cell.low[0], cell.low[1] - 3.4 * letter],
            high: [cell.high[0] + apart, cell.high[1] + 2.2 * letter],
        }
        .grown(2.0 * letter);
        let (width, height) = (page.width(), page.height());
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.1}mm\" height=\"{height:.1}mm\" viewBox=\"{x:.1} {y:.1} {width:.1} {height:.1}\" \
             font-family=\"Work, Noto Sans, sans-serif\" fill=\"{INK}\">\
             <rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"{PAPER}\"/>{svg}</svg>\n",
            x = page.low[0],
            y = page.low[1],
        )
    }

    /// All impressions that print into a window around the repeat.
    fn around(&self, area: &Area, window: &Bounds) -> Area {
        let Some(reach) = area.bounds() else {
            return Area::empty();
        };
        let near = self.lattice.meeting(&window.grown(10.0), &reach);
        let parts: Vec<Area> = near
            .iter()
            .map(|(i, j)| self.lattice.printed(*i, *j, area).clipped(&window.grown(10.0)))
            .collect();
        Area::union_of(&parts)
    }

    fn legend(&self, svg: &mut String, cell: &Bounds, letter: f64, voice: Voice) {
        let y = cell.high[1] + 2.0 * letter;
        let mut x = cell.low[0];
        for (colour, opacity, what) in [
            (OUTLINE, 1.0, text!("outline stamp", "cap garis tepi")),
            (FILL, 0.55, text!("fill stamp", "cap isian")),
            (MISFIT, 1.0, text!("tight, or seen", "sempit, atau tampak")),
        ] {
            let said = what.raw(voice.language);
            let _ = write!(
                svg,
                "<rect x=\"{x:.2}\" y=\"{:.2}\" width=\"{letter:.2}\" height=\"{letter:.2}\" fill=\"{colour}\" fill-opacity=\"{opacity}\"/>\
                 <text x=\"{:.2}\" y=\"{y:.2}\" font-size=\"{letter:.2}\">{}</text>",
                y - letter * 0.85,
                x + 1.6 * letter,
                words::xml_text(said)
            );
            x += letter * (4.0 + 0.62 * said.len() as f64);
        }
    }
}

/// A register mark.
fn cross(svg: &mut String, at: Point, pen: f64) {
    let [x, y] = at;
    let _ = write!(
        svg,
        "<path d=\"M{:.2} {y:.2}h{long:.2}M{x:.2} {:.2}v{long:.2}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"{pen:.2}\"/>",
        x - MARK_MM,
        y - MARK_MM,
        long = 2.0 * MARK_MM,
    );
}

fn rings(svg: &mut String, places: &[Tight], cell: &Bounds, letter: f64) {
    let mut labels = Labels::new(*cell, letter);
    for place in places {
        let _ = write!(
            svg,
            "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{:.2}\" fill=\"none\" stroke=\"{MISFIT}\" stroke-width=\"{:.2}\"/>",
            place.at[0],
            place.at[1],
            (place.along_mm / 2.0).clamp(2.0, 8.0),
            letter / 6.0
        );
    }
    for (k, place) in places.iter().take(NUMBERED).enumerate() {
        labels.put(svg, place.at, k + 1, MISFIT);
    }
}
