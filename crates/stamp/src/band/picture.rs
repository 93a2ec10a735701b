//! A border to look at: its corner with every break, and the piece with every impression. SVG, millimetres.

use super::{Band, BandSeam, Laid, Meeting, Part, Spot};
use crate::area::{Area, Bounds};
use crate::check::picture::{Labels, path_data};
use crate::repeat::Break;
use std::fmt::Write as _;
use words::{Arg, Text, Voice, say, text};

const PAPER: &str = "#fbfbfa";
const INK: &str = "#1a2030";
const WAX: &str = "#b9b2a0";
const CORNER: &str = "#8d8570";
const RULE: &str = "#747a83";
const BREAK: &str = "#a3182f";

impl Meeting {
    /// Its name.
    pub const fn text(self) -> &'static Text {
        match self {
            Self::Steps => text!("one impression and the next", "satu cap dan berikutnya"),
            Self::FromCorner => text!("the corner and the run after it", "sudut dan deretan sesudahnya"),
            Self::ToCorner => text!("the run and the corner after it", "deretan dan sudut sesudahnya"),
        }
    }
}

impl Band {
    /// The left upper corner, or two impressions where there is no corner stamp, with every break numbered.
    pub fn picture_of_joins(
        &self,
        border: &Area,
        corner: Option<&Area>,
        seams: &[BandSeam],
        voice: Voice,
    ) -> String {
        let [step, band] = self.repeat_mm;
        let breaks: Vec<(Meeting, &Break)> = seams
            .iter()
            .flat_map(|one| one.seams.breaks.iter().map(|b| (one.meeting, b)))
            .collect();
        let joins: usize = seams.iter().map(|one| one.seams.joins.len()).sum();
        let title = if breaks.is_empty() {
            say!(
                "Does the border join? Yes, at all {n} places.",
                "Apakah pinggiran menyambung? Ya, di semua {n} tempat.",
                n = Arg::Number(joins as f64, 0)
            )
        } else {
            say!(
                "Does the border join? Not at {n} of {all} places.",
                "Apakah pinggiran menyambung? Tidak di {n} dari {all} tempat.",
                n = Arg::Number(breaks.len() as f64, 0),
                all = Arg::Number((breaks.len() + joins) as f64, 0)
            )
        }
        .say(voice);
        let long = 2.0 * step + if corner.is_some() { band } else { 0.0 };
        let high = if corner.is_some() { long } else { band };
        let around = Bounds::sized(long, high).grown(0.04 * long);
        let letter = around.width() / 58.0;
        let spots = self.corner(corner.is_some());
        let mut svg = self.stamps(border, corner);
        let _ = writeln!(
            svg,
            "<title>{0}</title><text x=\"{1:.2}\" y=\"{2:.2}\" font-size=\"{3:.2}\" font-weight=\"700\">{0}</text>",
            words::xml_text(&title),
            around.low[0],
            around.low[1] - letter,
            letter * 1.15
        );
        self.impressions(&mut svg, &spots, letter / 14.0);
        let mut labels = Labels::new(around, letter);
        for (k, (_, one)) in breaks.iter().enumerate() {
            let _ = writeln!(
                svg,
                "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{:.2}\" fill=\"none\" stroke=\"{BREAK}\" stroke-width=\"{:.2}\"/>",
                one.at[0],
                one.at[1],
                one.wide_mm * 0.75 + letter * 0.4,
                letter / 5.0
            );
            labels.put(&mut svg, one.at, k + 1, BREAK);
        }
        let line = letter * 1.5;
        for (k, (meeting, one)) in breaks.iter().enumerate() {
            let said = format!(
                "{}  {}: {}",
                k + 1,
                meeting.text().raw(voice.language),
                one.wrong.line().say(voice)
            );
            let _ = writeln!(
                svg,
                "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{letter:.2}\">{}</text>",
                around.low[0],
                around.high[1] + line * (k as f64 + 1.2),
                words::xml_text(&said)
            );
        }
        let page = Bounds {
            low: [around.low[0], around.low[1] - 2.5 * letter],
            high: [
                around.high[0],
                around.high[1] + line * (breaks.len() as f64 + 0.5),
            ],
        };
        page_of(&page.grown(letter), &svg)
    }

    /// The whole piece lying on its side, every impression in its place.
    pub fn picture_of_piece(
        &self,
        border: &Area,
        corner: Option<&Area>,
        laid: &Laid,
        [width, length]: [f64; 2],
        voice: Voice,
    ) -> String {
        let title = say!(
            "How many impressions does the border take? {all}: {run} of the border, {corner} of the corner.",
            "Berapa kali cap untuk pinggiran? {all}: {run} cap pinggir, {corner} cap sudut.",
            all = Arg::Number(f64::from(laid.all()), 0),
            run = Arg::Number(f64::from(laid.count(Part::Border)), 0),
            corner = Arg::Number(f64::from(laid.count(Part::Corner)), 0)
        )
        .say(voice);
        let letter = length.max(width) / 90.0;
        let mut svg = self.stamps(border, corner);
        let _ = writeln!(
            svg,
            "<title>{0}</title><text x=\"0\" y=\"{1:.1}\" font-size=\"{letter:.1}\" font-weight=\"700\">{0}</text>\
             <g transform=\"rotate(-90) translate({2:.1} 0)\">\
             <rect width=\"{width:.1}\" height=\"{length:.1}\" fill=\"#fff\"/>",
            words::xml_text(&title),
            -letter,
            -width
        );
        self.impressions(&mut svg, &laid.spots, letter / 16.0);
        let _ = writeln!(
            svg,
            "<rect width=\"{width:.1}\" height=\"{length:.1}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"{:.2}\"/></g>",
            letter / 8.0
        );
        let page = Bounds {
            low: [0.0, -2.5 * letter],
            high: [length, width],
        };
        page_of(&page.grown(letter), &svg)
    }

    fn stamps(&self, border: &Area, corner: Option<&Area>) -> String {
        let path = |id: &str, area: &Area, colour: &str| {
            format!(
                "<path id=\"{id}\" fill-rule=\"evenodd\" fill=\"{colour}\" d=\"{}\"/>",
                path_data(area, |p| p)
            )
        };
        let corner = corner.map_or_else(String::new, |area| path("k", area, CORNER));
        format!("<defs>{}{corner}</defs>\n", path("m", border, WAX))
    }

    fn impressions(&self, svg: &mut String, spots: &[Spot], pen: f64) {
        for spot in spots {
            let [w, h] = self.size_mm(spot.part);
            let id = if spot.part == Part::Corner { "k" } else { "m" };
            let _ = writeln!(
                svg,
                "<g transform=\"translate({:.3} {:.3}) rotate({}) translate({:.3} {:.3})\"><use href=\"#{id}\"/>\
                 <rect width=\"{w:.2}\" height=\"{h:.2}\" fill=\"none\" stroke=\"{RULE}\" stroke-width=\"{pen:.2}\" stroke-dasharray=\"{:.2}\"/></g>",
                spot.middle_mm[0],
                spot.middle_mm[1],
                90 * u32::from(spot.quarter),
                -w / 2.0,
                -h / 2.0,
                pen * 7.0
            );
        }
    }
}

fn page_of(page: &Bounds, svg: &str) -> String {
    let (w, h) = (page.width(), page.height());
    // As wide on a screen as is read at ease, whatever the piece.
    let scale = if w > 1000.0 { 420.0 / w } else { 1.0 };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.1}mm\" height=\"{:.1}mm\" viewBox=\"{x:.1} {y:.1} {w:.1} {h:.1}\" \
         font-family=\"Work, Noto Sans, sans-serif\" fill=\"{INK}\">\
         <rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"{PAPER}\"/>{svg}</svg>\n",
        w * scale,
        h * scale,
        x = page.low[0],
        y = page.low[1],
    )
}
